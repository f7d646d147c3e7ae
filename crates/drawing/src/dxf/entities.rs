//! Marks to DXF entities.
//!
//! - In: marks in plan coordinates, the places of tags on paper, the view. Out: entities in model
//!   space in the order of painting, with layer, line type, weight and colour.
//! - Method: what has a size on paper (letters, signs, tags) is laid out on paper exactly as
//!   `paint.rs` does and taken back to the yard, so DXF and sheet agree.

use std::collections::BTreeMap;

use dxf::entities::{Circle, Entity, EntityType, Insert, LwPolyline, Text};
use dxf::enums::HorizontalTextJustification;
use dxf::{LwPolylineVertex, Point as DxfPoint};
use groundwright_handoff::{Fill, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight};
use kurbo::{Affine, BezPath, PathEl, Point, Shape as _, flatten};

use super::{DrawingUnit, document};
use crate::display::{LeaderEnd, PlacedCallout, View};
use crate::labels::{gather, tag};
use crate::paint::{LEADER_DOT_MM, leader_arrow, polygon, polyline, tag_pen};
use crate::view::{Placement, mark_key};
use crate::{dimension, look};

/// Curves leave their polylines by at most this. [m]
const ACCURACY: f64 = 0.002;

/// Draws marks that have been checked and sorted.
pub fn draw(shown: &[&Mark], callouts: &[PlacedCallout], view: &View, unit: DrawingUnit) -> Vec<Entity> {
    let places = callouts.iter().map(|callout| (callout.key.as_str(), callout)).collect();
    let mut pencil = Pencil {
        view,
        places,
        to_paper: view.to_paper(),
        to_model: Affine::scale(unit.in_a_metre()) * view.to_yard(),
        unit: unit.in_a_metre(),
        layer: String::new(),
        drawn: Vec::new(),
    };
    for mark in shown {
        pencil.layer = document::layer_name(mark.layer);
        pencil.mark(mark);
    }
    pencil.drawn
}

struct Pencil<'a> {
    view: &'a View,
    places: BTreeMap<&'a str, &'a PlacedCallout>,
    to_paper: Affine,
    /// From paper to the file's coordinates.
    to_model: Affine,
    /// File units in a metre.
    unit: f64,
    layer: String,
    drawn: Vec<Entity>,
}

impl Pencil<'_> {
    fn mark(&mut self, mark: &Mark) {
        match &mark.shape {
            Shape::Path { path, pen, fill } => {
                if let Some(pen) = pen.or(fill.map(fine)) {
                    self.path(path, pen);
                }
            }
            Shape::Circle { centre, radius, pen, fill } => {
                if let Some(pen) = pen.or(fill.map(fine)) {
                    self.circle(Affine::scale(self.unit) * *centre, radius * self.unit, pen);
                }
            }
            Shape::Glyph { glyph, at, rotation, tone } => {
                let size = self.paper(1.0);
                let at = Affine::scale(self.unit) * *at;
                let insert = Insert {
                    name: document::block_name(*glyph),
                    location: dxf_point(at),
                    x_scale_factor: size,
                    y_scale_factor: size,
                    z_scale_factor: size,
                    rotation: rounded(rotation.to_degrees()),
                    ..Insert::default()
                };
                self.add(EntityType::Insert(insert), Pen::solid(Weight::Thin, *tone));
            }
            Shape::Text { text, height_mm, tone, .. } => {
                if let Some(place) = gather::text_place(mark, self.view) {
                    for (i, line) in text.lines().enumerate() {
                        self.text(place.line_below(i, *height_mm), line, *height_mm, *tone);
                    }
                }
            }
            Shape::Callout { lines, height_mm, tone, .. } => {
                if let Some(place) = self.places.get(mark_key(mark).as_str()).copied() {
                    self.callout(place, lines, *height_mm, *tone);
                }
            }
            Shape::Dimension { from, to, offset, text } => {
                let offset = offset * self.view.mm_per_metre();
                if let Some(drawn) = dimension::strokes(self.to_paper * *from, self.to_paper * *to, offset) {
                    for (lines, pen) in [(&drawn.lines, dimension::LINES), (&drawn.ticks, dimension::TICKS)] {
                        for line in lines {
                            self.paper_line(&[line.p0, line.p1], false, pen);
                        }
                    }
                    self.text(drawn.figure, text, dimension::FIGURE_MM, dimension::LINES.tone);
                }
            }
        }
    }

    fn callout(&mut self, place: &PlacedCallout, lines: &[String], height_mm: f64, tone: Tone) {
        let pen = tag_pen(tone);
        self.paper_line(&place.leader, false, pen);
        match (place.end, place.leader.last()) {
            (LeaderEnd::Dot, Some(anchor)) => {
                self.circle(self.to_model * *anchor, self.paper(LEADER_DOT_MM), pen);
            }
            _ => self.paper_line(&leader_arrow(&place.leader), true, pen),
        }
        let tag = place.tag;
        let rim = [(tag.x0, tag.y0), (tag.x1, tag.y0), (tag.x1, tag.y1), (tag.x0, tag.y1)].map(Point::from);
        self.paper_line(&rim, true, pen);
        for (line, place) in lines.iter().zip(tag::lines(tag, lines.len(), height_mm)) {
            self.text(place, line, height_mm, tone);
        }
    }

    /// File units in some millimetres of paper.
    fn paper(&self, mm: f64) -> f64 {
        mm / self.view.mm_per_metre() * self.unit
    }

    /// A line laid out on paper.
    fn paper_line(&mut self, points: &[Point], closed: bool, pen: Pen) {
        let path = if closed { polygon(points) } else { polyline(points) };
        self.polylines(&(self.to_model * path), pen);
    }

    /// A path in yard coordinates; its curves are flattened.
    fn path(&mut self, path: &BezPath, pen: Pen) {
        let mut flat = BezPath::new();
        flatten(path, ACCURACY, |element| flat.push(element));
        self.polylines(&(Affine::scale(self.unit) * flat), pen);
    }

    /// Straight subpaths in file coordinates.
    fn polylines(&mut self, flat: &BezPath, pen: Pen) {
        for subpath in flat.subpaths() {
            let mut points: Vec<Point> = Vec::with_capacity(subpath.len());
            points.extend(subpath.iter().filter_map(PathEl::end_point));
            points.dedup();
            let mut closed = matches!(subpath.last(), Some(PathEl::ClosePath));
            if points.len() > 2 && points.first() == points.last() {
                points.pop();
                closed = true;
            }
            if points.len() < 2 {
                continue;
            }
            let vertex = |point: &Point| LwPolylineVertex {
                x: rounded(point.x),
                y: rounded(point.y),
                ..LwPolylineVertex::default()
            };
            let line = LwPolyline {
                flags: i32::from(closed),
                vertices: points.iter().map(vertex).collect(),
                ..LwPolyline::default()
            };
            self.add(EntityType::LwPolyline(line), pen);
        }
    }

    /// A circle in file coordinates.
    fn circle(&mut self, centre: Point, radius: f64, pen: Pen) {
        let circle = Circle { center: dxf_point(centre), radius: rounded(radius), ..Circle::default() };
        self.add(EntityType::Circle(circle), pen);
    }

    /// One line of letters laid out on paper.
    fn text(&mut self, place: Placement, line: &str, height_mm: f64, tone: Tone) {
        if line.trim().is_empty() {
            return;
        }
        let at = dxf_point(self.to_model * place.at);
        let justification = match place.anchor {
            TextAnchor::Left => HorizontalTextJustification::Left,
            TextAnchor::Middle => HorizontalTextJustification::Center,
            TextAnchor::Right => HorizontalTextJustification::Right,
        };
        let aligned = place.anchor != TextAnchor::Left;
        let text = Text {
            location: at.clone(),
            second_alignment_point: if aligned { at } else { DxfPoint::origin() },
            text_height: rounded(self.paper(height_mm)),
            value: line.to_owned(),
            // Clockwise on the turned sheet becomes counter-clockwise in the yard.
            rotation: rounded((-place.rotation - self.view.rotation).to_degrees()),
            horizontal_text_justification: justification,
            ..Text::default()
        };
        self.add(EntityType::Text(text), Pen::solid(Weight::Thin, tone));
    }

    fn add(&mut self, specific: EntityType, pen: Pen) {
        let mut entity = Entity::new(specific);
        entity.common.layer.clone_from(&self.layer);
        entity.common.color = document::colour(pen.tone);
        entity.common.lineweight_enum_value = document::hundredths(pen.weight);
        if pen.pattern != Pattern::Continuous {
            document::line_type(pen.pattern).clone_into(&mut entity.common.line_type_name);
            // Dashes are multiples of the line's width; the line type is made for the medium one.
            entity.common.line_type_scale = look::width_mm(pen.weight) / look::width_mm(Weight::Medium);
        }
        self.drawn.push(entity);
    }
}

/// The line that stands for a fill without an outline.
fn fine(fill: Fill) -> Pen {
    let (Fill::Wash(tone) | Fill::Full(tone) | Fill::Slanted(tone) | Fill::Dotted(tone)) = fill;
    Pen::solid(Weight::Fine, tone)
}

fn dxf_point(point: Point) -> DxfPoint {
    DxfPoint::new(rounded(point.x), rounded(point.y), 0.0)
}

/// To a millionth of the file's unit, below any reader's interest; adding zero mends `-0`.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

/// Strokes of a sign as block entities, in millimetres of paper. [mm, y up]
pub fn glyph_block(glyph: groundwright_handoff::Glyph) -> Vec<Entity> {
    let mut entities = Vec::new();
    for part in look::glyphs::parts(glyph) {
        let mut flat = BezPath::new();
        flatten(&part.path, 0.02, |element| flat.push(element));
        for subpath in flat.subpaths() {
            let mut points: Vec<Point> = subpath.iter().filter_map(PathEl::end_point).collect();
            points.dedup();
            let closed = matches!(subpath.last(), Some(PathEl::ClosePath));
            if points.len() > 2
                && points.first().zip(points.last()).is_some_and(|(a, b)| a.distance(*b) < 1e-9)
            {
                points.pop();
            }
            if part.filled {
                entities.extend(fan(&points));
            }
            let vertex = |point: &Point| LwPolylineVertex {
                x: rounded(point.x),
                y: rounded(point.y),
                ..LwPolylineVertex::default()
            };
            let line = LwPolyline {
                flags: i32::from(closed),
                vertices: points.iter().map(vertex).collect(),
                ..LwPolyline::default()
            };
            entities.push(Entity::new(EntityType::LwPolyline(line)));
        }
    }
    for entity in &mut entities {
        "0".clone_into(&mut entity.common.layer);
        // Colour and weight come from the insert.
        entity.common.color = dxf::Color::by_block();
        entity.common.lineweight_enum_value = document::BY_BLOCK;
    }
    entities
}

/// A convex area as triangles; all filled parts of our signs are convex.
fn fan(points: &[Point]) -> Vec<Entity> {
    let Some((first, rest)) = points.split_first() else { return Vec::new() };
    let triangle = |pair: &[Point]| {
        let solid = dxf::entities::Solid {
            first_corner: dxf_point(*first),
            second_corner: dxf_point(pair[0]),
            third_corner: dxf_point(pair[1]),
            fourth_corner: dxf_point(pair[1]),
            ..dxf::entities::Solid::default()
        };
        Entity::new(EntityType::Solid(solid))
    };
    rest.windows(2).map(triangle).collect()
}

/// The smallest box about what is drawn, in file units; letters count by their place.
pub fn extents(drawn: &[Entity]) -> Option<kurbo::Rect> {
    let mut bounds: Option<kurbo::Rect> = None;
    let mut grow = |x: f64, y: f64, by: f64| {
        let around = kurbo::Rect::new(x - by, y - by, x + by, y + by);
        bounds = Some(bounds.map_or(around, |so_far| so_far.union(around)));
    };
    for entity in drawn {
        match &entity.specific {
            EntityType::LwPolyline(line) => {
                line.vertices.iter().for_each(|vertex| grow(vertex.x, vertex.y, 0.0));
            }
            EntityType::Circle(circle) => grow(circle.center.x, circle.center.y, circle.radius),
            EntityType::Insert(insert) => grow(insert.location.x, insert.location.y, 0.0),
            EntityType::Text(text) => grow(text.location.x, text.location.y, text.text_height),
            _ => {}
        }
    }
    bounds.map(|bounds| bounds.bounding_box())
}
