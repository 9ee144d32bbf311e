//! What one piece takes: glass, resin, gelcoat, catalyst; how thick it gets and what it weighs.
//!
//! Four areas are never mixed up:
//!
//! - **net**: the moulded face that a ply covers, as measured; not grown, without flanges and laps;
//! - **on the part**: what stays on what comes out: net (at the ply's own depth if growth is asked for), the laps on it,
//!   and a mould's flanges. This is what weighs;
//! - **laid**: on the part, and what is cut away later: trim past the edge, openings laid across, laps that reach into
//!   the trim. This is what has to be wetted out, so glass and resin are reckoned from it;
//! - **bought**: what comes off the roll by drops, see `workshop::drops`.
//!
//! A cured laminate is reckoned at the mass of glass and resin laid down; what a polyester loses as styrene and what its
//! catalyst adds are of the same small size and are left out.

use serde::Serialize;

use super::cure::{Agent, Cure, Dose};
use super::error::LaminateError;
use super::figure::Spread;
use super::lay_up_workings::{gelcoat_workings, piece_workings, ply_workings};
use super::plies::{PlannedPly, PliesPlan, Stuff};
use super::stock::Stock;
use super::workings::Working;
use crate::units::{m2_from_mm2, total};

/// The areas of one ply, or of the gelcoat, on one piece.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PlyAreas {
    /// The moulded face that it covers, in m2.
    pub net_m2: f64,
    /// The same at the ply's mid-depth, in m2; equal to `net_m2` where growth is left out.
    pub grown_m2: f64,
    /// Laps between the widths of a ply, as far as they stay on the part, in m2.
    pub laps_on_part_m2: f64,
    /// The same laps with what of them lies in the trim, in m2.
    pub laps_laid_m2: f64,
    /// A mould's flanges, in m2.
    pub flange_m2: f64,
    /// What runs past the trim line and is cut off, in m2.
    pub trim_m2: f64,
    /// Openings laid across and cut out later, in m2.
    pub laid_across_m2: f64,
    /// Length of the area's edge in mm; only a core needs it, for its taper.
    pub edge_mm: f64,
}

impl PlyAreas {
    /// The areas of a ply that covers so much and nothing beside, without growth.
    #[must_use]
    pub fn plain(net_m2: f64) -> Self {
        Self { net_m2, grown_m2: net_m2, ..Self::default() }
    }

    /// What stays on the part, in m2.
    #[must_use]
    pub fn on_part_m2(&self) -> f64 {
        self.grown_m2 + self.laps_on_part_m2 + self.flange_m2
    }

    /// What is wetted out, in m2.
    #[must_use]
    pub fn laid_m2(&self) -> f64 {
        self.grown_m2 + self.laps_laid_m2 + self.flange_m2 + self.trim_m2 + self.laid_across_m2
    }
}

/// One ply as laid on one piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidPly {
    /// Its number from the tool, from 1.
    pub ply: usize,
    /// Its layer in the schedule, from 1.
    pub layer: usize,
    /// Name for lists.
    pub name: String,
    /// Name of its material in the stock.
    pub material: String,
    /// Where it lies, in words.
    pub zone: String,
    /// Name of its resin in the stock.
    pub resin: String,
    /// The moulded face it covers, in m2.
    pub net_m2: f64,
    /// What stays on the part, in m2.
    pub on_part_m2: f64,
    /// What is wetted out, in m2.
    pub laid_m2: f64,
    /// Glass laid, in kg.
    pub glass_kg: f64,
    /// Core laid, in kg, its taper taken off.
    pub core_kg: f64,
    /// Resin laid, in kg; of an epoxy the mix.
    pub resin_kg: Spread,
    /// The resin alone, in kg, at the likely value: without an epoxy's hardener.
    pub resin_alone_kg: f64,
    /// Thickness of the ply in mm.
    pub thickness_mm: Spread,
    /// What of it stays on the part, in kg.
    pub mass_kg: Spread,
    /// Catalyst or hardener for its resin, at the likely value.
    pub dose: Option<Dose>,
}

/// Gelcoat on one piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidGelcoat {
    /// Name in the stock.
    pub name: String,
    /// What stays on the part, in m2.
    pub on_part_m2: f64,
    /// What is put on, in m2.
    pub laid_m2: f64,
    /// What is put on, in kg.
    pub laid_kg: Spread,
    /// What of it stays on the part, in kg.
    pub mass_kg: Spread,
    /// Film in mm.
    pub thickness_mm: Spread,
    /// Its colour, where the stock says it.
    pub colour: Option<String>,
    /// The gelcoat alone, in kg, at the likely value: without an epoxy's hardener.
    pub alone_kg: f64,
    /// Catalyst or hardener in it.
    pub dose: Option<Dose>,
    /// Coats that it goes on in.
    pub n_coats: u32,
}

/// One resin on one piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaidResin {
    /// Name in the stock.
    pub name: String,
    /// What is laid, in kg; of an epoxy the mix.
    pub laid_kg: Spread,
    /// The resin alone, in kg, at the likely value: without an epoxy's hardener.
    pub resin_alone_kg: f64,
    /// Catalyst or hardener, at the likely value.
    pub dose: Option<Dose>,
}

/// What one piece takes and weighs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LayUp {
    /// Name of the schedule.
    pub schedule: String,
    /// Its gelcoat.
    pub gelcoat: Option<LaidGelcoat>,
    /// Its plies, from the tool outwards.
    pub plies: Vec<LaidPly>,
    /// Its resins, in the order in which they are first used.
    pub resins: Vec<LaidResin>,
    /// Glass laid, in kg.
    pub glass_kg: f64,
    /// Core laid, in kg.
    pub core_kg: f64,
    /// Resin laid, in kg (of an epoxy the mix).
    pub resin_kg: Spread,
    /// Catalyst for resin and gelcoat, in g.
    pub catalyst_g: f64,
    /// The same in ml.
    pub catalyst_ml: f64,
    /// Hardener of epoxies, in g.
    pub hardener_g: f64,
    /// Thickness in mm where only the layers lie that lie everywhere, gelcoat left out.
    pub thickness_mm: Spread,
    /// What comes out, in kg, gelcoat included.
    pub mass_kg: Spread,
    /// The sums behind all of these, gelcoat first, then ply by ply, then the piece.
    pub workings: Vec<Working>,
}

/// Reckons one piece from the areas of its plies.
///
/// # Errors
/// [`LaminateError::AreaCount`] if there is not one set of areas for each ply; [`LaminateError::Unknown`] if a resin or
/// gelcoat of the plan is not in this stock.
pub fn lay_up(
    plan: &PliesPlan,
    gelcoat_areas: &PlyAreas,
    areas: &[PlyAreas],
    stock: &Stock,
) -> Result<LayUp, LaminateError> {
    if areas.len() != plan.plies.len() {
        return Err(LaminateError::AreaCount { n_plies: plan.plies.len(), n_areas: areas.len() });
    }
    let plies = plan.plies.iter().zip(areas).map(|(ply, areas)| lay_ply(ply, areas, plan, stock));
    let plies = plies.collect::<Result<Vec<LaidPly>, LaminateError>>()?;
    let gelcoat = lay_gelcoat(plan, gelcoat_areas, stock)?;
    let resins = lay_resins(plan, &plies, stock)?;
    let doses: Vec<Dose> =
        resins.iter().map(|resin| resin.dose).chain([gelcoat_dose(gelcoat.as_ref())]).flatten().collect();
    let sum = |agent, part: fn(&Dose) -> f64| total(doses.iter().filter(|dose| dose.agent == agent).map(part));
    let gelcoat_mass_kg = gelcoat.as_ref().map_or_else(Spread::default, |gelcoat| gelcoat.mass_kg);
    let mut lay_up = LayUp {
        schedule: plan.schedule.clone(),
        glass_kg: total(plies.iter().map(|ply| ply.glass_kg)),
        core_kg: total(plies.iter().map(|ply| ply.core_kg)),
        resin_kg: plies.iter().map(|ply| ply.resin_kg).sum(),
        catalyst_g: sum(Agent::Catalyst, |dose| dose.g),
        catalyst_ml: sum(Agent::Catalyst, |dose| dose.ml),
        hardener_g: sum(Agent::Hardener, |dose| dose.g),
        thickness_mm: plan.plain_thickness_mm(),
        mass_kg: gelcoat_mass_kg + plies.iter().map(|ply| ply.mass_kg).sum(),
        gelcoat,
        plies,
        resins,
        workings: Vec::new(),
    };
    let of_gelcoat = lay_up.gelcoat.iter().flat_map(|gelcoat| gelcoat_workings(gelcoat, gelcoat_areas, plan, stock));
    let laid = plan.plies.iter().zip(areas).zip(&lay_up.plies);
    let of_plies = laid.flat_map(|((ply, areas), laid)| ply_workings(ply, areas, laid, plan, stock));
    lay_up.workings = of_gelcoat.chain(of_plies).chain(piece_workings(&lay_up, plan)).collect();
    Ok(lay_up)
}

fn gelcoat_dose(gelcoat: Option<&LaidGelcoat>) -> Option<Dose> {
    gelcoat.and_then(|gelcoat| gelcoat.dose)
}

fn lay_ply(ply: &PlannedPly, areas: &PlyAreas, plan: &PliesPlan, stock: &Stock) -> Result<LaidPly, LaminateError> {
    let (on_part_m2, laid_m2) = (areas.on_part_m2(), areas.laid_m2());
    // Along its edge a core thins to nothing over the taper: half of that band's volume is not there.
    let taper_m2 = match ply.stuff {
        Stuff::Core { taper_mm } => m2_from_mm2(0.5 * taper_mm * areas.edge_mm),
        Stuff::Glass(_) | Stuff::BondingMat(_) => 0.0,
    };
    let core_kg = |area_m2: f64| ply.per_m2.core_kg_m2 * (area_m2 - taper_m2).max(0.0);
    let glass_kg_m2 = ply.per_m2.glass_kg_m2;
    let resin_kg = ply.per_m2.resin_kg_m2.map(|resin_kg_m2| resin_kg_m2 * laid_m2);
    let resin = stock.resin(&format!("schedule \"{}\"", plan.schedule), &ply.resin)?;
    let cure = Cure::of_resin(resin, plan.catalyst_percent);
    Ok(LaidPly {
        ply: ply.ply,
        layer: ply.layer,
        name: ply.name.clone(),
        material: ply.material.clone(),
        zone: ply.zone.words(),
        resin: ply.resin.clone(),
        net_m2: areas.net_m2,
        on_part_m2,
        laid_m2,
        glass_kg: glass_kg_m2 * laid_m2,
        core_kg: core_kg(laid_m2),
        resin_kg,
        resin_alone_kg: cure.map_or(resin_kg.likely, |cure| cure.resin_kg(resin_kg.likely)),
        thickness_mm: ply.per_m2.thickness_mm,
        mass_kg: ply.per_m2.resin_kg_m2.map(|resin| (resin + glass_kg_m2) * on_part_m2 + core_kg(on_part_m2)),
        dose: cure.map(|cure| cure.dose(resin_kg.likely)),
    })
}

fn lay_gelcoat(plan: &PliesPlan, areas: &PlyAreas, stock: &Stock) -> Result<Option<LaidGelcoat>, LaminateError> {
    let Some(planned) = &plan.gelcoat else { return Ok(None) };
    let gelcoat = stock.gelcoat(&format!("schedule \"{}\"", plan.schedule), &planned.name)?;
    let laid_kg = planned.coverage_kg_m2.map(|coverage| coverage * areas.laid_m2());
    let cure = Cure::of_gelcoat(gelcoat);
    Ok(Some(LaidGelcoat {
        name: planned.name.clone(),
        on_part_m2: areas.on_part_m2(),
        laid_m2: areas.laid_m2(),
        laid_kg,
        mass_kg: planned.coverage_kg_m2.map(|coverage| coverage * areas.on_part_m2()),
        thickness_mm: planned.thickness_mm,
        colour: planned.colour.clone(),
        alone_kg: cure.map_or(laid_kg.likely, |cure| cure.resin_kg(laid_kg.likely)),
        dose: cure.map(|cure| cure.dose(laid_kg.likely)),
        n_coats: gelcoat.n_coats(&stock.practice),
    }))
}

fn lay_resins(plan: &PliesPlan, plies: &[LaidPly], stock: &Stock) -> Result<Vec<LaidResin>, LaminateError> {
    let mut names: Vec<&str> = Vec::new();
    for ply in plies {
        if !names.contains(&ply.resin.as_str()) {
            names.push(&ply.resin);
        }
    }
    let user = format!("schedule \"{}\"", plan.schedule);
    names
        .into_iter()
        .map(|name| {
            let resin = stock.resin(&user, name)?;
            let laid_kg: Spread = plies.iter().filter(|ply| ply.resin == name).map(|ply| ply.resin_kg).sum();
            let cure = Cure::of_resin(resin, plan.catalyst_percent);
            Ok(LaidResin {
                name: name.to_owned(),
                laid_kg,
                resin_alone_kg: cure.map_or(laid_kg.likely, |cure| cure.resin_kg(laid_kg.likely)),
                dose: cure.map(|cure| cure.dose(laid_kg.likely)),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests;
