//! Evapotranspiration against the examples of FAO Irrigation and Drainage Paper 56.
//!
//! Numbers of examples and values: the paper, as public unit tests quote them by number. Closed
//! values: the paper's equations in double precision, agreed by two libraries (pyet 1.5.0, refet
//! 0.5.0).

use groundwright_sun::evapotranspiration::{
    Humidity, MEGAJOULE_PER_DAY, MILLIMETRE_PER_DAY, Radiation, Weather, air_pressure, monthly_soil_heat,
    outside, reference, saturation_pressure,
};
use proptest::prelude::*;

const KELVIN: f64 = 273.15;

fn april() -> Weather {
    Weather {
        latitude: (13.0 + 44.0 / 60.0_f64).to_radians(),
        elevation: 2.0,
        day: 105,
        highest: 34.8 + KELVIN,
        lowest: 25.6 + KELVIN,
        humidity: Humidity::Pressure(2850.0),
        wind: 2.0,
        wind_height: 2.0,
        radiation: Radiation::Sunshine(8.5 * 3600.0),
        soil_heat: 0.14 * MEGAJOULE_PER_DAY,
    }
}

fn july() -> Weather {
    Weather {
        latitude: (50.0 + 48.0 / 60.0_f64).to_radians(),
        elevation: 100.0,
        day: 187,
        highest: 21.5 + KELVIN,
        lowest: 12.3 + KELVIN,
        humidity: Humidity::Range(0.84, 0.63),
        wind: 2.78,
        wind_height: 10.0,
        radiation: Radiation::Sunshine(9.25 * 3600.0),
        soil_heat: 0.0,
    }
}

/// Examples 17 (April, monthly) and 18 (6 July), every printed step within half of its last digit,
/// or one of it where the paper went on from rounded steps.
#[test]
fn the_two_worked_examples_agree_step_by_step() {
    for (name, weather, printed) in [
        ("17", april(), [0.246, 0.0674, 4.42, 2.85, 38.06, 12.31, 22.65, 28.54, 17.44, 3.11, 14.33, 5.72]),
        ("18", july(), [0.122, 0.0666, 1.997, 1.409, 41.09, 16.1, 22.07, 30.90, 17.00, 3.71, 13.28, 3.88]),
    ] {
        let s = reference(&weather).unwrap();
        let mj = |mean: f64| mean / MEGAJOULE_PER_DAY;
        let ours = [
            s.slope / 1000.0,
            s.psychrometric / 1000.0,
            s.saturation / 1000.0,
            s.vapour / 1000.0,
            mj(s.outside),
            s.daylight / 3600.0,
            mj(s.solar),
            mj(s.clear),
            mj(s.net_shortwave),
            mj(s.net_longwave),
            mj(s.net),
            s.penman_monteith / MILLIMETRE_PER_DAY,
        ];
        let last = [1e-3, 1e-4, 5e-3, 5e-4, 5e-3, 5e-3, 5e-3, 5e-3, 5e-3, 5e-3, 5e-3, 5e-3];
        for (i, ((ours, printed), last)) in ours.iter().zip(printed).zip(last).enumerate() {
            assert!((ours - printed).abs() <= last, "example {name}, step {i}: {ours}, printed {printed}");
        }
    }
}

/// Examples 2, 3, 4, 5, 8, 9, 13, 14, 15 and 20, one step each, half a unit of the last digit.
#[test]
fn single_steps_agree_with_their_examples() {
    let near = |what: &str, ours: f64, printed: f64, half: f64| {
        assert!((ours - printed).abs() <= half, "{what}: {ours}, printed {printed}");
    };
    near("2, pressure at 1800 m", air_pressure(1800.0) / 1000.0, 81.8, 0.05);
    near("4, pressure at 1200 m", air_pressure(1200.0) / 1000.0, 87.9, 0.05);
    near("3, e°(24.5)", saturation_pressure(24.5 + KELVIN) / 1000.0, 3.075, 5e-4);
    near("3, e°(15)", saturation_pressure(15.0 + KELVIN) / 1000.0, 1.705, 5e-4);
    near("3, e°(19.75)", saturation_pressure(19.75 + KELVIN) / 1000.0, 2.30, 5e-3);
    let twenty_south = (-20.0_f64).to_radians();
    let (distance, declination, sunset, ra, daylight) = outside(twenty_south, 246);
    near("8, distance", distance, 0.985, 5e-4);
    near("8, declination", declination, 0.120, 5e-4);
    near("8, sunset", sunset, 1.527, 5e-4);
    near("8, Ra", ra / MEGAJOULE_PER_DAY, 32.2, 0.05);
    near("9, daylight", daylight / 3600.0, 11.7, 0.05);
    near("13, soil heat", monthly_soil_heat(14.1, 18.8) / MEGAJOULE_PER_DAY, 0.33, 5e-3);
    let humid = |humidity, high: f64, low: f64, elevation| {
        let weather = Weather { humidity, highest: high + KELVIN, lowest: low + KELVIN, elevation, ..july() };
        reference(&weather).unwrap().vapour / 1000.0
    };
    let bulbs = Humidity::Bulbs { wet: 19.5 + KELVIN, dry: 25.6 + KELVIN };
    near("4, wet and dry bulb", humid(bulbs, 30.0, 20.0, 1200.0), 1.91, 5e-3);
    near("5, range", humid(Humidity::Range(0.82, 0.54), 25.0, 18.0, 100.0), 1.70, 5e-3);
    near("5, mean", humid(Humidity::Mean(0.68), 25.0, 18.0, 100.0), 1.78, 5e-3);
    near("20, from the lowest", humid(Humidity::FromLowest, 26.6, 14.8, 200.0), 1.68, 5e-3);
    near("14, wind", reference(&Weather { wind: 3.2, ..july() }).unwrap().wind, 2.4, 0.05);
    let lyon = Weather {
        latitude: 45.72_f64.to_radians(),
        day: 196,
        highest: 26.6 + KELVIN,
        lowest: 14.8 + KELVIN,
        humidity: Humidity::FromLowest,
        radiation: Radiation::FromTemperatures(0.16),
        ..july()
    };
    let steps = reference(&lyon).unwrap();
    near("15, Rs", steps.solar / MEGAJOULE_PER_DAY, 22.3, 0.05);
    near("20, Hargreaves", steps.hargreaves / MILLIMETRE_PER_DAY, 5.033, 5e-3);
}

/// Six made-up days, the closed equations in double precision and two libraries; 0.01 mm a day.
#[test]
fn six_days_agree_with_two_libraries() {
    for (latitude, elevation, day, high, low, ea, wind, rs, ra, rn, eto, hargreaves) in [
        (36.6, 90.0, 196, 38.5, 20.1, 1.3, 2.4, 29.1, 40.814, 15.483, 8.556, 7.738),
        (37.8, 20.0, 105, 17.0, 9.0, 1.05, 3.1, 21.0, 35.237, 11.498, 3.317, 2.881),
        (39.74, 1609.0, 15, 5.0, -9.0, 0.25, 2.0, 10.2, 15.172, 2.031, 1.194, 0.842),
        (-33.87, 40.0, 15, 29.0, 19.5, 2.05, 3.0, 24.5, 43.331, 15.291, 5.660, 5.270),
        (45.0, 100.0, 172, 24.0, 12.0, 1.3, 0.0, 22.0, 41.910, 13.166, 3.550, 4.877),
        (52.0, 10.0, 349, 6.0, 3.0, 0.83, 4.0, 1.6, 6.348, 0.591, 0.131, 0.230),
    ] {
        let steps = reference(&Weather {
            latitude: f64::to_radians(latitude),
            elevation,
            day,
            highest: high + KELVIN,
            lowest: low + KELVIN,
            humidity: Humidity::Pressure(1000.0 * ea),
            wind,
            wind_height: 2.0,
            radiation: Radiation::Given(rs * MEGAJOULE_PER_DAY),
            soil_heat: 0.0,
        })
        .unwrap();
        for (what, ours, theirs) in [
            ("Ra", steps.outside / MEGAJOULE_PER_DAY, ra),
            ("Rn", steps.net / MEGAJOULE_PER_DAY, rn),
            ("ETo", steps.penman_monteith / MILLIMETRE_PER_DAY, eto),
            ("Hargreaves", steps.hargreaves / MILLIMETRE_PER_DAY, hargreaves),
        ] {
            assert!((ours - theirs).abs() < 0.01, "{latitude}° {what}: {ours} {theirs}");
        }
    }
}

/// Ra and daylight over latitudes, closed equations; polar night has none and midnight sun 24 hours.
#[test]
fn radiation_outside_the_air_by_latitude() {
    let days = [15, 105, 196, 288];
    for (latitude, row) in [
        (-65.0, [(40.95, 19.51), (7.79, 9.20), (0.85, 4.34), (25.93, 14.86)]),
        (-35.0, [(43.36, 14.10), (24.79, 11.10), (16.80, 9.87), (36.55, 12.92)]),
        (0.0, [(36.16, 12.0), (36.78, 12.0), (33.86, 12.0), (37.35, 12.0)]),
        (40.0, [(15.01, 9.47), (34.67, 13.08), (40.80, 14.57), (22.47, 10.90)]),
        (60.0, [(3.25, 6.37), (27.55, 14.25), (39.14, 17.72), (10.82, 9.71)]),
        (70.0, [(0.0, 0.0), (23.02, 15.65), (39.29, 24.0), (4.80, 8.27)]),
    ] {
        for (day, (ra, daylight)) in days.iter().zip(row) {
            let ours = outside(f64::to_radians(latitude), *day);
            assert!((ours.3 / MEGAJOULE_PER_DAY - ra).abs() < 0.02, "{latitude}° day {day}");
            assert!((ours.4 / 3600.0 - daylight).abs() < 0.02, "{latitude}° day {day}");
        }
    }
}

#[test]
fn weather_that_is_none_is_refused() {
    for bad in [
        Weather { lowest: 40.0 + KELVIN, ..april() },
        Weather { wind: -1.0, ..april() },
        Weather { humidity: Humidity::Mean(68.0), ..april() },
        Weather { humidity: Humidity::Pressure(15_000.0), ..april() },
        Weather { radiation: Radiation::Sunshine(f64::NAN), ..april() },
        Weather { day: 0, ..april() },
    ] {
        assert!(reference(&bad).unwrap_err().to_string().contains("expected"), "{bad:?}");
    }
}

proptest! {
    /// Every weather that passes the checks gives numbers, and longer sun never less shortwave.
    #[test]
    fn longer_sun_never_less_shortwave(
        latitude in -90.0..90.0f64, day in 1..=366u16, low in -30.0..30.0f64, span in 0.0..25.0f64, share in 0.05..1.0f64, wind in 0.0..10.0f64,
    ) {
        let weather = |hours: f64| Weather {
            latitude: latitude.to_radians(), day, lowest: low + KELVIN, highest: low + span + KELVIN,
            humidity: Humidity::Mean(share), wind, radiation: Radiation::Sunshine(hours * 3600.0), ..july()
        };
        let (dim, bright) = (reference(&weather(2.0)).unwrap(), reference(&weather(4.0)).unwrap());
        prop_assert!(dim.penman_monteith.is_finite() && dim.hargreaves.is_finite());
        prop_assert!(bright.net_shortwave >= dim.net_shortwave);
    }
}
