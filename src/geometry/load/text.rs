//! Words, lines and numbers of text formats, without trust in encoding, line ends or decimal signs.

use super::error::LoadError;

/// The text without the mark that some editors put before it.
#[must_use]
pub fn without_mark(bytes: &[u8]) -> &[u8] {
    bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes)
}

/// Lines with their numbers from 1; a line ends at LF, CR LF or CR.
pub fn lines(bytes: &[u8]) -> impl Iterator<Item = (usize, &[u8])> {
    let mut rest = Some(bytes).filter(|bytes| !bytes.is_empty());
    let mut number = 0;
    std::iter::from_fn(move || {
        let text = rest?;
        number += 1;
        let end = text.iter().position(|&byte| byte == b'\n' || byte == b'\r').unwrap_or(text.len());
        let after = match text[end..] {
            [b'\r', b'\n', ..] => end + 2,
            [] => end,
            _ => end + 1,
        };
        rest = Some(&text[after..]).filter(|rest| !rest.is_empty());
        Some((number, &text[..end]))
    })
}

/// Words of a line.
pub fn words(line: &[u8]) -> impl Iterator<Item = &[u8]> {
    line.split(|byte| is_blank(*byte)).filter(|word| !word.is_empty())
}

/// Whether a byte parts words.
#[must_use]
pub const fn is_blank(byte: u8) -> bool {
    byte.is_ascii_whitespace() || byte == 0x0B
}

/// A name as text: UTF-8, or one character a byte where it is not.
#[must_use]
pub fn name(bytes: &[u8]) -> String {
    let bytes = bytes.trim_ascii();
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|&byte| char::from(byte)).collect(),
    }
}

/// A word as it can stand in a message: not too long, nothing unprintable.
#[must_use]
pub fn quoted(word: &[u8]) -> String {
    const MOST: usize = 30;
    let text = name(word);
    let mut short: String = text.chars().take(MOST).map(|c| if c.is_control() { '\u{FFFD}' } else { c }).collect();
    if text.chars().count() > MOST {
        short.push_str("...");
    }
    short
}

/// Reads a number. What programs write for a result that is no number is NaN.
///
/// # Errors
/// [`LoadError::Comma`] or [`LoadError::NotANumber`] with the line.
pub fn number(word: &[u8], line: usize) -> Result<f64, LoadError> {
    let parsed = std::str::from_utf8(word).ok().and_then(|text| text.parse::<f64>().ok());
    match parsed {
        Some(number) => Ok(number),
        None if word.contains(&b',') => Err(LoadError::Comma { line, found: quoted(word) }),
        None if stands_for_no_number(word) => Ok(f64::NAN),
        None => Err(LoadError::NotANumber { line, found: quoted(word) }),
    }
}

/// `-nan(ind)`, `1.#QNAN`, `1.#INF` and the like.
fn stands_for_no_number(word: &[u8]) -> bool {
    let lower = word.to_ascii_lowercase();
    let bare = lower.trim_ascii_start().strip_prefix(b"-").unwrap_or(&lower);
    bare.starts_with(b"nan(") || (bare.starts_with(b"1.#") && bare[3..].iter().all(u8::is_ascii_alphanumeric))
}

/// Whether the bytes look like text: no zero byte and hardly any control characters in their beginning.
#[must_use]
pub fn looks_like_text(bytes: &[u8]) -> bool {
    const LOOKED_AT: usize = 4096;
    let start = &bytes[..bytes.len().min(LOOKED_AT)];
    let odd = start.iter().filter(|&&byte| byte < 0x20 && !is_blank(byte)).count();
    !start.contains(&0) && odd * 100 <= start.len()
}
