//! Balls: groups of facets that bend both ways alike.

use super::fields::Fields;
use super::ground::{Crease, Ground};
use crate::geometry::mesh::{Point, Vector};
use crate::geometry::topology::HalfEdge;

/// Facets that start a ball bend both ways by this ratio. Lower: tight torus corners (up to 0.67) become balls.
const BALL_RATIO: f64 = 0.72;
/// A group has this many facets at least ...
const LEAST_FACETS: usize = 4;
/// ... and this solid angle in steradians (an eighth of a ball has 1.57).
const LEAST_SOLID_ANGLE: f64 = 0.35;
/// Rings by which a group grows; without them two fillets join round a ball.
const RINGS: usize = 2;
/// Facets that it grows into bend both ways by this ratio ...
const GROWN_RATIO: f64 = 0.4;
/// ... and within this factor of the ball's curvature.
const GROWN_FACTOR: f64 = 1.8;

/// A ball, or the part of one that rounds a point at which fillets meet.
#[derive(Debug, Clone, Copy)]
pub struct Ball {
    /// Middle of its facets.
    pub at: Point,
    /// Its radius in mm.
    pub radius_mm: f64,
    /// Length across its facets, in mm.
    pub reach_mm: f64,
}

/// Finds balls and marks their facets.
pub fn mark(ground: &Ground, fields: &mut Fields, detection_radius_mm: f64) -> Vec<Ball> {
    let kappa = |slot: usize| (fields.principal[slot].kappa1, fields.principal[slot].kappa2);
    let starts: Vec<bool> = (0..fields.faces.len())
        .map(|slot| {
            let (one, two) = kappa(slot);
            one.abs() > 1.0 / detection_radius_mm && two / one > BALL_RATIO
        })
        .collect();
    let mut group_of = vec![false; starts.len()];
    let mut balls = Vec::new();
    let mut marked: Vec<usize> = Vec::new();
    for first in 0..starts.len() {
        if !starts[first] || group_of[first] {
            continue;
        }
        let sense = kappa(first).0.signum();
        let mut group = vec![first];
        group_of[first] = true;
        let mut next = 0;
        while next < group.len() {
            for slot in neighbours(ground, fields, group[next]) {
                if starts[slot] && !group_of[slot] && kappa(slot).0 * sense > 0.0 {
                    group_of[slot] = true;
                    group.push(slot);
                }
            }
            next += 1;
        }
        let area = |slot: usize| ground.areas_mm2[fields.faces[slot] as usize];
        let solid_angle: f64 = group.iter().map(|&slot| area(slot) * kappa(slot).0 * kappa(slot).1).sum();
        if group.len() < LEAST_FACETS || solid_angle < LEAST_SOLID_ANGLE {
            continue;
        }
        let all: f64 = group.iter().map(|&slot| area(slot)).sum();
        let bent: f64 = group.iter().map(|&slot| area(slot) * 0.5 * (kappa(slot).0 + kappa(slot).1)).sum();
        let middle: Vector = group.iter().map(|&slot| ground.centroid(fields.faces[slot]).coords * area(slot)).sum();
        let radius_mm = (all / bent).abs();
        balls.push(Ball { at: Point::from(middle / all), radius_mm, reach_mm: all.sqrt() });
        grow(ground, fields, &mut group, 1.0 / radius_mm);
        marked.extend(group);
    }
    for slot in marked {
        fields.ball[slot] = true;
    }
    balls
}

/// Slots of the facets beside one.
fn neighbours<'a>(ground: &'a Ground, fields: &'a Fields, slot: usize) -> impl Iterator<Item = usize> + 'a {
    let face = fields.faces[slot];
    (0..3)
        .flat_map(move |side| ground.surface.numbered_meetings(HalfEdge::new(face, side)))
        .filter(|(id, _)| ground.crease(*id) != Crease::Hard)
        .filter_map(|(_, meeting)| fields.slot(meeting.other.face()))
}

/// Grows a group into the facets around it that bend much like it.
fn grow(ground: &Ground, fields: &Fields, group: &mut Vec<usize>, curvature: f64) {
    let mut inside: rustc_hash::FxHashSet<usize> = group.iter().copied().collect();
    let mut ring_from = 0;
    for _ in 0..RINGS {
        let ring = ring_from..group.len();
        ring_from = group.len();
        for k in ring {
            for slot in neighbours(ground, fields, group[k]).collect::<Vec<_>>() {
                let principal = &fields.principal[slot];
                let size = principal.kappa1.abs() / curvature;
                let alike = principal.kappa2 / principal.kappa1 > GROWN_RATIO
                    && (1.0 / GROWN_FACTOR..=GROWN_FACTOR).contains(&size);
                if alike && inside.insert(slot) {
                    group.push(slot);
                }
            }
        }
    }
}
