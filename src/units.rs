//! Units of length of mesh files, and the named conversions that formulas use instead of powers of ten.

use serde::{Deserialize, Serialize};

/// Unit of length of a mesh file. STL and OBJ carry none, so the user states it; size is never used to guess.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, schemars::JsonSchema)]
pub enum LengthUnit {
    /// Millimetre.
    #[serde(rename = "mm")]
    Millimetre,
    /// Centimetre.
    #[serde(rename = "cm")]
    Centimetre,
    /// Metre.
    #[serde(rename = "m")]
    Metre,
    /// International inch, 25.4 mm exactly.
    #[serde(rename = "in")]
    Inch,
    /// International foot, 304.8 mm exactly.
    #[serde(rename = "ft")]
    Foot,
}

impl LengthUnit {
    /// Every unit, smallest first.
    pub const ALL: [Self; 5] = [Self::Millimetre, Self::Centimetre, Self::Inch, Self::Foot, Self::Metre];

    /// Millimetres in one of this unit.
    #[must_use]
    pub const fn mm(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Metre => 1000.0,
            Self::Inch => 25.4,
            Self::Foot => 304.8,
        }
    }

    /// The short name that job file and command line use.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Inch => "in",
            Self::Foot => "ft",
        }
    }

    /// The unit of a short name, or nothing.
    #[must_use]
    pub fn from_symbol(symbol: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|unit| unit.symbol() == symbol)
    }
}

macro_rules! factors {
    ($($(#[$doc:meta])* $name:ident = $factor:expr;)+) => {
        $($(#[$doc])* #[inline] #[must_use] pub fn $name(x: f64) -> f64 { x * $factor })+
    };
}

factors! {
    /// Square metres from square millimetres.
    m2_from_mm2 = 1e-6;
    /// Square millimetres from square metres.
    mm2_from_m2 = 1e6;
    /// Cubic metres from cubic millimetres.
    m3_from_mm3 = 1e-9;
    /// Millilitres from cubic millimetres.
    ml_from_mm3 = 1e-3;
    /// Metres from millimetres.
    m_from_mm = 1e-3;
    /// Millimetres from metres.
    mm_from_m = 1e3;
    /// Hours from minutes.
    h_from_min = 1.0 / 60.0;
    /// Kilograms from grams.
    kg_from_g = 1e-3;
    /// Grams from kilograms.
    g_from_kg = 1e3;
    /// Litres from millilitres.
    l_from_ml = 1e-3;
    /// Millilitres from litres.
    ml_from_l = 1e3;
    /// Kilograms per square metre from grams per square metre.
    kg_m2_from_g_m2 = 1e-3;
    /// Grams per square metre from ounces per square foot: 28.349523125 g over 0.09290304 m2, both exact.
    g_m2_from_oz_ft2 = 28.349_523_125 / 0.092_903_04;
    /// Grams per square metre from ounces per square yard.
    g_m2_from_oz_yd2 = 28.349_523_125 / 0.836_127_36;
    /// Millimetres from mils (thousandths of an inch).
    mm_from_mil = 0.0254;
}

/// A sum that is 0 where there is nothing to add (the standard library's is -0, which shows in tables).
#[must_use]
pub fn total(parts: impl IntoIterator<Item = f64>) -> f64 {
    parts.into_iter().fold(0.0, |sum, part| sum + part)
}

/// Degrees from radians.
#[inline]
#[must_use]
pub fn deg_from_rad(angle_rad: f64) -> f64 {
    angle_rad.to_degrees()
}

/// Radians from degrees.
#[inline]
#[must_use]
pub fn rad_from_deg(angle_deg: f64) -> f64 {
    angle_deg.to_radians()
}

/// Names in a row: between commas, or between semicolons where a name holds a comma of its own.
#[must_use]
pub fn listed<Name: AsRef<str>>(names: &[Name]) -> String {
    let names: Vec<&str> = names.iter().map(AsRef::as_ref).collect();
    names.join(if names.iter().any(|name| name.contains(',')) { "; " } else { ", " })
}

/// A number as a message has it: as it was written, and with an exponent where that would fill the line.
#[must_use]
pub fn shown(value: f64) -> String {
    const LONG: f64 = 1e15;
    if value.abs() >= LONG { format!("{value:e}") } else { value.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: international yard and pound agreement 1959 (foot and pound exact); worked example 28.
    #[test]
    fn trade_units_convert_to_metric() {
        assert!((g_m2_from_oz_ft2(1.0) - 305.152).abs() < 1e-3);
        assert!((g_m2_from_oz_ft2(1.5) - 457.7).abs() < 0.05);
        assert!((g_m2_from_oz_yd2(18.0) - 610.3).abs() < 0.05);
        assert!((g_m2_from_oz_yd2(24.0) - 813.7).abs() < 0.05);
        assert!((mm_from_mil(1.0) - 0.0254).abs() < 1e-15);
    }

    #[test]
    fn factors_of_a_thousand_point_the_right_way() {
        assert_eq!(m2_from_mm2(2e6), 2.0);
        assert_eq!(mm2_from_m2(2.0), 2e6);
        assert!((m3_from_mm3(3e9) - 3.0).abs() < 1e-12);
        assert_eq!(ml_from_mm3(5000.0), 5.0);
        assert_eq!(m_from_mm(1500.0), 1.5);
        assert_eq!(mm_from_m(1.5), 1500.0);
        assert_eq!(kg_from_g(450.0), 0.45);
        assert_eq!(g_from_kg(0.45), 450.0);
        assert_eq!(l_from_ml(250.0), 0.25);
        assert_eq!(ml_from_l(0.25), 250.0);
        assert_eq!(kg_m2_from_g_m2(450.0), 0.45);
        assert!((deg_from_rad(std::f64::consts::PI) - 180.0).abs() < 1e-12);
        assert!((rad_from_deg(180.0) - std::f64::consts::PI).abs() < 1e-15);
    }

    #[test]
    fn every_unit_is_found_by_its_symbol() {
        for unit in LengthUnit::ALL {
            assert_eq!(LengthUnit::from_symbol(unit.symbol()), Some(unit));
        }
        assert_eq!(LengthUnit::from_symbol("furlong"), None);
    }
}
