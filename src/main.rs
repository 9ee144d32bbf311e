//! The command-line program: parse, call, print, exit code.

fn main() {}
