//! What needs a decision from the builder, most pressing first.
//!
//! Every note of a plan falls into one class by its code; what could not be planned, and corners that the first ply does not
//! follow, are decisions too.

use serde::Serialize;

use super::types::{Build, MetCorner, PartPlan, PiecePlan, Plan};
use crate::notes::{Level, Note};

/// What a decision is about, in the order in which a builder has to settle it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Class {
    /// A panel failed, or its mesh leaves its figures in doubt.
    PartDoubtful,
    /// What an edge or opening is, or which side is laminated, was assumed.
    OpeningsAndSides,
    /// What is laid would not come off what it is laid on.
    Held,
    /// The laminate cannot be built as it is written.
    NotAsWritten,
    /// Corners that are tighter than their first ply takes.
    FirstPly,
    /// What is left.
    Rest,
}

impl Class {
    /// All of them, in order.
    pub const ALL: [Self; 6] =
        [Self::PartDoubtful, Self::OpeningsAndSides, Self::Held, Self::NotAsWritten, Self::FirstPly, Self::Rest];

    /// What the class is, as a heading.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::PartDoubtful => "Panels that failed or are doubtful",
            Self::OpeningsAndSides => "Openings and sides that were assumed",
            Self::Held => "Moulds and mouldings that would not come off",
            Self::NotAsWritten => "Laminates that cannot be built as written",
            Self::FirstPly => "Corners tighter than their first ply takes",
            Self::Rest => "The rest",
        }
    }
}

/// One thing to settle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Decision {
    /// What it is about.
    pub class: Class,
    /// Code of the note; `panel-failed`, `first-ply-in-corner` and `later-ply-in-corner` come of the plan itself.
    pub code: String,
    /// How much it asks.
    pub level: Level,
    /// Number of the panel in the plan, from 0; nothing for the job, and for a panel that failed.
    pub panel: Option<usize>,
    /// What it is about, in words: panel, make, piece.
    pub about: String,
    /// What was found.
    pub message: String,
    /// What to do.
    pub remedy: String,
}

/// The class that a note's code falls in; nothing for a code that is not known here.
#[must_use]
pub fn class_of(code: &str) -> Option<Class> {
    Some(match code {
        // The mesh is not what a panel is, or parts of it are missing or twice there: areas and corners may be wrong.
        "facet-missing"
        | "folded-mesh"
        | "huge-coordinates"
        | "nonmanifold-edges"
        | "not-a-number"
        | "no-parts"
        | "no-endsolid"
        | "extra-bytes"
        | "crossing-polygons"
        | "crosses-itself"
        | "unknown-lines"
        | "one-sided"
        | "parts-apart"
        | "rough-not-read"
        | "rough-unseen"
        | "closed-piece"
        | "size-unlikely"
        | "unit-assumed"
        | "skin-bodies"
        | "skin-branches"
        | "skin-double-sheet"
        | "skin-doubtful"
        | "skin-gaps"
        | "skin-hollows"
        | "skin-joints"
        | "skin-open-wall"
        | "back-to-back-triangles" => Class::PartDoubtful,
        "opening-laid-across"
        | "end-as-outer-edge"
        | "edge-word-unused"
        | "sheet-as-wound"
        | "face-outside"
        | "side-undecided"
        | "skin-either-side"
        | "skin-inside-out"
        | "seeming-base"
        | "no-base"
        | "face-without-a-wall"
        | "base-left-out"
        | "inside-out" => Class::OpeningsAndSides,
        "locks" | "no-split-found" | "pull-locks" | "walls-contradict" => Class::Held,
        "core-beside-gelcoat"
        | "heavy-first-ply"
        | "weave-beside-gelcoat"
        | "gelcoat-coat-thin"
        | "dry-glass"
        | "bound-mat-in-epoxy"
        | "epoxy-on-gelcoat"
        | "wax-in-epoxy"
        | "flowcoat-over-epoxy"
        | "putty-under-epoxy"
        | "adhesive-is-resin"
        | "seal-not-ordered"
        | "polyester-over-epoxy"
        | "catalyst-range"
        | "cold-shop"
        | "hot-shop"
        | "cool-cure"
        | "catalyst-in-epoxy"
        | "thin-mould"
        | "wall-and-schedule"
        | "region-not-here"
        | "mixes-refused"
        | "not-in-the-days"
        | "away-without-start"
        | "start-while-away"
        | "share-over-order"
        | "peroxide-high"
        | "peel-ply-over-face"
        | "fixing-over-face"
        | "strip-with-gaps"
        | "polystyrene-plug"
        | "one-pack-paint"
        | "epoxy-primer"
        | "does-not-fit"
        | "hot-wire" => Class::NotAsWritten,
        // Repaired without loss, or good to know.
        "degenerate-triangles"
        | "duplicate-triangles"
        | "flipped-triangles"
        | "near-points"
        | "points-and-lines"
        | "several-solids"
        | "wrong-ending"
        | "starter-schedules"
        | "both-hands"
        | "same-shape"
        | "split-cuts-nothing"
        | "face-in-split"
        | "corner-along-split"
        | "depth-over-radius"
        | "no-gelcoat"
        | "peels"
        | "tight-release"
        | "undercut-of-facets"
        | "draft-not-certain"
        | "mould-parts"
        | "pull-of-job"
        | "hours-assumed"
        | "start-not-told"
        | "stiffen-flat"
        | "shelf-not-counted"
        | "shelf-expires"
        | "shelf-date-unchecked"
        | "shelf-life-short"
        | "pack-too-cold"
        | "not-offered"
        | "no-price"
        | "pack-not-counted"
        | "under-minimum-order"
        | "currencies-apart"
        | "currencies-mixed"
        | "price-without-currency"
        | "choice-not-proven"
        | "packs-not-proven"
        | "suppliers-left-out"
        | "joint-assumed"
        | "stiffeners-assumed"
        | "heavier-finished"
        | "plug-not-told"
        | "colour-twice"
        | "test-patch"
        | "core-modulus-unknown"
        | "large-sag"
        | "record-newer"
        | "record-waste"
        | "record-replaces-nothing"
        | "record-torn"
        | "record-unreadable"
        | "weighed-figure"
        | "weighed-odd"
        | "weighed-set-aside"
        | "weighed-too-dry"
        | "weighed-too-few"
        | "weighed-too-rich"
        | "weighed-waste"
        | "temperature-of-mixes"
        | "share-for-temperature"
        | "gel-short"
        | "gel-long"
        | "less-draft-than-asked"
        | "pairs-left-out"
        | "flat-objects-as-planes"
        | "roll-lower-bound" => Class::Rest,
        _ => return None,
    })
}

/// What a builder has to settle, class by class, and within a class warnings before what is only told.
#[must_use]
pub fn decisions(plan: &Plan) -> Vec<Decision> {
    let mut decisions: Vec<Decision> = plan.errors.iter().map(failed).collect();
    decisions.extend(plan.notes.iter().map(|note| of_note(note, None, plan.job.clone())));
    for (number, part) in plan.parts.iter().enumerate() {
        decisions.extend(part.all_notes().map(|(about, note)| of_note(note, Some(number), about)));
        for build in &part.builds {
            decisions.extend(build.pieces.iter().flat_map(|piece| corners(number, part, build, piece)));
        }
    }
    // Stable: within a class and level the order of the job stays.
    decisions.sort_by_key(|decision| (decision.class, std::cmp::Reverse(decision.level)));
    decisions
}

fn failed(fault: &super::types::PartFault) -> Decision {
    Decision {
        class: Class::PartDoubtful,
        code: "panel-failed".to_owned(),
        level: Level::Error,
        panel: None,
        about: fault.part.clone(),
        message: format!("not planned, and missing from every total: {}: {}", fault.file, fault.message),
        remedy: fault.remedy.clone(),
    }
}

fn of_note(note: &Note, panel: Option<usize>, about: String) -> Decision {
    let Note { level, code, message, remedy } = note;
    // A code that nobody sorted is still shown.
    let class = class_of(code).unwrap_or(Class::Rest);
    Decision {
        class,
        code: code.clone(),
        level: *level,
        panel,
        about,
        message: message.clone(),
        remedy: remedy.clone(),
    }
}

/// Corners of a piece at which the first ply, or only a later one, does not follow: one decision each.
fn corners(panel: usize, part: &PartPlan, build: &Build, piece: &PiecePlan) -> Vec<Decision> {
    let failing = piece.corners.iter().filter(|met| met.advice.first_failing_ply.is_some());
    let (first, later): (Vec<&MetCorner>, Vec<&MetCorner>) = failing.partition(|met| met.is_tighter_than_first_ply());
    let decision = |corners: Vec<&MetCorner>, class, code: &str, level, what: &str| {
        (!corners.is_empty()).then(|| Decision {
            class,
            code: code.to_owned(),
            level,
            panel: Some(panel),
            about: format!("{}, {} {}", part.name, build.make.word(), piece.name),
            message: format!("{} {what}: {}", counted(corners.len()), names(&corners)),
            remedy: "choose one of the remedies that stand beside each corner".to_owned(),
        })
    };
    let tight =
        decision(first, Class::FirstPly, "first-ply-in-corner", Level::Warning, "tighter than the first ply takes");
    let rest = decision(
        later,
        Class::Rest,
        "later-ply-in-corner",
        Level::Info,
        "that the first ply takes and a later one not",
    );
    tight.into_iter().chain(rest).collect()
}

fn counted(n: usize) -> String {
    if n == 1 { "1 corner".to_owned() } else { format!("{n} corners") }
}

fn names(corners: &[&MetCorner]) -> String {
    let names: Vec<&str> = corners.iter().map(|met| met.corner.id.as_str()).collect();
    names.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::path::{Path, PathBuf};

    /// Words of the same form that are no codes: words of the job file, and names of serde's ways to write.
    const NO_CODES: [&str; 10] = [
        "blanked-off",
        "first-ply-in-corner",
        "kebab-case",
        "laid-across",
        "later-ply-in-corner",
        "open-end",
        "outer-edge",
        "panel-failed",
        "return-flange",
        "thin-solid",
    ];

    fn rust_files(folder: &Path, files: &mut Vec<PathBuf>) {
        for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
            let path = entry.path();
            if path.is_dir() {
                rust_files(&path, files);
            } else if path.extension().is_some_and(|ending| ending == "rs") && !path.ends_with("tests.rs") {
                files.push(path);
            }
        }
    }

    /// Literals of lower-case words joined by hyphens, as codes are written.
    fn hyphened(text: &str) -> impl Iterator<Item = &str> {
        text.split('"').skip(1).step_by(2).filter(|word| {
            word.contains('-')
                && word.split('-').all(|part| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_lowercase()))
        })
    }

    /// Source: the program's own text. A new code has to be sorted on purpose, here or among the words that are none.
    #[test]
    fn every_code_that_the_program_raises_falls_in_a_class_on_purpose() {
        let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let mut files = Vec::new();
        for room in ["geometry", "job", "laminate", "workshop", "plan"] {
            rust_files(&src.join(room), &mut files);
        }
        let mut codes: BTreeSet<String> = BTreeSet::new();
        for file in files {
            let text = std::fs::read_to_string(&file).expect("a source");
            let text = text.split("#[cfg(test)]").next().unwrap_or_default();
            for line in text.lines().filter(|line| !line.trim_start().starts_with("//")) {
                codes.extend(hyphened(line).map(str::to_owned));
            }
        }
        codes.retain(|code| !NO_CODES.contains(&code.as_str()));
        assert!(codes.len() > 40, "too few to be all: {codes:?}");
        let unsorted: Vec<&String> = codes.iter().filter(|code| class_of(code).is_none()).collect();
        assert!(unsorted.is_empty(), "sort these in `class_of`: {unsorted:?}");
    }

    #[test]
    fn what_costs_a_panel_comes_first() {
        assert_eq!(class_of("skin-gaps"), Some(Class::PartDoubtful));
        assert_eq!(class_of("opening-laid-across"), Some(Class::OpeningsAndSides));
        assert_eq!(class_of("bound-mat-in-epoxy"), Some(Class::NotAsWritten));
        assert_eq!(class_of("roll-lower-bound"), Some(Class::Rest));
        assert!(Class::ALL.is_sorted());
    }
}
