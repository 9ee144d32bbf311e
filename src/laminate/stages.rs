//! How many plies go on in one go.

use serde::Serialize;

use super::plies::{PlannedPly, PliesPlan, Stuff};
use super::stock::Practice;
use crate::units::g_from_kg;

/// Plies split into stages of at most so many, the last one short: 10 by 4 is 4, 4 and 2. No plies, or a limit of 0: none.
///
/// # Source
/// A resin maker's hand lay-up page: four layers in one go, then let it heat and come back to the shop's temperature.
/// Published, and coarse: four plies of 225 g/m2 are not four of 900, so [`stages`] limits glass per m2 and mm as well.
#[must_use]
pub fn stages_by_plies(n_plies: usize, most_in_one_go: usize) -> Vec<usize> {
    if most_in_one_go == 0 {
        return Vec::new();
    }
    let n_full = n_plies / most_in_one_go;
    let rest = n_plies % most_in_one_go;
    std::iter::repeat_n(most_in_one_go, n_full).chain((rest > 0).then_some(rest)).collect()
}

/// What is laid in one go.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Stage {
    /// Its number, from 1.
    pub stage: usize,
    /// Its first ply.
    pub from_ply: usize,
    /// Its last ply.
    pub to_ply: usize,
    /// Glass in g/m2 where all its plies lie.
    pub glass_g_m2: f64,
    /// Thickness in mm where all its plies lie, cores left out.
    pub thickness_mm: f64,
    /// Why it ends there.
    pub ends: StageEnd,
}

/// Why a stage ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StageEnd {
    /// The first ply behind the gelcoat cures alone, so that what heats later does not print through.
    BehindGelcoat,
    /// A core is bedded and held until it sits.
    CoreBedded,
    /// The next ply is laid in another resin.
    Resin,
    /// One more ply would be more plies than are laid in one go.
    Plies,
    /// One more ply would be more glass than is laid in one go.
    Glass,
    /// One more ply would be thicker than is laid in one go.
    Thickness,
    /// The schedule is done.
    Done,
}

/// The plies of a schedule in stages, within the shop's limits in plies, g/m2 and mm. The first ply behind a gelcoat is a
/// stage of its own, with any strip laid before it. Strips and patches count as if they lay everywhere: where they do lie,
/// the stage heats as one. What is laid in another resin goes on what has cured. A ply that is over a limit by itself is a stage of its own.
#[must_use]
pub fn stages(plan: &PliesPlan, practice: &Practice) -> Vec<Stage> {
    let mut stages: Vec<Stage> = Vec::new();
    let mut behind_gelcoat = plan.gelcoat.is_some();
    let mut open = false;
    for ply in &plan.plies {
        if open && let Some(stage) = stages.last_mut() {
            let other_resin = plan.plies.get(stage.to_ply - 1).is_some_and(|before| before.resin != ply.resin);
            let limit = if other_resin { Some(StageEnd::Resin) } else { limit_met(stage, ply, practice) };
            match limit {
                None => add(stage, ply),
                Some(limit) => {
                    stage.ends = limit;
                    open = false;
                }
            }
        }
        if !open && stages.last().is_none_or(|stage| stage.to_ply < ply.ply) {
            stages.push(begun(stages.len() + 1, ply));
            open = true;
        }
        let ends = match ply.stuff {
            Stuff::Core { .. } => Some(StageEnd::CoreBedded),
            _ if behind_gelcoat && ply.zone == super::schedule::Zone::All => Some(StageEnd::BehindGelcoat),
            _ => None,
        };
        if let Some(ends) = ends
            && let Some(stage) = stages.last_mut()
        {
            behind_gelcoat = false;
            stage.ends = ends;
            open = false;
        }
    }
    if let Some(last) = stages.last_mut() {
        last.ends = StageEnd::Done;
    }
    stages
}

fn begun(number: usize, ply: &PlannedPly) -> Stage {
    let empty = Stage {
        stage: number,
        from_ply: ply.ply,
        to_ply: ply.ply,
        glass_g_m2: 0.0,
        thickness_mm: 0.0,
        ends: StageEnd::Done,
    };
    let mut stage = empty;
    add(&mut stage, ply);
    stage
}

fn add(stage: &mut Stage, ply: &PlannedPly) {
    stage.to_ply = ply.ply;
    stage.glass_g_m2 += g_from_kg(ply.per_m2.glass_kg_m2);
    stage.thickness_mm += laminate_mm(ply);
}

/// What heats of a ply: a core does not.
fn laminate_mm(ply: &PlannedPly) -> f64 {
    if matches!(ply.stuff, Stuff::Core { .. }) { 0.0 } else { ply.per_m2.thickness_mm.likely }
}

/// The limit that a stage would leave with one more ply. A core is never parted from the mat that it is bedded in.
fn limit_met(stage: &Stage, ply: &PlannedPly, practice: &Practice) -> Option<StageEnd> {
    // Three plies of 1.333... mm are 4 mm, whatever the last bits say.
    const FUZZ: f64 = 1e-9;
    let n_plies = (stage.to_ply - stage.from_ply + 2) as f64;
    let glass_g_m2 = stage.glass_g_m2 + g_from_kg(ply.per_m2.glass_kg_m2);
    let thickness_mm = stage.thickness_mm + laminate_mm(ply);
    let is_over = |value: f64, most: f64| value > most + FUZZ * most.abs();
    if matches!(ply.stuff, Stuff::Core { .. }) {
        None
    } else if is_over(n_plies, practice.stage_most_plies.value) {
        Some(StageEnd::Plies)
    } else if is_over(glass_g_m2, practice.stage_most_g_m2.value) {
        Some(StageEnd::Glass)
    } else if is_over(thickness_mm, practice.stage_most_mm.value) {
        Some(StageEnd::Thickness)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laminate::plies::plan_plies;
    use crate::laminate::stock::Stock;

    /// First and last ply of each stage, and why it ends.
    fn staged(text: &str) -> Vec<(usize, usize, StageEnd)> {
        let stock = Stock::starter().expect("the starter's stock");
        let plan = plan_plies("test", &toml::from_str(text).expect("a schedule"), &stock).expect("a plan");
        stages(&plan, &stock.practice).iter().map(|stage| (stage.from_ply, stage.to_ply, stage.ends)).collect()
    }

    fn mould(layers: &str) -> String {
        format!("make = 'mould'\ngelcoat = 'mould gelcoat'\nresin = 'polyester'\nlayers = [{layers}]")
    }

    #[test]
    fn the_first_ply_behind_the_gelcoat_cures_alone_and_the_rest_within_the_limits() {
        // 225 alone; 450 at 1.113 mm: three are 3.34 mm, a fourth would be 4.45 of 4.
        let layers = "{ material = 'mat 225' }, { material = 'mat 450', plies = 5 }";
        let expected = [(1, 1, StageEnd::BehindGelcoat), (2, 4, StageEnd::Thickness), (5, 6, StageEnd::Done)];
        assert_eq!(staged(&mould(layers)), expected);
    }

    #[test]
    fn without_gelcoat_the_first_ply_goes_on_with_the_others() {
        let text = "make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'mat 225', plies = 5 }]";
        assert_eq!(staged(text), [(1, 4, StageEnd::Plies), (5, 5, StageEnd::Done)]);
    }

    #[test]
    fn heavy_cloth_is_limited_by_its_glass() {
        // 600 g/m2 at 1.25 is 0.86 mm: four plies would be 3.4 mm, but 2400 g/m2.
        let text = "make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'woven 600', plies = 4 }]";
        assert_eq!(staged(text), [(1, 3, StageEnd::Glass), (4, 4, StageEnd::Done)]);
    }

    #[test]
    fn a_core_stays_with_its_bedding_and_is_let_set() {
        let layers = "{ material = 'mat 300' }, { material = 'foam core 5' }, { material = 'mat 300' }";
        let expected = [(1, 1, StageEnd::BehindGelcoat), (2, 3, StageEnd::CoreBedded), (4, 4, StageEnd::Done)];
        assert_eq!(staged(&mould(layers)), expected);
    }

    #[test]
    fn a_ply_over_the_limit_by_itself_is_a_stage_of_its_own() {
        let stock = Stock::starter().expect("the starter's stock");
        let mut practice = stock.practice.clone();
        practice.stage_most_mm = super::super::figure::Figure::given(0.5);
        let text = "make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'mat 450', plies = 3 }]";
        let plan = plan_plies("test", &toml::from_str(text).expect("a schedule"), &stock).expect("a plan");
        let found = stages(&plan, &practice);
        assert_eq!(found.len(), 3);
        assert!((found[0].thickness_mm - 1.113_281_25).abs() < 1e-12 && (found[0].glass_g_m2 - 450.0).abs() < 1e-9);
    }

    #[test]
    fn another_resin_goes_on_what_has_cured() {
        let layers = "{ material = 'mat 225' }, { material = 'mat 450' }, { material = 'woven 200', resin = 'epoxy' }";
        let expected = [(1, 1, StageEnd::BehindGelcoat), (2, 2, StageEnd::Resin), (3, 3, StageEnd::Done)];
        assert_eq!(staged(&mould(layers)), expected);
    }

    #[test]
    fn no_plies_take_no_stage() {
        assert_eq!(stages_by_plies(0, 4), Vec::<usize>::new());
    }
}
