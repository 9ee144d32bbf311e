use super::*;
use crate::laminate::lay_up::{PlyAreas, lay_up};
use crate::laminate::plies::plan_plies;

#[track_caller]
fn near(value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{value} is not {expected} within {tolerance}");
}

fn laid(stock: &Stock, text: &str, area_m2: f64) -> LayUp {
    let plan = plan_plies("example", &toml::from_str(text).expect("a schedule"), stock).expect("a plan");
    let area = PlyAreas::plain(area_m2);
    lay_up(&plan, &area, &vec![area; plan.plies.len()], stock).expect("a lay-up")
}

fn extras() -> Extras {
    Extras::with(crate::workshop::takes::habits::ExtrasEntry::default()).expect("the starter's")
}

fn find<'a>(needs: &'a Needs, kind: NeedKind, material: &str) -> &'a Need {
    needs.needs.iter().find(|need| need.kind == kind && need.material == material).expect("a need")
}

const MOULDING: &str = "make = 'moulding'\ngelcoat = 'production gelcoat'\nresin = 'polyester'\n\
                        layers = [{ material = 'mat 225' }, { material = 'mat 450', plies = 2 }]";

/// Source: own sum over two builds of 2 m2 and one of 3 m2.
#[test]
fn needs_add_up_over_builds_and_their_counts() {
    let stock = Stock::starter().expect("the starter stock");
    let (two, three) = (laid(&stock, MOULDING, 2.0), laid(&stock, MOULDING, 3.0));
    let builds = [
        Build {
            name: "nose, moulding a".to_owned(),
            count: 2,
            lay_up: &two,
            roll_m: &[2.1, 2.1, 2.2],
            filler_ml: vec![("fillet putty", 50.0)],
        },
        Build {
            name: "roof, mould a".to_owned(),
            count: 1,
            lay_up: &three,
            roll_m: &[3.3, 3.3, 3.3],
            filler_ml: Vec::new(),
        },
    ];
    let needs = needs(&builds, &[], &[], &stock, &extras());
    assert!(needs.complete);
    let bulk = find(&needs, NeedKind::Reinforcement, "mat 450");
    near(bulk.kg, 7.0 * 0.9, 1e-12);
    near(bulk.m2.expect("m2"), 14.0, 1e-12);
    near(bulk.roll_m.expect("metres"), 2.0 * 4.3 + 6.6, 1e-12);
    near(bulk.roll_m_with_reserve.expect("metres"), 15.2 * 1.10, 1e-12);
    assert_eq!(bulk.litres, None);
    let resin = find(&needs, NeedKind::Resin, "polyester");
    near(resin.kg, 7.0 * 1.125 * 2.5, 1e-12);
    near(resin.litres.expect("litres"), 7.0 * 1.125 * 2.5 / 1.13, 1e-12);
    near(resin.kg_with_reserve, 7.0 * 1.125 * 2.5 * 1.15, 1e-12);
    let gelcoat = find(&needs, NeedKind::Gelcoat, "production gelcoat");
    near(gelcoat.kg, 7.0 * 0.625, 1e-12);
    near(gelcoat.litres.expect("litres"), 3.5, 1e-12);
    let catalyst = find(&needs, NeedKind::Catalyst, "catalyst");
    near(catalyst.kg, 0.02 * (resin.kg + gelcoat.kg), 1e-12);
    near(catalyst.litres.expect("litres"), catalyst.kg / 1.18, 1e-12);
    let filler = find(&needs, NeedKind::Filler, "fillet putty");
    near(filler.litres.expect("litres"), 0.1, 1e-12);
    near(filler.kg, 0.18, 1e-12);
}

#[test]
fn an_epoxy_needs_resin_and_hardener_apart() {
    let stock = Stock::starter().expect("the starter stock");
    let lay_up = laid(
        &stock,
        "make = 'moulding'\nresin = 'epoxy'\nlayers = [{ material = 'woven 300' }, { material = 'foam core 5' }]",
        2.6,
    );
    let build =
        Build { name: "lid, mould a".to_owned(), count: 1, lay_up: &lay_up, roll_m: &[], filler_ml: Vec::new() };
    let needs = needs(&[build], &[], &[], &stock, &extras());
    let (resin, hardener) = (find(&needs, NeedKind::Resin, "epoxy"), find(&needs, NeedKind::Hardener, "epoxy"));
    near(resin.kg + hardener.kg, lay_up.resin_kg.likely, 1e-12);
    near(hardener.kg / resin.kg, 0.30, 1e-12);
    let core = find(&needs, NeedKind::Core, "foam core 5");
    near(core.kg, 0.4 * 2.6, 1e-12);
    near(core.m2.expect("m2"), 2.6, 1e-12);
    assert_eq!(core.roll_m, None);
    assert!(!needs.needs.iter().any(|need| need.kind == NeedKind::Catalyst));
}

#[test]
fn a_missing_panel_makes_every_total_incomplete() {
    let stock = Stock::starter().expect("the starter stock");
    let needs = needs(&[], &[], &["roof".to_owned()], &stock, &extras());
    assert!(!needs.complete);
    assert_eq!(needs.missing, ["roof"]);
}

#[test]
fn a_kind_is_called_the_same_in_lists_and_in_json() {
    assert!(NeedKind::ALL.is_sorted() && NeedKind::ALL.len() > 30);
    for kind in NeedKind::ALL {
        assert_eq!(serde_json::to_value(kind).expect("a word"), kind.word());
    }
}
