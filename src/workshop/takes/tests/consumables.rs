//! What is used up in the hours of laminating.

use super::*;

/// Source: own sum. 7.875 kg of glass and resin at 5 kg an hour are 1.575 h: 0.394 l of acetone, 3.15 pairs of gloves.
#[test]
fn consumables_go_by_the_hours_of_laminating() {
    let stock = Stock::starter().expect("the starter stock");
    let pieces = vec![piece(&stock, [0, 0, 0], Make::Moulding, 5.0, "polyester")];
    let taken = taken(pieces, &[Asked::default()], &plug_of(""), None, &stock);
    let needs = needs(&[], &taken.takes, &[], &stock, &extras());
    near(found(&needs, NeedKind::Acetone, "acetone").litres.expect("litres"), 1.575 * 0.25, 1e-12);
    let gloves = found(&needs, NeedKind::Gloves, "nitrile gloves, pairs");
    near(gloves.pieces.expect("pairs"), 3.15, 1e-12);
    assert_eq!(gloves.pieces_with_reserve, Some(4.0));
}

/// Source: own sum. Four plies of 0.2 kg/m2 over 3 m2 with as much resin weigh 4.8 kg: 0.96 h by mass, which nobody does in
/// less than 3 h at 4 m2 an hour. Of three mouldings 9 h: 2.25 l of acetone, 18 pairs of gloves.
#[test]
fn light_plies_take_the_hours_of_their_area_as_the_days_have_them() {
    let stock = Stock::starter().expect("the starter stock");
    let mut light = piece(&stock, [0, 0, 0], Make::Moulding, 3.0, "epoxy");
    let ply = PlyWork { glass_kg: 0.6, resin_kg: 0.6, laid_m2: 3.0, ..light.plies[0].clone() };
    light.plies = (1..=4).map(|number| PlyWork { ply: number, ..ply.clone() }).collect();
    light.count = 3;
    let taken = taken(vec![light], &[Asked::default()], &plug_of(""), None, &stock);
    let of = |kind| taken.takes.iter().find(|take| take.kind == kind).expect("taken");
    near(of(NeedKind::Acetone).amounts.litres, 9.0 * 0.25, 1e-12);
    near(of(NeedKind::Gloves).amounts.pieces, 9.0 * 2.0, 1e-12);
    near(of(NeedKind::Gloves).working.value(), 18.0, 1e-12);
}
