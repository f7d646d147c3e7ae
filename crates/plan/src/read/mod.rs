//! From text to values: the reader of the project's files.
//!
//! - In: the text of each file. Out: a [`Loaded`] project with spans and assumptions, or all faults.
//! - Method: `toml_edit` parses and keeps positions; typed accessors in `node.rs` read the fields.
//! - Not here: geometry of the outlines (`groundwright-yard`), files on disk (`folder.rs`).

mod built;
mod design;
mod doubt;
mod ground;
mod irrigation;
mod lights;
mod line;
mod measure;
mod node;
mod property;
mod references;
pub(crate) mod stock;
mod survey;
mod walls;

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::ops::Range;

use groundwright_units::{LengthUnit, System};
use toml_edit::{Document, Item, Value};

pub use doubt::{Doubt, Try};
pub use measure::Measure;
pub use node::{Complaint, Node};
pub use property::keys_of;

use crate::fault::Fault;
use crate::identity::{ElementRef, ProjectFile};
use crate::practice::Practice;
use crate::project::{Loaded, Project, Readings};
use crate::property::Property;
use crate::standing::Standing;
use crate::stock::Stock;

/// A value that nobody gave: its default is listed, so that a person can measure or state it.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Assumption {
    /// The file in which it could be given.
    pub file: String,
    /// Words for the element: `tree `oak``, `[place]`.
    pub element: String,
    /// The key that was not given.
    pub field: String,
    /// The default that is used, with its spread.
    pub value: String,
    /// Why this default.
    pub why: String,
}

/// Where elements and their fields stand in the files.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Spans {
    elements: BTreeMap<ElementRef, (String, Range<usize>)>,
    fields: BTreeMap<(ElementRef, String), Range<usize>>,
    /// Keys of `property.toml` outside its elements, such as `street` and `boundary.outline`.
    heads: BTreeMap<String, Range<usize>>,
}

impl Spans {
    /// File and bytes of an element's field, or of the element when the field is not written.
    pub fn find(&self, element: &ElementRef, field: &str) -> Option<(&str, Range<usize>)> {
        let (file, whole) = self.elements.get(element)?;
        let range = self.fields.get(&(element.clone(), field.to_owned())).unwrap_or(whole);
        Some((file, range.clone()))
    }

    /// Bytes of a key of `property.toml` outside its elements, such as `street`.
    pub(crate) fn head(&self, key: &str) -> Option<Range<usize>> {
        self.heads.get(key).cloned()
    }

    /// Whether the file gives a field of an element.
    pub(crate) fn has(&self, element: &ElementRef, field: &str) -> bool {
        self.fields.contains_key(&(element.clone(), field.to_owned()))
    }

    /// Every element that the files name, also where it could not be read.
    pub(crate) fn elements(&self) -> impl Iterator<Item = &ElementRef> {
        self.elements.keys()
    }
}

/// The format version that this program writes.
pub const FORMAT: i64 = 1;

/// One file being read.
pub struct Reading<'d> {
    file: String,
    text: &'d str,
    default_unit: Option<LengthUnit>,
    decimal: bool,
    faults: RefCell<Vec<Fault>>,
    assumptions: RefCell<Vec<Assumption>>,
    doubts: RefCell<Vec<Doubt>>,
    spans: RefCell<Spans>,
}

impl<'d> Reading<'d> {
    pub(crate) fn new(file: &str, text: &'d str, default_unit: Option<LengthUnit>) -> Self {
        Self {
            file: file.to_owned(),
            text,
            default_unit,
            decimal: false,
            faults: RefCell::default(),
            assumptions: RefCell::default(),
            doubts: RefCell::default(),
            spans: RefCell::default(),
        }
    }

    fn note(&self, complaint: Complaint) {
        let fault = Fault::at(&self.file, self.text, complaint.span, complaint.problem)
            .expected(complaint.expected)
            .remedy(complaint.remedy);
        self.faults.borrow_mut().push(fault);
    }

    fn assume(&self, node: &Node<'_, '_>, field: &str, value: String, why: &str) {
        self.assumptions.borrow_mut().push(Assumption {
            file: self.file.clone(),
            element: node.name.clone(),
            field: field.to_owned(),
            value,
            why: why.to_owned(),
        });
    }

    fn place_element(&self, element: &ElementRef, span: Range<usize>, node: &Node<'_, '_>) {
        let mut spans = self.spans.borrow_mut();
        if let Some((file, first)) = spans.elements.get(element) {
            let (line, _) = crate::fault::line_and_column(self.text, first.start);
            let fault = Fault::at(
                &self.file,
                self.text,
                node.span_of("id"),
                format!("there are two elements {element}"),
            )
            .expected("an id that is unique among the elements of its kind")
            .remedy(format!("the first is in {file}, line {line}; give this one another id"));
            self.faults.borrow_mut().push(fault);
            return;
        }
        spans.elements.insert(element.clone(), (self.file.clone(), span));
        for key in node.keys() {
            spans.fields.insert((element.clone(), key.clone()), node.span_of(&key));
        }
    }

    /// How a bare number is read.
    fn unit_of(&self, value: &Value) -> BareUnit {
        BareUnit::of(DeclaredUnits { length: self.default_unit, decimal: self.decimal }, value)
    }

    pub(crate) fn take(self) -> Gathered {
        Gathered {
            faults: self.faults.into_inner(),
            assumptions: self.assumptions.into_inner(),
            doubts: self.doubts.into_inner(),
            spans: self.spans.into_inner(),
        }
    }
}

/// The texts of a project's files; a file that does not exist is `None`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sources {
    /// `property.toml`; must exist.
    pub property: Option<String>,
    /// `design.toml`
    pub design: Option<String>,
    /// `practice.toml`
    pub practice: Option<String>,
    /// Files of `stock/` with their names relative to the project folder, sorted.
    pub stock: Vec<(String, String)>,
    /// The field book with its name, one of [`SURVEY_FILES`].
    pub survey: Option<(&'static str, String)>,
}

/// Files that may hold the survey; the first that exists is read.
pub const SURVEY_FILES: [&str; 2] = ["survey.csv", "survey.toml"];

impl Sources {
    /// The text of a file by its name.
    pub fn text(&self, file: &str) -> Option<&str> {
        match file {
            "property.toml" => self.property.as_deref(),
            "design.toml" => self.design.as_deref(),
            "practice.toml" => self.practice.as_deref(),
            "survey.csv" | "survey.toml" => {
                self.survey.as_ref().filter(|(name, _)| *name == file).map(|(_, text)| text.as_str())
            }
            _ => self.stock.iter().find(|(name, _)| name == file).map(|(_, text)| text.as_str()),
        }
    }

    /// The texts of all files that exist, by name.
    pub fn files(&self) -> BTreeMap<&str, &str> {
        let own = ["property.toml", "design.toml", "practice.toml"];
        let mut files: BTreeMap<&str, &str> =
            own.into_iter().filter_map(|name| Some((name, self.text(name)?))).collect();
        files.extend(self.survey.iter().map(|(name, text)| (*name, text.as_str())));
        files.extend(self.stock.iter().map(|(name, text)| (name.as_str(), text.as_str())));
        files
    }

    /// Gives a file another text, or takes it away; names other than the three and those of a survey
    /// are files of the stock.
    pub fn put(&mut self, file: &str, text: Option<String>) {
        match file {
            "property.toml" => self.property = text,
            "design.toml" => self.design = text,
            "practice.toml" => self.practice = text,
            _ if SURVEY_FILES.contains(&file) => {
                let name = SURVEY_FILES.into_iter().find(|name| *name == file);
                let other = self.survey.take().filter(|(known, _)| *known != file);
                self.survey = name.zip(text).or(other);
            }
            _ => {
                self.stock.retain(|(name, _)| name != file);
                self.stock.extend(text.map(|text| (file.to_owned(), text)));
                self.stock.sort();
            }
        }
    }
}

/// Reads a whole project.
///
/// # Errors
/// All faults of all files, sorted by file and place.
pub fn read_project(sources: Sources) -> Result<Loaded, Vec<Fault>> {
    Rereader::default().read(sources)
}

/// Reads a project again and again, as it is edited: property and stock are taken over from the
/// last time where their texts are the same.
#[derive(Debug, Default)]
pub struct Rereader {
    property: Option<(PropertyTexts, PropertyRead)>,
    stock: Option<(Vec<(String, String)>, StockRead)>,
}

/// Property and survey, whose points are places of the property.
type PropertyTexts = (Option<String>, Option<(&'static str, String)>);
type PropertyRead = (Option<Property>, DeclaredUnits, Readings, Gathered);
type StockRead = (Stock, Gathered);

impl Rereader {
    /// As [`read_project`].
    ///
    /// # Errors
    /// All faults of all files, sorted by file and place.
    pub fn read(&mut self, sources: Sources) -> Result<Loaded, Vec<Fault>> {
        if self.stock.as_ref().is_none_or(|(texts, _)| *texts != sources.stock) {
            let mut all = Gathered::default();
            let stock = read_stock(&sources, &mut |more| all.add(more));
            self.stock = Some((sources.stock.clone(), (stock, all)));
        }
        let is_same =
            |(property, survey): &PropertyTexts| *property == sources.property && *survey == sources.survey;
        if !self.property.as_ref().is_some_and(|(texts, _)| is_same(texts)) {
            let texts = (sources.property.clone(), sources.survey.clone());
            self.property = Some((texts, read_property_file(&sources)));
        }
        let (stock, of_stock) = self.stock.as_ref().map(|(_, read)| read.clone()).unwrap_or_default();
        let (property, units, readings, of_property) =
            self.property.as_ref().map(|(_, read)| read.clone()).unwrap_or_default();
        let mut all = of_stock;
        all.add(of_property);
        read_rest(sources, stock, (property, readings), units, all)
    }
}

fn read_property_file(sources: &Sources) -> PropertyRead {
    let mut all = Gathered::default();
    let mut units = DeclaredUnits::default();
    let mut property = if let Some(text) = &sources.property {
        read_property(text, &mut units, &mut |more| all.add(more))
    } else {
        all.add(Gathered::fault(no_property()));
        None
    };
    let readings = property
        .as_mut()
        .map(|property| survey::read(sources, units, property, &mut all))
        .unwrap_or_default();
    (property, units, readings, all)
}

/// Reads the firm's rules and the design, and checks who refers to whom.
fn read_rest(
    sources: Sources,
    stock: Stock,
    (property, readings): (Option<Property>, Readings),
    units: DeclaredUnits,
    mut all: Gathered,
) -> Result<Loaded, Vec<Fault>> {
    let mut gather = |more: Gathered| all.add(more);
    let practice_text = sources.practice.clone().unwrap_or_default();
    let practice = read_file(ProjectFile::Practice.name(), &practice_text, units, &mut gather, |node| {
        Practice::read(node)
    });
    let rules = practice.clone().unwrap_or_default();
    let design_text = sources.design.clone().unwrap_or_default();
    let design = read_file(ProjectFile::Design.name(), &design_text, units, &mut gather, |node| {
        design::read(node, &rules)
    });

    let Gathered { mut faults, assumptions, doubts, spans } = all;
    if let (Some(property), Some(design), Some(practice)) = (property, design, practice) {
        let project = Project { property, design, practice, stock, readings };
        // A survey that does not read gives no points, and whoever names one of them is not to blame.
        let is_surveyed = !faults.iter().any(|fault| SURVEY_FILES.contains(&fault.file.as_str()));
        if is_surveyed {
            faults.extend(references::check(&project, &sources, &spans));
        }
        if faults.is_empty() {
            return Ok(Loaded { project, sources, spans, assumptions, doubts });
        }
    }
    faults.sort_by(|a, b| (&a.file, a.start, &a.problem).cmp(&(&b.file, b.start, &b.problem)));
    faults.dedup();
    Err(faults)
}

fn no_property() -> Fault {
    Fault::at("property.toml", "", 0..0, "there is no property.toml")
        .expected("a project folder with property.toml in it")
        .remedy("begin one with `groundwright start FOLDER`")
}

/// The unit that bare numbers have, as `property.toml` declares it for all files.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct DeclaredUnits {
    pub(crate) length: Option<LengthUnit>,
    pub(crate) decimal: bool,
}

impl DeclaredUnits {
    /// What the word behind `units =` declares, with the system of the reader.
    pub(crate) fn from_word(word: &str) -> Option<(System, Self)> {
        let declared = |length, decimal| Self { length: Some(length), decimal };
        match word {
            "ft" => Some((System::Us, declared(LengthUnit::Foot, false))),
            "decimal ft" => Some((System::Us, declared(LengthUnit::Foot, true))),
            "m" => Some((System::Metric, declared(LengthUnit::Metre, true))),
            _ => None,
        }
    }
}

/// How a bare length is read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BareUnit {
    unit: Option<LengthUnit>,
    decimal: bool,
}

impl BareUnit {
    /// Where decimals are declared, a number that is a TOML number needs no question; a bare
    /// number in quotes is always questioned.
    pub(crate) fn of(units: DeclaredUnits, value: &Value) -> Self {
        Self { unit: units.length, decimal: units.decimal && !value.is_str() }
    }

    pub(crate) fn parse_length(
        self,
        text: &str,
    ) -> Result<groundwright_units::Parsed<groundwright_units::Length>, groundwright_units::ParseError> {
        match self.unit {
            Some(LengthUnit::Foot) if self.decimal && text.parse::<f64>().is_ok() => {
                groundwright_units::parse_length(&format!("{text} ft"), None)
            }
            unit => groundwright_units::parse_length(text, unit),
        }
    }
}

/// What the reading of one file leaves beside its values.
#[derive(Debug, Default, Clone)]
pub(crate) struct Gathered {
    pub(crate) faults: Vec<Fault>,
    assumptions: Vec<Assumption>,
    doubts: Vec<Doubt>,
    spans: Spans,
}

impl Gathered {
    fn fault(fault: Fault) -> Self {
        Self { faults: vec![fault], ..Self::default() }
    }

    fn add(&mut self, more: Self) {
        self.faults.extend(more.faults);
        self.assumptions.extend(more.assumptions);
        self.doubts.extend(more.doubts);
        self.spans.elements.extend(more.spans.elements);
        self.spans.fields.extend(more.spans.fields);
        self.spans.heads.extend(more.spans.heads);
    }
}

type Gather<'g> = &'g mut dyn FnMut(Gathered);

fn read_stock(sources: &Sources, gather: Gather<'_>) -> Stock {
    let mut stock = crate::stock::embedded().clone();
    for (name, text) in &sources.stock {
        let units = DeclaredUnits::default();
        if let Some(more) = read_file(name, text, units, gather, stock::read) {
            stock.add(more);
        }
    }
    stock
}

fn read_property(text: &str, units: &mut DeclaredUnits, gather: Gather<'_>) -> Option<Property> {
    let file = ProjectFile::Property.name();
    let document = parse(file, text, gather)?;
    let mut reading = Reading::new(file, text, None);
    let declared = {
        let root = root(&reading, &document, text);
        property::read_units(&root)
    };
    // Without declared units the project does not read; that one fault is enough, so bare numbers
    // are read as if feet were declared instead of being questioned one by one.
    *units =
        declared.map_or(DeclaredUnits { length: Some(LengthUnit::Foot), decimal: true }, |(_, units)| units);
    reading.default_unit = units.length;
    reading.decimal = units.decimal;
    let property = {
        let root = root(&reading, &document, text);
        check_format(&root);
        let system = declared.map_or(System::Metric, |(system, _)| system);
        let property = property::read(&root, system, units.length.unwrap_or(LengthUnit::Metre));
        root.finish();
        let mut spans = reading.spans.borrow_mut();
        for (key, item) in document.as_table() {
            spans.heads.extend(item.span().map(|span| (key.to_owned(), span)));
            for (inner, value) in item.as_table().into_iter().flatten() {
                spans.heads.extend(value.span().map(|span| (format!("{key}.{inner}"), span)));
            }
        }
        property
    };
    gather(reading.take());
    Some(property)
}

/// Reads one file with the units that the property declared.
pub(crate) fn read_file<T>(
    file: &str,
    text: &str,
    units: DeclaredUnits,
    gather: Gather<'_>,
    read: impl FnOnce(&Node<'_, '_>) -> T,
) -> Option<T> {
    let document = parse(file, text, gather)?;
    let mut reading = Reading::new(file, text, units.length);
    reading.decimal = units.decimal;
    let value = {
        let root = root(&reading, &document, text);
        if !text.trim().is_empty() {
            check_format(&root);
        }
        let value = read(&root);
        root.finish();
        value
    };
    gather(reading.take());
    Some(value)
}

fn parse(file: &str, text: &str, gather: Gather<'_>) -> Option<Document<String>> {
    match text.parse::<Document<String>>() {
        Ok(document) => Some(document),
        Err(error) => {
            let span = error.span().unwrap_or(0..0);
            let message = error.message().trim();
            let problem = format!("this is not TOML: {}", message.replace('\n', "; "));
            let remedy = if message.starts_with("duplicate key") {
                "keep one of the two"
            } else {
                "look for a missing quote, bracket or `=` here or on the line before"
            };
            let fault = Fault::at(file, text, span, problem).expected("TOML 1.0").remedy(remedy);
            gather(Gathered::fault(fault));
            None
        }
    }
}

fn root<'r, 'd>(reading: &'r Reading<'d>, document: &'d Document<String>, text: &str) -> Node<'r, 'd> {
    let end = text.find('\n').unwrap_or(text.len());
    let name = reading.file.clone();
    Node::new(reading, document.as_table(), name, 0..end, Standing::Stated)
}

fn check_format(root: &Node<'_, '_>) {
    let found = root.raw("format");
    match found.map(Item::as_integer) {
        Some(Some(FORMAT)) => {}
        Some(None) => root
            .fault("format", "the format's version is not a whole number")
            .expected(format!("`format = {FORMAT}`"))
            .note(root.reading),
        Some(Some(other)) => root
            .fault("format", format!("format {other} is not known"))
            .expected(format!("format = {FORMAT}"))
            .remedy("a newer groundwright may read it")
            .note(root.reading),
        None => root
            .fault("format", "the format's version is missing")
            .expected(format!("`format = {FORMAT}` at the head of the file"))
            .note(root.reading),
    }
}
