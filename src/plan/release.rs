//! How a piece comes off, where to start it, and who can lift it.

use std::sync::Arc;

use serde::Serialize;

use super::blocking::contradiction;
use super::types::{Build, EdgeLine, PiecePlan, SplitLine};
use crate::geometry::axes::square_to;
use crate::geometry::mesh::{FaceId, Mesh, Point, Vector};
use crate::geometry::normals::CornerNormals;
use crate::geometry::pull::{
    Face, NO_DRAFT_DEG, Patch, Pull, PullOptions, SplitAdvice, SplitAsked, below, not_certain, outlines, pull, tenth,
};
use crate::geometry::rectangle::least_rectangle;
use crate::geometry::split::Piece;
use crate::geometry::stitch::Surface;
use crate::laminate::release::{Answer, Hands, Peel, ShapeFacts, answer, hands, own_sag_mm, remedy};
use crate::laminate::schedule::Make;
use crate::laminate::stock::Practice;
use crate::maths::cos;
use crate::notes::Note;
use crate::units::{m2_from_mm2, mm2_from_m2, rad_from_deg};

/// Walls that are told one by one.
const MOST_WALLS: usize = 8;
/// Walls of less than this share of the largest are crumbs at its corners, and are not told by themselves.
const TOLD_SHARE: f64 = 0.01;
/// Wedge starts along one line at most.
const MOST_WEDGES: f64 = 1000.0;
/// What faces the pull within this is level: suction holds it.
const LEVEL_DEG: f64 = 30.0;
/// Places looked at on the level area of one port, and at most so many along a side of a facet.
const PORT_PLACES: f64 = 16.0;
const MOST_PLACES: f64 = 64.0;
/// A flat spans facets whose normals differ by less than this.
const FLAT_DEG: f64 = 6.0;
/// An undercut that reaches this share of the piece's extent both ways across the pull runs all round.
const ALL_ROUND: f64 = 0.8;
/// What looks along an undercut within 45 degrees stands across its wall; within this share of its width from an end it is beside
/// that end; and with this share of its area it holds it. Common practice, no source.
const ACROSS_COSINE: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// See [`ACROSS_COSINE`].
const BESIDE_END: f64 = 0.1;
/// See [`ACROSS_COSINE`].
const HOLDING_SHARE: f64 = 0.1;

/// How one piece of a build comes off and is handled.
#[derive(Debug, Clone)]
pub struct Release {
    /// What the shape says.
    pub pull: Pull,
    /// How it comes off in one where the `pull` of the job locks.
    pub other_pull: Option<Pull>,
    /// What that means for this build.
    pub answer: Answer,
    /// What peeling asks of it, where something holds.
    pub peel: Option<Peel>,
    /// Pieces that its mould parts into, where only that lets a moulding out; then the answer is that of these pieces.
    pub mould_parts: Vec<String>,
    /// Draft under which a wall stands along the pull, in degrees.
    pub near_zero_draft_deg: f64,
    /// Area that stands along the pull, in m2.
    pub near_zero_m2: f64,
    /// Walls with less than the draft wanted that do not lock, largest first, without crumbs.
    pub tight_walls: Vec<Patch>,
    /// Where wedges start it, along its edges.
    pub wedges_mm: Vec<Point>,
    /// Where air or water is let in, the crown first.
    pub ports_mm: Vec<Point>,
    /// Who lifts it.
    pub hands: Hands,
    /// What they lift, with what stays on it beside its plies, in kg.
    pub lifted_kg: f64,
    /// Its largest flat.
    pub flat: Option<Flat>,
    /// Where a mould that locks, or has less draft than is wanted, could be split.
    pub split: Option<SplitAdvice>,
    /// The laid side that it is a piece of, for pictures.
    pub whole: Arc<Whole>,
    /// Borders of what locks, for pictures, in mm.
    pub undercut_lines_mm: Vec<Vec<Point>>,
}

/// The largest flat of a piece.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Flat {
    /// Area.
    pub area_m2: f64,
    /// The lesser of its extents.
    pub span_mm: f64,
    /// The greater of them.
    pub long_mm: f64,
    /// How far a plate of these extents, held at its edges, sags under its own mass.
    pub own_sag_mm: f64,
    /// It needs stiffeners.
    pub stiffen: bool,
}

/// What a release is reckoned from.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// What is built.
    pub make: Make,
    /// Width of a mould's flanges along a split, in mm.
    pub flange_mm: f64,
    /// Thickness of plies and gelcoat, in mm.
    pub thickness_mm: f64,
    /// Mass of a square metre of it, in kg.
    pub mass_kg_m2: f64,
    /// Mass of the piece, in kg.
    pub mass_kg: f64,
    /// The shop's habits.
    pub practice: &'a Practice,
}

/// The whole laid side of a panel with the normals that count for its release.
#[derive(Debug)]
pub struct Whole {
    /// Its facets.
    pub mesh: Mesh,
    /// Their normals.
    pub normals: CornerNormals,
}

impl Whole {
    /// Keeps what pictures need of a face.
    #[must_use]
    pub fn of(face: &Face<'_>) -> Arc<Self> {
        Arc::new(Self { mesh: face.mesh().clone(), normals: face.corner_normals.clone() })
    }
}

/// A piece's face with its pull, searched once: mould and moulding of one split come off the same face.
#[derive(Debug)]
pub struct Drawn<'mesh> {
    face: Face<'mesh>,
    whole: Arc<Whole>,
    pull: Pull,
}

impl<'mesh> Drawn<'mesh> {
    /// Finds how a piece of a whole laid side is drawn off, along a direction if one is given; `surface` is the piece's own.
    /// Nothing for a piece without area.
    #[must_use]
    pub fn of(
        surface: &'mesh Surface<'mesh>,
        (whole, kept): (&Face<'_>, &Arc<Whole>),
        piece: &Piece,
        along: Option<Vector>,
        practice: &Practice,
    ) -> Option<Self> {
        let face = Face::part(surface, whole, piece.source_faces());
        let options = PullOptions { wanted_draft_deg: practice.draft_deg.value, along };
        let pull = pull(&face, &options)?;
        Some(Self { face, whole: Arc::clone(kept), pull })
    }
}

/// How a piece comes off. Nothing for a piece without extent.
#[must_use]
pub fn release(drawn: &Drawn<'_>, splits: &[SplitLine], edges: &[EdgeLine], asked: &Asked<'_>) -> Option<Release> {
    let Drawn { face, whole, pull } = drawn;
    let mesh = face.mesh();
    let near_zero = below(face, &pull.direction, asked.practice.near_zero_draft_deg.value);
    let locking: f64 = pull.undercuts.iter().map(|patch| patch.area_m2).sum();
    let near_zero_m2 = (near_zero.iter().map(|patch| patch.area_m2).sum::<f64>() - locking).max(0.0);
    let mut tight_walls = below(face, &pull.direction, asked.practice.draft_deg.value - 0.05);
    let largest_m2 = tight_walls.first().map_or(0.0, |wall| wall.area_m2);
    tight_walls.retain(|wall| wall.area_m2 >= TOLD_SHARE * largest_m2);
    tight_walls.truncate(MOST_WALLS);
    let facts = facts(face, pull, near_zero_m2);
    let (answer, peel) = answer(&facts, asked.thickness_mm, asked.practice);
    let size = mesh.bounds()?.size_mm();
    let split = SplitAsked { wanted_draft_deg: pull.wanted_draft_deg, flange_mm: asked.flange_mm };
    // What is thin enough to be peeled needs no split, nor what only rubs over a shallow undercut.
    let other_pull = other_pull(face, pull);
    let by_split = asked.make == Make::Mould
        && other_pull.is_none()
        && match answer {
            Answer::Locks => true,
            Answer::Peels => false,
            // A piece of a split mould is not split again for a gentler draft.
            Answer::Comes | Answer::Tight => pull.releases && splits.is_empty() && split.is_for(pull),
        };
    Some(Release {
        split: by_split.then(|| split.advice(face, pull)),
        whole: Arc::clone(whole),
        undercut_lines_mm: outlines(mesh, &pull.undercuts),
        answer,
        peel,
        mould_parts: Vec::new(),
        near_zero_draft_deg: asked.practice.near_zero_draft_deg.value,
        near_zero_m2,
        tight_walls,
        wedges_mm: wedges(splits, edges, asked.practice.wedge_spacing_mm.value),
        ports_mm: ports(face, &pull.direction, asked.practice.port_area_m2.value),
        hands: hands(asked.mass_kg, size.max(), asked.practice),
        lifted_kg: asked.mass_kg,
        flat: flat(face, asked),
        other_pull,
        pull: pull.clone(),
    })
}

fn facts(face: &Face<'_>, pull: &Pull, near_zero_m2: f64) -> ShapeFacts {
    let mesh = face.mesh();
    let direction = pull.direction;
    let along = |point: &Point| point.coords.dot(&direction);
    let crown = mesh.points_mm.iter().map(along).fold(f64::NEG_INFINITY, f64::max);
    let worst = pull.undercuts.iter().filter(|patch| !patch.noise).max_by(|a, b| a.depth_mm.total_cmp(&b.depth_mm));
    // What reaches under itself by its whole depth does so at its far end.
    let lowest = |patch: &Patch| {
        let corners = patch.faces.iter().flat_map(|&facet| mesh.corners(facet));
        corners.map(|corner| along(&corner)).fold(along(&patch.at_mm), f64::min)
    };
    let size = mesh.bounds().map_or_else(Vector::zeros, |bounds| bounds.size_mm());
    // Extents across the pull, by the axes that are not the pull's own.
    let own = direction.abs().imax();
    let across =
        |extent: Vector| (0..3).filter(|&axis| axis != own).map(move |axis| extent[axis]).collect::<Vec<f64>>();
    let extent = worst.map_or_else(Vector::zeros, |patch| patch.bounds.size_mm());
    ShapeFacts {
        releases: pull.releases,
        least_draft_deg: pull.least_draft_deg,
        under_wanted_m2: pull.undercut.under_wanted_m2,
        near_zero_m2,
        depth_mm: worst.map_or(0.0, |patch| patch.depth_mm),
        leans_deg: worst.map_or(0.0, |patch| -patch.mean_draft_deg),
        bends_over_mm: worst.map_or(0.0, |patch| (crown - lowest(patch)).max(0.0)),
        held_over_mm: worst.and_then(|patch| held_over_mm(face, &direction, patch)),
        across_mm: across(extent).into_iter().fold(0.0, f64::max),
        all_round: across(extent).iter().zip(across(size)).all(|(own, whole)| *own >= ALL_ROUND * whole)
            && worst.is_some(),
    }
}

/// The width of an undercut between the walls that hold its wall at both ends: facets that look along it, beside either end and
/// between its foot and the crown. Nothing where an end is free.
fn held_over_mm(face: &Face<'_>, direction: &Vector, patch: &Patch) -> Option<f64> {
    let mesh = face.mesh();
    let lean: Vector =
        patch.faces.iter().map(|&facet| face.facet_normals[facet as usize] * face.areas_mm2[facet as usize]).sum();
    let along = direction.cross(&lean).try_normalize(1e-9 * lean.norm())?;
    let corners = patch.faces.iter().flat_map(|&facet| mesh.corners(facet));
    let of = |(low, high): (f64, f64), at: f64| (low.min(at), high.max(at));
    let none = (f64::INFINITY, f64::NEG_INFINITY);
    let ((low, high), (foot, _)) = corners.fold((none, none), |(ends, heights), corner| {
        (of(ends, corner.coords.dot(&along)), of(heights, corner.coords.dot(direction)))
    });
    let beside_mm = BESIDE_END * (high - low);
    // Area of what holds at the lower and at the upper end.
    let mut holds_mm2 = [0.0, 0.0];
    for facet in mesh.face_ids() {
        let at = mesh.middle(facet).coords;
        if face.facet_normals[facet as usize].dot(&along).abs() < ACROSS_COSINE || at.dot(direction) < foot {
            continue;
        }
        for (holds, end) in holds_mm2.iter_mut().zip([low, high]) {
            if (at.dot(&along) - end).abs() <= beside_mm {
                *holds += face.areas_mm2[facet as usize];
            }
        }
    }
    let least_mm2 = HOLDING_SHARE * mm2_from_m2(patch.area_m2);
    holds_mm2.iter().all(|&holds| holds >= least_mm2).then_some(high - low)
}

/// Lets mouldings out of moulds that part: what holds along any one direction leaves the mould piece by piece, as well as the
/// pieces of the mould leave the plug.
pub fn let_out_by_parts(builds: &mut [Build]) {
    let parted = builds.iter().find(|build| build.make == Make::Mould && build.pieces.len() > 1);
    let Some(mould) = parted else { return };
    let answers: Option<Vec<Answer>> =
        mould.pieces.iter().map(|piece| piece.release.as_ref().map(|release| release.answer)).collect();
    let worst = answers.and_then(|answers| answers.into_iter().max());
    let Some(worst) = worst.filter(|answer| *answer != Answer::Locks) else { return };
    let names: Vec<String> = mould.pieces.iter().map(|piece| piece.name.clone()).collect();
    for piece in builds.iter_mut().filter(|build| build.make == Make::Moulding).flat_map(|build| &mut build.pieces) {
        let Some(release) = piece.release.as_mut().filter(|release| release.answer > worst) else { continue };
        (release.answer, release.peel, release.mould_parts) = (worst, None, names.clone());
        piece.notes.retain(|note| !matches!(note.code.as_str(), "locks" | "peels" | "walls-contradict"));
        piece.notes.push(Note::info(
            "mould-parts",
            format!(
                "drawn off in one the moulding would be held; it comes out as its mould parts into {}",
                names.join(", ")
            ),
            "take the mould off it piece by piece",
        ));
    }
}

/// What holds a mould holds the moulding of the same piece: it is told of the mould, for both.
pub fn tell_once(builds: &mut [Build]) {
    let locks = |note: &Note| note.code == "locks";
    let held = |make: Make| -> Vec<String> {
        let pieces = builds.iter().filter(|build| build.make == make).flat_map(|build| &build.pieces);
        pieces.filter(|piece| piece.notes.iter().any(locks)).map(|piece| piece.name.clone()).collect()
    };
    let mouldings = held(Make::Moulding);
    let both: Vec<String> = held(Make::Mould).into_iter().filter(|name| mouldings.contains(name)).collect();
    for build in builds {
        for piece in build.pieces.iter_mut().filter(|piece| both.contains(&piece.name)) {
            match build.make {
                Make::Moulding => piece.notes.retain(|note| !locks(note)),
                Make::Mould => {
                    for note in piece.notes.iter_mut().filter(|note| locks(note)) {
                        note.message = note.message.replacen("the mould locks", "mould and moulding lock", 1);
                    }
                }
            }
        }
    }
}

/// Wedge starts at even steps along every edge and split of a piece, two at least.
fn wedges(splits: &[SplitLine], edges: &[EdgeLine], spacing_mm: f64) -> Vec<Point> {
    let lines = splits.iter().flat_map(|split| &split.lines_mm).chain(edges.iter().flat_map(|edge| &edge.lines_mm));
    let mut starts = Vec::new();
    for line in lines {
        let length_mm: f64 = line.windows(2).map(|pair| (pair[1] - pair[0]).norm()).sum();
        let n = (length_mm / spacing_mm).ceil().clamp(1.0, MOST_WEDGES);
        let step_mm = length_mm / n;
        starts.extend((0..n as usize).filter_map(|k| at_length(line, step_mm * (k as f64 + 0.5))));
    }
    starts
}

fn at_length(line: &[Point], mut left_mm: f64) -> Option<Point> {
    for pair in line.windows(2) {
        let step = pair[1] - pair[0];
        let length_mm = step.norm();
        if left_mm <= length_mm && length_mm > 0.0 {
            return Some(pair[0] + step * (left_mm / length_mm));
        }
        left_mm -= length_mm;
    }
    line.last().copied()
}

/// Where air or water is let in: at the crown, where the mould sits deepest, then on what is level and far from the others, one
/// for so much level area.
fn ports(face: &Face<'_>, direction: &Vector, area_m2: f64) -> Vec<Point> {
    let level = cos(rad_from_deg(LEVEL_DEG));
    let step_mm = mm2_from_m2(area_m2 / PORT_PLACES).sqrt();
    let faces: Vec<(Point, f64)> = face
        .mesh()
        .face_ids()
        .filter(|&facet| face.facet_normals[facet as usize].dot(direction) >= level)
        .flat_map(|facet| places(face.mesh().corners(facet), face.areas_mm2[facet as usize], step_mm))
        .collect();
    let level_mm2: f64 = faces.iter().map(|(_, area)| area).sum();
    let n = (m2_from_mm2(level_mm2) / area_m2).ceil().clamp(1.0, 12.0) as usize;
    let along = |point: &Point| point.coords.dot(direction);
    let Some(crown) = faces.iter().map(|(at, _)| along(at)).reduce(f64::max) else { return Vec::new() };
    let lowest = faces.iter().map(|(at, _)| along(at)).fold(crown, f64::min);
    // The crown is the middle of what lies within a twentieth of the height from the highest point.
    let top = || faces.iter().filter(|(at, _)| along(at) >= crown - 0.05 * (crown - lowest));
    let top_mm2: f64 = top().map(|(_, area)| area).sum();
    let centre = top().map(|(at, area)| at.coords * *area).sum::<Vector>() / top_mm2.max(f64::MIN_POSITIVE);
    let nearest = |wanted: &Point| {
        let distance = |(at, _): &&(Point, f64)| (at - wanted).norm();
        faces.iter().min_by(|a, b| distance(a).total_cmp(&distance(b))).map(|(at, _)| *at)
    };
    let mut ports: Vec<Point> = nearest(&Point::from(centre)).into_iter().collect();
    while ports.len() < n {
        let off = |at: &Point| ports.iter().map(|port| (at - port).norm()).fold(f64::INFINITY, f64::min);
        let Some((next, _)) = faces.iter().max_by(|a, b| off(&a.0).total_cmp(&off(&b.0))) else { break };
        ports.push(*next);
    }
    ports
}

/// The middles of the parts of a facet no longer than a step, with their areas: a flat of two facets has room for many ports.
fn places(corners: [Point; 3], area_mm2: f64, step_mm: f64) -> Vec<(Point, f64)> {
    let [a, b, c] = corners;
    let longest_mm = (b - a).norm().max((c - b).norm()).max((a - c).norm());
    let n = (longest_mm / step_mm).ceil().clamp(1.0, MOST_PLACES);
    let at = |i: f64, j: f64| a + (b - a) * (i / n) + (c - a) * (j / n);
    let mut found = Vec::new();
    let steps = n as usize;
    for i in 0..steps {
        for j in 0..steps - i {
            let (i, j) = (i as f64, j as f64);
            found.push((at(i + 1.0 / 3.0, j + 1.0 / 3.0), area_mm2 / (n * n)));
            if i + j + 2.0 <= n {
                found.push((at(i + 2.0 / 3.0, j + 2.0 / 3.0), area_mm2 / (n * n)));
            }
        }
    }
    found
}

/// The largest flat that hangs together, and whether it sags under its own mass.
fn flat(face: &Face<'_>, asked: &Asked<'_>) -> Option<Flat> {
    let gathered = face.facing_of_facets().gathered(64);
    let largest = (0..gathered.len()).max_by(|&a, &b| gathered.weights_mm2[a].total_cmp(&gathered.weights_mm2[b]))?;
    let normal = gathered.normals[largest];
    let [one, other] = square_to(&normal);
    let flats = flats_towards(face, &normal).into_iter().map(|faces| {
        let corners = faces.iter().flat_map(|&facet| face.mesh().corners(facet));
        let points: Vec<[f64; 2]> =
            corners.map(|corner| [corner.coords.dot(&one), corner.coords.dot(&other)]).collect();
        let area_mm2: f64 = faces.iter().map(|&facet| face.areas_mm2[facet as usize]).sum();
        (area_mm2, least_rectangle(points).extents)
    });
    let (area_mm2, extents_mm) = flats.max_by(|a, b| (a.0 * a.1[0]).total_cmp(&(b.0 * b.1[0])))?;
    let [span_mm, long_mm] = extents_mm;
    let practice = asked.practice;
    let own_sag_mm = own_sag_mm(extents_mm, asked.thickness_mm, asked.mass_kg_m2, practice.laminate_modulus_mpa.value);
    Some(Flat {
        area_m2: m2_from_mm2(area_mm2),
        span_mm,
        long_mm,
        own_sag_mm,
        stiffen: own_sag_mm > practice.sag_over_span.value * span_mm,
    })
}

/// The facets that look within [`FLAT_DEG`] of a direction, by what hangs together: a corrugation between two flats is what
/// stiffens them.
fn flats_towards(face: &Face<'_>, normal: &Vector) -> Vec<Vec<FaceId>> {
    let least = cos(rad_from_deg(FLAT_DEG));
    face.surface.groups(face.facet_normals.iter().map(|own| own.dot(normal) >= least).collect())
}

/// What a person should know of a release.
#[must_use]
pub fn release_notes(release: &Release, make: Make) -> Vec<Note> {
    let pull = &release.pull;
    let mut notes: Vec<Note> = contradiction(&pull.blocking)
        .map(|words| Note::info("walls-contradict", words, "matloft splits searches where to split it"))
        .into_iter()
        .collect();
    let worst = pull.undercuts.iter().find(|patch| !patch.noise);
    let place = |patch: &Patch| {
        let [x, y, z] = [patch.at_mm.x, patch.at_mm.y, patch.at_mm.z].map(f64::round);
        format!("({x}, {y}, {z}) mm")
    };
    match (release.answer, worst) {
        (Answer::Locks | Answer::Peels, Some(worst)) => {
            let text = format!(
                "the {} {} along {}: {:.4} m2 reach under themselves, most near {} by {:.1} mm",
                make.word(),
                release.answer.words(),
                direction_words(&pull.direction),
                pull.undercut.by_facets_m2,
                place(worst),
                worst.depth_mm
            );
            notes.push(if release.answer == Answer::Locks {
                Note::warning("locks", text, remedy(release.answer, make))
            } else {
                Note::info("peels", text, remedy(release.answer, make))
            });
        }
        (Answer::Tight, Some(worst)) => notes.push(Note::info(
            "tight-release",
            format!(
                "{:.4} m2 reach under themselves along {}, most near {}, by {:.2} mm only, which rubs and does not lock",
                pull.undercut.by_facets_m2,
                direction_words(&pull.direction),
                place(worst),
                worst.depth_mm
            ),
            remedy(release.answer, make),
        )),
        (Answer::Tight, None) => notes.push(Note::info(
            "tight-release",
            format!(
                "least draft is {:.1} degrees along {}, and {:.3} m2 stand along the pull",
                tenth(pull.least_draft_deg),
                direction_words(&pull.direction),
                release.near_zero_m2
            ),
            remedy(release.answer, make),
        )),
        _ => {}
    }
    notes.extend(release.other_pull.as_ref().map(|free| pull_locks(pull, free)));
    if pull.given && release.split.as_ref().is_some_and(|split| !split.proposals.is_empty()) {
        notes.push(pull_of_job());
    }
    notes.extend(not_certain(pull, &[0.0, release.near_zero_draft_deg, pull.wanted_draft_deg]));
    if worst.is_none() && pull.releases && pull.least_draft_deg < -NO_DRAFT_DEG {
        let where_to = pull.undercuts.first().map_or_else(String::new, |noise| format!(", most near {}", place(noise)));
        notes.push(Note::info(
            "undercut-of-facets",
            format!(
                "{:.4} m2 lean against the pull by up to {:.1} degrees{where_to}, but reach no further under themselves than the facets of the export stray",
                pull.undercut.clipped_m2, -pull.least_draft_deg
            ),
            "export finer if that wall matters",
        ));
    }
    if let Some(flat) = release.flat.filter(|flat| flat.stiffen && make == Make::Mould) {
        notes.push(Note::info(
            "stiffen-flat",
            format!(
                "a flat of {:.2} m2 spans {:.0} by {:.0} mm and sags about {:.1} mm under its own mass",
                flat.area_m2, flat.span_mm, flat.long_mm, flat.own_sag_mm
            ),
            "bond stiffeners over it once it has cured, before it comes off",
        ));
    }
    notes
}

/// How a face comes off in one where the direction that the job gives locks, if it does.
#[must_use]
pub fn other_pull(face: &Face<'_>, asked: &Pull) -> Option<Pull> {
    if asked.releases || !asked.given {
        return None;
    }
    let options = PullOptions { wanted_draft_deg: asked.wanted_draft_deg, along: None };
    pull(face, &options).filter(|free| free.releases)
}

/// Said where only the direction that the job gives locks.
#[must_use]
pub fn pull_locks(asked: &Pull, free: &Pull) -> Note {
    Note::warning(
        "pull-locks",
        format!(
            "it locks along the `pull` of the job, {}, but comes off in one along {} with {:.1} degrees of draft",
            direction_words(&asked.direction),
            direction_words(&free.direction),
            free.least_draft_deg.max(0.0)
        ),
        "take `pull` out of its [[part]], or turn it",
    )
}

/// Said where a split is proposed of a panel whose pull the job gives.
#[must_use]
pub fn pull_of_job() -> Note {
    Note::info(
        "pull-of-job",
        "the job gives the panel a `pull`, which would hold for every piece; the pieces of a proposed split are drawn each its own way",
        "take `pull` out of its [[part]] when you paste a split",
    )
}

/// A direction for people: an axis by its name, any other by its parts.
#[must_use]
pub fn direction_words(direction: &Vector) -> String {
    for (axis, name) in ["x", "y", "z"].into_iter().enumerate() {
        if direction[axis].abs() > 1.0 - 1e-6 {
            return format!("{}{name}", if direction[axis] < 0.0 { "-" } else { "+" });
        }
    }
    let [x, y, z] = [direction.x, direction.y, direction.z].map(|part| (1000.0 * part).round() / 1000.0 + 0.0);
    format!("({x}, {y}, {z})")
}

/// Everything that a piece's own plan says of it, for [`release`].
#[must_use]
pub fn asked<'a>(piece: &PiecePlan, make: Make, flange_mm: f64, practice: &'a Practice) -> Asked<'a> {
    let lay_up = &piece.lay_up;
    let gelcoat_mm = lay_up.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.thickness_mm.likely);
    Asked {
        make,
        flange_mm,
        thickness_mm: lay_up.thickness_mm.likely + gelcoat_mm,
        mass_kg_m2: if piece.area_m2 > 0.0 { lay_up.mass_kg.likely / piece.area_m2 } else { 0.0 },
        mass_kg: lay_up.mass_kg.likely,
        practice,
    }
}
