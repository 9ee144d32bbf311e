use nalgebra::Matrix6;
use proptest::prelude::*;

use super::*;

/// Graphite in epoxy of Kaw's examples: 181, 10.3 and 7.17 GPa, Poisson's ratio 0.28.
fn graphite(thickness_mm: f64, angle_deg: f64) -> Lamina {
    Lamina { e1_mpa: 181_000.0, e2_mpa: 10_300.0, poisson12: 0.28, g12_mpa: 7170.0, thickness_mm, angle_deg }
}

fn near(found: f64, printed: f64, tolerance: f64) {
    assert!((found - printed).abs() <= tolerance, "{found}, printed {printed}");
}

fn alike(one: &Matrix3<f64>, other: &Matrix3<f64>) {
    let scale = one.norm().max(other.norm());
    assert!((one - other).norm() <= 1e-12 * scale, "{one}{other}");
}

/// Source: A. K. Kaw, Mechanics of Composite Materials (2nd ed. 2006), examples 2.6 and 2.7: Q and the turned Q at 60 degrees
/// of graphite in epoxy, in GPa (from memory).
#[test]
fn reduced_stiffness_along_and_at_60_degrees_is_that_of_the_textbook() {
    let gpa = |matrix: Matrix3<f64>, row, column| matrix[(row, column)] / 1000.0;
    let q = graphite(5.0, 0.0).reduced_mpa();
    near(gpa(q, 0, 0), 181.8, 0.05);
    near(gpa(q, 0, 1), 2.897, 0.0006);
    near(gpa(q, 1, 1), 10.35, 0.005);
    near(gpa(q, 2, 2), 7.17, 0.005);
    let turned = graphite(5.0, 60.0).turned_mpa();
    near(gpa(turned, 0, 0), 23.65, 0.006);
    near(gpa(turned, 0, 1), 32.46, 0.006);
    near(gpa(turned, 1, 1), 109.4, 0.06);
    near(gpa(turned, 0, 2), 20.05, 0.006);
    near(gpa(turned, 1, 2), 54.19, 0.006);
    near(gpa(turned, 2, 2), 36.74, 0.006);
}

/// Source: the same, example 4.2: A, B and D of [0/30/-45], each ply 5 mm (from memory; printed in
/// Pa m, Pa m2 and Pa m3, which are 0.001 N/mm, 1 N and 1000 N mm).
#[test]
fn the_three_ply_laminate_of_the_textbook_has_its_a_b_and_d() {
    let found = stiffness(&[graphite(5.0, 0.0), graphite(5.0, 30.0), graphite(5.0, -45.0)]).expect("a stack");
    near(found.a_n_mm[(0, 0)], 1.739e6, 600.0);
    near(found.a_n_mm[(0, 1)], 3.884e5, 60.0);
    near(found.a_n_mm[(1, 1)], 4.533e5, 60.0);
    near(found.a_n_mm[(0, 2)], 5.663e4, 6.0);
    near(found.a_n_mm[(1, 2)], -1.141e5, 60.0);
    near(found.a_n_mm[(2, 2)], 4.525e5, 60.0);
    near(found.b_n[(0, 0)], -3.129e6, 1000.0);
    near(found.b_n[(0, 1)], 9.855e5, 600.0);
    near(found.b_n[(1, 1)], 1.158e6, 1000.0);
    near(found.d_n_mm[(0, 0)], 3.343e7, 10_000.0);
    near(found.d_n_mm[(1, 1)], 9.320e6, 3000.0);
}

#[test]
fn a_turn_of_90_degrees_swaps_the_axes_and_180_changes_nothing() {
    let q = graphite(1.0, 0.0).turned_mpa();
    let quarter = graphite(1.0, 90.0).turned_mpa();
    near(quarter[(0, 0)], q[(1, 1)], 1e-9);
    near(quarter[(1, 1)], q[(0, 0)], 1e-9);
    near(quarter[(0, 1)], q[(0, 1)], 1e-9);
    alike(&graphite(1.0, 180.0).turned_mpa(), &q);
    // Plus and minus differ only where stretch and shear couple.
    let (plus, minus) = (graphite(1.0, 35.0).turned_mpa(), graphite(1.0, -35.0).turned_mpa());
    near(plus[(0, 2)], -minus[(0, 2)], 1e-9);
    near(plus[(0, 0)], minus[(0, 0)], 1e-9);
}

#[test]
fn a_symmetric_stack_does_not_couple_and_one_in_equal_turns_is_alike_all_round() {
    let symmetric = [0.0, 35.0, -20.0, -20.0, 35.0, 0.0].map(|angle| graphite(0.7, angle));
    let found = stiffness(&symmetric).expect("a stack");
    assert!(found.b_n.norm() < 1e-9 * found.a_n_mm.norm());
    alike(&found.free_bending_n_mm().expect("it bends"), &found.d_n_mm);
    let even = stiffness(&[0.0, 60.0, -60.0].map(|angle| graphite(0.7, angle))).expect("a stack").a_n_mm;
    near(even[(0, 0)], even[(1, 1)], 1e-8 * even[(0, 0)]);
    near(even[(2, 2)], 0.5 * (even[(0, 0)] - even[(0, 1)]), 1e-8 * even[(0, 0)]);
    near(even[(0, 2)], 0.0, 1e-8 * even[(0, 0)]);
}

/// Source: plate formula `E t^3 / (12 (1 - nu^2))`, and the beam's `5 q L^4 / (384 E I)` where nothing contracts.
#[test]
fn solid_plies_bend_as_one_plate_of_their_thickness() {
    let plies = [1.0, 0.4, 2.1].map(|thickness_mm| Lamina::isotropic(6500.0, 0.3, thickness_mm));
    let found = stiffness(&plies).expect("a stack").free_bending_n_mm().expect("it bends");
    near(found[(0, 0)], 6500.0 * 3.5_f64.powi(3) / (12.0 * 0.91), 1e-6);
    let beam = stiffness(&[Lamina::isotropic(6500.0, 0.0, 3.5)]).expect("a stack").d_n_mm[(0, 0)];
    // A strip 1 mm wide: I = 3.5^3 / 12; 0.001 N/mm on 800 mm.
    let by_hand = 5.0 * 0.001 * 800_f64.powi(4) / (384.0 * 6500.0 * (3.5_f64.powi(3) / 12.0));
    let sag = strip_sag(0.001, 800.0, beam, None);
    near(sag.supported_mm, by_hand, 1e-9);
    near(sag.clamped_mm, by_hand / 5.0, 1e-9);
}

/// Source: beam theory of sandwiches, `D = E (b^3 - c^3) / 12` about the middle, with a core that bears nothing.
#[test]
fn a_sandwich_bends_as_its_skins_held_apart() {
    let (skin, core) = (Lamina::isotropic(7000.0, 0.0, 1.5), Lamina::isotropic(1e-9, 0.0, 10.0));
    let found = stiffness(&[skin, core, skin]).expect("a stack").d_n_mm[(0, 0)];
    near(found, 7000.0 * (13_f64.powi(3) - 10_f64.powi(3)) / 12.0, 1e-6 * found);
    // A core of 25 MPa under 0.001 N/mm2 on 1000 mm: d = 11.5, S = 25 x 132.25 / 10 = 330.6; 0.001 x 1e6 / (8 S) = 0.378.
    let shear = core_shear_n_mm(25.0, 10.0, 11.5);
    let sag = strip_sag(0.001, 1000.0, found, Some(shear));
    near(sag.supported_mm - 5.0 * (sag.supported_mm - sag.clamped_mm) / 4.0, 0.378_07, 1e-4);
}

/// An outside skin twice the inner: about its own neutral axis, not the middle of the stack.
#[test]
fn unequal_skins_bend_about_their_own_axis() {
    let skin = |thickness_mm| Lamina::isotropic(7000.0, 0.0, thickness_mm);
    let plies = [skin(2.0), Lamina::isotropic(1e-9, 0.0, 10.0), skin(1.0)];
    let found = stiffness(&plies).expect("a stack").free_bending_n_mm().expect("it bends")[(0, 0)];
    // Middles 11.5 mm apart: E (t1^3 + t2^3) / 12 + E t1 t2 / (t1 + t2) x 11.5^2.
    near(found, 7000.0 * ((8.0 + 1.0) / 12.0 + 2.0 / 3.0 * 11.5 * 11.5), 1e-6 * found);
}

#[test]
fn no_plies_have_no_stiffness() {
    assert_eq!(stiffness(&[]), None);
    assert_eq!(stiffness(&[Lamina::isotropic(6500.0, 0.3, f64::NAN)]), None);
}

proptest! {
    /// The second route: all six equations inverted at once by nalgebra.
    #[test]
    fn the_inverse_by_blocks_is_that_of_the_six_equations(
        plies in proptest::collection::vec((0.2..3.0_f64, -90.0..90.0_f64, 3000.0..150_000.0_f64, 0.1..1.0_f64, 0.05..0.4_f64), 1..9)
    ) {
        let plies: Vec<Lamina> = plies
            .into_iter()
            .map(|(thickness_mm, angle_deg, e1_mpa, across, poisson12)| Lamina {
                e1_mpa, e2_mpa: across * e1_mpa, poisson12, g12_mpa: 0.3 * across * e1_mpa, thickness_mm, angle_deg,
            })
            .collect();
        let found = stiffness(&plies).expect("a stack");
        let mut all = Matrix6::zeros();
        all.fixed_view_mut::<3, 3>(0, 0).copy_from(&found.a_n_mm);
        all.fixed_view_mut::<3, 3>(0, 3).copy_from(&found.b_n);
        all.fixed_view_mut::<3, 3>(3, 0).copy_from(&found.b_n);
        all.fixed_view_mut::<3, 3>(3, 3).copy_from(&found.d_n_mm);
        let inverse = all.try_inverse().expect("it is stiff");
        let blocks = found.compliance().expect("it is stiff");
        for (block, (row, column)) in [(blocks.a_mm_n, (0, 0)), (blocks.b_n, (0, 3)), (blocks.b_n.transpose(), (3, 0)), (blocks.d_n_mm, (3, 3))] {
            let other = inverse.fixed_view::<3, 3>(row, column).into_owned();
            prop_assert!((block - other).norm() <= 1e-7 * other.norm().max(1e-15), "{block}{other}");
        }
    }
}
