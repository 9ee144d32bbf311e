//! The commands: read, compute, render. Only these open files.
