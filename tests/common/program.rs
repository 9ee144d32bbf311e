//! The built program in a folder of its own.

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use serde_json::Value;

/// A folder with files, in which the program is run.
pub struct Bench {
    folder: tempfile::TempDir,
}

/// How a run ended.
#[derive(Debug)]
pub struct Ran {
    /// Exit code.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Bench {
    /// An empty folder.
    pub fn new() -> Self {
        Self { folder: tempfile::tempdir().expect("a folder") }
    }

    /// Puts a file into the folder.
    pub fn with(self, name: &str, bytes: impl AsRef<[u8]>) -> Self {
        std::fs::write(self.path(name), bytes).expect("the file is written");
        self
    }

    /// A file of the folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Runs the program in the folder.
    pub fn run<Argument: AsRef<std::ffi::OsStr>>(&self, arguments: impl IntoIterator<Item = Argument>) -> Ran {
        self.run_with(arguments, |_| {})
    }

    /// Runs the program in the folder, prepared in some way.
    pub fn run_with<Argument: AsRef<std::ffi::OsStr>>(
        &self,
        arguments: impl IntoIterator<Item = Argument>,
        prepare: impl FnOnce(&mut Command),
    ) -> Ran {
        let mut command = Command::cargo_bin("matloft").expect("the program is built");
        command.current_dir(self.folder.path()).args(arguments);
        prepare(&mut command);
        let output = command.output().expect("the program runs");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
        Ran { code: output.status.code().expect("an exit code"), out: text(output.stdout), err: text(output.stderr) }
    }
}

impl Ran {
    /// Standard output as one JSON document.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {}\n{}", self.out, self.err))
    }
}

/// A file of the project's fixtures.
pub fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(name)
}
