//! Legends made from the marks themselves: what a drawing shows, painted small.

use std::collections::BTreeSet;

use groundwright_drawing::{Primitive, TextWidth, View, paint};
use groundwright_geometry::{BezPath, Point};
use groundwright_handoff::{Drawing, Frame, Layer, Mark, Shape};
use groundwright_sheets::{LegendEntry, SAMPLE_HEIGHT_MM, SAMPLE_WIDTH_MM};

/// One entry for each layer that has lines, areas or signs on the drawing, in order of painting.
pub fn legend(marks: &[Mark], drawing: Drawing, text: &dyn TextWidth) -> Vec<LegendEntry> {
    let mut seen: BTreeSet<(u16, &str)> = BTreeSet::new();
    let mut first: Vec<&Mark> = Vec::new();
    for mark in marks {
        let drawn = mark.frame == Frame::Plan
            && mark.layer.on.contains(&drawing)
            && !matches!(mark.shape, Shape::Text { .. } | Shape::Callout { .. } | Shape::Dimension { .. });
        if drawn && seen.insert((mark.layer.order, mark.layer.title)) {
            first.push(mark);
        }
    }
    first.sort_by_key(|mark| (mark.layer.order, mark.layer.name));
    first
        .into_iter()
        .map(|mark| LegendEntry { sample: sample(mark, drawing, text), text: title(mark.layer) })
        .collect()
}

fn title(layer: &Layer) -> String {
    layer.title.to_owned()
}

/// The mark's own look in a box of the legend: a metre of yard is a millimetre of paper there.
fn sample(mark: &Mark, drawing: Drawing, text: &dyn TextWidth) -> Vec<Primitive> {
    let (w, h) = (SAMPLE_WIDTH_MM / 2.0 - 0.6, SAMPLE_HEIGHT_MM / 2.0 - 0.7);
    let shape = match &mark.shape {
        Shape::Path { pen, fill: None, .. } => Shape::Path { path: line(w), pen: *pen, fill: None },
        Shape::Path { pen, fill, .. } => Shape::Path { path: rectangle(w, h), pen: *pen, fill: *fill },
        Shape::Circle { pen, fill, .. } => {
            Shape::Circle { centre: Point::ORIGIN, radius: h, pen: *pen, fill: *fill }
        }
        Shape::Glyph { glyph, tone, .. } => {
            Shape::Glyph { glyph: *glyph, at: Point::ORIGIN, rotation: 0.0, tone: *tone }
        }
        other => other.clone(),
    };
    let view = View {
        drawing,
        frame: Frame::Plan,
        scale: 1000.0,
        rotation: 0.0,
        centre: Point::ORIGIN,
        width_mm: SAMPLE_WIDTH_MM,
        height_mm: SAMPLE_HEIGHT_MM,
    };
    let small = Mark { shape, ..mark.clone() };
    paint(&[small], &view, text).list.items.into_iter().map(|item| item.primitive).collect()
}

fn line(w: f64) -> BezPath {
    let mut path = BezPath::new();
    path.move_to((-w, 0.0));
    path.line_to((w, 0.0));
    path
}

fn rectangle(w: f64, h: f64) -> BezPath {
    let mut path = BezPath::new();
    path.move_to((-w, -h));
    path.line_to((w, -h));
    path.line_to((w, h));
    path.line_to((-w, h));
    path.close_path();
    path
}
