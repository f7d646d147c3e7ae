//! Prominence: solid angles, what hides, the best first.

use std::f64::consts::FRAC_PI_3;

use groundwright_geometry::{Point, Vec2};
use groundwright_yard::arrange::prominence::{BatchPlant, Viewpoint, assign_best_first, prominence};
use proptest::prelude::*;

use crate::shapes::{points, rectangle};

fn eye(x: f64, y: f64) -> Viewpoint {
    Viewpoint { at: Point::new(x, y), looking: None, weight: 1.0, eye_height: 1.6 }
}

/// 1 m² at 3 m from an eye at 1.6 m fills 1/(9 + 2.56) sr (solid angle of a small patch, area over
/// squared distance).
#[test]
fn the_score_is_the_solid_angle() {
    let view = Viewpoint { weight: 2.0, ..eye(0.0, 0.0) };
    let seen = prominence(&points(&[(3.0, 0.0)]), &[view], &[]).unwrap();
    assert!((seen.scores[0] - 2.0 / 11.56).abs() < 1e-12);
}

#[test]
fn front_positions_come_first_and_ties_keep_their_order() {
    let positions = points(&[(0.0, 6.0), (0.0, 2.0), (2.0, 0.0), (0.0, 4.0)]);
    let seen = prominence(&positions, &[eye(0.0, 0.0)], &[]).unwrap();
    assert_eq!(seen.order, [1, 2, 3, 0]);
}

/// The middle 60° of a view count in full, what is beyond 90° from its middle not at all.
#[test]
fn a_view_has_a_direction() {
    let view = Viewpoint { looking: Some(Point::new(5.0, 0.0)), ..eye(0.0, 0.0) };
    let at = |angle: f64| Point::ORIGIN + Vec2::from_angle(angle) * 4.0;
    let positions = [at(0.0), at(0.5), at(FRAC_PI_3), at(1.6), at(3.0)];
    let scores = prominence(&positions, &[view], &[]).unwrap().scores;
    assert!((scores[0] - scores[1]).abs() < 1e-12);
    // Half way between 30° and 90° the smooth fall stands at one half.
    assert!((scores[2] / scores[0] - 0.5).abs() < 1e-12);
    assert_eq!(&scores[3..], [0.0, 0.0]);
}

#[test]
fn buildings_hide_what_is_behind_them_but_not_from_their_own_windows() {
    let house = rectangle(2.0, -3.0, 4.0, 6.0);
    let positions = points(&[(8.0, 0.0), (1.0, 0.0), (0.0, 9.0)]);
    let seen = prominence(&positions, &[eye(0.0, 0.0)], std::slice::from_ref(&house)).unwrap();
    assert_eq!(seen.seen_by, [0, 1, 1]);
    // From a window inside the house both sides are seen; a shed beyond hides again.
    let inside = eye(4.0, 0.0);
    let shed = rectangle(6.5, -1.0, 1.0, 2.0);
    let seen = prominence(&positions, &[inside], &[house, shed]).unwrap();
    assert_eq!(seen.seen_by, [0, 1, 1]);
}

#[test]
fn faults_say_what_to_mend() {
    let blind = Viewpoint { eye_height: 0.0, ..eye(0.0, 0.0) };
    let fault = prominence(&[], &[eye(1.0, 1.0), blind], &[]).unwrap_err();
    assert_eq!(
        fault.to_string(),
        "viewpoint 2: the height of the eye must be a finite length above zero, such as 1.6 m"
    );
    assert!(prominence(&[Point::new(f64::NAN, 0.0)], &[], &[]).is_err());
}

#[test]
fn the_best_of_a_batch_go_first() {
    let plant = |condition, flowering| BatchPlant { condition, flowering };
    let batch =
        [plant(0.5, false), plant(0.95, false), plant(0.85, true), plant(f64::NAN, true), plant(0.1, true)];
    // 0.95 and 0.85 are of one grade, so the one in flower goes before.
    let pairs = assign_best_first(&[7, 3, 5, 1, 0, 2], &batch);
    assert_eq!(pairs, [(7, 2), (3, 1), (5, 0), (1, 4), (0, 3)]);
}

proptest! {
    /// No plant goes before one of a better grade, nor before one in flower of its own grade.
    #[test]
    fn batches_are_set_in_falling_order(batch in prop::collection::vec((0.0_f64..=1.0, any::<bool>()), 0..30)) {
        let batch: Vec<BatchPlant> =
            batch.into_iter().map(|(condition, flowering)| BatchPlant { condition, flowering }).collect();
        let order: Vec<usize> = (0..20).collect();
        let pairs = assign_best_first(&order, &batch);
        prop_assert_eq!(pairs.len(), batch.len().min(20));
        let grade = |plant: usize| ((batch[plant].condition * 5.0).floor().min(4.0), batch[plant].flowering);
        prop_assert!(pairs.windows(2).all(|pair| grade(pair[0].1) >= grade(pair[1].1)));
    }
}
