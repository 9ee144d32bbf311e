//! What a supplier has to know of a material to quote for it.

use serde::Serialize;

use crate::laminate::materials::{Binder, Family};
use crate::laminate::schedule::Make;
use crate::laminate::stock::Stock;
use crate::workshop::needs::{Need, NeedKind};

/// What a material is, in words and figures.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Specification {
    /// What no figure says, such as `mat, emulsion bound`.
    pub words: String,
    /// Mass per area of a reinforcement.
    pub areal_weight_g_m2: Option<f64>,
    /// Width of the roll that the drops are laid out for.
    pub width_mm: Option<f64>,
    /// Thickness of a core.
    pub thickness_mm: Option<f64>,
    /// Density of a core.
    pub density_kg_m3: Option<f64>,
    /// Active oxygen of the catalyst that the percents are for.
    pub active_oxygen_percent: Option<f64>,
}

const fn family(family: Family) -> &'static str {
    match family {
        Family::Polyester => "polyester",
        Family::Vinylester => "vinyl ester",
        Family::Epoxy => "epoxy",
    }
}

const fn binder(binder: Binder) -> &'static str {
    match binder {
        Binder::Powder => ", powder bound",
        Binder::Emulsion => ", emulsion bound",
        Binder::Stitched => ", stitched",
        Binder::None => "",
    }
}

/// Peroxide-cured resins are bought with their accelerator in: the two must never meet in a workshop.
const fn ready(family: Family) -> &'static str {
    match family {
        Family::Epoxy => "",
        Family::Polyester | Family::Vinylester => ", pre-accelerated",
    }
}

/// What a supplier has to know of what a need is for.
#[must_use]
pub fn specification(need: &Need, stock: &Stock) -> Specification {
    let name = &need.material;
    let plain = Specification::default();
    let known = match need.kind {
        NeedKind::Reinforcement => stock.reinforcements.get(name).map(|glass| Specification {
            words: format!("{}{}, E-glass", glass.kind.word(), binder(glass.binder)),
            areal_weight_g_m2: Some(glass.areal_weight_g_m2.value),
            width_mm: glass.rolls.as_ref().and_then(|rolls| rolls.first()).map(|roll| roll.width_mm.value),
            ..plain.clone()
        }),
        NeedKind::Core => stock.cores.get(name).map(|core| Specification {
            words: "core, in sheets".to_owned(),
            thickness_mm: Some(core.thickness_mm.value),
            density_kg_m3: Some(core.density_kg_m3.value),
            ..plain.clone()
        }),
        NeedKind::Resin => stock.resins.get(name).map(|resin| Specification {
            words: format!("laminating resin for hand lay-up, {}{}", family(resin.family), ready(resin.family)),
            ..plain.clone()
        }),
        NeedKind::Gelcoat => stock.gelcoats.get(name).map(|gelcoat| {
            let use_for = if gelcoat.made_for == Make::Mould { "tooling" } else { "production" };
            let colour = gelcoat.colour.as_ref().map_or_else(String::new, |colour| format!(", colour {colour}"));
            let words =
                format!("{use_for} gelcoat by brush, {}{}{colour}", family(gelcoat.family), ready(gelcoat.family));
            Specification { words, ..plain.clone() }
        }),
        NeedKind::Catalyst => Some(Specification {
            words: "peroxide catalyst (MEKP) for the resins and gelcoats named here".to_owned(),
            active_oxygen_percent: active_oxygen(stock),
            ..plain.clone()
        }),
        NeedKind::Hardener => {
            Some(Specification { words: format!("hardener that belongs to {name}"), ..plain.clone() })
        }
        NeedKind::Filler => Some(Specification { words: "polyester putty".to_owned(), ..plain.clone() }),
        // The name of what is no material of the stock says what it is; where its kind is another word, that helps.
        other if other.word() != name => Some(Specification { words: other.word().to_owned(), ..plain.clone() }),
        _ => None,
    };
    known.unwrap_or(plain)
}

/// The grade of catalyst, if all resins and gelcoats of the stock are for one.
fn active_oxygen(stock: &Stock) -> Option<f64> {
    let of_resins = stock.resins.values().filter_map(|resin| resin.active_oxygen_percent.as_ref());
    let of_gelcoats = stock.gelcoats.values().filter_map(|gelcoat| gelcoat.active_oxygen_percent.as_ref());
    let mut grades = of_resins.chain(of_gelcoats).map(|figure| figure.value);
    let first = grades.next()?;
    grades.all(|grade| grade == first).then_some(first)
}
