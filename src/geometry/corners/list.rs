//! What is shown: corners tighter than a limit that turn far enough, and the parts of corners that do.

use super::figures::{change_along, quantile, shares_mm};
use super::{Corner, FoundCorners, Listing, Station};

/// Figures spread by less than this between their 10 and 90 % quantiles are one figure with noise on it: the corner is
/// listed whole or not at all.
const ONE_FIGURE: f64 = 0.06;
/// The radius changes along a corner if it differs by more than this share from length to length: less is noise of the
/// facets, and would chop a fillet near the limit into pieces.
const ONE_RADIUS: f64 = 0.15;
/// Parts shorter than this are not listed, in mm ...
const SHORTEST_MM: f64 = 2.0;
/// ... nor shorter than this share of the arc's width.
const SHORTEST_WIDTHS: f64 = 0.25;

/// The part of what was found that a listing asks for. Names stay.
#[must_use]
pub fn list(found: &FoundCorners, listing: &Listing) -> FoundCorners {
    let corners: Vec<Corner> = found.corners.iter().flat_map(|corner| parts_of(corner, listing)).collect();
    let listed =
        |id: &String| corners.iter().any(|corner| corner.id == *id || corner.id.starts_with(&format!("{id}.")));
    let points = found
        .points
        .iter()
        .filter(|point| point.radius_mm < listing.tighter_than_mm)
        .map(|point| {
            let mut point = point.clone();
            point.corners.retain(listed);
            point
        })
        .filter(|point| point.kind != super::PointKind::Meeting || point.corners.len() >= 2)
        .collect();
    FoundCorners { corners, points, notes: found.notes.clone() }
}

/// The parts of one corner that a listing asks for.
fn parts_of(corner: &Corner, listing: &Listing) -> Vec<Corner> {
    let radius = judged(corner, |station| station.radius_mm, listing.tighter_than_mm, true, corner.radius_mean_mm);
    let turn = judged(corner, |station| station.turn_deg, listing.least_turn_deg, false, corner.turn_deg);
    let whole = match (radius, turn) {
        (Verdict::All, Verdict::All) => true,
        (Verdict::None, _) | (_, Verdict::None) => return Vec::new(),
        _ => false,
    };
    if whole {
        return vec![corner.clone()];
    }
    let margin = |station: &Station| {
        let by_radius =
            if radius == Verdict::All { f64::INFINITY } else { listing.tighter_than_mm - station.radius_mm };
        let by_turn = if turn == Verdict::All { f64::INFINITY } else { station.turn_deg - listing.least_turn_deg };
        (by_radius, by_turn)
    };
    let runs = clipped(&corner.path, &margin);
    let long_enough = |part: &Corner| {
        let width = part.radius_mean_mm * part.turn_deg.to_radians();
        part.length_mm >= SHORTEST_MM.max(SHORTEST_WIDTHS * width)
    };
    let parts = runs.into_iter().map(|run| Corner::from_stations(run, corner.bends, corner.sharp));
    let mut parts: Vec<Corner> = parts.filter(long_enough).collect();
    let many = parts.len() > 1;
    for (number, part) in parts.iter_mut().enumerate() {
        part.id = if many { format!("{}.{}", corner.id, number + 1) } else { corner.id.clone() };
    }
    parts
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Verdict {
    All,
    Part,
    None,
}

/// Whether a figure keeps to a limit all along a corner.
fn judged(corner: &Corner, figure: impl Fn(&Station) -> f64, limit: f64, below: bool, typical: f64) -> Verdict {
    let keeps = |value: f64| if below { value < limit } else { value >= limit };
    let values: Vec<f64> = corner.path.iter().map(&figure).collect();
    if values.iter().all(|&value| keeps(value)) {
        return Verdict::All;
    }
    let shares = shares_mm(&corner.path);
    let at = |share: f64| quantile(values.iter().copied().zip(shares.iter().copied()).collect(), share);
    let (low, high) = (at(0.1), at(0.9));
    let noise = if below { ONE_RADIUS } else { ONE_FIGURE };
    if high - low <= ONE_FIGURE * typical || change_along(&values, &shares) <= noise * typical {
        return if keeps(typical) { Verdict::All } else { Verdict::None };
    }
    Verdict::Part
}

/// Runs of a path on which both margins are at least zero, cut where they pass it.
fn clipped(path: &[Station], margin: &dyn Fn(&Station) -> (f64, f64)) -> Vec<Vec<Station>> {
    let inside = |station: &Station| {
        let (a, b) = margin(station);
        a > 0.0 && b >= 0.0
    };
    let mut runs: Vec<Vec<Station>> = Vec::new();
    let mut run: Vec<Station> = Vec::new();
    for (k, station) in path.iter().enumerate() {
        let is_in = inside(station);
        if k > 0 && is_in != inside(&path[k - 1]) {
            let border = border(&path[k - 1], station, margin);
            run.push(border);
            if !is_in {
                runs.push(std::mem::take(&mut run));
            }
        }
        if is_in {
            run.push(*station);
        }
    }
    if run.len() > 1 {
        runs.push(run);
    }
    // A closed path that was cut elsewhere goes on through its first point.
    let is_closed = path.len() > 2 && path[0].at_mm == path[path.len() - 1].at_mm;
    if is_closed && runs.len() > 1 && inside(&path[0]) {
        let first = runs.remove(0);
        if let Some(last) = runs.last_mut() {
            last.extend(first.into_iter().skip(1));
        }
    }
    runs
}

/// Where the lesser margin passes zero between two stations.
fn border(from: &Station, to: &Station, margin: &dyn Fn(&Station) -> (f64, f64)) -> Station {
    let ((a, b), (c, d)) = (margin(from), margin(to));
    let crossing = |start: f64, end: f64| {
        (start.is_finite() && end.is_finite() && (start >= 0.0) != (end >= 0.0)).then(|| start / (start - end))
    };
    let leaving = a > 0.0 && b >= 0.0;
    let crossings = [crossing(a, c), crossing(b, d)].into_iter().flatten();
    let share = if leaving { crossings.fold(1.0, f64::min) } else { crossings.fold(0.0, f64::max) };
    let mix = |x: f64, y: f64| x + (y - x) * share;
    Station {
        at_mm: from.at_mm + (to.at_mm - from.at_mm) * share,
        radius_mm: mix(from.radius_mm, to.radius_mm),
        turn_deg: mix(from.turn_deg, to.turn_deg),
    }
}
