//! Sun hours beside walls, a house and a crown, against closed formulas.

use groundwright_geometry::{Point, Point3, Rect};
use groundwright_handoff::CrownForm;
use groundwright_scene::{Bodies, Crown, Scene};
use groundwright_sun::spa::{Observer, julian_day, position};
use groundwright_sun::{Grid, Half, SunMoment, day_hours, sky};
use std::f64::consts::PI;

use crate::{number, rows};

/// A wall so long that its ends do not matter.
const ENDLESS: f64 = 1e5;

fn east_west(height: f64, y: f64, half_length: f64) -> Bodies {
    let mut bodies = Bodies::default();
    let at = |x: f64, z: f64| Point3::new(x, y, z);
    bodies.face(&[
        at(-half_length, -50.0),
        at(half_length, -50.0),
        at(half_length, height),
        at(-half_length, height),
    ]);
    bodies
}

fn north_south(height: f64, x: f64) -> Bodies {
    let mut bodies = Bodies::default();
    let at = |y: f64, z: f64| Point3::new(x, y, z);
    bodies.face(&[at(-ENDLESS, -50.0), at(ENDLESS, -50.0), at(ENDLESS, height), at(-ENDLESS, height)]);
    bodies
}

fn house() -> Bodies {
    let mut bodies = Bodies::default();
    let (x0, x1, y0, y1, h) = (-6.0, 6.0, -12.0, -4.0, 5.0);
    let ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)];
    bodies.face(&ring.map(|(x, y)| Point3::new(x, y, h)));
    for i in 0..4 {
        let ((ax, ay), (bx, by)) = (ring[i], ring[(i + 1) % 4]);
        bodies.face(&[
            Point3::new(ax, ay, 0.0),
            Point3::new(bx, by, 0.0),
            Point3::new(bx, by, h),
            Point3::new(ax, ay, h),
        ]);
    }
    bodies
}

fn ball() -> Bodies {
    let crown = Crown::new(CrownForm::Ellipsoid, Point3::new(0.0, -5.0, 1.5), 2.5, 5.0, 0.0).unwrap();
    let owner = groundwright_plan::ElementRef::new(groundwright_plan::Kind::Tree, &"ball".into());
    Bodies { crowns: vec![crown], owners: vec![(owner, 0)], triangles: Vec::new() }
}

fn both(mut a: Bodies, b: Bodies) -> Bodies {
    a.triangles.extend(b.triangles);
    a
}

/// The bodies of a row of the table, and the point in question.
fn case(id: &str) -> (Bodies, Point3) {
    let origin = Point3::new(0.0, 0.0, 0.0);
    let wall = |distance: f64| (east_west(2.0, -distance, ENDLESS), origin);
    match id {
        "h01" | "h02" => wall(3.0),
        "h03" => wall(2.6),
        "h04" => wall(1.4),
        "h05" => wall(5.0),
        "h06" => (north_south(2.0, -3.0), origin),
        "h07" => (north_south(2.0, 3.0), origin),
        "h08" => (east_west(2.4, -2.0, 3.0), origin),
        "h09" | "h10" => (house(), origin),
        "h11" => (house(), Point3::new(8.0, -8.0, 0.0)),
        "h12" => (ball(), origin),
        "h13" | "h14" => (east_west(1.8, 2.5, ENDLESS), origin),
        "h15" => (east_west(2.0, -3.0, ENDLESS), Point3::new(0.0, 0.0, 0.8)),
        "h16" => (east_west(2.0, -5.0, ENDLESS), Point3::new(0.0, 0.0, -1.0)),
        "h17" => (both(east_west(2.0, -3.0, ENDLESS), north_south(2.0, -3.0)), origin),
        other => panic!("no case {other}"),
    }
}

/// Every whole minute of local standard time with the sun above the level horizon.
fn minutes(south: bool, date: &str) -> Vec<SunMoment> {
    let (latitude, longitude, ahead): (f64, f64, f64) =
        if south { (-33.8688, 151.2093, 10.0) } else { (40.0, -105.0, -7.0) };
    let observer = Observer {
        latitude: latitude.to_radians(),
        longitude: longitude.to_radians(),
        elevation: 0.0,
        pressure: 101_325.0,
        temperature: 285.15,
    };
    let date: jiff::civil::Date = date.parse().unwrap();
    let noon = date.to_zoned_datetime(jiff::tz::TimeZone::UTC).unwrap().timestamp().as_second() as f64;
    (0..1440)
        .map(|minute| position(&observer, julian_day(noon - ahead * 3600.0 + 60.0 * f64::from(minute)), 67.0))
        .filter(|sun| sun.zenith < PI / 2.0)
        .map(|sun| SunMoment {
            direction: sky::direction(sun.zenith, sun.azimuth, 0.0),
            hours: 1.0 / 60.0,
            month: 1,
            half: if sun.hour_angle > PI { Half::Morning } else { Half::Afternoon },
        })
        .collect()
}

/// Seventeen days and places, within 0.05 h as the table says: by the map, and by single rays.
#[test]
fn sun_hours_agree_with_the_closed_formulas() {
    let all = rows(include_str!("../data/sun-hours.csv"));
    assert_eq!(all.len(), 17);
    for row in &all {
        let id = row["id"].as_str();
        let (bodies, at) = case(id);
        let moments = minutes(matches!(id, "h13" | "h14"), &row["date"]);
        let above = moments.len() as f64 / 60.0;
        assert!(
            (above - number(row, "hours_above_horizon")).abs() < 0.02,
            "{id}: {above} h above the horizon"
        );
        let cell = Rect::from_center_size(Point::new(at.x, at.y), (0.5, 0.5));
        let grid = Grid::over(cell, 0.5, |_| at.z).unwrap();
        let hours = day_hours(&grid, &bodies, &moments).total(0);
        assert!((hours - number(row, "sun_hours")).abs() < 0.05, "{id}: {hours} h");
        let scene = Scene::new(bodies);
        let by_rays: f64 = moments.iter().map(|m| m.hours * scene.light(at, m.direction)).sum();
        assert!((by_rays - hours).abs() < 0.02, "{id}: {by_rays} h by rays, {hours} h on the map");
    }
}

/// Shadow lengths h / tan e of the same collection: the last point in shade behind an upright edge.
#[test]
fn shadows_have_their_length() {
    for (height, elevation, length) in
        [(1.0, 45.0, 1.0), (2.0, 26.565, 4.0), (2.0, 63.435, 1.0), (1.8, 10.0, 10.2083), (6.0, 5.0, 68.5803)]
    {
        let bodies = east_west(height, 0.0, ENDLESS);
        let e = f64::to_radians(elevation);
        let grid = Grid::over(Rect::new(0.0, 0.0, 0.01, 80.0), 0.01, |_| 0.0).unwrap();
        let light = groundwright_sun::light_at(&grid, &bodies, [0.0, -e.cos(), e.sin()]);
        let shaded = light.iter().filter(|light| **light == 0.0).count() as f64 * 0.01;
        assert!((shaded - length).abs() < 0.011, "{height} m at {elevation}°: {shaded} m");
    }
}

/// A sky-view factor at the foot of an endless wall is ½ (1 + cos γ), γ the wall's angle above the
/// horizon: Watkins' and Oke's formula for one side of a canyon, here at 45° and 60°.
#[test]
fn walls_hide_their_share_of_the_sky() {
    for gamma in [45.0_f64, 60.0] {
        let gamma = gamma.to_radians();
        let bodies = east_west(2.0 * gamma.tan(), -2.0, ENDLESS);
        let cell = Rect::from_center_size(Point::new(0.0, 0.0), (0.1, 0.1));
        let grid = Grid::over(cell, 0.1, |_| 0.0).unwrap();
        let view = groundwright_sun::sky_view(&grid, &bodies, &groundwright_sun::sky_patches(90));
        let by_hand = 0.5 * (1.0 + gamma.cos());
        assert!((view.even[0] - by_hand).abs() < 0.004, "{} {by_hand}", view.even[0]);
        assert!(view.overcast[0] > view.even[0]);
    }
}
