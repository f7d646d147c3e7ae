//! Sun, sky and colour against printed figures.

use glam::{DVec3, Vec3A};
use groundwright_picture::{
    Heaven, Place, Scene, SceneParts, Sky, SkyFault, Sun, luminance, of_temperature, probe, to_srgb,
};

fn at_height(degrees: f64) -> Vec3A {
    let height = degrees.to_radians();
    Vec3A::new(0.0, -height.cos() as f32, height.sin() as f32)
}

fn level(heaven: &Heaven) -> (f64, f64) {
    let scene = Scene::new(SceneParts { heaven: *heaven, ..SceneParts::default() }).expect("a scene");
    let found = probe(&scene, &Place { at: DVec3::ZERO, normal: DVec3::Z }, 0, 40_000, 1);
    (found.direct, found.glow.lux)
}

#[test]
fn even_and_overcast_skies_give_the_illuminance_that_they_are_told() {
    for sky in [Sky::even(3.4, of_temperature(8000.0)), Sky::overcast(10_000.0)] {
        let expected = if matches!(sky, Sky::Even(_)) { 3.4 } else { 10_000.0 };
        let (_, lux) = level(&Heaven { sky: Some((sky, 0)), sun: None });
        assert!((lux / expected - 1.0).abs() < 2e-3, "{lux} for {expected}");
    }
    // Overcast: the zenith has three times the horizon's luminance (ISO 15469, traditional form).
    let sky = Sky::overcast(1000.0);
    let (up, low) = (luminance(sky.luminance(Vec3A::Z)), luminance(sky.luminance(at_height(0.01))));
    assert!((up / low - 3.0).abs() < 0.01, "{up} over {low}");
}

/// Clear sky alone, by the handbook of the Illuminating Engineering Society: 800 + 15500 √sin h lx on
/// level ground (form and numbers from memory).
#[test]
fn a_clear_sky_gives_what_the_handbook_says() {
    for height in [20.0, 40.0, 60.0] {
        let sky = Sky::clear(at_height(height), 2.5).expect("a sky");
        let (_, lux) = level(&Heaven { sky: Some((sky, 0)), sun: None });
        let handbook = 800.0 + 15_500.0 * height.to_radians().sin().sqrt();
        assert!((lux / handbook - 1.0).abs() < 0.01, "{height}°: {lux} for {handbook}");
    }
}

/// Sun square to itself: 127.5 klx exp(−0.21 / sin h); 100 klx high up, a third of it at ten degrees.
#[test]
fn the_sun_gives_what_the_clear_air_passes_and_reddens_low() {
    for height in [10.0f64, 30.0, 60.0] {
        let sun = Sun::clear(at_height(height), 2.5, 0).expect("a sun");
        let sine = height.to_radians().sin();
        let expected = 127_500.0 * (-0.21 / sine).exp() * sine;
        let (lux, _) = level(&Heaven { sky: None, sun: Some(sun) });
        assert!((lux / expected - 1.0).abs() < 2e-3, "{height}°: {lux} for {expected}");
    }
    let red_over_blue = |height| {
        let colour = Sun::clear(at_height(height), 2.5, 0).expect("a sun").illuminance;
        colour.x / colour.z
    };
    assert!(red_over_blue(5.0) > 1.5 * red_over_blue(60.0));
}

#[test]
fn a_blue_zenith_stands_over_a_bright_side() {
    let sun = at_height(35.0);
    let sky = Sky::clear(sun, 2.5).expect("a sky");
    let zenith = sky.luminance(Vec3A::Z);
    assert!(zenith.z > 1.3 * zenith.x, "the zenith is blue: {zenith}");
    let (towards, away) = (sky.luminance(at_height(30.0)), sky.luminance(Vec3A::new(0.0, 0.866, 0.5)));
    assert!(luminance(towards) > 2.0 * luminance(away), "{towards} against {away}");
    assert_eq!(sky.luminance(Vec3A::NEG_Z), Vec3A::ZERO);
    assert_eq!(
        Sky::clear(at_height(-3.0), 2.5).expect_err("the sun is down").to_string(),
        "the sun stands at -3.0°; a clear sky by day needs it above the horizon"
    );
    assert_eq!(Sky::clear(sun, 40.0).err(), Some(SkyFault::Turbidity(40.0)));
}

#[test]
fn twilight_falls_through_its_named_ends() {
    for (height, lux) in [(0.0, 400.0), (-6.0, 3.4), (-12.0, 0.008), (-30.0, 0.0006)] {
        assert!((Heaven::twilight(height) / lux - 1.0).abs() < 1e-9, "{height}");
    }
    assert!(Heaven::twilight(-3.0) < Heaven::twilight(-2.0));
}

/// CIE 15: illuminant A, a black body of 2,856 K, has x = 0.44757, y = 0.40745.
#[test]
fn the_colour_of_a_black_body_is_that_of_the_standard_lamp() {
    let colour = of_temperature(2856.0);
    assert!((luminance(colour) - 1.0).abs() < 1e-5);
    let (r, g, b) = (f64::from(colour.x), f64::from(colour.y), f64::from(colour.z));
    // IEC 61966-2-1: linear sRGB to XYZ.
    let x = 0.4124 * r + 0.3576 * g + 0.1805 * b;
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let z = 0.0193 * r + 0.1192 * g + 0.9505 * b;
    assert!((x / (x + y + z) - 0.447_57).abs() < 2e-3, "x {}", x / (x + y + z));
    assert!((y / (x + y + z) - 0.407_45).abs() < 2e-3, "y {}", y / (x + y + z));
    // A display's white has about 6,504 K.
    let white = of_temperature(6504.0);
    assert!((white - Vec3A::ONE).abs().max_element() < 0.05, "{white}");
}

/// IEC 61966-2-1: 128 of 255 is 0.21586 of the light.
#[test]
fn a_display_gets_encoded_light() {
    assert_eq!([0.0, 0.215_86, 1.0, 7.0].map(to_srgb), [0, 128, 255, 255]);
}
