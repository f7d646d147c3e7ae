//! Two changed states of a project brought together, by element and field.
//!
//! - In: the texts that both began with, and what each made of them. Out: texts with both changes,
//!   or where they clash.
//! - Method: a file that only one side changed is taken byte for byte; in a file that both changed,
//!   the second side's fields are put into the first side's text, comments with them.
//! - Not here: whether the result makes sense; read it again with [`crate::read_project`].

use std::collections::BTreeSet;

use toml_edit::{ArrayOfTables, DocumentMut, Item, Key, Table, TableLike};

use crate::difference::{COMMENT, Change, NotComparable, Subject, changes, item_decor, parse};
use crate::edit::{forget_position, rendered};
use crate::read::Sources;

/// One of the two states that are brought together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The first, into whose text the other's changes are put.
    Ours,
    /// The second.
    Theirs,
}

/// A field to which both sides gave different texts.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Clash {
    /// Whose field.
    pub subject: Subject,
    /// The field, as in [`crate::Difference::field`].
    pub field: String,
    /// What both began with; `None` where it was not there.
    pub base: Option<String>,
    /// What the first side made of it.
    pub ours: Option<String>,
    /// What the second side made of it.
    pub theirs: Option<String>,
}

impl std::fmt::Display for Clash {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.field.as_str() {
            "" => write!(f, "{} as a whole", self.subject),
            field if field.ends_with(COMMENT) => write!(f, "comments of {}", self.subject),
            field => write!(f, "`{field}` of {}", self.subject),
        }
    }
}

/// Why two states cannot be brought together.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum MergeError {
    /// A file is not TOML.
    #[error(transparent)]
    NotComparable(#[from] NotComparable),
    /// Both sides changed the same field of the same element, differently.
    #[error("both sides changed {}; choose one of the two", clashes_in_words(.0))]
    Clashes(Vec<Clash>),
}

/// The places where two sides clash, as words for a message.
pub fn clashes_in_words(clashes: &[Clash]) -> String {
    clashes.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// Brings `theirs` into `ours`; both began with `base`.
///
/// With `prefer`, the field of that side stands wherever both changed it, and nothing clashes.
///
/// # Errors
/// See [`MergeError`].
pub fn merge(
    base: &Sources,
    ours: &Sources,
    theirs: &Sources,
    prefer: Option<Side>,
) -> Result<Sources, MergeError> {
    let mut merged = ours.clone();
    let mut clashes = Vec::new();
    let (old, mine, other) = (base.files(), ours.files(), theirs.files());
    let names: BTreeSet<&str> = mine.keys().chain(other.keys()).copied().collect();
    for name in names {
        let (b, o, t) = (old.get(name).copied(), mine.get(name).copied(), other.get(name).copied());
        if t == b || t == o {
            continue;
        }
        let text = match (o, t) {
            _ if o == b => t.map(str::to_owned),
            (Some(o), Some(t)) => Some(merge_file(name, b.unwrap_or_default(), o, t, prefer, &mut clashes)?),
            _ => {
                if prefer.is_none() {
                    let own = |text: Option<&str>| text.map(str::to_owned);
                    let subject = Subject { file: name.to_owned(), table: String::new(), id: String::new() };
                    clashes.push(Clash {
                        subject,
                        field: String::new(),
                        base: own(b),
                        ours: own(o),
                        theirs: own(t),
                    });
                }
                if prefer == Some(Side::Theirs) { t } else { o }.map(str::to_owned)
            }
        };
        merged.put(name, text);
    }
    if clashes.is_empty() { Ok(merged) } else { Err(MergeError::Clashes(clashes)) }
}

fn merge_file(
    name: &str,
    base: &str,
    ours: &str,
    theirs: &str,
    prefer: Option<Side>,
    clashes: &mut Vec<Clash>,
) -> Result<String, NotComparable> {
    let mut start = parse(name, base)?;
    let mut document = parse(name, ours)?;
    let source = parse(name, theirs)?;
    // A table that both sides began clashes field by field, not as a whole.
    for (key, item) in source.iter() {
        let both = item.is_table() && document.get(key).is_some_and(Item::is_table);
        if both && !start.contains_key(key) {
            start.insert(key, Item::Table(Table::new()));
        }
    }
    let mine = changes(name, &start, &document);
    let mut touched = false;
    for change in changes(name, &start, &source) {
        let met: Vec<&Change> = mine.iter().filter(|own| own.meets(&change)).collect();
        let agreed = met.iter().any(|own| own.path == change.path && own.after == change.after);
        let take = match prefer {
            _ if agreed => false,
            _ if met.is_empty() => true,
            Some(side) => side == Side::Theirs,
            None => {
                clashes.push(clash(&change, met[0]));
                false
            }
        };
        if take {
            take_change(&mut document, &source, &change);
            touched = true;
        }
    }
    Ok(if touched { rendered(ours, &document) } else { ours.to_owned() })
}

/// A clash, told by the wider of the two changes.
fn clash(theirs: &Change, ours: &Change) -> Clash {
    let wider = if ours.path.len() < theirs.path.len() { ours } else { theirs };
    Clash {
        subject: wider.subject.clone(),
        field: wider.field(),
        base: wider.before.clone(),
        ours: ours.after.clone(),
        theirs: theirs.after.clone(),
    }
}

/// Makes a field, or a whole element, of `document` what it is in `source`.
fn take_change(document: &mut DocumentMut, source: &DocumentMut, change: &Change) {
    let Subject { table, id, .. } = &change.subject;
    if table.is_empty() {
        if change.path == [COMMENT] {
            document.set_trailing(source.trailing().as_str().unwrap_or_default());
        } else {
            take_field(document.as_table_mut(), source.as_table(), &change.path, false);
        }
        return;
    }
    let from = source
        .get(table)
        .and_then(Item::as_array_of_tables)
        .and_then(|list| list.iter().find(|element| is_named(element, id)));
    let list = document.entry(table).or_insert(Item::ArrayOfTables(ArrayOfTables::new()));
    let Some(list) = list.as_array_of_tables_mut() else { return };
    let at = list.iter().position(|element| is_named(element, id));
    match (from, at.and_then(|at| list.get_mut(at))) {
        (Some(from), Some(to)) => {
            if change.path.is_empty() {
                let position = to.position();
                *to = from.clone();
                forget_position(to);
                to.set_position(position);
            } else if change.path == [COMMENT] {
                *to.decor_mut() = from.decor().clone();
            } else {
                take_field(to, from, &change.path, false);
            }
        }
        (Some(from), None) => {
            let mut added: Table = from.clone();
            forget_position(&mut added);
            list.push(added);
        }
        (None, Some(_)) => {
            if let Some(at) = at {
                list.remove(at);
            }
        }
        (None, None) => {}
    }
    if list.is_empty() {
        document.remove(table);
    }
}

fn is_named(table: &Table, id: &str) -> bool {
    table.get("id").and_then(Item::as_str) == Some(id)
}

/// Makes the field at `path` of `to` what it is in `from`; `inline` says that `to` stands on one line.
fn take_field(to: &mut dyn TableLike, from: &dyn TableLike, path: &[String], inline: bool) {
    let [key, rest @ ..] = path else { return };
    let found = from.get_key_value(key);
    let Some((source_key, source)) = found else {
        to.remove(key);
        return;
    };
    if !rest.is_empty()
        && let Some(item) = to.get_mut(key)
    {
        if rest == [COMMENT] {
            take_comment(item, source);
            if let Some(mut own) = to.key_mut(key) {
                *own.leaf_decor_mut() = source_key.leaf_decor().clone();
            }
            return;
        }
        let one_line = item.is_inline_table();
        if let (Some(inner), Some(source)) = (item.as_table_like_mut(), source.as_table_like()) {
            return take_field(inner, source, rest, one_line);
        }
    }
    put_item(to, source_key, source, inline);
}

fn take_comment(item: &mut Item, source: &Item) {
    let Some(decor) = item_decor(source).cloned() else { return };
    match item {
        Item::Table(table) => *table.decor_mut() = decor,
        Item::Value(value) => *value.decor_mut() = decor,
        _ => {}
    }
}

fn put_item(to: &mut dyn TableLike, key: &Key, source: &Item, inline: bool) {
    let mut item = source.clone();
    if let Item::Table(table) = &mut item {
        forget_position(table);
    }
    if inline {
        // On one line a comment would swallow what follows.
        item = item.into_value().map_or_else(|item| item, Item::Value);
        if let Item::Value(value) = &mut item {
            value.decor_mut().clear();
        }
        to.insert(key.get(), item);
        return;
    }
    if to.contains_key(key.get()) {
        if let Some(old) = to.get_mut(key.get()) {
            *old = item;
        }
        if let Some(mut own) = to.key_mut(key.get()) {
            *own.leaf_decor_mut() = key.leaf_decor().clone();
        }
    } else {
        to.entry_format(key).or_insert(item);
    }
}
