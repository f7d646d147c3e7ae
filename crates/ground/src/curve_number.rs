//! Runoff of a storm by curve number.
//!
//! - In: depth of rain, curve number of soil and cover. Out: depth of runoff. [m]
//! - Source: USDA NRCS, Urban Hydrology for Small Watersheds (TR-55), June 1986, equations 2-1 to
//!   2-4, with initial abstraction 0.2 S.
//! - Parts of different cover: [`of_parts`] weights the runoff of each part, which TR-55 asks for
//!   where the numbers differ much; [`weighted_number`] weights the numbers, as its worked examples do.

use groundwright_units::constants::INCH;

use crate::positive::{NotUsable, above_zero, not_below_zero, within};

/// Potential retention after runoff begins, S. [m]
///
/// # Errors
/// A curve number not above 0 and up to 100.
pub fn retention(curve_number: f64) -> Result<f64, NotUsable> {
    let good = curve_number > 0.0 && curve_number <= 100.0;
    within("the curve number", curve_number, "", good, "a number above 0, up to 100")?;
    Ok((1000.0 / curve_number - 10.0) * INCH)
}

/// Depth of runoff from a depth of rain. [m]
///
/// # Source
/// TR-55 eq. 2-3: Q = (P − 0.2 S)² / (P + 0.8 S), nothing up to P = 0.2 S.
pub fn runoff_depth(rain: f64, curve_number: f64) -> Result<f64, NotUsable> {
    not_below_zero("the rain", rain, "m")?;
    let s = retention(curve_number)?;
    let after = rain - 0.2 * s;
    Ok(if after <= 0.0 { 0.0 } else { after * after / (after + s) })
}

/// Curve number of several parts together, weighted by area; each as (area [m²], number).
pub fn weighted_number(parts: &[(f64, f64)]) -> Result<f64, NotUsable> {
    weigh(parts, |number| retention(number).map(|_| number))
}

/// Depth of runoff of several parts, each by its own number. [m]
pub fn of_parts(rain: f64, parts: &[(f64, f64)]) -> Result<f64, NotUsable> {
    weigh(parts, |number| runoff_depth(rain, number))
}

fn weigh(parts: &[(f64, f64)], value: impl Fn(f64) -> Result<f64, NotUsable>) -> Result<f64, NotUsable> {
    let (mut whole, mut sum) = (0.0, 0.0);
    for &(area, number) in parts {
        not_below_zero("an area", area, "m²")?;
        whole += area;
        sum += area * value(number)?;
    }
    above_zero("the whole area", whole, "m²")?;
    Ok(sum / whole)
}
