use super::*;

fn cut(corners: &[[f64; 3]]) -> (Shape, Vec<Ear>) {
    let corners: Vec<Point> = corners.iter().map(|&corner| Point::from(corner)).collect();
    let mut ears = Vec::new();
    let shape = Cutter::default().cut(&corners, &mut ears);
    (shape, ears)
}

#[test]
fn a_convex_polygon_is_a_fan_from_its_first_corner() {
    let (shape, ears) = cut(&[[0.0, 0.0, 3.0], [5.0, 0.0, 3.0], [7.0, 4.0, 3.0], [3.0, 6.0, 3.0], [-1.0, 3.0, 3.0]]);
    assert_eq!(shape, Shape::Simple);
    assert_eq!(ears, [[0, 1, 2], [0, 2, 3], [0, 3, 4]]);
}

#[test]
fn a_polygon_without_size_is_kept_as_a_fan_without_area() {
    let (shape, ears) = cut(&[[0.0; 3], [1.0; 3], [2.0; 3], [3.0; 3]]);
    assert_eq!((shape, ears.len()), (Shape::Simple, 2));
    let (shape, ears) = cut(&[[f64::NAN; 3], [1.0, 0.0, 0.0], [2.0, 3.0, 0.0], [3.0; 3]]);
    assert_eq!((shape, ears.len()), (Shape::Simple, 2));
}

#[test]
fn a_bow_tie_and_a_star_drawn_in_one_stroke_cross_themselves() {
    assert_eq!(cut(&[[0.0, 0.0, 0.0], [4.0, 3.0, 0.0], [4.0, 0.0, 0.0], [0.0, 3.0, 0.0]]).0, Shape::CrossesItself);
    let stroke: Vec<[f64; 3]> = (0..5)
        .map(|k| {
            let angle = f64::from(k) * 0.8 * std::f64::consts::PI;
            [crate::maths::cos(angle), crate::maths::sin(angle), 0.0]
        })
        .collect();
    assert_eq!(cut(&stroke).0, Shape::CrossesItself);
}

#[test]
fn a_polygon_of_many_corners_is_cut_in_good_time() {
    // A comb of 20,000 teeth; comparing every corner with every other would take minutes.
    let comb: Vec<[f64; 3]> = (0..40_000)
        .map(|k| [f64::from(k), if k % 2 == 0 { 0.0 } else { 50.0 }, 0.0])
        .chain([[40_000.0, -90.0, 0.0], [0.0, -90.0, 0.0]])
        .rev()
        .collect();
    let (shape, ears) = cut(&comb);
    assert_eq!((shape, ears.len()), (Shape::Simple, comb.len() - 2));
}
