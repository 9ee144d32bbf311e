//! Hatches that tell materials apart in black and white.

use maud::{Markup, PreEscaped, html};

/// What is hatched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hatch {
    /// The tool: plug or mould.
    Tool,
    /// Gelcoat.
    Gelcoat,
    /// Putty of a fillet.
    Putty,
    /// A ply, by the word for its kind.
    Ply(&'static str),
}

impl Hatch {
    /// What a `fill` refers to.
    #[must_use]
    pub fn fill(self) -> String {
        let name = match self {
            Self::Tool => "tool",
            Self::Gelcoat => "gelcoat",
            Self::Putty => "putty",
            Self::Ply(kind) => kind,
        };
        format!("url(#hatch-{name})")
    }
}

/// Each pattern: its name, the side of its tile, what is in it.
const PATTERNS: [(&str, u32, &str); 9] = [
    ("tool", 8, r#"<path d="M-2 2L2 -2M0 8L8 0M6 10L10 6"/>"#),
    ("gelcoat", 3, r#"<rect width="3" height="3"/><circle cx="1.5" cy="1.5" r="0.8"/>"#),
    ("putty", 7, r#"<circle cx="1.5" cy="2" r="1"/><circle cx="5" cy="5.5" r="0.7"/>"#),
    // Chopped strands lie every way.
    ("mat", 14, r#"<path d="M1 3L5 2M8 1L11 4M3 8L6 11M9 7L13 8M1 12L3 13M9 13L12 11M5 6L7 5"/>"#),
    ("tissue", 4, r#"<circle cx="1" cy="1" r="0.5"/><circle cx="3" cy="3" r="0.5"/>"#),
    ("woven", 8, r#"<path d="M0 2H8M0 6H8M2 0V8M6 0V8"/>"#),
    ("biaxial", 8, r#"<path d="M0 0L8 8M0 8L8 0"/>"#),
    ("unidirectional", 6, r#"<path d="M0 1.5H6M0 4.5H6"/>"#),
    ("core", 12, r#"<path d="M3 1L6 3V7L3 9L0 7V3ZM9 7L12 9V12M9 7L6 9V12"/>"#),
];

/// The patterns, once for the whole page.
pub fn patterns() -> Markup {
    html! {
        svg.hatches width="0" height="0" aria-hidden="true" focusable="false" {
            defs {
                @for (name, side, what) in PATTERNS {
                    pattern id={ "hatch-" (name) } width=(side) height=(side) patternUnits="userSpaceOnUse" { (PreEscaped(what)) }
                }
            }
        }
    }
}
