//! A section square through a corner as a build meets it, to scale: nothing is exaggerated.
//!
//! Everything is drawn over the tool, symmetric about the middle of the corner: x runs along the tool from there, y away
//! from it. Over an inside corner the tool's faces rise, over an outside corner they fall.

use maud::{Markup, html};

use super::super::figure::{At, count, drawn, figure};
use super::Placed;
use super::hatch::Hatch;
use super::labels::{self, Label, ROW_PX, points, px};
use crate::laminate::plies::PlannedPly;
use crate::laminate::remedies::{CornerFrom, MetAs, Place, Remedy};
use crate::laminate::schedule::Zone;
use crate::maths::{cos, sin, tan};
use crate::plan::{Build, MetCorner};
use crate::units::rad_from_deg;

const PX_PER_MM: f64 = 2.6;
/// How much of each face is drawn beside the widest strip, in mm; and at least and at most from the corner.
const BESIDE_MM: f64 = 12.0;
const FACE_MM: [f64; 2] = [35.0, 75.0];
/// Length over which a ply that ran over a strip comes down to the face again, in mm.
const RAMP_MM: f64 = 3.0;
const LABELS_PX: f64 = 330.0;
/// Tool under the lowest point of its face.
const FLOOR_PX: f64 = 28.0;
/// Steps of an arc.
const N_STEPS: usize = 12;

/// A corner of a build, by the numbers of its piece and of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Chosen {
    pub piece: usize,
    pub corner: usize,
}

/// The corners that tell most: of those met as inside and as outside corners each, the one with most plies, the tightest of
/// them, the longest of these.
#[must_use]
pub fn chosen(build: &Build) -> Vec<Chosen> {
    let all = build.pieces.iter().enumerate().flat_map(|(piece, plan)| {
        plan.corners.iter().enumerate().map(move |(corner, met)| (Chosen { piece, corner }, met))
    });
    let all: Vec<(Chosen, &MetCorner)> = all.collect();
    let most = |met_as: MetAs| {
        let met = all.iter().filter(|(_, met)| met.met.met_as == met_as && can_be_drawn(met));
        let rank = |(_, a): &&(Chosen, &MetCorner), (_, b): &&(Chosen, &MetCorner)| {
            let plies = a.advice.sees.len().cmp(&b.advice.sees.len());
            let tight = b.met.radius_mm.total_cmp(&a.met.radius_mm);
            plies.then(tight).then(a.met.length_mm.total_cmp(&b.met.length_mm))
        };
        met.max_by(rank).map(|(chosen, _)| *chosen)
    };
    [MetAs::Inside, MetAs::Outside].into_iter().filter_map(most).collect()
}

/// A corner that turns back on itself has no faces to draw beside it.
fn can_be_drawn(met: &MetCorner) -> bool {
    (1.0..=170.0).contains(&met.met.turn_deg)
}

/// The tool at a corner.
#[derive(Debug, Clone, Copy)]
struct Tool {
    met_as: MetAs,
    half_rad: f64,
    face_mm: f64,
}

/// What lies at a corner, layer by layer: where its top is, in mm from the tool, at the corner and on the faces beside the
/// strips.
#[derive(Debug, Clone, Copy)]
struct Surface {
    radius_mm: f64,
    at_corner_mm: f64,
    beside_mm: f64,
    /// From the middle of the corner along the tool to where the strips under it end.
    strip_mm: f64,
}

impl Tool {
    /// Half a curve at a distance from the tool, from the middle of the corner outwards, in mm.
    fn half_curve(&self, surface: Surface) -> Vec<[f64; 2]> {
        let Surface { radius_mm, at_corner_mm, beside_mm, strip_mm } = surface;
        let arc_mm = radius_mm * self.half_rad;
        let (start, mut curve) = self.bend(radius_mm, at_corner_mm);
        let out_mm = (strip_mm - arc_mm).max(start);
        if strip_mm > 0.0 && out_mm < self.face_mm && at_corner_mm != beside_mm {
            curve.push(self.on_face(radius_mm, out_mm, at_corner_mm));
            curve.push(self.on_face(radius_mm, (out_mm + RAMP_MM).min(self.face_mm), beside_mm));
        }
        curve.push(self.on_face(radius_mm, self.face_mm, beside_mm));
        curve
    }

    /// The bend itself, and how far along the face it ends.
    fn bend(&self, radius_mm: f64, depth_mm: f64) -> (f64, Vec<[f64; 2]>) {
        let arc = |radius: f64, centre: f64, sign: f64| {
            let point = |step: usize| {
                let angle = self.half_rad * step as f64 / N_STEPS as f64;
                [radius * sin(angle), centre - sign * radius * cos(angle)]
            };
            (0..=N_STEPS).map(point).collect()
        };
        match self.met_as {
            // Past the radius the faces' layers meet in a sharp corner.
            MetAs::Inside if depth_mm >= radius_mm => {
                let along = (depth_mm - radius_mm) * tan(self.half_rad);
                (along, vec![self.on_face(radius_mm, along, depth_mm)])
            }
            MetAs::Inside => (0.0, arc(radius_mm - depth_mm, radius_mm, 1.0)),
            MetAs::Outside => (0.0, arc(radius_mm + depth_mm, -radius_mm, -1.0)),
        }
    }

    /// A point over the face, so far from where the bend ends and so far from the tool.
    fn on_face(&self, radius_mm: f64, along_mm: f64, depth_mm: f64) -> [f64; 2] {
        let (s, c) = (sin(self.half_rad), cos(self.half_rad));
        // The faces stay where they are whatever the radius: a wider bend begins further out.
        match self.met_as {
            MetAs::Inside => {
                let end = [radius_mm * s, radius_mm * (1.0 - c)];
                [end[0] + along_mm * c - depth_mm * s, end[1] + along_mm * s + depth_mm * c]
            }
            MetAs::Outside => {
                let end = [radius_mm * s, -radius_mm * (1.0 - c)];
                [end[0] + along_mm * c + depth_mm * s, end[1] - along_mm * s + depth_mm * c]
            }
        }
    }

    /// How much higher the middle of a bend of one radius lies than that of another between the same faces.
    fn rise_mm(&self, from_radius_mm: f64, to_radius_mm: f64) -> f64 {
        (to_radius_mm - from_radius_mm) * (1.0 / cos(self.half_rad) - 1.0)
    }
}

/// One layer to draw.
struct Layer<'a> {
    ply: Option<(usize, &'a PlannedPly)>,
    hatch: Hatch,
    under: Vec<[f64; 2]>,
    over: Vec<[f64; 2]>,
}

/// The drawing with what it shows in words and what every ply meets.
pub fn section(placed: &Placed<'_>, piece: usize, met: &MetCorner, at: &At) -> Markup {
    let layers = layers(placed.build, met);
    let tool = tool_of(placed.build, met);
    let face =
        tool.half_curve(Surface { radius_mm: met.met.radius_mm, at_corner_mm: 0.0, beside_mm: 0.0, strip_mm: 0.0 });
    let labels = label_layers(&layers, placed, at, met);
    let labels_x = PX_PER_MM * furthest(&face, &layers) + 26.0;
    let ys = layers.iter().flat_map(|layer| &layer.over).chain(&face).map(|point| -point[1] * PX_PER_MM);
    let (highest, lowest) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), y| (a.min(y), b.max(y)));
    let rows = labels::rows(&labels).into_iter().fold(highest, f64::min);
    let (top, bottom) = (rows.min(highest) - ROW_PX, lowest + FLOOR_PX + 24.0);
    let left = -PX_PER_MM * furthest(&face, &layers) - 8.0;
    let size = [labels_x + LABELS_PX - left, bottom - top];
    let name = format!(
        "{}, {} {}, corner {}",
        placed.part.name,
        placed.build.make.word(),
        placed.build.pieces[piece].name,
        met.corner.id
    );
    html! {
        figure.corner-section {
            div.scroll tabindex="0" role="region" aria-label={ "Section, " (name) } {
                svg.section role="group" aria-label={ "Section through " (name) }
                    viewBox=(format!("{} {} {} {}", px(left), px(top), px(size[0]), px(size[1]))) width=(px(size[0])) height=(px(size[1])) {
                    polygon points=(ground(&face, lowest + FLOOR_PX)) fill=(Hatch::Tool.fill()) {}
                    @for layer in &layers {
                        @let outline = outline(&layer.under, &layer.over);
                        polygon.ground points=(outline) {}
                        polygon.ply points=(outline) fill=(layer.hatch.fill()) {}
                    }
                    polyline.face points=(points(&mirrored(&face))) {}
                    rect.ground x="-17" y=(px(tool_word_y(&face, lowest))) width="34" height="15" {}
                    text x="0" y=(px(tool_word_y(&face, lowest) + 11.5)) text-anchor="middle" { "tool" }
                    (labels::drawn(&labels, labels_x))
                    (scale(left, bottom))
                }
            }
            (caption(placed, piece, met, at))
        }
    }
}

fn tool_word_y(face: &[[f64; 2]], lowest: f64) -> f64 {
    let middle = -face.first().map_or(0.0, |point| point[1]) * PX_PER_MM;
    (middle + 26.0).min(lowest + 8.0)
}

fn tool_of(build: &Build, met: &MetCorner) -> Tool {
    let half_strips = build.plies_plan.plies.iter().filter_map(|ply| strip_half_mm(ply, met));
    let strip_mm = half_strips.fold(0.0, f64::max);
    let face_mm = (strip_mm + BESIDE_MM).clamp(FACE_MM[0], FACE_MM[1]);
    Tool { met_as: met.met.met_as, half_rad: 0.5 * rad_from_deg(met.met.turn_deg), face_mm }
}

/// Half the width of a ply that is a strip along this corner.
fn strip_half_mm(ply: &PlannedPly, met: &MetCorner) -> Option<f64> {
    let lies = met.advice.sees.iter().any(|sees| sees.ply == ply.ply);
    match &ply.zone {
        Zone::Corners(strip) if lies => Some(0.5 * strip.width_mm),
        _ => None,
    }
}

/// The fillet behind the gelcoat that this corner needs, as the radius that the plies then lie on.
fn fillet_mm(met: &MetCorner) -> Option<f64> {
    met.advice.remedies.iter().find_map(|remedy| match remedy {
        Remedy::Fill { place: Place::BehindGelcoat, to_radius_mm, .. } => Some(*to_radius_mm),
        _ => None,
    })
}

/// Gelcoat, fillet and plies, from the tool outwards.
fn layers<'a>(build: &'a Build, met: &MetCorner) -> Vec<Layer<'a>> {
    let tool = tool_of(build, met);
    let plan = &build.plies_plan;
    let mut radius_mm = met.met.radius_mm;
    let gelcoat_mm = plan.gelcoat_mm();
    let plain = |radius_mm: f64, depth_mm: f64, strip_mm: f64| Surface {
        radius_mm,
        at_corner_mm: depth_mm,
        beside_mm: depth_mm,
        strip_mm,
    };
    let mut layers = Vec::new();
    let mut under = tool.half_curve(plain(radius_mm, 0.0, 0.0));
    if gelcoat_mm > 0.0 {
        let over = tool.half_curve(plain(radius_mm, gelcoat_mm, 0.0));
        layers.push(Layer { ply: None, hatch: Hatch::Gelcoat, under, over: over.clone() });
        under = over;
    }
    if let Some(fillet_mm) = fillet_mm(met) {
        let wider_mm = fillet_mm + gelcoat_mm;
        let over = raised(&tool, radius_mm, plain(wider_mm, gelcoat_mm, 0.0), met);
        layers.push(Layer { ply: None, hatch: Hatch::Putty, under, over: over.clone() });
        under = over;
        radius_mm = wider_mm;
    }
    let (mut at_corner_mm, mut beside_mm, mut strip_mm) = (gelcoat_mm, gelcoat_mm, 0.0f64);
    for ply in plan.plies.iter().filter(|ply| met.advice.sees.iter().any(|sees| sees.ply == ply.ply)) {
        at_corner_mm += ply.per_m2.thickness_mm.likely;
        match strip_half_mm(ply, met) {
            Some(half_mm) => strip_mm = strip_mm.max(half_mm),
            None => beside_mm += ply.per_m2.thickness_mm.likely,
        }
        let over = raised(&tool, met.met.radius_mm, Surface { radius_mm, at_corner_mm, beside_mm, strip_mm }, met);
        let layer = Layer { ply: Some((ply.ply, ply)), hatch: Hatch::Ply(ply.stuff.word()), under, over: over.clone() };
        layers.push(layer);
        under = over;
    }
    layers
}

/// A curve over a wider bend than the tool's: the faces keep their place, so the whole bend rises between them.
fn raised(tool: &Tool, tool_radius_mm: f64, surface: Surface, met: &MetCorner) -> Vec<[f64; 2]> {
    if met.met.met_as == MetAs::Outside || surface.radius_mm == tool_radius_mm {
        return tool.half_curve(surface);
    }
    let rise_mm = tool.rise_mm(tool_radius_mm, surface.radius_mm);
    // The face begins further out by as much as the wider bend takes; it has to end where it did.
    let taken_mm = (surface.radius_mm - tool_radius_mm) * tan(tool.half_rad);
    let shorter = Tool { face_mm: (tool.face_mm - taken_mm).max(1.0), ..*tool };
    let arc_more_mm = (surface.radius_mm - tool_radius_mm) * tool.half_rad;
    let strip_mm = if surface.strip_mm > 0.0 { surface.strip_mm + arc_more_mm - taken_mm } else { 0.0 };
    let curve = shorter.half_curve(Surface { strip_mm, ..surface });
    curve.into_iter().map(|[x, y]| [x, y + rise_mm]).collect()
}

fn mirrored(half: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let px = |[x, y]: [f64; 2]| [x * PX_PER_MM, -y * PX_PER_MM];
    let left = half.iter().rev().map(|&[x, y]| px([-x, y]));
    left.chain(half.iter().map(|&point| px(point))).collect()
}

fn outline(under: &[[f64; 2]], over: &[[f64; 2]]) -> String {
    let line: Vec<[f64; 2]> = mirrored(under).into_iter().chain(mirrored(over).into_iter().rev()).collect();
    points(&line)
}

/// The tool under its face, down to a line.
fn ground(face: &[[f64; 2]], floor_px: f64) -> String {
    let mut line = mirrored(face);
    let ends = [line.last().map_or(0.0, |end| end[0]), line.first().map_or(0.0, |end| end[0])];
    line.extend(ends.map(|x| [x, floor_px]));
    points(&line)
}

fn furthest(face: &[[f64; 2]], layers: &[Layer<'_>]) -> f64 {
    layers.iter().flat_map(|layer| &layer.over).chain(face).map(|point| point[0]).fold(0.0, f64::max)
}

/// Each layer is named at the right end of its face; a strip where it ends.
fn label_layers(layers: &[Layer<'_>], placed: &Placed<'_>, at: &At, met: &MetCorner) -> Vec<Label> {
    let list = placed.at.key("schedule_plies");
    let label = |layer: &Layer<'_>| {
        let is_strip = layer.ply.is_some_and(|(_, ply)| strip_half_mm(ply, met).is_some());
        // A strip's last point but two is where it begins to run out.
        let back = if is_strip { layer.over.len().saturating_sub(3) } else { layer.over.len().saturating_sub(1) };
        let (over, under) = (layer.over.get(back)?, layer.under.get(back.min(layer.under.len() - 1))?);
        let middle = if is_strip { *over } else { [0.5 * (over[0] + under[0]), 0.5 * (over[1] + under[1])] };
        let text = match (layer.ply, layer.hatch) {
            (Some((number, ply)), _) => {
                let at = list.item(number - 1);
                html! {
                    (number) " " (ply.name) ", " (drawn(ply.per_m2.thickness_mm.likely, 2, &at.key("thickness_mm"))) " mm"
                    @if let Zone::Corners(strip) = &ply.zone { tspan.faint { "; strip " (strip.width_mm) " mm wide" } }
                }
            }
            (None, Hatch::Putty) => fillet_text(met, at),
            (None, _) => html! { "gelcoat" },
        };
        let point = if layer.hatch == Hatch::Putty {
            let top = layer.over.first()?;
            let low = layer.under.first()?;
            [0.0, 0.5 * (top[1] + low[1])]
        } else {
            middle
        };
        Some(Label::of([point[0] * PX_PER_MM, -point[1] * PX_PER_MM], text))
    };
    layers.iter().filter_map(label).collect()
}

fn fillet_text(met: &MetCorner, at: &At) -> Markup {
    let found = met.advice.remedies.iter().enumerate().find_map(|(index, remedy)| match remedy {
        Remedy::Fill { place: Place::BehindGelcoat, to_radius_mm, filler, .. } => Some((index, *to_radius_mm, filler)),
        _ => None,
    });
    html! {
        @if let Some((index, to_radius_mm, filler)) = found {
            @let remedy = at.key("remedies").item(index);
            "fillet to " (drawn(to_radius_mm, 1, &remedy.key("to_radius_mm"))) " mm radius: " (filler)
        }
    }
}

fn scale(left: f64, bottom: f64) -> Markup {
    let (x, y) = (left + 8.0, bottom - 8.0);
    html! {
        path.line d=(format!("M{} {}V{}H{}V{}", px(x), px(y - 4.0), px(y), px(x + 10.0 * PX_PER_MM), px(y - 4.0))) {}
        text.faint x=(px(x + 10.0 * PX_PER_MM + 5.0)) y=(px(y)) { "10 mm, every way" }
    }
}

fn caption(placed: &Placed<'_>, piece: usize, met: &MetCorner, at: &At) -> Markup {
    let what = match met.met.met_as {
        MetAs::Inside => "inside corner",
        MetAs::Outside => "outside corner",
    };
    html! {
        figcaption {
            b { bdi { (placed.part.name) } ", " (placed.build.make.word()) " " bdi { (placed.build.pieces[piece].name) } ", corner " bdi { (met.corner.id) } }
            ": " (what)
            @if met.met.from == CornerFrom::Flange { " at the root of a flange" }
            ", radius " (figure(met.corner.radius_mm, 1, &at.key("radius_mm"))) " mm, turn "
            (figure(met.corner.turn_deg, 0, &at.key("turn_deg"))) " deg, length "
            (figure(met.corner.length_mm, 0, &at.key("length_mm"))) " mm. "
            @match met.advice.first_failing_ply {
                Some(ply) => {
                    "As it is in CAD, ply " (count(ply, &at.key("first_failing_ply"))) " is the first that does not lie down; radius needed for all "
                    (figure(met.needed_mm, 1, &at.key("needed_radius_mm"))) " mm. "
                    @if fillet_mm(met).is_some() { "Drawn with the fillet behind the gelcoat. " }
                }
                None => "Every ply lies down. ",
            }
            "To scale, nothing exaggerated."
        }
        (sees(met, at))
    }
}

/// What each ply meets in the corner as it is in CAD.
fn sees(met: &MetCorner, at: &At) -> Markup {
    let list = at.key("sees");
    html! {
        details {
            summary { "what each ply meets there" }
            table {
                thead { tr {
                    th scope="col" { "Ply" } th scope="col" { "Material" }
                    th.number scope="col" { "meets" span.unit { "mm radius" } }
                    th.number scope="col" { "takes" span.unit { "mm radius" } }
                    th scope="col" { "Lies down" }
                } }
                tbody {
                    @for (index, sees) in met.advice.sees.iter().enumerate() {
                        @let at = list.item(index);
                        tr {
                            th scope="row" { (count(sees.ply, &at.key("ply"))) }
                            td { bdi { (sees.material) } }
                            td.number { (figure(sees.radius_mm, 1, &at.key("radius_mm"))) }
                            td.number { (figure(sees.limit_mm, 1, &at.key("limit_mm"))) }
                            td { @if sees.fits() { "yes" } @else { b { "no" } } }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tool(met_as: MetAs) -> Tool {
        Tool { met_as, half_rad: rad_from_deg(45.0), face_mm: 40.0 }
    }

    fn plain(radius_mm: f64, depth_mm: f64) -> Surface {
        Surface { radius_mm, at_corner_mm: depth_mm, beside_mm: depth_mm, strip_mm: 0.0 }
    }

    /// Source: right angle, faces at 45 degrees: a layer of 2 mm in a sharp corner rises by 2 times the root of 2.
    #[test]
    fn layers_in_a_sharp_inside_corner_meet_in_a_sharp_corner() {
        let curve = tool(MetAs::Inside).half_curve(plain(0.0, 2.0));
        assert!(curve[0][0].abs() < 1e-12 && (curve[0][1] - 8f64.sqrt()).abs() < 1e-12, "{curve:?}");
        assert_eq!(curve.len(), 2);
    }

    #[test]
    fn over_an_outside_corner_the_radius_grows_by_what_lies_on_it() {
        let curve = tool(MetAs::Outside).half_curve(plain(5.0, 3.0));
        // The centre lies 5 mm under the middle of the tool.
        for [x, y] in &curve[..=N_STEPS] {
            assert!(((x * x + (y + 5.0) * (y + 5.0)).sqrt() - 8.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_fillet_leaves_the_faces_where_they_are() {
        let tool = tool(MetAs::Inside);
        let sharp = tool.half_curve(plain(0.0, 0.5));
        let rise_mm = tool.rise_mm(0.0, 8.0);
        let wide = Tool { face_mm: 40.0 - 8.0 * tan(tool.half_rad), ..tool }.half_curve(plain(8.0, 0.5));
        let (a, b) = (sharp.last().expect("a point"), wide.last().expect("a point"));
        assert!((a[0] - b[0]).abs() < 1e-9 && (a[1] - (b[1] + rise_mm)).abs() < 1e-9, "{a:?} {b:?} {rise_mm}");
    }
}
