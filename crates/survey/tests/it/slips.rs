//! Every common slip, made on purpose in a good yard, is found and named.

use groundwright_geometry::Point;
use groundwright_survey::{Booked, Network, Reading, SlipKind, TapeAccuracy, snoop};
use groundwright_units::constants::{FOOT, INCH};
use groundwright_units::{LengthUnit, parse_length};

const PLACES: [(f64, f64); 7] =
    [(0.0, 0.0), (14.0, 0.0), (14.2, 9.8), (6.9, 12.4), (-1.6, 10.1), (3.6, 6.1), (10.2, 5.7)];

fn distance(i: usize, j: usize) -> f64 {
    (PLACES[i].0 - PLACES[j].0).hypot(PLACES[i].1 - PLACES[j].1)
}

/// The yard with tapes as good as `share` of the usual tape, and one of them booked as told.
fn with(bad: (usize, usize), text: &str, unit: LengthUnit, share: f64) -> Vec<(usize, usize, Vec<SlipKind>)> {
    let mut network = Network::default();
    for (i, (x, y)) in PLACES.iter().enumerate() {
        network.point(&format!("p{i}"), (i < 2).then(|| Point::new(*x, *y)), None);
    }
    for i in 0..PLACES.len() {
        for j in 0..i {
            let off = 0.002 * share * (((i * 13 + j * 29) % 5) as f64 - 2.0);
            let length = distance(i, j) + off;
            let mut reading = Reading::distance(j, i, length, share * TapeAccuracy::USUAL.sigma(length));
            if (j, i) == bad {
                reading.value = parse_length(text, Some(unit)).unwrap().value.metres();
                reading.booked = Some(Booked { text: text.to_owned(), unit: Some(unit) });
            }
            network.readings.push(reading);
        }
    }
    let found = snoop(&network).unwrap();
    found
        .suspects
        .into_iter()
        .map(|suspect| {
            let mut points = network.readings[suspect.reading].observed.points();
            let pair = (points.next().unwrap(), points.next().unwrap());
            (pair.0, pair.1, suspect.slips.into_iter().map(|slip| slip.kind).collect())
        })
        .collect()
}

fn expect(bad: (usize, usize), text: &str, unit: LengthUnit, kind: &SlipKind) {
    expect_with(bad, text, unit, 1.0, kind);
}

fn expect_with(bad: (usize, usize), text: &str, unit: LengthUnit, share: f64, kind: &SlipKind) {
    let found = with(bad, text, unit, share);
    assert_eq!(found.len(), 1, "{text}: {found:?}");
    assert_eq!((found[0].0, found[0].1), bad, "{text}");
    assert!(found[0].2.contains(kind), "{text}: {:?}", found[0].2);
}

#[test]
fn a_good_yard_has_no_suspects() {
    assert!(with((1, 3), &format!("{:.3}", distance(1, 3)), LengthUnit::Metre, 1.0).is_empty());
}

#[test]
fn miscounts_are_named() {
    let true_length = distance(1, 3);
    for by in [FOOT, 10.0 * FOOT, 1.0, 10.0, -1.0] {
        let text = format!("{:.3}", true_length + by);
        expect((1, 3), &text, LengthUnit::Metre, &SlipKind::Miscount(by));
    }
}

#[test]
fn slips_of_the_pen_are_named() {
    // The 2 and the 8 the wrong way round; an 8 read as a 3.
    assert_eq!(format!("{:.3}", distance(1, 3)), "14.289");
    expect((1, 3), "14.829", LengthUnit::Metre, &SlipKind::TransposedDigits);
    assert_eq!(format!("{:.3}", distance(1, 2)), "9.802");
    expect((1, 2), "9.302", LengthUnit::Metre, &SlipKind::MisreadDigit);
}

#[test]
fn feet_and_inches_are_not_tenths() {
    // Such a slip is 5 cm at most: it takes a better tape than the usual one to show.
    let tenths = SlipKind::TenthsForInches;
    // p5 to p6 is 21.693 ft, and p3 to p6 24' 6.04".
    assert_eq!(format!("{:.1}", distance(5, 6) / FOOT), "21.7");
    expect_with((5, 6), "21' 7\"", LengthUnit::Foot, 0.25, &tenths);
    assert!((distance(3, 6) - 24.0 * FOOT - 6.0 * INCH).abs() < 0.1 * INCH);
    expect_with((3, 6), "24.6'", LengthUnit::Foot, 0.25, &tenths);
}

#[test]
fn feet_and_inches_the_wrong_way_round() {
    // A short tape, set right beside a held corner.
    let mut network = Network::default();
    let places = [(0.0, 0.0), (6.0, 0.0), (6.0, 5.0), (0.0, 5.0), (1.0, 1.2)];
    for (i, (x, y)) in places.iter().enumerate() {
        network.point(&format!("p{i}"), (i < 4).then(|| Point::new(*x, *y)), None);
    }
    for i in 0..4 {
        let length = (places[i].0 - places[4].0).hypot(places[i].1 - places[4].1);
        network.readings.push(Reading::distance(i, 4, length, TapeAccuracy::USUAL.sigma(length)));
    }
    // 1.562 m is 5' 1 1/2"; booked 1' 5".
    let true_length = network.readings[0].value;
    assert!((true_length - (5.0 * FOOT + 1.5 * INCH)).abs() < 0.002);
    network.readings[0].value = FOOT + 5.0 * INCH;
    network.readings[0].booked = Some(Booked { text: "1' 5\"".to_owned(), unit: Some(LengthUnit::Foot) });
    network.readings[0].sigma = 0.012;
    let found = snoop(&network).unwrap();
    assert_eq!(found.suspects.len(), 1);
    assert!(found.suspects[0].slips.iter().any(|slip| slip.kind == SlipKind::FeetForInches));
}

#[test]
fn a_tape_to_the_wrong_point_is_named() {
    let text = format!("{:.3}", distance(0, 3));
    expect((0, 2), &text, LengthUnit::Metre, &SlipKind::OtherPoint(3));
}

/// A point on three tapes has one check: which of them is wrong cannot be told, so all are named.
#[test]
fn three_tapes_to_a_point_cannot_be_told_apart() {
    let mut network = Network::default();
    for (i, (x, y)) in PLACES.iter().take(4).enumerate() {
        network.point(&format!("p{i}"), (i < 3).then(|| Point::new(*x, *y)), None);
    }
    for i in 0..3 {
        let length = distance(i, 3) + if i == 1 { 0.5 } else { 0.0 };
        network.readings.push(Reading::distance(i, 3, length, 0.01));
    }
    let found = snoop(&network).unwrap();
    assert_eq!(found.suspects.len(), 1);
    let mut named = found.suspects[0].alike.clone();
    named.push(found.suspects[0].reading);
    named.sort_unstable();
    assert_eq!(named, [0, 1, 2]);
}
