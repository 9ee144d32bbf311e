//! A file of weighed builds, whatever happened to it: a line that cannot be read is told, and costs no other.

use super::Numbered;
use super::line::{VERSION, Weighed, day};
use crate::notes::Note;

/// The builds of a file, in its order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Records {
    /// Every line that could be read.
    pub lines: Vec<Numbered>,
    /// Lines that could not, and replacements of nothing.
    pub notes: Vec<Note>,
}

impl Records {
    /// Reads a file. Lines are told by their number, from 1.
    #[must_use]
    pub fn read(bytes: &[u8], file: &str) -> Self {
        let mut records = Self::default();
        // A line is whole only with its line end, but a record without one may be whole too: it is if it can be read.
        let is_cut = !bytes.is_empty() && !bytes.ends_with(b"\n");
        let n_lines = bytes.split_inclusive(|&byte| byte == b'\n').count();
        for (index, line) in bytes.split_inclusive(|&byte| byte == b'\n').enumerate() {
            let number = index + 1;
            if line.iter().all(u8::is_ascii_whitespace) {
                continue;
            }
            match weighed(line) {
                Ok(mut weighed) => {
                    if let Some(why) = weighed.all_wasted().or_else(|| weighed.waste_alone()) {
                        (weighed.resin_kg, weighed.waste_kg) = (None, None);
                        records.notes.push(set_aside(file, number, &why));
                    }
                    records.take(Numbered { number, replaced_by: None, weighed }, file);
                }
                Err(Unread::Newer(version)) => records.notes.push(newer(file, number, version)),
                Err(Unread::Broken(_)) if is_cut && number == n_lines => records.notes.push(torn(file, number)),
                Err(Unread::Broken(why)) => records.notes.push(broken(file, number, &why)),
            }
        }
        records
    }

    fn take(&mut self, numbered: Numbered, file: &str) {
        let number = numbered.number;
        if let Some(replaced) = numbered.weighed.replaces {
            match self.lines.iter_mut().find(|line| line.number == replaced) {
                Some(line) => line.replaced_by = Some(number),
                None => self.notes.push(Note::warning(
                    "record-replaces-nothing",
                    format!("{file}, line {number}: it replaces line {replaced}, which holds no earlier record"),
                    "record it again with the right number; `matloft weigh JOB` lists them",
                )),
            }
        }
        self.lines.push(numbered);
    }

    /// The builds that count: not replaced, and not lines that only strike another.
    pub fn counted(&self) -> impl Iterator<Item = &Numbered> {
        self.lines.iter().filter(|line| line.counts())
    }

    /// A record that may be replaced.
    #[must_use]
    pub fn get(&self, number: usize) -> Option<&Numbered> {
        self.lines.iter().find(|line| line.number == number)
    }
}

enum Unread {
    Newer(u64),
    Broken(String),
}

fn weighed(line: &[u8]) -> Result<Weighed, Unread> {
    let broken = |error: serde_json::Error| Unread::Broken(error.to_string());
    let value: serde_json::Value = serde_json::from_slice(line).map_err(broken)?;
    if let Some(version) = value["matloft_weighed"].as_u64().filter(|&version| version > u64::from(VERSION)) {
        return Err(Unread::Newer(version));
    }
    if !value.is_object() {
        return Err(Unread::Broken("it is no record of a build, which stands between { and }".to_owned()));
    }
    let weighed: Weighed = serde_json::from_value(value).map_err(broken)?;
    if let Some(why) = weighed.impossible() {
        return Err(Unread::Broken(why));
    }
    if day(&weighed.date).as_ref() != Some(&weighed.date) {
        return Err(Unread::Broken(format!("there is no day {}", weighed.date)));
    }
    Ok(weighed)
}

fn torn(file: &str, number: usize) -> Note {
    Note::warning(
        "record-torn",
        format!(
            "{file}, line {number} was cut off while it was written and is left out; every line before it is whole"
        ),
        "weigh it again, or record it again from memory with a --note; the next record starts on a line of its own",
    )
}

fn broken(file: &str, number: usize, why: &str) -> Note {
    Note::warning(
        "record-unreadable",
        format!("{file}, line {number} cannot be read and is left out: {why}"),
        "nothing else is lost by it; record the build again if it is not there under another number",
    )
}

fn set_aside(file: &str, number: usize, why: &str) -> Note {
    Note::warning(
        "record-waste",
        format!("{file}, line {number}: {why}; its resin and waste are set aside, and its other figures kept"),
        format!("record it again with what was mixed and thrown away, and `--replaces {number}`"),
    )
}

fn newer(file: &str, number: usize, version: u64) -> Note {
    Note::warning(
        "record-newer",
        format!("{file}, line {number} is of version {version}, which this program does not know; it is left out"),
        "use the newer program that wrote it",
    )
}

#[cfg(test)]
mod tests;
