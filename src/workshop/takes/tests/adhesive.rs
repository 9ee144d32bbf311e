//! Adhesives by the stock's own recipes.

use super::*;

/// Split moulding of some resin, with a lap of 50 mm over 2 m: 0.1 m2, 2 mm of adhesive.
fn lapped(adhesive: Option<&str>, resin: &str, stock: &Stock) -> (Vec<PieceWork>, Taken) {
    let pieces: Vec<PieceWork> = [0, 1]
        .map(|half| {
            let mut piece = piece(stock, [0, 0, half], Make::Moulding, 0.8, resin);
            (piece.gelcoat, piece.n_pieces) = (None, 2);
            piece.splits = vec![("waist".to_owned(), 2000.0)];
            piece
        })
        .to_vec();
    let told = Joint { adhesive: adhesive.map(str::to_owned), ..joint(JointKind::Lap) };
    let taken = taken(pieces.clone(), &[Asked { joints: &[told], ..Asked::default() }], &plug_of(""), None, stock);
    (pieces, taken)
}

fn mixed_at_20_c(pieces: Vec<PieceWork>, taken: &Taken) -> Mixes {
    let warm = Stock::with(toml::from_str("[practice]\ntemperature_c = 20").expect("a stock")).expect("a stock");
    let crew = Crew::with(CrewEntry::default()).expect("the starter's");
    let habits = MixHabits::with(MixHabitsEntry::default()).expect("the starter's");
    let pace = Pace::with(PaceEntry::default()).expect("the starter's");
    let shop = MixShop { stock: &warm, crew: &crew, habits: &habits, pace: &pace };
    mixes(&Work { pieces, missing: Vec::new() }, taken, &shop)
}

/// Source: own sum. 0.1 m2 x 2 mm at the putty's own 1.8 g/cm3: 0.36 kg, its hardener paste 2 %: 7.2 g. In 5 min, as the stock
/// has it for its paste.
#[test]
fn a_putty_that_bonds_takes_its_hardener_paste_and_no_liquid_catalyst() {
    let stock = Stock::starter().expect("the starter stock");
    let (pieces, taken) = lapped(Some("fillet putty"), "polyester", &stock);
    near(kg_of(&taken, NeedKind::Filler, "lap at waist"), 0.36, 1e-12);
    near(kg_of(&taken, NeedKind::FillerHardener, "lap at waist"), 0.0072, 1e-12);
    assert_eq!(kg_of(&taken, NeedKind::Catalyst, "adhesive"), 0.0);
    assert_eq!(kg_of(&taken, NeedKind::Adhesive, ""), 0.0);
    let mixes = mixed_at_20_c(pieces, &taken);
    let putty = mixes.materials.iter().find(|mixed| mixed.material == "fillet putty").expect("it is mixed");
    assert_eq!((putty.kind, putty.stirred), (MixKind::Putty, Some(Stirred::Paste)));
    let share = putty.share.expect("a share");
    assert_eq!((share.percent, share.gel_min.likely), (2.0, 5.0));
    let line = mixes.lines.iter().find(|line| line.material == "fillet putty").expect("a line");
    assert_eq!((line.what.as_str(), line.stir_ml), ("lap at waist, adhesive", None));
}

#[test]
fn what_is_no_epoxy_is_warned_of_where_it_bonds_epoxy() {
    let stock = Stock::starter().expect("the starter stock");
    let warned = |adhesive: &str, plies: &str| {
        let (_, taken) = lapped(Some(adhesive), plies, &stock);
        taken.build_notes.iter().any(|(_, note)| note.code == "polyester-over-epoxy")
    };
    assert!(warned("fillet putty", "epoxy") && warned("polyester", "epoxy"));
    assert!(!warned("epoxy", "epoxy") && !warned("fillet putty", "polyester") && !warned("epoxy paste", "epoxy"));
}

/// Source: own sum: 0.1 m2 x 2 mm at its cured density; of the mix 30 parts in 130 are hardener.
#[test]
fn an_epoxy_of_the_stock_that_bonds_brings_its_own_hardener_into_the_order() {
    let stock = Stock::starter().expect("the starter stock");
    let resin = &stock.resins["epoxy"];
    let per_100 = resin.hardener_per_100.as_ref().expect("an epoxy").value;
    let mix_kg = 0.1 * 2.0 * resin.cured_density_g_cm3.value;
    for plies in ["epoxy", "polyester"] {
        let (pieces, taken) = lapped(Some("epoxy"), plies, &stock);
        near(kg_of(&taken, NeedKind::Resin, "lap at waist, adhesive"), mix_kg * 100.0 / (100.0 + per_100), 1e-12);
        near(kg_of(&taken, NeedKind::Hardener, "lap at waist, adhesive"), mix_kg * per_100 / (100.0 + per_100), 1e-12);
        assert_eq!(kg_of(&taken, NeedKind::Adhesive, ""), 0.0);
        assert!(taken.unmixed.is_empty(), "{:?}", taken.unmixed);
        assert!(taken.build_notes.iter().any(|(_, note)| note.code == "adhesive-is-resin"));
        let mixes = mixed_at_20_c(pieces, &taken);
        let line = mixes.lines.iter().find(|line| line.what == "lap at waist, adhesive").expect("a line");
        assert_eq!(mixes.materials[line.recipe].stirred, Some(Stirred::Hardener));
    }
}

/// Without `hardener_percent` a filler of the stock lends density and gel times; the joint's own density goes before.
#[test]
fn an_adhesive_weighs_by_the_density_of_its_own_entry() {
    for (density, kg) in [(3.0, 0.6), (1.2, 0.24)] {
        let file = format!("[filler.'my paste']\ndensity_g_cm3 = {density}");
        let stock = Stock::with(toml::from_str(&file).expect("a stock")).expect("a stock");
        let (_, taken) = lapped(Some("my paste"), "polyester", &stock);
        near(kg_of(&taken, NeedKind::Adhesive, "lap at waist"), kg, 1e-12);
        let used = taken.figures.iter().find(|used| used.of == "my paste" && used.field == "density_g_cm3");
        assert_eq!(used.expect("it is told").figure.value, density);
    }
}

/// No resin or gelcoat of the piece says how dense its catalyst is: the starter's figure is taken, and told with its source.
#[test]
fn the_density_of_an_adhesives_catalyst_is_told_with_its_source_where_the_piece_has_none() {
    let stock = Stock::starter().expect("the starter stock");
    let is_it = |used: &&UsedHere| used.field == "adhesive_catalyst_density_g_ml";
    let (_, with) = lapped(None, "polyester", &stock);
    assert_eq!(with.figures.iter().find(is_it), None);
    let mut pieces = halves(&stock);
    for piece in &mut pieces {
        piece.gelcoat = None;
        piece.plies.clear();
    }
    let told = joint(JointKind::Lap);
    let taken = taken(pieces, &[Asked { joints: &[told], ..Asked::default() }], &plug_of(""), None, &stock);
    let used = taken.figures.iter().find(is_it).expect("it is told");
    assert_eq!((used.of.as_str(), used.figure.value), ("extras", 1.18));
    assert!(!used.figure.source.is_empty());
    let catalyst = taken.takes.iter().find(|take| take.kind == NeedKind::Catalyst).expect("catalyst");
    near(catalyst.amounts.kg / catalyst.amounts.litres, 1.18, 1e-12);
}
