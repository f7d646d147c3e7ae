//! The project folder on disk: the only place of this crate that touches files.

use std::fs;
use std::io;
use std::path::Path;

use crate::fault::Fault;
use crate::project::Loaded;
use crate::read::{SURVEY_FILES, Sources, read_project};

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
    let mut read = |name: &str| match read_text(folder, name) {
        Ok(text) => text,
        Err(fault) => {
            faults.push(*fault);
            None
        }
    };
    let mut sources = Sources {
        property: read("property.toml"),
        design: read("design.toml"),
        practice: read("practice.toml"),
        stock: Vec::new(),
        survey: None,
    };
    sources.survey = SURVEY_FILES.iter().find_map(|name| Some((*name, read(name)?)));
    for name in stock_files(folder) {
        if let Some(text) = read(&name) {
            sources.stock.push((name, text));
        }
    }
    if faults.is_empty() { Ok(sources) } else { Err(faults) }
}

/// The text of a file, or `None` where there is no such file.
fn read_text(folder: &Path, name: &str) -> Result<Option<String>, Box<Fault>> {
    let bytes = match fs::read(folder.join(name)) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => {
            let fault = Fault::at(name, "", 0..0, format!("the file cannot be read: {error}"));
            return Err(Box::new(fault.expected("a text file in UTF-8")));
        }
    };
    String::from_utf8(bytes).map(Some).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let before = String::from_utf8_lossy(&error.as_bytes()[..good]).into_owned();
        let fault = Fault::at(name, &before, good..good, "this is not UTF-8 text")
            .expected("a text file in UTF-8")
            .remedy("save it as UTF-8; the byte here belongs to another encoding");
        Box::new(fault)
    })
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
