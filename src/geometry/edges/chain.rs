//! Stretches put end to end: the border of a piece, a cut.

use rustc_hash::FxHashMap;

use super::super::mesh::Point;

/// Stretches that follow one another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Chain {
    /// Numbers of the stretches, in order.
    pub links: Vec<usize>,
    /// The last leads to the first.
    pub closed: bool,
}

/// Puts directed stretches end to end: first as `known_next` says, then where an end and a start are the very same point,
/// then across gaps of at most `gap_mm` (the two sides of a crack do not share points), least gap first.
///
/// Chains come in the order of their first stretch; an open one begins at its start, a closed one at its first stretch.
pub(crate) fn chains(
    stretches_mm: &[[Point; 2]],
    known_next: impl Fn(usize) -> Option<usize>,
    gap_mm: f64,
) -> Vec<Chain> {
    let mut joins = Joins::new(stretches_mm.len());
    for link in 0..stretches_mm.len() {
        if let Some(next) = known_next(link) {
            joins.join(link, next);
        }
    }
    join_same_points(stretches_mm, &mut joins);
    join_across_gaps(stretches_mm, gap_mm, &mut joins);
    joins.followed()
}

struct Joins {
    next: Vec<Option<usize>>,
    previous: Vec<Option<usize>>,
}

impl Joins {
    fn new(n: usize) -> Self {
        Self { next: vec![None; n], previous: vec![None; n] }
    }

    /// Joins the end of one to the start of another if both are free.
    fn join(&mut self, link: usize, next: usize) {
        if self.next[link].is_none() && self.previous[next].is_none() {
            self.next[link] = Some(next);
            self.previous[next] = Some(link);
        }
    }

    fn followed(&self) -> Vec<Chain> {
        let mut taken = vec![false; self.next.len()];
        let mut chains = Vec::new();
        for link in 0..self.next.len() {
            if taken[link] {
                continue;
            }
            // Back to the start of an open chain; round to itself on a closed one.
            let mut first = link;
            while let Some(previous) = self.previous[first].filter(|&previous| previous != link) {
                first = previous;
            }
            let closed = self.previous[first].is_some();
            let first = if closed { link } else { first };
            let mut links = Vec::new();
            let mut here = Some(first);
            while let Some(link) = here.filter(|&link| !taken[link]) {
                taken[link] = true;
                links.push(link);
                here = self.next[link];
            }
            chains.push(Chain { links, closed });
        }
        chains
    }
}

fn bits(point: &Point) -> [u64; 3] {
    // Adding zero makes one zero of both.
    [point.x, point.y, point.z].map(|x| (x + 0.0).to_bits())
}

fn join_same_points(stretches_mm: &[[Point; 2]], joins: &mut Joins) {
    let mut starts: FxHashMap<[u64; 3], Vec<usize>> = FxHashMap::default();
    for (link, [start, _]) in stretches_mm.iter().enumerate().rev() {
        if joins.previous[link].is_none() {
            starts.entry(bits(start)).or_default().push(link);
        }
    }
    for (link, [_, end]) in stretches_mm.iter().enumerate() {
        if joins.next[link].is_some() {
            continue;
        }
        let here = starts.get_mut(&bits(end));
        if let Some(next) = here.and_then(|here| here.iter().rposition(|&next| next != link).map(|k| here.remove(k))) {
            joins.join(link, next);
        }
    }
}

/// Loose ends are sorted along the axis on which they lie farthest apart, and only those within the gap are compared.
fn join_across_gaps(stretches_mm: &[[Point; 2]], gap_mm: f64, joins: &mut Joins) {
    let loose = |ends: &[Option<usize>]| (0..ends.len()).filter(|&link| ends[link].is_none()).collect::<Vec<_>>();
    let mut starts = loose(&joins.previous);
    let Some(&any) = starts.first() else { return };
    let [least, most] = starts.iter().fold([stretches_mm[any][0]; 2], |[least, most], &start| {
        [least.inf(&stretches_mm[start][0]), most.sup(&stretches_mm[start][0])]
    });
    let axis = (most - least).imax();
    let along = |start: usize| stretches_mm[start][0][axis];
    starts.sort_by(|&a, &b| along(a).total_cmp(&along(b)));
    let mut pairs = Vec::new();
    for link in loose(&joins.next) {
        let end = stretches_mm[link][1];
        let from = starts.partition_point(|&start| along(start) < end[axis] - gap_mm);
        let near = starts[from..].iter().take_while(|&&start| along(start) <= end[axis] + gap_mm);
        for &start in near {
            let gap = (stretches_mm[start][0] - end).norm();
            // A short stretch is not joined to itself: its two ends are no nearer than its length.
            if gap <= gap_mm && start != link {
                pairs.push((gap, link, start));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    for (_, link, start) in pairs {
        joins.join(link, start);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch(from: [f64; 2], to: [f64; 2]) -> [Point; 2] {
        [from, to].map(|[x, y]| Point::new(x, y, 0.0))
    }

    #[test]
    fn stretches_in_any_order_become_one_closed_chain() {
        let square = [
            stretch([1.0, 0.0], [1.0, 1.0]),
            stretch([0.0, 1.0], [0.0, 0.0]),
            stretch([0.0, 0.0], [1.0, 0.0]),
            stretch([1.0, 1.0], [0.0, 1.0]),
        ];
        let found = chains(&square, |_| None, 0.0);
        assert_eq!(found, [Chain { links: vec![0, 3, 1, 2], closed: true }]);
    }

    #[test]
    fn an_open_chain_begins_at_its_start() {
        let bent = [stretch([1.0, 0.0], [1.0, 1.0]), stretch([0.0, 0.0], [1.0, 0.0]), stretch([5.0, 5.0], [6.0, 5.0])];
        let found = chains(&bent, |_| None, 0.0);
        assert_eq!(found, [Chain { links: vec![1, 0], closed: false }, Chain { links: vec![2], closed: false }]);
    }

    #[test]
    fn a_gap_is_bridged_only_if_it_is_as_narrow_as_a_crack() {
        let apart = [stretch([0.0, 0.0], [1.0, 0.0]), stretch([1.0, 0.2], [2.0, 0.2])];
        assert_eq!(chains(&apart, |_| None, 0.3).len(), 1);
        assert_eq!(chains(&apart, |_| None, 0.1).len(), 2);
    }
}
