//! Figure `timer`: when lamps go on and off through a year, and what that uses.

use groundwright_light::timer::{Dimming, Evening, energy, evening};
use groundwright_sun::{Event, SunDay, sun_day, time_zone};
use groundwright_units::constants::{HOUR, MINUTE};
use jiff::civil::{Date, Time};
use jiff::tz::{Offset, TimeZone};
use jiff::{ToSpan, ZonedDateTime};
use serde_json::{Map, Value, json};

use super::{Answer, case, sun};

pub(super) const EXAMPLE: &str = r#"{ "year": 2025, "tz": "America/Denver", "lat": 39.7392, "lon": -104.9903,
  "off": "23:30", "dim_after": "22:00", "dim_to": 0.5, "watts": 120, "price_per_kWh": 0.15 }"#;
pub(super) const HELP: &str =
    "A year: `year`, `tz` (a name of the open time zone data base), `lat`, `lon` (degrees), `off` (a time of
the clock; before noon it means the next morning; left out: until civil dawn), and may have
`minutes_after_dusk`, `dim_after` with `dim_to` (0 to 1), `watts` with `price_per_kWh`. Lamps go on at
civil dusk, the sun 6 degrees below the horizon. Result: days (the 1st and the 15th of every month),
hours, energy_kWh, cost. Times are those of the clock, its changes included; hours are elapsed.
Or single dates in standard time: `lat`, `lon`, `date`, `utc_offset_h`, also as a list `rows`. Result:
sun_m0p833_rise, sun_m0p833_set, civil_m6_rise, civil_m6_set; null where there is none.
Example:
  groundwright figure timer --example | groundwright figure timer";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    if let Some(rows) = case.get("rows") {
        return super::illuminance::each(rows, "rows", date).map(|rows| Answer::new(json!({ "rows": rows })));
    }
    if case.contains_key("date") { date(case).map(Answer::new) } else { year(case).map(Answer::new) }
}

fn date(case: &Case) -> Result<Value, String> {
    let written = case::text(case, "date")?.ok_or("`date` is missing; expected such as \"2025-03-20\"")?;
    let date: Date =
        written.parse().map_err(|_| format!("`date` is \"{written}\"; expected such as \"2025-03-20\""))?;
    let hours = case::number(case, "utc_offset_h")?.unwrap_or_default();
    let wrong = || format!("`utc_offset_h` is {hours}; expected hours from -14 to 14");
    if !(-14.0..=14.0).contains(&hours) {
        return Err(wrong());
    }
    let offset = Offset::from_seconds((hours * HOUR).round() as i32).map_err(|_| wrong())?;
    let day = sun_day(&sun::observer(case)?, date, &TimeZone::fixed(offset)).map_err(|e| e.to_string())?;
    let shown = |event| day.first(event).map(|at| at.strftime("%H:%M:%S").to_string());
    Ok(json!({
        "sun_m0p833_rise": shown(Event::Sunrise),
        "sun_m0p833_set": shown(Event::Sunset),
        "civil_m6_rise": shown(Event::CivilDawn),
        "civil_m6_set": shown(Event::CivilDusk),
    }))
}

/// What the timer is set to.
struct Rules {
    zone: TimeZone,
    off: Option<Time>,
    dim_after: Option<Time>,
    dim_to: f64,
    after_dusk: f64,
}

fn clock(case: &Case, key: &str) -> Result<Option<Time>, String> {
    let Some(text) = case::text(case, key)? else { return Ok(None) };
    text.parse().map(Some).map_err(|_| format!("`{key}` is \"{text}\"; expected a time such as \"23:00\""))
}

fn year(case: &Case) -> Result<Value, String> {
    let year = case::number(case, "year")?.ok_or("`year` is missing; expected a year, `date` or `rows`")?;
    if year.fract() != 0.0 || !(1900.0..=2200.0).contains(&year) {
        return Err(format!("`year` is {year}; expected a whole year from 1900 to 2200"));
    }
    let zone = case::text(case, "tz")?.ok_or("`tz` is missing; expected such as \"America/Denver\"")?;
    let rules = Rules {
        zone: time_zone(zone).map_err(|e| e.to_string())?,
        off: clock(case, "off")?,
        dim_after: clock(case, "dim_after")?,
        dim_to: case::number(case, "dim_to")?.unwrap_or(1.0),
        after_dusk: case::number(case, "minutes_after_dusk")?.unwrap_or_default() * MINUTE,
    };
    let observer = sun::observer(case)?;
    let first = Date::new(year as i16, 1, 1).map_err(|e| e.to_string())?;
    let dates: Vec<Date> = first.series(1.day()).take_while(|date| date.year() == first.year()).collect();
    let day = |date: Date| sun_day(&observer, date, &rules.zone).map_err(|e| e.to_string());
    let (mut evenings, mut days) = (Vec::new(), Vec::new());
    for date in dates {
        let next = day(date.tomorrow().map_err(|e| e.to_string())?)?;
        let Some((on, off, evening)) = of_day(&rules, date, &day(date)?, &next)? else { continue };
        evenings.push(evening);
        if [1, 15].contains(&date.day()) {
            days.push(json!({
                "date": date.to_string(),
                "on": on.strftime("%H:%M").to_string(),
                "off": off.strftime("%H:%M").to_string(),
                "hours": evening.lit / HOUR,
                "dimmed_hours": evening.dimmed / HOUR,
            }));
        }
    }
    let hours: f64 = evenings.iter().map(|evening| evening.lit).sum::<f64>() / HOUR;
    let mut result = json!({ "days": days, "evenings": evenings.len(), "hours": hours });
    if let Some(watts) = case::number(case, "watts")? {
        let kilowatt_hours = energy(&evenings, watts).map_err(|e| e.to_string())? / (1000.0 * HOUR);
        result["energy_kWh"] = json!(kilowatt_hours);
        let price = case::number(case, "price_per_kWh")?;
        result["cost"] = json!(price.map(|price| price * kilowatt_hours));
    }
    Ok(result)
}

/// One evening of the calendar; none without a dusk, or where lamps would go off before they go on.
fn of_day(
    rules: &Rules,
    date: Date,
    today: &SunDay,
    next: &SunDay,
) -> Result<Option<(ZonedDateTime, ZonedDateTime, Evening)>, String> {
    use groundwright_sun::events::seconds;
    let Some(dusk) = today.first(Event::CivilDusk) else { return Ok(None) };
    let on = dusk
        .checked_add((rules.after_dusk.round() as i64).seconds())
        .map_err(|e| format!("`minutes_after_dusk`: {e}"))?;
    // Times before noon are those of the next morning.
    let at = |time: Time| {
        let day = if time.hour() < 12 { date.tomorrow() } else { Ok(date) };
        day.and_then(|day| day.to_datetime(time).to_zoned_datetime(rules.zone.clone()))
            .map_err(|e| e.to_string())
    };
    let off = match (rules.off, next.first(Event::CivilDawn)) {
        (Some(off), _) => at(off)?,
        (None, Some(dawn)) => dawn.clone(),
        (None, None) => return Ok(None),
    };
    let instant = |at: &ZonedDateTime| seconds(at.timestamp());
    let dimming = match rules.dim_after {
        Some(time) => Some(Dimming { from: instant(&at(time)?), level: rules.dim_to }),
        None => None,
    };
    let evening = evening(instant(&on), instant(&off), dimming).map_err(|e| e.to_string())?;
    Ok((evening.lit > 0.0).then_some((on, off, evening)))
}
