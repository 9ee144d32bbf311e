//! The plies of a schedule as laminate theory takes them: moduli from glass content, by the classification rules.
//!
//! All moduli are recalled from rule texts, not checked against them, and stand for comparing lay-ups. What a resin is made
//! of enters only through how much glass it leaves room for: the rules know no other difference.

use super::figure::Mark;
use super::plies::{PlannedPly, PliesPlan, Stuff};
use super::ply::thickness_mm;
use super::properties::{MatFormula, woven_tensile_modulus_gpa};
use super::schedule::Zone;
use super::stock::{Kind, Stock};
use super::theory::{Lamina, Stiffness, core_shear_n_mm, stiffness};

/// How firmly the moduli are known.
pub const MARK: Mark = Mark::FromMemory;
/// What they are from, as outputs print it.
pub const SOURCE: &str = "mat E = 15 psi + 2 GPa with Poisson's ratio 0.3; woven and biaxial E = 30 psi - 0.5, G = 1.7 psi + 2.24 GPa, laid 0/90 unless the stock's `fibres_at_deg` says otherwise: light-craft class rules, recalled; unidirectional by mixture";

/// Poisson's ratio of mat; BS 4994:1987 has it (published).
const POISSON_MAT: f64 = 0.3;
/// Of crossed rovings, whose warp keeps the weft from contracting (from memory); 0.3 would stiffen a plate by 7 %.
const POISSON_WOVEN: f64 = 0.15;
/// Glass and cured resin themselves, in GPa (from memory), for plies that lie in one direction.
const GLASS_GPA: f64 = 72.0;
const RESIN_GPA: f64 = 3.3;
const GLASS_SHEAR_GPA: f64 = 29.0;
const RESIN_SHEAR_GPA: f64 = 1.2;
/// What a modulus under which nothing is reckoned is set to, in GPa: at next to no glass the rules' lines cross zero.
const LEAST_GPA: f64 = 1.0;

const MPA_PER_GPA: f64 = 1000.0;

/// Stiffness of what lies everywhere, gelcoat left out, per width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PanelStiffness {
    /// Plane, coupling and bending.
    pub stiffness: Stiffness,
    /// Shear stiffness of its cores, in N/mm; nothing without a core.
    pub shear_n_mm: Option<f64>,
    /// A core's moduli are not in the stock: it was taken to bear nothing and not to give in shear.
    pub core_unknown: bool,
}

/// The stiffness of a schedule where only the plies lie that lie everywhere; nothing if there are none.
#[must_use]
pub fn panel_stiffness(plan: &PliesPlan, stock: &Stock) -> Option<PanelStiffness> {
    let everywhere: Vec<&PlannedPly> = plan.plies.iter().filter(|ply| ply.zone == Zone::All).collect();
    let plies: Vec<Lamina> = everywhere.iter().map(|ply| lamina(ply, stock)).collect();
    let total_mm: f64 = plies.iter().map(|ply| ply.thickness_mm).sum();
    let cores: Vec<_> = everywhere.iter().filter_map(|ply| stock.cores.get(&ply.material)).collect();
    let core_mm: f64 = cores.iter().map(|core| core.thickness_mm.value).sum();
    // Cores one behind the other give in shear one after the other.
    let softness: f64 =
        cores.iter().filter_map(|core| Some(core.thickness_mm.value / core.shear_modulus_mpa.as_ref()?.value)).sum();
    let core_unknown = cores.iter().any(|core| core.shear_modulus_mpa.is_none() || core.modulus_mpa.is_none());
    let between_mm = core_mm + 0.5 * (total_mm - core_mm);
    let shear_n_mm = (softness > 0.0).then(|| core_shear_n_mm(core_mm / softness, core_mm, between_mm));
    Some(PanelStiffness { stiffness: stiffness(&plies)?, shear_n_mm, core_unknown })
}

/// One ply with its moduli.
#[must_use]
pub fn lamina(ply: &PlannedPly, stock: &Stock) -> Lamina {
    let thickness = ply.per_m2.thickness_mm.likely;
    let (glass, resin) = (ply.per_m2.glass_kg_m2, ply.per_m2.resin_kg_m2.likely);
    let content = if glass + resin > 0.0 { glass / (glass + resin) } else { 0.0 };
    match ply.stuff {
        Stuff::Core { .. } => {
            // What is not known bears nothing; it is told.
            let modulus = stock
                .cores
                .get(&ply.material)
                .and_then(|core| core.modulus_mpa.as_ref())
                .map_or(1e-3, |figure| figure.value);
            Lamina::isotropic(modulus, POISSON_MAT, thickness)
        }
        Stuff::Glass(kind) | Stuff::BondingMat(kind) => of_glass(kind, content, ply, stock, thickness),
    }
}

fn of_glass(kind: Kind, content: f64, ply: &PlannedPly, stock: &Stock, thickness_mm: f64) -> Lamina {
    let mpa = |gpa: f64| MPA_PER_GPA * gpa.max(LEAST_GPA);
    let angle_deg = stock.reinforcements.get(&ply.material).and_then(|glass| glass.fibres_at_deg);
    // Written as no number it is no angle.
    let angle_deg = angle_deg.filter(|angle| angle.is_finite()).unwrap_or(0.0);
    match kind {
        Kind::Mat | Kind::Tissue => {
            Lamina::isotropic(mpa(MatFormula::ClassRules.tensile_modulus_gpa(content)), POISSON_MAT, thickness_mm)
        }
        Kind::Woven | Kind::Biaxial => {
            let modulus = mpa(woven_tensile_modulus_gpa(content));
            Lamina {
                e1_mpa: modulus,
                e2_mpa: modulus,
                poisson12: POISSON_WOVEN,
                g12_mpa: mpa(1.7 * content + 2.24),
                thickness_mm,
                angle_deg,
            }
        }
        Kind::Unidirectional => {
            let volume = glass_by_volume(ply, stock);
            let along = volume * GLASS_GPA + (1.0 - volume) * RESIN_GPA;
            Lamina {
                e1_mpa: mpa(along),
                e2_mpa: mpa(halpin_tsai(GLASS_GPA, RESIN_GPA, 2.0, volume)),
                poisson12: POISSON_MAT,
                g12_mpa: mpa(halpin_tsai(GLASS_SHEAR_GPA, RESIN_SHEAR_GPA, 1.0, volume)),
                thickness_mm,
                angle_deg,
            }
        }
    }
}

/// Share of glass by volume.
fn glass_by_volume(ply: &PlannedPly, stock: &Stock) -> f64 {
    let densities = stock.reinforcements.get(&ply.material).zip(stock.resins.get(&ply.resin));
    densities.map_or(0.0, |(glass, resin)| {
        let glass_mm =
            thickness_mm(ply.per_m2.glass_kg_m2, 0.0, glass.glass_density_g_cm3.value, resin.cured_density_g_cm3.value);
        glass_mm / ply.per_m2.thickness_mm.likely
    })
}

/// Modulus across fibres, or in shear: Halpin and Tsai's equation with `xi` 2 and 1 (from memory).
fn halpin_tsai(fibre: f64, resin: f64, xi: f64, volume: f64) -> f64 {
    let eta = (fibre / resin - 1.0) / (fibre / resin + xi);
    resin * (1.0 + xi * eta * volume) / (1.0 - eta * volume)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laminate::plies::plan_plies;

    fn planned(layers: &str) -> (PliesPlan, Stock) {
        let stock = Stock::starter().expect("the starter's stock");
        let text = format!("make = 'moulding'\nresin = 'polyester'\nlayers = [{layers}]");
        let schedule = toml::from_str(&text).expect("a schedule");
        (plan_plies("test", &schedule, &stock).expect("a plan"), stock)
    }

    /// By hand: psi = 1 / 3.5, E = 15 psi + 2 = 6.286 GPa; 3 x 1.11328 mm; E t^3 / (12 x 0.91).
    #[test]
    fn three_mats_bend_as_the_rules_say() {
        let (plan, stock) = planned("{ material = 'mat 450', plies = 3 }");
        let found = panel_stiffness(&plan, &stock).expect("plies");
        let by_hand = (15.0 / 3.5 + 2.0) * 1000.0 * (3.0_f64 * 1.113_281_25).powi(3) / (12.0 * 0.91);
        let bending = found.stiffness.free_bending_n_mm().expect("it bends")[(0, 0)];
        assert!((bending - by_hand).abs() < 1e-9 * by_hand, "{bending} {by_hand}");
        assert!(found.shear_n_mm.is_none() && !found.core_unknown);
    }

    #[test]
    fn a_core_stiffens_and_gives_in_shear() {
        let bending = |layers: &str| {
            let (plan, stock) = planned(layers);
            let found = panel_stiffness(&plan, &stock).expect("plies");
            (found.stiffness.free_bending_n_mm().expect("it bends")[(0, 0)], found.shear_n_mm)
        };
        let (solid, none) = bending("{ material = 'mat 300', plies = 3 }");
        let (cored, shear) =
            bending("{ material = 'mat 300' }, { material = 'foam core 5' }, { material = 'mat 300' }");
        assert!(none.is_none() && cored > 10.0 * solid);
        // G d^2 / c with d = 5 mm and half of three plies of mat 300.
        let d = 5.0 + 0.5 * 3.0 * 1.113_281_25 * 2.0 / 3.0;
        let modulus =
            Stock::starter().expect("a stock").cores["foam core 5"].shear_modulus_mpa.clone().expect("a figure").value;
        assert!((shear.expect("a core") - modulus * d * d / 5.0).abs() < 1e-9);
    }

    /// By hand, Poisson's ratio apart: crossed rovings at 45 degrees bend by 4 / (1/E (2 - 2 nu) + 1/G), which is far under E.
    #[test]
    fn a_cloth_at_45_degrees_bends_by_its_shear() {
        let (plan, mut stock) = planned("{ material = 'biaxial 450', plies = 3 }");
        let stiff = |stock: &Stock| {
            let found = panel_stiffness(&plan, stock).expect("plies").stiffness.compliance().expect("it gives");
            1.0 / found.d_n_mm[(0, 0)]
        };
        let straight = stiff(&stock);
        stock.reinforcements.get_mut("biaxial 450").expect("it is there").fibres_at_deg = Some(45.0);
        let lamina = lamina(&plan.plies[0], &stock);
        let (e, nu, g) = (lamina.e1_mpa, lamina.poisson12, lamina.g12_mpa);
        let by_hand = 4.0 / (2.0 * (1.0 - nu) / e + 1.0 / g);
        assert!((stiff(&stock) / straight - by_hand / e).abs() < 1e-9, "{} {}", stiff(&stock) / straight, by_hand / e);
    }

    /// Source: rule of mixtures; the two ends of Halpin and Tsai's equation are the resin's modulus and the fibre's.
    #[test]
    fn fibres_in_one_direction_lie_between_resin_and_glass() {
        assert!((halpin_tsai(72.0, 3.3, 2.0, 0.0) - 3.3).abs() < 1e-12);
        assert!((halpin_tsai(72.0, 3.3, 2.0, 1.0) - 72.0).abs() < 1e-9);
    }
}
