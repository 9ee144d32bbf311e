//! What a job file may say. The documentation of the fields is what editors show through the JSON Schema.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::choices::{Base, Choice, Direction, Face, Outward};
use super::source::Source;
use crate::geometry::skin::SkinKind;
use crate::geometry::split::Plane;
use crate::laminate::exposure::LimitsOf;
use crate::laminate::schedule::{Axis, Schedules};
use crate::laminate::stock::{PracticeEntry, StockFile};
use crate::units::LengthUnit;
use crate::workshop::crew::CrewEntry;
use crate::workshop::days::pace::PaceEntry;
use crate::workshop::mixes::habits::MixHabitsEntry;
use crate::workshop::order::entries::{OnShelfEntry, SupplierEntry, currency_if_told};
use crate::workshop::takes::asked::{Fixing, Inside, Joint, Stiffening};
use crate::workshop::takes::habits::{Colour, ConsumablesEntry, ExtrasEntry, PlugEntry};

/// A job: the panels to be built, how they are split and laid up, and the shop's habits.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Job {
    /// What the job is called on every sheet.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub title: String,
    /// Unit of length of the mesh files. STL and OBJ files carry none; a part may say otherwise. All lengths in this file are in mm whatever the meshes are in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub units: Option<LengthUnit>,
    /// Each ply is measured where it lies, so that plies over an outside corner grow and in an inside corner shrink. `false` leaves every ply the area of the moulded face.
    #[serde(default = "yes")]
    #[schemars(default = "yes")]
    pub growth: bool,
    /// Schedule of the moulds of every part that names none itself; `false` builds no moulds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mould: Option<Choice>,
    /// Schedule of the mouldings of every part that names none itself; `false` builds no mouldings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moulding: Option<Choice>,
    /// Habits of the shop that hold for every part: flange, trim, reserves, stages. Each has a default; write only what differs. `temperature_c` has none: it is for the sheets, and left blank there if it is not told.
    #[serde(default)]
    pub shop: PracticeEntry,
    /// Who works, and how fast. Each figure has a default; write only what differs.
    #[serde(default)]
    pub crew: CrewEntry,
    /// How mixes are sized. Each figure has a default; write only what differs.
    #[serde(default)]
    pub mixes: MixHabitsEntry,
    /// Whose limits of exposure at work are shown: of the United Kingdom, of the United States by law or by advice, or European industry's own aim. Without this key all of them are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limits_of: Option<LimitsOf>,
    /// Currency of prices that name none, by the three capital letters of ISO 4217: those typed with `--price`, and of suppliers without a currency of their own. The order goes by it where it can.
    #[serde(default, deserialize_with = "currency_if_told", skip_serializing_if = "Option::is_none")]
    #[schemars(regex(pattern = "^[A-Z]{3}$"))]
    pub currency: Option<String>,
    /// Suppliers' price lists, set side by side. Without any, the order stands in the usual packs, without prices.
    #[serde(default, rename = "supplier", skip_serializing_if = "Vec::is_empty")]
    pub suppliers: Vec<SupplierEntry>,
    /// What is in stock already: taken off the order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub on_shelf: Vec<OnShelfEntry>,
    /// What belongs to a moulding or mould beyond its plies: joints, fixings, stiffeners, inner faces, flanges, release. Each figure has a default; write only what differs.
    #[serde(default)]
    pub extras: ExtrasEntry,
    /// The plugs of every part: what they are made of, filler, primer, paint, abrasive, wax. Each figure has a default; `made_of` has none.
    #[serde(default)]
    pub plug: PlugEntry,
    /// What is used up at the bench: acetone, brushes, rollers, cups, gloves. Each figure has a default; write only what differs.
    #[serde(default)]
    pub consumables: ConsumablesEntry,
    /// Colour paste in the gelcoat of the mouldings, for gelcoat that is bought without pigment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<Colour>,
    /// When there is work, and how long it takes. Every figure has a default; write only what differs. `start`, `hours` and `away` say when; without a start the days are counted and there is no calendar file.
    #[serde(default)]
    pub days: PaceEntry,
    /// The panels.
    #[serde(default, rename = "part", skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<JobPart>,
    /// Schedules by name, laid over the starter's: a schedule of the same name takes its place.
    #[serde(default, rename = "schedule", skip_serializing_if = "Schedules::is_empty")]
    pub schedules: Schedules,
    /// Materials, laid over the starter's: under a name of the starter only what differs, under a new name everything.
    #[serde(default)]
    pub stock: StockFile,
    /// The text it was read from, for messages that point into it.
    #[serde(skip)]
    pub source: Source,
}

/// What an empty file says.
impl Default for Job {
    fn default() -> Self {
        Self {
            title: String::new(),
            units: None,
            growth: true,
            mould: None,
            moulding: None,
            shop: PracticeEntry::default(),
            crew: CrewEntry::default(),
            mixes: MixHabitsEntry::default(),
            limits_of: None,
            currency: None,
            suppliers: Vec::new(),
            on_shelf: Vec::new(),
            extras: ExtrasEntry::default(),
            plug: PlugEntry::default(),
            consumables: ConsumablesEntry::default(),
            colour: None,
            days: PaceEntry::default(),
            parts: Vec::new(),
            schedules: Schedules::default(),
            stock: StockFile::default(),
            source: Source::default(),
        }
    }
}

const fn yes() -> bool {
    true
}

/// One panel: a mesh file, or one object of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JobPart {
    /// Name of the panel; each panel has its own.
    #[schemars(length(min = 1))]
    pub name: String,
    /// Mesh file, STL or OBJ; a relative path starts from the folder of the job file.
    #[schemars(length(min = 1))]
    pub file: String,
    /// Name of the one object of the file that is meant, "" for one without a name; without this key the whole file is the panel, but for the objects that mark its splits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub object: Option<String>,
    /// Which one is meant, where several objects of the file have this name; counted from 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1))]
    pub object_number: Option<u32>,
    /// Unit of length of this mesh, if it differs from the job's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub units: Option<LengthUnit>,
    /// How many mouldings are made; all of them come out of one plug and one mould.
    #[serde(default = "one")]
    #[schemars(default = "one", range(min = 1, max = 10_000))]
    pub quantity: u32,
    /// Builds the opposite hand too: a second plug, a second mould and as many mouldings again.
    #[serde(default)]
    pub mirrored: bool,
    /// Which side of a body with a wall is moulded: "outside", "inside", or a direction [x, y, z] that it faces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face: Option<Face>,
    /// Which side of an open surface is seen on the finished body: "as wound" (the side from which the triangles run anticlockwise), "reversed", or a direction [x, y, z] that it faces.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outward: Option<Outward>,
    /// The face that a plug stands on, which is not moulded: "none", "auto" (the flat face that looks like it), or the direction [x, y, z] that it looks towards. Only of a plug, a body without a wall; without this key none is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub base: Option<Base>,
    /// The direction [x, y, z] in which the mould is drawn off; without this key the best one is searched, piece by piece.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull: Option<Direction>,
    /// Scan of the rough plug, STL or OBJ, in the same place and unit as the panel's mesh: what is to be filled and taken off is measured against it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1))]
    pub rough: Option<String>,
    /// What the mesh is, where the program cannot tell: a surface without thickness, a body with a wall, or a plug.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<SkinKind>,
    /// Schedule of this panel's mould; `false` builds none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mould: Option<Choice>,
    /// Schedule of this panel's mouldings; `false` builds none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub moulding: Option<Choice>,
    /// Width of this mould's flange, if it differs from the shop's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub flange_mm: Option<f64>,
    /// How far this moulding's plies run past the trim line, if it differs from the shop's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub trim_mm: Option<f64>,
    /// Overlap of neighbouring pieces of mat on this panel, if it differs from the shop's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub lap_mm: Option<f64>,
    /// Where the mould, the moulding or both are split.
    #[serde(default, rename = "split", skip_serializing_if = "Vec::is_empty")]
    pub splits: Vec<Split>,
    /// What the free edges of the panel are, where the program's assumption is wrong.
    #[serde(default, rename = "edge", skip_serializing_if = "Vec::is_empty")]
    pub edges: Vec<Edge>,
    /// How the pieces of a split moulding are joined, split by split. A split without one is strapped.
    #[serde(default, rename = "joint", skip_serializing_if = "Vec::is_empty")]
    pub joints: Vec<Joint>,
    /// What is fixed to the moulding.
    #[serde(default, rename = "fixing", skip_serializing_if = "Vec::is_empty")]
    pub fixings: Vec<Fixing>,
    /// Stiffeners and cradle of the mould; without this table a mould whose flat needs them has some.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stiffening: Option<Stiffening>,
    /// Inner face of the moulding; without this table it is bare.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inside: Option<Inside>,
    /// This panel's plug, where it differs from the job's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plug: Option<PlugEntry>,
}

const fn one() -> u32 {
    1
}

/// A plane along which a panel is split. It is given in one of four ways: `point_mm` and `normal`; `axis` and `at_mm`; three points `through_mm`; or a flat `object` of the mesh file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Split {
    /// Name of the split, as the pieces and the mark-out sheet call it.
    #[schemars(length(min = 1))]
    pub name: String,
    /// What is split: the mould, the moulding or both. One mould may give several mouldings.
    #[serde(default)]
    pub of: SplitOf,
    /// A point on the plane, in mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point_mm: Option<[f64; 3]>,
    /// The direction square to the plane; its length does not matter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub normal: Option<[f64; 3]>,
    /// The axis that the plane is square to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub axis: Option<Axis>,
    /// Where the plane cuts that axis, in mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_mm: Option<f64>,
    /// Three points on the plane, in mm, not in one line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub through_mm: Option<[[f64; 3]; 3]>,
    /// Name of a flat object of the panel's mesh file that marks the plane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub object: Option<String>,
}

/// What a split parts.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum SplitOf {
    /// The mould alone: it comes off the plug in pieces, the moulding is one.
    Mould,
    /// The moulding alone: several come out of one mould.
    Moulding,
    /// Both.
    #[default]
    Both,
}

/// What one free edge of the panel is: the closed line of free edge that passes nearest to `near_mm`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Edge {
    /// A point on or near the edge, in mm.
    pub near_mm: [f64; 3],
    /// What the edge is.
    pub kind: EdgeKind,
    /// Width of the mould's flange here, or of the return flange, if it differs from the panel's `flange_mm`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0.0))]
    pub width_mm: Option<f64>,
}

/// What a free edge is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum EdgeKind {
    /// The panel ends here: the mould has a flange, the moulding is trimmed.
    OuterEdge,
    /// An opening that is laid across and cut out of the moulding later, such as a door or a wheel arch.
    LaidAcross,
    /// An opening that is blanked off on the mould: nothing is laid in it, the plies are trimmed at its edge.
    BlankedOff,
    /// An opening whose edge is turned back into a flange that stays on the moulding.
    ReturnFlange,
    /// The panel simply stops: no flange and no trim, such as the end of a tube.
    OpenEnd,
}

/// Where a split's plane is found.
#[derive(Debug, Clone, PartialEq)]
pub enum SplitPlane<'job> {
    /// Given in figures.
    Plane(Plane),
    /// Where a flat object of the panel's mesh file lies: see [`Plane::of_flat_object`].
    Object(&'job str),
}
