//! From marks to requests and obstacles.
//!
//! - In: the marks of a view. Out: the tags to place, and what they should not cover.
//! - Pots are circles up to [`POT_MM`] that are not drawn as mature or future size; larger circles
//!   and all paths count by their lines, the heavier the dearer. Fine and thin lines and crowns may
//!   be covered.

use groundwright_handoff::{Mark, Pattern, Pen, Shape, Weight};
use kurbo::{BezPath, Circle, PathEl, Point, Shape as _, flatten};

use super::obstacles::Obstacle;
use super::{Request, price, tag};
use crate::dimension;
use crate::display::{TextWidth, View};
use crate::look::glyphs;
use crate::view::{Placement, mark_key};

/// Circles up to this radius count as pots. [mm of paper]
pub const POT_MM: f64 = 8.0;

/// From this price per millimetre on, paper under a line is not free.
pub const HEAVY_LINE: f64 = 1.0;

/// Flattening of lines. [mm]
const ACCURACY: f64 = 0.3;

/// The tag that a callout asks for; `None` for other marks and for callouts of which nothing lies
/// in the window.
pub fn request(mark: &Mark, view: &View, text: &dyn TextWidth) -> Option<Request> {
    let Shape::Callout { lines, anchors, height_mm, .. } = &mark.shape else { return None };
    let (to_paper, window) = (view.to_paper(), view.window());
    let anchors: Vec<Point> =
        anchors.iter().map(|anchor| to_paper * *anchor).filter(|anchor| window.contains(*anchor)).collect();
    let size = tag::size(lines, *height_mm, text);
    let drawable = !anchors.is_empty() && size.is_finite();
    drawable.then(|| Request { key: mark_key(mark), subject: mark.subject.clone(), anchors, size })
}

/// What a mark leaves on the paper that tags should not cover.
pub fn obstacles(mark: &Mark, view: &View, text: &dyn TextWidth, into: &mut Vec<Obstacle>) {
    let to_paper = view.to_paper();
    match &mark.shape {
        Shape::Path { path, pen, .. } => outline(&(to_paper * path), *pen, into),
        Shape::Circle { centre, radius, pen, .. } => {
            let circle = Circle::new(to_paper * *centre, radius * view.mm_per_metre());
            if is_pot(circle.radius, *pen) {
                into.push(Obstacle::Disc { centre: circle.center, radius: circle.radius });
            } else {
                outline(&circle.to_path(ACCURACY), *pen, into);
            }
        }
        Shape::Glyph { glyph, at, .. } => {
            into.push(Obstacle::Disc { centre: to_paper * *at, radius: glyphs::reach_mm(*glyph) });
        }
        Shape::Text { text: words, height_mm, .. } => {
            if let Some(place) = text_place(mark, view) {
                for (i, line) in words.lines().enumerate() {
                    letters(place.line_below(i, *height_mm), line, *height_mm, text, into);
                }
            }
        }
        Shape::Dimension { from, to, offset, text: figure } => {
            let offset = offset * view.mm_per_metre();
            if let Some(drawn) = dimension::strokes(to_paper * *from, to_paper * *to, offset) {
                let line =
                    |line: &kurbo::Line| Obstacle::Line { from: line.p0, to: line.p1, price: HEAVY_LINE };
                into.extend(drawn.lines.iter().map(line));
                letters(drawn.figure, figure, dimension::FIGURE_MM, text, into);
            }
        }
        Shape::Callout { .. } => {}
    }
}

/// Where the first line of a text mark stands on paper; `None` for other marks.
pub fn text_place(mark: &Mark, view: &View) -> Option<Placement> {
    let Shape::Text { at, height_mm, anchor, rotation, .. } = &mark.shape else { return None };
    // Counter-clockwise in the yard is clockwise the other way on paper; level texts stay level.
    let clockwise = rotation.map_or(0.0, |rotation| -(rotation + view.rotation));
    Some(Placement::readable(view.to_paper() * *at, *anchor, clockwise, *height_mm))
}

fn is_pot(radius_mm: f64, pen: Option<Pen>) -> bool {
    radius_mm <= POT_MM && pen.is_none_or(|pen| pen.weight != Weight::Fine && pen.pattern != Pattern::Dotted)
}

fn letters(place: Placement, line: &str, height_mm: f64, text: &dyn TextWidth, into: &mut Vec<Obstacle>) {
    let face = crate::display::Face::Regular;
    let width = text.width_mm(line, height_mm, face);
    if width > 0.0 {
        into.push(Obstacle::Letters { corners: place.corners(width, height_mm) });
    }
}

/// Price of covering a millimetre of a line. [mm of leader]
fn line_price(pen: Pen) -> f64 {
    match pen.weight {
        Weight::Fine | Weight::Thin => 0.0,
        Weight::Medium => price::ON_MEDIUM_LINE,
        Weight::Heavy => price::ON_HEAVY_LINE,
        Weight::Bold => price::ON_BOLD_LINE,
    }
}

fn outline(path: &BezPath, pen: Option<Pen>, into: &mut Vec<Obstacle>) {
    let price = pen.map_or(0.0, line_price);
    if price <= 0.0 || !path.is_finite() {
        return;
    }
    let (mut start, mut at) = (Point::ORIGIN, Point::ORIGIN);
    flatten(path, ACCURACY, |element| {
        let to = match element {
            PathEl::MoveTo(point) => {
                (start, at) = (point, point);
                return;
            }
            PathEl::LineTo(point) => point,
            _ => start,
        };
        into.push(Obstacle::Line { from: at, to, price });
        at = to;
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use groundwright_handoff::Tone;

    #[test]
    fn mature_size_is_not_a_pot() {
        let pot = Pen::solid(Weight::Medium, Tone::New);
        let mature = Pen::of(Weight::Fine, Pattern::Dotted, Tone::New);
        assert!(is_pot(3.0, Some(pot)) && !is_pot(3.0, Some(mature)) && !is_pot(POT_MM + 1.0, Some(pot)));
    }

    #[test]
    fn a_closed_outline_costs_on_every_side() {
        let square = kurbo::Rect::new(0.0, 0.0, 10.0, 10.0).to_path(0.1);
        let mut lines = Vec::new();
        outline(&square, Some(Pen::solid(Weight::Heavy, Tone::Ink)), &mut lines);
        let length: f64 = lines
            .iter()
            .map(|line| match line {
                Obstacle::Line { from, to, .. } => from.distance(*to),
                _ => f64::NAN,
            })
            .sum();
        assert!((length - 40.0).abs() < 1e-9);
        outline(&square, Some(Pen::solid(Weight::Thin, Tone::Ink)), &mut lines);
        assert_eq!(lines.len(), 4);
    }
}
