//! Sections through walls and steps, to true proportions.

use groundwright_geometry::{Point, Vec2};
use groundwright_handoff::{Fill, Frame, Pattern, Pen, Shape, TextAnchor, Tone, Weight};
use groundwright_plan::{ElementId, ElementRef};

use super::marks::{CAP, EARTH, FORCE, GRID, PAD, STONE, Sheet, UNIT, WORDS, rectangle, words};
use super::words::{force, pressure};
use super::{FlightRun, SectionRun, WallRun, WallStudy};

/// Width of ground shown before and behind a wall. [m]
const SHOWN: f64 = 1.1;
/// Depth of the drainage stone below the top: 6 in. [m] Common practice, no source.
pub(crate) const STONE_BELOW_TOP: f64 = 0.1524;
/// Radius of the drain pipe behind the wall. [m]
const PIPE: f64 = 0.05;

/// Name of the frame of a wall's section or of a flight's.
pub fn section_frame(id: &ElementId) -> Frame {
    Frame::Diagram(format!("section {id}"))
}

/// Draws the section of a wall that says most: the tallest with layers, else the worst.
pub(crate) fn draw(study: &WallStudy<'_>, run: &WallRun<'_>, sheet: &mut Sheet) {
    let Some((_, worst)) = run.shown() else { return };
    let sketch = Sketch { study, run, worst, frame: section_frame(&run.wall.id), element: &run.line.element };
    sketch.stone(sheet);
    sketch.units(sheet);
    sketch.ground(sheet);
    sketch.layers(sheet);
    sketch.forces(sheet);
    sketch.dimensions(sheet);
}

struct Sketch<'a, 'p> {
    study: &'a WallStudy<'p>,
    run: &'a WallRun<'p>,
    worst: &'a SectionRun,
    frame: Frame,
    element: &'a ElementRef,
}

impl Sketch<'_, '_> {
    fn height(&self) -> f64 {
        self.worst.section.facing.total()
    }

    /// Back of the stack at a height above its base. [m]
    fn back(&self, y: f64) -> f64 {
        let facing = &self.worst.section.facing;
        facing.depth + facing.setback * y / facing.height
    }

    fn cap(&self) -> f64 {
        self.run.units.cap.map_or(0.0, |cap| cap.1)
    }

    fn stone(&self, sheet: &mut Sheet) {
        let section = &self.worst.section;
        let stone = self.study.project.practice.wall_drain_stone;
        let top = (self.height() - STONE_BELOW_TOP).max(0.1);
        let outline = [
            Point::new(self.back(0.0), 0.0),
            Point::new(self.back(0.0) + stone, 0.0),
            Point::new(self.back(top) + stone, top),
            Point::new(self.back(top), top),
        ];
        let fabric = Pen::of(Weight::Thin, Pattern::Dashed, Tone::Earth);
        sheet.area(
            self.element,
            &STONE,
            &self.frame,
            &outline,
            (Some(fabric), Some(Fill::Dotted(Tone::Faint))),
        );
        let pipe = Shape::Circle {
            centre: Point::new(self.back(0.0) + PIPE + 0.04, PIPE + 0.02),
            radius: PIPE,
            pen: Some(Pen::solid(Weight::Medium, Tone::Water)),
            fill: None,
        };
        sheet.put(self.element, &STONE, &self.frame, pipe);
        let (beyond, thick) = (section.pad.beyond, section.pad.thickness);
        let pad = rectangle(-beyond, -thick, section.facing.depth + beyond, 0.0);
        let pen = Pen::solid(Weight::Medium, Tone::Earth);
        sheet.area(self.element, &PAD, &self.frame, &pad, (Some(pen), Some(Fill::Dotted(Tone::Earth))));
    }

    fn units(&self, sheet: &mut Sheet) {
        let facing = &self.worst.section.facing;
        let pen = (Some(Pen::solid(Weight::Heavy, Tone::Ink)), Some(Fill::Slanted(Tone::Faint)));
        for course in 0..facing.courses {
            let (x, y) = (course as f64 * facing.setback, course as f64 * facing.height);
            let unit = rectangle(x, y, x + facing.depth, y + facing.height);
            sheet.area(self.element, &UNIT, &self.frame, &unit, pen);
        }
        if let Some((_, height, depth)) = self.run.units.cap {
            let x = (facing.courses - 1) as f64 * facing.setback + facing.depth - depth;
            let cap = rectangle(x, self.height(), x + depth, self.height() + height);
            sheet.area(self.element, &CAP, &self.frame, &cap, pen);
        }
    }

    fn ground(&self, sheet: &mut Sheet) {
        let section = &self.worst.section;
        let pen = Pen::solid(Weight::Bold, Tone::Earth);
        let foot = section.embedment;
        let face = section.facing.setback * foot / section.facing.height;
        let front = [Point::new(-SHOWN, foot), Point::new(face, foot)];
        sheet.line(self.element, &EARTH, &self.frame, &front, pen);
        let top = self.height();
        let from = Point::new(self.back(top), top);
        let far = SHOWN + self.study.project.practice.wall_drain_stone;
        let behind = [from, from + Vec2::new(far, far * section.slope.tan())];
        sheet.line(self.element, &EARTH, &self.frame, &behind, pen);
    }

    fn layers(&self, sheet: &mut Sheet) {
        let Some(both) = &self.worst.reinforced else { return };
        let facing = &self.worst.section.facing;
        for layer in &both.0.layers {
            let face = facing.setback * layer.height / facing.height;
            let ends = [Point::new(face + 0.05, layer.height), Point::new(face + layer.length, layer.height)];
            let pen = Pen::of(Weight::Bold, Pattern::Dashed, Tone::New);
            sheet.line(self.element, &GRID, &self.frame, &ends, pen);
        }
    }

    /// How far behind the face anything is drawn. [m]
    fn reach(&self) -> f64 {
        let layers = self.worst.reinforced.iter().flat_map(|both| &both.0.layers);
        let longest = layers.map(|layer| layer.length).fold(0.0, f64::max);
        longest.max(self.back(0.0) + self.study.project.practice.wall_drain_stone)
    }

    fn forces(&self, sheet: &mut Sheet) {
        let section = &self.worst.section;
        let reader = self.study.reader;
        let top = self.height();
        let live = section.load.whole();
        let pen = Pen::solid(Weight::Medium, Tone::Hazard);
        if live > 0.0 {
            for i in 0..4 {
                let x = self.back(top) + 0.2 + 0.25 * f64::from(i);
                let y = top + (x - self.back(top)) * section.slope.tan();
                let (head, tail) = (Point::new(x, y + 0.03), Point::new(x, y + 0.25));
                self.arrow(sheet, tail, head, pen);
            }
            let at = Point::new(self.back(top) + 0.2, top + 0.32 + section.slope.tan());
            sheet.text(
                self.element,
                &self.frame,
                at,
                &format!("load {}", pressure(reader, live)),
                TextAnchor::Left,
            );
        }
        if let Ok(gravity) = &self.worst.gravity {
            let y = gravity.overturning_moment / gravity.thrust.horizontal;
            let head = Point::new(self.back(y), y);
            let tail = head + Vec2::new(0.55, 0.12);
            self.arrow(sheet, tail, head, pen);
            let words = format!("thrust {}", force(reader, gravity.thrust.horizontal));
            sheet.text(self.element, &self.frame, tail + Vec2::new(0.04, 0.0), &words, TextAnchor::Left);
        }
    }

    fn arrow(&self, sheet: &mut Sheet, tail: Point, head: Point, pen: Pen) {
        sheet.line(self.element, &FORCE, &self.frame, &[tail, head], pen);
        let along = (head - tail) / head.distance(tail);
        let across = Vec2::new(-along.y, along.x);
        let barb = |side: f64| head - along * 0.07 + across * (side * 0.03);
        sheet.line(self.element, &FORCE, &self.frame, &[barb(1.0), head, barb(-1.0)], pen);
    }

    fn dimensions(&self, sheet: &mut Sheet) {
        let section = &self.worst.section;
        let reader = self.study.reader;
        let (whole, foot) = (self.height(), section.embedment);
        let mut dimension = |from: (f64, f64), to: (f64, f64), offset: f64, length: f64| {
            let shape = Shape::Dimension {
                from: Point::new(from.0, from.1),
                to: Point::new(to.0, to.1),
                offset,
                text: reader.dimension(length),
            };
            sheet.put(self.element, &WORDS, &self.frame, shape);
        };
        let x = -section.pad.beyond;
        dimension((x, foot), (x, whole + self.cap()), 0.35, whole + self.cap() - foot);
        dimension((x, 0.0), (x, foot), 0.35, foot);
        dimension((x, -section.pad.thickness), (x, 0.0), 0.35, section.pad.thickness);
        dimension(
            (x, -section.pad.thickness),
            (x, whole + self.cap()),
            0.75,
            whole + self.cap() + section.pad.thickness,
        );
        let (left, right) = (-section.pad.beyond, section.facing.depth + section.pad.beyond);
        let low = -section.pad.thickness;
        dimension((right, low), (left, low), 0.25, right - left);
        let at = Point::new(self.reach() + 0.25, whole * 0.55);
        sheet.text(self.element, &self.frame, at, &self.lines().join("\n"), TextAnchor::Left);
    }

    fn lines(&self) -> Vec<String> {
        let section = &self.worst.section;
        let reader = fine(self.study);
        let practice = &self.study.project.practice;
        let mut lines = vec![
            format!("at station {}", reader.length(self.worst.station)),
            format!("{} courses of {}", section.facing.courses, reader.depth(section.facing.height)),
            format!("setback {} a course", reader.depth(section.facing.setback)),
            format!("drainage stone {} wide in filter cloth", reader.depth(practice.wall_drain_stone)),
            "pipe to daylight, fall 1 %".to_owned(),
            format!("pad of compacted stone, {} thick", reader.depth(section.pad.thickness)),
        ];
        if let Some((tier, distance, wall)) = &self.worst.tier {
            lines.push(format!(
                "{wall} stands {} behind: {:.0} % of it counts",
                reader.length(*distance),
                tier.share * 100.0
            ));
        }
        if let Some(both) = &self.worst.reinforced {
            for layer in both.0.layers.iter().rev() {
                let course = (layer.height / section.facing.height).round();
                lines.push(format!(
                    "reinforcement on course {course:.0}, {} long",
                    reader.length(layer.length)
                ));
            }
        }
        lines
    }
}

/// A reader that sees quarters of an inch: setbacks are made in them.
fn fine(study: &WallStudy<'_>) -> groundwright_units::Reader {
    study.reader.with_inches(groundwright_units::InchFraction::Quarter)
}

/// Draws the section of a flight of steps.
pub(crate) fn steps(study: &WallStudy<'_>, flight: &FlightRun<'_>, sheet: &mut Sheet) {
    let FlightRun { steps, stair } = flight;
    let frame = section_frame(&steps.id);
    let (count, tread) = (steps.risers(), steps.tread.value);
    let riser = steps.rise() / count as f64;
    let reader = study.reader;
    let element = &stair.element;
    let mut points = vec![Point::new(-0.6, 0.0)];
    for i in 0..count {
        let (x, y) = (i as f64 * tread, i as f64 * riser);
        points.extend([Point::new(x, y), Point::new(x, y + riser)]);
        // Each tread lies on its own stone over a base.
        let deep = if i + 1 == count { 0.45 } else { tread + 0.05 };
        let stone = rectangle(x, y, x + deep, y + riser);
        let pen = (Some(Pen::solid(Weight::Medium, Tone::Ink)), Some(Fill::Slanted(Tone::Faint)));
        sheet.area(element, &UNIT, &frame, &stone, pen);
        let base = rectangle(x - 0.05, y - 0.1, x + deep, y);
        let pen = (Some(Pen::solid(Weight::Thin, Tone::Earth)), Some(Fill::Dotted(Tone::Earth)));
        sheet.area(element, &PAD, &frame, &base, pen);
    }
    let end = (count - 1) as f64 * tread;
    points.push(Point::new(end + 0.9, steps.rise()));
    sheet.line(element, &EARTH, &frame, &points, Pen::solid(Weight::Bold, Tone::Earth));
    let mut dimension = |from: Point, to: Point, offset: f64, text: String| {
        sheet.put(element, &WORDS, &frame, Shape::Dimension { from, to, offset, text });
    };
    let foot = Point::new(0.0, 0.0);
    dimension(foot, Point::new(0.0, riser), 0.2, reader.dimension(riser));
    if count > 1 {
        dimension(Point::new(0.0, riser), Point::new(tread, riser), 0.45, reader.dimension(tread));
    }
    dimension(
        Point::new(end + 0.6, 0.0),
        Point::new(end + 0.6, steps.rise()),
        -0.3,
        reader.dimension(steps.rise()),
    );
    let lines = [
        format!("{count} risers of {}", reader.depth(riser)),
        format!("treads of {}, nosings falling 1 % to the front", reader.depth(tread)),
        format!("foot {}, top {}", reader.level(steps.foot), reader.level(steps.top)),
        format!("{} wide, {}", reader.length(steps.width.value), steps.material),
    ];
    sheet.put(
        element,
        &WORDS,
        &frame,
        words(Point::new(0.15, -0.3), &lines.join("\n"), 2.2, TextAnchor::Left),
    );
}
