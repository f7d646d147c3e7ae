//! Widths of letters without a font: advance widths of a typical sans-serif face.
//!
//! In: a line of text, the height of its capitals and the cut. Out: its width. Method: a table of
//! advance widths in thousandths of the em, averaged by class of letter, with 716 thousandths of
//! the em for the height of capitals; rounded generously, so that a box measured here holds the
//! text in any ordinary sans-serif. Common practice, no source. Documents measure with the font
//! that they embed instead.

use crate::display::{Face, TextWidth};

/// Height of capitals in parts of the em, of a typical sans-serif face.
pub const CAP_HEIGHT_OF_EM: f64 = 0.716;

/// Bold letters are about this much wider than regular ones.
const BOLD: f64 = 1.07;

/// Widths of letters from a built-in table.
#[derive(Debug, Clone, Copy, Default)]
pub struct AverageWidths;

impl TextWidth for AverageWidths {
    fn width_mm(&self, text: &str, cap_height_mm: f64, face: Face) -> f64 {
        let thousandths: f64 = text.chars().map(advance).sum();
        let wider = if face == Face::Bold { BOLD } else { 1.0 };
        thousandths / 1000.0 * cap_height_mm / CAP_HEIGHT_OF_EM * wider
    }
}

/// Advance width of one letter. [1/1000 em]
fn advance(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | '\'' | '|' => 225.0,
        'f' | 't' | 'I' | ' ' | '.' | ',' | ':' | ';' | '!' | '/' => 280.0,
        'r' | '(' | ')' | '[' | ']' | '-' | '"' | '′' | '°' => 340.0,
        'c' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' | 'J' => 505.0,
        'm' | 'M' => 840.0,
        'w' => 730.0,
        'W' | '@' | '%' | '—' | '…' => 950.0,
        'G' | 'O' | 'Q' => 780.0,
        'C' | 'D' | 'H' | 'N' | 'R' | 'U' => 725.0,
        '+' | '=' | '<' | '>' | '±' | '×' | '÷' => 590.0,
        'A'..='Z' => 665.0,
        'a'..='z' | '0'..='9' => 560.0,
        _ if letter.is_uppercase() => 725.0,
        _ => 600.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn width_grows_with_height_and_letters() {
        let widths = AverageWidths;
        let one = widths.width_mm("Boxwood", 2.5, Face::Regular);
        assert!((widths.width_mm("Boxwood", 5.0, Face::Regular) - 2.0 * one).abs() < 1e-12);
        assert!((widths.width_mm("BoxwoodBoxwood", 2.5, Face::Regular) - 2.0 * one).abs() < 1e-12);
        assert!(widths.width_mm("Boxwood", 2.5, Face::Bold) > one);
        assert!(widths.width_mm("Will", 2.5, Face::Regular) < widths.width_mm("MOWN", 2.5, Face::Regular));
    }

    #[test]
    fn nothing_has_no_width() {
        assert_eq!(AverageWidths.width_mm("", 2.5, Face::Regular), 0.0);
    }
}
