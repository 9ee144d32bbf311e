//! What the form of a job file does not show: names given twice, planes that are none, schedules that nobody knows.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::de::{DeTable, DeValue};

use super::choices::{Base, Choice, Face, Outward};
use super::fault::Fault;
use super::source::Source;
use super::types::{Edge, EdgeKind, Job, JobPart, Split};
use crate::geometry::mesh::Point;
use crate::geometry::split::Plane;
use crate::laminate::error::LaminateError;
use crate::laminate::schedule::{Layer, Make, Schedule, Zone};
use crate::laminate::stock::{Stock, StockFile, starter_schedules};
use crate::nearest::nearest;
use crate::workshop::crew::Crew;

/// Names that the file gives and the starter has, whether or not what they stand for is sound: a schedule with a fault
/// in it is told once and not once more wherever it is used.
#[derive(Debug, Default)]
pub(super) struct Names {
    schedules: BTreeSet<String>,
    materials: BTreeSet<String>,
    resins: BTreeSet<String>,
    gelcoats: BTreeSet<String>,
    /// The job says a unit, be it a wrong one.
    units: bool,
    /// Where the parts begin that say a unit.
    parts_with_units: BTreeSet<usize>,
}

impl Names {
    /// Collects the names of a document and of the starter.
    pub(super) fn of(document: &DeTable<'_>) -> Self {
        let mut names = Self::starter();
        let table = |holder: Option<&DeTable<'_>>, key: &str| -> Vec<String> {
            let named = holder.and_then(|holder| holder.get(key)).and_then(|value| value.get_ref().as_table());
            named.into_iter().flatten().map(|(name, _)| name.get_ref().to_string()).collect()
        };
        let stock = document.get("stock").map(toml::Spanned::get_ref).and_then(DeValue::as_table);
        names.schedules.extend(table(Some(document), "schedule"));
        names.materials.extend(table(stock, "reinforcement"));
        names.materials.extend(table(stock, "core"));
        names.resins.extend(table(stock, "resin"));
        names.gelcoats.extend(table(stock, "gelcoat"));
        names.units = document.contains_key("units");
        let parts = document.get("part").map(toml::Spanned::get_ref).and_then(DeValue::as_array);
        let parts = parts.into_iter().flat_map(|parts| parts.iter());
        names.parts_with_units = parts
            .filter(|part| part.get_ref().as_table().is_some_and(|part| part.contains_key("units")))
            .map(|part| part.span().start)
            .collect();
        names
    }

    fn starter() -> Self {
        let Ok(stock) = Stock::starter() else { return Self::default() };
        Self {
            schedules: starter_schedules().map(|all| all.into_keys().collect()).unwrap_or_default(),
            materials: stock.reinforcements.into_keys().chain(stock.cores.into_keys()).collect(),
            resins: stock.resins.into_keys().collect(),
            gelcoats: stock.gelcoats.into_keys().collect(),
            ..Self::default()
        }
    }
}

/// Every fault of meaning, with the bytes at fault.
pub(super) fn faults(job: &Job, names: &Names) -> Vec<(Range<usize>, Fault)> {
    let mut check = Check { source: &job.source, names, faults: Vec::new() };
    check.choices("", job.mould.as_ref(), job.moulding.as_ref(), job);
    let mut lines = BTreeMap::new();
    for (index, part) in job.parts.iter().enumerate() {
        let path = format!("part[{index}]");
        check.name(&format!("{path}.name"), "parts", &part.name, &mut lines);
        check.part(&path, part, job);
    }
    for (name, schedule) in &job.schedules {
        check.schedule(name, schedule);
    }
    check.stock(job);
    check.faults
}

struct Check<'job> {
    source: &'job Source,
    names: &'job Names,
    faults: Vec<(Range<usize>, Fault)>,
}

impl<'job> Check<'job> {
    fn at_value(&mut self, path: &str, fault: Fault) {
        self.faults.push((self.source.value(path), fault));
    }

    fn name(&mut self, path: &str, what: &'static str, name: &'job str, lines: &mut BTreeMap<&'job str, usize>) {
        match lines.get(name) {
            Some(&first_line) => self.at_value(path, Fault::Repeated { what, name: name.to_owned(), first_line }),
            None => _ = lines.insert(name, self.source.line(path)),
        }
    }

    fn part(&mut self, path: &str, part: &'job JobPart, job: &'job Job) {
        // A unit that was misspelt is told as such.
        let wrote = self.names.units || self.names.parts_with_units.contains(&self.source.value(path).start);
        if !wrote {
            self.at_value(path, Fault::NoUnit { part: part.name.clone() });
        }
        if let Some(Face::Towards(direction)) = part.face {
            self.direction(path, "face", direction);
        }
        if let Some(Outward::Towards(direction)) = part.outward {
            self.direction(path, "outward", direction);
        }
        if let Some(Base::Towards(direction)) = part.base {
            self.direction(path, "base", direction);
        }
        if let Some(direction) = part.pull {
            self.direction(path, "pull", direction);
        }
        self.choices(path, part.mould.as_ref(), part.moulding.as_ref(), job);
        let mut lines = BTreeMap::new();
        for (index, split) in part.splits.iter().enumerate() {
            let path = format!("{path}.split[{index}]");
            self.name(&format!("{path}.name"), "splits of this part", &split.name, &mut lines);
            self.split(&path, split);
        }
        for (index, edge) in part.edges.iter().enumerate() {
            self.edge(&format!("{path}.edge[{index}]"), edge);
        }
    }

    fn direction(&mut self, path: &str, key: &'static str, direction: [f64; 3]) {
        if direction.iter().all(|along| *along == 0.0) {
            self.at_value(&format!("{path}.{key}"), Fault::NoDirection { key });
        }
    }

    fn choices(&mut self, path: &str, mould: Option<&Choice>, moulding: Option<&Choice>, job: &Job) {
        for (make, choice) in [(Make::Mould, mould), (Make::Moulding, moulding)] {
            let Some(name) = choice.and_then(Choice::name) else { continue };
            let at = super::source::joined(path, make.word());
            if !self.names.schedules.contains(name) {
                let nearest = nearest(name, self.names.schedules.iter().map(String::as_str)).map(str::to_owned);
                let names: Vec<String> = self.names.schedules.iter().map(|name| format!("\"{name}\"")).collect();
                let known = format!("Known are {}; a new one goes under [schedule.NAME]", names.join(", "));
                self.at_value(&at, Fault::Unknown { what: "schedule", name: name.to_owned(), nearest, known });
            } else if let Some(makes) = job.make_of(name).filter(|&makes| makes != make) {
                let (makes, key) = (makes.word(), make.word());
                self.at_value(&at, Fault::WrongMake { name: name.to_owned(), makes, key });
            }
        }
    }

    fn split(&mut self, path: &str, split: &Split) {
        let name = || split.name.clone();
        let half = |a: bool, a_key, b: bool, b_key| match (a, b) {
            (true, false) => Some((a_key, b_key)),
            (false, true) => Some((b_key, a_key)),
            _ => None,
        };
        let halves = [
            half(split.point_mm.is_some(), "point_mm", split.normal.is_some(), "normal"),
            half(split.axis.is_some(), "axis", split.at_mm.is_some(), "at_mm"),
        ];
        let ways: Vec<&'static str> = [
            (split.point_mm.is_some() || split.normal.is_some(), "`point_mm` with `normal`"),
            (split.axis.is_some() || split.at_mm.is_some(), "`axis` with `at_mm`"),
            (split.through_mm.is_some(), "`through_mm`"),
            (split.object.is_some(), "`object`"),
        ]
        .into_iter()
        .filter_map(|(given, keys)| given.then_some(keys))
        .collect();
        match ways.len() {
            0 => self.at_value(path, Fault::NoPlane { split: name() }),
            1 => {}
            _ => self.at_value(path, Fault::SeveralPlanes { split: name(), ways }),
        }
        for (has, lacks) in halves.into_iter().flatten() {
            let at = self.source.key(&format!("{path}.{has}"));
            self.faults.push((at, Fault::HalfPlane { split: name(), has, lacks }));
        }
        if let Some(normal) = split.normal {
            self.direction(path, "normal", normal);
        }
        let points = split.through_mm.map(|points| points.map(Point::from));
        if points.is_some_and(|points| Plane::through(points).is_err()) {
            self.at_value(&format!("{path}.through_mm"), Fault::PointsInLine { split: name() });
        }
    }

    fn edge(&mut self, path: &str, edge: &Edge) {
        let has_width = matches!(edge.kind, EdgeKind::OuterEdge | EdgeKind::ReturnFlange);
        if edge.width_mm.is_some() && !has_width {
            let at = self.source.key(&format!("{path}.width_mm"));
            self.faults.push((at, Fault::EdgeWithoutWidth { kind: edge.kind.word() }));
        }
    }

    fn schedule(&mut self, name: &str, schedule: &Schedule) {
        let path = format!("schedule.{name}");
        let names = self.names;
        self.known(&format!("{path}.resin"), "resin", &schedule.resin, &names.resins);
        if let Some(gelcoat) = &schedule.gelcoat {
            self.known(&format!("{path}.gelcoat"), "gelcoat", gelcoat, &names.gelcoats);
        }
        if let Some(percent) = schedule.catalyst_percent {
            self.above_zero(&format!("{path}.catalyst_percent"), "catalyst_percent", percent);
        }
        if schedule.layers.is_empty() {
            let (message, remedy) = laminate_words(&LaminateError::NoLayers { name: name.to_owned() });
            self.at_value(&format!("{path}.layers"), Fault::Laminate { message, remedy });
        }
        for (index, layer) in schedule.layers.iter().enumerate() {
            self.layer(&format!("{path}.layers[{index}]"), layer);
        }
    }

    fn layer(&mut self, path: &str, layer: &Layer) {
        let names = self.names;
        self.known(&format!("{path}.material"), "material", &layer.material, &names.materials);
        if let Some(resin) = &layer.resin {
            self.known(&format!("{path}.resin"), "resin", resin, &names.resins);
        }
        if layer.plies == 0 {
            let (key, found, wanted) = ("plies".to_owned(), "0".to_owned(), "1 or more".to_owned());
            self.at_value(&format!("{path}.plies"), Fault::OutOfRange { key, found, wanted });
        }
        if let Some(clear_mm) = layer.clear_of_edges_mm
            && clear_mm < 0.0
        {
            let (key, found, wanted) =
                ("clear_of_edges_mm".to_owned(), clear_mm.to_string(), "a number of 0 or more".to_owned());
            self.at_value(&format!("{path}.clear_of_edges_mm"), Fault::OutOfRange { key, found, wanted });
        }
        match &layer.zone {
            Zone::Corners(strip) => {
                let path = format!("{path}.zone.corners");
                self.above_zero(&format!("{path}.width_mm"), "width_mm", strip.width_mm);
                if let Some(radius_mm) = strip.tighter_than_mm {
                    self.above_zero(&format!("{path}.tighter_than_mm"), "tighter_than_mm", radius_mm);
                }
            }
            Zone::Edges(band) => self.above_zero(&format!("{path}.zone.edges.width_mm"), "width_mm", band.width_mm),
            Zone::Beyond(plane) => self.direction(&format!("{path}.zone.beyond"), "normal", plane.normal),
            Zone::All | Zone::Above(_) | Zone::Below(_) | Zone::Region(_) => {}
        }
    }

    fn above_zero(&mut self, path: &str, key: &str, number: f64) {
        if number <= 0.0 {
            let (key, found, wanted) = (key.to_owned(), number.to_string(), "a number above 0".to_owned());
            self.at_value(path, Fault::OutOfRange { key, found, wanted });
        }
    }

    fn known(&mut self, path: &str, what: &'static str, name: &str, known: &BTreeSet<String>) {
        if !known.contains(name) {
            let nearest = nearest(name, known.iter().map(String::as_str)).map(str::to_owned);
            let table = if what == "material" { "reinforcement" } else { what };
            let known = format!("`matloft stock` lists what there is; a new one goes under [stock.{table}.NAME]");
            self.at_value(path, Fault::Unknown { what, name: name.to_owned(), nearest, known });
        }
    }

    /// Entries are tried one by one over the starter's, so that each tells its own fault.
    fn stock(&mut self, job: &Job) {
        let mut alone: Vec<(String, StockFile)> = Vec::new();
        macro_rules! each_alone {
            ($($table:ident),*) => {$(
                for (name, entry) in &job.stock.$table {
                    let mut file = StockFile::default();
                    file.$table.insert(name.clone(), entry.clone());
                    alone.push((format!("stock.{}.{name}", stringify!($table)), file));
                }
            )*};
        }
        each_alone!(reinforcement, core, resin, gelcoat, filler);
        for (path, mut file) in alone {
            if let [name] = file.core.keys().collect::<Vec<_>>().as_slice() {
                // A core lies in a mat, which may be one that the job itself adds.
                let bed =
                    file.core[*name].bonding_mat.as_ref().and_then(|mat| job.stock.reinforcement.get_key_value(mat));
                file.reinforcement.extend(bed.map(|(name, entry)| (name.clone(), entry.clone())));
            }
            let is_core = !file.core.is_empty();
            match Stock::with(file) {
                // What is wrong with the mat below a core is told at the mat.
                Err(error) if is_core && is_of_mat(&error) => {}
                Err(error) => self.laminate(&path, &error),
                Ok(_) => {}
            }
        }
        if let Err(error) = Stock::with(StockFile { practice: job.shop.clone(), ..StockFile::default() }) {
            self.laminate("shop", &error);
        }
        if let Err(error) = Crew::with(job.crew.clone()) {
            self.laminate("crew", &error);
        }
    }

    /// A fault of the entry at a path, at the field that it names.
    fn laminate(&mut self, path: &str, error: &LaminateError) {
        let at = match error {
            LaminateError::OutOfRange { field, .. } => format!("{path}.{field}"),
            LaminateError::Unknown { .. } => format!("{path}.bonding_mat"),
            _ => path.to_owned(),
        };
        let (message, remedy) = laminate_words(error);
        self.at_value(&at, Fault::Laminate { message, remedy });
    }
}

/// True if a fault is one of a reinforcement's own.
fn is_of_mat(error: &LaminateError) -> bool {
    match error {
        LaminateError::Missing { kind, .. }
        | LaminateError::OutOfRange { kind, .. }
        | LaminateError::WetOut { kind, .. } => *kind == "reinforcement",
        _ => false,
    }
}

fn laminate_words(error: &LaminateError) -> (String, String) {
    (error.to_string(), error.remedy())
}
