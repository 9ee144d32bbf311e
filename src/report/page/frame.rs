//! What stands round the sections: head, style, list of sections, what the view needs.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use miniz_oxide::deflate::compress_to_vec_zlib;
use sha2::{Digest, Sha256};

use super::Listed;

const STYLE: &str = include_str!("style.css");
/// Sheets and printing, laid over the rest.
const PAPER: &str = include_str!("paper.css");
const VIEW_STYLE: &str = include_str!("view/view.css");
const LICENCE_OF_THREE: &str = include_str!("view/LICENSE-three.txt");
/// The view's program, three.js in it; how it is made stands in `src/report/page/view/README.md`.
const VIEW: &str = include_str!("view/view.min.js");

/// How hard the scene is packed (RFC 1950 and 1951). On the demo 1 packs to 0.48 of its size, 6 to 0.45 and 9 to the same in
/// half as much time again.
const LEVEL: u8 = 6;

/// A whole page. It asks for nothing from outside, and runs no script but the view's own.
pub fn page(title: &str, sections: &[Listed], body: &Markup, glb: &[u8]) -> String {
    let view = VIEW.trim_end();
    let page = html! {
        (DOCTYPE)
        html lang="en-GB" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(policy(view));
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="generator" content=(concat!("matloft ", env!("CARGO_PKG_VERSION")));
                title { (title) }
                style { (PreEscaped(STYLE)) (PreEscaped(VIEW_STYLE)) (PreEscaped(PAPER)) }
            }
            body {
                a.skip href="#main" { "Skip to the sheet" }
                header.masthead { h1 dir="auto" { (title) } }
                nav.sections aria-label="Sections" { @for (id, name) in sections { a href={ "#" (id) } { (name) } } }
                main id="main" tabindex="-1" { (body) }
                (foot())
                script type="text/plain" id="scene" { (PreEscaped(BASE64.encode(compress_to_vec_zlib(glb, LEVEL)))) }
                script { (PreEscaped(view)) }
            }
        }
    };
    page.into_string()
}

/// Whose work the page carries beside our own.
fn foot() -> Markup {
    html! {
        footer.foot {
            details {
                summary { small { "The view is drawn with three.js 0.187.0, under the MIT licence." } }
                pre { (LICENCE_OF_THREE) }
            }
        }
    }
}

/// Nothing is fetched; only the one script with this sum runs (the Content Security Policy of the W3C, level 3).
fn policy(script: &str) -> String {
    let sum = BASE64.encode(Sha256::digest(script.as_bytes()));
    format!(
        "default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-{sum}'; form-action 'none'; base-uri 'none'"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_view_cannot_end_its_script_early_nor_fetch_or_run_text() {
        let view = VIEW.to_lowercase();
        for bad in ["</script", "<!--", "eval(", "new function("] {
            assert!(!view.contains(bad), "{bad}");
        }
        for from_outside in ["@import", "url("] {
            assert!(!VIEW_STYLE.contains(from_outside), "{from_outside}");
        }
    }

    #[test]
    fn the_page_names_the_licence_of_what_it_carries() {
        let html = page("a job", &[], &Markup::default(), &[]);
        assert!(html.contains("MIT licence") && html.contains("Permission is hereby granted"));
        assert!(html.contains(&policy(VIEW.trim_end())));
    }

    /// Source: the bytes that went in; the browser tests unpack it by a decoder of their own.
    #[test]
    fn the_scene_is_packed_and_comes_out_as_it_was() {
        let glb: Vec<u8> = (0..60_000u32).flat_map(|k| (k / 7).to_le_bytes()).collect();
        let html = page("a job", &[], &Markup::default(), &glb);
        let (_, rest) = html.split_once("id=\"scene\">").expect("the scene");
        let (text, _) = rest.split_once('<').expect("its end");
        assert!(text.len() < glb.len());
        let packed = BASE64.decode(text.trim()).expect("base64");
        assert_eq!(miniz_oxide::inflate::decompress_to_vec_zlib(&packed).expect("it unpacks"), glb);
    }

    #[test]
    fn a_title_is_text() {
        let html = page("</title><script>hit()</script>", &[], &Markup::default(), &[]);
        assert!(!html.contains("<script>hit"));
        assert_eq!(html.matches("<script").count(), 2);
    }
}
