//! What a picture shows, in words.

use super::picture::{Picture, Subject};
use crate::laminate::remedies::MetAs;
use crate::report::drawing::subject::CornerLine;

/// The panel, from where it is seen, which corners, pieces and splits.
#[must_use]
pub fn words(name: &str, subject: &Subject<'_>, picture: &Picture) -> String {
    let make = subject.make.map(|make| format!(", {}", make.word())).unwrap_or_default();
    let mut words = format!("{name}{make}, seen {}.", picture.view.name);
    let numbered =
        |met_as: Option<MetAs>| of_those(subject, picture, |corner, numbered| numbered && corner.met_as == met_as);
    words += &sentence("Corners that the mat goes into", &numbered(Some(MetAs::Inside)));
    words += &sentence("Corners that the mat goes over", &numbered(Some(MetAs::Outside)));
    words += &sentence("Corners", &numbered(None));
    words += &sentence("Corners not numbered in this view", &of_those(subject, picture, |_, numbered| !numbered));
    if subject.pieces.len() > 1 {
        words += &sentence("Pieces", &subject.pieces.iter().map(|piece| piece.name).collect::<Vec<_>>());
    }
    let own = subject.pieces.iter().flat_map(|piece| &piece.splits);
    words += &sentence("Splits", &once(own.map(|(name, _)| *name)));
    words += &sentence("Splits of the mould alone", &once(subject.mould_splits.iter().map(|(name, _)| *name)));
    words
}

fn of_those<'a>(
    subject: &'a Subject<'_>,
    picture: &Picture,
    which: impl Fn(&CornerLine, bool) -> bool,
) -> Vec<&'a str> {
    let corners = subject.corners.iter().zip(&picture.corner_numbered);
    corners.filter(|(corner, numbered)| which(corner, **numbered)).map(|(corner, _)| corner.label.as_str()).collect()
}

fn sentence(what: &str, names: &[&str]) -> String {
    if names.is_empty() { String::new() } else { format!(" {what}: {}.", names.join(", ")) }
}

fn once<'a>(names: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let mut list: Vec<&str> = Vec::new();
    names.for_each(|name| {
        if !list.contains(&name) {
            list.push(name);
        }
    });
    list
}
