//! Corners as a build meets them: over the plug or into the mould, and at the roots of a mould's flanges.

use super::borders::Root;
use super::types::MetCorner;
use crate::geometry::bending::FacetBending;
use crate::geometry::corners::{Bends, Corner, FoundCorners, Listing, Station, list};
use crate::geometry::edges::{EdgeLoop, length_mm};
use crate::geometry::mesh::{Point, Vector};
use crate::laminate::plies::PliesPlan;
use crate::laminate::remedies::{CornerFrom, CornerMet, CurvedSide, MetAs, advise, plies_at, radius_for_all_mm};
use crate::laminate::schedule::{Make, Zone};
use crate::laminate::stock::Stock;
use crate::maths::acos_clamped;
use crate::units::deg_from_rad;

/// Bends that turn less are followed by any mat.
pub(super) const LEAST_TURN_DEG: f64 = 30.0;

/// A flange is taken to stand square to the face.
pub(super) const FLANGE_TURN_DEG: f64 = 90.0;

/// A face this narrow beside a corner is cut where the corner's line curves; a wider one is draped.
pub(super) const NARROW_SIDE_MM: f64 = 120.0;

/// How a build meets a bend. A mould lies on the outward side of the skin, a moulding on the other.
#[must_use]
pub const fn met_as(make: Make, bends: Bends) -> MetAs {
    match (make, bends) {
        (Make::Mould, Bends::Outward) | (Make::Moulding, Bends::Inward) => MetAs::Outside,
        (Make::Mould, Bends::Inward) | (Make::Moulding, Bends::Outward) => MetAs::Inside,
    }
}

/// The smaller radius of a facet's two bends as the first ply meets it, behind the gelcoat, in mm: the film takes its
/// thickness off an inside bend and adds it to an outside one. Infinite for a flat facet. What is a sharp edge bends no
/// facet: see [`crate::geometry::bending`].
#[must_use]
pub fn laminated_radius_mm(bending: &FacetBending, make: Make, gelcoat_mm: f64) -> f64 {
    let met = |kappa_per_mm: f64| {
        let bends = if kappa_per_mm > 0.0 { Bends::Outward } else { Bends::Inward };
        match met_as(make, bends) {
            _ if kappa_per_mm == 0.0 || kappa_per_mm.is_nan() => f64::INFINITY,
            MetAs::Inside => (1.0 / kappa_per_mm.abs() - gelcoat_mm).max(0.0),
            MetAs::Outside => 1.0 / kappa_per_mm.abs() + gelcoat_mm,
        }
    };
    met(bending.kappa1_per_mm).min(met(bending.kappa2_per_mm))
}

/// The largest radius at which some ply of the plan fails, met as said.
#[must_use]
pub fn limit_mm(plan: &PliesPlan, met_as: MetAs) -> f64 {
    let corner = CornerMet {
        radius_mm: 0.0,
        turn_deg: FLANGE_TURN_DEG,
        length_mm: 0.0,
        met_as,
        from: CornerFrom::Face,
        curved_side: None,
    };
    radius_for_all_mm(&corner, plan.gelcoat_mm(), &plies_at(plan, &corner, |_| true))
}

/// The largest radius up to which a strip of the plan runs along corners met as said; 0 without such a strip.
fn strip_limit_mm(plan: &PliesPlan, met_as: MetAs) -> f64 {
    let limits = plan.plies.iter().filter_map(|ply| match &ply.zone {
        Zone::Corners(strip) if strip.meets(met_as) => strip.tighter_than_mm,
        _ => None,
    });
    limits.fold(0.0, f64::max)
}

/// Of all corners of a panel those that some ply of the plan may fail at or that a strip is told to run along, met as the
/// build meets them.
#[must_use]
pub fn tight(found: &FoundCorners, plan: &PliesPlan) -> FoundCorners {
    let mut tight = FoundCorners::default();
    for met in [MetAs::Inside, MetAs::Outside] {
        let limit_mm = limit_mm(plan, met);
        let listed = list(found, &Listing { tighter_than_mm: limit_mm, least_turn_deg: LEAST_TURN_DEG });
        let strip_limit_mm = strip_limit_mm(plan, met);
        let listed = if strip_limit_mm > limit_mm {
            let wider = Listing { tighter_than_mm: strip_limit_mm, least_turn_deg: LEAST_TURN_DEG };
            FoundCorners { corners: list(found, &wider).corners, ..listed }
        } else {
            listed
        };
        tight.corners.extend(listed.corners.into_iter().filter(|corner| met_as(plan.make, corner.bends) == met));
        // The wider of the two limits holds for points, which bend both ways.
        if listed.points.len() > tight.points.len() {
            tight.points = listed.points;
        }
        tight.notes = listed.notes;
    }
    tight
}

/// The corners of a piece with the ply test and what to do, faces first, then flanges.
#[must_use]
pub fn met_corners(
    corners: Vec<Corner>,
    roots: &[Root],
    loops: &[EdgeLoop],
    plan: &PliesPlan,
    lies_here: &dyn Fn(usize, &Corner) -> bool,
    stock: &Stock,
) -> Vec<MetCorner> {
    let filler = stock.fillers.values().next();
    let advised = |corner: Corner, met: CornerMet| {
        let plies = plies_at(plan, &met, |ply| lies_here(ply, &corner));
        let advice = advise(&met, plan, &plies, stock, filler);
        let needed_mm = radius_for_all_mm(&met, plan.gelcoat_mm(), &plies);
        MetCorner { corner, met, needed_mm, advice }
    };
    let faces = corners.into_iter().map(|corner| {
        let met = CornerMet {
            radius_mm: corner.radius_mm,
            turn_deg: corner.turn_deg,
            length_mm: corner.length_mm,
            met_as: met_as(plan.make, corner.bends),
            from: CornerFrom::Face,
            curved_side: narrow_side(&corner, loops),
        };
        advised(corner, met)
    });
    let flanges = roots.iter().enumerate().map(|(number, root)| {
        let corner = corner_of_root(root, number);
        let met = CornerMet {
            radius_mm: 0.0,
            turn_deg: FLANGE_TURN_DEG,
            length_mm: corner.length_mm,
            met_as: met_as(plan.make, root.bends),
            from: CornerFrom::Flange,
            curved_side: curved_side(root.width_mm, root.turning_rad, root.turning_rad > 0.0),
        };
        advised(corner, met)
    });
    faces.chain(flanges).collect()
}

fn corner_of_root(root: &Root, number: usize) -> Corner {
    let station = |at_mm: &Point| Station { at_mm: *at_mm, radius_mm: 0.0, turn_deg: FLANGE_TURN_DEG };
    Corner {
        id: format!("f{}", number + 1),
        radius_mm: 0.0,
        radius_mean_mm: 0.0,
        turn_deg: FLANGE_TURN_DEG,
        length_mm: length_mm(&root.line_mm),
        bends: root.bends,
        sharp: true,
        path: root.line_mm.iter().map(station).collect(),
    }
}

fn curved_side(width_mm: f64, turning_rad: f64, opens: bool) -> Option<CurvedSide> {
    let line_turn_deg = deg_from_rad(turning_rad.abs());
    // Less than this over the whole line is a straight one, drawn by a CAD system.
    const STRAIGHT_DEG: f64 = 1.0;
    (line_turn_deg > STRAIGHT_DEG && width_mm > 0.0).then_some(CurvedSide { width_mm, line_turn_deg, opens })
}

/// The narrow face between a corner whose line curves and a border that runs along it.
fn narrow_side(corner: &Corner, loops: &[EdgeLoop]) -> Option<CurvedSide> {
    let line: Vec<Point> = corner.path.iter().map(|station| station.at_mm).collect();
    let nearest = |edge: &EdgeLoop| {
        let distances: Vec<f64> = line.iter().map(|point| edge.distance_mm(point)).collect();
        median(distances)
    };
    let (width_mm, edge) = loops
        .iter()
        .map(|edge| (nearest(edge), edge))
        .filter(|(width_mm, _)| *width_mm > 1.0 && *width_mm <= NARROW_SIDE_MM)
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    // A border that runs along the corner keeps its distance at both ends too.
    let strays = line.iter().any(|point| edge.distance_mm(point) > 2.0 * width_mm);
    if strays {
        return None;
    }
    let beside: Vec<Point> = line.iter().filter_map(|point| edge.nearest_point(point)).collect();
    curved_side(width_mm, line_turning_rad(&line), length_mm(&beside) > length_mm(&line))
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::INFINITY)
}

/// How far a line turns in all, in whatever direction, in radians.
fn line_turning_rad(line: &[Point]) -> f64 {
    let chords: Vec<Vector> = line
        .windows(2)
        .map(|pair| pair[1] - pair[0])
        .filter(|chord| chord.norm() > 0.0)
        .map(|c| c.normalize())
        .collect();
    let open: f64 = chords.windows(2).map(|pair| acos_clamped(pair[0].dot(&pair[1]))).sum();
    let closes = line.len() > 2 && line.first() == line.last();
    match (closes, chords.first(), chords.last()) {
        (true, Some(first), Some(last)) => open + acos_clamped(last.dot(first)),
        _ => open,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laminate::plies::plan_plies;

    /// A bend of this radius that a moulding meets as an inside corner.
    fn bend(radius_mm: f64) -> FoundCorners {
        let station = |x: f64| Station { at_mm: Point::new(x, 3.0, 5.0), radius_mm, turn_deg: 90.0 };
        let path = vec![station(0.0), station(100.0), station(200.0)];
        FoundCorners { corners: vec![Corner::from_stations(path, Bends::Outward, false)], ..FoundCorners::default() }
    }

    #[test]
    fn a_strip_runs_along_corners_wider_than_any_ply_fails_at_if_it_is_told_to() {
        let stock = Stock::starter().expect("the starter's stock");
        let n_tight = |strip: &str, radius_mm: f64| {
            let text = format!(
                "make = 'moulding'\nresin = 'polyester'\nlayers = [{{ material = 'mat 225' }}, {{ material = 'mat 225', zone = {{ corners = {{ width_mm = 100{strip} }} }} }}]"
            );
            let plan = plan_plies("test", &toml::from_str(&text).expect("a schedule"), &stock).expect("a plan");
            tight(&bend(radius_mm), &plan).corners.len()
        };
        assert_eq!(n_tight("", 20.0), 0, "no ply fails at it");
        assert_eq!(n_tight(", tighter_than_mm = 25", 20.0), 1);
        assert_eq!(n_tight(", tighter_than_mm = 25", 30.0), 0);
        assert_eq!(n_tight(", tighter_than_mm = 25, met_as = 'outside'", 20.0), 0, "it is an inside corner");
    }

    #[test]
    fn the_film_of_gelcoat_makes_inside_bends_tighter_and_outside_bends_wider() {
        let facet = |kappa1_per_mm, kappa2_per_mm| FacetBending { kappa1_per_mm, kappa2_per_mm, axis: Vector::x() };
        let near = |a: f64, b: f64| (a - b).abs() < 1e-12;
        assert!(near(laminated_radius_mm(&facet(0.1, 0.0), Make::Mould, 0.8), 10.8), "over the plug");
        assert!(near(laminated_radius_mm(&facet(0.1, 0.0), Make::Moulding, 0.6), 9.4), "into the mould");
        assert!(near(laminated_radius_mm(&facet(-0.1, 0.0), Make::Mould, 0.8), 9.2));
        // A saddle: the wider bend may end up the tighter one.
        assert!(near(laminated_radius_mm(&facet(0.1, -1.0 / 10.5), Make::Mould, 0.8), 9.7));
        assert_eq!(laminated_radius_mm(&facet(2.0, 0.0), Make::Moulding, 0.6), 0.0, "the film fills it");
        assert_eq!(laminated_radius_mm(&facet(0.0, 0.0), Make::Mould, 0.8), f64::INFINITY);
    }
}
