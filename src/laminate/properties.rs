//! Strength and stiffness of a laminate from its glass content: estimates for comparing lay-ups, not a certificate.
//!
//! The formulas disagree with each other away from 0.30 (at 0.40 they give 105, 133 and 123 MPa), so a report names the
//! one it used. All but the unit properties are recalled, not checked against the documents.

use super::figure::Mark;

/// Which formula for chopped strand mat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MatFormula {
    /// Light-craft class rules.
    ClassRules,
    /// ISO 12215-5:2008, table C.4.
    Iso,
    /// Older class rules for fibre-reinforced hulls.
    OlderClassRules,
}

impl MatFormula {
    /// How firmly the formula is known.
    #[must_use]
    pub const fn mark(self) -> Mark {
        Mark::FromMemory
    }

    /// Tensile strength in MPa of chopped strand mat at a glass content by mass.
    #[must_use]
    pub fn tensile_strength_mpa(self, glass_content: f64) -> f64 {
        let psi = glass_content;
        match self {
            Self::ClassRules => 200.0 * psi + 25.0,
            Self::Iso => 800.0 * psi * psi - 80.0 * psi + 37.0,
            Self::OlderClassRules => 1278.0 * psi * psi - 510.0 * psi + 123.0,
        }
    }

    /// Tensile modulus in GPa of chopped strand mat at a glass content by mass.
    #[must_use]
    pub fn tensile_modulus_gpa(self, glass_content: f64) -> f64 {
        match self {
            Self::ClassRules => 15.0 * glass_content + 2.0,
            Self::Iso => 38.0 * glass_content - 5.0,
            Self::OlderClassRules => 37.0 * glass_content - 4.75,
        }
    }
}

/// Flexural strength in MPa at a glass content by mass, mat or woven. From memory (class rules).
#[must_use]
pub fn flexural_strength_mpa(glass_content: f64) -> f64 {
    502.0 * glass_content * glass_content + 106.8
}

/// Tensile strength in MPa of woven glass at a glass content by mass. From memory (class rules and ISO 12215-5:2008).
#[must_use]
pub fn woven_tensile_strength_mpa(glass_content: f64) -> f64 {
    400.0 * glass_content - 10.0
}

/// Tensile modulus in GPa of woven glass at a glass content by mass. From memory (class rules and ISO 12215-5:2008).
#[must_use]
pub fn woven_tensile_modulus_gpa(glass_content: f64) -> f64 {
    30.0 * glass_content - 0.5
}

/// A unit property (N/mm per kg/m2 of glass) over the thickness that a kg/m2 builds (mm per kg/m2): MPa.
///
/// # Source
/// BS 4994:1987 p. 10: 200 N/mm strength and 14,000 N/mm modulus per kg/m2 of mat, which is 2.24 mm thick. Published.
#[must_use]
pub fn from_unit_property_mpa(unit_n_mm_per_kg_m2: f64, thickness_mm_per_kg_m2: f64) -> f64 {
    unit_n_mm_per_kg_m2 / thickness_mm_per_kg_m2
}
