//! The project folder on disk: the only place of this crate that touches files.

use std::fs;
use std::io;
use std::path::Path;

use crate::fault::Fault;
use crate::project::Loaded;
use crate::read::{Sources, read_project};

/// Reads a project folder.
///
/// # Errors
/// All faults of all files; a file that exists and cannot be opened is a fault too.
pub fn load_folder(folder: &Path) -> Result<Loaded, Vec<Fault>> {
    read_project(read_sources(folder)?)
}

/// Reads the texts of a project folder without looking into them.
///
/// # Errors
/// One fault for each file that exists and cannot be read as UTF-8 text.
pub fn read_sources(folder: &Path) -> Result<Sources, Vec<Fault>> {
    let mut faults = Vec::new();
    let mut read = |name: &str| match fs::read_to_string(folder.join(name)) {
        Ok(text) => Some(text),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => {
            faults.push(
                Fault::at(name, "", 0..0, format!("the file cannot be read: {error}"))
                    .expected("a text file in UTF-8"),
            );
            None
        }
    };
    let mut sources = Sources {
        property: read("property.toml"),
        design: read("design.toml"),
        practice: read("practice.toml"),
        stock: Vec::new(),
    };
    for name in stock_files(folder) {
        if let Some(text) = read(&name) {
            sources.stock.push((name, text));
        }
    }
    if faults.is_empty() { Ok(sources) } else { Err(faults) }
}

/// Names of the TOML files below `stock/`, sorted.
fn stock_files(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder.join("stock")) else { return Vec::new() };
    let mut names: Vec<String> = entries
        .filter_map(Result::ok)
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| Path::new(name).extension().is_some_and(|ending| ending == "toml"))
        .map(|name| format!("stock/{name}"))
        .collect();
    names.sort();
    names
}
