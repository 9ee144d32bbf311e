//! How the gelcoat and the resins of a build go off, with the ranges not to leave.

use serde::Serialize;

use crate::laminate::figure::{Figure, Spread};
use crate::laminate::plies::PliesPlan;
use crate::laminate::stock::{Family, Gelcoat, Resin, Stock};

/// How a gelcoat or a resin of a build goes off, with the ranges not to leave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CureFigures {
    /// Its name in the stock.
    pub name: String,
    /// It is the gelcoat.
    pub is_gelcoat: bool,
    /// Its chemistry.
    pub family: Family,
    /// Catalyst in percent of its mass, with the range of the stock; none for an epoxy.
    pub catalyst_percent: Option<Spread>,
    /// Active oxygen of the catalyst that these percents are for, in percent.
    pub active_oxygen_percent: Option<f64>,
    /// Hardener of an epoxy in g to 100 g.
    pub hardener_per_100: Option<f64>,
}

/// How the gelcoat and the resins of a schedule go off, each once.
#[must_use]
pub fn cures(plan: &PliesPlan, stock: &Stock) -> Vec<CureFigures> {
    let gelcoat = plan.gelcoat.as_ref().and_then(|gelcoat| stock.gelcoats.get(&gelcoat.name));
    let mut cures: Vec<CureFigures> = gelcoat.map(gelcoat_cure).into_iter().collect();
    for ply in &plan.plies {
        let known = cures.iter().any(|cure| !cure.is_gelcoat && cure.name == ply.resin);
        if let Some(resin) = stock.resins.get(&ply.resin).filter(|_| !known) {
            cures.push(resin_cure(resin, plan.catalyst_percent));
        }
    }
    cures
}

fn gelcoat_cure(gelcoat: &Gelcoat) -> CureFigures {
    let by_catalyst = gelcoat.family != Family::Epoxy;
    CureFigures {
        name: gelcoat.name.clone(),
        is_gelcoat: true,
        family: gelcoat.family,
        catalyst_percent: gelcoat.catalyst_percent.as_ref().filter(|_| by_catalyst).map(Figure::spread),
        active_oxygen_percent: gelcoat
            .active_oxygen_percent
            .as_ref()
            .filter(|_| by_catalyst)
            .map(|figure| figure.value),
        hardener_per_100: gelcoat.hardener_per_100.as_ref().filter(|_| !by_catalyst).map(|figure| figure.value),
    }
}

/// The schedule's own percentage stands in the place of the resin's, within the resin's range.
fn resin_cure(resin: &Resin, percent: Option<f64>) -> CureFigures {
    let by_catalyst = resin.family != Family::Epoxy;
    let of_stock = resin.catalyst_percent.as_ref().filter(|_| by_catalyst).map(Figure::spread);
    CureFigures {
        name: resin.name.clone(),
        is_gelcoat: false,
        family: resin.family,
        catalyst_percent: of_stock.map(|spread| Spread { likely: percent.unwrap_or(spread.likely), ..spread }),
        active_oxygen_percent: resin.active_oxygen_percent.as_ref().filter(|_| by_catalyst).map(|figure| figure.value),
        hardener_per_100: resin.hardener_per_100.as_ref().filter(|_| !by_catalyst).map(|figure| figure.value),
    }
}
