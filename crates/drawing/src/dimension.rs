//! The strokes of a dimension: two extension lines, the dimension line with slanting ticks, the
//! figure above it.
//!
//! - In: two points and an offset on paper. Out: lines, ticks and the place of the figure.
//! - Method: as draughtsmen do it (common practice, no source); measures of paper are constants
//!   below.
//! - Used by `paint.rs` and `dxf/`, so both show the same.

use groundwright_handoff::{Pen, TextAnchor, Tone, Weight};
use kurbo::{Line, Point, Vec2};

use crate::view::Placement;

/// Height of the capitals of the figure. [mm]
pub const FIGURE_MM: f64 = 2.2;

/// Gap between the measured point and its extension line. [mm]
const GAP_MM: f64 = 1.0;

/// How far lines run on beyond the tick. [mm]
const BEYOND_MM: f64 = 1.2;

/// Half the length of a tick. [mm]
const TICK_MM: f64 = 1.1;

/// Clear height between the dimension line and the figure's base line. [mm]
const CLEAR_MM: f64 = 0.8;

/// Pen of dimension and extension lines.
pub const LINES: Pen = Pen::solid(Weight::Thin, Tone::Ink);

/// Pen of the ticks.
pub const TICKS: Pen = Pen::solid(Weight::Heavy, Tone::Ink);

/// A dimension on paper. [mm, y down]
#[derive(Debug, Clone, PartialEq)]
pub struct DimensionStrokes {
    /// Dimension line and extension lines.
    pub lines: Vec<Line>,
    /// Slanting ticks where they meet.
    pub ticks: Vec<Line>,
    /// Where the figure stands.
    pub figure: Placement,
}

/// Lays out a dimension on paper.
///
/// `offset` is the distance of the dimension line from the points, left of the direction as the
/// yard sees it. [mm of paper] `None` when the points coincide: there is nothing to measure.
pub fn strokes(from: Point, to: Point, offset: f64) -> Option<DimensionStrokes> {
    let along = to - from;
    if along.hypot() < 1e-9 {
        return None;
    }
    let along = along.normalize();
    // Left of the direction in the yard is clockwise-left on paper, whose y points down.
    let left = Vec2::new(along.y, -along.x);
    let (start, end) = (from + left * offset, to + left * offset);
    let side = left * if offset < 0.0 { -1.0 } else { 1.0 };
    let mut lines = vec![Line::new(start - along * BEYOND_MM, end + along * BEYOND_MM)];
    if offset.abs() > GAP_MM {
        for point in [from, to] {
            lines.push(Line::new(point + side * GAP_MM, point + side * (offset.abs() + BEYOND_MM)));
        }
    }
    let slant = (along + left).normalize() * TICK_MM;
    let ticks = [start, end].map(|point| Line::new(point - slant, point + slant)).to_vec();
    let level = Placement::readable(start.midpoint(end), TextAnchor::Middle, along.atan2(), 0.0);
    let up = Vec2::new(level.rotation.sin(), -level.rotation.cos());
    let figure = Placement { at: start.midpoint(end) + up * CLEAR_MM, ..level };
    Some(DimensionStrokes { lines, ticks, figure })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_dimension_line_lies_left_of_the_direction() {
        // Eastwards in the yard is rightwards on paper; left of it is north, so up the sheet.
        let drawn = strokes(Point::new(10.0, 50.0), Point::new(60.0, 50.0), 8.0).unwrap();
        assert!((drawn.lines[0].p0.y - 42.0).abs() < 1e-9);
        assert!((drawn.figure.at.y - (42.0 - CLEAR_MM)).abs() < 1e-9);
        assert!(drawn.figure.rotation.abs() < 1e-12);
        let south = strokes(Point::new(60.0, 50.0), Point::new(10.0, 50.0), 8.0).unwrap();
        assert!((south.lines[0].p0.y - 58.0).abs() < 1e-9);
        assert!((south.figure.at.y - (58.0 - CLEAR_MM)).abs() < 1e-9, "the figure stands above its line");
    }

    #[test]
    fn the_dimension_line_is_as_long_as_what_it_measures() {
        let drawn = strokes(Point::new(10.0, 50.0), Point::new(40.0, 90.0), -5.0).unwrap();
        let (first, second) = (drawn.ticks[0].midpoint(), drawn.ticks[1].midpoint());
        assert!((first.distance(second) - 50.0).abs() < 1e-9);
    }

    #[test]
    fn coinciding_points_measure_nothing() {
        assert!(strokes(Point::new(1.0, 1.0), Point::new(1.0, 1.0), 5.0).is_none());
    }
}
