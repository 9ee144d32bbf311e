//! Forms of output. Formats and never computes.
