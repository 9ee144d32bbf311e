//! A plan as files in a folder: all of them, or none.

use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::io::Write;
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use crate::geometry::load::LoadFault;
use crate::plan::Plan;
use crate::plan::older::{Moved, moved};
use crate::report;

/// Where the still pictures are, under the folder of the plan.
const STILLS: &str = "stills";

/// The evenings for a calendar, if the job has a start.
const CALENDAR: &str = "days.ics";

/// Writes the plan into a folder, and says what moved since the plan that was there. Every file is written whole under
/// another name in the folder where it goes, and only when all are there do they take their places: what cannot be written
/// is found while the older plan is still whole. `plan.json` comes last, so that it never tells of files that are not there.
///
/// # Errors
/// A fault naming the file or folder that cannot be written, or the complete plan that an incomplete one would replace.
pub(super) fn write_out(folder: &Path, plan: &Plan, document: &[u8], force: bool) -> Result<Vec<Moved>, LoadFault> {
    let path = folder.join("plan.json");
    let earlier: Option<serde_json::Value> =
        std::fs::read(&path).ok().and_then(|bytes| serde_json::from_slice(&bytes).ok());
    let was_complete = earlier.as_ref().is_some_and(|earlier| earlier["complete"] == true);
    if was_complete && !plan.is_complete() && !force {
        return Err(fault(
            &path,
            "holds a complete plan, and this one is incomplete; nothing was written".to_owned(),
            "mend the panels that are missing, or give --force",
        ));
    }
    let mut files = tables(folder, plan)?;
    let calendar = crate::workshop::days::calendar::calendar(&plan.days, &plan.job);
    files.extend(calendar.map(|text| (folder.join(CALENDAR), text.into_bytes())));
    files.extend(super::pictures::of_plan(plan).into_iter().map(|(name, bytes)| (folder.join(name), bytes)));
    files.push((path, document.to_vec()));
    put_all(folder, &files)?;
    remove_older_calendar(folder, &files)?;
    let written: BTreeSet<&Path> = files.iter().map(|(path, _)| path.as_path()).collect();
    remove_older_stills(&folder.join(STILLS), &written)?;
    let now = serde_json::from_slice(document).unwrap_or_default();
    Ok(earlier.map(|earlier| moved(&earlier, &now)).unwrap_or_default())
}

fn tables(folder: &Path, plan: &Plan) -> Result<Vec<(PathBuf, Vec<u8>)>, LoadFault> {
    let written = report::csv::TABLES.iter().map(|(name, table)| {
        let path = folder.join(name);
        let mut bytes = Vec::new();
        table(plan, &mut bytes).map_err(|error| cannot(&path, &error))?;
        Ok((path, bytes))
    });
    written.collect()
}

/// Puts files in their places in this order, once all of them are written.
fn put_all(folder: &Path, files: &[(PathBuf, Vec<u8>)]) -> Result<(), LoadFault> {
    std::fs::create_dir_all(folder).map_err(|error| cannot(folder, &error))?;
    for folder in files.iter().filter_map(|(path, _)| path.parent()).collect::<BTreeSet<_>>() {
        std::fs::create_dir_all(folder).map_err(|error| cannot(folder, &error))?;
    }
    let staged = files.iter().map(|(path, bytes)| {
        // A folder in the place of a file would only be met when other files have moved.
        let written = if path.is_dir() { Err(std::io::ErrorKind::IsADirectory.into()) } else { staged(path, bytes) };
        written.map(|file| (path, file)).map_err(|error| cannot(path, &error))
    });
    for (path, file) in staged.collect::<Result<Vec<_>, _>>()? {
        file.persist(path).map_err(|error| cannot(path, &error.error))?;
    }
    Ok(())
}

/// Takes away the calendar of an older plan whose days had dates, where this one's have none.
fn remove_older_calendar(folder: &Path, files: &[(PathBuf, Vec<u8>)]) -> Result<(), LoadFault> {
    let path = folder.join(CALENDAR);
    let is_file = std::fs::symlink_metadata(&path).is_ok_and(|kind| kind.is_file());
    if !is_file || files.iter().any(|(written, _)| *written == path) {
        return Ok(());
    }
    std::fs::remove_file(&path).map_err(|error| {
        let message = format!("holds the days of an older plan and cannot be removed: {error}");
        fault(&path, message, "delete it by hand; the new plan is written")
    })
}

/// Takes away pictures of panels that the plan no longer has by that name or number; other files stay.
fn remove_older_stills(folder: &Path, written: &BTreeSet<&Path>) -> Result<(), LoadFault> {
    if !folder.is_dir() {
        return Ok(());
    }
    for entry in std::fs::read_dir(folder).map_err(|error| cannot(folder, &error))? {
        let entry = entry.map_err(|error| cannot(folder, &error))?;
        let path = entry.path();
        // Not through a link: what it names may be anything.
        let is_file = entry.file_type().is_ok_and(|kind| kind.is_file());
        if is_file && is_still(&entry.file_name()) && !written.contains(path.as_path()) {
            std::fs::remove_file(&path).map_err(|error| {
                let message = format!("shows a panel of an older plan and cannot be removed: {error}");
                fault(&path, message, "delete it by hand; the new plan is written")
            })?;
        }
    }
    Ok(())
}

/// Whether a file is called as the pictures of a plan are: `01-roof-shell-2.png`.
fn is_still(name: &OsStr) -> bool {
    let parts = || {
        let (number, rest) = name.to_str()?.strip_suffix(".png")?.split_once('-')?;
        let (slug, view) = rest.rsplit_once('-')?;
        Some((number, slug, view))
    };
    let digits = |text: &str| text.bytes().all(|letter| letter.is_ascii_digit());
    let in_slug = |letter: u8| letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == b'-';
    parts().is_some_and(|(number, slug, view)| {
        number.len() >= 2
            && digits(number)
            && !slug.is_empty()
            && slug.bytes().all(in_slug)
            && view.len() == 1
            && digits(view)
    })
}

/// Puts a whole file in the place of another at once.
///
/// # Errors
/// If it cannot be written; the other is then as it was.
pub(super) fn replace(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    staged(path, bytes)?.persist(path).map_err(|error| error.error)?;
    Ok(())
}

/// A file written whole, in the folder where it goes but under a name of its own; gone again if it is dropped.
fn staged(path: &Path, bytes: &[u8]) -> std::io::Result<NamedTempFile> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut file = new_file_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// A file readable as any new file is; temporary files are private unless told otherwise.
fn new_file_in(folder: &Path) -> std::io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // The umask takes off what the user does not give.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

fn cannot(path: &Path, error: &std::io::Error) -> LoadFault {
    let remedy = "check the folder's name, its rights and the room on the disk";
    fault(path, format!("cannot be written: {error}"), remedy)
}

fn fault(path: &Path, message: String, remedy: &str) -> LoadFault {
    LoadFault { file: super::input::shown(path), object: None, message, remedy: remedy.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_called_as_pictures_are_is_taken_for_one() {
        for own in ["01-roof-shell-1.png", "12-kotfluegel-links-2-3.png", "104-lid-4.png", "02-3-1.png"] {
            assert!(is_still(OsStr::new(own)), "{own}");
        }
        let others = [
            "1-lid-1.png",
            "01-lid.png",
            "01-lid-12.png",
            "01-lid-1.jpg",
            "01-Lid-1.png",
            "lid-01-1.png",
            "01-lid-x.png",
            "x01-lid-1.png",
            "01-lid 2-1.png",
            "01--1.png.bak",
            "01-1.png",
            "photo.png",
            "",
        ];
        for other in others {
            assert!(!is_still(OsStr::new(other)), "{other}");
        }
    }

    #[test]
    fn a_folder_in_the_place_of_a_file_leaves_every_other_file_as_it_was() {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        std::fs::write(at("a.csv"), "old").expect("a file");
        std::fs::create_dir(at("b.csv")).expect("a folder");
        let files = [(at("a.csv"), b"new".to_vec()), (at("b.csv"), b"new".to_vec())];
        let fault = put_all(folder.path(), &files).expect_err("b.csv is a folder");
        assert!(fault.file.ends_with("b.csv"), "{}", fault.file);
        assert_eq!(std::fs::read(at("a.csv")).expect("a file"), b"old");
        assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 2, "nothing is left lying about");
    }
}
