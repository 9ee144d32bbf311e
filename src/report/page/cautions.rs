//! Cautions beside the work they belong to.

use maud::{Markup, html};

use crate::laminate::cautions::{Caution, FIRST_OF_ALL, Work, at};

/// The sentence that comes before all others.
pub fn first_of_all() -> Markup {
    html! { p.first-of-all { strong { (FIRST_OF_ALL) } } }
}

/// What to mind at some work, with where it comes from.
pub fn beside(work: Work) -> Markup {
    html! {
        aside.cautions aria-label={ "Cautions: " (work.words()) } {
            ul { @for caution in at(work) { li { (entry(caution)) } } }
        }
    }
}

fn entry(caution: &Caution) -> Markup {
    html! {
        b { (capital(caution.about)) ". " } (caution.text)
        " " span.quiet { "(" (caution.source) "; " (caution.mark) ")" }
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
