//! The order of a plan: what it needs, less what is there, in packs.

use super::figures::UsedFigure;
use crate::job::{Job, Shelf};
use crate::workshop::needs::{Needs, reserve_of};
use crate::workshop::order::{Dates, Order, Said, order};

/// What to order. The sums of each line join those of its need, and the packs that are taken join the figures.
#[must_use]
pub fn ordered(job: &Job, needs: &mut Needs, figures: &mut Vec<UsedFigure>, dates: Dates, shelf: &Shelf) -> Order {
    let currency = job.currency.as_deref();
    let said = Said { suppliers: &job.suppliers, on_shelf: &job.on_shelf, currency, dates };
    let mut order =
        order(&needs.needs, said, &shelf.stock).expect("the usual packs are part of the program and were tested");
    for (need, line) in needs.needs.iter_mut().zip(&mut order.lines) {
        need.workings.extend(line.workings.iter().cloned());
        let place = format!("order, {}", need.material);
        let reserve = reserve_of(need.kind, &shelf.stock.practice, &shelf.extras).figure;
        // What is kept for more than the figure's sake does not rest on it.
        if let Some(reserve) = reserve.filter(|reserve| reserve.value == need.reserve_percent) {
            line.reserve_source = reserve.source.clone();
            line.reserve_mark = Some(reserve.mark);
        }
        let unit = line.unit_of_sale.symbol();
        figures.extend(line.packs.iter().map(|pack| UsedFigure {
            of: line.name.clone(),
            figure: format!("pack_of_{}_{unit}", pack.size),
            unit,
            value: pack.size,
            low: pack.size_low,
            high: pack.size_high,
            source: pack.source.clone(),
            mark: pack.mark,
            used_in: vec![place.clone()],
        }));
    }
    order
}
