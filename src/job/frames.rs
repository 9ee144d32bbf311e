//! Faults of a job file in frames, for terminals.

use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};

use super::fault::JobErrors;

/// Every fault with its line in a frame and how to mend it below. `colour` is for terminals that show it.
#[must_use]
pub fn frames(errors: &JobErrors, colour: bool) -> String {
    let renderer = if colour { Renderer::styled() } else { Renderer::plain() };
    let mut all = String::new();
    for error in &errors.errors {
        let (message, remedy) = (error.fault.to_string(), error.fault.remedy());
        let end = error.span.end.max(error.span.start);
        let snippet = Snippet::source(errors.text.as_str())
            .path(errors.file.as_str())
            .annotation(AnnotationKind::Primary.span(error.span.start..end));
        let report = [Level::ERROR
            .primary_title(message.as_str())
            .element(snippet)
            .element(Level::HELP.message(remedy.as_str()))];
        all.push_str(&renderer.render(&report));
        all.push_str("\n\n");
    }
    all
}
