//! Normals of the smooth surface that passes through the mesh's points.
//!
//! A CAD system lays the triangles of a cone, a cylinder or a freeform wall between points on the surface, staggered from row to
//! row, so that single facets lean by the chord height of the row over its height: a degree and more on coarse files, as much as
//! the draft of a mould. The points themselves lie on the surface, to the rounding of the file. Most of what is drawn is of
//! balls, cones, cylinders and rings: runs of facets whose points lie on one of them have its normals ([`patches`]).
//!
//! For the rest, a chord of an arc makes the same angle with the arc at both ends, so that for any two points of one smooth face
//! that share an edge e
//!
//! `(n1 + n2) . e = 0`
//!
//! which holds to the last bit on planes, cylinders and balls, and to third order in the turn over the edge elsewhere. All edges
//! of a part are taken together, by least squares, an edge that turns more counting less. What they leave open is closed by two
//! weaker wishes: a wall goes straight from one row of points to the next, and bends alike on either side of an edge. Normals of
//! flats and of known surfaces stand fast and are what the rest hangs on; those of flats are not touched.

mod patches;
mod round;
mod rows;
mod shape;
mod solve;

#[cfg(test)]
mod tests;

use rayon::prelude::*;

use super::open_ends::Change;
use super::{CornerNormals, Facets, SeamCorner, smooth_fan};
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::maths;
use patches::Patch;
use round::Round;
use shape::{Bend, Weld};

/// A facet is flat if its three normals agree with its own within this, as a cosine short of 1: single precision leaves 1e-7 rad.
const FLAT_COSINE: f64 = 1.0 - 1e-10;
/// More bent facets than that are fine enough for surfaces laid through a few of them each, and what is left of them as it is; the
/// fit takes some ten microseconds a facet.
const MOST_BENT: usize = 60_000;
/// Parts of more bent facets are taken as they are: at a quarter of a million chords turn by a fraction of a degree, and looking for
/// surfaces takes three seconds on a million.
const MOST_SEARCHED: usize = 250_000;
/// Rounds of linearising, and the step in radians under which they end.
const ROUNDS: usize = 8;
/// Rounds before surfaces are laid through the points: enough to tell which facets bend alike.
const ROUGH_ROUNDS: usize = 2;
const LAST_STEP: f64 = 1e-4;
/// A fitted normal that lies further off a facet round its point than the facets round there turn, and this more, is not believed.
const SLACK_DEG: f64 = 3.0;

/// The points of the surface at which it has one normal, each with the facets round it.
struct Net<'a> {
    facets: &'a Facets<'a>,
    /// For each corner of each facet the number of its node.
    node_of: Vec<[u32; 3]>,
    points_mm: Vec<Point>,
    /// Normals to begin with, those of anchored nodes to end with.
    start: Vec<Vector>,
    /// Nodes of flats: their normals stand fast.
    anchored: Vec<bool>,
    /// Facets that are no flats.
    bent: Vec<bool>,
}

/// What came of laying surfaces through the points.
#[derive(Default)]
pub struct Fitted {
    /// The corners of bent facets with their fitted normals, facet by facet.
    pub changes: Vec<Change>,
    /// For each facet whether it is bent and was left as it is; empty if none was.
    pub unfitted: Vec<bool>,
}

/// Lays smooth surfaces through the points of bent facets.
pub fn fitted(facets: &Facets, normals: &CornerNormals, seams: &[SeamCorner]) -> Fitted {
    let bent = bent(facets, normals);
    let n_bent = bent.iter().filter(|&&bent| bent).count();
    if n_bent == 0 {
        return Fitted::default();
    }
    if n_bent > MOST_SEARCHED {
        return Fitted { unfitted: bent, ..Fitted::default() };
    }
    let mut net = Net::of(facets, normals, bent);
    let of_flats = net.anchored.clone();
    let welds = net.welds(seams);
    let mut fitted = net.start.clone();
    if n_bent <= MOST_BENT {
        net.fit(&mut fitted, &welds, ROUGH_ROUNDS);
    }
    let bends = net.bends(&fitted);
    let patches = net.patches(&fitted, &bends);
    let laid = net.hold(&patches, &mut fitted);
    let left = (0..net.bent.len()).filter(|&face| net.bent[face] && laid[face].is_none()).count();
    let mut unfitted = Vec::new();
    if left > MOST_BENT {
        unfitted = (0..net.bent.len()).map(|face| net.bent[face] && laid[face].is_none()).collect();
    } else if left > 0 {
        net.fit(&mut fitted, &welds, ROUNDS);
    }
    let believed = net.believed(&fitted);
    let of_face = |face: usize| {
        let (net, fitted, believed, laid, of_flats) = (&net, &fitted, &believed, &laid, &of_flats);
        (0..3).filter_map(move |corner| {
            let node = net.node_of[face][corner] as usize;
            let change = |normal: Vector| Change { face: face as FaceId, corner, normal };
            match laid[face] {
                Some(surface) => Some(change(surface.normal(&net.facets.mesh.corners(face as FaceId)[corner]))),
                None => (believed[node] && !of_flats[node]).then(|| change(fitted[node])),
            }
        })
    };
    Fitted { changes: (0..net.node_of.len()).flat_map(of_face).collect(), unfitted }
}

/// The facets whose normals do not agree with their own.
fn bent(facets: &Facets, normals: &CornerNormals) -> Vec<bool> {
    let is_bent = |face: usize| {
        let own = facets.normals[face];
        let off_flat = |normal: Vector| normal.normalize().dot(&own) <= FLAT_COSINE;
        own.norm_squared() > 0.0 && normals.of_face(face as FaceId).into_iter().any(off_flat)
    };
    (0..facets.normals.len()).into_par_iter().map(is_bent).collect()
}

impl<'a> Net<'a> {
    fn of(facets: &'a Facets<'a>, normals: &CornerNormals, bent: Vec<bool>) -> Self {
        const NONE: u32 = u32::MAX;
        let mesh = facets.mesh;
        let mut node_of = vec![[NONE; 3]; mesh.faces.len()];
        let (mut points_mm, mut start) = (Vec::new(), Vec::new());
        let mut fan = Vec::new();
        for face in mesh.face_ids() {
            for corner in 0..3 {
                if node_of[face as usize][corner] != NONE {
                    continue;
                }
                smooth_fan(facets, face, corner, &mut fan);
                let mut sum = Vector::zeros();
                for &(member, at) in &fan {
                    node_of[member as usize][at] = points_mm.len() as u32;
                    sum += normals.of_face(member)[at];
                }
                start.push(sum.try_normalize(0.0).unwrap_or_else(Vector::zeros));
                points_mm.push(mesh.corners(face)[corner]);
            }
        }
        let mut anchored: Vec<bool> = start.iter().map(|normal: &Vector| normal.norm_squared() == 0.0).collect();
        for face in mesh.face_ids().map(|face| face as usize) {
            let own = facets.normals[face];
            if own.norm_squared() > 0.0 && !bent[face] {
                for node in node_of[face] {
                    anchored[node as usize] = true;
                    start[node as usize] = own;
                }
            }
        }
        Self { facets, node_of, points_mm, start, anchored, bent }
    }

    fn bends(&self, normals: &[Vector]) -> Vec<Bend> {
        (0..self.bent.len()).into_par_iter().map(|face| self.bend(face, normals)).collect()
    }

    /// Holds fast the nodes of runs of facets on known surfaces. For each facet its run's surface, if it is of one.
    fn hold<'patches>(&mut self, patches: &'patches [Patch], fitted: &mut [Vector]) -> Vec<Option<&'patches Round>> {
        let mut laid = vec![None; self.bent.len()];
        for Patch { faces, surface } in patches {
            for &face in faces {
                laid[face as usize] = Some(surface);
                for node in self.node_of[face as usize].map(|node| node as usize) {
                    if !self.anchored[node] {
                        self.anchored[node] = true;
                        fitted[node] = surface.normal(&self.points_mm[node]);
                        self.start[node] = fitted[node];
                    }
                }
            }
        }
        laid
    }

    /// The normal of every node, by least squares over all edges.
    fn fit(&self, normals: &mut [Vector], welds: &[Weld], rounds: usize) {
        let edges = self.edges();
        let hinges = self.hinges();
        for _ in 0..rounds {
            let bends = self.bends(normals);
            let frames: Vec<[Vector; 2]> = normals.iter().map(shape::frame).collect();
            let mut rows = self.rows(&edges, &hinges, normals, &bends, &frames);
            rows.extend(self.weld_rows(welds, normals, &frames));
            let drift = |node: usize, axis: usize| (normals[node] - self.start[node]).dot(&frames[node][axis]);
            let steps = solve::least_squares(&rows, normals.len(), &drift);
            let mut longest = 0.0f64;
            for (node, step) in steps.iter().enumerate() {
                if self.anchored[node] {
                    continue;
                }
                longest = longest.max(step[0].abs()).max(step[1].abs());
                let moved = normals[node] + frames[node][0] * step[0] + frames[node][1] * step[1];
                normals[node] = moved.try_normalize(0.0).unwrap_or(normals[node]);
            }
            if longest < LAST_STEP {
                break;
            }
        }
    }

    /// Nodes whose fitted normals lie where the facets round them leave room.
    fn believed(&self, fitted: &[Vector]) -> Vec<bool> {
        let n_nodes = fitted.len();
        // How far the facets round a node turn against its first normal, and against the fitted one.
        let (mut turn, mut off) = (vec![1.0f64; n_nodes], vec![1.0f64; n_nodes]);
        for (face, nodes) in self.node_of.iter().enumerate() {
            let own = self.facets.normals[face];
            if own.norm_squared() == 0.0 {
                continue;
            }
            for &node in nodes {
                let node = node as usize;
                turn[node] = turn[node].min(own.dot(&self.start[node]));
                off[node] = off[node].min(own.dot(&fitted[node]));
            }
        }
        let slack = SLACK_DEG.to_radians();
        let within = |(turn, off): (f64, f64)| maths::acos_clamped(off) <= maths::acos_clamped(turn) + slack;
        turn.into_iter().zip(off).map(within).collect()
    }
}
