//! Curvature of facets as small symmetric tensors.

use crate::geometry::mesh::Vector;

/// Bending of a facet: sum of angle x length x (t x t) over its edges, in mm, with the area that it is spread over, in mm2.
/// Single precision is enough for what it serves: where it bends and about which axis.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Tensor {
    /// xx, yy, zz, xy, yz, zx.
    entries: [f32; 6],
    /// Area in mm2.
    pub area_mm2: f32,
}

impl Tensor {
    /// `weight` t x t, over no area.
    #[inline]
    pub fn along(t: &Vector, weight: f64) -> [f64; 6] {
        [t.x * t.x, t.y * t.y, t.z * t.z, t.x * t.y, t.y * t.z, t.z * t.x].map(|entry| weight * entry)
    }

    /// From entries in double precision.
    #[inline]
    pub fn new(entries: [f64; 6], area_mm2: f64) -> Self {
        Self { entries: entries.map(|entry| entry as f32), area_mm2: area_mm2 as f32 }
    }

    /// Adds a share of another.
    #[inline]
    pub fn add(&mut self, share: f32, other: &Self) {
        for (entry, more) in self.entries.iter_mut().zip(other.entries) {
            *entry += share * more;
        }
        self.area_mm2 += share * other.area_mm2;
    }

    /// The tensor times a vector.
    #[inline]
    pub fn times(&self, v: &Vector) -> Vector {
        let [xx, yy, zz, xy, yz, zx] = self.entries.map(f64::from);
        Vector::new(xx * v.x + xy * v.y + zx * v.z, xy * v.x + yy * v.y + yz * v.z, zx * v.x + yz * v.y + zz * v.z)
    }

    /// Curvature about an axis in the facet, in 1/mm.
    #[inline]
    pub fn about(&self, axis: &Vector) -> f64 {
        if self.area_mm2 > 0.0 { axis.dot(&self.times(axis)) / f64::from(self.area_mm2) } else { 0.0 }
    }

    /// The two principal curvatures in the plane with the given normal, in 1/mm, larger size first, and the axis of the
    /// first: the direction along the corner.
    pub fn principal(&self, normal: &Vector) -> Principal {
        let least = normal.abs().imin();
        let mut u = Vector::zeros();
        u[least] = 1.0;
        let u = (u - normal * normal[least]).normalize();
        let v = normal.cross(&u);
        let (tu, tv) = (self.times(&u), self.times(&v));
        let (p, q, r) = (u.dot(&tu), v.dot(&tv), u.dot(&tv));
        let (mean, half) = (0.5 * (p + q), 0.5 * (p - q));
        let root = (half * half + r * r).sqrt();
        let (one, two) = if mean >= 0.0 { (mean + root, mean - root) } else { (mean - root, mean + root) };
        // Rows of T - lambda 1 are square to the eigenvector; the longer one is the safer.
        let (a, b) = (p - one, q - one);
        let (x, y) = if a.abs() > b.abs() { (-r, a) } else { (b, -r) };
        let axis = u * x + v * y;
        let size = axis.norm();
        let axis = if size > 0.0 { axis / size } else { u };
        let area = f64::from(self.area_mm2).max(f64::MIN_POSITIVE);
        Principal { kappa1: one / area, kappa2: two / area, axis }
    }
}

/// Principal curvatures of a facet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Principal {
    /// The larger in size, in 1/mm, positive if convex.
    pub kappa1: f64,
    /// The other, in 1/mm.
    pub kappa2: f64,
    /// The direction about which the first bends: along the corner.
    pub axis: Vector,
}
