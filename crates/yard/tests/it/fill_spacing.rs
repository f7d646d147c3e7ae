//! Spread over the years: the stated rate, the inverse, bounds.

use groundwright_yard::arrange::fill_spacing::{GrowthClass, SpreadCurve, SpreadFault, spacing_between};
use proptest::prelude::*;

const CLASSES: [(GrowthClass, f64); 3] =
    [(GrowthClass::Slow, 20.0), (GrowthClass::Medium, 12.0), (GrowthClass::Fast, 7.0)];

/// Nine tenths of the gain after 20, 12 and 7 years: common practice, no source.
#[test]
fn nine_tenths_of_the_gain_come_in_the_stated_years() {
    for (class, years) in CLASSES {
        let curve = SpreadCurve { planted: 0.3, mature: 1.3, class };
        assert!((curve.spread(years).unwrap() - 1.2).abs() < 1e-12);
        assert!((curve.spacing_to_fill(years).unwrap() - 1.2).abs() < 1e-12);
        // The second such time brings nine tenths of the rest.
        assert!((curve.spread(2.0 * years).unwrap() - 1.29).abs() < 1e-12);
    }
}

#[test]
fn unlike_plants_touch_at_half_of_each_spread() {
    let small = SpreadCurve { planted: 0.2, mature: 0.6, class: GrowthClass::Fast };
    let large = SpreadCurve { planted: 0.5, mature: 2.0, class: GrowthClass::Slow };
    let between = spacing_between(&small, &large, 5.0).unwrap();
    assert!((between - small.spread(5.0).unwrap() / 2.0 - large.spread(5.0).unwrap() / 2.0).abs() < 1e-12);
}

#[test]
fn faults_say_what_to_mend() {
    let curve = SpreadCurve { planted: 0.3, mature: 1.3, class: GrowthClass::Medium };
    assert_eq!(
        curve.years_to(1.3).unwrap_err().to_string(),
        "a spread of 1.3 m is not reached: the plant is 0.3 m wide when planted and stays below its \
         mature 1.3 m; plant closer or choose a wider plant"
    );
    let wide = SpreadCurve { planted: 2.0, ..curve };
    assert_eq!(wide.spread(1.0), Err(SpreadFault::Shrinking { planted: 2.0, mature: 1.3 }));
    assert_eq!(curve.spread(-1.0), Err(SpreadFault::Years { years: -1.0 }));
    let none = SpreadCurve { planted: f64::NAN, ..curve };
    assert!(matches!(none.spread(1.0), Err(SpreadFault::NotPositive { what: "planted", .. })));
}

fn any_curve() -> impl Strategy<Value = SpreadCurve> {
    (0.05_f64..1.0, 0.05_f64..6.0, 0_usize..3).prop_map(|(planted, gain, class)| SpreadCurve {
        planted,
        mature: planted + gain,
        class: CLASSES[class].0,
    })
}

proptest! {
    #[test]
    fn spread_rises_and_stays_within_its_bounds(curve in any_curve(), years in 0.0_f64..80.0, more in 0.01_f64..20.0) {
        let (now, later) = (curve.spread(years).unwrap(), curve.spread(years + more).unwrap());
        prop_assert!(curve.planted <= now && now < later && later <= curve.mature);
    }

    #[test]
    fn years_to_is_the_inverse_of_spread(curve in any_curve(), share in 0.0_f64..0.99) {
        let wanted = curve.planted + share * (curve.mature - curve.planted);
        let years = curve.years_to(wanted).unwrap();
        prop_assert!((curve.spread(years).unwrap() - wanted).abs() < 1e-9);
    }
}
