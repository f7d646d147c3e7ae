//! Volumes from cross-sections.
//!
//! - In: areas of sections and the lengths between them. [m², m] Out: volumes. [m³]
//! - For checking a surface by hand, and where only sections were taken.

use crate::positive::{NotUsable, above_zero, not_below_zero};

/// Volume of one stretch from its two end areas.
///
/// # Source
/// Average end area method: L (A1 + A2)/2. Never below the prismoid for pits with sloping sides.
pub fn average_end_area(length: f64, ends: [f64; 2]) -> Result<f64, NotUsable> {
    above_zero("the length", length, "m")?;
    for area in ends {
        not_below_zero("a section's area", area, "m²")?;
    }
    Ok(length * f64::midpoint(ends[0], ends[1]))
}

/// Volume of one stretch from its end areas and the area half way.
///
/// # Source
/// Prismoidal formula (Simpson): L (A1 + 4 Am + A2)/6. The middle area is of the section half way,
/// not the mean of the ends.
pub fn prismoidal(length: f64, ends: [f64; 2], middle: f64) -> Result<f64, NotUsable> {
    above_zero("the length", length, "m")?;
    for area in [ends[0], middle, ends[1]] {
        not_below_zero("a section's area", area, "m²")?;
    }
    Ok(length * (ends[0] + 4.0 * middle + ends[1]) / 6.0)
}
