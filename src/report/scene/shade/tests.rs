use super::*;
use crate::geometry::mesh::Point;

/// A strip of two squares in the plane, the second folded up by an angle about the edge between them.
fn folded(turn_deg: f64) -> Mesh {
    let (sin, cos) = crate::maths::sin_cos(rad_from_deg(turn_deg));
    let far = (20.0 + 30.0 * cos, 30.0 * sin);
    let points = [
        (0.0, 0.0, 0.0),
        (20.0, 0.0, 0.0),
        (20.0, 50.0, 0.0),
        (0.0, 50.0, 0.0),
        (far.0, 0.0, far.1),
        (far.0, 50.0, far.1),
    ];
    Mesh {
        points_mm: points.map(|(x, y, z)| Point::new(x, y, z)).to_vec(),
        faces: vec![[0, 1, 2], [0, 2, 3], [1, 4, 5], [1, 5, 2]],
    }
}

fn shaded(mesh: &Mesh, radius_mm: [f64; 4], zone: [u16; 4]) -> ShadedFace {
    shade(FacetValues {
        mesh,
        radius_mm: &radius_mm,
        thickness_mm: &[3.0, 3.0, 3.2, 3.2],
        zone: &zone,
        draft_deg: &[],
        wall_mm: &[],
    })
}

#[test]
fn points_are_doubled_where_the_zone_changes_and_nowhere_else() {
    let plain = shaded(&folded(10.0), [f64::INFINITY; 4], [0; 4]);
    assert_eq!(plain.points_mm.len(), 6);
    let zoned = shaded(&folded(10.0), [f64::INFINITY; 4], [0, 0, 1, 1]);
    assert_eq!(zoned.points_mm.len(), 8);
    for face in 0..4 {
        let zone = u16::from(face >= 2);
        assert!(zoned.faces[face].iter().all(|&point| zoned.zone[point as usize] == zone), "{face}");
    }
    // The border of a zone is no crease: the normal runs on.
    let at = |shaded: &ShadedFace, face: usize, k: usize| shaded.normals[shaded.faces[face][k] as usize];
    assert_eq!(at(&zoned, 0, 1), at(&zoned, 2, 0));
}

#[test]
fn a_crease_parts_the_normals_and_a_slight_bend_does_not() {
    let (slight, crease) = (shaded(&folded(34.0), [50.0; 4], [0; 4]), shaded(&folded(36.0), [50.0; 4], [0; 4]));
    assert_eq!((slight.points_mm.len(), crease.points_mm.len()), (6, 8));
    assert_eq!(crease.normals[crease.faces[0][0] as usize], Vector::z());
    assert!(slight.normals.iter().all(|normal| (normal.norm() - 1.0).abs() < 1e-12));
}

#[test]
fn alike_radii_are_smoothed_and_a_fillet_stays_apart_from_the_flat_beside_it() {
    let alike = shaded(&folded(10.0), [10.0, 10.0, 11.0, 11.0], [0; 4]);
    assert_eq!(alike.points_mm.len(), 6);
    // On the edge between, the areas of the three facets there weigh: 500, 750 and 750 mm2 at the one end.
    let between = alike.radius_mm[alike.faces[0][1] as usize];
    let expected = exp((500.0 * ln(10.0) + 1500.0 * ln(11.0)) / 2000.0);
    assert!((between - expected).abs() < 1e-9, "{between} {expected}");
    assert_eq!(alike.radius_mm[alike.faces[1][2] as usize], 10.0, "alike all round is left as it is");
    let fillet = shaded(&folded(10.0), [f64::INFINITY, f64::INFINITY, 6.0, 6.0], [0; 4]);
    assert_eq!(fillet.points_mm.len(), 8);
    assert!(fillet.radius_mm.iter().all(|&radius_mm| radius_mm == FLAT_MM || radius_mm == 6.0));
    let wide = shaded(&folded(10.0), [600.0, 600.0, f64::INFINITY, f64::INFINITY], [0; 4]);
    assert_eq!(wide.points_mm.len(), 6, "no mat minds either");
}

#[test]
fn facets_without_area_are_not_drawn_and_odd_values_stay_in_range() {
    let mut mesh = folded(10.0);
    mesh.faces.push([0, 1, 1]);
    mesh.faces.push([3, 3, 3]);
    let shaded = shade(FacetValues {
        mesh: &mesh,
        radius_mm: &[f64::NAN, -3.0, 1e99],
        thickness_mm: &[],
        zone: &[],
        draft_deg: &[],
        wall_mm: &[],
    });
    assert_eq!(shaded.faces.len(), 4);
    assert!(shaded.radius_mm.iter().all(|radius_mm| (0.0..=FLAT_MM).contains(radius_mm)), "{:?}", shaded.radius_mm);
    let nothing = Mesh::default();
    let values =
        FacetValues { mesh: &nothing, radius_mm: &[], thickness_mm: &[], zone: &[], draft_deg: &[], wall_mm: &[] };
    assert_eq!(shade(values), ShadedFace::default());
}

#[test]
fn drafts_that_differ_at_an_edge_stay_apart_and_those_that_agree_are_one() {
    let of = |drafts: [f64; 2]| {
        let [one, other] = drafts.map(|draft_deg| [draft_deg; 3]);
        shade(FacetValues {
            mesh: &folded(10.0),
            radius_mm: &[f64::INFINITY; 4],
            thickness_mm: &[],
            zone: &[],
            draft_deg: &[one, one, other, other],
            wall_mm: &[],
        })
    };
    let bent = of([-4.0, 6.0]);
    assert_eq!(bent.points_mm.len(), 8);
    for (face, draft_deg) in [-4.0, -4.0, 6.0, 6.0].into_iter().enumerate() {
        assert!(bent.faces[face].iter().all(|&point| bent.draft_deg[point as usize] == draft_deg), "{face}");
    }
    let same = of([2.0, 2.5]);
    assert_eq!(same.points_mm.len(), 6);
    assert!(same.draft_deg.iter().all(|draft_deg| (2.0..=2.5).contains(draft_deg)), "{:?}", same.draft_deg);
}

#[test]
fn a_wall_is_shown_where_there_is_one_and_ends_where_it_ends() {
    let shaded = shade(FacetValues {
        mesh: &folded(10.0),
        radius_mm: &[f64::INFINITY; 4],
        thickness_mm: &[],
        zone: &[],
        draft_deg: &[],
        wall_mm: &[3.0, 3.0, 0.0, 0.0],
    });
    assert_eq!(shaded.points_mm.len(), 8);
    assert!(shaded.wall_mm.iter().all(|&wall_mm| wall_mm == 3.0 || wall_mm == 0.0), "{:?}", shaded.wall_mm);
}
