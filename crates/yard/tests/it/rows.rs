//! Rows: printed counts, rhythm across gaps, distances, corners.

use groundwright_geometry::layout::{row_from_end_to_end, row_inset, staggered_rows};
use groundwright_geometry::{Curve, Point, Vec2};
use groundwright_yard::arrange::rows::{Ends, Footing, Pattern, RowFault, RowRule, Rows, Toward, lay_rows};
use proptest::prelude::*;

use crate::shapes::{FOOT, INCH, points};

fn rule(spacing: f64) -> RowRule {
    RowRule {
        inset: 0.0,
        rows: 1,
        spacing,
        pitch: None,
        pattern: Pattern::Square,
        ends: Ends::AtEnds,
        tolerance: 0.0,
        toward: Toward::Left,
    }
}

fn straight(length: f64) -> Curve {
    Curve::polyline(&points(&[(0.0, 0.0), (length, 0.0)]), false).unwrap()
}

fn anywhere(_: Point) -> Footing {
    Footing::Free
}

fn lay(line: &Curve, rule: &RowRule) -> Rows {
    lay_rows(line, rule, &anywhere).unwrap()
}

fn in_row(rows: &Rows, row: usize) -> usize {
    rows.plants.iter().filter(|plant| plant.row == row).count()
}

/// Length, spacing, plants at both ends, plants half a spacing inside them.
/// Source: planting check values, row-01 to row-03: floor(L/d) + 1 and floor((L-d)/d) + 1, computed
/// from the closed formulas.
const OPEN_ROWS: [(f64, f64, usize, usize); 3] =
    [(40.0, 30.0, 17, 16), (27.5, 18.0, 19, 18), (100.0, 48.0, 26, 25)];

#[test]
fn open_rows_have_the_printed_counts() {
    for (feet, inches, at_ends, inset) in OPEN_ROWS {
        let line = straight(feet * FOOT);
        let rule = rule(inches * INCH);
        assert_eq!(lay(&line, &rule).plants.len(), at_ends, "{feet} ft at {inches} in");
        let half = RowRule { ends: Ends::HalfSpace, ..rule };
        let rows = lay(&line, &half);
        assert_eq!(rows.plants.len(), inset, "{feet} ft at {inches} in");
        assert!((rows.plants[0].along - inches * INCH / 2.0).abs() < 1e-9);
    }
}

/// Source: planting check values, closed-row-01 and closed-row-02: n = round(L/d), spacing L/n to a
/// thousandth of an inch, computed.
#[test]
fn closed_rows_have_the_printed_counts_and_spacings() {
    for (feet, inches, count, spacing) in [(50.0, 30.0, 20, 30.0), (62.83, 36.0, 21, 35.9029)] {
        let ring = Curve::circle(Point::new(3.0, 4.0), feet * FOOT / std::f64::consts::TAU).unwrap();
        let rows = lay(&ring, &rule(inches * INCH));
        assert_eq!(rows.plants.len(), count);
        assert!((rows.spacing[0] / INCH - spacing).abs() < 1e-3, "{}", rows.spacing[0] / INCH);
        assert!(rows.ends_finished);
    }
}

/// Length, spacing, counts row by row, pitch.
/// Source: planting check values, staggered-01 and staggered-02: floor(L/d) + 1 and
/// floor((L-d/2)/d) + 1; pitch √3/2 of the spacing to a thousandth of an inch, computed.
#[test]
fn staggered_rows_have_the_printed_counts_and_pitch() {
    let printed = [(40.0, 36.0, vec![14, 13], 31.177), (25.0, 18.0, vec![17, 17, 17], 15.588)];
    for (feet, inches, counts, pitch) in printed {
        let rule = RowRule { rows: counts.len(), pattern: Pattern::Staggered, ..rule(inches * INCH) };
        let rows = lay(&straight(feet * FOOT), &rule);
        let found: Vec<usize> = (0..counts.len()).map(|row| in_row(&rows, row)).collect();
        assert_eq!(found, counts);
        assert!((rule.row_pitch() / INCH - pitch).abs() < 1e-3);
        assert_eq!(rows.dropped_for_crowding, 0);
        let nearest = rows.least_spacing.unwrap();
        assert!((nearest - inches * INCH).abs() < 1e-9, "an equilateral pattern: {nearest}");
    }
}

/// 40 ft at 36 in hold 13 spacings and a third; 13 of 36.92 in fill it, 2.6 % more.
#[test]
fn the_spacing_gives_way_so_that_both_ends_look_finished() {
    let line = straight(40.0 * FOOT);
    let rows = lay(&line, &RowRule { tolerance: 0.05, ..rule(36.0 * INCH) });
    assert_eq!(rows.plants.len(), 14);
    assert!((rows.spacing[0] / INCH - 480.0 / 13.0).abs() < 1e-9);
    assert!(rows.ends_finished);
    assert!(rows.plants[13].at.distance(line.end()) < 1e-9);
    let strict = lay(&line, &RowRule { tolerance: 0.02, ..rule(36.0 * INCH) });
    assert!(!strict.ends_finished);
    assert!((strict.remainder[0] / INCH - 12.0).abs() < 1e-9, "{}", strict.remainder[0] / INCH);
}

#[test]
fn a_row_shorter_than_its_spacing_has_one_plant_in_its_middle() {
    for ends in [Ends::AtEnds, Ends::HalfSpace] {
        let rows = lay(&straight(0.4), &RowRule { ends, ..rule(1.0) });
        assert_eq!(rows.plants.len(), 1);
        assert!(rows.plants[0].at.distance(Point::new(0.2, 0.0)) < 1e-9);
        assert!(!rows.ends_finished);
        assert_eq!((rows.mean_spacing, rows.least_spacing), (None, None));
    }
}

/// A hedge round a terrace of 6 m × 4 m shows its corners: each has a plant.
#[test]
fn sharp_corners_have_plants() {
    let corners = points(&[(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0)]);
    let ring = Curve::polyline(&corners, true).unwrap();
    let rows = lay(&ring, &RowRule { tolerance: 0.1, ..rule(0.6) });
    for corner in corners {
        assert!(rows.plants.iter().any(|plant| plant.at.distance(corner) < 1e-6), "{corner:?}");
    }
    // 10 intervals of 0.6 m along the long sides, 7 of 0.571 m along the short ones.
    assert_eq!((rows.plants.len(), rows.dropped_for_crowding), (34, 0));
    assert!((rows.least_spacing.unwrap() - 4.0 / 7.0).abs() < 1e-6);
}

/// With no tolerance the spacing runs on through the corner, and of plants too near each other
/// across it the later one is left out.
#[test]
fn plants_do_not_crowd_across_a_corner() {
    let bend = Curve::polyline(&points(&[(0.0, 0.0), (3.3, 0.0), (3.3, 3.3)]), false).unwrap();
    let rows = lay(&bend, &rule(0.6));
    // Steps 5 and 6 stand at 3.0 and 3.6 m, 0.3 m on either side of the corner, 0.424 m apart.
    assert_eq!(rows.dropped_for_crowding, 1);
    assert!(!rows.plants.iter().any(|plant| plant.step == 6));
    assert_eq!(rows.plants.len(), 11);
}

#[test]
fn further_rows_follow_on_the_side_asked_for() {
    for (toward, inset, sign) in [(Toward::Left, 0.3, 1.0), (Toward::Right, -0.3, -1.0)] {
        let rule = RowRule { rows: 3, inset, toward, pitch: Some(0.5), tolerance: 0.2, ..rule(0.6) };
        for plant in lay(&straight(9.0), &rule).plants {
            assert!((plant.at.y - sign * (0.3 + 0.5 * plant.row as f64)).abs() < 1e-9);
            assert!((plant.station - plant.at.x).abs() < 1e-6);
        }
    }
}

#[test]
fn faults_say_what_to_mend() {
    let line = straight(5.0);
    let fault = |rule: RowRule| lay_rows(&line, &rule, &anywhere).unwrap_err();
    assert_eq!(
        fault(rule(f64::NAN)).to_string(),
        "the spacing of the rows is NaN m, expected a finite length above zero"
    );
    assert_eq!(fault(RowRule { rows: 0, ..rule(1.0) }), RowFault::NoRows);
    assert_eq!(fault(RowRule { tolerance: 0.6, ..rule(1.0) }), RowFault::Tolerance { value: 0.6 });
    assert!(matches!(fault(RowRule { inset: f64::INFINITY, ..rule(1.0) }), RowFault::Inset { .. }));
    assert!(matches!(fault(rule(1e-5)), RowFault::TooMany { .. }));
    let ring = Curve::circle(Point::ORIGIN, 1.0).unwrap();
    let inside = RowRule { inset: 1.5, ..rule(0.5) };
    assert_eq!(lay_rows(&ring, &inside, &anywhere).unwrap_err(), RowFault::NoRoom { offset: 1.5 });
}

/// A line that bends gently from left to right.
fn gentle() -> impl Strategy<Value = Curve> {
    prop::collection::vec(-0.8_f64..0.8, 4..7).prop_map(|heights| {
        let places: Vec<Point> =
            heights.iter().enumerate().map(|(i, y)| Point::new(3.0 * i as f64, *y)).collect();
        Curve::smooth(&places, false).unwrap()
    })
}

fn any_rule() -> impl Strategy<Value = RowRule> {
    (0.3_f64..1.2, 1_usize..4, -0.6_f64..0.6, 0.0_f64..0.15, any::<[bool; 3]>()).prop_map(
        |(spacing, rows, inset, tolerance, [staggered, at_ends, left])| RowRule {
            inset,
            rows,
            spacing,
            pitch: None,
            pattern: if staggered { Pattern::Staggered } else { Pattern::Square },
            ends: if at_ends { Ends::AtEnds } else { Ends::HalfSpace },
            tolerance,
            toward: if left { Toward::Left } else { Toward::Right },
        },
    )
}

proptest! {
    /// Straight rows without tolerance follow the closed formulas, whatever the lengths.
    #[test]
    fn counts_follow_the_closed_formulas(length in 1.0_f64..80.0, spacing in 0.2_f64..0.9) {
        let line = straight(length);
        let plain = rule(spacing);
        prop_assert_eq!(lay(&line, &plain).plants.len(), row_from_end_to_end(length, spacing));
        let half = RowRule { ends: Ends::HalfSpace, ..plain.clone() };
        prop_assert_eq!(lay(&line, &half).plants.len(), row_inset(length, spacing));
        let staggered = RowRule { rows: 4, pattern: Pattern::Staggered, ..plain };
        let rows = lay(&line, &staggered);
        let counts: Vec<usize> = (0..4).map(|row| in_row(&rows, row)).collect();
        prop_assert_eq!(counts, staggered_rows(length, spacing, 4));
    }

    /// A gate takes plants away and moves none: places with a gap are those without it, less the
    /// ones in the gap.
    #[test]
    fn rows_keep_their_rhythm_across_gaps(line in gentle(), spacing in 0.3_f64..1.2, from in 0.0_f64..8.0) {
        let rule = RowRule { tolerance: 0.1, ..rule(spacing) };
        let gap = |at: Point| (from..from + 1.4).contains(&at.x);
        let whole = lay(&line, &rule);
        prop_assert_eq!(whole.dropped_for_crowding, 0);
        let gated = lay_rows(&line, &rule, &|at| if gap(at) { Footing::Gap } else { Footing::Free }).unwrap();
        let expected: Vec<_> = whole.plants.iter().filter(|plant| !gap(plant.at)).copied().collect();
        prop_assert_eq!(gated.skipped, whole.plants.len() - expected.len());
        prop_assert_eq!(gated.plants, expected);
    }

    /// Every row lies at its distance from the line.
    #[test]
    fn rows_lie_at_their_distance(line in gentle(), rule in any_rule()) {
        for plant in lay(&line, &rule).plants {
            let foot = line.nearest(plant.at);
            let offset = rule.offset(plant.row);
            prop_assert!((foot.distance - offset.abs()).abs() < 2.1e-3, "{} {}", foot.distance, offset);
            prop_assert!(offset.abs() < 0.01 || foot.side * offset > 0.0);
        }
    }

    /// No two plants stand crowded, and the figures agree with the plants.
    #[test]
    fn nobody_is_crowded(line in gentle(), rule in any_rule()) {
        let rows = lay(&line, &rule);
        let least = rows.plants.iter().enumerate().flat_map(|(i, a)| {
            rows.plants[..i].iter().map(|b| a.at.distance(b.at))
        }).fold(f64::INFINITY, f64::min);
        if let Some(stated) = rows.least_spacing {
            prop_assert!((stated - least).abs() < 1e-9);
        }
        // Neighbours along a pressed row may come a twentieth nearer than its spacing.
        let pressed = 0.95 * (1.0 - rule.tolerance);
        let limit = pressed.min(0.85) * rule.spacing.min(rule.row_pitch());
        prop_assert!(least >= limit - 1e-6, "{} {}", least, limit);
    }

    /// Turning and shifting the line changes no count.
    #[test]
    fn counts_do_not_depend_on_where_the_line_lies(line in gentle(), rule in any_rule(), angle in 0.0_f64..6.2) {
        let turn = |p: Point| Point::ORIGIN + Vec2::new(
            p.x * angle.cos() - p.y * angle.sin() + 41.0, p.x * angle.sin() + p.y * angle.cos() - 17.0);
        let places: Vec<Point> = line.flatten(0.01);
        let still = Curve::polyline(&places, false).unwrap();
        let turned = Curve::polyline(&places.into_iter().map(turn).collect::<Vec<_>>(), false).unwrap();
        // Away from limits: rounding must not decide.
        let rule = RowRule { tolerance: 0.1, rows: 1, ..rule };
        let (a, b) = (lay(&still, &rule), lay(&turned, &rule));
        prop_assert_eq!(a.plants.len(), b.plants.len());
        for (a, b) in a.plants.iter().zip(&b.plants) {
            prop_assert!(turn(a.at).distance(b.at) < 2e-3);
        }
    }
}
