//! Evenings by hand: hours, dimming, energy.

use groundwright_light::timer::{Dimming, energy, evening};
use proptest::prelude::*;

const HOUR: f64 = 3600.0;

/// By hand: on at 18:00, dimmed to half from 22:00, off at 23:30: 5.5 h, of them 1.5 h dimmed, 4.75 h in full.
#[test]
fn an_evening_by_hand() {
    let dimming = Some(Dimming { from: 22.0 * HOUR, level: 0.5 });
    let found = evening(18.0 * HOUR, 23.5 * HOUR, dimming).unwrap();
    assert_eq!((found.lit / HOUR, found.dimmed / HOUR, found.full / HOUR), (5.5, 1.5, 4.75));
    // 120 W for 4.75 h are 0.57 kWh.
    assert!((energy(&[found], 120.0).unwrap() / (1000.0 * HOUR) - 0.57).abs() < 1e-12);
    let late = evening(22.5 * HOUR, 23.5 * HOUR, dimming).unwrap();
    assert_eq!((late.dimmed, late.full), (HOUR, 0.5 * HOUR), "dimmed from the first minute");
    assert_eq!(evening(23.0 * HOUR, 22.0 * HOUR, dimming).unwrap().lit, 0.0, "off before on");
}

#[test]
fn what_is_no_evening_is_refused() {
    assert!(evening(f64::NAN, 1.0, None).unwrap_err().to_string().contains("switching on"));
    let bright = Some(Dimming { from: 0.0, level: 1.5 });
    assert!(evening(0.0, 1.0, bright).unwrap_err().to_string().contains("level"));
    assert!(energy(&[], -1.0).is_err());
}

proptest! {
    /// Dimming never uses more, a later end never less.
    #[test]
    fn dimming_saves(on in 0.0..9e4f64, long in 0.0..5e4f64, from in 0.0..1e5f64, level in 0.0..1.0f64, more in 0.0..1e4f64) {
        let dimming = Some(Dimming { from, level });
        let (dim, full) = (evening(on, on + long, dimming).unwrap(), evening(on, on + long, None).unwrap());
        prop_assert!(dim.full <= full.full + 1e-9 && dim.lit == full.lit && dim.dimmed <= dim.lit);
        prop_assert!(evening(on, on + long + more, dimming).unwrap().full >= dim.full - 1e-9);
    }
}
