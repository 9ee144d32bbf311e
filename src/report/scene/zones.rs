//! Zones: facets on which the same plies lie, and what lies there in words.

use rustc_hash::FxHashMap;

use crate::laminate::coverage::PlySet;
use crate::laminate::lay_up::LaidPly;

/// What a ply's zone is called if it lies everywhere.
const EVERYWHERE: &str = "all";

/// The zones of a piece.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Zones {
    /// For each facet, the number of its zone.
    pub of_face: Vec<u16>,
    /// What lies in each zone.
    pub words: Vec<String>,
    /// How many plies lie in each.
    pub n_plies: Vec<usize>,
}

/// Groups facets by the plies that lie on them: fewest plies first, so that numbers stay whatever the facets.
pub(super) fn zones(plies: &[PlySet], laid: &[LaidPly]) -> Zones {
    let mut sets: Vec<PlySet> = plies.to_vec();
    sets.sort_unstable_by_key(|set| (set.count(), *set));
    sets.dedup();
    // A person tells no more apart, and the number has to fit; a set past the last is shown as the last.
    sets.truncate(usize::from(u16::MAX));
    let number: FxHashMap<PlySet, u16> = sets.iter().copied().zip(0..).collect();
    let last = sets.len().saturating_sub(1) as u16;
    Zones {
        of_face: plies.iter().map(|set| number.get(set).copied().unwrap_or(last)).collect(),
        words: sets.iter().map(|set| words(*set, laid)).collect(),
        n_plies: sets.iter().map(|set| usize::from(set.count())).collect(),
    }
}

/// What lies in a zone: "plies 1 to 4 and ply 5 (corner strip, 100 mm along inside corners)".
fn words(set: PlySet, laid: &[LaidPly]) -> String {
    let here = || laid.iter().filter(|ply| set.holds(ply.ply));
    let plain: Vec<usize> = here().filter(|ply| ply.zone == EVERYWHERE).map(|ply| ply.ply).collect();
    let mut parts: Vec<String> = plain_words(&plain).into_iter().collect();
    parts.extend(
        here().filter(|ply| ply.zone != EVERYWHERE).map(|ply| format!("ply {} ({}, {})", ply.ply, ply.name, ply.zone)),
    );
    match parts.as_slice() {
        [] => "no plies".to_owned(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// "ply 1", "plies 1 to 4", "plies 1, 2, 5 to 7".
fn plain_words(numbers: &[usize]) -> Option<String> {
    let runs: Vec<String> = numbers
        .chunk_by(|a, b| a + 1 == *b)
        .flat_map(|run| match run {
            [first, .., last] if run.len() > 2 => vec![format!("{first} to {last}")],
            few => few.iter().map(ToString::to_string).collect(),
        })
        .collect();
    let noun = if numbers.len() == 1 { "ply" } else { "plies" };
    (!numbers.is_empty()).then(|| format!("{noun} {}", runs.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laminate::figure::Spread;

    fn ply(ply: usize, name: &str, zone: &str) -> LaidPly {
        LaidPly {
            ply,
            layer: ply,
            name: name.to_owned(),
            material: "mat 450".to_owned(),
            zone: zone.to_owned(),
            resin: "polyester".to_owned(),
            net_m2: 1.0,
            on_part_m2: 1.0,
            laid_m2: 1.0,
            glass_kg: 0.0,
            core_kg: 0.0,
            resin_kg: Spread::default(),
            resin_alone_kg: 0.0,
            thickness_mm: Spread::default(),
            mass_kg: Spread::default(),
            dose: None,
        }
    }

    fn set(plies: &[usize]) -> PlySet {
        plies.iter().fold(PlySet::default(), |set, &ply| set.with(ply))
    }

    #[test]
    fn zones_are_told_by_the_plies_that_lie_there() {
        let mut laid: Vec<LaidPly> = (1..=4).map(|number| ply(number, "mat 450", "all")).collect();
        laid.push(ply(5, "corner strip", "100 mm along inside corners"));
        laid.push(ply(6, "mat 450", "all"));
        let plain = set(&[1, 2, 3, 4, 6]);
        let strip = plain.with(5);
        let zones = zones(&[strip, plain, set(&[]), strip, set(&[5]), set(&[1])], &laid);
        assert_eq!(zones.of_face, [4, 3, 0, 4, 2, 1]);
        assert_eq!(zones.n_plies, [0, 1, 1, 5, 6]);
        assert_eq!(
            zones.words,
            [
                "no plies",
                "ply 1",
                "ply 5 (corner strip, 100 mm along inside corners)",
                "plies 1 to 4, 6",
                "plies 1 to 4, 6 and ply 5 (corner strip, 100 mm along inside corners)",
            ]
        );
    }
}
