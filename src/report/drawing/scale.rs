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

    /// Every standard scale, largest first.
    pub fn all() -> impl Iterator<Item = Self> {
        SCALES.into_iter().map(|(paper, real)| Self { paper, real })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_get_smaller_step_by_step_and_say_what_they_are() {
        let all: Vec<Scale> = Scale::all().collect();
        assert!(all.windows(2).all(|pair| pair[0].factor() > pair[1].factor()));
        let tenth = all.iter().find(|scale| scale.words() == "1 : 10").expect("it is a standard scale");
        assert!((tenth.factor() - 0.1).abs() < 1e-15);
    }
}
