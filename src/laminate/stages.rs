//! How many plies go on in one go.

/// Plies split into stages of at most so many, the last one short: 10 by 4 is 4, 4 and 2. No plies, or a limit of 0: none.
///
/// # Source
/// A resin maker's hand lay-up page: four layers in one go, then let it heat and come back to the shop's temperature.
/// Published, and coarse: four plies of 225 g/m2 are not four of 900, so a plan limits glass per m2 and mm as well.
#[must_use]
pub fn stages_by_plies(n_plies: usize, most_in_one_go: usize) -> Vec<usize> {
    if most_in_one_go == 0 {
        return Vec::new();
    }
    let n_full = n_plies / most_in_one_go;
    let rest = n_plies % most_in_one_go;
    std::iter::repeat_n(most_in_one_go, n_full).chain((rest > 0).then_some(rest)).collect()
}
