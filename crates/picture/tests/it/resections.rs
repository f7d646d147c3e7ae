//! Cameras found again from what they see.

use glam::DVec3;
use groundwright_picture::{Camera, Lens, ResectionFault, SeenPoint, resection};

/// House corners, eaves, a post and a manhole: places of an invented yard. [m]
const PLACES: [[f64; 3]; 8] = [
    [0.0, 0.0, 0.0],
    [12.0, 0.0, 0.2],
    [12.0, 0.0, 2.9],
    [0.0, 0.0, 2.8],
    [12.0, 7.0, 2.9],
    [4.5, -3.0, 1.1],
    [8.0, -6.0, -0.1],
    [2.0, -4.5, 0.0],
];

fn seen(camera: &Camera, count: usize) -> Vec<SeenPoint> {
    let place = |at: &[f64; 3]| {
        let at = DVec3::from_array(*at);
        let [x, y, _] = camera.seen(at).expect("before the camera");
        SeenPoint { at, pixel: [x, y] }
    };
    PLACES[..count].iter().map(place).collect()
}

fn photograph(angle: f64) -> Camera {
    let (eye, to) = (DVec3::new(5.0, -15.0, 1.7), DVec3::new(6.5, 0.0, 1.4));
    Camera::new(eye, to, DVec3::Z, Lens::Flat(angle), [4000, 3000]).expect("a camera")
}

#[test]
fn a_camera_is_found_from_what_it_sees() {
    for angle in [0.8f64, 1.15, 1.4] {
        let found = resection(&seen(&photograph(angle), 8), [4000.0, 3000.0], None).expect("a camera");
        // The pixels come through single precision, a few thousandths of one.
        assert!((found.at - DVec3::new(5.0, -15.0, 1.7)).length() < 2e-3, "{found:?}");
        assert!((found.angle - angle).abs() < 1e-4, "{} for {angle}", found.angle);
        assert!((found.forward - DVec3::new(1.5, 15.0, -0.3).normalize()).length() < 1e-4, "{found:?}");
        assert!(found.up.z > 0.99 && found.rms < 0.02 && found.over == 9, "{found:?}");
    }
}

#[test]
fn readings_off_by_a_few_pixels_show_as_residuals_and_as_deviation() {
    let mut points = seen(&photograph(1.1), 8);
    for (i, point) in points.iter_mut().enumerate() {
        let off = [3.0, -2.0, 1.0, -3.0, 2.0, -1.0, 2.5, -2.5][i];
        point.pixel[0] += off;
        point.pixel[1] -= 0.7 * off;
    }
    let found = resection(&points, [4000.0, 3000.0], None).expect("a camera");
    let deviation = found.deviation.expect("readings over");
    let away = (found.at - DVec3::new(5.0, -15.0, 1.7)).abs();
    assert!(found.rms > 0.5 && found.rms < 4.0, "{found:?}");
    assert!(away.length() < 0.2 && away.length() < 6.0 * deviation.length(), "{away} with {deviation}");
    // A pixel mistyped by three hundred is the largest residual, or nearly so.
    points[5].pixel[0] += 300.0;
    let found = resection(&points, [4000.0, 3000.0], None).expect("a camera");
    assert!(found.rms > 20.0, "{found:?}");
}

#[test]
fn with_a_known_angle_fewer_points_do() {
    let points = seen(&photograph(1.1), 5);
    let found = resection(&points, [4000.0, 3000.0], Some(1.1)).expect("a camera");
    assert!((found.at - DVec3::new(5.0, -15.0, 1.7)).length() < 5e-3, "{found:?}");
    assert_eq!((found.over, found.residuals.len()), (4, 5));
}

#[test]
fn what_gives_no_camera_is_said() {
    let points = seen(&photograph(1.1), 8);
    let said =
        |points: &[SeenPoint], size, angle| resection(points, size, angle).expect_err("a fault").to_string();
    let size = [4000.0, 3000.0];
    assert!(said(&points[..3], size, None).starts_with("3 points are given; expected 4 or more"));
    let line: Vec<SeenPoint> = (0..5)
        .map(|i| SeenPoint { at: DVec3::X * f64::from(i), pixel: [f64::from(i) * 100.0, 50.0] })
        .collect();
    assert_eq!(resection(&line, size, None), Err(ResectionFault::OnALine));
    assert_eq!(said(&points, [0.0, 3000.0], None), "width is 0; expected a number of pixels, 1 or more");
    assert!(said(&points, size, Some(4.0)).starts_with("angle is 4; expected"));
    let mut broken = points;
    broken[2].pixel[1] = f64::NAN;
    assert_eq!(resection(&broken, size, None), Err(ResectionFault::NotFinite(3)));
}
