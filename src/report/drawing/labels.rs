//! Places labels beside what they name, with leaders, so that none lies over another or outside the picture.

use super::ink::Ink;
use super::view::Area;
use crate::maths::sin_cos;

/// A label to be placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wish {
    /// What it points at.
    pub at: [f64; 2],
    /// Width and height of its box.
    pub size: [f64; 2],
}

/// A label in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Its box.
    pub area: Area,
    /// The leader, from the box to what it points at.
    pub leader: [[f64; 2]; 2],
}

/// Directions that are tried round each anchor. Fewer: labels pile up where many corners meet; more: only time.
const N_DIRECTIONS: u32 = 24;
/// Distances that are tried, in heights of the label, from the anchor to the middle of the box.
const DISTANCES: [f64; 9] = [1.3, 1.8, 2.4, 3.2, 4.2, 5.5, 7.0, 9.0, 12.0];
/// What a square of ink under a label costs, in heights of leader; labels over white paper read best.
const INK_COST: f64 = 0.35;
/// What a crossing of two leaders, or of a leader and a label, costs.
const CROSSING_COST: f64 = 8.0;

/// Places labels one after the other, each where it costs least. `taken` is kept free. A label for which there is no room
/// at all is left out: it never covers another.
#[must_use]
pub fn place(wishes: &[Wish], frame: &Area, taken: &[Area], ink: &Ink) -> Vec<Option<Placed>> {
    let mut placed: Vec<Option<Placed>> = Vec::with_capacity(wishes.len());
    for (number, wish) in wishes.iter().enumerate() {
        let others: Vec<Placed> = placed.iter().flatten().copied().collect();
        let waiting = &wishes[number + 1..];
        let free = |area: &Area| {
            let gap = area.grown(0.15 * wish.size[1]);
            frame.holds(area)
                && !taken.iter().any(|other| other.meets(&gap))
                && !others.iter().any(|other| other.area.meets(&gap))
        };
        let near = rings(wish).filter(free).map(|area| costed(wish, area, &others, waiting, taken, ink));
        let best = near.min_by(|a, b| a.0.total_cmp(&b.0)).or_else(|| {
            let anywhere =
                everywhere(wish, frame).filter(free).map(|area| costed(wish, area, &others, waiting, taken, ink));
            anywhere.min_by(|a, b| a.0.total_cmp(&b.0))
        });
        placed.push(best.map(|(_, placed)| placed));
    }
    placed
}

/// Boxes round the anchor.
fn rings(wish: &Wish) -> impl Iterator<Item = Area> + '_ {
    let turns =
        (0..N_DIRECTIONS).map(|k| sin_cos(std::f64::consts::TAU * (f64::from(k) + 0.5) / f64::from(N_DIRECTIONS)));
    turns.flat_map(move |(sin, cos)| {
        DISTANCES.iter().map(move |distance| {
            let away = distance * wish.size[1];
            // Wide boxes stand off sideways by their width.
            let aside = away + 0.5 * (wish.size[0] - wish.size[1]).max(0.0);
            centred([wish.at[0] + aside * cos, wish.at[1] + away * sin], wish.size)
        })
    })
}

/// Boxes all over the picture, for what found no room near by.
fn everywhere<'a>(wish: &'a Wish, frame: &Area) -> impl Iterator<Item = Area> + 'a {
    let step = wish.size.map(|side| 1.3 * side);
    let n = [0, 1].map(|axis| (frame.size()[axis] / step[axis]).floor().clamp(0.0, 400.0) as usize);
    let least = frame.least;
    (0..n[1]).flat_map(move |row| {
        (0..n[0]).map(move |column| {
            Area::at([least[0] + column as f64 * step[0], least[1] + row as f64 * step[1]], wish.size)
        })
    })
}

fn centred(middle: [f64; 2], size: [f64; 2]) -> Area {
    Area::at([middle[0] - 0.5 * size[0], middle[1] - 0.5 * size[1]], size)
}

fn costed(wish: &Wish, area: Area, others: &[Placed], waiting: &[Wish], taken: &[Area], ink: &Ink) -> (f64, Placed) {
    let leader = [area.nearest(wish.at), wish.at];
    let [dx, dy] = [leader[0][0] - leader[1][0], leader[0][1] - leader[1][1]];
    let length = (dx * dx + dy * dy).sqrt() / wish.size[1];
    let crosses =
        |other: &&Placed| cross(leader, other.leader) || passes(leader, &other.area) || passes(other.leader, &area);
    let n_crossings = others.iter().filter(crosses).count();
    // Boxes on top of anchors that are still to be named would hide them.
    let n_covered = waiting.iter().filter(|other| area.nearest(other.at) == other.at).count();
    let n_taken = taken.iter().filter(|other| passes(leader, other)).count();
    let n_anchors = usize::from(area.nearest(wish.at) == wish.at);
    let cost = length
        + INK_COST * ink.under(&area) as f64
        + CROSSING_COST * (n_crossings + n_covered + n_taken + n_anchors) as f64;
    (cost, Placed { area, leader })
}

/// Whether two stretches cross.
fn cross([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> bool {
    let side = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

/// Whether a stretch passes through a box.
fn passes(stretch: [[f64; 2]; 2], area: &Area) -> bool {
    let [[x0, y0], [x1, y1]] = [area.least, area.most];
    area.nearest(stretch[0]) == stretch[0]
        || area.nearest(stretch[1]) == stretch[1]
        || cross(stretch, [[x0, y0], [x1, y1]])
        || cross(stretch, [[x0, y1], [x1, y0]])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_of_a_crowd_neither_overlap_nor_leave_the_picture() {
        let frame = Area::at([0.0, 0.0], [120.0, 80.0]);
        let taken = [Area::at([0.0, 60.0], [40.0, 20.0])];
        let wishes: Vec<Wish> = (0..40)
            .map(|k| Wish { at: [50.0 + f64::from(k % 7), 40.0 + f64::from(k % 5)], size: [7.0, 4.0] })
            .collect();
        let placed = place(&wishes, &frame, &taken, &Ink::over(&frame, 1.0));
        let areas: Vec<Area> = placed.iter().flatten().map(|placed| placed.area).collect();
        assert_eq!(areas.len(), wishes.len());
        for (number, area) in areas.iter().enumerate() {
            assert!(frame.holds(area) && !area.meets(&taken[0]));
            assert!(areas[number + 1..].iter().all(|other| !other.meets(area)));
        }
    }

    #[test]
    fn a_label_keeps_off_what_is_drawn() {
        let frame = Area::at([0.0, 0.0], [60.0, 40.0]);
        let mut ink = Ink::over(&frame, 1.0);
        (0..20).for_each(|row| ink.draw(&[[0.0, f64::from(row)], [60.0, f64::from(row)]]));
        let wish = Wish { at: [30.0, 20.0], size: [6.0, 4.0] };
        let placed = place(&[wish], &frame, &[], &ink)[0].expect("there is room");
        assert!(placed.area.least[1] >= 20.0, "{placed:?}");
    }

    #[test]
    fn a_label_without_room_is_left_out() {
        let frame = Area::at([0.0, 0.0], [5.0, 5.0]);
        let wish = Wish { at: [2.0, 2.0], size: [6.0, 4.0] };
        assert_eq!(place(&[wish], &frame, &[], &Ink::over(&frame, 1.0)), vec![None]);
    }
}
