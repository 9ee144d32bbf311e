//! From text to a job, or to every fault in it.

use std::ops::Range;

use serde::Deserialize;
use toml::Spanned;
use toml::de::{DeTable, DeValue, Deserializer};

use super::fault::{Fault, JobErrors};
use super::form::take_out_faults;
use super::meaning::{Names, faults};
use super::schema::schema;
use super::source::Source;
use super::types::Job;

/// Reads a job file. `file` is its name for messages.
///
/// # Errors
/// [`JobErrors`] with every fault that can be told at once: of the text; else of form (keys, types, words, ranges) and,
/// where the form is sound, of meaning (names, planes, materials). A fault never hides another part's.
pub fn read(text: &str, file: &str) -> Result<Job, JobErrors> {
    let (document, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        let found = errors.iter().map(|error| syntax_fault(text, error)).collect();
        return Err(JobErrors::new(file, text, found));
    }
    let mut document = document.into_inner();
    let names = Names::of(&document);
    let mut found = take_out_faults(&mut document, &schema());
    if let Some(mut job) = typed(&mut document, text, &mut found) {
        job.source = Source::new(file, text, &document);
        let currency = job.currency.clone().unwrap_or_default();
        for supplier in job.suppliers.iter_mut().filter(|supplier| supplier.currency.is_empty()) {
            supplier.currency.clone_from(&currency);
        }
        found.extend(faults(&job, &names));
        if found.is_empty() {
            return Ok(job);
        }
    }
    Err(JobErrors::new(file, text, found))
}

/// More values than this that only their own type can refuse are not told at once.
const MOST_REFUSALS: usize = 100;

/// The document as a job. What a type refuses beyond the schema (a spread that falls, say) is noted and taken out.
fn typed(document: &mut DeTable<'_>, text: &str, found: &mut Vec<(Range<usize>, Fault)>) -> Option<Job> {
    let mut taken: Vec<String> = Vec::new();
    for _ in 0..MOST_REFUSALS {
        let error = match Job::deserialize(Deserializer::from(Spanned::new(0..text.len(), document.clone()))) {
            Ok(job) => return Some(job),
            Err(error) => error,
        };
        let span = error.span().unwrap_or(0..0);
        let message = error.message().trim().replace('\n', ", ");
        // What was taken out for what it says is missing only because of that.
        if !taken.iter().any(|key| message.starts_with(&format!("missing field `{key}`"))) {
            let remedy = "mend this value; `matloft schema` says what it takes".to_owned();
            found.push((span.clone(), Fault::Laminate { message, remedy }));
        }
        taken.push(take_out(document, &span)?);
    }
    None
}

/// Takes out the innermost entry whose value holds these bytes, and gives its key. (A table under a header spans the header alone, so what
/// stands below it is searched in any case.)
fn take_out(table: &mut DeTable<'_>, span: &Range<usize>) -> Option<String> {
    let holds = |value: &Spanned<DeValue<'_>>| value.span().start <= span.start && span.end <= value.span().end;
    let mut hit = None;
    for (key, value) in table.iter_mut() {
        let inside = match value.get_mut() {
            DeValue::Table(table) => take_out(table, span),
            DeValue::Array(items) => items.iter_mut().find_map(|item| match item.get_mut() {
                DeValue::Table(table) => take_out(table, span),
                _ => None,
            }),
            _ => None,
        };
        if inside.is_some() {
            return inside;
        }
        if holds(value) {
            hit = Some(key.get_ref().to_string());
        }
    }
    hit.filter(|key| table.remove(key.as_str()).is_some())
}

fn syntax_fault(text: &str, error: &toml::de::Error) -> (Range<usize>, Fault) {
    let span = error.span().unwrap_or(0..0);
    let message = error.message().trim().replace('\n', ", ");
    let remedy = syntax_remedy(line_at(text, span.start), &message);
    (span, Fault::Syntax { message, remedy })
}

fn line_at(text: &str, at: usize) -> &str {
    let bytes = text.as_bytes();
    let at = at.min(bytes.len());
    let start = bytes[..at].iter().rposition(|&byte| byte == b'\n').map_or(0, |newline| newline + 1);
    text[start..].lines().next().unwrap_or("")
}

/// What usually went wrong on such a line.
fn syntax_remedy(line: &str, message: &str) -> String {
    let value = line.split_once('=').map_or("", |(_, value)| value.trim());
    let remedy = if line.contains(['\u{201c}', '\u{201d}', '\u{201e}', '\u{2018}', '\u{2019}']) {
        "write straight quotes \" instead of the curly ones"
    } else if message.contains("duplicate key") {
        "this was said before in the same table: keep one of the two"
    } else if message.contains("escape") || (line.contains('\\') && line.contains('"')) {
        "write a path with / or in single quotes: a \\ between double quotes starts a special character"
    } else if has_decimal_comma(value) {
        "write decimals with a point (2.5): a comma starts the next value"
    } else if value.is_empty() && line.contains('=') {
        "write a value after the ="
    } else if value.chars().next().is_some_and(char::is_alphabetic) {
        "put text in quotes: key = \"text\""
    } else if line.trim_start().starts_with('[') {
        "write a table as [shop] and a list item as [[part]]"
    } else {
        "write it as `key = value`, text in quotes, comments after #"
    };
    remedy.to_owned()
}

fn has_decimal_comma(value: &str) -> bool {
    let digit = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_digit);
    let bytes = value.as_bytes();
    !value.starts_with(['[', '"', '\'', '{'])
        && (1..bytes.len()).any(|at| bytes[at] == b',' && digit(bytes.get(at - 1)) && digit(bytes.get(at + 1)))
}
