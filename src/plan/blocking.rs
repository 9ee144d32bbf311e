//! Why no direction frees a face, in words: the facets that contradict one another.

use super::release::direction_words;
use crate::geometry::mesh::{Point, Vector};
use crate::geometry::pull::Blocker;

/// Says where the facets that block one another are and which way each looks. Nothing if there are none.
#[must_use]
pub fn contradiction(blocking: &[Blocker]) -> Option<String> {
    let (first, others) = blocking.split_first()?;
    let mut words = format!("the wall at {} looks {}", place_words(&first.at_mm), rough_words(&first.unit_normal));
    for other in others {
        words.push_str(&format!(", the one at {} {}", place_words(&other.at_mm), rough_words(&other.unit_normal)));
    }

    Some(format!("{words}: no direction draws the mould off all of them"))
}

fn place_words(at: &Point) -> String {
    let [x, y, z] = [at.x, at.y, at.z].map(|coordinate| coordinate.round() + 0.0);
    format!("({x}, {y}, {z}) mm")
}

/// To a hundredth, and an axis within half a degree of it by its name: it only has to be found again.
fn rough_words(normal: &Vector) -> String {
    const NEAR: f64 = 0.99996;
    let axis = normal.abs().imax();
    if normal[axis].abs() >= NEAR {
        let mut unit = Vector::zeros();
        unit[axis] = normal[axis].signum();
        return direction_words(&unit);
    }
    direction_words(&normal.map(|part| (100.0 * part).round() / 100.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn walls_that_contradict_each_other_are_named_by_place_and_the_way_they_look() {
        let blocker = |x: f64, normal: Vector| Blocker { at_mm: Point::new(x, -0.2, 40.4), unit_normal: normal };
        let slanted = Vector::new(-0.6, 0.0, 0.8);
        let words = contradiction(&[blocker(120.0, Vector::x()), blocker(-3.0, -Vector::x()), blocker(0.0, slanted)]);
        assert_eq!(
            words.as_deref(),
            Some(
                "the wall at (120, 0, 40) mm looks +x, the one at (-3, 0, 40) mm -x, the one at (0, 0, 40) mm (-0.6, 0, 0.8): \
                 no direction draws the mould off all of them"
            )
        );
        assert_eq!(contradiction(&[]), None);
    }
}
