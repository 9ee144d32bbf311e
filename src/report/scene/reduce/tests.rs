use super::*;
use crate::geometry::mesh::{Point, Vector};
use crate::report::scene::{Layer, ScenePanel};

/// A roof of `n` cells along its ridge: two slopes of 300 mm that rise 40 mm.
fn roof(n: u32) -> ShadedFace {
    let mut face = ShadedFace::default();
    for k in 0..=n {
        let x = 10.0 * f64::from(k);
        for (y, z) in [(-300.0, 0.0), (0.0, 40.0), (300.0, 0.0)] {
            face.points_mm.push(Point::new(x, y, z));
            face.normals.push(Vector::z());
            face.radius_mm.push(x + 1.0);
            face.thickness_mm.push(3.0);
            face.zone.push(1);
            face.draft_deg.push(0.5 * x);
        }
    }
    for k in 0..n {
        for slope in 0..2 {
            let [a, b] = [3 * k + slope, 3 * k + slope + 1];
            face.faces.extend([[a, a + 3, b + 3], [a, b + 3, b]]);
        }
    }
    face
}

/// Leaves the ridge out: one flat from eave to eave.
struct Flatten;

impl Reduce for Flatten {
    fn reduce(&self, face: &ShadedFace, _n_wanted: usize) -> Option<Vec<[PointId; 3]>> {
        let last = face.points_mm.len() as PointId - 1;
        Some(vec![[0, last - 2, last], [0, last, 2]])
    }
}

fn scene(faces: Vec<ShadedFace>) -> Scene {
    let layers = faces.into_iter().map(|face| Layer {
        make: None,
        piece: String::new(),
        face,
        reduction: None,
        zones: Vec::new(),
        zone_plies: Vec::new(),
        pull: None,
        limits: Vec::new(),
        flanges: Vec::new(),
        lines: Vec::new(),
    });
    Scene { panels: vec![ScenePanel { name: "roof".to_owned(), layers: layers.collect() }] }
}

#[test]
fn a_coarse_face_says_how_far_it_strays_and_keeps_what_the_full_one_shows() {
    let full = roof(20_000);
    let reduced = reduced(scene(vec![full.clone(), roof(100)]), Some(&Flatten));
    let [coarse, small] = &reduced.panels[0].layers[..] else { panic!("two layers") };
    assert_eq!((small.reduction, small.face.faces.len()), (None, 400), "a small face stays as it is");
    let reduction = coarse.reduction.expect("it was made coarser");
    assert_eq!((reduction.n_before, reduction.n_after), (80_000, 2));
    assert!((reduction.error_mm - 40.0).abs() < 1e-9, "the ridge lies 40 mm over the flat");
    // By Pythagoras: 300 for the slope's length.
    let share = 300.0 / (300.0_f64 * 300.0 + 1600.0).sqrt() - 1.0;
    assert!((reduction.area_share - share).abs() < 1e-9, "{} {share}", reduction.area_share);
    assert_eq!(coarse.face.points_mm.len(), 4);
    assert_eq!(coarse.face.radius_mm, [1.0, 200_001.0, 200_001.0, 1.0]);
    assert_eq!(coarse.face.zone, [1; 4]);
    assert_eq!(coarse.face.draft_deg, [0.0, 100_000.0, 100_000.0, 0.0]);
    assert!(coarse.face.wall_mm.is_empty(), "there is none");
}

#[test]
fn facets_are_shared_so_that_small_pieces_keep_all_and_large_ones_share_alike() {
    assert_eq!(shared(&[10, 500, 30, 400], 200), [10, 80, 30, 80]);
    assert_eq!(shared(&[10, 20], 200), [10, 20]);
    assert_eq!(shared(&[], 200), [0; 0]);
    let budgets = budgets(&vec![vec![600_000, 500_000]; 10]);
    assert!(budgets.iter().flatten().all(|&n| n == 8_000));
    assert_eq!(super::budgets(&[vec![600_000, 500_000], vec![300]]), [vec![30_000, 30_000], vec![300]]);
}
