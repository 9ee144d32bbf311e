//! What a picture shows, in words.

use super::picture::{Picture, Subject};

/// The panel, from where it is seen, which corners, pieces and splits.
#[must_use]
pub fn words(name: &str, subject: &Subject<'_>, picture: &Picture) -> String {
    let mut words = format!("{name}, seen {}.", picture.view.name);
    let numbered = |is_numbered: bool| {
        let corners = subject.corners.iter().zip(&picture.corner_numbered);
        let those = corners.filter(move |(_, numbered)| **numbered == is_numbered);
        those.map(|(corner, _)| corner.label.as_str()).collect::<Vec<_>>()
    };
    words += &sentence("Corners numbered", &numbered(true));
    words += &sentence("Not to be seen from here", &numbered(false));
    if subject.pieces.len() > 1 {
        words += &sentence("Pieces", &subject.pieces.iter().map(|piece| piece.name).collect::<Vec<_>>());
    }
    let own = subject.pieces.iter().flat_map(|piece| &piece.splits);
    words += &sentence("Splits", &once(own.map(|(name, _)| *name)));
    words += &sentence("Splits of the mould", &once(subject.mould_splits.iter().map(|(name, _)| *name)));
    words
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
