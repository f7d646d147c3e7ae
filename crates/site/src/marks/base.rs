//! The base of every drawing: paving, buildings with their openings, the property line.

use groundwright_geometry::{BezPath, Curve, Point, Region};
use groundwright_handoff::{Fill, Glyph, Pattern, Pen, Shape, Tone, Weight};
use groundwright_plan::{ElementRef, Kind, Opening, OpeningKind, Surface, SurfaceKind};
use groundwright_yard::Area;

use super::{Pad, SMALL_MM, Words};
use crate::layers;
use crate::study::{SiteStudy, is_public};

/// Surfaces wider than this carry level words; on narrower ones words run along. [m]
const WIDE: f64 = 4.0;
/// How far an opening's place may lie off its wall and still be drawn on it. [m]
const OFF_THE_WALL: f64 = 1.0;

pub(super) fn draw(study: &SiteStudy<'_>, pad: &mut Pad) {
    surfaces(study, pad);
    buildings(study, pad);
    for opening in &study.project.property.openings {
        draw_opening(study, opening, pad);
    }
    if let Some(boundary) = &study.yard.plot.boundary {
        let pen = Pen::of(Weight::Bold, Pattern::LongShortShort, Tone::Ink);
        pad.area(&boundary.element, &layers::BOUNDARY, &boundary.whole, pen, None);
    }
}

fn surfaces(study: &SiteStudy<'_>, pad: &mut Pad) {
    for surface in &study.project.property.surfaces {
        let element = ElementRef::new(Kind::Surface, &surface.id);
        let Some(area) = study.yard.plot.area(&element) else { continue };
        let ink = |weight| Pen::solid(weight, Tone::Ink);
        let (layer, pen, fill) = match surface.kind {
            _ if is_public(surface) => (&layers::PUBLIC, ink(Weight::Thin), Fill::Wash(Tone::Faint)),
            SurfaceKind::Water => {
                (&layers::WATER, Pen::solid(Weight::Medium, Tone::Water), Fill::Wash(Tone::Water))
            }
            _ if is_loose(surface) => (&layers::SURFACE, ink(Weight::Medium), Fill::Dotted(Tone::Faint)),
            _ => (&layers::SURFACE, ink(Weight::Medium), Fill::Wash(Tone::Faint)),
        };
        pad.area(&element, layer, &area.whole, pen, Some(fill));
        if surface.kind != SurfaceKind::Curb {
            material(study, surface, area, pad);
        }
    }
}

/// Whether a surface is of loose stone, drawn with dots.
fn is_loose(surface: &Surface) -> bool {
    ["gravel", "grit", "crushed", "pebble"].iter().any(|word| surface.material.value.contains(word))
}

fn material(study: &SiteStudy<'_>, surface: &Surface, area: &Area, pad: &mut Pad) {
    // Only what lies near the property matters; a street's visual centre may lie far off the sheet.
    let near =
        study.yard.plot.boundary.as_ref().map(|boundary| area.whole.intersection(&boundary.whole.grow(5.0)));
    let shown = near.filter(|region| !region.is_empty()).unwrap_or_else(|| area.whole.clone());
    let Some((at, reach)) = shown.pole(0.2) else { return };
    let known = surface.material.value.as_str();
    let text = match known {
        "" | "not stated" => surface.kind.to_string(),
        material => format!("{}: {material}", surface.kind),
    };
    let rotation = (2.0 * reach < WIDE).then(|| direction(&area.edge, at));
    pad.words(
        &area.element,
        &layers::WORDS,
        Words { at, text, height_mm: SMALL_MM, rotation, tone: Tone::Ink },
    );
}

/// Direction of an edge where it is nearest to a place. [rad]
fn direction(edge: &Curve, at: Point) -> f64 {
    edge.tangent(edge.nearest(at).station).atan2()
}

fn buildings(study: &SiteStudy<'_>, pad: &mut Pad) {
    for building in &study.yard.plot.buildings {
        let pen = Pen::solid(Weight::Heavy, Tone::Ink);
        pad.area(
            &building.element,
            &layers::BUILDING,
            &building.whole,
            pen,
            Some(Fill::Slanted(Tone::Faint)),
        );
        if let Some((at, _)) = building.whole.pole(0.2) {
            let words =
                Words { at, text: building.label.clone(), height_mm: 2.5, rotation: None, tone: Tone::Ink };
            pad.words(&building.element, &layers::NAME, words);
        }
    }
}

/// An opening on its wall: a short thick line, and for doors the sign of a door.
fn draw_opening(study: &SiteStudy<'_>, opening: &Opening, pad: &mut Pad) {
    let plot = &study.yard.plot;
    let element = ElementRef::new(Kind::Opening, &opening.id);
    let Some(spot) = plot.openings.iter().find(|spot| spot.element == element) else { return };
    let building = plot.area(&ElementRef::new(Kind::Building, &opening.building));
    let wall = building.map(|building| (building, building.edge.nearest(spot.at)));
    let Some((building, foot)) = wall.filter(|(_, foot)| foot.distance < OFF_THE_WALL) else {
        pad.sign(&element, &layers::DOOR, Glyph::Utility, spot.at, Tone::Ink);
        return;
    };
    let along = building.edge.tangent(foot.station);
    let half = along * (opening.width.value / 2.0);
    let mut line = BezPath::new();
    line.move_to(foot.point - half);
    line.line_to(foot.point + half);
    let (layer, pen) = match opening.kind {
        OpeningKind::Door | OpeningKind::GarageDoor => (&layers::DOOR, Pen::solid(Weight::Bold, Tone::Faint)),
        OpeningKind::Window => (&layers::WINDOW, Pen::solid(Weight::Bold, Tone::Water)),
        OpeningKind::Vent => (&layers::VENT, Pen::of(Weight::Bold, Pattern::Dotted, Tone::Hazard)),
    };
    if opening.kind == OpeningKind::Door {
        let rotation = inward(&building.whole, foot.point, along.atan2());
        let shape = Shape::Glyph { glyph: Glyph::Door, at: foot.point, rotation, tone: Tone::Ink };
        pad.put(&element, layer, shape);
    }
    pad.path(&element, layer, line, pen);
}

/// The turn of a sign on a wall that lets its upper side look into the building. [rad]
fn inward(building: &Region, at: Point, along: f64) -> f64 {
    let left = groundwright_geometry::Vec2::from_angle(along + std::f64::consts::FRAC_PI_2);
    if building.contains(at + left * 0.05) { along } else { along + std::f64::consts::PI }
}
