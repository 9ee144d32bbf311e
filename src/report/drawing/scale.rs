//! The scale of a drawing.

/// A scale: paper to real.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    paper: u32,
    real: u32,
}

/// Enlargements and reductions, largest first. Source: the recommended scales of ISO 5455:1979, table (2, 5 and 10 times powers
/// of ten); from memory, the standard was not at hand.
const SCALES: [(u32, u32); 19] = [
    (100, 1),
    (50, 1),
    (20, 1),
    (10, 1),
    (5, 1),
    (2, 1),
    (1, 1),
    (1, 2),
    (1, 5),
    (1, 10),
    (1, 20),
    (1, 50),
    (1, 100),
    (1, 200),
    (1, 500),
    (1, 1000),
    (1, 2000),
    (1, 5000),
    (1, 10000),
];

impl Scale {
    /// Mm on paper for a real mm.
    #[must_use]
    pub fn factor(self) -> f64 {
        f64::from(self.paper) / f64::from(self.real)
    }

    /// As drawings state it: `1 : 10`.
    #[must_use]
    pub fn words(self) -> String {
        format!("{} : {}", self.paper, self.real)
    }

    /// The largest standard scale at which something fits; the smallest of all if it never does.
    #[must_use]
    pub fn largest(fits: impl Fn(f64) -> bool) -> Self {
        let scales = SCALES.map(|(paper, real)| Self { paper, real });
        scales.into_iter().find(|scale| fits(scale.factor())).unwrap_or(scales[SCALES.len() - 1])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panel_of_1400_mm_on_150_mm_of_paper_is_drawn_1_to_10() {
        let scale = Scale::largest(|factor| 1400.0 * factor <= 150.0);
        assert_eq!(scale.words(), "1 : 10");
        assert!((scale.factor() - 0.1).abs() < 1e-15);
    }

    #[test]
    fn a_panel_of_5_mm_is_enlarged() {
        assert_eq!(Scale::largest(|factor| 5.0 * factor <= 60.0).words(), "10 : 1");
    }

    #[test]
    fn what_fits_nowhere_gets_the_smallest_scale() {
        assert_eq!(Scale::largest(|_| false).words(), "1 : 10000");
    }
}
