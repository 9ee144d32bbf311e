//! The skin: is the mesh a sheet, a thin solid or a plug, how thick is its wall, and which facets lie on which side.

/// What kind of body the mesh is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SkinKind {
    /// An open surface without thickness.
    Sheet,
    /// A body with a wall: two opposed skins and a rim.
    ThinSolid,
    /// A body without a wall, such as a plug.
    Solid,
}

/// Where a facet belongs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// Outer skin; every facet of a sheet or a plug.
    Outside,
    /// Inner skin of a thin solid.
    Inside,
    /// Edge face of a thin solid between its skins.
    Rim,
}
