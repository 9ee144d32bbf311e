//! The binary part of a GLB: numbers by list, each with a view and an accessor.

use serde_json::{Map, Value, json};

/// Component types and uses of buffers, as the standard numbers them.
const FLOAT: u32 = 5126;
const UNSIGNED_SHORT: u32 = 5123;
const UNSIGNED_INT: u32 = 5125;
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;

/// "glTF", "JSON" and "BIN" as the standard has them, and its version.
const MAGIC: u32 = 0x4654_6C67;
const JSON_CHUNK: u32 = 0x4E4F_534A;
const BINARY_CHUNK: u32 = 0x004E_4942;
const VERSION: u32 = 2;

/// Numbers, and where each list lies among them.
#[derive(Default)]
pub(super) struct Store {
    binary: Vec<u8>,
    views: Vec<Value>,
    accessors: Vec<Value>,
}

impl Store {
    /// Places: the standard wants their least and most.
    pub(super) fn points(&mut self, points: &[[f32; 3]]) -> usize {
        let mut least = [f32::INFINITY; 3];
        let mut most = [f32::NEG_INFINITY; 3];
        for point in points {
            for axis in 0..3 {
                least[axis] = least[axis].min(point[axis]);
                most[axis] = most[axis].max(point[axis]);
            }
        }
        let mut accessor = self.floats(points.as_flattened(), points.len(), "VEC3");
        accessor["min"] = json!(least);
        accessor["max"] = json!(most);
        self.add(accessor)
    }

    /// Directions.
    pub(super) fn vectors(&mut self, vectors: &[[f32; 3]]) -> usize {
        let accessor = self.floats(vectors.as_flattened(), vectors.len(), "VEC3");
        self.add(accessor)
    }

    /// One number a point.
    pub(super) fn scalars(&mut self, scalars: &[f32]) -> usize {
        let accessor = self.floats(scalars, scalars.len(), "SCALAR");
        self.add(accessor)
    }

    /// Corners of facets, in two bytes each where that is enough; the greatest number of two bytes means something else.
    pub(super) fn indices(&mut self, faces: &[[u32; 3]], n_points: usize) -> usize {
        let corners = faces.as_flattened();
        let is_short = n_points <= usize::from(u16::MAX);
        let bytes: Vec<u8> = if is_short {
            corners.iter().flat_map(|&corner| (corner as u16).to_le_bytes()).collect()
        } else {
            corners.iter().flat_map(|&corner| corner.to_le_bytes()).collect()
        };
        let kind = if is_short { UNSIGNED_SHORT } else { UNSIGNED_INT };
        let view = self.view(&bytes, ELEMENT_ARRAY_BUFFER);
        self.add(json!({ "bufferView": view, "componentType": kind, "count": corners.len(), "type": "SCALAR" }))
    }

    fn floats(&mut self, numbers: &[f32], count: usize, kind: &str) -> Value {
        let bytes: Vec<u8> = numbers.iter().flat_map(|number| number.to_le_bytes()).collect();
        let view = self.view(&bytes, ARRAY_BUFFER);
        json!({ "bufferView": view, "componentType": FLOAT, "count": count, "type": kind })
    }

    fn view(&mut self, bytes: &[u8], target: u32) -> usize {
        self.views.push(json!({
            "buffer": 0, "byteOffset": self.binary.len(), "byteLength": bytes.len(), "target": target,
        }));
        self.binary.extend_from_slice(bytes);
        // Every list begins at a multiple of four.
        self.binary.resize(self.binary.len().next_multiple_of(4), 0);
        self.views.len() - 1
    }

    fn add(&mut self, accessor: Value) -> usize {
        self.accessors.push(accessor);
        self.accessors.len() - 1
    }

    /// Puts the lists into the document; gives the bytes that they lie in.
    pub(super) fn put_into(self, document: &mut Map<String, Value>) -> Vec<u8> {
        document.insert("accessors".to_owned(), Value::Array(self.accessors));
        document.insert("bufferViews".to_owned(), Value::Array(self.views));
        document.insert("buffers".to_owned(), json!([{ "byteLength": self.binary.len() }]));
        self.binary
    }
}

/// Header and chunks.
pub(super) fn container(document: &Value, binary: &[u8]) -> Vec<u8> {
    let mut text = document.to_string().into_bytes();
    text.resize(text.len().next_multiple_of(4), b' ');
    let mut chunks = Vec::with_capacity(text.len() + binary.len() + 28);
    add_chunk(&mut chunks, JSON_CHUNK, &text);
    if !binary.is_empty() {
        add_chunk(&mut chunks, BINARY_CHUNK, binary);
    }
    let length = chunks.len() + 12;
    let mut file = Vec::with_capacity(length);
    for word in [MAGIC, VERSION, length as u32] {
        file.extend(word.to_le_bytes());
    }
    file.extend(chunks);
    file
}

fn add_chunk(chunks: &mut Vec<u8>, kind: u32, bytes: &[u8]) {
    chunks.extend((bytes.len() as u32).to_le_bytes());
    chunks.extend(kind.to_le_bytes());
    chunks.extend_from_slice(bytes);
}
