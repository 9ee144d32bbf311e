//! Where else in a job file a key stands that is not known where it was written.

use serde_json::Value;

use super::fault::Elsewhere;
use super::form::{Object, Walk, has_type};
use super::words::Path;
use crate::nearest::nearest;

/// More tables than this help nobody.
const MOST_TABLES: usize = 3;

/// Tables within tables that are looked into: `[part.plug]` and `[stock.resin.NAME]` are two and three deep.
const MOST_DEEP: usize = 4;

/// Tables that have a key of this very name; where there is none, and no key of its own table is like it, a key like it and
/// its table.
pub(super) fn elsewhere(walk: &Walk<'_>, key: &str, is_like_own: bool) -> Elsewhere {
    let mut places = Vec::new();
    if let Some(rules) = walk.root.as_object() {
        collect(walk, rules, &Path::default(), MOST_DEEP, &mut places);
    }
    // What holds for the whole job first.
    places.sort_by_key(|(table, _)| table.matches('.').count());
    let same: Vec<String> =
        places.iter().filter(|(_, known)| known == key).map(|(table, _)| table.clone()).take(MOST_TABLES).collect();
    if !same.is_empty() || is_like_own {
        return Elsewhere { same, like: None };
    }
    let longer = places.iter().find(|(_, known)| known.starts_with(key) && key.contains('_'));
    let like = longer.or_else(|| {
        let nearest = nearest(key, places.iter().map(|(_, known)| known.as_str()))?;
        places.iter().find(|(_, known)| known == nearest)
    });
    Elsewhere { same, like: like.map(|(table, known)| (known.clone(), table.clone())) }
}

fn collect(walk: &Walk<'_>, rules: &Object, path: &Path, deep: usize, places: &mut Vec<(String, String)>) {
    let properties = rules.get("properties").and_then(Value::as_object);
    // A figure written as a table has the same keys everywhere.
    if deep == 0 || properties.is_some_and(|known| known.contains_key("value") && known.contains_key("mark")) {
        return;
    }
    for (key, schema) in properties.into_iter().flatten() {
        places.push((path.table(), key.clone()));
        for leaf in walk.leaves(schema) {
            if has_type(leaf, "object") {
                collect(walk, leaf, &path.key_of(key), deep - 1, places);
            } else if let Some(items) = leaf.get("items").filter(|_| has_type(leaf, "array")) {
                let tables = walk.leaves(items).into_iter().filter(|leaf| has_type(leaf, "object"));
                tables.for_each(|leaf| collect(walk, leaf, &path.key_of(key).item(), deep - 1, places));
            }
        }
    }
    if let Some(others) = rules.get("additionalProperties").filter(|others| others.is_object()) {
        for leaf in walk.leaves(others).into_iter().filter(|leaf| has_type(leaf, "object")) {
            collect(walk, leaf, &path.key_of("NAME"), deep - 1, places);
        }
    }
}
