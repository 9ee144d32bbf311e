//! Welding: equal corners become one point.
