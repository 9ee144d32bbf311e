//! What a job means for each of its parts: unit, plane, schedule, materials.

use super::choices::Choice;
use super::types::{EdgeKind, Job, JobPart, Split, SplitOf, SplitPlane};
use crate::geometry::mesh::{Point, Vector};
use crate::geometry::split::Plane;
use crate::laminate::error::LaminateError;
use crate::laminate::schedule::{Make, Schedule, Schedules};
use crate::laminate::stock::{NamedFigure, Stock, StockFile, starter_schedules};
use crate::notes::Note;
use crate::units::LengthUnit;
use crate::workshop::crew::Crew;

/// The materials and schedules that a job may use: its own laid over the starter's.
#[derive(Debug, Clone, PartialEq)]
pub struct Shelf {
    /// Materials by name, and the shop's habits.
    pub stock: Stock,
    /// Who works.
    pub crew: Crew,
    /// Schedules by name.
    pub schedules: Schedules,
}

impl Job {
    /// The materials and schedules of the job.
    ///
    /// # Errors
    /// [`LaminateError`] if an entry of the stock cannot be used; not for a job that [`super::read`] returned.
    pub fn shelf(&self) -> Result<Shelf, LaminateError> {
        let mut schedules = starter_schedules()?;
        schedules.extend(self.schedules.clone());
        let stock = Stock::with(StockFile { practice: self.shop.clone(), ..self.stock.clone() })?;
        Ok(Shelf { stock, crew: Crew::with(self.crew.clone())?, schedules })
    }

    /// The unit of a part's mesh. [`super::read`] sees to it that there is one; mm for a job made otherwise without.
    #[must_use]
    pub fn unit_of(&self, part: &JobPart) -> LengthUnit {
        part.units.or(self.units).unwrap_or(LengthUnit::Millimetre)
    }

    /// Name of the schedule of a part's mould or moulding: the part's own, else the job's, else `mould` or `moulding`.
    /// Nothing if it is not built.
    #[must_use]
    pub fn schedule_name<'job>(&'job self, part: &'job JobPart, make: Make) -> Option<&'job str> {
        let (own, all) = match make {
            Make::Mould => (&part.mould, &self.mould),
            Make::Moulding => (&part.moulding, &self.moulding),
        };
        own.as_ref().or(all.as_ref()).map_or(Some(make.word()), Choice::name)
    }

    /// What a schedule of this name makes, if the job or the starter has it.
    #[must_use]
    pub(super) fn make_of(&self, name: &str) -> Option<Make> {
        match self.schedules.get(name) {
            Some(own) => Some(own.make),
            None => starter_schedules().ok()?.get(name).map(|schedule| schedule.make),
        }
    }

    /// What the job leaves open and the program assumes.
    #[must_use]
    pub fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        let from_starter: Vec<Make> = [Make::Mould, Make::Moulding]
            .into_iter()
            .filter(|&make| {
                let used = |part: &JobPart| self.schedule_name(part, make) == Some(make.word());
                self.parts.iter().any(used) && !self.schedules.contains_key(make.word())
            })
            .collect();
        if !from_starter.is_empty() {
            let names: Vec<String> = from_starter.iter().map(|make| format!("{}s", make.word())).collect();
            notes.push(Note::info(
                "starter-schedules",
                format!(
                    "the job has no schedule of its own for {}: the starter's is used",
                    names.join(" and ")
                ),
                "`matloft stock` shows the starter's schedules; write your own under [schedule.mould] and [schedule.moulding]",
            ));
        }
        if self.parts.is_empty() {
            notes.push(Note::warning(
                "no-parts",
                "the job lists no parts",
                "add a [[part]] with `name` and `file` for each panel",
            ));
        }
        notes
    }
}

/// A table of the shop's habits: its name in the job file, and its figures.
pub type Habits<'a> = (&'static str, Vec<NamedFigure<'a>>);

impl Shelf {
    /// Every table of habits.
    #[must_use]
    pub fn habits(&self) -> Vec<Habits<'_>> {
        vec![("shop", self.stock.practice.figures()), ("crew", self.crew.figures())]
    }

    /// The schedule of a part's mould or moulding and its name; nothing if it is not built.
    #[must_use]
    pub fn schedule<'a>(&'a self, job: &'a Job, part: &'a JobPart, make: Make) -> Option<(&'a str, &'a Schedule)> {
        let name = job.schedule_name(part, make)?;
        Some((name, self.schedules.get(name)?))
    }
}

impl JobPart {
    /// Width of the mould's flange in mm: the part's own, else the shop's.
    #[must_use]
    pub fn flange_mm(&self, stock: &Stock) -> f64 {
        self.flange_mm.unwrap_or(stock.practice.flange_mm.value)
    }

    /// How far the moulding's plies run past the trim line, in mm: the part's own, else the shop's.
    #[must_use]
    pub fn trim_mm(&self, stock: &Stock) -> f64 {
        self.trim_mm.unwrap_or(stock.practice.trim_mm.value)
    }

    /// How many of the mould or of the mouldings are made, one hand: one mould serves all mouldings.
    #[must_use]
    pub fn count(&self, make: Make) -> u32 {
        match make {
            Make::Mould => 1,
            Make::Moulding => self.quantity,
        }
    }

    /// The splits that part the mould or the moulding.
    pub fn splits_of(&self, make: Make) -> impl Iterator<Item = &Split> {
        self.splits.iter().filter(move |split| split.of.parts(make))
    }
}

impl SplitOf {
    /// True if the split parts the mould or the moulding.
    #[must_use]
    pub const fn parts(self, make: Make) -> bool {
        matches!((self, make), (Self::Both, _) | (Self::Mould, Make::Mould) | (Self::Moulding, Make::Moulding))
    }
}

impl Split {
    /// The plane; nothing for a split that [`super::read`] would have refused.
    #[must_use]
    pub fn plane(&self) -> Option<SplitPlane<'_>> {
        if let Some(object) = &self.object {
            return Some(SplitPlane::Object(object));
        }
        let plane = if let Some(points_mm) = self.through_mm {
            Plane::through(points_mm.map(Point::from))
        } else if let (Some(axis), Some(at_mm)) = (self.axis, self.at_mm) {
            let along = Vector::from(axis.direction());
            Plane::at(Point::from(along * at_mm), along)
        } else {
            Plane::at(Point::from(self.point_mm?), Vector::from(self.normal?))
        };
        plane.ok().map(SplitPlane::Plane)
    }
}

impl EdgeKind {
    /// The word that the job file uses.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::OuterEdge => "outer-edge",
            Self::LaidAcross => "laid-across",
            Self::BlankedOff => "blanked-off",
            Self::ReturnFlange => "return-flange",
            Self::OpenEnd => "open-end",
        }
    }
}
