//! A scene as GLB (glTF 2.0, Khronos Group), in metres and y up as that standard has it.
//!
//! One root node turns the panel's z up to y up; under it a node for each panel, under that the faces, flanges and lines of
//! its layers. Places are about the middle of their panel, which its node puts where the panel is: single precision would lose
//! half a millimetre of a panel that is 5 km from the origin. What a node is stands in its `extras`: faces carry zones (with the number of plies in each), ply
//! limits, reduction and pull, and attributes of their own by point: `_RADIUS_MM`, with a lay-up `_THICKNESS_MM` and `_ZONE`, with
//! a pull `_DRAFT_DEG`, with a wall `_WALL_MM` (0 where none lies behind). What cannot be drawn (a face without facets, a
//! place that is no number in single precision) is left out, so that any scene gives a valid file.

mod store;

use serde_json::{Map, Value, json};

use self::store::Store;
use super::scene::{Layer, Line, Scene, ScenePanel, ShadedFace};
use crate::geometry::mesh::{Point, Vector};
use crate::units::m_from_mm;

/// Kinds of primitive, as the standard numbers them.
const TRIANGLES: u32 = 4;
const LINE_STRIP: u32 = 3;

/// The whole file.
#[must_use]
pub fn bytes(scene: &Scene) -> Vec<u8> {
    let mut file = File::default();
    let panels: Vec<usize> =
        scene.panels.iter().enumerate().filter_map(|(index, panel)| file.add_panel(index, panel)).collect();
    file.finished(panels)
}

/// The file while nodes are added.
#[derive(Default)]
struct File {
    store: Store,
    nodes: Vec<Value>,
    meshes: Vec<Value>,
}

impl File {
    fn add_panel(&mut self, index: usize, panel: &ScenePanel) -> Option<usize> {
        let mut children = Vec::new();
        let middle = middle(panel);
        for layer in &panel.layers {
            let place = Place { panel, index, layer, middle };
            children.extend(self.add_face(place));
            children.extend(self.add_flanges(place));
            children.extend(layer.lines.iter().filter_map(|line| self.add_line(place, line)));
        }
        (!children.is_empty()).then(|| {
            let extras = json!({ "what": "panel", "panel": index, "name": panel.name });
            let there = [middle.x, middle.y, middle.z].map(m_from_mm);
            self.add_node(json!({ "name": panel.name, "translation": there, "children": children, "extras": extras }))
        })
    }

    fn add_face(&mut self, place: Place<'_>) -> Option<usize> {
        let layer = place.layer;
        let face = Single::of(&layer.face, place.middle);
        if face.faces.is_empty() {
            return None;
        }
        let numbers = |list: &[u16]| list.iter().map(|&number| f32::from(number)).collect::<Vec<f32>>();
        let singles = |list: &[f64]| list.iter().map(|&number| single(number)).collect::<Vec<f32>>();
        let mut attributes = json!({
            "POSITION": self.store.points(&face.points_m),
            "NORMAL": self.store.vectors(&layer.face.normals.iter().map(unit).collect::<Vec<_>>()),
            "_RADIUS_MM": self.store.scalars(&singles(&layer.face.radius_mm)),
        });
        if !layer.zones.is_empty() {
            attributes["_THICKNESS_MM"] = json!(self.store.scalars(&singles(&layer.face.thickness_mm)));
            attributes["_ZONE"] = json!(self.store.scalars(&numbers(&layer.face.zone)));
        }
        for (name, list) in [("_DRAFT_DEG", &layer.face.draft_deg), ("_WALL_MM", &layer.face.wall_mm)] {
            if !list.is_empty() {
                attributes[name] = json!(self.store.scalars(&singles(list)));
            }
        }
        let primitive = json!({
            "mode": TRIANGLES, "attributes": attributes, "indices": self.store.indices(&face.faces, face.points_m.len()),
        });
        let mut extras = place.extras("face");
        extras.insert("zones".to_owned(), json!(layer.zones));
        extras.insert("zone_plies".to_owned(), json!(layer.zone_plies));
        extras.insert("pull".to_owned(), pull_entry(layer));
        extras.insert("limits".to_owned(), layer.limits.iter().map(limit_entry).collect());
        extras.insert("reduction".to_owned(), reduction_entry(layer));
        Some(self.add_mesh(&place.name("face"), primitive, extras))
    }

    fn add_flanges(&mut self, place: Place<'_>) -> Option<usize> {
        let corners = place.layer.flanges.iter().map(|triangle| triangle.map(|corner| metres(&corner, place.middle)));
        let drawn = |[a, b, c]: &[Option<[f32; 3]>; 3]| a != b && b != c && a != c;
        let points: Vec<[f32; 3]> = corners.filter(drawn).filter_map(whole).flatten().collect();
        if points.is_empty() {
            return None;
        }
        let primitive = json!({ "mode": TRIANGLES, "attributes": { "POSITION": self.store.points(&points) } });
        Some(self.add_mesh(&place.name("flange"), primitive, place.extras("flange")))
    }

    fn add_line(&mut self, place: Place<'_>, line: &Line) -> Option<usize> {
        let mut points: Vec<[f32; 3]> = line.path_mm.iter().filter_map(|point| metres(point, place.middle)).collect();
        points.dedup();
        if points.len() < 2 {
            return None;
        }
        let what = line.kind.word();
        let primitive = json!({ "mode": LINE_STRIP, "attributes": { "POSITION": self.store.points(&points) } });
        let mut extras = place.extras(what);
        extras.insert("name".to_owned(), json!(line.name));
        Some(self.add_mesh(&place.name(&format!("{what} {}", line.name)), primitive, extras))
    }

    fn add_mesh(&mut self, name: &str, primitive: Value, extras: Map<String, Value>) -> usize {
        self.meshes.push(json!({ "name": name, "primitives": [primitive] }));
        let mesh = self.meshes.len() - 1;
        self.add_node(json!({ "name": name, "mesh": mesh, "extras": extras }))
    }

    fn add_node(&mut self, node: Value) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    fn finished(mut self, panels: Vec<usize>) -> Vec<u8> {
        let mut document = Map::new();
        let generator = concat!("matloft ", env!("CARGO_PKG_VERSION"));
        document.insert("asset".to_owned(), json!({ "version": "2.0", "generator": generator }));
        document.insert("scene".to_owned(), json!(0));
        // The standard allows no empty lists: without anything to draw, the scene is there and holds nothing.
        if panels.is_empty() {
            document.insert("scenes".to_owned(), json!([{ "name": "panels" }]));
            return store::container(&Value::Object(document), &[]);
        }
        // A quarter turn about x takes z up to y up.
        let half = std::f64::consts::FRAC_1_SQRT_2;
        let root = json!({ "name": "panels", "rotation": [-half, 0.0, 0.0, half], "children": panels });
        let root = self.add_node(root);
        document.insert("scenes".to_owned(), json!([{ "name": "panels", "nodes": [root] }]));
        document.insert("nodes".to_owned(), Value::Array(self.nodes));
        document.insert("meshes".to_owned(), Value::Array(self.meshes));
        let binary = self.store.put_into(&mut document);
        store::container(&Value::Object(document), &binary)
    }
}

/// Where a node belongs.
#[derive(Clone, Copy)]
struct Place<'a> {
    panel: &'a ScenePanel,
    index: usize,
    layer: &'a Layer,
    /// Middle of the panel, in mm.
    middle: Point,
}

impl Place<'_> {
    fn extras(self, what: &str) -> Map<String, Value> {
        let make = self.layer.make.map(|make| make.word());
        let entries = json!({ "what": what, "panel": self.index, "make": make, "piece": self.layer.piece });
        if let Value::Object(entries) = entries { entries } else { Map::new() }
    }

    /// "roof, mould a: face".
    fn name(self, what: &str) -> String {
        let panel = &self.panel.name;
        match self.layer.make {
            Some(make) => format!("{panel}, {} {}: {what}", make.word(), self.layer.piece),
            None => format!("{panel}: {what}"),
        }
    }
}

fn limit_entry(limit: &super::scene::PlyLimit) -> Value {
    json!({
        "ply": limit.ply, "material": limit.material, "inside_mm": limit.inside_mm, "outside_mm": limit.outside_mm,
    })
}

fn pull_entry(layer: &Layer) -> Value {
    layer.pull.map_or(Value::Null, |pull| {
        json!({
            "direction": [pull.direction.x, pull.direction.y, pull.direction.z],
            "wanted_draft_deg": pull.wanted_draft_deg, "near_zero_draft_deg": pull.near_zero_draft_deg,
        })
    })
}

fn reduction_entry(layer: &Layer) -> Value {
    layer.reduction.map_or(Value::Null, |reduction| {
        json!({
            "n_before": reduction.n_before, "n_after": reduction.n_after,
            "error_mm": reduction.error_mm, "area_share": reduction.area_share,
        })
    })
}

/// A face's points and facets in single precision. If a point cannot be held, the facets at it are left out.
struct Single {
    points_m: Vec<[f32; 3]>,
    faces: Vec<[u32; 3]>,
}

impl Single {
    fn of(face: &ShadedFace, middle: Point) -> Self {
        let points: Vec<Option<[f32; 3]>> = face.points_mm.iter().map(|point| metres(point, middle)).collect();
        let is_held = |corners: &&[u32; 3]| corners.iter().all(|&point| points[point as usize].is_some());
        let faces = face.faces.iter().filter(is_held).copied().collect();
        Self { points_m: points.into_iter().map(Option::unwrap_or_default).collect(), faces }
    }
}

/// Middle of the box round all of a panel that can be drawn, in mm.
fn middle(panel: &ScenePanel) -> Point {
    let of_layer = |layer: &Layer| {
        let lines = layer.lines.iter().flat_map(|line| &line.path_mm);
        let all = layer.face.points_mm.iter().chain(layer.flanges.as_flattened()).chain(lines);
        all.filter(|point| is_held(point)).map(|point| (*point, *point)).reduce(around)
    };
    let bounds = panel.layers.iter().filter_map(of_layer).reduce(around);
    bounds.map_or(Point::origin(), |(least, most)| nalgebra::center(&least, &most))
}

/// The box round two boxes.
fn around(a: (Point, Point), b: (Point, Point)) -> (Point, Point) {
    (a.0.inf(&b.0), a.1.sup(&b.1))
}

/// Whether single precision can hold a place, in metres.
fn is_held(point: &Point) -> bool {
    point.iter().all(|&coordinate| (m_from_mm(coordinate) as f32).is_finite())
}

/// A point in metres from the middle of its panel; nothing if single precision cannot hold where it is.
fn metres(point: &Point, middle: Point) -> Option<[f32; 3]> {
    let from = point - middle;
    is_held(point).then(|| [from.x, from.y, from.z].map(|coordinate| m_from_mm(coordinate) as f32))
}

fn whole([a, b, c]: [Option<[f32; 3]>; 3]) -> Option<[[f32; 3]; 3]> {
    Some([a?, b?, c?])
}

fn unit(normal: &Vector) -> [f32; 3] {
    [normal.x, normal.y, normal.z].map(|part| part as f32)
}

/// In single precision, bounded to what it holds.
fn single(number: f64) -> f32 {
    if number.is_nan() { 0.0 } else { number.clamp(f64::from(f32::MIN), f64::from(f32::MAX)) as f32 }
}

#[cfg(test)]
mod tests;
