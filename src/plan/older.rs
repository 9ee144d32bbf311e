//! What moved since an earlier plan: compared figure by figure on the documents, so that the tool's version does not matter.

use serde_json::Value;

/// One thing that is not as it was.
#[derive(Debug, Clone, PartialEq)]
pub enum Moved {
    /// A panel, build or piece is new.
    Added(String),
    /// A panel, build or piece is gone.
    Gone(String),
    /// The mesh of a panel is another.
    Mesh(String),
    /// A figure is another.
    Figure {
        /// Panel, build and piece, or `totals`.
        of: String,
        /// Its key in the document.
        key: String,
        /// As it was.
        before: f64,
        /// As it is.
        now: f64,
    },
}

/// Figures that a builder would act on; the rest follows from them.
const FIGURES: [&str; 6] = ["area_m2", "glass_kg", "resin_kg", "gelcoat_kg", "catalyst_ml", "mass_kg"];
const TOTALS: [&str; 6] = ["area_m2", "glass_kg", "resin_kg", "gelcoat_kg", "moulds_kg", "mouldings_kg"];

/// Changes smaller than this share are rounding.
const ALIKE: f64 = 1e-9;

/// What moved between two plan documents.
#[must_use]
pub fn moved(before: &Value, now: &Value) -> Vec<Moved> {
    let mut moved = Vec::new();
    let (old, new) = (named(&before["parts"], "name"), named(&now["parts"], "name"));
    for (name, part) in &new {
        match old.iter().find(|(other, _)| other == name) {
            None => moved.push(Moved::Added(name.clone())),
            Some((_, earlier)) => part_moved(name, earlier, part, &mut moved),
        }
    }
    let gone = old.iter().filter(|(name, _)| !new.iter().any(|(other, _)| other == name));
    moved.extend(gone.map(|(name, _)| Moved::Gone(name.clone())));
    figures_moved("totals", &TOTALS, &before["totals"], &now["totals"], &mut moved);
    moved
}

fn part_moved(name: &str, before: &Value, now: &Value, moved: &mut Vec<Moved>) {
    if before["mesh_sha256"] != now["mesh_sha256"] {
        moved.push(Moved::Mesh(name.to_owned()));
    }
    let in_both = paired(name, ", ", [&before["builds"], &now["builds"]], "make", moved);
    for (build, [before, now]) in in_both {
        if let (Some(earlier), Some(count)) = (before["count"].as_f64(), now["count"].as_f64())
            && earlier != count
        {
            moved.push(Moved::Figure { of: build.clone(), key: "count".to_owned(), before: earlier, now: count });
        }
        for (piece, [before, now]) in paired(&build, " ", [&before["pieces"], &now["pieces"]], "name", moved) {
            figures_moved(&piece, &FIGURES, before, now, moved);
        }
    }
}

/// The entries that stand in both lists, as they were and as they are; what stands in one alone has come or gone.
fn paired<'a>(
    of: &str,
    joint: &str,
    [before, now]: [&'a Value; 2],
    key: &str,
    moved: &mut Vec<Moved>,
) -> Vec<(String, [&'a Value; 2])> {
    let (old, new) = (named(before, key), named(now, key));
    let mut both = Vec::new();
    for (name, entry) in &new {
        let called = format!("{of}{joint}{name}");
        match old.iter().find(|(other, _)| other == name) {
            None => moved.push(Moved::Added(called)),
            Some((_, earlier)) => both.push((called, [*earlier, *entry])),
        }
    }
    let gone = old.iter().filter(|(name, _)| !new.iter().any(|(other, _)| other == name));
    moved.extend(gone.map(|(name, _)| Moved::Gone(format!("{of}{joint}{name}"))));
    both
}

/// The entries of a list with the text under one of their keys.
fn named<'a>(list: &'a Value, key: &str) -> Vec<(String, &'a Value)> {
    let entries = list.as_array().into_iter().flatten();
    entries.filter_map(|entry| Some((entry[key].as_str()?.to_owned(), entry))).collect()
}

fn figures_moved(of: &str, keys: &[&str], before: &Value, now: &Value, moved: &mut Vec<Moved>) {
    for key in keys {
        let (Some(before), Some(now)) = (before[key].as_f64(), now[key].as_f64()) else { continue };
        if (now - before).abs() > ALIKE * before.abs().max(now.abs()) {
            moved.push(Moved::Figure { of: of.to_owned(), key: (*key).to_owned(), before, now });
        }
    }
}

impl Moved {
    /// The change as a sentence.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::Added(name) => format!("{name} is new"),
            Self::Gone(name) => format!("{name} is no longer there"),
            Self::Mesh(name) => format!("{name} has another mesh"),
            Self::Figure { of, key, before, now } => {
                let change =
                    if *before == 0.0 { String::new() } else { format!(" ({:+.1} %)", 100.0 * (now / before - 1.0)) };
                format!("{of}: {key} was {before:.3}, is {now:.3}{change}")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn document(area_m2: f64, sha256: &str, name: &str) -> Value {
        let piece = json!({ "name": "a", "area_m2": area_m2, "glass_kg": 2.0 });
        json!({
            "parts": [{ "name": name, "mesh_sha256": sha256, "builds": [{ "make": "mould", "pieces": [piece] }] }],
            "totals": { "area_m2": area_m2 },
        })
    }

    #[test]
    fn an_equal_plan_has_not_moved() {
        assert_eq!(moved(&document(1.5, "x", "roof"), &document(1.5, "x", "roof")), []);
    }

    #[test]
    fn another_mesh_and_its_figures_are_told() {
        let sentences: Vec<String> =
            moved(&document(1.5, "x", "roof"), &document(1.8, "y", "roof")).iter().map(Moved::sentence).collect();
        assert_eq!(
            sentences,
            [
                "roof has another mesh",
                "roof, mould a: area_m2 was 1.500, is 1.800 (+20.0 %)",
                "totals: area_m2 was 1.500, is 1.800 (+20.0 %)",
            ]
        );
    }

    #[test]
    fn panels_that_come_and_go_are_told() {
        let moved = moved(&document(1.5, "x", "roof"), &document(1.5, "x", "nose"));
        assert_eq!(moved, [Moved::Added("nose".to_owned()), Moved::Gone("roof".to_owned())]);
    }

    #[test]
    fn pieces_that_a_split_makes_are_told() {
        let build = |names: &[&str]| {
            let pieces: Vec<Value> = names.iter().map(|name| json!({ "name": name, "area_m2": 1.0 })).collect();
            json!({ "parts": [{ "name": "roof", "builds": [{ "make": "mould", "pieces": pieces }] }] })
        };
        let told: Vec<String> = moved(&build(&["a"]), &build(&["a", "b"])).iter().map(Moved::sentence).collect();
        assert_eq!(told, ["roof, mould b is new"]);
        assert_eq!(moved(&build(&["a", "b"]), &build(&["a"])), [Moved::Gone("roof, mould b".to_owned())]);
    }

    #[test]
    fn what_is_no_plan_is_compared_without_a_fault() {
        assert_eq!(moved(&json!([1, 2]), &json!("text")), []);
    }
}
