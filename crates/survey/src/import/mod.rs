//! Imports: points and drawings of other programs, in open formats, with nothing taken silently.
//!
//! - In: the text or bytes of a file, its unit where the file does not say, a mapping of layers. Out:
//!   points, lines and surfaces in metres, and a report that lists every entity as taken, mapped or
//!   left, with the reason.
//! - Formats: points by lines (`point_list.rs`), GeoJSON (`geojson.rs`), DXF (`dxf_drawing.rs`), LandXML
//!   (`landxml.rs`).
//! - Curves come as lines of points within [`FLATNESS`].
//! - Not here: into which frame they belong (`fit_by_name` helps, `similarity.rs` computes).

mod dxf_drawing;
mod geojson;
mod landxml;
mod point_list;

use std::collections::BTreeMap;

use groundwright_geometry::Point;
use groundwright_units::constants::FOOT;

use crate::SurveyError;
use crate::similarity::{Fit, Shared, fit};

pub use dxf_drawing::read_dxf;
pub use geojson::read_geojson;
pub use landxml::read_landxml;
pub use point_list::{PointOrder, read_points};

/// Greatest distance of a curve from the points that stand for it. [m]
pub const FLATNESS: f64 = 0.002;

/// The US survey foot, 1200/3937 m, in which older surveys are drawn. Source: NIST Handbook 44,
/// appendix C (from memory). [m]
pub const SURVEY_FOOT: f64 = 1200.0 / 3937.0;

/// Coordinates beyond this are refused: no yard is wider, and they would be a unit mistaken. [m]
const FARTHEST: f64 = 1e8;

/// The unit of a file's coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FileUnit {
    /// Metres.
    Metre,
    /// International feet.
    Foot,
    /// US survey feet.
    SurveyFoot,
    /// Another, by its size. [m]
    Other(f64),
}

impl FileUnit {
    /// Its size. [m]
    pub fn metres(self) -> f64 {
        match self {
            Self::Metre => 1.0,
            Self::Foot => FOOT,
            Self::SurveyFoot => SURVEY_FOOT,
            Self::Other(size) => size,
        }
    }
}

/// Why a file cannot be imported at all.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ImportError {
    /// The file is not in the format.
    #[error("this is not {format}: {why}; save it again from the program it came from")]
    Format {
        /// The format.
        format: &'static str,
        /// What is wrong.
        why: String,
    },
    /// The unit is not known.
    #[error("{what}; say in which unit the file is: metres, feet or US survey feet")]
    Unit {
        /// What the file says of it.
        what: String,
    },
}

/// What became of an entity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Taken as it is.
    Taken,
    /// Taken, and mapped to a kind of element.
    Mapped(String),
    /// Left, and why.
    Left(String),
}

/// One line of the report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// What and which: `LWPOLYLINE 3`, `line 12: point 104`.
    pub what: String,
    /// Its layer, code or collection; empty where it has none.
    pub layer: String,
    /// What became of it.
    pub outcome: Outcome,
}

/// An imported point.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportedPoint {
    /// Name or number; empty where it has none.
    pub name: String,
    /// Its place. [m]
    pub at: Point,
    /// Its height. [m]
    pub height: Option<f64>,
    /// Code, layer or collection.
    pub layer: String,
    /// The kind of element that its layer is mapped to.
    pub kind: Option<String>,
}

/// An imported line or outline.
#[derive(Debug, Clone, PartialEq)]
pub struct ImportedLine {
    /// Its points, at least two. [m]
    pub points: Vec<Point>,
    /// Their heights where the file gives them. [m]
    pub heights: Option<Vec<f64>>,
    /// Whether it closes.
    pub closed: bool,
    /// Layer or collection.
    pub layer: String,
    /// The kind of element that its layer is mapped to.
    pub kind: Option<String>,
}

/// An imported triangulated surface.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ImportedSurface {
    /// Its name.
    pub name: String,
    /// Places with heights. [m]
    pub points: Vec<(Point, f64)>,
    /// Triangles as indices into the points.
    pub faces: Vec<[usize; 3]>,
}

/// Everything that a file gave.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Imported {
    /// Points.
    pub points: Vec<ImportedPoint>,
    /// Lines.
    pub lines: Vec<ImportedLine>,
    /// Surfaces.
    pub surfaces: Vec<ImportedSurface>,
    /// Every entity of the file.
    pub report: Vec<Entry>,
}

impl Imported {
    /// Numbers of entities taken, mapped and left.
    pub fn counts(&self) -> (usize, usize, usize) {
        self.report.iter().fold((0, 0, 0), |(taken, mapped, left), entry| match entry.outcome {
            Outcome::Taken => (taken + 1, mapped, left),
            Outcome::Mapped(_) => (taken, mapped + 1, left),
            Outcome::Left(_) => (taken, mapped, left + 1),
        })
    }

    fn note(&mut self, what: String, layer: &str, outcome: Outcome) {
        self.report.push(Entry { what, layer: layer.to_owned(), outcome });
    }

    fn take_point(&mut self, what: String, mut point: ImportedPoint, layers: &Layers) {
        let outcome = layers.outcome(&point.layer);
        if let Err(why) = within_reach([point.at], point.height) {
            return self.note(what, &point.layer.clone(), Outcome::Left(why));
        }
        if !matches!(outcome, Outcome::Left(_)) {
            point.kind = kind(&outcome);
            let layer = point.layer.clone();
            self.points.push(point);
            return self.note(what, &layer, outcome);
        }
        self.note(what, &point.layer.clone(), outcome);
    }

    fn take_line(&mut self, what: String, mut line: ImportedLine, layers: &Layers) {
        let layer = line.layer.clone();
        line.points.dedup_by(|a, b| (*a - *b).hypot() < 1e-6 && line.heights.is_none());
        let reach = within_reach(line.points.iter().copied(), None);
        let outcome = match (reach, line.points.len()) {
            (Err(why), _) => Outcome::Left(why),
            (Ok(()), 0 | 1) => Outcome::Left("it has no length".to_owned()),
            _ => layers.outcome(&layer),
        };
        if !matches!(outcome, Outcome::Left(_)) {
            line.kind = kind(&outcome);
            self.lines.push(line);
        }
        self.note(what, &layer, outcome);
    }
}

fn kind(outcome: &Outcome) -> Option<String> {
    if let Outcome::Mapped(kind) = outcome { Some(kind.clone()) } else { None }
}

fn within_reach(points: impl IntoIterator<Item = Point>, height: Option<f64>) -> Result<(), String> {
    let good = |value: f64| value.is_finite() && value.abs() < FARTHEST;
    let all = points.into_iter().all(|at| good(at.x) && good(at.y)) && height.is_none_or(good);
    if all { Ok(()) } else { Err("a coordinate is not finite or lies beyond 100,000 km".to_owned()) }
}

/// What layers mean: the kind of element for each, or that it is left out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Layers {
    /// Kind of element by layer, in any spelling of its case.
    pub kinds: BTreeMap<String, String>,
    /// Layers that are left out.
    pub left_out: Vec<String>,
}

impl Layers {
    fn outcome(&self, layer: &str) -> Outcome {
        let same = |other: &String| other.eq_ignore_ascii_case(layer);
        if self.left_out.iter().any(same) {
            return Outcome::Left("its layer is left out".to_owned());
        }
        let kind = self.kinds.iter().find(|(name, _)| same(name));
        kind.map_or(Outcome::Taken, |(_, kind)| Outcome::Mapped(kind.clone()))
    }
}

/// Fits imported points to known ones of the same names, on two or more shared points.
///
/// # Returns
/// The fit, and the names of the shared points in the order of its residuals.
///
/// # Errors
/// As [`fit`].
pub fn fit_by_name(
    imported: &[ImportedPoint],
    known: &BTreeMap<String, Point>,
    scaled: bool,
) -> Result<(Fit, Vec<String>), SurveyError> {
    let mut shared = Vec::new();
    let mut names = Vec::new();
    for point in imported {
        if let Some(target) = known.get(&point.name) {
            shared.push(Shared { source: point.at, target: *target, weight: 1.0 });
            names.push(point.name.clone());
        }
    }
    Ok((fit(&shared, scaled)?, names))
}
