//! Runoff, storage and intake against published tables and by hand; fall from buildings.

use std::f64::consts::PI;

use groundwright_ground::{
    DryWell, RainGarden, Station, Texture, TimedHole, composite, dry_well, dry_well_depth, fall_away,
    of_parts, of_timed_hole, peak_flow, rain_garden, runoff_depth, weighted_number,
};
use groundwright_units::constants::{FOOT, INCH, SQUARE_FOOT};

const ACRE: f64 = 43_560.0 * SQUARE_FOOT;
const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;
const HOUR: f64 = 3600.0;

/// Source: C i A in double precision; 1.00833 of the customary shortcut, which is contained here.
#[test]
fn the_rational_method_agrees_in_both_systems() {
    let cfs = |c: f64, inches: f64, area: f64| peak_flow(c, inches * INCH / HOUR, area).unwrap() / CUBIC_FOOT;
    assert!((cfs(0.9, 4.0, 2000.0 * SQUARE_FOOT) / 1.008_333_333 - 0.1653).abs() < 5e-5);
    assert!((cfs(0.35, 3.2, 0.25 * ACRE) / 1.008_333_333 - 0.2800).abs() < 5e-5);
    assert!((peak_flow(0.5, 0.060 / HOUR, 1000.0).unwrap() - 0.008_333).abs() < 5e-7);
    let parts = [(1800.0 * SQUARE_FOOT, 0.9), (5200.0 * SQUARE_FOOT, 0.25)];
    assert!((composite(&parts).unwrap() - 0.4171).abs() < 5e-5);
    assert!(peak_flow(1.2, 1.0, 1.0).is_err() && peak_flow(0.5, f64::NAN, 1.0).is_err());
    assert!(composite(&[]).is_err());
}

/// Runoff depths in inches by rain and curve number 60, 70, 80, 90, 98.
/// Source: USDA TR-55 (June 1986), table 2-1, read in a transcription of it.
const TABLE_2_1: [(f64, [f64; 5]); 7] = [
    (1.0, [0.00, 0.00, 0.08, 0.32, 0.79]),
    (2.0, [0.06, 0.24, 0.56, 1.09, 1.77]),
    (3.0, [0.33, 0.71, 1.25, 1.98, 2.77]),
    (4.0, [0.76, 1.33, 2.04, 2.92, 3.77]),
    (5.0, [1.30, 2.04, 2.89, 3.88, 4.76]),
    (6.0, [1.92, 2.81, 3.78, 4.85, 5.76]),
    (10.0, [4.90, 6.22, 7.52, 8.78, 9.76]),
];

#[test]
fn curve_numbers_agree_with_the_published_table() {
    for (rain, row) in TABLE_2_1 {
        for (number, printed) in [60.0, 70.0, 80.0, 90.0, 98.0].into_iter().zip(row) {
            let ours = runoff_depth(rain * INCH, number).unwrap() / INCH;
            assert!((ours - printed).abs() < 0.006, "P {rain}, CN {number}: {ours} against {printed}");
        }
    }
    let inches = |rain: f64, number: f64| runoff_depth(rain * INCH, number).unwrap() / INCH;
    assert!(inches(0.9, 61.0) == 0.0 && (inches(2.0, 100.0) - 2.0).abs() < 1e-12);
    assert!((inches(3.2, 74.0) - 1.0375).abs() < 5e-5);
    let gallons = inches(2.5, 98.0) * INCH * 1500.0 * SQUARE_FOOT / (231.0 * INCH * INCH * INCH);
    assert!((gallons - 2123.3).abs() < 0.05);
    for bad in [0.0, 100.5, -3.0, f64::NAN] {
        assert!(runoff_depth(0.05, bad).is_err());
    }
}

/// The watershed worked in TR-55: 75 acres at 70, 100 at 80, 75 at 74, 6 in of rain: number 75.2,
/// rounded 75, runoff 3.28 in.
#[test]
fn the_worked_watershed_agrees() {
    let number = weighted_number(&[(75.0, 70.0), (100.0, 80.0), (75.0, 74.0)]).unwrap();
    assert_eq!(format!("{number:.1}"), "75.2");
    assert_eq!(format!("{:.2}", runoff_depth(6.0 * INCH, number.round()).unwrap() / INCH), "3.28");
}

/// Half at 98, half at 61, 2 in: weighting the number gives 0.542 in, weighting the runoff 0.924 in.
#[test]
fn weighting_numbers_is_not_weighting_runoff() {
    let halves = [(1.0, 98.0), (1.0, 61.0)];
    let number = weighted_number(&halves).unwrap();
    assert!((number - 79.5).abs() < 1e-12);
    assert_eq!(format!("{:.3}", runoff_depth(2.0 * INCH, number).unwrap() / INCH), "0.542");
    assert_eq!(format!("{:.3}", of_parts(2.0 * INCH, &halves).unwrap() / INCH), "0.924");
}

/// By hand: diameter 2 m, 1.5 m of stone at 40 %: holds 0.6 π m³; bottom π m², half sides 1.5 π m².
#[test]
fn a_dry_well_by_hand() {
    let well = DryWell { diameter: 2.0, depth: 1.5, voids: 0.4 };
    let store = dry_well(well, 3.0, 0.02 / HOUR, 2.0 * HOUR).unwrap();
    assert!((store.holds - 0.6 * PI).abs() < 1e-12);
    assert!((store.soaked - 0.02 * 2.0 * 2.5 * PI).abs() < 1e-12);
    assert!((store.held + store.soaked - 3.0).abs() < 1e-12);
    assert!((store.empties - 0.6 * PI / (0.02 / HOUR * 2.5 * PI)).abs() < 1e-6);
    let depth = dry_well_depth(2.0, 0.4, 3.0, 0.02 / HOUR, 2.0 * HOUR).unwrap();
    let sized = dry_well(DryWell { depth, ..well }, 3.0, 0.02 / HOUR, 2.0 * HOUR).unwrap();
    assert!((sized.holds - sized.held).abs() < 1e-12);
    assert!(dry_well(DryWell { voids: 0.0, ..well }, 3.0, 0.0, 1.0).is_err());
    assert!(dry_well(well, f64::NAN, 0.0, 1.0).is_err());
}

/// A pond of 4 × 4 m at the bottom and 6 × 6 m at the top, 0.3 m deep: 0.1 (16 + 36 + 24) = 7.6 m³.
#[test]
fn a_rain_garden_by_hand() {
    let garden = RainGarden { bottom: 16.0, top: 36.0, ponding: 0.3, soil: 0.5, voids: 0.2 };
    let store = rain_garden(garden, 10.0, 0.01 / HOUR, HOUR).unwrap();
    assert!((store.holds - (7.6 + 1.6)).abs() < 1e-12 && (store.soaked - 0.16).abs() < 1e-12);
    assert!(rain_garden(RainGarden { top: 15.0, ..garden }, 1.0, 0.0, 1.0).is_err());
    assert!(rain_garden(garden, 1.0, 0.0, 1.0).unwrap().empties.is_infinite());
}

/// By hand: 8 in hole, 12 in to 9 in in 30 min: 3 × 4 / (30 × (4 + 21)) in/min = 0.96 in/h.
#[test]
fn a_timed_hole_by_hand() {
    let hole = TimedHole { diameter: 8.0 * INCH, start: 12.0 * INCH, end: 9.0 * INCH, time: 1800.0 };
    assert!((of_timed_hole(hole).unwrap() * HOUR / INCH - 0.96).abs() < 1e-12);
    assert!(of_timed_hole(TimedHole { end: 13.0 * INCH, ..hole }).is_err());
}

/// Source: New Mexico State University, irrigation-scheduling soil table; in/h by division.
#[test]
fn intake_by_texture_agrees_with_the_table() {
    let printed = [3.754, 2.444, 1.059, 0.496, 0.407, 0.202, 0.185, 0.101, 0.076, 0.070];
    for ((texture, name), inches) in Texture::ALL.into_iter().zip(printed) {
        assert_eq!(format!("{:.3}", texture.intake() * HOUR / INCH), format!("{inches:.3}"), "{name}");
    }
}

/// Profiles from a wall, in feet. Source of the rule: IRC R401.3; figures by hand.
#[test]
fn fall_from_a_building_is_judged_as_the_code_reads() {
    let profile = |places: &[(f64, f64)], paved: bool| {
        let stations: Vec<Station> = places
            .iter()
            .map(|&(distance, level)| Station { distance: distance * FOOT, level: level * FOOT, paved })
            .collect();
        fall_away(&stations).unwrap()
    };
    let exact = profile(&[(0.0, 100.0), (10.0, 99.5)], false);
    assert!(exact.good() && (exact.share() - 0.05).abs() < 1e-9);
    let short = profile(&[(0.0, 100.0), (10.0, 99.55)], false);
    assert!(!short.good() && (short.short / FOOT - 0.05).abs() < 1e-9);
    let back = profile(&[(0.0, 100.0), (4.0, 99.8), (7.0, 99.85), (10.0, 99.5)], false);
    let (from, to) = back.rises.unwrap();
    assert!(back.short.abs() < 1e-9 && (from / FOOT - 4.0).abs() < 1e-9 && (to / FOOT - 7.0).abs() < 1e-9);
    assert!(profile(&[(0.0, 100.0), (8.0, 99.84)], true).good());
    let line = profile(&[(0.0, 100.0), (6.0, 99.70)], false);
    assert!(line.good() && (line.share() - 0.05).abs() < 1e-9);
    let beyond = profile(&[(0.0, 100.0), (20.0, 99.0)], false);
    assert!(beyond.good() && (beyond.length / FOOT - 10.0).abs() < 1e-9);
    assert_eq!(fall_away(&[]), None);
}
