//! Bending: the principal curvatures of every facet, right on coarse CAD tessellation.
