//! How evenly water falls: distribution uniformity, Christiansen's coefficient, emission uniformity.
//!
//! - In: depths caught, or flows of emitters, in any unit. Out: shares of 1, and rates.
//! - Where the count is no multiple of four there is no one convention for the lowest quarter:
//!   [`Quarter`] says which.

use crate::positive::{NotUsable, above_zero, not_below_zero, share, share_above_zero};

/// Which values are the lowest quarter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quarter {
    /// Exactly a quarter: the value on the border counts by its share.
    Exact,
    /// n/4 rounded down, at least one.
    Down,
    /// n/4 rounded to the nearest, at least one.
    Nearest,
    /// n/4 rounded up.
    Up,
}

/// How evenly something falls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uniformity {
    /// Count of values.
    pub count: usize,
    /// Mean, in the unit of the values.
    pub mean: f64,
    /// Least.
    pub least: f64,
    /// Most.
    pub most: f64,
    /// Mean of the lowest quarter.
    pub low_quarter_mean: f64,
    /// Distribution uniformity of the lowest quarter, 0 to 1.
    pub low_quarter: f64,
    /// Christiansen's coefficient, at most 1; below 0 where nearly all falls on a few places.
    pub christiansen: f64,
}

/// Uniformity of depths caught.
///
/// # Arguments
/// - `depths`: none below zero, at least one above it.
///
/// # Errors
/// No depth, one that is below zero or not finite, or nothing caught at all.
///
/// # Source
/// DU = mean of the lowest quarter / mean; CU = 1 − Σ|x − mean| / (n mean), Christiansen 1942.
pub fn uniformity(depths: &[f64], quarter: Quarter) -> Result<Uniformity, NotUsable> {
    above_zero("the count of depths", depths.len() as f64, "")?;
    for depth in depths {
        not_below_zero("a depth", *depth, "")?;
    }
    let count = depths.len();
    let n = count as f64;
    let mean = depths.iter().sum::<f64>() / n;
    above_zero("the mean depth", mean, "")?;
    let whole = match quarter {
        Quarter::Exact => n / 4.0,
        Quarter::Down => (n / 4.0).floor().max(1.0),
        Quarter::Nearest => (n / 4.0).round().max(1.0),
        Quarter::Up => (n / 4.0).ceil(),
    };
    let mut sorted = depths.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    let full = whole.floor() as usize;
    let border = sorted.get(full).map_or(0.0, |next| (whole - full as f64) * next);
    let low_quarter_mean = (sorted[..full].iter().sum::<f64>() + border) / whole;
    let spread: f64 = depths.iter().map(|depth| (depth - mean).abs()).sum();
    Ok(Uniformity {
        count,
        mean,
        least: sorted[0],
        most: sorted[count - 1],
        low_quarter_mean,
        low_quarter: low_quarter_mean / mean,
        christiansen: 1.0 - spread / (n * mean),
    })
}

/// Mean rate over an area. [m/s]
///
/// # Arguments
/// - `flow`: onto the area. [m³/s] `area`: [m²]
///
/// # Errors
/// A flow below zero, an area not above it.
///
/// # Source
/// Flow over area. In gal/min, ft² and in/h the factor 96.25 is contained (often printed 96.3).
pub fn precipitation_rate(flow: f64, area: f64) -> Result<f64, NotUsable> {
    not_below_zero("the flow", flow, "m³/s")?;
    above_zero("the area", area, "m²")?;
    Ok(flow / area)
}

/// Rate out of a catch can. [m/s]
///
/// # Arguments
/// - `volume`: caught. [m³] `mouth`: area of the can's mouth. [m²] `time`: [s]
///
/// # Errors
/// A volume below zero, a mouth or time not above it.
pub fn catch_can_rate(volume: f64, mouth: f64, time: f64) -> Result<f64, NotUsable> {
    not_below_zero("the volume", volume, "m³")?;
    above_zero("the area of the mouth", mouth, "m²")?;
    above_zero("the time", time, "s")?;
    Ok(volume / mouth / time)
}

/// By how much to run longer so that the dry places get enough: 1 / (0.4 + 0.6 DU).
///
/// # Errors
/// A uniformity that is no share.
///
/// # Source
/// Common practice of irrigation audits, no source.
pub fn run_time_multiplier(low_quarter: f64) -> Result<f64, NotUsable> {
    share("the distribution uniformity", low_quarter)?;
    Ok(1.0 / (0.4 + 0.6 * low_quarter))
}

/// Emission uniformity of a drip zone by design. 0 to 1
///
/// # Arguments
/// - `flows`: of the emitters by their pressures, at least one, all above zero. [m³/s]
/// - `variation`: coefficient of manufacturing variation, 0 to 0.78 (0.03 is excellent).
/// - `to_a_plant`: emitters that share a plant, at least 1.
///
/// # Errors
/// Numbers that are not what is said above.
///
/// # Source
/// Keller and Karmeli 1974: EU = (1 − 1.27 Cv/√n) q_min / q_mean.
pub fn emission_uniformity(flows: &[f64], variation: f64, to_a_plant: usize) -> Result<f64, NotUsable> {
    above_zero("the count of emitters", flows.len() as f64, "")?;
    above_zero("the emitters to a plant", to_a_plant as f64, "")?;
    share("the manufacturing variation", variation)?;
    for flow in flows {
        above_zero("a flow", *flow, "m³/s")?;
    }
    let mean = flows.iter().sum::<f64>() / flows.len() as f64;
    let least = flows.iter().copied().fold(f64::INFINITY, f64::min);
    let made = 1.0 - 1.27 * variation / (to_a_plant as f64).sqrt();
    share_above_zero("what the manufacturing variation leaves", made)?;
    Ok(made * least / mean)
}
