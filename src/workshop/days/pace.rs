//! How long each kind of work takes, what has to be waited for, and when there is work.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::hours::{Away, Date, Hours, Working};
use crate::laminate::error::LaminateError;
use crate::laminate::figure::Figure;
use crate::laminate::materials::{NamedFigure, stock_item};

/// The starter's pace.
pub const STARTER_TEXT: &str = include_str!("../starter/days.toml");

stock_item! {
    /// How long the work takes and when there is work. Every figure has a default; write only what differs.
    Pace, PaceEntry, "days";
    facts {}
    options {
        /// The first day; without it days are counted and there is no calendar file.
        start: Date,
        /// Hours in which there is work; without them evenings of three hours and weekend days of six are assumed.
        hours: Vec<Hours>,
        /// Days without work.
        away: Vec<Away>,
    }
    figures {
        /// Sealing a plug of polystyrene foam with epoxy and glass, in hours for a square metre.
        seal_h_m2,
        /// Least wait from that until filler goes on it, in h.
        seal_cure_h,
        /// Filling, fairing and sanding a plug, in hours for a square metre.
        fair_h_m2,
        /// One coat of primer or paint by one person, in m2 an hour.
        paint_m2_h,
        /// Coats of primer; a whole number.
        prime_coats,
        /// Coats of paint; a whole number.
        paint_coats,
        /// Least wait between two coats of primer or paint, in h.
        coat_dry_h,
        /// Least wait before primer is sanded, in h.
        primer_dry_h,
        /// Sanding primer flat, in m2 an hour.
        flat_m2_h,
        /// Least wait from the last coat of paint to flatting and polishing it, in h.
        polish_after_h,
        /// Flatting and polishing paint, in m2 an hour.
        polish_m2_h,
        /// Least wait from paint to wax, in h.
        paint_cure_h,
        /// Coats of wax on a plug or a new mould; a whole number.
        wax_coats_new,
        /// Coats of wax before each later moulding; a whole number.
        wax_coats_again,
        /// One coat of wax by one person, in m2 an hour.
        wax_m2_h,
        /// Least wait between two coats of wax, in min.
        wax_wait_min,
        /// For how many mouldings of a new mould release film goes over the wax; a whole number.
        pva_pulls,
        /// Release film by one person, in m2 an hour.
        pva_m2_h,
        /// Least wait from release film to gelcoat, in min.
        pva_dry_min,
        /// Greatest wait from release film to gelcoat, in h.
        pva_most_h,
        /// Flange board along a split, in hours for a metre.
        board_h_m,
        /// Taking it off and cleaning the flange, in hours for a metre.
        strip_h_m,
        /// Bolts along a flange are so far apart, in mm.
        bolt_pitch_mm,
        /// Drilling and bolting one, in min.
        bolt_min,
        /// Glass cut by one person, in m2 an hour.
        cut_m2_h,
        /// Getting ready for anything wet, in min.
        set_up_min,
        /// Cleaning up after it, in min.
        clean_up_min,
        /// Least wait between two coats of gelcoat, in min.
        gelcoat_gel_min,
        /// Putty drawn along corners, in m an hour.
        putty_m_h,
        /// Largest area of one ply that one person lays in an hour, however light the ply, in m2.
        ply_m2_h,
        /// Least wait after the first ply behind a mould's gelcoat, in h.
        first_ply_rest_h,
        /// Least wait between two other stages, in h.
        stage_rest_h,
        /// Greatest wait between two stages, in h; past it the laminate is abraded first.
        stage_most_h,
        /// Abrading, in m2 an hour.
        abrade_m2_h,
        /// Least wait from the last ply to trimming with a knife, in min.
        green_from_min,
        /// Greatest wait from the last ply to trimming with a knife, in min.
        green_to_min,
        /// Trimming with a knife, in m an hour.
        trim_green_m_h,
        /// Trimming with a saw, in m an hour.
        trim_hard_m_h,
        /// Dressing edges and cutting out openings, in m an hour.
        finish_m_h,
        /// Bedding one fixing with its plate, beside its doublers, in min.
        fixing_min,
        /// Joining pieces of a moulding, beside plies over the joint, in hours for a metre.
        join_h_m,
        /// Cradle of a mould, in hours for a metre of timber.
        cradle_h_m,
        /// Stiffeners over a flat, in hours for a square metre.
        stiffen_h_m2,
        /// Least wait from a mould's last ply until it leaves the plug, in h.
        mould_cure_h,
        /// Taking a piece off, in min; half as much again for each m2.
        release_min,
        /// Washing a face, in m2 an hour.
        wash_m2_h,
        /// Weighing a moulding, in min.
        weigh_min,
        /// Each step of the test patch, in min.
        patch_min,
        /// Test patch, in m2.
        patch_m2,
        /// Laid area from which a piece is large, in m2.
        large_m2,
        /// Area at which one more person finds room to work, in m2.
        hand_m2,
    }
    figure_options {
        /// Warm post-cure of mouldings, in h; without it there is none.
        post_cure_h,
    }
}

/// Rates and sizes that something is divided by.
const DIVISORS: [&str; 15] = [
    "polish_m2_h",
    "paint_m2_h",
    "flat_m2_h",
    "wax_m2_h",
    "pva_m2_h",
    "bolt_pitch_mm",
    "cut_m2_h",
    "putty_m_h",
    "ply_m2_h",
    "abrade_m2_h",
    "trim_green_m_h",
    "trim_hard_m_h",
    "finish_m_h",
    "wash_m2_h",
    "hand_m2",
];

impl Pace {
    /// The starter's pace, with the job's figures over it.
    ///
    /// # Errors
    /// [`LaminateError::OutOfRange`] for a rate of nearly nothing, or a greatest wait under its least.
    pub fn with(job: PaceEntry) -> Result<Self, LaminateError> {
        let starter: PaceEntry =
            toml::from_str(STARTER_TEXT).map_err(|error| LaminateError::Text { message: error.to_string() })?;
        let pace = job.over(starter).check("days")?;
        pace.check_rates()?;
        pace.check_windows()?;
        Ok(pace)
    }

    fn out_of_range(&self, field: &'static str, value: f64, wanted: &'static str) -> LaminateError {
        LaminateError::OutOfRange { kind: "days", name: self.name.clone(), field, value, wanted }
    }

    fn check_rates(&self) -> Result<(), LaminateError> {
        for NamedFigure { field, figure } in self.figures() {
            if DIVISORS.contains(&field) && figure.value < 0.01 {
                return Err(self.out_of_range(field, figure.value, "0.01 or more"));
            }
            // Waits and coats are counted in minutes of a plan of twenty years.
            if figure.value > 10_000.0 {
                return Err(self.out_of_range(field, figure.value, "10,000 or less"));
            }
            if field.contains("coats") && figure.value > 20.0 {
                return Err(self.out_of_range(field, figure.value, "20 or less"));
            }
        }
        Ok(())
    }

    fn check_windows(&self) -> Result<(), LaminateError> {
        let rest_h = self.stage_rest_h.value.max(self.first_ply_rest_h.value);
        if self.stage_most_h.value <= rest_h {
            return Err(self.out_of_range(
                "stage_most_h",
                self.stage_most_h.value,
                "more than the rests between stages",
            ));
        }
        if self.green_to_min.value < self.green_from_min.value {
            return Err(self.out_of_range("green_to_min", self.green_to_min.value, "`green_from_min` or more"));
        }
        if 60.0 * self.pva_most_h.value < self.pva_dry_min.value {
            return Err(self.out_of_range("pva_most_h", self.pva_most_h.value, "`pva_dry_min` or more"));
        }
        Ok(())
    }

    /// When there is work.
    #[must_use]
    pub fn working(&self) -> Working {
        Working::of(self.hours.as_deref(), self.start, self.away.as_deref())
    }

    /// A figure that counts things, as a whole number.
    #[must_use]
    pub fn whole(figure: &Figure) -> u32 {
        figure.value.round() as u32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pace(text: &str) -> Result<Pace, String> {
        let entry = toml::from_str(text).map_err(|error: toml::de::Error| error.to_string())?;
        Pace::with(entry).map_err(|error| error.to_string())
    }

    #[test]
    fn the_starter_holds_and_a_job_lies_over_it() {
        let own = pace("wax_m2_h = 9\nstart = 2027-03-01").expect("a pace");
        assert_eq!((own.wax_m2_h.value, own.wax_coats_new.value), (9.0, 6.0));
        assert!(own.start.is_some() && own.post_cure_h.is_none());
    }

    #[test]
    fn rates_of_nothing_and_windows_that_are_shut_are_refused() {
        assert!(pace("cut_m2_h = 0").is_err_and(|message| message.contains("`cut_m2_h` is 0")));
        assert!(pace("stage_most_h = 6").is_err_and(|message| message.contains("more than the rests")));
        assert!(pace("green_to_min = 10").is_err_and(|message| message.contains("green_from_min")));
        assert!(pace("coats = 3").is_err());
    }
}
