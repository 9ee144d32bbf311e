//! What can be wrong with stock and schedules.

/// A fault in the stock or in a schedule, naming what the job file calls it.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LaminateError {
    /// An entry lacks a field that nothing can be worked out without.
    #[error("{kind} \"{name}\" has no `{field}`")]
    Missing {
        /// Table of the stock: `reinforcement`, `core`, `resin`, `gelcoat` or `filler`.
        kind: &'static str,
        /// Name of the entry.
        name: String,
        /// Field that is missing.
        field: &'static str,
    },
    /// A value that cannot be.
    #[error("{}: `{field}` is {}, it must be {wanted}", entry_words(.kind, .name), crate::units::shown(*.value))]
    OutOfRange {
        /// Table of the stock, or `schedule`.
        kind: &'static str,
        /// Name of the entry.
        name: String,
        /// Field at fault.
        field: &'static str,
        /// The value found.
        value: f64,
        /// What is allowed, in words.
        wanted: &'static str,
    },
    /// Wet-out is given by none or by several of the three ways.
    #[error("{kind} \"{name}\" gives {n_given} of `glass_content`, `resin_per_glass` and `resin_kg_m2`; one is needed")]
    WetOut {
        /// Table of the stock.
        kind: &'static str,
        /// Name of the entry.
        name: String,
        /// How many were given.
        n_given: usize,
    },
    /// A schedule or an entry names something that is not in the stock.
    #[error("{user} names {kind} \"{name}\", which is not in the stock")]
    Unknown {
        /// Who names it: `schedule "mould", layer 2`.
        user: String,
        /// Which table was looked in; `material` stands for reinforcements and cores together.
        kind: &'static str,
        /// The name that was not found.
        name: String,
        /// The nearest name there is, if any is near.
        nearest: Option<String>,
    },
    /// A schedule that lays nothing.
    #[error("schedule \"{name}\" has no layers")]
    NoLayers {
        /// Name of the schedule.
        name: String,
    },
    /// A schedule with more plies than can be told apart.
    #[error("schedule \"{name}\" has {n_plies} plies, over {most}")]
    TooManyPlies {
        /// Name of the schedule.
        name: String,
        /// Plies of all its layers.
        n_plies: usize,
        /// How many there may be.
        most: usize,
    },
    /// Areas and plies do not pair up.
    #[error("{n_areas} sets of areas for {n_plies} plies")]
    AreaCount {
        /// Plies of the plan.
        n_plies: usize,
        /// Sets of areas given.
        n_areas: usize,
    },
    /// The stock's text is not what it should be; only for the stock that is built in and for tests.
    #[error("stock: {message}")]
    Text {
        /// The reader's message, with line and column.
        message: String,
    },
}

/// An entry of the stock by table and name; a table that stands once by its name alone.
fn entry_words(kind: &str, name: &str) -> String {
    if kind == name { format!("[{kind}]") } else { format!("{kind} \"{name}\"") }
}

impl LaminateError {
    /// What to do about it.
    #[must_use]
    pub fn remedy(&self) -> String {
        match self {
            Self::Missing { kind, name, field } => {
                format!(
                    "add `{field}` to [stock.{kind}.\"{name}\"], or take a name of the starter stock and change that"
                )
            }
            Self::OutOfRange { field, wanted, .. } => format!("give `{field}` {wanted}"),
            Self::WetOut { .. } => "keep the one that the maker's data sheet gives".to_owned(),
            Self::Unknown { nearest: Some(nearest), .. } => format!("did you mean \"{nearest}\"?"),
            Self::Unknown { kind, name, nearest: None, .. } => {
                format!("add [stock.{kind}.\"{name}\"], or name something that `matloft stock` lists")
            }
            Self::NoLayers { .. } => "add at least one layer".to_owned(),
            Self::TooManyPlies { .. } => "check `plies` of its layers, or split it in two schedules".to_owned(),
            Self::AreaCount { .. } => "give one set of areas for each ply, zero where it does not lie".to_owned(),
            Self::Text { .. } => "mend the line named".to_owned(),
        }
    }
}
