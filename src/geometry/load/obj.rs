//! OBJ: faces of any number of corners, concave ones too, objects, groups and materials; faults told with their line.
//!
//! Read here and not by a library: `tobj` joins no continued lines, names no lines, knows materials only with their
//! library file, cuts concave polygons wrongly and overflows on some indices. The tests hold it beside this reader.

mod objects;

use rustc_hash::FxHashMap;

use super::error::LoadError;
use super::text::{lines, name, number, quoted, without_mark, words};
use crate::notes::Note;

pub use objects::{Object, objects};

/// An index that no vertex has.
const NO_VERTEX: u32 = u32::MAX;

/// What an OBJ holds.
#[derive(Debug, Clone, Default)]
pub struct Obj {
    /// Its vertices.
    pub vertices: Vec<[f64; 3]>,
    /// Vertices of all faces, one face after the other; those that do not exist are told in `bad_indices`.
    corners: Vec<u32>,
    faces: Vec<Face>,
    regions: Vec<Region>,
    /// Names after `o`, `g` and `usemtl`.
    names: Vec<String>,
    /// Face and index as written, in order of faces.
    bad_indices: Vec<(u32, i64)>,
    n_objects: u32,
    /// What was found odd.
    pub notes: Vec<Note>,
}

#[derive(Debug, Clone, Copy)]
struct Face {
    first_corner: usize,
    n_corners: u32,
    region: u32,
    line: usize,
}

/// What was in force when a face was read: names by number in `names`.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
struct Region {
    /// Counts the `o` lines, so that equal names stay apart; 0 before the first.
    object: u32,
    object_name: Option<u32>,
    group: Option<u32>,
    material: Option<u32>,
}

/// Reads an OBJ.
///
/// # Errors
/// With the line, if a vertex or a face cannot be read, or if nothing holds together: faces that name missing vertices are
/// told by object, see [`Object::cut`].
pub fn read(bytes: &[u8]) -> Result<Obj, LoadError> {
    let mut reader = Reader::default();
    let mut joined: Vec<u8> = Vec::new();
    let mut joined_from = 0;
    for (number, line) in lines(without_mark(bytes)) {
        let trimmed = line.trim_ascii_end();
        if let Some(start) = trimmed.strip_suffix(b"\\").filter(|_| !is_comment(line)) {
            joined_from = if joined.is_empty() { number } else { joined_from };
            joined.extend_from_slice(start);
            joined.push(b' ');
        } else if joined.is_empty() {
            reader.statement(line, number)?;
        } else {
            joined.extend_from_slice(line);
            reader.statement(&joined, joined_from)?;
            joined.clear();
        }
    }
    if !joined.is_empty() {
        reader.statement(&joined, joined_from)?;
    }
    reader.finish()
}

fn is_comment(line: &[u8]) -> bool {
    line.trim_ascii_start().starts_with(b"#")
}

#[derive(Default)]
struct Reader {
    obj: Obj,
    now: Region,
    region_numbers: FxHashMap<Region, u32>,
    name_numbers: FxHashMap<String, u32>,
    /// First line of statements that are passed over, and how many there are.
    curves: Passed,
    points_and_lines: Passed,
    unknown: Passed,
    weights: Passed,
    first_zero_line: Option<usize>,
}

#[derive(Default)]
struct Passed {
    count: usize,
    first_line: usize,
}

impl Passed {
    fn add(&mut self, line: usize) {
        if self.count == 0 {
            self.first_line = line;
        }
        self.count += 1;
    }
}

impl Reader {
    fn statement(&mut self, line: &[u8], at: usize) -> Result<(), LoadError> {
        let mut words = words(line).take_while(|word| !word.starts_with(b"#"));
        let Some(keyword) = words.next() else { return Ok(()) };
        match keyword {
            b"v" | b"V" => self.vertex(words, at)?,
            b"f" | b"F" | b"fo" => self.face(words, at)?,
            b"o" => {
                self.obj.n_objects += 1;
                self.now.object = self.obj.n_objects;
                self.now.object_name = Some(self.name_number(rest(line, keyword)));
                self.now.group = None;
            }
            b"g" => self.now.group = Some(self.name_number(rest(line, keyword))),
            b"usemtl" => self.now.material = Some(self.name_number(rest(line, keyword))),
            b"l" | b"p" => self.points_and_lines.add(at),
            b"cstype" | b"curv" | b"curv2" | b"surf" => self.curves.add(at),
            b"vt" | b"vn" | b"vp" | b"s" | b"mtllib" | b"deg" | b"bmat" | b"step" | b"parm" | b"trim" | b"hole"
            | b"scrv" | b"sp" | b"end" | b"con" | b"mg" | b"bevel" | b"c_interp" | b"d_interp" | b"lod" | b"maplib"
            | b"usemap" | b"shadow_obj" | b"trace_obj" | b"ctech" | b"stech" => {}
            _ => self.unknown.add(at),
        }
        Ok(())
    }

    /// Three coordinates; a fourth number is a weight, which only curves use, and six hold a colour.
    fn vertex<'a>(&mut self, words: impl Iterator<Item = &'a [u8]>, line: usize) -> Result<(), LoadError> {
        let mut numbers = [0.0; 4];
        let mut count = 0;
        for word in words {
            if count < numbers.len() {
                numbers[count] = number(word, line)?;
            }
            count += 1;
        }
        if count < 3 {
            return Err(LoadError::ShortVertex { line, count });
        }
        #[expect(clippy::float_cmp, reason = "exporters that write a weight write 1 exactly")]
        if count == 4 && numbers[3] != 1.0 {
            self.weights.add(line);
        }
        self.obj.vertices.push([numbers[0], numbers[1], numbers[2]]);
        Ok(())
    }

    fn face<'a>(&mut self, words: impl Iterator<Item = &'a [u8]>, line: usize) -> Result<(), LoadError> {
        let first_corner = self.obj.corners.len();
        let number = self.obj.faces.len() as u32;
        for word in words {
            let index = vertex_index(word).ok_or_else(|| index_fault(word, line))?;
            let corner = self.resolve(index);
            if index == 0 {
                self.first_zero_line.get_or_insert(line);
            }
            if corner == NO_VERTEX {
                self.obj.bad_indices.push((number, index));
            }
            self.obj.corners.push(corner);
        }
        let n_corners = (self.obj.corners.len() - first_corner) as u32;
        if n_corners < 3 {
            self.obj.corners.truncate(first_corner);
            self.obj.bad_indices.retain(|&(face, _)| face != number);
            self.points_and_lines.add(line);
            return Ok(());
        }
        let region = self.region_number();
        self.obj.faces.push(Face { first_corner, n_corners, region, line });
        Ok(())
    }

    /// From the index as written, from 1 on or counted back from the last vertex, to the vertex's number.
    fn resolve(&self, index: i64) -> u32 {
        let from_zero = match index {
            1.. => index - 1,
            _ if index < 0 => self.obj.vertices.len() as i64 + index,
            _ => -1,
        };
        u32::try_from(from_zero).unwrap_or(NO_VERTEX)
    }

    fn name_number(&mut self, text: &[u8]) -> u32 {
        let text = name(text);
        let next = self.obj.names.len() as u32;
        *self.name_numbers.entry(text).or_insert_with_key(|text| {
            self.obj.names.push(text.clone());
            next
        })
    }

    fn region_number(&mut self) -> u32 {
        let next = self.obj.regions.len() as u32;
        *self.region_numbers.entry(self.now).or_insert_with(|| {
            self.obj.regions.push(self.now);
            next
        })
    }

    fn finish(mut self) -> Result<Obj, LoadError> {
        self.find_indices_out_of_range();
        let n_vertices = self.obj.vertices.len();
        let reaches_last = self.obj.corners.iter().any(|&corner| corner as usize + 1 == n_vertices);
        if let Some(line) = self.first_zero_line.filter(|_| !reaches_last) {
            return Err(LoadError::CountsFromZero { line });
        }
        if self.obj.faces.is_empty() {
            return Err(LoadError::NoTriangles { hint: self.instead_of_faces() });
        }
        self.tell_what_was_passed_over();
        Ok(self.obj)
    }

    /// Vertices may stand behind the faces that use them, so the upper end is known only now.
    fn find_indices_out_of_range(&mut self) {
        let n_vertices = self.obj.vertices.len() as u32;
        for (number, face) in (0..).zip(&self.obj.faces) {
            for &corner in &self.obj.corners[face.first_corner..face.first_corner + face.n_corners as usize] {
                if corner >= n_vertices && corner != NO_VERTEX {
                    self.obj.bad_indices.push((number, i64::from(corner) + 1));
                }
            }
        }
        self.obj.bad_indices.sort_unstable_by_key(|&(face, _)| face);
    }

    fn instead_of_faces(&self) -> String {
        if self.curves.count > 0 {
            format!(": it holds curves or surfaces (first at line {}), no faces", self.curves.first_line)
        } else if self.points_and_lines.count > 0 || !self.obj.vertices.is_empty() {
            format!(": it holds {} vertices, but no faces (no 'f' lines)", self.obj.vertices.len())
        } else {
            String::new()
        }
    }

    fn tell_what_was_passed_over(&mut self) {
        let mut tell = |passed: &Passed, note: fn(&str, String, &'static str) -> Note, code, what: &str, remedy| {
            if passed.count > 0 {
                let message = format!("{} {what} (first at line {})", passed.count, passed.first_line);
                self.obj.notes.push(note(code, message, remedy));
            }
        };
        let export = "export them as faces, too, if they belong to the part";
        let warning = |code: &str, message: String, remedy: &'static str| Note::warning(code, message, remedy);
        let info = |code: &str, message: String, remedy: &'static str| Note::info(code, message, remedy);
        tell(&self.curves, warning, "curves", "statements for curves or free-form surfaces were not measured", export);
        tell(
            &self.points_and_lines,
            info,
            "points-and-lines",
            "points or lines (less than three corners) were passed over",
            "",
        );
        tell(&self.weights, info, "weights", "vertices have a weight other than 1, which faces do not use", "");
        tell(
            &self.unknown,
            warning,
            "unknown-lines",
            "lines were not understood and passed over",
            "look at that line in a text editor",
        );
    }
}

/// The vertex's part of `7`, `7/3`, `7//2` or `7/3/2`; texture and normals are of no use here.
fn vertex_index(word: &[u8]) -> Option<i64> {
    let index = word.split(|&byte| byte == b'/').next()?;
    std::str::from_utf8(index).ok()?.parse().ok()
}

fn index_fault(word: &[u8], line: usize) -> LoadError {
    let found = quoted(word);
    if word.contains(&b',') {
        LoadError::Comma { line, found }
    } else {
        LoadError::Unexpected { line, expected: "a vertex index", found }
    }
}

/// What follows a statement's keyword.
fn rest<'a>(line: &'a [u8], keyword: &[u8]) -> &'a [u8] {
    &line.trim_ascii_start()[keyword.len()..]
}
