//! Rise, set, dusk and dawn of civil dates against a reference library and the report's table.

use groundwright_sun::spa::Observer;
use groundwright_sun::{DayState, Event, SunDay, sun_day, time_zone};
use jiff::civil::{Date, date};
use jiff::{Timestamp, ToSpan, ZonedDateTime};

use crate::{number, rows};

fn observer(latitude: f64, longitude: f64) -> Observer {
    Observer::new(latitude.to_radians(), longitude.to_radians(), 0.0)
}

fn day(latitude: f64, longitude: f64, date: Date, zone: &str) -> SunDay {
    sun_day(&observer(latitude, longitude), date, &time_zone(zone).unwrap()).unwrap()
}

/// `2025-03-08 06:21:49 -0700` as an instant.
fn written(text: &str) -> Timestamp {
    Timestamp::strptime("%Y-%m-%d %H:%M:%S %z", text).unwrap()
}

/// Twenty-one days: clock changes forward and back, half-hour ones, a midnight that does not exist,
/// polar night and midnight sun, a set after midnight. Within 3 s, and 6 s where the sun skims the
/// horizon (r14); the report's own rows r03 to r05 carry their second.
#[test]
fn events_agree_with_the_reference_library() {
    let all = rows(include_str!("../data/sun-rise-set.csv"));
    assert_eq!(all.len(), 21);
    for row in &all {
        let id = &row["id"];
        let day = day(number(row, "lat"), number(row, "lon"), row["date"].parse().unwrap(), &row["tz"]);
        assert!((day.length / 3600.0 - number(row, "civil_day_hours")).abs() < 1e-9, "{id}");
        let state = match row["state"].as_str() {
            "sun up all day" => DayState::UpAllDay,
            "sun down all day" => DayState::DownAllDay,
            _ => DayState::Normal,
        };
        assert_eq!(day.state, state, "{id}");
        for (event, column) in [
            (Event::CivilDawn, "civil_dawn"),
            (Event::Sunrise, "sunrise"),
            (Event::Transit, "transit"),
            (Event::Sunset, "sunset"),
            (Event::CivilDusk, "civil_dusk"),
        ] {
            let ours = day.first(event).map(ZonedDateTime::timestamp);
            if row[column].is_empty() {
                assert_eq!(ours, None, "{id} {column}");
                continue;
            }
            let theirs = written(&row[column]);
            let off = (ours.unwrap().as_second() - theirs.as_second()).abs();
            assert!(off <= if id == "r14" { 6 } else { 3 }, "{id} {column}: {off} s");
        }
    }
}

fn hours(from: &ZonedDateTime, to: &ZonedDateTime) -> f64 {
    (to.timestamp().as_second() - from.timestamp().as_second()) as f64 / 3600.0
}

/// Hours that a lamp burns in Denver. Source: the same library, elapsed hours; in the two nights of
/// the clock changes the wall clock is an hour off and the lamp is not.
#[test]
fn lamps_burn_elapsed_hours() {
    let (lat, lon, zone) = (39.7392, -104.9903, "America/Denver");
    let until_eleven = |of: Date| {
        let sunset = day(lat, lon, of, zone).first(Event::Sunset).unwrap().clone();
        let off = of.at(23, 0, 0, 0).to_zoned_datetime(time_zone(zone).unwrap()).unwrap();
        hours(&sunset, &off)
    };
    assert!((until_eleven(date(2025, 1, 15)) - 5.995).abs() < 0.002);
    assert!((until_eleven(date(2025, 6, 20)) - 2.478).abs() < 0.002);
    let night = |of: Date| {
        let dusk = day(lat, lon, of, zone).first(Event::CivilDusk).unwrap().clone();
        let next = of.checked_add(1.day()).unwrap();
        hours(&dusk, day(lat, lon, next, zone).first(Event::CivilDawn).unwrap())
    };
    assert!((night(date(2025, 3, 8)) - 11.441).abs() < 0.002);
    assert!((night(date(2025, 11, 1)) - 12.610).abs() < 0.002);
    let year: f64 = (0..365).map(|i| until_eleven(date(2025, 1, 1).checked_add(i.days()).unwrap())).sum();
    assert!((year - 1550.471).abs() < 0.5, "{year}");
}

#[test]
fn a_zone_that_is_none_is_named() {
    let text = time_zone("America/Nowhere").unwrap_err().to_string();
    assert!(text.contains("America/Nowhere") && text.contains("America/Denver"), "{text}");
    let fault = sun_day(&observer(100.0, 0.0), date(2025, 1, 1), &time_zone("UTC").unwrap());
    assert!(fault.unwrap_err().to_string().contains("latitude"));
    assert!(sun_day(&observer(0.0, 0.0), Date::MAX, &time_zone("UTC").unwrap()).is_err());
}
