//! The points that an element has of its own, as its file writes them, and commands that move one.
//!
//! - In: the texts, an element, a path such as `outline/1/smooth/2`. Out: points in metres, or a
//!   command that sets the field with one point changed; comments inside the field stay.
//! - A point is a pair of coordinates. Names of reference points and edges that are followed are
//!   not the element's own and are left out.
//! - Not here: shifting whole elements (`edit.rs`).

use groundwright_geometry::Point;
use toml_edit::{Array, Item, Table, Value};

use crate::command::Command;
use crate::edit::{
    EditError, OWN_PLACES, coordinate, coordinate_value, declared_units, find, is_pair, open, put_coordinate,
};
use crate::identity::ElementRef;
use crate::read::{DeclaredUnits, Sources};

/// A point of an element.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnPoint {
    /// Keys and places in lists, from the element's table: `outline/1/smooth/2`.
    pub path: String,
    /// Where. [m]
    pub at: Point,
}

/// The points of an element, in the order of the file.
///
/// # Errors
/// When the element does not exist or its file does not parse.
pub fn points_of(sources: &Sources, element: &ElementRef) -> Result<Vec<OwnPoint>, EditError> {
    let units = declared_units(sources);
    let mut points = Vec::new();
    with_table(sources, element, |table| {
        for (key, item) in table.iter().filter(|(key, _)| OWN_PLACES.contains(key)) {
            if let Item::Value(value) = item {
                gather(value, key.to_owned(), units, &mut points);
            }
        }
        Ok(())
    })?;
    Ok(points)
}

/// The command that puts one point of an element elsewhere. [m]
///
/// # Errors
/// When there is no such point, or the place is not finite.
pub fn point_moved(
    sources: &Sources,
    element: &ElementRef,
    path: &str,
    to: Point,
) -> Result<Command, EditError> {
    let units = declared_units(sources);
    change(sources, element, path, to, |list, index| {
        let Some(pair) = list.at(index, units) else { return false };
        put_coordinate(pair, 0, to.x, units);
        put_coordinate(pair, 1, to.y, units);
        true
    })
}

/// The command that puts a new point behind the one at `path`, in the same list. [m]
///
/// # Errors
/// When there is no such point, or it stands in no list of points.
pub fn point_added(
    sources: &Sources,
    element: &ElementRef,
    path: &str,
    at: Point,
) -> Result<Command, EditError> {
    let units = declared_units(sources);
    change(sources, element, path, at, |list, index| {
        let (Holder::List(points), Some(index)) = (list, index) else { return false };
        let Some(Value::Array(before)) = points.get(index) else { return false };
        let prefix = if index == 0 { " ".to_owned() } else { decor_before(before) };
        let mut pair = before.clone();
        put_coordinate(&mut pair, 0, at.x, units);
        put_coordinate(&mut pair, 1, at.y, units);
        let mut value = Value::Array(pair);
        value.decor_mut().set_prefix(prefix);
        value.decor_mut().set_suffix("");
        points.insert_formatted(index + 1, value);
        true
    })
}

/// The command that takes the point at `path` out of its list, where at least three are left; of a
/// list of single places at least one.
///
/// # Errors
/// When there is no such point, or too few would be left.
pub fn point_removed(sources: &Sources, element: &ElementRef, path: &str) -> Result<Command, EditError> {
    let least = if path.starts_with("at/") || path.starts_with("places/") { 1 } else { 2 };
    change(sources, element, path, Point::ORIGIN, |list, index| {
        let (Holder::List(points), Some(index)) = (list, index) else { return false };
        if points.len() <= least || index >= points.len() {
            return false;
        }
        points.remove(index);
        true
    })
}

/// A place as the project would write it: `[12.5, 3]`, or with units where it declares none. [m]
pub fn place_text(sources: &Sources, at: Point) -> String {
    let units = declared_units(sources);
    let one = |metres: f64| coordinate_value(metres, units, false).to_string();
    format!("[{}, {}]", one(at.x).trim(), one(at.y).trim())
}

/// The fields that an element's file gives as single values: dotted path and the value as a person
/// would write it.
///
/// # Errors
/// When the element does not exist or its file does not parse.
pub fn written_fields(sources: &Sources, element: &ElementRef) -> Result<Vec<(String, String)>, EditError> {
    fn single(value: &Value) -> Option<String> {
        match value {
            Value::String(text) => Some(text.value().clone()),
            Value::Array(_) | Value::InlineTable(_) => None,
            other => Some(other.to_string().trim().to_owned()),
        }
    }
    fn visit(path: &str, item: &Item, fields: &mut Vec<(String, String)>) {
        match item {
            Item::Value(Value::InlineTable(table)) => {
                for (key, inner) in table {
                    visit(&format!("{path}.{key}"), &Item::Value(inner.clone()), fields);
                }
            }
            Item::Value(value) => fields.extend(single(value).map(|text| (path.to_owned(), text))),
            Item::Table(table) => {
                table.iter().for_each(|(key, inner)| visit(&format!("{path}.{key}"), inner, fields));
            }
            _ => {}
        }
    }
    let mut fields = Vec::new();
    with_table(sources, element, |table| {
        table.iter().filter(|(key, _)| *key != "id").for_each(|(key, item)| visit(key, item, &mut fields));
        Ok(())
    })?;
    Ok(fields)
}

fn with_table<T>(
    sources: &Sources,
    element: &ElementRef,
    see: impl FnOnce(&mut Table) -> Result<T, EditError>,
) -> Result<T, EditError> {
    let file = element.kind.file().name();
    let mut document = open(sources.text(file).unwrap_or_default(), file)?;
    see(find(&mut document, element)?)
}

fn gather(value: &Value, path: String, units: DeclaredUnits, points: &mut Vec<OwnPoint>) {
    match value {
        Value::Array(array) if is_pair(array, units) => {
            let at = |i: usize| array.get(i).and_then(|value| coordinate(value, units));
            if let (Some(x), Some(y)) = (at(0), at(1)) {
                points.push(OwnPoint { path, at: Point::new(x, y) });
            }
        }
        Value::Array(array) => {
            for (i, inner) in array.iter().enumerate() {
                gather(inner, format!("{path}/{i}"), units, points);
            }
        }
        Value::InlineTable(table) if !table.contains_key("shift") => {
            for (key, inner) in table {
                gather(inner, format!("{path}/{key}"), units, points);
            }
        }
        _ => {}
    }
}

/// What holds a point: the list that it stands in, or the table or field that is the point alone.
enum Holder<'v> {
    List(&'v mut Array),
    Single(&'v mut Value),
}

impl Holder<'_> {
    /// The pair of coordinates.
    fn at(&mut self, index: Option<usize>, units: DeclaredUnits) -> Option<&mut Array> {
        let pair = match (self, index) {
            (Self::List(list), Some(index)) => list.get_mut(index)?.as_array_mut(),
            (Self::Single(value), _) => value.as_array_mut(),
            _ => None,
        };
        pair.filter(|pair| is_pair(pair, units))
    }
}

/// Changes the field that holds a point and gives the command that sets it.
fn change(
    sources: &Sources,
    element: &ElementRef,
    path: &str,
    to: Point,
    edit: impl FnOnce(&mut Holder<'_>, Option<usize>) -> bool,
) -> Result<Command, EditError> {
    if !to.is_finite() {
        return Err(EditError::NotAShift(element.clone()));
    }
    let none = || EditError::NoSuchPoint { element: element.clone(), path: path.to_owned() };
    let units = declared_units(sources);
    with_table(sources, element, |table| {
        let mut steps = path.split('/');
        let key = steps.next().filter(|key| OWN_PLACES.contains(key)).ok_or_else(none)?;
        let steps: Vec<&str> = steps.collect();
        let value = table.get_mut(key).and_then(Item::as_value_mut).ok_or_else(none)?;
        let done = match steps.split_last() {
            None => edit(&mut Holder::Single(value), None),
            Some((last, way)) => {
                let holder = reach(value, way).ok_or_else(none)?;
                match (holder, last.parse::<usize>()) {
                    (Value::Array(list), Ok(index)) if !is_pair(list, units) => {
                        edit(&mut Holder::List(list), Some(index))
                    }
                    (Value::InlineTable(inner), _) => {
                        edit(&mut Holder::Single(inner.get_mut(last).ok_or_else(none)?), None)
                    }
                    _ => false,
                }
            }
        };
        if !done {
            return Err(none());
        }
        Ok(Command::Set {
            element: element.clone(),
            field: key.to_owned(),
            value: value.to_string().trim().to_owned(),
        })
    })
}

fn reach<'v>(value: &'v mut Value, way: &[&str]) -> Option<&'v mut Value> {
    way.iter().try_fold(value, |value, step| match value {
        Value::Array(list) => list.get_mut(step.parse::<usize>().ok()?),
        Value::InlineTable(table) => table.get_mut(step),
        _ => None,
    })
}

fn decor_before(value: &Array) -> String {
    value.decor().prefix().and_then(|raw| raw.as_str()).unwrap_or(" ").to_owned()
}
