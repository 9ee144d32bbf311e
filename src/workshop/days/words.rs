//! Waits and stop conditions in words.

use serde::Serialize;

use super::task::{Kind, Why};
use crate::laminate::stock::Practice;
use crate::laminate::warnings::{COLDEST_C, HOTTEST_C};

/// When not to begin, or not to go on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stop {
    /// Shop or resin too cold.
    Cold,
    /// Shop or resin so hot that styrene's vapour can explode.
    Hot,
    /// Temperature falling.
    Falling,
    /// Damp.
    Damp,
    /// The finger test fails.
    Wet,
    /// The overlay window is past.
    Late,
    /// The laminate is too hard for the knife.
    Hard,
    /// Dust.
    Dust,
    /// Not cured.
    Soft,
}

impl Stop {
    /// All of them, in the order of the work.
    pub const ALL: [Self; 9] =
        [Self::Cold, Self::Hot, Self::Falling, Self::Damp, Self::Dust, Self::Wet, Self::Late, Self::Hard, Self::Soft];

    /// What to look at and what to do, with where it comes from.
    #[must_use]
    pub fn words(self, practice: &Practice) -> String {
        let cure_c = practice.cure_least_c.value;
        match self {
            Self::Cold => {
                format!(
                    "Shop or resin under {COLDEST_C} C: stop, warm both, begin another day. Never add catalyst instead."
                )
            }
            Self::Hot => format!(
                "Shop or resin at {HOTTEST_C} C: stop and clear away whatever holds styrene; its vapour and air can explode."
            ),
            Self::Falling => format!(
                "Temperature falling: stop unless the shop is held at {cure_c} C or more until what is laid has cured; an \
                 evening's work cures by night."
            ),
            Self::Damp => {
                "Air damper than 80 %, or faces that sweat: stop (a class rule text has 80 % at most).".to_owned()
            }
            Self::Dust => "Dust in the air or on the face: let it settle, wipe down, then begin.".to_owned(),
            Self::Wet => {
                "Gelcoat that comes off on the finger: wait; thick pools and corners are ready last.".to_owned()
            }
            Self::Late => {
                "Past the overlay window: do not lay. Abrade what has set and wipe it clean; gelcoat too thin for \
                           that is stripped off and begun again. The maker's sheet decides."
                    .to_owned()
            }
            Self::Hard => {
                "Laminate that drags or splits under the knife: leave it, and saw it when it has cured.".to_owned()
            }
            Self::Soft => {
                "Laminate that still smells strongly, feels soft or was cold meanwhile: leave it on the tool longer."
                    .to_owned()
            }
        }
    }

    /// Those of a kind of task.
    #[must_use]
    pub const fn of(kind: Kind) -> &'static [Self] {
        match kind {
            Kind::Gelcoat => &[Self::Cold, Self::Hot, Self::Falling, Self::Damp, Self::Dust],
            Kind::Putty => &[Self::Cold, Self::Hot, Self::Wet],
            Kind::Lay => &[Self::Cold, Self::Hot, Self::Falling, Self::Damp, Self::Wet, Self::Late],
            Kind::Patch | Kind::Stiffen | Kind::Cradle | Kind::Fixings | Kind::Coat | Kind::Join => {
                &[Self::Cold, Self::Hot, Self::Falling, Self::Damp]
            }
            Kind::Seal => &[Self::Cold, Self::Damp],
            Kind::Fair => &[Self::Hot],
            Kind::Prime | Kind::Paint => &[Self::Cold, Self::Damp, Self::Dust],
            Kind::Wax | Kind::Film => &[Self::Damp, Self::Dust],
            Kind::TrimGreen => &[Self::Hard],
            Kind::Release | Kind::Look => &[Self::Soft],
            // Dry work. Each kind by name: a new one that is wet is not to go without its stops.
            Kind::Flat
            | Kind::Polish
            | Kind::Board
            | Kind::Strip
            | Kind::Wash
            | Kind::Bolt
            | Kind::Cut
            | Kind::Abrade
            | Kind::TrimHard
            | Kind::Drill
            | Kind::Finish
            | Kind::Weigh
            | Kind::WarmIn
            | Kind::WarmOut => &[],
        }
    }
}

impl Why {
    /// Why one waits, in words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Order => "it comes after",
            Self::Dry => "paint dries",
            Self::PaintCure => "paint cures through",
            Self::WaxHardens => "wax hardens",
            Self::FilmDries => "release film dries",
            Self::GelcoatGels => "gelcoat gels",
            Self::Tack => "finger test",
            Self::PuttyFirms => "putty firms",
            Self::StageRests => "back to the shop's temperature",
            Self::Green => "laminate turns green",
            Self::Cure => "laminate cures",
            Self::MouldCure => "mould cures on its plug",
            Self::Proved => "the test patch is good",
            Self::Trial => "the trial is weighed",
            Self::Tool => "the mould is free",
            Self::Learn => "a small mould is laid first",
            Self::Warm => "it is kept warm",
            Self::Abraded => "the face is keyed and clean",
            Self::Wet => "the last ply is still wet",
        }
    }
}

/// Minutes as people say them: `45 min`, `2 h`, `1 h 20`, `7 days`.
#[must_use]
pub fn duration_words(minutes: u32) -> String {
    const TWO_DAYS: u32 = 2 * 24 * 60;
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) if minutes >= TWO_DAYS && hours % 24 == 0 => format!("{} days", hours / 24),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest:02}"),
    }
}
