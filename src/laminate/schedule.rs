//! What is laid, where and in which order: gelcoat first, then the layers from the tool outwards.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::error::LaminateError;
use super::stock::Stock;

/// What a schedule makes, or a split parts.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Make {
    /// Laid over the plug.
    Mould,
    /// Laid in the mould; the part itself.
    #[default]
    Moulding,
}

impl Make {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mould => "mould",
            Self::Moulding => "moulding",
        }
    }
}

/// An ordered lay-up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Schedule {
    /// What it makes.
    pub make: Make,
    /// Name of the gelcoat in the stock; none for a lay-up without.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub gelcoat: Option<String>,
    /// Name of the resin in the stock.
    pub resin: String,
    /// Catalyst in percent of the resin's mass, if not the resin's own default. Epoxy has its fixed mix instead.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub catalyst_percent: Option<f64>,
    /// Layers in the order in which they are laid, the first against the gelcoat.
    pub layers: Vec<Layer>,
}

impl Schedule {
    /// Checks that everything it names is in the stock and that its numbers can be.
    ///
    /// # Errors
    /// [`LaminateError`], naming the schedule and the layer, counted from 1.
    pub fn check(&self, name: &str, stock: &Stock) -> Result<(), LaminateError> {
        let user = format!("schedule \"{name}\"");
        if self.layers.is_empty() {
            return Err(LaminateError::NoLayers { name: name.to_owned() });
        }
        if let Some(gelcoat) = &self.gelcoat {
            stock.gelcoat(&user, gelcoat)?;
        }
        stock.resin(&user, &self.resin)?;
        if let Some(percent) = self.catalyst_percent {
            check_range(
                name,
                "catalyst_percent",
                percent,
                percent > 0.0 && percent <= 100.0,
                "over 0 and at most 100",
            )?;
        }
        self.layers.iter().enumerate().try_for_each(|(index, layer)| {
            let user = format!("{user}, layer {}", index + 1);
            stock.material(&user, &layer.material)?;
            if let Some(resin) = &layer.resin {
                stock.resin(&user, resin)?;
            }
            layer.check_numbers(name)
        })
    }
}

impl Layer {
    fn check_numbers(&self, schedule: &str) -> Result<(), LaminateError> {
        // More plies than this is a slip of the finger, and every ply costs a row in every table.
        const MOST_PLIES: u32 = 100;
        let n_plies = f64::from(self.plies);
        check_range(schedule, "plies", n_plies, (1..=MOST_PLIES).contains(&self.plies), "from 1 to 100")?;
        let clear_mm = self.clear_of_edges_mm.unwrap_or(0.0);
        // A kilometre: past it a width is a slip of the finger.
        const MOST_MM: f64 = 1e6;
        let is_width = |width_mm: f64| width_mm > 0.0 && width_mm <= MOST_MM;
        check_range(schedule, "clear_of_edges_mm", clear_mm, clear_mm == 0.0 || is_width(clear_mm), "0 to 1000000")?;
        match &self.zone {
            Zone::Corners(strip) => {
                check_range(schedule, "width_mm", strip.width_mm, is_width(strip.width_mm), "over 0, up to 1000000")?;
                let limit_mm = strip.tighter_than_mm.unwrap_or(1.0);
                check_range(schedule, "tighter_than_mm", limit_mm, limit_mm > 0.0, "over 0")
            }
            Zone::Edges(band) => {
                check_range(schedule, "width_mm", band.width_mm, is_width(band.width_mm), "over 0, up to 1000000")
            }
            Zone::Above(height) | Zone::Below(height) => check_range(schedule, "at_mm", height.at_mm, true, "a number"),
            Zone::Beyond(plane) => {
                let length = plane.normal.iter().map(|part| part * part).sum::<f64>().sqrt();
                let finite = plane.point_mm.iter().all(|part| part.is_finite());
                check_range(schedule, "normal", length, length > 0.0 && finite, "longer than 0")
            }
            Zone::All | Zone::Region(_) => Ok(()),
        }
    }
}

fn check_range(
    schedule: &str,
    field: &'static str,
    value: f64,
    holds: bool,
    wanted: &'static str,
) -> Result<(), LaminateError> {
    if holds && value.is_finite() {
        return Ok(());
    }
    Err(LaminateError::OutOfRange { kind: "schedule", name: schedule.to_owned(), field, value, wanted })
}

/// Schedules by name, as the job file holds them.
pub type Schedules = BTreeMap<String, Schedule>;

/// One layer of a schedule: one or more plies of one material over one zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Layer {
    /// Name of a reinforcement or core in the stock.
    pub material: String,
    /// Where it lies; everywhere unless told.
    #[serde(default)]
    pub zone: Zone,
    /// How many plies of it; one unless told.
    #[serde(default = "one_ply")]
    pub plies: u32,
    /// A name for lists and labels; the material's unless told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Another resin than the schedule's for this layer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resin: Option<String>,
    /// How far it stays clear of every edge, in mm: the solid rim that a core leaves, where its taper runs out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clear_of_edges_mm: Option<f64>,
}

const fn one_ply() -> u32 {
    1
}

/// Where a layer lies. In a job file: `zone = "all"`, `zone = { corners = { width_mm = 100 } }`,
/// `zone = { edges = { width_mm = 60 } }`, `zone = { above = { axis = "z", at_mm = 300 } }`, `zone = { region = "hinge" }`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub enum Zone {
    /// The whole piece.
    #[default]
    All,
    /// A strip along corners.
    Corners(CornerStrip),
    /// A band along edges.
    Edges(EdgeBand),
    /// What lies above a height on an axis of the mesh.
    Above(Height),
    /// What lies below a height on an axis of the mesh.
    Below(Height),
    /// What lies beyond a plane, on the side its normal points to.
    Beyond(BeyondPlane),
    /// A named region: a group or material of the mesh file.
    Region(String),
}

/// A strip along corners, half its width on either side of the corner's middle, measured along the surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CornerStrip {
    /// Width of the strip over the corner, in mm.
    pub width_mm: f64,
    /// Only corners with a smaller radius, in mm; all that are listed unless told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tighter_than_mm: Option<f64>,
    /// Only corners that the laminator meets so.
    #[serde(default)]
    pub met_as: CornerChoice,
}

/// A band along the edges of a piece, measured inwards along the surface.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EdgeBand {
    /// Width of the band, in mm.
    pub width_mm: f64,
    /// Which edges.
    #[serde(default)]
    pub at: EdgeChoice,
}

/// Corners chosen by how the laminator meets them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum CornerChoice {
    /// Corners that the mat goes into.
    Inside,
    /// Corners that the mat goes over.
    Outside,
    /// Every corner.
    #[default]
    Both,
}

/// Edges chosen by what they are.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum EdgeChoice {
    /// Every edge.
    #[default]
    All,
    /// Outer edges.
    Outer,
    /// Edges of openings.
    Openings,
    /// Edges where a split parts the piece.
    Splits,
}

/// A height on an axis of the mesh.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Height {
    /// The axis.
    pub axis: Axis,
    /// Where on it, in mm.
    pub at_mm: f64,
}

/// A plane with a side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BeyondPlane {
    /// A point on the plane, in mm.
    pub point_mm: [f64; 3],
    /// Points to the side meant; any length but zero.
    pub normal: [f64; 3],
}

/// An axis of the mesh file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Axis {
    /// First coordinate.
    X,
    /// Second coordinate.
    Y,
    /// Third coordinate.
    Z,
}

impl Axis {
    /// Its unit vector.
    #[must_use]
    pub const fn direction(self) -> [f64; 3] {
        match self {
            Self::X => [1.0, 0.0, 0.0],
            Self::Y => [0.0, 1.0, 0.0],
            Self::Z => [0.0, 0.0, 1.0],
        }
    }
}

impl Zone {
    /// The zone in words, for lists.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::All => "all".to_owned(),
            Self::Corners(CornerStrip { width_mm, tighter_than_mm, met_as }) => {
                let which = match met_as {
                    CornerChoice::Inside => "inside corners",
                    CornerChoice::Outside => "outside corners",
                    CornerChoice::Both => "corners",
                };
                let tighter = tighter_than_mm.map_or_else(String::new, |limit| format!(" under {limit} mm"));
                format!("{width_mm} mm along {which}{tighter}")
            }
            Self::Edges(EdgeBand { width_mm, at }) => {
                let which = match at {
                    EdgeChoice::All => "edges",
                    EdgeChoice::Outer => "outer edges",
                    EdgeChoice::Openings => "edges of openings",
                    EdgeChoice::Splits => "split edges",
                };
                format!("{width_mm} mm along {which}")
            }
            Self::Above(Height { axis, at_mm }) => format!("{axis:?} above {at_mm} mm"),
            Self::Below(Height { axis, at_mm }) => format!("{axis:?} below {at_mm} mm"),
            Self::Beyond(BeyondPlane { point_mm, normal }) => format!("beyond {point_mm:?} mm towards {normal:?}"),
            Self::Region(name) => format!("region {name}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_schedule_is_read_as_the_job_file_writes_it() {
        let text = r#"
            make = "moulding"
            gelcoat = "production gelcoat"
            resin = "polyester"
            layers = [
                { material = "mat 225" },
                { material = "mat 450", plies = 2 },
                { material = "mat 450", zone = { corners = { width_mm = 100, met_as = "inside" } }, name = "corner strip" },
                { material = "mat 450", zone = { above = { axis = "z", at_mm = 300 } } },
                { material = "woven 600", zone = { region = "hinge" } },
            ]
        "#;
        let schedule: Schedule = toml::from_str(text).expect("a schedule");
        assert_eq!(schedule.layers.len(), 5);
        assert_eq!((schedule.layers[0].plies, schedule.layers[1].plies), (1, 2));
        assert_eq!(schedule.layers[0].zone, Zone::All);
        assert_eq!(schedule.layers[2].zone.words(), "100 mm along inside corners");
        assert_eq!(schedule.layers[3].zone.words(), "Z above 300 mm");
        assert_eq!(schedule.layers[4].zone, Zone::Region("hinge".to_owned()));
    }

    #[test]
    fn an_unknown_key_in_a_layer_is_refused() {
        let text = "make = 'mould'\nresin = 'polyester'\nlayers = [{ material = 'mat 225', ply = 2 }]";
        let message = toml::from_str::<Schedule>(text).expect_err("`ply` is not a key").to_string();
        assert!(message.contains("unknown field `ply`") && message.contains("line 3"), "{message}");
        let text =
            "make = 'mould'\nresin = 'polyester'\nlayers = [{ material = 'x', zone = { edges = { wide = 2 } } }]";
        assert!(toml::from_str::<Schedule>(text).is_err());
    }

    #[test]
    fn numbers_that_cannot_be_are_refused_with_the_schedule() {
        let stock = Stock::starter().expect("the starter stock");
        let check = |layer: &str| {
            let text = format!("make = 'mould'\nresin = 'polyester'\nlayers = [{layer}]");
            let schedule: Schedule = toml::from_str(&text).expect("a schedule");
            schedule.check("deck", &stock).map_err(|error| error.to_string())
        };
        assert_eq!(check("{ material = 'mat 225' }"), Ok(()));
        for (layer, wrong) in [
            ("{ material = 'mat 225', plies = 0 }", "`plies` is 0, it must be from 1 to 100"),
            ("{ material = 'mat 225', zone = { edges = { width_mm = -5 } } }", "`width_mm` is -5"),
            ("{ material = 'mat 225', zone = { corners = { width_mm = inf } } }", "`width_mm` is inf"),
            (
                "{ material = 'mat 225', zone = { corners = { width_mm = 90, tighter_than_mm = nan } } }",
                "`tighter_than_mm` is NaN",
            ),
            ("{ material = 'mat 225', zone = { above = { axis = 'z', at_mm = nan } } }", "`at_mm` is NaN"),
            (
                "{ material = 'mat 225', zone = { beyond = { point_mm = [0, 0, 0], normal = [0, 0, 0] } } }",
                "`normal` is 0",
            ),
            ("{ material = 'mat 225', clear_of_edges_mm = nan }", "`clear_of_edges_mm` is NaN"),
            ("", "has no layers"),
        ] {
            let message = check(layer).expect_err(layer);
            assert!(message.contains("schedule \"deck\"") && message.contains(wrong), "{layer}: {message}");
        }
    }
}
