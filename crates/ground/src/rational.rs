//! Peak runoff by the Rational method.
//!
//! - In: runoff coefficient, rain intensity, area. Out: peak flow. [m³/s]
//! - Assumes a small catchment, all of which drains at the peak of a storm as long as its time of
//!   concentration. The method is meant for areas up to some 80 ha (200 acres): FHWA HEC-22.

use crate::positive::{NotUsable, not_below_zero, share};

/// Peak flow. [m³/s]
///
/// # Arguments
/// - `coefficient`: share of the rain that runs off at the peak, 0 to 1.
/// - `intensity`: of the rain. [m/s]
/// - `area`: of the catchment in plan. [m²]
///
/// # Source
/// Q = C i A (Kuichling 1889). In customary units the factor 1.00833 = 43560/12/3600 is contained.
pub fn peak_flow(coefficient: f64, intensity: f64, area: f64) -> Result<f64, NotUsable> {
    share("the runoff coefficient", coefficient)?;
    not_below_zero("the rain intensity", intensity, "m/s")?;
    not_below_zero("the area", area, "m²")?;
    Ok(coefficient * intensity * area)
}

/// The coefficient of several areas together, weighted by area; each as (area [m²], coefficient).
///
/// # Errors
/// No area at all, an area below zero, a coefficient out of 0 to 1.
pub fn composite(parts: &[(f64, f64)]) -> Result<f64, NotUsable> {
    for &(area, coefficient) in parts {
        not_below_zero("an area", area, "m²")?;
        share("a runoff coefficient", coefficient)?;
    }
    let whole: f64 = parts.iter().map(|(area, _)| area).sum();
    crate::positive::above_zero("the whole area", whole, "m²")?;
    Ok(parts.iter().map(|(area, coefficient)| area * coefficient).sum::<f64>() / whole)
}
