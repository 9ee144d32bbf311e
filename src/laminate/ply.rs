//! One ply by pocket calculator: resin, thickness and density from glass and glass content.

use super::figure::Spread;
use super::stock::{Core, Reinforcement, Resin, WetOut};
use crate::units::{kg_from_g, kg_m2_from_g_m2, m_from_mm};

/// Glass content by mass, 0 to 1, of a ply that takes so much resin per glass by mass: `1 / (1 + r)`.
///
/// # Source
/// Definition. 2.5 : 1 gives 0.2857.
#[must_use]
pub fn glass_content_from_ratio(resin_per_glass: f64) -> f64 {
    1.0 / (1.0 + resin_per_glass)
}

/// Mass of resin per mass of glass at a glass content by mass: `(1 - psi) / psi`.
///
/// # Source
/// Definition. 0.33 gives 2.0303.
#[must_use]
pub fn resin_per_glass(glass_content: f64) -> f64 {
    (1.0 - glass_content) / glass_content
}

/// Thickness in mm of glass and resin laid on one another without voids: `W / rho_glass + R / rho_resin`, with masses in
/// kg/m2 and densities in g/cm3 (kg/m2 over g/cm3 is mm). Voids are left out, so a real ply is a little thicker.
///
/// # Source
/// Density form; standard.
#[must_use]
pub fn thickness_mm(glass_kg_m2: f64, resin_kg_m2: f64, glass_density_g_cm3: f64, resin_density_g_cm3: f64) -> f64 {
    glass_kg_m2 / glass_density_g_cm3 + resin_kg_m2 / resin_density_g_cm3
}

/// Thickness in mm of a ply from its glass in kg/m2 and its glass content by mass: `W / rho_f + W (1 - psi) / (psi rho_r)`.
///
/// # Source
/// Density form; with 2.56 and 1.20 g/cm3 it is `W (2.56 / psi - 1.36) / 3.072` of the classification rules.
#[must_use]
pub fn ply_thickness_mm(
    glass_kg_m2: f64,
    glass_content: f64,
    glass_density_g_cm3: f64,
    resin_density_g_cm3: f64,
) -> f64 {
    let resin_kg_m2 = glass_kg_m2 * resin_per_glass(glass_content);
    thickness_mm(glass_kg_m2, resin_kg_m2, glass_density_g_cm3, resin_density_g_cm3)
}

/// Density in g/cm3 of a laminate without voids: `1 / (psi / rho_f + (1 - psi) / rho_r)`.
#[must_use]
pub fn laminate_density_g_cm3(glass_content: f64, glass_density_g_cm3: f64, resin_density_g_cm3: f64) -> f64 {
    1.0 / (glass_content / glass_density_g_cm3 + (1.0 - glass_content) / resin_density_g_cm3)
}

/// Glass content by mass of several plies together, each given by its glass in kg/m2 and its own content:
/// `sum W / sum (W / psi)`. Nothing for no glass.
///
/// # Source
/// Law of mixtures over plies, ISO 12215-5 (1999 draft) 8.1.3.
#[must_use]
pub fn mixture_glass_content(plies: &[(f64, f64)]) -> Option<f64> {
    let glass: f64 = plies.iter().map(|&(glass_kg_m2, _)| glass_kg_m2).sum();
    let laminate: f64 = plies.iter().map(|&(glass_kg_m2, content)| glass_kg_m2 / content).sum();
    (laminate > 0.0).then(|| glass / laminate)
}

/// Mass in kg of a film (gelcoat, paint): area times thickness times density. (m2 times mm times g/cm3 is kg.)
#[must_use]
pub fn film_kg(area_m2: f64, thickness_mm: f64, density_g_cm3: f64) -> f64 {
    area_m2 * thickness_mm * density_g_cm3
}

/// What one ply weighs per m2 and how thick it is.
///
/// The spreads are those of the hand (how wet a ply comes out, from the stock's range), at the nominal weight of the glass.
/// The tolerance of a roll's weight stands in the stock and is not mixed in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PerSquareMetre {
    /// Glass in kg/m2.
    pub glass_kg_m2: f64,
    /// Core in kg/m2 where it has its full thickness; 0 for glass.
    pub core_kg_m2: f64,
    /// Resin in kg/m2.
    pub resin_kg_m2: Spread,
    /// Thickness in mm.
    pub thickness_mm: Spread,
}

/// A ply of a reinforcement wetted out with a resin.
#[must_use]
pub fn wet_ply(reinforcement: &Reinforcement, resin: &Resin) -> PerSquareMetre {
    let glass_kg_m2 = kg_m2_from_g_m2(reinforcement.areal_weight_g_m2.value);
    let resin_kg_m2 = match reinforcement.wet_out() {
        Some(WetOut::GlassContent(psi)) => psi.spread().map_falling(|psi| glass_kg_m2 * resin_per_glass(psi)),
        Some(WetOut::ResinPerGlass(ratio)) => ratio.spread().map(|ratio| glass_kg_m2 * ratio),
        Some(WetOut::ResinKgM2(resin)) => resin.spread(),
        None => Spread::default(),
    };
    let (glass_density, resin_density) = (reinforcement.glass_density_g_cm3.value, resin.cured_density_g_cm3.value);
    let thickness_mm = resin_kg_m2.map(|resin| thickness_mm(glass_kg_m2, resin, glass_density, resin_density));
    PerSquareMetre { glass_kg_m2, core_kg_m2: 0.0, resin_kg_m2, thickness_mm }
}

/// A core and the resin it drinks; its bonding mat is a ply of its own. What it drinks fills cells and cuts and adds no
/// thickness.
#[must_use]
pub fn wet_core(core: &Core) -> PerSquareMetre {
    let core_kg_m2 = m_from_mm(core.thickness_mm.value) * core.density_kg_m3.value;
    let resin_kg_m2 = core.resin_kg_m2.spread();
    PerSquareMetre { glass_kg_m2: 0.0, core_kg_m2, resin_kg_m2, thickness_mm: core.thickness_mm.spread() }
}

/// Glass content by mass that a reinforcement's wet-out stands for, 0 to 1: low, likely and high; nothing without glass.
#[must_use]
pub fn glass_content(reinforcement: &Reinforcement) -> Option<Spread> {
    let glass_kg_m2 = kg_from_g(reinforcement.areal_weight_g_m2.value);
    match reinforcement.wet_out()? {
        WetOut::GlassContent(psi) => Some(psi.spread()),
        WetOut::ResinPerGlass(ratio) => Some(ratio.spread().map_falling(glass_content_from_ratio)),
        WetOut::ResinKgM2(resin) => Some(resin.spread().map_falling(|resin| glass_kg_m2 / (glass_kg_m2 + resin))),
    }
}
