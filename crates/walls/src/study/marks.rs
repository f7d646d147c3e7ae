//! What walls, steps and paving draw in plan.

use groundwright_geometry::{BezPath, Curve, Point, Region, Vec2};
use groundwright_handoff::{
    Drawing, Fill, Frame, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight,
};
use groundwright_plan::ElementRef;
use groundwright_units::System;
use groundwright_units::constants::FOOT;

use super::{FlightRun, PartRun, WallRun, WallStudy, elevation, section_marks};
use crate::courses::Laid;

const PLAN: &[Drawing] = &[
    Drawing::Planting,
    Drawing::Transplants,
    Drawing::Ground,
    Drawing::Levels,
    Drawing::Drainage,
    Drawing::Sun,
    Drawing::Shadows,
    Drawing::Walls,
    Drawing::Lighting,
    Drawing::Night,
    Drawing::Irrigation,
    Drawing::Evenness,
];
const WALLS: &[Drawing] = &[Drawing::Walls];
const DETAIL: &[Drawing] = &[Drawing::WallDetail];

macro_rules! layers {
    ($($(#[$doc:meta])* $layer:ident = $name:literal, $title:literal, $on:ident, $order:literal;)*) => {
        $($(#[$doc])*
        pub static $layer: Layer = Layer { name: $name, title: $title, on: $on, order: $order };)*
        /// All layers of walls, steps and paving.
        pub static ALL: &[&Layer] = &[$(&$layer,)*];
    };
}

layers! {
    /// Paving to be laid.
    PAVING = "BUILT-PAVING", "Paving to be laid", PLAN, 111;
    /// Joints of the paving.
    JOINTS = "BUILT-PAVING-JOINT", "Joint of the paving", WALLS, 112;
    /// Steps.
    STEPS = "BUILT-STEPS", "Steps, rising with the arrow", PLAN, 113;
    /// Walls.
    WALL = "BUILT-WALL", "Retaining wall", PLAN, 130;
    /// Units of the lowest course.
    BASE = "BUILT-WALL-BASE", "Joint of the lowest course", WALLS, 131;
    /// Units of the highest course.
    TOP = "BUILT-WALL-TOP", "Joint of the highest course", WALLS, 132;
    /// Drain pipe behind the wall.
    PIPE = "BUILT-WALL-DRAIN", "Drain pipe behind the wall", WALLS, 133;
    /// Reach of reinforcement behind the face.
    REACH = "BUILT-WALL-GRID", "Reach of the reinforcement behind the face", WALLS, 135;
    /// Stations.
    STATION = "BUILT-WALL-STATION", "Running station", WALLS, 134;
    /// Tags.
    TAG = "BUILT-TAG", "Wall, steps, paving: tag", WALLS, 907;
    /// Units seen from the front.
    UNIT = "WALL-UNIT", "Unit", DETAIL, 400;
    /// Units of the second and further colours.
    UNIT_SECOND = "WALL-UNIT-SECOND", "Unit of another colour", DETAIL, 401;
    /// Cut units.
    UNIT_CUT = "WALL-UNIT-CUT", "Unit cut to length", DETAIL, 402;
    /// Caps.
    CAP = "WALL-CAP", "Cap", DETAIL, 403;
    /// Pad.
    PAD = "WALL-PAD", "Levelling pad", DETAIL, 390;
    /// Drainage stone.
    STONE = "WALL-STONE", "Drainage stone", DETAIL, 391;
    /// Ground lines.
    EARTH = "WALL-GROUND", "Finished ground", DETAIL, 410;
    /// Reinforcement.
    GRID = "WALL-GRID", "Reinforcement", DETAIL, 411;
    /// Forces.
    FORCE = "WALL-FORCE", "Force", DETAIL, 412;
    /// Dimensions and words.
    WORDS = "WALL-WORDS", "Words and dimensions", DETAIL, 420;
}

/// Marks as they are put down.
pub(crate) struct Sheet {
    pub marks: Vec<Mark>,
}

impl Sheet {
    pub fn put(&mut self, subject: &ElementRef, layer: &'static Layer, frame: &Frame, shape: Shape) {
        let ordinal = self.marks.len() as u32;
        self.marks.push(Mark { subject: subject.clone(), ordinal, layer, frame: frame.clone(), shape });
    }

    pub fn line(
        &mut self,
        subject: &ElementRef,
        layer: &'static Layer,
        frame: &Frame,
        points: &[Point],
        pen: Pen,
    ) {
        let shape = Shape::Path { path: path(points, false), pen: Some(pen), fill: None };
        self.put(subject, layer, frame, shape);
    }

    pub fn area(
        &mut self,
        subject: &ElementRef,
        layer: &'static Layer,
        frame: &Frame,
        points: &[Point],
        (pen, fill): (Option<Pen>, Option<Fill>),
    ) {
        self.put(subject, layer, frame, Shape::Path { path: path(points, true), pen, fill });
    }

    pub fn text(&mut self, subject: &ElementRef, frame: &Frame, at: Point, text: &str, anchor: TextAnchor) {
        self.put(subject, &WORDS, frame, words(at, text, 2.2, anchor));
    }
}

/// Level words.
pub(crate) fn words(at: Point, text: &str, height_mm: f64, anchor: TextAnchor) -> Shape {
    Shape::Text { at, text: text.to_owned(), height_mm, anchor, rotation: None, tone: Tone::Ink }
}

pub(crate) fn path(points: &[Point], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    for (i, at) in points.iter().enumerate() {
        if i == 0 {
            path.move_to(*at);
        } else {
            path.line_to(*at);
        }
    }
    if closed {
        path.close_path();
    }
    path
}

/// A rectangle from corner to corner.
pub(crate) fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> [Point; 4] {
    [Point::new(x0, y0), Point::new(x1, y0), Point::new(x1, y1), Point::new(x0, y1)]
}

/// Distance of the stations that are written. [m]
pub(crate) fn station_step(system: System) -> f64 {
    match system {
        System::Us => 5.0 * FOOT,
        System::Metric => 1.0,
    }
}

pub(crate) fn all(study: &WallStudy<'_>) -> Vec<Mark> {
    let mut sheet = Sheet { marks: Vec::new() };
    for (paving, area) in &study.pavings {
        pave(study, paving, area, &mut sheet);
    }
    for flight in &study.flights {
        steps(study, flight, &mut sheet);
        section_marks::steps(study, flight, &mut sheet);
    }
    for run in &study.walls {
        wall(study, run, &mut sheet);
        elevation::draw(study, run, &mut sheet);
        section_marks::draw(study, run, &mut sheet);
    }
    sheet.marks
}

fn wall(study: &WallStudy<'_>, run: &WallRun<'_>, sheet: &mut Sheet) {
    let element = &run.line.element;
    for part in run.line.footprint.parts() {
        let shape = Shape::Path {
            path: part.to_path(),
            pen: Some(Pen::solid(Weight::Heavy, Tone::Ink)),
            fill: Some(Fill::Wash(Tone::Ink)),
        };
        sheet.put(element, &WALL, &Frame::Plan, shape);
    }
    for part in &run.parts {
        if let Some(Ok(laid)) = &part.laid {
            joints(run, part, laid, sheet);
        }
        drain(run, part, sheet);
        reinforcement(run, part, sheet);
    }
    stations(study, run, sheet);
    let length: f64 = run.parts.iter().map(|part| part.to - part.from).sum();
    let courses = run.parts.iter().filter_map(|p| p.base.as_ref().ok()).flat_map(|b| &b.panels);
    let most = courses.map(|panel| panel.courses).max().unwrap_or(0);
    let lines = vec![
        run.wall.label.clone(),
        format!("{}, up to {most} courses", study.reader.length(length)),
        format!("shows up to {}", study.reader.length(run.tallest())),
    ];
    let anchors =
        [0.35, 0.5, 0.65].map(|share| run.line.behind(share * run.line.face.length(), run.line.depth / 2.0));
    let shape = Shape::Callout { lines, anchors: anchors.to_vec(), height_mm: 2.0, tone: Tone::Ink };
    sheet.put(element, &TAG, &Frame::Plan, shape);
}

/// Joints of the lowest and of the highest course, across the wall.
fn joints(run: &WallRun<'_>, part: &PartRun, laid: &Laid, sheet: &mut Sheet) {
    let Ok(base) = &part.base else { return };
    let setback = run.units.setback;
    for panel in &base.panels {
        let (first, last) = (panel.first, panel.first + panel.courses - 1);
        let inside = |station: f64| station > panel.from - 1e-6 && station < panel.to + 1e-6;
        for (course, layer, pattern) in [(first, &BASE, Pattern::Dashed), (last, &TOP, Pattern::Continuous)] {
            for unit in laid.units.iter().filter(|u| u.course as usize == course && inside(u.base[1])) {
                let station = part.from + unit.base[1];
                let back = (course - first) as f64 * setback;
                let ends = [run.line.behind(station, back), run.line.behind(station, back + run.line.depth)];
                let pen = Pen::of(Weight::Thin, pattern, Tone::Ink);
                sheet.line(&run.line.element, layer, &Frame::Plan, &ends, pen);
            }
        }
    }
}

fn drain(run: &WallRun<'_>, part: &PartRun, sheet: &mut Sheet) {
    let stations = run.line.stations((part.from, part.to));
    let points: Vec<Point> = stations.iter().map(|s| run.line.behind(*s, run.line.depth + 0.1)).collect();
    let pen = Pen::of(Weight::Medium, Pattern::DashDot, Tone::Water);
    sheet.line(&run.line.element, &PIPE, &Frame::Plan, &points, pen);
}

/// How far layers of reinforcement reach behind the face.
fn reinforcement(run: &WallRun<'_>, part: &PartRun, sheet: &mut Sheet) {
    for found in part.sections.iter().filter(|found| found.reinforced.is_some()) {
        let reach = part.layers_at(f64::midpoint(found.stretch.0, found.stretch.1));
        let stations = run.line.stations(found.stretch);
        let points: Vec<Point> = stations.iter().map(|s| run.line.behind(*s, reach)).collect();
        let pen = Pen::of(Weight::Medium, Pattern::Dashed, Tone::New);
        sheet.line(&run.line.element, &REACH, &Frame::Plan, &points, pen);
    }
}

fn stations(study: &WallStudy<'_>, run: &WallRun<'_>, sheet: &mut Sheet) {
    let step = station_step(study.reader.system);
    let count = (run.line.face.length() / step).floor().clamp(0.0, 2000.0) as usize;
    for i in 0..=count {
        let station = i as f64 * step;
        let ends = [run.line.face.point(station), run.line.behind(station, -0.15)];
        sheet.line(&run.line.element, &STATION, &Frame::Plan, &ends, Pen::solid(Weight::Thin, Tone::Ink));
        let at = run.line.behind(station, -0.32);
        let text = study.reader.length(station);
        sheet.put(&run.line.element, &STATION, &Frame::Plan, words(at, &text, 1.8, TextAnchor::Middle));
    }
}

fn steps(study: &WallStudy<'_>, flight: &FlightRun<'_>, sheet: &mut Sheet) {
    let FlightRun { steps, stair } = flight;
    let frame = Frame::Plan;
    let outline = stair.region.outlines().into_iter().next().unwrap_or_default();
    let pen = Pen::solid(Weight::Medium, Tone::Ink);
    sheet.area(&stair.element, &STEPS, &frame, &outline, (Some(pen), Some(Fill::Wash(Tone::Faint))));
    let across = Vec2::new(-stair.up.y, stair.up.x) * (stair.width / 2.0);
    for i in 0..steps.risers() {
        let middle = stair.from + stair.up * (i as f64 * steps.tread.value);
        let ends = [middle - across, middle + across];
        sheet.line(&stair.element, &STEPS, &frame, &ends, Pen::solid(Weight::Thin, Tone::Ink));
    }
    let (tail, head) = (stair.from + stair.up * 0.1, stair.from + stair.up * (stair.run - 0.05));
    let barb = |side: f64| head - stair.up * 0.18 + across * (side * 0.18 / across.hypot());
    sheet.line(&stair.element, &STEPS, &frame, &[tail, head], Pen::solid(Weight::Thin, Tone::Ink));
    let barbs = [barb(0.5), head, barb(-0.5)];
    sheet.line(&stair.element, &STEPS, &frame, &barbs, Pen::solid(Weight::Thin, Tone::Ink));
    let riser = steps.rise() / steps.risers() as f64;
    let lines = vec![
        steps.label.clone(),
        format!(
            "{} risers of {}, treads of {}",
            steps.risers(),
            study.reader.depth(riser),
            study.reader.depth(steps.tread.value)
        ),
    ];
    let anchors = vec![stair.from + stair.up * (stair.run / 2.0) + across * 0.6, stair.from + across * 0.6];
    sheet.put(
        &stair.element,
        &TAG,
        &frame,
        Shape::Callout { lines, anchors, height_mm: 2.0, tone: Tone::Ink },
    );
}

/// Beyond so many joints a plan shows none.
const MOST_JOINTS: f64 = 4000.0;

fn pave(
    study: &WallStudy<'_>,
    paving: &groundwright_plan::Paving,
    area: &groundwright_yard::Area,
    sheet: &mut Sheet,
) {
    let frame = Frame::Plan;
    let shape = Shape::Path {
        path: area.free.to_path(),
        pen: Some(Pen::solid(Weight::Medium, Tone::Ink)),
        fill: Some(Fill::Wash(Tone::Faint)),
    };
    sheet.put(&area.element, &PAVING, &frame, shape);
    if let Some(product) = study.project.stock.pavers.get(&paving.product) {
        let (length, width) = (product.size.0.max(product.size.1), product.size.0.min(product.size.1));
        if area.free.area() / (length * width) < MOST_JOINTS {
            bond(area, (length, width), sheet);
        }
    }
    let lines = vec![paving.label.clone(), study.reader.area(area.free.area())];
    if let Some((at, _)) = area.free.pole(0.05) {
        let shape = Shape::Callout { lines, anchors: vec![at], height_mm: 2.0, tone: Tone::Ink };
        sheet.put(&area.element, &TAG, &frame, shape);
    }
}

/// Joints in running bond along the longest side.
fn bond(area: &groundwright_yard::Area, (length, width): (f64, f64), sheet: &mut Sheet) {
    let ring = area.free.outlines().into_iter().next().unwrap_or_default();
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    let Some((a, b)) = sides.max_by(|p, q| p.0.distance(*p.1).total_cmp(&q.0.distance(*q.1))) else { return };
    let along = (*b - *a) / a.distance(*b);
    let across = Vec2::new(-along.y, along.x);
    let spans = |axis: Vec2| {
        let all = ring.iter().map(|p| (*p - *a).dot(axis));
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), s| (low.min(s), high.max(s)))
    };
    let ((x0, x1), (y0, y1)) = (spans(along), spans(across));
    let rows = |low: f64, step: f64, high: f64| (low / step).floor() as i64..=(high / step).ceil() as i64;
    let at = |x: f64, y: f64| *a + along * x + across * y;
    let mut put = |from: Point, to: Point| clipped(&area.free, from, to, &area.element, sheet);
    for row in rows(y0, width, y1) {
        let y = row as f64 * width;
        put(at(x0, y), at(x1, y));
        let shift = if row.rem_euclid(2) == 0 { 0.0 } else { length / 2.0 };
        for column in rows(x0 - shift, length, x1 - shift) {
            let x = column as f64 * length + shift;
            put(at(x, y), at(x, y + width));
        }
    }
}

fn clipped(region: &Region, from: Point, to: Point, element: &ElementRef, sheet: &mut Sheet) {
    let Ok(line) = Curve::polyline(&[from, to], false) else { return };
    for (start, end) in line.intervals_inside(region) {
        let ends = [line.point(start), line.point(end)];
        sheet.line(element, &JOINTS, &Frame::Plan, &ends, Pen::solid(Weight::Fine, Tone::Faint));
    }
}
