//! Text of notes on the page: keys of the job file, written between backticks, as code; lines to paste as they are.

use maud::{Markup, html};

/// A text that may name keys. What follows a line end in it is lines to paste.
pub fn with_keys(text: &str) -> Markup {
    let (first, lines) = parts(text);
    html! { (inline(first)) @if let Some(lines) = lines { code.lines { (lines) } } }
}

/// The same as a sentence: its full stop stands before lines to paste.
pub fn sentence(text: &str) -> Markup {
    let (first, lines) = parts(text);
    html! { (inline(first)) @match lines { Some(lines) => code.lines { (lines) }, None => "." } }
}

fn parts(text: &str) -> (&str, Option<&str>) {
    text.split_once('\n').map_or((text, None), |(first, lines)| (first, Some(lines)))
}

fn inline(text: &str) -> Markup {
    let pieces: Vec<&str> = text.split('`').collect();
    // A backtick without another is one of a name.
    let n_paired = pieces.len() - usize::from(pieces.len().is_multiple_of(2));
    html! {
        @for (index, piece) in pieces.iter().enumerate() {
            @if index >= n_paired { "`" (piece) }
            @else if index % 2 == 1 { code { (piece) } }
            @else { (piece) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_code_and_a_lone_backtick_stays_what_it_is() {
        assert_eq!(with_keys("give `a_mm` or `b`").into_string(), "give <code>a_mm</code> or <code>b</code>");
        assert_eq!(with_keys("`a` of 5` wide").into_string(), "<code>a</code> of 5` wide");
        assert_eq!(with_keys("it`s <b>").into_string(), "it`s &lt;b&gt;");
        assert_eq!(sentence("paste:\n[x]\na = 1").into_string(), "paste:<code class=\"lines\">[x]\na = 1</code>");
        assert_eq!(sentence("mend `a`").into_string(), "mend <code>a</code>.");
    }
}
