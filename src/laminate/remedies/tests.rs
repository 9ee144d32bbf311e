use super::*;
use crate::laminate::plies::plan_plies;
use crate::maths::cos;

#[track_caller]
fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} within {tolerance}");
}

fn stock() -> Stock {
    Stock::starter().expect("the starter stock")
}

fn moulding(layers: &str) -> PliesPlan {
    let text = format!("make = 'moulding'\ngelcoat = 'production gelcoat'\nresin = 'polyester'\nlayers = [{layers}]");
    plan_plies("moulding", &toml::from_str(&text).expect("a schedule"), &stock()).expect("a plan")
}

const PLIES: &str = "{ material = 'mat 225' }, { material = 'mat 450', plies = 2 }";

fn corner(radius_mm: f64, met_as: MetAs) -> CornerMet {
    CornerMet { radius_mm, turn_deg: 90.0, length_mm: 2000.0, met_as, from: CornerFrom::Face, curved_side: None }
}

fn advice(corner: &CornerMet, plan: &PliesPlan) -> CornerAdvice {
    let stock = stock();
    advise(corner, plan, &plies_at(plan, corner, |_| false), &stock, stock.fillers.get("fillet putty"))
}

/// Source: area between two tangents and their arc, by numbers: the kite less the sector.
#[test]
fn section_of_a_fillet_at_any_angle() {
    for turn_deg in [35.0, 90.0, 140.0] {
        let half_rad = 0.5 * rad_from_deg(turn_deg);
        let (radius_mm, smaller_mm) = (12.0, 5.0);
        let kite_less_sector = |r: f64| r * r * tan(half_rad) - 0.5 * r * r * 2.0 * half_rad;
        let section_mm2 = fillet_section_mm2(smaller_mm, radius_mm, turn_deg).expect("a fillet");
        near(section_mm2, kite_less_sector(radius_mm) - kite_less_sector(smaller_mm), 1e-9);
        // The same by adding up thin slices between tangent and arc.
        let n = 20_000;
        let far_mm = radius_mm * tan(half_rad);
        let slices: f64 = (0..n)
            .map(|k| {
                // Along the bisector: half width of the wedge at x from the sharp corner, up to where the arc begins.
                let tip_mm = radius_mm / cos(half_rad);
                let x = (f64::from(k) + 0.5) / f64::from(n) * tip_mm;
                let wedge = x / tan(half_rad);
                let from_centre = tip_mm - x;
                let arc = (radius_mm * radius_mm - from_centre * from_centre).max(0.0).sqrt();
                let beyond = if x > far_mm * crate::maths::sin(half_rad) { 0.0 } else { (wedge - arc).max(0.0) };
                2.0 * beyond * tip_mm / f64::from(n)
            })
            .sum();
        near(fillet_section_mm2(0.0, radius_mm, turn_deg).expect("a fillet"), slices, 2e-3 * slices);
    }
    assert_eq!(fillet_section_mm2(0.0, 8.0, 180.0), None);
    assert_eq!(fillet_section_mm2(0.0, 8.0, 0.0), None);
    assert_eq!(fillet_section_mm2(9.0, 8.0, 90.0), Some(0.0));
}

#[test]
fn an_inside_corner_gets_tighter_and_an_outside_corner_wider_ply_by_ply() {
    let plan = moulding(PLIES);
    let radii = |met_as| -> Vec<f64> {
        let corner = corner(4.0, met_as);
        let sees = sees_by_ply(&corner, plan.gelcoat_mm(), &plies_at(&plan, &corner, |_| false));
        sees.iter().map(|sees| sees.radius_mm).collect()
    };
    for (radii, expected) in [(radii(MetAs::Inside), [3.5, 2.943, 1.830]), (radii(MetAs::Outside), [4.5, 5.057, 6.170])]
    {
        for (radius_mm, expected_mm) in radii.iter().zip(expected) {
            near(*radius_mm, expected_mm, 1e-3);
        }
    }
}

#[test]
fn a_corner_that_every_ply_takes_needs_nothing() {
    let advice = advice(&corner(25.0, MetAs::Inside), &moulding(PLIES));
    assert_eq!((advice.first_failing_ply, advice.remedies.len()), (None, 0));
    assert!(advice.sees.iter().all(PlySees::fits));
}

/// Source: own sum. The last ply of 450 wants 8 mm with 0.5 + 0.557 + 1.113 under it: 10.170 at the tool.
#[test]
fn the_fillet_is_made_so_large_that_the_last_ply_fits() {
    let advice = advice(&corner(3.0, MetAs::Inside), &moulding(PLIES));
    assert_eq!(advice.first_failing_ply, Some(1)); // 2.5 mm under a mat that takes 3
    let fills: Vec<_> = advice
        .remedies
        .iter()
        .filter_map(|remedy| match remedy {
            Remedy::Fill { place, from_radius_mm, to_radius_mm, filler_ml, filler_kg, leg_mm, .. } => {
                Some((*place, *from_radius_mm, *to_radius_mm, *filler_ml, *filler_kg, *leg_mm))
            }
            _ => None,
        })
        .collect();
    let [behind, on_plug] = fills[..] else { panic!("two places to fill: {fills:?}") };
    assert_eq!((behind.0, on_plug.0), (Place::BehindGelcoat, Place::OnPlug));
    near(on_plug.2, 10.170, 1e-3);
    near(on_plug.3, (10.170f64.powi(2) - 9.0) * 0.214_602 * 2.0, 1e-2);
    near(behind.1, 2.5, 1e-9);
    near(behind.2, 9.670, 1e-3);
    near(behind.4, behind.3 * 1.8e-3, 1e-12);
    near(behind.5, 9.670, 1e-3);
    // Refilled to that radius, nothing fails.
    assert_eq!(super::tests::advice(&corner(on_plug.2, MetAs::Inside), &moulding(PLIES)).first_failing_ply, None);
}

#[test]
fn a_flange_keeps_the_plugs_edge_crisp() {
    let root = CornerMet { from: CornerFrom::Flange, ..corner(0.0, MetAs::Inside) };
    let advice = advice(&root, &moulding(PLIES));
    let places: Vec<_> = advice
        .remedies
        .iter()
        .filter_map(|remedy| if let Remedy::Fill { place, .. } = remedy { Some(*place) } else { None })
        .collect();
    assert_eq!(places, [Place::BehindGelcoat]);
    assert_eq!(advice.sees[0].radius_mm, 0.0);
}

#[test]
fn an_outside_corner_is_rounded_on_the_plug() {
    let advice = advice(&corner(0.0, MetAs::Outside), &moulding(PLIES));
    assert_eq!(advice.first_failing_ply, Some(1));
    let Some(Remedy::Round { to_radius_mm, removed_ml, .. }) = advice.remedies.first() else { panic!("a rounding") };
    // First ply: 3 mm less 0.5 of gelcoat. Second: 4 less 1.057. The second decides.
    near(*to_radius_mm, 4.0 - 0.5 - 0.55664, 1e-4);
    near(*removed_ml, 2.94336f64.powi(2) * 0.214_602 * 2.0, 1e-3);
    assert!(!advice.remedies.iter().any(|remedy| matches!(remedy, Remedy::Fill { .. })));
}

#[test]
fn a_lighter_first_ply_is_named_only_if_one_takes_the_corner() {
    let heavy = moulding("{ material = 'mat 450' }");
    let names = |radius_mm: f64| {
        advice(&corner(radius_mm, MetAs::Inside), &heavy).remedies.into_iter().find_map(|remedy| match remedy {
            Remedy::LighterFirstPly { material, .. } => Some(material),
            _ => None,
        })
    };
    assert_eq!(names(7.0).as_deref(), Some("mat 300")); // sees 6.5
    assert_eq!(names(4.0).as_deref(), Some("mat 225")); // sees 3.5
    assert_eq!(names(2.0), None);
}

#[test]
fn strips_and_tapes_have_width_length_and_area() {
    let advice = advice(&corner(8.0, MetAs::Inside), &moulding(PLIES));
    assert_eq!(advice.first_failing_ply, Some(2));
    let tape = advice.remedies.iter().find_map(|remedy| match remedy {
        Remedy::ButtUnderTape { from_ply, tape_m2, n_tapes, material, .. } => {
            Some((*from_ply, *tape_m2, *n_tapes, material))
        }
        _ => None,
    });
    let (from_ply, tape_m2, n_tapes, material) = tape.expect("a tape");
    assert_eq!((from_ply, n_tapes, material.as_str()), (2, 2, "mat 225"));
    near(tape_m2, 2.0 * 0.1 * 2.0, 1e-12);
    let doubler = advice.remedies.iter().find_map(|remedy| match remedy {
        Remedy::Doubler { area_m2, .. } => Some(*area_m2),
        _ => None,
    });
    near(doubler.expect("a doubler"), 0.2, 1e-12);
}

#[test]
fn strips_along_corners_count_where_they_run() {
    let plan = moulding(
        "{ material = 'mat 225' }, { material = 'mat 450', zone = { corners = { width_mm = 100, tighter_than_mm = 10, met_as = 'inside' } } }, \
         { material = 'mat 450', zone = { region = 'hinge' } }",
    );
    let plies = |radius_mm, met_as, here: bool| -> Vec<usize> {
        plies_at(&plan, &corner(radius_mm, met_as), |_| here).iter().map(|ply| ply.ply).collect()
    };
    assert_eq!(plies(8.0, MetAs::Inside, false), [1, 2]);
    assert_eq!(plies(12.0, MetAs::Inside, false), [1]);
    assert_eq!(plies(8.0, MetAs::Outside, true), [1, 3]);
}

/// Source: hand calculation 41: the end flange of half a tube lacks 235.6 mm: 10 cuts of at most 25 mm.
#[test]
fn a_flange_along_a_curved_line_is_cut_and_patched() {
    let side = CurvedSide { width_mm: 75.0, line_turn_deg: 180.0, opens: true };
    let arc = CornerMet {
        length_mm: 628.3185,
        curved_side: Some(side),
        from: CornerFrom::Flange,
        ..corner(12.0, MetAs::Inside)
    };
    let advice = advice(&arc, &moulding(PLIES));
    let Some(Remedy::ReliefCuts { n_cuts, spacing_mm, edge_mm, gap_mm, opens, patch_m2 }) = advice.remedies.last()
    else {
        panic!("relief cuts: {:?}", advice.remedies)
    };
    assert_eq!((*n_cuts, *opens), (10, true));
    near(*edge_mm, 235.62, 0.01);
    near(*spacing_mm, 62.83, 0.01);
    near(*gap_mm, 23.56, 0.01);
    near(*patch_m2, 10.0 * (23.562 + 100.0) * 125.0 * 1e-6, 1e-5);
    let text = advice.remedies.last().expect("cuts").sentence();
    assert!(
        text.starts_with("The mat lacks 236 mm at the edge: make 10 relief cuts, one every 63 mm, which gape 24 mm"),
        "{text}"
    );
}

#[test]
fn relief_cuts_of_a_whole_number_are_not_one_more() {
    assert_eq!(relief_cuts(100.0, rad(1.0), 25.0).0, 4);
    assert_eq!(relief_cuts(100.0, 0.0, 25.0), (0, 0.0));
    assert_eq!(relief_cuts(100.0, 90.0, 0.0).0, 0);
}

fn rad(angle_rad: f64) -> f64 {
    angle_rad.to_degrees()
}

#[test]
fn every_remedy_says_where_and_how_much() {
    let advice = advice(&corner(3.0, MetAs::Inside), &moulding(PLIES));
    let text: Vec<String> = advice.remedies.iter().map(Remedy::sentence).collect();
    assert_eq!(
        text[0],
        "Behind the gelcoat (the shape stays), fill from 2.5 to 9.7 mm radius, 10 mm up each face: 37 ml or 0.07 kg of fillet putty."
    );
    assert!(
        text[1].starts_with("On the plug (this changes the shape), fill from 3.0 to 10.2 mm radius"),
        "{}",
        text[1]
    );
    assert!(text.iter().all(|sentence| sentence.ends_with('.')));
}

#[test]
fn no_plies_and_faces_folded_flat_do_no_harm() {
    let plan = moulding(PLIES);
    let stock = stock();
    let none = advise(&corner(1.0, MetAs::Inside), &plan, &[], &stock, None);
    assert!(none.sees.is_empty() && none.remedies.is_empty());
    let folded = CornerMet { turn_deg: 180.0, ..corner(0.0, MetAs::Inside) };
    let advice = advice(&folded, &plan);
    assert!(!advice.remedies.iter().any(|remedy| matches!(remedy, Remedy::Fill { .. })));
    assert_eq!(advice.first_failing_ply, Some(1));
}

/// Stubs of corners a few millimetres long stand in a mesh of a kernel: they take drops, and not nothing.
#[test]
fn a_corner_a_few_millimetres_long_does_not_take_0_ml() {
    let fill = |filler_ml: f64| {
        let remedy = Remedy::Fill {
            place: Place::BehindGelcoat,
            from_radius_mm: 0.0,
            to_radius_mm: 14.1,
            leg_mm: 7.0,
            filler_ml,
            filler_kg: filler_ml * 1.8 / 1000.0,
            filler: "fillet putty".to_owned(),
            section_mm2: 1.0,
        };
        let sentence = remedy.sentence();
        sentence.split_once("face: ").expect("an amount").1.to_owned()
    };
    assert_eq!(fill(0.04), "0.04 ml or 0.07 g of fillet putty.");
    assert_eq!(fill(1.26), "1.3 ml or 2.3 g of fillet putty.");
    assert_eq!(fill(0.0004), "under 0.01 ml or under 0.01 g of fillet putty.");
    assert_eq!(fill(44.0), "44 ml or 0.08 kg of fillet putty.");
}
