//! Drawings of whole builds.
