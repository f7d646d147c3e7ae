//! A table of a file under the reader's eye: typed fields, with every fault noted and none fatal.
//!
//! Each accessor takes a key, returns what it could read and notes a fault for what it could not.
//! [`Node::finish`] then questions the keys that nobody asked for.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::ops::Range;

use groundwright_geometry::{Point, Vec2};
use groundwright_units as units;
use groundwright_units::Parsed;
use toml_edit::{Item, TableLike, Value};

use super::Reading;
use super::doubt::{Doubt, Try};
use super::measure::Measure;
use crate::identity::{ElementId, ElementRef, Kind};
use crate::shape::Place;
use crate::standing::{Given, Standing};
use crate::words::Word;

/// Coordinates beyond this are taken for a slip. [m]
pub const FARTHEST: f64 = 10_000.0;

/// One table of a file.
pub struct Node<'r, 'd> {
    pub(super) reading: &'r Reading<'d>,
    table: &'d dyn TableLike,
    /// Words for messages: `bed `front``, `[place]`.
    pub(super) name: String,
    pub(super) element: Option<ElementRef>,
    /// What stands before a key in the path from the element, or from the file: `place.`.
    path: String,
    span: Range<usize>,
    standing: Standing,
    used: RefCell<BTreeSet<String>>,
}

impl<'r, 'd> Node<'r, 'd> {
    pub(super) fn new(
        reading: &'r Reading<'d>,
        table: &'d dyn TableLike,
        name: String,
        span: Range<usize>,
        standing: Standing,
    ) -> Self {
        let node = Self {
            reading,
            table,
            name,
            element: None,
            path: String::new(),
            span,
            standing,
            used: RefCell::new(BTreeSet::new()),
        };
        let standing = node.read_standing().unwrap_or(standing);
        Self { standing, ..node }
    }

    /// The element's id, checked for form; notes it as the node's name from here on.
    pub fn identify(&mut self, kind: Kind) -> Option<ElementId> {
        let text = self.text("id")?;
        if !ElementId::is_valid(&text) {
            self.fault("id", format!("`{text}` cannot be an id"))
                .expected("lower-case letters, digits and hyphens, beginning with a letter")
                .note(self.reading);
            return None;
        }
        let id = ElementId(text);
        let element = ElementRef::new(kind, &id);
        self.name = element.to_string();
        self.reading.place_element(&element, self.span.clone(), self);
        self.element = Some(element);
        Some(id)
    }

    fn read_standing(&self) -> Option<Standing> {
        let item = self.raw("standing")?;
        match item.as_str() {
            Some("measured") => Some(Standing::Measured),
            Some("stated") => Some(Standing::Stated),
            _ => {
                self.fault("standing", "this standing is not known")
                    .expected("`measured` or `stated`; a single value may be marked `±`")
                    .note(self.reading);
                None
            }
        }
    }

    /// The item under `key`, noted as asked for.
    pub(super) fn raw(&self, key: &str) -> Option<&'d Item> {
        self.used.borrow_mut().insert(key.to_owned());
        self.table.get(key).filter(|item| !item.is_none())
    }

    /// Whether the file gives `key`.
    pub fn has(&self, key: &str) -> bool {
        self.raw(key).is_some()
    }

    /// Notes keys that may be there, so that [`Node::finish`] does not question them.
    pub(super) fn expect_keys(&self, keys: &[&str]) {
        self.used.borrow_mut().extend(keys.iter().map(|&key| key.to_owned()));
    }

    /// The keys that the file gives.
    pub(super) fn keys(&self) -> Vec<String> {
        self.table.iter().map(|(key, _)| key.to_owned()).collect()
    }

    /// Where `key`'s value stands in the file, or the table if it is absent.
    pub fn span_of(&self, key: &str) -> Range<usize> {
        self.table.get(key).and_then(Item::span).unwrap_or_else(|| self.span.clone())
    }

    /// Begins a fault at `key`.
    pub fn fault(&self, key: &str, problem: impl std::fmt::Display) -> Complaint {
        Complaint {
            span: self.span_of(key),
            problem: format!("{}: `{key}`: {problem}", self.name),
            expected: String::new(),
            remedy: String::new(),
        }
    }

    fn missing(&self, key: &str, expected: &str) {
        Complaint {
            span: self.span.clone(),
            problem: format!("{}: `{key}` is missing", self.name),
            expected: expected.to_owned(),
            remedy: format!("add `{key} = …`"),
        }
        .note(self.reading);
    }

    fn wrong_type(&self, key: &str, expected: &str) {
        let found = self.table.get(key).map_or("nothing", |item| type_in_words(item.type_name()));
        self.fault(key, format!("this is {found}")).expected(expected).note(self.reading);
    }

    /// Takes a value inside `{ value = …, standing = …, spread = … }`, or the item itself.
    fn unwrap_given(&self, key: &str) -> Option<(&'d Item, Option<Standing>, Option<&'d Item>)> {
        let item = self.raw(key)?;
        let Some(table) = item.as_inline_table() else { return Some((item, None, None)) };
        if !table.contains_key("value") {
            return Some((item, None, None));
        }
        for (inner, value) in table {
            if !matches!(inner, "value" | "standing" | "spread") {
                let name = table.key(inner).and_then(toml_edit::Key::span);
                self.fault(key, format!("`{inner}` is not known here"))
                    .at(name.or_else(|| value.span()))
                    .expected("`value`, `standing` and `spread`")
                    .note(self.reading);
            }
        }
        let standing = table.get("standing");
        let standing = match standing.map(Value::as_str) {
            None => None,
            Some(Some("measured")) => Some(Standing::Measured),
            Some(Some("stated")) => Some(Standing::Stated),
            Some(Some("assumed")) => Some(Standing::Assumed { spread: f64::NAN }),
            Some(_) => {
                self.fault(key, "this standing is not known")
                    .at(standing.and_then(Value::span))
                    .expected("`measured`, `stated` or `assumed`")
                    .note(self.reading);
                None
            }
        };
        let inner = item.as_table_like()?;
        Some((inner.get("value")?, standing, inner.get("spread")))
    }

    /// Text, if the file gives it.
    pub fn text(&self, key: &str) -> Option<String> {
        let item = self.raw(key)?;
        let Some(text) = item.as_str() else {
            self.wrong_type(key, "text in quotes");
            return None;
        };
        Some(text.to_owned())
    }

    /// Text that must be there.
    pub fn required_text(&self, key: &str, expected: &str) -> String {
        if !self.has(key) {
            self.missing(key, expected);
        }
        self.text(key).unwrap_or_default()
    }

    /// Text, or a default that is listed as an assumption.
    pub fn given_text(&self, key: &str, default: &str, why: &str) -> Given<String> {
        if let Some((item, standing, _)) = self.unwrap_given(key) {
            if let Some(text) = item.as_str() {
                Given { value: text.to_owned(), standing: self.settle(standing, 0.0) }
            } else {
                self.wrong_type(key, "text in quotes");
                Given::assumed(default.to_owned(), 0.0)
            }
        } else {
            self.reading.assume(self, key, default.to_owned(), why);
            Given::assumed(default.to_owned(), 0.0)
        }
    }

    /// A whole number from `low` to `high`, or the default.
    pub fn count(&self, key: &str, default: usize, low: usize, high: usize) -> usize {
        let Some(item) = self.raw(key) else { return default };
        match item.as_integer().and_then(|n| usize::try_from(n).ok()) {
            Some(n) if (low..=high).contains(&n) => n,
            _ => {
                self.fault(key, format!("{} will not do", self.shown(item)))
                    .expected(format!("a whole number from {low} to {high}"))
                    .note(self.reading);
                default
            }
        }
    }

    /// Yes or no, or the default.
    pub fn flag(&self, key: &str, default: bool) -> bool {
        let Some(item) = self.raw(key) else { return default };
        item.as_bool().unwrap_or_else(|| {
            self.wrong_type(key, "`true` or `false`");
            default
        })
    }

    /// Yes or no, with standing; a default is listed as an assumption.
    pub fn given_flag(&self, key: &str, default: bool, why: &str) -> Given<bool> {
        if self.has(key) {
            return Given { value: self.flag(key, default), standing: self.standing };
        }
        self.reading.assume(self, key, default.to_string(), why);
        let other = (!default).to_string();
        self.note_doubt(key, default.to_string(), vec![Try { value: other.clone(), shown: other }], why);
        Given::assumed(default, 0.0)
    }

    /// A word from a list, if the file gives it.
    pub fn choice<W: Word>(&self, key: &str) -> Option<W> {
        let (item, _, _) = self.unwrap_given(key)?;
        let Some(text) = item.as_str() else {
            self.wrong_type(key, "text in quotes");
            return None;
        };
        let found = W::from_word(text);
        if found.is_none() {
            let words: Vec<&str> = W::all().iter().map(|value| value.word()).collect();
            let article = if W::WHAT.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
            let mut complaint = self
                .fault(key, format!("`{text}` is not {article} {}", W::WHAT))
                .at(item.span())
                .expected(format!("one of: {}", words.join(", ")));
            if let Some(near) = units::nearest_name(text, words.iter().copied()) {
                complaint = complaint.remedy(format!("did you mean `{near}`?"));
            }
            complaint.note(self.reading);
        }
        found
    }

    /// A word from a list that must be there.
    pub fn required_choice<W: Word>(&self, key: &str) -> Option<W> {
        if !self.has(key) {
            let words: Vec<&str> = W::all().iter().map(|value| value.word()).collect();
            self.missing(key, &format!("one of: {}", words.join(", ")));
        }
        self.choice(key)
    }

    /// A word from a list with standing; a default is listed as an assumption.
    pub fn given_choice<W: Word>(&self, key: &str, default: W, why: &str) -> Given<W> {
        if self.has(key) {
            let standing = self.unwrap_given(key).and_then(|(_, standing, _)| standing);
            let value = self.choice(key).unwrap_or(default);
            return Given { value, standing: self.settle(standing, 0.0) };
        }
        self.reading.assume(self, key, default.word().to_owned(), why);
        let others = W::all().iter().map(|one| one.word()).filter(|word| *word != default.word());
        let tries = others.map(|word| Try { value: format!("\"{word}\""), shown: word.to_owned() });
        self.note_doubt(key, default.word().to_owned(), tries.collect(), why);
        Given::assumed(default, 0.0)
    }

    /// A quantity with standing, if the file gives it. SI.
    pub fn quantity(&self, key: &str, measure: Measure, low: f64, high: f64) -> Option<Given<f64>> {
        let (item, standing, spread) = self.unwrap_given(key)?;
        let parsed = self.read_quantity(key, item, measure)?;
        let spread = match spread {
            Some(item) => Some(self.read_spread(key, item, measure)?),
            None => None,
        };
        if !(low..=high).contains(&parsed.value) {
            let (low, high) = (self.show(measure, low), self.show(measure, high));
            self.fault(key, format!("{} is outside what can be", self.shown(item)))
                .at(item.span())
                .expected(format!("from {low} to {high}"))
                .remedy(measure.slip())
                .note(self.reading);
            return None;
        }
        let standing = match (spread, parsed.approximate) {
            (Some(spread), _) | (None, Some(spread)) => Standing::Assumed { spread },
            (None, None) => self.settle(standing, parsed.value.abs() * 0.1),
        };
        let given = Given { value: parsed.value, standing };
        self.doubt(key, measure, (low, high), given, "marked as not certain");
        Some(given)
    }

    /// A quantity that must be there. SI.
    pub fn required_quantity(&self, key: &str, measure: Measure, low: f64, high: f64) -> Option<Given<f64>> {
        if !self.has(key) {
            self.missing(key, measure.example());
        }
        self.quantity(key, measure, low, high)
    }

    /// A quantity, or a default with its spread that is listed as an assumption. SI.
    pub fn quantity_or(
        &self,
        key: &str,
        measure: Measure,
        (low, high): (f64, f64),
        (default, spread): (f64, f64),
        why: &str,
    ) -> Given<f64> {
        if self.has(key) {
            return self.quantity(key, measure, low, high).unwrap_or(Given::assumed(default, spread));
        }
        let text = format!("{} ± {}", self.show(measure, default), self.show(measure, spread));
        self.reading.assume(self, key, text, why);
        let given = Given::assumed(default, spread);
        self.doubt(key, measure, (low, high), given, why);
        given
    }

    /// Notes a quantity that may be another, with the ends of the range in which it is expected.
    fn doubt(&self, key: &str, measure: Measure, (low, high): (f64, f64), given: Given<f64>, why: &str) {
        let spread = given.standing.spread();
        if spread <= 0.0 || !spread.is_finite() {
            return;
        }
        // What cannot be read is not expected either.
        let ends = [(given.value - spread).max(low), (given.value + spread).min(high)];
        let tries = ends.map(|end| Try { value: measure.write(end), shown: self.show(measure, end) });
        let shown = format!("{} ± {}", self.show(measure, given.value), self.show(measure, spread));
        self.note_doubt(key, shown, tries.to_vec(), why);
    }

    fn note_doubt(&self, key: &str, shown: String, tries: Vec<Try>, why: &str) {
        self.reading.doubts.borrow_mut().push(Doubt {
            file: self.reading.file.clone(),
            element: self.element.clone(),
            name: self.name.clone(),
            field: format!("{}{key}", self.path),
            shown,
            tries,
            why: why.to_owned(),
        });
    }

    fn settle(&self, own: Option<Standing>, usual_spread: f64) -> Standing {
        match own.unwrap_or(self.standing) {
            Standing::Assumed { spread } if spread.is_nan() => Standing::Assumed { spread: usual_spread },
            standing => standing,
        }
    }

    /// Half the width of a range; it goes both ways, so a sign says nothing.
    fn read_spread(&self, key: &str, item: &Item, measure: Measure) -> Option<f64> {
        let spread = self.read_quantity(key, item, measure)?.value;
        if spread < 0.0 {
            self.fault(key, format!("a spread of {}", self.shown(item)))
                .at(item.span())
                .expected("a spread of zero or more; it goes both ways")
                .note(self.reading);
            return None;
        }
        Some(spread)
    }

    /// A value in the reader's own units.
    fn show(&self, measure: Measure, value: f64) -> String {
        measure.show(value, self.reading.default_unit)
    }

    fn shown(&self, item: &Item) -> String {
        let text = item.as_value().and_then(|value| value_text(self.reading.text, value));
        text.map_or_else(|| type_in_words(item.type_name()).to_owned(), |text| format!("`{text}`"))
    }

    fn read_quantity(&self, key: &str, item: &Item, measure: Measure) -> Option<Parsed<f64>> {
        let Some(value) = item.as_value() else {
            self.wrong_type(key, measure.example());
            return None;
        };
        self.parse_value(key, value, measure)
    }

    /// One quantity out of a list, within a range. SI.
    pub(super) fn value_within(
        &self,
        key: &str,
        value: &Value,
        measure: Measure,
        (low, high): (f64, f64),
    ) -> Option<f64> {
        let number = self.parse_value(key, value, measure)?.value;
        if !(low..=high).contains(&number) {
            let text = value_text(self.reading.text, value).unwrap_or_default();
            self.fault(key, format!("`{text}` is outside what can be"))
                .at(value.span())
                .expected(format!("from {} to {}", self.show(measure, low), self.show(measure, high)))
                .remedy(measure.slip())
                .note(self.reading);
            return None;
        }
        Some(number)
    }

    fn parse_value(&self, key: &str, value: &Value, measure: Measure) -> Option<Parsed<f64>> {
        let result = match value_text(self.reading.text, value) {
            None => Err(format!("this is {}", type_in_words(value.type_name()))),
            Some(text) => measure.parse(&text, self.reading.unit_of(value)),
        };
        result
            .map_err(|problem| {
                let mut complaint = self.fault(key, problem).expected(measure.example());
                complaint.span = value.span().unwrap_or(complaint.span);
                complaint.note(self.reading);
            })
            .ok()
    }

    /// A place, if the file gives it.
    pub fn place(&self, key: &str) -> Option<Place> {
        let item = self.raw(key)?;
        self.read_place(key, item)
    }

    /// A place that must be there.
    pub fn required_place(&self, key: &str) -> Option<Place> {
        if !self.has(key) {
            self.missing(key, PLACE);
        }
        self.place(key)
    }

    /// A list of places.
    pub fn places(&self, key: &str) -> Option<Vec<Place>> {
        let item = self.raw(key)?;
        self.read_places(key, item)
    }

    pub(super) fn read_places(&self, key: &str, item: &'d Item) -> Option<Vec<Place>> {
        let Some(array) = item.as_array() else {
            self.wrong_type(key, "a list of places, such as [[0, 0], [12, 0], [12, 30]]");
            return None;
        };
        array.iter().map(|value| self.read_place_value(key, value)).collect()
    }

    fn read_place(&self, key: &str, item: &'d Item) -> Option<Place> {
        if let Some(value) = item.as_value() {
            self.read_place_value(key, value)
        } else {
            self.wrong_type(key, PLACE);
            None
        }
    }

    pub(super) fn read_place_value(&self, key: &str, value: &'d Value) -> Option<Place> {
        if let Some(name) = value.as_str() {
            return Some(Place::Survey { point: ElementId(name.to_owned()), offset: Vec2::ZERO });
        }
        if let Some(array) = value.as_array()
            && array.len() == 2
        {
            let x = self.read_coordinate(key, array.get(0)?)?;
            let y = self.read_coordinate(key, array.get(1)?)?;
            return Some(Place::At(Point::new(x, y)));
        }
        if let Some(table) = value.as_inline_table()
            && let (Some(name), Some(shift)) =
                (table.get("from").and_then(Value::as_str), table.get("shift").and_then(Value::as_array))
            && shift.len() == 2
        {
            let x = self.read_coordinate(key, shift.get(0)?)?;
            let y = self.read_coordinate(key, shift.get(1)?)?;
            let point = ElementId(name.to_owned());
            return Some(Place::Survey { point, offset: Vec2::new(x, y) });
        }
        let mut complaint = self.fault(key, "this is not a place").expected(PLACE);
        complaint.span = value.span().unwrap_or(complaint.span);
        complaint.note(self.reading);
        None
    }

    fn read_coordinate(&self, key: &str, value: &Value) -> Option<f64> {
        let mut remedy = "";
        let problem = match value_text(self.reading.text, value) {
            None => format!("a coordinate is {}", type_in_words(value.type_name())),
            Some(text) => match Measure::Length.parse(&text, self.reading.unit_of(value)) {
                Ok(parsed) if parsed.value.abs() <= FARTHEST => return Some(parsed.value),
                Ok(parsed) => {
                    remedy = "check for a slipped decimal point or a wrong unit";
                    format!("a coordinate of {:.0} m lies outside any yard", parsed.value)
                }
                Err(problem) => problem,
            },
        };
        let mut complaint =
            self.fault(key, problem).expected("a length within 10 km of the origin").remedy(remedy);
        complaint.span = value.span().unwrap_or(complaint.span);
        complaint.note(self.reading);
        None
    }

    /// A table inside this one.
    pub fn table(&self, key: &str) -> Option<Node<'r, 'd>> {
        let item = self.raw(key)?;
        let Some(table) = item.as_table_like() else {
            self.wrong_type(key, "a table");
            return None;
        };
        let span = item.span().unwrap_or_else(|| self.span.clone());
        let name = if self.element.is_some() { format!("{}: {key}", self.name) } else { format!("[{key}]") };
        let mut node = Node::new(self.reading, table, name, span, self.standing);
        node.element.clone_from(&self.element);
        node.path = format!("{}{key}.", self.path);
        Some(node)
    }

    /// Reads a table that the file does not have, so that its defaults are listed.
    pub(super) fn with_empty_table<T>(
        &self,
        name: &str,
        empty: &toml_edit::Table,
        read: impl FnOnce(&Node<'_, '_>) -> T,
    ) -> T {
        let reading = Reading::new(&self.reading.file, self.reading.text, self.reading.default_unit);
        let value = {
            let mut node = Node::new(&reading, empty, name.to_owned(), self.span.clone(), self.standing);
            node.path = format!("{}.", name.trim_matches(['[', ']']));
            read(&node)
        };
        let left = reading.take();
        self.reading.faults.borrow_mut().extend(left.faults);
        self.reading.assumptions.borrow_mut().extend(left.assumptions);
        self.reading.doubts.borrow_mut().extend(left.doubts);
        value
    }

    /// The tables of a list of tables, written `[[key]]`.
    pub fn tables(&self, key: &str) -> Vec<Node<'r, 'd>> {
        let Some(item) = self.raw(key) else { return Vec::new() };
        if let Some(list) = item.as_array_of_tables() {
            return list
                .iter()
                .enumerate()
                .map(|(i, table)| {
                    let span = table.span().unwrap_or_else(|| self.span.clone());
                    Node::new(self.reading, table, format!("[[{key}]] {}", i + 1), span, self.standing)
                })
                .collect();
        }
        if let Some(list) = item.as_array() {
            let tables = list.iter().enumerate().filter_map(|(i, value)| {
                let table: &'d dyn TableLike = value.as_inline_table()?;
                let span = value.span().unwrap_or_else(|| self.span.clone());
                Some(Node::new(
                    self.reading,
                    table,
                    format!("{}: {key} {}", self.name, i + 1),
                    span,
                    self.standing,
                ))
            });
            let tables: Vec<_> = tables.collect();
            if tables.len() == list.len() {
                return tables;
            }
        }
        self.wrong_type(key, &format!("tables, each headed `[[{key}]]`"));
        Vec::new()
    }

    /// Texts of a list.
    pub fn texts(&self, key: &str) -> Vec<String> {
        let Some(item) = self.raw(key) else { return Vec::new() };
        let texts = item
            .as_array()
            .map(|list| list.iter().map(|v| v.as_str().map(str::to_owned)).collect::<Option<Vec<_>>>());
        if let Some(Some(texts)) = texts {
            texts
        } else {
            self.wrong_type(key, "a list of texts in quotes");
            Vec::new()
        }
    }

    /// Questions every key that nobody asked for.
    pub fn finish(&self) {
        let used = self.used.borrow();
        for (key, item) in self.table.iter() {
            if used.contains(key) {
                continue;
            }
            let span = self
                .table
                .get_key_value(key)
                .and_then(|(key, _)| key.span())
                .or_else(|| item.span())
                .unwrap_or_else(|| self.span.clone());
            let near = units::nearest_name(key, used.iter().map(String::as_str));
            Complaint {
                span,
                problem: format!("{}: the key `{key}` is not known", self.name),
                expected: String::new(),
                remedy: match (near, self.file_of(key)) {
                    (_, Some(file)) => format!("`[[{key}]]` belongs in {file}"),
                    (Some(near), None) => format!("did you mean `{near}`?"),
                    (None, None) => {
                        "known here: ".to_owned()
                            + &used.iter().map(String::as_str).collect::<Vec<_>>().join(", ")
                    }
                },
            }
            .note(self.reading);
        }
    }

    /// The other file in which a table of this name belongs.
    fn file_of(&self, key: &str) -> Option<&'static str> {
        let kind = Kind::ALL.iter().find(|kind| kind.key() == key)?;
        let file = kind.file().name();
        (self.element.is_none() && self.name == self.reading.file && file != self.reading.file)
            .then_some(file)
    }
}

const PLACE: &str = "a place: [x, y], the name of a reference point, or { from = \"point\", shift = [x, y] }";

/// A fault in the making.
pub struct Complaint {
    pub(super) span: Range<usize>,
    pub(super) problem: String,
    pub(super) expected: String,
    pub(super) remedy: String,
}

impl Complaint {
    /// Points at a place inside the field, if it is known.
    #[must_use]
    pub fn at(mut self, span: Option<Range<usize>>) -> Self {
        self.span = span.unwrap_or(self.span);
        self
    }

    /// Says what was expected.
    #[must_use]
    pub fn expected(mut self, text: impl Into<String>) -> Self {
        self.expected = text.into();
        self
    }

    /// Says how to mend it.
    #[must_use]
    pub fn remedy(mut self, text: impl Into<String>) -> Self {
        self.remedy = text.into();
        self
    }

    /// Notes it.
    pub fn note(self, reading: &Reading<'_>) {
        reading.note(self);
    }
}

/// The text of a number or of a quantity in quotes, as written in the file.
///
/// A float is taken from the file's own text: 12.10 is not 12.1 where tenths or inches are in question.
fn value_text(file: &str, value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.value().clone()),
        Value::Integer(number) => Some(number.value().to_string()),
        Value::Float(number) => {
            let written =
                value.span().and_then(|span| file.get(span)).map(|text| text.trim().replace('_', ""));
            Some(written.filter(|text| !text.is_empty()).unwrap_or_else(|| number.value().to_string()))
        }
        _ => None,
    }
}

/// A TOML type in the words of somebody who writes a file.
fn type_in_words(name: &str) -> &'static str {
    match name {
        "string" => "a text",
        "integer" => "a whole number",
        "float" => "a number",
        "boolean" => "`true` or `false`",
        "datetime" => "a date",
        "array" => "a list",
        "array of tables" => "a list of tables",
        "table" | "inline table" => "a table",
        _ => "nothing",
    }
}
