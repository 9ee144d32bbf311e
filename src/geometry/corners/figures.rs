//! From traced paths and chained creases to corners with their figures.

use super::paths::Path;
use super::sharp::Chain;
use super::{Bends, Corner, Station};
use crate::geometry::mesh::Point;

/// The smallest radius is the one that this share of the length stays under: a single odd section must not decide it.
const SMALLEST_SHARE: f64 = 0.01;
/// The same on a fillet of one radius, whose sections scatter most where it runs into something else.
const PLAIN_SMALLEST_SHARE: f64 = 0.05;
/// A fillet is of one radius if its lengths differ by less than this share of the mean ...
const PLAIN_CHANGE: f64 = 0.08;
/// ... and if this share holds all between its 10 and 90 % quantiles; beyond, the mesh says too little.
const PLAIN_SPREAD: f64 = 0.25;
/// Radii that scatter by less than this share need no more than their mean.
const CLEAN_SPREAD: f64 = 0.02;
/// Corners of facets lie on the surface and the facets inside of it, so that a section across a bad facet reads too tight and
/// hardly ever too wide. The radius of a plain fillet that scatters is this quantile: the mean is 3 to 5 % low on curved
/// fillets at ordinary tolerances; the largest would be that of a single odd section.
const PLAIN_QUANTILE: f64 = 0.7;
/// Lengths that are compared to see whether a figure changes along a corner.
const LENGTHS: usize = 5;

/// Shorter paths are left out, in mm ...
const SHORTEST_MM: f64 = 2.0;
/// ... and those shorter than this share of the arc's width.
const SHORTEST_WIDTHS: f64 = 0.25;

/// Every corner, named by place.
pub fn all(fillets: &[Path], chains: &[Chain], detection_radius_mm: f64) -> Vec<Corner> {
    let long_enough =
        |path: &&Path| path.length_mm() >= SHORTEST_MM.max(SHORTEST_WIDTHS * path.median(|spot| spot.width_mm));
    let fillets = fillets.iter().filter(long_enough).map(of_path);
    let fillets = fillets.filter(|corner| corner.radius_mm <= detection_radius_mm);
    let mut corners: Vec<Corner> = fillets.chain(chains.iter().map(of_chain)).collect();
    let key = |corner: &Corner| {
        let middle = corner.midpoint_mm();
        [middle.x, middle.y, middle.z, corner.radius_mm]
    };
    corners.sort_by(|a, b| key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal));
    for (number, corner) in corners.iter_mut().enumerate() {
        corner.id = format!("c{}", number + 1);
    }
    corners
}

impl Corner {
    /// A corner with figures from its stations; without a name yet.
    #[must_use]
    pub fn from_stations(path: Vec<Station>, bends: Bends, sharp: bool) -> Self {
        let shares = shares_mm(&path);
        let length_mm: f64 = shares.iter().sum();
        let radii: Vec<(f64, f64)> = path.iter().map(|station| station.radius_mm).zip(shares.iter().copied()).collect();
        let turns: Vec<(f64, f64)> = path.iter().map(|station| station.turn_deg).zip(shares.iter().copied()).collect();
        let radius_mean_mm = if length_mm > 0.0 {
            radii.iter().map(|(radius, share)| radius * share).sum::<f64>() / length_mm
        } else {
            0.0
        };
        let turn_deg = quantile(turns, 0.5);
        let spread = quantile(radii.clone(), 0.9) - quantile(radii.clone(), 0.1);
        let values: Vec<f64> = path.iter().map(|station| station.radius_mm).collect();
        let is_plain =
            spread < PLAIN_SPREAD * radius_mean_mm && change_along(&values, &shares) < PLAIN_CHANGE * radius_mean_mm;
        let (radius_mm, radius_mean_mm) = if !is_plain {
            (quantile(radii, SMALLEST_SHARE), radius_mean_mm)
        } else if spread < CLEAN_SPREAD * radius_mean_mm {
            (quantile(radii, PLAIN_SMALLEST_SHARE), radius_mean_mm)
        } else {
            let evened = evened(&path, radius_mean_mm * turn_deg.to_radians());
            (quantile(evened, PLAIN_SMALLEST_SHARE), quantile(radii, PLAIN_QUANTILE))
        };
        let radius_mm = radius_mm.min(radius_mean_mm);
        Self { id: String::new(), radius_mm, radius_mean_mm, turn_deg, length_mm, bends, sharp, path }
    }

    /// True if the path comes back to its first point.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        self.path.len() > 2 && self.path[0].at_mm == self.path[self.path.len() - 1].at_mm
    }
}

/// Length that each station stands for: half the way to both neighbours.
#[must_use]
pub fn shares_mm(path: &[Station]) -> Vec<f64> {
    let mut shares = vec![0.0; path.len()];
    for (k, pair) in path.windows(2).enumerate() {
        let half = 0.5 * (pair[1].at_mm - pair[0].at_mm).norm();
        shares[k] += half;
        shares[k + 1] += half;
    }
    shares
}

/// Value that a share of the weight stays under.
pub fn quantile(mut values: Vec<(f64, f64)>, share: f64) -> f64 {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let all: f64 = values.iter().map(|value| value.1).sum();
    let mut below = 0.0;
    for &(value, weight) in &values {
        below += weight;
        if below >= share * all {
            return value;
        }
    }
    values.last().map_or(0.0, |value| value.0)
}

/// The radius at each station, as the middle of those within a distance to both sides (less near an end, so that the window
/// stays even), with the length it stands for: single odd sections do not show.
fn evened(path: &[Station], within_mm: f64) -> Vec<(f64, f64)> {
    let shares = shares_mm(path);
    let mut walked = vec![0.0];
    for pair in path.windows(2) {
        walked.push(walked[walked.len() - 1] + (pair[1].at_mm - pair[0].at_mm).norm());
    }
    let all = walked[walked.len() - 1];
    (0..path.len())
        .map(|k| {
            let within_mm = within_mm.min(walked[k]).min(all - walked[k]);
            let first = walked.partition_point(|&at| at < walked[k] - within_mm).min(k);
            let end = walked.partition_point(|&at| at <= walked[k] + within_mm).max(k + 1);
            let near = (first..end).map(|near| (path[near].radius_mm, shares[near])).collect();
            (quantile(near, 0.5), shares[k])
        })
        .collect()
}

/// How far the medians of equal lengths of a path spread.
pub fn change_along(values: &[f64], shares: &[f64]) -> f64 {
    let all: f64 = shares.iter().sum();
    let mut lengths: Vec<Vec<(f64, f64)>> = vec![Vec::new(); LENGTHS];
    let mut walked = 0.0;
    for (&value, &share) in values.iter().zip(shares) {
        let number = ((walked + 0.5 * share) / all * LENGTHS as f64) as usize;
        lengths[number.min(LENGTHS - 1)].push((value, share));
        walked += share;
    }
    let medians = lengths.into_iter().filter(|length| !length.is_empty()).map(|length| quantile(length, 0.5));
    let (least, most) =
        medians.fold((f64::INFINITY, 0.0f64), |(least, most), value| (least.min(value), most.max(value)));
    most - least
}

fn bends(sense: f64) -> Bends {
    if sense > 0.0 { Bends::Outward } else { Bends::Inward }
}

/// A fillet.
pub fn of_path(path: &Path) -> Corner {
    let mut stations: Vec<Station> = path
        .spots
        .iter()
        .map(|spot| Station { at_mm: spot.middle.at, radius_mm: spot.radius_mm, turn_deg: spot.turn.to_degrees() })
        .collect();
    if path.closed {
        stations.push(stations[0]);
    }
    Corner::from_stations(ordered(stations), bends(path.sense()), false)
}

/// A sharp corner.
pub fn of_chain(chain: &Chain) -> Corner {
    let n_edges = chain.turns.len();
    let turn_at = |k: usize| {
        let after = if k < n_edges { chain.turns[k] } else { chain.turns[if chain.closed { 0 } else { n_edges - 1 }] };
        let before = if k > 0 { chain.turns[k - 1] } else { chain.turns[if chain.closed { n_edges - 1 } else { 0 }] };
        0.5 * (before + after)
    };
    let stations = chain.points.iter().enumerate().map(|(k, &at_mm)| Station {
        at_mm,
        radius_mm: 0.0,
        turn_deg: turn_at(k).to_degrees(),
    });
    let mut stations: Vec<Station> = stations.collect();
    if chain.closed
        && let [first, .., last] = stations.as_mut_slice()
    {
        last.at_mm = first.at_mm;
    }
    Corner::from_stations(ordered(stations), bends(chain.sense), true)
}

/// The path from the end that comes first in space, so that the order of the facets does not decide; a closed one from its
/// first point in space.
fn ordered(mut path: Vec<Station>) -> Vec<Station> {
    let key = |at: &Point| [at.x, at.y, at.z];
    let n = path.len();
    if n < 2 {
        return path;
    }
    if path[0].at_mm != path[n - 1].at_mm {
        if key(&path[n - 1].at_mm) < key(&path[0].at_mm) {
            path.reverse();
        }
        return path;
    }
    path.pop();
    let first = (0..path.len()).min_by(|&a, &b| {
        let (a, b) = (key(&path[a].at_mm), key(&path[b].at_mm));
        a.partial_cmp(&b).unwrap_or(std::cmp::Ordering::Equal)
    });
    path.rotate_left(first.unwrap_or(0));
    if path.len() > 2 && key(&path[path.len() - 1].at_mm) < key(&path[1].at_mm) {
        path[1..].reverse();
    }
    path.push(path[0]);
    path
}
