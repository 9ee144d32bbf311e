//! A plane as the lines of a job file that split by it.

use crate::geometry::split::Plane;
use crate::laminate::schedule::Axis;

/// Lines to paste under a `[[part]]`: the plane by axis and offset where it is square to an axis, otherwise by point and normal.
#[must_use]
pub fn split_lines(name: &str, of: &str, plane: &Plane) -> String {
    let quoted = toml::Value::String(name.to_owned()).to_string();
    format!("[[part.split]]\nname = {quoted}\nof = \"{of}\"\n{}", plane_lines(plane))
}

fn plane_lines(plane: &Plane) -> String {
    // A hundredth of a millimetre, a millionth of a direction; adding 0 turns -0 into 0.
    let mm = |x: f64| (x * 100.0).round() / 100.0 + 0.0;
    let part = |x: f64| (x * 1e6).round() / 1e6 + 0.0;
    for (axis, word) in [(Axis::X, "x"), (Axis::Y, "y"), (Axis::Z, "z")] {
        let along = crate::geometry::mesh::Vector::from(axis.direction());
        if plane.unit_normal.dot(&along).abs() > 1.0 - 1e-12 {
            return format!("axis = \"{word}\"\nat_mm = {:?}\n", mm(plane.point_mm.coords.dot(&along)));
        }
    }
    let [x, y, z] = [plane.point_mm.x, plane.point_mm.y, plane.point_mm.z].map(mm);
    let [a, b, c] = [plane.unit_normal.x, plane.unit_normal.y, plane.unit_normal.z].map(part);
    format!("point_mm = [{x:?}, {y:?}, {z:?}]\nnormal = [{a:?}, {b:?}, {c:?}]\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::mesh::{Point, Vector};

    #[test]
    fn the_lines_are_read_back_as_the_same_plane() {
        let slanted = Vector::new(1.0, 2.0, 2.0) / 3.0;
        for (plane, word) in [
            (Plane { point_mm: Point::new(0.0, 0.0, 120.25), unit_normal: Vector::z() }, "axis = \"z\""),
            (Plane { point_mm: Point::new(10.0, -3.5, 7.0), unit_normal: slanted }, "normal"),
        ] {
            let lines = split_lines("the \"waist\"", "mould", &plane);
            assert!(lines.contains(word), "{lines}");
            let text = format!("units = \"mm\"\n[[part]]\nname = \"a\"\nfile = \"a.stl\"\n{lines}");
            let job = crate::job::read(&text, "job.toml").expect("a job");
            let split = &job.parts[0].splits[0];
            assert_eq!(split.name, "the \"waist\"");
            let Some(crate::job::SplitPlane::Plane(read)) = split.plane() else { panic!("a plane in figures") };
            assert!(read.unit_normal.dot(&plane.unit_normal) > 1.0 - 1e-9);
            assert!((read.point_mm - plane.point_mm).dot(&plane.unit_normal).abs() < 0.01);
        }
    }
}
