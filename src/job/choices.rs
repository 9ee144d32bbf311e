//! Values that are either a word, a direction or `false`.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

/// A direction in the mesh's axes; its length does not matter, but must not be zero.
pub type Direction = [f64; 3];

/// Which side of a body with a wall is moulded.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Face {
    /// One of the two sides.
    Side(FaceSide),
    /// The side that faces this direction.
    Towards(Direction),
}

/// A side of a body with a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum FaceSide {
    /// The outer skin.
    Outside,
    /// The inner skin.
    Inside,
}

/// Which side of an open surface is seen on the finished body.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Outward {
    /// By the winding of the triangles.
    Winding(Winding),
    /// The side that faces this direction.
    Towards(Direction),
}

/// A side of an open surface by the winding of its triangles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Winding {
    /// The side from which the triangles run anticlockwise.
    #[serde(rename = "as wound")]
    AsWound,
    /// The other side.
    #[serde(rename = "reversed")]
    Reversed,
}

/// The face that a plug stands on, which is not moulded.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Base {
    /// None, or the one that looks like it.
    Word(BaseWord),
    /// The flat face that looks this way.
    Towards(Direction),
}

/// How a base is found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum BaseWord {
    /// All of the plug is moulded.
    None,
    /// The flat face that looks like a base is left out.
    Auto,
}

/// The name of a schedule, or `false` for what is not built.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Choice {
    /// This schedule.
    Schedule(String),
    /// Not built.
    Nothing,
}

impl Choice {
    /// The schedule's name, if one is named.
    #[must_use]
    pub fn name(&self) -> Option<&str> {
        match self {
            Self::Schedule(name) => Some(name),
            Self::Nothing => None,
        }
    }
}

impl Serialize for Choice {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Schedule(name) => serializer.serialize_str(name),
            Self::Nothing => serializer.serialize_bool(false),
        }
    }
}

impl<'de> Deserialize<'de> for Choice {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct NameOrFalse;
        impl serde::de::Visitor<'_> for NameOrFalse {
            type Value = Choice;

            fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                formatter.write_str("the name of a schedule, or false")
            }

            fn visit_str<E: serde::de::Error>(self, name: &str) -> Result<Choice, E> {
                Ok(Choice::Schedule(name.to_owned()))
            }

            fn visit_bool<E: serde::de::Error>(self, built: bool) -> Result<Choice, E> {
                if built {
                    Err(E::invalid_value(serde::de::Unexpected::Bool(true), &self))
                } else {
                    Ok(Choice::Nothing)
                }
            }
        }
        deserializer.deserialize_any(NameOrFalse)
    }
}

impl JsonSchema for Choice {
    fn schema_name() -> Cow<'static, str> {
        "Choice".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "The name of a schedule, or false for what is not built.",
            "anyOf": [{ "title": "the name of a schedule in quotes", "type": "string", "minLength": 1 }, { "const": false }]
        })
    }
}
