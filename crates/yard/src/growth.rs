//! Growth of what is planted: height and spread by years from the size bought.
//!
//! - In: a taxon, the size bought, years. Out: metres.
//! - Method: the asymptotic form of [`crate::arrange::fill_spacing`]; a taxon whose growth is not
//!   known grows at the medium rate.
//! - Not here: trees by published equations; light, water and crowding do not slow anything here.

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
