//! Cuts paths where one fillet runs through a corner patch into another.

use super::paths::{End, Path};
use super::section::Section;
use crate::geometry::mesh::Vector;
use crate::maths::ln;

/// Change of radius and of axis over one width that together make a patch. One alone does not: variable fillets on a
/// straight line and closed loops of one radius stay whole.
const RADIUS_CHANGE: f64 = 0.10;
const AXIS_COS: f64 = 0.94;
/// A run beside a patch keeps what is within this of its median radius.
const KEEP: f64 = 0.03;

/// The paths with patches taken out.
pub fn cut_out(paths: Vec<Path>) -> Vec<Path> {
    paths.into_iter().flat_map(without_patches).collect()
}

fn without_patches(path: Path) -> Vec<Path> {
    let along = Along::of(&path);
    let in_patch: Vec<bool> = (0..path.spots.len()).map(|k| along.is_patch(k)).collect();
    if !in_patch.contains(&true) {
        return vec![path];
    }
    // A closed path is opened inside its first patch.
    let (spots, in_patch, ends) = opened(path, in_patch);
    let mut runs = Vec::new();
    let mut from = 0;
    while from < spots.len() {
        if in_patch[from] {
            from += 1;
            continue;
        }
        let to = (from..spots.len()).find(|&k| in_patch[k]).unwrap_or(spots.len());
        let (first, last) = adjusted(&spots, from, to);
        if last > first + 1 {
            let end_at = |k: usize, own: usize, end: usize| if k == own { ends[end] } else { End::Fades };
            runs.push(Path {
                spots: spots[first..last].to_vec(),
                closed: false,
                ends: [end_at(first, 0, 0), end_at(last, spots.len(), 1)],
            });
        }
        from = to.max(last).max(from + 1);
    }
    runs
}

/// Spots of a path from a patch on if it is closed, as they are if not.
fn opened(path: Path, in_patch: Vec<bool>) -> (Vec<Section>, Vec<bool>, [End; 2]) {
    let Path { mut spots, closed, ends } = path;
    let mut in_patch = in_patch;
    if let (true, Some(first)) = (closed, in_patch.iter().position(|&patch| patch)) {
        spots.rotate_left(first);
        in_patch.rotate_left(first);
    }
    (spots, in_patch, ends)
}

/// A run extended into the patches beside it while its radius holds, and trimmed where it does not.
fn adjusted(spots: &[Section], from: usize, to: usize) -> (usize, usize) {
    let mut radii: Vec<f64> = spots[from..to].iter().map(|spot| spot.radius_mm).collect();
    radii.sort_by(f64::total_cmp);
    let median = radii[radii.len() / 2];
    let holds = |k: usize| ln(spots[k].radius_mm / median).abs() < KEEP;
    let (mut first, mut last) = (from, to);
    while first < last && !holds(first) {
        first += 1;
    }
    while last > first && !holds(last - 1) {
        last -= 1;
    }
    if first < last {
        while first > 0 && first <= from && holds(first - 1) {
            first -= 1;
        }
        while last < spots.len() && last >= to && holds(last) {
            last += 1;
        }
    }
    (first, last)
}

/// Figures at any length along a path.
struct Along<'p> {
    path: &'p Path,
    walked: Vec<f64>,
}

impl<'p> Along<'p> {
    fn of(path: &'p Path) -> Self {
        let mut walked = vec![0.0];
        for pair in path.spots.windows(2) {
            walked.push(walked[walked.len() - 1] + (pair[1].middle.at - pair[0].middle.at).norm());
        }
        Self { path, walked }
    }

    /// Radius and axis at a length.
    fn at(&self, length_mm: f64) -> (f64, Vector) {
        let spots = &self.path.spots;
        let after = self.walked.partition_point(|&walked| walked < length_mm);
        if after == 0 || after == spots.len() {
            let spot = &spots[after.min(spots.len() - 1)];
            return (spot.radius_mm, spot.axis);
        }
        let share = (length_mm - self.walked[after - 1]) / (self.walked[after] - self.walked[after - 1]);
        let (near, far) = (&spots[after - 1], &spots[after]);
        let axis = near.axis + (far.axis - near.axis) * share;
        (near.radius_mm + (far.radius_mm - near.radius_mm) * share, axis.normalize())
    }

    fn is_patch(&self, spot: usize) -> bool {
        let width = self.path.spots[spot].width_mm;
        let all = self.walked[self.walked.len() - 1];
        // What ends at an edge runs into no other fillet there.
        let near_edge = [self.walked[spot], all - self.walked[spot]]
            .iter()
            .zip(self.path.ends)
            .any(|(&away, end)| !self.path.closed && end == End::Edge && away < width);
        if near_edge {
            return false;
        }
        let half = 0.5 * width;
        let ((_, near_axis), (_, far_axis)) = (self.at(self.walked[spot] - half), self.at(self.walked[spot] + half));
        let (before, after) = (self.typical_radius(spot, -width), self.typical_radius(spot, width));
        ln(before / after).abs() > RADIUS_CHANGE && near_axis.dot(&far_axis) < AXIS_COS
    }

    /// Radius on one side of a spot, over a length: the middle of several, since on meshes of equal sides single sections are
    /// off by a tenth.
    fn typical_radius(&self, spot: usize, length_mm: f64) -> f64 {
        let mut radii = [0.25, 0.4, 0.55, 0.7, 0.85].map(|share| self.at(self.walked[spot] + share * length_mm).0);
        radii.sort_by(f64::total_cmp);
        radii[2]
    }
}
