//! A schedule ply by ply: what each weighs, how deep it lies, how tight a corner it takes.

use super::error::LaminateError;
use super::figure::Spread;
use super::ply::{PerSquareMetre, wet_core, wet_ply};
use super::schedule::{Layer, Make, Schedule, Zone};
use super::stock::{Core, Kind, Material, Reinforcement, Stock, WetOut};
use super::workings::{Op, Term, Working};
use crate::units::g_from_kg;

/// Plies that a schedule may have, bonding mats of cores included: as many as coverage tells apart on a facet.
pub const MOST_PLIES: usize = 128;

/// What a ply is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stuff {
    /// Glass.
    Glass(Kind),
    /// The mat that a core is bedded in.
    BondingMat(Kind),
    /// A core, whose edge runs out over so many mm.
    Core {
        /// Width of the band over which it thins to nothing, in mm.
        taper_mm: f64,
    },
}

impl Stuff {
    /// The word for it, as documents and drawings use it: the kind of glass, or `core`.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Glass(kind) | Self::BondingMat(kind) => kind.word(),
            Self::Core { .. } => "core",
        }
    }
}

/// One ply of a schedule, before anything is known of the piece.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedPly {
    /// Its number from the tool, from 1.
    pub ply: usize,
    /// Its layer in the schedule, from 1.
    pub layer: usize,
    /// Name for lists.
    pub name: String,
    /// Name of its material in the stock.
    pub material: String,
    /// What it is.
    pub stuff: Stuff,
    /// Where it lies.
    pub zone: Zone,
    /// How far it stays clear of edges, in mm.
    pub clear_of_edges_mm: f64,
    /// Name of the resin it is laid in.
    pub resin: String,
    /// Mass per area as it is bought, in g/m2: of the dry glass, or of the core.
    pub areal_weight_g_m2: f64,
    /// What it weighs and how thick it is.
    pub per_m2: PerSquareMetre,
    /// Where it begins: gelcoat and the plies before it that lie everywhere, in mm from the tool.
    pub depth_mm: f64,
    /// Smallest inside corner it takes, in mm.
    pub inside_limit_mm: f64,
    /// Smallest outside corner it takes, in mm.
    pub outside_limit_mm: f64,
}

impl PlannedPly {
    /// Depth of its middle from the tool in mm, where every ply before it that lies everywhere lies.
    #[must_use]
    pub fn mid_depth_mm(&self) -> f64 {
        self.depth_mm + 0.5 * self.per_m2.thickness_mm.likely
    }
}

/// The gelcoat of a schedule.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedGelcoat {
    /// Its name in the stock.
    pub name: String,
    /// What is put on, in kg/m2.
    pub coverage_kg_m2: Spread,
    /// Its film in mm.
    pub thickness_mm: Spread,
    /// Its colour, where the stock says it.
    pub colour: Option<String>,
}

/// A schedule with the stock's figures in it.
#[derive(Debug, Clone, PartialEq)]
pub struct PliesPlan {
    /// Name of the schedule.
    pub schedule: String,
    /// What it makes.
    pub make: Make,
    /// Its gelcoat.
    pub gelcoat: Option<PlannedGelcoat>,
    /// Its plies, from the tool outwards.
    pub plies: Vec<PlannedPly>,
    /// Catalyst of the schedule in percent, if it does not leave it to the resin.
    pub catalyst_percent: Option<f64>,
    /// The sums behind resin and thickness of each ply, and the thickness in all.
    pub workings: Vec<Working>,
}

impl PliesPlan {
    /// Film of gelcoat in mm; 0 without.
    #[must_use]
    pub fn gelcoat_mm(&self) -> f64 {
        self.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.thickness_mm.likely)
    }

    /// Thickness in mm, gelcoat left out, where only the layers lie that lie everywhere.
    #[must_use]
    pub fn plain_thickness_mm(&self) -> Spread {
        self.plies.iter().filter(|ply| ply.zone == Zone::All).map(|ply| ply.per_m2.thickness_mm).sum()
    }

    /// Whether it has a core.
    #[must_use]
    pub fn is_cored(&self) -> bool {
        self.plies.iter().any(|ply| matches!(ply.stuff, Stuff::Core { .. }))
    }
}

/// Expands a schedule into plies, in the order in which they are laid. A core brings its bonding mat before it.
///
/// # Errors
/// [`LaminateError`] if the schedule names what the stock does not hold, or holds a number that cannot be.
pub fn plan_plies(name: &str, schedule: &Schedule, stock: &Stock) -> Result<PliesPlan, LaminateError> {
    schedule.check(name, stock)?;
    let user = format!("schedule \"{name}\"");
    let gelcoat = match &schedule.gelcoat {
        Some(gelcoat) => Some(plan_gelcoat(&user, gelcoat, stock)?),
        None => None,
    };
    let depth_mm = gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.thickness_mm.likely);
    let mut plies = Vec::new();
    for (index, layer) in schedule.layers.iter().enumerate() {
        let user = format!("{user}, layer {}", index + 1);
        for _ in 0..layer.plies {
            plies.extend(plan_layer(&user, index + 1, layer, &schedule.resin, stock)?);
        }
    }
    if plies.len() > MOST_PLIES {
        return Err(LaminateError::TooManyPlies { name: name.to_owned(), n_plies: plies.len(), most: MOST_PLIES });
    }
    stack(&mut plies, depth_mm);
    let mut plan = PliesPlan {
        schedule: name.to_owned(),
        make: schedule.make,
        gelcoat,
        plies,
        catalyst_percent: schedule.catalyst_percent,
        workings: Vec::new(),
    };
    plan.workings =
        plan.plies.iter().flat_map(|ply| ply_workings(ply, stock)).chain([thickness_working(&plan)]).collect();
    Ok(plan)
}

fn plan_gelcoat(user: &str, name: &str, stock: &Stock) -> Result<PlannedGelcoat, LaminateError> {
    let gelcoat = stock.gelcoat(user, name)?;
    Ok(PlannedGelcoat {
        name: name.to_owned(),
        coverage_kg_m2: gelcoat.coverage_kg_m2.spread(),
        thickness_mm: gelcoat.thickness_mm.spread(),
        colour: gelcoat.colour.clone(),
    })
}

/// One ply of a layer; two for a core, which is bedded in its mat.
fn plan_layer(
    user: &str,
    layer_number: usize,
    layer: &Layer,
    schedule_resin: &str,
    stock: &Stock,
) -> Result<Vec<PlannedPly>, LaminateError> {
    let resin_name = layer.resin.as_deref().unwrap_or(schedule_resin);
    let resin = stock.resin(user, resin_name)?;
    let ply = |material: &str, stuff, areal_weight_g_m2, per_m2, inside_limit_mm, outside_limit_mm| PlannedPly {
        ply: 0,
        layer: layer_number,
        name: layer.name.clone().unwrap_or_else(|| material.to_owned()),
        material: material.to_owned(),
        stuff,
        zone: layer.zone.clone(),
        clear_of_edges_mm: layer.clear_of_edges_mm.unwrap_or(0.0),
        resin: resin_name.to_owned(),
        areal_weight_g_m2,
        per_m2,
        depth_mm: 0.0,
        inside_limit_mm,
        outside_limit_mm,
    };
    let glass = |reinforcement: &Reinforcement, stuff| {
        let (inside, outside) = (reinforcement.inside_limit_mm.value, reinforcement.outside_limit_mm.value);
        let weight = reinforcement.areal_weight_g_m2.value;
        ply(&reinforcement.name, stuff, weight, wet_ply(reinforcement, resin), inside, outside)
    };
    Ok(match stock.material(user, &layer.material)? {
        Material::Reinforcement(reinforcement) => vec![glass(reinforcement, Stuff::Glass(reinforcement.kind))],
        Material::Core(core) => {
            let Some(mat) = stock.reinforcements.get(&core.bonding_mat) else {
                return Err(missing_mat(core));
            };
            let taper_mm = core.taper_ratio.value * core.thickness_mm.value;
            let limit_mm = core.inside_limit_mm.value;
            let mut bedding = glass(mat, Stuff::BondingMat(mat.kind));
            bedding.name = format!("bonding mat of {}", core.name);
            let per_m2 = wet_core(core);
            let weight = g_from_kg(per_m2.core_kg_m2);
            vec![bedding, ply(&core.name, Stuff::Core { taper_mm }, weight, per_m2, limit_mm, limit_mm)]
        }
    })
}

/// The factors that make kg/m2 of resin: weight of the glass by its ratio, or what the stock gives. Of a core what it drinks.
/// Nothing for a material that is not in this stock.
#[must_use]
pub fn resin_factors(ply: &PlannedPly, stock: &Stock) -> Vec<Term> {
    let term = |op, value, unit, what: &'static str| Term { op, value, unit, what: what.into() };
    let glass = || term(Op::Plus, ply.per_m2.glass_kg_m2, "kg/m2", "glass");
    if let Some(core) = stock.cores.get(&ply.material) {
        return vec![term(Op::Plus, core.resin_kg_m2.value, "kg/m2", "drunk by the core")];
    }
    match stock.reinforcements.get(&ply.material).and_then(Reinforcement::wet_out) {
        Some(WetOut::ResinPerGlass(ratio)) => vec![glass(), term(Op::Times, ratio.value, "", "resin to glass")],
        Some(WetOut::GlassContent(psi)) => vec![
            glass(),
            term(Op::Times, 1.0 - psi.value, "", "resin content"),
            term(Op::Over, psi.value, "", "glass content"),
        ],
        Some(WetOut::ResinKgM2(resin)) => vec![term(Op::Plus, resin.value, "kg/m2", "resin")],
        None => Vec::new(),
    }
}

/// Resin per m2 and thickness of one ply; a core is as thick as it is bought.
fn ply_workings(ply: &PlannedPly, stock: &Stock) -> Vec<Working> {
    const LIST: &str = "schedule_plies";
    let factors = resin_factors(ply, stock);
    let per_m2 = &ply.per_m2;
    let resin = Working::of_ply(LIST, ply.ply, "resin_kg_m2", "resin per m2", per_m2.resin_kg_m2.likely, "kg/m2")
        .then(&factors);
    let resin = (factors.len() > 1).then_some(resin);
    let densities = stock.reinforcements.get(&ply.material).zip(stock.resins.get(&ply.resin));
    let thickness = densities.map(|(glass, resin)| {
        Working::of_ply(LIST, ply.ply, "thickness_mm", "thickness", per_m2.thickness_mm.likely, "mm")
            .plus(per_m2.glass_kg_m2, "kg/m2", "glass")
            .over(glass.glass_density_g_cm3.value, "g/cm3", "its density")
            .then(&factors)
            .over(resin.cured_density_g_cm3.value, "g/cm3", "cured resin's density")
    });
    resin.into_iter().chain(thickness).collect()
}

fn thickness_working(plan: &PliesPlan) -> Working {
    let everywhere = plan.plies.iter().filter(|ply| ply.zone == Zone::All);
    let sum = Working::of(
        "thickness_mm",
        "thickness where only the plies lie that lie everywhere",
        plan.plain_thickness_mm().likely,
        "mm",
    );
    everywhere.fold(sum, |sum, ply| sum.plus(ply.per_m2.thickness_mm.likely, "mm", format!("ply {}", ply.ply)))
}

fn missing_mat(core: &Core) -> LaminateError {
    LaminateError::Unknown {
        user: format!("core \"{}\"", core.name),
        kind: "reinforcement",
        name: core.bonding_mat.clone(),
        nearest: None,
    }
}

/// Numbers the plies and adds up what lies under each everywhere. A strip or patch under a ply lifts it only locally;
/// where that matters (the limit at a corner, thickness of a facet) the plies that do lie there are counted.
fn stack(plies: &mut [PlannedPly], gelcoat_mm: f64) {
    let mut depth_mm = gelcoat_mm;
    for (index, ply) in plies.iter_mut().enumerate() {
        ply.ply = index + 1;
        ply.depth_mm = depth_mm;
        if ply.zone == Zone::All {
            depth_mm += ply.per_m2.thickness_mm.likely;
        }
    }
}
