//! `groundwright import`: points, drawings and surfaces of other programs into a project.

use std::fs;
use std::path::{Path, PathBuf};

use clap::ValueEnum;
use groundwright_plan::{load_folder, read_project, read_sources};
use groundwright_site::import::{Brought, LARGE_RESIDUAL, Wishes, bring_in, check_kind};
use groundwright_survey::import::{
    FileUnit, Imported, Layers, Outcome, PointOrder, read_dxf, read_geojson, read_landxml, read_points,
};
use groundwright_units::{Reader, parse_length};

use crate::report;

/// The unit of a file that does not say its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Unit {
    /// Metres.
    M,
    /// International feet.
    Ft,
    /// US survey feet.
    SurveyFt,
}

/// The order of the coordinates in a list of points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Order {
    /// Point, northing, easting, elevation, code.
    Northing,
    /// Point, easting, northing, elevation, code.
    Easting,
}

/// Bring points, drawings or surfaces of other programs into a project.
///
/// Reads a list of points (.csv, .txt), GeoJSON (.geojson, .json), DXF (.dxf) or LandXML (.xml). Points
/// that the project knows by name fit the file into its frame; every entity of the file is listed with
/// what became of it. Without --write nothing is changed. Elements are added to the end of
/// property.toml; what is there stays as it is.
#[derive(clap::Args)]
#[command(
    verbatim_doc_comment,
    after_help = "Example:\n  groundwright import my-yard survey.dxf --layer \"KERB=break line\" --layer HOUSE=building \\\n    --pair 101=hc1 --pair 102=hc2 --write\n\nA list of points is in the project's units if --unit does not say otherwise; a drawing says its own."
)]
pub(crate) struct Arguments {
    /// Folder of the project.
    folder: PathBuf,
    /// The file to import.
    file: PathBuf,
    /// Unit of the file, where it does not say its own.
    #[arg(long, value_enum)]
    unit: Option<Unit>,
    /// Order of the coordinates in a list of points.
    #[arg(long, value_enum, default_value = "northing")]
    order: Order,
    /// What the things of a layer or code are: LAYER=KIND, such as "KERB=break line". May be repeated.
    #[arg(long, value_name = "LAYER=KIND")]
    layer: Vec<String>,
    /// A layer or code that is left out. May be repeated.
    #[arg(long, value_name = "LAYER")]
    leave: Vec<String>,
    /// A point of the file that the project knows by another name: NAME=ID. May be repeated.
    #[arg(long, value_name = "NAME=ID")]
    pair: Vec<String>,
    /// Let the scale be free, for what was traced or scanned.
    #[arg(long)]
    scaled: bool,
    /// Take the coordinates as they are: they are those of the plan.
    #[arg(long, conflicts_with_all = ["scaled", "pair"])]
    as_drawn: bool,
    /// This point of the file becomes the plan's origin; nothing is turned.
    #[arg(long, value_name = "NAME", conflicts_with_all = ["scaled", "pair", "as_drawn"])]
    origin: Option<String>,
    /// Length added to every height, such as "-212.40 ft".
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    raise: Option<String>,
    /// Write the elements into property.toml.
    #[arg(long)]
    write: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments) -> Result<u8, String> {
    let loaded = match load_folder(&arguments.folder) {
        Ok(loaded) => loaded,
        Err(faults) => {
            report::faults(&faults, &read_sources(&arguments.folder).unwrap_or_default());
            return Ok(1);
        }
    };
    let reader = Reader::new(loaded.project.property.system);
    let mut layers = Layers { left_out: arguments.leave.clone(), ..Layers::default() };
    for (layer, kind) in pairs("--layer", &arguments.layer)? {
        check_kind(&kind, &loaded).map_err(|problem| format!("--layer {layer}: {problem}"))?;
        layers.kinds.insert(layer, kind);
    }
    let project_unit = loaded.project.property.length_unit.in_si();
    let imported = read(arguments, &layers, project_unit, &loaded.project.property.place)?;
    let raise = arguments.raise.as_deref().map(|text| parse_length(text, None)).transpose();
    let raise = raise.map_err(|problem| format!("--raise: {problem}"))?;
    let wishes = Wishes {
        scaled: arguments.scaled,
        as_drawn: arguments.as_drawn,
        origin: arguments.origin.clone(),
        pairs: pairs("--pair", &arguments.pair)?.into_iter().collect(),
        raise: raise.map_or(0.0, |length| length.value.metres()),
    };
    let brought = bring_in(&imported, &loaded, &wishes).map_err(|problem| problem.to_string())?;
    tell(arguments, &imported, &brought, &reader);
    if !arguments.write {
        say!("Nothing is written yet; with --write {} elements go into property.toml.", brought.elements);
        return Ok(0);
    }
    write(&arguments.folder, loaded.sources, &brought)
}

fn pairs(option: &str, given: &[String]) -> Result<Vec<(String, String)>, String> {
    let split = |text: &String| {
        let (left, right) = text.split_once('=')?;
        Some((left.trim().to_owned(), right.trim().to_owned()))
    };
    given
        .iter()
        .map(|text| {
            split(text).ok_or_else(|| format!("{option} {text}: expected two words with `=` between"))
        })
        .collect()
}

fn read(
    arguments: &Arguments,
    layers: &Layers,
    project_unit: f64,
    place: &groundwright_plan::Situation,
) -> Result<Imported, String> {
    let path = &arguments.file;
    let said = |problem: &dyn std::fmt::Display| format!("{}: {problem}", path.display());
    let bytes = fs::read(path).map_err(|problem| said(&problem))?;
    let unit = arguments.unit.map(|unit| match unit {
        Unit::M => FileUnit::Metre,
        Unit::Ft => FileUnit::Foot,
        Unit::SurveyFt => FileUnit::SurveyFoot,
    });
    let order = match arguments.order {
        Order::Northing => PointOrder::NorthingFirst,
        Order::Easting => PointOrder::EastingFirst,
    };
    let text = || String::from_utf8_lossy(&bytes);
    let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default().to_ascii_lowercase();
    let imported = match ending.as_str() {
        "csv" | "txt" | "pnt" => {
            let unit = unit.unwrap_or(FileUnit::Other(project_unit));
            Ok(read_points(&text(), order, unit, layers))
        }
        "geojson" | "json" => read_geojson(&text(), place.longitude.value, place.latitude.value, layers),
        "dxf" => read_dxf(&bytes, unit, layers),
        "xml" | "landxml" => read_landxml(&text(), layers),
        other => {
            return Err(format!(
                "{}: `.{other}` is no format that can be imported; expected .csv, .txt, .geojson, .dxf or .xml",
                path.display()
            ));
        }
    };
    imported.map_err(|problem| said(&problem))
}

fn tell(arguments: &Arguments, imported: &Imported, brought: &Brought, reader: &Reader) {
    let (taken, mapped, left) = imported.counts();
    say!("FILE {}: {taken} taken, {mapped} mapped, {left} left", arguments.file.display());
    for entry in &imported.report {
        let layer = if entry.layer.is_empty() { String::new() } else { format!(" ({})", entry.layer) };
        match &entry.outcome {
            Outcome::Taken => say!("  {}{layer}: taken", entry.what),
            Outcome::Mapped(kind) => say!("  {}{layer}: {kind}", entry.what),
            Outcome::Left(why) => say!("  {}{layer}: left, {why}", entry.what),
        }
    }
    let fitted = &brought.fitted;
    if fitted.residuals.is_empty() {
        say!("FRAME as drawn, shifted by {}", shift(fitted.transform.shift, reader));
    } else {
        let transform = &fitted.transform;
        say!(
            "FRAME fitted on {} shared points: turned by {:.3}°, scale {:.6}, shifted by {}",
            fitted.residuals.len(),
            transform.rotation.to_degrees(),
            transform.scale,
            shift(transform.shift, reader)
        );
        for (name, residual) in &fitted.residuals {
            let off = residual.hypot();
            let large = if off > LARGE_RESIDUAL { ": this does not fit; is it the same point?" } else { "" };
            say!("  {name}: off by {}{large}", reader.dimension(off));
        }
        if let Some(s0) = fitted.s0 {
            say!("  standard deviation of a coordinate {}", reader.dimension(s0));
        } else {
            say!("  nothing checks the fit: a third shared point would");
        }
    }
    say!("PROJECT {}", arguments.folder.display());
    for fate in &brought.fates {
        match &fate.became {
            Ok(became) => say!("  {}: {became}", fate.what),
            Err(why) => say!("  {}: left, {why}", fate.what),
        }
    }
}

fn shift(by: groundwright_geometry::Vec2, reader: &Reader) -> String {
    format!("{} east, {} north", reader.length(by.x), reader.length(by.y))
}

/// Appends the elements, if the project reads with them.
fn write(folder: &Path, mut sources: groundwright_plan::Sources, brought: &Brought) -> Result<u8, String> {
    if brought.elements == 0 {
        say!("There is nothing to write.");
        return Ok(0);
    }
    let mut text = sources.property.clone().unwrap_or_default();
    if !text.ends_with('\n') {
        text.push('\n');
    }
    text.push_str(&brought.text);
    sources.property = Some(text.clone());
    if let Err(faults) = read_project(sources.clone()) {
        report::faults(&faults, &sources);
        say!("Nothing is written: with the import the project does not read.");
        return Ok(1);
    }
    let (path, fresh) = (folder.join("property.toml"), folder.join("property.toml.new"));
    let said = |problem: std::io::Error| format!("{}: {problem}", path.display());
    fs::write(&fresh, text).map_err(said)?;
    fs::rename(&fresh, &path).map_err(said)?;
    say!("{} elements are written into {}.", brought.elements, path.display());
    Ok(0)
}
