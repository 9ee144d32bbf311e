//! The materials with their figures, each with its spread, source and mark: one list for every form of output.

use std::io::{self, Write};

use serde::Serialize;

use crate::job::resolve::Habits;
use crate::laminate::figure::{Figure, Mark};
use crate::laminate::schedule::{Schedule, Schedules};
use crate::laminate::stock::{NamedFigure, Roll, Stock};

/// One material, or the shop's habits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StockEntry<'a> {
    /// Table of the stock that holds it: `reinforcement`, `core`, `resin`, `gelcoat`, `filler`, or a table of habits: `shop`, `crew`.
    pub table: &'static str,
    /// Its name; nothing for the shop's habits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<&'a str>,
    /// What it is, by key.
    pub facts: Vec<(&'static str, String)>,
    /// Its figures.
    pub figures: Vec<StockFigure<'a>>,
}

/// One figure of a material.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StockFigure<'a> {
    /// Key; its ending is the unit.
    pub key: String,
    /// The likely value.
    pub value: f64,
    /// The least to expect.
    pub low: f64,
    /// The most to expect.
    pub high: f64,
    /// How firmly it is known.
    pub mark: Mark,
    /// Where it comes from.
    pub source: &'a str,
}

impl<'a> StockFigure<'a> {
    fn new(key: String, figure: &'a Figure) -> Self {
        let Figure { value, low, high, source, mark } = figure;
        Self { key, value: *value, low: *low, high: *high, mark: *mark, source }
    }
}

/// Everything in a stock, table by table, by name; then the shop's habits.
#[must_use]
pub fn entries<'a>(stock: &'a Stock, habits: &[Habits<'a>]) -> Vec<StockEntry<'a>> {
    let mut entries = Vec::new();
    for item in stock.reinforcements.values() {
        let facts = vec![
            ("kind", word(&item.kind)),
            ("binder", word(&item.binder)),
            ("next_to_gelcoat", item.next_to_gelcoat.to_string()),
        ];
        let mut entry = entry("reinforcement", &item.name, facts, item.figures());
        entry.figures.extend(rolls(item.rolls.as_deref().unwrap_or(&[])));
        entries.push(entry);
    }
    for item in stock.cores.values() {
        entries.push(entry("core", &item.name, vec![("bonding_mat", item.bonding_mat.clone())], item.figures()));
    }
    for item in stock.resins.values() {
        entries.push(entry("resin", &item.name, vec![("family", word(&item.family))], item.figures()));
    }
    for item in stock.gelcoats.values() {
        let facts = vec![("family", word(&item.family)), ("made_for", word(&item.made_for))];
        entries.push(entry("gelcoat", &item.name, facts, item.figures()));
    }
    for item in stock.fillers.values() {
        entries.push(entry("filler", &item.name, Vec::new(), item.figures()));
    }
    for (table, figures) in habits {
        entries.push(StockEntry { name: None, ..entry(table, "", Vec::new(), figures.clone()) });
    }
    entries
}

fn entry<'a>(
    table: &'static str,
    name: &'a str,
    facts: Vec<(&'static str, String)>,
    figures: Vec<NamedFigure<'a>>,
) -> StockEntry<'a> {
    let figures = figures.into_iter().map(|named| StockFigure::new(named.field.to_owned(), named.figure)).collect();
    StockEntry { table, name: Some(name), facts, figures }
}

fn rolls(rolls: &[Roll]) -> impl Iterator<Item = StockFigure<'_>> {
    rolls.iter().enumerate().flat_map(|(index, roll)| {
        let figures = [
            ("width_mm", Some(&roll.width_mm)),
            ("mass_kg", roll.mass_kg.as_ref()),
            ("length_m", roll.length_m.as_ref()),
        ];
        figures
            .into_iter()
            .filter_map(move |(key, figure)| Some(StockFigure::new(format!("rolls[{index}].{key}"), figure?)))
    })
}

/// The word that a job file uses for it.
fn word(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        other => other.map(|value| value.to_string()).unwrap_or_default(),
    }
}

#[derive(Serialize)]
struct Document<'a> {
    stock: Vec<Entry<'a>>,
    schedules: &'a Schedules,
}

#[derive(Serialize)]
struct Entry<'a> {
    table: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    name: Option<&'a str>,
    facts: std::collections::BTreeMap<&'static str, String>,
    figures: Vec<StockFigure<'a>>,
}

/// Writes the stock and the schedules as one JSON document.
///
/// # Errors
/// If `out` cannot be written.
pub fn json(stock: &Stock, habits: &[Habits<'_>], schedules: &Schedules, out: &mut dyn Write) -> io::Result<()> {
    let entries = entries(stock, habits).into_iter();
    let stock = entries.map(|StockEntry { table, name, facts, figures }| Entry {
        table,
        name,
        facts: facts.into_iter().collect(),
        figures,
    });
    let document = Document { stock: stock.collect(), schedules };
    super::json::write(&document, out)
}

/// A schedule's layers in words, the first laid first: what, how many plies, where.
#[must_use]
pub fn schedule_rows(schedule: &Schedule) -> Vec<[String; 4]> {
    let gelcoat = schedule
        .gelcoat
        .iter()
        .map(|gelcoat| ["gelcoat".to_owned(), gelcoat.clone(), "1".to_owned(), "all".to_owned()]);
    let layers = schedule.layers.iter().map(|layer| {
        let name = layer.name.clone().unwrap_or_default();
        [name, layer.material.clone(), layer.plies.to_string(), layer.zone.words()]
    });
    gelcoat.chain(layers).collect()
}
