//! Clumps: distances, no straight lines, inside the region.

use groundwright_geometry::{Point, RegionIndex, Vec2};
use groundwright_yard::arrange::group::{Clump, ClumpFault, MOST_PLANTS, clump};
use proptest::prelude::*;

use crate::shapes::{blob, rectangle};

/// Distance of the middle one of three places from the line through the outer two.
fn bend(a: Point, b: Point, c: Point) -> f64 {
    let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
    (b - a).cross(c - a).abs() / longest
}

fn check_distances(clump: &Clump, spacing: f64) -> Result<(), TestCaseError> {
    for (i, a) in clump.points.iter().enumerate() {
        let others = clump.points.iter().enumerate().filter(|(j, _)| *j != i);
        let nearest = others.map(|(_, b)| a.distance(*b)).fold(f64::INFINITY, f64::min);
        prop_assert!((nearest / spacing - 1.0).abs() <= 0.12, "{}", nearest / spacing);
    }
    Ok(())
}

proptest! {
    #[test]
    fn nearest_neighbours_keep_within_twelve_percent(count in 2_usize..40, spacing in 0.2_f64..3.0, seed: u64) {
        let center = Point::new(7.0, -2.0);
        let clump = clump(count, spacing, center, None, seed).unwrap();
        prop_assert_eq!(clump.points.len(), count);
        prop_assert_eq!(clump.odd, count % 2 == 1);
        check_distances(&clump, spacing)?;
        let mean = clump.points.iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2()) / count as f64;
        prop_assert!((mean - center.to_vec2()).hypot() < 1e-9);
        // Compact: the clump is no wider than a round mass of three times its area.
        let reach = clump.points.iter().map(|p| p.distance(center)).fold(0.0, f64::max);
        prop_assert!(reach < spacing * (0.5 + 0.91 * (count as f64).sqrt()), "{}", reach / spacing);
    }

    #[test]
    fn three_and_five_never_stand_in_line(five: bool, seed: u64) {
        let points = clump(if five { 5 } else { 3 }, 1.0, Point::ORIGIN, None, seed).unwrap().points;
        for i in 0..points.len() {
            for j in 0..i {
                for k in 0..j {
                    prop_assert!(bend(points[i], points[j], points[k]) > 0.2);
                }
            }
        }
    }

    #[test]
    fn a_clump_is_shifted_inside_its_region(count in 1_usize..8, x in -4.0_f64..4.0, y in -4.0_f64..4.0, seed: u64) {
        let region = blob(Point::ORIGIN, &[3.0, 2.6, 3.2, 2.2, 2.8]);
        let clump = clump(count, 0.6, Point::new(x, y), Some(&region), seed).unwrap();
        let index = RegionIndex::new(&region);
        for point in &clump.points {
            prop_assert!(index.signed_distance(*point) >= 0.3 - 1e-9);
        }
        check_distances(&clump, 0.6).or_else(|e| if count == 1 { Ok(()) } else { Err(e) })?;
    }
}

#[test]
fn the_same_seed_gives_the_same_clump_and_another_another() {
    let set = |seed| clump(7, 0.5, Point::ORIGIN, None, seed).unwrap();
    assert_eq!(set(4), set(4));
    assert_ne!(set(4).points, set(5).points);
}

#[test]
fn a_clump_that_fits_stays_where_it_was_asked_for() {
    let clump = clump(5, 0.6, Point::new(5.0, 5.0), Some(&rectangle(0.0, 0.0, 10.0, 10.0)), 1).unwrap();
    assert!(clump.shift.hypot() < 1e-9);
}

#[test]
fn faults_say_what_to_mend() {
    let narrow = rectangle(0.0, 0.0, 0.5, 0.5);
    let fault = clump(5, 1.0, Point::ORIGIN, Some(&narrow), 1).unwrap_err();
    assert_eq!(
        fault.to_string(),
        "5 plants at 1 m fit nowhere in the region; set fewer, closer, or enlarge the region"
    );
    assert_eq!(clump(0, 1.0, Point::ORIGIN, None, 1), Err(ClumpFault::Count { count: 0 }));
    assert!(clump(MOST_PLANTS, 1.0, Point::ORIGIN, None, 1).is_ok());
    assert!(matches!(clump(3, -1.0, Point::ORIGIN, None, 1), Err(ClumpFault::Spacing { .. })));
    assert_eq!(clump(3, 1.0, Point::new(f64::NAN, 0.0), None, 1), Err(ClumpFault::Center));
}
