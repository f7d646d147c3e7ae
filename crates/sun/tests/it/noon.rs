//! Shadows at noon against the geometry of a wall and the sun's declination.

use std::f64::consts::PI;

use groundwright_geometry::{Point3, Rect};
use groundwright_scene::Bodies;
use groundwright_sun::noon::noon;
use groundwright_sun::{Grid, Noon, Observer, SunYear, noon_moment};

/// Obliquity of the ecliptic, the sun's greatest declination. [deg] Every handbook, from memory.
const OBLIQUITY: f64 = 23.44;
/// Step of the grid. [m]
const STEP: f64 = 0.05;

/// A wall of 4 m along the y axis' foot, from west to east, 6 m long.
fn wall() -> Bodies {
    let mut bodies = Bodies::default();
    let at = |x: f64, z: f64| Point3::new(x, 0.0, z);
    bodies.face(&[at(-3.0, 0.0), at(3.0, 0.0), at(3.0, 4.0), at(-3.0, 4.0)]);
    bodies
}

fn at(latitude: f64, day: SunYear) -> Noon {
    let observer = Observer::new(latitude.to_radians(), 0.0, 0.0);
    let grid = Grid::over(Rect::new(-8.0, -25.0, 8.0, 25.0), STEP, |_| 0.0).unwrap();
    let moment = noon_moment(&observer, 0.0, 2026, day, latitude < 0.0);
    noon(&grid, &wall(), day, moment)
}

/// Farthest reach of the shadow to the north and to the south of the wall. [m]
fn reach(noon: &Noon) -> (f64, f64) {
    let ys = || noon.edges.iter().flatten().map(|at| at.y);
    (ys().fold(0.0, f64::max), ys().fold(0.0, |low: f64, y| low.min(y)))
}

/// At noon the sun's height is 90° less the latitude plus its declination, and a wall's shadow is
/// its height over the tangent: 4 m at 45° at the equinox.
#[test]
fn a_walls_shadow_is_its_height_over_the_tangent() {
    for latitude in [20.0, 45.0, 52.0, -35.0] {
        for (day, declination) in
            [(SunYear::Shortest, -OBLIQUITY), (SunYear::Equinox, 0.0), (SunYear::Longest, OBLIQUITY)]
        {
            let noon = at(latitude, day);
            let height = 90.0 - latitude.abs() + declination;
            let elevation = noon.elevation.unwrap().to_degrees();
            let expected = if height > 90.0 { 180.0 - height } else { height };
            assert!((elevation - expected).abs() < 0.35, "{latitude} {day:?}: {elevation}° for {expected}°");
            let length = 4.0 / elevation.to_radians().tan();
            let (north, south) = reach(&noon);
            // Away from the sun; within the tropics in summer that is towards the pole's other side.
            let away = if (latitude > 0.0) == (height <= 90.0) { north } else { -south };
            // Shorter shadows than a speck are left out.
            if length > 1.0 {
                assert!(
                    (away - length).abs() < 2.0 * STEP + 0.01 * length,
                    "{latitude} {day:?}: {away} m for {length} m"
                );
            }
        }
    }
}

#[test]
fn where_the_sun_does_not_rise_there_is_no_noon() {
    let noon = at(75.0, SunYear::Shortest);
    assert_eq!((noon.elevation, noon.edges.len()), (None, 0));
    assert!(at(75.0, SunYear::Longest).elevation.unwrap() > 30.0_f64.to_radians());
    assert_eq!(SunYear::Longest.date(true), (12, 21));
    assert!(at(45.0, SunYear::Longest).elevation.unwrap() < PI / 2.0);
}
