//! From luminance to what a display can show.
//!
//! - Photographic curve (Reinhard and others 2002, with its white point); exposure by the mean of what
//!   is lit, with a key that falls as the eye adapts to the dark (Krawczyk and others 2005, formula from
//!   memory; held between 0.13 and 0.24), so that a night stays a night.
//! - What is shown white is said with its luminance.

use crate::colour::{Colour, luminance, to_srgb};
use crate::film::Picture;

/// How luminance becomes brightness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    /// Factor on luminance before the curve. [m²/cd]
    pub exposure: f32,
    /// Luminance from which all is shown white. [cd/m²]
    pub white: f32,
    /// Colour that is shown as white, of luminance 1.
    pub white_point: Colour,
}

/// The eye opens no further: a tenth of a candela to the square metre stays dusky. [m²/cd]
const DARKEST: f32 = 4.0;

impl Tone {
    /// By what a picture shows.
    ///
    /// # Arguments
    /// - `lighter`: factor on the exposure, 1 for none.
    pub fn adapted(picture: &Picture, white_point: Colour, lighter: f32) -> Self {
        let mut values: Vec<f32> = picture.luminance().filter(|v| *v > 0.0).collect();
        values.sort_by(f32::total_cmp);
        let Some(high) = values.get(values.len() * 99 / 100).copied().filter(|v| *v > 0.0) else {
            return Self { exposure: 1.0, white: 1.0, white_point };
        };
        // Black sky and deep shade say nothing about the exposure.
        let lit = values.partition_point(|v| *v < 0.01 * high);
        let lit = &values[lit..];
        let mean =
            (lit.iter().map(|v| f64::from(v.ln())).sum::<f64>() / lit.len().max(1) as f64).exp() as f32;
        let key = 1.03 - 2.0 / (2.0 + (mean + 1.0).log10());
        // Never so dark that the display's lowest steps hold all, nor so light that a day is washed out.
        let exposure = (key.clamp(0.13, 0.24) / mean).min(DARKEST) * lighter;
        Self { exposure, white: 1.6 * high.max(1.0 / exposure), white_point }
    }

    /// A colour as the display's linear light, 0 to 1.
    pub fn shown(&self, colour: Colour) -> Colour {
        let seen = colour / self.white_point.max(Colour::splat(1e-3));
        let scaled = luminance(seen) * self.exposure;
        if scaled <= 0.0 {
            return Colour::ZERO;
        }
        let white = self.white * self.exposure;
        let curved = (scaled * (1.0 + scaled / (white * white)) / (1.0 + scaled)).min(1.0);
        let colour = seen * (self.exposure * curved / scaled);
        // A primary beyond the display gives its surplus to the others, as a glare pales.
        let most = colour.max_element();
        if most <= 1.0 {
            return colour;
        }
        let over = (most - 1.0) / (most - curved).max(1e-6);
        colour.lerp(Colour::splat(curved), over.clamp(0.0, 1.0)).min(Colour::ONE)
    }
}

/// The picture in eight bits for each primary of sRGB, rows from the top.
pub fn display(picture: &Picture, tone: &Tone) -> Vec<u8> {
    picture.pixels.iter().flat_map(|pixel| tone.shown(*pixel).to_array().map(to_srgb)).collect()
}
