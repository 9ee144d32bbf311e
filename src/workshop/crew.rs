//! Who works, and how fast.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::laminate::error::LaminateError;
use crate::laminate::figure::Figure;
use crate::laminate::materials::{NamedFigure, stock_item};

/// The starter's crew.
pub const STARTER_TEXT: &str = include_str!("starter/crew.toml");

stock_item! {
    /// Who works, and how fast. Every figure has a default; write only what differs.
    Crew, CrewEntry, "crew";
    facts {}
    options {}
    figures {
        /// How many work together; a whole number.
        people,
        /// Glass and resin that one person lays and rolls out in an hour, in kg.
        laminate_kg_h,
        /// Area that one person brushes with one coat of gelcoat in an hour, in m2: mixes are sized by it and the days reckoned.
        gelcoat_m2_h,
    }
    figure_options {}
}

impl Crew {
    /// The starter's crew, with the job's figures over it.
    ///
    /// # Errors
    /// [`LaminateError::OutOfRange`] if nobody works, or at no speed.
    pub fn with(job: CrewEntry) -> Result<Self, LaminateError> {
        let starter: CrewEntry =
            toml::from_str(STARTER_TEXT).map_err(|error| LaminateError::Text { message: error.to_string() })?;
        let crew = job.over(starter).check("crew")?;
        for (field, figure, least, wanted) in [
            ("people", &crew.people, 1.0, "1 or more"),
            ("laminate_kg_h", &crew.laminate_kg_h, 0.1, "0.1 or more"),
            ("gelcoat_m2_h", &crew.gelcoat_m2_h, 0.1, "0.1 or more"),
        ] {
            if figure.low < least {
                let name = crew.name.clone();
                return Err(LaminateError::OutOfRange { kind: "crew", name, field, value: figure.low, wanted });
            }
        }
        if crew.people.value.fract() != 0.0 {
            let (name, value) = (crew.name.clone(), crew.people.value);
            let wanted = "a whole number of people, 1 or more";
            return Err(LaminateError::OutOfRange { kind: "crew", name, field: "people", value, wanted });
        }
        Ok(crew)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn people_are_whole_ones_and_somebody_works() {
        let crew = |text: &str| Crew::with(toml::from_str(text).expect("a crew"));
        assert_eq!(crew("people = 2").expect("two").people.value, 2.0);
        assert!(crew("people = 1.5").is_err_and(|error| error.to_string().starts_with("[crew]: `people` is 1.5")));
        assert!(crew("people = 0").is_err_and(|error| error.to_string().contains("1 or more")));
    }
}
