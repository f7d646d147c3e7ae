//! Laws of sun maps, and maps against single rays.

use groundwright_geometry::{Point3, Rect};
use groundwright_handoff::{Body, CrownForm, Role, Solid};
use groundwright_plan::{ElementRef, Kind};
use groundwright_scene::{Bodies, Scene};
use groundwright_sun::{Grid, GridFault, Observer, SunMoment, day_hours, month_moments};
use proptest::prelude::*;

const FORMS: [CrownForm; 5] =
    [CrownForm::Ellipsoid, CrownForm::Dome, CrownForm::Cone, CrownForm::Cylinder, CrownForm::Vase];

fn tree(x: f64, y: f64, foot: f64, radius: f64, form: usize, share: f64) -> Solid {
    let body =
        Body::Crown { form: FORMS[form], centre: Point3::new(x, y, foot + 2.0), radius, half_height: 2.0 };
    let subject = ElementRef::new(Kind::Tree, &"tree".into());
    Solid { subject, ordinal: 0, role: Role::Grows, body, material: String::new(), transmittance: share }
}

fn shed(x: f64, y: f64) -> Solid {
    let at = |dx: f64, dy: f64| Point3::new(x + dx, y + dy, -0.5);
    let body =
        Body::Prism { outline: vec![at(0.0, 0.0), at(3.0, 0.5), at(2.5, 2.5), at(-0.5, 2.0)], height: 3.0 };
    let subject = ElementRef::new(Kind::Building, &"shed".into());
    Solid { subject, ordinal: 0, role: Role::Stands, body, material: String::new(), transmittance: 0.0 }
}

fn moments(month: u8) -> Vec<SunMoment> {
    let observer = Observer::new(44.6_f64.to_radians(), (-123.2_f64).to_radians(), 80.0);
    month_moments(&observer, 0.05, 2026, month, 0.75)
}

/// Sloping ground with a hollow, so that rows have different heights.
fn ground(at: groundwright_geometry::Point) -> f64 {
    0.08 * at.x - 0.05 * at.y - 0.4 * (-(at.x * at.x + at.y * at.y) / 8.0).exp()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// On sloping ground the projected map and rays through the index say the same at every point.
    #[test]
    fn maps_agree_with_single_rays(
        trees in prop::collection::vec((-6.0..6.0f64, -6.0..6.0f64, -0.5..2.0f64, 0.3..2.5f64, 0..5usize, 0.0..0.9f64), 0..8),
        at in (-5.0..3.0f64, -5.0..3.0f64), month in 1..=12u8,
    ) {
        let mut solids: Vec<Solid> = trees.iter().map(|t| tree(t.0, t.1, t.2, t.3, t.4, t.5)).collect();
        solids.push(shed(at.0, at.1));
        let bodies = Bodies::of(&solids).0;
        let grid = Grid::over(Rect::new(-7.0, -7.0, 7.0, 7.0), 0.93, ground).unwrap();
        let moments = moments(month);
        let map = day_hours(&grid, &bodies, &moments);
        let scene = Scene::new(bodies);
        let mut worse = 0;
        for i in 0..grid.len() {
            let rays: f64 = moments.iter().map(|m| m.hours * scene.light(grid.place(i), m.direction)).sum();
            // A ray that grazes an edge may fall on either side of it; at most one moment of it.
            if (rays - map.total(i)).abs() > 1e-6 {
                worse += 1;
                prop_assert!((rays - map.total(i)).abs() < 0.76, "{rays} {}", map.total(i));
            }
        }
        prop_assert!(worse <= 2, "{worse} of {} points differ", grid.len());
    }

    /// One tree more never gives more sun anywhere.
    #[test]
    fn more_trees_never_more_sun(
        trees in prop::collection::vec((-6.0..6.0f64, -6.0..6.0f64, 0.0..2.0f64, 0.3..2.5f64, 0..5usize, 0.0..0.9f64), 1..8),
    ) {
        let solids: Vec<Solid> = trees.iter().map(|t| tree(t.0, t.1, t.2, t.3, t.4, t.5)).collect();
        let grid = Grid::over(Rect::new(-7.0, -7.0, 7.0, 7.0), 0.5, |_| 0.0).unwrap();
        let moments = moments(5);
        let with = day_hours(&grid, &Bodies::of(&solids).0, &moments);
        let without = day_hours(&grid, &Bodies::of(&solids[1..]).0, &moments);
        for i in 0..grid.len() {
            prop_assert!(with.total(i) <= without.total(i) + 1e-9);
        }
    }
}

/// A yard mirrored in its north line gives the mirrored map with morning and afternoon exchanged,
/// under a sky that is mirrored too.
#[test]
fn a_mirrored_yard_has_a_mirrored_map() {
    let there = [tree(2.0, 1.0, 0.5, 1.5, 0, 0.2), tree(-3.0, -2.0, 0.0, 1.0, 2, 0.4)];
    let mirrored = [tree(-2.0, 1.0, 0.5, 1.5, 0, 0.2), tree(3.0, -2.0, 0.0, 1.0, 2, 0.4)];
    let grid = Grid::over(Rect::new(-6.0, -6.0, 6.0, 6.0), 0.5, |_| 0.0).unwrap();
    let moments = moments(4);
    let turned: Vec<SunMoment> = moments
        .iter()
        .map(|m| SunMoment { direction: [-m.direction[0], m.direction[1], m.direction[2]], ..*m })
        .collect();
    let a = day_hours(&grid, &Bodies::of(&there).0, &moments);
    let b = day_hours(&grid, &Bodies::of(&mirrored).0, &turned);
    for i in 0..grid.len() {
        let (row, column) = (i / grid.columns, i % grid.columns);
        let j = row * grid.columns + (grid.columns - 1 - column);
        assert!((a.total(i) - b.total(j)).abs() < 1e-9);
    }
}

/// An open yard has the same hours everywhere, as many as the sun is up.
#[test]
fn an_open_yard_has_all_the_sun() {
    let grid = Grid::over(Rect::new(0.0, 0.0, 3.0, 2.0), 0.5, |_| 0.0).unwrap();
    let moments = moments(6);
    let hours = day_hours(&grid, &Bodies::default(), &moments);
    let up: f64 = moments.iter().map(|m| m.hours).sum();
    assert!((15.0..16.0).contains(&up), "{up}");
    assert!((0..grid.len()).all(|i| (hours.total(i) - up).abs() < 1e-12));
    assert!((hours.morning[0] - hours.afternoon[0]).abs() < 0.8);
}

/// Polar night and midnight sun: no moments, and all of them.
#[test]
fn polar_months_have_none_or_all() {
    let north = Observer::new(78.0_f64.to_radians(), 0.3, 0.0);
    assert!(month_moments(&north, 0.0, 2026, 12, 0.5).is_empty());
    assert_eq!(month_moments(&north, 0.0, 2026, 6, 0.5).len(), 48);
    assert!(month_moments(&north, 0.0, 2026, 13, 0.5).is_empty());
    assert!(month_moments(&north, 0.0, 2026, 6, f64::NAN).is_empty());
}

#[test]
fn a_grid_that_is_none_says_why() {
    let yard = Rect::new(0.0, 0.0, 10.0, 10.0);
    assert!(matches!(Grid::over(yard, 0.0, |_| 0.0), Err(GridFault::Empty { .. })));
    assert!(matches!(Grid::over(yard, 0.001, |_| 0.0), Err(GridFault::TooMany(_))));
    assert!(matches!(Grid::over(yard, 1.0, |_| f64::NAN), Err(GridFault::Height(_))));
    let grid = Grid::over(yard, 1.0, |_| 0.0).unwrap();
    assert_eq!(grid.cell(grid.at(37)), Some(37));
    assert_eq!(grid.cell(groundwright_geometry::Point::new(-3.0, 2.0)), None);
}
