//! What can be wrong with a job file: what it is, where it stands, how to mend it.

use std::fmt;
use std::ops::Range;

/// Where a key stands that is not known where it was written.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Elsewhere {
    /// Tables that have a key of this very name.
    pub same: Vec<String>,
    /// A key like it and its table, where neither its own table nor another has the key itself.
    pub like: Option<(String, String)>,
}

/// One kind of fault, with what the reader wrote.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Fault {
    /// The text is not TOML.
    #[error("this line is not understood: {message}")]
    Syntax {
        /// The TOML reader's own words.
        message: String,
        /// What to do.
        remedy: String,
    },
    /// A key that is not known here.
    #[error("`{key}` is not a key of {table}{}", has_one(&elsewhere.same))]
    UnknownKey {
        /// The key as written.
        key: String,
        /// The table it stands in, as TOML writes it.
        table: String,
        /// The known key that was probably meant.
        nearest: Option<String>,
        /// Where else such a key stands.
        elsewhere: Box<Elsewhere>,
        /// Every key known here.
        known: Vec<String>,
    },
    /// A key that must be there is not.
    #[error("{table} has no `{key}`")]
    MissingKey {
        /// The key.
        key: String,
        /// The table, as TOML writes it.
        table: String,
        /// What the key takes, in words.
        wanted: String,
    },
    /// A value of the wrong type.
    #[error("`{key}` is {found}, but takes {wanted}")]
    WrongType {
        /// The key.
        key: String,
        /// What was written.
        found: String,
        /// What the key takes.
        wanted: String,
        /// What to do.
        remedy: String,
    },
    /// A word that is not one of those known.
    #[error("`{key}` cannot be \"{word}\"")]
    UnknownWord {
        /// The key.
        key: String,
        /// The word as written.
        word: String,
        /// The known word that was probably meant.
        nearest: Option<String>,
        /// What the key takes.
        wanted: String,
    },
    /// A number that cannot be.
    #[error("`{key}` is {found}, but must be {wanted}")]
    OutOfRange {
        /// The key.
        key: String,
        /// The number as written.
        found: String,
        /// What it must be.
        wanted: String,
    },
    /// A name that must not be empty.
    #[error("`{key}` is empty")]
    Empty {
        /// The key.
        key: String,
    },
    /// A name that was given before.
    #[error("two {what} are called \"{name}\": this one and the one in line {first_line}")]
    Repeated {
        /// Plural of what is named.
        what: &'static str,
        /// The name.
        name: String,
        /// Line of the one that had it first.
        first_line: usize,
    },
    /// Neither the job nor the part says what the mesh's numbers mean.
    #[error("nothing says which unit the mesh of part \"{part}\" is in")]
    NoUnit {
        /// Name of the part.
        part: String,
    },
    /// A split without a plane.
    #[error("split \"{split}\" does not say where it is")]
    NoPlane {
        /// Name of the split.
        split: String,
    },
    /// A split with several planes.
    #[error("split \"{split}\" is given in {} ways: {}", ways.len(), ways.join(" and "))]
    SeveralPlanes {
        /// Name of the split.
        split: String,
        /// The keys, way by way.
        ways: Vec<&'static str>,
    },
    /// A split of which one half of the plane is given.
    #[error("split \"{split}\" has `{has}` but no `{lacks}`")]
    HalfPlane {
        /// Name of the split.
        split: String,
        /// Key that is there.
        has: &'static str,
        /// Key that is not.
        lacks: &'static str,
    },
    /// A direction of length zero.
    #[error("`{key}` is [0, 0, 0], which points nowhere")]
    NoDirection {
        /// The key.
        key: &'static str,
    },
    /// Three points that give no plane.
    #[error("the three points of split \"{split}\" lie in one line, so many planes go through them")]
    PointsInLine {
        /// Name of the split.
        split: String,
    },
    /// A width where there is nothing to be wide.
    #[error("an edge that is \"{kind}\" has no width")]
    EdgeWithoutWidth {
        /// The kind as written.
        kind: &'static str,
    },
    /// A name that nothing has.
    #[error("there is no {what} called \"{name}\"")]
    Unknown {
        /// What was looked for.
        what: &'static str,
        /// The name as written.
        name: String,
        /// The known name that was probably meant.
        nearest: Option<String>,
        /// Where a new one is added, and where the known ones are found.
        known: String,
    },
    /// A schedule of moulds where one of mouldings is wanted, or the other way round.
    #[error("schedule \"{name}\" makes a {makes}, but `{key}` wants one that makes a {key}")]
    WrongMake {
        /// Name of the schedule.
        name: String,
        /// What it makes.
        makes: &'static str,
        /// What is wanted.
        key: &'static str,
    },
    /// Several objects of one name.
    #[error("{file} holds {count} objects called \"{object}\"")]
    ManyObjects {
        /// The object as written.
        object: String,
        /// The file as the job names it.
        file: String,
        /// How many there are.
        count: usize,
    },
    /// Several objects besides those that mark splits.
    #[error("{file} holds several objects besides those that mark splits")]
    WhichObject {
        /// The file as the job names it.
        file: String,
        /// Names of the objects.
        known: Vec<String>,
    },
    /// An object that marks no plane.
    #[error("object \"{object}\" marks no plane: {message}")]
    NoMark {
        /// The object as written.
        object: String,
        /// What is wrong.
        message: String,
        /// How to mend it.
        remedy: String,
    },
    /// Parts in a list in brackets, to which none can be added.
    #[error("the parts are listed as `part = [ ... ]`, to which no part can be added")]
    InlineParts,
    /// The laminate cannot use a value.
    #[error("{message}")]
    Laminate {
        /// What is wrong.
        message: String,
        /// How to mend it.
        remedy: String,
    },
    /// A mesh file that cannot be used.
    #[error("the mesh of part \"{part}\", {file}, cannot be used: {message}")]
    Mesh {
        /// Name of the part.
        part: String,
        /// The file as the job names it.
        file: String,
        /// What is wrong.
        message: String,
        /// How to mend it.
        remedy: String,
    },
    /// An object that the mesh file does not hold.
    #[error("{file} holds no object called \"{object}\"")]
    NoObject {
        /// The object as written.
        object: String,
        /// The file as the job names it.
        file: String,
        /// The object that was probably meant.
        nearest: Option<String>,
        /// Objects that the file holds.
        known: Vec<String>,
    },
}

impl Fault {
    /// How to mend it.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Syntax { remedy, .. }
            | Self::WrongType { remedy, .. }
            | Self::Laminate { remedy, .. }
            | Self::NoMark { remedy, .. }
            | Self::Mesh { remedy, .. } => remedy.clone(),
            Self::UnknownKey { nearest, elsewhere, known, .. } => {
                match (elsewhere.same.as_slice(), nearest, &elsewhere.like) {
                    ([_, ..], None, _) => {
                        format!("write it under {}; {}", tables(&elsewhere.same), listed("the keys here are", known))
                    }
                    ([_, ..], Some(nearest), _) => {
                        format!(
                            "write it under {}, or `{nearest}` here; {}",
                            tables(&elsewhere.same),
                            listed("the keys here are", known)
                        )
                    }
                    ([], Some(nearest), _) => format!("did you mean `{nearest}`? {}", listed("It takes", known)),
                    ([], None, Some((key, table))) => {
                        format!("did you mean `{key}` of {table}? {}", listed("The keys here are", known))
                    }
                    ([], None, None) => format!("take it out; {}", listed("the keys here are", known)),
                }
            }
            Self::MissingKey { key, wanted, .. } => format!("add `{key} = ...` with {wanted}"),
            Self::UnknownWord { nearest: Some(nearest), wanted, .. } => {
                format!("did you mean \"{nearest}\"? It takes {wanted}")
            }
            Self::UnknownWord { wanted, .. } => format!("write {wanted}"),
            Self::OutOfRange { key, wanted, .. } => format!("give `{key}` {wanted}"),
            Self::Empty { key } => format!("write a name between the quotes of `{key}`"),
            Self::Repeated { .. } => "give one of them another name: results go by it".to_owned(),
            Self::NoUnit { .. } => "write `units = \"mm\"` (or cm, m, in, ft) at the top of the job or in this part: \
                                    an area in the wrong unit is 100 or 645 times wrong"
                .to_owned(),
            Self::NoPlane { .. } => "give it `axis` and `at_mm`, or `point_mm` and `normal`, or three points \
                                     `through_mm`, or a flat `object` of the mesh file"
                .to_owned(),
            Self::SeveralPlanes { .. } => "keep the one that is meant and take the others out".to_owned(),
            Self::HalfPlane { has, lacks, .. } => format!("add `{lacks}`, or take `{has}` out"),
            Self::NoDirection { .. } => "give it a length, such as [0, 0, 1] for straight up".to_owned(),
            Self::PointsInLine { .. } => "move one of the points out of the line".to_owned(),
            Self::EdgeWithoutWidth { .. } => {
                "take `width_mm` out, or make it an \"outer-edge\" or a \"return-flange\"".to_owned()
            }
            Self::Unknown { nearest: Some(nearest), known, .. } => format!("did you mean \"{nearest}\"? {known}"),
            Self::Unknown { known, .. } => known.clone(),
            Self::WrongMake { key, .. } => format!("name another schedule, or change its `make` to \"{key}\""),
            Self::ManyObjects { count, .. } => {
                format!("say which with `object_number`, 1 to {count}, or give them names of their own in the CAD")
            }
            Self::WhichObject { known, .. } => quoted("name the panel with `object`: one of", known),
            Self::InlineParts => "write each part as a [[part]] with its keys below".to_owned(),
            Self::NoObject { nearest: Some(nearest), known, .. } => {
                format!("did you mean \"{nearest}\"? {}", quoted("It holds", known))
            }
            Self::NoObject { known, .. } if known.is_empty() => {
                "its objects have no names: take `object` out to mean the whole file".to_owned()
            }
            Self::NoObject { known, .. } => quoted("it holds", known),
        }
    }
}

/// Tables that have a key, as the end of a sentence.
fn has_one(tables_with: &[String]) -> String {
    match tables_with {
        [] => String::new(),
        [only] => format!("; {only} has one"),
        _ => format!("; {} have one", tables(tables_with)),
    }
}

fn tables(names: &[String]) -> String {
    names.join(" and ")
}

/// More names than this are cut short: the line is read, not searched.
const MOST_LISTED: usize = 30;

fn listed(before: &str, names: &[String]) -> String {
    named(before, names.iter().map(String::clone))
}

fn quoted(before: &str, names: &[String]) -> String {
    named(before, names.iter().map(|name| format!("\"{name}\"")))
}

fn named(before: &str, names: impl ExactSizeIterator<Item = String>) -> String {
    let n_names = names.len();
    let shown: Vec<String> = names.take(MOST_LISTED).collect();
    let more = if n_names > MOST_LISTED { format!(" and {} more", n_names - MOST_LISTED) } else { String::new() };
    format!("{before} {}{more}", shown.join(", "))
}

/// A fault and the place in the job file where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct JobError {
    /// Bytes of the text that are at fault.
    pub span: Range<usize>,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The line as it stands in the file.
    pub text: String,
    /// How many characters of the line are at fault, at least 1.
    pub width: usize,
    /// What is wrong.
    pub fault: Fault,
}

impl JobError {
    /// Finds the line of a span.
    #[must_use]
    pub fn new(source: &str, span: Range<usize>, fault: Fault) -> Self {
        let start = floor_char(source, span.start);
        let end = floor_char(source, span.end.max(start));
        let line_start = source[..start].rfind('\n').map_or(0, |at| at + 1);
        let line_end = source[start..].find('\n').map_or(source.len(), |at| start + at);
        let text = source[line_start..line_end].trim_end_matches('\r');
        let shown_end = end.clamp(start, (line_start + text.len()).max(start));
        Self {
            span: start..end,
            line: source[..start].matches('\n').count() + 1,
            column: source[line_start..start].chars().count() + 1,
            text: text.to_owned(),
            width: source[start..shown_end].chars().count().max(1),
            fault,
        }
    }
}

/// The last place at or before `at` where a character begins.
fn floor_char(source: &str, at: usize) -> usize {
    let mut at = at.min(source.len());
    while !source.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Every fault that was found in a job file, in the order of its lines.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub struct JobErrors {
    /// The job file as given.
    pub file: String,
    /// Its text.
    pub text: String,
    /// The faults.
    pub errors: Vec<JobError>,
}

impl JobErrors {
    /// Puts faults in the order of their lines; the same fault at one place is told once.
    #[must_use]
    pub fn new(file: &str, source: &str, mut found: Vec<(Range<usize>, Fault)>) -> Self {
        found.sort_by_key(|(span, _)| (span.start, span.end));
        found.dedup();
        let errors = found.into_iter().map(|(span, fault)| JobError::new(source, span, fault)).collect();
        Self { file: file.to_owned(), text: source.to_owned(), errors }
    }
}

/// Plain text: per fault its place and what is wrong, the line with the part at fault marked, and how to mend it.
impl fmt::Display for JobErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for error in &self.errors {
            let number = error.line.to_string();
            let margin = " ".repeat(number.len());
            let before: String = error.text.chars().take(error.column - 1).map(blank_like).collect();
            let shown: String = error.text.chars().map(visible).collect();
            writeln!(f, "{}, line {}, column {}: {}", self.file, error.line, error.column, error.fault)?;
            writeln!(f, "  {number} | {shown}")?;
            writeln!(f, "  {margin} | {before}{}", "^".repeat(error.width))?;
            writeln!(f, "  {margin} = {}", error.fault.remedy())?;
        }
        Ok(())
    }
}

/// A tab stays a tab, so that marks stand under what they mark.
const fn blank_like(letter: char) -> char {
    if letter == '\t' { '\t' } else { ' ' }
}

/// Control characters would move the cursor of the terminal.
fn visible(letter: char) -> char {
    if letter.is_control() && letter != '\t' { char::REPLACEMENT_CHARACTER } else { letter }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_counted_in_characters_from_one() {
        let source = "a = 1\r\nnäme = \"ö\"\r\n";
        let at = source.find("\"ö\"").expect("it is there");
        let error = JobError::new(source, at..at + 4, Fault::Empty { key: "name".to_owned() });
        assert_eq!((error.line, error.column, error.width), (2, 8, 3));
        assert_eq!(error.text, "näme = \"ö\"");
    }

    #[test]
    fn a_span_beyond_the_text_or_inside_a_character_is_no_panic() {
        for span in [0..0, 1..2, 2..99, 50..60] {
            let error = JobError::new("ö\n", span, Fault::Empty { key: "name".to_owned() });
            assert!(error.width >= 1 && error.column >= 1);
        }
        assert_eq!(JobError::new("", 0..0, Fault::Empty { key: "name".to_owned() }).line, 1);
    }
}
