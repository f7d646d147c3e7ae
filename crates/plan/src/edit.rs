//! Commands applied to the text of a project, leaving comments and order as they are.
//!
//! - In: the texts and a command. Out: the changed texts, or why the command cannot be done.
//! - Method: `toml_edit` changes the one item that is meant; all other bytes stay.
//! - Not here: whether the result makes sense; read it again with [`crate::read_project`].

use groundwright_units::LengthUnit;
use groundwright_units::constants::FOOT;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, TableLike, Value};

use crate::command::Command;
use crate::identity::{ElementId, ElementRef, Kind, ProjectFile};
use crate::read::{BareUnit, DeclaredUnits, Sources};

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
    /// A coordinate of the element cannot be read, so moving it would tear the element apart.
    #[error("{element} stays where it is: its coordinate `{coordinate}` cannot be read; correct that first")]
    Unreadable {
        /// The element.
        element: ElementRef,
        /// The coordinate as written.
        coordinate: String,
    },
    /// A shift that is not a number.
    #[error("{0} cannot be moved by what is not a number; give the shift in metres")]
    NotAShift(ElementRef),
    /// A path leads into something that has no fields.
    #[error("{element}: `{key}` is a single value and has no field `{field}`; set `{key}` as a whole")]
    NoFields {
        /// The element.
        element: ElementRef,
        /// The key that holds a single value.
        key: String,
        /// What was to be reached inside it.
        field: String,
    },
    /// The element has no point at a path.
    #[error("{element} has no point `{path}` that can be changed, or too few would be left; select it again")]
    NoSuchPoint {
        /// The element.
        element: ElementRef,
        /// The path.
        path: String,
    },
    /// A factor that is not above zero.
    #[error("the plan cannot be scaled by what is not a number above zero; give new length over old")]
    NotAFactor,
    /// A coordinate cannot be read, so scaling would tear the plan apart.
    #[error("{file} stays as it is: its coordinate `{coordinate}` cannot be read; correct that first")]
    NotScaled {
        /// The file.
        file: &'static str,
        /// The coordinate as written.
        coordinate: String,
    },
    /// The key is not one that a file says about itself.
    #[error("`{field}` is not something that {file} says outside its elements; name the element instead")]
    NotDeclared {
        /// The file.
        file: &'static str,
        /// The key as given.
        field: String,
    },
    /// A path outside the elements leads into a single value.
    #[error("{file}: `{key}` is a single value, so `{field}` cannot be given; give `{key}` as a whole")]
    NoSuchTable {
        /// The file.
        file: &'static str,
        /// The key that holds a single value.
        key: String,
        /// The path as given.
        field: String,
    },
    /// An id is no field like others.
    #[error("the id of {0} is not set as a field; rename it, so that what refers to it follows")]
    IdIsNoField(ElementRef),
    /// The elements of this kind are not written as tables.
    #[error(
        "`{key}` is not written as tables in {file}; write each under `[[{key}]]`, so that it can be edited"
    )]
    NotTables {
        /// The key of the kind.
        key: &'static str,
        /// The file.
        file: &'static str,
    },
}

/// Applies a command to the texts of a project.
///
/// # Errors
/// See [`EditError`]; the texts given are untouched, so nothing is lost.
pub fn apply(sources: &Sources, command: &Command) -> Result<Sources, EditError> {
    if let Command::Scale { factor } = command {
        return scale(sources, *factor);
    }
    let Some(element) = command.element() else { return declare(sources, command) };
    let file = element.kind.file();
    let text = sources.text(file.name()).unwrap_or("format = 1\n");
    let mut document = open(text, file.name())?;
    if document.get(element.kind.key()).is_some_and(|item| !item.is_array_of_tables()) {
        return Err(EditError::NotTables { key: element.kind.key(), file: file.name() });
    }
    let mut changed = sources.clone();
    match command {
        Command::Set { field, .. } | Command::Clear { field, .. } if field == "id" => {
            return Err(EditError::IdIsNoField(element.clone()));
        }
        Command::Set { field, value, .. } => {
            let value = parse_value(value)?;
            set(find(&mut document, element)?, field, value).map_err(|key| EditError::NoFields {
                element: element.clone(),
                field: field[key.len()..].trim_start_matches('.').to_owned(),
                key,
            })?;
        }
        Command::Clear { field, .. } => {
            clear(find(&mut document, element)?, field);
        }
        Command::Move { east, north, .. } => {
            if !(east.is_finite() && north.is_finite()) {
                return Err(EditError::NotAShift(element.clone()));
            }
            let shift = Shift { factor: 1.0, east: *east, north: *north, units: declared_units(sources) };
            let moved = shift_table(find(&mut document, element)?, &shift)
                .map_err(|coordinate| EditError::Unreadable { element: element.clone(), coordinate })?;
            if !moved {
                return Err(EditError::NothingToMove(element.clone()));
            }
        }
        Command::Add { body, .. } => add(&mut document, element, body)?,
        Command::Remove { .. } => {
            if let Some(by) = referrer(sources, element)? {
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
            set_item(find(&mut document, element)?.entry("id").or_insert(Item::None), to.as_str().into());
            put(&mut changed, file, &document);
            return rename_references(&changed, element, to);
        }
        Command::Declare { .. } | Command::Retract { .. } | Command::Scale { .. } => {}
    }
    put(&mut changed, file, &document);
    Ok(changed)
}

fn parse_value(text: &str) -> Result<Value, EditError> {
    text.trim().parse().map_err(|error: toml_edit::TomlError| EditError::NotToml {
        value: text.to_owned(),
        why: error.message().trim().to_owned(),
    })
}

/// Scales every place of the property and of the design about the plan's origin.
fn scale(sources: &Sources, factor: f64) -> Result<Sources, EditError> {
    if !(factor.is_finite() && factor > 0.0) {
        return Err(EditError::NotAFactor);
    }
    let shift = Shift { factor, east: 0.0, north: 0.0, units: declared_units(sources) };
    let mut changed = sources.clone();
    for file in [ProjectFile::Property, ProjectFile::Design] {
        let Some(text) = sources.text(file.name()) else { continue };
        let mut document = open(text, file.name())?;
        scale_document(&mut document, &shift)
            .map_err(|coordinate| EditError::NotScaled { file: file.name(), coordinate })?;
        put(&mut changed, file, &document);
    }
    Ok(changed)
}

fn scale_document(document: &mut DocumentMut, shift: &Shift) -> Result<(), String> {
    for (_, item) in document.iter_mut() {
        match item {
            Item::ArrayOfTables(list) => {
                for table in list.iter_mut() {
                    shift_table(table, shift)?;
                }
            }
            // [boundary], [access], [supply]
            Item::Table(table) => {
                for key in ["outline", "drop_place", "at"] {
                    if let Some(Item::Value(value)) = table.get_mut(key) {
                        shift_value(value, shift)?;
                    }
                }
            }
            _ => {}
        }
    }
    Ok(())
}

/// Applies a command about what a file says outside its elements.
fn declare(sources: &Sources, command: &Command) -> Result<Sources, EditError> {
    let (Command::Declare { file, field, .. } | Command::Retract { file, field }) = command else {
        return Ok(sources.clone());
    };
    let head = field.split('.').next().unwrap_or_default();
    if head.is_empty() || head == "format" || Kind::ALL.iter().any(|kind| kind.key() == head) {
        return Err(EditError::NotDeclared { file: file.name(), field: field.clone() });
    }
    let mut document = open(sources.text(file.name()).unwrap_or("format = 1\n"), file.name())?;
    if let Command::Declare { value, .. } = command {
        let value = parse_value(value)?;
        if field.contains('.') && !document.contains_key(head) {
            document.insert(head, Item::Table(Table::new()));
        }
        set(document.as_table_mut(), field, value).map_err(|key| EditError::NoSuchTable {
            file: file.name(),
            key,
            field: field.clone(),
        })?;
    } else {
        clear(document.as_table_mut(), field);
    }
    let mut changed = sources.clone();
    put(&mut changed, *file, &document);
    Ok(changed)
}

pub(crate) fn open(text: &str, file: &'static str) -> Result<DocumentMut, EditError> {
    text.parse().map_err(|error: toml_edit::TomlError| EditError::Broken {
        file,
        why: error.message().trim().to_owned(),
    })
}

/// Puts the document in the place of the file's text.
fn put(sources: &mut Sources, file: ProjectFile, document: &DocumentMut) {
    let before = sources.text(file.name()).unwrap_or_default();
    let after = rendered(before, document);
    sources.put(file.name(), Some(after));
}

/// The document as text, with the line ends and the last line as the text before had them.
pub(crate) fn rendered(before: &str, document: &DocumentMut) -> String {
    let mut after = document.to_string();
    // The parser drops the mark that some editors put before the first character.
    if before.starts_with(BYTE_ORDER_MARK) && !after.starts_with(BYTE_ORDER_MARK) {
        after.insert(0, BYTE_ORDER_MARK);
    }
    if before.contains("\r\n") {
        after = after.replace("\r\n", "\n").replace('\n', "\r\n");
    }
    if !before.is_empty() && !before.ends_with('\n') {
        after.truncate(after.trim_end_matches(['\r', '\n']).len());
    }
    after
}

const BYTE_ORDER_MARK: char = '\u{feff}';

fn list_mut(document: &mut DocumentMut, kind: Kind) -> Option<&mut ArrayOfTables> {
    document.get_mut(kind.key())?.as_array_of_tables_mut()
}

pub(crate) fn find<'d>(
    document: &'d mut DocumentMut,
    element: &ElementRef,
) -> Result<&'d mut Table, EditError> {
    list_mut(document, element.kind)
        .and_then(|list| list.iter_mut().find(|table| is_named(table, element.id.as_str())))
        .ok_or_else(|| EditError::NoSuchElement(element.clone()))
}

fn is_named(table: &Table, id: &str) -> bool {
    table.get("id").and_then(Item::as_str) == Some(id)
}

/// Sets a dotted field; the decoration (spaces and comments) of a value that is replaced stays.
///
/// # Errors
/// The path to a single value where a table was expected.
fn set(table: &mut dyn TableLike, field: &str, value: Value) -> Result<(), String> {
    let Some((head, rest)) = field.split_once('.') else {
        set_item(table.entry(field).or_insert(Item::None), value);
        return Ok(());
    };
    let item = table.entry(head).or_insert(Item::Value(Value::InlineTable(InlineTable::new())));
    write_out(head, item);
    match item.as_table_like_mut() {
        Some(inner) => set(inner, rest, value).map_err(|path| format!("{head}.{path}")),
        None => Err(head.to_owned()),
    }
}

/// Writes `mulch = "bark"` as the table that it is short for, so that its depth can be set too.
fn write_out(key: &str, item: &mut Item) {
    if key == "mulch" && item.is_str() {
        let mut table = InlineTable::new();
        if let Some(product) = item.as_str() {
            table.insert("product", product.into());
        }
        set_item(item, Value::InlineTable(table));
    }
}

fn set_item(item: &mut Item, mut value: Value) {
    match item.as_value() {
        Some(old) => *value.decor_mut() = old.decor().clone(),
        None => value.decor_mut().clear(),
    }
    *item = Item::Value(value);
}

fn clear(table: &mut dyn TableLike, field: &str) {
    match field.split_once('.') {
        None => {
            table.remove(field);
        }
        Some((head, rest)) => {
            if let Some(inner) = table.get_mut(head).and_then(Item::as_table_like_mut) {
                clear(inner, rest);
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
    let mut table = fields.as_table().clone();
    table.insert("id", toml_edit::value(element.id.as_str()));
    table.sort_values_by(|a, _, b, _| (a != "id").cmp(&(b != "id")));
    forget_position(&mut table);
    table.decor_mut().set_prefix("\n");
    let list = document.entry(element.kind.key()).or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    if let Some(list) = list.as_array_of_tables_mut() {
        list.push(table);
    }
    Ok(())
}

/// Lets a table follow the one before it, wherever it stood in the text that it comes from.
pub(crate) fn forget_position(table: &mut Table) {
    table.set_position(None);
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => forget_position(inner),
            Item::ArrayOfTables(list) => list.iter_mut().for_each(forget_position),
            _ => {}
        }
    }
}

fn remove(document: &mut DocumentMut, element: &ElementRef) -> Result<(), EditError> {
    let missing = || EditError::NoSuchElement(element.clone());
    let list = list_mut(document, element.kind).ok_or_else(missing)?;
    let at = list.iter().position(|table| is_named(table, element.id.as_str())).ok_or_else(missing)?;
    list.remove(at);
    Ok(())
}

/// How bare numbers are read in these files.
pub(crate) fn declared_units(sources: &Sources) -> DeclaredUnits {
    let text = sources.property.as_deref().unwrap_or_default();
    // Keys of the whole file stand before the first table, which is much less to parse. Where a value
    // goes on in a line that only looks like a table, the head does not parse and all is parsed.
    let head = text.split_once("\n[").map_or(text, |(head, _)| head);
    let document = head.parse::<DocumentMut>().or_else(|_| text.parse::<DocumentMut>()).ok();
    let word = document.as_ref().and_then(|d| d.get("units")).and_then(Item::as_str);
    word.and_then(DeclaredUnits::from_word).map(|(_, units)| units).unwrap_or_default()
}

struct Shift {
    factor: f64,
    east: f64,
    north: f64,
    units: DeclaredUnits,
}

/// Keys whose places are an element's own.
pub(crate) const OWN_PLACES: [&str; 16] = [
    "at", "places", "outline", "route", "line", "looking", "axis", "from", "to", "toward", "tops", "feet",
    "group", "mass", "row", "heads",
];

/// Shifts the places of an element; says whether there were any, or which coordinate is no length.
fn shift_table(table: &mut dyn TableLike, shift: &Shift) -> Result<bool, String> {
    let mut moved = false;
    for (key, item) in table.iter_mut() {
        if !OWN_PLACES.contains(&key.get()) {
            continue;
        }
        moved |= match item {
            Item::Value(value) => shift_value(value, shift)?,
            Item::Table(inner) => shift_table(inner, shift)?,
            _ => false,
        };
    }
    Ok(moved)
}

/// Shifts every pair of coordinates inside a value.
fn shift_value(value: &mut Value, shift: &Shift) -> Result<bool, String> {
    let mut moved = false;
    match value {
        Value::Array(array) if is_pair(array, shift.units) => {
            shift_coordinate(array, 0, shift.east, shift)?;
            shift_coordinate(array, 1, shift.north, shift)?;
            moved = true;
        }
        Value::Array(array) => {
            for inner in array.iter_mut() {
                moved |= shift_value(inner, shift)?;
            }
        }
        Value::InlineTable(table) => {
            for (_, inner) in table.iter_mut().filter(|(key, _)| key.get() != "shift") {
                moved |= shift_value(inner, shift)?;
            }
        }
        _ => {}
    }
    Ok(moved)
}

/// Two coordinates, and not the names of two reference points.
pub(crate) fn is_pair(array: &Array, units: DeclaredUnits) -> bool {
    let single = |value: &Value| value.is_integer() || value.is_float() || value.is_str();
    array.len() == 2
        && array.iter().all(single)
        && array.iter().any(|value| !value.is_str() || coordinate(value, units).is_some())
}

/// A coordinate, read as the reader of the files would. [m]
pub(crate) fn coordinate(value: &Value, units: DeclaredUnits) -> Option<f64> {
    let text = match value {
        Value::String(text) => text.value().clone(),
        number => number.to_string().trim().replace('_', ""),
    };
    let unit = BareUnit::of(units, value);
    unit.parse_length(&text).ok().map(|parsed| parsed.value.metres())
}

fn shift_coordinate(array: &mut Array, index: usize, by: f64, shift: &Shift) -> Result<(), String> {
    let Some(old) = array.get(index) else { return Ok(()) };
    let metres = coordinate(old, shift.units).ok_or_else(|| old.to_string().trim().to_owned())?;
    put_coordinate(array, index, metres * shift.factor + by, shift.units);
    Ok(())
}

/// Writes a coordinate over an old one, in the way the old one was written.
pub(crate) fn put_coordinate(array: &mut Array, index: usize, metres: f64, units: DeclaredUnits) {
    let Some(old) = array.get(index) else { return };
    let mut value = coordinate_value(metres, units, old.is_str());
    *value.decor_mut() = old.decor().clone();
    array.replace_formatted(index, value);
}

/// A coordinate as a value: a bare number where the project declares its unit, else a text.
pub(crate) fn coordinate_value(metres: f64, units: DeclaredUnits, as_text: bool) -> Value {
    let (unit, symbol) = match units.length {
        Some(LengthUnit::Foot) => (FOOT, "ft"),
        _ => (1.0, "m"),
    };
    // Thousandths of the unit are finer than any tape; adding zero makes -0 plain.
    let rounded = (metres / unit * 1000.0).round() / 1000.0 + 0.0;
    if as_text || units.length.is_none() {
        Value::from(format!("{rounded} {symbol}"))
    } else if rounded.fract() == 0.0 && rounded.abs() < 1e9 {
        Value::from(rounded as i64)
    } else if units.decimal {
        Value::from(rounded)
    } else {
        // A bare decimal of feet would be questioned.
        Value::from(format!("{rounded} {symbol}"))
    }
}

/// Words for an element that refers to `target`, if any other does.
fn referrer(sources: &Sources, target: &ElementRef) -> Result<Option<String>, EditError> {
    let mut found = None;
    let itself = target.to_string();
    for file in [ProjectFile::Property, ProjectFile::Design] {
        let Some(text) = sources.text(file.name()) else { continue };
        visit_references(&mut open(text, file.name())?, target, &mut |owner, _| {
            if owner != itself {
                found.get_or_insert_with(|| owner.to_owned());
            }
        });
    }
    Ok(found)
}

fn rename_references(sources: &Sources, element: &ElementRef, to: &str) -> Result<Sources, EditError> {
    let mut changed = sources.clone();
    for file in [ProjectFile::Property, ProjectFile::Design] {
        let Some(text) = sources.text(file.name()) else { continue };
        let mut document = open(text, file.name())?;
        let mut found = false;
        visit_references(&mut document, element, &mut |_, value| {
            let old = value.as_str().unwrap_or_default();
            let new = match old.split_once(' ') {
                Some((kind, _)) => format!("{kind} {to}"),
                None => to.to_owned(),
            };
            let mut replacement = Value::from(new);
            *replacement.decor_mut() = value.decor().clone();
            *value = replacement;
            found = true;
        });
        if found {
            put(&mut changed, file, &document);
        }
    }
    Ok(changed)
}

type Visit<'v> = &'v mut dyn FnMut(&str, &mut Value);

/// Visits every value that refers to `target`, with words for the element that it stands in.
fn visit_references(document: &mut DocumentMut, target: &ElementRef, visit: Visit<'_>) {
    for (key, item) in document.iter_mut() {
        let key = key.get().to_owned();
        match item {
            Item::Value(value) if key == "street" => {
                if target.kind == Kind::Viewpoint && value.as_str() == Some(target.id.as_str()) {
                    visit("`street`", value);
                }
            }
            Item::ArrayOfTables(list) => {
                let Some(kind) = Kind::ALL.iter().find(|kind| kind.key() == key) else { continue };
                for table in list.iter_mut() {
                    let id = table.get("id").and_then(Item::as_str).unwrap_or("?").to_owned();
                    let owner = format!("{} `{id}`", kind.word());
                    visit_fields(table, *kind, target, &mut |value| visit(&owner, value));
                }
            }
            // [boundary], [access]
            _ => visit_item(&key, item, target, &mut |value| visit(&format!("[{key}]"), value)),
        }
    }
}

type VisitValue<'v> = &'v mut dyn FnMut(&mut Value);

fn visit_fields(table: &mut Table, kind: Kind, target: &ElementRef, visit: VisitValue<'_>) {
    for (key, item) in table.iter_mut() {
        // `from` names shrubs where a planting draws from them, and places everywhere else.
        let key = match (kind, key.get()) {
            (Kind::Planting, "from") => SHRUBS,
            // `zone` of a buried thing is a number of its own.
            (Kind::Light, "zone") => ZONE,
            (_, key) => key,
        };
        let key = key.to_owned();
        visit_item(&key, item, target, visit);
    }
}

/// Stands for the key of a list of shrubs.
const SHRUBS: &str = "from shrubs";
/// Stands for the key of a light's zone.
const ZONE: &str = "zone of a light";

fn visit_item(key: &str, item: &mut Item, target: &ElementRef, visit: VisitValue<'_>) {
    match item {
        Item::Value(value) => visit_value(key, value, target, visit),
        Item::Table(table) => {
            for (inner_key, inner) in table.iter_mut() {
                let inner_key = inner_key.get().to_owned();
                visit_item(&inner_key, inner, target, visit);
            }
        }
        _ => {}
    }
}

fn visit_value(key: &str, value: &mut Value, target: &ElementRef, visit: VisitValue<'_>) {
    match value {
        Value::String(_) if refers(key, value.as_str().unwrap_or_default(), target) => visit(value),
        Value::Array(array) => array.iter_mut().for_each(|inner| visit_value(key, inner, target, visit)),
        Value::InlineTable(table) => {
            for (inner_key, inner) in table.iter_mut() {
                // Places inside pieces stand under the piece's own key.
                let inner_key = inner_key.get().to_owned();
                visit_value(&inner_key, inner, target, visit);
            }
        }
        _ => {}
    }
}

/// Whether a text under `key` is a reference to `target`.
fn refers(key: &str, text: &str, target: &ElementRef) -> bool {
    let id = target.id.as_str();
    match key {
        "along" | "in" | "area" | "areas" | "without" | "takes" | "leads_to" | "aim" => {
            text.split_once(' ').is_some_and(|(kind, named)| kind == target.kind.key() && named.trim() == id)
        }
        "building" => target.kind == Kind::Building && text == id,
        "transformer" => target.kind == Kind::Transformer && text == id,
        ZONE => target.kind == Kind::LightZone && text == id,
        SHRUBS => target.kind == Kind::Shrub && text == id,
        "at" | "places" | "outline" | "route" | "line" | "looking" | "axis" | "from" | "to" | "straight"
        | "smooth" | "arc" | "drop_place" | "toward" | "aim_place" | "heads" => {
            target.kind == Kind::Reference && text == id
        }
        _ => false,
    }
}
