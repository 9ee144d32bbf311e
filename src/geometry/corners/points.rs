//! Points at which the skin bends both ways: tips of cones, balls, and where corners meet.

use super::balls::Ball;
use super::ground::{Crease, Ground};
use super::{Corner, CornerPoint, PointKind};
use crate::geometry::mesh::{FaceId, Point};
use crate::geometry::topology::{Across, HalfEdge};
use crate::maths::{acos_clamped, asin_clamped};

/// Angle that is missing round a cone's tip at least. Points of a coarse ball lack less than 0.3.
const LEAST_DEFICIT: f64 = 0.7;
/// Points all of whose facets bend less than this over every side (radians) are no tips.
const LEAST_BEND: f64 = 0.004;
/// Ends of corners within this many widths meet.
const MEETS_WITHIN: f64 = 1.2;
/// Ends of sharp corners this close meet, in mm.
const SHARP_WITHIN_MM: f64 = 0.2;

/// A cone's tip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tip {
    /// Where.
    pub at: Point,
    /// Turn over it, in radians.
    pub turn: f64,
}

/// Tips of cones: inner points with no crease, across which the surface closes by far less than a full angle.
pub fn tips(ground: &Ground) -> Vec<Tip> {
    let mesh = ground.surface.mesh;
    let mut angles = vec![0.0f64; mesh.points_mm.len()];
    let mut state = vec![UNSEEN; mesh.points_mm.len()];
    for face in 0..mesh.faces.len() as FaceId {
        for side in 0..3 {
            let half = HalfEdge::new(face, side);
            let ends = half.ends(mesh);
            let (is_edge, bends) = edge_state(ground, half);
            for point in ends {
                let state = &mut state[point as usize];
                if is_edge {
                    *state = EDGE;
                } else if bends && *state == UNSEEN {
                    *state = BENT;
                }
            }
        }
    }
    for face in mesh.face_ids() {
        let corners = mesh.faces[face as usize];
        if corners.iter().all(|&point| state[point as usize] != BENT) {
            continue;
        }
        let at = mesh.corners(face);
        for k in 0..3 {
            if state[corners[k] as usize] == BENT {
                let (u, v) = (at[(k + 1) % 3] - at[k], at[(k + 2) % 3] - at[k]);
                let size = u.norm() * v.norm();
                if size > 0.0 {
                    angles[corners[k] as usize] += acos_clamped(u.dot(&v) / size);
                }
            }
        }
    }
    let full = 2.0 * std::f64::consts::PI;
    (0..angles.len())
        .filter(|&point| state[point] == BENT && full - angles[point] > LEAST_DEFICIT && angles[point] > 0.0)
        .map(|point| Tip {
            at: mesh.points_mm[point],
            turn: std::f64::consts::PI - 2.0 * asin_clamped(angles[point] / full),
        })
        .collect()
}

const UNSEEN: u8 = 0;
const BENT: u8 = 1;
const EDGE: u8 = 2;

/// Whether a side is an open edge, a seam or a crease, and whether it bends.
fn edge_state(ground: &Ground, half: HalfEdge) -> (bool, bool) {
    match ground.surface.topology.across(half) {
        Across::Open | Across::Branch => (true, false),
        Across::Facet(other) => {
            let crease = ground.crease(crate::geometry::stitch::MeetingId(half.0)) != Crease::None;
            let (n, m) = (&ground.normals[half.face() as usize], &ground.normals[other.face() as usize]);
            (crease, (n - m).norm_squared() > LEAST_BEND * LEAST_BEND)
        }
    }
}

/// The points of a set of corners.
pub fn of(corners: &[Corner], balls: &[Ball], tips: &[Tip]) -> Vec<CornerPoint> {
    let ends = ends_of(corners);
    let mut points: Vec<CornerPoint> = tips
        .iter()
        .map(|tip| CornerPoint { at_mm: tip.at, radius_mm: 0.0, kind: PointKind::Apex, corners: Vec::new() })
        .collect();
    for ball in balls {
        let within = ball.reach_mm + ball.radius_mm;
        let mut ids: Vec<usize> =
            ends.iter().filter(|end| (end.at - ball.at).norm() < within).map(|end| end.corner).collect();
        ids.sort_unstable();
        ids.dedup();
        let corners = ids.into_iter().map(|k| corners[k].id.clone()).collect();
        points.push(CornerPoint { at_mm: ball.at, radius_mm: ball.radius_mm, kind: PointKind::Ball, corners });
    }
    points.extend(meetings(corners, &ends, balls));
    points.sort_by(|a, b| {
        let key = |p: &CornerPoint| [p.at_mm.x, p.at_mm.y, p.at_mm.z];
        key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal)
    });
    points
}

/// An end of a corner.
struct EndOf {
    corner: usize,
    at: Point,
    within_mm: f64,
}

fn ends_of(corners: &[Corner]) -> Vec<EndOf> {
    let open =
        |corner: &&Corner| corner.path.len() > 1 && corner.path[0].at_mm != corner.path[corner.path.len() - 1].at_mm;
    let ends = corners.iter().enumerate().filter(|(_, corner)| open(corner)).flat_map(|(number, corner)| {
        [0, corner.path.len() - 1].map(|k| {
            let station = &corner.path[k];
            let width = station.radius_mm * station.turn_deg.to_radians();
            let within_mm = (MEETS_WITHIN * width).max(SHARP_WITHIN_MM);
            EndOf { corner: number, at: station.at_mm, within_mm }
        })
    });
    ends.collect()
}

/// Clusters of ends of three or more corners that no ball rounds off.
fn meetings(corners: &[Corner], ends: &[EndOf], balls: &[Ball]) -> Vec<CornerPoint> {
    let mut order: Vec<usize> = (0..ends.len()).collect();
    order.sort_by(|&a, &b| ends[a].at.x.total_cmp(&ends[b].at.x));
    let most_mm = ends.iter().map(|end| end.within_mm).fold(0.0, f64::max);
    let mut parent: Vec<usize> = (0..ends.len()).collect();
    for (rank, &one) in order.iter().enumerate() {
        for &other in &order[rank + 1..] {
            if ends[other].at.x - ends[one].at.x > most_mm {
                break;
            }
            if (ends[one].at - ends[other].at).norm() < ends[one].within_mm.max(ends[other].within_mm) {
                let (a, b) = (root(&mut parent, one), root(&mut parent, other));
                parent[a.max(b)] = a.min(b);
            }
        }
    }
    let mut clusters: Vec<Vec<usize>> = vec![Vec::new(); ends.len()];
    for end in 0..ends.len() {
        let first = root(&mut parent, end);
        clusters[first].push(end);
    }
    clusters.iter().filter_map(|cluster| meeting(corners, ends, cluster, balls)).collect()
}

fn root(parent: &mut [usize], mut number: usize) -> usize {
    while parent[number] != number {
        parent[number] = parent[parent[number]];
        number = parent[number];
    }
    number
}

/// The point of one cluster of ends.
fn meeting(corners: &[Corner], ends: &[EndOf], cluster: &[usize], balls: &[Ball]) -> Option<CornerPoint> {
    let mut ids: Vec<usize> = cluster.iter().map(|&end| ends[end].corner).collect();
    ids.sort_unstable();
    ids.dedup();
    if ids.len() < 3 {
        return None;
    }
    let middle =
        cluster.iter().map(|&end| ends[end].at.coords).sum::<crate::geometry::mesh::Vector>() / cluster.len() as f64;
    let at_mm = Point::from(middle);
    if balls.iter().any(|ball| (ball.at - at_mm).norm() < ball.radius_mm + ball.reach_mm) {
        return None;
    }
    let radius_mm = ids.iter().map(|&k| corners[k].radius_mm).fold(f64::INFINITY, f64::min);
    let corners = ids.iter().map(|&k| corners[k].id.clone()).collect();
    Some(CornerPoint { at_mm, radius_mm, kind: PointKind::Meeting, corners })
}
