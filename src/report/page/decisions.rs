//! What needs a decision from the builder, in the order in which it has to be settled.

use super::keys::{sentence, with_keys};
use maud::{Markup, html};

use crate::notes::Level;
use crate::plan::Plan;
use crate::plan::decisions::{Class, Decision};

/// More entries than this are folded away, so that the next class stays in sight.
const MOST_IN_SIGHT: usize = 4;

/// What is said once of everything that it holds of.
struct Told<'a> {
    first: &'a Decision,
    /// Panel, where it is one, and what it is about.
    about: Vec<(Option<usize>, &'a str)>,
}

/// How many there are of each class, with the way to them.
pub fn summary(plan: &Plan) -> Markup {
    html! {
        h3 { "What needs a decision" }
        @if plan.decisions.is_empty() { p { "Nothing." } }
        ol.classes {
            @for class in Class::ALL {
                @let told = told(plan, class);
                @if !told.is_empty() {
                    li { a href={ "#decide-" (number(class)) } { (class.words()) } ": " b { (told.len()) } }
                }
            }
        }
    }
}

/// All of them.
pub fn list(plan: &Plan) -> Markup {
    html! {
        @for class in Class::ALL {
            @let told = told(plan, class);
            @if !told.is_empty() {
                h3 id={ "decide-" (number(class)) } { (class.words()) }
                @let (in_sight, folded) = told.split_at(told.len().min(MOST_IN_SIGHT));
                @for told in in_sight { (entry(told)) }
                @if !folded.is_empty() {
                    details { summary { "and " (folded.len()) " more" } @for told in folded { (entry(told)) } }
                }
            }
        }
    }
}

const fn number(class: Class) -> usize {
    class as usize + 1
}

/// The decisions of a class; what is said in the same words of several panels stands once.
fn told(plan: &Plan, class: Class) -> Vec<Told<'_>> {
    let mut all: Vec<Told<'_>> = Vec::new();
    for decision in plan.decisions.iter().filter(|decision| decision.class == class) {
        let about = (decision.panel, decision.about.as_str());
        let same = all.iter_mut().find(|told| {
            let first = told.first;
            (&first.code, &first.message, &first.remedy) == (&decision.code, &decision.message, &decision.remedy)
        });
        match same {
            Some(told) => told.about.push(about),
            None => all.push(Told { first: decision, about: vec![about] }),
        }
    }
    all
}

fn entry(told: &Told<'_>) -> Markup {
    let (kind, word) = match told.first.level {
        Level::Error => ("note error", "Error"),
        Level::Warning => ("note warning", "Warning"),
        Level::Info => ("note", "Note"),
    };
    html! {
        p class=(kind) {
            (word) ", "
            span.about {
                @for (index, (panel, about)) in told.about.iter().enumerate() {
                    @if index > 0 { "; " }
                    @if let Some(panel) = panel { a href={ "#panel-" (panel) } { bdi { (about) } } }
                    @else if about.is_empty() { "the job" }
                    @else { bdi { (about) } }
                }
            }
            ": " bdi { (with_keys(&told.first.message)) } "."
            @if !told.first.remedy.is_empty() { span.remedy { bdi { (sentence(&told.first.remedy)) } } }
        }
    }
}
