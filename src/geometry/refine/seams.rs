//! Meetings across cracks, carried along while the facets on either side are cut.

use rustc_hash::FxHashMap;

use super::super::mesh::FaceId;
use super::super::stitch::Meeting;
use super::super::topology::HalfEdge;
use super::SideOrigin;

/// Stretches shorter than this fraction of a side are rounding, not a meeting. Larger: real meetings of short facets with
/// long ones are lost; smaller: a cut through a shared point of a seam makes meetings of no length.
const LEAST_SPAN: f64 = 1e-9;

type Seam = (HalfEdge, Meeting);

/// Into order of side and place on it.
pub(super) fn sort(seams: &mut [Seam]) {
    seams.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.span[0].total_cmp(&b.1.span[0])).then(a.1.other.cmp(&b.1.other)));
}

/// The meetings of one side.
pub(super) fn of_side(seams: &[Seam], half: HalfEdge) -> &[Seam] {
    let start = seams.partition_point(|&(side, _)| side < half);
    let end = seams.partition_point(|&(side, _)| side <= half);
    &seams[start..end]
}

/// The meetings between facets of a subset, by their numbers in it.
pub(super) fn between(seams: &[Seam], faces: &[FaceId], n_faces: usize) -> Vec<Seam> {
    if seams.is_empty() {
        return Vec::new();
    }
    let mut renumbered = vec![FaceId::MAX; n_faces];
    for (number, &face) in faces.iter().enumerate() {
        renumbered[face as usize] = number as FaceId;
    }
    let moved = |half: HalfEdge| {
        let face = renumbered[half.face() as usize];
        (face != FaceId::MAX).then(|| HalfEdge::new(face, half.side() as u32))
    };
    let mut kept: Vec<Seam> = seams
        .iter()
        .filter_map(|&(half, meeting)| Some((moved(half)?, Meeting { other: moved(meeting.other)?, ..meeting })))
        .collect();
    sort(&mut kept);
    kept
}

/// A part of an old side: the new side, and which stretch of the old one it is.
type Part = (HalfEdge, [f64; 2]);

/// The meetings after facets were cut. `parents` is the old facet of each new one; `origins` lists the new facets that
/// are parts of a cut one, with what each of their sides was.
pub(super) fn carried(seams: &[Seam], parents: &[FaceId], origins: &[(FaceId, [Option<SideOrigin>; 3])]) -> Vec<Seam> {
    if seams.is_empty() {
        return Vec::new();
    }
    let parts = Parts::of(parents, origins);
    let mut finer = Vec::with_capacity(seams.len());
    for (half, meeting) in seams {
        for part in parts.on(*half) {
            for other in parts.on(meeting.other) {
                finer.extend(overlap(part, other, meeting));
            }
        }
    }
    sort(&mut finer);
    finer
}

/// Where the parts of old sides are now.
struct Parts {
    /// New number of each old facet that was not cut.
    moved: Vec<FaceId>,
    cut: FxHashMap<HalfEdge, Vec<Part>>,
}

impl Parts {
    fn of(parents: &[FaceId], origins: &[(FaceId, [Option<SideOrigin>; 3])]) -> Self {
        let n_old = parents.iter().max().map_or(0, |&last| last as usize + 1);
        let mut moved = vec![FaceId::MAX; n_old];
        for (number, &parent) in parents.iter().enumerate() {
            moved[parent as usize] = number as FaceId;
        }
        let mut cut: FxHashMap<HalfEdge, Vec<Part>> = FxHashMap::default();
        for (face, sides) in origins {
            for (side, origin) in (0..).zip(sides) {
                if let Some(origin) = origin {
                    cut.entry(origin.half).or_default().push((HalfEdge::new(*face, side), origin.span));
                }
            }
        }
        Self { moved, cut }
    }

    /// Parts of an old side: itself if its facet was not cut.
    fn on(&self, half: HalfEdge) -> Vec<Part> {
        self.cut
            .get(&half)
            .cloned()
            .unwrap_or_else(|| vec![(HalfEdge::new(self.moved[half.face() as usize], half.side() as u32), [0.0, 1.0])])
    }
}

/// What of an old meeting lies between a part of its side and a part of the other side.
fn overlap(part: Part, other: Part, old: &Meeting) -> Option<Seam> {
    // The two sides run against each other: the start of one span is the end of the other.
    let across = |t: f64| rescaled(t, old.span, [old.other_span[1], old.other_span[0]]);
    let back = |u: f64| rescaled(u, [old.other_span[1], old.other_span[0]], old.span);
    let start = old.span[0].max(part.1[0]).max(back(other.1[1].min(old.other_span[1])));
    let end = old.span[1].min(part.1[1]).min(back(other.1[0].max(old.other_span[0])));
    if end - start <= LEAST_SPAN {
        return None;
    }
    let span = [start, end].map(|t| rescaled(t, part.1, [0.0, 1.0]).clamp(0.0, 1.0));
    let other_span = [across(end), across(start)].map(|u| rescaled(u, other.1, [0.0, 1.0]).clamp(0.0, 1.0));
    Some((part.0, Meeting { other: other.0, span, other_span }))
}

/// `t` moved from one interval to another, linearly.
fn rescaled(t: f64, from: [f64; 2], to: [f64; 2]) -> f64 {
    let width = from[1] - from[0];
    if width == 0.0 { to[0] } else { to[0] + (t - from[0]) / width * (to[1] - to[0]) }
}
