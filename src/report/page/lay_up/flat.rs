//! A section through a schedule on the flat: lengths to one scale, thickness to a larger one.

use maud::{Markup, html};

use super::super::figure::{At, drawn, written_decimals};
use super::hatch::Hatch;
use super::labels::{self, Label, ROW_PX, points, px};
use super::zone_words;
use crate::laminate::plies::{PlannedPly, PliesPlan};
use crate::laminate::schedule::Zone;

/// Lengths along the face, in px per mm.
const PX_PER_MM: f64 = 1.5;
/// How much larger thickness is drawn, the largest first that keeps the drawing on a screen.
const FACTORS: [f64; 6] = [20.0, 10.0, 5.0, 2.0, 1.0, 0.5];
const TALLEST_PX: f64 = 320.0;
/// Face without a zone, in mm, beside each zone.
const PLAIN_MM: f64 = 40.0;
/// A strip or band wider than this is drawn so wide.
const WIDEST_ZONE_MM: f64 = 120.0;
/// Zones without a width of their own.
const ZONE_MM: f64 = 70.0;
/// Where a ply runs up onto another one, in px to either side.
const RAMP_PX: f64 = 3.0;
const TOOL_PX: f64 = 26.0;
const LABELS_PX: f64 = 440.0;

/// A stretch of face on which the same plies lie.
struct Stretch {
    from_px: f64,
    to_px: f64,
    /// What lies here beside the plies that lie everywhere; empty for plain face.
    zone: String,
}

/// The drawing, with its scales and what it shows in words.
pub fn section(plan: &PliesPlan, at: &At) -> Markup {
    let stretches = stretches(plan);
    let heights = Heights::of(plan, &stretches);
    let factor = factor(&heights);
    let px_per_mm = PX_PER_MM * factor;
    let width_px = stretches.last().map_or(0.0, |last| last.to_px);
    let tops = |height_mm: f64| -height_mm * px_per_mm;
    let labels = label_plies(plan, &heights, &stretches, px_per_mm, at);
    let highest = labels::rows(&labels).into_iter().fold(tops(heights.most_mm()), f64::min);
    let top = highest - ROW_PX;
    let bottom = TOOL_PX + 44.0;
    let (left, right) = (-6.0, width_px + 24.0 + LABELS_PX);
    let view = format!("{} {} {} {}", px(left), px(top), px(right - left), px(bottom - top));
    html! {
        figure.lay-up-section {
            div.scroll tabindex="0" role="region" aria-label={ "Section through schedule " (plan.schedule) } {
                svg.section role="group" aria-label={ "Section through schedule " (plan.schedule) ", tool below" }
                    viewBox=(view) width=(px(right - left)) height=(px(bottom - top)) {
                    (tool(width_px))
                    @if plan.gelcoat.is_some() {
                        @let film = Hatch::Gelcoat.fill();
                        @let outline = band(&heights.gelcoat(&stretches), &stretches, px_per_mm);
                        polygon.ground points=(outline) {}
                        polygon.ply points=(outline) fill=(film) {}
                    }
                    @for (index, ply) in plan.plies.iter().enumerate() {
                        @for run in heights.runs(index) {
                            @let outline = band(&run, &stretches, px_per_mm);
                            polygon.ground points=(outline) {}
                            polygon.ply points=(outline) fill=(Hatch::Ply(ply.stuff.word()).fill()) {}
                        }
                    }
                    line.face x1="0" y1="0" x2=(px(width_px)) y2="0" {}
                    (labels::drawn(&labels, width_px + 24.0))
                    (scales(px_per_mm))
                }
            }
            figcaption {
                "Thickness is drawn " (factor) " times as large as lengths along the face. "
                @if stretches.len() > 1 {
                    "Plies that lie in a zone only are drawn over a part of the width, zone by zone side by side; where zones "
                    "overlap on a panel, their plies lie on one another."
                }
            }
        }
    }
}

/// Plain face, then each zone with plain face after it.
fn stretches(plan: &PliesPlan) -> Vec<Stretch> {
    let mut zones: Vec<(String, f64)> = Vec::new();
    for ply in plan.plies.iter().filter(|ply| !is_everywhere(ply)) {
        let words = zone_words(ply);
        if !zones.iter().any(|(known, _)| *known == words) {
            zones.push((words, zone_mm(ply)));
        }
    }
    let plain = |mm: f64| (String::new(), mm);
    let all: Vec<(String, f64)> = if zones.is_empty() {
        vec![plain(4.0 * PLAIN_MM)]
    } else {
        [plain(PLAIN_MM)].into_iter().chain(zones.into_iter().flat_map(|zone| [zone, plain(PLAIN_MM)])).collect()
    };
    let mut from_px = 0.0;
    all.into_iter()
        .map(|(zone, mm)| {
            let stretch = Stretch { from_px, to_px: from_px + mm * PX_PER_MM, zone };
            from_px = stretch.to_px;
            stretch
        })
        .collect()
}

fn zone_mm(ply: &PlannedPly) -> f64 {
    match &ply.zone {
        Zone::Corners(strip) => strip.width_mm.min(WIDEST_ZONE_MM),
        Zone::Edges(band) => band.width_mm.min(WIDEST_ZONE_MM),
        Zone::All | Zone::Above(_) | Zone::Below(_) | Zone::Beyond(_) | Zone::Region(_) => ZONE_MM,
    }
}

fn is_everywhere(ply: &PlannedPly) -> bool {
    ply.zone == Zone::All && ply.clear_of_edges_mm <= 0.0
}

/// Where each ply begins and ends over each stretch, in mm from the tool.
struct Heights {
    gelcoat_mm: f64,
    /// By ply, by stretch.
    plies: Vec<Vec<Option<[f64; 2]>>>,
}

/// Part of a ply that hangs together: its first stretch, and from there where it begins and ends.
struct Run {
    first: usize,
    heights_mm: Vec<[f64; 2]>,
}

impl Heights {
    fn of(plan: &PliesPlan, stretches: &[Stretch]) -> Self {
        let mut tops = vec![plan.gelcoat_mm(); stretches.len()];
        let mut plies = Vec::with_capacity(plan.plies.len());
        for ply in &plan.plies {
            let words = zone_words(ply);
            let over = tops.iter_mut().zip(stretches).map(|(top, stretch)| {
                let lies = is_everywhere(ply) || stretch.zone == words;
                lies.then(|| {
                    let begin = *top;
                    *top += ply.per_m2.thickness_mm.likely;
                    [begin, *top]
                })
            });
            plies.push(over.collect());
        }
        Self { gelcoat_mm: plan.gelcoat_mm(), plies }
    }

    fn most_mm(&self) -> f64 {
        self.plies.iter().flatten().flatten().fold(self.gelcoat_mm, |most, [_, end]| most.max(*end))
    }

    fn gelcoat(&self, stretches: &[Stretch]) -> Run {
        Run { first: 0, heights_mm: vec![[0.0, self.gelcoat_mm]; stretches.len()] }
    }

    fn runs(&self, ply: usize) -> Vec<Run> {
        let mut runs: Vec<Run> = Vec::new();
        let mut open = false;
        for (stretch, heights) in self.plies[ply].iter().enumerate() {
            match (heights, runs.last_mut()) {
                (Some(heights), Some(run)) if open => run.heights_mm.push(*heights),
                (Some(heights), _) => runs.push(Run { first: stretch, heights_mm: vec![*heights] }),
                (None, _) => {}
            }
            open = heights.is_some();
        }
        runs
    }
}

fn factor(heights: &Heights) -> f64 {
    let fits = |factor: &&f64| heights.most_mm() * PX_PER_MM * **factor <= TALLEST_PX;
    FACTORS.iter().find(fits).or(FACTORS.last()).copied().unwrap_or(1.0)
}

/// Outline of a run: along its underside, and back along its top. It runs up and down in ramps where what lies under it
/// changes, and thins out in one where it ends over the face.
fn band(run: &Run, stretches: &[Stretch], px_per_mm: f64) -> String {
    let last = run.first + run.heights_mm.len() - 1;
    let side = |end: usize| {
        // Underside (0) reaches a ramp further out than the top (1).
        let out = if end == 0 { RAMP_PX } else { -RAMP_PX };
        let y = |index: usize| -run.heights_mm[index][end] * px_per_mm;
        let mut line = Vec::new();
        let begin = stretches[run.first].from_px;
        line.push([if run.first == 0 { begin } else { begin - out }, y(0)]);
        for index in 1..run.heights_mm.len() {
            let border = stretches[run.first + index].from_px;
            line.push([border - RAMP_PX, y(index - 1)]);
            line.push([border + RAMP_PX, y(index)]);
        }
        let finish = stretches[last].to_px;
        line.push([if last + 1 == stretches.len() { finish } else { finish + out }, y(run.heights_mm.len() - 1)]);
        line
    };
    let outline: Vec<[f64; 2]> = side(0).into_iter().chain(side(1).into_iter().rev()).collect();
    points(&outline)
}

fn tool(width_px: f64) -> Markup {
    html! {
        rect x="0" y="0" width=(px(width_px)) height=(px(TOOL_PX)) fill=(Hatch::Tool.fill()) {}
        rect.ground x="8" y="6" width="34" height="15" {}
        text x="12" y="17.5" { "tool" }
    }
}

/// One label for the gelcoat and each ply: number, name, weight, thickness, resin, and the zone where it has one.
fn label_plies(plan: &PliesPlan, heights: &Heights, stretches: &[Stretch], px_per_mm: f64, at: &At) -> Vec<Label> {
    let mut labels = Vec::new();
    let end_px = stretches.last().map_or(0.0, |last| last.to_px);
    if let Some(gelcoat) = &plan.gelcoat {
        let film = at.key("schedule_gelcoat");
        let text = html! {
            "gelcoat: " (gelcoat.name) ", " (drawn(gelcoat.thickness_mm.likely, 2, &film.key("thickness_mm"))) " mm"
        };
        labels.push(Label::of([end_px, -0.5 * heights.gelcoat_mm * px_per_mm], text));
    }
    let list = at.key("schedule_plies");
    for (index, ply) in plan.plies.iter().enumerate() {
        let runs = heights.runs(index);
        let Some(run) = runs.last() else { continue };
        let last = run.first + run.heights_mm.len() - 1;
        let [begin, end] = run.heights_mm[run.heights_mm.len() - 1];
        let at_px = [stretches[last].to_px, -0.5 * (begin + end) * px_per_mm];
        let beneath = (!is_everywhere(ply)).then(|| html! { "only " (zone_words(ply)) });
        labels.push(Label { at: at_px, text: ply_text(ply, &list.item(index)), beneath });
    }
    labels
}

fn ply_text(ply: &PlannedPly, at: &At) -> Markup {
    let weight = written_decimals(ply.areal_weight_g_m2);
    html! {
        (ply.ply) " " (ply.name)
        @if ply.name != ply.material { ": " (ply.material) }
        ", " (drawn(ply.areal_weight_g_m2, weight, &at.key("areal_weight_g_m2"))) " g/m2, "
        (drawn(ply.per_m2.thickness_mm.likely, 2, &at.key("thickness_mm"))) " mm, " (ply.resin)
    }
}

/// A bar of lengths and a bar of thickness.
fn scales(px_per_mm: f64) -> Markup {
    // Whatever the factor, a bar of a round length that is neither a dot nor taller than its row.
    let thick_mm = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0].into_iter().rev().find(|mm| mm * px_per_mm <= 30.0).unwrap_or(0.5);
    let (long_px, tall_px) = (20.0 * PX_PER_MM, thick_mm * px_per_mm);
    let y = TOOL_PX + 36.0;
    html! {
        path.line d=(format!("M0 {} V{y} H{long_px} V{}", y - 4.0, y - 4.0)) {}
        text.faint x=(px(long_px + 5.0)) y=(px(y + 1.0)) { "20 mm along the face" }
        @let x = long_px + 160.0;
        path.line d=(format!("M{} {} H{x} V{} H{}", x - 4.0, y, y - tall_px, x - 4.0)) {}
        text.faint x=(px(x + 6.0)) y=(px(y + 1.0)) {
            (thick_mm) " mm of thickness"
        }
    }
}
