//! Classical laminate theory: how stiff a stack of plies is in its plane and in bending.
//!
//! Forces per width are `N = A e + B k`, moments per width `M = B e + D k`, with strains `e` and curvatures `k` of the
//! mid-plane in the order x, y, xy. Plies are thin, perfectly bonded and elastic; shear through the thickness is left out
//! here (a core's is added where a panel's sag is reckoned). Estimates for comparing lay-ups; strength is not certified.
//!
//! # Source
//! R. M. Jones, Mechanics of Composite Materials (2nd ed. 1999), chapters 2 and 4; the formulas are the standard ones
//! (from memory).

use nalgebra::Matrix3;

use crate::maths::sin_cos;
use crate::units::rad_from_deg;

/// One ply, orthotropic in its plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamina {
    /// Modulus along the fibres or the warp, in MPa.
    pub e1_mpa: f64,
    /// Modulus across them, in MPa.
    pub e2_mpa: f64,
    /// Contraction across under a pull along.
    pub poisson12: f64,
    /// Shear modulus in its plane, in MPa.
    pub g12_mpa: f64,
    /// Thickness in mm.
    pub thickness_mm: f64,
    /// From the panel's x to the fibres or the warp, anticlockwise, in degrees.
    pub angle_deg: f64,
}

impl Lamina {
    /// A ply that is the same in every direction of its plane: `G = E / (2 (1 + nu))`.
    #[must_use]
    pub fn isotropic(modulus_mpa: f64, poisson: f64, thickness_mm: f64) -> Self {
        let g12_mpa = modulus_mpa / (2.0 * (1.0 + poisson));
        Self { e1_mpa: modulus_mpa, e2_mpa: modulus_mpa, poisson12: poisson, g12_mpa, thickness_mm, angle_deg: 0.0 }
    }

    /// Reduced stiffness Q in the ply's own directions, in MPa.
    #[must_use]
    pub fn reduced_mpa(&self) -> Matrix3<f64> {
        let poisson21 = self.poisson12 * self.e2_mpa / self.e1_mpa;
        let rest = 1.0 - self.poisson12 * poisson21;
        let (q11, q22) = (self.e1_mpa / rest, self.e2_mpa / rest);
        let q12 = self.poisson12 * q22;
        Matrix3::new(q11, q12, 0.0, q12, q22, 0.0, 0.0, 0.0, self.g12_mpa)
    }

    /// Reduced stiffness in the panel's directions, in MPa.
    #[must_use]
    pub fn turned_mpa(&self) -> Matrix3<f64> {
        let q = self.reduced_mpa();
        let (s, c) = sin_cos(rad_from_deg(self.angle_deg));
        let (s2, c2, sc) = (s * s, c * c, s * c);
        let both = q[(0, 1)] + 2.0 * q[(2, 2)];
        let (along, across) = (q[(0, 0)] - both, both - q[(1, 1)]);
        let q11 = q[(0, 0)] * c2 * c2 + 2.0 * both * s2 * c2 + q[(1, 1)] * s2 * s2;
        let q22 = q[(0, 0)] * s2 * s2 + 2.0 * both * s2 * c2 + q[(1, 1)] * c2 * c2;
        let q12 = (q[(0, 0)] + q[(1, 1)] - 4.0 * q[(2, 2)]) * s2 * c2 + q[(0, 1)] * (s2 * s2 + c2 * c2);
        let q66 =
            (q[(0, 0)] + q[(1, 1)] - 2.0 * q[(0, 1)] - 2.0 * q[(2, 2)]) * s2 * c2 + q[(2, 2)] * (s2 * s2 + c2 * c2);
        let q16 = sc * (along * c2 + across * s2);
        let q26 = sc * (along * s2 + across * c2);
        Matrix3::new(q11, q12, q16, q12, q22, q26, q16, q26, q66)
    }
}

/// Stiffness of a stack about its mid-plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stiffness {
    /// In the plane, in N/mm.
    pub a_n_mm: Matrix3<f64>,
    /// Coupling of plane and bending, in N; 0 for a symmetric stack.
    pub b_n: Matrix3<f64>,
    /// In bending, in N mm.
    pub d_n_mm: Matrix3<f64>,
}

/// Stiffness of plies, the first at the tool. Nothing for a stack without thickness.
#[must_use]
pub fn stiffness(plies: &[Lamina]) -> Option<Stiffness> {
    let thickness_mm: f64 = plies.iter().map(|ply| ply.thickness_mm).sum();
    if thickness_mm.is_nan() || thickness_mm <= 0.0 {
        return None;
    }
    let zero = Matrix3::zeros();
    let mut sum = Stiffness { a_n_mm: zero, b_n: zero, d_n_mm: zero };
    let mut below_mm = -0.5 * thickness_mm;
    for ply in plies {
        let above_mm = below_mm + ply.thickness_mm;
        let q = ply.turned_mpa();
        sum.a_n_mm += q * (above_mm - below_mm);
        sum.b_n += q * ((above_mm.powi(2) - below_mm.powi(2)) / 2.0);
        sum.d_n_mm += q * ((above_mm.powi(3) - below_mm.powi(3)) / 3.0);
        below_mm = above_mm;
    }
    Some(sum)
}

/// What the stiffness is inverted to: strains and curvatures per force and moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compliance {
    /// Strain per force, in mm/N.
    pub a_mm_n: Matrix3<f64>,
    /// Strain per moment, in 1/N; its transpose is curvature per force.
    pub b_n: Matrix3<f64>,
    /// Curvature per moment, in 1/(N mm).
    pub d_n_mm: Matrix3<f64>,
}

impl Stiffness {
    /// Bending stiffness with the plane left free to stretch: `D - B A^-1 B`, in N mm: for a symmetric stack D itself.
    /// Nothing where the plane has no stiffness.
    #[must_use]
    pub fn free_bending_n_mm(&self) -> Option<Matrix3<f64>> {
        Some(self.d_n_mm - self.b_n * self.a_n_mm.try_inverse()? * self.b_n)
    }

    /// The inverse, block by block. Nothing where a block has none.
    #[must_use]
    pub fn compliance(&self) -> Option<Compliance> {
        let in_plane = self.a_n_mm.try_inverse()?;
        let d_n_mm = self.free_bending_n_mm()?.try_inverse()?;
        let b_n = -(in_plane * self.b_n * d_n_mm);
        Some(Compliance { a_mm_n: in_plane - b_n * self.b_n * in_plane, b_n, d_n_mm })
    }
}

/// Sag of a long panel between two supports, per load of 1 N/mm2 on it, in mm: supported freely and built in at both, with
/// the shear of a core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StripSag {
    /// On edges that turn freely: `5 q L^4 / (384 D) + q L^2 / (8 S)`.
    pub supported_mm: f64,
    /// On edges that cannot turn: `q L^4 / (384 D) + q L^2 / (8 S)`.
    pub clamped_mm: f64,
}

/// Sag of a strip of a long panel that spans x, under an even load. `bending` is D11 with the plane free, in N mm; `shear`
/// the shear stiffness per width in N/mm, nothing where only thin solid plies lie, whose shear is small.
///
/// # Source
/// Beam formulas of any handbook of strength of materials; the term in shear: H. G. Allen, Analysis and Design of Structural
/// Sandwich Panels (1969), chapter 2 (from memory).
#[must_use]
pub fn strip_sag(load_mpa: f64, span_mm: f64, bending_n_mm: f64, shear_n_mm: Option<f64>) -> StripSag {
    let of_bending = load_mpa * span_mm.powi(4) / (384.0 * bending_n_mm);
    let of_shear = shear_n_mm.map_or(0.0, |shear| load_mpa * span_mm.powi(2) / (8.0 * shear));
    StripSag { supported_mm: 5.0 * of_bending + of_shear, clamped_mm: of_bending + of_shear }
}

/// Shear stiffness per width of a sandwich in N/mm: `G d^2 / c` with `d` from middle to middle of its skins and `c` the core.
#[must_use]
pub fn core_shear_n_mm(shear_modulus_mpa: f64, core_mm: f64, between_skins_mm: f64) -> f64 {
    shear_modulus_mpa * between_skins_mm * between_skins_mm / core_mm
}

#[cfg(test)]
mod tests;
