use super::*;
use crate::laminate::plies::plan_plies;

#[track_caller]
fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} within {tolerance}");
}

fn stock() -> Stock {
    Stock::starter().expect("the starter stock")
}

fn plan(text: &str) -> PliesPlan {
    plan_plies("example", &toml::from_str(text).expect("a schedule"), &stock()).expect("a plan")
}

#[test]
fn laid_and_on_the_part_are_told_apart() {
    let areas = PlyAreas {
        net_m2: 1.0,
        grown_m2: 1.01,
        laps_on_part_m2: 0.04,
        laps_laid_m2: 0.05,
        flange_m2: 0.2,
        trim_m2: 0.1,
        laid_across_m2: 0.3,
        edge_mm: 0.0,
    };
    let plan = plan("make = 'mould'\nresin = 'polyester'\nlayers = [{ material = 'mat 450' }]");
    let laid = lay_up(&plan, &areas, &[areas], &stock()).expect("a lay-up");
    let ply = &laid.plies[0];
    near(ply.net_m2, 1.0, 1e-12);
    near(ply.on_part_m2, 1.25, 1e-12);
    near(ply.laid_m2, 1.66, 1e-12);
    near(ply.glass_kg, 0.45 * 1.66, 1e-12);
    near(ply.resin_kg.likely, 0.45 * 2.5 * 1.66, 1e-12);
    near(laid.mass_kg.likely, 0.45 * 3.5 * 1.25, 1e-12);
    assert!(laid.gelcoat.is_none() && laid.hardener_g == 0.0);
    near(laid.catalyst_g, 0.45 * 2.5 * 1.66 * 20.0, 1e-9);
}

/// Source: own sum. 5 mm of 80 kg/m3 over 2 m2 less half a taper of 15 mm along 6 m of edge; 0.8 kg/m2 of resin drunk; the
/// bonding mat is a ply of its own.
#[test]
fn a_core_is_a_mat_a_sheet_and_what_it_drinks() {
    let plan =
        plan("make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'foam core 5', clear_of_edges_mm = 40 }]");
    let area = PlyAreas { edge_mm: 6000.0, ..PlyAreas::plain(2.0) };
    let laid = lay_up(&plan, &PlyAreas::default(), &[area, area], &stock()).expect("a lay-up");
    let [mat, core] = &laid.plies[..] else { panic!("mat and core") };
    assert_eq!(
        (mat.material.as_str(), mat.name.as_str(), core.material.as_str()),
        ("mat 300", "bonding mat of foam core 5", "foam core 5")
    );
    assert_eq!(plan.plies[0].clear_of_edges_mm, 40.0);
    near(mat.glass_kg, 0.6, 1e-12);
    near(core.glass_kg, 0.0, 0.0);
    near(core.core_kg, 0.4 * (2.0 - 0.5 * 0.015 * 6.0), 1e-12);
    near(core.resin_kg.likely, 1.6, 1e-12);
    near(laid.core_kg, core.core_kg, 1e-12);
    near(laid.mass_kg.likely, 0.6 * 3.5 + core.core_kg + 1.6, 1e-12);
    // A core all taper is not lighter than nothing.
    let narrow = PlyAreas { edge_mm: 6000.0, ..PlyAreas::plain(0.01) };
    assert_eq!(lay_up(&plan, &area, &[narrow, narrow], &stock()).expect("a lay-up").core_kg, 0.0);
}

#[test]
fn an_epoxy_is_mixed_and_two_resins_are_kept_apart() {
    let plan = plan(
        "make = 'moulding'\ngelcoat = 'production gelcoat'\nresin = 'polyester'\n\
         layers = [{ material = 'mat 450' }, { material = 'woven 300', resin = 'epoxy' }]",
    );
    let area = PlyAreas::plain(2.0);
    let laid = lay_up(&plan, &area, &[area, area], &stock()).expect("a lay-up");
    assert_eq!(laid.resins.iter().map(|resin| resin.name.as_str()).collect::<Vec<_>>(), ["polyester", "epoxy"]);
    near(laid.resins[1].laid_kg.likely, 0.6, 1e-12);
    near(laid.resins[1].resin_alone_kg, 0.6 / 1.3, 1e-12);
    near(laid.hardener_g, 600.0 * 0.3 / 1.3, 1e-9);
    // Catalyst: 2 % of 2.25 kg of polyester and of 1.25 kg of gelcoat; none in the epoxy.
    near(laid.catalyst_g, 45.0 + 25.0, 1e-9);
    near(laid.catalyst_ml, 70.0 / 1.18, 1e-9);
    near(laid.resin_kg.likely, 2.25 + 0.6, 1e-12);
}

#[test]
fn the_schedules_catalyst_goes_before_the_resins_own() {
    let plan =
        plan("make = 'moulding'\nresin = 'polyester'\ncatalyst_percent = 1.25\nlayers = [{ material = 'mat 450' }]");
    let laid = lay_up(&plan, &PlyAreas::default(), &[PlyAreas::plain(4.0)], &stock()).expect("a lay-up");
    near(laid.catalyst_g, 4.5 * 12.5, 1e-9);
}

#[test]
fn what_a_hand_cannot_hit_carries_low_and_high() {
    let plan = plan(
        "make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'mat 450' }, { material = 'biaxial 450' }]",
    );
    let areas = [PlyAreas::plain(1.0), PlyAreas::plain(1.0)];
    let laid = lay_up(&plan, &PlyAreas::default(), &areas, &stock()).expect("a lay-up");
    for spread in [laid.resin_kg, laid.thickness_mm, laid.mass_kg] {
        assert!(spread.low < spread.likely && spread.likely < spread.high, "{spread:?}");
    }
    // More glass is less resin: 0.55 of glass is the low end, 0.38 the high end.
    near(laid.plies[1].resin_kg.low, 0.45 * 0.45 / 0.55, 1e-12);
    near(laid.plies[1].resin_kg.high, 0.45 * 0.62 / 0.38, 1e-12);
}

#[test]
fn plies_without_areas_are_refused() {
    let plan = plan("make = 'moulding'\nresin = 'polyester'\nlayers = [{ material = 'mat 450', plies = 2 }]");
    let error = lay_up(&plan, &PlyAreas::default(), &[PlyAreas::plain(1.0)], &stock()).expect_err("one set is missing");
    assert_eq!(error, LaminateError::AreaCount { n_plies: 2, n_areas: 1 });
}

#[test]
fn a_schedule_of_too_many_plies_is_refused() {
    let text = "make = 'mould'\nresin = 'polyester'\nlayers = [{ material = 'mat 450', plies = 100 }, { material = 'mat 450', plies = 29 }]";
    let error = plan_plies("thick", &toml::from_str(text).expect("a schedule"), &stock()).expect_err("129 plies");
    assert!(error.to_string().contains("129 plies, over 128"), "{error}");
}
