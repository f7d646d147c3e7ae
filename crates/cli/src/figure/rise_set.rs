//! Figure `rise-set`: what the sun does on a date of the calendar, clock changes included.

use groundwright_sun::{DayState, Event, sun_day, time_zone};
use jiff::ZonedDateTime;
use jiff::civil::Date;
use serde_json::{Map, Value, json};

use super::{Answer, case, sun};

pub(super) const EXAMPLE: &str =
    r#"{ "date": "2025-03-09", "tz": "America/Denver", "lat": 39.7392, "lon": -104.9903, "off": "23:00" }"#;
pub(super) const HELP: &str = r#"Keys of a case; numbers may also be texts:
  date        "2025-03-09", a date of the local calendar
  tz          a name of the open time zone data base
  lat, lon    degrees, north and east positive
  off         a time of the clock at which lamps go off: adds the hours that they burn from sunset
Result: civil_dawn, sunrise, transit, sunset, civil_dusk with their offsets, null where there is none on
that date; state; civil_day_hours; transit_elev_deg; dusk_to_dawn_hours, to the next date's dawn.
Rise and set: the sun's middle at -0.8333 degrees over a level horizon; civil: -6 degrees.
Example:
  groundwright figure rise-set --example | groundwright figure rise-set"#;

pub(super) fn figure(of: &Map<String, Value>) -> Result<Answer, String> {
    let text = |key: &str, expected: &str| {
        case::text(of, key)?.ok_or_else(|| format!("`{key}` is missing; expected {expected}"))
    };
    let written = text("date", "a date such as \"2025-03-09\"")?;
    let date: Date = written
        .parse()
        .map_err(|_| format!("`date` is \"{written}\"; expected a date such as \"2025-03-09\""))?;
    let zone = time_zone(text("tz", "a time zone such as \"America/Denver\"")?).map_err(|e| e.to_string())?;
    let observer = sun::observer(of)?;
    let day = sun_day(&observer, date, &zone).map_err(|e| e.to_string())?;
    let shown = |event| day.first(event).map(|at| at.strftime("%Y-%m-%d %H:%M:%S %z").to_string());
    let transit = day
        .first(Event::Transit)
        .map(|at| groundwright_sun::events::position_at(&observer, at.timestamp()).elevation().to_degrees());
    let state = match day.state {
        DayState::Normal => "normal",
        DayState::UpAllDay => "sun up all day",
        DayState::DownAllDay => "sun down all day",
    };
    let mut result = json!({
        "civil_day_hours": day.length / 3600.0,
        "civil_dawn": shown(Event::CivilDawn),
        "sunrise": shown(Event::Sunrise),
        "transit": shown(Event::Transit),
        "sunset": shown(Event::Sunset),
        "civil_dusk": shown(Event::CivilDusk),
        "state": state,
        "transit_elev_deg": transit,
    });
    let next = date.tomorrow().ok().and_then(|next| sun_day(&observer, next, &zone).ok());
    let dawn = next.as_ref().and_then(|next| next.first(Event::CivilDawn));
    result["dusk_to_dawn_hours"] = json!(day.first(Event::CivilDusk).zip(dawn).map(|(a, b)| hours(a, b)));
    if let Some(off) = case::text(of, "off")? {
        let time: jiff::civil::Time =
            off.parse().map_err(|_| format!("`off` is \"{off}\"; expected a time such as \"23:00\""))?;
        let off = date.to_datetime(time).to_zoned_datetime(zone).map_err(|e| format!("`off`: {e}"))?;
        // Lamps that go off before they went on do not burn.
        result["sunset_to_off_hours"] =
            json!(day.first(Event::Sunset).map(|sunset| hours(sunset, &off).max(0.0)));
    }
    Ok(Answer::new(result))
}

/// Elapsed time, whatever the clocks did in between. [h]
fn hours(from: &ZonedDateTime, to: &ZonedDateTime) -> f64 {
    use groundwright_sun::events::seconds;
    (seconds(to.timestamp()) - seconds(from.timestamp())) / 3600.0
}
