//! Which views go where on the paper, and at what scale.

use super::scale::Scale;
use super::view::{Area, View};

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
    /// It is square to two axes: hidden lines are drawn, and lengths can be measured.
    pub is_square: bool,
    /// Its scale; nothing of an isometric view that is not to scale.
    pub scale: Option<Scale>,
    /// Mm on paper for a real mm.
    pub factor: f64,
    origin: [f64; 2],
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

/// What a view would show, before it has a place.
#[derive(Debug, Clone, Copy)]
pub struct Extent {
    /// From where.
    pub view: View,
    /// The face alone, in mm of the view.
    pub face: Area,
    /// With flanges.
    pub whole: Area,
}

/// The views that are placed: from the front, from the left, from above, and on all three axes.
#[derive(Debug, Clone, Copy)]
pub struct Extents {
    /// From the front.
    pub front: Extent,
    /// From the left.
    pub left: Extent,
    /// From above.
    pub above: Extent,
    /// On all three axes.
    pub isometric: Extent,
}

/// Room round a view for numbers and their leaders.
pub const LABELS_MM: f64 = 7.5;
/// Room for a dimension, beyond that.
pub const DIMENSION_MM: f64 = 6.0;
/// Room under a view for what it is called.
pub const TITLE_MM: f64 = 4.0;
/// Room at the bottom of the sheet for the scale.
pub const FOOT_MM: f64 = 5.0;

/// Where a view stands: column and row; the isometric view may take all rows or all columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Slot {
    At(usize, usize),
    Right,
    Below,
}

/// One way to arrange the views. First angle (ISO 5456-2): the view from the left stands on the right, the view from above
/// below.
struct Arrangement {
    left: Option<Slot>,
    above: Option<Slot>,
    isometric: Slot,
}

/// Ways to arrange the views, best first: with two of the three every length is there still.
const ARRANGEMENTS: [Arrangement; 6] = [
    Arrangement { left: Some(Slot::At(1, 0)), above: Some(Slot::At(0, 1)), isometric: Slot::At(1, 1) },
    Arrangement { left: Some(Slot::At(1, 0)), above: Some(Slot::At(0, 1)), isometric: Slot::Right },
    Arrangement { left: Some(Slot::At(1, 0)), above: None, isometric: Slot::Right },
    Arrangement { left: None, above: Some(Slot::At(0, 1)), isometric: Slot::Right },
    Arrangement { left: Some(Slot::At(1, 0)), above: None, isometric: Slot::Below },
    Arrangement { left: None, above: Some(Slot::At(0, 1)), isometric: Slot::Below },
];

/// The isometric view may be so much smaller than the others; it is then not to scale, as pictorial views often are (common
/// practice, no source). Smaller than the last it shows nothing.
const ISOMETRIC_SHARES: [f64; 6] = [1.0, 0.8, 0.65, 0.5, 0.4, 0.3];

/// Places the views as large as a standard scale allows; among equals the isometric view as large as it can be, and the
/// arrangement that comes first.
#[must_use]
pub fn arranged(extents: &Extents, size_mm: [f64; 2], with_dimensions: bool) -> Vec<Placed> {
    let mut smallest = None;
    for scale in Scale::all() {
        for share in ISOMETRIC_SHARES {
            for arrangement in &ARRANGEMENTS {
                let grid = Grid::of(extents, arrangement, (scale, share), with_dimensions);
                if grid.needs()[0] <= size_mm[0] && grid.needs()[1] <= size_mm[1] {
                    return grid.placed(size_mm);
                }
                smallest = Some(grid);
            }
        }
    }
    // Nothing fits: the smallest of all, over the edge of the sheet.
    smallest.map(|grid| grid.placed(size_mm)).unwrap_or_default()
}

/// An arrangement at a scale.
struct Grid {
    cells: Vec<Cell>,
    /// Widths of columns and heights of rows.
    tracks: [Vec<f64>; 2],
}

struct Cell {
    extent: Extent,
    slot: Slot,
    scale: Option<Scale>,
    factor: f64,
    dimensions: [Option<Axis>; 2],
}

impl Cell {
    /// Room that it takes: with labels, dimensions, title.
    fn needs(&self) -> [f64; 2] {
        let [width, height] = self.extent.whole.size().map(|side| side * self.factor);
        let [above, beside] = self.dimensions.map(|axis| if axis.is_some() { DIMENSION_MM } else { 0.0 });
        [width + beside + 2.0 * LABELS_MM, height + above + 2.0 * LABELS_MM + TITLE_MM]
    }

    fn is_square(&self) -> bool {
        !matches!(self.extent.view.name, ISOMETRIC)
    }
}

/// What the view on all three axes is called.
pub const ISOMETRIC: &str = "isometric";

impl Grid {
    fn of(extents: &Extents, arrangement: &Arrangement, (scale, share): (Scale, f64), with_dimensions: bool) -> Self {
        let cell = |extent: Extent, slot: Slot, dimensions: [Option<Axis>; 2]| {
            let dimensions = if with_dimensions { dimensions } else { [None; 2] };
            Cell { extent, slot, scale: Some(scale), factor: scale.factor(), dimensions }
        };
        let mut cells = vec![cell(extents.front, Slot::At(0, 0), [Some(0), Some(2)])];
        if let Some(slot) = arrangement.left {
            let depth = if arrangement.above.is_none() { Some(1) } else { None };
            cells.push(cell(extents.left, slot, [depth, None]));
        }
        if let Some(slot) = arrangement.above {
            cells.push(cell(extents.above, slot, [None, Some(1)]));
        }
        cells.push(Cell {
            scale: (share == 1.0).then_some(scale),
            factor: share * scale.factor(),
            ..cell(extents.isometric, arrangement.isometric, [None; 2])
        });
        let mut grid = Self { cells, tracks: [Vec::new(), Vec::new()] };
        grid.measure();
        grid
    }

    fn measure(&mut self) {
        let mut tracks = [Vec::new(), Vec::new()];
        let mut grow = |axis: usize, number: usize, needs: f64| {
            let track: &mut Vec<f64> = &mut tracks[axis];
            track.resize(track.len().max(number + 1), 0.0);
            track[number] = f64::max(track[number], needs);
        };
        for cell in &self.cells {
            if let Slot::At(column, row) = cell.slot {
                grow(0, column, cell.needs()[0]);
                grow(1, row, cell.needs()[1]);
            }
        }
        for cell in &self.cells {
            // The one view beside or below all others: it makes a track of its own, and lengthens the last of the others.
            let (own, across) = match cell.slot {
                Slot::At(..) => continue,
                Slot::Right => (0, 1),
                Slot::Below => (1, 0),
            };
            let lacks = cell.needs()[across] - tracks[across].iter().sum::<f64>();
            if let Some(last) = tracks[across].last_mut() {
                *last += lacks.max(0.0);
            }
            tracks[own].push(cell.needs()[own]);
        }
        self.tracks = tracks;
    }

    fn needs(&self) -> [f64; 2] {
        let [width, height] = [0, 1].map(|axis| self.tracks[axis].iter().sum::<f64>());
        [width, height + FOOT_MM]
    }

    fn placed(&self, size_mm: [f64; 2]) -> Vec<Placed> {
        // What is left over is shared out among the columns and among the rows.
        let spare = [0, 1].map(|axis| ((size_mm[axis] - self.needs()[axis]) / self.tracks[axis].len() as f64).max(0.0));
        let ends = |axis: usize| {
            let mut at = 0.0;
            let mut ends = vec![at];
            for track in &self.tracks[axis] {
                at += track + spare[axis];
                ends.push(at);
            }
            ends
        };
        let (columns, rows) = (ends(0), ends(1));
        let span = |ends: &[f64], number: Option<usize>| match number {
            Some(number) => [ends[number], ends[number + 1]],
            None => [ends[0], ends[ends.len() - 1]],
        };
        let placed = |cell: &Cell| {
            let (column, row) = match cell.slot {
                Slot::At(column, row) => (Some(column), Some(row)),
                Slot::Right => (Some(columns.len() - 2), None),
                Slot::Below => (None, Some(rows.len() - 2)),
            };
            let ([left, right], [top, bottom]) = (span(&columns, column), span(&rows, row));
            cell.placed(Area { least: [left, top], most: [right, bottom] })
        };
        let mut views: Vec<Placed> = self.cells.iter().map(placed).collect();
        self.line_up(&mut views);
        views
    }

    /// Views of the same object line up with the first.
    fn line_up(&self, views: &mut [Placed]) {
        let Some((front, others)) = views.split_first_mut() else { return };
        for (other, cell) in others.iter_mut().zip(&self.cells[1..]).filter(|(other, _)| other.is_square) {
            match cell.slot {
                Slot::At(0, _) => other.origin[0] = front.origin[0],
                _ => other.origin[1] = front.origin[1],
            }
        }
    }
}

impl Cell {
    fn placed(&self, room: Area) -> Placed {
        let factor = self.factor;
        let whole = self.extent.whole;
        let [above, beside] = self.dimensions.map(|axis| if axis.is_some() { DIMENSION_MM } else { 0.0 });
        let spare = [0, 1].map(|axis| 0.5 * (room.size()[axis] - self.needs()[axis]).max(0.0));
        let left = room.least[0] + beside + LABELS_MM + spare[0];
        // Rows begin at the top, so that views side by side have their dimensions side by side.
        let top = room.least[1] + above + LABELS_MM + spare[1];
        Placed {
            view: self.extent.view,
            room,
            whole,
            face: self.extent.face,
            dimensions: self.dimensions,
            is_square: self.is_square(),
            scale: self.scale,
            factor,
            origin: [left - whole.least[0] * factor, top + whole.most[1] * factor],
        }
    }
}
