//! Which files the user meant, and their bytes.

use std::path::{Path, PathBuf};

use crate::geometry::load::LoadFault;

/// The endings of mesh files.
const ENDINGS: [&str; 2] = ["stl", "obj"];

/// Files as named, and the mesh files directly inside each folder in order of name. What is not there is a fault.
pub fn mesh_files(named: &[PathBuf]) -> (Vec<PathBuf>, Vec<LoadFault>) {
    let mut files = Vec::new();
    let mut faults = Vec::new();
    for path in named {
        if path.is_dir() {
            match meshes_in(path) {
                Ok(found) if found.is_empty() => faults.push(fault(
                    path,
                    "the folder holds no mesh (no file that ends in .stl or .obj)",
                    "export each panel as STL or OBJ into it, or name the files",
                )),
                Ok(found) => files.extend(found),
                Err(error) => faults.push(fault(
                    path,
                    &format!("the folder cannot be read: {error}"),
                    "check its name and rights",
                )),
            }
        } else {
            files.push(path.clone());
        }
    }
    (files, faults)
}

fn meshes_in(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if has_mesh_ending(&path) && path.is_file() {
            found.push(path);
        }
    }
    found.sort();
    Ok(found)
}

/// Whether a file calls itself a mesh.
pub fn has_mesh_ending(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ENDINGS.iter().any(|known| ending.eq_ignore_ascii_case(known)))
}

/// The bytes of a file, or a fault that says why not.
///
/// # Errors
/// A fault naming the file if it is missing or cannot be read.
pub fn read(path: &Path) -> Result<Vec<u8>, LoadFault> {
    std::fs::read(path).map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => {
            fault(path, "there is no such file", "check the name; names are case-sensitive on many systems")
        }
        _ => fault(
            path,
            &format!("the file cannot be read: {error}"),
            "check that it is a file and that you may read it",
        ),
    })
}

fn fault(path: &Path, message: &str, remedy: &str) -> LoadFault {
    LoadFault { file: shown(path), object: None, message: message.to_owned(), remedy: remedy.to_owned() }
}

/// A path as text, for messages and documents.
#[must_use]
pub fn shown(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}
