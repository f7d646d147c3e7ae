//! The survey: the field book read and adjusted, its points made reference points.
//!
//! - In: the text of `survey.csv` or `survey.toml`, and the property. Out: readings, and reference points
//!   added to the property; faults with their places.
//! - Reference points of `property.toml` that the book names are held where they are. A point of the book
//!   that is not determined gives no reference point, and a finding of the survey says so.
//! - A point whose height was read is a level of the ground as well, unless the book says that it is
//!   off the ground. Levels of `property.toml` with the same id come first, as its reference points do.
//! - Readings that are likely wrong are left out of the coordinates, and a finding names them.

use std::collections::BTreeSet;

use groundwright_geometry::{Point, Vec2};
use groundwright_survey::field_book::{BookFault, BookUnits, FieldBook, read_csv, read_toml};
use groundwright_survey::levelling::snoop_levels;
use groundwright_survey::{Network, SurveyError, snoop};
use groundwright_units::LengthUnit;

use super::{DeclaredUnits, Gathered, Sources};
use crate::fault::Fault;
use crate::ground::SpotLevel;
use crate::identity::{ElementId, ElementRef, Kind};
use crate::project::Readings;
use crate::property::{Property, Reference};
use crate::shape::Place;
use crate::standing::{Given, Standing};

/// Reads and adjusts the survey, if there is one.
pub(super) fn read(
    sources: &Sources,
    units: DeclaredUnits,
    property: &mut Property,
    all: &mut Gathered,
) -> Readings {
    let Some((file, text)) = &sources.survey else { return Readings::default() };
    let units = BookUnits { length: units.length.unwrap_or(LengthUnit::Metre), decimal: units.decimal };
    let read = if file.to_lowercase().ends_with(".toml") { read_toml } else { read_csv };
    let mut book = match read(text, units) {
        Ok(book) => book,
        Err(found) => {
            all.faults.extend(found.into_iter().map(|fault| placed(file, text, fault)));
            return Readings::default();
        }
    };
    hold(&mut book.network, property);
    let mut refuse = |error: &SurveyError, lines: &[usize]| {
        let line = error.reading().and_then(|reading| lines.get(reading)).copied().unwrap_or(1);
        let fault = Fault::at(file, text, span_of_line(text, line), error.to_string());
        all.faults.push(fault.expected("readings that can be adjusted together"));
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
    let found = [add_references(&readings, property), add_levels(&readings, property)];
    for element in found.into_iter().flatten() {
        let line = first_line(&readings.book, element.id.as_str());
        all.spans.elements.insert(element, ((*file).to_owned(), span_of_line(text, line)));
    }
    readings
}

/// The first line of the book that reads a point.
fn first_line(book: &FieldBook, name: &str) -> usize {
    let reads = |reading: &groundwright_survey::Reading| {
        reading.observed.points().any(|point| book.network.points[point].name == name)
    };
    let taped = book.network.readings.iter().zip(&book.lines).find(|(reading, _)| reads(reading));
    taped.map_or(1, |(_, line)| *line)
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

/// Adds the determined points, and names them.
fn add_references(readings: &Readings, property: &mut Property) -> Vec<ElementRef> {
    let mut added = Vec::new();
    for (name, at) in points(&readings.book, readings) {
        let id = ElementId(name.to_owned());
        if property.references.iter().all(|reference| reference.id != id) {
            added.push(ElementRef::new(Kind::Reference, &id));
            property.references.push(Reference { id, at: Given { value: at, standing: Standing::Measured } });
        }
    }
    added
}

/// Adds the heights read at points whose place is known, as levels of the ground, and names them.
fn add_levels(readings: &Readings, property: &mut Property) -> Vec<ElementRef> {
    let mut added = Vec::new();
    let Some(levelled) = &readings.levels else { return added };
    let ground = &mut property.ground;
    // Heights above a point that was taken as 0 are of another datum than the property's own.
    if levelled.datum.is_some() && !(ground.levels.is_empty() && ground.break_lines.is_empty()) {
        return added;
    }
    let read: BTreeSet<&str> = readings.book.levels.points().collect();
    for name in read.into_iter().filter(|name| !readings.book.off_ground.contains(*name)) {
        let id = ElementId(name.to_owned());
        let placed = property.references.iter().any(|reference| reference.id == id);
        let Some(level) = levelled.heights.get(name).filter(|_| placed) else { continue };
        if ground.levels.iter().all(|level| level.id != id) {
            added.push(ElementRef::new(Kind::SpotLevel, &id));
            let at = Place::Survey { point: id.clone(), offset: Vec2::ZERO };
            let level = Given { value: level.height, standing: Standing::Measured };
            ground.levels.push(SpotLevel { id, at, level });
        }
    }
    added
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
