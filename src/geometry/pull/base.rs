//! The face that a plug stands on: part of its mesh, but not of what is moulded.

use super::NO_DRAFT_DEG;
use super::best::best_leaving_out;
use super::facing::{Face, Facing, Member};
use crate::geometry::mesh::{FaceId, Point, Vector};
use crate::geometry::topology::HalfEdge;
use crate::maths::{cos, sin};
use crate::units::{m2_from_mm2, rad_from_deg};

/// Facets of a base lie level within this, as the flats of unsewn exports do.
const LEVEL_DEG: f64 = 0.1;
/// All of the body lies behind the base's plane, but for this share of its diagonal.
const BEHIND_OF_DIAGONAL: f64 = 1e-4;
/// A base holds at least this share of the body's area; smaller flats are feet or flat spots.
const LEAST_AREA: f64 = 0.03;
/// This share of a base's border is crease; the other flats of a plug run into what is beside them. 0.79 was seen on an
/// unsewn top, so not below 0.9.
const LEAST_CREASE: f64 = 0.95;
/// An edge that turns by this much is a crease.
const CREASE_DEG: f64 = 35.0;
/// What is left has to come off with so much of it left out at most.
const LEFT_OUT: f64 = 2e-3;
/// Of what locks whatever it stands on, no more than this share leans against being drawn straight off its base: a recess is a few
/// hundredths, and of a ball with a flat spot it is a half.
const MOST_LEANING: f64 = 0.15;
/// Drafts that differ by less are alike: which base is meant is then told by its size.
const SAME_DRAFT_DEG: f64 = 0.25;
/// A base that is asked for faces the direction within this.
const TOWARDS_DEG: f64 = 20.0;
/// Cells a side of the octahedron in which flats are looked for: half a degree each.
const CELLS: u32 = 360;

/// Which face a plug stands on.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub enum BaseChoice {
    /// None: all of the body is moulded.
    #[default]
    None,
    /// The one that looks like it.
    Auto,
    /// The flat face that faces this way, on which the body can stand.
    Towards(Vector),
}

/// A flat face that a body can stand on.
#[derive(Debug, Clone, PartialEq)]
pub struct Base {
    /// Its facets, rising.
    pub faces: Vec<FaceId>,
    /// The way it faces, out of the body.
    pub unit_normal: Vector,
    /// Its area.
    pub area_m2: f64,
    /// Centre of its area.
    pub at_mm: Point,
}

/// The bases that a body seems to stand on: flat, all of the body behind them, edged by creases, and without them the rest
/// comes off. Those that leave it most draft first, for walls are drawn with draft and a tall plug has walls larger than its
/// foot; of these one that looks straight down, as plugs are drawn standing; of the others the largest, of equal ones the lowest.
#[must_use]
pub fn seeming_bases(face: &Face<'_>) -> Vec<Base> {
    let mut bases = flats_to_stand_on(face);
    bases.retain(|base| is_edged(face, base));
    if bases.is_empty() {
        return bases;
    }
    let facing = face.facing();
    let none = -sin(rad_from_deg(NO_DRAFT_DEG));
    let drafts = bases.into_iter().filter_map(|base| Some((least_sine_of_rest(&facing, &base)?, base)));
    let released: Vec<(f64, Base)> = drafts.filter(|(sine, _)| *sine >= none).collect();
    let most =
        released.iter().map(|(sine, _)| *sine).fold(f64::NEG_INFINITY, f64::max) - sin(rad_from_deg(SAME_DRAFT_DEG));
    let (mut first, last): (Vec<_>, Vec<_>) = released.into_iter().partition(|(sine, _)| *sine >= most);
    first.sort_by_key(|(_, base)| !looks_down(base));
    first.into_iter().chain(last).map(|(_, base)| base).collect()
}

/// Whether a flat looks straight down in the file.
fn looks_down(base: &Base) -> bool {
    -base.unit_normal.z >= cos(rad_from_deg(LEVEL_DEG))
}

/// The base that was asked for, if the body has one.
#[must_use]
pub fn base_of(face: &Face<'_>, choice: &BaseChoice) -> Option<Base> {
    match choice {
        BaseChoice::None => None,
        BaseChoice::Auto => seeming_bases(face).into_iter().next().or_else(|| likely_base(face)),
        BaseChoice::Towards(direction) => {
            let towards = direction.try_normalize(0.0)?;
            let least = cos(rad_from_deg(TOWARDS_DEG));
            flats_to_stand_on(face).into_iter().find(|base| base.unit_normal.dot(&towards) >= least)
        }
    }
}

/// Of a body whose rest locks on whatever it stands, a recess in its side say: the edged flat off which least of the rest leans
/// against being drawn straight.
fn likely_base(face: &Face<'_>) -> Option<Base> {
    let none = -sin(rad_from_deg(NO_DRAFT_DEG));
    let leaning_mm2 = |base: &Base| -> f64 {
        let leans = |&facet: &FaceId| face.facet_normals[facet as usize].dot(&-base.unit_normal) < none;
        let rest = face.mesh().face_ids().filter(|facet| base.faces.binary_search(facet).is_err());
        rest.filter(leans).map(|facet| face.areas_mm2[facet as usize]).sum()
    };
    let whole_mm2: f64 = face.areas_mm2.iter().sum();
    let flats = flats_to_stand_on(face).into_iter().filter(|base| is_edged(face, base));
    let least = flats.map(|base| (leaning_mm2(&base), base)).min_by(|(one, _), (other, _)| one.total_cmp(other));
    least.filter(|(leaning_mm2, _)| *leaning_mm2 <= MOST_LEANING * whole_mm2).map(|(_, base)| base)
}

/// Flats with all of the body behind them, the largest first; of equal ones the lowest.
fn flats_to_stand_on(face: &Face<'_>) -> Vec<Base> {
    let mesh = face.mesh();
    let Some(bounds) = mesh.bounds() else { return Vec::new() };
    let whole_mm2: f64 = face.areas_mm2.iter().sum();
    let level = cos(rad_from_deg(LEVEL_DEG));
    let behind_mm = BEHIND_OF_DIAGONAL * bounds.diagonal_mm();
    let directions = face.facing_of_facets().gathered(CELLS);
    let mut bases: Vec<Base> = Vec::new();
    for number in 0..directions.len() {
        let Member { normal, weight_mm2, .. } = directions.member(number);
        // A flat that straddles two cells is found from the one that holds most of it.
        if weight_mm2 < 0.5 * LEAST_AREA * whole_mm2 {
            continue;
        }
        let furthest = mesh.points_mm.iter().map(|point| point.coords.dot(&normal)).fold(f64::NEG_INFINITY, f64::max);
        let on_plane = |facet: FaceId| {
            face.facet_normals[facet as usize].dot(&normal) >= level
                && mesh.corners(facet).iter().all(|corner| corner.coords.dot(&normal) >= furthest - behind_mm)
        };
        let faces: Vec<FaceId> = mesh.face_ids().filter(|&facet| on_plane(facet)).collect();
        bases.extend(base(face, faces).filter(|base| base.area_m2 >= m2_from_mm2(LEAST_AREA * whole_mm2)));
    }
    bases.sort_by(|a, b| b.area_m2.total_cmp(&a.area_m2).then(a.at_mm.z.total_cmp(&b.at_mm.z)));
    bases.dedup_by(|a, b| a.faces == b.faces);
    bases
}

fn base(face: &Face<'_>, faces: Vec<FaceId>) -> Option<Base> {
    let areas = || faces.iter().map(|&facet| (facet, face.areas_mm2[facet as usize]));
    let area_mm2: f64 = areas().map(|(_, area)| area).sum();
    let normal: Vector = areas().map(|(facet, area)| face.facet_normals[facet as usize] * area).sum();
    let moment: Vector = areas().map(|(facet, area)| face.mesh().middle(facet).coords * area).sum();
    Some(Base {
        unit_normal: normal.try_normalize(0.0)?,
        area_m2: m2_from_mm2(area_mm2),
        at_mm: Point::from(moment / area_mm2),
        faces,
    })
}

/// Whether nearly all of a flat's border is crease.
fn is_edged(face: &Face<'_>, base: &Base) -> bool {
    let crease = cos(rad_from_deg(CREASE_DEG));
    let mesh = face.mesh();
    let (mut border_mm, mut crease_mm) = (0.0, 0.0);
    for &facet in &base.faces {
        for side in 0..3 {
            let half = HalfEdge::new(facet, side);
            let [from, to] = half.ends(mesh).map(|point| mesh.points_mm[point as usize]);
            let length_mm = (to - from).norm();
            for meeting in face.surface.meetings(half) {
                let other = meeting.other.face();
                if base.faces.binary_search(&other).is_ok() {
                    continue;
                }
                let shared_mm = length_mm * (meeting.span[1] - meeting.span[0]);
                border_mm += shared_mm;
                if face.facet_normals[facet as usize].dot(&face.facet_normals[other as usize]) <= crease {
                    crease_mm += shared_mm;
                }
            }
        }
    }
    border_mm > 0.0 && crease_mm >= LEAST_CREASE * border_mm
}

/// Sine of the least draft that is left without a base.
fn least_sine_of_rest(facing: &Facing, base: &Base) -> Option<f64> {
    let rest = (0..facing.len()).filter(|&number| base.faces.binary_search(&facing.faces[number]).is_err());
    let rest = Facing::new(rest.map(|number| facing.member(number)).collect());
    best_leaving_out(&rest, LEFT_OUT).map(|best| best.least_sine)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{plug, revolved};
    use super::*;
    use crate::geometry::skin::shapes as solids;
    use crate::geometry::stitch::Surface;

    #[test]
    fn a_plug_seems_to_stand_on_its_flat_foot_and_not_on_its_rounded_top() {
        let mut profile = plug(60.0, 8.0, 3.0, 40.0, 4);
        let [_, foot] = profile[profile.len() - 1];
        profile.push([0.0, foot]);
        let mesh = solids::turned(&revolved(&profile, 60));
        let surface = Surface::stitched(&mesh);
        let face = Face::of(&surface);
        let found = seeming_bases(&face);
        assert_eq!(found.len(), 1);
        let foot_mm = profile[profile.len() - 2][0];
        let disc_m2 = 0.5 * 60.0 * foot_mm * foot_mm * crate::maths::sin(std::f64::consts::TAU / 60.0) * 1e-6;
        assert!((found[0].area_m2 / disc_m2 - 1.0).abs() < 1e-9, "{} {disc_m2}", found[0].area_m2);
        // The top can be asked for; it is flat, and all of the plug lies behind it.
        let top = base_of(&face, &BaseChoice::Towards(-found[0].unit_normal)).expect("the top");
        assert!(top.area_m2 < found[0].area_m2 && top.unit_normal.dot(&found[0].unit_normal) < -0.999);
        assert_eq!(base_of(&face, &BaseChoice::None), None);
    }

    #[test]
    fn a_tall_plug_with_draft_stands_on_its_foot_and_not_on_its_larger_wall() {
        let tan = 0.034_920_769_491_747_7;
        let block = |at: Point| {
            let shrunk = 1.0 - 2.0 * tan * at.z / 200.0;
            Point::new((at.x - 150.0) * shrunk, (at.y - 100.0) * shrunk, at.z)
        };
        let mut mesh = solids::block(300.0, 200.0, 300.0);
        mesh.points_mm = mesh.points_mm.into_iter().map(block).collect();
        let surface = Surface::stitched(&mesh);
        let found = seeming_bases(&Face::of(&surface));
        assert!((found[0].unit_normal + Vector::z()).norm() < 1e-9, "{:?}", found[0]);
        assert!((found[0].area_m2 - 0.06).abs() < 1e-9 && found.iter().any(|base| base.area_m2 > 0.07));
    }

    #[test]
    fn a_plain_box_may_stand_on_any_face_and_the_largest_comes_first() {
        let mesh = solids::turned(&solids::block(200.0, 300.0, 500.0));
        let surface = Surface::stitched(&mesh);
        let found = seeming_bases(&Face::of(&surface));
        assert_eq!(found.len(), 6);
        assert!((found[0].area_m2 - 0.15).abs() < 1e-9);
    }
}
