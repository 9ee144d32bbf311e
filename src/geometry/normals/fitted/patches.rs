//! Runs of facets whose points lie on a ball, a cone, a cylinder or a ring: their normals are that surface's, to the last bit.

use rustc_hash::FxHashSet;

use super::Net;
use super::round::{Kind, Round};
use super::shape::Bend;
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::maths::cos;

/// Exports hold points to single precision: they are off their surface by this share of the greatest coordinate at most, with
/// room for what a file in ten-thousandths rounds off a part of a metre ...
const ROUNDING: f64 = 2.5e-7;
/// ... or by this share of the chord height of the facets there, which turns a normal by a thousandth of a facet's turn.
const CHORD_SHARE: f64 = 1e-3;
/// Points that a surface is first laid through.
const SEED_POINTS: usize = 16;
/// A facet that has been in vain part of so many seeds is none itself.
const MOST_VAIN: u8 = 3;
/// A run that has grown by less than one facet in so many is not laid anew for more: surfaces that follow another for a while
/// creep on by a row at a time, and each costs as much as the whole run.
const LEAST_GROWTH: usize = 4;
/// Points that a grown run is laid through; all are held against it. They lie on their surface but for the file's rounding.
const LAID_THROUGH: usize = 500;
/// So many places are always on a circle, or a line; more are not by chance.
const PLACES_OF_A_CIRCLE: usize = 3;
const PLACES_OF_A_LINE: usize = 2;
/// A wall of one row is straight if the rough normals turn off a straight one's by less. The fit leaves half a degree on coarse
/// walls; a row of a fillet turns by ten and more.
const STRAIGHT_DEG: f64 = 1.5;
/// The normals of a facet of the run lie off its own by less than this: 37 degrees.
const LEAST_COSINE: f64 = 0.8;

/// A run of facets on one surface.
pub(super) struct Patch {
    pub(super) faces: Vec<FaceId>,
    pub(super) surface: Round,
}

/// Whether a run's points are of its surface alone, or may be of another that holds more of them, or tell nothing.
#[derive(PartialEq, Eq)]
enum Told {
    ForSure,
    Likely,
    Not,
}

struct Search<'a> {
    net: &'a Net<'a>,
    normals: &'a [Vector],
    bends: &'a [Bend],
    rounding_mm: f64,
    taken: Vec<bool>,
    vain: Vec<u8>,
}

impl Net<'_> {
    /// The runs of bent facets on one surface each, by rough normals.
    pub(super) fn patches(&self, normals: &[Vector], bends: &[Bend]) -> Vec<Patch> {
        let greatest = self.points_mm.iter().map(|point| point.coords.amax()).fold(0.0, f64::max);
        let n_faces = self.bent.len();
        let taken = self.bent.iter().map(|bent| !bent).collect();
        let mut search =
            Search { net: self, normals, bends, rounding_mm: ROUNDING * greatest, taken, vain: vec![0; n_faces] };
        (0..n_faces as FaceId).filter_map(|face| search.patch(face)).collect()
    }

    /// The bent facets beside one on the same smooth face.
    fn neighbours(&self, face: FaceId) -> impl Iterator<Item = FaceId> + '_ {
        (0..3).filter_map(move |side| self.beside(face, side)).map(|twin| twin.face())
    }
}

/// Points enough to lay a surface through, from all over a run.
fn some_of(points: &[Point]) -> Vec<Point> {
    let one_in = points.len().div_ceil(LAID_THROUGH) as u32;
    // Strewn, as every so-manieth of a grid may lie on one row (multiplicative hashing, Knuth 1973).
    let strewn = |number: usize| ((number as u32).wrapping_mul(2_654_435_761) >> 8).is_multiple_of(one_in.max(1));
    points.iter().enumerate().filter(|&(number, _)| strewn(number)).map(|(_, point)| *point).collect()
}

impl Search<'_> {
    fn patch(&mut self, seed: FaceId) -> Option<Patch> {
        if self.taken[seed as usize] || self.vain[seed as usize] >= MOST_VAIN {
            return None;
        }
        let mut best: Option<Patch> = None;
        let mut vain: Vec<FaceId> = self.net.neighbours(seed).chain([seed]).collect();
        for kind in Kind::ALL {
            let Some((patch, told)) = self.of_kind(kind, seed) else { continue };
            if told == Told::Not {
                vain.extend(patch.faces);
                continue;
            }
            if best.as_ref().is_none_or(|best| patch.faces.len() > best.faces.len()) {
                best = Some(patch);
            }
            if told == Told::ForSure {
                break;
            }
        }
        if let Some(patch) = &best {
            patch.faces.iter().for_each(|&face| self.taken[face as usize] = true);
        } else {
            vain.into_iter().for_each(|face| self.vain[face as usize] = self.vain[face as usize].saturating_add(1));
        }
        best
    }

    fn of_kind(&self, kind: Kind, seed: FaceId) -> Option<(Patch, Told)> {
        let faces = self.seed(seed, kind != Kind::Ball);
        let within_mm = self.within_mm(seed);
        let surface = self.laid(kind, &faces, within_mm)?;
        let patch = self.grown(Patch { faces, surface }, within_mm);
        let told = self.told(kind, &patch, within_mm);
        Some((patch, told))
    }

    /// How well the points of a run tell its surface from others. Any two rings of points about one axis lie on a
    /// cone and on a ball, any three on a ring.
    fn told(&self, kind: Kind, patch: &Patch, within_mm: f64) -> Told {
        let nodes = self.nodes(&patch.faces);
        let points: Vec<Point> = nodes.iter().map(|&node| self.net.points_mm[node]).collect();
        let [rows, round] = patch.surface.places(&points, within_mm);
        let sure = if rows > PLACES_OF_A_CIRCLE { Told::ForSure } else { Told::Likely };
        let stands_for_itself = match kind {
            Kind::Ball => true,
            Kind::Ring => rows > PLACES_OF_A_CIRCLE && round > PLACES_OF_A_CIRCLE,
            // One row of facets: a wall, if the rough normals say so too, or a row of a fillet.
            Kind::Cone => {
                let straight = || {
                    nodes.iter().zip(&points).all(|(&node, point)| {
                        patch.surface.normal(point).dot(&self.normals[node]) > cos(STRAIGHT_DEG.to_radians())
                    })
                };
                round > PLACES_OF_A_CIRCLE && (rows > PLACES_OF_A_LINE || straight())
            }
        };
        if stands_for_itself { sure } else { Told::Not }
    }

    /// How far points may lie off their surface round a facet.
    fn within_mm(&self, face: FaceId) -> f64 {
        let corners = self.net.facets.mesh.corners(face);
        let bend = &self.bends[face as usize];
        let across =
            (0..3).map(|side| (corners[(side + 1) % 3] - corners[side]).dot(&bend.across).abs()).fold(0.0, f64::max);
        self.rounding_mm + CHORD_SHARE * across * bend.turn / 8.0
    }

    /// Facets round a seed; those alone that bend alike where a direction counts.
    fn seed(&self, seed: FaceId, alike: bool) -> Vec<FaceId> {
        let mut faces = vec![seed];
        let mut nodes: FxHashSet<u32> = self.net.node_of[seed as usize].into_iter().collect();
        let mut at = 0;
        while at < faces.len() && nodes.len() < SEED_POINTS {
            for other in self.net.neighbours(faces[at]) {
                let like = !alike || self.bends[faces[at] as usize].is_like(&self.bends[other as usize]);
                if like && !self.taken[other as usize] && !faces.contains(&other) {
                    faces.push(other);
                    nodes.extend(self.net.node_of[other as usize]);
                }
            }
            at += 1;
        }
        faces
    }

    fn nodes(&self, faces: &[FaceId]) -> Vec<usize> {
        let mut nodes: Vec<usize> =
            faces.iter().flat_map(|&face| self.net.node_of[face as usize]).map(|node| node as usize).collect();
        nodes.sort_unstable();
        nodes.dedup();
        nodes
    }

    /// The surface of a kind through a seed's points.
    fn laid(&self, kind: Kind, faces: &[FaceId], within_mm: f64) -> Option<Round> {
        let nodes = self.nodes(faces);
        if nodes.len() < kind.least_points() {
            return None;
        }
        let points: Vec<Point> = nodes.iter().map(|&node| self.net.points_mm[node]).collect();
        let normals: Vec<Vector> = nodes.iter().map(|&node| self.normals[node]).collect();
        let surface = Round::through(kind, &points, &normals)?;
        faces.iter().all(|&face| self.lies_on(&surface, face, within_mm)).then_some(surface)
    }

    /// A run with all facets beside it that lie on its surface, which is laid anew each time the run has doubled.
    fn grown(&self, mut patch: Patch, within_mm: f64) -> Patch {
        let mut inside: FxHashSet<FaceId> = patch.faces.iter().copied().collect();
        loop {
            let (before, room) = (patch.faces.len(), patch.faces.len());
            let mut at = 0;
            while at < patch.faces.len() && patch.faces.len() < before + room {
                for other in self.net.neighbours(patch.faces[at]) {
                    if !self.taken[other as usize]
                        && !inside.contains(&other)
                        && self.lies_on(&patch.surface, other, within_mm)
                    {
                        inside.insert(other);
                        patch.faces.push(other);
                    }
                }
                at += 1;
            }
            if patch.faces.len() == before {
                return patch;
            }
            let points: Vec<Point> =
                self.nodes(&patch.faces).into_iter().map(|node| self.net.points_mm[node]).collect();
            let relaid = patch.surface.relaid(&some_of(&points));
            if points.iter().any(|point| relaid.off_mm(point) > within_mm) {
                patch.faces.truncate(before);
                return patch;
            }
            patch.surface = relaid;
            if patch.faces.len() - before < before / LEAST_GROWTH {
                return patch;
            }
        }
    }

    /// Whether a facet's corners lie on a surface that faces its way there.
    fn lies_on(&self, surface: &Round, face: FaceId, within_mm: f64) -> bool {
        let own = self.net.facets.normals[face as usize];
        let corners = self.net.facets.mesh.corners(face);
        corners.iter().all(|corner| surface.off_mm(corner) <= within_mm)
            && corners.iter().all(|corner| surface.normal(corner).dot(&own) > LEAST_COSINE)
    }
}
