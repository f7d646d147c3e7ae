//! Illuminance: closed forms, a scene with shadows, laws.

use std::sync::Arc;

use glam::DVec3;
use groundwright_geometry::Point3;
use groundwright_light::area_source::{
    disc, discs_coaxial, rectangle_illuminance, rectangle_parallel, rectangle_perpendicular,
    rectangles_parallel, rectangles_perpendicular,
};
use groundwright_light::graze::{downlight, graze, pool_diameter};
use groundwright_light::illuminance::{
    FOOTCANDLE, FOOTLAMBERT, Sample, along_path, contributions, diffuse_luminance, grid, inverse_square,
    uniformity,
};
use groundwright_light::{Beam, Distribution, Fixture, NotUsable, Shape, ies};
use proptest::prelude::*;
use serde_json::Value;

/// Sources: `tests/data/README.md`. Good to 1e-5 of the value, or half of the last digit printed.
const CASES: &str = include_str!("../data/lighting_photometry.json");
const SCENE: &str = include_str!("../data/lighting_scene_a.json");
const SCENE_EXPECTED: &str = include_str!("../data/lighting_scene_a_expected.json");

fn cases(key: &str) -> Vec<Value> {
    let all: Value = serde_json::from_str(CASES).unwrap();
    all[key].as_array().unwrap().clone()
}

fn close(ours: f64, value: &Value, what: &Value) {
    let printed = value.as_f64().unwrap();
    let text = value.to_string();
    let decimals = text.split_once('.').map_or(0, |(_, digits)| digits.len());
    let half = 0.5001 * 0.1f64.powf(decimals as f64);
    let tolerance = (1e-5 * printed.abs()).max(half.min(1e-6));
    assert!((ours - printed).abs() <= tolerance, "{ours} and {printed}: {what}");
}

fn get(case: &Value, key: &str) -> f64 {
    case[key].as_f64().unwrap()
}

#[test]
fn point_sources_and_diffuse_surfaces() {
    for case in cases("inverse_square") {
        let lux =
            inverse_square(get(&case, "I_cd"), get(&case, "d_m"), get(&case, "incidence_deg").to_radians());
        close(lux.unwrap(), &case["lux"], &case);
        close(lux.unwrap() / FOOTCANDLE, &case["fc"], &case);
    }
    for case in cases("diffuse") {
        let luminance = diffuse_luminance(get(&case, "rho"), get(&case, "lux")).unwrap();
        close(luminance, &case["cd_per_m2"], &case);
        close(luminance / FOOTLAMBERT, &case["footlambert"], &case);
    }
    assert!(inverse_square(100.0, 0.0, 0.0).is_err());
    assert!(diffuse_luminance(1.2, 10.0).is_err());
}

/// The closed form, and the same wall as a general plane with an aimed fixture.
#[test]
fn grazing_light_by_both_ways() {
    for case in cases("graze") {
        let shape = match case["beam"].as_str().unwrap() {
            "gaussian" => Shape::Gaussian,
            "cospower" => Shape::CosinePower,
            _ => Shape::Cone,
        };
        let beam = Beam::of_peak(shape, get(&case, "beam_deg").to_radians(), get(&case, "I0_cd")).unwrap();
        let (s, h, x) = (get(&case, "setback_m"), get(&case, "height_m"), get(&case, "lateral_m"));
        let tilt = get(&case, "tilt_to_wall_deg").to_radians();
        let lit = graze(&beam, s, h, x, tilt).unwrap();
        close(lit.off_axis.to_degrees(), &case["off_axis_deg"], &case);
        close(lit.candela, &case["cd"], &case);
        close(lit.lux, &case["lux"], &case);
        let aim = DVec3::new(0.0, tilt.sin(), tilt.cos());
        let fixture = Fixture::towards(Point3::default(), aim, 0.3, Distribution::Beam(beam)).unwrap();
        let sample = Sample { at: Point3::new(x, s, h), normal: DVec3::NEG_Y };
        let general = contributions(&[fixture], &[sample], |_, _| 1.0).unwrap();
        close(general.of(0)[0], &case["lux"], &case);
    }
}

#[test]
fn factors_and_area_sources() {
    for case in cases("factors") {
        let d: Vec<f64> = case["dims"].as_array().unwrap().iter().map(|d| d.as_f64().unwrap()).collect();
        let ours: Result<f64, NotUsable> = match case["case"].as_str().unwrap() {
            "ff_parallel" => rectangles_parallel(d[0], d[1], d[2]),
            "ff_perp" => rectangles_perpendicular(d[0], d[1], d[2]),
            "ff_discs" => discs_coaxial(d[0], d[1], d[2]),
            "rect_corner_parallel" => rectangle_parallel(d[0], d[1], d[2]),
            "rect_corner_perp" => rectangle_perpendicular(d[0], d[1], d[2]),
            "disc_axis" => disc(d[0], d[1], 0.0),
            "disc_off" => disc(d[0], d[1], d[2]),
            other => panic!("{other}"),
        };
        close(ours.unwrap(), &case["value"], &case);
    }
    for case in cases("area_source") {
        let place = &case["point_from_corner_m"];
        let place = [place[0].as_f64().unwrap(), place[1].as_f64().unwrap()];
        let (l, a, b, h) =
            (get(&case, "L_cd_m2"), get(&case, "a_m"), get(&case, "b_m"), get(&case, "height_m"));
        close(rectangle_illuminance(l, a, b, h, place).unwrap(), &case["lux"], &case);
    }
    assert!(rectangle_parallel(0.0, 1.0, 1.0).is_err());
    // Reflected by a wall patch, by the configuration factor: 0.6 × 200 lx × 0.06745089.
    let reflected = 0.6 * 200.0 * rectangle_perpendicular(1.3, 0.7, 0.9).unwrap();
    assert_eq!(format!("{reflected:.4}"), "8.0941");
}

fn point(value: &Value) -> Point3 {
    let at = |i: usize| value[i].as_f64().unwrap();
    Point3::new(at(0), at(1), at(2))
}

fn vector(at: Point3) -> DVec3 {
    DVec3::new(at.x, at.y, at.z)
}

/// Whether the house, trunk or crown of scene A stands between, by their closed forms.
fn hidden(a: Point3, b: Point3) -> bool {
    let (from, way) = (vector(a), vector(b) - vector(a));
    let inside = |t: f64| t > 1e-6 && t < 1.0 - 1e-6;
    let roots = |a: f64, b: f64, c: f64| {
        let d = b * b - a * c;
        (d > 0.0 && a > 0.0).then(|| [(-b - d.sqrt()) / a, (-b + d.sqrt()) / a])
    };
    let crown = (from - DVec3::new(6.5, 0.0, 4.0)) / DVec3::new(1.8, 1.5, 1.2);
    let w = way / DVec3::new(1.8, 1.5, 1.2);
    let in_crown =
        roots(w.dot(w), crown.dot(w), crown.dot(crown) - 1.0).is_some_and(|ts| ts.into_iter().any(inside));
    let (f, w) = (from - DVec3::new(6.5, 0.0, 0.0), way);
    let in_trunk = roots(w.x * w.x + w.y * w.y, f.x * w.x + f.y * w.y, f.x * f.x + f.y * f.y - 0.0225)
        .is_some_and(|ts| ts.into_iter().any(|t| inside(t) && (0.0..=3.0).contains(&(f.z + t * w.z))));
    let (near, far) = (DVec3::new(-5.0, 4.0, 0.0), DVec3::new(5.0, 10.0, 3.0));
    let (t0, t1) = ((near - from) / way, (far - from) / way);
    let (enter, leave) = (t0.min(t1).max_element(), t0.max(t1).min_element());
    in_crown || in_trunk || (enter < leave && (inside(enter) || inside(leave)))
}

/// Direct light of a scene with shadows, confirmed by a renderer: 0.05 %.
#[test]
fn direct_light_of_a_scene_with_shadows() {
    let scene: Value = serde_json::from_str(SCENE).unwrap();
    let expected: Value = serde_json::from_str(SCENE_EXPECTED).unwrap();
    let fixtures: Vec<Fixture> = scene["lights"]
        .as_array()
        .unwrap()
        .iter()
        .map(|light| {
            let table = light["table"].as_array().unwrap().iter();
            let profile =
                table.map(|row| (row[0].as_f64().unwrap().to_radians(), row[1].as_f64().unwrap())).collect();
            Fixture::aimed(point(&light["position"]), point(&light["target"]), Distribution::Profile(profile))
                .unwrap()
        })
        .collect();
    let probes = scene["probes"].as_array().unwrap();
    let samples: Vec<Sample> = probes
        .iter()
        .map(|probe| Sample { at: point(&probe["position"]), normal: vector(point(&probe["normal"])) })
        .collect();
    let found = contributions(&fixtures, &samples, |a, b| f64::from(u8::from(!hidden(a, b)))).unwrap();
    let lux = found.at_levels(&[1.0; 3]);
    let mut checked = 0;
    for (probe, ours) in probes.iter().zip(lux) {
        let name = probe["name"].as_str().unwrap();
        let row = expected["probes"].as_array().unwrap().iter().find(|row| row["name"] == name).unwrap();
        let direct = row["direct"].as_f64().unwrap();
        assert!((ours - direct).abs() <= 5e-4 * direct + 1e-5, "{name}: {ours} and {direct}");
        checked += 1;
    }
    assert_eq!(checked, 12);
}

/// A file that shines only to one side lights that side, whatever way the fixture is turned.
#[test]
fn a_file_turns_with_its_fixture() {
    let text = "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 2 5 1 2 0 0 0 1 1 8\n0 90\n0 90 180 270 360\n0 100 0 0 0 0 0 0 0 100";
    let file = Distribution::File(Arc::new(ies::read(text).unwrap()));
    let at = |aim: DVec3, spin: f64, towards: DVec3| {
        Fixture::towards(Point3::default(), aim, spin, file.clone()).unwrap().candela(towards)
    };
    let quarter = std::f64::consts::FRAC_PI_2;
    assert!((at(DVec3::NEG_Z, 0.0, DVec3::X) - 100.0).abs() < 1e-9);
    assert!(at(DVec3::NEG_Z, 0.0, DVec3::Y) < 1e-9);
    assert!((at(DVec3::NEG_Z, quarter, DVec3::Y) - 100.0).abs() < 1e-9, "spin goes counter-clockwise");
    // Aimed east, what hung to the east now points up.
    assert!((at(DVec3::X, 0.0, DVec3::Z) - 100.0).abs() < 1e-9);
    assert!(Fixture::towards(Point3::default(), DVec3::ZERO, 0.0, file.clone()).is_err());
}

#[test]
fn paths_grids_and_pools() {
    let beam = Beam::of_lumens(Shape::CosinePower, 120f64.to_radians(), 100.0).unwrap();
    let lit = downlight(&beam, 2.0, 0.0).unwrap();
    // Closed form: Lambertian, 100/π cd at 2 m.
    assert!((lit.lux - 100.0 / std::f64::consts::PI / 4.0).abs() < 1e-9);
    assert!((pool_diameter(&beam, 2.0) - 4.0 * 60f64.to_radians().tan()).abs() < 1e-12);
    let samples = along_path(
        &[Point3::new(0.0, 0.0, 0.0), Point3::new(3.0, 0.0, 0.0), Point3::new(3.0, 4.0, 0.0)],
        1.0,
    )
    .unwrap();
    assert_eq!(samples.len(), 8);
    assert_eq!(samples[7].at, Point3::new(3.0, 4.0, 0.0));
    let of = uniformity(&[2.0, 4.0, 6.0]).unwrap();
    assert_eq!((of.least_to_mean, of.least_to_most, of.mean), (0.5, 1.0 / 3.0, 4.0));
    assert_eq!(uniformity(&[0.0, 0.0]).unwrap().least_to_mean, 0.0);
    assert_eq!(uniformity(&[]), None);
    assert!(along_path(&[Point3::default()], 1.0).is_err());
    assert!(grid(Point3::default(), DVec3::X, DVec3::X, [2, 2]).is_err());
    let fixture =
        Fixture::towards(Point3::new(0.0, 0.0, 1e-4), DVec3::NEG_Z, 0.0, Distribution::Beam(beam)).unwrap();
    let touching = Sample { at: Point3::default(), normal: DVec3::Z };
    assert!(
        contributions(&[fixture], &[touching], |_, _| 1.0).unwrap_err().to_string().contains("millimetre")
    );
}

/// Flux that falls on the ground of a fixture aimed down is all of its flux: conservation.
#[test]
fn a_large_floor_catches_all_of_the_flux() {
    let beam = Beam::of_lumens(Shape::Gaussian, 36f64.to_radians(), 300.0).unwrap();
    let fixture =
        Fixture::towards(Point3::new(0.0, 0.0, 3.0), DVec3::NEG_Z, 0.0, Distribution::Beam(beam)).unwrap();
    let n = 400;
    let cells = grid(Point3::new(-20.0, -20.0, 0.0), DVec3::X * 40.0, DVec3::Y * 40.0, [n, n]).unwrap();
    let lux = contributions(&[fixture], &cells, |_, _| 1.0).unwrap().at_levels(&[1.0]);
    let flux = lux.iter().sum::<f64>() * (40.0 / n as f64).powi(2);
    assert!((flux - 300.0).abs() < 0.05, "{flux}");
}

proptest! {
    /// Light adds up: zones apart sum to all on, and dimming is a factor.
    #[test]
    fn zones_sum_to_all_on(places in prop::collection::vec((-5.0..5.0f64, -5.0..5.0f64, 0.3..3.0f64, 0.0..1.0f64), 1..8)) {
        let fixtures: Vec<Fixture> = places.iter().map(|(x, y, z, level)| {
            let beam = Beam::of_peak(Shape::Gaussian, 1.0, 400.0).unwrap();
            let at = Point3::new(*x, *y, *z);
            Fixture::aimed(at, Point3::new(0.0, 0.5, 0.0), Distribution::Beam(beam)).unwrap().with(0.8, *level).unwrap()
        }).collect();
        let cells = grid(Point3::new(-3.0, -3.0, 0.0), DVec3::X * 6.0, DVec3::Y * 6.0, [5, 4]).unwrap();
        let found = contributions(&fixtures, &cells, |_, _| 1.0).unwrap();
        let levels: Vec<f64> = fixtures.iter().map(|f| f.level).collect();
        let all = found.at_levels(&levels);
        let zone = |odd: usize| {
            let some: Vec<f64> = levels.iter().enumerate().map(|(i, l)| if i % 2 == odd { *l } else { 0.0 }).collect();
            found.at_levels(&some)
        };
        for (all, (a, b)) in all.iter().zip(zone(0).into_iter().zip(zone(1))) {
            prop_assert!((all - a - b).abs() <= 1e-12 * (1.0 + all));
        }
    }
}
