//! What each kind of material is known by: the entries of a stock file and the checked items that come of them.
//!
//! Every field of an entry may be left out, so that a job can change one figure of a material that the starter stock has.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::error::LaminateError;
use super::figure::Figure;
use super::gel::{self, GelPoint};

/// What divides or is multiplied up must not be next to nothing, or sums run out of numbers.
const LEAST_DIVISOR: f64 = 1e-6;
const OVER_NOTHING: &str = "over 0 (0.000001 at least)";

/// What a reinforcement is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Chopped strand mat.
    Mat,
    /// Surface tissue.
    Tissue,
    /// Woven cloth or roving.
    Woven,
    /// Two stitched layers of rovings, crossed.
    Biaxial,
    /// Rovings in one direction.
    Unidirectional,
}

impl Kind {
    /// The word for it, as in the stock file.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mat => "mat",
            Self::Tissue => "tissue",
            Self::Woven => "woven",
            Self::Biaxial => "biaxial",
            Self::Unidirectional => "unidirectional",
        }
    }
}

/// What holds a reinforcement together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Binder {
    /// Powder that styrene softens.
    Powder,
    /// Emulsion that styrene softens.
    Emulsion,
    /// Stitching.
    Stitched,
    /// Nothing, or the weave itself.
    None,
}

/// Chemistry of a resin or gelcoat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Family {
    /// Unsaturated polyester; cured by a peroxide catalyst.
    Polyester,
    /// Vinyl ester; cured by a peroxide catalyst.
    Vinylester,
    /// Epoxy; cured by a hardener in a fixed ratio.
    Epoxy,
}

/// A size in which a reinforcement comes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Roll {
    /// Usable width in mm.
    pub width_mm: Figure,
    /// Mass of glass on a full roll, in kg.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<Figure>,
    /// Length of a full roll in m, if it is sold so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<Figure>,
}

/// One figure of the stock with its name, for lists.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedFigure<'a> {
    /// Name of the field; its ending is the unit.
    pub field: &'static str,
    /// The figure.
    pub figure: &'a Figure,
}

/// Writes an entry (every field may be left out), the checked item, and the way from one to the other.
macro_rules! stock_item {
    (
        $(#[$doc:meta])* $item:ident, $entry:ident, $table:literal;
        facts { $($(#[$fact_doc:meta])* $fact:ident: $fact_type:ty,)* }
        options { $($(#[$option_doc:meta])* $option:ident: $option_type:ty,)* }
        figures { $($(#[$figure_doc:meta])* $figure:ident,)* }
        figure_options { $($(#[$figure_option_doc:meta])* $figure_option:ident,)* }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Serialize)]
        pub struct $item {
            /// Its name in the stock.
            pub name: String,
            $($(#[$fact_doc])* pub $fact: $fact_type,)*
            $($(#[$option_doc])* pub $option: Option<$option_type>,)*
            $($(#[$figure_doc])* pub $figure: Figure,)*
            $($(#[$figure_option_doc])* pub $figure_option: Option<Figure>,)*
        }

        $(#[$doc])*
        #[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $entry {
            $($(#[$fact_doc])* #[serde(default, skip_serializing_if = "Option::is_none")] pub $fact: Option<$fact_type>,)*
            $($(#[$option_doc])* #[serde(default, skip_serializing_if = "Option::is_none")] pub $option: Option<$option_type>,)*
            $($(#[$figure_doc])* #[serde(default, skip_serializing_if = "Option::is_none")] pub $figure: Option<Figure>,)*
            $($(#[$figure_option_doc])* #[serde(default, skip_serializing_if = "Option::is_none")] pub $figure_option: Option<Figure>,)*
        }

        impl $entry {
            /// Name of the stock's table that holds such entries.
            pub const TABLE: &'static str = $table;

            /// This entry, with what it leaves out taken from the one below.
            #[must_use]
            pub fn over(self, below: Self) -> Self {
                Self {
                    $($fact: self.$fact.or(below.$fact),)*
                    $($option: self.$option.or(below.$option),)*
                    $($figure: self.$figure.or(below.$figure),)*
                    $($figure_option: self.$figure_option.or(below.$figure_option),)*
                }
            }

            /// The item, if nothing is missing that it cannot do without.
            pub(crate) fn check(self, name: &str) -> Result<$item, LaminateError> {
                let missing = |field| LaminateError::Missing { kind: $table, name: name.to_owned(), field };
                Ok($item {
                    name: name.to_owned(),
                    $($fact: self.$fact.ok_or_else(|| missing(stringify!($fact)))?,)*
                    $($option: self.$option,)*
                    $($figure: self.$figure.ok_or_else(|| missing(stringify!($figure)))?,)*
                    $($figure_option: self.$figure_option,)*
                })
            }
        }

        impl $item {
            /// Its figures in the order of the stock file.
            #[must_use]
            pub fn figures(&self) -> Vec<NamedFigure<'_>> {
                let certain = [$((stringify!($figure), Some(&self.$figure)),)*];
                let possible = [$((stringify!($figure_option), self.$figure_option.as_ref()),)*];
                let all: Vec<(&'static str, Option<&Figure>)> = certain.into_iter().chain(possible).collect();
                all.into_iter().filter_map(|(field, figure)| Some(NamedFigure { field, figure: figure? })).collect()
            }
        }
    };
}

pub(crate) use stock_item;

stock_item! {
    /// A reinforcement: glass on a roll.
    Reinforcement, ReinforcementEntry, "reinforcement";
    facts {
        /// What it is.
        kind: Kind,
        /// What holds it together.
        binder: Binder,
        /// Whether it may lie against the gelcoat.
        next_to_gelcoat: bool,
    }
    options {
        /// Sizes in which it comes, the usual one first.
        rolls: Vec<Roll>,
        /// Degrees from the length of the panel to the first fibres of woven, biaxial and unidirectional glass, for comparing stiffness: 45 for a cloth of +-45; 0 unless told.
        fibres_at_deg: f64,
    }
    figures {
        /// Mass of glass per area, in g/m2.
        areal_weight_g_m2,
        /// Density of the glass, in g/cm3.
        glass_density_g_cm3,
        /// Smallest radius of an inside corner it lies down in, in mm.
        inside_limit_mm,
        /// Smallest radius of an outside corner it lies down over, in mm.
        outside_limit_mm,
        /// Lap where two widths of it meet, in mm.
        lap_mm,
    }
    figure_options {
        /// Glass by mass in the wetted-out ply, 0 to 1. One of three ways to say how much resin it takes.
        glass_content,
        /// Mass of resin per mass of glass. One of three ways.
        resin_per_glass,
        /// Resin in kg per m2 of ply: for tissue, where a ratio means nothing. One of three ways.
        resin_kg_m2,
    }
}

stock_item! {
    /// A core: what keeps two skins apart.
    Core, CoreEntry, "core";
    facts {
        /// Name of the reinforcement that it is bedded in.
        bonding_mat: String,
    }
    options {}
    figures {
        /// Thickness in mm.
        thickness_mm,
        /// Density in kg/m3.
        density_kg_m3,
        /// Resin that its open cells and cuts drink, both faces together, in kg per m2.
        resin_kg_m2,
        /// Length of its tapered edge per thickness: 3 is a taper of 3 mm for each mm of thickness.
        taper_ratio,
        /// Smallest radius that it bends to or is slit for, in mm.
        inside_limit_mm,
    }
    figure_options {
        /// Width of a sheet in mm.
        sheet_width_mm,
        /// Length of a sheet in mm.
        sheet_length_mm,
        /// Its modulus in bending, in MPa; only for comparing stiffness.
        modulus_mpa,
        /// Its shear modulus, in MPa; only for comparing stiffness.
        shear_modulus_mpa,
    }
}

stock_item! {
    /// A laminating resin. With a peroxide (polyester, vinyl ester) it has the catalyst's figures, with a hardener (epoxy) the mix.
    Resin, ResinEntry, "resin";
    facts {
        /// Its chemistry.
        family: Family,
    }
    options {
        /// Gel times in the cup from the maker's sheet, by temperature and share of catalyst; of an epoxy the pot life, by temperature alone. Read between these points and never past them. A table here takes the place of the starter's.
        gel_min: Vec<GelPoint>,
    }
    figures {
        /// Density as it is poured, in g/ml.
        liquid_density_g_ml,
        /// Density when cured, in g/cm3.
        cured_density_g_cm3,
    }
    figure_options {
        /// Catalyst in percent of the resin's mass; low and high are the range the maker allows.
        catalyst_percent,
        /// Density of the catalyst in g/ml.
        catalyst_density_g_ml,
        /// Active oxygen of the catalyst that these percents are for, in percent.
        active_oxygen_percent,
        /// Hardener in g per 100 g of resin; never varied to change the speed.
        hardener_per_100,
        /// Density of the hardener in g/ml.
        hardener_density_g_ml,
    }
}

stock_item! {
    /// A gelcoat.
    Gelcoat, GelcoatEntry, "gelcoat";
    facts {
        /// Its chemistry.
        family: Family,
        /// What it is for.
        made_for: super::schedule::Make,
    }
    options {
        /// Its colour, as the supplier is to read it: a name, or a number of a colour card that both have. A gelcoat in another colour is another entry, so that each is ordered for itself.
        colour: String,
        /// Gel times in the cup from the maker's sheet, by temperature and share of catalyst; of an epoxy the pot life, by temperature alone. Read between these points and never past them. A table here takes the place of the starter's.
        gel_min: Vec<GelPoint>,
    }
    figures {
        /// What is put on, all coats together, in kg per m2.
        coverage_kg_m2,
        /// Density in g/cm3.
        density_g_cm3,
        /// Film in mm, all coats together.
        thickness_mm,
    }
    figure_options {
        /// Catalyst in percent of the gelcoat's mass; low and high are the range the maker allows.
        catalyst_percent,
        /// Density of the catalyst in g/ml.
        catalyst_density_g_ml,
        /// Active oxygen of the catalyst that these percents are for, in percent.
        active_oxygen_percent,
        /// Hardener in g per 100 g of gelcoat, if it is an epoxy.
        hardener_per_100,
        /// Density of the hardener in g/ml.
        hardener_density_g_ml,
    }
}

stock_item! {
    /// A putty for fillets.
    Filler, FillerEntry, "filler";
    facts {}
    options {
        /// Time in which it can be worked, by temperature and share of hardener (`catalyst_percent`), from the maker's sheet.
        gel_min: Vec<GelPoint>,
    }
    figures {
        /// Density in g/cm3.
        density_g_cm3,
    }
    figure_options {
        /// Hardener paste in percent of the putty's mass; low and high are the range the maker allows.
        hardener_percent,
    }
}

stock_item! {
    /// The shop's own habits, on which many sums rest.
    Practice, PracticeEntry, "practice";
    facts {}
    options {}
    figures {
        /// Heaviest ply beside the gelcoat, in g/m2.
        first_ply_most_g_m2,
        /// Glass content by mass that no hand reaches with chopped mat.
        mat_most_glass_content,
        /// Thickness of a mould over that of its monolithic moulding, at least.
        mould_over_moulding,
        /// Resin lost in cups, tools and drips, and kept in reserve, in percent.
        resin_reserve_percent,
        /// Glass lost beyond laps and trim, and kept in reserve, in percent.
        glass_reserve_percent,
        /// Gelcoat lost and kept in reserve, in percent.
        gelcoat_reserve_percent,
        /// Core lost as offcuts and kept in reserve, in percent.
        core_reserve_percent,
        /// Width that plies run past the trim line, in mm.
        trim_mm,
        /// Width of a mould's flanges, in mm.
        flange_mm,
        /// Gap or lap allowed at the edge between two relief cuts, in mm.
        relief_gap_mm,
        /// Width of the tapes and doublers laid along corners, in mm.
        corner_strip_mm,
        /// Plies that are laid in one go, at most.
        stage_most_plies,
        /// Glass that is laid in one go, in g/m2 at most.
        stage_most_g_m2,
        /// Thickness that is laid in one go, in mm at most.
        stage_most_mm,
        /// Film of one coat of gelcoat, in mm; `high` is the thickest, and a thicker film takes several coats; under `low` it may not cure through.
        gelcoat_coat_mm,
        /// When gelcoat is usually ready for the tack test, in minutes after the last coat; the finger decides.
        gelcoat_tack_min,
        /// Latest time for the first ply over gelcoat before it has to be abraded, in hours.
        overlay_most_h,
        /// Cure before release, in hours at `cure_least_c` or warmer.
        cure_h,
        /// Coldest temperature at which those hours count, in deg C.
        cure_least_c,
        /// Draft that every wall of a moulded face ought to have, in degrees.
        draft_deg,
        /// Draft under which a wall counts as standing along the pull, in degrees.
        near_zero_draft_deg,
        /// Undercut that a stiff mould slips over, in mm.
        least_lock_mm,
        /// Modulus in bending of a laminate of mat, in MPa, for how far it gives when it is peeled or carried.
        laminate_modulus_mpa,
        /// Strain that a laminate is bent to when it is peeled off, in percent at most.
        peel_strain_percent,
        /// Force along the edge by which a laminate is peeled off by hand, in N per mm at most.
        peel_force_n_mm,
        /// From wedge to wedge along a flange, in mm.
        wedge_spacing_mm,
        /// Face square to the pull that one air or water port frees, in m2.
        port_area_m2,
        /// What one person lifts, in kg.
        lift_one_kg,
        /// What two persons lift together, in kg.
        lift_two_kg,
        /// Longest piece that one person handles, in mm.
        lift_one_mm,
        /// Sag of a flat under its own mass, over its span, from which on it is stiffened.
        sag_over_span,
        /// How far off the finished skin a scan of the rough plug is looked for, in mm.
        rough_reach_mm,
    }
    figure_options {
        /// Temperature of the shop while it is laid up, in deg C. It is not assumed: where it is not told, sheets leave room for it.
        temperature_c,
        /// Resin of plies and its catalyst that is kept in reserve, in percent of what is laid, where that is known to be more than `resin_reserve_percent`: weighed builds give it.
        laminate_reserve_percent,
    }
}

impl ReinforcementEntry {
    /// How many of the three ways to give the resin are used.
    pub(super) fn n_wet_outs(&self) -> usize {
        [&self.glass_content, &self.resin_per_glass, &self.resin_kg_m2].into_iter().flatten().count()
    }

    pub(super) fn forget_wet_out(&mut self) {
        (self.glass_content, self.resin_per_glass, self.resin_kg_m2) = (None, None, None);
    }
}

/// How a reinforcement's resin is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WetOut<'a> {
    /// Glass by mass, 0 to 1.
    GlassContent(&'a Figure),
    /// Mass of resin per mass of glass.
    ResinPerGlass(&'a Figure),
    /// Resin in kg per m2 of ply.
    ResinKgM2(&'a Figure),
}

impl Reinforcement {
    /// How its resin is known; nothing if it is not, or not clearly, which a checked stock does not hold.
    #[must_use]
    pub fn wet_out(&self) -> Option<WetOut<'_>> {
        match (&self.glass_content, &self.resin_per_glass, &self.resin_kg_m2) {
            (Some(figure), None, None) => Some(WetOut::GlassContent(figure)),
            (None, Some(figure), None) => Some(WetOut::ResinPerGlass(figure)),
            (None, None, Some(figure)) => Some(WetOut::ResinKgM2(figure)),
            _ => None,
        }
    }

    pub(super) fn check_figures(&self) -> Result<(), LaminateError> {
        let n_given = [&self.glass_content, &self.resin_per_glass, &self.resin_kg_m2].into_iter().flatten().count();
        if n_given != 1 {
            return Err(LaminateError::WetOut { kind: "reinforcement", name: self.name.clone(), n_given });
        }
        let must = |field, figure: &Figure, holds: bool, wanted| {
            must_hold("reinforcement", &self.name, field, figure, holds, wanted)
        };
        must("areal_weight_g_m2", &self.areal_weight_g_m2, self.areal_weight_g_m2.low >= LEAST_DIVISOR, OVER_NOTHING)?;
        must(
            "glass_density_g_cm3",
            &self.glass_density_g_cm3,
            self.glass_density_g_cm3.low >= LEAST_DIVISOR,
            OVER_NOTHING,
        )?;
        match self.wet_out() {
            Some(WetOut::GlassContent(psi)) => {
                must(
                    "glass_content",
                    psi,
                    psi.low >= LEAST_DIVISOR && psi.high < 1.0,
                    "between 0 and 1 (0.3 is 30 %)",
                )?;
            }
            Some(WetOut::ResinPerGlass(ratio)) => {
                must("resin_per_glass", ratio, ratio.low >= LEAST_DIVISOR, OVER_NOTHING)?
            }
            Some(WetOut::ResinKgM2(resin)) => must("resin_kg_m2", resin, resin.low >= LEAST_DIVISOR, OVER_NOTHING)?,
            None => {}
        }
        self.rolls.iter().flatten().try_for_each(|roll| {
            let wider = roll.width_mm.low > self.lap_mm.value;
            must("width_mm", &roll.width_mm, wider, "wider than the lap, or no two widths ever cover anything")
        })
    }
}

impl Resin {
    pub(super) fn check_figures(&self) -> Result<(), LaminateError> {
        must_divide("resin", &self.name, "liquid_density_g_ml", &self.liquid_density_g_ml)?;
        must_divide("resin", &self.name, "cured_density_g_cm3", &self.cured_density_g_cm3)?;
        let hardener = [&self.hardener_per_100, &self.hardener_density_g_ml];
        gel::check("resin", &self.name, self.family, self.gel_min.as_ref())?;
        check_cure("resin", &self.name, self.family, hardener, [&self.catalyst_percent, &self.catalyst_density_g_ml])
    }
}

impl Gelcoat {
    /// Coats that it goes on in: the fewest none of which is thicker than one may be. With few of them each stays thick enough
    /// to cure through.
    #[must_use]
    pub fn n_coats(&self, practice: &Practice) -> u32 {
        const FUZZ: f64 = 1e-9;
        const MOST: f64 = 20.0;
        (self.thickness_mm.value / practice.gelcoat_coat_mm.high - FUZZ).ceil().clamp(1.0, MOST) as u32
    }

    pub(super) fn check_figures(&self) -> Result<(), LaminateError> {
        must_divide("gelcoat", &self.name, "density_g_cm3", &self.density_g_cm3)?;
        let hardener = [&self.hardener_per_100, &self.hardener_density_g_ml];
        gel::check("gelcoat", &self.name, self.family, self.gel_min.as_ref())?;
        check_cure("gelcoat", &self.name, self.family, hardener, [&self.catalyst_percent, &self.catalyst_density_g_ml])
    }
}

/// Draft that can be asked of a wall, in degrees at most: what leans further is no wall.
pub const MOST_DRAFT_DEG: f64 = 45.0;

/// Wedges and ports that stand nearer are a slip of the pen, and of millions of them no plan comes.
const LEAST_WEDGE_SPACING_MM: f64 = 10.0;
/// See [`LEAST_WEDGE_SPACING_MM`].
const LEAST_PORT_AREA_M2: f64 = 0.001;

impl Practice {
    pub(super) fn check_figures(&self) -> Result<(), LaminateError> {
        for (field, figure) in [
            ("gelcoat_coat_mm", &self.gelcoat_coat_mm),
            ("laminate_modulus_mpa", &self.laminate_modulus_mpa),
            ("sag_over_span", &self.sag_over_span),
        ] {
            must_divide("practice", &self.name, field, figure)?;
        }
        let must =
            |field, figure: &Figure, holds, wanted| must_hold("practice", &self.name, field, figure, holds, wanted);
        let most_deg = |figure: &Figure| figure.high <= MOST_DRAFT_DEG;
        must("draft_deg", &self.draft_deg, most_deg(&self.draft_deg), "45 degrees at most")?;
        must(
            "near_zero_draft_deg",
            &self.near_zero_draft_deg,
            most_deg(&self.near_zero_draft_deg),
            "45 degrees at most",
        )?;
        let wedges = self.wedge_spacing_mm.low >= LEAST_WEDGE_SPACING_MM;
        must("wedge_spacing_mm", &self.wedge_spacing_mm, wedges, "10 or more: nearer to each other no wedges stand")?;
        must("port_area_m2", &self.port_area_m2, self.port_area_m2.low >= LEAST_PORT_AREA_M2, "0.001 or more")?;
        let together = self.lift_two_kg.value >= self.lift_one_kg.value;
        must("lift_two_kg", &self.lift_two_kg, together, "no less than `lift_one_kg`: two persons lift more than one")
    }
}

impl Filler {
    pub(super) fn check_figures(&self) -> Result<(), LaminateError> {
        if let Some(percent) = &self.hardener_percent {
            must_divide("filler", &self.name, "hardener_percent", percent)?;
        }
        // Its paste is a peroxide too.
        gel::check("filler", &self.name, Family::Polyester, self.gel_min.as_ref())
    }
}

/// What makes a resin or gelcoat go off must be there: an epoxy's hardener, or else the catalyst, each as share and density.
fn check_cure(
    kind: &'static str,
    name: &str,
    family: Family,
    hardener: [&Option<Figure>; 2],
    catalyst: [&Option<Figure>; 2],
) -> Result<(), LaminateError> {
    let (fields, figures) = match family {
        Family::Epoxy => (["hardener_per_100", "hardener_density_g_ml"], hardener),
        Family::Polyester | Family::Vinylester => (["catalyst_percent", "catalyst_density_g_ml"], catalyst),
    };
    fields.into_iter().zip(figures).try_for_each(|(field, figure)| match figure {
        Some(figure) => must_divide(kind, name, field, figure),
        None => Err(LaminateError::Missing { kind, name: name.to_owned(), field }),
    })
}

/// A figure that something is divided by, or that nothing comes of at 0.
fn must_divide(kind: &'static str, name: &str, field: &'static str, figure: &Figure) -> Result<(), LaminateError> {
    must_hold(kind, name, field, figure, figure.low >= LEAST_DIVISOR, OVER_NOTHING)
}

fn must_hold(
    kind: &'static str,
    name: &str,
    field: &'static str,
    figure: &Figure,
    holds: bool,
    wanted: &'static str,
) -> Result<(), LaminateError> {
    if holds {
        return Ok(());
    }
    Err(LaminateError::OutOfRange { kind, name: name.to_owned(), field, value: figure.value, wanted })
}
