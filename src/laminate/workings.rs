//! The sum behind a quantity, as data: what is multiplied, divided and added up, in numbers that a pocket calculator takes.
//!
//! A working is made where its quantity is reckoned, from the same numbers. It is printed with so many digits that whoever
//! redoes the line from the digits printed gets the printed result, give or take its last digit.

use std::borrow::Cow;
use std::fmt::Write as _;

use serde::{Serialize, Serializer, ser::SerializeStruct};

/// What is done with a term. Products come before sums, as everywhere.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Op {
    /// Added; nothing is printed before the first term.
    Plus,
    /// Taken off.
    Minus,
    /// Multiplies what stands before it.
    Times,
    /// Divides what stands before it.
    Over,
}

impl Op {
    /// The sign on paper.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Plus => "+",
            Self::Minus => "-",
            Self::Times => "x",
            Self::Over => "÷",
        }
    }
}

/// One number of a sum.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// What is done with it.
    pub op: Op,
    /// The number, unrounded.
    pub value: f64,
    /// Its unit; empty for a ratio or a count.
    pub unit: &'static str,
    /// What it is, in a word or two; empty where the unit says it.
    pub what: Cow<'static, str>,
}

/// The sum behind one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// Which quantity: its place in the JSON document, from the item that holds the working.
    pub of: String,
    /// Which quantity, in words.
    pub words: Cow<'static, str>,
    /// Ply that it is of, if it is of one.
    pub ply: Option<usize>,
    /// The terms, in order.
    pub terms: Vec<Term>,
    /// The quantity itself, as the plan holds it.
    pub result: f64,
    /// Its unit.
    pub unit: &'static str,
}

/// How many decimals a line is printed with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Decimals {
    /// Of each term.
    pub terms: Vec<usize>,
    /// Of the result.
    pub result: usize,
}

/// More decimals than this are noise.
const MOST_DECIMALS: usize = 9;

impl Working {
    /// A sum without terms yet.
    #[must_use]
    pub fn of(of: impl Into<String>, words: impl Into<Cow<'static, str>>, result: f64, unit: &'static str) -> Self {
        Self { of: of.into(), words: words.into(), ply: None, terms: Vec::new(), result, unit }
    }

    /// The same, of one ply: `key` stands under the ply's place in `list`, which holds the plies in order.
    #[must_use]
    pub fn of_ply(list: &str, ply: usize, key: &str, words: &'static str, result: f64, unit: &'static str) -> Self {
        let of = format!("{list}/{}/{key}", ply.saturating_sub(1));
        Self { ply: Some(ply), ..Self::of(of, words, result, unit) }
    }

    fn with(mut self, op: Op, value: f64, unit: &'static str, what: impl Into<Cow<'static, str>>) -> Self {
        self.terms.push(Term { op, value, unit, what: what.into() });
        self
    }

    /// Adds a number; the first one begins the sum.
    #[must_use]
    pub fn plus(self, value: f64, unit: &'static str, what: impl Into<Cow<'static, str>>) -> Self {
        self.with(Op::Plus, value, unit, what)
    }

    /// Adds a number unless it is 0.
    #[must_use]
    pub fn plus_if_any(self, value: f64, unit: &'static str, what: impl Into<Cow<'static, str>>) -> Self {
        if value == 0.0 { self } else { self.plus(value, unit, what) }
    }

    /// Adds a number so many times.
    #[must_use]
    pub fn plus_times(self, count: u32, value: f64, unit: &'static str, what: impl Into<Cow<'static, str>>) -> Self {
        if count == 1 {
            return self.plus(value, unit, what);
        }
        self.plus(f64::from(count), "", "").times(value, unit, what)
    }

    /// Takes a number off.
    #[must_use]
    pub fn minus(self, value: f64, unit: &'static str, what: impl Into<Cow<'static, str>>) -> Self {
        self.with(Op::Minus, value, unit, what)
    }

    /// Multiplies the last product.
    #[must_use]
    pub fn times(self, value: f64, unit: &'static str, what: impl Into<Cow<'static, str>>) -> Self {
        self.with(Op::Times, value, unit, what)
    }

    /// Divides the last product.
    #[must_use]
    pub fn over(self, value: f64, unit: &'static str, what: impl Into<Cow<'static, str>>) -> Self {
        self.with(Op::Over, value, unit, what)
    }

    /// Appends factors that several sums share.
    #[must_use]
    pub fn then(mut self, terms: &[Term]) -> Self {
        self.terms.extend_from_slice(terms);
        self
    }

    /// What the terms come to.
    #[must_use]
    pub fn value(&self) -> f64 {
        evaluate(self.terms.iter().map(|term| (term.op, term.value)))
    }

    /// The decimals with which whoever redoes the line lands on its result, give or take the last digit.
    #[must_use]
    pub fn decimals(&self) -> Decimals {
        let result = four_digits(self.result);
        let products = self.products();
        let exact: Vec<Option<usize>> = self.terms.iter().map(|term| exact_decimals(term.value)).collect();
        let n_rounded = exact.iter().filter(|exact| exact.is_none()).count().max(1) as f64;
        // Each rounded term may move the result by its share of half the last digit.
        let allowed = power_of_ten(result) / n_rounded;
        let terms = self.terms.iter().zip(&products).zip(&exact).map(|((term, product), exact)| {
            exact.unwrap_or_else(|| {
                let moves = (product / term.value).abs();
                (0..MOST_DECIMALS).find(|&n| moves * power_of_ten(n) <= allowed).unwrap_or(MOST_DECIMALS)
            })
        });
        let mut terms: Vec<usize> = terms.collect();
        // One number looks the same wherever it stands in a line.
        for index in 0..terms.len() {
            let same = self.terms.iter().zip(&terms).filter(|(term, _)| term.value == self.terms[index].value);
            terms[index] = same.map(|(_, &n)| n).max().unwrap_or(terms[index]);
        }
        Decimals { terms, result }
    }

    /// For each term the product that it is a factor of.
    fn products(&self) -> Vec<f64> {
        let mut products = vec![0.0; self.terms.len()];
        let mut begin = 0;
        for end in 1..=self.terms.len() {
            let ends = self.terms.get(end).is_none_or(|term| matches!(term.op, Op::Plus | Op::Minus));
            if ends {
                let product = evaluate(self.terms[begin..end].iter().map(|term| (term.op, term.value)));
                products[begin..end].fill(product);
                begin = end;
            }
        }
        products
    }

    /// The line on paper: `1.56 m2 x 1.125 kg/m2 x 2.5 = 4.388 kg`.
    #[must_use]
    pub fn line(&self) -> String {
        let decimals = self.decimals();
        let mut line = String::new();
        for (index, (term, decimals)) in self.terms.iter().zip(&decimals.terms).enumerate() {
            if index > 0 || term.op == Op::Minus {
                let space = if index > 0 { " " } else { "" };
                let _ = write!(line, "{space}{} ", term.op.sign());
            }
            let _ = write!(line, "{}", with_unit(term.value, *decimals, term.unit));
        }
        let _ = write!(line, " = {}", with_unit(self.result, decimals.result, self.unit));
        line
    }
}

/// Documents hold the line as printed and its numbers unrounded.
impl Serialize for Working {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let terms: Vec<f64> = self.terms.iter().map(|term| term.value).collect();
        let mut entry = serializer.serialize_struct("Working", 4)?;
        entry.serialize_field("of", &self.of)?;
        entry.serialize_field("line", &self.line())?;
        entry.serialize_field("terms", &terms)?;
        entry.serialize_field("result", &self.result)?;
        entry.end()
    }
}

fn evaluate(terms: impl Iterator<Item = (Op, f64)>) -> f64 {
    let (mut sum, mut product) = (0.0, 0.0);
    for (op, value) in terms {
        match op {
            Op::Plus => (sum, product) = (sum + product, value),
            Op::Minus => (sum, product) = (sum + product, -value),
            Op::Times => product *= value,
            Op::Over => product /= value,
        }
    }
    sum + product
}

fn with_unit(value: f64, decimals: usize, unit: &str) -> String {
    let gap = if unit.is_empty() { "" } else { " " };
    format!("{value:.decimals$}{gap}{unit}")
}

fn power_of_ten(n_decimals: usize) -> f64 {
    (0..n_decimals).fold(1.0, |power, _| power / 10.0)
}

/// Decimals that show four digits, or all of a whole number.
fn four_digits(value: f64) -> usize {
    // Under a thousandth of a millionth there is nothing to show.
    const MOST: usize = 6;
    if value == 0.0 || !value.is_finite() {
        return 0;
    }
    let mut size = value.abs();
    let mut n = 0;
    while size < 1000.0 && n < MOST {
        size *= 10.0;
        n += 1;
    }
    n
}

/// The fewest decimals that show a number whole, where a few do.
fn exact_decimals(value: f64) -> Option<usize> {
    const MOST: usize = 5;
    let mut scaled = value;
    for n in 0..=MOST {
        if (scaled - scaled.round()).abs() <= 1e-11 * scaled.abs() {
            return Some(n);
        }
        scaled *= 10.0;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The tray by hand: 1.56 m2 of three mats, 1.125 kg/m2 together, at 2.5 : 1. Source: own sum, 4.3875 kg.
    fn tray() -> Working {
        Working::of("resin_kg", "resin", 1.56 * 1.125 * 2.5, "kg")
            .plus(1.56, "m2", "laid")
            .times(1.125, "kg/m2", "glass")
            .times(2.5, "", "resin to glass")
    }

    #[test]
    fn the_trays_resin_can_be_redone_by_hand() {
        assert_eq!(tray().line(), "1.56 m2 x 1.125 kg/m2 x 2.5 = 4.388 kg");
        assert!((tray().value() - 4.3875).abs() < 1e-12);
    }

    #[test]
    fn products_come_before_sums() {
        let working = Working::of("mm", "thickness", 0.45 / 2.56 + 1.125 / 1.2 - 0.5 * 0.1, "mm")
            .plus(0.45, "kg/m2", "")
            .over(2.56, "g/cm3", "")
            .plus(1.125, "kg/m2", "")
            .over(1.2, "g/cm3", "")
            .minus(0.5, "", "")
            .times(0.1, "mm", "");
        assert!((working.value() - working.result).abs() < 1e-15);
        assert_eq!(working.line(), "0.45 kg/m2 ÷ 2.56 g/cm3 + 1.125 kg/m2 ÷ 1.2 g/cm3 - 0.5 x 0.1 mm = 1.063 mm");
    }

    #[test]
    fn rounded_terms_carry_digits_enough_for_the_result() {
        for (a, b, c) in [(3.216_348_1, 0.45, 2.5), (0.000_123_9, 17.123_456, 3.0), (98_765.432_1, 0.001_234_5, 1.1)] {
            let working = Working::of("x", "x", a * b * c, "").plus(a, "", "").times(b, "", "").times(c, "", "");
            let decimals = working.decimals();
            let round = |value: f64, n: usize| -> f64 { format!("{value:.n$}").parse().expect("a number") };
            let redone = round(a, decimals.terms[0]) * round(b, decimals.terms[1]) * round(c, decimals.terms[2]);
            let off = (redone - round(working.result, decimals.result)).abs();
            assert!(off <= 1.0001 * power_of_ten(decimals.result), "{}", working.line());
        }
    }

    #[test]
    fn nothing_comes_to_nothing() {
        let working = Working::of("x", "x", 0.0, "kg").plus(0.0, "m2", "").times(0.45, "kg/m2", "");
        assert_eq!(working.line(), "0 m2 x 0.45 kg/m2 = 0 kg");
    }

    #[test]
    fn a_document_holds_the_line_and_its_numbers_unrounded() {
        let value = serde_json::to_value(tray()).expect("JSON");
        assert_eq!(value["terms"], serde_json::json!([1.56, 1.125, 2.5]));
        assert_eq!(value["of"], "resin_kg");
    }
}
