//! Widths of letters without a font: advance widths of a wide sans-serif face.
//!
//! - In: a line of text, the height of its capitals and the cut. Out: its width.
//! - Method: advance widths in thousandths of the em by class of letter, the widest of the class in
//!   the open face DejaVu Sans 2.37 (read from its `hmtx` table), which is wider than most; so a
//!   box measured here holds the text in any ordinary sans-serif.
//! - Documents measure with the font that they embed instead.

use crate::display::{Face, TextWidth};

/// Height of capitals in parts of the em, of the same face.
pub const CAP_HEIGHT_OF_EM: f64 = 0.729;

/// Bold letters of the same face are about this much wider than regular ones.
const BOLD: f64 = 1.12;

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
        'i' | 'j' | 'l' | '\'' | 'I' | 'J' | '′' => 295.0,
        ' ' | '.' | ',' | ':' | ';' | '/' | 'f' | '|' | '!' => 340.0,
        't' | '(' | ')' | '[' | ']' | '-' | '″' => 392.0,
        'r' | '"' => 440.0,
        'c' | 's' | 'z' | 'L' | '°' => 550.0,
        'k' | 'v' | 'x' | 'y' | 'F' => 592.0,
        'w' | '+' | '=' | '<' | '>' | '±' | '×' | '÷' | '#' => 838.0,
        'm' | 'M' | 'W' | '@' | '%' | '—' | '…' | '½' | '¼' | '¾' => 980.0,
        'D' | 'G' | 'H' | 'N' | 'O' | 'Q' | 'U' | '&' => 775.0,
        'A'..='Z' => 690.0,
        'a'..='z' | '0'..='9' => 635.0,
        _ if letter.is_uppercase() => 775.0,
        _ => 640.0,
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

    /// Sums of the advance widths of DejaVu Sans 2.37, read from the font, over its capitals' height.
    #[test]
    fn the_table_holds_a_wide_face() {
        for (text, face, thousandths) in [
            ("meadow sage, 1 gal", Face::Regular, 9_847.0),
            ("EXISTING HOUSE", Face::Regular, 8_909.0),
            ("14 HORN", Face::Bold, 5_034.0),
        ] {
            let printed = thousandths / 729.0 * 2.5;
            let ours = AverageWidths.width_mm(text, 2.5, face);
            assert!(ours >= printed && ours < 1.08 * printed, "{text}: {ours} against {printed}");
        }
    }

    #[test]
    fn nothing_has_no_width() {
        assert!(AverageWidths.width_mm("", 2.5, Face::Regular) < 1e-12);
    }
}
