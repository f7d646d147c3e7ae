//! Closed rooms and area sources, whose light is known without sampling.

use std::f32::consts::PI as PI32;
use std::f64::consts::PI;

use glam::{DVec3, Vec3A};
use groundwright_picture::{
    Bounces, Camera, Film, Lens, Material, Pass, Place, Round, Scene, SceneParts, WHITE, probe, render,
};

use crate::scenes::{bare_lamp, cube, of_triangles, quad};

fn sphere(radius: f64, material: Material, lamp: Option<f32>) -> Scene {
    let parts = SceneParts {
        rounds: vec![(Round::Ellipsoid { centre: DVec3::ZERO, radii: DVec3::splat(radius) }, 0)],
        materials: vec![material],
        lamps: lamp.map(|candela| bare_lamp(DVec3::ZERO, candela, 0)).into_iter().collect(),
        ..SceneParts::default()
    };
    Scene::new(parts).expect("a scene")
}

/// Sphere with a source at its centre: direct Φ / 4πR²; each bounce is the reflectance times the one
/// before. Closed form (any text on integrating spheres).
#[test]
fn in_a_sphere_every_bounce_is_the_reflectance_times_the_last() {
    for (lumens, radius, reflectance) in
        [(1000.0, 1.0, 0.5f32), (1000.0, 1.0, 0.8), (800.0, 2.5, 0.2), (314.159, 1.5, 0.9)]
    {
        let scene = sphere(radius, Material::grey(reflectance), Some((lumens / (4.0 * PI)) as f32));
        let place = Place { at: DVec3::new(radius, 0.0, 0.0), normal: DVec3::NEG_X };
        let found = probe(&scene, &place, 8, 20_000, 1);
        let direct = lumens / (4.0 * PI * radius * radius);
        assert!((found.direct / direct - 1.0).abs() < 1e-5, "{} for {direct}", found.direct);
        let mut expected = 0.0;
        for (i, after) in (1..).zip(&found.bounced) {
            expected += direct * f64::from(reflectance).powi(i);
            let slack = 4.0 * after.standard_error + 1e-4 * expected;
            assert!((after.lux - expected).abs() < slack, "bounce {i}: {after:?} for {expected}");
        }
    }
}

fn seen(scene: &Scene, samples: u32, bounces: Bounces) -> f64 {
    let camera = Camera::new(
        DVec3::new(0.1, 0.2, 0.0),
        DVec3::new(1.0, 0.3, 0.1),
        DVec3::Z,
        Lens::Flat(1.5),
        [24, 16],
    )
    .expect("a camera");
    let mut film = Film::new([24, 16], scene.layers());
    render(scene, &camera, &mut film, Pass { samples, seed: 5 }, bounces);
    film.picture(&[]).luminance().map(f64::from).sum::<f64>() / f64::from(24 * 16)
}

/// Furnace: where all gives off Le and throws back ρ, all is seen at Le / (1 − ρ).
#[test]
fn a_furnace_is_even_for_round_bodies_and_for_lit_faces() {
    for (reflectance, emitted, expected) in [(0.5, 1.0, 2.0), (0.8, 1.0, 5.0), (0.2, 20.0, 25.0)] {
        let material = Material::grey(reflectance).lit(WHITE * emitted, 0);
        let round = seen(&sphere(2.0, material, None), 64, Bounces::All);
        assert!((round / expected - 1.0).abs() < 0.01, "sphere, {reflectance}: {round} for {expected}");
        let faces = seen(&of_triangles(&cube(4.0, 0), vec![material], vec![]), 64, Bounces::All);
        assert!((faces / expected - 1.0).abs() < 0.01, "cube, {reflectance}: {faces} for {expected}");
    }
}

/// In an even room a leaf that loses nothing cannot be seen, whichever way it sends the light.
#[test]
fn a_leaf_that_loses_nothing_is_invisible_in_an_even_room() {
    for passed in [0.0, 0.3, 1.0] {
        let mut triangles = cube(6.0, 0);
        triangles.extend(quad(Vec3A::new(1.0, -1.0, -1.0), Vec3A::Y * 2.0, Vec3A::Z * 2.0, 1));
        let walls = Material::grey(0.0).lit(WHITE, 0);
        let leaf = Material::leaf(WHITE * (1.0 - passed), WHITE * passed);
        let mean = seen(&of_triangles(&triangles, vec![walls, leaf], vec![]), 64, Bounces::All);
        assert!((mean - 1.0).abs() < 0.01, "{passed} passed: {mean}");
    }
}

/// Any closed room of surface S: mean illuminance Φ / (S (1 − ρ)). Cube of 4 m, 10 klm, ρ = 0.5: direct
/// 104.1667 lx, first bounce 52.0833 lx, in all 208.3333 lx.
#[test]
fn in_a_cube_the_mean_illuminance_is_flux_over_surface() {
    let lamp = bare_lamp(DVec3::ZERO, (10_000.0 / (4.0 * PI)) as f32, 0);
    let scene = of_triangles(&cube(4.0, 0), vec![Material::grey(0.5)], vec![lamp]);
    let n = 12;
    let (mut direct, mut bounced) = (0.0, [0.0; 8]);
    for i in 0..n {
        for j in 0..n {
            let along = |k: i32| -2.0 + 4.0 * (f64::from(k) + 0.5) / f64::from(n);
            let place = Place { at: DVec3::new(along(i), along(j), -2.0), normal: DVec3::Z };
            let found = probe(&scene, &place, 8, 1024, 3);
            direct += found.direct / f64::from(n * n);
            for (sum, after) in bounced.iter_mut().zip(&found.bounced) {
                *sum += after.lux / f64::from(n * n);
            }
        }
    }
    assert!((direct / 104.1667 - 1.0).abs() < 0.005, "{direct}");
    assert!((bounced[0] / 52.0833 - 1.0).abs() < 0.01, "{bounced:?}");
    let eight = 104.1667 * (1.0 - 0.5f64.powi(8));
    assert!((bounced[7] / eight - 1.0).abs() < 0.01, "{bounced:?} for {eight}");
}

/// Rectangle of even luminance over a level place: configuration factors (tables of any handbook of
/// radiative transfer), worked out in closed form to seven figures.
#[test]
fn area_sources_give_what_their_configuration_factors_say() {
    for (luminance, a, b, height, point, expected) in [
        (1000.0, 1.0, 1.0, 2.0, [0.5, 0.5], 230.836_798),
        (1000.0, 1.0, 1.0, 2.0, [0.0, 0.0], 188.068_672),
        (5000.0, 0.6, 0.2, 0.5, [0.3, 0.1], 1_916.813_429),
        (5000.0, 0.6, 0.2, 0.5, [1.2, 0.1], 161.911_352),
        (200.0, 3.0, 1.5, 2.5, [-1.0, 2.0], 32.845_662),
    ] {
        let source = quad(Vec3A::new(0.0, 0.0, height), Vec3A::X * a, Vec3A::Y * b, 0);
        let scene = of_triangles(&source, vec![Material::grey(0.0).lit(WHITE * luminance, 0)], vec![]);
        let place = Place { at: DVec3::new(point[0], point[1], 0.0), normal: DVec3::Z };
        let found = probe(&scene, &place, 1, 200_000, 1).glow;
        let slack = 4.0 * found.standard_error + 2e-4 * expected;
        assert!((found.lux - expected).abs() < slack, "{found:?} for {expected}");
        assert!(found.standard_error < 0.01 * expected, "{found:?}");
    }
}

/// A lit upright patch 1.3 m high and 0.7 m wide at 0.9 m: C = 0.06745089 (closed form). Lit to 200 lx
/// with a reflectance of 0.6 it sends 0.6 · 200 · C = 8.0941 lx to the level place before it.
#[test]
fn light_thrown_back_by_a_wall_reaches_the_ground_before_it() {
    let luminance = 0.6 * 200.0 / PI32;
    let patch = quad(Vec3A::new(0.0, 0.9, 0.0), Vec3A::X * 0.7, Vec3A::Z * 1.3, 0);
    let scene = of_triangles(&patch, vec![Material::grey(0.6).lit(WHITE * luminance, 0)], vec![]);
    let found = probe(&scene, &Place { at: DVec3::ZERO, normal: DVec3::Z }, 0, 200_000, 1).glow;
    assert!((found.lux - 8.0941).abs() < 4.0 * found.standard_error + 2e-3, "{found:?}");
}

/// Inverse square and cosine, E = I cos i / d² (rows of any lighting handbook, in closed form).
#[test]
fn a_point_lamp_falls_off_with_the_square_of_the_distance() {
    for (candela, distance, incidence_deg, expected) in [
        (1000.0, 2.0, 0.0f64, 250.0),
        (1000.0, 2.0, 60.0, 125.0),
        (450.0, 3.048, 0.0, 48.437_597),
        (2500.0, 7.5, 35.0, 36.406_758),
        (120.0, 0.9, 72.0, 45.780_295),
    ] {
        let away = incidence_deg.to_radians();
        let at = DVec3::new(away.sin(), 0.0, away.cos()) * distance;
        let parts = SceneParts { lamps: vec![bare_lamp(at, candela, 0)], ..SceneParts::default() };
        let scene = Scene::new(parts).expect("a scene");
        let found = probe(&scene, &Place { at: DVec3::ZERO, normal: DVec3::Z }, 0, 32, 1);
        assert!((found.direct / expected - 1.0).abs() < 1e-5, "{} for {expected}", found.direct);
    }
}

/// A table of one column and a grid of the same light give the same flux: 4π I for one that is even.
#[test]
fn lumens_follow_from_the_table() {
    let lamp = bare_lamp(DVec3::ZERO, 10.0, 0);
    assert!((lamp.lumens() / (40.0 * PI) - 1.0).abs() < 1e-4, "{}", lamp.lumens());
}
