//! Growth of what is planted: height and spread by years from the size bought.
//!
//! - In: a taxon, the size bought, years. Out: metres.
//! - Method: the asymptotic form of [`crate::arrange::fill_spacing`]; a taxon whose growth is not
//!   known grows at the medium rate.
//! - Trees that the urban tree database tells of grow by its equations (`tree_growth.rs`).
//! - Not here: light, water and crowding do not slow anything here.

use groundwright_plan::Stock;
use groundwright_plan::stock::{Container, GrowthRate, Taxon};

use crate::arrange::fill_spacing::{GrowthClass, SpreadCurve};

/// Share of the mature size that a plant has on delivery where its size bought says nothing.
const USUAL_SHARE: f64 = 0.25;

/// The class of a taxon's growth.
pub fn growth_class(taxon: &Taxon) -> GrowthClass {
    match taxon.growth {
        Some(GrowthRate::Slow) => GrowthClass::Slow,
        Some(GrowthRate::Fast) => GrowthClass::Fast,
        Some(GrowthRate::Medium) | None => GrowthClass::Medium,
    }
}

/// How the spread of a taxon grows from the size bought.
pub fn spread_curve(taxon: &Taxon, container: Option<&Container>) -> SpreadCurve {
    let mature = taxon.mature_spread();
    let planted = container.and_then(|c| c.spread_at_purchase(taxon)).unwrap_or(USUAL_SHARE * mature);
    SpreadCurve { planted: planted.min(mature), mature, class: growth_class(taxon) }
}

/// How the height of a taxon grows from the size bought; the same form as its spread.
pub fn height_curve(taxon: &Taxon, container: Option<&Container>) -> SpreadCurve {
    let mature = taxon.mature_height();
    let planted = container.and_then(|c| c.height_at_purchase(taxon)).unwrap_or(USUAL_SHARE * mature);
    SpreadCurve { planted: planted.min(mature), mature, class: growth_class(taxon) }
}

/// The size in which a taxon is bought: as stated, or the one it is usually sold in first.
pub fn size_bought<'s>(stock: &'s Stock, taxon: &Taxon, stated: Option<&str>) -> Option<&'s Container> {
    match stated {
        Some(size) => stock.containers.get(size),
        None => taxon.sizes.iter().find_map(|size| stock.containers.get(size)),
    }
}

/// How large a plant is expected to be, with a band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Least, likely and most. [m]
    pub height: [f64; 3],
    /// Least, likely and most. [m]
    pub spread: [f64; 3],
    /// Regions whose published equations told; 0 where the asymptotic form did.
    pub regions: usize,
}

/// Half the width of the band of a tree of which one region tells, over its size. Common practice,
/// no source.
const ONE_REGION: f64 = 0.2;

/// Height and spread of a plant some years after it was set.
///
/// # Arguments
/// - `planted`: height and spread when set. [m] Above zero.
/// - `years`: since then, not below zero.
///
/// # Returns
/// Trees with published equations: the mean and the span of their regions, each begun at the age at
/// which it is as high as planted. All else: the asymptotic form towards the least, the middle and
/// the most of the mature size.
///
/// # Errors
/// What [`SpreadCurve::spread`] refuses.
pub fn expected_size(
    taxon: &Taxon,
    planted: (f64, f64),
    years: f64,
) -> Result<Expected, crate::arrange::fill_spacing::SpreadFault> {
    let class = growth_class(taxon);
    let towards =
        |planted: f64, mature: f64| SpreadCurve { planted: planted.min(mature), mature, class }.spread(years);
    let three = |planted: f64, (least, most): (f64, f64)| -> Result<[f64; 3], _> {
        let middle = f64::midpoint(least, most);
        // A plant set larger than the least of its kind is not of the least.
        let likely = towards(planted, middle)?;
        let least = towards(planted, least.max(planted.min(middle)))?;
        Ok([least.min(likely), likely, towards(planted, most)?.max(likely)])
    };
    let height = three(planted.0, taxon.height)?;
    let spread = three(planted.1, taxon.spread)?;
    let told: Vec<_> = crate::tree_growth::equations_of(&taxon.botanical)
        .filter_map(|equations| equations.at(equations.age_at_height(planted.0) + years).ok())
        .collect();
    if told.is_empty() {
        return Ok(Expected { height, spread, regions: 0 });
    }
    let span = |of: fn(&crate::tree_growth::TreeSize) -> f64, planted: f64| {
        let values = told.iter().map(of);
        let mean = (values.clone().sum::<f64>() / told.len() as f64).max(planted);
        let least = values.clone().fold(mean * (1.0 - ONE_REGION), f64::min).max(planted.min(mean));
        [least, mean, values.fold(mean * (1.0 + ONE_REGION), f64::max)]
    };
    Ok(Expected {
        height: span(|size| size.height, planted.0),
        spread: span(|size| size.crown, planted.1),
        regions: told.len(),
    })
}
