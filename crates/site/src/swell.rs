//! Earth as it lies, as it is loaded, as it is compacted.
//!
//! - In: a volume, and the shares by which the earth swells or shrinks. Out: the other volumes.
//! - Method: both shares refer to bank volume, as the published conversion tables have it:
//!   bank = loose/(1 + swell) = compacted/(1 − shrinkage).
//! - Not here: which earth is dug (`clearing.rs`).

use crate::range::{OutOfRange, check};

const VOLUME: (f64, f64) = (0.0, 1e9);

/// Loose volume of earth that lay as `bank`. [m³]
///
/// # Errors
/// A volume that is not finite or below zero, a swell outside 0 to 3.
///
/// # Source
/// Published earthwork conversion tables.
pub fn loose_from_bank(bank: f64, swell: f64) -> Result<f64, OutOfRange> {
    check("the volume", bank, VOLUME, "a finite volume, not below zero")?;
    check("the swell", swell, (0.0, 3.0), "a share from 0 to 3")?;
    Ok(bank * (1.0 + swell))
}

/// Compacted volume of earth that lay as `bank`. [m³]
///
/// # Errors
/// A volume that is not finite or below zero, a shrinkage outside 0 to 0.9.
///
/// # Source
/// Published earthwork conversion tables.
pub fn compacted_from_bank(bank: f64, shrinkage: f64) -> Result<f64, OutOfRange> {
    check("the volume", bank, VOLUME, "a finite volume, not below zero")?;
    check("the shrinkage", shrinkage, (0.0, 0.9), "a share from 0 to 0.9")?;
    Ok(bank * (1.0 - shrinkage))
}

/// Bank volume of the earth that makes `compacted`. [m³]
///
/// # Errors
/// As [`compacted_from_bank`].
///
/// # Source
/// Published earthwork conversion tables.
pub fn bank_for_compacted(compacted: f64, shrinkage: f64) -> Result<f64, OutOfRange> {
    check("the volume", compacted, VOLUME, "a finite volume, not below zero")?;
    check("the shrinkage", shrinkage, (0.0, 0.9), "a share from 0 to 0.9")?;
    Ok(compacted / (1.0 - shrinkage))
}
