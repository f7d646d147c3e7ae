//! What differs between two states of a project's texts, by element and field.
//!
//! - In: two sets of texts that are TOML. Out: differences in the order of files, tables and ids.
//! - Method: both are parsed with their comments; a field's text is its line with the comments
//!   above and behind it, so that a changed comment is a difference too. Spaces and empty lines
//!   around a field and the order of fields are none.
//! - Not here: merging (`merge.rs`), and what the values mean (`read`).

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use toml_edit::{ArrayOfTables, Decor, DocumentMut, Item, Key, Table, TableLike};

use crate::identity::{ElementId, ElementRef, Kind};
use crate::read::Sources;

/// What a difference is about: an element, or what a file says outside its elements.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub struct Subject {
    /// The file, relative to the project folder.
    pub file: String,
    /// The table's key as in `[[bed]]`; empty for what stands outside elements.
    pub table: String,
    /// The element's id; empty for what stands outside elements.
    pub id: String,
}

impl Subject {
    fn file(file: &str) -> Self {
        Self { file: file.to_owned(), table: String::new(), id: String::new() }
    }

    /// The element, where it is one of the project's own and not of the stock.
    pub fn element(&self) -> Option<ElementRef> {
        let kind = Kind::ALL.iter().find(|kind| kind.key() == self.table)?;
        (kind.file().name() == self.file).then(|| ElementRef::new(*kind, &ElementId(self.id.clone())))
    }
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.element() {
            Some(element) => element.fmt(f),
            None if self.table.is_empty() => f.write_str(&self.file),
            None => write!(f, "{} `{}` of {}", self.table, self.id, self.file),
        }
    }
}

/// One field that differs.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Difference {
    /// Whose field.
    pub subject: Subject,
    /// The field, dotted where it lies in a table; empty for the subject as a whole, `#` (also at
    /// the end of a path) for comments that belong to no field.
    pub field: String,
    /// Its text before, with its comments; `None` where it was not there.
    pub before: Option<String>,
    /// Its text after; `None` where it is gone.
    pub after: Option<String>,
}

/// A text that is not TOML cannot be compared by field.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file} cannot be compared: {why}; correct the file first")]
pub struct NotComparable {
    /// The file, relative to the project folder.
    pub file: String,
    /// What the parser says.
    pub why: String,
}

/// What has to be done to `before` to come to `after`.
///
/// # Errors
/// A text that differs and does not parse.
pub fn difference(before: &Sources, after: &Sources) -> Result<Vec<Difference>, NotComparable> {
    let (old, new) = (before.files(), after.files());
    let names: BTreeSet<&str> = old.keys().chain(new.keys()).copied().collect();
    let mut all = Vec::new();
    for name in names {
        match (old.get(name), new.get(name)) {
            (a, b) if a == b => {}
            (Some(a), Some(b)) => {
                let changes = changes(name, &parse(name, a)?, &parse(name, b)?);
                all.extend(changes.into_iter().map(Change::told));
            }
            (a, b) => all.push(Difference {
                subject: Subject::file(name),
                field: String::new(),
                before: a.map(|text| (*text).to_owned()),
                after: b.map(|text| (*text).to_owned()),
            }),
        }
    }
    Ok(all)
}

pub(crate) fn parse(file: &str, text: &str) -> Result<DocumentMut, NotComparable> {
    text.parse().map_err(|error: toml_edit::TomlError| NotComparable {
        file: file.to_owned(),
        why: error.message().trim().to_owned(),
    })
}

/// A difference with its path in parts; an empty path is the whole element.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Change {
    pub(crate) subject: Subject,
    pub(crate) path: Vec<String>,
    pub(crate) before: Option<String>,
    pub(crate) after: Option<String>,
}

impl Change {
    pub(crate) fn field(&self) -> String {
        self.path.join(".")
    }

    fn told(self) -> Difference {
        Difference { field: self.field(), subject: self.subject, before: self.before, after: self.after }
    }

    /// Whether two changes touch the same field, or one of them what the other lies in.
    pub(crate) fn meets(&self, other: &Change) -> bool {
        let shorter = self.path.len().min(other.path.len());
        self.subject == other.subject && self.path[..shorter] == other.path[..shorter]
    }
}

/// Stands in paths for comments that belong to no field.
pub(crate) const COMMENT: &str = "#";

/// The changes from one document to another.
pub(crate) fn changes(file: &str, before: &DocumentMut, after: &DocumentMut) -> Vec<Change> {
    let mut all = Vec::new();
    let root = Subject::file(file);
    for key in keys(before.as_table(), after.as_table()) {
        let (old, new) = (before.get_key_value(key), after.get_key_value(key));
        match (elements(old), elements(new)) {
            (Some(old), Some(new)) => element_changes(file, key, &old, &new, &mut all),
            _ => field_changes(&root, &[key.to_owned()], old, new, &mut all),
        }
    }
    let trailing = |document: &DocumentMut| plain(document.trailing().as_str());
    push(&root, &[COMMENT.to_owned()], trailing(before), trailing(after), &mut all);
    all
}

fn keys<'t>(a: &'t dyn TableLike, b: &'t dyn TableLike) -> BTreeSet<&'t str> {
    a.iter().chain(b.iter()).map(|(key, _)| key).collect()
}

/// The tables of a list by id; `None` where it is no list of tables, or they are not told apart by id.
fn elements<'d>(item: Option<(&'d Key, &'d Item)>) -> Option<BTreeMap<&'d str, &'d Table>> {
    let Some((_, item)) = item else { return Some(BTreeMap::new()) };
    let list: &ArrayOfTables = item.as_array_of_tables()?;
    let by_id: BTreeMap<&str, &Table> =
        list.iter().filter_map(|table| Some((table.get("id")?.as_str()?, table))).collect();
    (by_id.len() == list.len()).then_some(by_id)
}

fn element_changes(
    file: &str,
    key: &str,
    before: &BTreeMap<&str, &Table>,
    after: &BTreeMap<&str, &Table>,
    all: &mut Vec<Change>,
) {
    for id in before.keys().chain(after.keys()).collect::<BTreeSet<_>>() {
        let subject = Subject { file: file.to_owned(), table: key.to_owned(), id: (*id).to_owned() };
        match (before.get(id), after.get(id)) {
            (Some(old), Some(new)) => {
                push(&subject, &[COMMENT.to_owned()], comments(old.decor()), comments(new.decor()), all);
                table_changes(&subject, &[], *old, *new, all);
            }
            (old, new) => push(&subject, &[], old.map(|t| whole(t)), new.map(|t| whole(t)), all),
        }
    }
}

/// The text of an element without its header.
fn whole(table: &Table) -> String {
    format!("{}\n{}", comments(table.decor()).unwrap_or_default(), table).trim().to_owned()
}

fn table_changes(
    subject: &Subject,
    path: &[String],
    a: &dyn TableLike,
    b: &dyn TableLike,
    all: &mut Vec<Change>,
) {
    for key in keys(a, b) {
        let path: Vec<String> = path.iter().cloned().chain([key.to_owned()]).collect();
        field_changes(subject, &path, a.get_key_value(key), b.get_key_value(key), all);
    }
}

fn field_changes(
    subject: &Subject,
    path: &[String],
    a: Option<(&Key, &Item)>,
    b: Option<(&Key, &Item)>,
    all: &mut Vec<Change>,
) {
    if let (Some((a_key, a)), Some((b_key, b))) = (a, b)
        && let (Some(old), Some(new)) = (a.as_table_like(), b.as_table_like())
    {
        let above: Vec<String> = path.iter().cloned().chain([COMMENT.to_owned()]).collect();
        push(subject, &above, item_comments(a_key, a), item_comments(b_key, b), all);
        return table_changes(subject, path, old, new, all);
    }
    push(subject, path, a.map(shown), b.map(shown), all);
}

fn push(
    subject: &Subject,
    path: &[String],
    before: Option<String>,
    after: Option<String>,
    all: &mut Vec<Change>,
) {
    if before != after {
        all.push(Change { subject: subject.clone(), path: path.to_vec(), before, after });
    }
}

/// A field as it stands in the file, with its comments.
fn shown((key, item): (&Key, &Item)) -> String {
    let above = comments(key.leaf_decor()).map_or(String::new(), |text| text + "\n");
    match item {
        Item::Value(value) => format!("{above}{} = {}", key.get(), value.to_string().trim()),
        _ => format!("{above}{}\n{}", item_decor(item).and_then(comments).unwrap_or_default(), item)
            .trim()
            .to_owned(),
    }
}

fn item_comments(key: &Key, item: &Item) -> Option<String> {
    let parts = [comments(key.leaf_decor()), item_decor(item).and_then(comments)];
    plain(Some(&parts.into_iter().flatten().collect::<Vec<_>>().join("\n")))
}

pub(crate) fn item_decor(item: &Item) -> Option<&Decor> {
    match item {
        Item::Table(table) => Some(table.decor()),
        Item::Value(value) => Some(value.decor()),
        _ => None,
    }
}

/// The comments of a decoration; `None` where there is nothing but space.
fn comments(decor: &Decor) -> Option<String> {
    let text =
        |part: Option<&toml_edit::RawString>| part.and_then(|part| part.as_str()).unwrap_or("").to_owned();
    plain(Some(&format!("{}{}", text(decor.prefix()), text(decor.suffix()))))
}

/// Lines without the spaces around them and without empty ones.
fn plain(text: Option<&str>) -> Option<String> {
    let lines: Vec<&str> = text?.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    (!lines.is_empty()).then(|| lines.join("\n"))
}
