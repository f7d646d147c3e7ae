//! The planting package: plan set, drawings, tables, composed from an outcome.
//!
//! - In: a loaded project and the outcome of its studies. Out: named files as bytes.
//! - Nothing is written here, no clock is read: the same project gives the same bytes.

mod legend;
mod light_sheets;
mod lists;
mod plan_set;
mod view;
mod wall_sheets;

pub use lists::severity_word;
pub use plan_set::Settings;
pub use view::{Lie, lie};

use groundwright_drawing::{DrawingUnit, DxfError, dxf, svg};
use groundwright_handoff::{Finding, Table};
use groundwright_job::{Outcome, Progress};
use groundwright_plan::Loaded;
use groundwright_sheets::{Fonts, SheetError, csv, pdf, xlsx};
use groundwright_units::{Reader, System};
use rayon::prelude::*;

/// Why a package cannot be composed.
#[derive(Debug, thiserror::Error)]
pub enum PackageError {
    /// A document could not be made.
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// A drawing could not be made.
    #[error(transparent)]
    Dxf(#[from] DxfError),
}

/// A file of the package.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PackageFile {
    /// Name inside the package's folder, with `/` between folders.
    pub name: String,
    /// Its content.
    pub bytes: Vec<u8>,
}

/// A package.
#[derive(Debug, Clone)]
pub struct Package {
    /// Files in the order in which a person would read them.
    pub files: Vec<PackageFile>,
    /// All findings: of the studies and of the drawings.
    pub findings: Vec<Finding>,
}

/// Composes the package.
///
/// # Errors
/// When the plan fits no scale of the trade, or a document cannot be written.
pub fn compose(
    loaded: &Loaded,
    outcome: &Outcome,
    settings: &Settings,
    progress: &mut dyn Progress,
) -> Result<Package, PackageError> {
    let reader = Reader::new(loaded.project.property.system);
    let fonts = Fonts::new();
    let mut drawn = plan_set::draw(loaded, outcome, settings, &fonts)?;
    progress.done("drawings");

    let mut findings = outcome.findings.clone();
    findings.extend(lists::label_findings(&drawn));
    let mut tables: Vec<Table> = outcome.tables.clone();
    tables.push(lists::findings(&findings, &reader));
    tables.push(lists::assumptions(loaded));
    drawn.set.sheets.insert(
        drawn.set.sheets.len() - 1,
        groundwright_sheets::tables_sheet("Findings", vec![lists::findings(&findings, &reader)]),
    );

    let (document, (pictures, workbook)) = rayon::join(
        || pdf(&drawn.set, &reader, &fonts),
        || {
            rayon::join(
                || pictures(loaded, outcome, &drawn),
                || xlsx(&tables, &reader, &loaded.project.property.name),
            )
        },
    );
    let file = |name: String, bytes| PackageFile { name, bytes };
    let mut files = vec![file("plan-set.pdf".to_owned(), document?)];
    files.extend(pictures?);
    files.push(file("tables.xlsx".to_owned(), workbook?));
    files.extend(tables.iter().map(|table| file(format!("tables/{}.csv", table.key), csv(table, &reader))));
    progress.done("documents");
    Ok(Package { files, findings })
}

/// Each drawing as SVG and DXF.
fn pictures(
    loaded: &Loaded,
    outcome: &Outcome,
    drawn: &plan_set::Drawn,
) -> Result<Vec<PackageFile>, PackageError> {
    let unit = match loaded.project.property.system {
        System::Us => DrawingUnit::Foot,
        System::Metric => DrawingUnit::Metre,
    };
    let pairs: Result<Vec<[PackageFile; 2]>, PackageError> = drawn
        .paintings
        .par_iter()
        .map(|painting| {
            let picture = svg(&painting.painted.list, &painting.title).into_bytes();
            let plan = dxf(&outcome.marks, &painting.painted.callouts, &painting.view, unit)?;
            Ok([
                PackageFile { name: format!("drawings/{}.svg", painting.name), bytes: picture },
                PackageFile { name: format!("drawings/{}.dxf", painting.name), bytes: plan },
            ])
        })
        .collect();
    Ok(pairs?.into_iter().flatten().collect())
}
