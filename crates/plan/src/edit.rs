//! Commands applied to the text of a project, leaving comments and order as they are.
//!
//! - In: the texts and a command. Out: the changed texts, or why the command cannot be done.
//! - Method: `toml_edit` changes the one item that is meant; all other bytes stay.
//! - Not here: whether the result makes sense; read it again with [`crate::read_project`].

use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};

use crate::command::Command;
use crate::identity::{ElementId, ElementRef, Kind};
use crate::read::Sources;

/// Why a command cannot be applied.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The element does not exist.
    #[error("there is no {0}; it may have been removed or renamed")]
    NoSuchElement(ElementRef),
    /// An element of that kind and id exists.
    #[error("there is already a {0}; choose another id")]
    Exists(ElementRef),
    /// The value is not TOML.
    #[error("`{value}` is not a TOML value: {why}; texts need quotes")]
    NotToml {
        /// The value as given.
        value: String,
        /// What the parser says.
        why: String,
    },
    /// The file does not parse.
    #[error("{file} does not parse and is left as it is: {why}")]
    Broken {
        /// The file.
        file: &'static str,
        /// What the parser says.
        why: String,
    },
    /// The id is not of the right form.
    #[error("`{0}` cannot be an id; use lower-case letters, digits and hyphens, beginning with a letter")]
    BadId(String),
    /// Something refers to the element that shall go.
    #[error("{element} cannot go: {by} refers to it; change that first")]
    InUse {
        /// The element.
        element: ElementRef,
        /// Words for what refers to it.
        by: String,
    },
    /// The element has no points that could be moved.
    #[error("{0} has no coordinates of its own to move")]
    NothingToMove(ElementRef),
}

/// Applies a command to the texts of a project.
///
/// # Errors
/// See [`EditError`]; the texts given are untouched, so nothing is lost.
pub fn apply(sources: &Sources, command: &Command) -> Result<Sources, EditError> {
    let element = command.element();
    let file = element.kind.file();
    let text = match file {
        crate::ProjectFile::Property => &sources.property,
        crate::ProjectFile::Design => &sources.design,
        crate::ProjectFile::Practice => &sources.practice,
    };
    let mut document = open(text.as_deref().unwrap_or("format = 1\n"), file.name())?;
    let mut changed = sources.clone();
    match command {
        Command::Set { field, value, .. } => {
            let value: Value = value.trim().parse().map_err(|error: toml_edit::TomlError| EditError::NotToml {
                value: value.clone(),
                why: error.message().trim().to_owned(),
            })?;
            set(find(&mut document, element)?, field, value);
        }
        Command::Clear { field, .. } => {
            clear(find(&mut document, element)?, field);
        }
        Command::Move { east, north, .. } => {
            let unit = bare_unit(sources);
            let shift = Shift { east: *east, north: *north, unit };
            let table = find(&mut document, element)?;
            if !shift_table(table, &shift) {
                return Err(EditError::NothingToMove(element.clone()));
            }
        }
        Command::Add { body, .. } => add(&mut document, element, body)?,
        Command::Remove { .. } => {
            if let Some(by) = referrer(sources, element) {
                return Err(EditError::InUse { element: element.clone(), by });
            }
            remove(&mut document, element)?;
        }
        Command::Rename { to, .. } => {
            if !ElementId::is_valid(to) {
                return Err(EditError::BadId(to.clone()));
            }
            let target = ElementRef::new(element.kind, &ElementId(to.clone()));
            if find(&mut document, &target).is_ok() {
                return Err(EditError::Exists(target));
            }
            set(find(&mut document, element)?, "id", to.as_str().into());
            put(&mut changed, file, document.to_string());
            return rename_references(&changed, element, to);
        }
    }
    put(&mut changed, file, document.to_string());
    Ok(changed)
}

fn open(text: &str, file: &'static str) -> Result<DocumentMut, EditError> {
    text.parse().map_err(|error: toml_edit::TomlError| EditError::Broken {
        file,
        why: error.message().trim().to_owned(),
    })
}

fn put(sources: &mut Sources, file: crate::ProjectFile, text: String) {
    match file {
        crate::ProjectFile::Property => sources.property = Some(text),
        crate::ProjectFile::Design => sources.design = Some(text),
        crate::ProjectFile::Practice => sources.practice = Some(text),
    }
}

fn list_mut(document: &mut DocumentMut, kind: Kind) -> Option<&mut ArrayOfTables> {
    document.get_mut(kind.key())?.as_array_of_tables_mut()
}

fn find<'d>(document: &'d mut DocumentMut, element: &ElementRef) -> Result<&'d mut Table, EditError> {
    list_mut(document, element.kind)
        .and_then(|list| list.iter_mut().find(|table| is_named(table, element.id.as_str())))
        .ok_or_else(|| EditError::NoSuchElement(element.clone()))
}

fn is_named(table: &Table, id: &str) -> bool {
    table.get("id").and_then(Item::as_str) == Some(id)
}

/// Sets a dotted field; the decoration (spaces and comments) of a value that is replaced stays.
fn set(table: &mut Table, field: &str, value: Value) {
    let (head, rest) = field.split_once('.').map_or((field, None), |(head, rest)| (head, Some(rest)));
    match rest {
        None => set_item(table.entry(head).or_insert(Item::None), value),
        Some(rest) => {
            let item = table.entry(head).or_insert(Item::Value(Value::InlineTable(InlineTable::new())));
            set_inside(item, rest, value);
        }
    }
}

fn set_inside(item: &mut Item, field: &str, value: Value) {
    let (head, rest) = field.split_once('.').map_or((field, None), |(head, rest)| (head, Some(rest)));
    if item.as_table_like().is_none() {
        *item = Item::Value(Value::InlineTable(InlineTable::new()));
    }
    if let Some(table) = item.as_table_like_mut() {
        match (table.get_mut(head), rest) {
            (Some(inner), Some(rest)) => set_inside(inner, rest, value),
            (Some(inner), None) => set_item(inner, value),
            (None, rest) => {
                let mut inner = Item::None;
                match rest {
                    Some(rest) => set_inside(&mut inner, rest, value),
                    None => inner = Item::Value(value),
                }
                table.insert(head, inner);
            }
        }
    }
}

fn set_item(item: &mut Item, mut value: Value) {
    if let Some(old) = item.as_value() {
        *value.decor_mut() = old.decor().clone();
    }
    *item = Item::Value(value);
}

fn clear(table: &mut Table, field: &str) {
    let (head, rest) = field.split_once('.').map_or((field, None), |(head, rest)| (head, Some(rest)));
    match rest {
        None => {
            table.remove(head);
        }
        Some(rest) => {
            if let Some(inner) = table.get_mut(head).and_then(Item::as_table_like_mut) {
                inner.remove(rest);
            }
        }
    }
}

fn add(document: &mut DocumentMut, element: &ElementRef, body: &str) -> Result<(), EditError> {
    if !ElementId::is_valid(element.id.as_str()) {
        return Err(EditError::BadId(element.id.to_string()));
    }
    if find(document, element).is_ok() {
        return Err(EditError::Exists(element.clone()));
    }
    let fields: DocumentMut = body.parse().map_err(|error: toml_edit::TomlError| EditError::NotToml {
        value: body.to_owned(),
        why: error.message().trim().to_owned(),
    })?;
    let mut table = Table::new();
    table.insert("id", toml_edit::value(element.id.as_str()));
    for (key, item) in fields.as_table() {
        if key != "id" {
            table.insert(key, item.clone());
        }
    }
    table.decor_mut().set_prefix("\n");
    let list = document.entry(element.kind.key()).or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    if let Some(list) = list.as_array_of_tables_mut() {
        list.push(table);
    }
    Ok(())
}

fn remove(document: &mut DocumentMut, element: &ElementRef) -> Result<(), EditError> {
    let missing = || EditError::NoSuchElement(element.clone());
    let list = list_mut(document, element.kind).ok_or_else(missing)?;
    let at = list.iter().position(|table| is_named(table, element.id.as_str())).ok_or_else(missing)?;
    list.remove(at);
    Ok(())
}

/// Metres in the unit that a bare number has.
fn bare_unit(sources: &Sources) -> f64 {
    let text = sources.property.as_deref().unwrap_or_default();
    let units = text.parse::<DocumentMut>().ok();
    let units = units.as_ref().and_then(|d| d.get("units")).and_then(Item::as_str);
    if units == Some("m") { 1.0 } else { groundwright_units::constants::FOOT }
}

struct Shift {
    east: f64,
    north: f64,
    unit: f64,
}

/// Keys whose places are an element's own.
const OWN_PLACES: [&str; 8] = ["at", "places", "outline", "route", "line", "looking", "axis", "from"];

fn shift_table(table: &mut Table, shift: &Shift) -> bool {
    let mut moved = false;
    for (key, item) in table.iter_mut() {
        if OWN_PLACES.contains(&key.get()) || matches!(key.get(), "group" | "mass" | "row") {
            if let Some(value) = item.as_value_mut() {
                moved |= shift_value(value, shift);
            }
        }
    }
    moved
}

/// Shifts every pair of numbers inside a value.
fn shift_value(value: &mut Value, shift: &Shift) -> bool {
    match value {
        Value::Array(array) if is_pair(array) => {
            shift_coordinate(array, 0, shift.east, shift.unit);
            shift_coordinate(array, 1, shift.north, shift.unit);
            true
        }
        Value::Array(array) => array.iter_mut().fold(false, |moved, inner| shift_value(inner, shift) | moved),
        Value::InlineTable(table) => table
            .iter_mut()
            .filter(|(key, _)| key.get() != "shift")
            .fold(false, |moved, (_, inner)| shift_value(inner, shift) | moved),
        _ => false,
    }
}

fn is_pair(array: &Array) -> bool {
    array.len() == 2
        && array.iter().all(|value| {
            value.is_integer()
                || value.is_float()
                || value.as_str().is_some_and(|text| groundwright_units::parse_length(text, None).is_ok())
        })
}

fn shift_coordinate(array: &mut Array, index: usize, by: f64, unit: f64) {
    let Some(old) = array.get(index) else { return };
    let metres = match old {
        Value::Integer(number) => *number.value() as f64 * unit,
        Value::Float(number) => *number.value() * unit,
        other => other
            .as_str()
            .and_then(|text| groundwright_units::parse_length(text, None).ok())
            .map_or(0.0, |parsed| parsed.value.metres()),
    };
    // Thousandths of the unit are finer than any tape.
    let shifted = ((metres + by) / unit * 1000.0).round() / 1000.0;
    let mut value = Value::from(shifted);
    *value.decor_mut() = old.decor().clone();
    array.replace_formatted(index, value);
}

/// Words for an element that refers to `target`, if any does.
fn referrer(sources: &Sources, target: &ElementRef) -> Option<String> {
    [&sources.property, &sources.design].into_iter().flatten().find_map(|text| {
        let mut document: DocumentMut = text.parse().ok()?;
        let mut found = None;
        visit_references(&mut document, target, &mut |owner, _| {
            found.get_or_insert_with(|| owner.to_owned());
        });
        found
    })
}

fn rename_references(sources: &Sources, element: &ElementRef, to: &str) -> Result<Sources, EditError> {
    let mut changed = sources.clone();
    for file in [crate::ProjectFile::Property, crate::ProjectFile::Design] {
        let text = match file {
            crate::ProjectFile::Property => &sources.property,
            _ => &sources.design,
        };
        let Some(text) = text else { continue };
        let mut document = open(text, file.name())?;
        visit_references(&mut document, element, &mut |_, value| {
            let old = value.as_str().unwrap_or_default();
            let new = match old.split_once(' ') {
                Some((kind, _)) => format!("{kind} {to}"),
                None => to.to_owned(),
            };
            let mut replacement = Value::from(new);
            *replacement.decor_mut() = value.decor().clone();
            *value = replacement;
        });
        put(&mut changed, file, document.to_string());
    }
    Ok(changed)
}

type Visit<'v> = &'v mut dyn FnMut(&str, &mut Value);

/// Visits every value that refers to `target`, with words for the element that it stands in.
fn visit_references(document: &mut DocumentMut, target: &ElementRef, visit: Visit<'_>) {
    if target.kind == Kind::Viewpoint {
        if let Some(value) = document.get_mut("street").and_then(Item::as_value_mut) {
            if value.as_str() == Some(target.id.as_str()) {
                visit("`street`", value);
            }
        }
    }
    for kind in Kind::ALL {
        let Some(list) = list_mut(document, *kind) else { continue };
        for table in list.iter_mut() {
            let id = table.get("id").and_then(Item::as_str).unwrap_or("?").to_owned();
            let owner = format!("{} `{id}`", kind.word());
            for (key, item) in table.iter_mut() {
                if let Some(value) = item.as_value_mut() {
                    visit_value(key.get(), value, target, &owner, visit);
                }
            }
        }
    }
}

fn visit_value(key: &str, value: &mut Value, target: &ElementRef, owner: &str, visit: Visit<'_>) {
    match value {
        Value::String(_) if refers(key, value.as_str().unwrap_or_default(), target) => visit(owner, value),
        Value::Array(array) => array.iter_mut().for_each(|inner| visit_value(key, inner, target, owner, visit)),
        Value::InlineTable(table) => {
            for (inner_key, inner) in table.iter_mut() {
                let inner_key = inner_key.get().to_owned();
                // Places inside pieces stand under the piece's own key.
                visit_value(&inner_key, inner, target, owner, visit);
            }
        }
        _ => {}
    }
}

/// Whether a text under `key` is a reference to `target`.
fn refers(key: &str, text: &str, target: &ElementRef) -> bool {
    let id = target.id.as_str();
    match key {
        "along" | "in" => text == format!("{} {id}", target.kind.key()),
        "building" => target.kind == Kind::Building && text == id,
        "from" if target.kind == Kind::Shrub => text == id,
        "at" | "places" | "outline" | "route" | "line" | "looking" | "axis" | "from" | "to" | "straight"
        | "smooth" | "arc" => target.kind == Kind::Reference && text == id,
        _ => false,
    }
}
