//! What the bytes of a file are. The ending of its name decides only what the bytes leave open.

use super::error::LoadError;
use super::text::{lines, looks_like_text, without_mark, words};

/// A format that can be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// STL in binary.
    BinaryStl,
    /// STL as text.
    TextStl,
    /// OBJ.
    Obj,
}

impl Format {
    /// The ending that files of this format have.
    #[must_use]
    pub const fn ending(self) -> &'static str {
        match self {
            Self::BinaryStl | Self::TextStl => "stl",
            Self::Obj => "obj",
        }
    }
}

/// Bytes of a binary STL before its records.
pub const HEAD_BYTES: usize = 84;
/// Bytes of a record of a binary STL.
pub const RECORD_BYTES: usize = 50;

/// The triangle count that a binary STL's header announces, if there is a header.
#[must_use]
pub fn announced(bytes: &[u8]) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(80..HEAD_BYTES)?.try_into().ok()?))
}

/// Decides the format of a file.
///
/// # Errors
/// If it is empty, of another known format, or nothing that could be a mesh.
pub fn format(bytes: &[u8], ending: &str) -> Result<Format, LoadError> {
    if bytes.is_empty() {
        return Err(LoadError::Empty);
    }
    // The length speaks before the words: binary files may begin with `solid`, and a text never has this length.
    if announced(bytes).is_some_and(|count| fits(bytes.len(), count)) {
        return Ok(Format::BinaryStl);
    }
    if let Some(what) = other_format(bytes) {
        return Err(LoadError::OtherFormat { what });
    }
    let text = without_mark(bytes);
    let blank = text.iter().all(|byte| byte.is_ascii_whitespace());
    match () {
        () if blank => {
            Err(LoadError::NoTriangles { hint: ": the file holds nothing but blanks, it is empty".to_owned() })
        }
        () if is_text_stl(text) => Ok(Format::TextStl),
        () if is_obj(text) || (ending == "obj" && looks_like_text(text)) => Ok(Format::Obj),
        () if looks_like_text(text) => {
            Err(LoadError::NotAMesh { why: "the text has neither 'facet' and 'vertex' lines nor 'v' and 'f' lines" })
        }
        () if ending != "stl" => Err(LoadError::NotAMesh { why: "the bytes are neither text nor a binary STL" }),
        () if bytes.len() < HEAD_BYTES => Err(LoadError::TooShort { bytes: bytes.len() }),
        () => Ok(Format::BinaryStl),
    }
}

/// Whether a binary STL of this count has exactly this length.
#[must_use]
pub fn fits(length: usize, count: u32) -> bool {
    length as u64 == HEAD_BYTES as u64 + RECORD_BYTES as u64 * u64::from(count)
}

/// Lines that are looked at to tell text formats apart.
const LINES_LOOKED_AT: usize = 200;

/// A text whose first word is `solid` or `facet` and whose next ones are those of an STL.
fn is_text_stl(text: &[u8]) -> bool {
    if !looks_like_text(text) {
        return false;
    }
    let mut first_words =
        lines(text).filter_map(|(_, line)| words(line).next()).take(LINES_LOOKED_AT).map(<[u8]>::to_ascii_lowercase);
    match first_words.next().as_deref() {
        Some(b"facet") => true,
        Some(b"solid") => {
            let expected: [&[u8]; 7] = [b"facet", b"outer", b"vertex", b"endloop", b"endfacet", b"endsolid", b"solid"];
            let mut others = first_words.peekable();
            // A lone `solid` line is an STL that ends early.
            others.peek().is_none() || others.any(|word| expected.contains(&word.as_slice()))
        }
        _ => false,
    }
}

/// A text with lines that only an OBJ has.
fn is_obj(text: &[u8]) -> bool {
    if !looks_like_text(text) {
        return false;
    }
    let is_vertex = |line: &[u8]| {
        let mut words = words(line);
        words.next() == Some(b"v") && words.next().is_some_and(|word| word.first().is_some_and(is_number_start))
    };
    lines(text).take(LINES_LOOKED_AT).any(|(_, line)| is_vertex(line))
}

const fn is_number_start(byte: &u8) -> bool {
    byte.is_ascii_digit() || matches!(byte, b'-' | b'+' | b'.')
}

/// Formats that people take for meshes, by their first bytes.
fn other_format(bytes: &[u8]) -> Option<&'static str> {
    const KNOWN: [(&[u8], &str); 16] = [
        (b"PK\x03\x04", "a ZIP archive (perhaps a 3MF)"),
        (b"\x1F\x8B", "a compressed file (gzip)"),
        (b"7z\xBC\xAF", "a compressed file (7z)"),
        (b"Rar!", "a compressed file (RAR)"),
        (b"ISO-10303-21", "a STEP file"),
        (b"glTF", "a GLB file"),
        (b"%PDF", "a PDF"),
        (b"\x89PNG", "a picture (PNG)"),
        (b"\xFF\xD8\xFF", "a picture (JPEG)"),
        (b"GIF8", "a picture (GIF)"),
        (b"ply\n", "a PLY file"),
        (b"ply\r", "a PLY file"),
        (b"<?xml", "an XML file"),
        (b"<!DOCTYPE", "a web page"),
        (b"\xFF\xFE", "a text in UTF-16 (save it as UTF-8)"),
        (b"\xFE\xFF", "a text in UTF-16 (save it as UTF-8)"),
    ];
    KNOWN.iter().find(|(start, _)| bytes.starts_with(start)).map(|(_, what)| *what)
}
