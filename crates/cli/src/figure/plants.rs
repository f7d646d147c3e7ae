//! Plants of the stock that answer a description.
//!
//! - In: words and limits; all must hold. Out: the plants with what a designer asks of them.
//! - Only the stock that ships with the program is searched; a project's own entries are its own.

use groundwright_plan::stock::{Taxon, embedded};
use groundwright_units::parse_length;
use serde_json::{Map, Value, json};

use super::Answer;

pub(super) const EXAMPLE: &str = r#"{ "find": "fern", "light": "shade", "zone": 8, "height_max": "3 ft" }"#;

pub(super) const HELP: &str = r#"Keys of a case, all may be left out:
  find        words that occur in the id, the botanical or the common name
  kind        tree, conifer, palm, shrub, perennial, grass, fern, groundcover, vine, bulb, annual
  light       full, part or shade: what it bears
  water       very-low, low, medium or high
  foliage     evergreen, semi-evergreen, deciduous, herbaceous, annual
  wet_soil    no, winter, always
  zone        a hardiness zone, 1 to 13, that lies within its own
  native      a region, such as pacific-northwest
  climate     a garden climate, such as dry-summer
  height_max, spread_max   greatest mature size, such as "3 ft"
Result: `count`, and `plants` with id, names, kind, mature height and spread [m], usual spacing [m],
zones, light, water, foliage, toxicity and sizes sold."#;

/// Answers a case.
pub(super) fn figure(case: &Map<String, Value>) -> Result<Answer, String> {
    let wanted = Wanted::read(case)?;
    let mut plants: Vec<&Taxon> = embedded().taxa.values().filter(|taxon| wanted.holds(taxon)).collect();
    plants.sort_by(|a, b| a.botanical.cmp(&b.botanical));
    let list: Vec<Value> = plants.into_iter().map(row).collect();
    Ok(Answer::new(json!({ "count": list.len(), "plants": list })))
}

/// What is asked of a plant.
struct Wanted {
    find: Vec<String>,
    words: Vec<(&'static str, String)>,
    zone: Option<u64>,
    height_max: Option<f64>,
    spread_max: Option<f64>,
}

/// Keys whose word must be the plant's own, or among its own.
const WORDS: [&str; 7] = ["kind", "light", "water", "foliage", "wet_soil", "native", "climate"];

impl Wanted {
    fn read(case: &Map<String, Value>) -> Result<Self, String> {
        let text = |key: &str| -> Result<Option<String>, String> {
            match case.get(key) {
                None => Ok(None),
                Some(Value::String(text)) => Ok(Some(text.to_lowercase())),
                Some(other) => Err(format!("`{key}` is {other}; expected a text in quotes")),
            }
        };
        let length = |key: &str| -> Result<Option<f64>, String> {
            let Some(text) = text(key)? else { return Ok(None) };
            let parsed = parse_length(&text, None).map_err(|e| format!("`{key}`: {e}"))?;
            Ok(Some(parsed.value.metres()))
        };
        let mut words = Vec::new();
        for key in WORDS {
            if let Some(word) = text(key)? {
                let known = known_words(key);
                if !known.contains(&word) {
                    return Err(format!(
                        "`{key}`: no plant has `{word}`; expected one of {}",
                        known.join(", ")
                    ));
                }
                words.push((key, word));
            }
        }
        let zone = match case.get("zone") {
            None => None,
            Some(value) => {
                let zone = value.as_u64().filter(|zone| (1..=13).contains(zone));
                Some(zone.ok_or_else(|| format!("`zone` is {value}; expected a number from 1 to 13"))?)
            }
        };
        let find = text("find")?.unwrap_or_default();
        Ok(Self {
            find: find.split_whitespace().map(str::to_owned).collect(),
            words,
            zone,
            height_max: length("height_max")?,
            spread_max: length("spread_max")?,
        })
    }

    fn holds(&self, taxon: &Taxon) -> bool {
        let names = format!("{} {} {}", taxon.id, taxon.botanical, taxon.common).to_lowercase();
        let below = |limit: Option<f64>, value: f64| limit.is_none_or(|limit| value <= limit + 1e-9);
        let in_zone = |zone: u64| {
            taxon.zones.is_some_and(|(cold, warm)| (u64::from(cold)..=u64::from(warm)).contains(&zone))
        };
        self.find.iter().all(|word| names.contains(word.as_str()))
            && self.words.iter().all(|(key, word)| words_of(taxon, key).contains(word))
            && self.zone.is_none_or(in_zone)
            && below(self.height_max, taxon.height.1)
            && below(self.spread_max, taxon.spread.1)
    }
}

/// The words that a plant has under a key.
fn words_of(taxon: &Taxon, key: &str) -> Vec<String> {
    let one = |word: Option<String>| word.into_iter().collect::<Vec<_>>();
    match key {
        "kind" => vec![taxon.kind.to_string()],
        "light" => taxon.sun.iter().map(ToString::to_string).collect(),
        "water" => one(taxon.water.map(|w| w.to_string())),
        "foliage" => one(taxon.foliage.map(|f| f.to_string())),
        "wet_soil" => one(taxon.wet_soil.map(|w| w.to_string())),
        "native" => taxon.native.clone(),
        _ => taxon.climates.clone(),
    }
}

/// All words that plants of the stock have under a key.
fn known_words(key: &str) -> Vec<String> {
    let mut words: Vec<String> = embedded().taxa.values().flat_map(|taxon| words_of(taxon, key)).collect();
    words.sort();
    words.dedup();
    words
}

fn row(taxon: &Taxon) -> Value {
    json!({
        "id": taxon.id.as_str(),
        "botanical": taxon.botanical,
        "common": taxon.common,
        "kind": taxon.kind.to_string(),
        "height_m": [taxon.height.0, taxon.height.1],
        "spread_m": [taxon.spread.0, taxon.spread.1],
        "spacing_m": taxon.spacing,
        "zones": taxon.zones.map(|(cold, warm)| [cold, warm]),
        "light": words_of(taxon, "light"),
        "water": taxon.water.map(|w| w.to_string()),
        "foliage": taxon.foliage.map(|f| f.to_string()),
        "toxicity": taxon.toxicity,
        "sizes": taxon.sizes,
    })
}
