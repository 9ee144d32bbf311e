//! What a release is like for what is built: a thin moulding peels where a stiff mould locks.
//!
//! Plates and strips by hand: nothing here is a certificate of strength.

use serde::Serialize;

use super::schedule::Make;
use super::stock::Practice;

/// What the shape says of a piece's release, whatever is built on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShapeFacts {
    /// Nothing locks along the pull.
    pub releases: bool,
    /// Least draft, in degrees.
    pub least_draft_deg: f64,
    /// Area with less than the draft wanted, in m2.
    pub under_wanted_m2: f64,
    /// Area that stands along the pull, near zero draft, in m2.
    pub near_zero_m2: f64,
    /// How far the worst undercut reaches under itself, in mm; 0 where nothing locks.
    pub depth_mm: f64,
    /// How far that leans against the pull, on the mean, in degrees.
    pub leans_deg: f64,
    /// Height of the wall over it, from the undercut to the crown, in mm: the free length that bends.
    pub bends_over_mm: f64,
    /// Between walls that stand across the wall at either end and hold it there, in mm; nothing where an end is free.
    pub held_over_mm: Option<f64>,
    /// Extent of the undercut across the pull, in mm.
    pub across_mm: f64,
    /// The undercut runs all round, so that the edge cannot bend outwards without being stretched.
    pub all_round: bool,
}

/// How a build comes off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// Every wall has the draft wanted.
    Comes,
    /// It comes, but walls rub.
    Tight,
    /// Something holds it, and it bends enough to be peeled off.
    Peels,
    /// It does not come off in one.
    Locks,
}

impl Answer {
    /// The answer in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Comes => "comes off",
            Self::Tight => "comes off, tight",
            Self::Peels => "peels off",
            Self::Locks => "locks",
        }
    }
}

/// What peeling a wall over an undercut asks of the laminate.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Peel {
    /// Greatest strain, in percent.
    pub strain_percent: f64,
    /// Force along the edge, in N per mm.
    pub force_n_mm: f64,
}

/// What leans against the pull by more than this is a shelf, not a wall that leans in, and where it is deeper than so many times
/// the laminate no bending of the wall above it is believed: the box that such a shelf closes does not open. Common practice, no source.
const MOST_PEELED_DEG: f64 = 45.0;
const MOST_PEELED_THICKNESSES: f64 = 2.5;

/// A wall of thickness t, clamped at the crown, bent outwards by the undercut d over its height h: strain `3 t d / (2 h^2)`
/// and force along the edge `E t^3 d / (4 h^3)`; where the undercut runs all round also the stretch `2 d / width` of the edge. A
/// wall held at both ends bends over half of what lies between them if that is less: halfway its edge is no further from its
/// holds than that.
///
/// # Source
/// End-loaded cantilever of unit width, Euler and Bernoulli; any handbook of strength of materials.
#[must_use]
pub fn peel(facts: &ShapeFacts, thickness_mm: f64, modulus_mpa: f64) -> Peel {
    let half_held_mm = facts.held_over_mm.map_or(f64::INFINITY, |width_mm| 0.5 * width_mm);
    let height_mm = facts.bends_over_mm.min(half_held_mm).max(thickness_mm);
    let bend = 1.5 * thickness_mm * facts.depth_mm / (height_mm * height_mm);
    let stretch = if facts.all_round { 2.0 * facts.depth_mm / facts.across_mm.max(thickness_mm) } else { 0.0 };
    let stretch_force = stretch * modulus_mpa * thickness_mm;
    let bend_force = modulus_mpa * thickness_mm.powi(3) * facts.depth_mm / (4.0 * height_mm.powi(3));
    Peel { strain_percent: 100.0 * bend.max(stretch), force_n_mm: bend_force.max(stretch_force) }
}

/// How a build of so much thickness comes off, with what peeling asks of it where something holds. An undercut of less than the
/// shop's `least_lock_mm` rubs and holds nothing.
#[must_use]
pub fn answer(facts: &ShapeFacts, thickness_mm: f64, practice: &Practice) -> (Answer, Option<Peel>) {
    if facts.releases || facts.depth_mm < practice.least_lock_mm.value {
        let tight = facts.least_draft_deg < practice.near_zero_draft_deg.value || facts.near_zero_m2 > 0.0;
        return (if tight { Answer::Tight } else { Answer::Comes }, None);
    }
    if facts.leans_deg > MOST_PEELED_DEG && facts.depth_mm > MOST_PEELED_THICKNESSES * thickness_mm {
        return (Answer::Locks, None);
    }
    let peel = peel(facts, thickness_mm, practice.laminate_modulus_mpa.value);
    let gives =
        peel.strain_percent <= practice.peel_strain_percent.value && peel.force_n_mm <= practice.peel_force_n_mm.value;
    (if gives { Answer::Peels } else { Answer::Locks }, Some(peel))
}

/// What to do about an answer, for the build that it is of.
#[must_use]
pub fn remedy(answer: Answer, make: Make) -> &'static str {
    match (answer, make) {
        (Answer::Comes, _) => "",
        (Answer::Tight, Make::Mould) => {
            "wax well, leave wedge starts all round the flange and an air or water port at the crown; more draft or a split spares the struggle"
        }
        (Answer::Tight, Make::Moulding) => {
            "a thin moulding peels off walls without draft if it is started all round; wax well"
        }
        (Answer::Peels, _) => "start at the edge that bends most, all along it, never with one lever",
        (Answer::Locks, Make::Mould) => {
            "split it (matloft splits), take the undercut out of the shape, or make the plug so that it can be broken out of the mould"
        }
        (Answer::Locks, Make::Moulding) => {
            "split its mould so that the mould comes off the moulding (matloft splits), or take the undercut out of the shape"
        }
    }
}

/// Who lifts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hands {
    /// One person.
    One,
    /// Two persons.
    Two,
    /// More than two, or a hoist.
    More,
}

impl Hands {
    /// The answer in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::One => "one person",
            Self::Two => "two persons",
            Self::More => "more than two, or a hoist",
        }
    }
}

/// Who lifts a piece of so much mass and length: by the shop's limits.
#[must_use]
pub fn hands(mass_kg: f64, longest_mm: f64, practice: &Practice) -> Hands {
    if mass_kg > practice.lift_two_kg.value {
        Hands::More
    } else if mass_kg > practice.lift_one_kg.value || longest_mm > practice.lift_one_mm.value {
        Hands::Two
    } else {
        Hands::One
    }
}

/// Sag in mm of a plate of two extents on its four edges under its own mass: `c q b^4 / D` with `D = E t^3 / (12 (1 - nu^2))`, nu = 0.3
/// and c from 0.00406 for a square to 0.01302 for a long plate. A crowned one hardly sags.
///
/// # Source
/// Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, table 8 (from memory).
#[must_use]
pub fn own_sag_mm([one_mm, other_mm]: [f64; 2], thickness_mm: f64, mass_kg_m2: f64, modulus_mpa: f64) -> f64 {
    const POISSON: f64 = 0.3;
    const GRAVITY_M_S2: f64 = 9.81;
    // kg/m2 times m/s2 is Pa, a millionth of MPa.
    let load_mpa = mass_kg_m2 * GRAVITY_M_S2 * 1e-6;
    let stiffness = modulus_mpa * thickness_mm.powi(3) / (12.0 * (1.0 - POISSON * POISSON));
    let (span_mm, long_mm) = (one_mm.min(other_mm), one_mm.max(other_mm));
    plate_share(long_mm / span_mm) * load_mpa * span_mm.powi(4) / stiffness
}

/// Sag of a plate on its four edges in `q b^4 / D`, by how many times it is as long as wide.
fn plate_share(length_over_width: f64) -> f64 {
    const SHARES: [(f64, f64); 10] = [
        (1.0, 0.00406),
        (1.2, 0.00564),
        (1.4, 0.00705),
        (1.6, 0.00830),
        (1.8, 0.00931),
        (2.0, 0.01013),
        (3.0, 0.01223),
        (4.0, 0.01282),
        (5.0, 0.01297),
        (10.0, 0.01302),
    ];
    let next = SHARES.iter().position(|&(ratio, _)| ratio > length_over_width);
    match next {
        Some(0) => SHARES[0].1,
        Some(next) => {
            let ((low, from), (high, to)) = (SHARES[next - 1], SHARES[next]);
            from + (to - from) * (length_over_width - low) / (high - low)
        }
        // Nothing is longer than ten times, or the flat has no width.
        None => SHARES[SHARES.len() - 1].1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laminate::stock::Stock;

    fn lip(depth_mm: f64) -> ShapeFacts {
        ShapeFacts {
            releases: false,
            least_draft_deg: -20.0,
            under_wanted_m2: 0.01,
            near_zero_m2: 0.0,
            depth_mm,
            leans_deg: 20.0,
            bends_over_mm: 80.0,
            held_over_mm: None,
            across_mm: 600.0,
            all_round: false,
        }
    }

    #[test]
    fn a_thin_moulding_peels_where_a_thick_mould_locks() {
        let practice = Stock::starter().expect("the starter's stock").practice;
        let (moulding, peeled) = answer(&lip(3.0), 2.8, &practice);
        assert_eq!(moulding, Answer::Peels);
        // 1.5 x 2.8 x 3 / 80^2 = 0.197 %; 7000 x 2.8^3 x 3 / (4 x 80^3) = 0.225 N/mm.
        let peeled = peeled.expect("something holds");
        assert!((peeled.strain_percent - 0.196_875).abs() < 1e-9 && (peeled.force_n_mm - 0.225_09).abs() < 1e-4);
        assert_eq!(answer(&lip(3.0), 6.1, &practice).0, Answer::Locks);
        assert_eq!(answer(&lip(30.0), 2.8, &practice).0, Answer::Locks);
        // A shelf is no wall that leans in, however far it stands from the crown.
        let shelf = ShapeFacts { leans_deg: 88.0, bends_over_mm: 800.0, ..lip(60.0) };
        assert_eq!(answer(&shelf, 2.8, &practice), (Answer::Locks, None));
        // Between end walls 600 mm apart it bends as it does without them, between flanges 60 mm apart it does not.
        assert_eq!(
            answer(&ShapeFacts { held_over_mm: Some(600.0), ..lip(3.0) }, 2.8, &practice),
            (moulding, Some(peeled))
        );
        assert_eq!(answer(&ShapeFacts { held_over_mm: Some(60.0), ..lip(3.0) }, 2.8, &practice).0, Answer::Locks);
        // A tenth of a millimetre is what any build gives.
        assert_eq!(answer(&lip(0.04), 6.1, &practice), (Answer::Tight, None));
        // All round, 3 mm on 600 mm stretch the edge by a hundredth.
        assert_eq!(answer(&ShapeFacts { all_round: true, ..lip(3.0) }, 2.8, &practice).0, Answer::Locks);
    }

    #[test]
    fn two_persons_take_what_is_long_or_heavy() {
        let practice = Stock::starter().expect("the starter's stock").practice;
        assert_eq!(hands(8.0, 900.0, &practice), Hands::One);
        assert_eq!(hands(8.0, 2300.0, &practice), Hands::Two);
        assert_eq!(hands(27.0, 900.0, &practice), Hands::Two);
        assert_eq!(hands(39.0, 900.0, &practice), Hands::More);
    }

    #[test]
    fn a_flat_mould_of_a_metre_sags_by_millimetres() {
        // By hand: q = 9 x 9.81 Pa, D = 7000 x 216 / 10.92, 0.00406 q 1e12 / D.
        let sag_mm = own_sag_mm([1000.0, 1000.0], 6.0, 9.0, 7000.0);
        assert!((sag_mm - 0.00406 * 88.29e-6 * 1e12 / (7000.0 * 216.0 / 10.92)).abs() < 1e-9, "{sag_mm}");
        assert!((2.0..3.0).contains(&sag_mm), "{sag_mm}");
        // Half as long again it sags by 0.00772 (the table's own line between those kept), very long as a strip by 5/384.
        let longer = |by: f64| own_sag_mm([1000.0 * by, 1000.0], 6.0, 9.0, 7000.0) / sag_mm;
        assert!(
            (longer(1.5) * 0.00406 / 0.00772 - 1.0).abs() < 0.01 && (longer(50.0) * 0.00406 - 5.0 / 384.0).abs() < 1e-4
        );
    }
}
