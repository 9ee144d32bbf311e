//! How mixes are sized.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::laminate::error::LaminateError;
use crate::laminate::figure::Figure;
use crate::laminate::materials::{NamedFigure, stock_item};

/// The starter's habits of mixing.
pub const STARTER_TEXT: &str = include_str!("../starter/mixes.toml");

stock_item! {
    /// How mixes are sized. Every figure has a default; write only what differs.
    MixHabits, MixHabitsEntry, "mixes";
    facts {}
    options {}
    figures {
        /// Share of the cup's gel time in which a mix is to be wetted out, in percent.
        use_of_gel_time_percent,
        /// Resin, gelcoat or putty in one cup, in kg at most; of an epoxy with its hardener. The more there is in a cup, the sooner it gels.
        most_in_cup_kg,
        /// Gel time that is worked for, in minutes: `low` is too short to be useful, `high` too long. The share of catalyst is chosen for it.
        useful_gel_min,
        /// What the scale for the resin reads, in g: mixes are rounded up to it.
        scale_step_g,
        /// Putty that one person works into fillets in an hour, in kg.
        putty_kg_h,
    }
    figure_options {}
}

impl MixHabits {
    /// The starter's habits, with the job's figures over them.
    ///
    /// # Errors
    /// [`LaminateError::OutOfRange`] if a mix could never be laid in time, or not be weighed.
    pub fn with(job: MixHabitsEntry) -> Result<Self, LaminateError> {
        let starter: MixHabitsEntry =
            toml::from_str(STARTER_TEXT).map_err(|error| LaminateError::Text { message: error.to_string() })?;
        let habits = job.over(starter).check("mixes")?;
        // Over 90 % nobody has time to empty the cup.
        let within = [
            ("use_of_gel_time_percent", &habits.use_of_gel_time_percent, 1.0, 90.0, "from 1 to 90"),
            ("most_in_cup_kg", &habits.most_in_cup_kg, 0.05, 25.0, "from 0.05 to 25"),
            ("useful_gel_min", &habits.useful_gel_min, 1.0, 600.0, "from 1 to 600"),
            ("scale_step_g", &habits.scale_step_g, 0.1, 100.0, "from 0.1 to 100"),
            ("putty_kg_h", &habits.putty_kg_h, 0.1, 1000.0, "from 0.1 to 1000"),
        ];
        for (field, figure, least, most, wanted) in within {
            if figure.low < least || figure.high > most {
                let name = habits.name.clone();
                let value = if figure.low < least { figure.low } else { figure.high };
                return Err(LaminateError::OutOfRange { kind: "mixes", name, field, value, wanted });
            }
        }
        Ok(habits)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cup_that_gels_before_it_is_empty_is_refused() {
        let habits = |text: &str| MixHabits::with(toml::from_str(text).expect("habits"));
        assert_eq!(habits("").expect("the starter's").use_of_gel_time_percent.value, 65.0);
        assert!(habits("use_of_gel_time_percent = 100").is_err_and(|error| error.to_string().contains("from 1 to 90")));
        assert!(habits("scale_step_g = 0").is_err_and(|error| error.to_string().contains("scale_step_g")));
    }
}
