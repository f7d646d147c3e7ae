//! Setting out: flags along the bed lines, each with two tapes and with station and offset.
//!
//! - In: the placed yard, what the survey says of its points. Out: flags in the order of walking.
//! - A flag stands at every corner of a bed line and along its curves often enough that a hose laid
//!   through them is the line. Where the line follows a house, a walk or another bed's edge, nothing is
//!   set out: it is there.
//! - Ties are taken from corners of buildings and of the property line, since these can be found.
//! - Not here: which pair is best (`groundwright-survey::setting_out`).

use std::collections::BTreeMap;

use groundwright_geometry::{Curve, Point, Vec2};
use groundwright_handoff::{
    Cell, Column, Datum, Drawing, Frame, Layer, Mark as DrawnMark, Pen, Shape, Study, Table, TextAnchor,
    Tone, Weight, When,
};
use groundwright_plan::{ElementRef, Project};
use groundwright_survey::TapeAccuracy;
use groundwright_survey::setting_out::{BaseLine, Mark, Ties, best_ties};
use groundwright_units::Reader;
use groundwright_yard::{Area, Plot};

/// Most from flag to flag along a curve: 1.5 m, common practice, no source. [m]
const ALONG_CURVE: f64 = 1.5;
/// A turn of the line by more than this is a corner. [rad] 10 degrees.
const CORNER: f64 = std::f64::consts::PI / 18.0;
/// What lies this near to an edge that is there needs no flag. [m]
const THERE: f64 = 0.05;
/// A stretch bends when its middle leaves its chord by more than this. [m]
const STRAIGHT: f64 = 0.01;
/// Reach of the tape: 30 m, the usual long tape. [m]
pub const REACH: f64 = 30.0;

/// A flag's sign on the drawing. [m]
const FLAG_RADIUS: f64 = 0.08;

/// Flags of the set-out.
pub static FLAG: Layer =
    Layer { name: "SET-OUT-FLAG", title: "Flag: see setting out", on: &[Drawing::Ground], order: 906 };

/// A flag on a bed line.
#[derive(Debug, Clone, PartialEq)]
pub struct Flag {
    /// Its number, from 1, through the whole yard in the order of walking.
    pub number: usize,
    /// Whose line.
    pub element: ElementRef,
    /// Name of the bed.
    pub label: String,
    /// Along the line from its beginning. [m]
    pub station: f64,
    /// Where. [m]
    pub at: Point,
    /// The best two tapes, if two references reach it.
    pub ties: Option<Ties>,
    /// Station along the base line and offset, positive to its left. [m]
    pub from_base: Option<(f64, f64)>,
}

/// Flags with what they are taped from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SetOut {
    /// Flags in the order of walking.
    pub flags: Vec<Flag>,
    /// References, as the ties count them.
    pub references: Vec<Mark>,
    /// Names of the base line's ends.
    pub base: Option<[String; 2]>,
}

/// Flags of all bed lines.
pub fn set_out(project: &Project, plot: &Plot) -> SetOut {
    let references = references(project, plot);
    let base = base_line(plot, &references);
    let mut flags = Vec::new();
    for bed in &plot.beds {
        let there: Vec<&Curve> = plot
            .buildings
            .iter()
            .chain(plot.paved())
            .chain(plot.beds.iter().take_while(|other| other.element != bed.element))
            .map(|area| &area.edge)
            .collect();
        for station in stations(&bed.edge) {
            let at = bed.edge.point(station);
            if there.iter().any(|edge| (edge.nearest(at).point - at).hypot() < THERE) {
                continue;
            }
            flags.push(Flag {
                number: flags.len() + 1,
                element: bed.element.clone(),
                label: bed.label.clone(),
                station,
                at,
                ties: best_ties(at, &references, TapeAccuracy::USUAL, REACH).ok(),
                from_base: base.as_ref().map(|(line, _)| line.station_and_offset(at)),
            });
        }
    }
    SetOut { flags, references, base: base.map(|(_, names)| names) }
}

/// Corners of a line, and points along what bends between them.
fn stations(edge: &Curve) -> Vec<f64> {
    let length = edge.length();
    let mut corners = edge.corners(CORNER);
    if corners.first().is_none_or(|first| *first > 1e-6) {
        corners.insert(0, 0.0);
    }
    let mut all = Vec::new();
    for (i, from) in corners.iter().enumerate() {
        let to = corners.get(i + 1).copied().unwrap_or(length);
        all.push(*from);
        let chord = edge.point(*from).midpoint(edge.point(to));
        let bends = (edge.point(f64::midpoint(*from, to)) - chord).hypot() > STRAIGHT
            || (edge.point(from + (to - from) / 4.0) - edge.point(*from).lerp(edge.point(to), 0.25)).hypot()
                > STRAIGHT;
        if bends {
            let pieces = ((to - from) / ALONG_CURVE).ceil().max(1.0) as usize;
            all.extend((1..pieces).map(|k| from + (to - from) * k as f64 / pieces as f64));
        }
    }
    all
}

/// Corners of buildings and of the property line, with the survey's name and accuracy where it has one.
fn references(project: &Project, plot: &Plot) -> Vec<Mark> {
    let adjusted = project.readings.network.as_ref().map(|network| &network.cleaned);
    let surveyed = |at: Point| {
        let points = adjusted.map_or(&[][..], |adjusted| &adjusted.points);
        let found = points.iter().position(|point| point.determined && (point.at - at).hypot() < THERE)?;
        let name = &project.readings.book.network.points[found].name;
        let booked = project.readings.book.names.get(name).unwrap_or(name);
        let point = &points[found];
        Some(Mark { name: booked.clone(), at: point.at, cofactors: [point.qxx, point.qyy, point.qxy] })
    };
    let mut all: Vec<Mark> = Vec::new();
    for (area, word) in plot.buildings.iter().map(|a| (a, a.label.as_str())).chain(boundary(plot)) {
        for (i, station) in area.edge.corners(CORNER).into_iter().enumerate() {
            let at = area.edge.point(station);
            let plain = || Mark { name: format!("{word} corner {}", i + 1), at, cofactors: [0.0; 3] };
            let mark = surveyed(at).unwrap_or_else(plain);
            if all.iter().all(|known| (known.at - mark.at).hypot() > THERE) {
                all.push(mark);
            }
        }
    }
    all
}

fn boundary(plot: &Plot) -> impl Iterator<Item = (&Area, &str)> {
    plot.boundary.iter().map(|area| (area, "property"))
}

/// The longest wall between two references: the string line.
fn base_line(plot: &Plot, references: &[Mark]) -> Option<(BaseLine, [String; 2])> {
    let on_wall =
        |at: Point| plot.buildings.iter().any(|area| (area.edge.nearest(at).point - at).hypot() < THERE);
    let mut best: Option<(f64, &Mark, &Mark)> = None;
    for (i, a) in references.iter().enumerate() {
        for b in &references[i + 1..] {
            let length = (b.at - a.at).hypot();
            let wall = on_wall(a.at) && on_wall(b.at) && on_wall(a.at.midpoint(b.at));
            if wall && best.is_none_or(|(longest, _, _)| length > longest) {
                best = Some((length, a, b));
            }
        }
    }
    let (_, a, b) = best?;
    Some((BaseLine::new(a.at, b.at).ok()?, [a.name.clone(), b.name.clone()]))
}

/// The set-out as a study: its table, and its flags on the drawing of the ground.
#[derive(Debug, Clone)]
pub struct SetOutStudy {
    set_out: SetOut,
    reader: Reader,
}

/// Studies the set-out of the bed lines.
pub fn study(project: &Project, plot: &Plot) -> SetOutStudy {
    SetOutStudy { set_out: set_out(project, plot), reader: Reader::new(project.property.system) }
}

impl Study for SetOutStudy {
    fn tables(&self) -> Vec<Table> {
        if self.set_out.flags.is_empty() { Vec::new() } else { vec![self.table()] }
    }

    fn marks(&self, _when: When) -> Vec<DrawnMark> {
        let mut next: BTreeMap<&ElementRef, u32> = BTreeMap::new();
        let mut marks = Vec::new();
        for flag in &self.set_out.flags {
            let mut put = |shape: Shape| {
                let ordinal = next.entry(&flag.element).or_insert(0);
                let subject = flag.element.clone();
                marks.push(DrawnMark { subject, ordinal: *ordinal, layer: &FLAG, frame: Frame::Plan, shape });
                *ordinal += 1;
            };
            let pen = Some(Pen::solid(Weight::Fine, Tone::Ink));
            put(Shape::Circle { centre: flag.at, radius: FLAG_RADIUS, pen, fill: None });
            put(Shape::Text {
                at: flag.at + Vec2::new(1.5, 1.0) * FLAG_RADIUS,
                text: flag.number.to_string(),
                height_mm: 1.6,
                anchor: TextAnchor::Left,
                rotation: None,
                tone: Tone::Ink,
            });
        }
        marks
    }
}

impl SetOutStudy {
    fn table(&self) -> Table {
        let length = |value: f64| Cell::Datum(Datum::length(value));
        let row = |flag: &Flag| {
            let mut cells = vec![
                Cell::Text(flag.number.to_string()),
                Cell::Text(flag.label.clone()),
                length(flag.station),
            ];
            match &flag.ties {
                Some(ties) => {
                    let name = |i: usize| self.set_out.references[i].name.clone();
                    let [a, b] = ties.lengths;
                    cells.extend([
                        Cell::Text(name(ties.first)),
                        length(a),
                        Cell::Text(name(ties.second)),
                        length(b),
                    ]);
                    cells.push(Cell::Text(if ties.left { "left" } else { "right" }.to_owned()));
                    cells.push(Cell::Text(self.reader.dimension(ties.accuracy.major)));
                }
                None => cells.extend(std::iter::repeat_n(Cell::Empty, 6)),
            }
            let (station, offset) =
                flag.from_base.map_or((Cell::Empty, Cell::Empty), |(s, o)| (length(s), length(o)));
            cells.extend([station, offset]);
            cells
        };
        Table {
            key: "set-out",
            title: "Setting out the bed lines".to_owned(),
            columns: vec![
                Column::text("Flag", 0.5),
                Column::text("Bed", 1.3),
                Column::number("Along line", 0.9),
                Column::text("Tape from", 1.2),
                Column::number("Tape", 0.9),
                Column::text("and from", 1.2),
                Column::number("Tape", 0.9),
                Column::text("Side", 0.6),
                Column::number("±", 0.7),
                Column::number("Along base", 0.9),
                Column::number("Off base", 0.9),
            ],
            rows: self.set_out.flags.iter().map(row).collect(),
            notes: self.notes(),
        }
    }

    fn notes(&self) -> Vec<String> {
        let mut notes = vec![
            "Two tapes from the two references that fix the flag best; side is that of the line from the first to \
             the second. ± is one standard deviation of the flag on the ground, the tape's and the survey's."
                .to_owned(),
            "Flags stand at corners, and along curves at most 1.5 m (5 ft) apart; lay a hose through them. Where a \
             bed follows house, paving or another bed there is none."
                .to_owned(),
        ];
        if let Some([from, to]) = &self.set_out.base {
            notes.push(format!(
                "The base line runs from {from} to {to}; off base counts to its left, and below zero to its right."
            ));
        }
        notes.push("Have buried services marked before flags go into the ground.".to_owned());
        notes
    }
}
