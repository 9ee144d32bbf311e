//! Binary STL, through `stl_io`.
//!
//! `stl_io` tells text from binary by the first word, obeys the count in the header and reads no further: here the length
//! of the file is held against the count first, and the reader sees runs of whole records under a header of our own.

use std::io::{Cursor, Read, Seek, SeekFrom};
use std::ops::Range;

use super::error::LoadError;
use super::sniff::{HEAD_BYTES, RECORD_BYTES, announced, fits};
use crate::geometry::weld::Triangles;
use crate::notes::Note;

/// The records of a binary STL.
#[derive(Debug, Clone, Copy)]
pub struct Records<'a> {
    bytes: &'a [u8],
}

/// Finds the records of a binary STL.
///
/// # Errors
/// If the count in the header and the length of the file disagree so that triangles are missing or left over.
pub fn records(bytes: &[u8]) -> Result<(Records<'_>, Vec<Note>), LoadError> {
    let announced = announced(bytes).ok_or(LoadError::TooShort { bytes: bytes.len() })?;
    let body = &bytes[HEAD_BYTES..];
    let complete = body.len() / RECORD_BYTES;
    if fits(bytes.len(), announced) {
        return if complete == 0 {
            Err(LoadError::NoTriangles { hint: ": its header announces 0".to_owned() })
        } else {
            Ok((Records { bytes: body }, Vec::new()))
        };
    }
    // In u64: on a 32-bit machine the product overflows.
    if u64::from(announced) > complete as u64 {
        return Err(if body.len().is_multiple_of(RECORD_BYTES) {
            LoadError::Count { announced, complete }
        } else {
            LoadError::Truncated { announced, complete }
        });
    }
    let (records, rest) = body.split_at(announced as usize * RECORD_BYTES);
    if announced == 0 || goes_on(records, rest) {
        return Err(LoadError::MoreThanAnnounced { announced, complete });
    }
    let note = Note::warning(
        "extra-bytes",
        format!(
            "{} extra bytes follow the {announced} triangles that the header announces; they hold no triangles and were passed over",
            rest.len()
        ),
        "nothing, if the part looks complete; otherwise export it again",
    );
    Ok((Records { bytes: records }, vec![note]))
}

/// Whether bytes behind the announced records look like one more: a triangle in the neighbourhood of the others.
fn goes_on(records: &[u8], rest: &[u8]) -> bool {
    if rest.len() < RECORD_BYTES {
        return false;
    }
    let reach = Records { bytes: records }.greatest_coordinate();
    let mut likely = false;
    Records { bytes: &rest[..RECORD_BYTES] }.visit(0..1, &mut |corners| {
        let near = corners.iter().flatten().all(|number| number.abs() <= 2.0 * reach);
        likely = near && corners[0] != corners[1] && corners[1] != corners[2] && corners[2] != corners[0];
    });
    likely
}

impl Records<'_> {
    fn greatest_coordinate(&self) -> f32 {
        let mut greatest = 0.0f32;
        self.visit(0..self.count(), &mut |corners| {
            greatest = corners.iter().flatten().filter(|x| x.is_finite()).fold(greatest, |most, x| most.max(x.abs()));
        });
        greatest
    }
}

impl Triangles for Records<'_> {
    type Number = f32;

    fn count(&self) -> usize {
        self.bytes.len() / RECORD_BYTES
    }

    fn visit(&self, range: Range<usize>, take: &mut dyn FnMut([[f32; 3]; 3])) {
        let mut run = Run::new(&self.bytes[range.start * RECORD_BYTES..range.end * RECORD_BYTES], range.len() as u32);
        let reader = stl_io::create_stl_reader(&mut run).expect("a run has a whole header");
        for triangle in reader {
            take(triangle.expect("a run holds as many records as it announces").vertices.map(|corner| corner.0));
        }
    }
}

/// Some records under a header that cannot be taken for text.
struct Run<'a> {
    head: Cursor<[u8; HEAD_BYTES]>,
    records: Cursor<&'a [u8]>,
}

impl<'a> Run<'a> {
    fn new(records: &'a [u8], count: u32) -> Self {
        let mut head = [0; HEAD_BYTES];
        // The reader looks for `solid` up to the first line end.
        head[0] = b'\n';
        head[80..].copy_from_slice(&count.to_le_bytes());
        Self { head: Cursor::new(head), records: Cursor::new(records) }
    }
}

impl Read for Run<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        match self.head.read(buffer)? {
            0 => self.records.read(buffer),
            read => Ok(read),
        }
    }
}

impl Seek for Run<'_> {
    /// Back to the start, wherever the reader asks to go: it asks for nothing else.
    fn seek(&mut self, _to: SeekFrom) -> std::io::Result<u64> {
        self.head.set_position(0);
        self.records.set_position(0);
        Ok(0)
    }
}
