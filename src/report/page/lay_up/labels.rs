//! Labels beside a drawing, kept apart, each with a line to what it names.

use maud::{Markup, html};

/// Room for one line of text, in px.
pub const ROW_PX: f64 = 15.0;

/// A label and the point it names.
pub struct Label {
    /// The point in the drawing.
    pub at: [f64; 2],
    /// What is written.
    pub text: Markup,
    /// What is written in a line of its own beneath; nothing for most.
    pub beneath: Option<Markup>,
}

impl Label {
    /// A label of one line.
    #[must_use]
    pub const fn of(at: [f64; 2], text: Markup) -> Self {
        Self { at, text, beneath: None }
    }

    fn height_px(&self) -> f64 {
        if self.beneath.is_some() { 2.0 * ROW_PX } else { ROW_PX }
    }
}

/// Heights of the labels: each as near to its point as the next one lets it, from the bottom up, never over another.
#[must_use]
pub fn rows(labels: &[Label]) -> Vec<f64> {
    let mut order: Vec<usize> = (0..labels.len()).collect();
    // The lowest first; what is named at one height keeps its order.
    order.sort_by(|&a, &b| labels[b].at[1].total_cmp(&labels[a].at[1]));
    let mut rows = vec![0.0; labels.len()];
    let mut ceiling = f64::INFINITY;
    for index in order {
        let row = labels[index].at[1].min(ceiling - labels[index].height_px());
        rows[index] = row;
        ceiling = row;
    }
    rows
}

/// The labels in a column that begins at `x`.
pub fn drawn(labels: &[Label], x: f64) -> Markup {
    html! {
        @for (label, row) in labels.iter().zip(rows(labels)) {
            polyline.leader points=(points(&[label.at, [x - 14.0, row], [x - 4.0, row]])) {}
            text x=(px(x)) y=(px(row + 4.0)) { (label.text) }
            @if let Some(beneath) = &label.beneath { text.faint x=(px(x)) y=(px(row + 4.0 + ROW_PX)) { (beneath) } }
        }
    }
}

/// Points as SVG writes them.
#[must_use]
pub fn points(points: &[[f64; 2]]) -> String {
    let each: Vec<String> = points.iter().map(|[x, y]| format!("{},{}", px(*x), px(*y))).collect();
    each.join(" ")
}

/// A coordinate with a tenth of a pixel.
#[must_use]
pub fn px(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_never_stand_on_one_another() {
        let label = |y: f64| Label::of([0.0, y], html! {});
        let labels = [label(100.0), label(99.0), label(98.0), label(20.0)];
        let rows = rows(&labels);
        assert_eq!(rows, [100.0, 85.0, 70.0, 20.0]);
        let two_lines = Label { beneath: Some(html! {}), ..label(99.0) };
        assert_eq!(super::rows(&[label(100.0), two_lines]), [100.0, 70.0]);
    }
}
