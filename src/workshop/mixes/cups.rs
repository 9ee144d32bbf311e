//! A need in cups: as few as go, all alike, each within what can be laid before it gels.

use serde::Serialize;

/// Mixes for one step of the work, all alike.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cups {
    /// How many.
    pub n_mixes: u64,
    /// Each of them exactly, in g of the material alone: so many of these are the need.
    pub each_g: f64,
    /// Each as weighed out: the least that the scale reads which is not short.
    pub weigh_g: f64,
    /// What is stirred into what is weighed out, in g.
    pub stir_g: f64,
    /// The same in ml, where it is poured.
    pub stir_ml: Option<f64>,
    /// Time to lay one, in minutes.
    pub minutes: f64,
}

/// A need that is whole in steps but for the last bits must not cost one more.
const FUZZ: f64 = 1e-9;

/// Splits a need in g into equal cups of no more than the largest, weighed in steps. Gives how many, and what each weighs;
/// nothing if not one step of the scale is allowed.
///
/// Their sum is never short and over by less than one step for each cup. Reckoned in whole steps, so that rounding up never
/// makes a cup larger than the largest.
#[must_use]
pub fn split(need_g: f64, largest_g: f64, step_g: f64) -> Option<(u64, f64)> {
    let most = (largest_g / step_g + FUZZ).floor() as u64;
    if most == 0 || need_g.is_nan() || need_g <= 0.0 {
        return None;
    }
    let all = ((need_g / step_g - FUZZ).ceil() as u64).max(1);
    let n_mixes = all.div_ceil(most);
    Some((n_mixes, all.div_ceil(n_mixes) as f64 * step_g))
}

/// The largest cup that the scale reads, in g.
#[must_use]
pub fn on_scale(largest_g: f64, step_g: f64) -> f64 {
    (largest_g / step_g + FUZZ).floor() * step_g
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_need_is_parted_evenly_and_weighed_up() {
        // 1235 g in cups of 500 at most: three of 411.67, on a scale of 10 g three of 420.
        assert_eq!(split(1235.0, 500.0, 10.0), Some((3, 420.0)));
        assert_eq!(split(1000.0, 500.0, 10.0), Some((2, 500.0)));
        assert_eq!(split(3.0, 500.0, 10.0), Some((1, 10.0)));
        // 0.63 kg in g is a little over 630 in binary.
        assert_eq!(split(0.63 * 1000.0, 640.0, 10.0), Some((1, 630.0)));
    }

    #[test]
    fn what_the_scale_cannot_read_is_not_mixed() {
        assert_eq!(split(100.0, 9.0, 10.0), None);
        assert_eq!(split(0.0, 500.0, 10.0), None);
        assert_eq!(split(f64::NAN, 500.0, 10.0), None);
    }

    proptest! {
        #[test]
        fn cups_are_never_short_never_too_large_and_over_by_less_than_a_step_each(
            need_g in 0.01f64..50_000.0, largest_g in 10.0f64..5_000.0, step_g in 0.5f64..10.0
        ) {
            let (n_mixes, weigh_g) = split(need_g, largest_g, step_g).expect("a step fits");
            let all_g = n_mixes as f64 * weigh_g;
            prop_assert!(weigh_g <= largest_g * (1.0 + 1e-9));
            prop_assert!(all_g >= need_g - 1e-6);
            prop_assert!(all_g - need_g < n_mixes as f64 * step_g * (1.0 + 1e-9));
            // Not one cup more than it takes.
            prop_assert!((n_mixes - 1) as f64 * on_scale(largest_g, step_g) < need_g + 1e-6);
        }
    }
}
