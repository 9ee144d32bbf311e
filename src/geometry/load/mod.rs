//! From the bytes of an STL or OBJ file to parts.
