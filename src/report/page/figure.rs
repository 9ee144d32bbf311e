//! A figure of the plan on the page: shown rounded, carried whole.
//!
//! Every figure is a `data` element. Its `value` is the unrounded number and `data-at` the place where the JSON document of
//! the same run holds that number (a JSON Pointer, RFC 6901), so that a test, or a script of the reader's own, can walk the
//! page and compare.

use std::fmt;

use maud::{Markup, html};

use crate::laminate::figure::Spread;

/// A place in the JSON document, as a JSON Pointer (RFC 6901).
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct At(String);

impl At {
    /// The whole document.
    #[must_use]
    pub fn root() -> Self {
        Self::default()
    }

    /// A member of an object.
    #[must_use]
    pub fn key(&self, key: &str) -> Self {
        Self(format!("{}/{}", self.0, key.replace('~', "~0").replace('/', "~1")))
    }

    /// An item of a list.
    #[must_use]
    pub fn item(&self, index: usize) -> Self {
        Self(format!("{}/{index}", self.0))
    }
}

impl fmt::Display for At {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0)
    }
}

/// A figure with so many decimals.
#[must_use]
pub fn figure(value: f64, decimals: usize, at: &At) -> Markup {
    html! { data value=(value) data-at=(at) { (rounded(value, decimals)) } }
}

/// A whole number.
#[must_use]
pub fn count(value: impl fmt::Display, at: &At) -> Markup {
    html! { data value=(value) data-at=(at) { (value) } }
}

/// A figure inside a drawing, where there are no `data` elements: the same in attributes of a `tspan`.
#[must_use]
pub fn drawn(value: f64, decimals: usize, at: &At) -> Markup {
    html! { tspan data-value=(value) data-at=(at) { (rounded(value, decimals)) } }
}

/// A figure of the stock or the job with as many decimals as it was written with.
#[must_use]
pub fn as_written(value: f64, at: &At) -> Markup {
    figure(value, written_decimals(value), at)
}

/// Decimals that show a written number whole; six at most.
#[must_use]
pub fn written_decimals(value: f64) -> usize {
    const MOST: usize = 6;
    let whole = |n: &usize| {
        let shown: Result<f64, _> = format!("{value:.n$}").parse();
        shown.is_ok_and(|shown| shown == value)
    };
    (0..MOST).find(whole).unwrap_or(MOST)
}

/// A quantity that a hand cannot hit: likely, with low and high. In the document low and high stand beside the likely
/// value, under its key with `_range` behind it.
#[must_use]
pub fn spread(spread: Spread, decimals: usize, of: &At, key: &str) -> Markup {
    let range = of.key(&format!("{key}_range"));
    html! {
        (figure(spread.likely, decimals, &of.key(key)))
        " " span.range {
            "(" (figure(spread.low, decimals, &range.key("low"))) " to "
            (figure(spread.high, decimals, &range.key("high"))) ")"
        }
    }
}

/// A number rounded for people; never `-0`.
#[must_use]
pub fn rounded(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let is_zero = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if is_zero { text.trim_start_matches('-').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_is_shown_rounded_and_carried_whole() {
        let at = At::root().key("parts").item(2).key("area_m2");
        let shown = figure(1.560_432, 2, &at).into_string();
        assert_eq!(shown, r#"<data value="1.560432" data-at="/parts/2/area_m2">1.56</data>"#);
    }

    #[test]
    fn a_key_with_a_slash_is_written_as_json_pointers_write_it() {
        assert_eq!(At::root().key("a/b~c").to_string(), "/a~1b~0c");
    }

    #[test]
    fn a_written_figure_keeps_its_decimals() {
        assert_eq!([2.5, 450.0, 0.625, 1.0 / 3.0].map(written_decimals), [1, 0, 3, 6]);
    }

    #[test]
    fn nothing_is_shown_as_minus_nothing() {
        assert_eq!(rounded(-0.001, 2), "0.00");
        assert_eq!(rounded(-0.01, 2), "-0.01");
    }
}
