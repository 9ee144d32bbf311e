//! From where a panel is pictured: two opposite three-quarter views, and more where a corner would else not be seen.

use crate::geometry::mesh::Vector;
use crate::report::drawing::depth::Depth;
use crate::report::drawing::seen::{Run, runs};
use crate::report::drawing::subject::{CornerLine, Piece};
use crate::report::drawing::view::{Area, View};

/// Names and directions of the views. Three-quarter views turn one side more to the eye than the other, so that edges do
/// not fall on one another as they do along the diagonal.
const VIEWS: [(&str, [f64; 3]); 14] = [
    ("from the front left above", [-0.55, -0.75, 0.5]),
    ("from the front right above", [0.55, -0.75, 0.5]),
    ("from the back left above", [-0.55, 0.75, 0.5]),
    ("from the back right above", [0.55, 0.75, 0.5]),
    ("from the front left below", [-0.55, -0.75, -0.5]),
    ("from the front right below", [0.55, -0.75, -0.5]),
    ("from the back left below", [-0.55, 0.75, -0.5]),
    ("from the back right below", [0.55, 0.75, -0.5]),
    ("from the front", [0.0, -1.0, 0.0]),
    ("from the back", [0.0, 1.0, 0.0]),
    ("from the left", [-1.0, 0.0, 0.0]),
    ("from the right", [1.0, 0.0, 0.0]),
    ("from above", [0.0, 0.0, 1.0]),
    ("from below", [0.0, 0.0, -1.0]),
];
/// Three-quarter views from above, for the first picture.
const N_FIRST: usize = 4;
/// Pictures of a panel at most.
pub const MOST_VIEWS: usize = 4;
/// Facets looked at to choose the first view.
const N_LOOKED_AT: usize = 100_000;
/// Squares of the grid on which further views are tried.
const TRIAL_SQUARES: f64 = 400.0;
/// A corner is seen if so much of its length as the view shows it is not covered.
const SEEN_SHARE: f64 = 0.2;

fn view(number: usize) -> View {
    let (name, [x, y, z]) = VIEWS[number];
    View::from(name, Vector::new(x, y, z))
}

/// The view from above that shows most of the outer side, and the one opposite to it.
#[must_use]
pub fn opposite_pair(pieces: &[Piece<'_>]) -> [View; 2] {
    let shown = |number: usize| -> f64 {
        let toward = view(number).toward();
        pieces.iter().map(|piece| piece.shown_mm2(&toward, N_LOOKED_AT)).sum()
    };
    // The first of equals, so that rounding does not choose.
    let mut best = (0, shown(0));
    for number in 1..N_FIRST {
        let area = shown(number);
        if area > best.1 * (1.0 + 1e-6) {
            best = (number, area);
        }
    }
    let toward = view(best.0).toward();
    let opposite = (0..VIEWS.len()).find(|&number| (view(number).toward() + toward).norm() < 1e-9).unwrap_or(7);
    [view(best.0), view(opposite)]
}

/// Views that show corners which no view so far does, the one that shows most of them first.
#[must_use]
pub fn further(pieces: &[Piece<'_>], unseen: &[&CornerLine], n_most: usize) -> Vec<View> {
    let mut chosen = Vec::new();
    let mut unseen: Vec<&CornerLine> = unseen.to_vec();
    let mut trials: Vec<(usize, Depth)> = Vec::new();
    if !unseen.is_empty() && n_most > 0 {
        trials = (0..VIEWS.len()).map(|number| (number, trial(pieces, &view(number)))).collect();
    }
    while chosen.len() < n_most && !unseen.is_empty() {
        let shows = |(number, depth): &&(usize, Depth)| {
            unseen.iter().filter(|corner| is_seen(&runs(&corner.path_mm, &view(*number), depth))).count()
        };
        // The first of equals.
        let Some(best) = trials.iter().rev().max_by_key(shows).filter(|best| shows(best) > 0) else { break };
        unseen.retain(|corner| !is_seen(&runs(&corner.path_mm, &view(best.0), &best.1)));
        chosen.push(view(best.0));
    }
    chosen
}

/// Whether enough of a corner is seen to point at.
#[must_use]
pub fn is_seen(runs: &[Run]) -> bool {
    let all: f64 = runs.iter().map(Run::length).sum();
    let seen: f64 = runs.iter().filter(|run| run.seen).map(Run::length).sum();
    seen > 0.0 && seen >= SEEN_SHARE * all
}

fn trial(pieces: &[Piece<'_>], view: &View) -> Depth {
    let whole = Area::round(pieces.iter().flat_map(Piece::face_points).map(|point| view.seen(point)));
    let side = whole.size()[0].max(whole.size()[1]).max(1e-9);
    let mut depth = Depth::over(&whole, TRIAL_SQUARES / side);
    for mesh in pieces.iter().map(|piece| piece.shape.mesh) {
        mesh.face_ids().for_each(|face| depth.cover(mesh.corners(face).map(|corner| view.seen(&corner))));
    }
    depth
}
