//! The file of weighed builds beside a job: appended to and never rewritten.

use std::fs::{File, OpenOptions};
use std::io::{self, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use crate::geometry::load::LoadFault;
use crate::workshop::record::line::Weighed;
use crate::workshop::record::read::Records;

/// The file beside a job: `body.toml` has `body.weighed.jsonl`.
#[must_use]
pub fn beside(job: &Path) -> PathBuf {
    job.with_extension("weighed.jsonl")
}

/// What was weighed so far; nothing if there is no file yet.
///
/// # Errors
/// A fault naming the file if it is there and cannot be read.
pub fn read(path: &Path) -> Result<Option<Records>, LoadFault> {
    match bytes(path) {
        Ok(bytes) => Ok(Some(Records::read(&bytes, &super::input::shown(path)))),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(fault(path, format!("cannot be read: {error}"), "check its rights")),
    }
}

fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    let mut file = File::open(path)?;
    // Not to meet half a line that another is just writing. Where there are no locks, a line is still one write.
    allowed(file.lock_shared())?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Appends one build as a line of its own and returns the number of that line. `check` sees the records that are there
/// before it is written, under the lock, and may refuse.
///
/// # Errors
/// A fault naming the file if it cannot be written to, or what `check` refuses.
pub fn append(
    path: &Path,
    weighed: &Weighed,
    check: impl FnOnce(&Records) -> Result<(), LoadFault>,
) -> Result<usize, LoadFault> {
    let line = weighed.line().map_err(|error| fault(path, format!("cannot hold this record: {error}"), ""))?;
    let is_new = !path.exists();
    let mut file =
        OpenOptions::new().read(true).append(true).create(true).open(path).map_err(|error| cannot(path, &error))?;
    let number = locked_append(&mut file, &line, |bytes| check(&Records::read(bytes, &super::input::shown(path))));
    let number = number.map_err(|error| cannot(path, &error))??;
    if is_new {
        keep_name(path).map_err(|error| cannot(path, &error))?;
    }
    Ok(number)
}

/// One line under the lock: after a line that was cut off, on a line of its own. The lock goes with the file.
fn locked_append<Refusal>(
    file: &mut File,
    line: &str,
    check: impl FnOnce(&[u8]) -> Result<(), Refusal>,
) -> io::Result<Result<usize, Refusal>> {
    allowed(file.lock())?;
    let mut before = Vec::new();
    file.seek(SeekFrom::Start(0))?;
    file.read_to_end(&mut before)?;
    if let Err(refusal) = check(&before) {
        return Ok(Err(refusal));
    }
    let is_cut = before.last().is_some_and(|&byte| byte != b'\n');
    let whole = if is_cut { format!("\n{line}") } else { line.to_owned() };
    file.write_all(whole.as_bytes())?;
    file.sync_all()?;
    let n_ends = before.iter().filter(|&&byte| byte == b'\n').count();
    Ok(Ok(n_ends + usize::from(is_cut) + 1))
}

/// File systems without locks still take a whole line in one write at the end.
fn allowed(lock: io::Result<()>) -> io::Result<()> {
    match lock {
        Err(error) if error.kind() == ErrorKind::Unsupported => Ok(()),
        other => other,
    }
}

/// A new file's name is kept by its folder, which is written to the disk apart.
fn keep_name(path: &Path) -> io::Result<()> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
}

fn cannot(path: &Path, error: &io::Error) -> LoadFault {
    let remedy = match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "the record is kept beside the job: give yourself the right to write there, or copy job and record to a folder of your own"
        }
        ErrorKind::StorageFull => "make room on the disk and record it again; nothing that was there is lost",
        _ => "check the folder and the disk, and record it again; nothing that was there is lost",
    };
    fault(path, format!("cannot be written: {error}; the build is not recorded"), remedy)
}

/// A fault with this file.
pub fn fault(path: &Path, message: String, remedy: &str) -> LoadFault {
    LoadFault { file: super::input::shown(path), object: None, message, remedy: remedy.to_owned() }
}

#[cfg(test)]
mod tests;
