//! Small parts of a page, made of the same primitives as a drawing.
//!
//! - In: places, words and sizes [mm, y down]. Out: primitives, or strips: rows that are laid one
//!   below the other and never split.
//! - Not here: which strips a block consists of (`blocks.rs`, `table_block.rs`).

use groundwright_drawing::{Face, Primitive, Rgb, Stroke};
use groundwright_handoff::TextAnchor;
use kurbo::{BezPath, Point, Rect, Shape};

use crate::fonts::Fonts;
use crate::setting::Letters;

/// A straight line.
pub(crate) fn line(from: Point, to: Point, width: f64, colour: Rgb) -> Primitive {
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(to);
    outline(path, width, colour)
}

/// A path with a line and no fill.
pub(crate) fn outline(path: BezPath, width: f64, colour: Rgb) -> Primitive {
    Primitive::Path {
        path,
        stroke: Some(Stroke { width_mm: width, dash_mm: Vec::new(), colour }),
        fill: None,
    }
}

/// A filled path without a line.
pub(crate) fn filled(path: BezPath, colour: Rgb) -> Primitive {
    Primitive::Path { path, stroke: None, fill: Some(colour) }
}

/// The path round a rectangle.
pub(crate) fn rectangle(rect: Rect) -> BezPath {
    rect.to_path(0.1)
}

/// One line of text, level, on the base line through `at`.
pub(crate) fn text(at: Point, words: impl Into<String>, letters: Letters, anchor: TextAnchor) -> Primitive {
    Primitive::Text {
        at,
        text: words.into(),
        cap_height_mm: letters.cap,
        anchor,
        rotation: 0.0,
        colour: letters.colour,
        face: letters.face,
        halo: false,
    }
}

/// Primitives in a strip of some height, origin at its top left. [mm, y down]
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Strip {
    pub height: f64,
    pub primitives: Vec<Primitive>,
    /// Whether a page must not begin with it.
    pub stays_with_previous: bool,
}

impl Strip {
    /// Leaves room below.
    pub fn space(&mut self, height: f64) {
        self.height += height;
    }

    /// A rule across, at the foot of the strip so far.
    pub fn rule(&mut self, x0: f64, x1: f64, width: f64, colour: Rgb) {
        self.primitives.push(line(Point::new(x0, self.height), Point::new(x1, self.height), width, colour));
    }

    /// A paragraph below what is there, broken to the width between `x0` and `x1`.
    pub fn paragraph(&mut self, fonts: &Fonts, words: &str, letters: Letters, x0: f64, x1: f64) {
        let lines = fonts.wrap(words, letters.cap, letters.face, x1 - x0);
        self.height +=
            lines_at(&mut self.primitives, &lines, letters, Point::new(x0, self.height), TextAnchor::Left);
    }
}

/// Adds lines of text whose first line box begins at `top`; their height together. [mm]
pub(crate) fn lines_at(
    primitives: &mut Vec<Primitive>,
    lines: &[String],
    letters: Letters,
    top: Point,
    anchor: TextAnchor,
) -> f64 {
    let leading = letters.leading();
    let first = top.y + first_base_line(letters);
    for (i, words) in lines.iter().enumerate().filter(|(_, words)| !words.is_empty()) {
        let at = Point::new(top.x, first + leading * i as f64);
        primitives.push(text(at, words.clone(), letters, anchor));
    }
    leading * lines.len() as f64
}

/// From the top of a line box to its base line: the capitals stand in its middle. [mm]
pub(crate) fn first_base_line(letters: Letters) -> f64 {
    f64::midpoint(letters.leading(), letters.cap)
}

/// Words in bold, for headings within strips.
pub(crate) fn bold(letters: Letters) -> Letters {
    letters.in_face(Face::Bold)
}
