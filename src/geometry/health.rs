//! Counts of what is wrong with a mesh, and the repairs that lose nothing.
