//! Plants of the stock that cases name.

use groundwright_plan::TaxonId;
use groundwright_plan::stock::{Taxon, embedded};

/// A taxon by its id, or the nearest name to it.
pub(super) fn taxon(id: &str) -> Result<&'static Taxon, String> {
    let stock = embedded();
    stock.taxa.values().find(|taxon| taxon.id.as_str() == id).ok_or_else(|| {
        let near = groundwright_units::nearest_name(id, stock.taxa.keys().map(TaxonId::as_str));
        let near = near.map_or(String::new(), |near| format!("; did you mean `{near}`?"));
        format!("no plant `{id}` in the stock{near}")
    })
}
