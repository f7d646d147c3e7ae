//! What the ground draws: levels, contours, cut and fill, the ways of water, drains.

use std::collections::BTreeSet;

use groundwright_geometry::{BezPath, Curve, Point, Point3, Region, RegionIndex, Surface, Vec2};
use groundwright_handoff::{
    Drawing, Fill, Frame, Glyph, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight,
};
use groundwright_plan::{ElementRef, Kind, Word};
use groundwright_units::constants::{FOOT, INCH};
use groundwright_units::{Reader, System};

use crate::study::GroundStudy;
use crate::{Deep, Watershed, deeper, descend, overlay};

const LEVELS: &[Drawing] = &[Drawing::Levels];
const BOTH: &[Drawing] = &[Drawing::Levels, Drawing::Drainage];
const DRAINAGE: &[Drawing] = &[Drawing::Drainage];

macro_rules! layers {
    ($($(#[$doc:meta])* $layer:ident = $name:literal, $title:literal, $on:ident, $order:literal;)*) => {
        $($(#[$doc])*
        pub static $layer: Layer = Layer { name: $name, title: $title, on: $on, order: $order };)*
        /// All layers of the ground.
        pub static ALL: &[&Layer] = &[$(&$layer,)*];
    };
}

layers! {
    /// Where earth is taken.
    CUT = "GROUND-CUT", "Cut", LEVELS, 80;
    /// Where earth is brought.
    FILL = "GROUND-FILL", "Fill", LEVELS, 81;
    /// Contours of the ground as it is.
    CONTOUR_EXISTING = "GROUND-CONTOUR-EXISTING", "Contour, ground as it is", BOTH, 300;
    /// Contours of the ground as it shall be.
    CONTOUR_PROPOSED = "GROUND-CONTOUR-PROPOSED", "Contour, ground as it shall be", LEVELS, 301;
    /// Levels on contours.
    CONTOUR_LEVEL = "GROUND-CONTOUR-LEVEL", "Level on a contour", LEVELS, 302;
    /// Limits of grading.
    LIMIT = "GROUND-LIMIT", "Limit of grading", LEVELS, 310;
    /// Levels taken.
    SPOT = "GROUND-SPOT", "Level taken", LEVELS, 320;
    /// Levels taken, the numbers.
    SPOT_LEVEL = "GROUND-SPOT-LEVEL", "Level taken, number", LEVELS, 321;
    /// Gradings by name.
    GRADING_TAG = "GROUND-GRADING-TAG", "Grading, tag", LEVELS, 905;
    /// The way of water.
    FLOW = "GROUND-FLOW", "Way of the water", DRAINAGE, 330;
    /// Where water stands: over paving, under walls and doors.
    POND = "GROUND-POND", "Hollow without outlet", DRAINAGE, 103;
    /// Swales.
    SWALE = "GROUND-SWALE", "Swale", BOTH, 340;
    /// Drains.
    DRAIN = "GROUND-DRAIN", "Drain", DRAINAGE, 350;
    /// Basins and cleanouts.
    BASIN = "GROUND-BASIN", "Basin, cleanout", DRAINAGE, 355;
    /// Outlets.
    OUTLET = "GROUND-OUTLET", "Outlet", DRAINAGE, 356;
    /// Downspouts.
    SPOUT = "GROUND-DOWNSPOUT", "Downspout", DRAINAGE, 357;
    /// Tags of drains and outlets.
    DRAIN_TAG = "GROUND-DRAIN-TAG", "Drain, tag", DRAINAGE, 906;
}

/// A height for a reader: feet and hundredths, or metres and centimetres.
pub(crate) fn level_words(reader: &Reader, z: f64) -> String {
    match reader.system {
        System::Us => format!("{:.2}'", z / FOOT),
        System::Metric => format!("{z:.2}"),
    }
}

struct Pad {
    marks: Vec<Mark>,
    subject: ElementRef,
}

impl Pad {
    fn put(&mut self, subject: &ElementRef, layer: &'static Layer, shape: Shape) {
        let ordinal = self.marks.len() as u32;
        self.marks.push(Mark { subject: subject.clone(), ordinal, layer, frame: Frame::Plan, shape });
    }

    fn yard(&mut self, layer: &'static Layer, shape: Shape) {
        let subject = self.subject.clone();
        self.put(&subject, layer, shape);
    }
}

fn path(points: impl IntoIterator<Item = Point>, closed: bool) -> BezPath {
    let mut path = BezPath::new();
    for (i, at) in points.into_iter().enumerate() {
        if i == 0 {
            path.move_to(at);
        } else {
            path.line_to(at);
        }
    }
    if closed {
        path.close_path();
    }
    path
}

fn stroke(path: BezPath, pen: Pen) -> Shape {
    Shape::Path { path, pen: Some(pen), fill: None }
}

pub(crate) fn all(study: &GroundStudy<'_>) -> Vec<Mark> {
    let ground = &study.yard.ground;
    let (Some(existing), Some(proposed)) = (ground.existing_surface(), ground.proposed_surface()) else {
        return Vec::new();
    };
    let mut pad = Pad { marks: Vec::new(), subject: ElementRef::new(Kind::PaperLine, &"boundary".into()) };
    earth(study, existing, ground.graded_surface().unwrap_or(proposed), &mut pad);
    contours(study, existing, proposed, &mut pad);
    gradings(study, &mut pad);
    spots(study, &mut pad);
    water(study, proposed, &mut pad);
    drains(study, &mut pad);
    pad.marks
}

/// Cut and fill as washes, from a rake's depth on.
fn earth(study: &GroundStudy<'_>, existing: &Surface, proposed: &Surface, pad: &mut Pad) {
    if study.yard.ground.graded.is_empty() {
        return;
    }
    let limit = INCH / 2.0;
    let (mut cut, mut fill): (Vec<Region>, Vec<Region>) = (Vec::new(), Vec::new());
    overlay(existing, proposed, |polygon| {
        let keep = |list: &mut Vec<Region>, part: Vec<Deep>| {
            let mut points: Vec<Point> = part.into_iter().map(|(at, _)| at).collect();
            points.dedup_by(|a, b| a.distance(*b) < 2e-3);
            if points.len() > 1 && points[0].distance(points[points.len() - 1]) < 2e-3 {
                points.pop();
            }
            list.extend(Region::polygon(&points).ok());
        };
        if polygon.iter().any(|(_, depth)| *depth > limit) {
            keep(&mut cut, deeper(polygon, limit, true));
        }
        if polygon.iter().any(|(_, depth)| *depth < -limit) {
            keep(&mut fill, deeper(polygon, -limit, false));
        }
    });
    for (layer, parts, fill) in
        [(&CUT, cut, Fill::Slanted(Tone::Remove)), (&FILL, fill, Fill::Dotted(Tone::Earth))]
    {
        // Films of a few millimetres between the pieces would show as hairlines.
        let whole = Region::union_all(parts.iter().map(|r| r.grow(0.004)).collect::<Vec<_>>().iter());
        if !whole.is_empty() {
            let pen = Pen::of(Weight::Fine, Pattern::Dotted, Tone::Earth);
            pad.yard(layer, Shape::Path { path: whole.to_path(), pen: Some(pen), fill: Some(fill) });
        }
    }
}

fn contours(study: &GroundStudy<'_>, existing: &Surface, proposed: &Surface, pad: &mut Pad) {
    let unit = match study.reader.system {
        System::Us => FOOT,
        System::Metric => 0.5,
    };
    let (low, high) = proposed.range();
    // As many as can be read: half of the unit on gentle ground, several on steep.
    let steps = [0.5, 1.0, 2.0, 5.0, 10.0];
    let step = steps.into_iter().find(|step| (high - low) / (step * unit) <= 25.0).unwrap_or(20.0) * unit;
    let area = drawn(study, proposed);
    for contour in existing.contours(step) {
        let pen = Pen::of(Weight::Thin, Pattern::Dashed, Tone::Faint);
        for piece in within(&contour.course, contour.closed, &area) {
            pad.yard(&CONTOUR_EXISTING, stroke(path(piece, false), pen));
        }
    }
    for contour in proposed.contours(step) {
        let main = ((contour.level / step).round() as i64).rem_euclid(5) == 0;
        let weight = if main { Weight::Medium } else { Weight::Thin };
        for piece in within(&contour.course, contour.closed, &area) {
            label(study, contour.level, &piece, pad);
            pad.yard(&CONTOUR_PROPOSED, stroke(path(piece, false), Pen::solid(weight, Tone::Earth)));
        }
    }
}

/// Where contours are drawn: the lot and a strip about it, without buildings and the faces of walls.
fn drawn(study: &GroundStudy<'_>, ground: &Surface) -> RegionIndex {
    let plot = &study.yard.plot;
    let lot = match &plot.boundary {
        Some(boundary) => boundary.whole.grow(1.5),
        None => Region::rectangle(ground.bounds()).unwrap_or(Region::empty()),
    };
    let walls: Vec<Region> = plot.walls.iter().map(|wall| wall.footprint.grow(0.05)).collect();
    let taken = Region::union_all(plot.buildings.iter().map(|b| &b.whole).chain(&walls));
    let open = lot.difference(&taken);
    RegionIndex::new(&open)
}

/// The parts of a line inside the area that is drawn.
fn within(course: &[Point], closed: bool, area: &RegionIndex) -> Vec<Vec<Point>> {
    let mut all: Vec<Point> = course.iter().chain(course.first().filter(|_| closed)).copied().collect();
    all.dedup_by(|a, b| a.distance(*b) < 2e-3);
    let Ok(line) = Curve::polyline(&all, false) else { return Vec::new() };
    let inside = line.stretches_inside(area).into_iter().filter(|(from, to)| to - from > 0.05);
    inside.filter_map(|(from, to)| line.sub(from, to).ok()).map(|part| part.flatten(0.005)).collect()
}

/// A level in the middle of a contour that has room for it.
fn label(study: &GroundStudy<'_>, level: f64, piece: &[Point], pad: &mut Pad) {
    let length: f64 = piece.windows(2).map(|p| p[0].distance(p[1])).sum();
    if length < 4.0 {
        return;
    }
    let mut station = 0.0;
    for pair in piece.windows(2) {
        let step = pair[0].distance(pair[1]);
        if station + step >= length / 2.0 {
            let along = pair[1] - pair[0];
            let mut angle = along.atan2();
            // Upright for a reader who holds the sheet as it is drawn.
            if angle.cos() < 0.0 {
                angle += std::f64::consts::PI;
            }
            let text = level_words(&study.reader, level);
            pad.yard(
                &CONTOUR_LEVEL,
                Shape::Text {
                    at: pair[0].lerp(pair[1], (length / 2.0 - station) / step),
                    text,
                    height_mm: 1.6,
                    anchor: TextAnchor::Middle,
                    rotation: Some(angle),
                    tone: Tone::Earth,
                },
            );
            return;
        }
        station += step;
    }
}

fn gradings(study: &GroundStudy<'_>, pad: &mut Pad) {
    for graded in &study.yard.ground.graded {
        let pen = Pen::of(Weight::Medium, Pattern::DashDot, Tone::Earth);
        pad.put(&graded.element, &LIMIT, stroke(path(graded.rim.iter().copied(), true), pen));
        let found = study.project.design.ground.gradings.iter().find(|g| g.id == graded.element.id);
        if let Some(grading) = found.filter(|_| graded.element.kind == Kind::Grading) {
            let lines = vec![grading.label.clone()];
            let anchors = graded.rim.iter().step_by((graded.rim.len() / 6).max(1)).copied().collect();
            pad.put(
                &graded.element,
                &GRADING_TAG,
                Shape::Callout { lines, anchors, height_mm: 2.0, tone: Tone::Earth },
            );
        }
    }
}

fn spots(study: &GroundStudy<'_>, pad: &mut Pad) {
    let resolver = groundwright_yard::Resolver::new(study.project);
    for level in &study.project.property.ground.levels {
        let Some(at) = resolver.point(&level.at) else { continue };
        let element = ElementRef::new(Kind::SpotLevel, &level.id);
        let cross = Shape::Glyph { glyph: Glyph::SpotLevel, at, rotation: 0.0, tone: Tone::Ink };
        pad.put(&element, &SPOT, cross);
        let text = level_words(&study.reader, level.level.value);
        pad.put(
            &element,
            &SPOT_LEVEL,
            Shape::Text {
                at: at + Vec2::new(0.12, 0.06),
                text,
                height_mm: 1.5,
                anchor: TextAnchor::Left,
                rotation: None,
                tone: Tone::Ink,
            },
        );
    }
}

/// Distance between the starts of the water's ways. [m]
const DROPS: f64 = 4.0;
/// An arrow is this long at most; the way goes on below it. [m]
const ARROW: f64 = 2.4;

fn water(study: &GroundStudy<'_>, proposed: &Surface, pad: &mut Pad) {
    let Some(boundary) = &study.yard.plot.boundary else { return };
    let Some(bounds) = boundary.whole.bounds() else { return };
    let surface = study.runoff.as_ref().map_or(proposed, |runoff| &runoff.surface);
    let shed = Watershed::new(surface, &[]);
    let index = RegionIndex::new(&boundary.whole);
    let columns = (bounds.width() / DROPS).ceil() as usize;
    let rows = (bounds.height() / DROPS).ceil() as usize;
    for (column, row) in (0..columns).flat_map(|c| (0..rows).map(move |r| (c, r))) {
        let at = Point::new(
            bounds.x0 + (column as f64 + 0.5) * DROPS,
            bounds.y0 + (row as f64 + if column % 2 == 0 { 0.25 } else { 0.75 }) * DROPS,
        );
        let dry = matches!(study.covers.at(at), crate::Cover::Building);
        if dry || index.signed_distance(at) < 0.3 {
            continue;
        }
        let Some(course) = descend(surface, &shed, at) else { continue };
        let places = shortened(&course.places, ARROW);
        if places.len() > 1 && places[0].distance(places[places.len() - 1]) > 0.5 {
            pad.yard(&FLOW, stroke(arrow(&places), Pen::solid(Weight::Thin, Tone::Water)));
        }
    }
    let built = Region::union_all(study.yard.plot.buildings.iter().map(|b| &b.whole));
    for pond in study.runoff.iter().flat_map(|runoff| &runoff.ponds) {
        let pen = Some(Pen::of(Weight::Medium, Pattern::Dotted, Tone::Water));
        let shape = Shape::Path {
            path: wet(&shed, surface, pond).difference(&built).to_path(),
            pen,
            // Hatched: the edges of paving below stay visible, and in grey print it is no paving.
            fill: Some(Fill::Slanted(Tone::Water)),
        };
        pad.yard(&POND, shape);
    }
}

/// Where a hollow's water stands when it is full: inside of the line round its wet triangles, each
/// cut off where the ground comes out of the water.
fn wet(shed: &Watershed<'_>, surface: &Surface, pond: &crate::Pond) -> Region {
    let mut triangles: Vec<u32> = pond.hollow.corners.iter().flat_map(|&c| shed.fan(c)).copied().collect();
    triangles.sort_unstable();
    triangles.dedup();
    // A side that two triangles share is passed both ways, and is no shore.
    let mut shore: BTreeSet<(Bank, Bank)> = BTreeSet::new();
    for triangle in triangles {
        let banks = banks(surface, surface.triangles()[triangle as usize], pond.hollow.spill);
        for i in 0..banks.len() {
            let (from, to) = (banks[i], banks[(i + 1) % banks.len()]);
            if from != to && !shore.remove(&(to, from)) {
                shore.insert((from, to));
            }
        }
    }
    let (mut lakes, mut islands) = (Vec::new(), Vec::new());
    while let Some(&(start, mut at)) = shore.iter().next() {
        shore.remove(&(start, at));
        let mut points = vec![start.place(surface, pond.hollow.spill)];
        while at != start {
            let Some(&(_, next)) = shore.range((at, Bank::FIRST)..).next().filter(|(from, _)| *from == at)
            else {
                break;
            };
            shore.remove(&(at, next));
            points.push(at.place(surface, pond.hollow.spill));
            at = next;
        }
        let twice_area: f64 = (0..points.len())
            .map(|i| points[i].to_vec2().cross(points[(i + 1) % points.len()].to_vec2()))
            .sum();
        if twice_area > 0.0 { &mut lakes } else { &mut islands }.push(Region::traced(&points));
    }
    Region::union_all(&lakes).difference(&Region::union_all(&islands))
}

/// A corner of what is wet: a corner of the surface, or where the water meets an edge of it, which is
/// named by the edge's lower and higher index so that both its triangles mean the same place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Bank {
    Corner(u32),
    Edge(u32, u32),
}

impl Bank {
    const FIRST: Self = Self::Corner(0);

    fn place(self, surface: &Surface, level: f64) -> Point {
        let at = |corner: u32| surface.points()[corner as usize];
        match self {
            Self::Corner(corner) => at(corner).plan(),
            Self::Edge(a, b) => {
                let (a, b) = (at(a), at(b));
                a.plan().lerp(b.plan(), (level - a.z) / (b.z - a.z))
            }
        }
    }
}

/// The wet part of a triangle.
fn banks(surface: &Surface, corners: [u32; 3], level: f64) -> Vec<Bank> {
    let wet = |corner: u32| surface.points()[corner as usize].z <= level;
    let mut banks = Vec::with_capacity(4);
    for i in 0..3 {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        if wet(a) {
            banks.push(Bank::Corner(a));
        }
        if wet(a) != wet(b) {
            banks.push(Bank::Edge(a.min(b), a.max(b)));
        }
    }
    banks
}

/// The first metres of a course.
fn shortened(places: &[Point3], most: f64) -> Vec<Point> {
    let mut kept: Vec<Point> = places.first().map(|p| p.plan()).into_iter().collect();
    let mut length = 0.0;
    for pair in places.windows(2) {
        let step = pair[0].plan().distance(pair[1].plan());
        if length + step >= most {
            kept.push(pair[0].plan().lerp(pair[1].plan(), (most - length) / step));
            break;
        }
        kept.push(pair[1].plan());
        length += step;
    }
    kept
}

/// A line with a head at its end.
fn arrow(places: &[Point]) -> BezPath {
    let mut line = path(places.iter().copied(), false);
    let tip = places[places.len() - 1];
    let from = places.iter().rev().find(|p| p.distance(tip) > 0.15).copied().unwrap_or(places[0]);
    let along = (tip - from) / (tip - from).hypot().max(1e-9);
    let across = Vec2::new(-along.y, along.x);
    line.move_to(tip - along * 0.45 + across * 0.18);
    line.line_to(tip);
    line.line_to(tip - along * 0.45 - across * 0.18);
    line
}

fn drains(study: &GroundStudy<'_>, pad: &mut Pad) {
    for run in &study.swales {
        let element = ElementRef::new(Kind::Swale, &run.swale.id);
        let line: Vec<Point> = run.course.iter().map(|p| p.plan()).collect();
        if line.len() < 2 {
            continue;
        }
        pad.put(
            &element,
            &SWALE,
            stroke(arrow(&line), Pen::of(Weight::Heavy, Pattern::DashDot, Tone::Water)),
        );
        let words = format!("{}: {:.1} %", run.swale.id, run.slope * 100.0);
        tag(&element, vec![words], &line, pad);
    }
    for run in &study.drains {
        let element = ElementRef::new(Kind::Drain, &run.drain.id);
        let line: Vec<Point> = run.course.iter().map(|p| p.plan()).collect();
        if line.len() < 2 {
            continue;
        }
        pad.put(&element, &DRAIN, stroke(arrow(&line), Pen::of(Weight::Heavy, Pattern::Dashed, Tone::Water)));
        let size = study.reader.depth(run.drain.diameter.value);
        let ends = [run.drain.start.value, run.drain.end.value].map(|z| level_words(&study.reader, z));
        let words = vec![
            format!("{} {}, {:.1} %", size, run.drain.kind, run.slope * 100.0),
            format!("invert {} to {}", ends[0], ends[1]),
        ];
        tag(&element, words, &line, pad);
    }
    for spot in &study.yard.plot.downspouts {
        let glyph = Shape::Glyph { glyph: Glyph::Downspout, at: spot.at, rotation: 0.0, tone: Tone::Water };
        pad.put(&spot.element, &SPOUT, glyph);
    }
    for (element, at) in &study.fittings {
        let (layer, glyph) = match element.kind {
            Kind::Outlet => (&OUTLET, Glyph::Buried),
            _ => (&BASIN, Glyph::Utility),
        };
        pad.put(element, layer, Shape::Glyph { glyph, at: *at, rotation: 0.0, tone: Tone::Water });
        let outlet = study.project.design.ground.outlets.iter().find(|o| o.id == element.id);
        let words = match (element.kind, outlet) {
            (Kind::Outlet, Some(outlet)) => format!("{}: {}", outlet.id, outlet.kind.word()),
            _ => element.id.to_string(),
        };
        tag(element, vec![words], &[*at], pad);
    }
}

fn tag(element: &ElementRef, lines: Vec<String>, line: &[Point], pad: &mut Pad) {
    let anchors = if line.len() < 2 {
        line.to_vec()
    } else {
        [0.25, 0.5, 0.75].iter().map(|share| along(line, *share)).collect()
    };
    pad.put(element, &DRAIN_TAG, Shape::Callout { lines, anchors, height_mm: 2.0, tone: Tone::Water });
}

/// The place at a share of a line's length.
fn along(line: &[Point], share: f64) -> Point {
    let whole: f64 = line.windows(2).map(|p| p[0].distance(p[1])).sum();
    let mut left = whole * share;
    for pair in line.windows(2) {
        let step = pair[0].distance(pair[1]);
        if left <= step && step > 0.0 {
            return pair[0].lerp(pair[1], left / step);
        }
        left -= step;
    }
    line[line.len() - 1]
}
