//! Everything that the shape of one part says by itself: the stages from mesh to corners, in order.

use super::corners::{self, CornerOptions, FoundCorners, Listing};
use super::crossing::Crossings;
use super::lost::lost_facets;
use super::mesh::{Bounds, Mesh, Point};
use super::part::Part;
use super::pull::{
    Base, BaseChoice, Face, Pull, PullOptions, SplitAdvice, SplitAsked, base_of, not_certain, pull, seeming_bases,
};
use super::skin::{self, FaceChoice, LaidSide, OutwardChoice, Skin, SkinKind, SkinOptions};
use super::stitch::Surface;
use crate::notes::Note;
use crate::watch::Watch;

/// What the caller chooses or knows better.
#[derive(Debug, Clone, Copy)]
pub struct SurveyOptions {
    /// What is listed of the corners.
    pub listing: Listing,
    /// What the mesh is, if the job says so.
    pub kind: Option<SkinKind>,
    /// Which side of a thin solid is moulded.
    pub face: FaceChoice,
    /// Which side of an open sheet is seen on the finished body.
    pub outward: OutwardChoice,
    /// The face that a plug stands on, which is not moulded.
    pub base: BaseChoice,
    /// What is wanted of the pull; nothing if it is not asked for.
    pub pull: Option<PullOptions>,
    /// Where to split what comes off in no direction; nothing if that is not asked for.
    pub split: Option<SplitAsked>,
}

impl SurveyOptions {
    /// Lists so much, and chooses nothing.
    #[must_use]
    pub fn listing(listing: Listing) -> Self {
        Self {
            listing,
            kind: None,
            face: FaceChoice::default(),
            outward: OutwardChoice::default(),
            base: BaseChoice::None,
            pull: None,
            split: None,
        }
    }
}

/// What was found on one part.
#[derive(Debug, Clone)]
pub struct Survey {
    /// The part as loaded.
    pub part: Part,
    /// Its box.
    pub bounds: Bounds,
    /// Area of all facets, both sides of a thin solid.
    pub area_m2: f64,
    /// Volume, if closed.
    pub volume_m3: Option<f64>,
    /// Centroid of the surface.
    pub centroid_mm: Point,
    /// Sides and wall.
    pub skin: Skin,
    /// The side that is laid, where it is not the mesh as it is.
    pub laid: Option<LaidSide>,
    /// Every corner of the laid side.
    pub found: FoundCorners,
    /// Those that were asked for.
    pub listed: FoundCorners,
    /// How a mould comes off the laid side, if that was asked for and the side has area.
    pub pull: Option<Pull>,
    /// Where it could be split, if that was asked for and it comes off in no direction.
    pub split: Option<SplitAdvice>,
    /// What the mesh leaves open of its draft.
    pub draft_note: Option<Note>,
    /// Facets that pass through one another.
    pub crossings: Option<Note>,
    /// What was found of the base of a plug, or of facets lost from it.
    pub base_notes: Vec<Note>,
}

impl Survey {
    /// Every note on the part, in the order of the stages.
    pub fn notes(&self) -> impl Iterator<Item = &Note> {
        let laid = self.laid.iter().flat_map(|laid| &laid.notes);
        self.part
            .notes
            .iter()
            .chain(&self.crossings)
            .chain(&self.skin.notes)
            .chain(laid)
            .chain(&self.base_notes)
            .chain(&self.listed.notes)
            .chain(&self.draft_note)
    }

    /// The laid side: facets that are seen on the finished body, outward side out.
    #[must_use]
    pub fn laid_mesh(&self) -> &Mesh {
        self.laid.as_ref().map_or(&self.part.mesh, |laid| &laid.mesh)
    }

    /// The facet of the part that a facet of the laid side is.
    #[must_use]
    pub fn part_face(&self, laid_face: u32) -> u32 {
        self.laid.as_ref().map_or(laid_face, |laid| laid.faces[laid_face as usize])
    }

    /// Wall behind each facet of the laid side, in mm; 0 where none was met, and empty where no body has a wall.
    #[must_use]
    pub fn laid_walls_mm(&self) -> Vec<f32> {
        let walls_mm = &self.skin.face_walls_mm;
        if walls_mm.is_empty() {
            return Vec::new();
        }
        self.laid_mesh().face_ids().map(|face| walls_mm[self.part_face(face) as usize]).collect()
    }
}

/// Measures one part.
#[must_use]
pub fn survey(part: Part, options: &SurveyOptions, watch: &dyn Watch) -> Survey {
    let mesh = &part.mesh;
    let bounds = mesh.bounds().unwrap_or(Bounds { least: Point::origin(), most: Point::origin() });
    let surface = Surface::stitched(mesh);
    let skin = skin::find(&surface, &SkinOptions { kind: options.kind }, watch);
    let one_plug = skin.kind == SkinKind::Solid && skin.bodies.len() == 1;
    let plug = one_plug.then(|| Face::of(&surface));
    let (without_base, base_notes) = match &plug {
        Some(face) => without_base(face, &options.base),
        None => {
            (None, no_plug(&skin, &options.base).into_iter().chain(lost_facets(&part, &surface.topology)).collect())
        }
    };
    let laid = laid_side(mesh, &skin, options).or(without_base);
    let find = |surface: &Surface, face: Option<Face<'_>>| {
        let found = corners::find(surface, &CornerOptions::for_limit(options.listing.tighter_than_mm), watch);
        let Some(pull_options) = options.pull else { return (found, None, None) };
        let face = face.unwrap_or_else(|| Face::of(surface));
        let pull = pull(&face, &pull_options);
        let locks = pull.as_ref().filter(|pull| !pull.releases);
        let split = options.split.zip(locks).map(|(asked, pull)| asked.advice(&face, pull));
        (found, pull, split)
    };
    // The mesh as it is keeps its stitching; a side of it is a mesh of its own.
    let (found, pull, split) = match &laid {
        Some(laid) => {
            drop(plug);
            drop(surface);
            find(&Surface::stitched(&laid.mesh), None)
        }
        None => find(&surface, plug),
    };
    let listed = corners::list(&found, &options.listing);
    Survey {
        bounds,
        area_m2: mesh.area_m2(),
        volume_m3: part.health.closed.then(|| mesh.signed_volume_m3()),
        centroid_mm: mesh.surface_centroid_mm().unwrap_or(bounds.centre()),
        skin,
        laid,
        found,
        listed,
        draft_note: pull.as_ref().and_then(|pull| not_certain(pull, &[0.0, pull.wanted_draft_deg])),
        pull,
        split,
        crossings: Crossings::of(&part.mesh).note(),
        base_notes,
        part,
    }
}

/// A base that was asked for of what is no plug is told, not passed over.
fn no_plug(skin: &Skin, choice: &BaseChoice) -> Option<Note> {
    let (is, remedy) = match skin.kind {
        _ if *choice == BaseChoice::None => return None,
        SkinKind::Sheet => (
            "is an open sheet: its base was left out already, or facets of it are missing",
            "if it stands on a base, close the hole in CAD and export again; else leave out base (--base)",
        ),
        SkinKind::ThinSolid => (
            "has a wall and stands on no base",
            "name the side that is laid with `face`, or write kind = \"solid\" in its [[part]] if it is a plug all the same",
        ),
        SkinKind::Solid => {
            ("holds several bodies", "export them one by one, or as objects of an OBJ, each with its own base")
        }
    };
    let message =
        format!("a base was asked for that the plug stands on, but the panel {is}; all of it counts as moulded");
    // A whole folder of plugs and sheets is asked alike.
    Some(match (choice, skin.kind) {
        (BaseChoice::Auto, SkinKind::Sheet | SkinKind::ThinSolid) => Note::info("no-base", message, remedy),
        _ => Note::warning("no-base", message, remedy),
    })
}

/// What is laid of a plug without its base, if the caller says so; tells of a base that is there otherwise.
fn without_base(face: &Face<'_>, choice: &BaseChoice) -> (Option<LaidSide>, Vec<Note>) {
    let base = base_of(face, choice);
    let note = match (choice, &base) {
        (BaseChoice::None, _) => seeming_bases(face).first().map(seeming_base_note),
        (_, None) => Some(Note::warning(
            "no-base",
            "a base was asked for that the plug stands on, but no flat face there has the whole plug behind it; all of the plug counts as moulded",
            "give the way that the flat face looks, such as base = [0, 0, -1] (--base 0,0,-1), or export the plug without it",
        )),
        (_, Some(base)) => Some(Note::info(
            "base-left-out",
            format!("{} is taken for the base that the plug stands on, and is not moulded", base_words(base)),
            "write base = \"none\" in its [[part]], or leave out --base, if it is moulded too",
        )),
    };
    let laid = base.map(|base| {
        let mesh = face.mesh();
        let faces: Vec<u32> = mesh.face_ids().filter(|face| base.faces.binary_search(face).is_err()).collect();
        LaidSide { mesh: mesh.submesh(&faces), faces, notes: Vec::new() }
    });
    (laid, note.into_iter().collect())
}

fn seeming_base_note(base: &Base) -> Note {
    Note::info(
        "seeming-base",
        format!(
            "{} looks like the base that the plug stands on; it counts as moulded. Without it a mould comes off in one",
            base_words(base)
        ),
        "write base = \"auto\" in its [[part]] (--base auto) to leave it out, or export the plug without it",
    )
}

fn base_words(base: &Base) -> String {
    let [x, y, z] =
        [base.unit_normal.x, base.unit_normal.y, base.unit_normal.z].map(|part| (100.0 * part).round() / 100.0 + 0.0);
    format!("the flat face of {:.4} m2 that looks towards ({x}, {y}, {z})", base.area_m2)
}

/// The laid side, if it is not the mesh as it is: a plug, and a sheet as wound, need no copy.
fn laid_side(mesh: &Mesh, skin: &Skin, options: &SurveyOptions) -> Option<LaidSide> {
    let whole = skin.bodies.iter().all(|body| match body.kind {
        SkinKind::Solid => true,
        SkinKind::Sheet => options.outward == OutwardChoice::AsWound,
        SkinKind::ThinSolid => false,
    });
    (!whole).then(|| skin::choose(mesh, skin, &options.face, &options.outward))
}
