//! Measures of a tag: how large its box is and where its lines stand in it.

use groundwright_handoff::TextAnchor;
use kurbo::{Point, Rect, Size};

use crate::display::{Face, TextWidth};
use crate::view::{DESCENT, LINE_PITCH, Placement};

/// Clear paper between letters and the box, at the sides. [mm]
const PAD_X_MM: f64 = 0.9;

/// Clear paper between capitals and the box above them. [mm]
const PAD_ABOVE_MM: f64 = 0.9;

/// Clear paper between descenders and the box below them; capitals alone look centred. [mm]
const PAD_BELOW_MM: f64 = 0.4;

/// The first of several lines is bold: it carries the count and the short name.
pub fn face(line: usize, of: usize) -> Face {
    if line == 0 && of > 1 { Face::Bold } else { Face::Regular }
}

/// Size of a tag. [mm]
pub fn size(lines: &[String], height_mm: f64, text: &dyn TextWidth) -> Size {
    let width = |(i, line): (usize, &String)| text.width_mm(line, height_mm, face(i, lines.len()));
    let widest = lines.iter().enumerate().map(width).fold(0.0, f64::max);
    let below = lines.len().saturating_sub(1) as f64;
    let height = height_mm * (1.0 + DESCENT + LINE_PITCH * below);
    Size::new(widest + 2.0 * PAD_X_MM, height + PAD_ABOVE_MM + PAD_BELOW_MM)
}

/// Where the lines of a tag stand.
pub fn lines(tag: Rect, count: usize, height_mm: f64) -> Vec<Placement> {
    let at = Point::new(tag.x0 + PAD_X_MM, tag.y0 + PAD_ABOVE_MM + height_mm);
    let first = Placement { at, anchor: TextAnchor::Left, rotation: 0.0 };
    (0..count).map(|i| first.line_below(i, height_mm)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text_width::AverageWidths;

    #[test]
    fn the_lines_stand_inside_the_box() {
        let words = ["12 LAV".to_owned(), "Lavandula, 1 gal, 18 in o.c.".to_owned()];
        let size = size(&words, 2.2, &AverageWidths);
        let tag = Rect::from_origin_size(Point::new(10.0, 20.0), size);
        for (i, place) in lines(tag, 2, 2.2).iter().enumerate() {
            let width = AverageWidths.width_mm(&words[i], 2.2, face(i, 2));
            for corner in place.corners(width, 2.2) {
                assert!(tag.inflate(1e-9, 1e-9).contains(corner), "line {i}: {corner:?} outside {tag:?}");
            }
        }
    }
}
