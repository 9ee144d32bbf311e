//! One side of a section: the facets taken, those looked at beyond, and the rule by which they are taken.

use std::collections::VecDeque;

use super::Terrain;
use crate::geometry::corners::ground::Ground;
use crate::geometry::corners::walk::{CutWalk, Place, Stop, Stride};
use crate::geometry::mesh::{FaceId, Point, Vector};

/// A facet belongs to the bend if its curvature is between these shares of the bend's. Two tangent bends of one sense whose
/// radii differ by less than 2 are one corner; at 0.35 false items appear on coarse meshes.
const LIKE: std::ops::Range<f64> = 0.5..2.0;
/// ... and above this share of the detection curvature.
pub const LEAST_SHARE: f64 = 0.4;
/// How far to look beyond a facet that does not bend, in radii. At 0.3 false items and splits appear; 0.8 to 1.5 are alike.
const LOOK_AHEAD: f64 = 0.8;
/// ... of this share of the curvature expected at least: flats taken beside a fillet make it seem wider, and soon the next
/// fillet beyond them would be taken too.
const LEAST_REACH_SHARE: f64 = 0.75;
/// Kinks under this share of the largest are not looked at as ends of a strip.
const SIGNIFICANT: f64 = 0.1;
/// Kinks per length on the way to a facet that bends, as a share of the bend's curvature, so that what lies between counts.
const BETWEEN_SHARE: f64 = 0.4;
/// Range of kinks per length, as shares of the bend's curvature, that makes flat slivers a strip of it.
const STRIP_LIKE: std::ops::Range<f64> = 0.5..3.0;
/// An edge within 45 degrees of the axis runs along the corner.
const ALONG_COS: f64 = 0.707;
/// Strides that are looked ahead at most.
const MOST_AHEAD: usize = 64;

/// When a facet is taken.
pub struct Rule<'g, 's> {
    pub terrain: Terrain<'g, 's>,
    pub axis: Vector,
    pub sense: f64,
    /// Curvature of the bend so far, 1/mm.
    pub kappa: f64,
    /// Curvature expected at the start, 1/mm.
    pub start_kappa: f64,
    /// Largest kink so far, signed so that a bend of this sense is positive.
    pub most_kink: f64,
}

impl Rule<'_, '_> {
    fn bends(&self, face: FaceId) -> bool {
        let ground = self.terrain.ground;
        if ground.is_needle(face) {
            return true;
        }
        let kappa = self.sense * self.terrain.fields.about(ground, face, &self.axis);
        kappa > LEAST_SHARE / self.terrain.detection_radius_mm && LIKE.contains(&(kappa / self.kappa))
    }
}

/// Kinks and width since the last kink that counts, in the sense of the bend.
#[derive(Debug, Clone, Copy, Default)]
pub struct Since {
    /// The last kink that counts.
    pub last_kink: f64,
    /// Lesser kinks since.
    pub kinks: f64,
    /// Way since, in mm.
    pub width_mm: f64,
}

impl Since {
    /// Passes a kink and the facet behind it.
    fn pass(&mut self, kink: f64, chord_mm: f64, most_kink: f64) {
        if kink > SIGNIFICANT * most_kink {
            *self = Self { last_kink: kink, kinks: 0.0, width_mm: chord_mm };
        } else {
            self.kinks += kink;
            self.width_mm += chord_mm;
        }
    }
}

/// One side of a section.
#[derive(Debug, Default)]
pub struct Flank {
    /// Facets taken, from the middle outwards.
    pub taken: Vec<Stride>,
    /// Facets looked at beyond them.
    pub ahead: VecDeque<Stride>,
    /// Why the walk cannot go beyond what is in `ahead`, once it has come there.
    pub stop: Option<Stop>,
    /// What was met since the last kink that counts.
    pub since: Since,
    /// True if the edge that stopped the walk runs along the corner; false if it runs across it.
    pub stop_is_along: bool,
    /// Where the first facet is left.
    pub start: Point,
    /// Length of the way over the facets taken, in mm.
    pub chords_mm: f64,
    /// Sum of the kinks on the way into the facets taken, positive if convex.
    pub kinks: f64,
    /// True once no facet beyond belongs to the bend.
    pub done: bool,
    /// Curvature at which nothing beyond was found to belong, 1/mm.
    pub failed_at: f64,
    walk: Option<CutWalk>,
}

impl Flank {
    /// Starts from a place, +1 or -1 for the way. False if the facet cannot be cut there.
    pub fn start(&mut self, ground: &Ground, place: Place, axis: &Vector, way: f64) -> bool {
        self.taken.clear();
        self.ahead.clear();
        (self.stop, self.since, self.done) = (None, Since::default(), false);
        (self.chords_mm, self.kinks) = (0.0, 0.0);
        self.walk = CutWalk::start(ground, place.face, place.at, *axis, way);
        self.start = self.walk.map_or(place.at, |walk| walk.at());
        self.walk.is_some()
    }

    /// The stride `number` beyond the facets taken, if the walk gets there.
    pub fn peek(&mut self, ground: &Ground, number: usize) -> Option<Stride> {
        while self.ahead.len() <= number && self.stop.is_none() {
            let walk = self.walk.as_mut()?;
            match walk.stride(ground) {
                Ok(stride) => self.ahead.push_back(stride),
                Err(stop) => {
                    self.stop = Some(stop);
                    self.stop_is_along = walk.exit_direction(ground).dot(&walk.across()).abs() > ALONG_COS;
                }
            }
        }
        self.ahead.get(number).copied()
    }

    /// Takes the next facets if they belong to the bend; otherwise the flank is done. Returns how many were taken.
    pub fn grow(&mut self, rule: &Rule) -> usize {
        let count = self.next_count(rule);
        for _ in 0..count {
            let Some(stride) = self.ahead.pop_front() else { break };
            self.since.pass(rule.sense * stride.kink, stride.chord_mm(), rule.most_kink);
            self.chords_mm += stride.chord_mm();
            self.kinks += stride.kink;
            self.taken.push(stride);
        }
        self.done = count == 0;
        count
    }

    /// How many of the next facets belong to the bend.
    fn next_count(&mut self, rule: &Rule) -> usize {
        let ground = rule.terrain.ground;
        match self.peek(ground, 0) {
            None => return 0,
            Some(stride) if rule.bends(stride.face) => return 1,
            Some(_) => {}
        }
        let reach_mm = LOOK_AHEAD / rule.kappa.max(LEAST_REACH_SHARE * rule.start_kappa);
        let (mut since, mut way_mm, mut kinks) = (self.since, 0.0, 0.0);
        for number in 0..MOST_AHEAD {
            let Some(stride) = self.peek(ground, number) else { return 0 };
            let kink = rule.sense * stride.kink;
            kinks += kink;
            if number > 0 {
                let strip = (0.5 * since.last_kink + since.kinks + kink) / since.width_mm / rule.kappa;
                let counts = kink > SIGNIFICANT * rule.most_kink;
                if kinks > BETWEEN_SHARE * rule.kappa * way_mm && rule.bends(stride.face) {
                    return number + 1;
                }
                // Flat slivers beside a strip steal its share of the bending: a strip that ends at this kink.
                if counts && STRIP_LIKE.contains(&strip) {
                    return number;
                }
            }
            since.pass(kink, stride.chord_mm(), rule.most_kink);
            way_mm += stride.chord_mm();
            if way_mm > reach_mm {
                return 0;
            }
        }
        0
    }
}
