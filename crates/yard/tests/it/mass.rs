//! Masses: inside, apart, as many as the area holds, the edge first.

use groundwright_geometry::layout::triangular_rows;
use groundwright_geometry::{Point, PointIndex, Region, RegionIndex, Vec2};
use groundwright_yard::arrange::mass::{Mass, MassFault, fill};
use proptest::prelude::*;

use crate::shapes::{FOOT, INCH, blob, moved, rectangle};

fn least_distance(points: &[Point]) -> f64 {
    let pairs = points.iter().enumerate().flat_map(|(i, a)| points[..i].iter().map(|b| a.distance(*b)));
    pairs.fold(f64::INFINITY, f64::min)
}

/// Deepest open place of a region, on a fine grid: the largest distance to the nearest plant at
/// places half a spacing inside.
fn largest_opening(region: &Region, mass: &Mass, spacing: f64) -> f64 {
    let (core, plants) = (RegionIndex::new(region), PointIndex::new(&mass.points));
    let bounds = region.bounds().unwrap();
    let step = spacing / 6.0;
    let mut largest: f64 = 0.0;
    let mut y = bounds.y0;
    while y < bounds.y1 {
        let mut x = bounds.x0;
        while x < bounds.x1 {
            let place = Point::new(x, y);
            if core.signed_distance(place) >= spacing / 2.0 {
                largest = largest.max(plants.nearest(place).map_or(f64::INFINITY, |(_, distance)| distance));
            }
            x += step;
        }
        y += step;
    }
    largest
}

/// Radii of a fat outline.
fn fat() -> impl Strategy<Value = Vec<f64>> {
    prop::collection::vec(0.82_f64..1.18, 5..10)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// Every plant stands half a spacing inside, none nearer to another than 0.8 spacings, no place
    /// where one more fits, and the count follows the area: the law that the module states.
    #[test]
    fn large_fat_masses_are_even(radii in fat(), spacings in 8.0_f64..16.0, seed: u64) {
        let spacing = 0.5;
        let radii: Vec<f64> = radii.into_iter().map(|r| r * spacings * spacing).collect();
        let region = blob(Point::new(3.0, 1.0), &radii);
        let mass = fill(&region, spacing, seed).unwrap();
        let index = RegionIndex::new(&region);
        for point in &mass.points {
            prop_assert!(index.signed_distance(*point) >= 0.495 * spacing);
        }
        let least = least_distance(&mass.points);
        prop_assert!(least >= 0.8 * spacing - 1e-9, "{}", least / spacing);
        prop_assert!((least - mass.least_spacing.unwrap()).abs() < 1e-9);
        prop_assert!(largest_opening(&region, &mass, spacing) < 0.9 * spacing);
        let (area, edge) = (region.area(), region.perimeter());
        prop_assume!(area > 100.0 * spacing * spacing && edge < area / spacing / 2.0);
        let share = mass.points.len() as f64 / mass.expected;
        prop_assert!((share - 1.0).abs() < 0.04, "{} of {}", mass.points.len(), mass.expected);
        prop_assert!((mass.area_per_plant * mass.points.len() as f64 - area).abs() < 1e-6);
        prop_assert!(mass.left_empty < 1e-9);
        // Mostly the even lattice: nearest neighbours are close to the spacing in the mean.
        prop_assert!((0.9..1.02).contains(&(mass.mean_spacing.unwrap() / spacing)));
    }

    /// The first line keeps half a spacing from the edge, exactly, and follows it all round.
    #[test]
    fn the_first_line_follows_the_edge(radii in fat()) {
        let spacing = 0.5;
        let radii: Vec<f64> = radii.into_iter().map(|r| r * 4.0).collect();
        let region = blob(Point::ORIGIN, &radii);
        let mass = fill(&region, spacing, 1).unwrap();
        let index = RegionIndex::new(&region);
        let line = &mass.points[..mass.first_line];
        for point in line {
            prop_assert!((index.boundary_distance(*point) - spacing / 2.0).abs() < 0.01);
        }
        for pair in line.windows(2) {
            prop_assert!((pair[0].distance(pair[1]) / spacing - 1.0).abs() < 0.2);
        }
        let edge = region.grow(-spacing / 2.0).perimeter();
        prop_assert!((line.len() as f64 * spacing / edge - 1.0).abs() < 0.06);
    }

    /// Turning and shifting the property changes the count by no more than the stated tolerance: of
    /// equally good lattices another may be taken.
    #[test]
    fn counts_hardly_depend_on_where_the_mass_lies(radii in fat(), angle in 0.0_f64..6.2) {
        let radii: Vec<f64> = radii.into_iter().map(|r| r * 5.0).collect();
        let region = blob(Point::ORIGIN, &radii);
        let there = moved(&region, angle, Vec2::new(31.0, -12.0));
        let (here, there) = (fill(&region, 0.5, 3).unwrap(), fill(&there, 0.5, 3).unwrap());
        let (a, b) = (here.points.len() as f64, there.points.len() as f64);
        prop_assert!((a / b - 1.0).abs() < 0.04, "{} {}", a, b);
    }
}

/// Rectangles of the layout checks, in feet and inches, with the count of plain triangular rows.
/// Source: planting check values, layout-01 to layout-04, computed there from the closed formula.
const RECTANGLES: [(f64, f64, f64, usize); 4] =
    [(20.0, 6.0, 18.0, 50), (12.0, 8.0, 12.0, 104), (30.0, 4.0, 24.0, 29), (10.0, 10.0, 15.0, 68)];

/// A mass set from the edge holds no fewer plants than plain rows half a spacing inside it, and at
/// most a fifth more: it has a line along the short sides as well, and may press by a fifth.
#[test]
fn rectangles_hold_at_least_what_plain_rows_hold() {
    for (length, width, spacing, printed) in RECTANGLES {
        let (length, width, spacing) = (length * FOOT, width * FOOT, spacing * INCH);
        assert_eq!(triangular_rows(length, width, spacing).iter().sum::<usize>(), printed);
        let count = fill(&rectangle(0.0, 0.0, length, width), spacing, 1).unwrap().points.len();
        let most = printed + printed / 5 + 4;
        assert!((printed..=most).contains(&count), "{count} against {printed}");
    }
}

#[test]
fn the_corners_of_a_rectangle_have_plants() {
    let mass = fill(&rectangle(0.0, 0.0, 6.0, 4.0), 0.5, 1).unwrap();
    for corner in [(0.25, 0.25), (5.75, 0.25), (5.75, 3.75), (0.25, 3.75)] {
        assert!(mass.points.iter().any(|p| p.distance(corner.into()) < 0.01), "{corner:?}");
    }
}

#[test]
fn holes_have_a_first_line_too() {
    let region =
        rectangle(0.0, 0.0, 8.0, 6.0).difference(&Region::circle(Point::new(3.0, 3.0), 1.0).unwrap());
    let mass = fill(&region, 0.5, 1).unwrap();
    let about = |p: &&Point| (p.distance(Point::new(3.0, 3.0)) - 1.25).abs() < 0.02;
    // 2π 1.25 / 0.5 = 15.7 spacings.
    assert_eq!(mass.points[..mass.first_line].iter().filter(about).count(), 16);
    assert!(mass.points.iter().all(|p| p.distance(Point::new(3.0, 3.0)) > 1.24));
}

/// 8 m at 0.5 m, half a spacing from both ends: floor((L-d)/d) + 1 = 16, as in any such row.
#[test]
fn a_strip_narrower_than_the_spacing_has_one_line_along_its_middle() {
    for width in [0.25, 0.4, 0.5, 0.6] {
        let mass = fill(&rectangle(0.0, 0.0, 8.0, width), 0.5, 1).unwrap();
        assert_eq!((mass.points.len(), mass.first_line), (16, 16), "width {width}");
        for point in &mass.points {
            assert!((point.y - width / 2.0).abs() < 1e-3);
        }
        let mut x: Vec<f64> = mass.points.iter().map(|p| p.x).collect();
        x.sort_by(f64::total_cmp);
        assert!((x[0] - 0.25).abs() < 0.07 && (x[15] - 7.75).abs() < 0.07, "{} {}", x[0], x[15]);
        assert!(x.windows(2).all(|pair| (pair[1] - pair[0] - 0.5).abs() < 0.02));
    }
}

/// In a strip 1.5 spacings wide every leg of the zigzag is a spacing long.
#[test]
fn a_strip_between_one_line_and_two_has_a_zigzag() {
    let mass = fill(&rectangle(0.0, 0.0, 8.0, 0.75), 0.5, 1).unwrap();
    let mut points = mass.points.clone();
    points.sort_by(|a, b| a.x.total_cmp(&b.x));
    for pair in points.windows(2) {
        assert!((pair[0].distance(pair[1]) / 0.5 - 1.0).abs() < 0.05);
        assert!((pair[0].y - pair[1].y).abs() > 0.2);
    }
}

#[test]
fn what_is_too_narrow_stays_empty_and_is_told() {
    let mass = fill(&rectangle(0.0, 0.0, 8.0, 0.1), 0.5, 1).unwrap();
    assert!(mass.points.is_empty());
    assert!((mass.left_empty / 0.8 - 1.0).abs() < 0.3, "{}", mass.left_empty);
    assert_eq!((mass.mean_spacing, mass.least_spacing), (None, None));
}

#[test]
fn a_place_for_one_plant_has_it_in_its_middle() {
    for side in [0.4, 0.9, 1.1] {
        let mass = fill(&rectangle(2.0, 2.0, side, side), 1.0, 1).unwrap();
        assert_eq!(mass.points.len(), 1, "side {side}");
        let middle = Point::new(2.0 + side / 2.0, 2.0 + side / 2.0);
        assert!(mass.points[0].distance(middle) < 0.06, "{:?}", mass.points[0]);
    }
}

#[test]
fn the_same_input_gives_the_same_plants() {
    let region = blob(Point::ORIGIN, &[4.0, 5.0, 3.0, 4.5, 5.0, 3.5]);
    assert_eq!(fill(&region, 0.4, 9).unwrap(), fill(&region, 0.4, 9).unwrap());
}

/// Forty thousand plants: even and complete as well.
#[test]
fn a_very_large_mass_is_filled() {
    let region = rectangle(0.0, 0.0, 60.0, 49.0);
    let mass = fill(&region, 0.29, 1).unwrap();
    assert!(mass.points.len() > 40_000);
    assert!((mass.points.len() as f64 / mass.expected - 1.0).abs() < 0.01);
    assert!(mass.least_spacing.unwrap() >= 0.8 * 0.29);
}

#[test]
fn faults_say_what_to_mend() {
    let region = rectangle(0.0, 0.0, 10.0, 10.0);
    assert!(matches!(fill(&region, 0.0, 1), Err(MassFault::Spacing { .. })));
    assert_eq!(fill(&Region::empty(), 0.5, 1), Err(MassFault::EmptyRegion));
    let fault = fill(&region, 0.001, 1).unwrap_err();
    assert_eq!(
        fault.to_string(),
        "about 115470054 plants would stand in this mass, more than 200000; check the spacing and its unit, \
         or split the area"
    );
}
