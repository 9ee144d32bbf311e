//! What to order, and what to ask suppliers for.

use std::io::{self, Write};

use serde::Serialize;

use super::table;
use crate::plan::Plan;
use crate::workshop::order::Line;
use crate::workshop::order::lines::PackLine;
use crate::workshop::order::units::SaleUnit;

#[derive(Default, Serialize)]
struct OrderRow<'a> {
    kind: &'a str,
    material: &'a str,
    kg: f64,
    litres: Option<f64>,
    laid_m2: Option<f64>,
    roll_m: Option<f64>,
    reserve_percent: f64,
    kg_with_reserve: f64,
    litres_with_reserve: Option<f64>,
    roll_m_with_reserve: Option<f64>,
    m: Option<f64>,
    m_with_reserve: Option<f64>,
    m2_with_reserve: Option<f64>,
    pieces: Option<f64>,
    pieces_with_reserve: Option<f64>,
    reserve_why: &'a str,
    name: &'a str,
    unit_of_sale: &'a str,
    plies_in_unit_of_sale: f64,
    beyond_in_unit_of_sale: f64,
    plugs_in_unit_of_sale: f64,
    net_in_unit_of_sale: f64,
    with_reserve_in_unit_of_sale: f64,
    on_shelf_in_unit_of_sale: f64,
    to_buy_in_unit_of_sale: f64,
    packs: String,
    bought_in_unit_of_sale: f64,
    left_over_in_unit_of_sale: f64,
    supplier: Option<&'a str>,
    price: Option<f64>,
    currency: Option<&'a str>,
    reserve_source: &'a str,
    reserve_mark: Option<&'static str>,
    pack_source: String,
    pack_mark: Option<&'static str>,
    complete: bool,
    missing: &'a str,
}

/// A row a material.
pub(super) fn order(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let missing = plan.needs.missing.join(", ");
    let rows = plan.needs.needs.iter().zip(&plan.order.lines).map(|(need, line)| OrderRow {
        kind: need.kind.word(),
        material: &need.material,
        kg: need.kg,
        litres: need.litres,
        laid_m2: need.m2,
        roll_m: need.roll_m,
        reserve_percent: need.reserve_percent,
        kg_with_reserve: need.kg_with_reserve,
        litres_with_reserve: need.litres_with_reserve,
        roll_m_with_reserve: need.roll_m_with_reserve,
        m: need.m,
        m_with_reserve: need.m_with_reserve,
        m2_with_reserve: need.m2_with_reserve,
        pieces: need.pieces,
        pieces_with_reserve: need.pieces_with_reserve,
        reserve_why: need.reserve_why,
        name: &line.name,
        unit_of_sale: line.unit_of_sale.symbol(),
        plies_in_unit_of_sale: line.plies,
        beyond_in_unit_of_sale: line.beyond,
        plugs_in_unit_of_sale: line.plugs,
        net_in_unit_of_sale: line.net,
        with_reserve_in_unit_of_sale: line.with_reserve,
        on_shelf_in_unit_of_sale: line.on_shelf,
        to_buy_in_unit_of_sale: line.to_buy,
        packs: packs_words(line),
        bought_in_unit_of_sale: line.bought,
        left_over_in_unit_of_sale: line.left_over,
        supplier: line.supplier.as_deref(),
        price: line.price,
        currency: line.currency.as_deref(),
        reserve_source: &line.reserve_source,
        reserve_mark: line.reserve_mark.map(|mark| mark.words()),
        pack_source: line.packs.iter().map(|pack| pack.source.as_str()).collect::<Vec<_>>().join(" | "),
        pack_mark: line.packs.first().map(|pack| pack.mark.words()),
        complete: plan.is_complete(),
        missing: &missing,
    });
    table(rows, out)
}

/// `2 x 5 kg, 4 x 1 kg`; of pieces `2 x 50`, and single ones without a size. As the list has them, with what each is in the
/// unit of the need where that is another: `2 x 1 kg (0.847 l each)`.
#[must_use]
pub fn packs_words(line: &Line) -> String {
    let words = |pack: &PackLine| {
        let size = |size: f64, unit: SaleUnit| match unit {
            SaleUnit::Pieces => size.to_string(),
            unit => format!("{size} {}", unit.symbol()),
        };
        let count = pack.count;
        match pack.listed(line.unit_of_sale) {
            (listed, unit) if unit != line.unit_of_sale => {
                format!("{count} x {listed} {} ({} each)", unit.symbol(), size(pack.size, line.unit_of_sale))
            }
            (1.0, SaleUnit::Pieces) => count.to_string(),
            (listed, unit) => format!("{count} x {}", size(listed, unit)),
        }
    };
    line.packs.iter().map(words).collect::<Vec<_>>().join(", ")
}

#[derive(Default, Serialize)]
struct RequestRow<'a> {
    material: &'a str,
    specification: &'a str,
    areal_weight_g_m2: Option<f64>,
    width_mm: Option<f64>,
    thickness_mm: Option<f64>,
    density_kg_m3: Option<f64>,
    active_oxygen_percent: Option<f64>,
    at_least: f64,
    unit: &'a str,
    packs_wanted: String,
    delivery_by: Option<String>,
    your_packs: Option<String>,
    your_price_each: Option<f64>,
    your_price_in_all: Option<f64>,
    currency: Option<String>,
    shelf_life_months: Option<f64>,
    delivery_days: Option<f64>,
    complete: bool,
}

/// A row a material that has to be bought, for whichever supplier: no price of ours in it, and columns for theirs.
pub(super) fn request(plan: &Plan, out: &mut dyn Write) -> io::Result<()> {
    let wanted = plan.order.lines.iter().filter(|line| line.to_buy > 0.0);
    let rows = wanted.map(|line| RequestRow {
        material: &line.name,
        specification: &line.specification.words,
        areal_weight_g_m2: line.specification.areal_weight_g_m2,
        width_mm: line.specification.width_mm,
        thickness_mm: line.specification.thickness_mm,
        density_kg_m3: line.specification.density_kg_m3,
        active_oxygen_percent: line.specification.active_oxygen_percent,
        at_least: line.to_buy,
        unit: line.unit_of_sale.symbol(),
        packs_wanted: packs_words(line),
        delivery_by: plan.order.dates.first_day.map(|day| day.to_string()),
        complete: plan.is_complete(),
        ..RequestRow::default()
    });
    table(rows, out)
}
