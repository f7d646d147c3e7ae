//! Marks of the site: the base of every drawing, and what is there with keep, move and remove.
//!
//! - In: the study. Out: marks with a stable key (subject, layer, ordinal).
//! - Base (`base.rs`): property line, buildings, paving, trunks. Plants (`plants.rs`): crowns,
//!   protection, tags. Lines (`lines.rs`): buried things, wires, lines on paper, single signs.

mod base;
pub(crate) mod lines;
mod plants;

use std::collections::BTreeMap;

use groundwright_geometry::{BezPath, Curve, Point, Region};
use groundwright_handoff::{Fill, Frame, Glyph, Layer, Mark, Pen, Shape, TextAnchor, Tone};
use groundwright_plan::ElementRef;

use crate::study::SiteStudy;

/// All marks of the site.
pub(crate) fn marks(study: &SiteStudy<'_>) -> Vec<Mark> {
    let mut pad = Pad::default();
    base::draw(study, &mut pad);
    plants::draw(study, &mut pad);
    lines::draw(study, &mut pad);
    pad.marks
}

/// Collects marks and counts ordinals.
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

    fn path(&mut self, subject: &ElementRef, layer: &'static Layer, path: BezPath, pen: Pen) {
        self.put(subject, layer, Shape::Path { path, pen: Some(pen), fill: None });
    }

    fn area(
        &mut self,
        subject: &ElementRef,
        layer: &'static Layer,
        region: &Region,
        pen: Pen,
        fill: Option<Fill>,
    ) {
        self.put(subject, layer, Shape::Path { path: region.to_path(), pen: Some(pen), fill });
    }

    fn circle(&mut self, subject: &ElementRef, layer: &'static Layer, centre: Point, radius: f64, pen: Pen) {
        if radius > 0.0 {
            self.put(subject, layer, Shape::Circle { centre, radius, pen: Some(pen), fill: None });
        }
    }

    fn sign(&mut self, subject: &ElementRef, layer: &'static Layer, glyph: Glyph, at: Point, tone: Tone) {
        self.put(subject, layer, Shape::Glyph { glyph, at, rotation: 0.0, tone });
    }

    /// Letters about a point, along a direction or level.
    fn words(&mut self, subject: &ElementRef, layer: &'static Layer, words: Words) {
        let Words { at, text, height_mm, rotation, tone } = words;
        self.put(
            subject,
            layer,
            Shape::Text { at, text, height_mm, anchor: TextAnchor::Middle, rotation, tone },
        );
    }

    fn tag(
        &mut self,
        subject: &ElementRef,
        layer: &'static Layer,
        lines: Vec<String>,
        anchors: Vec<Point>,
        tone: Tone,
    ) {
        if !anchors.is_empty() {
            self.put(subject, layer, Shape::Callout { lines, anchors, height_mm: TAG_MM, tone });
        }
    }
}

/// Height of the capitals of tags. [mm]
const TAG_MM: f64 = 2.0;
/// Height of letters on lines and surfaces. [mm]
const SMALL_MM: f64 = 1.6;

/// Letters with their middle at a point.
struct Words {
    at: Point,
    text: String,
    height_mm: f64,
    rotation: Option<f64>,
    tone: Tone,
}

/// A curve as a path.
fn path_of(curve: &Curve) -> BezPath {
    BezPath::from_path_segments(curve.segments().iter().copied())
}
