//! How much catalyst for a temperature: within the maker's range and its table of gel times, or not at all.

use serde::Serialize;

use super::recipe::{MixKind, Recipe};
use crate::laminate::figure::Spread;
use crate::laminate::warnings::{COLDEST_C, HOT_REMEDY, HOTTEST_C};

/// Shares are weighed out in so many steps to the percent: a finer one cannot be told apart on 200 g at 0.1 g, and a coarser
/// one misses the useful gel time by a minute.
const STEPS_PER_PERCENT: f64 = 20.0;

/// How a gel time suits the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Fit {
    /// Long enough and short enough.
    Useful,
    /// Shorter than is useful even so: small mixes.
    Short,
    /// Longer than is useful even so: it drains off walls and loses styrene.
    Long,
}

/// A share of what is stirred in, and what comes of it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Share {
    /// By mass, in percent of the material alone.
    pub percent: f64,
    /// Gel time in the cup.
    pub gel_min: Spread,
    /// How that suits the work.
    pub fit: Fit,
}

/// Why nothing is mixed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refused {
    /// The shop is too cold.
    #[error(
        "at {temperature_c} C nothing is mixed: under {COLDEST_C} C it does not cure through, whatever the catalyst"
    )]
    TooCold {
        /// Temperature of the shop.
        temperature_c: f64,
    },
    /// The shop is too hot for what holds styrene.
    #[error(
        "at {temperature_c} C nothing that holds styrene is mixed: from {HOTTEST_C} C on its vapour and air can explode"
    )]
    TooHot {
        /// Temperature of the shop.
        temperature_c: f64,
    },
    /// The stock has no gel times.
    #[error("there is no table of gel times")]
    NoTable {
        /// Its share in percent of the material, if it may be moved within a range; a fixed ratio goes by temperature alone.
        percent: Option<Spread>,
        /// What it is.
        kind: MixKind,
        /// Table of the stock and name.
        entry: String,
    },
    /// The table does not reach there.
    #[error("its gel times end before {what}: the table holds {held}")]
    OutsideTable {
        /// What was looked for.
        what: String,
        /// What it holds.
        held: String,
        /// What was looked for is colder than the table; else it is warmer, or its share is not there.
        is_colder: bool,
    },
    /// The schedule asks for a share that the maker forbids.
    #[error("the schedule asks for {percent} %, outside the {low} to {high} % of the stock")]
    OutsideRange {
        /// What it asks for.
        percent: f64,
        /// The least.
        low: f64,
        /// The most.
        high: f64,
    },
    /// The stock does not say what goes into it.
    #[error("the stock does not say how much hardener goes into it")]
    NoHardener {
        /// Table of the stock and name.
        entry: String,
    },
    /// It gels before the least that the scale reads is laid.
    #[error("it gels before {step_g} g of it are laid")]
    TooQuick {
        /// What the scale reads.
        step_g: f64,
    },
}

/// How lines to paste are used.
const PASTE: &str =
    "Paste these lines at the end of the job, or below that header without it if the job has it, with figures for ___:";

/// Temperatures that lines to paste ask for: a cool shop and a warm one, so that all between them is held.
const ASKED_C: [f64; 2] = [15.0, 25.0];

/// Lines of a job file that give a material its gel times at some shares (no number where it is not known; nothing for a fixed
/// ratio) and more of its keys, with ___ for each figure that is asked for.
fn lines(entry: &str, more: &[&str], shares: &[Option<f64>]) -> String {
    let mut lines = format!("[{entry}]\n");
    for key in more {
        lines.push_str(&format!("{key} = ___\n"));
    }
    lines.push_str("gel_min = [\n");
    for temperature_c in ASKED_C {
        for share in shares {
            let share = match share {
                None => String::new(),
                Some(percent) if percent.is_nan() => " catalyst_percent = ___,".to_owned(),
                Some(percent) => format!(" catalyst_percent = {percent},"),
            };
            lines.push_str(&format!("    {{ temperature_c = {temperature_c},{share} min = ___ }},\n"));
        }
    }
    lines.push(']');
    lines
}

impl Refused {
    /// What to change.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::TooCold { .. } => "warm shop, tool and resin to 18 C or more; never add catalyst instead".to_owned(),
            Self::TooHot { .. } => HOT_REMEDY.to_owned(),
            Self::NoTable { percent: None, entry, .. } => format!(
                "give the maker's pot life under [{entry}]; the ratio stays as it is. {PASTE}\n{}",
                lines(entry, &[], &[None])
            ),
            Self::NoTable { percent: Some(percent), kind, entry } => {
                let mut shares = vec![Some(percent.low), Some(percent.high)];
                shares.dedup();
                // An adhesive that the job names need not be in the stock.
                let more: &[&str] = if *kind == MixKind::Adhesive { &["density_g_cm3"] } else { &[] };
                let paste = if *kind == MixKind::Adhesive {
                    " If its sheet names a hardener paste, add `hardener_percent` to them: no liquid catalyst goes into it."
                } else {
                    ""
                };
                format!(
                    "give the maker's table under [{entry}], or time a cup of 100 g and give that.{paste} {PASTE}\n{}",
                    lines(entry, more, &shares)
                )
            }
            Self::OutsideTable { is_colder: true, .. } => {
                "warm shop and resin until the table holds, or give more of the maker's table".to_owned()
            }
            Self::OutsideTable { .. } => {
                "bring shop and share within the table, or give more of the maker's; nothing is read past it".to_owned()
            }
            Self::OutsideRange { .. } => "stay within the maker's range, and warm the shop instead".to_owned(),
            Self::NoHardener { entry } => format!(
                "say how much of it the maker asks for, and how long that leaves. {PASTE}\n{}",
                lines(entry, &["hardener_percent"], &[Some(f64::NAN)])
            ),
            Self::TooQuick { .. } => "cool the shop, not under 15 C, take a slower resin, or more hands".to_owned(),
        }
    }

    /// What to change, where lines to paste have been given before.
    #[must_use]
    pub fn in_short(&self) -> String {
        match self {
            Self::NoTable { entry, .. } => {
                format!("its gel times under [{entry}]: lines to paste stand with its refused mixes")
            }
            Self::NoHardener { entry } => {
                format!("its hardener and gel times under [{entry}]: lines to paste stand with its refused mixes")
            }
            _ => self.remedy(),
        }
    }
}

/// The share for a temperature.
///
/// A schedule's own share is kept if the maker's range has it. Otherwise the likely share is kept where its gel time is
/// useful, and where it is not the nearest share is taken whose is; if none is, the one that comes nearest. Putty is always
/// quick, and an epoxy's ratio is fixed: neither is moved.
///
/// # Errors
/// [`Refused`], if it is too cold or, for what holds styrene, too hot, if the table does not hold, or if the schedule's share is forbidden.
pub fn share_at(recipe: &Recipe, temperature_c: f64, useful_min: Spread) -> Result<Share, Refused> {
    // What is no number is not warm enough either.
    if temperature_c.is_nan() || temperature_c < COLDEST_C {
        return Err(Refused::TooCold { temperature_c });
    }
    if temperature_c >= HOTTEST_C && recipe.holds_styrene() {
        return Err(Refused::TooHot { temperature_c });
    }
    if recipe.table.is_empty() {
        return Err(Refused::NoTable {
            percent: (!recipe.is_fixed()).then_some(recipe.percent),
            kind: recipe.kind,
            entry: entry(recipe),
        });
    }
    let Spread { low, high, .. } = recipe.percent;
    if let Some(percent) = recipe.told_percent.filter(|percent| !(low..=high).contains(percent)) {
        return Err(Refused::OutsideRange { percent, low, high });
    }
    let planned = recipe.planned_percent();
    let at = |percent: f64| {
        let gel_min = recipe.gel_min(temperature_c, percent)?;
        Some(Share { percent, gel_min, fit: fit(recipe, gel_min, useful_min) })
    };
    let is_kept = recipe.is_fixed() || recipe.told_percent.is_some() || recipe.kind == MixKind::Putty;
    let planned_share = at(planned);
    match planned_share {
        Some(share) if is_kept || share.fit == Fit::Useful => Ok(share),
        None if is_kept => Err(outside(recipe, temperature_c, Some(planned))),
        _ => best(recipe, temperature_c, useful_min, &at).ok_or_else(|| outside(recipe, temperature_c, None)),
    }
}

/// Where the stock holds it: `stock.resin."polyester"`.
pub(super) fn entry(recipe: &Recipe) -> String {
    entry_of(recipe.kind, &recipe.material)
}

/// Where the stock holds a material.
pub(super) fn entry_of(kind: MixKind, material: &str) -> String {
    let table = match kind {
        MixKind::Gelcoat => "gelcoat",
        MixKind::Putty | MixKind::Adhesive => "filler",
        MixKind::Resin => "resin",
    };
    format!("stock.{table}.{}", toml::Value::from(material))
}

fn fit(recipe: &Recipe, gel_min: Spread, useful_min: Spread) -> Fit {
    if recipe.kind == MixKind::Putty || (useful_min.low..=useful_min.high).contains(&gel_min.likely) {
        Fit::Useful
    } else if gel_min.likely < useful_min.low {
        Fit::Short
    } else {
        Fit::Long
    }
}

/// The nearest share to the likely one whose gel time is useful, or else the one whose time is nearest to that.
fn best(recipe: &Recipe, temperature_c: f64, useful_min: Spread, at: &impl Fn(f64) -> Option<Share>) -> Option<Share> {
    let Spread { low, likely, high } = recipe.percent;
    let mut knots = recipe.table.shares_percent();
    knots.extend([low, likely, high]);
    knots.retain(|knot| (low..=high).contains(knot));
    knots.sort_by(f64::total_cmp);
    knots.dedup();
    let gel = |percent: f64| recipe.gel_min(temperature_c, percent).map(|gel_min| gel_min.likely);
    let mut shares: Vec<Share> = knots.iter().filter_map(|&knot| at(knot)).collect();
    for pair in knots.windows(2) {
        // More catalyst gels sooner: a share for the longest useful time is rounded up, one for the shortest down.
        let rounded = [(useful_min.high, f64::ceil as fn(f64) -> f64), (useful_min.low, f64::floor)];
        for (wanted_min, round) in rounded {
            if let Some(exact) = crossing(&gel, pair[0], pair[1], wanted_min) {
                let stepped = round(exact * STEPS_PER_PERCENT) / STEPS_PER_PERCENT;
                let stepped = at(stepped).filter(|share| share.fit == Fit::Useful && (low..=high).contains(&stepped));
                shares.extend(stepped.or_else(|| at(exact)));
            }
        }
    }
    let off = |share: &Share| {
        let min = share.gel_min.likely;
        (useful_min.low / min).max(min / useful_min.high).max(1.0)
    };
    let away = |share: &Share| (share.percent - likely).abs();
    let useful = shares.iter().filter(|share| share.fit == Fit::Useful);
    let nearest = useful.min_by(|a, b| away(a).total_cmp(&away(b)));
    nearest.or_else(|| shares.iter().min_by(|a, b| off(a).total_cmp(&off(b)))).copied()
}

/// Where a falling function takes a value between two places; nothing if it does not, or is not known there.
pub(super) fn crossing(falling: &impl Fn(f64) -> Option<f64>, from: f64, to: f64, value: f64) -> Option<f64> {
    if !(falling(to)?..=falling(from)?).contains(&value) {
        return None;
    }
    let (mut from, mut to) = (from, to);
    // Sixty halvings are finer than a double.
    for _ in 0..60 {
        let middle = 0.5 * (from + to);
        if falling(middle)? >= value { from = middle } else { to = middle }
    }
    Some(from)
}

fn outside(recipe: &Recipe, temperature_c: f64, percent: Option<f64>) -> Refused {
    let Spread { low, high, .. } = recipe.percent;
    let share = match percent {
        _ if recipe.is_fixed() => String::new(),
        Some(percent) => format!(" and {percent} %"),
        None => format!(" and {}", from_to(low, high, "%")),
    };
    let coldest = recipe.table.temperatures_c().next().unwrap_or_default();
    let warmest = recipe.table.temperatures_c().next_back().unwrap_or_default();
    let shares = recipe.table.shares_percent();
    let held = match (shares.first(), shares.last()) {
        (Some(least), Some(most)) if !recipe.is_fixed() => {
            let gaps = if shares.len() > 1 { ", gaps left out" } else { "" };
            format!(" and {}{gaps}", from_to(*least, *most, "%"))
        }
        _ => String::new(),
    };
    Refused::OutsideTable {
        what: format!("{temperature_c} C{share}"),
        held: format!("{}{held}", from_to(coldest, warmest, "C")),
        is_colder: temperature_c < coldest,
    }
}

/// `18 to 25 C`; one value is not told as a range.
fn from_to(low: f64, high: f64, unit: &str) -> String {
    if low == high { format!("{low} {unit}") } else { format!("{low} to {high} {unit}") }
}

/// Between which temperatures a share keeps its gel time useful, around the one that it was chosen for; nothing if it is not
/// useful there. Where the table or the cold ends first, that is the end.
#[must_use]
pub fn holds_c(recipe: &Recipe, share: &Share, temperature_c: f64, useful_min: Spread) -> Option<[f64; 2]> {
    if share.fit != Fit::Useful || recipe.kind == MixKind::Putty {
        return None;
    }
    let gel = |at_c: f64| recipe.gel_min(at_c, share.percent).map(|gel_min| gel_min.likely);
    let mut rows: Vec<f64> = recipe.table.temperatures_c().collect();
    rows.extend([COLDEST_C, HOTTEST_C]);
    rows.sort_by(f64::total_cmp);
    let colder = rows.iter().rev().filter(|&&row| row < temperature_c && row >= COLDEST_C);
    let most_c = if recipe.holds_styrene() { HOTTEST_C } else { f64::INFINITY };
    let warmer = rows.iter().filter(|&&row| row > temperature_c && row <= most_c);
    let from = reach(temperature_c, colder, &gel, useful_min.high);
    let to = reach(temperature_c, warmer, &gel, useful_min.low);
    Some([from, to])
}

/// How far from a temperature, row by row, the time stays on this side of a limit.
fn reach<'a>(
    from_c: f64,
    rows: impl Iterator<Item = &'a f64>,
    gel: &impl Fn(f64) -> Option<f64>,
    limit_min: f64,
) -> f64 {
    let mut reached = from_c;
    for &row in rows {
        let Some(min) = gel(row) else { break };
        let is_past = if row < from_c { min > limit_min } else { min < limit_min };
        if is_past {
            return crossing(gel, reached.min(row), reached.max(row), limit_min).unwrap_or(reached);
        }
        reached = row;
    }
    reached
}
