//! What a panel asks for beyond its plies, as the job file writes it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How two pieces of a split moulding are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum JointKind {
    /// Butted, with a strap of glass over the joint inside.
    Strap,
    /// One over the other, glued.
    Lap,
    /// One over the stepped edge of the other, so that the outside is flush; glued.
    Joggle,
    /// Flanges turned in on both pieces, glued face to face.
    ReturnFlange,
}

impl JointKind {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Strap => "strap",
            Self::Lap => "lap",
            Self::Joggle => "joggle",
            Self::ReturnFlange => "return flange",
        }
    }
}

/// How the pieces that a split parts are joined.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Joint {
    /// Name of the split.
    #[schemars(length(min = 1))]
    pub split: String,
    /// Strap, lap, joggle or return flange.
    pub kind: JointKind,
    /// Width of the strap (both sides together), of the lap or of each flange.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0.0))]
    pub width_mm: Option<f64>,
    /// Plies of the strap, or of tape over another joint, which has none of itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(max = 20))]
    pub plies: Option<u32>,
    /// Reinforcement of the strap; without this key the moulding's last one that lies everywhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1))]
    pub material: Option<String>,
    /// Name of the adhesive. A resin of the stock is mixed as in plies; a filler of the stock with `hardener_percent` by its hardener paste; anything else by `adhesive_catalyst_percent`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1))]
    pub adhesive: Option<String>,
    /// Thickness of the adhesive. A strap has none unless this key says it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub bond_mm: Option<f64>,
    /// Density of the adhesive; without this key that of the stock's resin or filler of its name, or else the one of [extras].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("exclusiveMinimum" = 0.0))]
    pub adhesive_density_g_cm3: Option<f64>,
}

/// A plate or block that is laid into a fixing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Plate {
    /// What it is of, as the order is to say it.
    #[schemars(length(min = 1))]
    pub material: String,
    /// Its thickness.
    #[schemars(extend("exclusiveMinimum" = 0.0))]
    pub thickness_mm: f64,
    /// Its density.
    #[schemars(extend("exclusiveMinimum" = 0.0))]
    pub density_g_cm3: f64,
}

/// Something that is fixed to a moulding: a hinge, a catch, a bracket.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fixing {
    /// What is fixed there.
    #[schemars(length(min = 1))]
    pub name: String,
    /// How many a moulding has.
    #[serde(default = "one")]
    #[schemars(default = "one", range(min = 1, max = 1000))]
    pub how_many: u32,
    /// Length and width of the pad or plate.
    #[schemars(inner(range(min = 0.1)))]
    pub size_mm: [f64; 2],
    /// Plate laid in; without this key it is a pad of glass alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate: Option<Plate>,
    /// Plies over it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 20))]
    pub doublers: Option<u32>,
    /// Reinforcement of those plies; without this key the moulding's last one that lies everywhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1))]
    pub material: Option<String>,
    /// How much further each of those plies goes than the one below.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub step_mm: Option<f64>,
    /// A core of the moulding is left out here and glass laid in its place.
    #[serde(default = "yes")]
    #[schemars(default = "yes")]
    pub solid: bool,
}

impl Fixing {
    /// Its plate as it is ordered: material and size.
    #[must_use]
    pub fn plate_name(&self) -> Option<String> {
        let plate = self.plate.as_ref()?;
        let [length, width] = self.size_mm;
        Some(format!("{} {length} x {width} x {} mm", plate.material, plate.thickness_mm))
    }
}

/// What a stiffener is laid over.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Former {
    /// Rigid foam.
    #[default]
    Foam,
    /// Rolled paper or card.
    Paper,
    /// Timber.
    Timber,
}

impl Former {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Foam => "foam",
            Self::Paper => "paper",
            Self::Timber => "timber",
        }
    }
}

/// Stiffeners and cradle of a mould.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stiffening {
    /// Metres of stiffener on each piece of the mould, 0 for none; without this key as many as its largest flat needs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub metres: Option<f64>,
    /// From stiffener to stiffener, if it differs from the shop's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 10.0))]
    pub spacing_mm: Option<f64>,
    /// What they are laid over.
    #[serde(default)]
    pub former: Former,
    /// Plies over the former, if they differ from the shop's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 1, max = 20))]
    pub plies: Option<u32>,
    /// Reinforcement of those plies; without this key the mould's last one that lies everywhere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1))]
    pub material: Option<String>,
    /// The mould stands in a cradle of timber: a frame round it and four legs.
    #[serde(default)]
    pub cradle: bool,
}

/// What an inner face is finished with.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Finish {
    /// Bare glass.
    #[default]
    Bare,
    /// Gelcoat with wax solution.
    Flowcoat,
    /// A coat of resin with wax solution.
    WaxedResin,
}

/// The inner face of a moulding.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Inside {
    /// What it is finished with.
    #[serde(default)]
    pub finish: Finish,
    /// Peel ply on what is bonded later, in m2 of one moulding. That face is left bare.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0))]
    pub peel_ply_m2: Option<f64>,
}

/// What one panel asks for.
#[derive(Debug, Clone, Copy, Default)]
pub struct Asked<'a> {
    /// Joints of its moulding.
    pub joints: &'a [Joint],
    /// Fixings on its moulding.
    pub fixings: &'a [Fixing],
    /// Stiffeners of its mould.
    pub stiffening: Option<&'a Stiffening>,
    /// Inner face of its moulding.
    pub inside: Option<&'a Inside>,
    /// Width of its mould's flanges, in mm.
    pub flange_mm: f64,
    /// Extent of the panel along x, y and z, in mm.
    pub size_mm: [f64; 3],
}

const fn one() -> u32 {
    1
}

const fn yes() -> bool {
    true
}
