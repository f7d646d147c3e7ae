//! Triangulated surfaces against closed forms, against one another, and by laws.

use groundwright_geometry::{Patch, Point, Point3, Surface, SurfaceFault};
use proptest::prelude::*;

fn plane(x: f64, y: f64) -> f64 {
    3.0 + 0.04 * x - 0.025 * y
}

fn on_plane(places: &[(f64, f64)]) -> Vec<Point3> {
    places.iter().map(|&(x, y)| Point3::new(x, y, plane(x, y))).collect()
}

fn grid(columns: usize, rows: usize, height: impl Fn(f64, f64) -> f64) -> Vec<Point3> {
    let places = (0..columns).flat_map(|i| (0..rows).map(move |j| (i as f64, j as f64)));
    places.map(|(x, y)| Point3::new(x, y, height(x, y))).collect()
}

#[test]
fn a_plane_comes_back_everywhere() {
    let surface = Surface::from_levels(&grid(9, 7, plane), &[]).unwrap();
    assert!((surface.area() - 48.0).abs() < 1e-9);
    for place in [(0.0, 0.0), (8.0, 6.0), (3.3, 2.9), (4.0, 3.0), (7.999, 0.001)] {
        let at = Point::new(place.0, place.1);
        assert!((surface.level(at).unwrap() - plane(at.x, at.y)).abs() < 1e-12);
        let rise = surface.gradient(surface.triangle_at(at).unwrap());
        assert!((rise.x - 0.04).abs() < 1e-12 && (rise.y + 0.025).abs() < 1e-12);
    }
    assert_eq!(surface.level(Point::new(8.1, 3.0)), None);
    assert_eq!(surface.level(Point::new(f64::NAN, 3.0)), None);
    assert!((surface.level_carried_out(Point::new(9.0, 3.0)).unwrap() - plane(8.0, 3.0)).abs() < 1e-12);
}

/// A break line is an edge, whatever Delaunay would rather have: the saddle of four corners at 0 1 0 1
/// is a ridge or a valley, as its break line says.
#[test]
fn a_break_line_decides_between_ridge_and_valley() {
    let corners = [(0.0, 0.0, 0.0), (10.0, 0.0, 1.0), (10.0, 10.0, 0.0), (0.0, 10.0, 1.0)];
    let corners = corners.map(|(x, y, z)| Point3::new(x, y, z));
    let middle = Point::new(5.0, 5.0);
    let valley = Surface::from_levels(&corners, &[vec![corners[0], corners[2]]]).unwrap();
    let ridge = Surface::from_levels(&corners, &[vec![corners[1], corners[3]]]).unwrap();
    assert!(valley.level(middle).unwrap().abs() < 1e-12);
    assert!((ridge.level(middle).unwrap() - 1.0).abs() < 1e-12);
}

#[test]
fn break_lines_that_cross_at_one_level_share_a_point_there() {
    let corners = grid(2, 2, |x, y| 10.0 * (x + y));
    let corners: Vec<Point3> = corners.iter().map(|p| Point3::new(p.x * 10.0, p.y * 10.0, p.z)).collect();
    let first = vec![Point3::new(1.0, 5.0, 2.0), Point3::new(9.0, 5.0, 2.0)];
    let second = vec![Point3::new(5.0, 1.0, 1.0), Point3::new(5.0, 9.0, 3.0)];
    let surface = Surface::from_levels(&corners, &[first.clone(), second]).unwrap();
    assert!((surface.level(Point::new(5.0, 5.0)).unwrap() - 2.0).abs() < 1e-12);
    let apart = vec![Point3::new(5.0, 1.0, 2.0), Point3::new(5.0, 9.0, 4.0)];
    let faults = Surface::from_levels(&corners, &[first, apart]).unwrap_err();
    let [SurfaceFault::Crossing { first: 0, second: 1, at, first_level, second_level }] = faults[..] else {
        panic!("{faults:?}");
    };
    assert!(at.distance(Point::new(5.0, 5.0)) < 1e-12);
    assert!((first_level - 2.0).abs() < 1e-12 && (second_level - 3.0).abs() < 1e-12);
    assert_eq!(
        faults[0].to_string(),
        "break lines 1 and 2 cross at (5.000 m, 5.000 m), one at 2.000 m and one at 3.000 m; end one at \
         the other, or give both the same level there"
    );
}

#[test]
fn bad_levels_are_refused_with_their_place() {
    let good = on_plane(&[(0.0, 0.0), (4.0, 0.0), (0.0, 4.0)]);
    let faults = |extra: Point3| {
        let all: Vec<Point3> = good.iter().copied().chain([extra]).collect();
        Surface::from_levels(&all, &[]).unwrap_err()
    };
    let two = faults(Point3::new(4.0, 0.0, 9.0));
    assert!(two[0].to_string().starts_with("two levels at (4.000 m, 0.000 m): 3.160 m and 9.000 m"));
    assert!(matches!(faults(Point3::new(1.0, 1.0, f64::NAN))[..], [SurfaceFault::NotFinite { .. }]));
    assert!(matches!(faults(Point3::new(1.0, 2e4, 0.0))[..], [SurfaceFault::TooFar { .. }]));
    for few in [&good[..0], &good[..1], &good[..2]] {
        assert_eq!(Surface::from_levels(few, &[]).unwrap_err(), vec![SurfaceFault::NoArea]);
    }
    let row = on_plane(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0)]);
    assert_eq!(Surface::from_levels(&row, &[]).unwrap_err(), vec![SurfaceFault::NoArea]);
    let twice = Surface::from_triangles(good.clone(), &[[0, 1, 2], [0, 2, 1]]).unwrap_err();
    assert!(matches!(twice, SurfaceFault::Overlap { .. }));
    assert!(matches!(
        Surface::from_triangles(good, &[[0, 1, 3]]),
        Err(SurfaceFault::NoSuchPoint { triangle: 0, points: 3 })
    ));
}

/// A cone of 720 sides, 3 m high with radius 6 m: its contour at 1 m is a ring of radius 4 m, closed
/// form 2 × 720 × 4 sin(π/720) long.
#[test]
fn contours_of_a_cone_are_rings() {
    let sides = 720;
    let ring = (0..sides).map(|i| {
        let angle = std::f64::consts::TAU * f64::from(i) / f64::from(sides);
        Point3::new(6.0 * angle.cos(), 6.0 * angle.sin(), 0.0)
    });
    let points: Vec<Point3> = ring.chain([Point3::new(0.0, 0.0, 3.0)]).collect();
    let cone = Surface::from_levels(&points, &[]).unwrap();
    let contours = cone.contours(1.0);
    let levels: Vec<f64> = contours.iter().map(|c| c.level).collect();
    assert_eq!(levels, [1.0, 2.0, 3.0][..levels.len()].to_vec());
    assert!(contours[0].closed);
    let course = &contours[0].course;
    let length: f64 = (0..course.len()).map(|i| course[i].distance(course[(i + 1) % course.len()])).sum();
    let expected = 2.0 * 720.0 * 4.0 * (std::f64::consts::PI / 720.0).sin();
    assert!((length - expected).abs() < 1e-9, "{length} {expected}");
    assert!(course.iter().all(|at| (cone.level(*at).unwrap() - 1.0).abs() < 1e-9));
    assert!(cone.contours(f64::NAN).is_empty() && cone.contours(0.0).is_empty());
}

/// Whole levels that go exactly through corners are where contours are usually lost or doubled.
#[test]
fn contours_through_corners_are_neither_lost_nor_doubled() {
    let stairs = Surface::from_levels(&grid(6, 4, |x, _| x), &[]).unwrap();
    let contours = stairs.contours(1.0);
    assert_eq!(contours.len(), 5, "levels 1 to 5; level 0 is the foot itself");
    for contour in &contours {
        assert!(!contour.closed);
        let length: f64 = contour.course.windows(2).map(|p| p[0].distance(p[1])).sum();
        assert!((length - 3.0).abs() < 1e-9);
    }
}

#[test]
fn a_section_meets_every_edge_once() {
    let surface = Surface::from_levels(&grid(9, 7, |x, y| (x * 0.7).sin() + y * y * 0.1), &[]).unwrap();
    let line = [Point::new(-1.0, 0.4), Point::new(8.0, 5.3), Point::new(3.0, 6.5)];
    let section = surface.section(&line);
    assert!(section.windows(2).all(|pair| pair[1].station > pair[0].station));
    assert_eq!((section[0].level, section[section.len() - 1].level), (None, None));
    for pair in section.windows(2) {
        // Straight between neighbours: the middle is the mean.
        if let (Some(a), Some(b)) = (pair[0].level, pair[1].level) {
            let middle = surface.level(pair[0].at.midpoint(pair[1].at)).unwrap();
            assert!((middle - f64::midpoint(a, b)).abs() < 1e-7, "{pair:?}");
        }
    }
}

/// A pad of 4 × 3 m, a metre up, with slopes one metre wide round it, on a plane: outside nothing
/// changes, inside it is level, and the volume is the frustum's by hand (see the ground crate).
#[test]
fn a_patch_changes_the_inside_only() {
    let old = Surface::from_levels(&grid(12, 10, plane), &[]).unwrap();
    let pad: Vec<Point3> = [(4.0, 4.0), (8.0, 4.0), (8.0, 7.0), (4.0, 7.0), (4.0, 4.0)]
        .map(|(x, y)| Point3::new(x, y, 5.0))
        .to_vec();
    let rim = [(3.0, 3.0), (9.0, 3.0), (9.0, 8.0), (3.0, 8.0)].map(|(x, y)| Point::new(x, y)).to_vec();
    let new = old.patched(&Patch { rim, levels: Vec::new(), lines: vec![pad] }).unwrap();
    assert!((new.area() - old.area()).abs() < 1e-9);
    for x in 0..110 {
        for y in 0..90 {
            let at = Point::new(f64::from(x) * 0.1, f64::from(y) * 0.1);
            let level = new.level(at).unwrap();
            let aside = at.x <= 3.0 || at.x >= 9.0 || at.y <= 3.0 || at.y >= 8.0;
            let on_pad = (4.0..=8.0).contains(&at.x) && (4.0..=7.0).contains(&at.y);
            if aside {
                assert!((level - plane(at.x, at.y)).abs() < 1e-9, "{at:?}");
            } else if on_pad {
                assert!((level - 5.0).abs() < 1e-9, "{at:?}");
            } else {
                assert!(level > plane(at.x, at.y) - 1e-9 && level < 5.0 + 1e-9);
            }
        }
    }
}

#[test]
fn a_patch_beyond_the_ground_or_with_levels_outside_is_refused() {
    let old = Surface::from_levels(&grid(5, 5, plane), &[]).unwrap();
    let rim = |far: f64| {
        vec![Point::new(1.0, 1.0), Point::new(far, 1.0), Point::new(far, 3.0), Point::new(1.0, 3.0)]
    };
    let beyond = old.patched(&Patch { rim: rim(6.0), ..Patch::default() }).unwrap_err();
    assert!(matches!(beyond[..], [SurfaceFault::BeyondGround { .. }]));
    let outside = Patch { rim: rim(3.0), levels: vec![Point3::new(0.5, 2.0, 1.0)], lines: Vec::new() };
    assert!(matches!(old.patched(&outside).unwrap_err()[..], [SurfaceFault::OutsideRim { .. }]));
    let crossed =
        vec![Point::new(1.0, 1.0), Point::new(3.0, 3.0), Point::new(3.0, 1.0), Point::new(1.0, 3.0)];
    assert!(matches!(
        old.patched(&Patch { rim: crossed, ..Patch::default() }).unwrap_err()[..],
        [SurfaceFault::Rim(_)]
    ));
}

#[test]
fn a_refined_surface_is_the_same_ground() {
    let coarse = Surface::from_levels(&grid(4, 4, |x, y| x * y), &[]).unwrap();
    let fine = coarse.refined(0.3, 100_000).unwrap();
    assert!(fine.triangles().len() > 10 * coarse.triangles().len());
    assert!((fine.area() - coarse.area()).abs() < 1e-9);
    for (i, point) in fine.points().iter().enumerate() {
        assert!((coarse.level(point.plan()).unwrap() - point.z).abs() < 1e-9, "{i}");
    }
    for triangle in 0..fine.triangles().len() {
        let [a, b, c] = fine.corners(triangle).map(Point3::plan);
        assert!(a.distance(b).max(b.distance(c)).max(c.distance(a)) <= 0.3);
    }
    assert!(coarse.refined(0.0, 10).is_err());
}

fn scattered() -> impl Strategy<Value = Vec<Point3>> {
    prop::collection::vec((0.0..40.0f64, 0.0..30.0f64, -2.0..2.0f64), 4..60)
        .prop_map(|all| all.into_iter().map(|(x, y, z)| Point3::new(x, y, z)).collect())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The order in which levels were read does not matter.
    #[test]
    fn order_of_levels_changes_nothing(points in scattered()) {
        let turned: Vec<Point3> = points.iter().rev().copied().collect();
        prop_assert_eq!(Surface::from_levels(&points, &[]), Surface::from_levels(&turned, &[]));
    }

    /// Every level that was taken stands in the surface.
    #[test]
    fn every_level_is_kept(points in scattered()) {
        let Ok(surface) = Surface::from_levels(&points, &[]) else { return Ok(()) };
        for point in &points {
            let level = surface.level_carried_out(point.plan()).unwrap();
            prop_assert!((level - point.z).abs() < 1e-6, "{point:?} {level}");
        }
    }

    /// Turning and shifting the yard turns and shifts the ground.
    #[test]
    fn rigid_motion_changes_no_area(points in scattered(), angle in 0.0..6.0f64, dx in -50.0..50.0f64) {
        let Ok(surface) = Surface::from_levels(&points, &[]) else { return Ok(()) };
        let moved: Vec<Point3> = points
            .iter()
            .map(|p| {
                let (s, c) = angle.sin_cos();
                Point3::new(c * p.x - s * p.y + dx, s * p.x + c * p.y - dx, p.z)
            })
            .collect();
        let turned = Surface::from_levels(&moved, &[]).unwrap();
        prop_assert!((surface.area() - turned.area()).abs() < 1e-6);
    }

    /// Whatever break lines are drawn: an answer or faults, never a panic; and an answer keeps them.
    #[test]
    fn break_lines_never_panic(points in scattered(), lines in prop::collection::vec(prop::collection::vec((0.0..40.0f64, 0.0..30.0f64), 2..5), 0..6)) {
        let lines: Vec<Vec<Point3>> = lines.into_iter()
            .map(|line| line.into_iter().map(|(x, y)| Point3::new(x, y, plane(x, y))).collect())
            .collect();
        if let Ok(surface) = Surface::from_levels(&points, &lines) {
            for pair in lines.iter().flat_map(|line| line.windows(2)) {
                let middle = pair[0].plan().midpoint(pair[1].plan());
                let level = surface.level(middle).unwrap();
                // A spot level within a millimetre of a line may bend it, by no more than its own misfit.
                prop_assert!((level - plane(middle.x, middle.y)).abs() < 1e-6);
            }
        }
    }
}
