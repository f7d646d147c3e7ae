//! Levelling: published nets, loops, set-ups, gross errors, bad input.

use std::collections::BTreeMap;

use groundwright_survey::SurveyError;
use groundwright_survey::levelling::{LevelObserved, LevelReading, Levels, level, snoop_levels};

fn difference(from: &str, to: &str, value: f64, sigma: f64) -> LevelReading {
    LevelReading {
        observed: LevelObserved::Difference { from: from.into(), to: to.into() },
        value,
        sigma,
        booked: None,
    }
}

fn rod(setup: &str, point: &str, value: f64) -> LevelReading {
    LevelReading {
        observed: LevelObserved::Rod { setup: setup.into(), point: point.into() },
        value,
        sigma: 0.002,
        booked: None,
    }
}

/// Source: Ghilani, Adjustment Computations, chapter 12, the net of seven lines between benchmarks
/// X = 100.00 and Y = 107.50 ft; recalled from memory, lengths in miles for the weighted case
/// (weights 12 / length). Printed: 105.141, 104.483, 106.188 unweighted with S0 0.05; 105.150,
/// 104.489, 106.197 weighted with S0 0.107.
#[test]
fn a_net_of_seven_lines_agrees_with_the_book() {
    let lines = [
        ("X", "A", 5.10, 4.0),
        ("A", "Y", 2.34, 3.0),
        ("Y", "C", -1.25, 2.0),
        ("C", "X", -6.13, 3.0),
        ("A", "B", -0.68, 2.0),
        ("B", "Y", 3.00, 2.0),
        ("C", "B", -1.70, 2.0),
    ];
    let held = BTreeMap::from([("X".to_owned(), 100.0), ("Y".to_owned(), 107.5)]);
    for (weighted, printed, s0) in [
        (false, ["105.141", "104.483", "106.188"], "0.050"),
        (true, ["105.150", "104.489", "106.197"], "0.107"),
    ] {
        let sigma = |length: f64| if weighted { (length / 12.0).sqrt() } else { 1.0 };
        let readings = lines.iter().map(|(a, b, v, l)| difference(a, b, *v, sigma(*l))).collect();
        let levelled = level(&Levels { held: held.clone(), readings }).unwrap();
        for (name, printed) in ["A", "B", "C"].iter().zip(printed) {
            assert_eq!(format!("{:.3}", levelled.heights[*name].height), printed, "{name}");
        }
        assert_eq!(levelled.freedom, 4);
        assert_eq!(format!("{:.3}", levelled.variance_factor().unwrap().sqrt()), s0);
        let redundancy: f64 = levelled.readings.iter().map(|r| r.redundancy).sum();
        assert!((redundancy - 4.0).abs() < 1e-9, "redundancies add up to the degrees of freedom");
    }
}

/// One loop of set-ups: the misclosure is shared out evenly, 8 readings of equal weight.
#[test]
fn a_loop_of_set_ups_shares_its_misclosure() {
    let readings = vec![
        rod("1", "sill", 1.200),
        rod("1", "walk", 1.700),
        rod("2", "walk", 0.900),
        rod("2", "gate", 1.500),
        rod("3", "gate", 1.850),
        rod("3", "sill", 0.742),
    ];
    let held = BTreeMap::from([("sill".to_owned(), 10.0)]);
    let levelled = level(&Levels { held, readings }).unwrap();
    assert_eq!(levelled.freedom, 1);
    // Loop: −0.500 − 0.600 + 1.108 = +0.008; a third on each set-up.
    assert!((levelled.heights["walk"].height - (9.5 - 0.008 / 3.0)).abs() < 1e-12);
    assert!((levelled.heights["gate"].height - (8.9 - 0.016 / 3.0)).abs() < 1e-12);
    assert!(levelled.readings.iter().all(|r| (r.redundancy - 1.0 / 6.0).abs() < 1e-12));
}

#[test]
fn a_first_survey_without_redundancy_works_and_is_unchecked() {
    let readings = vec![rod("1", "sill", 0.4), rod("1", "lawn", 1.1), rod("1", "kerb", 1.62)];
    let levelled = level(&Levels { held: BTreeMap::new(), readings }).unwrap();
    assert_eq!(levelled.datum.as_deref(), Some("sill"));
    assert_eq!((levelled.freedom, levelled.variance_factor()), (0, None));
    assert!((levelled.heights["kerb"].height + 1.22).abs() < 1e-12);
    assert!(levelled.readings.iter().all(|r| r.standardised.is_none()));
}

#[test]
fn a_misread_rod_is_found_and_the_rest_stands() {
    let mut readings = Vec::new();
    let heights = [("a", 0.0), ("b", 0.35), ("c", -0.22), ("d", 0.71)];
    for (setup, line) in [("1", 1.5), ("2", 1.9), ("3", 1.2)] {
        readings.extend(heights.map(|(point, height)| rod(setup, point, line - height)));
    }
    readings[5].value += 0.1;
    let held = BTreeMap::from([("a".to_owned(), 0.0)]);
    let levelled = snoop_levels(&Levels { held, readings }).unwrap();
    assert_eq!(levelled.suspects.iter().map(|s| s.reading).collect::<Vec<_>>(), [5]);
    for (name, height) in heights {
        assert!((levelled.heights[name].height - height).abs() < 1e-12, "{name}");
    }
}

#[test]
fn what_hangs_on_nothing_is_named() {
    let held = BTreeMap::from([("sill".to_owned(), 0.0)]);
    let readings = vec![difference("sill", "walk", -0.4, 0.01), difference("shed", "pond", -0.6, 0.01)];
    let levelled = level(&Levels { held, readings }).unwrap();
    assert_eq!(levelled.undetermined, ["shed", "pond"]);
    assert!(!levelled.readings[1].used);
}

#[test]
fn bad_levels_are_refused() {
    let one = |reading| level(&Levels { held: BTreeMap::new(), readings: vec![reading] });
    assert_eq!(level(&Levels::default()), Err(SurveyError::Empty));
    assert!(matches!(one(difference("a", "a", 1.0, 0.01)), Err(SurveyError::ToItself { reading: 1, .. })));
    assert!(matches!(one(difference("a", "b", f64::NAN, 0.01)), Err(SurveyError::Value { .. })));
    assert!(matches!(one(difference("a", "b", 1.0, 0.0)), Err(SurveyError::Sigma { .. })));
}
