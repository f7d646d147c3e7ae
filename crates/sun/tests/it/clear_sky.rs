//! Irradiance against a reference library, and shares of the sky against their integrals.

use groundwright_sun::clear_sky::{haurwitz, ineichen, pressure_at, relative_air_mass};
use groundwright_sun::sky_patches;
use groundwright_sun::spa::{Observer, julian_day, position};

use crate::{number, rows};

/// Seven rows within 0.01 W/m² or the last digit, and the closure global = direct cos z + diffuse.
#[test]
fn clear_skies_agree_with_the_reference_library() {
    let all = rows(include_str!("../data/clear-sky.csv"));
    assert_eq!(all.len(), 7);
    for row in &all {
        let (id, zenith) = (&row["id"], number(row, "apparent_zenith_deg").to_radians());
        let (elevation, pressure) = (number(row, "altitude_m"), number(row, "pressure_pa"));
        assert!((pressure_at(elevation) - pressure).abs() < 0.5, "{id}: {}", pressure_at(elevation));
        let air = relative_air_mass(zenith).unwrap();
        assert!((air - number(row, "airmass_rel")).abs() < 2e-5 * air.max(1.0), "{id}: {air}");
        let light = ineichen(zenith, number(row, "linke_turbidity"), elevation, pressure);
        for (ours, column) in [
            (light.global, "ghi"),
            (light.direct_normal, "dni"),
            (light.diffuse, "dhi"),
            (haurwitz(zenith), "haurwitz_ghi"),
        ] {
            assert!((ours - number(row, column)).abs() < 0.02, "{id} {column}: {ours}");
        }
        assert!((light.direct_normal * zenith.cos() + light.diffuse - light.global).abs() < 1e-9);
    }
}

/// Whole days in Denver at one-minute steps, kWh/m²: the same library, within 0.5 %.
#[test]
fn whole_days_agree_with_the_reference_library() {
    let observer = Observer::new(39.7392_f64.to_radians(), (-104.9903_f64).to_radians(), 1609.0);
    // 06:00 UTC is 23:00 the day before: from midnight to midnight of standard time.
    for (unix, global, direct, diffuse) in
        [(1_750_489_200.0, 9.543, 12.191, 1.288), (1_766_300_400.0, 2.465, 5.936, 0.432)]
    {
        let mut sum = [0.0; 3];
        for minute in 0..1440 {
            let sun = position(&observer, julian_day(unix + 60.0 * f64::from(minute)), 67.0);
            let light = ineichen(sun.apparent_zenith, 3.0, 1609.0, observer.pressure);
            for (sum, of) in sum.iter_mut().zip([light.global, light.direct_normal, light.diffuse]) {
                *sum += of / 60_000.0;
            }
        }
        for (ours, theirs) in sum.iter().zip([global, direct, diffuse]) {
            assert!((ours - theirs).abs() < 0.005 * theirs, "{sum:?}");
        }
    }
}

/// Patches add up to one, and a ring of sky from 0 to e sends sin² e under an even sky, and
/// 3/7 sin² e + 4/7 sin³ e under an overcast one: integrals by hand.
#[test]
fn patches_of_sky_add_up() {
    let patches = sky_patches(60);
    assert!((patches.iter().map(|p| p.even).sum::<f64>() - 1.0).abs() < 1e-12);
    assert!((patches.iter().map(|p| p.overcast).sum::<f64>() - 1.0).abs() < 1e-12);
    let half = std::f64::consts::FRAC_PI_6;
    let below = |of: fn(&groundwright_sun::Patch) -> f64| -> f64 {
        patches.iter().filter(|p| p.direction[2] < half.sin()).map(of).sum()
    };
    assert!((below(|p| p.even) - 0.25).abs() < 1e-3);
    assert!((below(|p| p.overcast) - (3.0 / 7.0 * 0.25 + 4.0 / 7.0 * 0.125)).abs() < 1e-3);
}

#[test]
fn no_sun_no_light() {
    let night = ineichen(2.0, 3.0, 0.0, 101_325.0);
    assert_eq!((night.global, night.direct_normal, night.diffuse), (0.0, 0.0, 0.0));
    assert!(haurwitz(2.0).abs() < 1e-12);
    assert_eq!(relative_air_mass(f64::NAN), None);
}
