//! Where each key of a job file stands, so that later checks can point at it.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::fault::{Fault, JobErrors};

/// The text of a job file, and where its keys and values are. Empty for a job that was not read from a text.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Source {
    /// The file as given.
    pub file: String,
    /// Its text.
    pub text: String,
    places: BTreeMap<String, Place>,
}

/// Bytes of a key (for an element of a list, of the element) and of its value.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Place {
    key: Range<usize>,
    value: Range<usize>,
}

impl Source {
    /// Notes the place of everything in a document. A path is written `part[0].split[1].normal`; a key with odd
    /// characters stands in it as it is.
    pub(super) fn new(file: &str, text: &str, document: &DeTable<'_>) -> Self {
        let mut source = Self { file: file.to_owned(), text: text.to_owned(), places: BTreeMap::new() };
        source.note_table("", document);
        source
    }

    fn note_table(&mut self, path: &str, table: &DeTable<'_>) {
        for (key, value) in table {
            let path = joined(path, key.get_ref());
            self.note(path, key.span(), value);
        }
    }

    fn note(&mut self, path: String, key: Range<usize>, value: &Spanned<DeValue<'_>>) {
        match value.get_ref() {
            DeValue::Table(table) => self.note_table(&path, table),
            DeValue::Array(items) => {
                for (index, item) in items.iter().enumerate() {
                    self.note(format!("{path}[{index}]"), item.span(), item);
                }
            }
            _ => {}
        }
        self.places.insert(path, Place { key, value: value.span() });
    }

    /// Bytes of the value at a path; of what holds it if it is not there itself.
    #[must_use]
    pub fn value(&self, path: &str) -> Range<usize> {
        self.nearest(path, |place| &place.value)
    }

    /// Bytes of the key at a path; of what holds it if it is not there itself.
    #[must_use]
    pub fn key(&self, path: &str) -> Range<usize> {
        self.nearest(path, |place| &place.key)
    }

    fn nearest(&self, path: &str, which: impl Fn(&Place) -> &Range<usize>) -> Range<usize> {
        let mut path = path;
        loop {
            if let Some(place) = self.places.get(path) {
                return which(place).clone();
            }
            match path.rfind(['.', '[']) {
                Some(end) => path = &path[..end],
                None => return 0..0,
            }
        }
    }

    /// Where the last value ends whose path begins so; nothing if there is none.
    pub(super) fn end_of(&self, beginning: &str) -> Option<usize> {
        let places = self.places.iter().filter(|(path, _)| path.starts_with(beginning));
        places.map(|(_, place)| place.key.end.max(place.value.end)).max()
    }

    /// True if the value at a path is written after an equals sign and not under headers of its own.
    pub(super) fn is_inline(&self, path: &str) -> bool {
        self.places.get(path).is_some_and(|place| {
            self.text[place.value.clone()].starts_with('[') && !self.text[place.value.clone()].starts_with("[[")
        })
    }

    /// Line of the key at a path, from 1.
    #[must_use]
    pub fn line(&self, path: &str) -> usize {
        let at = self.key(path).start.min(self.text.len());
        self.text.as_bytes()[..at].iter().filter(|&&byte| byte == b'\n').count() + 1
    }

    /// Faults that were found after reading, each at the value of a path.
    #[must_use]
    pub fn errors(&self, found: Vec<(String, Fault)>) -> JobErrors {
        let found = found.into_iter().map(|(path, fault)| (self.value(&path), fault)).collect();
        JobErrors::new(&self.file, &self.text, found)
    }
}

/// Path of a key inside a table.
pub(super) fn joined(path: &str, key: &str) -> String {
    if path.is_empty() { key.to_owned() } else { format!("{path}.{key}") }
}
