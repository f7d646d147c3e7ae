//! Marks of planting: bed lines, pots, crowns, tags, the way of transplants.

use std::collections::BTreeMap;

use groundwright_geometry::{BezPath, Point};
use groundwright_handoff::{Frame, Glyph, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight, When};
use groundwright_plan::{ElementRef, Kind, Planting, TaxonId};
use groundwright_yard::{Origin, Plant, size_bought};

use crate::crown_outline::{Circle, outline as outline_of};
use crate::layers;
use crate::study::PlantingStudy;

/// Age at which light circles show the crowns: between five and seven years. [a]
const LIGHT_CIRCLE_AGE: f64 = 6.0;

/// Ranks stand beside pots that are at least this far apart; closer ones would run into one another
/// at the scale of a plan, and are read from the table. [m]
const RANK_SPACING: f64 = 0.35;

/// All marks of planting. The pots stand where they stand at any age; light circles show six years
/// unless an age beyond planting is asked for.
pub(crate) fn marks(study: &PlantingStudy<'_>, when: When) -> Vec<Mark> {
    let mut pad = Pad::default();
    plants(study, when, &mut pad);
    tags(study, &mut pad);
    transplants(study, &mut pad);
    notes(study, &mut pad);
    crate::detail::draw(study, &mut pad);
    pad.marks
}

/// Collects marks and counts ordinals.
#[derive(Default)]
pub(crate) struct Pad {
    pub(crate) marks: Vec<Mark>,
    /// How many marks an element has on each of its layers.
    counts: BTreeMap<ElementRef, Vec<(&'static str, u32)>>,
}

impl Pad {
    /// Adds a mark of an element on a layer of the plan.
    pub(crate) fn put(&mut self, subject: &ElementRef, layer: &'static Layer, shape: Shape) {
        self.put_in(Frame::Plan, subject, layer, shape);
    }

    /// Adds a mark in a frame.
    pub(crate) fn put_in(&mut self, frame: Frame, subject: &ElementRef, layer: &'static Layer, shape: Shape) {
        if !self.counts.contains_key(subject) {
            self.counts.insert(subject.clone(), Vec::new());
        }
        let ordinal = self.counts.get_mut(subject).map_or(0, |layers| {
            if let Some((_, count)) = layers.iter_mut().find(|(name, _)| *name == layer.name) {
                *count += 1;
                return *count - 1;
            }
            layers.push((layer.name, 1));
            0
        });
        self.marks.push(Mark { subject: subject.clone(), ordinal, layer, frame, shape });
    }
}

fn at(plant: &Plant) -> Point {
    Point::new(plant.at.x, plant.at.y)
}

fn plants(study: &PlantingStudy<'_>, when: When, pad: &mut Pad) {
    let age = if when.age() > 0.0 { when.age() } else { LIGHT_CIRCLE_AGE };
    for planting in &study.project.design.plantings {
        let element = ElementRef::new(Kind::Planting, &planting.id);
        let mut mature: Vec<Circle> = Vec::new();
        for plant in study.yard.plants_of(&planting.id) {
            let moved = matches!(plant.origin, Origin::Moved(..));
            let (layer, glyph, tone) = if moved {
                (&layers::TRANSPLANT, Glyph::TransplantCentre, Tone::Move)
            } else {
                let (layer, glyph, _) = sign_of(planting, plant.taxon.as_ref());
                (layer, glyph, Tone::New)
            };
            pad.put(&element, layer, Shape::Glyph { glyph, at: at(plant), rotation: 0.0, tone });
            let beside = |text: String| Shape::Text {
                at: at(plant) + groundwright_geometry::Vec2::new(0.08, 0.08),
                text,
                height_mm: 1.6,
                anchor: TextAnchor::Left,
                rotation: None,
                tone: Tone::Ink,
            };
            if moved {
                pad.put(&element, &layers::HOLE_NUMBER, beside((plant.key.ordinal + 1).to_string()));
            }
            if let Some(rank) = plant.rank.filter(|_| study.spacing_of(&element) >= RANK_SPACING) {
                pad.put(&element, &layers::RANK, beside(rank.to_string()));
            }
            let Some(taxon) = study.taxon(plant) else { continue };
            let curve = study.spread_curve(plant, taxon);
            if let Ok(spread) = curve.spread(age) {
                let pen = Pen::solid(Weight::Fine, tone);
                let circle =
                    Shape::Circle { centre: at(plant), radius: spread / 2.0, pen: Some(pen), fill: None };
                pad.put(&element, &layers::CROWN_SIX, circle);
            }
            mature.push(Circle { at: at(plant), radius: taxon.mature_spread() / 2.0 });
        }
        if !mature.is_empty() {
            let path: BezPath = outline_of(&mature);
            let pen = Pen::of(Weight::Thin, Pattern::Dotted, Tone::New);
            pad.put(&element, &layers::CROWN_MATURE, Shape::Path { path, pen: Some(pen), fill: None });
        }
    }
}

/// The sign of a plant of a mixture, by the order in which the planting names it, and its word.
fn sign_of(planting: &Planting, taxon: Option<&TaxonId>) -> (&'static Layer, Glyph, &'static str) {
    let share = planting.shares.iter().position(|share| Some(&share.taxon) == taxon).unwrap_or(0);
    match share {
        0 => (&layers::POT, Glyph::PotCentre, "ring"),
        1 => (&layers::POT_SECOND, Glyph::PotSecond, "triangle"),
        2 => (&layers::POT_THIRD, Glyph::PotThird, "diamond"),
        _ => (&layers::POT_FOURTH, Glyph::PotFourth, "square"),
    }
}

/// One tag for each taxon of each planting.
fn tags(study: &PlantingStudy<'_>, pad: &mut Pad) {
    for planting in &study.project.design.plantings {
        let element = ElementRef::new(Kind::Planting, &planting.id);
        let mut groups: BTreeMap<&TaxonId, Vec<Point>> = BTreeMap::new();
        for plant in study.yard.plants_of(&planting.id) {
            if let Some(taxon) = &plant.taxon {
                groups.entry(taxon).or_default().push(at(plant));
            }
        }
        let transplant = crate::findings::is_transplant(planting);
        for (taxon, anchors) in groups {
            let mut head = format!("{} {}", anchors.len(), study.tag(taxon));
            if planting.shares.len() > 1 {
                head = format!("{head}: {}", sign_of(planting, Some(taxon)).2);
            }
            let mut lines = vec![head];
            if transplant {
                lines.push("transplants".to_owned());
            } else {
                let size = study.project.stock.taxa.get(taxon).and_then(|taxon| {
                    size_bought(&study.project.stock, taxon, planting.size.as_deref()).map(|c| c.id.clone())
                });
                let spacing = study.arrangement(&element).filter(|_| anchors.len() > 1);
                let words: Vec<String> =
                    size.into_iter().chain(spacing.map(|a| study.reader.spacing(a.spacing))).collect();
                if !words.is_empty() {
                    lines.push(words.join(", "));
                }
            }
            let tone = if transplant { Tone::Move } else { Tone::New };
            pad.put(&element, &layers::TAG, Shape::Callout { lines, anchors, height_mm: 2.0, tone });
        }
    }
}

fn transplants(study: &PlantingStudy<'_>, pad: &mut Pad) {
    let moving = &study.yard.transplanting;
    let mut shrubs: Vec<&groundwright_plan::ElementId> = moving.dug.iter().map(|dug| &dug.shrub).collect();
    shrubs.dedup();
    for shrub in shrubs {
        let plants: Vec<Point> =
            moving.dug.iter().filter(|dug| &dug.shrub == shrub).map(|dug| dug.at).collect();
        // Divisions share the place of their clump: one sign for each clump that is dug.
        let mut anchors: Vec<Point> = Vec::new();
        for at in &plants {
            if !anchors.contains(at) {
                anchors.push(*at);
            }
        }
        let subject = ElementRef::new(Kind::Shrub, shrub);
        for at in &anchors {
            let shape = Shape::Glyph { glyph: Glyph::Dug, at: *at, rotation: 0.0, tone: Tone::Move };
            pad.put(&subject, &layers::DUG, shape);
        }
        let found = study.project.property.shrubs.iter().find(|s| &s.id == shrub);
        let name = found.and_then(|s| s.taxon.as_ref()).map_or_else(
            || found.map_or(String::new(), |s| s.name.clone()),
            |taxon| study.tag(taxon).to_owned(),
        );
        let mut lines = vec![format!("dig {} {name}", anchors.len()), shrub.to_string()];
        if plants.len() > anchors.len() {
            lines.insert(1, format!("divide into {}", plants.len()));
        }
        pad.put(
            &subject,
            &layers::WAY_TAG,
            Shape::Callout { lines, anchors, height_mm: 2.0, tone: Tone::Move },
        );
    }
    for m in &moving.moves {
        let element = ElementRef::new(Kind::Planting, &m.planting);
        let Some(position) = study.arrangement(&element).and_then(|a| a.positions.get(m.ordinal as usize))
        else {
            continue;
        };
        let from = moving.dug[m.dug].at;
        let path = arrow(from, position.at);
        let pen = Pen::of(Weight::Thin, Pattern::Dashed, Tone::Move);
        pad.put(&element, &layers::WAY, Shape::Path { path, pen: Some(pen), fill: None });
    }
}

/// A line with an open arrow head a quarter of a metre long.
fn arrow(from: Point, to: Point) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(to);
    let way = from - to;
    if way.hypot() > 0.5 {
        let back = way.normalize() * 0.25;
        for turn in [-0.4, 0.4] {
            let turn: f64 = turn;
            let (sin, cos) = turn.sin_cos();
            path.move_to(to);
            path.line_to(
                to + groundwright_geometry::Vec2::new(
                    back.x * cos - back.y * sin,
                    back.x * sin + back.y * cos,
                ),
            );
        }
    }
    path
}

fn notes(study: &PlantingStudy<'_>, pad: &mut Pad) {
    for note in &study.project.design.notes {
        let element = ElementRef::new(Kind::Note, &note.id);
        if let Some(at) = study.yard.plot.place_of(&element) {
            let mut lines = vec![capital(&note.id.to_string().replace('-', " "))];
            lines.extend(wrap(&note.text, 34));
            let shape = Shape::Callout { lines, anchors: vec![at], height_mm: 2.0, tone: Tone::Ink };
            pad.put(&element, &layers::NOTE, shape);
        }
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().collect::<String>() + letters.as_str()).unwrap_or_default()
}

/// Breaks words into lines of at most `width` characters where that is possible.
fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + word.chars().count() < width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
