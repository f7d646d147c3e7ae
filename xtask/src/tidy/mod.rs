//! `cargo xtask tidy`: rules of the house that the compiler does not know.
//!
//! - Architecture: ARCHITECTURE.md lists the crates in the order of dependence, and they keep to it
//!   (`architecture.rs`).
//! - Licences: everything that is built upon, shown or shipped may be passed on (`licences.rs`).
//! - Sources: headers, names, tests that cannot be switched off (`sources.rs`).
//! - Places: no path and no address of one machine in any file (`places.rs`).
//!
//! Each check takes plain data and gives back slips, so that its own test can show it a slip.

mod architecture;
mod licences;
mod places;
mod sources;

use std::fmt;
use std::fs;
use std::path::Path;

use crate::workspace::{all_packages, members, root};

/// One thing that is not as it should be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slip {
    /// The file, relative to the workspace.
    pub file: String,
    /// Its line, from 1; 0 for the file as a whole.
    pub line: usize,
    /// What is wrong and how to mend it.
    pub text: String,
}

impl Slip {
    fn new(file: &str, line: usize, text: impl Into<String>) -> Self {
        Self { file: file.to_owned(), line, text: text.into() }
    }
}

impl fmt::Display for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            0 => write!(f, "{}: {}", self.file, self.text),
            line => write!(f, "{}:{line}: {}", self.file, self.text),
        }
    }
}

/// A file of the workspace.
#[derive(Debug, Clone)]
pub struct File {
    /// Its path relative to the workspace, with forward slashes.
    pub path: String,
    /// Its text, or `None` for a file that is not text.
    pub text: Option<String>,
}

/// Runs every check and prints the slips.
///
/// # Errors
/// How many slips there are, or why a check could not run.
pub fn run() -> Result<(), String> {
    let files = files()?;
    let members = members()?;
    let page = files.iter().find(|file| file.path == architecture::PAGE).and_then(|file| file.text.clone());
    let architecture = architecture::Architecture::read(page.as_deref().unwrap_or_default());
    let mut slips = architecture.check(&members);
    slips.extend(licences::check(&all_packages()?));
    slips.extend(licences::check_folders(&files));
    slips.extend(sources::check(&files, &architecture.disciplines));
    slips.extend(places::check(&files));
    for slip in &slips {
        println!("{slip}");
    }
    match slips.len() {
        0 => {
            println!("tidy: {} files, {} crates", files.len(), members.len());
            Ok(())
        }
        n => Err(format!("tidy: {n} to mend")),
    }
}

/// Folders that hold what is made or fetched.
const NOT_OURS: [&str; 5] = [".git", "target", "out", ".venv", "node_modules"];

/// Every file of the workspace, in the order of paths.
fn files() -> Result<Vec<File>, String> {
    let mut files = Vec::new();
    gather(&root(), "", &mut files).map_err(|error| format!("the workspace cannot be read: {error}"))?;
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(files)
}

fn gather(folder: &Path, prefix: &str, files: &mut Vec<File>) -> std::io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = format!("{prefix}{name}");
        if entry.file_type()?.is_dir() {
            if !NOT_OURS.contains(&name.as_str()) {
                gather(&entry.path(), &format!("{path}/"), files)?;
            }
        } else {
            let text = String::from_utf8(fs::read(entry.path())?).ok();
            files.push(File { path, text });
        }
    }
    Ok(())
}
