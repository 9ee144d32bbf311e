//! Resin to glass, reinforcement by reinforcement, from builds that mix them.
//!
//! The model: a hand that is asked for `sum r_m g_m` of resin on glasses `g_m` lays that, give or take a share that
//! scatters alike on every build (normally distributed, builds independent). So each build's resin, divided by what the
//! stock's ratios ask for, is fitted by least squares: `resin / S = sum k_m s_m / S` with `s_m` the stock's ratio times the
//! glass and `S` their sum. The fitted ratio is `k_m` times the stock's. With one reinforcement that is the plain mean
//! of the ratios. Intervals are Student's t at n - p degrees of freedom.
//!
//! Reinforcements that always go together in like shares cannot be told apart: they get one factor together, as do those
//! whose own ratio would come out at 0 or less.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};

use super::estimate::{Estimate, t_of};

/// Past this inflation of a factor's variance by its likeness to others, the factor says more of the scatter than of
/// the glass. Ten is the usual rule of thumb of regression (from memory); at 4 mats of one schedule whose shares differ by
/// a fifth would never be told apart, at 100 their ratios swing by a half with every new build.
const MOST_INFLATION: f64 = 10.0;
/// Builds there must be over the factors fitted: with fewer, t makes the interval meaningless.
const BUILDS_OVER_FACTORS: usize = 2;
/// No more reinforcements are told apart in one go: more than a shop has.
const MOST_FACTORS: usize = 12;

/// One build: how much resin the stock's ratios ask for its glass, reinforcement by reinforcement, and how much it took.
#[derive(Debug, Clone, PartialEq)]
pub struct Build {
    /// Resin asked for, in kg.
    pub asked_kg: BTreeMap<String, f64>,
    /// Resin taken, in kg.
    pub resin_kg: f64,
}

impl Build {
    fn total_kg(&self) -> f64 {
        self.asked_kg.values().sum()
    }
}

/// Reinforcements that were told apart from all others, and how much they drink of what the stock asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor {
    /// Their names; several where they cannot be told apart.
    pub materials: Vec<String>,
    /// Resin taken over resin asked for.
    pub factor: Estimate,
}

/// The factors of all reinforcements, by the name of their first.
#[must_use]
pub fn factors(builds: &[Build]) -> Vec<Factor> {
    let sound: Vec<&Build> = builds.iter().filter(|build| build.total_kg() > 0.0 && build.resin_kg > 0.0).collect();
    let mut factors: Vec<Factor> = Vec::new();
    for names in used_together(&sound) {
        let of_these: Vec<&Build> =
            sound.iter().copied().filter(|build| names.iter().any(|name| build.asked_kg.contains_key(name))).collect();
        factors.extend(told_apart(names, &of_these));
    }
    factors.sort_by(|one, other| one.materials.cmp(&other.materials));
    factors
}

/// Sets of reinforcements that have no build in common with any other set.
fn used_together(builds: &[&Build]) -> Vec<Vec<String>> {
    let mut sets: Vec<Vec<String>> = Vec::new();
    for build in builds {
        let mut joined: Vec<String> = build.asked_kg.keys().cloned().collect();
        let (touched, apart): (Vec<_>, Vec<_>) =
            sets.into_iter().partition(|set| set.iter().any(|name| joined.contains(name)));
        joined.extend(touched.into_iter().flatten());
        joined.sort();
        joined.dedup();
        sets = apart;
        sets.push(joined);
    }
    sets
}

/// Fits one factor a group, and joins groups until every factor says something of its own.
fn told_apart(names: Vec<String>, builds: &[&Build]) -> Vec<Factor> {
    let mut groups: Vec<Vec<String>> = names.into_iter().map(|name| vec![name]).collect();
    loop {
        let shares = shares(&groups, builds);
        let is_last = groups.len() == 1;
        let few = builds.len() < groups.len() + BUILDS_OVER_FACTORS || groups.len() > MOST_FACTORS;
        let fitted = if few && !is_last { Err(0) } else { fit(&shares, builds) };
        match fitted {
            Ok(estimates) => {
                let found = groups.into_iter().zip(estimates);
                return found.map(|(materials, factor)| Factor { materials, factor }).collect();
            }
            Err(_) if is_last => return Vec::new(),
            // Too few builds: the two that are most alike anywhere. Otherwise the one that says nothing, with its likest.
            Err(group) => {
                let (keep, join) =
                    if few { likest_pair(&shares) } else { (group, likest(&shares, group).map_or(0, |(at, _)| at)) };
                let (keep, join) = (keep.min(join), keep.max(join));
                let joined = groups.remove(join);
                groups[keep].extend(joined);
                groups[keep].sort();
            }
        }
    }
}

/// Share of each group in what each build was asked for: a row a build, a column a group.
fn shares(groups: &[Vec<String>], builds: &[&Build]) -> DMatrix<f64> {
    DMatrix::from_fn(builds.len(), groups.len(), |row, column| {
        let build = builds[row];
        let asked: f64 = groups[column].iter().filter_map(|name| build.asked_kg.get(name)).sum();
        asked / build.total_kg()
    })
}

/// Least squares; or the column that is to be joined with another.
fn fit(shares: &DMatrix<f64>, builds: &[&Build]) -> Result<Vec<Estimate>, usize> {
    let (n, p) = shares.shape();
    let taken = DVector::from_iterator(n, builds.iter().map(|build| build.resin_kg / build.total_kg()));
    let products = shares.tr_mul(shares);
    let Some(inverse) = products.clone().cholesky().map(|found| found.inverse()) else { return Err(worst(&products)) };
    let inflation = |column: usize| inverse[(column, column)] * products[(column, column)];
    let most = (0..p).max_by(|&a, &b| inflation(a).total_cmp(&inflation(b))).ok_or(0_usize)?;
    if p > 1 && inflation(most).is_nan() || inflation(most) > MOST_INFLATION {
        return Err(most);
    }
    let factors = &inverse * shares.tr_mul(&taken);
    if let Some(negative) = (0..p).find(|&column| factors[column].is_nan() || factors[column] <= 0.0) {
        return Err(negative);
    }
    let rest = taken - shares * &factors;
    let degrees = n - p;
    let variance = rest.norm_squared() / degrees.max(1) as f64;
    let estimate = |column: usize| {
        let half_width = (degrees > 0).then(|| t_of(degrees) * (variance * inverse[(column, column)]).sqrt());
        let n_builds = shares.column(column).iter().filter(|&&share| share > 0.0).count();
        Estimate { value: factors[column], half_width, n_builds, degrees }
    };
    Ok((0..p).map(estimate).collect())
}

/// Of columns that depend on each other, the one with the least of its own.
fn worst(products: &DMatrix<f64>) -> usize {
    (0..products.ncols()).min_by(|&a, &b| products[(a, a)].total_cmp(&products[(b, b)])).unwrap_or(0)
}

/// The other column whose shares go most alike with a column's, and how alike.
fn likest(shares: &DMatrix<f64>, column: usize) -> Option<(usize, f64)> {
    let alike = |other: usize| {
        let (one, two) = (shares.column(column), shares.column(other));
        one.dot(&two) / (one.norm() * two.norm())
    };
    let others = (0..shares.ncols()).filter(|&other| other != column);
    others.map(|other| (other, alike(other))).max_by(|(_, a), (_, b)| a.total_cmp(b))
}

fn likest_pair(shares: &DMatrix<f64>) -> (usize, usize) {
    let pairs =
        (0..shares.ncols()).filter_map(|column| likest(shares, column).map(|(other, alike)| (column, other, alike)));
    let most = pairs.max_by(|(.., a), (.., b)| a.total_cmp(b));
    most.map_or((0, 1), |(column, other, _)| (column, other))
}

#[cfg(test)]
mod tests;
