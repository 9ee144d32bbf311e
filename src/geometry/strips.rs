//! Areas of strips along lines on the surface, measured along the surface.
