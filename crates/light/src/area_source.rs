//! Sources too large or too near to be points: configuration and form factors in closed form.
//!
//! - In: sizes and distances. Out: factors; illuminance E = π L C of a source of even luminance L.
//! - Configuration factor: from a small receiver to a surface. Form factor: share of the flux of one
//!   surface that reaches another.
//! - Assumes diffuse sources of even luminance and nothing between.
//!
//! Source: closed forms of radiative exchange, as in tables of heat transfer; here from memory, each
//! tested against values confirmed by quadrature.

use std::f64::consts::{PI, TAU};

use crate::NotUsable;
use crate::positive::{above_zero, not_below_zero, within};

fn sizes(sizes: &[f64]) -> Result<(), NotUsable> {
    sizes.iter().try_for_each(|size| above_zero("size or distance", *size, "m"))
}

/// Configuration factor of an a × b rectangle parallel to the receiver at distance c, the receiver
/// under one corner.
///
/// # Errors
/// [`NotUsable`] for a size that is not above zero; so in all of these.
pub fn rectangle_parallel(a: f64, b: f64, c: f64) -> Result<f64, NotUsable> {
    sizes(&[a, b, c])?;
    Ok(corner(a, b, c))
}

fn corner(a: f64, b: f64, c: f64) -> f64 {
    let (x, y) = (a / c, b / c);
    let (u, v) = ((1.0 + x * x).sqrt(), (1.0 + y * y).sqrt());
    (x / u * (y / u).atan() + y / v * (x / v).atan()) / TAU
}

/// Configuration factor of a rectangle of height a and width b that stands on the receiver's plane at
/// distance c, from the foot of the perpendicular to one side.
pub fn rectangle_perpendicular(a: f64, b: f64, c: f64) -> Result<f64, NotUsable> {
    sizes(&[a, b, c])?;
    let far = a.hypot(c);
    Ok(((b / c).atan() - c / far * (b / far).atan()) / TAU)
}

/// Configuration factor of a disc of radius r, parallel to the receiver at height h, its middle aside
/// by l.
pub fn disc(r: f64, h: f64, l: f64) -> Result<f64, NotUsable> {
    sizes(&[r, h])?;
    not_below_zero("distance aside", l, "m")?;
    let (r2, h2, l2) = (r * r, h * h, l * l);
    let root = ((h2 + l2 + r2).powi(2) - 4.0 * r2 * l2).sqrt();
    Ok(0.5 * (1.0 - (h2 + l2 - r2) / root))
}

/// Form factor of two aligned parallel rectangles a × b at distance c.
pub fn rectangles_parallel(a: f64, b: f64, c: f64) -> Result<f64, NotUsable> {
    sizes(&[a, b, c])?;
    let (x, y) = (a / c, b / c);
    let (x2, y2) = (1.0 + x * x, 1.0 + y * y);
    let log = 0.5 * (x2 * y2 / (x2 + y * y)).ln();
    let cross = x * y2.sqrt() * (x / y2.sqrt()).atan() + y * x2.sqrt() * (y / x2.sqrt()).atan();
    Ok(2.0 / (PI * x * y) * (log + cross - x * x.atan() - y * y.atan()))
}

/// Form factor from a w × l rectangle to an h × l rectangle square to it along the edge l.
pub fn rectangles_perpendicular(w: f64, h: f64, l: f64) -> Result<f64, NotUsable> {
    sizes(&[w, h, l])?;
    let (w, h) = (w / l, h / l);
    let (w2, h2) = (w * w, h * h);
    let both = w2 + h2;
    let arcs = w * (1.0 / w).atan() + h * (1.0 / h).atan() - both.sqrt() * (1.0 / both.sqrt()).atan();
    let log = ((1.0 + w2) * (1.0 + h2) / (1.0 + both)).ln()
        + w2 * (w2 * (1.0 + both) / ((1.0 + w2) * both)).ln()
        + h2 * (h2 * (1.0 + both) / ((1.0 + h2) * both)).ln();
    Ok((arcs + 0.25 * log) / (PI * w))
}

/// Form factor from a disc of radius r1 to a coaxial one of radius r2 at distance h.
pub fn discs_coaxial(r1: f64, r2: f64, h: f64) -> Result<f64, NotUsable> {
    sizes(&[r1, r2, h])?;
    let (a, b) = (r1 / h, r2 / h);
    let x = 1.0 + (1.0 + b * b) / (a * a);
    Ok(0.5 * (x - (x * x - 4.0 * (b / a).powi(2)).sqrt()))
}

/// Illuminance below an a × b source of luminance L at some height, at a place by its distance from
/// the corner along both edges, inside or outside. [cd/m², m → lx]
///
/// # Method
/// The four rectangles that meet above the place, added or taken away by their signs.
pub fn rectangle_illuminance(
    luminance: f64,
    a: f64,
    b: f64,
    height: f64,
    from_corner: [f64; 2],
) -> Result<f64, NotUsable> {
    sizes(&[a, b, height])?;
    not_below_zero("luminance", luminance, "cd/m²")?;
    for along in from_corner {
        within("place below the source", along, "m", along.is_finite(), "a finite number")?;
    }
    let [x, y] = from_corner;
    // An edge of no length gives a factor of zero, and a negative one a negative factor.
    let factor = corner(a - x, b - y, height)
        + corner(x, b - y, height)
        + corner(a - x, y, height)
        + corner(x, y, height);
    Ok(PI * luminance * factor)
}
