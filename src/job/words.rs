//! Places, values and wishes in words, for messages about a job file.

use serde_json::{Map, Value};
use toml::de::DeValue;

use super::form::{has_type, known_words};

/// Where the reader stands in the document.
#[derive(Debug, Clone, Default)]
pub(super) struct Path {
    steps: Vec<Step>,
}

#[derive(Debug, Clone)]
enum Step {
    Key(String),
    Item,
}

impl Path {
    pub(super) fn key_of(&self, key: &str) -> Self {
        self.with(Step::Key(key.to_owned()))
    }

    pub(super) fn item(&self) -> Self {
        self.with(Step::Item)
    }

    fn with(&self, step: Step) -> Self {
        let mut steps = self.steps.clone();
        steps.push(step);
        Self { steps }
    }

    /// True inside an element of a list.
    pub(super) fn is_inside_item(&self) -> bool {
        self.steps.iter().any(|step| matches!(step, Step::Item))
    }

    /// True for a table of materials, such as `[stock.resin]`.
    pub(super) fn is_stock_table(&self) -> bool {
        matches!(self.steps.as_slice(), [Step::Key(stock), Step::Key(_)] if stock == "stock")
    }

    /// The key whose value this is.
    pub(super) fn key(&self) -> &str {
        let key = |step: &'_ Step| matches!(step, Step::Key(_));
        match self.steps.iter().rfind(|step| key(step)) {
            Some(Step::Key(key)) => key,
            _ => "job",
        }
    }

    /// The table as its header would be written: `[shop]`, `[[part.split]]`.
    pub(super) fn table(&self) -> String {
        let keys: Vec<String> = self
            .steps
            .iter()
            .filter_map(|step| if let Step::Key(key) = step { Some(bare_or_quoted(key)) } else { None })
            .collect();
        match self.steps.last() {
            None => "the job".to_owned(),
            Some(Step::Item) => format!("[[{}]]", keys.join(".")),
            Some(Step::Key(_)) => format!("[{}]", keys.join(".")),
        }
    }
}

/// A key as TOML takes it: bare if it can be.
pub(super) fn bare_or_quoted(key: &str) -> String {
    let bare = |letter: char| letter.is_ascii_alphanumeric() || letter == '_' || letter == '-';
    if !key.is_empty() && key.chars().all(bare) { key.to_owned() } else { quoted(key) }
}

/// Text in TOML's basic quotes, always on one line.
pub(super) fn quoted(text: &str) -> String {
    let mut quoted = String::with_capacity(text.len() + 2);
    quoted.push('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' => quoted.extend(['\\', letter]),
            '\n' => quoted.push_str("\\n"),
            '\t' => quoted.push_str("\\t"),
            control if control.is_control() => quoted.push_str(&format!("\\u{:04X}", u32::from(control))),
            plain => quoted.push(plain),
        }
    }
    quoted.push('"');
    quoted
}

/// Longer texts are cut short in messages; the line itself is shown beside them.
const MOST_LETTERS: usize = 40;

/// What was written, in words.
pub(super) fn found_words(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) if text.chars().count() > MOST_LETTERS => {
            format!("the text \"{}...\"", text.chars().take(MOST_LETTERS).collect::<String>())
        }
        DeValue::String(text) => format!("the text \"{text}\""),
        DeValue::Integer(number) => format!("the number {}", number.as_str()),
        DeValue::Float(number) => format!("the number {}", number.as_str()),
        DeValue::Boolean(truth) => format!("{truth}"),
        DeValue::Datetime(date) => format!("the date {date}"),
        DeValue::Array(items) => format!("a list of {}", items.len()),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

/// What a key takes, in words.
pub(super) fn wanted_words(root: &Value, leaves: &[&Map<String, Value>]) -> String {
    let mut wishes: Vec<String> = Vec::new();
    let mut wish = |words: String| {
        if !wishes.contains(&words) {
            wishes.push(words);
        }
    };
    for leaf in leaves {
        let words = known_words(leaf);
        if let Some(title) = leaf.get("title").and_then(Value::as_str) {
            wish(title.to_owned());
        } else if !words.is_empty() {
            words.iter().for_each(|word| wish(format!("\"{word}\"")));
        } else if let Some(Value::Bool(truth)) = leaf.get("const") {
            wish(format!("{truth}"));
        } else if has_type(leaf, "string") {
            wish("text in quotes".to_owned());
        } else if has_type(leaf, "integer") {
            wish("a whole number".to_owned());
        } else if has_type(leaf, "number") {
            wish("a number".to_owned());
        } else if has_type(leaf, "boolean") {
            wish("true or false".to_owned());
        } else if has_type(leaf, "array") {
            wish(list_words(root, leaf));
        } else if has_type(leaf, "object") {
            wish("a table".to_owned());
        }
    }
    match wishes.split_last() {
        None => "a value".to_owned(),
        Some((only, [])) => only.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
    }
}

fn list_words(root: &Value, leaf: &Map<String, Value>) -> String {
    let count = leaf.get("minItems").and_then(Value::as_u64);
    let three = count == Some(3) && leaf.get("maxItems").and_then(Value::as_u64) == Some(3);
    let items = leaf.get("items").and_then(|items| match items.get("$ref").and_then(Value::as_str) {
        Some(target) => target.strip_prefix('#').and_then(|pointer| root.pointer(pointer)),
        None => Some(items),
    });
    let of = |name| items.and_then(Value::as_object).is_some_and(|items| has_type(items, name));
    match (three, of("number"), of("array")) {
        (true, true, _) => "three numbers [x, y, z]".to_owned(),
        (true, _, true) => "three points [[x, y, z], [x, y, z], [x, y, z]]".to_owned(),
        _ => "a list".to_owned(),
    }
}

/// How to write a number that was put in quotes, or a text that was not.
pub(super) fn number_remedy(value: &DeValue<'_>, leaves: &[&Map<String, Value>]) -> Option<String> {
    let takes = |name| leaves.iter().any(|leaf| has_type(leaf, name));
    match value {
        DeValue::String(text) if takes("number") || takes("integer") => {
            let number = text.trim().trim_end_matches(|letter: char| letter.is_alphabetic() || letter.is_whitespace());
            let number = number.replace(',', ".");
            number
                .parse::<f64>()
                .ok()
                .map(|_| format!("write {number}, without quotes and unit: the unit is in the name of the key"))
        }
        DeValue::String(text) if takes("boolean") => match text.as_ref() {
            "true" | "yes" | "on" => Some("write true, without quotes".to_owned()),
            "false" | "no" | "off" => Some("write false, without quotes".to_owned()),
            _ => None,
        },
        DeValue::Integer(_) | DeValue::Float(_) if takes("string") => Some("put it in quotes".to_owned()),
        _ => None,
    }
}
