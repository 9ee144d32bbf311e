//! Habits of what belongs to a build beyond its plies: figures with a default each.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::laminate::error::LaminateError;
use crate::laminate::figure::Figure;
use crate::laminate::materials::{NamedFigure, stock_item};

/// The starter's figures for joints, fixings, stiffeners, inner faces, moulds and release.
pub const EXTRAS_TEXT: &str = include_str!("../starter/extras.toml");
/// The starter's figures for plugs.
pub const PLUG_TEXT: &str = include_str!("../starter/plug.toml");
/// The starter's figures for what is used up.
pub const CONSUMABLES_TEXT: &str = include_str!("../starter/consumables.toml");

stock_item! {
    /// What belongs to a moulding or mould beyond its plies. Every figure has a default; write only what differs.
    Extras, ExtrasEntry, "extras";
    facts {}
    options {}
    figures {
        /// Width of the strap over a joint, both sides together, in mm.
        strap_width_mm,
        /// Plies of a strap; a whole number.
        strap_plies,
        /// Width of a lap or joggle, in mm.
        lap_width_mm,
        /// Width of a return flange at a joint, in mm.
        return_flange_width_mm,
        /// Adhesive in a joint, in mm.
        bond_mm,
        /// Density of the adhesive, in g/cm3.
        adhesive_density_g_cm3,
        /// Catalyst in the adhesive, in percent of its mass; 0 for what has a hardener of its own. A resin of the stock, and a filler of the stock with `hardener_percent`, takes what its own entry says instead.
        adhesive_catalyst_percent,
        /// Density of that catalyst where no resin or gelcoat of the piece says it, in g/ml.
        adhesive_catalyst_density_g_ml,
        /// Plies over a fixing; a whole number.
        doublers,
        /// How much further each ply over a fixing goes than the one below, in mm.
        doubler_step_mm,
        /// From stiffener to stiffener on a mould, in mm.
        stiffener_spacing_mm,
        /// Plies over a stiffener's former; a whole number.
        stiffener_plies,
        /// Tape beside the former, on either side, in mm.
        stiffener_land_mm,
        /// Width of the former, in mm.
        former_width_mm,
        /// Height of the former, in mm.
        former_height_mm,
        /// Density of a foam former, in kg/m3.
        foam_former_kg_m3,
        /// Density of a paper former, in kg/m3.
        paper_former_kg_m3,
        /// Density of a timber former or cradle, in kg/m3.
        timber_former_kg_m3,
        /// Side of the cradle's square timber, in mm.
        cradle_side_mm,
        /// Height of the cradle's four legs, in mm.
        cradle_leg_mm,
        /// Width of each tab of glass that ties the cradle's frame to the mould, in mm.
        cradle_tab_mm,
        /// From tab to tab along the frame, in mm.
        cradle_tab_spacing_mm,
        /// Flowcoat on an inner face, in kg per m2.
        flowcoat_kg_m2,
        /// Wax solution in flowcoat or in the last coat of resin, in percent by mass.
        wax_solution_percent,
        /// Waxed resin on an inner face, in kg per m2.
        waxed_resin_kg_m2,
        /// From dimple to dimple along a split flange, in mm.
        dimple_spacing_mm,
        /// Clay that seals a board to the plug, in g for a metre of board.
        seal_clay_g_m,
        /// Wax of one coat, in g per m2.
        wax_g_m2,
        /// PVA of one film, in ml per m2.
        pva_ml_m2,
        /// How much shorter a moulding is than its mould, in percent.
        shrink_percent,
        /// How far a square corner closes after release, in deg.
        spring_in_deg,
        /// Filler, primer and paint lost and kept in reserve, in percent.
        finish_reserve_percent,
        /// Wax and PVA lost and kept in reserve, in percent.
        release_reserve_percent,
        /// Bolts and small parts lost and kept in reserve, in percent.
        hardware_reserve_percent,
        /// Consumables kept in reserve, in percent.
        consumables_reserve_percent,
    }
    figure_options {}
}

/// What a plug is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PlugStuff {
    /// Polystyrene foam: styrene dissolves it.
    FoamPolystyrene,
    /// Polyurethane foam: never under a hot wire.
    FoamPolyurethane,
    /// Timber.
    Timber,
    /// Plaster.
    Plaster,
    /// Filler struck over frames of board.
    FillerOnBoard,
    /// Anything else.
    Other,
}

impl PlugStuff {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::FoamPolystyrene => "polystyrene foam",
            Self::FoamPolyurethane => "polyurethane foam",
            Self::Timber => "timber",
            Self::Plaster => "plaster",
            Self::FillerOnBoard => "filler on board",
            Self::Other => "something else",
        }
    }
}

/// The paint on a plug.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PlugPaint {
    /// Dries by its solvent alone: styrene lifts it.
    OnePack,
    /// Cures with a hardener.
    TwoPack,
}

/// The primer under it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PlugPrimer {
    /// Epoxy: under-cured it keeps gelcoat from curing.
    Epoxy,
    /// Sprayed polyester.
    Polyester,
    /// Any other.
    Other,
}

stock_item! {
    /// What the plug takes: filler, primer, paint, abrasive, wax. Every figure has a default; write only what differs.
    Plug, PlugEntry, "plug";
    facts {
        /// Grades of abrasive that the plug is gone over with, coarse to fine.
        grades: Vec<u32>,
    }
    options {
        /// What the plug is made of. It is not assumed: the amount of filler and what may touch the plug hang on it.
        made_of: PlugStuff,
        /// The paint on it.
        paint: PlugPaint,
        /// The primer under the paint.
        primer: PlugPrimer,
    }
    figures {
        /// Mean depth of filler on foam, with what is sanded off, in mm.
        filler_foam_mm,
        /// The same on timber.
        filler_timber_mm,
        /// The same on plaster.
        filler_plaster_mm,
        /// The same over board.
        filler_board_mm,
        /// Density of the filler, in g/cm3.
        filler_density_g_cm3,
        /// Hardener paste in the filler, in percent of its mass.
        filler_hardener_percent,
        /// Filler in one pass, in mm.
        filler_pass_mm,
        /// Epoxy over the cloth that seals polystyrene foam, hardener included, in kg per m2.
        seal_coat_kg_m2,
        /// What a litre of primer covers in one coat, in m2.
        primer_m2_l,
        /// What a litre of paint covers in one coat, in m2.
        paint_m2_l,
        /// Polishing compound for the paint, in g per m2.
        polish_g_m2,
        /// Sheets of a coarse grade, to P120, that a m2 takes.
        abrasive_coarse_sheets_per_m2,
        /// Of a middle grade, to P320.
        abrasive_middle_sheets_per_m2,
        /// Of a fine grade.
        abrasive_fine_sheets_per_m2,
    }
    figure_options {
        /// Mean depth of filler on this plug, in mm, in the place of the figure for what it is made of.
        filler_mm,
        /// Solids of the primer by volume, in percent; with `primer_film_um` in the place of `primer_m2_l`.
        primer_solids_percent,
        /// Dry film of one coat of primer, in thousandths of a mm.
        primer_film_um,
        /// Solids of the paint by volume, in percent; with `paint_film_um` in the place of `paint_m2_l`.
        paint_solids_percent,
        /// Dry film of one coat of paint, in thousandths of a mm.
        paint_film_um,
    }
}

stock_item! {
    /// What is used up at the bench. Every figure has a default; write only what differs.
    Consumables, ConsumablesEntry, "consumables";
    facts {}
    options {}
    figures {
        /// Acetone in litres, per hour of one person.
        acetone_l_h,
        /// Brushes per hour of one person.
        brushes_per_h,
        /// Rollers per hour of one person.
        rollers_per_h,
        /// Resin or gelcoat that one cup is used for, in kg, of what is refused at the temperature; mixes take a cup each.
        cup_kg,
        /// Mixes that one syringe draws catalyst or hardener for.
        mixes_per_syringe,
        /// Pairs of gloves per hour of one person.
        glove_pairs_per_h,
        /// Wipes per hour of one person.
        wipes_per_h,
        /// Hours that a pair of vapour filters lasts.
        filter_h,
        /// Hours that a coverall lasts.
        coverall_h,
        /// Dust masks per m2 of plug.
        dust_masks_per_m2,
    }
    figure_options {}
}

/// Colour of the mouldings: paste stirred into gelcoat that is bought without pigment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Colour {
    /// The colour, as the supplier is to read it: a name, or a number of a colour card that both have.
    #[schemars(length(min = 1))]
    pub paste: String,
    /// Paste in percent of the gelcoat's mass.
    #[serde(default = "paste_percent")]
    #[schemars(default = "paste_percent")]
    pub paste_percent: Figure,
    /// Gelcoat kept for repairs, in percent of all that the mouldings take.
    #[serde(default = "repair_percent")]
    #[schemars(default = "repair_percent")]
    pub repair_percent: Figure,
}

fn paste_percent() -> Figure {
    use crate::laminate::figure::Mark::MakersSheet;
    let source = "10 % in two suppliers' guides, 10 to 15 % by a material maker; of unpigmented gelcoat";
    Figure { low: 10.0, high: 15.0, ..Figure::new(10.0, MakersSheet, source) }
}

fn repair_percent() -> Figure {
    use crate::laminate::figure::Mark::CommonPractice;
    Figure { low: 2.0, high: 10.0, ..Figure::new(5.0, CommonPractice, "kept from the same lot for chips and repairs") }
}

fn read<Entry: for<'de> Deserialize<'de>>(text: &str) -> Result<Entry, LaminateError> {
    toml::from_str(text).map_err(|error| LaminateError::Text { message: error.to_string() })
}

/// What divides, or is counted in whole steps, must not be next to nothing; `most` keeps a slip of the pen from asking for
/// millions of something.
fn within(
    kind: &'static str,
    figures: &[NamedFigure<'_>],
    bounds: &[(&'static str, f64, f64, &'static str)],
) -> Result<(), LaminateError> {
    for &(field, least, most, wanted) in bounds {
        let Some(figure) = figures.iter().find(|named| named.field == field).map(|named| named.figure) else {
            continue;
        };
        if figure.low < least || figure.high > most {
            return Err(LaminateError::OutOfRange {
                kind,
                name: kind.to_owned(),
                field,
                value: if figure.low < least { figure.low } else { figure.high },
                wanted,
            });
        }
    }
    Ok(())
}

const PLIES: &str = "1 to 20";
const SPACING: &str = "10 or more";
const OVER_NOTHING: &str = "0.001 or more";
const NO_END: f64 = f64::INFINITY;

impl Extras {
    /// The starter's figures, with the job's over them.
    ///
    /// # Errors
    /// [`LaminateError::OutOfRange`] for a figure that cannot be.
    pub fn with(job: ExtrasEntry) -> Result<Self, LaminateError> {
        let extras = job.over(read(EXTRAS_TEXT)?).check("extras")?;
        let bounds = [
            ("strap_plies", 1.0, 20.0, PLIES),
            ("doublers", 1.0, 20.0, PLIES),
            ("stiffener_plies", 1.0, 20.0, PLIES),
            ("stiffener_spacing_mm", 10.0, NO_END, SPACING),
            ("dimple_spacing_mm", 10.0, NO_END, SPACING),
            ("cradle_tab_spacing_mm", 10.0, NO_END, SPACING),
            ("shrink_percent", 0.0, 5.0, "0 to 5"),
            ("spring_in_deg", 0.0, 10.0, "0 to 10"),
            ("adhesive_density_g_cm3", 0.001, NO_END, OVER_NOTHING),
            ("adhesive_catalyst_density_g_ml", 0.001, NO_END, OVER_NOTHING),
            ("adhesive_catalyst_percent", 0.0, 2.5, "0 to 2.5; more cures badly"),
        ];
        within("extras", &extras.figures(), &bounds)?;
        Ok(extras)
    }
}

impl Plug {
    /// The starter's figures, with the job's over them and the panel's over those.
    ///
    /// # Errors
    /// [`LaminateError::OutOfRange`] for a figure that cannot be.
    pub fn with(panel: PlugEntry, job: PlugEntry) -> Result<Self, LaminateError> {
        let plug = panel.over(job).over(read(PLUG_TEXT)?).check("plug")?;
        let bounds = [
            ("primer_m2_l", 0.001, NO_END, OVER_NOTHING),
            ("paint_m2_l", 0.001, NO_END, OVER_NOTHING),
            ("filler_pass_mm", 0.001, NO_END, OVER_NOTHING),
            ("filler_density_g_cm3", 0.001, NO_END, OVER_NOTHING),
            ("primer_solids_percent", 1.0, 100.0, "1 to 100"),
            ("paint_solids_percent", 1.0, 100.0, "1 to 100"),
            ("primer_film_um", 1.0, 5000.0, "1 to 5000"),
            ("paint_film_um", 1.0, 5000.0, "1 to 5000"),
        ];
        within("plug", &plug.figures(), &bounds)?;
        Ok(plug)
    }
}

impl Consumables {
    /// The starter's figures, with the job's over them.
    ///
    /// # Errors
    /// [`LaminateError::OutOfRange`] for a figure that cannot be.
    pub fn with(job: ConsumablesEntry) -> Result<Self, LaminateError> {
        let consumables = job.over(read(CONSUMABLES_TEXT)?).check("consumables")?;
        let bounds = [
            ("cup_kg", 0.01, NO_END, "0.01 or more"),
            ("mixes_per_syringe", 1.0, NO_END, "1 or more"),
            ("filter_h", 0.1, NO_END, "0.1 or more"),
            ("coverall_h", 0.1, NO_END, "0.1 or more"),
        ];
        within("consumables", &consumables.figures(), &bounds)?;
        Ok(consumables)
    }
}
