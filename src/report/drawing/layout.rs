//! Which views go where on the paper, and at what scale.

use super::scale::Scale;
use super::view::{Area, Seen, View};
use crate::geometry::mesh::{Point, Vector};

/// A view in its place. Paper: mm to the right and downwards.
#[derive(Debug, Clone)]
pub struct Placed {
    /// From where.
    pub view: View,
    /// Room for view, labels and title.
    pub room: Area,
    /// What the view shows with flanges, in mm of the view.
    pub whole: Area,
    /// The face alone, in mm of the view.
    pub face: Area,
    /// It is drawn with overall dimensions: width, height.
    pub dimensions: [Option<Axis>; 2],
    /// Hidden lines are drawn.
    pub hidden: bool,
    origin: [f64; 2],
    factor: f64,
}

/// An axis of the mesh: 0, 1, 2 for x, y, z.
pub type Axis = usize;

impl Placed {
    /// A point of the view on paper.
    #[must_use]
    pub fn on_paper(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        [self.origin[0] + x * self.factor, self.origin[1] - y * self.factor]
    }

    /// A rectangle of the view on paper.
    #[must_use]
    pub fn area_on_paper(&self, area: &Area) -> Area {
        let mut paper = Area::EMPTY;
        paper.take_in(self.on_paper(area.least));
        paper.take_in(self.on_paper(area.most));
        paper
    }
}

/// The views of a sheet.
#[derive(Debug, Clone)]
pub struct Layout {
    /// The views.
    pub views: Vec<Placed>,
    /// Their scale.
    pub scale: Scale,
}

/// Room round a view for numbers and their leaders.
const LABELS_MM: f64 = 8.0;
/// Room for a dimension, beyond that.
pub const DIMENSION_MM: f64 = 6.0;
/// Room under a view for what it is called.
pub const TITLE_MM: f64 = 5.0;
/// Room at the bottom of the sheet for the scale.
pub const FOOT_MM: f64 = 6.0;

/// Front with the view from the left on its right and the view from above below it (first angle, ISO 5456-2), and a view on
/// all three axes (isometric, ISO 5456-3) in the corner that is left; as large as a standard scale allows.
#[must_use]
pub fn arranged<'a>(
    face: &(impl Fn() -> Box<dyn Iterator<Item = &'a Point> + 'a> + ?Sized),
    extra: &(impl Fn() -> Box<dyn Iterator<Item = &'a Point> + 'a> + ?Sized),
    size_mm: [f64; 2],
    with_dimensions: bool,
) -> Layout {
    let views = [View::front(), View::left(), View::above(), View::from("isometric", Vector::new(-1.0, -1.0, 1.0))];
    let faces = views.map(|view| area(&view, &mut *face()));
    let wholes = views.map(|view| area(&view, &mut face().chain(extra())));
    let [front, left, above, isometric] = wholes.map(|whole| whole.size());
    // Widths of the two columns, heights of the two rows.
    let columns = [front[0].max(above[0]), left[0].max(isometric[0])];
    let rows = [front[1].max(left[1]), above[1].max(isometric[1])];
    let dimension_mm = if with_dimensions { DIMENSION_MM } else { 0.0 };
    let round = [4.0 * LABELS_MM + dimension_mm, 4.0 * LABELS_MM + 2.0 * TITLE_MM + dimension_mm + FOOT_MM];
    let needs = |factor: f64| [factor * (columns[0] + columns[1]) + round[0], factor * (rows[0] + rows[1]) + round[1]];
    let scale = Scale::largest(|factor| needs(factor)[0] <= size_mm[0] && needs(factor)[1] <= size_mm[1]);
    let factor = scale.factor();
    // What is left over goes between the columns and rows.
    let spare = [0, 1].map(|axis| (size_mm[axis] - needs(factor)[axis]).max(0.0) / 2.0);
    let room = |column: usize, row: usize| {
        let x = [0.0, dimension_mm + 2.0 * LABELS_MM + factor * columns[0] + spare[0]][column];
        let y = [0.0, dimension_mm + 2.0 * LABELS_MM + TITLE_MM + factor * rows[0] + spare[1]][row];
        let left_mm = if column == 0 { dimension_mm } else { 0.0 };
        let top_mm = if row == 0 { dimension_mm } else { 0.0 };
        let width = left_mm + 2.0 * LABELS_MM + factor * columns[column] + spare[0];
        let height = top_mm + 2.0 * LABELS_MM + TITLE_MM + factor * rows[row] + spare[1];
        (Area::at([x, y], [width, height]), [left_mm, top_mm])
    };
    let place = |number: usize, column: usize, row: usize, dimensions: [Option<Axis>; 2]| {
        let (room, [left_mm, top_mm]) = room(column, row);
        let whole = wholes[number];
        let [width, height] = [0, 1].map(|axis| whole.size()[axis] * factor);
        let free = [room.size()[0] - left_mm - width, room.size()[1] - top_mm - TITLE_MM - height];
        let corner = [room.least[0] + left_mm + 0.5 * free[0], room.least[1] + top_mm + 0.5 * free[1]];
        Placed {
            view: views[number],
            room,
            whole,
            face: faces[number],
            dimensions: if with_dimensions { dimensions } else { [None; 2] },
            hidden: number < 3,
            origin: [corner[0] - whole.least[0] * factor, corner[1] + whole.most[1] * factor],
            factor,
        }
    };
    let mut views = vec![
        place(0, 0, 0, [Some(0), Some(2)]),
        place(1, 1, 0, [None; 2]),
        place(2, 0, 1, [None, Some(1)]),
        place(3, 1, 1, [None; 2]),
    ];
    // Views of the same object line up.
    views[2].origin[0] = views[0].origin[0];
    views[1].origin[1] = views[0].origin[1];
    Layout { views, scale }
}

fn area<'a>(view: &View, points: &mut dyn Iterator<Item = &'a Point>) -> Area {
    let seen = |point: &Point| -> Seen { view.seen(point) };
    Area::round(points.map(seen))
}
