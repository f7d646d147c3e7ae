//! The edge of a lawn: radii by closed form, corners, narrow parts, scraps.

use groundwright_geometry::{Point, Region};
use groundwright_yard::arrange::mowing::{Bend, Mower, MowingFault, check_lawn};
use proptest::prelude::*;

use crate::shapes::rectangle;

const MOWER: Mower = Mower { least_radius: 0.6, deck: 0.55, least_area: 2.0 };

fn lawn_with_island(radius: f64) -> Region {
    let island = Region::circle(Point::new(4.0, 3.0), radius).unwrap();
    rectangle(0.0, 0.0, 8.0, 6.0).difference(&island)
}

#[test]
fn the_corners_of_a_rectangle_are_too_tight_and_its_sides_are_not() {
    let edge = check_lawn(&rectangle(1.0, 2.0, 8.0, 6.0), &MOWER).unwrap();
    assert_eq!(edge.tight.len(), 4);
    for bend in &edge.tight {
        assert_eq!(bend.bend, Bend::IntoCorner);
        // A quarter turn within 0.3 m: the mean radius is 0.3 / (π/2) m.
        assert!((bend.radius - 0.6 / std::f64::consts::PI).abs() < 0.02, "{}", bend.radius);
        let corner =
            Point::new(if bend.at.x < 5.0 { 1.0 } else { 9.0 }, if bend.at.y < 5.0 { 2.0 } else { 8.0 });
        assert!(bend.at.distance(corner) < 0.05);
    }
    assert!(edge.narrow.is_empty() && edge.scraps.is_empty());
}

#[test]
fn a_bed_jutting_into_the_lawn_is_told_from_a_corner() {
    let lawn = rectangle(0.0, 0.0, 9.0, 9.0).difference(&rectangle(4.0, -1.0, 1.0, 4.0));
    let edge = check_lawn(&lawn, &MOWER).unwrap();
    let round: Vec<Point> = edge.tight.iter().filter(|b| b.bend == Bend::RoundPoint).map(|b| b.at).collect();
    assert_eq!((edge.tight.len(), round.len()), (8, 2));
    assert!(round.iter().all(|at| (at.y - 3.0).abs() < 0.05));
}

#[test]
fn necks_and_scraps_are_found() {
    let lawn = Region::union_all(&[
        rectangle(0.0, 0.0, 3.0, 3.0),
        rectangle(3.0, 1.2, 3.0, 0.4),
        rectangle(6.0, 0.0, 3.0, 3.0),
        rectangle(11.0, 0.0, 1.0, 0.8),
    ]);
    let edge = check_lawn(&lawn, &MOWER).unwrap();
    // 3 m × 0.4 m, less what a deck of 0.55 m reaches at both ends.
    assert!((1.0..1.21).contains(&edge.narrow.area()), "{}", edge.narrow.area());
    assert_eq!(edge.scraps.len(), 1);
    assert!((edge.scraps[0].1 - 0.8).abs() < 1e-6);
}

#[test]
fn faults_say_what_to_mend() {
    let lawn = rectangle(0.0, 0.0, 3.0, 3.0);
    let fault = check_lawn(&lawn, &Mower { deck: 0.0, ..MOWER }).unwrap_err();
    assert_eq!(fault.to_string(), "the mower's deck width is 0, expected a finite number above zero");
    assert_eq!(check_lawn(&Region::empty(), &MOWER), Err(MowingFault::EmptyLawn));
}

proptest! {
    /// A round island is too tight exactly if its radius is below the least, and its radius is read
    /// off the polygon to a few hundredths.
    #[test]
    fn round_islands_have_their_radius(radius in 0.25_f64..2.0) {
        prop_assume!((radius - MOWER.least_radius).abs() > 0.03);
        let edge = check_lawn(&lawn_with_island(radius), &MOWER).unwrap();
        let round: Vec<_> = edge.tight.iter().filter(|b| b.bend == Bend::RoundPoint).collect();
        prop_assert_eq!(round.len(), usize::from(radius < MOWER.least_radius));
        for bend in round {
            prop_assert!((bend.radius / radius - 1.0).abs() < 0.05, "{} {}", bend.radius, radius);
        }
    }
}
