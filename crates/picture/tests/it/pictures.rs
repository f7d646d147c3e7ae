//! What a picture promises: layers sum, threads do not matter, smoothing is linear, going on is going on.

use glam::{DVec3, Vec3A};
use groundwright_picture::{
    Bounces, Camera, Film, Heaven, Lens, Material, Pass, Pattern, Picture, Scene, SceneParts, Sky, Tone,
    WHITE, display, luminance, render, smoothed,
};

use crate::scenes::{bare_lamp, cube, of_triangles, quad};

/// A patterned floor, a block and a pane under three lamps and a faint sky, each on its layer.
fn yard() -> (Scene, Camera) {
    let mut triangles = cube(1.0, 1);
    triangles.extend(quad(Vec3A::new(-8.0, -8.0, -0.5), Vec3A::X * 16.0, Vec3A::Y * 16.0, 0));
    triangles.extend(quad(Vec3A::new(1.5, 0.0, -0.5), Vec3A::Y * 1.5, Vec3A::Z * 1.5, 2));
    let pavers = Pattern::Pavers { length: 0.4, width: 0.2, joint: 0.01 };
    let pane = Material { smooth: true, ..Material::grey(0.02) };
    let materials = vec![Material::grey(0.3).with(pavers), Material::grey(0.6), pane];
    let lamps = [[-2.0, 1.0, 0.2], [0.5, -2.0, 1.5], [3.0, 2.5, 0.8]]
        .into_iter()
        .enumerate()
        .map(|(i, at)| bare_lamp(DVec3::from_array(at), 40.0, i as u16))
        .collect();
    let parts = SceneParts {
        meshes: vec![std::sync::Arc::new(groundwright_picture::Mesh::new(&triangles).expect("a mesh"))],
        instances: vec![groundwright_picture::Instance::as_is(0)],
        materials,
        lamps,
        heaven: Heaven { sky: Some((Sky::even(0.3, WHITE), 3)), sun: None },
        ..SceneParts::default()
    };
    let eye = DVec3::new(-4.0, -5.0, 1.6);
    let camera =
        Camera::new(eye, DVec3::new(0.5, 0.5, 0.0), DVec3::Z, Lens::Flat(1.0), [64, 40]).expect("a camera");
    (Scene::new(parts).expect("a scene"), camera)
}

fn shot(samples: &[u32]) -> Film {
    let (scene, camera) = yard();
    let mut film = Film::new(camera.size(), scene.layers());
    for samples in samples {
        render(&scene, &camera, &mut film, Pass { samples: *samples, seed: 11 }, Bounces::All);
    }
    film
}

fn furthest(a: &Picture, b: &Picture) -> f32 {
    let apart = a.pixels.iter().zip(&b.pixels).map(|(a, b)| (*a - *b).abs().max_element());
    apart.fold(0.0, f32::max)
}

fn sum_of_layers(film: &Film) -> Picture {
    let mut whole = film.layer(0);
    for layer in 1..film.layers() {
        for (sum, pixel) in whole.pixels.iter_mut().zip(film.layer(layer).pixels) {
            *sum += pixel;
        }
    }
    whole
}

#[test]
fn layers_sum_to_the_picture_and_each_lights_something() {
    let film = shot(&[8]);
    assert_eq!(film.layers(), 4);
    let whole = film.picture(&[]);
    let most = whole.luminance().fold(0.0, f32::max);
    assert!(furthest(&whole, &sum_of_layers(&film)) < 1e-5 * most);
    for layer in 0..4 {
        assert!(film.layer(layer).luminance().sum::<f32>() > 0.0, "layer {layer} is dark");
    }
    // Half of the first, none of the second.
    let dimmed = film.picture(&[0.5, 0.0, 1.0, 1.0]);
    let [first, second] = [0, 1].map(|layer| film.layer(layer));
    for (i, pixel) in dimmed.pixels.iter().enumerate() {
        let expected = whole.pixels[i] - first.pixels[i] * 0.5 - second.pixels[i];
        assert!((*pixel - expected).abs().max_element() < 1e-4 * most, "pixel {i}");
    }
}

#[test]
fn smoothing_is_linear_and_takes_noise_away() {
    let film = shot(&[8]);
    let smooth = smoothed(&film, 4);
    let whole = smooth.picture(&[]);
    let most = whole.luminance().fold(0.0, f32::max);
    assert!(furthest(&whole, &sum_of_layers(&smooth)) < 1e-5 * most);
    let long = shot(&[1024]).picture(&[]);
    let error = |picture: &Picture| -> f64 {
        let square = |(a, b): (f32, f32)| f64::from(a - b).powi(2);
        (picture.luminance().zip(long.luminance()).map(square).sum::<f64>() / (64.0 * 40.0)).sqrt()
    };
    let (before, after) = (error(&film.picture(&[])), error(&whole));
    assert!(after < before, "smoothed {after}, before {before}");
    assert_eq!(smoothed(&film, 0), film);
}

#[test]
fn the_count_of_threads_does_not_matter() {
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| shot(&[4]))
    };
    assert_eq!(with(1), with(3));
}

#[test]
fn going_on_is_the_same_as_not_having_stopped() {
    let (at_once, in_parts) = (shot(&[12]), shot(&[4, 5, 3]));
    assert_eq!(at_once, in_parts);
    let [sharp, soft] = in_parts.sums().map(<[f32]>::to_vec);
    let features = in_parts.features().to_vec();
    let again = Film::from_sums(in_parts.size(), 4, 12, [sharp.clone(), soft], features.clone());
    assert_eq!(again.as_ref(), Some(&at_once));
    assert_eq!(Film::from_sums(in_parts.size(), 3, 12, [sharp.clone(), sharp], features), None);
}

/// Unbiased: the mean of many short pictures is the long one, whatever the guide and roulette do.
#[test]
fn roulette_and_guide_leave_the_mean_alone() {
    let (scene, camera) = yard();
    let mean = |bounces| {
        let mut film = Film::new(camera.size(), scene.layers());
        render(&scene, &camera, &mut film, Pass { samples: 256, seed: 2 }, bounces);
        film.picture(&[]).luminance().map(f64::from).sum::<f64>()
    };
    let (long, roulette) = (mean(Bounces::AtMost(40)), mean(Bounces::All));
    assert!((roulette / long - 1.0).abs() < 2e-3, "{roulette} for {long}");
}

#[test]
fn a_pane_mirrors_what_stands_before_it() {
    // A lit face behind the eye, a black pane before it: four per cent come back (index 1.5).
    let mut triangles = quad(Vec3A::new(-9.0, -2.0, -9.0), Vec3A::X * 18.0, Vec3A::Z * 18.0, 0).to_vec();
    triangles.extend(quad(Vec3A::new(-1.0, 2.0, -1.0), Vec3A::X * 2.0, Vec3A::Z * 2.0, 1));
    let lit = Material::grey(0.0).lit(WHITE * 100.0, 0);
    let pane = Material { smooth: true, ..Material::grey(0.0) };
    let scene = of_triangles(&triangles, vec![lit, pane], vec![]);
    let camera = Camera::new(DVec3::ZERO, DVec3::Y, DVec3::Z, Lens::Flat(0.05), [4, 4]).expect("a camera");
    let mut film = Film::new([4, 4], 1);
    render(&scene, &camera, &mut film, Pass { samples: 4, seed: 1 }, Bounces::AtMost(1));
    for seen in film.picture(&[]).luminance() {
        assert!((seen - 4.0).abs() < 0.01, "{seen}");
    }
}

#[test]
fn a_display_shows_a_night_dark_and_its_lamps_white() {
    let picture = shot(&[16]).picture(&[]);
    let tone = Tone::adapted(&picture, WHITE, 1.0);
    let shown = display(&picture, &tone);
    assert_eq!(shown.len(), 64 * 40 * 3);
    let brightest =
        picture.pixels.iter().max_by(|a, b| luminance(**a).total_cmp(&luminance(**b))).expect("pixels");
    assert!(luminance(tone.shown(*brightest)) > 0.7);
    let mean = shown.iter().map(|v| f64::from(*v)).sum::<f64>() / shown.len() as f64;
    assert!((10.0..150.0).contains(&mean), "{mean}");
    assert_eq!(tone.shown(Vec3A::ZERO), Vec3A::ZERO);
    // Brighter never shows darker.
    let steps: Vec<f32> = (0..60).map(|i| luminance(tone.shown(WHITE * 1.2f32.powi(i - 30)))).collect();
    assert!(steps.windows(2).all(|pair| pair[0] <= pair[1] + 1e-6), "{steps:?}");
}

#[test]
fn a_place_is_seen_where_its_ray_goes() {
    for lens in [Lens::Flat(1.2), Lens::Round(4.0), Lens::Plan(12.0)] {
        let (eye, to) = (DVec3::new(1.0, -6.0, 2.0), DVec3::new(0.0, 1.0, 1.5));
        let camera = Camera::new(eye, to, DVec3::Z, lens, [200, 120]).expect("a camera");
        let [x, y, _] = camera.seen(to).expect("in view");
        assert!((x - 100.0).abs() < 1e-4 && (y - 60.0).abs() < 1e-4, "{lens:?}: {x} {y}");
    }
    let camera = Camera::new(DVec3::ZERO, DVec3::Y, DVec3::Z, Lens::Flat(1.0), [200, 120]).expect("a camera");
    assert_eq!(camera.seen(DVec3::NEG_Y), None);
    // At ten metres, tan(0.5 rad) · 10 m to the right lies on the right edge.
    let [x, y, along] = camera.seen(DVec3::new(10.0 * 0.5f64.tan(), 10.0, 0.0)).expect("in view");
    assert!((x - 200.0).abs() < 1e-4 && (y - 60.0).abs() < 1e-4 && (along - 10.0).abs() < 1e-9);
}
