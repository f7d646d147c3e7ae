//! Where water goes: closed forms, hand-made grounds, and the law that none is lost.

use groundwright_geometry::{Point, Point3, Surface};
use groundwright_ground::{End, Watershed, descend};
use proptest::prelude::*;

fn grid(columns: i32, rows: i32, height: impl Fn(f64, f64) -> f64) -> Surface {
    let places = (0..columns).flat_map(|i| (0..rows).map(move |j| (f64::from(i), f64::from(j))));
    let points: Vec<Point3> = places.map(|(x, y)| Point3::new(x, y, height(x, y))).collect();
    Surface::from_levels(&points, &[]).unwrap()
}

/// A pyramid upside down, 8 × 8, 3 deep: it holds a third of base × height = 64 m³.
#[test]
fn a_pit_holds_its_volume() {
    let points = [(0.0, 0.0, 3.0), (8.0, 0.0, 3.0), (8.0, 8.0, 3.0), (0.0, 8.0, 3.0), (4.0, 4.0, 0.0)];
    let points = points.map(|(x, y, z)| Point3::new(x, y, z));
    let pit = Surface::from_levels(&points, &[]).unwrap();
    let shed = Watershed::new(&pit, &[]);
    let hollows = shed.hollows(0.01);
    assert_eq!(hollows.len(), 1);
    assert!((hollows[0].holds - 64.0).abs() < 1e-9 && (hollows[0].area - 64.0).abs() < 1e-9);
    assert!((hollows[0].depth() - 3.0).abs() < 1e-12 && hollows[0].at == Point::new(4.0, 4.0));
    let middle = pit.points().iter().position(|p| p.z == 0.0).unwrap() as u32;
    let drained = Watershed::new(&pit, &[middle]);
    assert!(drained.hollows(0.01).is_empty());
    let own = drained.own(|_| 1.0);
    assert!((drained.gather(&own)[middle as usize] - 64.0 / 3.0).abs() < 1e-9, "corners on the rim leave");
}

/// The lower of two sills decides: a lip notched to 2 m fills to 2 m.
#[test]
fn a_notch_lowers_the_water() {
    let points = [
        (0.0, 0.0, 3.0),
        (4.0, 0.0, 2.0),
        (8.0, 0.0, 3.0),
        (8.0, 8.0, 3.0),
        (0.0, 8.0, 3.0),
        (4.0, 4.0, 0.0),
    ]
    .map(|(x, y, z)| Point3::new(x, y, z));
    let pit = Surface::from_levels(&points, &[]).unwrap();
    let hollows = Watershed::new(&pit, &[]).hollows(0.01);
    assert!((hollows[0].spill - 2.0).abs() < 1e-12 && hollows.len() == 1);
}

/// A valley along x = 10 that falls to the south: all but the rim's own share comes out at its mouth,
/// and a drop anywhere finds the valley and leaves there.
#[test]
fn a_valley_gathers_its_sides() {
    let valley = grid(21, 31, |x, y| 0.1 * (x - 10.0).abs() + 0.05 * y + 0.000_01 * x);
    let shed = Watershed::new(&valley, &[]);
    assert!(shed.hollows(0.001).is_empty());
    let own = shed.own(|_| 1.0);
    let gathered = shed.gather(&own);
    let at = |x: f64, y: f64| valley.points().iter().position(|p| (p.x, p.y) == (x, y)).unwrap();
    assert!(gathered[at(10.0, 0.0)] > 300.0, "{}", gathered[at(10.0, 0.0)]);
    let left: f64 = shed.leaves().map(|c| gathered[c as usize]).sum();
    assert!((left - 600.0).abs() < 1e-9);
    let course = descend(&valley, &shed, Point::new(3.3, 24.7)).unwrap();
    let last = course.places[course.places.len() - 1];
    assert_eq!(course.end, End::Leaves);
    assert!(last.plan().distance(Point::new(10.0, 0.0)) < 0.6, "{last:?}");
    // Until the valley it goes straight down the plane's gradient (−0.1, 0.05), at 26.57° to x.
    let reached = course.places.iter().find(|p| p.x > 9.99).unwrap();
    assert!((reached.y - (24.7 - 0.5 * 6.7)).abs() < 0.01, "{reached:?}");
}

#[test]
fn a_drop_on_level_ground_or_in_a_pit_stays() {
    let level = grid(4, 4, |_, _| 2.0);
    let shed = Watershed::new(&level, &[]);
    assert_eq!(descend(&level, &shed, Point::new(1.4, 1.7)).unwrap().end, End::Level);
    assert_eq!(descend(&level, &shed, Point::new(9.0, 9.0)), None);
    let bowl = grid(9, 9, |x, y| (x - 4.0).powi(2) + (y - 4.0).powi(2));
    let shed = Watershed::new(&bowl, &[]);
    let course = descend(&bowl, &shed, Point::new(1.2, 6.3)).unwrap();
    assert_eq!((course.end, course.places[course.places.len() - 1].z), (End::Hollow, 0.0));
}

/// What runs into a hollow is what its catchment yields: two bowls side by side part the yard.
#[test]
fn two_hollows_part_the_ground_between_them() {
    let two = grid(21, 11, |x, y| {
        let bowl = |cx: f64| ((x - cx).powi(2) + (y - 5.0).powi(2)).sqrt() * 0.1;
        // The ridge between them is higher than the rim: neither runs over into the other.
        bowl(5.0).min(bowl(15.0)) + if (x - 10.0).abs() < 0.5 { 0.1 } else { 0.0 }
    });
    let shed = Watershed::new(&two, &[]);
    let hollows = shed.hollows(0.05);
    assert_eq!(hollows.len(), 2);
    let own = shed.own(|_| 1.0);
    let inflow: Vec<f64> = hollows.iter().map(|h| shed.runs_into(h, &own)).collect();
    assert!((inflow[0] - inflow[1]).abs() < 0.1 * inflow[0], "{inflow:?}");
    assert!(inflow.iter().all(|&area| area > 60.0 && area <= 200.0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Every litre of rain leaves somewhere; water never stands lower than the ground; every course
    /// goes down.
    #[test]
    fn no_water_is_lost(heights in prop::collection::vec(0.0..2.0f64, 64), drain in 0..64u32, x in 0.0..7.0f64, y in 0.0..7.0f64) {
        let points: Vec<Point3> = heights.iter().enumerate()
            .map(|(i, z)| Point3::new((i % 8) as f64 + 0.2 * z, (i / 8) as f64 - 0.3 * z, *z)).collect();
        let ground = Surface::from_levels(&points, &[]).unwrap();
        let shed = Watershed::new(&ground, &[drain]);
        let own = shed.own(|_| 0.7);
        let gathered = shed.gather(&own);
        let left: f64 = shed.leaves().map(|c| gathered[c as usize]).sum();
        prop_assert!((left - 0.7 * ground.area()).abs() < 1e-9);
        for (spill, point) in shed.spill().iter().zip(ground.points()) {
            prop_assert!(*spill >= point.z);
        }
        for hollow in shed.hollows(0.0) {
            prop_assert!(hollow.holds >= 0.0 && hollow.holds <= hollow.area * hollow.depth() + 1e-9);
        }
        if let Some(course) = descend(&ground, &shed, Point::new(x, y)) {
            prop_assert!(course.places.windows(2).all(|pair| pair[1].z <= pair[0].z));
        }
    }
}
