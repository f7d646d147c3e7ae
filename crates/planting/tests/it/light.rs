//! Classes of light, and what bears them.

use groundwright_plan::stock::Light;
use groundwright_planting::light::{LightFit, half_hours, light_class, light_fit};

/// Full sun from 6 h; part 3 to 6 h in one set of horticultural pages, 4 to 6 h in another.
#[test]
fn classes_follow_both_sets_of_pages() {
    for (hours, three, four) in [
        (8.0, Light::Full, Light::Full),
        (6.0, Light::Full, Light::Full),
        (5.9, Light::Part, Light::Part),
        (4.0, Light::Part, Light::Part),
        (3.5, Light::Part, Light::Shade),
        (2.9, Light::Shade, Light::Shade),
        (0.0, Light::Shade, Light::Shade),
    ] {
        assert_eq!(light_class(hours, 6.0, 3.0), three, "{hours} h");
        assert_eq!(light_class(hours, 6.0, 4.0), four, "{hours} h");
    }
}

#[test]
fn fits_say_by_how_much() {
    let fit = |bears: &[Light], hours| light_fit(bears, hours, 6.0, 3.0);
    assert_eq!(fit(&[Light::Full], 7.0), LightFit::Fits);
    assert_eq!(fit(&[Light::Full], 4.5), LightFit::Dark(1.5));
    assert_eq!(fit(&[Light::Part], 7.0), LightFit::Bright(1.0));
    assert_eq!(fit(&[Light::Part, Light::Shade], 1.0), LightFit::Fits);
    assert_eq!(fit(&[Light::Shade], 4.0), LightFit::Bright(1.0));
    assert_eq!(fit(&[Light::Full, Light::Shade], 4.0), LightFit::Fits);
    assert_eq!(fit(&[], 4.0), LightFit::Unknown);
    assert_eq!(fit(&[Light::Full], f64::NAN), LightFit::Unknown);
}

#[test]
fn the_reader_sees_half_hours() {
    for (hours, shown) in [(3.24, 3.0), (3.26, 3.5), (0.1, 0.0)] {
        assert!((half_hours(hours) - shown).abs() < 1e-12);
    }
}
