//! Bulk materials: volume of a layer, loose volume to order, bags, mass.
//!
//! - In: area, depth, settlement, densities. Out: volumes and whole bags.
//! - Method: plane geometry; settlement refers to the loose volume.
//! - Not here: which area (`takeoff.rs`).

/// Why a bulk calculation has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum BulkError {
    /// A value is not finite or out of range.
    #[error("{what} is {value}; expected {expected}")]
    Range {
        /// What.
        what: &'static str,
        /// The value.
        value: f64,
        /// What was expected.
        expected: &'static str,
    },
}

fn range(
    what: &'static str,
    value: f64,
    low: f64,
    high: f64,
    expected: &'static str,
) -> Result<(), BulkError> {
    if value.is_finite() && value >= low && value <= high {
        Ok(())
    } else {
        Err(BulkError::Range { what, value, expected })
    }
}

/// Loose volume to order for a settled layer. [m³]
///
/// # Arguments
/// - `area`: area covered. [m²]
/// - `depth`: depth after settling. [m]
/// - `settlement`: share by which the loose material settles; below 1.
///
/// # Errors
/// A value that is not finite, below zero, or a settlement of 1 or more.
///
/// # Source
/// Plane geometry; a layer settling by a share s was 1/(1 − s) as deep when loose.
pub fn loose_volume(area: f64, depth: f64, settlement: f64) -> Result<f64, BulkError> {
    range("the area", area, 0.0, 1e9, "a finite area, not below zero")?;
    range("the depth", depth, 0.0, 100.0, "a finite depth, not below zero")?;
    range("the settlement", settlement, 0.0, 0.95, "a share from 0 to 0.95")?;
    Ok(area * depth / (1.0 - settlement))
}

/// Whole packs that hold an amount.
///
/// # Errors
/// An amount below zero or a pack that holds nothing.
pub fn packs(amount: f64, contents: f64) -> Result<f64, BulkError> {
    range("the amount", amount, 0.0, 1e12, "a finite amount, not below zero")?;
    range("the pack's contents", contents, 1e-9, 1e12, "a finite amount above zero")?;
    // A billionth of a pack is rounding, not a need for one more.
    Ok((amount / contents - 1e-9).ceil().max(0.0))
}

/// True area of a slope seen in plan. [m²]
///
/// # Arguments
/// - `plan_area`: area on plan. [m²]
/// - `slope`: rise over run.
///
/// # Errors
/// A value that is not finite or below zero.
///
/// # Source
/// Plane geometry: A √(1 + (rise/run)²).
pub fn true_area(plan_area: f64, slope: f64) -> Result<f64, BulkError> {
    range("the area", plan_area, 0.0, 1e9, "a finite area, not below zero")?;
    range("the slope", slope, 0.0, 100.0, "rise over run, not below zero")?;
    Ok(plan_area * slope.hypot(1.0))
}

/// Bank, loose and compacted volume of earth; swell and shrinkage both refer to bank volume.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Earth {
    /// As it lies. [m³]
    pub bank: f64,
    /// Dug and loose. [m³]
    pub loose: f64,
    /// Compacted. [m³]
    pub compacted: f64,
}

impl Earth {
    /// From bank volume.
    ///
    /// # Errors
    /// A value that is not finite or out of range.
    ///
    /// # Source
    /// bank = loose/(1 + swell) = compacted/(1 − shrinkage): published earthwork conversion tables.
    pub fn from_bank(bank: f64, swell: f64, shrinkage: f64) -> Result<Self, BulkError> {
        range("the volume", bank, 0.0, 1e9, "a finite volume, not below zero")?;
        range("the swell", swell, 0.0, 3.0, "a share from 0 to 3")?;
        range("the shrinkage", shrinkage, 0.0, 0.9, "a share from 0 to 0.9")?;
        Ok(Self { bank, loose: bank * (1.0 + swell), compacted: bank * (1.0 - shrinkage) })
    }

    /// From the compacted volume that is needed.
    ///
    /// # Errors
    /// As [`Earth::from_bank`].
    pub fn from_compacted(compacted: f64, swell: f64, shrinkage: f64) -> Result<Self, BulkError> {
        range("the shrinkage", shrinkage, 0.0, 0.9, "a share from 0 to 0.9")?;
        Self::from_bank(compacted / (1.0 - shrinkage), swell, shrinkage)
    }
}

/// Mass of fertiliser that gives a mass of nitrogen. [kg/m²]
///
/// # Arguments
/// - `nitrogen`: nitrogen wanted. [kg/m²]
/// - `share`: share of nitrogen in the product, above 0 to 1.
///
/// # Errors
/// A value out of range.
///
/// # Source
/// Rate over share: university turf pages; 1 lb of nitrogen on 1000 sq ft is the usual rate.
pub fn fertiliser_rate(nitrogen: f64, share: f64) -> Result<f64, BulkError> {
    range("the nitrogen", nitrogen, 0.0, 1.0, "a finite rate, not below zero")?;
    range("the share of nitrogen", share, 1e-4, 1.0, "a share above 0, up to 1")?;
    Ok(nitrogen / share)
}
