//! Marks of the site: the base of every plan, and existing conditions.

use std::collections::BTreeMap;

use groundwright_geometry::{BezPath, Curve, Point};
use groundwright_handoff::{
    Fill, Frame, Glyph, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight,
};
use groundwright_plan::{Action, BuriedKind, ElementRef, Fate, Kind, OpeningKind, PaperLineKind, SurfaceKind};
use groundwright_yard::Area;

use crate::layers;
use crate::study::SiteStudy;
use crate::tables::{BESIDE, name};

/// Flattening of drawn lines. [m]
const FINE: f64 = 0.005;

/// All marks of the site.
pub(crate) fn marks(study: &SiteStudy<'_>) -> Vec<Mark> {
    let mut pad = Pad::default();
    base(study, &mut pad);
    openings(study, &mut pad);
    paper(study, &mut pad);
    buried(study, &mut pad);
    above(study, &mut pad);
    trees(study, &mut pad);
    shrubs(study, &mut pad);
    overgrown(study, &mut pad);
    pad.marks
}

#[derive(Default)]
struct Pad {
    marks: Vec<Mark>,
    next: BTreeMap<(ElementRef, &'static str), u32>,
}

impl Pad {
    fn put(&mut self, subject: &ElementRef, layer: &'static Layer, shape: Shape) {
        let next = self.next.entry((subject.clone(), layer.name)).or_insert(0);
        let ordinal = *next;
        *next += 1;
        self.marks.push(Mark { subject: subject.clone(), ordinal, layer, frame: Frame::Plan, shape });
    }

    fn glyph(&mut self, subject: &ElementRef, layer: &'static Layer, glyph: Glyph, at: Point, tone: Tone) {
        self.put(subject, layer, Shape::Glyph { glyph, at, rotation: 0.0, tone });
    }

    fn tag(&mut self, subject: &ElementRef, lines: Vec<String>, anchors: Vec<Point>, tone: Tone) {
        if !anchors.is_empty() {
            self.put(subject, &layers::TAG, Shape::Callout { lines, anchors, height_mm: 2.0, tone });
        }
    }

    fn words(&mut self, subject: &ElementRef, layer: &'static Layer, at: Point, text: String, height_mm: f64) {
        let shape = Shape::Text { at, text, height_mm, anchor: TextAnchor::Middle, rotation: None, tone: Tone::Ink };
        self.put(subject, layer, shape);
    }
}

fn path_of(curve: &Curve) -> BezPath {
    let mut path = BezPath::new();
    for (i, at) in curve.flatten(FINE).into_iter().enumerate() {
        if i == 0 {
            path.move_to(at);
        } else {
            path.line_to(at);
        }
    }
    path
}

fn whole(area: &Area, pen: Option<Pen>, fill: Option<Fill>) -> Shape {
    Shape::Path { path: area.whole.to_path(), pen, fill }
}

/// Middle of an area for its name, if the area is not a mere strip.
fn middle(area: &Area) -> Option<Point> {
    area.whole.pole(0.05).filter(|(_, room)| *room > 0.6).map(|(at, _)| at)
}

fn base(study: &SiteStudy<'_>, pad: &mut Pad) {
    let plot = &study.yard.plot;
    let property = &study.project.property;
    for area in &plot.surfaces {
        let Some(surface) = property.surfaces.iter().find(|s| s.id == area.element.id) else { continue };
        let water = surface.kind == SurfaceKind::Water;
        let (layer, tone) = if water { (&layers::WATER, Tone::Water) } else { (&layers::SURFACE, Tone::Faint) };
        let fill = (surface.kind != SurfaceKind::Street).then_some(Fill::Wash(tone));
        pad.put(&area.element, layer, whole(area, Some(Pen::solid(Weight::Thin, Tone::Ink)), fill));
        if let Some(at) = middle(area).filter(|_| surface.kind != SurfaceKind::Curb) {
            let material = match surface.material.value.as_str() {
                "not stated" => String::new(),
                material => format!("\n{material}"),
            };
            pad.words(&area.element, &layers::BASE_NAME, at, format!("{}{material}", surface.kind), 1.8);
        }
    }
    for area in &plot.buildings {
        let pen = Some(Pen::solid(Weight::Heavy, Tone::Ink));
        pad.put(&area.element, &layers::BUILDING, whole(area, pen, Some(Fill::Slanted(Tone::Faint))));
        if let Some(at) = middle(area) {
            pad.words(&area.element, &layers::BASE_NAME, at, area.label.clone(), 3.0);
        }
    }
    if let Some(line) = &plot.boundary {
        let pen = Pen::of(Weight::Bold, Pattern::LongShortShort, Tone::Ink);
        pad.put(&line.element, &layers::BOUNDARY, Shape::Path { path: path_of_closed(&line.edge), pen: Some(pen), fill: None });
    }
}

fn path_of_closed(curve: &Curve) -> BezPath {
    let mut path = path_of(curve);
    path.close_path();
    path
}

/// Doors as signs, windows and vents as short heavy lines in the wall they stand in.
fn openings(study: &SiteStudy<'_>, pad: &mut Pad) {
    for spot in &study.yard.plot.openings {
        let Some(opening) = study.project.property.openings.iter().find(|o| o.id == spot.element.id) else { continue };
        let element = ElementRef::new(Kind::Building, &opening.building);
        let Some(building) = study.yard.plot.area(&element) else { continue };
        let foot = building.edge.nearest(spot.at);
        let along = building.edge.tangent(foot.station);
        let half = along * (opening.width.value / 2.0);
        let mut path = BezPath::new();
        path.move_to(foot.point - half);
        path.line_to(foot.point + half);
        let pen = match opening.kind {
            OpeningKind::Vent => Pen::of(Weight::Bold, Pattern::Dotted, Tone::Hazard),
            _ => Pen::solid(Weight::Bold, Tone::Ink),
        };
        pad.put(&spot.element, &layers::OPENING, Shape::Path { path, pen: Some(pen), fill: None });
        if opening.kind == OpeningKind::Door {
            let rotation = along.atan2();
            let shape = Shape::Glyph { glyph: Glyph::Door, at: foot.point, rotation, tone: Tone::Ink };
            pad.put(&spot.element, &layers::DOOR, shape);
        }
    }
}

fn paper(study: &SiteStudy<'_>, pad: &mut Pad) {
    let plot = &study.yard.plot;
    let kind = |element: &ElementRef| study.project.property.paper_lines.iter().find(|p| p.id == element.id).map(|p| p.kind);
    let pen = |kind: Option<PaperLineKind>| {
        let tone = if kind == Some(PaperLineKind::SightTriangle) { Tone::Hazard } else { Tone::Faint };
        Some(Pen::of(Weight::Medium, Pattern::Dashed, tone))
    };
    for route in &plot.paper_lines {
        let kind = kind(&route.element);
        pad.put(&route.element, &layers::PAPER, Shape::Path { path: path_of(&route.line), pen: pen(kind), fill: None });
        let words = kind.map_or_else(String::new, |k| k.to_string());
        let at = route.line.point(route.line.length() * 0.3);
        pad.words(&route.element, &layers::BURIED_LETTER, at, words, 1.8);
    }
    for area in &plot.paper_areas {
        let kind = kind(&area.element);
        pad.put(&area.element, &layers::PAPER, whole(area, pen(kind), None));
        if let Some(at) = middle(area) {
            let words = kind.map_or_else(String::new, |k| k.to_string());
            pad.words(&area.element, &layers::BURIED_LETTER, at, words, 1.8);
        }
    }
}

/// Letters of a buried line; colours of such marks differ from place to place, letters do not.
fn letters(kind: BuriedKind) -> &'static str {
    match kind {
        BuriedKind::IrrigationPipe | BuriedKind::IrrigationHead | BuriedKind::IrrigationValve => "IRR",
        BuriedKind::GardenCable => "LV",
        BuriedKind::DownspoutPipe | BuriedKind::Drain => "D",
        BuriedKind::Septic => "SEP",
        BuriedKind::Sewer => "S",
        BuriedKind::Gas => "G",
        BuriedKind::Water => "W",
        BuriedKind::Power => "E",
        BuriedKind::Telecom => "T",
    }
}

fn buried(study: &SiteStudy<'_>, pad: &mut Pad) {
    let plot = &study.yard.plot;
    let covered = crate::findings::inside(&plot.buildings);
    let find = |element: &ElementRef| study.project.property.buried.iter().find(|b| b.id == element.id);
    let tone = |kind: BuriedKind, fate: Fate| match (kind.is_service(), fate) {
        (true, _) => Tone::Hazard,
        (false, Fate::Cap) => Tone::Remove,
        _ => Tone::Water,
    };
    for route in &plot.buried_lines {
        let Some(buried) = find(&route.element) else { continue };
        let tone = tone(buried.kind, buried.fate);
        let pen = Pen::of(Weight::Thin, Pattern::DashDot, tone);
        pad.put(&route.element, &layers::BURIED, Shape::Path { path: path_of(&route.line), pen: Some(pen), fill: None });
        let length = route.line.length();
        let times = (length / 8.0).ceil().max(1.0) as usize;
        let cap = if buried.fate == Fate::Cap { " cap" } else { "" };
        for i in 0..times {
            let at = route.line.point(length * (i as f64 + 0.5) / times as f64);
            if !covered(at) {
                let words = format!("{}{cap}", letters(buried.kind));
                pad.words(&route.element, &layers::BURIED_LETTER, at, words, 1.6);
            }
        }
    }
    for spot in &plot.buried_spots {
        let Some(buried) = find(&spot.element) else { continue };
        pad.glyph(&spot.element, &layers::BURIED_SPOT, Glyph::Buried, spot.at, tone(buried.kind, buried.fate));
    }
}

fn above(study: &SiteStudy<'_>, pad: &mut Pad) {
    let plot = &study.yard.plot;
    for route in &plot.wires {
        let pen = Pen::of(Weight::Medium, Pattern::Dashed, Tone::Hazard);
        pad.put(&route.element, &layers::WIRE, Shape::Path { path: path_of(&route.line), pen: Some(pen), fill: None });
        let wire = study.project.property.overhead_wires.iter().find(|w| w.id == route.element.id);
        let height = wire.map_or_else(String::new, |w| study.reader.length(w.height.value));
        let at = route.line.point(route.line.length() * 0.4);
        pad.words(&route.element, &layers::BURIED_LETTER, at, format!("wire overhead {height}"), 1.6);
    }
    for spot in &plot.downspouts {
        pad.glyph(&spot.element, &layers::DOWNSPOUT, Glyph::Downspout, spot.at, Tone::Water);
    }
    for spot in &plot.utilities {
        pad.glyph(&spot.element, &layers::UTILITY, Glyph::Utility, spot.at, Tone::Hazard);
        let utility = study.project.property.utilities.iter().find(|u| u.id == spot.element.id);
        if let Some(utility) = utility {
            let screen = if utility.screen { ", screen" } else { "" };
            pad.tag(&spot.element, vec![format!("{}{screen}", utility.name)], vec![spot.at], Tone::Ink);
        }
    }
    for spot in &plot.viewpoints {
        pad.glyph(&spot.element, &layers::EYE, Glyph::Eye, spot.at, Tone::Ink);
    }
    for reference in &study.project.property.references {
        let element = ElementRef::new(Kind::Reference, &reference.id);
        pad.glyph(&element, &layers::REFERENCE, Glyph::Reference, reference.at.value, Tone::Ink);
        let shape = Shape::Text {
            at: reference.at.value + BESIDE,
            text: reference.id.to_string(),
            height_mm: 1.6,
            anchor: TextAnchor::Left,
            rotation: None,
            tone: Tone::Ink,
        };
        pad.put(&element, &layers::REFERENCE, shape);
    }
    if let Some(at) = plot.drop_place {
        let element = ElementRef::new(Kind::Note, &"drop-place".into());
        pad.glyph(&element, &layers::DROP, Glyph::DropPlace, at, Tone::Ink);
        pad.tag(&element, vec!["drop loads here".to_owned()], vec![at], Tone::Ink);
    }
}

fn look(action: Action) -> (&'static Layer, Glyph, Tone) {
    match action {
        Action::Keep => (&layers::TRUNK, Glyph::TrunkKept, Tone::Keep),
        Action::Move => (&layers::MOVE, Glyph::Dug, Tone::Move),
        Action::Remove => (&layers::REMOVE, Glyph::Removed, Tone::Remove),
    }
}

fn trees(study: &SiteStudy<'_>, pad: &mut Pad) {
    for (i, tree) in study.project.property.trees.iter().enumerate() {
        let element = ElementRef::new(Kind::Tree, &tree.id);
        let Some(at) = study.yard.plot.place_of(&element) else { continue };
        let (layer, glyph, tone) = look(tree.action);
        pad.glyph(&element, layer, glyph, at, tone);
        let crown = |pen| Shape::Circle { centre: at, radius: tree.crown.value / 2.0, pen: Some(pen), fill: None };
        match tree.action {
            Action::Keep => pad.put(&element, &layers::CROWN, crown(Pen::solid(Weight::Thin, tone))),
            _ => pad.put(&element, layer, crown(Pen::of(Weight::Fine, Pattern::Dotted, tone))),
        }
        let plant = name(study, tree.taxon.as_ref(), &tree.name);
        let trunk = study.reader.depth(tree.diameter.value);
        let lines = vec![format!("T{} {}", i + 1, tree.action), format!("{plant} {trunk}")];
        pad.tag(&element, lines, vec![at], tone);
    }
    for ring in &study.rings {
        let pen = Pen::of(Weight::Medium, Pattern::Dashed, Tone::Keep);
        let shape = Shape::Circle { centre: ring.at, radius: ring.radius, pen: Some(pen), fill: None };
        pad.put(&ring.element, &layers::PROTECTION, shape);
    }
}

fn shrubs(study: &SiteStudy<'_>, pad: &mut Pad) {
    for (i, shrub) in study.project.property.shrubs.iter().enumerate() {
        let element = ElementRef::new(Kind::Shrub, &shrub.id);
        let places: Vec<Point> =
            study.yard.plot.shrubs.iter().filter(|s| s.element == element).map(|s| s.at).collect();
        let (mut layer, mut glyph, tone) = look(shrub.action);
        if shrub.action == Action::Keep {
            (layer, glyph) = (&layers::SHRUB, Glyph::ShrubKept);
        }
        for at in &places {
            pad.glyph(&element, layer, glyph, *at, tone);
            let pen = Pen::of(Weight::Fine, Pattern::Continuous, tone);
            let shape = Shape::Circle { centre: *at, radius: shrub.spread.value / 2.0, pen: Some(pen), fill: None };
            pad.put(&element, layer, shape);
        }
        let count = if shrub.count > 1 { format!(" {} ×", shrub.count) } else { String::new() };
        let lines = vec![format!("S{} {}{count}", i + 1, shrub.action), name(study, shrub.taxon.as_ref(), &shrub.name)];
        pad.tag(&element, lines, places, tone);
    }
}

fn overgrown(study: &SiteStudy<'_>, pad: &mut Pad) {
    for (i, area) in study.yard.plot.overgrown.iter().enumerate() {
        let pen = Pen::of(Weight::Thin, Pattern::Dashed, Tone::Remove);
        pad.put(&area.element, &layers::OVERGROWN, whole(area, Some(pen), Some(Fill::Slanted(Tone::Remove))));
        let weed = study.project.property.overgrown.iter().find(|o| o.id == area.element.id);
        let words = weed.map_or_else(String::new, |o| name(study, o.taxon.as_ref(), &o.name));
        if let Some((at, _)) = area.whole.pole(0.05) {
            let lines = vec![format!("W{} clear {}", i + 1, study.reader.area(area.whole.area())), words];
            pad.tag(&area.element, lines, vec![at], Tone::Remove);
        }
    }
}
