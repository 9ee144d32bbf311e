//! A rough plug beside the finished skin: what is to be filled, what is to be taken off, where and how much.
//!
//! From points on the finished skin rays go along its normal, both ways, to the rough surface. Where the rough stands proud
//! it is taken off, where it lies low it is filled. The volume between both is the integral of the columns along the normals,
//! their spreading over a bent skin included: a column of height s over a facet with edges e, f and normals that change by u, v
//! along them holds `((e x f) s + (u x f + e x v) s^2 / 2 + (u x v) s^3 / 3) . n`. At a sharp edge of the skin the normals
//! part: what lies in the wedge between them is not counted, which matters only where the gap is of the size of the part.

use rayon::prelude::*;

use super::mesh::{Mesh, Point, Vector};
use super::normals::CornerNormals;
use super::rays::Rays;

/// Points on the skin that are looked at, at most; on a larger skin they stand further apart.
const MOST_POINTS: f64 = 250_000.0;
/// From point to point, as a share of the skin's diagonal. Ten times wider, a hump of a hand's breadth on a side of two metres
/// was 4 % off; half of it costs four times as much and gains nothing under a hundredth.
const STEP_SHARE: f64 = 1.0 / 400.0;
/// How far a point is drawn in from a facet's border, as a share of the way to its middle: rays that meet an edge of the rough
/// exactly may slip through.
const DRAWN_IN: f64 = 1e-3;
/// Surfaces of the rough that a ray looks through, at most.
const MOST_SURFACES: usize = 6;
/// The box of the skin is parted into so many cells along each axis, to say where filler goes.
const CELLS: f64 = 4.0;
/// Places that are told, most filler first.
const MOST_PLACES: usize = 6;

/// What a rough plug differs by.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Rough {
    /// Volume between skin and rough where the rough lies low, in ml.
    pub fill_ml: f64,
    /// Volume where it stands proud, in ml.
    pub take_off_ml: f64,
    /// Skin under which the rough lies low, in m2.
    pub fill_m2: f64,
    /// Skin over which it stands proud, in m2.
    pub take_off_m2: f64,
    /// Skin that no rough surface was found beside, in m2.
    pub unseen_m2: f64,
    /// Deepest hollow: how deep in mm, and where.
    pub deepest: Option<(f64, Point)>,
    /// Highest hump: how high in mm, and where.
    pub highest: Option<(f64, Point)>,
    /// Where most filler goes, most first.
    pub places: Vec<FillPlace>,
    /// From point to point, in mm.
    pub step_mm: f64,
    /// How far the rough was looked for, in mm.
    pub reach_mm: f64,
    /// The skin in small facets, with how far the rough stands proud at each point.
    pub drawn: Drawn,
}

/// A place that takes filler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FillPlace {
    /// Middle of what is filled there.
    pub at_mm: Point,
    /// Volume, in ml.
    pub fill_ml: f64,
    /// Deepest there, in mm.
    pub deepest_mm: f64,
}

/// The skin in small facets, for pictures; what the rough was not found beside is left out.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drawn {
    /// The facets.
    pub mesh: Mesh,
    /// How far the rough stands proud at each of its points, in mm; under 0 it lies low.
    pub proud_mm: Vec<f64>,
}

/// Sets a rough surface against a finished skin. Both are in the same place; the skin's facets run anticlockwise as seen from
/// outside. The rough may be wound either way, open or closed; `reach_mm` is how far off it is looked for.
#[must_use]
pub fn rough(skin: &Mesh, normals: &CornerNormals, rough: &Mesh, reach_mm: f64) -> Rough {
    let Some(bounds) = skin.bounds() else { return Rough::default() };
    let least_mm = (2.0 * skin.area_m2() * 1e6 / MOST_POINTS).sqrt();
    let step_mm = (STEP_SHARE * bounds.diagonal_mm()).max(least_mm);
    let rays = Rays::through(rough);
    let facets: Vec<Facet> = skin
        .face_ids()
        .collect::<Vec<_>>()
        .into_par_iter()
        .map(|face| Facet::of(skin.corners(face), normals.of_face(face), step_mm))
        .collect();
    let looks: Vec<Vec<[Option<f64>; 2]>> = facets
        .par_iter()
        .map(|facet| facet.points().map(|at| facet.look(at, &rays, rough, reach_mm)).collect())
        .collect();
    // A scan may be wound inside out; the way that more of it is seen is its outside.
    let seen = |way: usize| looks.iter().flatten().filter(|look| look[way].is_some()).count();
    let way = usize::from(seen(1) > seen(0));
    let mut found = Rough { step_mm, reach_mm, ..Rough::default() };
    let mut cells: std::collections::BTreeMap<[i64; 3], (f64, Vector, f64)> = std::collections::BTreeMap::new();
    for (facet, looks) in facets.iter().zip(&looks) {
        let proud: Vec<Option<f64>> = looks.iter().map(|look| look[way]).collect();
        facet.add(&proud, &mut found);
        for (at, fill_ml, depth_mm) in facet.fills(&proud) {
            let share = (at - bounds.least).component_div(&bounds.size_mm().map(|side| side.max(1e-9)));
            let cell = share.map(|share| (share * CELLS).floor().clamp(0.0, CELLS - 1.0) as i64).into();
            let sum = cells.entry(cell).or_insert((0.0, Vector::zeros(), 0.0));
            *sum = (sum.0 + fill_ml, sum.1 + at.coords * fill_ml, sum.2.max(depth_mm));
        }
    }
    found.places = cells
        .into_values()
        .filter(|(fill_ml, ..)| *fill_ml > 0.0)
        .map(|(fill_ml, sum, deepest_mm)| FillPlace { at_mm: Point::from(sum / fill_ml), fill_ml, deepest_mm })
        .collect();
    found.places.sort_by(|a, b| b.fill_ml.total_cmp(&a.fill_ml));
    found.places.truncate(MOST_PLACES);
    found
}

/// A facet of the skin, parted into n x n small ones.
struct Facet {
    corners: [Point; 3],
    normals: [Vector; 3],
    n: usize,
}

impl Facet {
    fn of(corners: [Point; 3], normals: [Vector; 3], step_mm: f64) -> Self {
        let longest_mm = (0..3).map(|k| (corners[(k + 1) % 3] - corners[k]).norm()).fold(0.0, f64::max);
        // No facet is parted into more than what all of them may take together.
        let n = (longest_mm / step_mm).ceil().clamp(1.0, MOST_POINTS.sqrt()) as usize;
        Self { corners, normals, n }
    }

    /// Weights of the first and second edge, row by row.
    fn points(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let n = self.n;
        (0..=n).flat_map(move |row| (0..=n - row).map(move |k| [k as f64 / n as f64, row as f64 / n as f64]))
    }

    fn at(&self, [u, v]: [f64; 2]) -> Point {
        let [a, b, c] = self.corners;
        a + (b - a) * u + (c - a) * v
    }

    fn normal(&self, [u, v]: [f64; 2]) -> Vector {
        let [a, b, c] = self.normals;
        a + (b - a) * u + (c - a) * v
    }

    /// How far the rough is along the normal, in units of it: as it is wound, and as if it were wound the other way.
    fn look(&self, at: [f64; 2], rays: &Rays<'_>, rough: &Mesh, reach_mm: f64) -> [Option<f64>; 2] {
        let drawn_in = at.map(|weight| weight + DRAWN_IN * (1.0 / 3.0 - weight));
        let (origin, normal) = (self.at(drawn_in), self.normal(at));
        let length = normal.norm();
        if length < 1e-6 {
            return [None; 2];
        }
        let direction = normal / length;
        let mut nearest: [Option<f64>; 2] = [None; 2];
        for sign in [1.0, -1.0] {
            let hits = rays.all_hits(&origin, &(direction * sign), MOST_SURFACES);
            for hit in hits.take_while(|hit| hit.distance_mm <= reach_mm) {
                let way = usize::from(rough.normal(hit.face).dot(&direction) < 0.0);
                let proud_mm = sign * hit.distance_mm;
                if nearest[way].is_none_or(|known| hit.distance_mm < known.abs()) {
                    nearest[way] = Some(proud_mm);
                }
            }
        }
        let bulge_mm = self.bulge_mm(drawn_in);
        nearest.map(|found| found.map(|proud_mm| (proud_mm - bulge_mm) / length))
    }

    /// How far the CAD surface stands over the facet: half of what the planes through its corners, square to their normals, do
    /// on average, which is exact where the surface bends evenly. Without it a finely scanned plug of a coarsely exported roof
    /// seems proud all over by the sagitta of the facets.
    fn bulge_mm(&self, [u, v]: [f64; 2]) -> f64 {
        let at = self.at([u, v]);
        let planes = self.corners.iter().zip(&self.normals).zip([1.0 - u - v, u, v]);
        0.5 * planes.map(|((corner, normal), weight)| weight * (corner - at).dot(normal)).sum::<f64>()
    }

    /// Twice the volume of a column of height s over the whole facet, as a polynomial in s without its constant.
    fn column(&self, at: [f64; 2]) -> [f64; 3] {
        let ([a, b, c], [p, q, r]) = (self.corners, self.normals);
        let (e, f, u, v) = (b - a, c - a, q - p, r - p);
        let normal = self.normal(at);
        [e.cross(&f), (u.cross(&f) + e.cross(&v)) / 2.0, u.cross(&v) / 3.0].map(|part| part.dot(&normal))
    }

    /// The small facets, by the numbers of their points.
    fn small(&self) -> impl Iterator<Item = [usize; 3]> + '_ {
        let n = self.n;
        let first = move |row: usize| row * (2 * n + 3 - row) / 2;
        (0..n).flat_map(move |row| {
            (0..n - row).flat_map(move |k| {
                let (here, above) = (first(row) + k, first(row + 1) + k);
                let other = (k + 1 < n - row).then_some([here + 1, above + 1, above]);
                [Some([here, here + 1, above]), other].into_iter().flatten()
            })
        })
    }

    fn add(&self, proud: &[Option<f64>], found: &mut Rough) {
        let points: Vec<[f64; 2]> = self.points().collect();
        let small_m2 = (self.corners[1] - self.corners[0]).cross(&(self.corners[2] - self.corners[0])).norm()
            / 2e6
            / (self.n * self.n) as f64;
        let mut numbers: Vec<Option<u32>> = vec![None; points.len()];
        for trio in self.small() {
            let [Some(a), Some(b), Some(c)] = trio.map(|point| proud[point]) else {
                found.unseen_m2 += small_m2;
                continue;
            };
            let (up_share, up, down) = parted([a, b, c]);
            let mean = |part: usize| trio.iter().map(|&point| self.column(points[point])[part]).sum::<f64>() / 3.0;
            let volume_ml = |height: f64| {
                let [one, two, three] = [mean(0), mean(1), mean(2)];
                ((three * height + two) * height + one) * height / (2.0 * (self.n * self.n) as f64) / 1e3
            };
            found.take_off_ml += volume_ml(up).max(0.0);
            found.fill_ml -= volume_ml(down).min(0.0);
            found.take_off_m2 += small_m2 * up_share;
            found.fill_m2 += if [a, b, c] == [0.0; 3] { 0.0 } else { small_m2 * (1.0 - up_share) };
            let drawn = &mut found.drawn;
            let corners = trio.map(|point| {
                *numbers[point].get_or_insert_with(|| {
                    drawn.mesh.points_mm.push(self.at(points[point]));
                    drawn.proud_mm.push(proud[point].unwrap_or(0.0) * self.normal(points[point]).norm());
                    (drawn.mesh.points_mm.len() - 1) as u32
                })
            });
            drawn.mesh.faces.push(corners);
        }
        for (at, proud) in points.iter().zip(proud) {
            let Some(proud_mm) = proud.map(|proud| proud * self.normal(*at).norm()) else { continue };
            let known = |extreme: &Option<(f64, Point)>| extreme.map_or(0.0, |(size, _)| size);
            if proud_mm > known(&found.highest) {
                found.highest = Some((proud_mm, self.at(*at)));
            }
            if -proud_mm > known(&found.deepest) {
                found.deepest = Some((-proud_mm, self.at(*at)));
            }
        }
    }

    /// What is filled under each small facet: where, how much in ml, how deep in mm.
    fn fills<'a>(&'a self, proud: &'a [Option<f64>]) -> impl Iterator<Item = (Point, f64, f64)> + 'a {
        let points: Vec<[f64; 2]> = self.points().collect();
        self.small().filter_map(move |trio| {
            let [Some(a), Some(b), Some(c)] = trio.map(|point| proud[point]) else { return None };
            let (_, _, down) = parted([a, b, c]);
            let middle = [0, 1].map(|part| trio.iter().map(|&point| points[point][part]).sum::<f64>() / 3.0);
            let fill_ml = -self.column(middle)[0] * down / (2.0 * (self.n * self.n) as f64) / 1e3;
            let depth_mm = -a.min(b).min(c) * self.normal(middle).norm();
            (fill_ml > 0.0).then(|| (self.at(middle), fill_ml, depth_mm.max(0.0)))
        })
    }
}

/// Of heights at the corners of a triangle, linear between: the share of it that stands up, and the means over the whole
/// triangle of what stands up and of what lies low (0 or less).
fn parted(heights: [f64; 3]) -> (f64, f64, f64) {
    let mean = heights.iter().sum::<f64>() / 3.0;
    let n_up = heights.iter().filter(|&&height| height > 0.0).count();
    match n_up {
        0 => (0.0, 0.0, mean),
        3 => (1.0, mean, 0.0),
        _ => {
            // One corner stands alone on its side of the level.
            let alone_up = n_up == 1;
            let alone = (0..3).find(|&k| (heights[k] > 0.0) == alone_up).unwrap_or(0);
            let [own, one, other] = [heights[alone], heights[(alone + 1) % 3], heights[(alone + 2) % 3]];
            let share = own / (own - one) * (own / (own - other));
            let part = share * own / 3.0;
            if alone_up { (share, part, mean - part) } else { (1.0 - share, mean - part, part) }
        }
    }
}

#[cfg(test)]
mod tests;
