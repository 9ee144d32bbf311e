//! Leaves out what only a faulty mesh shows: edges and narrow bends in the middle of a fillet, where the export has cut
//! across it or folded over itself. The places are told instead.

use super::paths::{Path, Registry};
use super::sharp::Chain;
use crate::geometry::mesh::Point;
use crate::notes::Note;

/// Chains up to this long inside a fillet are faults, in mm; longer ones may be true edges that cross it.
const CHAIN_MM: f64 = 12.0;
/// Bends narrower than this are below what exports resolve, in mm ...
const NARROW_MM: f64 = 0.5;
/// ... and faults if shorter than this, in mm, unless they stand alone.
const SHORT_MM: f64 = 12.0;
/// Share of the way from a fillet's middle to its borders within which a point is inside it.
const INSIDE: f64 = 1.2;
/// Share of a path inside bends of the other sense that makes it a fault.
const MOSTLY: f64 = 0.6;
/// Places named in the note.
const NAMED: usize = 5;

/// Takes faults out of paths and chains. Returns a note on where they were, if any.
pub fn take_out(paths: &mut Vec<Path>, chains: &mut Vec<Chain>) -> Option<Note> {
    let mut registry = Registry::default();
    for (number, path) in paths.iter().enumerate() {
        registry.enter(number as u32, path);
    }
    let mut places: Vec<Point> = Vec::new();
    paths.retain(|path| {
        let fault = is_fault(&registry, path);
        if fault {
            places.push(path.spots[path.spots.len() / 2].middle.at);
        }
        !fault
    });
    chains.retain(|chain| {
        let length: f64 = chain.points.windows(2).map(|pair| (pair[1] - pair[0]).norm()).sum();
        let inside =
            |at: &Point| registry.around(*at).any(|sample| sample.width_mm > NARROW_MM && sample.holds(at, INSIDE));
        let fault = length < CHAIN_MM && chain.points.iter().all(inside);
        if fault {
            places.push(chain.points[chain.points.len() / 2]);
        }
        !fault
    });
    note(&places)
}

/// True if a path is a narrow scrap or runs inside a wider bend of the other sense.
fn is_fault(registry: &Registry, path: &Path) -> bool {
    let (length, width) = (path.length_mm(), path.median(|spot| spot.width_mm));
    if width < NARROW_MM && length < SHORT_MM {
        return true;
    }
    if length > 4.0 * CHAIN_MM {
        return false;
    }
    let shares = path.shares_mm();
    let all: f64 = shares.iter().sum();
    let crossed = |at: &Point| {
        registry
            .around(*at)
            .any(|sample| sample.sense != path.sense() && sample.width_mm > 1.5 * width && sample.holds(at, 0.9))
    };
    let inside: f64 =
        path.spots.iter().zip(&shares).filter(|(spot, _)| crossed(&spot.middle.at)).map(|(_, share)| share).sum();
    inside > MOSTLY * all
}

/// What is said of the places.
fn note(places: &[Point]) -> Option<Note> {
    if places.is_empty() {
        return None;
    }
    let mut named: Vec<&Point> = places.iter().collect();
    named.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)).then(a.z.total_cmp(&b.z)));
    let shown: Vec<String> = named
        .iter()
        .take(NAMED)
        .map(|at| format!("({:.1}, {:.1}, {:.1})", tenth(at.x), tenth(at.y), tenth(at.z)))
        .collect();
    let more = if places.len() > NAMED { format!(" and {} more", places.len() - NAMED) } else { String::new() };
    let listed = if places.len() > MANY {
        "with so many, other wrinkles of it are listed as corners: do not rely on the list"
    } else {
        "what it shows there is not listed as a corner"
    };
    Some(Note::warning(
        "folded-mesh",
        format!(
            "the mesh is folded or cuts across a fillet at {} place{}, near {}{more} mm; {listed}",
            places.len(),
            if places.len() == 1 { "" } else { "s" },
            shown.join(", ")
        ),
        "export again at a finer tolerance if these fillets matter",
    ))
}

/// A mesh of more bad spots is wrinkled all over, beyond what can be taken out of its corners.
const MANY: usize = 12;

/// To a tenth; adding 0 turns -0 into 0.
fn tenth(coordinate: f64) -> f64 {
    (10.0 * coordinate).round() / 10.0 + 0.0
}
