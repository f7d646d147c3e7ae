//! Smoothing that keeps light linear: weights come from reflectance, normal and distance alone.
//!
//! - In: a film. Out: a film whose light by chance is smoothed, layer by layer with the same weights,
//!   so that the layers of the smoothed film still sum to the smoothed whole.
//! - Method: the light by chance over the reflectance of what is seen, through a wavelet with holes
//!   of five by five places at growing distances, each weighed by likeness, and the reflectance put
//!   back on. What came without chance is left alone.
//!
//! # Source
//! Edge-avoiding à-trous wavelets: Dammertz and others 2010, here without weights by the light itself.

use rayon::prelude::*;

use crate::film::Film;

/// Weights of the wavelet, from the middle out.
const SPLINE: [f32; 3] = [3.0 / 8.0, 1.0 / 4.0, 1.0 / 16.0];
/// Differences at which likeness falls to 1/e: of normals, of reflectances, of log distances at a
/// pixel's distance.
const LIKE: [f32; 3] = [0.35, 0.12, 0.02];
/// What is seen is never taken as darker than this when it is divided out.
const DARKEST: f32 = 0.02;

/// A film whose light by chance is smoothed.
///
/// # Arguments
/// - `levels`: how often the distance doubles; 0 leaves all as it is, 4 reaches 32 pixels.
#[must_use]
pub fn smoothed(film: &Film, levels: u32) -> Film {
    let mut out = film.clone();
    if levels == 0 || film.samples() == 0 {
        return out;
    }
    let scale = 1.0 / film.samples() as f32;
    let features: Vec<[f32; 7]> = film.features.iter().map(|f| f.map(|v| v * scale)).collect();
    let stride = film.layers() * 3;
    let shade = |values: &mut [f32], up: bool| {
        values.par_chunks_mut(stride).zip(features.par_iter()).for_each(|(pixel, feature)| {
            for (i, value) in pixel.iter_mut().enumerate() {
                let seen = feature[i % 3].max(DARKEST);
                *value = if up { *value * seen } else { *value / seen };
            }
        });
    };
    shade(&mut out.soft, false);
    let mut next = vec![0.0; out.soft.len()];
    for level in 0..levels {
        wavelet(film.size(), &features, &out.soft, &mut next, stride, 1 << level);
        std::mem::swap(&mut out.soft, &mut next);
    }
    shade(&mut out.soft, true);
    out
}

fn wavelet(size: [u32; 2], features: &[[f32; 7]], from: &[f32], to: &mut [f32], stride: usize, step: isize) {
    let [width, height] = size.map(|v| v.cast_signed() as isize);
    to.par_chunks_mut(stride * width as usize).enumerate().for_each(|(y, row)| {
        for (x, pixel) in row.chunks_mut(stride).enumerate() {
            let middle = &features[y * width as usize + x];
            pixel.fill(0.0);
            let mut total = 0.0;
            for dy in -2..=2isize {
                for dx in -2..=2isize {
                    let (px, py) = (x.cast_signed() + dx * step, y.cast_signed() + dy * step);
                    if !(0..width).contains(&px) || !(0..height).contains(&py) {
                        continue;
                    }
                    let at = (py * width + px) as usize;
                    let spline = SPLINE[dx.unsigned_abs()] * SPLINE[dy.unsigned_abs()];
                    let reach = (step * dx.abs().max(dy.abs())) as f32;
                    let weight = spline * likeness(middle, &features[at], reach);
                    if weight < 1e-5 {
                        continue;
                    }
                    total += weight;
                    for (sum, value) in pixel.iter_mut().zip(&from[at * stride..(at + 1) * stride]) {
                        *sum += weight * value;
                    }
                }
            }
            // The middle is like itself, so the total is above zero.
            for value in pixel {
                *value /= total;
            }
        }
    });
}

fn likeness(a: &[f32; 7], b: &[f32; 7], reach: f32) -> f32 {
    let square =
        |range: std::ops::Range<usize>| -> f32 { range.map(|i| (a[i] - b[i]) * (a[i] - b[i])).sum() };
    let distance = (a[6] - b[6]) / (LIKE[2] * reach.max(1.0));
    (-square(3..6) / (LIKE[0] * LIKE[0]) - square(0..3) / (LIKE[1] * LIKE[1]) - distance * distance).exp()
}
