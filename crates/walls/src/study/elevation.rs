//! A wall seen from the front, developed along its lowest course, with every unit.

use groundwright_geometry::Point;
use groundwright_handoff::{Fill, Frame, Pattern, Pen, Shape, TextAnchor, Tone, Weight};
use groundwright_plan::ElementId;

use super::marks::{
    CAP, EARTH, GRID, PAD, Sheet, UNIT, UNIT_CUT, UNIT_SECOND, WORDS, rectangle, station_step, words,
};
use super::{PartRun, WallRun, WallStudy};
use crate::SteppedBase;
use crate::courses::Laid;

/// Longest row of an elevation; longer walls go on in rows below. [m]
const ROW: f64 = 11.0;
/// Room between rows. [m]
const GAP: f64 = 1.5;

/// Name of the frame of a wall's elevation.
pub fn elevation_frame(wall: &ElementId) -> Frame {
    Frame::Diagram(format!("elevation {wall}"))
}

/// The letter of a kind of unit: A the first of the stock's list, and so on; the corner unit comes last.
pub(crate) fn letter(kind: usize) -> char {
    char::from(b'A' + kind.min(25) as u8)
}

/// One row: a stretch of a part at a height of the sheet.
struct Row<'a> {
    part: &'a PartRun,
    base: &'a SteppedBase,
    /// Stations from the part's start. [m]
    from: f64,
    to: f64,
    /// What is added to a level to reach the sheet. [m]
    lift: f64,
}

impl Row<'_> {
    fn at(&self, station: f64, level: f64) -> Point {
        Point::new(station - self.from, level + self.lift)
    }

    fn holds(&self, station: f64) -> bool {
        station > self.from - 1e-6 && station < self.to + 1e-6
    }

    /// Level of the underside of a course, counted from the lowest of the part. [m]
    fn level(&self, course: f64, height: f64) -> f64 {
        self.base.panels.iter().map(|panel| panel.base).fold(f64::INFINITY, f64::min) + course * height
    }
}

/// Draws the elevation of a wall.
pub(crate) fn draw(study: &WallStudy<'_>, run: &WallRun<'_>, sheet: &mut Sheet) {
    let mut bottom = 0.0;
    for part in &run.parts {
        let Ok(base) = &part.base else { continue };
        let low = base.panels.iter().map(|panel| panel.pad_base).fold(f64::INFINITY, f64::min);
        let high = base.panels.iter().map(|panel| panel.top).fold(f64::NEG_INFINITY, f64::max);
        let count = (base.length / ROW).ceil().max(1.0) as usize;
        for i in 0..count {
            let share = |i: usize| base.length * i as f64 / count as f64;
            let lift = bottom - high;
            row(study, run, &Row { part, base, from: share(i), to: share(i + 1), lift }, sheet);
            bottom -= high - low + GAP;
        }
    }
}

fn row(study: &WallStudy<'_>, run: &WallRun<'_>, row: &Row<'_>, sheet: &mut Sheet) {
    let frame = elevation_frame(&run.wall.id);
    let element = &run.line.element;
    for panel in row.base.panels.iter().filter(|p| p.to > row.from && p.from < row.to) {
        let (from, to) = (panel.from.max(row.from), panel.to.min(row.to));
        let (a, b) = (row.at(from, panel.pad_base), row.at(to, panel.base));
        let outline = rectangle(a.x, a.y, b.x, b.y);
        let pen = Pen::solid(Weight::Thin, Tone::Earth);
        sheet.area(element, &PAD, &frame, &outline, (Some(pen), Some(Fill::Dotted(Tone::Earth))));
    }
    if let Some(Ok(laid)) = &row.part.laid {
        units(run, row, laid, &frame, sheet);
    }
    caps(run, row, &frame, sheet);
    layers(study, run, row, &frame, sheet);
    ground(run, row, &frame, sheet);
    numbers(study, run, row, &frame, sheet);
}

fn units(run: &WallRun<'_>, row: &Row<'_>, laid: &Laid, frame: &Frame, sheet: &mut Sheet) {
    let height = run.units.height;
    let element = &run.line.element;
    // A unit in the middle between two rows is drawn once.
    let last = row.to > row.base.length - 1e-6;
    let mine = |u: &&crate::courses::Unit| {
        let middle = f64::midpoint(u.base[0], u.base[1]);
        (middle >= row.from || row.from < 1e-6) && (middle < row.to || last)
    };
    for unit in laid.units.iter().filter(mine) {
        let level = row.level(f64::from(unit.course), height);
        let (a, b) = (row.at(unit.base[0], level), row.at(unit.base[1], level + height));
        let (layer, fill) = if unit.cut {
            (&UNIT_CUT, Some(Fill::Slanted(Tone::Remove)))
        } else if unit.colour > 0 {
            (&UNIT_SECOND, Some(Fill::Wash(Tone::Earth)))
        } else {
            (&UNIT, None)
        };
        let pen = Pen::solid(Weight::Thin, Tone::Ink);
        sheet.area(element, layer, frame, &rectangle(a.x, a.y, b.x, b.y), (Some(pen), fill));
        let middle = a.midpoint(b) - groundwright_geometry::Vec2::new(0.0, 0.02);
        if run.units.units.len() > 1 {
            let text = letter(unit.kind).to_string();
            sheet.put(element, &WORDS, frame, words(middle, &text, 1.6, TextAnchor::Middle));
        }
    }
}

/// Stretches of one top: (from, to, level of the top of the units).
pub(crate) fn tops(base: &SteppedBase) -> Vec<(f64, f64, f64)> {
    let mut all: Vec<(f64, f64, f64)> = Vec::new();
    for panel in &base.panels {
        match all.last_mut() {
            Some(last) if (last.2 - panel.top).abs() < 1e-6 => last.1 = panel.to,
            _ => all.push((panel.from, panel.to, panel.top)),
        }
    }
    all
}

/// Caps along a stretch; where the last would be less than half, the last two share what is left.
pub(crate) fn cap_pieces(from: f64, to: f64, length: f64) -> Vec<(f64, f64)> {
    let count = ((to - from) / length - 1e-9).ceil().max(1.0) as usize;
    let mut joints: Vec<f64> = (0..count).map(|i| from + i as f64 * length).chain([to]).collect();
    if count > 1 && to - joints[count - 1] <= length / 2.0 + 1e-9 {
        joints[count - 1] = f64::midpoint(joints[count - 2], to);
    }
    joints.windows(2).map(|pair| (pair[0], pair[1])).collect()
}

/// Layers of reinforcement as dashed lines at their joints.
fn layers(study: &WallStudy<'_>, run: &WallRun<'_>, row: &Row<'_>, frame: &Frame, sheet: &mut Sheet) {
    let element = &run.line.element;
    for found in &row.part.sections {
        let Some(both) = &found.reinforced else { continue };
        let (from, to) = (found.stretch.0 - row.part.from, found.stretch.1 - row.part.from);
        let (from, to) = (from.max(row.from), to.min(row.to));
        let middle = f64::midpoint(from, to);
        let panel = row.base.panels.iter().find(|p| p.from <= middle && middle <= p.to);
        let Some(panel) = panel.filter(|_| to > from) else { continue };
        for layer in &both.0.layers {
            let ends = [row.at(from, panel.base + layer.height), row.at(to, panel.base + layer.height)];
            sheet.line(element, &GRID, frame, &ends, Pen::of(Weight::Bold, Pattern::Dashed, Tone::New));
            let text = format!("grid {}", study.reader.length(layer.length));
            let at = row.at(middle, panel.base + layer.height + 0.02);
            let shape = Shape::Text {
                at,
                text,
                height_mm: 1.8,
                anchor: TextAnchor::Middle,
                rotation: None,
                tone: Tone::New,
            };
            sheet.put(element, &GRID, frame, shape);
        }
    }
}

fn caps(run: &WallRun<'_>, row: &Row<'_>, frame: &Frame, sheet: &mut Sheet) {
    let Some((length, height, _)) = run.units.cap else { return };
    for (from, to, top) in tops(row.base) {
        for (start, end) in cap_pieces(from, to, length) {
            if !row.holds(f64::midpoint(start, end)) {
                continue;
            }
            let (a, b) = (row.at(start, top), row.at(end, top + height));
            let pen = Pen::solid(Weight::Thin, Tone::Ink);
            let outline = rectangle(a.x, a.y, b.x, b.y);
            sheet.area(&run.line.element, &CAP, frame, &outline, (Some(pen), Some(Fill::Wash(Tone::Faint))));
        }
    }
}

/// The ground in front as a bold line, the wanted top as a dashed one.
fn ground(run: &WallRun<'_>, row: &Row<'_>, frame: &Frame, sheet: &mut Sheet) {
    let stations = row.part.levels.iter().map(|level| level.station).filter(|s| *s > row.from && *s < row.to);
    let all: Vec<f64> = std::iter::once(row.from).chain(stations).chain([row.to]).collect();
    let part = row.part;
    let cap = run.units.cap.map_or(0.0, |cap| cap.1);
    let foot: Vec<Point> = all.iter().map(|s| row.at(*s, part.foot_at(part.from + s))).collect();
    let top: Vec<Point> = all.iter().map(|s| row.at(*s, part.top_at(part.from + s) + cap)).collect();
    let element = &run.line.element;
    sheet.line(element, &EARTH, frame, &foot, Pen::solid(Weight::Bold, Tone::Earth));
    sheet.line(element, &EARTH, frame, &top, Pen::of(Weight::Medium, Pattern::Dashed, Tone::Earth));
}

/// Stations below, courses at the left, levels where they change.
fn numbers(study: &WallStudy<'_>, run: &WallRun<'_>, row: &Row<'_>, frame: &Frame, sheet: &mut Sheet) {
    let element = &run.line.element;
    let low = row.base.panels.iter().map(|panel| panel.pad_base).fold(f64::INFINITY, f64::min);
    let step = station_step(study.reader.system);
    let whole = |station: f64| row.part.from + station;
    let first = (whole(row.from) / step - 1e-9).ceil() as i64;
    let last = (whole(row.to) / step + 1e-9).floor() as i64;
    for i in first..=last {
        let station = i as f64 * step - row.part.from;
        let ends = [row.at(station, low - 0.05), row.at(station, low - 0.15)];
        sheet.line(element, &WORDS, frame, &ends, Pen::solid(Weight::Thin, Tone::Ink));
        let text = study.reader.length(i as f64 * step);
        sheet.put(element, &WORDS, frame, words(row.at(station, low - 0.3), &text, 2.2, TextAnchor::Middle));
    }
    let from_left = |level: f64| row.at(row.from, level) - groundwright_geometry::Vec2::new(0.08, 0.0);
    let here = row.base.panels.iter().find(|panel| panel.to > row.from + 1e-6);
    if let Some(panel) = here {
        for course in panel.first..panel.first + panel.courses {
            let level = row.level(course as f64 + 0.5, run.units.height) - 0.02;
            let text = (course + 1).to_string();
            sheet.put(element, &WORDS, frame, words(from_left(level), &text, 2.0, TextAnchor::Right));
        }
    }
    for panel in row.base.panels.iter().filter(|p| row.holds(p.from) || row.holds(p.to)) {
        let middle = f64::midpoint(panel.from.max(row.from), panel.to.min(row.to));
        let base = format!("base {}", study.reader.level(panel.base));
        sheet.put(
            element,
            &WORDS,
            frame,
            words(row.at(middle, panel.pad_base - 0.12), &base, 2.0, TextAnchor::Middle),
        );
    }
    let cap = run.units.cap.map_or(0.0, |cap| cap.1);
    for (from, to, top) in tops(row.base).into_iter().filter(|t| t.1 > row.from && t.0 < row.to) {
        let middle = f64::midpoint(from.max(row.from), to.min(row.to));
        let text = format!("top {}", study.reader.level(top + cap));
        sheet.put(
            element,
            &WORDS,
            frame,
            words(row.at(middle, top + cap + 0.08), &text, 2.2, TextAnchor::Middle),
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cap_is_a_sliver() {
        let pieces = cap_pieces(0.0, 1.05, 0.3);
        assert_eq!(pieces.len(), 4);
        assert!(pieces.iter().all(|(a, b)| b - a > 0.2), "{pieces:?}");
        assert_eq!(cap_pieces(0.0, 0.9, 0.3).len(), 3);
    }

    #[test]
    fn kinds_have_letters() {
        assert_eq!((letter(0), letter(3), letter(99)), ('A', 'D', 'Z'));
    }

    #[test]
    fn panels_of_one_top_share_their_caps() {
        let panel = |from: f64, to: f64, top: f64| crate::Panel {
            from,
            to,
            first: 0,
            courses: 3,
            base: 0.0,
            pad_base: -0.15,
            top,
            embedment: 0.15,
            exposed: 0.3,
        };
        let base = SteppedBase {
            columns: Vec::new(),
            panels: vec![panel(0.0, 1.0, 0.6), panel(1.0, 2.0, 0.6), panel(2.0, 3.0, 0.4)],
            length: 3.0,
            face: 0.0,
            exposed_face: 0.0,
            unit_equivalents: 0,
        };
        assert_eq!(tops(&base), vec![(0.0, 2.0, 0.6), (2.0, 3.0, 0.4)]);
    }
}
