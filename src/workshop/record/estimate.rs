//! A mean of several builds with its 95 % interval.

use serde::Serialize;

use super::student::two_sided;

/// Share of intervals that hold the true value.
pub const SHARE: f64 = 0.95;

/// A value estimated from several builds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The likely value.
    pub value: f64,
    /// Half the 95 % interval, by Student's t; nothing for a single build.
    pub half_width: Option<f64>,
    /// How many builds it rests on.
    pub n_builds: usize,
    /// Degrees of freedom of the interval.
    pub degrees: usize,
}

impl Estimate {
    /// The mean of figures that scatter about one true value independently and alike; nothing of none. The interval is
    /// `mean +- t s / sqrt(n)` with Student's t at n - 1 degrees of freedom.
    #[must_use]
    pub fn mean(figures: &[f64]) -> Option<Self> {
        let n_builds = figures.len();
        if n_builds == 0 {
            return None;
        }
        let n = n_builds as f64;
        let value = figures.iter().sum::<f64>() / n;
        let degrees = n_builds - 1;
        let half_width = (degrees > 0).then(|| {
            let variance = figures.iter().map(|figure| (figure - value).powi(2)).sum::<f64>() / degrees as f64;
            t_of(degrees) * (variance / n).sqrt()
        });
        Some(Self { value, half_width, n_builds, degrees })
    }

    /// Low end of the interval, not under 0: masses and times are not.
    #[must_use]
    pub fn low(&self) -> f64 {
        (self.value - self.half_width.unwrap_or(0.0)).max(0.0)
    }

    /// High end of the interval.
    #[must_use]
    pub fn high(&self) -> f64 {
        self.value + self.half_width.unwrap_or(0.0)
    }

    /// The same of a quantity that is so many times this one.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { value: factor * self.value, half_width: self.half_width.map(|half| factor * half), ..self }
    }
}

/// Student's t of a 95 % interval.
#[must_use]
pub fn t_of(degrees: usize) -> f64 {
    two_sided(SHARE, u32::try_from(degrees).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2.0, 2.2, 2.4, 2.6 have mean 2.3 and s = sqrt(0.2 / 3) = 0.2582; 3.182 x 0.2582 / 2 = 0.4108.
    #[test]
    fn the_interval_of_four_builds_is_that_of_the_pocket_calculator() {
        let found = Estimate::mean(&[2.0, 2.2, 2.4, 2.6]).expect("four");
        assert!((found.value - 2.3).abs() < 1e-12);
        assert!((found.half_width.expect("an interval") - 0.4108).abs() < 2e-4, "{found:?}");
        assert_eq!(Estimate::mean(&[2.5]).expect("one").half_width, None);
        assert_eq!(Estimate::mean(&[]), None);
    }
}
