//! Networks: laws that hold for every one, mirror images, what is not determined, bad input.

use groundwright_geometry::{Point, Vec2};
use groundwright_survey::setting_out::{BaseLine, Mark, best_ties};
use groundwright_survey::{
    Adjustment, Datum, Network, Observed, Reading, SideOf, SurveyError, TapeAccuracy, adjust,
};
use proptest::prelude::*;

const PLACES: [(f64, f64); 7] =
    [(0.0, 0.0), (14.0, 0.0), (14.2, 9.8), (6.9, 12.4), (-1.6, 10.1), (3.6, 6.1), (10.2, 5.7)];

/// A yard in which every pair is taped, each tape off by a few millimetres of its own.
fn yard(held: usize, noise: f64) -> Network {
    let mut network = Network::default();
    for (i, (x, y)) in PLACES.iter().enumerate() {
        network.point(&format!("p{i}"), (i < held).then(|| Point::new(*x, *y)), None);
    }
    for (i, a) in PLACES.iter().enumerate() {
        for (j, b) in PLACES.iter().enumerate().take(i) {
            let length = (a.0 - b.0).hypot(a.1 - b.1);
            let off = noise * ((i * 13 + j * 29) % 7) as f64;
            network.readings.push(Reading::distance(i, j, length + off, TapeAccuracy::USUAL.sigma(length)));
        }
    }
    network
}

fn place(adjustment: &Adjustment, i: usize) -> Point {
    adjustment.points[i].at
}

#[test]
fn exact_tapes_give_exact_places() {
    let adjustment = adjust(&yard(2, 0.0)).unwrap();
    for (i, (x, y)) in PLACES.iter().enumerate() {
        assert!((place(&adjustment, i) - Point::new(*x, *y)).hypot() < 1e-12, "{i}");
    }
    assert!(adjustment.weighted_sum < 1e-18);
    let redundancy: f64 = adjustment.readings.iter().filter(|r| r.used).map(|r| r.redundancy).sum();
    // The tape between the two held points is checked wholly and counts as one.
    assert!((redundancy - adjustment.freedom as f64).abs() < 1e-9);
}

proptest! {
    /// Turning and shifting what is held turns and shifts the answer, and changes no residual.
    #[test]
    fn a_rigid_motion_carries_over(angle in -3.1..3.1, x in -300.0..300.0, y in -300.0..300.0) {
        let network = yard(3, 0.001);
        let here = adjust(&network).unwrap();
        let moved = |p: Point| {
            let (sin, cos) = f64::sin_cos(angle);
            Point::new(p.x * cos - p.y * sin + x, p.x * sin + p.y * cos + y)
        };
        let mut there = network.clone();
        there.points.iter_mut().for_each(|point| point.held = point.held.map(moved));
        let there = adjust(&there).unwrap();
        for i in 0..PLACES.len() {
            prop_assert!((place(&there, i) - moved(place(&here, i))).hypot() < 1e-8);
            let (a, b) = (here.points[i].ellipse(), there.points[i].ellipse());
            prop_assert!((a.major - b.major).abs() < 1e-9 && (a.minor - b.minor).abs() < 1e-9);
        }
        for (a, b) in here.readings.iter().zip(&there.readings) {
            prop_assert!((a.residual - b.residual).abs() < 1e-8);
            prop_assert!((a.redundancy - b.redundancy).abs() < 1e-8);
        }
    }

    /// The order of the field book does not matter.
    #[test]
    fn the_order_of_readings_does_not_matter(order in Just((0..21_usize).collect::<Vec<_>>()).prop_shuffle()) {
        let network = yard(2, 0.001);
        let straight = adjust(&network).unwrap();
        let shuffled = Network {
            readings: order.iter().map(|i| network.readings[*i].clone()).collect(),
            ..network.clone()
        };
        let shuffled = adjust(&shuffled).unwrap();
        for i in 0..PLACES.len() {
            prop_assert!((place(&straight, i) - place(&shuffled, i)).hypot() < 1e-10);
        }
        prop_assert!((straight.weighted_sum - shuffled.weighted_sum).abs() < 1e-8);
    }

    /// Whatever the numbers, there is an answer or an error, and no answer is not a number.
    #[test]
    fn no_numbers_bring_it_down(values in proptest::collection::vec(prop_oneof![
        Just(f64::NAN), Just(0.0), Just(1e300), -5.0..40.0, Just(-1.0), Just(f64::INFINITY)
    ], 10)) {
        let mut network = yard(0, 0.0);
        for (reading, value) in network.readings.iter_mut().zip(values) {
            reading.value = value;
        }
        if let Ok(adjustment) = adjust(&network) {
            for point in adjustment.points.iter().filter(|point| point.determined) {
                prop_assert!(point.at.is_finite() && point.qxx.is_finite());
            }
        }
    }
}

#[test]
fn without_held_points_the_frame_is_laid_on_a_base() {
    let mut network = yard(0, 0.0);
    network.frame = Some((3, 1));
    let adjustment = adjust(&network).unwrap();
    assert_eq!(adjustment.datum, Datum::Frame { origin: 3, east: 1 });
    assert!(place(&adjustment, 3).to_vec2().hypot() < 1e-12);
    assert!(place(&adjustment, 1).y.abs() < 1e-12 && place(&adjustment, 1).x > 0.0);
    // Shape is kept: every taped length comes back, up to the mirror image of the whole.
    assert!(adjustment.weighted_sum < 1e-15);
    assert!(!adjustment.mirrored.is_empty(), "nothing says on which side of the base the yard lies");
}

#[test]
fn a_side_or_a_rough_place_decides_between_mirror_images() {
    let tapes = |network: &mut Network, point: usize| {
        for (base, length) in [(0, 13.0), (1, 20.0)] {
            network.readings.push(Reading::distance(base, point, length, 0.01));
        }
    };
    let mut network = Network::default();
    network.point("a", Some(Point::ORIGIN), None);
    network.point("b", Some(Point::new(21.0, 0.0)), None);
    network.point("c", None, None);
    tapes(&mut network, 2);
    let open = adjust(&network).unwrap();
    assert_eq!(open.mirrored.len(), 1);
    assert!((place(&open, 2) - Point::new(5.0, 12.0)).hypot() < 1e-9);
    assert!((open.mirrored[0].other - Point::new(5.0, -12.0)).hypot() < 1e-9);
    assert!(open.readings.iter().all(|r| r.standardised.is_none() && r.redundancy == 0.0));

    let mut told = network.clone();
    told.sides.push(SideOf { point: 2, from: 0, to: 1, left: false });
    let told = adjust(&told).unwrap();
    assert!(told.mirrored.is_empty());
    assert!((place(&told, 2) - Point::new(5.0, -12.0)).hypot() < 1e-9);

    let mut rough = network.clone();
    rough.points[2].near = Some(Point::new(8.0, -9.0));
    let rough = adjust(&rough).unwrap();
    assert!(rough.mirrored.is_empty());
    assert!((place(&rough, 2) - Point::new(5.0, -12.0)).hypot() < 1e-9);

    // A second point from the same base lies on the same side, and a tape between both decides.
    network.point("d", None, None);
    network.readings.push(Reading::distance(0, 3, 20.0, 0.01));
    network.readings.push(Reading::distance(1, 3, 13.0, 0.01));
    let same = adjust(&network).unwrap();
    assert!((place(&same, 3) - Point::new(16.0, 12.0)).hypot() < 1e-9);
    network.readings.push(Reading::distance(2, 3, 11_f64.hypot(24.0), 0.01));
    let across = adjust(&network).unwrap();
    assert!((place(&across, 3) - Point::new(16.0, -12.0)).hypot() < 1e-9);
}

#[test]
fn a_late_tape_turns_an_earlier_point_over() {
    // d hangs on a and b; only e, placed from a, b and c, says on which side d lies.
    let at = [(0.0, 0.0), (10.0, 0.0), (4.0, 9.0), (5.0, -6.0), (8.0, 7.0)].map(|(x, y)| Point::new(x, y));
    let mut network = Network::default();
    for (i, place) in at.iter().enumerate() {
        network.point(&format!("p{i}"), (i < 3).then_some(*place), None);
    }
    for (a, b) in [(0, 3), (1, 3), (0, 4), (1, 4), (2, 4), (3, 4)] {
        network.readings.push(Reading::distance(a, b, (at[a] - at[b]).hypot(), 0.01));
    }
    let adjustment = adjust(&network).unwrap();
    assert!((place(&adjustment, 3) - at[3]).hypot() < 1e-9);
    assert!(adjustment.weighted_sum < 1e-15);
}

#[test]
fn offsets_right_angles_and_points_on_a_line_are_readings_too() {
    let mut network = Network::default();
    let a = network.point("a", Some(Point::new(2.0, 1.0)), None);
    let b = network.point("b", Some(Point::new(17.0, 9.0)), None);
    let tree = network.point("tree", None, None);
    let post = network.point("post", None, None);
    let corner = network.point("corner", None, None);
    let add = |network: &mut Network, observed, value| {
        network.readings.push(Reading { observed, value, sigma: 0.01, booked: None });
    };
    add(&mut network, Observed::Along { point: tree, from: a, to: b }, 3.0);
    add(&mut network, Observed::Across { point: tree, from: a, to: b }, 1.2);
    add(&mut network, Observed::Distance { from: a, to: post }, 8.5);
    add(&mut network, Observed::Across { point: post, from: a, to: b }, 0.0);
    add(&mut network, Observed::Angle { at: b, from: a, to: corner }, std::f64::consts::FRAC_PI_2);
    add(&mut network, Observed::Distance { from: b, to: corner }, 5.0);
    network.sides.push(SideOf { point: corner, from: a, to: b, left: true });
    network.points[post].near = Some(Point::new(9.0, 5.0));
    let adjustment = adjust(&network).unwrap();
    // Station 3.0 and offset 1.2 on the base (2, 1) to (17, 9): computed from the closed formula.
    assert!((place(&adjustment, tree) - Point::new(4.082_352_94, 3.470_588_24)).hypot() < 1e-8);
    let line = BaseLine::new(Point::new(2.0, 1.0), Point::new(17.0, 9.0)).unwrap();
    assert!((place(&adjustment, post) - line.place(8.5, 0.0)).hypot() < 1e-6);
    assert!((place(&adjustment, corner) - line.place(17.0, 5.0)).hypot() < 1e-9);
    let (station, offset) = line.station_and_offset(place(&adjustment, corner));
    assert!((station - 17.0).abs() < 1e-9 && (offset - 5.0).abs() < 1e-9);
}

#[test]
fn a_contradictory_right_angle_is_found() {
    // The angle at p6 between p0 and p1 is 94.5°.
    let mut network = yard(2, 0.0);
    network.readings.push(Reading {
        observed: Observed::Angle { at: 6, from: 0, to: 1 },
        value: std::f64::consts::FRAC_PI_2,
        sigma: 0.005,
        booked: None,
    });
    let snooped = groundwright_survey::snoop(&network).unwrap();
    assert_eq!(snooped.suspects.iter().map(|s| s.reading).collect::<Vec<_>>(), [21]);
    assert!(snooped.suspects[0].slips.is_empty());
}

#[test]
fn what_the_readings_leave_free_is_named_and_the_rest_is_adjusted() {
    let mut network = yard(2, 0.001);
    let alone = network.point("alone", None, None);
    let hung = network.point("hung", None, None);
    let pair = network.point("pair", None, None);
    network.readings.push(Reading::distance(2, hung, 5.0, 0.01));
    network.readings.push(Reading::distance(hung, pair, 4.0, 0.01));
    let adjustment = adjust(&network).unwrap();
    assert_eq!(adjustment.undetermined, [alone, hung, pair]);
    assert_eq!(adjustment.freedom, 21 - 10);
    let missing = groundwright_survey::missing(&network, &adjustment);
    let needs: Vec<(usize, usize)> = missing.iter().map(|m| (m.point, m.readings)).collect();
    assert_eq!(needs, [(hung, 1), (pair, 1), (alone, 2)]);
    // The readings that are asked for do determine the points.
    let mut mended = network.clone();
    for want in &missing {
        for to in &want.to {
            mended.readings.push(Reading::distance(want.point, *to, 9.0, 0.01));
        }
    }
    for (point, at) in [(alone, (4.0, 17.0)), (hung, (19.0, 11.0)), (pair, (22.0, 12.0))] {
        mended.points[point].near = Some(Point::new(at.0, at.1));
    }
    let exact = mended.clone();
    for reading in mended.readings.iter_mut().skip(21) {
        let at = |i: usize| exact.points[i].near.unwrap_or_else(|| Point::new(PLACES[i].0, PLACES[i].1));
        let ends: Vec<usize> = reading.observed.points().collect();
        reading.value = (at(ends[0]) - at(ends[1])).hypot();
    }
    assert!(adjust(&mended).unwrap().undetermined.is_empty());
    // With rough places they are reached, and still not determined.
    network.points[hung].near = Some(Point::new(19.0, 11.0));
    network.points[pair].near = Some(Point::new(22.0, 12.0));
    assert_eq!(adjust(&network).unwrap().undetermined, [alone, hung, pair]);
}

#[test]
fn bad_networks_are_refused_with_the_reading_named() {
    let with = |change: &dyn Fn(&mut Network)| {
        let mut network = yard(2, 0.0);
        change(&mut network);
        adjust(&network).unwrap_err()
    };
    assert_eq!(adjust(&Network::default()), Err(SurveyError::Empty));
    assert!(matches!(with(&|n| n.readings[4].value = -1.0), SurveyError::Value { reading: 5, .. }));
    assert!(matches!(with(&|n| n.readings[4].sigma = 0.0), SurveyError::Sigma { reading: 5, .. }));
    let to_itself = |n: &mut Network| n.readings[0].observed = Observed::Distance { from: 1, to: 1 };
    assert!(matches!(with(&to_itself), SurveyError::ToItself { reading: 1, .. }));
    let nowhere = |n: &mut Network| n.readings[0].observed = Observed::Distance { from: 1, to: 99 };
    assert!(matches!(with(&nowhere), SurveyError::NoSuchPoint { reading: 1, point: 99 }));
    assert!(matches!(
        with(&|n| n.points[0].held = Some(Point::new(f64::NAN, 0.0))),
        SurveyError::Place { .. }
    ));
}

/// Two tapes of equal accuracy that cross at a right angle give a circle of that accuracy.
#[test]
fn ties_take_the_pair_that_crosses_best() {
    let mark = |name: &str, x, y| Mark { name: name.to_owned(), at: Point::new(x, y), cofactors: [0.0; 3] };
    let references = [mark("a", 0.0, 0.0), mark("b", 12.0, 1.0), mark("c", 0.0, 12.0), mark("d", 6.2, 12.0)];
    let constant = TapeAccuracy { ends: 0.01, per_length: 0.0 };
    let ties = best_ties(Point::new(6.0, 6.0), &references, constant, 30.0).unwrap();
    assert!((ties.crossing.to_degrees() - 90.0).abs() < 6.0 && !ties.weak());
    assert!((ties.accuracy.major - 0.01).abs() < 1e-3);
    let weak = best_ties(Point::new(6.0, 0.1), &references[..2], constant, 30.0).unwrap();
    assert!(weak.weak() && weak.accuracy.major > 0.05);
    assert!(best_ties(Point::new(6.0, 6.0), &references, constant, 2.0).is_err());
    assert!(BaseLine::new(Point::ORIGIN, Point::ORIGIN + Vec2::ZERO).is_err());
}

/// The closed form of two tapes and the adjustment of the same two agree on the cofactors.
#[test]
fn predicted_accuracy_agrees_with_the_adjustment() {
    let mut network = Network::default();
    network.point("a", Some(Point::ORIGIN), None);
    network.point("b", Some(Point::new(9.0, 2.0)), None);
    network.point("c", None, Some(Point::new(3.0, 7.0)));
    let place = Point::new(3.0, 7.0);
    for base in 0..2 {
        let length = (place - network.points[base].held.unwrap()).hypot();
        let sigma = TapeAccuracy::USUAL.sigma(length);
        network.readings.push(Reading::distance(base, 2, length, sigma));
    }
    let adjusted = adjust(&network).unwrap().points[2].ellipse();
    let marks = [0, 1].map(|i| Mark {
        name: network.points[i].name.clone(),
        at: network.points[i].held.unwrap(),
        cofactors: [0.0; 3],
    });
    let ties = best_ties(place, &marks, TapeAccuracy::USUAL, 30.0).unwrap().accuracy;
    assert!((adjusted.major - ties.major).abs() < 1e-12 && (adjusted.minor - ties.minor).abs() < 1e-12);
    assert!((adjusted.direction - ties.direction).abs() < 1e-9);
}
