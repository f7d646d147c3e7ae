//! How things look: our own pens, colours, signs and textures.
//!
//! A mark says what it is (weight, pattern, tone, glyph, fill); this module says with how many
//! millimetres, in which colour and with which strokes. Nothing here is taken from a product.
//!
//! - Widths of lines: five neighbours of the series of ISO 128-2:2020 (0.13, 0.18, 0.25, 0.35,
//!   0.5 mm, ratio 1 : √2), the series as remembered.
//! - Lengths of dashes: multiples of the line's width, ISO 128-2:2020 as remembered: gap 3 d, short
//!   dash 6 d, dash 12 d, long dash 24 d. A dot is 1 d here (there at most 0.5 d) because thin
//!   dots vanish in office printers.
//! - Not here: colours (`look/tones.rs`), signs (`look/glyphs.rs`), textures (`look/textures.rs`).

pub mod glyphs;
pub mod textures;
pub mod tones;

use groundwright_handoff::{Pattern, Pen, Weight};

use crate::display::Stroke;

/// All weights, thin to thick.
pub const WEIGHTS: [Weight; 5] = [Weight::Fine, Weight::Thin, Weight::Medium, Weight::Heavy, Weight::Bold];

/// Width of a line. [mm]
pub const fn width_mm(weight: Weight) -> f64 {
    match weight {
        Weight::Fine => 0.13,
        Weight::Thin => 0.18,
        Weight::Medium => 0.25,
        Weight::Heavy => 0.35,
        Weight::Bold => 0.5,
    }
}

/// All patterns.
pub const PATTERNS: [Pattern; 5] =
    [Pattern::Continuous, Pattern::Dashed, Pattern::DashDot, Pattern::Dotted, Pattern::LongShortShort];

/// Dash, gap, dash, gap and so on in multiples of the line's width; empty for a continuous line.
pub const fn dashes_of_width(pattern: Pattern) -> &'static [f64] {
    match pattern {
        Pattern::Continuous => &[],
        Pattern::Dashed => &[12.0, 3.0],
        Pattern::DashDot => &[24.0, 3.0, 1.0, 3.0],
        Pattern::Dotted => &[1.0, 3.0],
        Pattern::LongShortShort => &[24.0, 3.0, 6.0, 3.0, 6.0, 3.0],
    }
}

/// The stroke that a pen draws.
pub fn stroke(pen: Pen) -> Stroke {
    let width_mm = width_mm(pen.weight);
    let dash_mm = dashes_of_width(pen.pattern).iter().map(|length| length * width_mm).collect();
    Stroke { width_mm, dash_mm, colour: tones::colour(pen.tone) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Neighbours in the series of ISO 128-2 stand in the ratio 1 : √2, printed to two decimals.
    #[test]
    fn widths_follow_the_series() {
        for pair in WEIGHTS.windows(2) {
            let ratio = width_mm(pair[1]) / width_mm(pair[0]);
            assert!((ratio - std::f64::consts::SQRT_2).abs() < 0.04, "{pair:?}: {ratio}");
        }
    }

    /// A painter that walks a pattern of length zero never ends.
    #[test]
    fn patterns_come_in_pairs_of_lengths_above_zero_and_differ() {
        for (i, pattern) in PATTERNS.iter().enumerate() {
            let dashes = dashes_of_width(*pattern);
            assert!(dashes.len().is_multiple_of(2) && dashes.iter().all(|length| *length > 0.0));
            assert!(PATTERNS[..i].iter().all(|other| dashes_of_width(*other) != dashes));
        }
    }
}
