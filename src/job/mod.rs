//! The job file: what the builder asks for, in TOML.
