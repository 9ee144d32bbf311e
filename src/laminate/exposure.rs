//! Limits of exposure at work, by who sets them, as data.
//!
//! They differ by country and change: each carries its source and mark, and is there to show the size of the danger. What
//! holds where the shop stands is for its owner to find out.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::figure::Mark;

/// Who sets a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LimitsOf {
    /// United Kingdom, workplace exposure limits.
    Uk,
    /// United States, the federal law.
    UsOsha,
    /// United States, the federal institute's recommendations.
    UsNiosh,
    /// United States, the industrial hygienists' recommendations.
    UsAcgih,
    /// European industry's own aim under the law on chemicals.
    EuIndustry,
}

impl LimitsOf {
    /// Who it is, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Uk => "United Kingdom",
            Self::UsOsha => "United States, law (OSHA)",
            Self::UsNiosh => "United States, advice (NIOSH)",
            Self::UsAcgih => "United States, advice (ACGIH)",
            Self::EuIndustry => "European industry's aim",
        }
    }
}

/// Limits of one substance by one body.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Limit {
    /// What is breathed.
    pub substance: &'static str,
    /// Who sets it.
    pub of: LimitsOf,
    /// Mean over a shift of 8 hours.
    pub mean_8h: Option<f64>,
    /// Mean over any 15 minutes.
    pub mean_15min: Option<f64>,
    /// Never to be passed.
    pub ceiling: Option<f64>,
    /// Unit of these.
    pub unit: &'static str,
    /// What else belongs to it; empty if nothing does.
    pub remark: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    /// How firmly it is known.
    pub mark: &'static str,
}

const fn limit(substance: &'static str, of: LimitsOf, source: &'static str, mark: Mark) -> Limit {
    let (unit, remark, mark) = ("ppm", "", mark.words());
    Limit { substance, of, mean_8h: None, mean_15min: None, ceiling: None, unit, remark, source, mark }
}

/// The limits, by substance. A body that names two figures of unlike firmness has two lines.
pub const LIMITS: [Limit; 12] = [
    Limit {
        mean_8h: Some(100.0),
        remark: "the trade association's code aims under 50",
        ..limit("styrene", LimitsOf::Uk, "trade association's page on styrene", Mark::Published)
    },
    Limit {
        mean_15min: Some(250.0),
        ..limit("styrene", LimitsOf::Uk, "EH40/2005 table 1, recalled", Mark::FromMemory)
    },
    Limit {
        mean_8h: Some(100.0),
        ceiling: Some(200.0),
        remark: "a peak of 600 for 5 minutes in 3 hours",
        ..limit("styrene", LimitsOf::UsOsha, "29 CFR 1910.1000 table Z-2", Mark::Published)
    },
    Limit {
        mean_8h: Some(50.0),
        mean_15min: Some(100.0),
        remark: "dangerous to life at 700",
        ..limit("styrene", LimitsOf::UsNiosh, "OSHA's sampling page on styrene, 2008", Mark::Published)
    },
    Limit {
        mean_8h: Some(10.0),
        mean_15min: Some(20.0),
        remark: "since 2020; 20 and 40 before",
        ..limit("styrene", LimitsOf::UsAcgih, "threshold limit values of 2020, recalled", Mark::FromMemory)
    },
    Limit {
        mean_8h: Some(20.0),
        mean_15min: Some(70.0),
        ..limit("styrene", LimitsOf::EuIndustry, "Composites Manufacturing, January 2011", Mark::Published)
    },
    Limit {
        mean_8h: Some(500.0),
        mean_15min: Some(1500.0),
        ..limit("acetone", LimitsOf::Uk, "EH40, recalled", Mark::FromMemory)
    },
    Limit {
        mean_8h: Some(500.0),
        mean_15min: Some(750.0),
        remark: "an older value",
        ..limit("acetone", LimitsOf::UsAcgih, "Hazardous Chemicals Handbook, 2nd edition, table 5.12", Mark::Published)
    },
    Limit {
        ceiling: Some(0.2),
        remark: "1.5 mg/m3",
        ..limit("peroxide catalyst (MEKP)", LimitsOf::UsAcgih, "a safety data sheet of MEKP, 2008", Mark::MakersSheet)
    },
    Limit {
        mean_8h: Some(10.0),
        unit: "mg/m3",
        ..limit("dust, inhalable", LimitsOf::Uk, "EH40, recalled", Mark::FromMemory)
    },
    Limit {
        mean_8h: Some(4.0),
        unit: "mg/m3",
        ..limit("dust, respirable", LimitsOf::Uk, "EH40, recalled", Mark::FromMemory)
    },
    Limit {
        mean_8h: Some(5.0),
        unit: "mg/m3",
        ..limit("dust of glass fibre", LimitsOf::Uk, "EH40, recalled", Mark::FromMemory)
    },
];

/// The limits of one body, or all of them.
#[must_use]
pub fn limits(of: Option<LimitsOf>) -> Vec<&'static Limit> {
    LIMITS.iter().filter(|limit| of.is_none_or(|of| of == limit.of)).collect()
}

/// What a body sets no limit for here: that is no leave to breathe it.
#[must_use]
pub fn without_limit(of: Option<LimitsOf>) -> Vec<&'static str> {
    let held = limits(of);
    let mut missing: Vec<&'static str> = Vec::new();
    for limit in &LIMITS {
        if !missing.contains(&limit.substance) && held.iter().all(|held| held.substance != limit.substance) {
            missing.push(limit.substance);
        }
    }
    missing
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: 29 CFR 1910.1000 table Z-2; a trade association's page; Composites Manufacturing, January 2011.
    #[test]
    fn published_limits_of_styrene_are_as_printed() {
        let of = |body| limits(Some(body)).into_iter().find(|limit| limit.substance == "styrene").expect("styrene");
        assert_eq!((of(LimitsOf::UsOsha).mean_8h, of(LimitsOf::UsOsha).ceiling), (Some(100.0), Some(200.0)));
        assert_eq!((of(LimitsOf::UsNiosh).mean_8h, of(LimitsOf::UsNiosh).mean_15min), (Some(50.0), Some(100.0)));
        assert_eq!((of(LimitsOf::EuIndustry).mean_8h, of(LimitsOf::EuIndustry).mean_15min), (Some(20.0), Some(70.0)));
        assert_eq!(of(LimitsOf::Uk).mean_8h, Some(100.0));
    }

    #[test]
    fn every_limit_says_where_it_comes_from_and_a_recalled_one_says_so() {
        for limit in &LIMITS {
            assert!(!limit.source.is_empty() && !limit.mark.is_empty(), "{limit:?}");
            assert!(limit.mean_8h.or(limit.mean_15min).or(limit.ceiling).is_some_and(|value| value > 0.0), "{limit:?}");
            assert_eq!(limit.source.contains("recalled"), limit.mark == Mark::FromMemory.words(), "{limit:?}");
        }
    }

    #[test]
    fn without_a_choice_all_are_shown_and_with_one_what_it_lacks_is_named() {
        assert_eq!(limits(None).len(), LIMITS.len());
        assert_eq!(without_limit(None), [""; 0]);
        assert!(without_limit(Some(LimitsOf::UsOsha)).contains(&"acetone"));
        assert!(limits(Some(LimitsOf::Uk)).iter().all(|limit| limit.of == LimitsOf::Uk));
    }
}
