//! Solar positions against the report's worked example and a reference library.

use groundwright_sun::events::seconds;
use groundwright_sun::spa::{Observer, geocentric, julian_day, position};
use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use proptest::prelude::*;

use crate::{number, rows};

/// Julian day of a time written in UTC.
fn julian(utc: &str) -> f64 {
    let at: DateTime = utc.replace(' ', "T").parse().unwrap();
    julian_day(seconds(at.to_zoned_datetime(TimeZone::UTC).unwrap().timestamp()))
}

fn golden() -> Observer {
    Observer {
        latitude: 39.742_476_f64.to_radians(),
        longitude: (-105.1786_f64).to_radians(),
        elevation: 1830.14,
        pressure: 82_000.0,
        temperature: 284.15,
    }
}

/// Every step that the report prints of its worked example, to the last digit printed.
/// Source: NREL/TP-560-34302, appendix, table A5.1 and the text of the example.
#[test]
fn the_worked_example_agrees_in_every_step() {
    let day = julian("2003-10-17 19:30:30");
    let sun = geocentric(day, 67.0);
    let seen = position(&golden(), day, 67.0);
    for (what, ours, printed, last) in [
        ("Julian day", day, 2_452_930.312_847, 1e-6),
        ("L", sun.longitude.to_degrees(), 24.018_26, 1e-5),
        ("R", sun.distance, 0.996_542, 1e-6),
        ("H", seen.hour_angle.to_degrees(), 11.105_902, 1e-5),
        ("nutation in longitude", sun.nutation_longitude.to_degrees(), -0.003_998_404, 1e-8),
        ("nutation in obliquity", sun.nutation_obliquity.to_degrees(), 0.001_666_568, 1e-8),
        ("obliquity", sun.obliquity.to_degrees(), 23.440_465, 1e-6),
        ("zenith", seen.apparent_zenith.to_degrees(), 50.111_622, 1e-5),
        ("zenith without refraction", seen.zenith.to_degrees(), 50.127_954, 1e-5),
        ("azimuth", seen.azimuth.to_degrees(), 194.340_241, 1e-5),
        ("incidence", seen.incidence(30_f64.to_radians(), (-10_f64).to_radians()).to_degrees(), 25.187, 1e-4),
    ] {
        assert!((ours - printed).abs() <= last, "{what}: {ours}, printed {printed}");
    }
}

/// Source: the same report, table A4.1.
#[test]
fn julian_days_are_those_of_the_report() {
    for (utc, day) in [
        ("2000-01-01 12:00:00", 2_451_545.0),
        ("1999-01-01 00:00:00", 2_451_179.5),
        ("1987-01-27 00:00:00", 2_446_822.5),
        ("1987-06-19 12:00:00", 2_446_966.0),
        ("1988-01-27 00:00:00", 2_447_187.5),
        ("1988-06-19 12:00:00", 2_447_332.0),
        ("1900-01-01 00:00:00", 2_415_020.5),
        ("1600-01-01 00:00:00", 2_305_447.5),
    ] {
        assert!((julian(utc) - day).abs() < 1e-9, "{utc}");
    }
}

/// Twenty places and times, from both poles' neighbourhoods to the equator, within 0.001°.
#[test]
fn positions_agree_with_the_reference_library() {
    let all = rows(include_str!("../data/sun-positions.csv"));
    assert_eq!(all.len(), 20);
    for row in &all {
        let observer = Observer {
            latitude: number(row, "lat").to_radians(),
            longitude: number(row, "lon").to_radians(),
            elevation: number(row, "alt_m"),
            pressure: number(row, "pressure_pa"),
            temperature: number(row, "temp_c") + 273.15,
        };
        let day = julian(&row["utc"]);
        let seen = position(&observer, day, number(row, "delta_t_s"));
        let zenith = number(row, "zenith_geometric");
        let case = &row["case"];
        assert!((seen.zenith.to_degrees() - zenith).abs() < 0.001, "{case}");
        assert!((seen.apparent_zenith.to_degrees() - number(row, "zenith_apparent")).abs() < 0.001, "{case}");
        // Azimuths go round; near overhead they mean little.
        let azimuth = seen.azimuth.to_degrees() - number(row, "azimuth_from_north");
        let azimuth = (azimuth + 540.0).rem_euclid(360.0) - 180.0;
        assert!(azimuth.abs() < 0.001 / zenith.to_radians().sin(), "{case}: {azimuth}");
        let equation = geocentric(day, number(row, "delta_t_s")).equation_of_time / 60.0;
        assert!((equation - number(row, "equation_of_time_min")).abs() < 0.001, "{case}: {equation}");
    }
}

#[test]
fn a_place_that_is_none_is_refused() {
    for bad in [
        Observer { latitude: 1.6, ..golden() },
        Observer { longitude: f64::NAN, ..golden() },
        Observer { elevation: 20_000.0, ..golden() },
        Observer { pressure: 0.0, ..golden() },
        Observer { temperature: 12.0, ..golden() },
    ] {
        let text = bad.checked().unwrap_err().to_string();
        assert!(text.contains("expected"), "{text}");
    }
}

proptest! {
    /// Nothing is ever not a number, refraction only lifts, and the azimuth stays on the circle.
    #[test]
    fn positions_are_numbers_everywhere(latitude in -90.0..=90.0f64, longitude in -180.0..=180.0f64, day in 2_305_447.5..2_560_000.0f64) {
        let observer = Observer::new(latitude.to_radians(), longitude.to_radians(), 0.0);
        let seen = position(&observer, day, 69.0);
        prop_assert!((0.0..=std::f64::consts::PI).contains(&seen.zenith));
        prop_assert!(seen.apparent_zenith <= seen.zenith + 1e-4 && seen.apparent_zenith.is_finite());
        prop_assert!((0.0..=std::f64::consts::TAU).contains(&seen.azimuth));
    }
}
