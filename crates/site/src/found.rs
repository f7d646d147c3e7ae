//! Trees and shrubs found, seen alike: tag, names, places, what becomes of them.
//!
//! - In: the property, the stock and the plot. Out: a [`Found`] for each tree, then each shrub or
//!   group of shrubs, in file order.
//! - Tags count trees as T1, T2 … and shrubs as S1, S2 …: they name a plant on drawing and table.

use groundwright_geometry::Point;
use groundwright_plan::stock::Taxon;
use groundwright_plan::{Action, Condition, ElementRef, Given, Kind, Project, Stock, TaxonId};
use groundwright_yard::{Plot, Spot};

/// A tree, a shrub or a group of shrubs that was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found<'p> {
    /// The element.
    pub element: ElementRef,
    /// Tag on drawing and table.
    pub tag: String,
    /// Its taxon, if the stock knows it.
    pub taxon: Option<&'p Taxon>,
    /// Botanical name, or the name as written.
    pub botanical: &'p str,
    /// Common name; empty where the stock does not know it.
    pub common: &'p str,
    /// Where each stands. [m]
    pub places: Vec<Point>,
    /// How many.
    pub count: usize,
    /// How well it does.
    pub condition: Given<Condition>,
    /// What becomes of it.
    pub action: Action,
}

/// All found plants.
pub(crate) fn found<'p>(project: &'p Project, plot: &Plot) -> Vec<Found<'p>> {
    let property = &project.property;
    let places = |spots: &[Spot], element: &ElementRef| -> Vec<Point> {
        spots.iter().filter(|spot| &spot.element == element).map(|spot| spot.at).collect()
    };
    let trees = property.trees.iter().enumerate().map(|(i, tree)| {
        let element = ElementRef::new(Kind::Tree, &tree.id);
        let (taxon, botanical, common) = names(&project.stock, tree.taxon.as_ref(), &tree.name);
        Found {
            tag: format!("T{}", i + 1),
            taxon,
            botanical,
            common,
            places: places(&plot.trees, &element),
            count: 1,
            condition: tree.condition,
            action: tree.action,
            element,
        }
    });
    let shrubs = property.shrubs.iter().enumerate().map(|(i, shrub)| {
        let element = ElementRef::new(Kind::Shrub, &shrub.id);
        let (taxon, botanical, common) = names(&project.stock, shrub.taxon.as_ref(), &shrub.name);
        Found {
            tag: format!("S{}", i + 1),
            taxon,
            botanical,
            common,
            places: places(&plot.shrubs, &element),
            count: shrub.count,
            condition: shrub.condition,
            action: shrub.action,
            element,
        }
    });
    trees.chain(shrubs).collect()
}

/// Taxon, botanical and common name; a plant that the stock does not know keeps the name written.
pub(crate) fn names<'p>(
    stock: &'p Stock,
    taxon: Option<&TaxonId>,
    written: &'p str,
) -> (Option<&'p Taxon>, &'p str, &'p str) {
    let known = taxon.and_then(|id| stock.taxa.get(id)).or_else(|| stock.by_botanical_name(written));
    match known {
        Some(taxon) => (Some(taxon), &taxon.botanical, &taxon.common),
        None => (None, written, ""),
    }
}
