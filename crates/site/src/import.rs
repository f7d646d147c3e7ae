//! What other programs drew becomes elements of the property.
//!
//! - In: an import (`groundwright_survey::import`), the project, and what its layers mean. Out: TOML to
//!   append to `property.toml`, and what became of every point, line and surface.
//! - Points that the project knows by name fit the import into its frame by a similarity transform with
//!   residuals; with none, coordinates are taken as drawn only where that is asked for.
//! - Nothing is taken silently: what is left has its reason.
//! - Not here: reading the formats, writing files.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use groundwright_geometry::{Point, Vec2};
use groundwright_plan::{
    BuriedKind, ElementId, Loaded, PaperLineKind, SurfaceKind, TaxonId, Word, place_text,
};
use groundwright_survey::import::{Imported, ImportedLine, ImportedPoint, fit_by_name};
use groundwright_survey::similarity::{Fit, Similarity};
use groundwright_units::LengthUnit;
use groundwright_units::constants::FOOT;

/// A shared point whose residual is larger than this does not fit. [m] Common practice, no source.
pub const LARGE_RESIDUAL: f64 = 0.05;

/// Beyond this from the plan's origin, coordinates are those of a map, not of a yard. [m]
const FAR: f64 = 20_000.0;

/// How an import shall be fitted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wishes {
    /// The import's scale is free: it was traced, or scanned.
    pub scaled: bool,
    /// Coordinates are those of the plan already.
    pub as_drawn: bool,
    /// This point of the import becomes the plan's origin; nothing is turned.
    pub origin: Option<String>,
    /// Points of the import with another name in the project.
    pub pairs: BTreeMap<String, String>,
    /// Added to every height. [m]
    pub raise: f64,
}

/// What became of something imported.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fate {
    /// What it is: `point 104`, `line 3 (KERB)`.
    pub what: String,
    /// The elements that it became, or why it is left.
    pub became: Result<String, String>,
}

/// How the import lies in the project's frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The transform.
    pub transform: Similarity,
    /// Shared points by name with what the fit leaves at each. [m] Empty where there were none.
    pub residuals: Vec<(String, Vec2)>,
    /// Standard deviation of a coordinate; `None` without redundancy. [m]
    pub s0: Option<f64>,
}

/// An import made ready.
#[derive(Debug, Clone, PartialEq)]
pub struct Brought {
    /// TOML to append to `property.toml`; empty where nothing is taken.
    pub text: String,
    /// Elements in it.
    pub elements: usize,
    /// Every point, line and surface.
    pub fates: Vec<Fate>,
    /// The frame.
    pub fitted: Fitted,
}

/// Why nothing is brought in.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BringError {
    /// The frame cannot be found.
    #[error(
        "{known} of the import's points is known in the project by name, and two are needed to fit it: give two \
         points the same name, name pairs, or say that the coordinates are taken as drawn"
    )]
    NoFrame {
        /// Points known in both.
        known: usize,
    },
    /// A pair that is not there.
    #[error("there is no {what} `{name}`; it was to be paired")]
    NoPair {
        /// Where it is missing.
        what: &'static str,
        /// Its name.
        name: String,
    },
    /// The fit has no answer.
    #[error("the shared points give no fit: {0}")]
    NoFit(String),
    /// Coordinates of a map.
    #[error(
        "as drawn, the import lies {kilometres:.0} km from the plan's origin: these are coordinates of a map; fit \
         it on two shared points, or name the point that becomes the origin"
    )]
    Far {
        /// How far.
        kilometres: f64,
    },
    /// A layer's meaning that is none.
    #[error("`{kind}` is no kind of element; expected one of: {known}")]
    Kind {
        /// As given.
        kind: String,
        /// What there is.
        known: String,
    },
}

/// What the things of a layer are.
#[derive(Debug, Clone, PartialEq)]
enum Kind {
    Reference,
    Level,
    BreakLine,
    Boundary,
    Building,
    Surface(SurfaceKind),
    PaperLine(PaperLineKind),
    Buried(BuriedKind),
    Tree(String),
}

fn kinds() -> String {
    let own = ["reference", "level", "break line", "boundary", "building", "tree STOCK-ID"];
    let words = own.into_iter().chain(SurfaceKind::all().iter().map(|kind| kind.word()));
    let words = words.chain(PaperLineKind::all().iter().map(|kind| kind.word()));
    words.chain(BuriedKind::all().iter().map(|kind| kind.word())).collect::<Vec<_>>().join(", ")
}

fn kind_of(word: &str, loaded: &Loaded) -> Result<Kind, BringError> {
    let kind = match word {
        "reference" => Some(Kind::Reference),
        "level" => Some(Kind::Level),
        "break line" => Some(Kind::BreakLine),
        "boundary" => Some(Kind::Boundary),
        "building" => Some(Kind::Building),
        _ => None,
    };
    let tree = || {
        let id = word.strip_prefix("tree ")?.trim();
        loaded.project.stock.taxa.get(&TaxonId(id.to_owned())).map(|_| Kind::Tree(id.to_owned()))
    };
    kind.or_else(|| SurfaceKind::from_word(word).map(Kind::Surface))
        .or_else(|| PaperLineKind::from_word(word).map(Kind::PaperLine))
        .or_else(|| BuriedKind::from_word(word).map(Kind::Buried))
        .or_else(tree)
        .ok_or_else(|| BringError::Kind { kind: word.to_owned(), known: kinds() })
}

/// Checks the meaning of a layer before anything is read.
///
/// # Errors
/// [`BringError::Kind`].
pub fn check_kind(word: &str, loaded: &Loaded) -> Result<(), BringError> {
    kind_of(word, loaded).map(|_| ())
}

/// Makes an import ready to be written into a project.
///
/// # Errors
/// [`BringError`]; the project is untouched.
pub fn bring_in(imported: &Imported, loaded: &Loaded, wishes: &Wishes) -> Result<Brought, BringError> {
    let fitted = frame(imported, loaded, wishes)?;
    let shared = fitted.residuals.iter().map(|(name, _)| name.clone()).collect();
    let mut writer = Writer::new(loaded, fitted.transform, wishes, shared);
    for point in &imported.points {
        writer.point(point)?;
    }
    for (i, line) in imported.lines.iter().enumerate() {
        writer.line(i + 1, line)?;
    }
    for surface in &imported.surfaces {
        let mut taken = 0;
        for (at, height) in &surface.points {
            writer.level(&surface.name, *at, *height);
            taken += 1;
        }
        let what = format!("surface {}", surface.name);
        writer.fates.push(Fate { what, became: Ok(format!("{taken} levels; its triangles are found anew")) });
    }
    let Writer { text, elements, fates, .. } = writer;
    Ok(Brought { text, elements, fates, fitted })
}

/// The import's frame: fitted on shared points, shifted to an origin, or as drawn.
fn frame(imported: &Imported, loaded: &Loaded, wishes: &Wishes) -> Result<Fitted, BringError> {
    let still = |shift: Vec2| Fitted {
        transform: Similarity { scale: 1.0, rotation: 0.0, shift },
        residuals: Vec::new(),
        s0: None,
    };
    if let Some(name) = &wishes.origin {
        let point = imported.points.iter().find(|point| &point.name == name);
        let missing = || BringError::NoPair { what: "point of the import", name: name.clone() };
        return Ok(still(-point.ok_or_else(missing)?.at.to_vec2()));
    }
    let known: BTreeMap<String, Point> =
        loaded.project.property.references.iter().map(|r| (r.id.to_string(), r.at.value)).collect();
    for (ours, theirs) in &wishes.pairs {
        if !imported.points.iter().any(|point| &point.name == ours) {
            return Err(BringError::NoPair { what: "point of the import", name: ours.clone() });
        }
        if !known.contains_key(theirs) {
            return Err(BringError::NoPair { what: "reference point of the project", name: theirs.clone() });
        }
    }
    let renamed: Vec<ImportedPoint> = imported
        .points
        .iter()
        .map(|point| ImportedPoint { name: known_name(point, wishes), ..point.clone() })
        .collect();
    let shared = renamed.iter().filter(|point| known.contains_key(&point.name)).count();
    if wishes.as_drawn {
        let places =
            imported.points.iter().map(|p| p.at).chain(imported.lines.iter().flat_map(|l| l.points.clone()));
        let far = places.map(|at| at.to_vec2().hypot()).fold(0.0, f64::max);
        return if far > FAR {
            Err(BringError::Far { kilometres: far / 1000.0 })
        } else {
            Ok(still(Vec2::ZERO))
        };
    }
    if shared < 2 {
        return Err(BringError::NoFrame { known: shared });
    }
    let (fit, names) =
        fit_by_name(&renamed, &known, wishes.scaled).map_err(|e| BringError::NoFit(e.to_string()))?;
    let s0 = fit.s0();
    let Fit { transform, residuals, .. } = fit;
    Ok(Fitted { transform, residuals: names.into_iter().zip(residuals).collect(), s0 })
}

/// The name by which the project may know a point.
fn known_name(point: &ImportedPoint, wishes: &Wishes) -> String {
    wishes.pairs.get(&point.name).cloned().unwrap_or_else(|| id_of(&point.name, "p"))
}

/// A name as an id: lower case, hyphens, a letter in front.
fn id_of(name: &str, letter: &str) -> String {
    let mut id = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_lowercase() || c.is_ascii_digit() {
            id.push(c);
        } else if !id.is_empty() && !id.ends_with('-') {
            id.push('-');
        }
    }
    let id = id.trim_end_matches('-');
    let id = if id.starts_with(|c: char| c.is_ascii_lowercase()) {
        id.to_owned()
    } else {
        format!("{letter}-{id}")
    };
    id.trim_end_matches('-').chars().take(50).collect()
}

/// The TOML in the making.
struct Writer<'l> {
    loaded: &'l Loaded,
    transform: Similarity,
    wishes: &'l Wishes,
    /// Points that served the fit, by their names in the project.
    shared: BTreeSet<String>,
    taken: BTreeMap<&'static str, BTreeSet<String>>,
    bounded: bool,
    text: String,
    elements: usize,
    fates: Vec<Fate>,
}

impl<'l> Writer<'l> {
    fn new(loaded: &'l Loaded, transform: Similarity, wishes: &'l Wishes, shared: BTreeSet<String>) -> Self {
        let property = &loaded.project.property;
        let ids = |list: Vec<&ElementId>| list.into_iter().map(ToString::to_string).collect::<BTreeSet<_>>();
        let taken = BTreeMap::from([
            ("reference", ids(property.references.iter().map(|e| &e.id).collect())),
            ("level", ids(property.ground.levels.iter().map(|e| &e.id).collect())),
            ("break_line", ids(property.ground.break_lines.iter().map(|e| &e.id).collect())),
            ("building", ids(property.buildings.iter().map(|e| &e.id).collect())),
            ("surface", ids(property.surfaces.iter().map(|e| &e.id).collect())),
            ("paper_line", ids(property.paper_lines.iter().map(|e| &e.id).collect())),
            ("buried", ids(property.buried.iter().map(|e| &e.id).collect())),
            ("tree", ids(property.trees.iter().map(|e| &e.id).collect())),
        ]);
        let bounded = property.boundary.is_some();
        Self {
            loaded,
            transform,
            wishes,
            shared,
            taken,
            bounded,
            text: String::new(),
            elements: 0,
            fates: Vec::new(),
        }
    }

    fn place(&self, at: Point) -> String {
        place_text(&self.loaded.sources, self.transform.apply(at))
    }

    fn places(&self, line: &ImportedLine, closed: bool) -> String {
        let mut points = line.points.clone();
        // An outline closes by itself.
        if closed && points.len() > 3 && points.first() == points.last() {
            points.pop();
        }
        let places: Vec<String> = points.iter().map(|at| self.place(*at)).collect();
        format!("[{}]", places.join(", "))
    }

    fn height(&self, height: f64) -> String {
        let metres = height + self.wishes.raise;
        match self.loaded.project.property.length_unit {
            LengthUnit::Foot => format!("\"{:.3} ft\"", metres / FOOT),
            _ => format!("\"{metres:.3} m\""),
        }
    }

    /// Writes an element under an id that is free.
    fn add(&mut self, table: &'static str, name: &str, fields: &[(&str, String)]) -> String {
        let taken = self.taken.entry(table).or_default();
        let wanted = id_of(name, if table == "level" { "l" } else { "p" });
        let numbered = (2..).map(|n| format!("{wanted}-{n}"));
        let id =
            std::iter::once(wanted.clone()).chain(numbered).find(|id| !taken.contains(id)).unwrap_or(wanted);
        taken.insert(id.clone());
        let _ = write!(self.text, "\n[[{table}]]\nid = \"{id}\"\n");
        for (key, value) in fields {
            let _ = writeln!(self.text, "{key} = {value}");
        }
        self.elements += 1;
        format!("{} `{id}`", table.replace('_', " "))
    }

    fn level(&mut self, name: &str, at: Point, height: f64) -> String {
        let fields = [("at", self.place(at)), ("level", self.height(height))];
        self.add("level", name, &fields)
    }

    fn tell(&mut self, what: String, became: Result<String, String>) {
        self.fates.push(Fate { what, became });
    }

    fn point(&mut self, point: &ImportedPoint) -> Result<(), BringError> {
        let name = if point.name.is_empty() { &point.layer } else { &point.name };
        let what = if point.layer.is_empty() || point.name.is_empty() {
            format!("point {name}")
        } else {
            format!("point {name} ({})", point.layer)
        };
        let kind = point.kind.as_deref().map(|word| kind_of(word, self.loaded)).transpose()?;
        let known = known_name(point, self.wishes);
        let height = point.height;
        let at = [("at", self.place(point.at))];
        let became = match (kind, height) {
            (Some(Kind::Level), None) => Err("a level needs a height, and it has none".to_owned()),
            (Some(Kind::Level), Some(height)) => Ok(self.level(name, point.at, height)),
            (Some(Kind::Tree(plant)), _) => {
                let [at] = at;
                let mut became = self.add("tree", name, &[("plant", format!("\"{plant}\"")), at]);
                if let Some(height) = height {
                    became = format!("{became}, {}", self.level(name, point.at, height));
                }
                Ok(became)
            }
            (Some(Kind::Buried(kind)), _) => {
                let [at] = at;
                Ok(self.add("buried", name, &[("kind", format!("\"{}\"", kind.word())), at]))
            }
            (None | Some(Kind::Reference), _) if self.shared.contains(&known) => {
                let level = height.map(|height| self.level(&known, point.at, height));
                let already = format!("known as reference `{known}`");
                Ok(level.map_or(already.clone(), |level| format!("{already}, {level}")))
            }
            (None | Some(Kind::Reference), height) => {
                let mut became = self.add("reference", name, &at);
                if let Some(height) = height {
                    became = format!("{became}, {}", self.level(name, point.at, height));
                }
                Ok(became)
            }
            (Some(_), _) => {
                Err("its layer is mapped to something with an outline, and it is a point".to_owned())
            }
        };
        self.tell(what, became);
        Ok(())
    }

    fn line(&mut self, number: usize, line: &ImportedLine) -> Result<(), BringError> {
        let what = format!("line {number} ({})", line.layer);
        let Some(word) = line.kind.as_deref() else {
            self.tell(what, Err("nothing says what its layer is".to_owned()));
            return Ok(());
        };
        let kind = kind_of(word, self.loaded)?;
        let closed = line.closed || (line.points.len() > 3 && line.points.first() == line.points.last());
        let outline = self.places(line, closed);
        let quoted = |word: &str| format!("\"{word}\"");
        let open = || Err("it is not closed, and an outline is needed".to_owned());
        let became = match (kind, closed) {
            (Kind::BreakLine, _) => self.break_line(line),
            (Kind::Boundary, true) if self.bounded => Err("the project has a boundary already".to_owned()),
            (Kind::Boundary, true) => {
                let _ = write!(self.text, "\n[boundary]\noutline = {outline}\nknown = \"imported\"\n");
                self.bounded = true;
                self.elements += 1;
                Ok("the boundary".to_owned())
            }
            (Kind::Building, true) => Ok(self.add("building", &line.layer, &[("outline", outline)])),
            (Kind::Surface(kind), true) => {
                let fields = [("kind", quoted(kind.word())), ("outline", outline)];
                Ok(self.add("surface", &line.layer, &fields))
            }
            (Kind::PaperLine(kind), closed) => {
                let key = if closed { "outline" } else { "line" };
                Ok(self.add("paper_line", &line.layer, &[("kind", quoted(kind.word())), (key, outline)]))
            }
            (Kind::Buried(kind), _) => {
                let route = self.places(line, false);
                Ok(self.add("buried", &line.layer, &[("kind", quoted(kind.word())), ("route", route)]))
            }
            (Kind::Boundary | Kind::Building | Kind::Surface(_), false) => open(),
            (Kind::Reference | Kind::Level | Kind::Tree(_), _) => {
                Err("its layer is mapped to points, and it is a line".to_owned())
            }
        };
        self.tell(what, became);
        Ok(())
    }

    fn break_line(&mut self, line: &ImportedLine) -> Result<String, String> {
        let heights = line.heights.as_ref().ok_or("a break line needs heights, and it has none")?;
        let mut points = line.points.clone();
        let mut heights = heights.clone();
        if line.closed && points.first() != points.last() {
            points.extend(points.first().copied());
            heights.extend(heights.first().copied());
        }
        let places: Vec<String> = points.iter().map(|at| self.place(*at)).collect();
        let levels: Vec<String> = heights.iter().map(|height| self.height(*height)).collect();
        let fields =
            [("places", format!("[{}]", places.join(", "))), ("levels", format!("[{}]", levels.join(", ")))];
        Ok(self.add("break_line", &line.layer, &fields))
    }
}
