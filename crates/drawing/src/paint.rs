//! Marks to a display list.
//!
//! - In: marks, a view, a measure for letters. Out: items in the order of painting and the report
//!   of the tags' places.
//! - Shown are marks whose layer is on the view's drawing and whose frame is the view's; marks
//!   wholly outside the window, and marks with a number that cannot be drawn, are left out.
//! - Order: by the layer's order, then its name, then as the marks came. All items of one mark stand
//!   together.
//! - A view that is not valid gives an empty list.
//! - Not here: where tags go (`labels/`), how things look (`look.rs`), clipping of paths.

use groundwright_handoff::{Fill, Layer, Mark, Pen, Shape, TextAnchor, Tone, Weight};
use kurbo::{Affine, BezPath, Circle, PathEl, Point, Rect, Shape as _};

use crate::dimension;
use crate::display::{
    DisplayList, Face, Item, LabelReport, LeaderEnd, Painted, PlacedCallout, Primitive, Rgb, Stroke,
    TextWidth, View,
};
use crate::labels::touch::boxes_meet;
use crate::labels::{self, Spot, gather, obstacles::Obstacles, tag};
use crate::look::{self, glyphs, textures, tones};
use crate::view::{Placement, mark_key};

/// Flattening of circles and rounded boxes. [mm]
const ACCURACY: f64 = 0.01;

/// Radius of the dot at the end of a leader. [mm]
pub const LEADER_DOT_MM: f64 = 0.45;

/// Length and half width of the arrow at the end of a leader. [mm]
const ARROW_MM: (f64, f64) = (1.3, 0.26);

/// The three corners of the arrow at the end of a leader; none when the leader has no direction.
pub fn leader_arrow(leader: &[Point]) -> Vec<Point> {
    let [.., before, tip] = *leader else { return Vec::new() };
    let back = before - tip;
    if back.hypot() < 1e-9 {
        return Vec::new();
    }
    let (back, (length, half)) = (back.normalize(), ARROW_MM);
    let side = back.turn_90() * half;
    vec![tip, tip + back * length + side, tip + back * length - side]
}

/// Pen of leaders and of the rims of tags.
pub const fn tag_pen(tone: Tone) -> Pen {
    Pen::solid(Weight::Fine, tone)
}

/// Paints the marks of a view.
pub fn paint(marks: &[Mark], view: &View, text: &dyn TextWidth) -> Painted {
    let list = DisplayList { width_mm: view.width_mm, height_mm: view.height_mm, items: Vec::new() };
    if !view.is_valid() {
        return Painted { list, labels: LabelReport::default(), callouts: Vec::new() };
    }
    let mut shown: Vec<&Mark> = marks.iter().filter(|mark| view.shows(mark) && is_drawable(mark)).collect();
    shown.sort_by_key(|mark| (mark.layer.order, mark.layer.name));
    let (callouts, labels) = place_callouts(&shown, view, text);
    let mut painter = Painter { view, text, list, origin: view.to_paper() * Point::ORIGIN };
    for (mark, spot) in shown.iter().zip(&callouts) {
        painter.mark(mark, spot.as_ref());
    }
    let callouts = shown.iter().zip(callouts).filter_map(|(mark, spot)| {
        spot.map(|spot| PlacedCallout {
            key: mark_key(mark),
            tag: spot.tag,
            leader: spot.leader,
            end: spot.end,
        })
    });
    Painted { labels, callouts: callouts.collect(), list: painter.list }
}

/// A place for each of the marks that is a callout with something in the window.
fn place_callouts(shown: &[&Mark], view: &View, text: &dyn TextWidth) -> (Vec<Option<Spot>>, LabelReport) {
    if !shown.iter().any(|mark| matches!(mark.shape, Shape::Callout { .. })) {
        // Pots that follow a hand have no tags among them: nothing needs to know what stands where.
        return (vec![None; shown.len()], LabelReport::default());
    }
    let mut standing = Vec::new();
    for mark in shown {
        gather::obstacles(mark, view, text, &mut standing);
    }
    let obstacles = Obstacles::new(standing, view.window());
    let mut owners = Vec::new();
    let mut requests = Vec::new();
    for (i, mark) in shown.iter().enumerate() {
        if let Some(request) = gather::request(mark, view, text) {
            owners.push(i);
            requests.push(request);
        }
    }
    let (spots, report) = labels::place(&requests, &obstacles, view.window());
    let mut by_mark = vec![None; shown.len()];
    for (owner, spot) in owners.into_iter().zip(spots) {
        by_mark[owner] = spot;
    }
    (by_mark, report)
}

/// No yard reaches further from its origin; beyond it a unit has slipped, and curves would need
/// millions of pieces. [m]
const FARTHEST: f64 = 1e6;

/// Whether every number of a mark is finite and no further out than [`FARTHEST`], and its sizes are
/// above zero.
pub fn is_drawable(mark: &Mark) -> bool {
    match &mark.shape {
        Shape::Path { path, .. } => path.elements().iter().all(element_is_near),
        Shape::Circle { centre, radius, .. } => is_near(*centre) && *radius > 0.0 && *radius <= FARTHEST,
        Shape::Glyph { at, rotation, .. } => is_near(*at) && rotation.is_finite(),
        Shape::Text { at, height_mm, rotation, .. } => {
            is_near(*at) && is_height(*height_mm) && rotation.is_none_or(f64::is_finite)
        }
        Shape::Callout { anchors, height_mm, .. } => {
            anchors.iter().copied().all(is_near) && is_height(*height_mm)
        }
        Shape::Dimension { from, to, offset, .. } => {
            is_near(*from) && is_near(*to) && offset.abs() <= FARTHEST
        }
    }
}

/// NaN is near nothing.
fn is_near(point: Point) -> bool {
    point.x.abs() <= FARTHEST && point.y.abs() <= FARTHEST
}

fn element_is_near(element: &PathEl) -> bool {
    match *element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => is_near(p),
        PathEl::QuadTo(p, q) => is_near(p) && is_near(q),
        PathEl::CurveTo(p, q, r) => is_near(p) && is_near(q) && is_near(r),
        PathEl::ClosePath => true,
    }
}

/// Letters up to a metre high.
fn is_height(height_mm: f64) -> bool {
    height_mm > 0.0 && height_mm <= 1_000.0
}

/// Turns marks into items.
struct Painter<'a> {
    view: &'a View,
    text: &'a dyn TextWidth,
    list: DisplayList,
    /// The yard's origin on paper, on which textures hang.
    origin: Point,
}

/// The owner of the items that are being painted.
struct Owner {
    key: String,
    layer: &'static Layer,
}

impl Painter<'_> {
    fn mark(&mut self, mark: &Mark, spot: Option<&Spot>) {
        let owner = Owner { key: mark_key(mark), layer: mark.layer };
        let to_paper = self.view.to_paper();
        match &mark.shape {
            Shape::Path { path, pen, fill } => self.area(&owner, to_paper * path, *pen, *fill),
            Shape::Circle { centre, radius, pen, fill } => {
                let circle = Circle::new(to_paper * *centre, radius * self.view.mm_per_metre());
                self.area(&owner, circle.to_path(ACCURACY), *pen, *fill);
            }
            Shape::Glyph { glyph, at, rotation, tone } => {
                let at = to_paper * *at;
                let place = Affine::translate(at.to_vec2())
                    * Affine::scale_non_uniform(1.0, -1.0)
                    * Affine::rotate(rotation + self.view.rotation);
                for part in glyphs::parts(*glyph) {
                    let (stroke, fill) = glyph_paint(part.filled, tones::colour(*tone));
                    self.path(&owner, place * part.path, stroke, fill);
                }
            }
            Shape::Text { text, height_mm, tone, .. } => {
                if let Some(place) = gather::text_place(mark, self.view) {
                    for (i, line) in text.lines().enumerate() {
                        self.line(
                            &owner,
                            place.line_below(i, *height_mm),
                            line,
                            *height_mm,
                            *tone,
                            Face::Regular,
                            true,
                        );
                    }
                }
            }
            Shape::Callout { lines, height_mm, tone, .. } => {
                if let Some(spot) = spot {
                    self.callout(&owner, spot, lines, *height_mm, *tone);
                }
            }
            Shape::Dimension { from, to, offset, text } => {
                self.dimension(&owner, to_paper * *from, to_paper * *to, *offset, text);
            }
        }
    }

    /// An area: its fill, its texture, its line.
    fn area(&mut self, owner: &Owner, path: BezPath, pen: Option<Pen>, fill: Option<Fill>) {
        let window = self.view.window();
        match fill {
            Some(Fill::Wash(tone)) => self.path(owner, path.clone(), None, Some(tones::wash(tone))),
            Some(Fill::Full(tone)) => self.path(owner, path.clone(), None, Some(tones::colour(tone))),
            Some(Fill::Slanted(tone)) => {
                let lines = textures::slanted(&path, window, self.origin);
                self.path(owner, lines, Some(look::stroke(Pen::solid(Weight::Fine, tone))), None);
            }
            Some(Fill::Dotted(tone)) => {
                let dots = textures::dotted(&path, window, self.origin);
                self.path(owner, dots, None, Some(tones::colour(tone)));
            }
            None => {}
        }
        if let Some(pen) = pen {
            self.path(owner, path, Some(look::stroke(pen)), None);
        }
    }

    fn callout(&mut self, owner: &Owner, spot: &Spot, lines: &[String], height_mm: f64, tone: Tone) {
        let stroke = look::stroke(tag_pen(tone));
        self.path(owner, polyline(&spot.leader), Some(stroke.clone()), None);
        let end = match (spot.end, spot.leader.last()) {
            (LeaderEnd::Dot, Some(anchor)) => Circle::new(*anchor, LEADER_DOT_MM).to_path(ACCURACY),
            _ => polygon(&leader_arrow(&spot.leader)),
        };
        self.path(owner, end, None, Some(tones::colour(tone)));
        let rim = spot.tag.to_rounded_rect(0.6).to_path(ACCURACY);
        self.path(owner, rim, Some(stroke), Some(tones::WHITE));
        let places = tag::lines(spot.tag, lines.len(), height_mm);
        for (i, (line, place)) in lines.iter().zip(places).enumerate() {
            self.line(owner, place, line, height_mm, tone, tag::face(i, lines.len()), false);
        }
    }

    fn dimension(&mut self, owner: &Owner, from: Point, to: Point, offset: f64, figure: &str) {
        let Some(drawn) = dimension::strokes(from, to, offset * self.view.mm_per_metre()) else { return };
        for (lines, pen) in [(&drawn.lines, dimension::LINES), (&drawn.ticks, dimension::TICKS)] {
            for line in lines {
                self.path(owner, polyline(&[line.p0, line.p1]), Some(look::stroke(pen)), None);
            }
        }
        let height = dimension::FIGURE_MM;
        self.line(owner, drawn.figure, figure, height, dimension::LINES.tone, Face::Regular, true);
    }

    /// Adds a path unless it lies wholly outside the window.
    fn path(&mut self, owner: &Owner, path: BezPath, stroke: Option<Stroke>, fill: Option<Rgb>) {
        let grown = stroke.as_ref().map_or(0.0, |stroke| stroke.width_mm / 2.0);
        let bounds = path.control_box().inflate(grown, grown);
        if !path.is_empty() && path.is_finite() && boxes_meet(bounds, self.view.window()) {
            self.push(owner, Primitive::Path { path, stroke, fill });
        }
    }

    /// Adds one line of letters unless it is empty or wholly outside the window.
    #[expect(clippy::too_many_arguments, reason = "one line of letters has that many properties")]
    fn line(
        &mut self,
        owner: &Owner,
        place: Placement,
        text: &str,
        height_mm: f64,
        tone: Tone,
        face: Face,
        halo: bool,
    ) {
        let width = self.text.width_mm(text, height_mm, face);
        let [a, b, c, d] = place.corners(width, height_mm);
        let bounds = Rect::from_points(a, b).union_pt(c).union_pt(d);
        if text.trim().is_empty() || !bounds.is_finite() || !boxes_meet(bounds, self.view.window()) {
            return;
        }
        let Placement { at, anchor, rotation } = place;
        let colour = tones::letters(tone);
        let text = text.to_owned();
        self.push(
            owner,
            Primitive::Text { at, text, cap_height_mm: height_mm, anchor, rotation, colour, face, halo },
        );
    }

    fn push(&mut self, owner: &Owner, primitive: Primitive) {
        self.list.items.push(Item { key: owner.key.clone(), layer: owner.layer, primitive });
    }
}

fn glyph_paint(filled: bool, colour: Rgb) -> (Option<Stroke>, Option<Rgb>) {
    if filled {
        (None, Some(colour))
    } else {
        (Some(Stroke { width_mm: glyphs::LINE_MM, dash_mm: Vec::new(), colour }), None)
    }
}

/// A path through the points.
pub fn polyline(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (i, point) in points.iter().enumerate() {
        if i == 0 {
            path.move_to(*point);
        } else {
            path.line_to(*point);
        }
    }
    path
}

/// A closed path through the points.
pub fn polygon(points: &[Point]) -> BezPath {
    let mut path = polyline(points);
    if !points.is_empty() {
        path.close_path();
    }
    path
}

/// Anchor names for painters that have three of them.
pub const fn anchor_word(anchor: TextAnchor) -> &'static str {
    match anchor {
        TextAnchor::Left => "start",
        TextAnchor::Middle => "middle",
        TextAnchor::Right => "end",
    }
}
