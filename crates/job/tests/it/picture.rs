//! Pictures of whole yards: what gives light, what stands where, what cannot be shown.

use groundwright_geometry::Point;
use groundwright_job::{Apart, Shot, ShotFault, View, Weather, ready, usual_view, views};
use groundwright_picture::{Bounces, Film, Pass, Place, luminance, probe, render};

use crate::support::{demo, read, run};

fn shot(view: Option<View>, clock: u16) -> Shot {
    Shot {
        view,
        date: (6, 21),
        clock,
        years: 3.0,
        angle: 1.1,
        round: false,
        size: [48, 27],
        apart: Apart::Zones,
        weather: Weather::Clear,
        windows: 0.0,
        night_glow: 0.01,
        before: false,
    }
}

const NOON: u16 = 13 * 60 + 15;
const NIGHT: u16 = 23 * 60;

#[test]
fn the_demo_by_day_has_sun_and_sky_and_by_night_its_zones() {
    let project = demo("corner-lot").project;
    let outcome = run(&project);
    let view = views(&project, &outcome.yard).into_iter().next();
    let day = ready(&project, &outcome.yard, &shot(view.clone(), NOON)).expect("a picture");
    assert_eq!(day.layers, ["sky", "sun"]);
    assert!(day.scene.lamps().is_empty());
    // Solstice at noon: 90° − 44.6° + 23.4°.
    assert!((day.sun.to_degrees() - 68.8).abs() < 0.5, "{}", day.sun.to_degrees());
    let growing = outcome.yard.plants.len();
    assert!(day.plants.0 >= growing * 9 / 10, "{} of {growing} plants stand", day.plants.0);
    let night = ready(&project, &outcome.yard, &shot(view, NIGHT)).expect("a picture");
    let zones: Vec<String> = project.design.lighting.zones.iter().map(|z| format!("zone {}", z.id)).collect();
    assert_eq!(night.layers[..3], ["sky", "sun", "windows"]);
    let mut found = night.layers[3..].to_vec();
    found.sort();
    let mut expected = zones;
    expected.sort();
    assert_eq!(found, expected);
    let places: usize = outcome.yard.plot.lights.len();
    assert_eq!(night.scene.lamps().len(), places);
    // Each lamp gives the lumens of its fixture, after its losses and as it is dimmed.
    let runs = groundwright_light::placed(&project, &outcome.yard);
    for (lamp, run) in night.scene.lamps().iter().zip(&runs) {
        let expected = run.product.lumens * run.product.loss * run.light.level;
        // A louvre holds some back.
        let share = lamp.lumens() / expected;
        assert!(
            if run.product.cut_off.is_some() { share < 1.001 } else { (share - 1.0).abs() < 0.01 },
            "{share}"
        );
    }
}

/// On open ground direct light agrees with the study of lights, which sums fixtures by itself.
#[test]
fn light_on_the_ground_agrees_with_the_study_of_lights() {
    let project = demo("corner-lot").project;
    let outcome = run(&project);
    let night =
        ready(&project, &outcome.yard, &shot(Some(usual_view(&outcome.yard)), NIGHT)).expect("a picture");
    let runs = groundwright_light::placed(&project, &outcome.yard);
    let mut compared = 0;
    for run in &runs {
        // A step aside from each lamp, where its own housing throws no shadow.
        let at = Point::new(run.at.x + 0.7, run.at.y + 0.4);
        let z = outcome.yard.ground.proposed(at) + 0.02;
        let place = Place { at: glam::DVec3::new(at.x, at.y, z), normal: glam::DVec3::Z };
        let found = probe(&night.scene, &place, 0, 32, 1).direct;
        let open: f64 = runs
            .iter()
            .map(|run| {
                let way = place.at - glam::DVec3::new(run.at.x, run.at.y, run.at.z);
                let candela = run.light.level * run.fixture.full_candela(way.normalize());
                candela * (-way.normalize().z).max(0.0) / way.length_squared()
            })
            .sum();
        // What stands in the way only takes light away.
        assert!(found <= open * 1.02 + 1e-6, "{found} lx of {open} lx");
        compared += usize::from(open > 0.1 && found > 0.97 * open);
    }
    assert!(compared >= 3, "only {compared} places are lit without hindrance");
}

#[test]
fn lights_apart_sum_to_zones_apart() {
    let project = demo("corner-lot").project;
    let outcome = run(&project);
    let view = Some(usual_view(&outcome.yard));
    let mean = |apart| {
        let ready =
            ready(&project, &outcome.yard, &Shot { apart, ..shot(view.clone(), NIGHT) }).expect("a picture");
        let mut film = Film::new(ready.camera.size(), ready.scene.layers());
        render(&ready.scene, &ready.camera, &mut film, Pass { samples: 4, seed: 1 }, Bounces::AtMost(0));
        assert_eq!(ready.layers.len(), film.layers());
        let picture = film.picture(&ready.levels);
        picture.pixels.iter().map(|p| f64::from(luminance(*p))).sum::<f64>()
    };
    let (zones, lights) = (mean(Apart::Zones), mean(Apart::Lights));
    assert!((zones / lights - 1.0).abs() < 0.02, "{zones} and {lights}");
}

#[test]
fn before_shows_what_was_found_and_nothing_of_the_design() {
    let project = demo("corner-lot").project;
    let outcome = run(&project);
    let view = views(&project, &outcome.yard).into_iter().next();
    let before =
        ready(&project, &outcome.yard, &Shot { before: true, ..shot(view, NOON) }).expect("a picture");
    let found: usize =
        project.property.shrubs.iter().map(|s| s.count).sum::<usize>() + project.property.trees.len();
    assert!(before.plants.0 <= found && before.plants.0 > found / 2, "{} of {found} stand", before.plants.0);
}

const HOUSE: &str = r#"format = 1
units = "m"
name = "picture"
[place]
latitude = "45 deg"
longitude = "0 deg"
time_zone = "UTC"
[boundary]
outline = [[0, 0], [30, 0], [30, 30], [0, 30]]
known = "pins"
[[building]]
id = "house"
outline = [[10, 10], [20, 10], [20, 20], [10, 20]]
[[viewpoint]]
id = "window"
role = "window"
at = [15, 10.4]
looking = [15, 2]
eye = "1.6 m"
[[viewpoint]]
id = "closet"
role = "window"
at = [15, 15]
looking = [15.5, 15.5]
eye = "1.6 m"
"#;

#[test]
fn an_eye_at_a_window_looks_out_of_it_and_one_in_a_closet_is_refused() {
    let project = read(HOUSE, "format = 1\n");
    let outcome = run(&project);
    let all = views(&project, &outcome.yard);
    let view =
        |id: &str| all.iter().find(|v| v.element.as_ref().is_some_and(|e| e.id.as_str() == id)).cloned();
    let window = ready(&project, &outcome.yard, &shot(view("window"), NOON)).expect("a picture");
    assert!(window.camera.eye().y < 10.0, "{}", window.camera.eye());
    let closet = ready(&project, &outcome.yard, &shot(view("closet"), NOON)).err().expect("a fault");
    assert!(matches!(closet, ShotFault::Inside { .. }), "{closet}");
    assert!(closet.to_string().contains("stands inside building `house`"), "{closet}");
}

#[test]
fn what_cannot_be_shown_is_said() {
    let project = read(HOUSE, "format = 1\n");
    let outcome = run(&project);
    let view = Some(usual_view(&outcome.yard));
    let fault =
        |shot: &Shot| ready(&project, &outcome.yard, shot).err().map(|e| e.to_string()).unwrap_or_default();
    let dark = Shot { night_glow: 0.0, date: (12, 21), ..shot(view.clone(), 0) };
    assert!(fault(&dark).starts_with("nothing gives light"), "{}", fault(&dark));
    let never = Shot { date: (2, 30), ..shot(view.clone(), NOON) };
    assert_eq!(fault(&never), "there is no day 30 of month 2");
    let wide = Shot { angle: 4.0, ..shot(view.clone(), NOON) };
    assert!(fault(&wide).contains("expected an angle above 0 and below 177°"), "{}", fault(&wide));
    // Windows that are lit are light enough.
    let lit = Shot { night_glow: 0.0, windows: 10.0, date: (12, 21), ..shot(view, 0) };
    assert_eq!(fault(&lit), "");
}

/// At noon in summer level ground in the open receives the handbook's sun and sky (see the tests of
/// `groundwright-picture`), north of the house none of the sun at the winter solstice.
#[test]
fn the_house_throws_its_shadow_to_the_north() {
    let project = read(HOUSE, "format = 1\n");
    let outcome = run(&project);
    let winter = Shot { date: (12, 21), ..shot(Some(usual_view(&outcome.yard)), 12 * 60) };
    let ready = ready(&project, &outcome.yard, &winter).expect("a picture");
    let sun = |x: f64, y: f64| {
        let place = Place { at: glam::DVec3::new(x, y, 0.02), normal: glam::DVec3::Z };
        probe(&ready.scene, &place, 0, 256, 1).direct
    };
    assert!(sun(15.0, 4.0) > 5_000.0, "{}", sun(15.0, 4.0));
    assert!(sun(15.0, 21.5) < 1.0, "{}", sun(15.0, 21.5));
}
