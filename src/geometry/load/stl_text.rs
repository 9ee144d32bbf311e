//! STL as text: any number of solids, any case, any line ends, any encoding of names, faults told with their line.
//!
//! Read here and not by `stl_io`, which stops after the first solid, wants lower case and UTF-8, knows no lines and rounds
//! to single precision.

use super::error::LoadError;
use super::text::{is_blank, name, number, quoted, without_mark};
use crate::notes::Note;

/// What a text STL holds.
#[derive(Debug, Clone, Default)]
pub struct TextStl {
    /// Corners of its facets.
    pub triangles: Vec<[[f64; 3]; 3]>,
    /// For each facet, the number of its solid.
    pub solid_of: Vec<u32>,
    /// Names of the solids.
    pub solids: Vec<String>,
    /// What was found odd.
    pub notes: Vec<Note>,
}

/// Reads a text STL.
///
/// # Errors
/// With the line, if the text is not that of an STL, ends within a facet, or holds no facet.
pub fn read(bytes: &[u8]) -> Result<TextStl, LoadError> {
    let mut words = Words { rest: without_mark(bytes), line: 1, after_return: false };
    let mut stl = TextStl::default();
    let mut open_since = None;
    while let Some(word) = words.next() {
        let line = words.line;
        match Keyword::of(word) {
            Keyword::Solid => {
                stl.solids.push(name(words.rest_of_line()));
                open_since = Some(line);
            }
            Keyword::EndSolid => {
                words.rest_of_line();
                open_since = None;
            }
            Keyword::Facet => {
                if stl.solids.is_empty() {
                    stl.solids.push(String::new());
                }
                let corners = facet(&mut words, stl.triangles.len())?;
                stl.triangles.push(corners);
                stl.solid_of.push(stl.solids.len() as u32 - 1);
            }
            Keyword::Other => {
                return Err(LoadError::Unexpected { line, expected: "facet, endsolid or solid", found: quoted(word) });
            }
        }
    }
    if stl.triangles.is_empty() {
        return Err(LoadError::NoTriangles { hint: String::new() });
    }
    if let Some(line) = open_since {
        stl.notes.push(no_end(line, &words, stl.triangles.len()));
    }
    Ok(stl)
}

/// The file ends after a whole facet, but without its last line: all there is can be measured, if it is all.
fn no_end(solid_line: usize, words: &Words<'_>, n_facets: usize) -> Note {
    Note::warning(
        "no-endsolid",
        format!(
            "the solid of line {solid_line} has no 'endsolid': the file stops at line {} after {n_facets} whole facets and may be truncated (incomplete)",
            words.line
        ),
        "compare the size with the CAD program's, and export again if something is missing",
    )
}

enum Keyword {
    Solid,
    EndSolid,
    Facet,
    Other,
}

impl Keyword {
    fn of(word: &[u8]) -> Self {
        match word {
            _ if word.eq_ignore_ascii_case(b"facet") => Self::Facet,
            _ if word.eq_ignore_ascii_case(b"solid") => Self::Solid,
            _ if word.eq_ignore_ascii_case(b"endsolid") => Self::EndSolid,
            _ => Self::Other,
        }
    }
}

/// Reads what follows `facet`.
fn facet(words: &mut Words<'_>, complete: usize) -> Result<[[f64; 3]; 3], LoadError> {
    words.expect("normal", complete)?;
    normal(words, complete)?;
    words.expect("loop", complete)?;
    let mut corners = [[0.0; 3]; 3];
    for corner in &mut corners {
        words.expect("vertex", complete)?;
        for coordinate in corner {
            let word = words.next().ok_or(LoadError::TextTruncated { line: words.line, complete })?;
            *coordinate = number(word, words.line)?;
        }
    }
    words.expect("endloop", complete)?;
    words.expect("endfacet", complete)?;
    Ok(corners)
}

/// Passes over the three numbers of a normal and `outer`: the winding says which way a facet faces, and exporters write
/// normals of facets without area in many ways. A decimal comma is told at its first line all the same.
fn normal(words: &mut Words<'_>, complete: usize) -> Result<(), LoadError> {
    for _ in 0..4 {
        let word = words.next().ok_or(LoadError::TextTruncated { line: words.line, complete })?;
        if word.eq_ignore_ascii_case(b"outer") {
            return Ok(());
        }
        number(word, words.line)?;
    }
    let found = words.next().map(quoted).unwrap_or_default();
    Err(LoadError::Unexpected { line: words.line, expected: "outer", found })
}

/// The words of a text, with the line of the last one.
struct Words<'a> {
    rest: &'a [u8],
    line: usize,
    after_return: bool,
}

impl<'a> Words<'a> {
    fn next(&mut self) -> Option<&'a [u8]> {
        while let Some((&byte, rest)) = self.rest.split_first() {
            if !is_blank(byte) {
                break;
            }
            self.count_line_end(byte);
            self.rest = rest;
        }
        let end = self.rest.iter().position(|&byte| is_blank(byte)).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        self.after_return &= word.is_empty();
        (!word.is_empty()).then_some(word)
    }

    fn count_line_end(&mut self, byte: u8) {
        if byte == b'\r' || (byte == b'\n' && !self.after_return) {
            self.line += 1;
        }
        self.after_return = byte == b'\r';
    }

    fn rest_of_line(&mut self) -> &'a [u8] {
        let end = self.rest.iter().position(|&byte| byte == b'\n' || byte == b'\r').unwrap_or(self.rest.len());
        let (line, rest) = self.rest.split_at(end);
        self.rest = rest;
        self.after_return = false;
        line
    }

    fn expect(&mut self, expected: &'static str, complete: usize) -> Result<(), LoadError> {
        match self.next() {
            Some(word) if word.eq_ignore_ascii_case(expected.as_bytes()) => Ok(()),
            Some(word) => Err(LoadError::Unexpected { line: self.line, expected, found: quoted(word) }),
            None => Err(LoadError::TextTruncated { line: self.line, complete }),
        }
    }
}
