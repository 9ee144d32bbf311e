//! Quantiles of values that stand for areas.

use rayon::prelude::*;

/// The value under which the given share (0 to 1) of the weight lies; sorts the values. Nothing without weight.
#[must_use]
pub fn weighted_quantile(values: &mut [(f64, f64)], share: f64) -> Option<f64> {
    values.par_sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let whole: f64 = values.iter().map(|&(_, weight)| weight).sum();
    if whole <= 0.0 {
        return None;
    }
    let mut below = 0.0;
    for &(value, weight) in values.iter() {
        below += weight;
        if below >= share * whole {
            return Some(value);
        }
    }
    values.last().map(|&(value, _)| value)
}

/// The value that most of the weight lies close to: the window of so much relative width (of the median) that holds most
/// weight, and its median. Sorts the values.
#[must_use]
pub fn most_common(values: &mut [(f64, f64)], relative_width: f64) -> Option<f64> {
    let width = relative_width * weighted_quantile(values, 0.5)?;
    let (mut start, mut held, mut most, mut best) = (0, 0.0, 0.0, 0..0);
    for end in 0..values.len() {
        held += values[end].1;
        while values[end].0 - values[start].0 > width {
            held -= values[start].1;
            start += 1;
        }
        if held > most {
            (most, best) = (held, start..end + 1);
        }
    }
    weighted_quantile(&mut values[best], 0.5)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_most_common_wall_is_the_even_one_and_not_the_mean() {
        let mut values: Vec<(f64, f64)> = (0..100).map(|k| (3.0 + 1e-4 * f64::from(k), 1.0)).collect();
        values.extend((0..60).map(|k| (4.0 + 0.1 * f64::from(k), 1.0)));
        assert!((most_common(&mut values, 0.03).expect("weight") - 3.005).abs() < 0.001);
    }

    #[test]
    fn a_quantile_counts_areas_and_not_rays() {
        let mut values = [(5.0, 1.0), (1.0, 8.0), (9.0, 1.0)];
        assert_eq!(weighted_quantile(&mut values, 0.5), Some(1.0));
        assert_eq!(weighted_quantile(&mut values, 0.95), Some(9.0));
        assert_eq!(weighted_quantile(&mut [], 0.5), None);
    }
}
