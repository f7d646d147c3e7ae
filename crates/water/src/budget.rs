//! Water budget of a landscape: allowance, estimated use, cost.
//!
//! - In: yearly evapotranspiration [m], areas [m²], plant factors, efficiencies. Out: volumes. [m³]
//! - Source: California Code of Regulations, Title 23, Division 2, Chapter 2.7 (Model Water Efficient
//!   Landscape Ordinance), section 492.4 and the worksheet of appendix B. The factors carry the year of
//!   the rule: 0.55 and 0.45 since 2015; 0.7 in the rule of 2009.
//! - The ordinance's 0.62 gallons to the square foot and inch is a rounding of 144/231; compliance
//!   needs the ordinance's, so it is used here. The local ordinance decides.

use groundwright_units::constants::{GALLON, INCH, SQUARE_FOOT};

use crate::positive::{NotUsable, above_zero, finite, not_below_zero, share, share_above_zero};

/// Gallons to a square foot and inch, as the ordinance prints it.
const ORDINANCE: f64 = 0.62;

/// Water of a metre over a square metre as the ordinance rounds it. [m³]
///
/// 0.9946 instead of 1.
fn ordinance_metre() -> f64 {
    ORDINANCE * GALLON / (SQUARE_FOOT * INCH)
}

/// Evapotranspiration adjustment factor of homes, rule of 2015.
pub const RESIDENTIAL_2015: f64 = 0.55;
/// Evapotranspiration adjustment factor of other sites, rule of 2015.
pub const OTHER_2015: f64 = 0.45;
/// Evapotranspiration adjustment factor of the rule of 2009.
pub const RULE_2009: f64 = 0.7;
/// Irrigation efficiency of overhead spray, rule of 2015.
pub const SPRAY_EFFICIENCY: f64 = 0.75;
/// Irrigation efficiency of drip, rule of 2015.
pub const DRIP_EFFICIENCY: f64 = 0.81;

/// A zone of the budget.
#[derive(Debug, Clone, PartialEq)]
pub struct BudgetZone {
    /// As the drawing calls it.
    pub name: String,
    /// Plant factor, 0 to 1.
    pub plant_factor: f64,
    /// Irrigation efficiency, above 0, up to 1.
    pub efficiency: f64,
    /// Area. [m²]
    pub area: f64,
    /// Whether it is special landscape area (food, recycled water, play), which counts with a factor of 1.
    pub special: bool,
}

/// The budget of a site.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// Maximum applied water allowance of a year. [m³]
    pub allowance: f64,
    /// Estimated total water use of a year. [m³]
    pub use_total: f64,
    /// Estimated use of each zone. [m³]
    pub use_by_zone: Vec<f64>,
    /// Adjustment factor of each zone: plant factor over efficiency; 1 for special areas.
    pub factors: Vec<f64>,
    /// Average factor of the regular area; 0 without any.
    pub average_factor: f64,
    /// Whether the use is within the allowance and the average within the factor.
    pub passes: bool,
}

/// Maximum applied water allowance of a year. [m³]
///
/// # Arguments
/// - `reference`: evapotranspiration of the year. [m] `factor`: adjustment factor, 0 to 1.
/// - `area`: landscape area, special areas included. [m²] `special`: of it special. [m²]
///
/// # Errors
/// Numbers below zero, a special area larger than the whole.
///
/// # Source
/// MAWA = ET₀ 0.62 (ETAF LA + (1 − ETAF) SLA).
pub fn allowance(reference: f64, factor: f64, area: f64, special: f64) -> Result<f64, NotUsable> {
    not_below_zero("the reference evapotranspiration", reference, "m")?;
    share("the adjustment factor", factor)?;
    not_below_zero("the landscape area", area, "m²")?;
    not_below_zero("the special area", special, "m²")?;
    not_below_zero("the landscape area less the special", area - special, "m²")?;
    finite("the landscape area", area, "m²")?;
    Ok(reference * ordinance_metre() * (factor * area + (1.0 - factor) * special))
}

/// Budget of a site: allowance and estimated use.
///
/// # Errors
/// No zone, a number that is none.
///
/// # Source
/// ETWU = ET₀ 0.62 Σ (PF/IE) area, special areas with a factor of 1.
pub fn budget(reference: f64, factor: f64, zones: &[BudgetZone]) -> Result<Budget, NotUsable> {
    above_zero("the count of zones", zones.len() as f64, "")?;
    for zone in zones {
        share("a zone's plant factor", zone.plant_factor)?;
        share_above_zero("a zone's efficiency", zone.efficiency)?;
        not_below_zero("a zone's area", zone.area, "m²")?;
    }
    let area: f64 = zones.iter().map(|zone| zone.area).sum();
    let special: f64 = zones.iter().filter(|zone| zone.special).map(|zone| zone.area).sum();
    let allowance = allowance(reference, factor, area, special)?;
    let factors: Vec<f64> = zones
        .iter()
        .map(|zone| if zone.special { 1.0 } else { zone.plant_factor / zone.efficiency })
        .collect();
    let use_by_zone: Vec<f64> =
        zones.iter().zip(&factors).map(|(zone, f)| reference * ordinance_metre() * f * zone.area).collect();
    let use_total = use_by_zone.iter().sum();
    let regular = zones.iter().zip(&factors).filter(|(zone, _)| !zone.special);
    let (weighted, sum) = regular.fold((0.0, 0.0), |(w, s), (zone, f)| (w + f * zone.area, s + zone.area));
    let average_factor = if sum > 0.0 { weighted / sum } else { 0.0 };
    let passes = use_total <= allowance * (1.0 + 1e-12) && average_factor <= factor + 1e-12;
    Ok(Budget { allowance, use_total, use_by_zone, factors, average_factor, passes })
}

/// A step of a water tariff: a price up to a volume in the period.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tier {
    /// Volume up to which it holds; the last may be infinite. [m³]
    pub up_to: f64,
    /// Price of a cubic metre, in any money.
    pub price: f64,
}

/// Cost of a volume by a tariff, beyond what is used anyway, in the tariff's money.
///
/// # Arguments
/// - `before`: used in the period for other things. [m³] `volume`: for the landscape. [m³]
///
/// # Errors
/// Volumes below zero, tiers that do not rise or end too early, a price below zero.
pub fn water_cost(before: f64, volume: f64, tiers: &[Tier]) -> Result<f64, NotUsable> {
    not_below_zero("the volume used anyway", before, "m³")?;
    not_below_zero("the volume", volume, "m³")?;
    let (mut from, mut cost) = (0.0, 0.0);
    for tier in tiers {
        not_below_zero("a price", tier.price, "a cubic metre")?;
        if tier.up_to.is_nan() || tier.up_to <= from {
            above_zero("the step to the next tier", tier.up_to - from, "m³")?;
        }
        let within = (before + volume).min(tier.up_to) - before.max(from);
        cost += within.max(0.0) * tier.price;
        from = tier.up_to;
    }
    not_below_zero("the end of the tariff less the volume", (from - before - volume).min(1e12), "m³")?;
    Ok(cost)
}
