//! Schedules for the same panel side by side: mass, cost, thickness, time, stiffness, sag. Takes plans of the panel, one a
//! schedule, and [`prices`] per kg where they are known. Estimates for choosing; strength is not certified.

pub mod prices;

use std::collections::BTreeMap;

use prices::{CATALYST, Price, Prices};
use serde::Serialize;

use crate::laminate::cure::{Agent, Dose};
use crate::laminate::figure::Spread;
use crate::laminate::lamina::panel_stiffness;
use crate::laminate::lay_up::LayUp;
use crate::laminate::plies::PliesPlan;
use crate::laminate::schedule::Make;
use crate::laminate::stages::Stage;
use crate::laminate::stock::Stock;
use crate::laminate::theory::{StripSag, strip_sag};
use crate::notes::Note;
use crate::units::{h_from_min, kg_from_g, total};
use crate::workshop::order::units::hardener_name;
use crate::workshop::rates::Rates;
use crate::workshop::work::PieceWork;

/// Said wherever stiffness is shown.
pub const NO_CERTIFICATE: &str = "Stiffness is an estimate for choosing between lay-ups: long flat panel, small sag, new dry laminate without flaws. It is \
     no certificate of strength; where a panel must bear people or road loads, have it checked.";

/// Of the earth, in m/s2.
const GRAVITY_M_S2: f64 = 9.81;
/// kN/m2 in N/mm2.
const MPA_PER_KN_M2: f64 = 1e-3;
/// Hours of a day.
const HOURS_PER_DAY: f64 = 24.0;
/// Of the span: a panel that sags more is no longer nearly flat, and the theory of small sag says nothing (from memory).
const MOST_SAG_OF_SPAN: f64 = 0.1;
/// Of the thickness: past it a plate held at its edges carries as a membrane too, and sags less than said (from memory).
const MEMBRANE_FROM: f64 = 0.5;

/// What a comparison is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked {
    /// Between supports, in mm.
    pub span_mm: f64,
    /// Spread evenly over the panel, in kN/m2.
    pub load_kn_m2: f64,
    /// What materials cost.
    pub prices: Prices,
}

/// One panel as one schedule builds it.
#[derive(Debug, Clone, Copy)]
pub struct Built<'a> {
    /// Mould or moulding.
    pub make: Make,
    /// The schedule ply by ply.
    pub plies: &'a PliesPlan,
    /// Its pieces.
    pub lay_ups: &'a [&'a LayUp],
    /// The same as the bench sees them.
    pub pieces: &'a [PieceWork],
    /// What is laid in one go.
    pub stages: &'a [Stage],
}

/// One schedule of a comparison.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Candidate {
    /// Name of the schedule.
    pub schedule: String,
    /// What comes out, in kg.
    pub mass_kg: Spread,
    /// Glass laid, in kg.
    pub glass_kg: f64,
    /// Core laid, in kg.
    pub core_kg: f64,
    /// Resin laid, in kg.
    pub resin_kg: f64,
    /// Gelcoat put on, in kg.
    pub gelcoat_kg: f64,
    /// What is laid costs, peroxide and hardener included; nothing where no price is known.
    pub cost: Option<f64>,
    /// Materials in it without a price.
    pub unpriced: Vec<String>,
    /// Of the plies that lie everywhere, in mm.
    pub thickness_mm: Spread,
    /// Plies, cores included.
    pub n_plies: usize,
    /// How many times it is laid and left to set.
    pub n_stages: usize,
    /// Days till it can be released: a stage a day, and the cure after the last.
    pub days: f64,
    /// Hours of wetting out, by as many of the crew as find room, as the days have them.
    pub laying_h: f64,
    /// Mass per area with gelcoat, in kg/m2.
    pub kg_m2: f64,
    /// Bending stiffness per width along the warp, D11 with the plane free, in N mm (N mm2 per mm); nothing without plies.
    pub bending_along_n_mm: Option<f64>,
    /// The same across it.
    pub bending_across_n_mm: Option<f64>,
    /// Sag past which the theory of small sag says nothing, in mm; a greater figure below is none.
    pub most_sag_mm: f64,
    /// Sag under its own mass, edges that turn, in mm.
    pub own_sag_supported_mm: Option<f64>,
    /// The same, edges that cannot turn.
    pub own_sag_clamped_mm: Option<f64>,
    /// Sag under the load alone, edges that turn, in mm.
    pub load_sag_supported_mm: Option<f64>,
    /// The same, edges that cannot turn.
    pub load_sag_clamped_mm: Option<f64>,
    /// Thickness of the mould over that of the moulding, where both are known.
    pub mould_over_moulding: Option<f64>,
    /// What to mind about it.
    pub notes: Vec<Note>,
}

/// A panel with its schedules side by side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    /// Name of the panel.
    pub panel: String,
    /// What the schedules make of it.
    pub make: Make,
    /// Between supports, in mm.
    pub span_mm: f64,
    /// Where the span is from.
    pub span_from: &'static str,
    /// Load, in kN/m2.
    pub load_kn_m2: f64,
    /// Currency of the costs, where price lists say it.
    pub currency: Option<String>,
    /// Prices that were counted with, by the name under which a material is sold.
    pub prices: BTreeMap<String, Price>,
    /// What to mind about all of them.
    pub notes: Vec<Note>,
    /// The schedules, in the order asked for.
    pub candidates: Vec<Candidate>,
}

impl Comparison {
    /// Every note of it: on all schedules, then on each.
    pub fn all_notes(&self) -> impl Iterator<Item = &Note> {
        self.notes.iter().chain(self.candidates.iter().flat_map(|candidate| &candidate.notes))
    }
}

/// Weighs one schedule. `other_mm` is how thick the panel's mould is for a moulding, or its moulding for a mould; `notes`
/// are those on the schedule.
#[must_use]
pub fn candidate(
    built: Built<'_>,
    other_mm: Option<f64>,
    mut notes: Vec<Note>,
    asked: &Asked,
    stock: &Stock,
    rates: Rates<'_>,
) -> Candidate {
    let Built { make, plies, lay_ups, stages, .. } = built;
    let sum = |part: &dyn Fn(&LayUp) -> f64| total(lay_ups.iter().map(|lay_up| part(lay_up)));
    let thickness_mm = plies.plain_thickness_mm();
    let kg_m2 = kg_m2(plies);
    let stiff = panel_stiffness(plies, stock);
    if stiff.is_some_and(|stiff| stiff.core_unknown) {
        notes.push(Note::warning(
            "core-modulus-unknown",
            format!("schedule \"{}\": the stock has no moduli for its core, which is taken neither to bear nor to give in shear", plies.schedule),
            "give `modulus_mpa` and `shear_modulus_mpa` from its data sheet under [stock.core]",
        ));
    }
    let bending = stiff.and_then(|stiff| stiff.stiffness.free_bending_n_mm());
    let sag = |load_mpa: f64| {
        let (stiff, bending) = stiff.zip(bending)?;
        Some(strip_sag(load_mpa, asked.span_mm, bending[(0, 0)], stiff.shear_n_mm))
    };
    let own = sag(kg_m2 * GRAVITY_M_S2 * 1e-6);
    let loaded = sag(asked.load_kn_m2 * MPA_PER_KN_M2);
    let sags: Vec<StripSag> = [own, loaded].into_iter().flatten().collect();
    notes.extend(large_sag(&plies.schedule, &sags, thickness_mm.likely, asked.span_mm));
    let (cost, unpriced) = cost(lay_ups, &asked.prices.by_name);
    let (glass_kg, resin_kg) = (sum(&|lay_up| lay_up.glass_kg), sum(&|lay_up| lay_up.resin_kg.likely));
    let n_stages = stages.len();
    Candidate {
        schedule: plies.schedule.clone(),
        mass_kg: lay_ups.iter().map(|lay_up| lay_up.mass_kg).sum(),
        glass_kg,
        core_kg: sum(&|lay_up| lay_up.core_kg),
        resin_kg,
        gelcoat_kg: sum(&|lay_up| lay_up.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.laid_kg.likely)),
        cost,
        unpriced,
        thickness_mm,
        n_plies: plies.plies.len(),
        n_stages,
        days: n_stages.saturating_sub(1) as f64 + stock.practice.cure_h.value / HOURS_PER_DAY,
        laying_h: laying_h(built, rates),
        kg_m2,
        bending_along_n_mm: bending.map(|bending| bending[(0, 0)]),
        bending_across_n_mm: bending.map(|bending| bending[(1, 1)]),
        most_sag_mm: MOST_SAG_OF_SPAN * asked.span_mm,
        own_sag_supported_mm: own.map(|sag| sag.supported_mm),
        own_sag_clamped_mm: own.map(|sag| sag.clamped_mm),
        load_sag_supported_mm: loaded.map(|sag| sag.supported_mm),
        load_sag_clamped_mm: loaded.map(|sag| sag.clamped_mm),
        mould_over_moulding: other_mm.filter(|&other| other > 0.0 && thickness_mm.likely > 0.0).map(
            |other| match make {
                Make::Moulding => other / thickness_mm.likely,
                Make::Mould => thickness_mm.likely / other,
            },
        ),
        notes,
    }
}

/// Hours of wetting out every stage of every piece, by as many as find room at it.
fn laying_h(Built { pieces, stages, .. }: Built<'_>, rates: Rates<'_>) -> f64 {
    let piece_min = |piece: &PieceWork| {
        let alone_min = total(stages.iter().map(|stage| rates.stage_min(piece, stage)));
        alone_min / f64::from(rates.hands_at(piece.widest_m2()))
    };
    h_from_min(total(pieces.iter().map(piece_min)))
}

/// That the theory is left: wholly by figures that are not told, and by those of held edges that are.
fn large_sag(schedule: &str, sags: &[StripSag], thickness_mm: f64, span_mm: f64) -> Vec<Note> {
    let most_mm = MOST_SAG_OF_SPAN * span_mm;
    let mut notes = Vec::new();
    if sags.iter().any(|sag| sag.supported_mm.max(sag.clamped_mm) > most_mm) {
        notes.push(Note::warning(
            "large-sag",
            format!(
                "schedule \"{schedule}\": over {span_mm:.0} mm it would sag more than a tenth of the span, {most_mm:.0} mm, where the theory says \
                 nothing; what is over that is not told"
            ),
            "it is too floppy for that span and load: a core, more plies, a stiffener or a shorter --span-mm",
        ));
    }
    let is_membrane = |sag: &StripSag| sag.clamped_mm > MEMBRANE_FROM * thickness_mm && sag.clamped_mm <= most_mm;
    if sags.iter().any(is_membrane) {
        notes.push(Note::info(
            "large-sag",
            format!(
                "schedule \"{schedule}\": over {span_mm:.0} mm it sags more than half its thickness; held edges make it stiffer than shown, free \
                 ones do not"
            ),
            "compare the figures with one another rather than taking them for the sag, or give a shorter --span-mm",
        ));
    }
    notes
}

/// What a square metre weighs where only the plies lie that lie everywhere.
fn kg_m2(plies: &PliesPlan) -> f64 {
    let gelcoat = plies.gelcoat.as_ref().map_or(0.0, |gelcoat| gelcoat.coverage_kg_m2.likely);
    let everywhere = plies.plies.iter().filter(|ply| ply.zone == crate::laminate::schedule::Zone::All);
    let ply = |per_m2: crate::laminate::ply::PerSquareMetre| {
        per_m2.glass_kg_m2 + per_m2.core_kg_m2 + per_m2.resin_kg_m2.likely
    };
    gelcoat + total(everywhere.map(|planned| ply(planned.per_m2)))
}

/// What is laid costs, by the prices that are known, and what has none. Reserve and packs are the order's.
fn cost(lay_ups: &[&LayUp], prices: &BTreeMap<String, Price>) -> (Option<f64>, Vec<String>) {
    let laid_kg = laid_kg(lay_ups);
    let (priced, unpriced): (Vec<_>, Vec<_>) = laid_kg.into_iter().partition(|(name, _)| prices.contains_key(name));
    let cost = (!priced.is_empty()).then(|| total(priced.iter().map(|(name, kg)| kg * prices[name].per_kg)));
    (cost, unpriced.into_iter().map(|(name, _)| name).collect())
}

/// What is laid, in kg, by the name under which it is sold: resin and hardener each for itself.
fn laid_kg(lay_ups: &[&LayUp]) -> BTreeMap<String, f64> {
    let mut laid_kg: BTreeMap<String, f64> = BTreeMap::new();
    let mut add = |name: &str, kg: f64| *laid_kg.entry(name.to_owned()).or_default() += kg;
    for lay_up in lay_ups {
        lay_up.plies.iter().for_each(|ply| add(&ply.material, ply.glass_kg + ply.core_kg));
        let resins = lay_up.resins.iter().map(|resin| (&resin.name, resin.resin_alone_kg, resin.dose));
        let gelcoats = lay_up.gelcoat.iter().map(|gelcoat| (&gelcoat.name, gelcoat.alone_kg, gelcoat.dose));
        for (name, alone_kg, dose) in resins.chain(gelcoats) {
            add(name, alone_kg);
            if let Some(Dose { agent, g, .. }) = dose {
                let sold_as = if agent == Agent::Hardener { hardener_name(name) } else { CATALYST.to_owned() };
                add(&sold_as, kg_from_g(g));
            }
        }
    }
    laid_kg.retain(|_, kg| *kg > 0.0);
    laid_kg
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Span 1000 mm, 4 mm thick: a tenth of the span is 100 mm, half the thickness 2 mm.
    #[test]
    fn a_panel_that_sags_past_the_theory_under_load_and_past_its_thickness_by_itself_is_told_both() {
        let sag = |clamped_mm| StripSag { supported_mm: 5.0 * clamped_mm, clamped_mm };
        let severities = |sags: &[StripSag]| -> Vec<bool> {
            large_sag("thin", sags, 4.0, 1000.0)
                .iter()
                .map(|note| note.message.contains("half its thickness"))
                .collect()
        };
        assert_eq!(severities(&[sag(3.0), sag(150.0)]), [false, true]);
        assert_eq!(severities(&[sag(1.0), sag(150.0)]), [false]);
        assert_eq!(severities(&[sag(3.0), sag(4.0)]), [true]);
        assert!(severities(&[sag(1.0), sag(1.5)]).is_empty());
    }
}
