//! What becomes of the earth: what is cut fills, is carted off, or must be brought.
//!
//! - In: cut and fill as they lie in the ground, bulking and compaction. Out: a balance whose sums
//!   close, as soil lies (bank), as it is carted (loose) and as it is rolled (compacted). [m³]
//! - Source: definitions of swell and shrinkage as of bank volume, common in earthwork handbooks.

use crate::positive::{NotUsable, above_zero, not_below_zero, within};

/// How soil changes its volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Soil {
    /// Loose volume is bank × (1 + swell). Not below zero.
    pub swell: f64,
    /// Compacted volume is bank × (1 − shrinkage). Below 1; below zero where it does not shrink.
    pub shrinkage: f64,
    /// Share of the cut that can be used as fill (topsoil, roots and rubble cannot), 0 to 1.
    pub usable: f64,
}

/// The balance of a job's earth. Every volume is at least zero. [m³]
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// Cut, as it lies.
    pub cut: f64,
    /// Fill, compacted in place.
    pub fill: f64,
    /// Of the cut, as it lies: used as fill.
    pub reused: f64,
    /// Of the cut, as it lies: left over.
    pub surplus: f64,
    /// What is left over, loose on the truck.
    pub haul_loose: f64,
    /// Fill that the cut does not yield, compacted in place.
    pub lacking: f64,
    /// The same, loose on the truck.
    pub import_loose: f64,
}

/// Balances cut and fill.
///
/// # Arguments
/// - `cut`: volume as it lies in the ground. [m³]
/// - `fill`: volume as it shall lie, compacted. [m³]
///
/// # Returns
/// A balance in which cut = reused + surplus and fill = reused × (1 − shrinkage) + lacking.
///
/// # Errors
/// A volume below zero or not finite, shares out of their range.
pub fn balance(cut: f64, fill: f64, soil: Soil) -> Result<Balance, NotUsable> {
    not_below_zero("the cut", cut, "m³")?;
    not_below_zero("the fill", fill, "m³")?;
    not_below_zero("the swell", soil.swell, "")?;
    let shrinks = soil.shrinkage < 1.0 && soil.shrinkage > -1.0;
    within("the shrinkage", soil.shrinkage, "", shrinks, "a share above -1 and below 1")?;
    crate::positive::share("the usable share", soil.usable)?;
    let compacted = 1.0 - soil.shrinkage;
    let reused = (cut * soil.usable).min(fill / compacted);
    let surplus = cut - reused;
    let lacking = (fill - reused * compacted).max(0.0);
    Ok(Balance {
        cut,
        fill,
        reused,
        surplus,
        haul_loose: surplus * (1.0 + soil.swell),
        lacking,
        import_loose: lacking / compacted * (1.0 + soil.swell),
    })
}

/// Whole truck loads for a loose volume.
///
/// # Errors
/// A volume below zero, or a truck that holds nothing.
pub fn loads(loose: f64, truck: f64) -> Result<usize, NotUsable> {
    not_below_zero("the loose volume", loose, "m³")?;
    above_zero("the truck's load", truck, "m³")?;
    Ok((loose / truck - 1e-9).ceil().max(0.0) as usize)
}
