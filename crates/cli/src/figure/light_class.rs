//! Figure `light-class`: hours of direct sun as a class, and against what a plant bears.

use groundwright_planting::light::{LightFit, half_hours, light_class, light_fit};
use serde_json::{Map, Value, json};

use super::{Answer, case, stock};

pub(super) const EXAMPLE: &str = r#"{ "sun_hours": 3.5, "plant": "polystichum-munitum" }"#;
pub(super) const HELP: &str = r"A case has sun_hours of direct sun a day, mean of the growing season, and may have
  full_sun, part_sun    least hours of full and of part sun; 6 and 3 if left out (some pages say 4)
  plant                 an id of the stock
Result: light_class (full, part or shade), shown_hours to the half hour, and of a plant bears, fits, and
hours_off: how far it is outside of what it bears.
Example:
  groundwright figure light-class --example | groundwright figure light-class";

pub(super) fn figure(of: &Map<String, Value>) -> Result<Answer, String> {
    let hours = case::needed_decimal(of, "sun_hours")?;
    let full = case::decimal(of, "full_sun")?.unwrap_or(6.0);
    let part = case::decimal(of, "part_sun")?.unwrap_or(3.0);
    if !(0.0..=24.0).contains(&hours) {
        return Err(format!("`sun_hours` is {hours}; expected 0 to 24"));
    }
    if !(0.0 < part && part < full && full <= 24.0) {
        return Err(format!(
            "`part_sun` is {part} and `full_sun` {full}; expected 0 < part_sun < full_sun, at most 24"
        ));
    }
    let mut result = json!({
        "light_class": light_class(hours, full, part).to_string(),
        "shown_hours": half_hours(hours),
    });
    if let Some(id) = case::text(of, "plant")? {
        let taxon = stock::taxon(id)?;
        let bears: Vec<String> = taxon.sun.iter().map(ToString::to_string).collect();
        result["bears"] = json!(bears);
        let (fits, off) = match light_fit(&taxon.sun, hours, full, part) {
            LightFit::Fits => (json!(true), Some(0.0)),
            LightFit::Dark(by) => (json!(false), Some(-by)),
            LightFit::Bright(by) => (json!(false), Some(by)),
            LightFit::Unknown => (Value::Null, None),
        };
        result["fits"] = fits;
        result["hours_off"] = json!(off);
    }
    Ok(Answer::new(result))
}
