//! What both kinds of sheet share: which build they are for, how figures stand on paper, cautions beside the work.

use maud::{Markup, html};

use super::figure::{At, count, figure, fine, rounded};
use super::procedure::Spot;
use crate::laminate::cautions::CAUTIONS;
use crate::laminate::figure::Figure;
use crate::laminate::schedule::Make;
use crate::laminate::stock::Family;
use crate::plan::{Build, PartPlan, Plan};
use crate::workshop::work::Place;

/// A build that a sheet is for, and where the plan's document holds it.
#[derive(Debug, Clone)]
pub struct Item<'a> {
    /// The whole plan.
    pub plan: &'a Plan,
    /// The panel.
    pub part: &'a PartPlan,
    /// What is built on it.
    pub build: &'a Build,
    /// Numbers of panel and build; the piece is the first.
    pub place: Place,
    /// Place of the panel.
    pub part_at: At,
    /// Place of the build.
    pub at: At,
    /// A name for links, of its own in the page.
    pub id: String,
}

impl Item<'_> {
    /// Place of a piece.
    pub fn piece_at(&self, piece: usize) -> At {
        self.at.key("pieces").item(piece)
    }

    /// Place of a remedy at a corner.
    pub fn spot_at(&self, spot: &Spot<'_>) -> At {
        self.corner_at(spot.piece, spot.corner).key("remedies").item(spot.index)
    }

    /// Place of a corner.
    pub fn corner_at(&self, piece: usize, corner: usize) -> At {
        self.piece_at(piece).key("corners").item(corner)
    }

    /// A corner's name as drawings give it: with the letter of its piece where there are several.
    pub fn corner_name(&self, letter: &str, id: &str) -> String {
        if self.build.pieces.len() > 1 { format!("{letter} {id}") } else { id.to_owned() }
    }

    /// Whether something in it goes off by catalyst, and whether something goes off by hardener.
    pub fn agents(&self) -> Agents {
        let epoxies = self.build.cures.iter().filter(|cure| cure.family == Family::Epoxy).count();
        Agents { catalyst: epoxies < self.build.cures.len(), hardener: epoxies > 0 }
    }

    /// How often the panel's mouldings are made, and where the plan says so; nothing if none are.
    pub fn mouldings(&self) -> Option<(u32, At)> {
        let (index, build) = self.part.builds.iter().enumerate().find(|(_, build)| build.make == Make::Moulding)?;
        Some((build.count, self.part_at.key("builds").item(index).key("count")))
    }
}

/// What makes the resins and gelcoat of a build go off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Agents {
    /// A peroxide.
    pub catalyst: bool,
    /// An epoxy's hardener.
    pub hardener: bool,
}

impl Agents {
    /// The word for a column of doses.
    pub const fn word(self) -> &'static str {
        match (self.catalyst, self.hardener) {
            (true, true) => "Cat. or hard.",
            (false, true) => "Hardener",
            _ => "Catalyst",
        }
    }
}

/// Every build of a plan, panel by panel, mould before moulding.
pub fn items(plan: &Plan) -> Vec<Item<'_>> {
    let mut items = Vec::new();
    for (panel, part) in plan.parts.iter().enumerate() {
        let part_at = At::root().key("parts").item(panel);
        for (index, build) in part.builds.iter().enumerate() {
            items.push(Item {
                plan,
                part,
                build,
                place: Place { part: panel, build: index, piece: 0 },
                part_at: part_at.clone(),
                at: part_at.key("builds").item(index),
                id: format!("{panel}-{}", build.make.word()),
            });
        }
    }
    items
}

/// Kilograms as a shop's scale shows them: to 10 g, below 100 g to 1 g, and still two digits of what is less.
pub fn kg(value: f64, at: &At) -> Markup {
    figure(value, fine(value, if value < 0.1 { 3 } else { 2 }), at)
}

/// Grams or millilitres as they are measured out: whole ones, below ten to a tenth, and still two digits of what is less.
pub fn measured(value: f64, at: &At) -> Markup {
    // 9.96 would be shown as 10.0.
    figure(value, fine(value, if value < 9.95 { 1 } else { 0 }), at)
}

/// A figure of the shop's habits, with its range if it has one.
pub fn habit(key: &str, of: &Figure, decimals: usize) -> Markup {
    let at = At::root().key("practice").key(key);
    html! {
        (figure(of.value, decimals, &at.key("value")))
        @if of.low < of.high {
            " (" (figure(of.low, decimals, &at.key("low"))) " to " (figure(of.high, decimals, &at.key("high"))) ")"
        }
    }
}

/// How long a build stays on its tool: a mould on its plug longer than a moulding in its mould, which is `cure_h`.
pub fn cure_h(plan: &Plan, make: Make) -> Markup {
    match make {
        Make::Mould => figure(plan.days.mould_cure_h, 0, &At::root().key("days").key("mould_cure_h")),
        Make::Moulding => habit("cure_h", &plan.practice.cure_h, 0),
    }
}

/// Temperature of the shop, or room for it.
pub fn shop_temperature(plan: &Plan) -> Markup {
    let at = At::root().key("practice").key("temperature_c").key("value");
    match &plan.practice.temperature_c {
        Some(temperature) => html! { (figure(temperature.value, 0, &at)) " °C" },
        None => html! { span.blank {} " °C" },
    }
}

/// The same figure at several spots: said once if it reads the same everywhere, otherwise nothing.
pub fn alike<'s, 'a>(spots: &'s [Spot<'a>], decimals: usize, of: impl Fn(&Spot<'a>) -> f64) -> Option<&'s Spot<'a>> {
    let first = spots.first()?;
    let shown = rounded(of(first), decimals);
    spots.iter().all(|spot| rounded(of(spot), decimals) == shown).then_some(first)
}

/// Things in a row with commas between, each kept on one line.
pub fn listed(things: impl Iterator<Item = Markup>) -> Markup {
    html! {
        @for (index, thing) in things.enumerate() {
            @if index > 0 { ", " }
            span.kept { (thing) }
        }
    }
}

/// The caution about something, in the words of the plan.
pub fn caution(about: &str) -> Option<&'static str> {
    CAUTIONS.iter().find(|caution| caution.about == about).map(|caution| caution.text)
}

/// The mesh that the figures come from, so that an old sheet is known by its sum.
pub fn mesh_line(part: &PartPlan) -> Markup {
    let sum = part.mesh_sha256.get(..8).unwrap_or(&part.mesh_sha256);
    html! { span dir="auto" { (part.file) } ", SHA-256 " code { (sum) } }
}

/// The size of a panel.
pub fn size(item: &Item<'_>) -> Markup {
    let at = item.part_at.key("size_mm");
    let [x, y, z] = item.part.size_mm;
    html! {
        span.kept {
            (figure(x, 0, &at.item(0))) " × " (figure(y, 0, &at.item(1))) " × " (figure(z, 0, &at.item(2))) " mm"
        }
    }
}

/// How many are built.
pub fn how_many(item: &Item<'_>) -> Markup {
    html! { (count(item.build.count, &item.at.key("count"))) }
}

/// The buttons that print a part of the page; a script shows them, without one the browser prints everything.
pub fn print_buttons() -> Markup {
    html! {
        p.print-buttons {
            button type="button" data-print="wall" hidden { "Print wall sheets" } " "
            button type="button" data-print="supplier" hidden { "Print supplier's sheets" } " "
            button type="button" data-print="quotation" hidden { "Print requests for quotation" } " "
            button type="button" data-print="all" hidden { "Print everything" }
        }
    }
}

/// `2 coats`, as sheets, mixes and days have them.
pub fn coats(n_coats: u32, at: &At) -> Markup {
    html! { (count(n_coats, at)) @if n_coats == 1 { " coat" } @else { " coats" } }
}
