//! What a hand does, turned into commands on the project's files.
//!
//! - In: edits as the page sends them, and the project that they are made on. Out: commands, the
//!   elements that come into being, and what drew a moved point.
//! - A command is what is kept; a trial makes the same commands and forgets them.
//! - Not here: applying commands (`book.rs`), remedies and acceptances (`checks.rs`).

use groundwright_geometry::{Point, Vec2};
use groundwright_job::Outcome;
use groundwright_plan::{
    Command, EditError, ElementId, ElementRef, Kind, Loaded, place_text, point_added, point_moved,
    point_removed, points_of,
};
use groundwright_units::{LengthUnit, Reader, System, parse_length};

use crate::checks;
use crate::element_name::{element_of, name_of};
use crate::messages::{Edit, Purpose, Spot};
use crate::site;
use crate::snapping::Magnets;
use crate::strokes::{SHAKE, thinned};

/// Why an edit cannot be done.
#[derive(Debug, thiserror::Error)]
pub enum HandError {
    /// A command cannot be done.
    #[error("{0}")]
    Edit(#[from] EditError),
    /// A name that names nothing.
    #[error("`{0}` names no element; select it again")]
    NoElement(String),
    /// A number that is not finite, or too large for a yard.
    #[error("the place is not in the yard; expected metres within {FARTHEST} of its origin")]
    NotInYard,
    /// More than a hand does at once.
    #[error("{count} {what} at once; at most {most}")]
    TooMany {
        /// How many.
        count: usize,
        /// Of what.
        what: &'static str,
        /// How many may be.
        most: usize,
    },
    /// A typed length does not read.
    #[error("{0}")]
    Length(String),
    /// The project would no longer read.
    #[error("{0}")]
    Unreadable(String),
    /// A stroke too short to become anything.
    #[error("the stroke is too short: draw at least {0}")]
    Short(&'static str),
    /// Nothing says which plant.
    #[error("choose a plant first")]
    NoPlant,
    /// The stock does not have the plant.
    #[error("the stock has no plant `{0}`; choose one of the list")]
    UnknownPlant(String),
    /// A finding is gone, or its remedy is.
    #[error("this finding is not there any more; look at the list again")]
    NoFinding,
    /// A remedy that a person has to do.
    #[error("the tool cannot do this by itself: {0}")]
    ByHand(String),
    /// An acceptance without a reason.
    #[error("say why this is accepted: the reason stays on record")]
    NoReason,
    /// Something of the first visit that cannot be.
    #[error("{0}")]
    Visit(String),
    /// An element that is not drawn by hand.
    #[error("{0} cannot be copied: its edge belongs to other elements")]
    NoCopy(ElementRef),
}

/// Farther from the origin than this is a slip. [m]
const FARTHEST: f64 = 100_000.0;
/// Points of a stroke, elements at once, edits at once.
const MOST: usize = 5_000;

/// What edits come to.
#[derive(Debug, Default)]
pub struct Made {
    /// The commands.
    pub commands: Vec<Command>,
    /// Elements that come into being.
    pub added: Vec<ElementRef>,
    /// What drew the moved point, in words.
    pub drawn: String,
}

/// The project that a hand works on.
#[derive(Debug, Clone, Copy)]
pub struct Bench<'p> {
    /// The project.
    pub loaded: &'p Loaded,
    /// What follows from it.
    pub outcome: &'p Outcome,
    /// How the page speaks.
    pub reader: Reader,
    /// Direction that "square" means. [rad]
    pub square: f64,
}

/// Turns edits into commands. Later edits are made on the same project as the first.
///
/// # Errors
/// The first edit that cannot be done.
pub fn commands(bench: Bench<'_>, edits: &[Edit]) -> Result<Made, HandError> {
    few(edits.len(), "edits")?;
    let mut made = Made::default();
    for edit in edits {
        bench.edit(edit, &mut made)?;
    }
    Ok(made)
}

impl Bench<'_> {
    fn edit(self, edit: &Edit, made: &mut Made) -> Result<(), HandError> {
        let sources = &self.loaded.sources;
        match edit {
            Edit::Write { element, field, text } => {
                made.commands.push(self.write(&named(element)?, field, text));
            }
            Edit::Move { elements, east, north } => shift(elements, *east, *north, made)?,
            Edit::MoveText { elements, east, north } => {
                let length = |text: &str| if text.trim().is_empty() { Ok(0.0) } else { self.length(text) };
                shift(elements, length(east)?, length(north)?, made)?;
            }
            Edit::Point { element, path, to, reach } => {
                let element = named(element)?;
                let to = self.drawn(&element, path, spot(*to)?, *reach, made);
                made.commands.push(point_moved(sources, &element, path, to)?);
            }
            Edit::PointText { element, path, east, north } => {
                let element = named(element)?;
                let old = points_of(sources, &element)?.into_iter().find(|point| point.path == *path);
                let old = old.map_or(Point::ORIGIN, |point| point.at);
                let length =
                    |text: &str, old| if text.trim().is_empty() { Ok(old) } else { self.length(text) };
                let to = spot([length(east, old.x)?, length(north, old.y)?])?;
                made.commands.push(point_moved(sources, &element, path, to)?);
            }
            Edit::AddPoint { element, path, at } => {
                made.commands.push(point_added(sources, &named(element)?, path, spot(*at)?)?);
            }
            Edit::RemovePoint { element, path } => {
                made.commands.push(point_removed(sources, &named(element)?, path)?);
            }
            Edit::Stroke { purpose, points, plant, bed } => {
                few(points.len(), "points")?;
                self.stroke(*purpose, points, plant.as_deref(), bed.as_deref(), made)?;
            }
            Edit::Plant { bed, plant, at } => {
                few(at.len(), "places")?;
                self.plant(bed, plant, at, made)?;
            }
            Edit::Copy { elements, east, north } => {
                few(elements.len(), "elements")?;
                spot([*east, *north])?;
                for element in elements {
                    self.copy(&named(element)?, *east, *north, made)?;
                }
            }
            Edit::Remove { elements } => {
                few(elements.len(), "elements")?;
                let elements: Vec<ElementRef> =
                    elements.iter().map(|e| named(e)).collect::<Result<_, _>>()?;
                made.commands.extend(self.removal(&elements));
            }
            Edit::Rename { element, to } => {
                made.commands.push(Command::Rename { element: named(element)?, to: to.trim().to_owned() });
            }
            Edit::Remedy { finding, remedy } => {
                made.commands.extend(checks::remedy(self.outcome, finding, *remedy)?);
            }
            Edit::Accept { finding, reason } => {
                made.commands.push(checks::acceptance(self, finding, reason)?);
            }
            Edit::Found { what, points, fields, sets_scale } => {
                few(points.len(), "points")?;
                site::found(self, *what, points, fields, *sets_scale, made)?;
            }
            Edit::Declare { field, text } => made.commands.push(site::declare(field, text)?),
            Edit::Fit => made.commands.push(site::fit(self.loaded)?),
            Edit::Withdraw { acceptance } => {
                let id = ElementId(acceptance.clone());
                made.commands.push(Command::Remove { element: ElementRef::new(Kind::Acceptance, &id) });
            }
        }
        Ok(())
    }

    /// A typed field. Numbers and yes or no are written bare, all else as a text, which the reader
    /// of the files understands or questions.
    fn write(self, element: &ElementRef, field: &str, text: &str) -> Command {
        if text.trim().is_empty() {
            return Command::Clear { element: element.clone(), field: field.to_owned() };
        }
        let value = self.value(field, text);
        Command::Set { element: element.clone(), field: field.to_owned(), value }
    }

    /// What was typed, as TOML: numbers and yes or no bare, all else as a text, which the reader of
    /// the files understands or questions.
    pub fn value(self, field: &str, text: &str) -> String {
        let text = text.trim();
        let bare = matches!(text, "true" | "false")
            || is_counted(field) && text.parse::<i64>().is_ok()
            || self.loaded.project.property.system == System::Metric && text.parse::<f64>().is_ok();
        if bare { text.to_owned() } else { quoted(text) }
    }

    /// A typed length. [m]
    pub fn length(self, text: &str) -> Result<f64, HandError> {
        let unit = match self.reader.system {
            System::Us => LengthUnit::Foot,
            System::Metric => LengthUnit::Metre,
        };
        let parsed = parse_length(text, Some(unit)).map_err(|e| HandError::Length(e.to_string()))?;
        Ok(parsed.value.metres())
    }

    fn drawn(
        self,
        element: &ElementRef,
        path: &str,
        to: Point,
        reach: Option<f64>,
        made: &mut Made,
    ) -> Point {
        let Some(reach) = reach.filter(|reach| (1e-6..10.0).contains(reach)) else { return to };
        let points = points_of(&self.loaded.sources, element).unwrap_or_default();
        let at = points.iter().position(|point| point.path == path);
        let from = at.and_then(|at| at.checked_sub(1).or((points.len() > 1).then_some(1)));
        let magnets = Magnets {
            plot: &self.outcome.yard.plot,
            own: Some(element),
            from: from.map(|from| points[from].at),
            square: self.square,
        };
        let drawn = magnets.draw(to, reach, self.reader);
        made.drawn = drawn.words;
        drawn.at
    }

    fn stroke(
        self,
        purpose: Purpose,
        points: &[Spot],
        plant: Option<&str>,
        bed: Option<&str>,
        made: &mut Made,
    ) -> Result<(), HandError> {
        let points: Vec<Point> = points.iter().map(|p| spot(*p)).collect::<Result<_, _>>()?;
        let closed = purpose != Purpose::Row;
        let line = thinned(&points, SHAKE, closed);
        if line.len() < if closed { 3 } else { 2 } {
            return Err(HandError::Short(if closed { "round an area" } else { "a line" }));
        }
        let line = self.places(&line);
        if purpose == Purpose::Bed {
            // A new bed is mulched with what the firm mulches most: here, what the first bed has.
            let mulch = self.loaded.project.design.beds.iter().find_map(|bed| bed.mulch.as_ref());
            let mulch = mulch.map_or("fine-bark", |mulch| mulch.product.as_str());
            let body = format!("outline = [{{ smooth = [{line}] }}]\nmulch = {}", quoted(mulch));
            self.add(Kind::Bed, "bed", body, made);
            return Ok(());
        }
        let plant = self.known_plant(plant.ok_or(HandError::NoPlant)?)?;
        let place = bed.map(|bed| format!("in = {}\n", quoted(bed))).unwrap_or_default();
        let (role, layout, word) = match purpose {
            Purpose::Row => ("hedge", format!("row = {{ line = [{{ smooth = [{line}] }}] }}"), "row"),
            _ => ("mass", format!("mass = {{ outline = [{{ smooth = [{line}] }}] }}"), "mass"),
        };
        let body = format!("role = \"{role}\"\nplant = {}\n{place}{layout}", quoted(plant));
        self.add(Kind::Planting, &format!("{word}-{plant}"), body, made);
        Ok(())
    }

    fn plant(self, bed: &str, plant: &str, at: &[Spot], made: &mut Made) -> Result<(), HandError> {
        let bed = named(bed)?;
        let plant = self.known_plant(plant)?;
        let points: Vec<Point> = at.iter().map(|p| spot(*p)).collect::<Result<_, _>>()?;
        let (role, layout) = match points.len() {
            0 => ("mass", "mass = true".to_owned()),
            1 => ("specimen", format!("at = [{}]", self.places(&points))),
            _ => ("group", format!("at = [{}]", self.places(&points))),
        };
        let body = format!(
            "role = \"{role}\"\nplant = {}\nin = {}\n{layout}",
            quoted(plant),
            quoted(&name_of(&bed))
        );
        self.add(Kind::Planting, &format!("{}-{plant}", bed.id), body, made);
        Ok(())
    }

    fn known_plant(self, plant: &str) -> Result<&str, HandError> {
        let known = self.loaded.project.stock.taxa.keys().any(|taxon| taxon.as_str() == plant);
        if known { Ok(plant) } else { Err(HandError::UnknownPlant(plant.to_owned())) }
    }

    /// Places as the project would write them, one after the other.
    pub fn places(self, points: &[Point]) -> String {
        let places: Vec<String> = points.iter().map(|p| place_text(&self.loaded.sources, *p)).collect();
        places.join(", ")
    }

    /// Adds an element under the wished id, or the next that is free.
    pub fn add(self, kind: Kind, wish: &str, body: String, made: &mut Made) {
        let element = self.free_id(kind, wish, made);
        made.added.push(element.clone());
        made.commands.push(Command::Add { element, body });
    }

    /// The wished id, or the first of its numbered followers that is free.
    pub fn free_id(self, kind: Kind, wish: &str, made: &Made) -> ElementRef {
        let taken = self.loaded.project.elements();
        let is_free = |element: &ElementRef| !taken.contains(element) && !made.added.contains(element);
        let stem: String = wish.chars().take(50).collect();
        let stem = stem.trim_end_matches('-');
        (1..=taken.len() + made.added.len() + 1)
            .map(|n| ElementId(if n == 1 { stem.to_owned() } else { format!("{stem}-{n}") }))
            .map(|id| ElementRef::new(kind, &id))
            .find(is_free)
            .unwrap_or_else(|| ElementRef::new(kind, &ElementId(stem.to_owned())))
    }

    /// A copy of an element's table under a free id, shifted.
    fn copy(self, element: &ElementRef, east: f64, north: f64, made: &mut Made) -> Result<(), HandError> {
        let body = self.body(element)?;
        if body.contains("along =") {
            return Err(HandError::NoCopy(element.clone()));
        }
        let copy = self.free_id(
            element.kind,
            element.id.as_str().trim_end_matches(|c: char| c.is_ascii_digit() || c == '-'),
            made,
        );
        made.added.push(copy.clone());
        made.commands.push(Command::Add { element: copy.clone(), body });
        made.commands.push(Command::Move { element: copy, east, north });
        Ok(())
    }

    /// The fields of an element as TOML text.
    fn body(self, element: &ElementRef) -> Result<String, HandError> {
        let gone = || HandError::NoElement(name_of(element));
        let text = self.loaded.sources.text(element.kind.file().name()).ok_or_else(gone)?;
        let document: toml_edit::DocumentMut = text.parse().map_err(|_| gone())?;
        let list = document.get(element.kind.key()).and_then(|item| item.as_array_of_tables());
        let table = list
            .and_then(|list| {
                list.iter().find(|table| {
                    table.get("id").and_then(toml_edit::Item::as_str) == Some(element.id.as_str())
                })
            })
            .ok_or_else(gone)?;
        let mut body = toml_edit::DocumentMut::new();
        for (key, item) in table.iter().filter(|(key, _)| *key != "id") {
            body.insert(key, item.clone());
        }
        Ok(body.to_string())
    }

    /// Removes elements, those that others of them refer to last; plantings go with their bed.
    fn removal(self, elements: &[ElementRef]) -> Vec<Command> {
        let design = &self.loaded.project.design;
        let within = |planting: &groundwright_plan::Planting| {
            planting.place.as_ref().is_some_and(|place| elements.contains(place))
        };
        let plantings =
            design.plantings.iter().filter(|p| within(p)).map(|p| ElementRef::new(Kind::Planting, &p.id));
        let edgings = design
            .edgings
            .iter()
            .filter(|edging| elements.contains(&edging.along))
            .map(|edging| ElementRef::new(Kind::Edging, &edging.id));
        let mut all: Vec<ElementRef> = plantings.chain(edgings).chain(elements.iter().cloned()).collect();
        // Kinds stand in the order of dependence, the ground first.
        all.sort_by(|a, b| (b.kind, &b.id).cmp(&(a.kind, &a.id)));
        all.dedup();
        all.into_iter().map(|element| Command::Remove { element }).collect()
    }
}

fn shift(elements: &[String], east: f64, north: f64, made: &mut Made) -> Result<(), HandError> {
    few(elements.len(), "elements")?;
    spot([east, north])?;
    for element in elements {
        made.commands.push(Command::Move { element: named(element)?, east, north });
    }
    Ok(())
}

fn named(name: &str) -> Result<ElementRef, HandError> {
    element_of(name).ok_or_else(|| HandError::NoElement(name.to_owned()))
}

fn few(count: usize, what: &'static str) -> Result<(), HandError> {
    if count > MOST { Err(HandError::TooMany { count, what, most: MOST }) } else { Ok(()) }
}

/// A place from the page. [m]
pub fn spot([x, y]: Spot) -> Result<Point, HandError> {
    let inside = x.abs() <= FARTHEST && y.abs() <= FARTHEST;
    if inside { Ok(Point::ORIGIN + Vec2::new(x, y)) } else { Err(HandError::NotInYard) }
}

/// A text as TOML writes it.
pub fn quoted(text: &str) -> String {
    toml_edit::Value::from(text).to_string().trim().to_owned()
}

/// Fields that hold counts or years, which carry no unit.
fn is_counted(field: &str) -> bool {
    let last = field.rsplit('.').next().unwrap_or(field);
    matches!(last, "rows" | "count" | "parts" | "filled_in" | "weight")
}
