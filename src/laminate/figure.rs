//! A number that knows its spread, its source and how firmly it is known.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::MapAccessDeserializer;
use serde::de::{self, Deserializer, MapAccess, Visitor};
use serde::{Deserialize, Serialize};

/// How firmly a figure is known. A figure is never passed on with a firmer mark than it came with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Read in a published text that the source names.
    Published,
    /// Read in the data sheet of a maker or supplier.
    MakersSheet,
    /// Custom of the workshop; no source.
    CommonPractice,
    /// Recalled, not checked against the document named.
    FromMemory,
    /// Worked out from other figures.
    Derived,
    /// Given in the job file.
    Given,
    /// Fitted to what was weighed in the shop.
    Weighed,
}

impl Mark {
    /// The mark in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Published => "published",
            Self::MakersSheet => "maker's sheet",
            Self::CommonPractice => "common practice, no source",
            Self::FromMemory => "from memory",
            Self::Derived => "derived",
            Self::Given => "given in the job",
            Self::Weighed => "weighed",
        }
    }
}

/// One figure of the stock: likely value, what it ranges over, where it comes from.
///
/// In a job file it is written as a bare number, or as a table:
/// `{ value = 2.5, low = 2.0, high = 3.0, source = "data sheet of the mat", mark = "makers-sheet" }`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figure {
    /// The likely value.
    pub value: f64,
    /// The least to expect; the value itself where no spread is known.
    pub low: f64,
    /// The most to expect.
    pub high: f64,
    /// Where it comes from, in words.
    pub source: String,
    /// How firmly it is known.
    pub mark: Mark,
}

/// A figure as it is written; the wording that errors and the schema show.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenFigure {
    /// The likely value.
    value: f64,
    /// The least to expect.
    low: Option<f64>,
    /// The most to expect.
    high: Option<f64>,
    /// Where it comes from.
    source: Option<String>,
    /// How firmly it is known.
    mark: Option<Mark>,
}

impl Figure {
    /// A value given in the job, without a spread.
    #[must_use]
    pub fn given(value: f64) -> Self {
        Self { value, low: value, high: value, source: "job file".to_owned(), mark: Mark::Given }
    }

    /// A value without a spread, and where it comes from.
    #[must_use]
    pub fn new(value: f64, mark: Mark, source: &str) -> Self {
        Self { value, low: value, high: value, source: source.to_owned(), mark }
    }

    /// Low, likely and high.
    #[must_use]
    pub const fn spread(&self) -> Spread {
        Spread { low: self.low, likely: self.value, high: self.high }
    }

    fn from_written(written: WrittenFigure) -> Result<Self, String> {
        let WrittenFigure { value, low, high, source, mark } = written;
        let figure = Self {
            value,
            low: low.unwrap_or(value),
            high: high.unwrap_or(value),
            source: source.unwrap_or_else(|| "job file".to_owned()),
            mark: mark.unwrap_or(Mark::Given),
        };
        let all = [figure.low, figure.value, figure.high];
        // Past this nothing in a workshop is meant, and sums of such numbers run out of range.
        const MOST: f64 = 1e9;
        if !all.iter().all(|part| (0.0..=MOST).contains(part)) {
            return Err("a figure must be a number of 0 or more, up to 1e9, not nan".to_owned());
        }
        if !all.is_sorted() {
            return Err(format!("low {} <= value {} <= high {} does not hold", figure.low, value, figure.high));
        }
        Ok(figure)
    }
}

impl<'de> Deserialize<'de> for Figure {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(FigureVisitor)
    }
}

/// Takes a bare number or a table. (Serde's untagged enums would do, but lose what is wrong and where.)
struct FigureVisitor;

impl<'de> Visitor<'de> for FigureVisitor {
    type Value = Figure;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number, or a table of value, low, high, source and mark")
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Figure, E> {
        Figure::from_written(WrittenFigure { value, low: None, high: None, source: None, mark: None })
            .map_err(E::custom)
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Figure, E> {
        self.visit_f64(value as f64)
    }

    fn visit_u64<E: de::Error>(self, value: u64) -> Result<Figure, E> {
        self.visit_f64(value as f64)
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Figure, A::Error> {
        let written = WrittenFigure::deserialize(MapAccessDeserializer::new(map))?;
        Figure::from_written(written).map_err(de::Error::custom)
    }
}

impl JsonSchema for Figure {
    fn schema_name() -> Cow<'static, str> {
        "Figure".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let table = generator.subschema_for::<WrittenFigure>();
        json_schema!({
            "description": "A bare number, or a table that also says its spread, its source and how firmly it is known.",
            "anyOf": [{ "type": "number", "minimum": 0 }, table],
        })
    }
}

/// What a hand will hit: low, likely and high of one quantity, in the unit that the field's name says.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Spread {
    /// The least to expect.
    pub low: f64,
    /// What to reckon with.
    pub likely: f64,
    /// The most to expect.
    pub high: f64,
}

impl Spread {
    /// A quantity without a spread.
    #[must_use]
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, likely: value, high: value }
    }

    /// A rising function of low, likely and high each.
    #[must_use]
    pub fn map(self, function: impl Fn(f64) -> f64) -> Self {
        Self { low: function(self.low), likely: function(self.likely), high: function(self.high) }
    }

    /// A falling function: what is low on one side is high on the other.
    #[must_use]
    pub fn map_falling(self, function: impl Fn(f64) -> f64) -> Self {
        Self { low: function(self.high), likely: function(self.likely), high: function(self.low) }
    }
}

impl std::ops::Add for Spread {
    type Output = Self;

    /// Lows with lows and highs with highs: plies of one hand err together, so the spreads add up and do not cancel.
    fn add(self, other: Self) -> Self {
        Self { low: self.low + other.low, likely: self.likely + other.likely, high: self.high + other.high }
    }
}

impl std::iter::Sum for Spread {
    fn sum<I: Iterator<Item = Self>>(spreads: I) -> Self {
        spreads.fold(Self::default(), std::ops::Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, Deserialize)]
    struct Holder {
        figure: Figure,
    }

    fn read(text: &str) -> Result<Figure, String> {
        toml::from_str::<Holder>(text).map(|holder| holder.figure).map_err(|error| error.to_string())
    }

    #[test]
    fn a_bare_number_is_marked_as_given_in_the_job() {
        for text in ["figure = 450", "figure = 450.0"] {
            let figure = read(text).expect("a number");
            assert_eq!(figure, Figure::given(450.0));
            assert_eq!(figure.spread(), Spread::exactly(450.0));
        }
    }

    #[test]
    fn a_table_keeps_spread_source_and_mark() {
        let figure = read("figure = { value = 2.5, low = 2, high = 3, source = 'brief p. 2', mark = 'published' }")
            .expect("a figure");
        assert_eq!((figure.low, figure.value, figure.high), (2.0, 2.5, 3.0));
        assert_eq!((figure.source.as_str(), figure.mark), ("brief p. 2", Mark::Published));
    }

    #[test]
    fn a_figure_that_cannot_be_is_refused_with_its_line() {
        assert!(read("figure = nan").is_err_and(|message| message.contains("line 1") && message.contains("nan")));
        assert!(read("figure = inf").is_err_and(|message| message.contains("up to 1e9")));
        assert!(read("figure = -1").is_err_and(|message| message.contains("0 or more")));
        assert!(read("figure = { value = 2, low = 3 }").is_err_and(|message| message.contains("does not hold")));
        assert!(read("figure = { value = 2, lo = 1 }").is_err_and(|message| message.contains("unknown field `lo`")));
        assert!(read("figure = 'thick'").is_err_and(|message| message.contains("a number, or a table")));
    }
}
