//! What irrigation draws: the plan with heads, line and pipe, and how evenly the water falls.

use std::collections::BTreeMap;

use groundwright_geometry::{BezPath, Point, Point3, RegionIndex, Surface, Vec2};
use groundwright_handoff::{
    Drawing, Fill, Frame, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight,
};
use groundwright_plan::ElementRef;

use super::layout::Layout;
use super::pipes::Stretch;
use super::{AreaRun, WaterStudy, ZoneRun};
use crate::catch_grid::{CatchGrid, Head};

const PLAN: &[Drawing] = &[Drawing::Irrigation];
const EVEN: &[Drawing] = &[Drawing::Evenness];
const BOTH: &[Drawing] = &[Drawing::Irrigation, Drawing::Evenness];

macro_rules! layers {
    ($($(#[$doc:meta])* $layer:ident = $name:literal, $title:literal, $on:ident, $order:literal;)*) => {
        $($(#[$doc])*
        pub static $layer: Layer = Layer { name: $name, title: $title, on: $on, order: $order };)*
        /// All layers of irrigation.
        pub static ALL: &[&Layer] = &[$(&$layer,)*];
    };
}

layers! {
    /// Drip line.
    LINE = "WATER-DRIP-LINE", "Drip line", PLAN, 690;
    /// Laterals.
    LATERAL = "WATER-LATERAL", "Lateral", PLAN, 691;
    /// Main.
    MAIN = "WATER-MAIN", "Main under pressure", PLAN, 692;
    /// Sleeves.
    SLEEVE = "WATER-SLEEVE", "Sleeve under paving", PLAN, 693;
    /// Sectors of heads.
    SECTOR = "WATER-SECTOR", "Throw of a head", BOTH, 694;
    /// Heads.
    HEAD = "WATER-HEAD", "Head", BOTH, 695;
    /// Emitters at plants.
    EMITTER = "WATER-EMITTER", "Emitter or bubbler at a plant", PLAN, 696;
    /// Valve boxes, preventer, controller.
    VALVE = "WATER-VALVE", "Valve box, preventer, controller, supply", PLAN, 697;
    /// Depth of water.
    DEPTH = "WATER-DEPTH", "Equal depth of water, as a share of the mean", EVEN, 698;
    /// Sizes of pipe.
    SIZE = "WATER-SIZE", "Size of pipe", PLAN, 907;
    /// Tags of zones.
    TAG = "WATER-TAG", "Zone", PLAN, 908;
    /// Tags of zones of heads.
    HEAD_TAG = "WATER-HEAD-TAG", "Zone of heads", EVEN, 908;
}

/// Radius at which a head is drawn. [m]
const HEAD_SIZE: f64 = 0.12;
/// Radius at which an emitter is drawn. [m]
const EMITTER_SIZE: f64 = 0.05;
/// Shorter pieces of pipe get no size. [m]
const SHORT: f64 = 2.5;
/// Steps of an arc.
const ARC: f64 = 0.12;
/// Shares of the mean of which lines are drawn.
const SHARES: [f64; 5] = [0.5, 0.75, 1.0, 1.5, 2.0];
/// Most cells of the map of an area.
const CELLS: usize = 3000;

struct Sheet {
    marks: Vec<Mark>,
}

impl Sheet {
    fn put(&mut self, subject: &ElementRef, layer: &'static Layer, shape: Shape) {
        let ordinal = self.marks.len() as u32;
        self.marks.push(Mark { subject: subject.clone(), ordinal, layer, frame: Frame::Plan, shape });
    }

    fn line(
        &mut self,
        subject: &ElementRef,
        layer: &'static Layer,
        points: &[Point],
        closed: bool,
        pen: Pen,
    ) {
        let mut path = BezPath::new();
        for (i, at) in points.iter().enumerate() {
            if i == 0 { path.move_to(*at) } else { path.line_to(*at) }
        }
        if closed {
            path.close_path();
        }
        self.put(subject, layer, Shape::Path { path, pen: Some(pen), fill: None });
    }

    fn words(&mut self, subject: &ElementRef, layer: &'static Layer, at: Point, text: &str) {
        let shape = Shape::Text {
            at,
            text: text.to_owned(),
            height_mm: 1.6,
            anchor: TextAnchor::Middle,
            rotation: None,
            tone: Tone::Ink,
        };
        self.put(subject, layer, shape);
    }
}

pub(super) fn all(study: &WaterStudy<'_>) -> Vec<Mark> {
    let mut sheet = Sheet { marks: Vec::new() };
    for (i, run) in study.areas.iter().enumerate() {
        ground(study, i, run, &mut sheet);
    }
    if let Some(subject) = study.areas.first().map(AreaRun::subject) {
        pipes(study, &subject, &mut sheet);
        stations(study, &subject, &mut sheet);
    }
    tags(study, &mut sheet);
    sheet.marks
}

/// Heads, line and emitters of an area, and the depth of its water.
fn ground(study: &WaterStudy<'_>, i: usize, run: &AreaRun<'_>, sheet: &mut Sheet) {
    let subject = run.subject();
    match &run.layout {
        Layout::Heads { heads, .. } => heads.iter().for_each(|head| draw_head(&subject, head, sheet)),
        Layout::Lines { rows, own, .. } => {
            let pen = Pen::of(Weight::Fine, Pattern::Dashed, Tone::Water);
            for ring in &rows.rings {
                sheet.line(&subject, &LINE, ring, true, pen);
            }
            for block in &rows.blocks {
                block.rows.iter().for_each(|row| sheet.line(&subject, &LINE, row, false, pen));
                for joint in [&block.header, &block.footer] {
                    sheet.line(&subject, &LINE, joint, false, Pen::solid(Weight::Fine, Tone::Water));
                }
            }
            own.0.iter().for_each(|at| emitter(&subject, *at, sheet));
        }
        Layout::Points { places, .. } | Layout::Bubblers { places, .. } => {
            for (at, _) in places {
                emitter(&subject, *at, sheet);
            }
        }
        Layout::Existing | Layout::Nothing(_) => {}
    }
    if let Some(grid) = study.evens[i].as_ref().and_then(|even| even.grid.as_ref()) {
        depths(&subject, grid, &RegionIndex::new(&run.region), sheet);
    }
}

/// A head: a disc, and its sector as a thin line.
fn draw_head(subject: &ElementRef, head: &Head, sheet: &mut Sheet) {
    let pen = Pen::solid(Weight::Medium, Tone::Ink);
    let fill = Some(Fill::Full(Tone::Water));
    sheet.put(subject, &HEAD, Shape::Circle { centre: head.at, radius: HEAD_SIZE, pen: Some(pen), fill });
    let count = (head.sweep / ARC).ceil().max(2.0) as usize;
    let rim = |k: usize| {
        let angle = head.start + head.sweep * k as f64 / count as f64;
        head.at + Vec2::new(angle.cos(), angle.sin()) * head.throw
    };
    let mut outline: Vec<Point> = (0..=count).map(rim).collect();
    let whole = head.sweep > std::f64::consts::TAU - 0.02;
    if !whole {
        outline.insert(0, head.at);
    }
    sheet.line(subject, &SECTOR, &outline, !whole, Pen::solid(Weight::Fine, Tone::Water));
}

fn emitter(subject: &ElementRef, at: Point, sheet: &mut Sheet) {
    let pen = Pen::solid(Weight::Thin, Tone::Water);
    let ring = Shape::Circle {
        centre: at,
        radius: EMITTER_SIZE,
        pen: Some(pen),
        fill: Some(Fill::Full(Tone::Water)),
    };
    sheet.put(subject, &EMITTER, ring);
}

/// Lines of equal depth inside the area.
fn depths(subject: &ElementRef, grid: &CatchGrid, region: &RegionIndex, sheet: &mut Sheet) {
    let inside = grid.rates_inside();
    let mean = inside.iter().sum::<f64>() / inside.len().max(1) as f64;
    if mean <= 0.0 {
        return;
    }
    // A coarser grid draws as well.
    let step = ((inside.len() as f64 / CELLS as f64).sqrt().ceil() as usize).max(1);
    let mut points = Vec::new();
    for row in (0..grid.rows).step_by(step) {
        for column in (0..grid.columns).step_by(step) {
            let k = row * grid.columns + column;
            if grid.inside[k] {
                let at = grid.centre(column, row);
                points.push(Point3::new(at.x, at.y, grid.rates[k] / mean));
            }
        }
    }
    let Ok(surface) = Surface::from_levels(&points, &[]) else { return };
    for contour in surface.contours_at(&SHARES) {
        let length: f64 = contour.course.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
        if length < 1.0 {
            continue;
        }
        let dry = contour.level < 0.8;
        let tone = if dry { Tone::Hazard } else { Tone::Water };
        let weight = if contour.level < 0.6 { Weight::Medium } else { Weight::Thin };
        let mut course = contour.course;
        course.extend(course.first().copied().filter(|_| contour.closed));
        // Triangles between cells far apart lie outside the area: their lines are not drawn.
        let mut longest: &[Point] = &[];
        for part in course.split(|at| !region.contains(*at)).filter(|part| part.len() > 2) {
            sheet.line(subject, &DEPTH, part, false, Pen::solid(weight, tone));
            longest = if part.len() > longest.len() { part } else { longest };
        }
        if let Some(at) = longest.get(longest.len() / 3) {
            sheet.words(subject, &DEPTH, *at, &format!("{:.0} %", contour.level * 100.0));
        }
    }
}

fn pipes(study: &WaterStudy<'_>, subject: &ElementRef, sheet: &mut Sheet) {
    if let Ok(main) = &study.main {
        trench(subject, &MAIN, &main.stretches, Pen::solid(Weight::Heavy, Tone::Water), sheet);
        sizes(study, subject, &main.nodes, &main.sizes, sheet);
    }
    for zone in &study.zones {
        let (Some(plan), Some(run)) = (zone.plan(), zone.areas.first().map(|i| &study.areas[*i])) else {
            continue;
        };
        let subject = run.subject();
        trench(&subject, &LATERAL, &plan.stretches, Pen::solid(Weight::Thin, Tone::Water), sheet);
        sizes(study, &subject, &plan.nodes, &plan.sizes, sheet);
    }
}

fn trench(subject: &ElementRef, layer: &'static Layer, stretches: &[Stretch], pen: Pen, sheet: &mut Sheet) {
    for stretch in stretches {
        let ends = [stretch.ends.0, stretch.ends.1];
        sheet.line(subject, layer, &ends, false, pen);
        if stretch.sleeve {
            sheet.line(subject, &SLEEVE, &ends, false, Pen::of(Weight::Heavy, Pattern::Dashed, Tone::Ink));
        }
    }
}

/// The size of pipe once for each run of one size: at its longest piece.
fn sizes(
    study: &WaterStudy<'_>,
    subject: &ElementRef,
    nodes: &[crate::routing::RouteNode],
    sizes: &[usize],
    sheet: &mut Sheet,
) {
    let mut longest: BTreeMap<usize, (f64, Point)> = BTreeMap::new();
    for (i, node) in nodes.iter().enumerate() {
        let Some(after) = node.after else { continue };
        let middle = nodes[after].at.midpoint(node.at);
        let known = longest.entry(sizes[i]).or_insert((0.0, middle));
        if node.length > known.0 {
            *known = (node.length, middle);
        }
    }
    for (size, (length, at)) in longest {
        if let Some(pipe) = study.pipes.get(size).filter(|_| length > SHORT) {
            sheet.words(subject, &SIZE, at, &pipe.size);
        }
    }
}

/// Boxes, preventer, controller, supply.
fn stations(study: &WaterStudy<'_>, subject: &ElementRef, sheet: &mut Sheet) {
    let mut square = |subject: &ElementRef, at: Point, half: f64, lines: Vec<String>| {
        let corners = [(-half, -half), (half, -half), (half, half), (-half, half)]
            .map(|(dx, dy)| Point::new(at.x + dx, at.y + dy));
        let mut path = BezPath::new();
        path.move_to(corners[0]);
        corners[1..].iter().for_each(|corner| path.line_to(*corner));
        path.close_path();
        let (pen, fill) = (Some(Pen::solid(Weight::Medium, Tone::Ink)), Some(Fill::Wash(Tone::Water)));
        sheet.put(subject, &VALVE, Shape::Path { path, pen, fill });
        let shape = Shape::Callout { lines, anchors: vec![at], height_mm: 1.8, tone: Tone::Ink };
        sheet.put(subject, &TAG, shape);
    };
    for (b, valves) in study.boxes.iter().enumerate() {
        let tags: Vec<String> =
            study.zones.iter().filter(|zone| zone.valve_box == b).map(ZoneRun::tag).collect();
        if !tags.is_empty() {
            let own = valves.element.as_ref().unwrap_or(subject);
            square(own, valves.at, 0.25, vec![valves.label.clone(), tags.join(" ")]);
        }
    }
    if let Some((part, at)) = study.preventer {
        let told = study.project.design.irrigation.preventers.first();
        let name = told.map_or_else(|| part.name.clone(), |told| told.label.clone());
        square(subject, at, 0.15, vec![name]);
    }
    for spot in &study.yard.plot.controllers {
        let stations = study.controller.map_or(String::new(), |c| format!("{} stations", c.stations));
        square(&spot.element, spot.at, 0.15, vec!["irrigation controller".to_owned(), stations]);
    }
    if let Ok(source) = &study.source {
        let flow = study.reader.flow(source.usable.flow);
        square(subject, source.at, 0.12, vec!["supply".to_owned(), format!("{flow} may be used")]);
    }
}

/// One tag a zone, at its areas.
fn tags(study: &WaterStudy<'_>, sheet: &mut Sheet) {
    for zone in &study.zones {
        let Some(run) = zone.areas.first().map(|i| &study.areas[*i]) else { continue };
        let anchors: Vec<Point> = zone.areas.iter().filter_map(|i| study.areas[*i].middle()).collect();
        let flow = study.reader.flow(zone.plan().map_or(zone.flow, |plan| plan.flow));
        let lines = vec![format!("{} {}", zone.tag(), super::tables::method(zone)), flow];
        if !anchors.is_empty() {
            let shape = Shape::Callout { lines, anchors, height_mm: 2.0, tone: Tone::Ink };
            sheet.put(&run.subject(), &TAG, shape.clone());
            if run.is_sprayed() {
                sheet.put(&run.subject(), &HEAD_TAG, shape);
            }
        }
    }
}
