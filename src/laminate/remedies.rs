//! What to do at a corner that mat will not follow, in quantities.
//!
//! Over an outside corner that is too tight, mat springs off; in an inside corner it bridges and traps air. Which limit
//! counts is tested ply by ply on the radius that the ply sees: in an inside corner the radius less everything laid before
//! it, over an outside corner the radius plus it.

use serde::Serialize;

use super::plies::{PlannedPly, PliesPlan, Stuff};
use super::schedule::{CornerChoice, Zone};
use super::stock::{Binder, Filler, Kind, Reinforcement, Stock};
use crate::maths::tan;
use crate::units::{g_from_kg, kg_from_g, m2_from_mm2, ml_from_mm3, rad_from_deg};

/// How the laminator meets a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum MetAs {
    /// The mat goes into it.
    Inside,
    /// The mat goes over it.
    Outside,
}

/// Where a corner comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum CornerFrom {
    /// The shape itself.
    Face,
    /// A mould's flange meets the face here; the shape's own edge has to stay crisp.
    Flange,
}

/// A corner as the laminator meets it.
#[derive(Debug, Clone, PartialEq)]
pub struct CornerMet {
    /// Smallest radius of the tool's face, in mm; 0 if sharp.
    pub radius_mm: f64,
    /// How far the face turns, in degrees.
    pub turn_deg: f64,
    /// Length along the corner, in mm.
    pub length_mm: f64,
    /// How it is met.
    pub met_as: MetAs,
    /// Where it comes from.
    pub from: CornerFrom,
    /// The narrow side along it where its line curves, if it does.
    pub curved_side: Option<CurvedSide>,
}

/// A flange or narrow face along a corner whose line curves: its outer edge is longer or shorter than the corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvedSide {
    /// Its width in mm.
    pub width_mm: f64,
    /// How far the corner's line turns in all, in degrees, counted in the flange's own plane.
    pub line_turn_deg: f64,
    /// Whether the cuts gape at the edge (it is longer than the corner) or lap (it is shorter).
    pub opens: bool,
}

/// What one ply meets at a corner.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlySees {
    /// The ply's number.
    pub ply: usize,
    /// Its material.
    pub material: String,
    /// The radius it sees, in mm; 0 where what lies before it fills the corner.
    pub radius_mm: f64,
    /// The smallest radius it takes, in mm.
    pub limit_mm: f64,
}

impl PlySees {
    /// Whether the ply takes the corner.
    #[must_use]
    pub fn fits(&self) -> bool {
        // A radius drawn equal to the limit fits, whatever the last bits of the measurement say.
        const SLACK_MM: f64 = 1e-6;
        self.radius_mm + SLACK_MM >= self.limit_mm
    }
}

/// Where a fillet goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// On the plug, before the mould: changes the shape of everything that comes off it.
    OnPlug,
    /// Behind the gelcoat of what is being laid: does not change the shape.
    BehindGelcoat,
}

/// One thing to do, with what it takes.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub enum Remedy {
    /// Fill an inside corner with putty to a larger radius.
    Fill {
        /// Where.
        place: Place,
        /// Radius there now, in mm.
        from_radius_mm: f64,
        /// Radius to reach, in mm.
        to_radius_mm: f64,
        /// How far the fillet runs up each face from the sharp corner, in mm.
        leg_mm: f64,
        /// Section of filler in mm2.
        section_mm2: f64,
        /// Filler in ml; where corners meet, what they share is not taken off.
        filler_ml: f64,
        /// Filler in kg.
        filler_kg: f64,
        /// Name of the filler.
        filler: String,
    },
    /// Round an outside corner on the plug.
    Round {
        /// Radius there now, in mm.
        from_radius_mm: f64,
        /// Radius to reach, in mm.
        to_radius_mm: f64,
        /// What comes off, in ml.
        removed_ml: f64,
    },
    /// Lay the first ply over the corner, and butt the others on either face under a tape.
    ButtUnderTape {
        /// First ply that is butted.
        from_ply: usize,
        /// Tape's width in mm.
        width_mm: f64,
        /// Length in mm.
        length_mm: f64,
        /// Material of the tape.
        material: String,
        /// Tape for all plies that are butted, in m2.
        tape_m2: f64,
        /// How many plies are butted, and tapes laid.
        n_tapes: usize,
    },
    /// Strips of an extra ply over the corner.
    Doubler {
        /// Material.
        material: String,
        /// Width in mm.
        width_mm: f64,
        /// Length in mm.
        length_mm: f64,
        /// Area in m2.
        area_m2: f64,
    },
    /// Take a lighter first ply.
    LighterFirstPly {
        /// Material that takes the corner.
        material: String,
        /// Its limit here, in mm.
        limit_mm: f64,
        /// Material in the schedule.
        instead_of: String,
    },
    /// Cut the narrow side of a corner whose line curves.
    ReliefCuts {
        /// How many cuts.
        n_cuts: usize,
        /// From cut to cut along the corner, in mm.
        spacing_mm: f64,
        /// What the edge gains or lacks in all, in mm.
        edge_mm: f64,
        /// Gap or lap at the edge at each cut, in mm.
        gap_mm: f64,
        /// Whether the cuts gape and are patched.
        opens: bool,
        /// Patches for one ply, in m2; 0 where the cuts lap.
        patch_m2: f64,
    },
}

/// A corner's plies and what to do about those that do not follow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CornerAdvice {
    /// What each ply here meets, in order.
    pub sees: Vec<PlySees>,
    /// The first ply that does not take the corner.
    pub first_failing_ply: Option<usize>,
    /// What can be done; alternatives, but for relief cuts, which are needed beside them.
    pub remedies: Vec<Remedy>,
}

/// Section in mm2 between a corner of one radius and a larger one: `(R^2 - r^2) (cot(a/2) - (pi - a)/2)` at the interior
/// angle a. Nothing where the face turns by 180 degrees or more, or not at all: there is no fillet between such faces.
///
/// # Source
/// Area between two tangents and the arc they hold; own derivation.
#[must_use]
pub fn fillet_section_mm2(from_radius_mm: f64, to_radius_mm: f64, turn_deg: f64) -> Option<f64> {
    let half_rad = half_turn_rad(turn_deg)?;
    let squares = to_radius_mm * to_radius_mm - from_radius_mm * from_radius_mm;
    Some((squares * (tan(half_rad) - half_rad)).max(0.0))
}

/// Half the turn, in radians; `cot(a/2)` is the tangent of it.
fn half_turn_rad(turn_deg: f64) -> Option<f64> {
    // At 179 degrees a fillet of 8 mm already runs 0.9 m up its faces; past that the formula holds and means nothing.
    const MOST_TURN_DEG: f64 = 179.0;
    (turn_deg > 0.0 && turn_deg <= MOST_TURN_DEG).then(|| 0.5 * rad_from_deg(turn_deg))
}

/// Relief cuts for a flange of so much width along a line that turns: `ceil(w theta / g)`, and what the edge gains or
/// lacks in all, in mm. None for a line that is straight.
///
/// # Source
/// Length of a parallel curve at distance w: own derivation.
#[must_use]
pub fn relief_cuts(width_mm: f64, line_turn_deg: f64, gap_mm: f64) -> (usize, f64) {
    let edge_mm = width_mm * rad_from_deg(line_turn_deg.abs());
    if gap_mm <= 0.0 || edge_mm <= 0.0 {
        return (0, edge_mm.max(0.0));
    }
    // A quotient that is whole but for the last bits must not cost one more cut.
    const FUZZ: f64 = 1e-9;
    ((edge_mm / gap_mm - FUZZ).ceil().max(0.0) as usize, edge_mm)
}

/// What each of the plies that lie at a corner meets there, in the order in which they are laid.
#[must_use]
pub fn sees_by_ply(corner: &CornerMet, gelcoat_mm: f64, plies: &[&PlannedPly]) -> Vec<PlySees> {
    let mut before_mm = gelcoat_mm;
    plies
        .iter()
        .map(|ply| {
            let (radius_mm, limit_mm) = match corner.met_as {
                MetAs::Inside => ((corner.radius_mm - before_mm).max(0.0), ply.inside_limit_mm),
                MetAs::Outside => (corner.radius_mm + before_mm, ply.outside_limit_mm),
            };
            before_mm += ply.per_m2.thickness_mm.likely;
            PlySees { ply: ply.ply, material: ply.material.clone(), radius_mm, limit_mm }
        })
        .collect()
}

/// The plies of a plan that lie at a corner. Those whose zone is everywhere do; strips along corners do if the corner is
/// among theirs; of the other zones `lies_here` decides (coverage knows), by the ply's number.
#[must_use]
pub fn plies_at<'a>(plan: &'a PliesPlan, corner: &CornerMet, lies_here: impl Fn(usize) -> bool) -> Vec<&'a PlannedPly> {
    let here = |ply: &&PlannedPly| match &ply.zone {
        Zone::All => true,
        Zone::Corners(strip) => strip.takes(corner),
        Zone::Edges(_) | Zone::Above(_) | Zone::Below(_) | Zone::Beyond(_) | Zone::Region(_) => lies_here(ply.ply),
    };
    plan.plies.iter().filter(here).collect()
}

impl super::schedule::CornerStrip {
    /// Whether a strip along corners runs along this one.
    #[must_use]
    pub fn takes(&self, corner: &CornerMet) -> bool {
        self.meets(corner.met_as) && self.tighter_than_mm.is_none_or(|limit_mm| corner.radius_mm < limit_mm)
    }

    /// Whether a strip runs along corners that are met so.
    #[must_use]
    pub fn meets(&self, met_as: MetAs) -> bool {
        match self.met_as {
            CornerChoice::Both => true,
            CornerChoice::Inside => met_as == MetAs::Inside,
            CornerChoice::Outside => met_as == MetAs::Outside,
        }
    }
}

/// The radius of the tool's face, in mm, at which every ply here fits; 0 for no plies.
#[must_use]
pub fn radius_for_all_mm(corner: &CornerMet, gelcoat_mm: f64, plies: &[&PlannedPly]) -> f64 {
    let mut before_mm = gelcoat_mm;
    let mut wanted_mm = 0.0f64;
    for ply in plies {
        wanted_mm = wanted_mm.max(match corner.met_as {
            MetAs::Inside => ply.inside_limit_mm + before_mm,
            MetAs::Outside => ply.outside_limit_mm - before_mm,
        });
        before_mm += ply.per_m2.thickness_mm.likely;
    }
    wanted_mm
}

/// Tests a corner ply by ply and says what can be done, with quantities. `plies` are those that lie here, in order.
#[must_use]
pub fn advise(
    corner: &CornerMet,
    plan: &PliesPlan,
    plies: &[&PlannedPly],
    stock: &Stock,
    filler: Option<&Filler>,
) -> CornerAdvice {
    let gelcoat_mm = plan.gelcoat_mm();
    let sees = sees_by_ply(corner, gelcoat_mm, plies);
    let first_failing = sees.iter().position(|sees| !sees.fits());
    let mut remedies = Vec::new();
    if let Some(index) = first_failing {
        let wanted_mm = radius_for_all_mm(corner, gelcoat_mm, plies);
        remedies.extend(reshape(corner, wanted_mm, gelcoat_mm, filler));
        if index == 0 {
            remedies.extend(lighter_first_ply(corner, gelcoat_mm, plies[0], stock));
        }
        remedies.extend(tape_and_doubler(corner, index, plies, stock));
    }
    remedies.extend(cuts(corner, plies, stock));
    CornerAdvice { first_failing_ply: first_failing.map(|index| sees[index].ply), sees, remedies }
}

/// Filling or rounding, in every place where it can be done.
fn reshape(corner: &CornerMet, wanted_mm: f64, gelcoat_mm: f64, filler: Option<&Filler>) -> Vec<Remedy> {
    let Some(half_rad) = half_turn_rad(corner.turn_deg) else { return Vec::new() };
    let section = |from_mm, to_mm| fillet_section_mm2(from_mm, to_mm, corner.turn_deg).unwrap_or(0.0);
    if corner.met_as == MetAs::Outside {
        let removed_ml = ml_from_mm3(section(corner.radius_mm, wanted_mm) * corner.length_mm);
        return vec![Remedy::Round { from_radius_mm: corner.radius_mm, to_radius_mm: wanted_mm, removed_ml }];
    }
    let fill = |place, from_radius_mm, to_radius_mm| {
        let filler = filler?;
        let section_mm2 = section(from_radius_mm, to_radius_mm);
        let filler_ml = ml_from_mm3(section_mm2 * corner.length_mm);
        Some(Remedy::Fill {
            place,
            from_radius_mm,
            to_radius_mm,
            leg_mm: to_radius_mm * tan(half_rad),
            section_mm2,
            filler_ml,
            filler_kg: kg_from_g(filler_ml * filler.density_g_cm3.value),
            filler: filler.name.clone(),
        })
    };
    // Behind the gelcoat the film has already taken its thickness off both radii.
    let behind =
        fill(Place::BehindGelcoat, (corner.radius_mm - gelcoat_mm).max(0.0), (wanted_mm - gelcoat_mm).max(0.0));
    let on_plug = fill(Place::OnPlug, corner.radius_mm, wanted_mm).filter(|_| corner.from == CornerFrom::Face);
    [behind, on_plug].into_iter().flatten().collect()
}

/// The heaviest mat or tissue of the stock that takes the corner first, if the schedule's first ply does not.
fn lighter_first_ply(corner: &CornerMet, gelcoat_mm: f64, first: &PlannedPly, stock: &Stock) -> Option<Remedy> {
    let radius_mm = match corner.met_as {
        MetAs::Inside => (corner.radius_mm - gelcoat_mm).max(0.0),
        MetAs::Outside => corner.radius_mm + gelcoat_mm,
    };
    let epoxy = stock.is_epoxy(&first.resin);
    let best = stock
        .reinforcements
        .values()
        .filter(|candidate| candidate.next_to_gelcoat && matches!(candidate.kind, Kind::Mat | Kind::Tissue))
        .filter(|candidate| !epoxy || matches!(candidate.binder, Binder::Stitched | Binder::None))
        .filter(|candidate| limit_mm(candidate, corner.met_as) <= radius_mm)
        .max_by(|a, b| a.areal_weight_g_m2.value.total_cmp(&b.areal_weight_g_m2.value))?;
    Some(Remedy::LighterFirstPly {
        material: best.name.clone(),
        limit_mm: limit_mm(best, corner.met_as),
        instead_of: first.material.clone(),
    })
}

fn limit_mm(reinforcement: &Reinforcement, met_as: MetAs) -> f64 {
    match met_as {
        MetAs::Inside => reinforcement.inside_limit_mm.value,
        MetAs::Outside => reinforcement.outside_limit_mm.value,
    }
}

/// Butting the plies that fail under tapes, and a doubler that makes good what bridging loses.
fn tape_and_doubler(corner: &CornerMet, failing: usize, plies: &[&PlannedPly], stock: &Stock) -> Vec<Remedy> {
    let width_mm = stock.practice.corner_strip_mm.value;
    let strip_m2 = m2_from_mm2(width_mm * corner.length_mm);
    let material = tape_material(failing, plies);
    let n_tapes = plies[failing.max(1).min(plies.len())..].iter().filter(|ply| is_glass(ply)).count();
    let butt = (n_tapes > 0).then(|| Remedy::ButtUnderTape {
        from_ply: plies[failing.max(1)].ply,
        width_mm,
        length_mm: corner.length_mm,
        material: material.clone(),
        tape_m2: strip_m2 * n_tapes as f64,
        n_tapes,
    });
    let doubler = Remedy::Doubler { material, width_mm, length_mm: corner.length_mm, area_m2: strip_m2 };
    butt.into_iter().chain([doubler]).collect()
}

fn is_glass(ply: &PlannedPly) -> bool {
    matches!(ply.stuff, Stuff::Glass(_))
}

/// Tapes are cut from the lightest glass that the lay-up here uses: it follows best.
fn tape_material(failing: usize, plies: &[&PlannedPly]) -> String {
    let glass = plies.iter().filter(|ply| is_glass(ply));
    let lightest = glass.min_by(|a, b| a.per_m2.glass_kg_m2.total_cmp(&b.per_m2.glass_kg_m2));
    lightest.unwrap_or(&plies[failing]).material.clone()
}

fn cuts(corner: &CornerMet, plies: &[&PlannedPly], stock: &Stock) -> Option<Remedy> {
    let side = corner.curved_side?;
    let gap_mm = stock.practice.relief_gap_mm.value;
    let (n_cuts, edge_mm) = relief_cuts(side.width_mm, side.line_turn_deg, gap_mm);
    if n_cuts == 0 {
        return None;
    }
    let lap_mm = plies
        .iter()
        .find_map(|ply| stock.reinforcements.get(&ply.material))
        .map_or(0.0, |reinforcement| reinforcement.lap_mm.value);
    let gap_each_mm = edge_mm / n_cuts as f64;
    // A wedge is covered by a rectangle that laps it on both sides and at its point.
    let patch_mm2 = (gap_each_mm + 2.0 * lap_mm) * (side.width_mm + lap_mm);
    Some(Remedy::ReliefCuts {
        n_cuts,
        spacing_mm: corner.length_mm / n_cuts as f64,
        edge_mm,
        gap_mm: gap_each_mm,
        opens: side.opens,
        patch_m2: if side.opens { m2_from_mm2(patch_mm2) * n_cuts as f64 } else { 0.0 },
    })
}

impl Remedy {
    /// The remedy as a sentence for the bench.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::Fill { place, from_radius_mm, to_radius_mm, leg_mm, filler_ml, filler_kg, filler, .. } => {
                let place = match place {
                    Place::OnPlug => "On the plug (this changes the shape), fill",
                    Place::BehindGelcoat => "Behind the gelcoat (the shape stays), fill",
                };
                format!(
                    "{place} from {from_radius_mm:.1} to {to_radius_mm:.1} mm radius, {leg_mm:.0} mm up each face: \
                     {} ml or {} of {filler}.",
                    measured(*filler_ml),
                    mass(*filler_kg)
                )
            }
            Self::Round { from_radius_mm, to_radius_mm, removed_ml } => format!(
                "On the plug (this changes the shape), round from {from_radius_mm:.1} to {to_radius_mm:.1} mm radius; \
                 {} ml come off.",
                measured(*removed_ml)
            ),
            Self::ButtUnderTape { from_ply, width_mm, length_mm, material, tape_m2, n_tapes } => format!(
                "Lay what follows over the corner, butt from ply {from_ply} on either face and cover each butt with a tape \
                 of {material}, {width_mm:.0} mm by {length_mm:.0} mm: {n_tapes} tapes, {tape_m2:.3} m2."
            ),
            Self::Doubler { material, width_mm, length_mm, area_m2 } => format!(
                "Lay a doubler of {material} over the corner, {width_mm:.0} mm by {length_mm:.0} mm: {area_m2:.3} m2."
            ),
            Self::LighterFirstPly { material, limit_mm, instead_of } => {
                format!("Lay {material} first here instead of {instead_of}: it takes {limit_mm:.0} mm.")
            }
            Self::ReliefCuts { n_cuts, spacing_mm, edge_mm, gap_mm, opens, patch_m2 } => {
                let (word, what) = if *opens { ("lacks", "gape") } else { ("has", "lap") };
                let too_much = if *opens { "" } else { " too much" };
                let patches =
                    if *opens { format!("; patch the wedges, {patch_m2:.3} m2 a ply") } else { String::new() };
                let plural = if *n_cuts == 1 { "" } else { "s" };
                format!(
                    "The mat {word} {edge_mm:.0} mm{too_much} at the edge: make {n_cuts} relief cut{plural}, one every {spacing_mm:.0} mm, which \
                     {what} {gap_mm:.0} mm at the edge{patches}."
                )
            }
        }
    }
}

/// Whole from ten on, below that to a tenth, and what is still less to a hundredth: no corner takes 0 ml.
#[must_use]
pub fn measured(value: f64) -> String {
    match value {
        9.95.. => format!("{value:.0}"),
        0.095.. => format!("{value:.1}"),
        0.005.. => format!("{value:.2}"),
        _ => "under 0.01".to_owned(),
    }
}

/// A mass in kg, or in grams where two decimals of a kg would show little of it.
fn mass(kg: f64) -> String {
    if kg >= 0.05 { format!("{kg:.2} kg") } else { format!("{} g", measured(g_from_kg(kg))) }
}

#[cfg(test)]
mod tests;
