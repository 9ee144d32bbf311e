//! Student's t distribution for whole degrees of freedom.

use std::f64::consts::FRAC_2_PI;

use crate::maths::{atan, sin_cos};

/// Chance that a variable of Student's t distribution lies within `-t` to `t`, for `t` of 0 or more.
///
/// # Source
/// Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4: finite sums of powers of a cosine.
#[must_use]
pub fn within(t: f64, degrees: u32) -> f64 {
    let angle = atan(t / f64::from(degrees).sqrt());
    let (sine, cosine) = sin_cos(angle);
    let is_odd = degrees % 2 == 1;
    // Odd: cos + 2/3 cos^3 + 2.4/3.5 cos^5 + ...; even: 1 + 1/2 cos^2 + 1.3/2.4 cos^4 + ...
    let (mut term, first) = if is_odd { (cosine, 1) } else { (1.0, 0) };
    let mut sum = if degrees == 1 { 0.0 } else { term };
    let mut below = first + 2;
    while below < degrees {
        term *= cosine * cosine * f64::from(below - 1) / f64::from(below);
        sum += term;
        below += 2;
    }
    if is_odd { FRAC_2_PI * (angle + sine * sum) } else { sine * sum }
}

/// The `t` within whose plus and minus so large a share of the distribution lies; `share` from 0 to under 1, at least one
/// degree of freedom.
#[must_use]
pub fn two_sided(share: f64, degrees: u32) -> f64 {
    // Past so many degrees the sum only costs time: it differs from the next by less than a part in a million.
    const MOST_DEGREES: u32 = 2000;
    let degrees = degrees.clamp(1, MOST_DEGREES);
    let (mut low, mut high) = (0.0, 1.0);
    while within(high, degrees) < share && high < 1e9 {
        (low, high) = (high, 2.0 * high);
    }
    // Halved till the last bit.
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if within(middle, degrees) < share { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: Abramowitz and Stegun (1964), table 26.10, percentage points of the t-distribution, P = 0.95 and 0.99 (two-sided).
    #[test]
    fn quantiles_are_those_of_the_printed_table() {
        let table = [
            (1, 12.706, 63.657),
            (2, 4.303, 9.925),
            (3, 3.182, 5.841),
            (4, 2.776, 4.604),
            (5, 2.571, 4.032),
            (6, 2.447, 3.707),
            (7, 2.365, 3.499),
            (8, 2.306, 3.355),
            (9, 2.262, 3.250),
            (10, 2.228, 3.169),
            (15, 2.131, 2.947),
            (20, 2.086, 2.845),
            (30, 2.042, 2.750),
            (60, 2.000, 2.660),
            (120, 1.980, 2.617),
        ];
        for (degrees, at_95, at_99) in table {
            assert!((two_sided(0.95, degrees) - at_95).abs() < 5.1e-4, "{degrees}: {}", two_sided(0.95, degrees));
            assert!((two_sided(0.99, degrees) - at_99).abs() < 5.1e-4, "{degrees}: {}", two_sided(0.99, degrees));
        }
    }

    /// Source: one degree is Cauchy's distribution, two have `t / sqrt(2 + t^2)`.
    #[test]
    fn one_and_two_degrees_have_closed_forms() {
        for t in [0.0, 0.3, 1.0, 4.7, 90.0] {
            assert!((within(t, 1) - FRAC_2_PI * atan(t)).abs() < 1e-15);
            assert!((within(t, 2) - t / (2.0 + t * t).sqrt()).abs() < 1e-15);
        }
    }

    #[test]
    fn many_degrees_come_near_the_normal_distribution() {
        assert!((two_sided(0.95, 100_000) - 1.959_964).abs() < 2e-3);
    }
}
