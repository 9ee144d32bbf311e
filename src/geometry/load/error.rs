//! Why a file, or an object in it, cannot be trusted as a whole, and how to mend it.

/// What is wrong with a file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LoadError {
    /// Nothing in it.
    #[error("the file is empty (0 bytes)")]
    Empty,
    /// Too short for any mesh.
    #[error("the file is too short: {bytes} bytes are no mesh, an STL header alone has 84; it may be truncated")]
    TooShort {
        /// Its length.
        bytes: usize,
    },
    /// Another format.
    #[error("this is {what}, not an STL or OBJ mesh")]
    OtherFormat {
        /// The format's name with its article.
        what: &'static str,
    },
    /// Nothing that could be a mesh.
    #[error("not an STL or OBJ mesh: {why}; no triangles were found")]
    NotAMesh {
        /// What was looked for.
        why: &'static str,
    },
    /// A mesh without facets.
    #[error("there are no triangles in it (0 triangles, nothing to measure){hint}")]
    NoTriangles {
        /// What there is instead, beginning with a colon, or nothing.
        hint: String,
    },
    /// More facets than the program numbers.
    #[error("{count} triangles are too many; up to {most} can be read")]
    TooMany {
        /// How many there are.
        count: usize,
        /// How many can be read.
        most: usize,
    },
    /// A binary STL that ends early.
    #[error("the file is truncated: its header announces {announced} triangles, only {complete} are there in full")]
    Truncated {
        /// Count in the header.
        announced: u32,
        /// Complete records.
        complete: usize,
    },
    /// A binary STL whose count and length disagree.
    #[error(
        "the triangle count in the header ({announced}) does not match the size of the file, which holds {complete} whole records; it is truncated, or the count is wrong"
    )]
    Count {
        /// Count in the header.
        announced: u32,
        /// Complete records.
        complete: usize,
    },
    /// A binary STL that goes on beyond its count.
    #[error(
        "the header announces {announced} triangles, but there are more triangles after them ({complete} records in all): the count does not match the size of the file"
    )]
    MoreThanAnnounced {
        /// Count in the header.
        announced: u32,
        /// Complete records.
        complete: usize,
    },
    /// A text that stops inside a facet.
    #[error("the file is truncated: it ends inside a facet at line {line}; {complete} facets are complete")]
    TextTruncated {
        /// Last line.
        line: usize,
        /// Facets before it.
        complete: usize,
    },
    /// Another word than the format asks for.
    #[error("line {line}: expected '{expected}', found '{found}'")]
    Unexpected {
        /// Where.
        line: usize,
        /// What should stand there.
        expected: &'static str,
        /// What stands there.
        found: String,
    },
    /// A decimal comma.
    #[error("line {line}: '{found}' has a decimal comma; numbers need a decimal point")]
    Comma {
        /// Where.
        line: usize,
        /// What stands there.
        found: String,
    },
    /// Something else in a number's place.
    #[error("line {line}: '{found}' is not a number")]
    NotANumber {
        /// Where.
        line: usize,
        /// What stands there.
        found: String,
    },
    /// A vertex of an OBJ with fewer than three numbers.
    #[error("line {line}: a vertex needs three numbers, found {count}")]
    ShortVertex {
        /// Where.
        line: usize,
        /// How many there are.
        count: usize,
    },
    /// Faces that name vertices that do not exist.
    #[error("{count} {faces} to vertices that do not exist (index out of range, there are {vertices}): {places}")]
    BadIndex {
        /// How many faces.
        count: usize,
        /// "face refers" or "faces refer".
        faces: &'static str,
        /// Vertices of the file.
        vertices: usize,
        /// The first of them, with line and index.
        places: String,
    },
    /// A file that counts its vertices from 0.
    #[error(
        "line {line}: vertex index 0; the file seems to count its vertices from 0, an OBJ counts from 1, so that every face would get wrong vertices"
    )]
    CountsFromZero {
        /// Where.
        line: usize,
    },
    /// All corners are no places.
    #[error(
        "{bad} of {all} triangles have corners that are not a number (NaN or infinite coordinates); what is left cannot be trusted"
    )]
    NotFinite {
        /// How many.
        bad: usize,
        /// Of how many.
        all: usize,
    },
    /// All corners are absurdly far away.
    #[error(
        "{bad} of {all} triangles have huge coordinates, out of range for any part (up to {farthest_mm:.3e} mm); what is left cannot be trusted"
    )]
    TooFar {
        /// How many.
        bad: usize,
        /// Of how many.
        all: usize,
        /// Greatest coordinate.
        farthest_mm: f64,
    },
    /// All facets are without area.
    #[error("all {count} triangles are degenerate (no area: two corners equal, or three in line)")]
    NoArea {
        /// How many.
        count: usize,
    },
}

impl LoadError {
    /// What to do about it.
    #[must_use]
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::Empty | Self::TooShort { .. } | Self::Truncated { .. } | Self::TextTruncated { .. } => {
                "export or copy the file again"
            }
            Self::Count { .. } | Self::MoreThanAnnounced { .. } => {
                "export the file again; if it comes back like this, export it as text (ASCII) STL"
            }
            Self::OtherFormat { .. } | Self::NotAMesh { .. } => "export the part as STL or OBJ from the CAD program",
            Self::NoTriangles { .. } => {
                "check that the part is visible and chosen in the CAD program, then export its faces again"
            }
            Self::TooMany { .. } => "export with a coarser tolerance, or panel by panel",
            Self::Unexpected { .. } => "export the file again, or mend that line in a text editor",
            Self::Comma { .. } => "set the CAD program or the computer to decimal points and export again",
            Self::NotANumber { .. } | Self::ShortVertex { .. } => {
                "export the file again, or mend that line in a text editor"
            }
            Self::BadIndex { .. } | Self::CountsFromZero { .. } => {
                "export the file again; do not join OBJ files by hand without renumbering"
            }
            Self::NotFinite { .. } | Self::TooFar { .. } | Self::NoArea { .. } => {
                "mend the shape in the CAD program and export it again"
            }
        }
    }
}
