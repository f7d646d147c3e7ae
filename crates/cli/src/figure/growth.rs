//! Figure `growth`: size by age, of trees by published equations, of all else by the stock.

use groundwright_plan::stock::embedded;
use groundwright_yard::{expected_size, height_curve, size_bought, spread_curve, tree_equations};
use serde_json::{Map, Value, json};

use super::{Answer, case, stock};

pub(super) const EXAMPLE: &str = r##"{ "plant": "quercus-rubra", "size": "#15", "years": [1, 5, 10, 20] }"##;
pub(super) const HELP: &str = r#"A case has
  region, species, age_yr   a row of the urban tree database: result dbh_cm, height_m, crown_diameter_m,
                            and held, true where an equation is held at the limit of its data; or
  plant, years              an id of the stock, a list of years since planting; and may have
  size                      container class or field size, or
  height, spread            when set: result by year, least, likely and most [m], and how many regions'
                            published equations told (0: the asymptotic form of the stock's mature size)
Example:
  echo '{ "region": "SacVal", "species": "Pistacia chinensis", "age_yr": 10 }' | groundwright figure growth"#;

pub(super) fn figure(of: &Map<String, Value>) -> Result<Answer, String> {
    if let Some(species) = case::text(of, "species")? {
        let region = case::text(of, "region")?
            .ok_or("`region` is missing; expected one of the urban tree database, such as SacVal")?;
        let age = case::needed_decimal(of, "age_yr")?;
        let found = tree_equations().iter().find(|tree| tree.region == region && tree.species == species);
        let Some(tree) = found else {
            let regions: Vec<&str> =
                tree_equations().iter().filter(|t| t.species == species).map(|t| t.region.as_str()).collect();
            return Err(if regions.is_empty() {
                format!("no equations of `{species}` are carried")
            } else {
                format!("no equations of `{species}` in `{region}`; there are some of {}", regions.join(", "))
            });
        };
        let size = tree.at(age).map_err(|e| e.to_string())?;
        return Ok(Answer::new(json!({
            "dbh_cm": size.trunk * 100.0,
            "height_m": size.height,
            "crown_diameter_m": size.crown,
            "held": size.held,
        })));
    }
    let id = case::text(of, "plant")?.ok_or("expected `plant`, or `region` with `species`; see --help")?;
    let taxon = stock::taxon(id)?;
    let size = case::text(of, "size")?;
    let container = size_bought(embedded(), taxon, size);
    if let (Some(size), None) = (size, container) {
        return Err(format!("no container `{size}` in the stock"));
    }
    let height = case::length(of, "height")?.unwrap_or_else(|| height_curve(taxon, container).planted);
    let spread = case::length(of, "spread")?.unwrap_or_else(|| spread_curve(taxon, container).planted);
    let years = of
        .get("years")
        .and_then(Value::as_array)
        .ok_or("`years` is missing; expected a list such as [1, 5, 10]")?;
    let rows: Result<Vec<Value>, String> = years
        .iter()
        .map(|year| {
            let year = year.as_f64().ok_or_else(|| format!("`years` has {year}; expected numbers"))?;
            let size = expected_size(taxon, (height, spread), year).map_err(|e| e.to_string())?;
            Ok(json!({ "years": year, "height_m": size.height, "spread_m": size.spread, "regions": size.regions }))
        })
        .collect();
    Ok(Answer::new(json!({ "planted_height_m": height, "planted_spread_m": spread, "by_year": rows? })))
}
