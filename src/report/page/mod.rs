//! The report: one HTML file with everything in it, to look at, to hand to a supplier, to hang on the wall.
//!
//! One file a section; each takes plain data and gives markup. Nothing here reckons: a figure comes from the plan through
//! [`figure`], which carries it unrounded together with its place in plan.json.

use maud::{Markup, html};

use super::stills::Still;
use crate::geometry::load::LoadFault;
use crate::geometry::survey::Survey;
use crate::plan::Plan;

mod assumptions;
mod beyond;
mod cautions;
mod days;
mod decisions;
pub mod figure;
mod frame;
mod glance;
mod keys;
mod lay_up;
mod measured;
mod mixes;
mod order;
mod panels;
mod plug;
mod procedure;
mod quotation;
mod record;
mod rough;
mod sheet;
mod starts;
mod supplier;
mod wall;
mod workings;

/// What a page shows beside figures.
#[derive(Debug, Clone, Copy)]
pub struct Pictures<'a> {
    /// What the view shows, as GLB.
    pub glb: &'a [u8],
    /// Still pictures of every panel.
    pub stills: &'a [Still],
}

/// The sections of a plan's report that show no pictures. They take their time beside the pictures, so that they are made
/// at the same time as those.
#[derive(Debug)]
pub struct WithoutPictures(Markup);

impl WithoutPictures {
    /// The sections of a plan.
    #[must_use]
    pub fn of(plan: &Plan) -> Self {
        let (((lay_up, mixes), assumptions), (wall, supplier)) = rayon::join(
            || rayon::join(|| (lay_up::section(plan), mixes::section(plan)), || assumptions::section(plan)),
            || rayon::join(|| wall::sheets(plan), || supplier::sheets(plan)),
        );
        let (beyond, plug, order) = (beyond::section(plan), plug::section(plan), order::section(plan));
        let quotation = quotation::sheets(plan);
        Self(
            html! { (lay_up) (beyond) (plug) (order) (mixes) (days::section(plan)) (assumptions) (wall) (supplier) (quotation) },
        )
    }
}

/// The report of a plan.
#[must_use]
pub fn plan(plan: &Plan, text: &WithoutPictures, pictures: Pictures<'_>) -> String {
    let title = if plan.job.trim().is_empty() { "Lay-up plan" } else { &plan.job };
    let body = html! {
        (glance::section(plan, pictures.stills))
        (panels::section(plan, pictures.stills))
        (text.0)
    };
    frame::page(title, &SECTIONS_OF_PLAN, &body, pictures.glb)
}

/// The report of measured panels, without a job, and of what could not be measured.
#[must_use]
pub fn measure(surveys: &[Survey], faults: &[LoadFault], pictures: Pictures<'_>) -> String {
    let body: Markup = measured::section(surveys, faults, pictures.stills);
    frame::page("Measured panels", &SECTIONS_OF_MEASURE, &body, pictures.glb)
}

/// A section as the head of the page lists it: its `id` and its name.
type Listed = (&'static str, &'static str);

const SECTIONS_OF_PLAN: [Listed; 12] = [
    ("glance", "At a glance"),
    ("panels", "Panel by panel"),
    ("lay-up", "The lay-up drawn"),
    ("beyond", "Beyond the plies"),
    ("plug", "The plug"),
    ("order", "Order"),
    ("mixes", "Mixes"),
    ("days", "Days"),
    ("assumptions", "Assumptions"),
    ("wall", "Wall sheets"),
    ("supplier", "Supplier's sheets"),
    ("quotation", "Requests for quotation"),
];

const SECTIONS_OF_MEASURE: [Listed; 1] = [("panels", "Panel by panel")];
