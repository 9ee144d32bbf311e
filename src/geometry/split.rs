//! Clip a mesh by planes, exactly, keeping where every facet came from.
