//! The form of a job file against the JSON Schema of its types: keys, types, words and ranges, all faults at once.
//!
//! Serde stops at the first fault. Here the same schema that editors get is walked along with the document, every fault
//! is noted, and what is at fault is taken out, so that the rest can still be read and its meaning checked.

use std::collections::BTreeSet;
use std::ops::Range;

use serde_json::{Map, Value};
use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::fault::Fault;
use super::places::elsewhere;
use super::words::{Path, found_words, number_remedy, wanted_words};
use crate::nearest::{nearest, unit_meant};

pub(super) type Object = Map<String, Value>;

/// Checks a document against a schema, takes out what is at fault and returns the faults.
pub(super) fn take_out_faults(document: &mut DeTable<'_>, schema: &Value) -> Vec<(Range<usize>, Fault)> {
    let mut walk = Walk { root: schema, faults: Vec::new() };
    if let Some(rules) = schema.as_object() {
        walk.table(document, &(0..0), rules, &Path::default());
    }
    walk.faults
}

pub(super) struct Walk<'s> {
    pub(super) root: &'s Value,
    faults: Vec<(Range<usize>, Fault)>,
}

impl<'s> Walk<'s> {
    /// The alternatives of a schema, references followed. (A schema that refers to itself through nothing but
    /// alternatives would have no end; serde cannot read such a type either.)
    pub(super) fn leaves(&self, schema: &'s Value) -> Vec<&'s Object> {
        let Some(rules) = schema.as_object() else { return Vec::new() };
        if let Some(target) = rules.get("$ref").and_then(Value::as_str) {
            let target = target.strip_prefix('#').and_then(|pointer| self.root.pointer(pointer));
            return target.map_or_else(Vec::new, |target| self.leaves(target));
        }
        match rules.get("anyOf").or_else(|| rules.get("oneOf")).and_then(Value::as_array) {
            Some(branches) => branches.iter().flat_map(|branch| self.leaves(branch)).collect(),
            None => vec![rules],
        }
    }

    fn note(&mut self, span: &Range<usize>, fault: Fault) -> bool {
        self.faults.push((span.clone(), fault));
        false
    }

    /// True if the value can be used.
    fn value(&mut self, value: &mut Spanned<DeValue<'_>>, schema: &'s Value, path: &Path) -> bool {
        let leaves = self.leaves(schema);
        let span = value.span();
        let of_type =
            |name: &str| -> Vec<&'s Object> { leaves.iter().copied().filter(|leaf| has_type(leaf, name)).collect() };
        match value.get_mut() {
            DeValue::String(word) => self.word(word, &span, &leaves, path),
            DeValue::Integer(number) => {
                let exact = i128::from_str_radix(number.as_str(), number.radix()).ok();
                let fitting = [of_type("integer"), of_type("number")].concat();
                self.number(
                    exact.map_or(f64::INFINITY, |exact| exact as f64),
                    number.as_str(),
                    &span,
                    &fitting,
                    &leaves,
                    path,
                )
            }
            DeValue::Float(number) => {
                let exact = number.as_str().parse().unwrap_or(f64::NAN);
                self.number(exact, number.as_str(), &span, &of_type("number"), &leaves, path)
            }
            DeValue::Boolean(truth) => {
                let allowed = !of_type("boolean").is_empty()
                    || leaves.iter().any(|leaf| leaf.get("const") == Some(&Value::Bool(*truth)));
                allowed || self.wrong_type(value, &span, &leaves, path)
            }
            DeValue::Array(items) => match of_type("array").first() {
                Some(leaf) => self.list(items, &span, leaf, path),
                None => self.wrong_type(value, &span, &leaves, path),
            },
            DeValue::Table(table) => match of_type("object").as_slice() {
                [] => self.wrong_type(value, &span, &leaves, path),
                [leaf] => self.table(table, &span, leaf, path),
                several => self.one_of_tables(table, &span, several, path),
            },
            DeValue::Datetime(_) => {
                let takes_dates = leaves.iter().any(|leaf| leaf.get("format").and_then(Value::as_str) == Some("date"));
                takes_dates || self.wrong_type(value, &span, &leaves, path)
            }
        }
    }

    fn wrong_type(
        &mut self,
        value: &Spanned<DeValue<'_>>,
        span: &Range<usize>,
        leaves: &[&Object],
        path: &Path,
    ) -> bool {
        let wanted = wanted_words(self.root, leaves);
        let remedy = number_remedy(value.get_ref(), leaves).unwrap_or_else(|| format!("write {wanted}"));
        let found = found_words(value.get_ref());
        self.note(span, Fault::WrongType { key: path.key().to_owned(), found, wanted, remedy })
    }

    fn word(&mut self, word: &str, span: &Range<usize>, leaves: &[&Object], path: &Path) -> bool {
        let key = path.key().to_owned();
        let words: Vec<&str> = leaves.iter().flat_map(|leaf| known_words(leaf)).collect();
        if words.contains(&word) {
            return true;
        }
        let free = leaves.iter().find(|leaf| has_type(leaf, "string") && known_words(leaf).is_empty());
        if let Some(free) = free {
            let least = free.get("minLength").and_then(Value::as_u64).unwrap_or(0);
            return (word.trim().chars().count() as u64 >= least) || self.note(span, Fault::Empty { key });
        }
        if words.is_empty() {
            let text = Spanned::new(span.clone(), DeValue::String(word.into()));
            return self.wrong_type(&text, span, leaves, path);
        }
        let unit = unit_meant(word).map(crate::units::LengthUnit::symbol).filter(|unit| words.contains(unit));
        let nearest = unit.or_else(|| nearest(word, words.iter().copied())).map(str::to_owned);
        let wanted = wanted_words(self.root, leaves);
        self.note(span, Fault::UnknownWord { key, word: word.to_owned(), nearest, wanted })
    }

    fn number(
        &mut self,
        exact: f64,
        written: &str,
        span: &Range<usize>,
        fitting: &[&Object],
        leaves: &[&Object],
        path: &Path,
    ) -> bool {
        let Some(leaf) = fitting.first() else {
            let number = Spanned::new(span.clone(), DeValue::Float(Default::default()));
            let wanted = wanted_words(self.root, leaves);
            let remedy = number_remedy(number.get_ref(), leaves)
                .map_or_else(|| format!("write {wanted}"), |_| format!("put it in quotes: \"{written}\""));
            let found = format!("the number {written}");
            return self.note(span, Fault::WrongType { key: path.key().to_owned(), found, wanted, remedy });
        };
        match out_of_range(exact, leaf) {
            None => true,
            Some(wanted) => {
                self.note(span, Fault::OutOfRange { key: path.key().to_owned(), found: written.to_owned(), wanted })
            }
        }
    }

    fn list(&mut self, items: &mut DeArray<'_>, span: &Range<usize>, leaf: &'s Object, path: &Path) -> bool {
        let count = |name: &str| leaf.get(name).and_then(Value::as_u64).map(|count| count as usize);
        let (least, most) = (count("minItems").unwrap_or(0), count("maxItems").unwrap_or(usize::MAX));
        if !(least..=most).contains(&items.len()) {
            let found = format!("a list of {}", items.len());
            let wanted = wanted_words(self.root, &[leaf]);
            let remedy = format!("write {wanted}");
            return self.note(span, Fault::WrongType { key: path.key().to_owned(), found, wanted, remedy });
        }
        let Some(schema) = leaf.get("items") else { return true };
        let mut kept = DeArray::new();
        let mut all_good = true;
        for item in items.iter_mut() {
            let n_faults = self.faults.len();
            let usable = self.value(item, schema, &path.item());
            // Keys of a table inside a part belong together: half a split would be said to lack what was misspelt.
            let whole = usable && !(path.is_inside_item() && self.faults.len() > n_faults);
            all_good &= whole;
            if whole || !item.get_ref().is_table() {
                kept.push(item.clone());
            }
        }
        let tables = items.iter().any(|item| item.get_ref().is_table());
        *items = kept;
        all_good || tables
    }

    fn table(&mut self, table: &mut DeTable<'_>, span: &Range<usize>, rules: &'s Object, path: &Path) -> bool {
        let properties = rules.get("properties").and_then(Value::as_object);
        let others = rules.get("additionalProperties");
        let known: Vec<String> = properties.map(|known| known.keys().cloned().collect()).unwrap_or_default();
        let mut at_fault = Vec::new();
        let mut misspelt = BTreeSet::new();
        for (key, value) in table.iter_mut() {
            let name = key.get_ref().as_ref();
            let rule = properties.and_then(|properties| properties.get(name)).or(others);
            let usable = match rule {
                Some(Value::Bool(false)) => {
                    let nearest = nearest(name, known.iter().map(String::as_str)).map(str::to_owned);
                    misspelt.extend(nearest.clone());
                    let (key_name, table, known) = (name.to_owned(), path.table(), known.clone());
                    let elsewhere = Box::new(elsewhere(self, name, nearest.is_some()));
                    self.note(&key.span(), Fault::UnknownKey { key: key_name, table, nearest, elsewhere, known })
                }
                None | Some(Value::Bool(true)) => true,
                Some(schema) => {
                    let n_faults = self.faults.len();
                    let usable = self.value(value, schema, &path.key_of(name));
                    // A material is judged whole too: it would be said to lack what is at fault.
                    usable && !(path.is_stock_table() && self.faults.len() > n_faults)
                }
            };
            if !usable {
                at_fault.push(name.to_owned());
            }
        }
        let required = rules.get("required").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
        let mut usable = true;
        for key in required.iter().filter_map(Value::as_str) {
            if misspelt.contains(key) {
                usable = false;
            } else if !table.contains_key(key) {
                let schema = properties.and_then(|properties| properties.get(key));
                let wanted = schema.map_or_else(String::new, |schema| wanted_words(self.root, &self.leaves(schema)));
                usable = self.note(span, Fault::MissingKey { key: key.to_owned(), table: path.table(), wanted });
            } else if at_fault.iter().any(|name| name == key) {
                usable = false;
            }
        }
        for name in at_fault {
            table.remove(name.as_str());
        }
        usable
    }

    /// A table that may take several forms: the form whose only necessary key is there, else the one with fewest faults.
    fn one_of_tables(
        &mut self,
        table: &mut DeTable<'_>,
        span: &Range<usize>,
        forms: &[&'s Object],
        path: &Path,
    ) -> bool {
        let tag = |form: &&'s Object| match form.get("required").and_then(Value::as_array).map(Vec::as_slice) {
            Some([Value::String(only)]) => Some(only.clone()),
            _ => None,
        };
        let tags: Option<Vec<String>> = forms.iter().map(tag).collect();
        if let Some(tags) = tags {
            return match tags.iter().position(|tag| table.contains_key(tag.as_str())) {
                Some(form) => self.table(table, span, forms[form], path),
                None => self.no_form(table, span, &tags, path),
            };
        }
        let trial = |form: &&&'s Object| {
            let mut walk = Walk { root: self.root, faults: Vec::new() };
            walk.table(&mut table.clone(), span, form, path);
            walk.faults.len()
        };
        match forms.iter().min_by_key(trial) {
            Some(form) => self.table(table, span, form, path),
            None => true,
        }
    }

    fn no_form(&mut self, table: &DeTable<'_>, span: &Range<usize>, tags: &[String], path: &Path) -> bool {
        for key in table.keys() {
            let name = key.get_ref().as_ref();
            let nearest = nearest(name, tags.iter().map(String::as_str)).map(str::to_owned);
            let (key_name, known) = (name.to_owned(), tags.to_vec());
            let (table, elsewhere) = (path.table(), Box::default());
            self.note(&key.span(), Fault::UnknownKey { key: key_name, table, nearest, elsewhere, known });
        }
        if table.is_empty() {
            let wanted = format!("one of the keys {}", tags.join(", "));
            let (found, remedy) = ("an empty table".to_owned(), format!("write {wanted}"));
            self.note(span, Fault::WrongType { key: path.key().to_owned(), found, wanted, remedy });
        }
        false
    }
}

/// True if a schema without alternatives takes values of this JSON type.
pub(super) fn has_type(rules: &Object, name: &str) -> bool {
    match rules.get("type") {
        Some(Value::String(only)) => only == name,
        Some(Value::Array(several)) => several.iter().any(|one| one == name),
        _ => false,
    }
}

/// The words that a schema without alternatives takes; none if it takes any text.
pub(super) fn known_words(rules: &Object) -> Vec<&str> {
    let several = rules.get("enum").and_then(Value::as_array).into_iter().flatten();
    several.chain(rules.get("const")).filter_map(Value::as_str).collect()
}

/// What a number must be, if it is not.
fn out_of_range(number: f64, rules: &Object) -> Option<String> {
    let bound = |name: &str| rules.get(name).and_then(Value::as_f64);
    let (least, most) = (bound("minimum"), bound("maximum"));
    let (above, below) = (bound("exclusiveMinimum"), bound("exclusiveMaximum"));
    if !number.is_finite() {
        return Some("a number that can be measured".to_owned());
    }
    let inside = least.is_none_or(|least| number >= least)
        && most.is_none_or(|most| number <= most)
        && above.is_none_or(|above| number > above)
        && below.is_none_or(|below| number < below);
    if inside {
        return None;
    }
    Some(match (least, most, above, below) {
        (Some(least), Some(most), ..) => format!("a number from {least} to {most}"),
        (Some(least), None, ..) => format!("a number of {least} or more"),
        (None, Some(most), None, _) => format!("a number of {most} or less"),
        (None, None, Some(above), Some(below)) => format!("a number above {above} and below {below}"),
        (_, Some(most), Some(above), _) => format!("a number above {above} and at most {most}"),
        (None, None, Some(above), None) => format!("a number above {above}"),
        (None, None, None, below) => format!("a number below {}", below.unwrap_or_default()),
    })
}
