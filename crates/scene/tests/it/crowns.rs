//! Crowns against solid geometry.

use groundwright_geometry::Point3;
use groundwright_handoff::CrownForm;
use groundwright_plan::stock::{Foliage, Habit};
use groundwright_scene::{Crown, LeafSeason, day_of_year, form_of, transmittance};
use proptest::prelude::*;
use std::f64::consts::PI;

const FORMS: [CrownForm; 5] =
    [CrownForm::Ellipsoid, CrownForm::Dome, CrownForm::Cone, CrownForm::Cylinder, CrownForm::Vase];

fn crown(form: CrownForm, radius: f64, height: f64) -> Crown {
    Crown::new(form, Point3::new(0.0, 0.0, 0.0), radius, height, 0.2).unwrap()
}

/// Volumes and surfaces of sphere, hemisphere with its disc, cone, cylinder, paraboloid with its
/// disc: the formulas of any table of solids, at r = 2 m and h = 3 m (sphere h = 4 m, hemisphere 2 m).
#[test]
fn volumes_and_surfaces_are_those_of_the_tables() {
    let slant = (4.0f64 + 9.0).sqrt();
    let bowl = PI * 2.0 / (6.0 * 9.0) * ((4.0f64 + 4.0 * 9.0).powf(1.5) - 8.0) + PI * 4.0;
    for (form, height, volume, surface) in [
        (CrownForm::Ellipsoid, 4.0, 4.0 / 3.0 * PI * 8.0, 4.0 * PI * 4.0),
        (CrownForm::Dome, 2.0, 2.0 / 3.0 * PI * 8.0, 3.0 * PI * 4.0),
        (CrownForm::Cone, 3.0, PI * 4.0, PI * 2.0 * slant + PI * 4.0),
        (CrownForm::Cylinder, 3.0, PI * 12.0, PI * 12.0 + 2.0 * PI * 4.0),
        (CrownForm::Vase, 3.0, PI * 6.0, bowl),
    ] {
        let crown = crown(form, 2.0, height);
        assert!((crown.volume() - volume).abs() < 1e-9 * volume, "{form:?}");
        assert!(
            (crown.surface() - surface).abs() < 1e-5 * surface,
            "{form:?}: {} {surface}",
            crown.surface()
        );
    }
}

/// The mean chord of a ball is 4/3 of its radius (Cauchy), and along it the stated share passes.
#[test]
fn the_stated_share_passes_along_the_mean_chord() {
    let ball = crown(CrownForm::Ellipsoid, 1.5, 3.0);
    assert!((ball.mean_chord() - 2.0).abs() < 1e-6);
    assert!(((-ball.extinction * 2.0).exp() - 0.2).abs() < 1e-6);
    let through_middle = ball.chord(Point3::new(0.0, 0.0, -5.0), [0.0, 0.0, 1.0]);
    assert!((through_middle - 3.0).abs() < 1e-12);
    let from_inside = ball.chord(Point3::new(0.0, 0.0, 1.5), [0.0, 0.0, 1.0]);
    assert!((from_inside - 1.5).abs() < 1e-12);
    assert_eq!(ball.chord(Point3::new(0.0, 0.0, 5.0), [0.0, 0.0, 1.0]), 0.0);
}

proptest! {
    /// The chord is the length of the ray on which points lie inside, found by walking it.
    #[test]
    fn chords_agree_with_a_walk_along_the_ray(
        form in 0..5usize, radius in 0.3..3.0f64, height in 0.3..6.0f64,
        at in (-4.0..4.0f64, -4.0..4.0f64, -2.0..5.0f64), to in (-1.0..1.0f64, -1.0..1.0f64, -1.0..1.0f64),
    ) {
        let length = (to.0 * to.0 + to.1 * to.1 + to.2 * to.2).sqrt();
        prop_assume!(length > 0.1);
        let d = [to.0 / length, to.1 / length, to.2 / length];
        let crown = crown(FORMS[form], radius, height);
        let [a, b, c] = crown.profile;
        let (n, step) = (24_000, 0.001);
        let inside = (0..n).filter(|i| {
            let t = (f64::from(*i) + 0.5) * step;
            let (x, y, z) = (at.0 + t * d[0], at.1 + t * d[1], at.2 + t * d[2]);
            (0.0..=height).contains(&z) && x * x + y * y <= a + b * z + c * z * z
        }).count();
        let walked = inside as f64 * step;
        let chord = crown.chord(Point3::new(at.0, at.1, at.2), d);
        prop_assert!((chord - walked).abs() < 0.003, "{:?} {chord} {walked}", FORMS[form]);
    }
}

/// More light passes in winter, less the more leaves stay; herbs are gone. South of the equator the
/// year is turned round.
#[test]
fn leaves_come_and_go() {
    let season = LeafSeason::TEMPERATE;
    let (winter, summer) =
        (season.in_leaf(day_of_year(1, 15), false), season.in_leaf(day_of_year(7, 15), false));
    assert_eq!((winter, summer), (0.0, 1.0));
    assert_eq!(season.in_leaf(day_of_year(7, 15), true), 0.0);
    let shares = [Foliage::Evergreen, Foliage::SemiEvergreen, Foliage::Deciduous]
        .map(|foliage| transmittance(Some(foliage), winter).unwrap());
    assert!(shares[0] < shares[1] && shares[1] < shares[2], "{shares:?}");
    assert_eq!(transmittance(Some(Foliage::Herbaceous), winter), None);
    assert_eq!(transmittance(Some(Foliage::Deciduous), summer), transmittance(None, summer));
    assert_eq!(form_of(Some(Habit::Conical)), CrownForm::Cone);
}

#[test]
fn a_crown_without_size_is_refused() {
    let at = Point3::new(0.0, 0.0, 0.0);
    for (radius, height, share) in [(0.0, 1.0, 0.2), (1.0, f64::NAN, 0.2), (1.0, 1.0, 1.2), (1.0, 1.0, -0.1)]
    {
        assert!(Crown::new(CrownForm::Cone, at, radius, height, share).is_err());
    }
}
