//! Shapes tessellated by a CAD kernel, against the exact figures of `fixtures/kernel/truth.json`: corners, skins, splits.

#![expect(clippy::print_stdout, reason = "what is short of a bar, or not installed, is told in full")]

mod common;

use std::collections::BTreeSet;

use common::program::fixture;
use matloft::geometry::corners::{Bends, Corner, Listing};
use matloft::geometry::load::{LoadOptions, load};
use matloft::geometry::mesh::{Point, Vector};
use matloft::geometry::part::Part;
use matloft::geometry::split::{Plane, cut};
use matloft::geometry::stitch::Surface;
use matloft::geometry::survey::{Survey, SurveyOptions, survey};
use matloft::units::LengthUnit;
use matloft::watch::Unwatched;
use rayon::prelude::*;
use serde_json::Value;

/// Controls: nothing to be found.
const CONTROLS: [&str; 4] = ["plate", "metre_cylinder", "crowned_panel", "chine_20"];

/// What the corner finder does not reach yet, file by file. A line that starts to hold must be taken out, one that no
/// longer holds must not be put in without a reason.
const SHORT_OF_THE_BAR: &[&str] = &[
    // 84.84 degrees for 82.76, on one loop.
    "crowned_lid_coarse.stl: r10_convex turn",
    "crowned_lid_coarse.stl: r10_convex_8 turn",
    "crowned_lid_coarse.stl: r10_convex_9 turn",
    // The crease that fades from 80 to 8 degrees: nothing found of the 221 mm over 30 degrees; 33 mm near its end at medium.
    "fading_crease_coarse.stl: sharp57_convex missed",
    "fading_crease_medium.stl: invented",
    "fading_crease_medium.stl: sharp57_convex missed",
    // 238 mm for 246.
    "freeform_wall_coarse.stl: r8_convex length",
    // Some ten bits of 3 to 30 mm beside the fillets; 305 mm for 371.
    "ladder_curved_coarse.stl: invented",
    "ladder_curved_coarse.stl: r12_convex length",
    "ladder_curved_coarse.stl: r8_concave length",
    "ladder_curved_coarse.stl: r8_concave radius",
    // 45 bits between the facets of the walls; mean radius 11.35 for 12 and 7.36 for 8, 94.8 degrees for 90.
    "loops_coarse.stl: invented",
    "loops_coarse.stl: r12_concave radius",
    "loops_coarse.stl: r5_concave in parts",
    "loops_coarse.stl: r5_convex in parts",
    "loops_coarse.stl: r8_concave in parts",
    "loops_coarse.stl: r8_convex radius",
    "loops_coarse.stl: r8_convex turn",
    // 28 and 64 % of the foot and the corner fillets found, a bit of 12 mm at each of the four.
    "pyramid_tray_coarse.stl: invented",
    "pyramid_tray_coarse.stl: r5_concave missed",
    "pyramid_tray_coarse.stl: r5_concave_2 missed",
    "pyramid_tray_coarse.stl: r5_concave_3 missed",
    "pyramid_tray_coarse.stl: r5_concave_4 missed",
    "pyramid_tray_coarse.stl: r8_concave missed",
    "pyramid_tray_coarse.stl: r8_concave_2 missed",
    "pyramid_tray_coarse.stl: r8_concave_3 missed",
    "pyramid_tray_coarse.stl: r8_concave_4 missed",
    // Bits of 1 to 70 mm along the facets of the ring, one of 274 mm.
    "ring_lip_coarse.stl: invented",
    "ring_lip_coarse.stl: r4_convex in parts",
    "ring_lip_coarse.stl: r6_convex in parts",
    // 127 to 141 mm for 150 and 160: least radius 5.0 to 5.2 for 4, 6.3 for 5.
    "running_out_coarse.stl: r9_convex length",
    "running_out_coarse.stl: r9_convex smallest radius",
    // 63.8 degrees for 60.6; the gutter 301 mm for 374.
    "sharp_curved_coarse.stl: sharp61_convex turn",
    "sharp_curved_coarse.stl: sharp61_convex_2 turn",
    "swept_gutter_coarse.stl: r5_concave length",
];

/// The same of skins: the flanks of the rib are taken for outside and inside (4500 mm2 each) and not for rim; on the thick
/// crown 900 mm2 of the inside's border are taken for rim.
const SKINS_SHORT_OF_THE_BAR: &[&str] = &[
    "ribbed_tray_coarse.stl: outside_mm2",
    "ribbed_tray_coarse.stl: inside_mm2",
    "ribbed_tray_coarse.stl: rim_mm2",
    "thick_crown_coarse.stl: inside_mm2",
    "thick_crown_coarse.stl: rim_mm2",
    "thick_crown_unsewn.stl: inside_mm2",
    "thick_crown_unsewn.stl: rim_mm2",
];

fn truth() -> Value {
    let text = std::fs::read(fixture("kernel/truth.json")).expect("the truth is there");
    serde_json::from_slice(&text).expect("the truth is JSON")
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn point(value: &Value) -> Point {
    Point::new(number(&value[0]), number(&value[1]), number(&value[2]))
}

fn bytes(file: &str) -> Vec<u8> {
    std::fs::read(fixture("kernel").join(file)).expect("the shape is there")
}

fn parts(bytes: &[u8], file: &str, by_object: bool) -> Vec<Part> {
    let loaded = load(bytes, file, &LoadOptions { unit: Some(LengthUnit::Millimetre), by_object });
    assert_eq!(loaded.errors, [], "{file}");
    loaded.parts
}

fn surveyed(bytes: &[u8], file: &str, tighter_than_mm: f64, least_turn_deg: f64) -> Survey {
    let options = SurveyOptions::listing(Listing { tighter_than_mm, least_turn_deg });
    let mut parts = parts(bytes, file, false);
    survey(parts.remove(0), &options, &Unwatched)
}

/// The files of a section with their shape's entry.
fn files(section: &Value) -> Vec<(&str, &Value, &Value)> {
    let shapes = section.as_object().expect("shapes");
    shapes
        .iter()
        .flat_map(|(name, shape)| {
            shape["files"].as_array().expect("files").iter().map(move |file| (name.as_str(), shape, file))
        })
        .collect()
}

// Corners.

/// Shares of a true corner that are told apart.
const BINS: usize = 50;
/// A corner that covers less than this of a true one is not that one.
const ENOUGH: f64 = 0.8;

/// A true corner, ball or patch.
struct True<'a> {
    entry: &'a Value,
    id: &'a str,
    is_line: bool,
    wanted: bool,
    bends: Bends,
    radius_mm: f64,
    middle: Vec<Point>,
    /// Of tangent neighbours of one radius and sense, which may be one corner, the number is the same.
    chain: usize,
    /// What the length of balls and patches at its ends may add.
    allowed_mm: f64,
}

impl True<'_> {
    fn length_mm(&self) -> f64 {
        number(&self.entry["length_mm"])
    }

    /// Distance of a point from its middle line, the bin, and the direction there.
    fn nearest(&self, at: &Point) -> (f64, usize, Vector) {
        let mut best = (f64::INFINITY, 0.0, Vector::zeros());
        let mut run = 0.0;
        for pair in self.middle.windows(2) {
            let side = pair[1] - pair[0];
            let length = side.norm();
            let share =
                if length > 0.0 { ((at - pair[0]).dot(&side) / (length * length)).clamp(0.0, 1.0) } else { 0.0 };
            let distance = (at - (pair[0] + side * share)).norm();
            if distance < best.0 {
                best = (distance, run + share * length, if length > 0.0 { side / length } else { side });
            }
            run += length;
        }
        if self.middle.len() == 1 {
            best.0 = (at - self.middle[0]).norm();
        }
        let bin = if run > 0.0 { ((best.1 / run * BINS as f64) as usize).min(BINS - 1) } else { 0 };
        (best.0, bin, best.2)
    }

    /// How far from its middle line a path may run. Chords cut across the arc.
    fn tolerance_mm(&self) -> f64 {
        if self.is_line { 1.0 + 0.25 * self.radius_mm } else { 2.0 + 1.7 * self.radius_mm }
    }

    fn ends(&self) -> Vec<(Point, Vector)> {
        if !self.is_line || self.entry["closed"] == true {
            return Vec::new();
        }
        let n = self.middle.len();
        vec![
            (self.middle[0], (self.middle[1] - self.middle[0]).normalize()),
            (self.middle[n - 1], (self.middle[n - 2] - self.middle[n - 1]).normalize()),
        ]
    }
}

fn true_corners(shape: &Value) -> Vec<True<'_>> {
    let entries = shape["corners"].as_array().map(Vec::as_slice).unwrap_or_default();
    let mut all: Vec<True<'_>> = entries.iter().enumerate().map(|(k, entry)| true_corner(k, entry)).collect();
    for a in 0..all.len() {
        for b in 0..a {
            if tangent(&all[a], &all[b]) {
                let (from, to) = (all[a].chain, all[b].chain);
                all.iter_mut().filter(|one| one.chain == from).for_each(|one| one.chain = to);
            }
        }
    }
    for a in 0..all.len() {
        let balls = all.iter().filter(|ball| !ball.is_line);
        let at_ball = |end: &Point| {
            let near = balls.clone().filter(|ball| (ball.middle[0] - end).norm() < 1.7 * ball.radius_mm + 2.0);
            near.map(|ball| ball.radius_mm).fold(0.0, f64::max)
        };
        all[a].allowed_mm = all[a].ends().iter().map(|(end, _)| at_ball(end)).sum();
    }
    all
}

fn true_corner(k: usize, entry: &Value) -> True<'_> {
    let kind = entry["kind"].as_str().expect("a kind");
    let is_line = matches!(kind, "fillet" | "sharp_edge");
    let middle: Vec<Point> = entry["midline_mm"]
        .as_array()
        .map_or_else(|| vec![point(&entry["mid_mm"])], |line| line.iter().map(point).collect());
    let least = entry["turn_least_deg"].as_f64().unwrap_or(0.0);
    True {
        entry,
        id: entry["id"].as_str().expect("an id"),
        is_line,
        wanted: is_line && number(&entry["turn_deg"]) >= 31.0 && least >= 30.0,
        bends: if entry["bends"] == "outward" { Bends::Outward } else { Bends::Inward },
        radius_mm: entry["radius_mean_mm"].as_f64().or(entry["radius_mm"].as_f64()).unwrap_or(0.0),
        middle,
        chain: k,
        allowed_mm: 0.0,
    }
}

/// One runs on in the other.
fn tangent(a: &True<'_>, b: &True<'_>) -> bool {
    let alike = a.bends == b.bends && (a.radius_mm - b.radius_mm).abs() <= 0.02 * a.radius_mm.max(b.radius_mm);
    let meets = |(p, u): &(Point, Vector)| {
        b.ends().iter().any(|(q, v)| (p - q).norm() < 0.1 + 0.05 * a.radius_mm && u.dot(v) < -0.9)
    };
    alike && a.ends().iter().any(meets)
}

/// What a corner that was found covers of each true one, and the share of it that lies on any of them.
fn covers(corner: &Corner, all: &[True<'_>]) -> (Vec<BTreeSet<usize>>, f64) {
    let mut covered = vec![BTreeSet::new(); all.len()];
    let (mut on, mut samples) = (0usize, 0usize);
    for pair in corner.path.windows(2) {
        let step = pair[1].at_mm - pair[0].at_mm;
        let n = (step.norm() / 0.5).ceil().max(1.0) as usize;
        for k in 0..n {
            let at = pair[0].at_mm + step * ((k as f64 + 0.5) / n as f64);
            let direction = step.try_normalize(0.0).unwrap_or_else(Vector::zeros);
            samples += 1;
            let score = |one: &True<'_>| {
                let (distance, bin, along) = one.nearest(&at);
                let cosine = direction.dot(&along).abs();
                if distance > one.tolerance_mm() || (one.is_line && cosine < 0.5) {
                    return None;
                }
                let other_sense = if one.bends == corner.bends { 0.0 } else { 0.5 };
                let slanted = if one.is_line { 1.0 - cosine } else { 0.3 };
                Some((distance / one.tolerance_mm() + other_sense + slanted, bin))
            };
            let best = (0..all.len()).filter_map(|k| score(&all[k]).map(|(score, bin)| (score, k, bin)));
            if let Some((_, best, bin)) = best.min_by(|a, b| a.0.total_cmp(&b.0)) {
                on += 1;
                covered[best].extend(bin.saturating_sub(1)..=(bin + 1).min(BINS - 1));
            }
        }
    }
    (covered, on as f64 / samples.max(1) as f64)
}

fn share(bins: &BTreeSet<usize>) -> f64 {
    bins.len() as f64 / BINS as f64
}

/// What is wrong with the corners found on a file, in short lines.
fn faults(file: &Value, shape: &Value, corners: &[Corner]) -> Vec<String> {
    let name = file["file"].as_str().expect("a file");
    let all = true_corners(shape);
    let found: Vec<(&Corner, Vec<BTreeSet<usize>>, f64)> = corners
        .iter()
        .map(|corner| {
            let (covered, on) = covers(corner, &all);
            (corner, covered, on)
        })
        .collect();
    let mut faults = Vec::new();
    for (k, one) in all.iter().enumerate().filter(|(_, one)| one.wanted) {
        let same =
            || found.iter().filter(|(corner, covered, _)| corner.bends == one.bends && share(&covered[k]) >= 0.1);
        let union: BTreeSet<usize> = same().flat_map(|(_, covered, _)| covered[k].clone()).collect();
        let whole: Vec<&Corner> =
            same().filter(|(_, covered, _)| share(&covered[k]) >= ENOUGH).map(|(corner, ..)| *corner).collect();
        match (share(&union) >= ENOUGH, whole.as_slice()) {
            (false, _) => {
                println!("{name}: {}: {:.0} % of it found", one.id, 100.0 * share(&union));
                faults.push(format!("{name}: {} missed", one.id));
            }
            (true, []) => faults.push(format!("{name}: {} in parts", one.id)),
            (true, [corner]) => {
                faults.extend(wrong_figures(one, corner, file).map(|what| format!("{name}: {} {what}", one.id)))
            }
            (true, _) => faults.push(format!("{name}: {} twice", one.id)),
        }
    }
    for (corner, covered, on) in &found {
        let mine: Vec<usize> = (0..all.len()).filter(|&k| all[k].is_line && share(&covered[k]) >= 0.5).collect();
        if mine.is_empty() {
            let touched = (0..all.len()).filter(|&k| !covered[k].is_empty());
            let small = touched.map(|k| 2.5 * all[k].radius_mm + 3.0).fold(0.0, f64::max);
            let part = (0..all.len()).any(|k| all[k].wanted && share(&covered[k]) >= 0.1);
            if *on < 0.5 || (corner.length_mm > small && !part) {
                println!(
                    "{name}: invented near {}: {:.1} mm, radius {:.2}",
                    corner.midpoint_mm(),
                    corner.length_mm,
                    corner.radius_mean_mm
                );
                faults.push(format!("{name}: invented"));
            }
            continue;
        }
        let wanted: Vec<usize> = mine.iter().copied().filter(|&k| all[k].wanted).collect();
        let Some(&first) = wanted.first() else { continue };
        if wanted.iter().any(|&k| all[k].chain != all[first].chain) {
            faults.push(format!("{name}: {} merged", all[first].id));
            continue;
        }
        if wanted.iter().any(|&k| share(&covered[k]) < ENOUGH) {
            continue;
        }
        let parts =
            (0..all.len()).filter(|&k| all[k].chain == all[first].chain && all[k].is_line && !mine.contains(&k));
        let beside: f64 = parts.map(|k| all[k].length_mm() * share(&covered[k])).sum();
        let length: f64 = mine.iter().map(|&k| all[k].length_mm()).sum::<f64>() + beside;
        let allowed: f64 = mine.iter().map(|&k| all[k].allowed_mm).sum();
        let slack = if all[first].radius_mm == 0.0 { (0.005 * length).max(1.0) } else { (0.03 * length).max(3.0) };
        if corner.length_mm < length - slack || corner.length_mm > length + allowed + slack {
            println!("{name}: {}: {:.1} mm for {length:.1} and {allowed:.1}", all[first].id, corner.length_mm);
            faults.push(format!("{name}: {} length", all[first].id));
        }
    }
    faults
}

/// Figures out of their bars: mean radius 3 % (10 % on a coarse freeform surface), turn 2 degrees, smallest radius of a
/// fillet that runs out 6 %, sharp edges sharp.
fn wrong_figures(one: &True<'_>, corner: &Corner, file: &Value) -> impl Iterator<Item = &'static str> + use<> {
    let name = file["file"].as_str().expect("a file");
    let freeform =
        file["level"] == "coarse" && ["freeform", "running_out", "swept"].iter().any(|kind| name.contains(kind));
    let bar = if freeform { 0.10 } else { 0.03 };
    let entry = one.entry;
    let within = |found: f64, wanted: f64, share: f64| (found - wanted).abs() <= (share * wanted).max(0.02);
    let runs_out = entry["radius_largest_mm"].as_f64().is_some();
    let mut wrong = Vec::new();
    if corner.sharp != (entry["sharp"] == true) {
        wrong.push("sharpness");
    } else if !corner.sharp && !within(corner.radius_mean_mm, one.radius_mm, bar) {
        wrong.push("radius");
    } else if runs_out && !within(corner.radius_mm, number(&entry["radius_mm"]), 2.0 * bar) {
        wrong.push("smallest radius");
    }
    // Where the turn varies along the corner, the median of the stations and the mean of the truth need not agree.
    let turn = number(&entry["turn_deg"]);
    let least = entry["turn_least_deg"].as_f64().unwrap_or(turn).min(turn);
    let most = entry["turn_most_deg"].as_f64().unwrap_or(turn).max(turn);
    if corner.turn_deg < least - 2.0 || corner.turn_deg > most + 2.0 {
        wrong.push("turn");
    }
    if !wrong.is_empty() {
        let Corner { radius_mm, radius_mean_mm, turn_deg, length_mm, .. } = corner;
        println!(
            "{name}: {}: mean {radius_mean_mm:.3}, least {radius_mm:.3}, {turn_deg:.2} degrees, {length_mm:.1} mm for {entry}",
            one.id
        );
    }
    wrong.into_iter()
}

/// A limit above every fillet of the shape.
fn limit_mm(shape: &Value) -> f64 {
    1.3 * true_corners(shape)
        .iter()
        .map(|one| one.radius_mm.max(one.entry["radius_largest_mm"].as_f64().unwrap_or(0.0)))
        .fold(4.0, f64::max)
}

#[test]
fn every_corner_is_found_once_with_its_figures_and_none_is_invented_but_for_what_is_known() {
    let truth = truth();
    let cases: Vec<_> = files(&truth["corners"])
        .into_iter()
        .filter(|(name, ..)| !CONTROLS.contains(name) && *name != "cones")
        .collect();
    assert!(cases.len() > 60, "{} files", cases.len());
    let found: Vec<Vec<String>> = cases
        .par_iter()
        .map(|(_, shape, file)| {
            let name = file["file"].as_str().expect("a file");
            let survey = surveyed(&bytes(name), name, limit_mm(shape), 30.0);
            faults(file, shape, &survey.listed.corners)
        })
        .collect();
    let found: BTreeSet<String> = found.into_iter().flatten().collect();
    assert_known(&found, SHORT_OF_THE_BAR);
}

/// What was found short of the bar is exactly what is known to be.
fn assert_known(found: &BTreeSet<String>, known: &[&str]) {
    let known: BTreeSet<String> = known.iter().map(|&line| line.to_owned()).collect();
    let new: Vec<&String> = found.difference(&known).collect();
    let mended: Vec<&String> = known.difference(found).collect();
    assert!(new.is_empty() && mended.is_empty(), "new: {new:#?}\nmended: {mended:#?}");
}

#[test]
fn no_corner_is_found_where_there_is_none() {
    let truth = truth();
    for (shape, least_turn_deg) in [
        ("plate", 10.0),
        ("metre_cylinder", 30.0),
        ("metre_cylinder", 10.0),
        ("crowned_panel", 30.0),
        ("chine_20", 30.0),
    ] {
        for file in truth["corners"][shape]["files"].as_array().expect("files") {
            let name = file["file"].as_str().expect("a file");
            for limit in [8.0, 35.0, 60.0] {
                let survey = surveyed(&bytes(name), name, limit, least_turn_deg);
                assert!(survey.listed.corners.is_empty(), "{name} at {limit} mm: {:?}", survey.listed.corners);
            }
        }
    }
}

#[test]
fn a_chine_of_20_degrees_is_one_corner_if_it_is_asked_for() {
    let truth = truth();
    for file in truth["corners"]["chine_20"]["files"].as_array().expect("files") {
        let name = file["file"].as_str().expect("a file");
        let survey = surveyed(&bytes(name), name, 60.0, 10.0);
        let [chine] = survey.listed.corners.as_slice() else { panic!("{name}: {:?}", survey.listed.corners) };
        assert!((chine.turn_deg - 20.0).abs() <= 1.0, "{name}: {chine:?}");
    }
}

#[test]
fn tips_of_cones_are_points_and_no_corner_runs_along_a_generator() {
    let truth = truth();
    for file in truth["corners"]["cones"]["files"].as_array().expect("files") {
        let name = file["file"].as_str().expect("a file");
        let survey = surveyed(&bytes(name), name, 6.5, 30.0);
        let entries = truth["corners"]["cones"]["corners"].as_array().expect("tips");
        for (entry, slack_mm) in entries.iter().zip([0.0, 4.0]) {
            let at = point(&entry["mid_mm"]);
            let near = survey.listed.points.iter().find(|tip| (tip.at_mm - at).norm() <= 3.0 + slack_mm);
            let tip = near.unwrap_or_else(|| panic!("{name}: no {} in {:?}", entry["id"], survey.listed.points));
            assert!((tip.radius_mm - number(&entry["radius_mm"])).abs() <= 1.0, "{name}: {tip:?}");
        }
        assert!(
            !survey.listed.corners.iter().any(|corner| corner.length_mm > 6.0),
            "{name}: {:?}",
            survey.listed.corners
        );
    }
}

// The same, whichever way the file was written.

/// A binary STL changed triangle by triangle.
fn changed(bytes: &[u8], order: impl Fn(usize) -> usize, change: impl Fn(usize, [f32; 3]) -> [f32; 3]) -> Vec<u8> {
    let n = (bytes.len() - 84) / 50;
    let mut out = bytes[..84].to_vec();
    for k in 0..n {
        let record = &bytes[84 + 50 * order(k)..][..50];
        out.extend_from_slice(&[0; 12]);
        for corner in 0..3 {
            let coordinate = |axis: usize| {
                let at = 12 + 12 * corner + 4 * axis;
                f32::from_le_bytes([record[at], record[at + 1], record[at + 2], record[at + 3]])
            };
            let moved = change(3 * k + corner, [0, 1, 2].map(coordinate));
            moved.iter().for_each(|value| out.extend_from_slice(&value.to_le_bytes()));
        }
        out.extend_from_slice(&record[48..]);
    }
    out
}

/// Figures of every corner, by radius and length, whatever its name and place.
fn figures(survey: &Survey) -> Vec<(Bends, bool, [f64; 3])> {
    let corners = survey.listed.corners.iter();
    let mut figures: Vec<_> = corners
        .map(|corner| (corner.bends, corner.sharp, [corner.radius_mean_mm, corner.length_mm, corner.turn_deg]))
        .collect();
    figures.sort_by(|a, b| {
        let key = |one: &(Bends, bool, [f64; 3])| {
            (one.0, one.1, (one.2[0] * 2.0).round() as i64, (one.2[1] / 8.0).round() as i64)
        };
        key(a).cmp(&key(b)).then(a.2[1].total_cmp(&b.2[1]))
    });
    figures
}

fn assert_alike(name: &str, what: &str, plain: &Survey, other: &Survey) {
    let (plain, other) = (figures(plain), figures(other));
    assert_eq!(plain.len(), other.len(), "{name} {what}: {plain:?}\n{other:?}");
    for (a, b) in plain.iter().zip(&other) {
        assert_eq!((a.0, a.1), (b.0, b.1), "{name} {what}");
        let alike = (a.2[0] - b.2[0]).abs() <= 0.03 * a.2[0].max(0.5)
            && (a.2[1] - b.2[1]).abs() <= (0.03 * a.2[1]).max(3.0)
            && (a.2[2] - b.2[2]).abs() <= 2.0;
        assert!(alike, "{name} {what}: {a:?} {b:?}");
    }
}

#[test]
fn corners_are_the_same_when_the_part_is_turned_shuffled_or_shaken() {
    for name in [
        "ladder_coarse.stl",
        "hat_section_medium.stl",
        "coved_tray_coarse.stl",
        "boss_and_pocket_coarse.stl",
        "return_lip_coarse.stl",
    ] {
        let plain = bytes(name);
        let n = (plain.len() - 84) / 50;
        let survey_of = |bytes: &[u8]| surveyed(bytes, name, 33.0, 30.0);
        let base = survey_of(&plain);
        assert!(!base.listed.corners.is_empty(), "{name}");
        let turned =
            changed(&plain, |k| k, |_, at| common::shapes::turned(at.map(f64::from)).map(|value| value as f32));
        assert_alike(name, "turned", &base, &survey_of(&turned));
        // A step that shares no factor with the count visits every triangle once.
        let step = (7919..).find(|step| gcd(*step, n) == 1).expect("there is one");
        assert_alike(name, "shuffled", &base, &survey_of(&changed(&plain, |k| k * step % n, |_, at| at)));
        // A micrometre, under the weld tolerance of a part of this size.
        let shaken = changed(
            &plain,
            |k| k,
            |k, at| {
                [0, 1, 2].map(|axis| at[axis] + 1e-3 * (((k * 3 + axis) * 2654435761 % 1000) as f32 / 1000.0 - 0.5))
            },
        );
        assert_alike(name, "shaken", &base, &survey_of(&shaken));
    }
}

fn gcd(a: usize, b: usize) -> usize {
    if b == 0 { a } else { gcd(b, a % b) }
}

// Skins.

/// What is out of its bar on a skin; `error` is the tessellation's own, relative.
fn skin_faults(name: &str, part: Part, truth: &Value, error: f64) -> Vec<String> {
    let options = SurveyOptions::listing(Listing { tighter_than_mm: 8.0, least_turn_deg: 30.0 });
    let survey = survey(part, &options, &Unwatched);
    let skin = &survey.skin;
    let sum = skin.outside_m2 + skin.inside_m2 + skin.rim_m2;
    assert!((sum - survey.area_m2).abs() <= 1e-9 * sum, "{name}: the sides add up");
    let mut faults = Vec::new();
    let mut bar = |what: &str, found: f64, wanted: f64, bar: f64| {
        if (found - wanted).abs() > bar {
            println!("{name}: {what} {found} for {wanted}, bar {bar}");
            faults.push(format!("{name}: {what}"));
        }
    };
    let kind = serde_json::to_value(skin.kind).expect("a word");
    if kind != truth["kind"] {
        return vec![format!("{name}: kind")];
    }
    let Some(outside) = truth["outside_mm2"].as_f64().filter(|_| kind == "thin-solid") else {
        assert_eq!((skin.wall_mm, skin.inside_m2, skin.rim_m2), (None, 0.0, 0.0), "{name}");
        return faults;
    };
    let whole = outside + number(&truth["inside_mm2"]) + number(&truth["rim_mm2"]);
    for (found, key) in [(skin.outside_m2, "outside_mm2"), (skin.inside_m2, "inside_mm2"), (skin.rim_m2, "rim_mm2")] {
        let wanted = number(&truth[key]);
        bar(key, found * 1e6, wanted, 0.005 * wanted + error.abs() * whole);
    }
    let wall = number(&truth["wall_mm"]);
    let ends = ["wall_min_mm", "wall_max_mm"].map(|key| truth[key].as_f64().unwrap_or(wall));
    // Where the wall varies, the middle one that the truth holds need not be the most common.
    if ends[1] <= 1.05 * ends[0] {
        bar("wall_mm", skin.wall_mm.unwrap_or(0.0), wall, (0.005 * wall).max(0.05));
    }
    let chord = skin.wall_chord_mm.unwrap_or(0.0) + 0.05;
    bar("wall_min_mm", skin.wall_min_mm.unwrap_or(0.0), ends[0], chord);
    bar("wall_max_mm", skin.wall_max_mm.unwrap_or(0.0), ends[1], chord);
    faults
}

#[test]
fn skins_are_told_apart_and_have_the_kernel_s_areas_and_walls_but_for_what_is_known() {
    let truth = truth();
    let mut found = BTreeSet::new();
    for (shape, entry, file) in files(&truth["skins"]) {
        let name = file["file"].as_str().expect("a file");
        if shape == "mixed_set" {
            for part in parts(&bytes(name), name, true) {
                let (truth, file) = (&entry["objects"][&part.name], &file["objects"][&part.name]);
                let about = part.name.clone();
                found.extend(skin_faults(&about, part, truth, number(&file["area_error_relative"])));
            }
        } else {
            let part = parts(&bytes(name), name, false).remove(0);
            found.extend(skin_faults(name, part, entry, number(&file["area_error_relative"])));
        }
    }
    assert_known(&found, SKINS_SHORT_OF_THE_BAR);
}

// Splits.

#[test]
fn pieces_and_cut_lengths_are_those_of_the_kernel_and_of_the_mesh() {
    let truth = truth();
    for (shape, entry, file) in files(&truth["splits"]) {
        let name = file["file"].as_str().expect("a file");
        let part = parts(&bytes(name), name, false).remove(0);
        let planes: Vec<(String, Plane)> = entry["planes"]
            .as_array()
            .expect("planes")
            .iter()
            .enumerate()
            .map(|(k, plane)| {
                let normal = point(&plane["normal"]).coords;
                (format!("s{k}"), Plane::at(point(&plane["point_mm"]), normal).expect("a plane"))
            })
            .collect();
        let result = cut(&Surface::stitched(&part.mesh), &planes);
        let whole: f64 = result.pieces.iter().map(|piece| piece.area_m2()).sum();
        assert!((whole - part.mesh.area_m2()).abs() <= 1e-9 * whole, "{name}: the pieces add up");
        let cut_mm = |k: usize| -> f64 {
            let cuts = result.pieces.iter().flat_map(|piece| &piece.cuts).filter(|cut| cut.split == planes[k].0);
            0.5 * cuts.map(|cut| cut.length_mm).sum::<f64>()
        };
        let true_pieces = entry["pieces"].as_array().expect("pieces");
        let in_plane = true_pieces.iter().any(|piece| piece["side"].as_str().is_some_and(|side| side.contains('0')));
        let wanted = if in_plane { 2..=3 } else { true_pieces.len()..=true_pieces.len() };
        assert!(wanted.contains(&result.pieces.len()), "{name}: {} pieces", result.pieces.len());
        for k in 0..planes.len() {
            let on_mesh = number(&file["mesh_cut_lengths_mm"][k]);
            let found = cut_mm(k);
            let half = in_plane && shape == "in_a_face" && (found - 0.5 * on_mesh).abs() <= 1e-6 * on_mesh;
            assert!(half || (found - on_mesh).abs() <= 1e-6 * on_mesh + 1e-3, "{name}: cut {k} {found} for {on_mesh}");
        }
        if in_plane {
            continue;
        }
        let side = |piece: &matloft::geometry::split::Piece| -> String {
            piece.on_plus_side.iter().map(|&plus| if plus { '+' } else { '-' }).collect()
        };
        for (signs, area) in file["mesh_area_by_side_mm2"].as_object().expect("sides") {
            let found: f64 =
                result.pieces.iter().filter(|piece| side(piece) == *signs).map(|piece| piece.area_m2() * 1e6).sum();
            assert!((found - number(area)).abs() <= 1e-6 * number(area) + 0.01, "{name}: {signs} {found} for {area}");
        }
        // Each connected piece against the kernel's boolean, within what the chords cost.
        let error = number(&file["area_error_relative"]).abs();
        let sorted = |mut areas: Vec<f64>| {
            areas.sort_by(f64::total_cmp);
            areas
        };
        let found = sorted(result.pieces.iter().map(|piece| piece.area_m2() * 1e6).collect());
        let wanted = sorted(true_pieces.iter().map(|piece| number(&piece["area_mm2"])).collect());
        let total: f64 = wanted.iter().sum();
        for (found, wanted) in found.iter().zip(&wanted) {
            assert!((found - wanted).abs() <= error * total + 1e-4 * wanted, "{name}: piece of {found} for {wanted}");
        }
    }
}
