//! Colours of the drawing by number, by day and by night.
//!
//! - By day they are the drawing's own (`drawing::look::tones`). By night the paper is dark and
//!   every colour keeps its hue while its lightness is turned round, so that what was darkest on
//!   light paper is lightest on dark paper.
//! - Method: CIE 1976 L*a*b* under D65; L* of the night falls from [`NIGHT_INK`] (black) to
//!   [`NIGHT_PAPER`] (white), bent so that the middle stays light enough for letters; a* and b* stay,
//!   shrunk where the colour would leave sRGB.
//! - The page draws in these only, so that the order of tones apart in lightness is kept.

use groundwright_drawing::{Rgb, look::tones};

use crate::messages::ColourNews;

/// Lightness of the night's paper. [L*]
const NIGHT_PAPER: f64 = 13.0;
/// Lightness of what is black by day. [L*]
const NIGHT_INK: f64 = 94.0;
/// Below one the middle is lighter than on a straight line.
const BEND: f64 = 0.8;

/// The drawing's colours in the order of their numbers.
pub fn day() -> Vec<Rgb> {
    let tones = tones::TONES.iter();
    let mut all: Vec<Rgb> =
        tones.flat_map(|tone| [tones::colour(*tone), tones::wash(*tone), tones::letters(*tone)]).collect();
    all.push(tones::WHITE);
    all
}

/// The number of a colour; ink's where it is none of the drawing's.
pub fn number(colours: &[Rgb], colour: Rgb) -> usize {
    colours.iter().position(|known| *known == colour).unwrap_or(0)
}

/// All colours for the page.
pub fn news() -> Vec<ColourNews> {
    day().into_iter().map(|colour| ColourNews { light: hex(colour), dark: hex(night(colour)) }).collect()
}

fn hex(Rgb(r, g, b): Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// The colour on dark paper.
pub fn night(colour: Rgb) -> Rgb {
    let [lightness, a, b] = lab(linear(colour));
    let turned =
        NIGHT_PAPER + (NIGHT_INK - NIGHT_PAPER) * (1.0 - lightness / 100.0).clamp(0.0, 1.0).powf(BEND);
    // Shrunk until it fits: sixteen steps are finer than a step of 8 bits.
    let fitting = (0..=16).map(|i| 1.0 - f64::from(i) / 16.0).find_map(|part| {
        let rgb = from_lab([turned, a * part, b * part]);
        rgb.iter().all(|c| (-0.002..=1.002).contains(c)).then_some(rgb)
    });
    let [r, g, b] = fitting.unwrap_or_else(|| from_lab([turned, 0.0, 0.0])).map(encoded);
    Rgb(r, g, b)
}

/// sRGB to linear light, IEC 61966-2-1 (from memory).
fn linear(Rgb(r, g, b): Rgb) -> [f64; 3] {
    [r, g, b].map(|channel| {
        let c = f64::from(channel) / 255.0;
        if c <= 0.040_45 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) }
    })
}

fn encoded(c: f64) -> u8 {
    let c = c.clamp(0.0, 1.0);
    let c = if c <= 0.003_130_8 { c * 12.92 } else { 1.055 * c.powf(1.0 / 2.4) - 0.055 };
    (c * 255.0).round() as u8
}

/// CIE 1976 L*a*b* under D65 (from memory).
fn lab([r, g, b]: [f64; 3]) -> [f64; 3] {
    let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.0890;
    let f = |t: f64| if t > 0.008_856 { t.cbrt() } else { 7.787 * t + 16.0 / 116.0 };
    [116.0 * f(y) - 16.0, 500.0 * (f(x) - f(y)), 200.0 * (f(y) - f(z))]
}

fn from_lab([lightness, a, b]: [f64; 3]) -> [f64; 3] {
    let y = (lightness + 16.0) / 116.0;
    let (x, z) = (y + a / 500.0, y - b / 200.0);
    let g = |t: f64| if t > 0.206_893 { t.powi(3) } else { (t - 16.0 / 116.0) / 7.787 };
    let (x, y, z) = (g(x) * 0.9505, g(y), g(z) * 1.0890);
    [
        3.2406 * x - 1.5372 * y - 0.4986 * z,
        -0.9689 * x + 1.8758 * y + 0.0415 * z,
        0.0557 * x - 0.2040 * y + 1.0570 * z,
    ]
}

#[cfg(test)]
mod tests {
    use groundwright_handoff::Tone;

    use super::*;

    /// Contrast ratio of WCAG 2.2: (L1 + 0.05) / (L2 + 0.05), lighter over darker (from memory).
    fn contrast(a: Rgb, b: Rgb) -> f64 {
        let luminance = |colour| {
            let [r, g, b] = linear(colour);
            0.2126 * r + 0.7152 * g + 0.0722 * b + 0.05
        };
        let (a, b): (f64, f64) = (luminance(a), luminance(b));
        a.max(b) / a.min(b)
    }

    /// WCAG 2.2, 1.4.11 asks 3 : 1 of graphics and 1.4.3 asks 4.5 : 1 of text (from memory).
    #[test]
    fn night_colours_stand_out_from_the_night_paper() {
        let paper = night(tones::WHITE);
        for tone in tones::TONES {
            let needed = if tone == Tone::Faint { 1.5 } else { 3.0 };
            let line = contrast(night(tones::colour(tone)), paper);
            assert!(line >= needed, "{tone:?} line {line:.2}");
            let needed = if tone == Tone::Faint { 2.0 } else { 4.5 };
            let letters = contrast(night(tones::letters(tone)), paper);
            assert!(letters >= needed, "{tone:?} letters {letters:.2}");
        }
    }

    #[test]
    fn the_order_of_lightness_is_turned_round() {
        let mut all = day();
        all.sort_by(|a, b| lab(linear(*a))[0].total_cmp(&lab(linear(*b))[0]));
        let nights: Vec<f64> = all.iter().map(|colour| lab(linear(night(*colour)))[0]).collect();
        assert!(nights.windows(2).all(|pair| pair[0] > pair[1] - 0.6), "{nights:?}");
    }

    #[test]
    fn every_colour_has_its_number() {
        let all = day();
        assert!(all.iter().all(|colour| all[number(&all, *colour)] == *colour));
        assert_eq!(news().len(), all.len());
    }
}
