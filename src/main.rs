//! The command-line program: parse, call, print, exit code.

use std::io::{BufWriter, stderr, stdout};
use std::process::ExitCode;

use matloft::commands::{Streams, run};

fn main() -> ExitCode {
    let mut streams = Streams { out: &mut BufWriter::new(stdout().lock()), err: &mut stderr() };
    run(std::env::args_os(), &mut streams).into()
}
