//! `groundwright issue`: publish the planting package.

use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use groundwright_package::{PackageFile, Settings, compose};
use groundwright_sheets::Paper;
use groundwright_units::Reader;
use serde_json::json;

use crate::check::study;
use crate::{Format, ProjectArguments, report};

/// Publish the planting package: plan set, drawings, tables.
///
/// Writes a folder with plan-set.pdf (to a true trade scale), the drawings as SVG and DXF with
/// layers, every table as CSV and all of them as one XLSX workbook. The same project always gives
/// the same bytes. Nothing is written unless all of it could be made.
#[derive(clap::Args)]
#[command(
    verbatim_doc_comment,
    after_help = "Examples:\n  groundwright issue demo/corner-lot\n  \
                  groundwright issue demo/corner-lot --to package --paper 24x36 --north-up\n  \
                  groundwright issue demo/corner-lot --pictures"
)]
pub(crate) struct Arguments {
    #[command(flatten)]
    project: ProjectArguments,
    /// Folder to write to; `out/` and the project's name if not given.
    #[arg(long, value_name = "FOLDER")]
    to: Option<PathBuf>,
    /// Size of the sheets: letter, 11x17, 18x24, 24x36, A4, A3, A2, A1. The smallest on which the
    /// plan is legible if not given.
    #[arg(long)]
    paper: Option<String>,
    /// Add pictures for the client, in the folder `pictures`: as found, in the first and the tenth year,
    /// and at night where there are lights. Takes minutes.
    #[arg(long)]
    pictures: bool,
    /// Keep true north at the top instead of turning the plan square to the house.
    #[arg(long)]
    north_up: bool,
}

/// Name of the list of what a package holds.
const CONTENTS: &str = "contents.txt";

/// Runs the command.
pub(crate) fn run(arguments: &Arguments) -> Result<u8, String> {
    let paper = match &arguments.paper {
        None => None,
        Some(name) => Some(Paper::named(name).ok_or_else(|| {
            format!("--paper {name}: this size is not known; expected letter, 11x17, 18x24, 24x36, A4, A3, A2 or A1")
        })?),
    };
    let Some((loaded, outcome, mut stages)) = study(&arguments.project)? else { return Ok(1) };
    let settings = Settings { paper, north_up: arguments.north_up };
    let package = compose(&loaded, &outcome, &settings, &mut stages).map_err(|e| e.to_string())?;
    stages.finish();
    let folder = arguments.to.clone().unwrap_or_else(|| usual_folder(&arguments.project.folder));
    write(&folder, &package.files).map_err(|e| format!("{}: {e}", folder.display()))?;
    groundwright_job::Progress::done(&mut stages, "write");
    stages.finish();

    let pictures = if arguments.pictures {
        crate::picture::for_package(&loaded, &outcome.yard, &folder)?
    } else {
        Vec::new()
    };
    let reader = Reader::new(loaded.project.property.system);
    match arguments.project.format {
        Format::Json => {
            let names: Vec<&str> = package.files.iter().map(|file| file.name.as_str()).collect();
            let document = json!({
                "folder": folder.display().to_string(),
                "files": names,
                "pictures": pictures,
                "findings": report::findings_json(&package.findings, &loaded, &reader),
            });
            say!("{document:#}");
        }
        Format::Text => {
            for file in &package.files {
                say!("{:>9}  {}", size(file.bytes.len()), folder.join(&file.name).display());
            }
            pictures.iter().for_each(crate::picture::tell);
            let plants =
                outcome.yard.plants.iter().filter(|p| p.origin != groundwright_yard::Origin::Kept).count();
            say!(
                "{plants} plants to set, {} findings (see tables/findings.csv, or run `groundwright check`).",
                package.findings.len()
            );
        }
    }
    if arguments.project.times {
        stages.print();
    }
    Ok(0)
}

/// Where a project's publications go unless somebody says otherwise.
pub(crate) fn usual_folder(project: &Path) -> PathBuf {
    let full = fs::canonicalize(project).unwrap_or_else(|_| project.to_owned());
    Path::new("out").join(full.file_name().unwrap_or_else(|| "package".as_ref()))
}

fn size(bytes: usize) -> String {
    format!("{:.1} kB", bytes as f64 / 1000.0)
}

/// Writes the files, each by a temporary name first, and takes away those of an earlier package
/// that this one does not have, so that nobody builds from a stale sheet.
fn write(folder: &Path, files: &[PackageFile]) -> std::io::Result<()> {
    fs::create_dir_all(folder)?;
    let earlier = fs::read_to_string(folder.join(CONTENTS)).unwrap_or_default();
    for file in files {
        let path = folder.join(&file.name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent)?;
        }
        replace(&path, &file.bytes)?;
    }
    let names: BTreeSet<&str> = files.iter().map(|file| file.name.as_str()).collect();
    for stale in earlier.lines().filter(|line| is_plain(line) && !names.contains(line)) {
        let _ = fs::remove_file(folder.join(stale));
    }
    let contents: String = names.iter().flat_map(|name| [*name, "\n"]).collect();
    replace(&folder.join(CONTENTS), contents.as_bytes())
}

/// Whether a line of an old list is a plain relative name, so that nothing outside is ever removed.
fn is_plain(line: &str) -> bool {
    !line.is_empty() && Path::new(line).components().all(|c| matches!(c, std::path::Component::Normal(_)))
}

/// Writes a file by a temporary name first, so that nobody ever reads half of it.
pub(crate) fn replace(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(".part");
    let part = path.with_file_name(name);
    let mut file = fs::File::create(&part)?;
    file.write_all(bytes)?;
    file.sync_all()?;
    fs::rename(&part, path)
}
