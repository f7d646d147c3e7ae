//! The survey: the field book read and adjusted, its points made reference points.
//!
//! - In: the text of `survey.csv` or `survey.toml`, and the property. Out: readings, and reference points
//!   added to the property; faults with their places.
//! - Reference points of `property.toml` that the book names are held where they are. A point of the book
//!   that is not determined gives no reference point, and a finding of the survey says so.
//! - Readings that are likely wrong are left out of the coordinates, and a finding names them.

use groundwright_geometry::Point;
use groundwright_survey::field_book::{BookFault, BookUnits, FieldBook, read_csv, read_toml};
use groundwright_survey::levelling::snoop_levels;
use groundwright_survey::{Network, SurveyError, snoop};
use groundwright_units::LengthUnit;

use super::{DeclaredUnits, Sources};
use crate::fault::Fault;
use crate::identity::ElementId;
use crate::project::Readings;
use crate::property::{Property, Reference};
use crate::standing::{Given, Standing};

/// Reads and adjusts the survey, if there is one.
pub(super) fn read(
    sources: &Sources,
    units: DeclaredUnits,
    property: &mut Property,
    faults: &mut Vec<Fault>,
) -> Readings {
    let Some((file, text)) = &sources.survey else { return Readings::default() };
    let units = BookUnits { length: units.length.unwrap_or(LengthUnit::Metre), decimal: units.decimal };
    let read = if file.to_lowercase().ends_with(".toml") { read_toml } else { read_csv };
    let mut book = match read(text, units) {
        Ok(book) => book,
        Err(found) => {
            faults.extend(found.into_iter().map(|fault| placed(file, text, fault)));
            return Readings::default();
        }
    };
    hold(&mut book.network, property);
    let mut refuse = |error: &SurveyError, lines: &[usize]| {
        let line = error.reading().and_then(|reading| lines.get(reading)).copied().unwrap_or(1);
        let fault = Fault::at(file, text, span_of_line(text, line), error.to_string());
        faults.push(fault.expected("readings that can be adjusted together"));
    };
    let network = if book.network.readings.is_empty() {
        None
    } else {
        snoop(&book.network).map_err(|error| refuse(&error, &book.lines)).ok()
    };
    let levels = if book.levels.readings.is_empty() {
        None
    } else {
        snoop_levels(&book.levels).map_err(|error| refuse(&error, &book.level_lines)).ok()
    };
    let readings = Readings { book, network, levels };
    add_references(&readings, property);
    readings
}

/// Bytes of a line, counted from 1.
fn span_of_line(text: &str, line: usize) -> std::ops::Range<usize> {
    let start: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    let rest = text.get(start..).unwrap_or_default();
    start..start + rest.find('\n').unwrap_or(rest.len())
}

fn placed(file: &str, text: &str, found: BookFault) -> Fault {
    let mut fault = Fault::at(file, text, found.span, found.problem);
    found.expected.strip_prefix("expected ").unwrap_or(&found.expected).clone_into(&mut fault.expected);
    fault.remedy(found.remedy)
}

/// Points of the book that the property knows are held there; a place of its own comes first.
fn hold(network: &mut Network, property: &Property) {
    for point in &mut network.points {
        let known = property.references.iter().find(|reference| reference.id.as_str() == point.name);
        if let Some(known) = known.filter(|_| point.held.is_none()) {
            point.held = Some(known.at.value);
        }
    }
}

fn add_references(readings: &Readings, property: &mut Property) {
    let places = points(&readings.book, readings);
    for (name, at) in places {
        let id = ElementId(name.to_owned());
        if property.references.iter().all(|reference| reference.id != id) {
            property.references.push(Reference { id, at: Given { value: at, standing: Standing::Measured } });
        }
    }
}

/// Determined points with their places. [m]
fn points<'r>(book: &'r FieldBook, readings: &Readings) -> Vec<(&'r str, Point)> {
    let adjusted = readings.network.as_ref().map(|network| &network.cleaned);
    let places = book.network.points.iter().enumerate().filter_map(|(i, point)| {
        let place = match adjusted {
            Some(adjusted) => Some(adjusted.points[i]).filter(|p| p.determined).map(|p| p.at),
            None => point.held,
        };
        place.map(|at| (point.name.as_str(), at))
    });
    places.collect()
}
