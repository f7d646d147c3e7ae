//! Figure `plant-list`: proposals for a bed.

use std::collections::BTreeMap;

use groundwright_plan::TaxonId;
use groundwright_plan::stock::{WaterUse, embedded};
use groundwright_planting::choose::{Wishes, plant_lists};
use groundwright_planting::suited::Site;
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "sun_hours": 4, "zone": 8, "water": "medium", "pet_safe": true, "taxa": 5, "months": [3, 4, 5, 6, 7, 8], "evergreen": 2, "height_max": "2 m", "native": "pacific-northwest", "climate": "temperate", "answers": 2 }"#;
pub(super) const HELP: &str = r"Keys of a case; all but zone may be left out:
  zone              hardiness zone, 1 to 13
  sun_hours         direct sun a day in the growing season; full_sun and part_sun set the limits
  wet_winter        true where water stands near the surface in winter
  water             the most that plants may need: very-low, low, medium, high
  pet_safe          true where children or pets use the bed: only what is listed as harmless to people
                    and dogs is offered, which is no statement of safety
  taxa              how many, 1 to 12; 5 if left out
  months            months in which something should flower
  height_max, spread_max, colours, evergreen (least number), native (region preferred), climate
  on_offer          ids that the nursery has
  prices            { id: price of one plant }
  answers           how many different lists, 1 to 5; 3 if left out
Result: lists, the best first: plants with reasons, months without a flower.
Example:
  groundwright figure plant-list --example | groundwright figure plant-list";

pub(super) fn figure(of: &Map<String, Value>) -> Result<Answer, String> {
    let zone = whole(of, "zone")?.ok_or("`zone` is missing; expected a hardiness zone, 1 to 13")?;
    let zone = u8::try_from(zone).ok().filter(|zone| (1..=13).contains(zone));
    let zone = zone.ok_or("`zone` is out of range; expected a hardiness zone, 1 to 13")?;
    let water = match case::text(of, "water")? {
        None => None,
        Some("very-low") => Some(WaterUse::VeryLow),
        Some("low") => Some(WaterUse::Low),
        Some("medium") => Some(WaterUse::Medium),
        Some("high") => Some(WaterUse::High),
        Some(other) => return Err(format!("`water` is `{other}`; expected very-low, low, medium or high")),
    };
    let site = Site {
        sun: case::decimal(of, "sun_hours")?,
        full_sun: case::decimal(of, "full_sun")?.unwrap_or(6.0),
        part_sun: case::decimal(of, "part_sun")?.unwrap_or(3.0),
        zone,
        wet_winter: case::flag(of, "wet_winter")?,
        water,
        children_or_pets: case::flag(of, "pet_safe")?,
    };
    let months = numbers(of, "months")?;
    let wishes = Wishes {
        taxa: whole(of, "taxa")?.unwrap_or(5),
        months: months.into_iter().map(|month| u8::try_from(month).unwrap_or(0)).collect(),
        height: case::length(of, "height_max")?.unwrap_or(3.0),
        spread: case::length(of, "spread_max")?.unwrap_or(3.0),
        colours: texts(of, "colours")?,
        evergreen: whole(of, "evergreen")?.unwrap_or(0),
        native: case::text(of, "native")?.map(str::to_owned),
        climate: case::text(of, "climate")?.map(str::to_owned),
        on_offer: texts(of, "on_offer")?.into_iter().map(TaxonId).collect(),
        prices: prices(of)?,
        answers: whole(of, "answers")?.unwrap_or(3),
    };
    let lists = plant_lists(embedded(), &site, &wishes).map_err(|e| e.to_string())?;
    let shown: Vec<Value> = lists
        .iter()
        .map(|list| {
            let plants: Vec<Value> = list
                .choices
                .iter()
                .map(|choice| json!({ "plant": choice.taxon.as_str(), "reasons": choice.reasons }))
                .collect();
            json!({ "plants": plants, "months_without": list.months_without, "merit": list.merit })
        })
        .collect();
    Ok(Answer::new(json!({ "lists": shown })))
}

fn whole(of: &Map<String, Value>, key: &str) -> Result<Option<usize>, String> {
    let Some(number) = case::decimal(of, key)? else { return Ok(None) };
    if number.fract() == 0.0 && (0.0..=1000.0).contains(&number) {
        Ok(Some(number as usize))
    } else {
        Err(format!("`{key}` is {number}; expected a whole number"))
    }
}

fn list<'c>(of: &'c Map<String, Value>, key: &str) -> Result<&'c [Value], String> {
    match of.get(key) {
        None => Ok(&[]),
        Some(value) => {
            value.as_array().map(Vec::as_slice).ok_or_else(|| format!("`{key}` is {value}; expected a list"))
        }
    }
}

fn numbers(of: &Map<String, Value>, key: &str) -> Result<Vec<u64>, String> {
    let number =
        |value: &Value| value.as_u64().ok_or_else(|| format!("`{key}` has {value}; expected whole numbers"));
    list(of, key)?.iter().map(number).collect()
}

fn texts(of: &Map<String, Value>, key: &str) -> Result<Vec<String>, String> {
    let text = |value: &Value| {
        value.as_str().map(str::to_owned).ok_or_else(|| format!("`{key}` has {value}; expected texts"))
    };
    list(of, key)?.iter().map(text).collect()
}

fn prices(of: &Map<String, Value>) -> Result<BTreeMap<TaxonId, f64>, String> {
    let Some(value) = of.get("prices") else { return Ok(BTreeMap::new()) };
    let object = value.as_object().ok_or_else(|| format!("`prices` is {value}; expected {{ id: price }}"))?;
    object
        .iter()
        .map(|(id, price)| {
            let price =
                price.as_f64().ok_or_else(|| format!("the price of `{id}` is {price}; expected a number"))?;
            Ok((TaxonId(id.clone()), price))
        })
        .collect()
}
