//! From where a panel is looked at: parallel views, the standard ones of drawings and any other.

use crate::geometry::mesh::{Point, Vector};

/// A parallel view. The three directions are unit vectors square to one another; `right` x `up` is `toward`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// From where, in words: `from the front`.
    pub name: &'static str,
    right: Vector,
    up: Vector,
    toward: Vector,
}

/// A point as a view shows it: to the right, upwards and towards the eye, in mm.
pub type Seen = [f64; 3];

impl View {
    /// From the side of least y, x to the right, z upwards.
    #[must_use]
    pub fn front() -> Self {
        Self { name: "from the front", right: Vector::x(), up: Vector::z(), toward: -Vector::y() }
    }

    /// From the side of least x.
    #[must_use]
    pub fn left() -> Self {
        Self { name: "from the left", right: -Vector::y(), up: Vector::z(), toward: -Vector::x() }
    }

    /// From above, the front at the bottom.
    #[must_use]
    pub fn above() -> Self {
        Self { name: "from above", right: Vector::x(), up: Vector::y(), toward: Vector::z() }
    }

    /// From where `toward` points, upright as far as may be.
    #[must_use]
    pub fn from(name: &'static str, toward: Vector) -> Self {
        let toward = toward.try_normalize(0.0).unwrap_or_else(Vector::z);
        // Looked at from straight above or below, the front is at the bottom.
        let right = Vector::z().cross(&toward).try_normalize(1e-9).unwrap_or_else(Vector::x);
        Self { name, right, up: toward.cross(&right), toward }
    }

    /// A point as seen.
    #[inline]
    #[must_use]
    pub fn seen(&self, point: &Point) -> Seen {
        [self.right.dot(&point.coords), self.up.dot(&point.coords), self.toward.dot(&point.coords)]
    }

    /// A direction as seen.
    #[inline]
    #[must_use]
    pub fn turned(&self, direction: &Vector) -> Vector {
        Vector::new(self.right.dot(direction), self.up.dot(direction), self.toward.dot(direction))
    }

    /// Towards the eye.
    #[must_use]
    pub const fn toward(&self) -> Vector {
        self.toward
    }
}

/// A rectangle in the plane of a view or of the paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Least coordinates.
    pub least: [f64; 2],
    /// Greatest coordinates.
    pub most: [f64; 2],
}

impl Area {
    /// Nothing yet.
    pub const EMPTY: Self = Self { least: [f64::INFINITY; 2], most: [f64::NEG_INFINITY; 2] };

    /// From a corner and a size.
    #[must_use]
    pub fn at(corner: [f64; 2], size: [f64; 2]) -> Self {
        Self { least: corner, most: [corner[0] + size[0], corner[1] + size[1]] }
    }

    /// The least rectangle round points as seen; one without extent at the origin if there are none.
    #[must_use]
    pub fn round(points: impl Iterator<Item = Seen>) -> Self {
        let mut area = Self::EMPTY;
        points.for_each(|[x, y, _]| area.take_in([x, y]));
        if area.least[0] <= area.most[0] { area } else { Self { least: [0.0; 2], most: [0.0; 2] } }
    }

    /// Grows to hold a point.
    pub fn take_in(&mut self, point: [f64; 2]) {
        for (axis, at) in point.into_iter().enumerate() {
            self.least[axis] = self.least[axis].min(at);
            self.most[axis] = self.most[axis].max(at);
        }
    }

    /// Width and height.
    #[must_use]
    pub fn size(&self) -> [f64; 2] {
        [self.most[0] - self.least[0], self.most[1] - self.least[1]]
    }

    /// Its middle.
    #[must_use]
    pub fn middle(&self) -> [f64; 2] {
        [0.5 * (self.least[0] + self.most[0]), 0.5 * (self.least[1] + self.most[1])]
    }

    /// Larger by a margin all round.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self { least: self.least.map(|x| x - by), most: self.most.map(|x| x + by) }
    }

    /// Whether two share more than a border.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        (0..2).all(|axis| self.least[axis] < other.most[axis] && other.least[axis] < self.most[axis])
    }

    /// Whether another lies within.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        (0..2).all(|axis| self.least[axis] <= other.least[axis] && other.most[axis] <= self.most[axis])
    }

    /// The point of it nearest to a point.
    #[must_use]
    pub fn nearest(&self, point: [f64; 2]) -> [f64; 2] {
        [point[0].clamp(self.least[0], self.most[0]), point[1].clamp(self.least[1], self.most[1])]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_view_is_right_handed_and_upright() {
        let views = [View::front(), View::left(), View::above(), View::from("", Vector::new(1.0, -2.0, 0.5))];
        for view in views {
            assert!((view.right.cross(&view.up) - view.toward).norm() < 1e-12, "{view:?}");
            assert!(view.up.z >= 0.0 || view.toward.z.abs() > 0.99, "{view:?}");
        }
    }

    #[test]
    fn seen_from_above_along_the_axis_is_the_plan() {
        assert_eq!(View::from("from above", Vector::z()), View::above());
    }
}
