//! What lights draw: the plan by zones, the light on the ground, one-line diagrams.

use groundwright_geometry::{BezPath, Point, Point3, RegionIndex, Surface, Vec2};
use groundwright_handoff::{
    Drawing, Fill, Frame, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight,
};
use groundwright_plan::{ElementRef, LightRole};

use super::{LampRun, LightStudy, TransformerRun, diagram};

const PLAN: &[Drawing] = &[Drawing::Lighting];
const NIGHT: &[Drawing] = &[Drawing::Night];
const BOTH: &[Drawing] = &[Drawing::Lighting, Drawing::Night];
const DETAIL: &[Drawing] = &[Drawing::Circuits];

macro_rules! layers {
    ($($(#[$doc:meta])* $layer:ident = $name:literal, $title:literal, $on:ident, $order:literal;)*) => {
        $($(#[$doc])*
        pub static $layer: Layer = Layer { name: $name, title: $title, on: $on, order: $order };)*
        /// All layers of lights.
        pub static ALL: &[&Layer] = &[$(&$layer,)*];
    };
}

layers! {
    /// Trench of the cable.
    TRENCH = "LIGHT-TRENCH", "Cable in the ground", PLAN, 700;
    /// Sleeve.
    SLEEVE = "LIGHT-SLEEVE", "Sleeve under paving", PLAN, 701;
    /// Aim.
    AIM = "LIGHT-AIM", "Aim of a light", PLAN, 702;
    /// Lights that point up or across.
    UP = "LIGHT-UP", "Light, aimed", BOTH, 710;
    /// Lights that point down.
    DOWN = "LIGHT-DOWN", "Light, down", BOTH, 711;
    /// Transformers.
    TRANSFORMER = "LIGHT-TRANSFORMER", "Transformer", PLAN, 712;
    /// Illuminance.
    LUX = "LIGHT-LUX", "Equal illuminance of the ground, lx", NIGHT, 705;
    /// Numbers of lights.
    TAG = "LIGHT-TAG", "Light: number and zone", PLAN, 909;
    /// Cables of a diagram.
    CABLE = "CIRCUIT-CABLE", "Cable", DETAIL, 400;
    /// Lamps of a diagram.
    LAMP = "CIRCUIT-LAMP", "Lamp", DETAIL, 401;
    /// Words of a diagram.
    WORDS = "CIRCUIT-WORDS", "Words", DETAIL, 402;
}

/// Radius at which a light is drawn. [m]
const SIZE: f64 = 0.16;
/// Longest arrow towards what is aimed at. [m]
const ARROW: f64 = 1.4;
/// Least illuminance of the map, below which the ground counts as dark. [lx]
const DARK: f64 = 0.01;
/// Shorter lines of equal light are left out. [m]
const SPECK: f64 = 3.0;

/// Marks as they are put down.
pub(super) struct Sheet {
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
        self.put(
            subject,
            layer,
            frame,
            Shape::Path { path: path(points, false), pen: Some(pen), fill: None },
        );
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

    pub fn disc(
        &mut self,
        subject: &ElementRef,
        layer: &'static Layer,
        frame: &Frame,
        centre: Point,
        radius: f64,
    ) {
        let (pen, fill) = (Some(Pen::solid(Weight::Medium, Tone::Ink)), Some(Fill::Full(Tone::Ink)));
        self.put(subject, layer, frame, Shape::Circle { centre, radius, pen, fill });
    }
}

/// Level words.
pub(super) fn words(at: Point, text: &str, height_mm: f64, anchor: TextAnchor) -> Shape {
    Shape::Text { at, text: text.to_owned(), height_mm, anchor, rotation: None, tone: Tone::Ink }
}

fn path(points: &[Point], closed: bool) -> BezPath {
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

pub(super) fn all(study: &LightStudy<'_>) -> Vec<Mark> {
    let mut sheet = Sheet { marks: Vec::new() };
    for run in &study.transformers {
        transformer(run, &mut sheet);
        diagram::draw(study, run, &mut sheet);
    }
    for lamp in &study.lamps {
        light(lamp, &mut sheet);
    }
    tags(study, &mut sheet);
    lux(study, &mut sheet);
    sheet.marks
}

fn transformer(run: &TransformerRun<'_>, sheet: &mut Sheet) {
    let element = run.element();
    for stretch in &run.trench.stretches {
        let (layer, pen): (&'static Layer, _) = if stretch.sleeve {
            (&SLEEVE, Pen::solid(Weight::Heavy, Tone::Hazard))
        } else {
            (&TRENCH, Pen::of(Weight::Medium, Pattern::DashDot, Tone::Hazard))
        };
        sheet.line(&element, layer, &Frame::Plan, &[stretch.ends.0, stretch.ends.1], pen);
    }
    let (x, y) = (run.at.x, run.at.y);
    let corners = [
        Point::new(x - 0.3, y - 0.2),
        Point::new(x + 0.3, y - 0.2),
        Point::new(x + 0.3, y + 0.2),
        Point::new(x - 0.3, y + 0.2),
    ];
    let (pen, fill) = (Some(Pen::solid(Weight::Heavy, Tone::Ink)), Some(Fill::Wash(Tone::Hazard)));
    sheet.area(&element, &TRANSFORMER, &Frame::Plan, &corners, (pen, fill));
    let load = run.design.as_ref().map_or(String::new(), |d| format!("{:.0} VA", d.loading.load));
    let name = run.product.map_or(String::new(), |product| format!("{:.0} VA", product.rating));
    let lines = vec![run.transformer.label.clone(), format!("{load} of {name}")];
    let shape = Shape::Callout { lines, anchors: vec![run.at], height_mm: 2.0, tone: Tone::Ink };
    sheet.put(&element, &TAG, &Frame::Plan, shape);
}

/// A light that points down is a ring with a dot; an aimed one a disc with an arrow.
fn light(lamp: &LampRun<'_>, sheet: &mut Sheet) {
    let element = lamp.element();
    let at = lamp.place();
    let pen = Pen::solid(Weight::Medium, Tone::Ink);
    if matches!(lamp.light.role, LightRole::Path | LightRole::Step | LightRole::Down) {
        let ring = Shape::Circle { centre: at, radius: SIZE, pen: Some(pen), fill: None };
        sheet.put(&element, &DOWN, &Frame::Plan, ring);
        sheet.disc(&element, &DOWN, &Frame::Plan, at, SIZE * 0.3);
    } else {
        sheet.disc(&element, &UP, &Frame::Plan, at, SIZE * 0.75);
    }
    let way = Point::new(lamp.target.x, lamp.target.y) - at;
    if way.hypot() > 0.3 {
        let unit = way / way.hypot();
        let end = at + unit * way.hypot().min(ARROW);
        let side = Vec2::new(-unit.y, unit.x) * 0.1;
        sheet.line(&element, &AIM, &Frame::Plan, &[at, end], Pen::solid(Weight::Thin, Tone::Ink));
        let head = [end - unit * 0.22 + side, end, end - unit * 0.22 - side];
        sheet.line(&element, &AIM, &Frame::Plan, &head, Pen::solid(Weight::Thin, Tone::Ink));
    }
}

/// One tag for the lights of an instruction.
fn tags(study: &LightStudy<'_>, sheet: &mut Sheet) {
    for light in &study.project.design.lighting.lights {
        let own: Vec<&LampRun<'_>> = study.lamps.iter().filter(|lamp| lamp.light.id == light.id).collect();
        let (Some(first), Some(last)) = (own.first(), own.last()) else { continue };
        let numbers =
            if own.len() == 1 { first.tag() } else { format!("L{}–{}", first.number, last.number) };
        let zone = study.zones.get(first.zone).map_or("", |zone| zone.label.as_str());
        let lines = vec![format!("{numbers} {}", light.label), zone.to_owned()];
        let anchors = own.iter().map(|lamp| lamp.place()).collect();
        let shape = Shape::Callout { lines, anchors, height_mm: 1.8, tone: Tone::Ink };
        sheet.put(&first.element(), &TAG, &Frame::Plan, shape);
    }
}

/// Lines of equal illuminance: 0.1, 0.3, 1, 3, 10, 30, … lx, half powers of ten rounded.
fn lux(study: &LightStudy<'_>, sheet: &mut Sheet) {
    let Some(first) = study.lamps.first() else { return };
    let points: Vec<Point3> = study
        .night
        .map
        .places
        .iter()
        .map(|(at, lux)| Point3::new(at.x, at.y, lux.max(DARK).log10()))
        .collect();
    let Ok(surface) = Surface::from_levels(&points, &[]) else { return };
    let element = first.element();
    let buildings: Vec<RegionIndex> =
        study.yard.plot.buildings.iter().map(|building| RegionIndex::new(&building.whole)).collect();
    for line in surface.contours(0.5) {
        if line.level < -1.01 || line.course.len() < 3 {
            continue;
        }
        let half = (line.level * 2.0).round() as i32;
        let value = 10.0_f64.powi(half.div_euclid(2)) * if half.rem_euclid(2) == 1 { 3.0 } else { 1.0 };
        let weight = match half {
            ..=-1 => Weight::Fine,
            0..=1 => Weight::Thin,
            _ => Weight::Medium,
        };
        let mut course = line.course;
        course.extend(course.first().copied().filter(|_| line.closed));
        for part in outside(&course, &buildings) {
            if length(part) < SPECK {
                continue;
            }
            sheet.line(&element, &LUX, &Frame::Plan, part, Pen::solid(weight, Tone::Hazard));
            let at = part[part.len() / 3];
            let text = if value < 1.0 { format!("{value:.1}") } else { format!("{value:.0}") };
            sheet.put(&element, &LUX, &Frame::Plan, words(at, &text, 1.6, TextAnchor::Middle));
        }
    }
}

/// The parts of a line that lie outside of buildings.
fn outside<'l>(line: &'l [Point], buildings: &'l [RegionIndex]) -> impl Iterator<Item = &'l [Point]> {
    line.split(move |at| buildings.iter().any(|building| building.contains(*at)))
}

fn length(points: &[Point]) -> f64 {
    points.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}
