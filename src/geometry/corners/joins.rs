//! Takes out what was traced twice and joins what belongs together.

use rustc_hash::FxHashMap;

use super::paths::{End, Path, Registry};
use crate::geometry::mesh::{Point, Vector};

/// A path shorter than this many widths goes if its middle lies on a longer one.
const SHORT: f64 = 1.5;
/// ... within this many widths of it.
const ON_PATH: f64 = 0.6;
/// Ends that run beside a longer path within this many widths are cut off; otherwise loops are counted twice in part.
const BESIDE: f64 = 0.35;
/// Paths beside each other run along each other (cosine).
const ALONG_COS: f64 = 0.6;
/// A path more of whose length than this is part of other bends goes.
const OWNED: f64 = 0.6;
/// Ends join over gaps from this ...
const LEAST_GAP: f64 = -0.3;
/// ... to this many widths along,
const MOST_GAP: f64 = 1.0;
/// ... up to this many widths across,
const ACROSS: f64 = 0.35;
/// ... if their directions agree (cosine) over this many widths.
const DIRECTION_COS: f64 = 0.75;
const DIRECTION_OVER: f64 = 0.4;
/// Figures at the ends or over the whole paths that agree this closely: radius, turn.
const END_RADIUS: f64 = 0.15;
const END_TURN: f64 = 0.10;
const END_TURN_LEAST: f64 = 0.08;
const WHOLE: f64 = 0.10;
/// A path whose own ends meet is closed if it is longer than this many widths.
const CLOSED_FROM: f64 = 3.0;

/// Paths without doubles, longest and fullest first.
pub fn without_doubles(paths: Vec<Path>) -> Vec<Path> {
    let mut ranked: Vec<(f64, Path)> =
        paths.into_iter().map(|path| (path.length_mm() * path.median(|spot| spot.turn), path)).collect();
    ranked.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut accepted: Vec<Path> = Vec::new();
    let mut registry = Registry::default();
    for (_, mut path) in ranked {
        let width = path.median(|spot| spot.width_mm);
        let middle = &path.spots[path.spots.len() / 2];
        if path.length_mm() < SHORT * width && runs_beside(&registry, &path, middle, ON_PATH) {
            continue;
        }
        if !path.closed {
            trim(&registry, &mut path);
        }
        if path.spots.len() < 2 || owned_share(&registry, &path) > OWNED {
            continue;
        }
        if path.spots.len() < 2 {
            continue;
        }
        registry.enter(accepted.len() as u32, &path);
        accepted.push(path);
    }
    accepted
}

/// Share of a path's length whose bend begins and ends inside bends of accepted paths: its kinks are theirs, and what it
/// follows is the flat between two fillets or part of one.
fn owned_share(registry: &Registry, path: &Path) -> f64 {
    let shares = path.shares_mm();
    let all: f64 = shares.iter().sum();
    let owned =
        path.spots.iter().zip(&shares).filter(|(spot, _)| spot.borders.iter().all(|at| in_bend(registry, spot, at)));
    owned.map(|(_, share)| share).sum::<f64>() / all.max(f64::MIN_POSITIVE)
}

/// True if a point lies within the width of an accepted path that is along the spot's axis.
fn in_bend(registry: &Registry, spot: &super::section::Section, at: &Point) -> bool {
    registry
        .around(*at)
        .filter(|sample| sample.sense == spot.sense)
        .any(|sample| sample.holds(at, 1.05) && sample.axis.dot(&spot.axis).abs() > ALONG_COS)
}

/// True if a spot lies on an accepted path of like sense and direction, within a share of its width.
fn runs_beside(registry: &Registry, path: &Path, spot: &super::section::Section, share: f64) -> bool {
    let within = share * spot.width_mm;
    registry.near(spot.middle.at, spot.radius_mm, path.sense(), within.max(0.5 * spot.width_mm)).any(|(_, sample)| {
        let gap = spot.middle.at - sample.at;
        let along = gap.dot(&sample.axis);
        along.abs() <= 0.5 * sample.width_mm
            && (gap - sample.axis * along).norm() < within
            && sample.axis.dot(&spot.axis).abs() > ALONG_COS
    })
}

/// Cuts off both ends of a path where they run beside an accepted one.
fn trim(registry: &Registry, path: &mut Path) {
    for end in 0..2 {
        let beside = |spot| runs_beside(registry, path, spot, BESIDE);
        let drop = if end == 0 {
            path.spots.iter().take_while(|spot| beside(spot)).count()
        } else {
            path.spots.iter().rev().take_while(|spot| beside(spot)).count()
        };
        if drop == 0 {
            continue;
        }
        if end == 0 {
            path.spots.drain(..drop);
        } else {
            path.spots.truncate(path.spots.len() - drop);
        }
        path.ends[end] = End::Met;
    }
}

/// One end of a path, ready to be compared.
struct Tip {
    path: usize,
    end: usize,
    at: Point,
    outward: Vector,
    width_mm: f64,
    radius_mm: f64,
    turn: f64,
    median_radius_mm: f64,
    median_turn: f64,
    sense: f64,
}

/// Joins ends that continue each other until none is left.
pub fn join(mut paths: Vec<Path>) -> Vec<Path> {
    loop {
        let tips: Vec<Tip> = paths.iter().enumerate().flat_map(|(number, path)| tips(number, path)).collect();
        let mut pairs = pairs(&tips, &paths);
        if pairs.is_empty() {
            return paths;
        }
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
        // Each path takes part once a round, so that a joined path is judged anew by its own figures.
        let mut busy = vec![false; paths.len()];
        let mut slots: Vec<Option<Path>> = paths.into_iter().map(Some).collect();
        for (_, one, other) in pairs {
            let (a, b) = (&tips[one], &tips[other]);
            if busy[a.path] || busy[b.path] {
                continue;
            }
            (busy[a.path], busy[b.path]) = (true, true);
            if a.path == b.path {
                if let Some(path) = slots[a.path].as_mut() {
                    path.closed = true;
                }
            } else if let (Some(first), Some(second)) = (slots[a.path].take(), slots[b.path].take()) {
                slots[a.path] = Some(joined(first, a.end, second, b.end));
            }
        }
        paths = slots.into_iter().flatten().collect();
    }
}

/// Both ends of an open path.
fn tips(number: usize, path: &Path) -> Vec<Tip> {
    if path.closed {
        return Vec::new();
    }
    let (median_radius_mm, median_turn) = (path.median(|spot| spot.radius_mm), path.median(|spot| spot.turn));
    (0..2)
        .map(|end| {
            let spot = if end == 0 { &path.spots[0] } else { &path.spots[path.spots.len() - 1] };
            Tip {
                path: number,
                end,
                at: spot.middle.at,
                outward: path.outward(end, DIRECTION_OVER * spot.width_mm),
                width_mm: spot.width_mm,
                radius_mm: spot.radius_mm,
                turn: spot.turn,
                median_radius_mm,
                median_turn,
                sense: path.sense(),
            }
        })
        .collect()
}

/// Pairs of tips that may be joined, with what speaks against them, least first.
fn pairs(tips: &[Tip], paths: &[Path]) -> Vec<(f64, usize, usize)> {
    let cell_mm = |tip: &Tip| crate::maths::ln(tip.width_mm.max(1e-6)).div_euclid(std::f64::consts::LN_2) as i32 + 1;
    let cell = |at: &Point, level: i32| [at.x, at.y, at.z].map(|x| (x / 2.0f64.powi(level)).floor() as i32);
    let mut grid: FxHashMap<(i32, [i32; 3]), Vec<usize>> = FxHashMap::default();
    for (number, tip) in tips.iter().enumerate() {
        grid.entry((cell_mm(tip), cell(&tip.at, cell_mm(tip)))).or_default().push(number);
    }
    let mut pairs = Vec::new();
    for (one, a) in tips.iter().enumerate() {
        for level in cell_mm(a) - 1..=cell_mm(a) + 1 {
            let reach = Vector::repeat(1.2 * a.width_mm);
            let (least, most) = (cell(&(a.at - reach), level), cell(&(a.at + reach), level));
            for x in least[0]..=most[0] {
                for y in least[1]..=most[1] {
                    for z in least[2]..=most[2] {
                        for &other in grid.get(&(level, [x, y, z])).into_iter().flatten() {
                            if other > one
                                && let Some(against) = against(a, &tips[other], paths)
                            {
                                pairs.push((against, one, other));
                            }
                        }
                    }
                }
            }
        }
    }
    pairs
}

/// What speaks against joining two ends, in widths; nothing if they do not continue each other.
fn against(a: &Tip, b: &Tip, paths: &[Path]) -> Option<f64> {
    if a.sense != b.sense || a.outward.dot(&b.outward) > -DIRECTION_COS {
        return None;
    }
    if a.path == b.path && paths[a.path].length_mm() < CLOSED_FROM * a.width_mm {
        return None;
    }
    let width = 0.5 * (a.width_mm + b.width_mm);
    let direction = (a.outward - b.outward).normalize();
    let gap = b.at - a.at;
    let along = gap.dot(&direction);
    let across = (gap - direction * along).norm();
    let near = (LEAST_GAP..=MOST_GAP).contains(&(along / width)) && across < ACROSS * width;
    let within = |x: f64, y: f64, share: f64| (x - y).abs() <= share * x.max(y);
    let ends_agree = within(a.radius_mm, b.radius_mm, END_RADIUS)
        && (a.turn - b.turn).abs() <= (END_TURN * a.turn.max(b.turn)).max(END_TURN_LEAST);
    let wholes_agree =
        within(a.median_radius_mm, b.median_radius_mm, WHOLE) && within(a.median_turn, b.median_turn, WHOLE);
    (near && (ends_agree || wholes_agree)).then(|| (along.abs() + 2.0 * across) / width)
}

/// Two paths as one, from the given end of the first to that of the second.
pub fn joined(mut first: Path, first_end: usize, mut second: Path, second_end: usize) -> Path {
    if first_end == 0 {
        reverse(&mut first);
    }
    if second_end == 1 {
        reverse(&mut second);
    }
    // Where they overlap, the line must not run back and forth.
    while first.spots.len() > 1 && second.spots.len() > 1 {
        let (last, next) = (&first.spots[first.spots.len() - 1], &second.spots[0]);
        if (next.middle.at - last.middle.at).dot(&first.outward(1, DIRECTION_OVER * last.width_mm)) >= 0.0 {
            break;
        }
        second.spots.remove(0);
    }
    first.spots.append(&mut second.spots);
    first.ends[1] = second.ends[1];
    first
}

/// Turns a path round.
fn reverse(path: &mut Path) {
    path.spots.reverse();
    path.spots.iter_mut().for_each(|spot| spot.axis = -spot.axis);
    path.ends.reverse();
}
