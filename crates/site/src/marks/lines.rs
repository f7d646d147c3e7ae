//! Buried things, wires, lines on paper, and single signs: downspouts, utilities, viewpoints.

use groundwright_geometry::{Curve, Region, RegionIndex, Vec2};
use groundwright_handoff::{Fill, Glyph, Layer, Pattern, Pen, Shape, Tone, Weight};
use groundwright_plan::{Buried, BuriedKind, ElementRef, Fate, Kind, PaperLine, PaperLineKind};
use groundwright_yard::{Route, Spot};

use super::{Pad, SMALL_MM, Words, path_of};
use crate::layers;
use crate::study::{SiteStudy, whole_property};

/// Letters stand along a line about this far apart. [m]
const APART: f64 = 8.0;
/// Gap that one letter needs in its line. [m]
const LETTER: f64 = 0.22;

pub(super) fn draw(study: &SiteStudy<'_>, pad: &mut Pad) {
    buried(study, pad);
    wires(study, pad);
    paper(study, pad);
    signs(study, pad);
    viewpoints(study, pad);
    photos(study, pad);
}

/// Letters on a buried line.
pub(crate) fn letters(kind: BuriedKind) -> &'static str {
    match kind {
        BuriedKind::IrrigationPipe | BuriedKind::IrrigationHead | BuriedKind::IrrigationValve => "IRR",
        BuriedKind::GardenCable => "LV",
        BuriedKind::DownspoutPipe => "DS",
        BuriedKind::Drain => "D",
        BuriedKind::Septic => "SEP",
        BuriedKind::Sewer => "S",
        BuriedKind::Gas => "G",
        BuriedKind::Water => "W",
        BuriedKind::Power => "E",
        BuriedKind::Telecom => "T",
    }
}

fn is_live(kind: BuriedKind) -> bool {
    kind.is_service() || kind == BuriedKind::GardenCable
}

fn buried(study: &SiteStudy<'_>, pad: &mut Pad) {
    let plot = &study.yard.plot;
    // Under a building the hatch would swallow the letters.
    let buildings =
        RegionIndex::new(&Region::union_all(plot.buildings.iter().map(|building| &building.whole)));
    for thing in &study.project.property.buried {
        let element = ElementRef::new(Kind::Buried, &thing.id);
        if let Some(route) = plot.buried_lines.iter().find(|route| route.element == element) {
            let (layer, weight, tone) = if thing.kind.is_service() {
                (&layers::SERVICE, Weight::Medium, Tone::Hazard)
            } else {
                (&layers::PIPE, Weight::Thin, Tone::Water)
            };
            let pen = Pen::of(weight, Pattern::DashDot, tone);
            lettered(pad, route, layer, pen, &line_letters(thing), &buildings);
        }
        for spot in plot.buried_spots.iter().filter(|spot| spot.element == element) {
            let tone = if is_live(thing.kind) { Tone::Hazard } else { Tone::Water };
            pad.sign(&element, &layers::FITTING, Glyph::Buried, spot.at, tone);
            if thing.kind.is_service() {
                let at = spot.at + Vec2::new(0.0, 0.3);
                let text = line_letters(thing);
                pad.words(
                    &element,
                    &layers::WORDS,
                    Words { at, text, height_mm: SMALL_MM, rotation: None, tone },
                );
            }
        }
    }
}

/// A line that is closed off says so.
fn line_letters(thing: &Buried) -> String {
    let letters = letters(thing.kind);
    if thing.fate == Fate::Cap { format!("{letters} cap") } else { letters.to_owned() }
}

/// A line with gaps, in which letters stand along it.
fn lettered(
    pad: &mut Pad,
    route: &Route,
    layer: &'static Layer,
    pen: Pen,
    text: &str,
    buildings: &RegionIndex,
) {
    let (line, element) = (&route.line, &route.element);
    let length = line.length();
    let gap = LETTER * (text.chars().count() as f64 + 1.0);
    let count = (length / APART).round().max(1.0);
    if length < 3.0 * gap || line_is_closed(line) {
        pad.path(element, layer, path_of(line), pen);
        along(pad, (element, layer), line, length / 2.0, text, pen.tone);
        return;
    }
    let mut from = 0.0;
    for i in 0..count as usize {
        let middle = (i as f64 + 0.5) * length / count;
        if buildings.contains(line.point(middle)) {
            continue;
        }
        piece(pad, element, layer, pen, line, from, middle - gap / 2.0);
        along(pad, (element, layer), line, middle, text, pen.tone);
        from = middle + gap / 2.0;
    }
    piece(pad, element, layer, pen, line, from, length);
}

fn line_is_closed(line: &Curve) -> bool {
    line.start().distance(line.end()) < 1e-6
}

fn piece(
    pad: &mut Pad,
    element: &ElementRef,
    layer: &'static Layer,
    pen: Pen,
    line: &Curve,
    from: f64,
    to: f64,
) {
    if let Ok(piece) = line.sub(from, to) {
        pad.path(element, layer, path_of(&piece), pen);
    }
}

fn along(
    pad: &mut Pad,
    (element, layer): (&ElementRef, &'static Layer),
    line: &Curve,
    station: f64,
    text: &str,
    tone: Tone,
) {
    let rotation = Some(line.tangent(station).atan2());
    let words = Words { at: line.point(station), text: text.to_owned(), height_mm: SMALL_MM, rotation, tone };
    // Letters go wherever their line goes.
    let letters = if layer.name == layers::SERVICE.name { &layers::SERVICE_LETTER } else { &layers::WORDS };
    pad.words(element, letters, words);
}

fn wires(study: &SiteStudy<'_>, pad: &mut Pad) {
    for route in &study.yard.plot.wires {
        let wire = study.project.property.overhead_wires.iter().find(|wire| wire.id == route.element.id);
        let height =
            wire.map_or(String::new(), |wire| format!(", {} up", study.reader.length(wire.height.value)));
        let pen = Pen::of(Weight::Medium, Pattern::Dashed, Tone::Hazard);
        pad.path(&route.element, &layers::WIRE, path_of(&route.line), pen);
        let text = format!("overhead wire{height}");
        along(
            pad,
            (&route.element, &layers::WIRE),
            &route.line,
            route.line.length() / 2.0,
            &text,
            Tone::Hazard,
        );
    }
}

fn paper(study: &SiteStudy<'_>, pad: &mut Pad) {
    let plot = &study.yard.plot;
    for line in &study.project.property.paper_lines {
        let element = ElementRef::new(Kind::PaperLine, &line.id);
        let (layer, pen, fill) = look(line);
        let text = paper_words(study, line);
        if let Some(area) = plot.paper_areas.iter().find(|area| area.element == element) {
            pad.area(&element, layer, &area.whole, pen, fill);
            if let Some((at, _)) = area.whole.pole(0.2) {
                let tone = if line.kind == PaperLineKind::SightTriangle { Tone::Hazard } else { Tone::Ink };
                pad.words(
                    &element,
                    &layers::WORDS,
                    Words { at, text, height_mm: SMALL_MM, rotation: None, tone },
                );
            }
        } else if let Some(route) = plot.paper_lines.iter().find(|route| route.element == element) {
            pad.path(&element, layer, path_of(&route.line), pen);
            along(pad, (&element, &layers::PAPER), &route.line, 0.2 * route.line.length(), &text, Tone::Ink);
        }
    }
}

fn look(line: &PaperLine) -> (&'static Layer, Pen, Option<Fill>) {
    match line.kind {
        PaperLineKind::SightTriangle => {
            (&layers::SIGHT, Pen::of(Weight::Thin, Pattern::Dashed, Tone::Hazard), None)
        }
        PaperLineKind::Easement => {
            let pen = Pen::of(Weight::Thin, Pattern::Dashed, Tone::Faint);
            (&layers::EASEMENT, pen, Some(Fill::Slanted(Tone::Faint)))
        }
        PaperLineKind::Setback | PaperLineKind::RightOfWay => {
            (&layers::PAPER, Pen::of(Weight::Thin, Pattern::Dashed, Tone::Ink), None)
        }
    }
}

fn paper_words(study: &SiteStudy<'_>, line: &PaperLine) -> String {
    match line.height_limit {
        Some(limit) => format!("{}: nothing above {}", line.kind, study.reader.depth(limit.value)),
        None => line.kind.to_string(),
    }
}

fn signs(study: &SiteStudy<'_>, pad: &mut Pad) {
    let plot = &study.yard.plot;
    for spot in &plot.downspouts {
        pad.sign(&spot.element, &layers::DOWNSPOUT, Glyph::Downspout, spot.at, Tone::Water);
    }
    for spot in &plot.utilities {
        pad.sign(&spot.element, &layers::UTILITY, Glyph::Utility, spot.at, Tone::Hazard);
        let utility = study.project.property.utilities.iter().find(|utility| utility.id == spot.element.id);
        let Some(utility) = utility else { continue };
        let screen = if utility.screen { ", screen" } else { "" };
        let lines = vec![format!("{}{screen}", utility.name)];
        pad.tag(&spot.element, &layers::UTILITY_TAG, lines, vec![spot.at], Tone::Hazard);
    }
    for reference in &study.project.property.references {
        let element = ElementRef::new(Kind::Reference, &reference.id);
        let at = reference.at.value;
        pad.sign(&element, &layers::REFERENCE, Glyph::Reference, at, Tone::Ink);
        let shape = Shape::Text {
            at: at + Vec2::new(0.25, 0.25),
            text: reference.id.to_string(),
            height_mm: SMALL_MM,
            anchor: groundwright_handoff::TextAnchor::Left,
            rotation: None,
            tone: Tone::Ink,
        };
        pad.put(&element, &layers::WORDS, shape);
    }
    if let Some(at) = plot.drop_place {
        pad.sign(&whole_property(), &layers::DROP, Glyph::DropPlace, at, Tone::Ink);
    }
}

/// Where photos were taken; each with its id, under which the table of photos lists it.
fn photos(study: &SiteStudy<'_>, pad: &mut Pad) {
    let property = &study.project.property;
    for photo in &property.photos {
        let Some(at) = photo.at.as_ref().and_then(|at| property.place(at)) else { continue };
        let element = ElementRef::new(Kind::Photo, &photo.id);
        let looking = photo.looking.as_ref().and_then(|to| property.place(to));
        let rotation = looking.map_or(0.0, |to| (to - at).atan2());
        pad.put(
            &element,
            &layers::PHOTO,
            Shape::Glyph { glyph: Glyph::Eye, at, rotation, tone: Tone::Faint },
        );
        let shape = Shape::Text {
            at: at + Vec2::new(0.25, 0.25),
            text: photo.id.to_string(),
            height_mm: SMALL_MM,
            anchor: groundwright_handoff::TextAnchor::Left,
            rotation: None,
            tone: Tone::Faint,
        };
        pad.put(&element, &layers::PHOTO, shape);
    }
}

fn viewpoints(study: &SiteStudy<'_>, pad: &mut Pad) {
    let plot = &study.yard.plot;
    let towards = plot.looking.iter().copied().chain(std::iter::repeat(None));
    for (Spot { element, at, .. }, looking) in plot.viewpoints.iter().zip(towards) {
        let rotation = looking.map_or(0.0, |to| (to - *at).atan2());
        let shape = Shape::Glyph { glyph: Glyph::Eye, at: *at, rotation, tone: Tone::Ink };
        pad.put(element, &layers::VIEWPOINT, shape);
    }
}
