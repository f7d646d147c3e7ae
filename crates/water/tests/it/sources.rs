//! Supplies and hydrozones by hand.

use groundwright_units::constants::{GALLON, GALLON_PER_MINUTE, INCH, PSI};
use groundwright_water::{
    Exposure, FlowTest, LimitedBy, Meter, Method, ServiceLine, SupplyFacts, WATER, WaterUse, WateredArea,
    ZoneFlag, bucket_test, flow_at_residual, hydrozones, supply_of_test, tank_run_time, usable_flow,
};

/// Five gallons in 25 seconds are 12 gal/min.
#[test]
fn a_bucket_and_a_watch() {
    assert!((bucket_test(5.0 * GALLON, 25.0).unwrap() / GALLON_PER_MINUTE - 12.0).abs() < 1e-12);
    assert!(bucket_test(1.0, 0.0).unwrap_err().to_string().contains("the time is 0 s"));
    assert!((tank_run_time(2.0, 0.9, 1e-3).unwrap() - 1800.0).abs() < 1e-9);
}

/// The hydrant formula, by hand: 10 gal/min at 50 of 60 psi; at 30 psi 10 · 3^(1/1.852) = 18.097.
#[test]
fn a_flow_test_reaches_further() {
    let test = FlowTest { flow: 10.0 * GALLON_PER_MINUTE, pressure: 50.0 * PSI };
    let flow = flow_at_residual(60.0 * PSI, test, 30.0 * PSI).unwrap();
    assert!((flow / GALLON_PER_MINUTE - 18.097).abs() < 0.001, "{}", flow / GALLON_PER_MINUTE);
    let supply = supply_of_test(60.0 * PSI, 2.0, Some(test), &WATER).unwrap();
    let droop = supply.droop.unwrap();
    let left = supply.head - 2.0 - droop.coefficient * flow.powf(droop.exponent);
    assert!((WATER.pressure(left) - 30.0 * PSI).abs() < 1.0);
    let wrong = FlowTest { flow: 1e-3, pressure: 61.0 * PSI };
    let said = supply_of_test(60.0 * PSI, 2.0, Some(wrong), &WATER).unwrap_err().to_string();
    assert!(said.contains("static pressure less that of the test"), "{said}");
}

/// Meter of 20 gal/min: 15 may be used; 3/4 in line at 5 ft/s: 8.31; the least is named.
#[test]
fn the_least_limit_is_named() {
    let meter = Meter { safe_flow: 20.0 * GALLON_PER_MINUTE, curve: vec![(0.5e-3, 1.0), (1.2e-3, 6.0)] };
    let service = ServiceLine { diameter: 0.824 * INCH, length: 15.0, coefficient: 140.0, velocity: 1.524 };
    let mut facts = SupplyFacts {
        static_pressure: 60.0 * PSI,
        residual: 40.0 * PSI,
        meter: Some(meter),
        service: Some(service),
        ..SupplyFacts::default()
    };
    let ours = usable_flow(&facts, &WATER).unwrap();
    assert_eq!((ours.limited_by, ours.limits.len()), (LimitedBy::ServiceLine, 3));
    assert!((ours.flow / GALLON_PER_MINUTE - 8.31).abs() < 0.006 && ours.service_loss > 1.0);
    // A tenth of 42.2 m is 4.22 m: 0.5 + 0.7 · 3.22/5 litres a second.
    let meter_loss = ours.limits.iter().find(|(by, _)| *by == LimitedBy::MeterLoss).unwrap().1;
    assert!((meter_loss - 0.9506e-3).abs() < 2e-6, "{meter_loss}");
    facts.source = Some(1e-4);
    assert_eq!(usable_flow(&facts, &WATER).unwrap().limited_by, LimitedBy::Source);
    let nothing = SupplyFacts { static_pressure: 4e5, ..SupplyFacts::default() };
    assert!(usable_flow(&nothing, &WATER).unwrap_err().to_string().contains("the count of known limits"));
}

fn area(name: &str, plant_factors: &[f64], method: Method, flow: f64) -> WateredArea {
    WateredArea {
        name: name.into(),
        plant_factors: plant_factors.into(),
        exposure: Exposure::Sun,
        slope: 0.02,
        soil: "loam".into(),
        method,
        area: 40.0,
        flow,
    }
}

/// Lawns together as far as the flow allows, drip apart; a mixed bed is reported and watered for the
/// thirstiest.
#[test]
fn areas_that_want_the_same_share_a_valve() {
    let areas = [
        area("front lawn", &[0.8], Method::Spray, 4e-4),
        area("back lawn", &[0.8], Method::Spray, 5e-4),
        area("side lawn", &[0.7], Method::Spray, 3e-4),
        area("mixed bed", &[0.2, 0.5], Method::Drip, 1e-4),
        area("shrubs", &[0.5], Method::Drip, 1e-4),
        area("great lawn", &[0.8], Method::Rotor, 2.1e-3),
    ];
    let ours = hydrozones(&areas, 8e-4).unwrap();
    let sets: Vec<&[usize]> = ours.zones.iter().map(|zone| zone.areas.as_slice()).collect();
    assert_eq!(sets, [&[1, 2][..], &[0], &[5], &[3, 4]]);
    assert!(ours.zones.iter().filter(|z| z.areas != [5]).all(|zone| zone.flow <= 8e-4 + 1e-12));
    assert!(
        matches!(&ours.flags[0], ZoneFlag::Mixed { area, least: WaterUse::Low, most: WaterUse::Moderate } if area == "mixed bed")
    );
    assert!(matches!(&ours.flags[1], ZoneFlag::TooMuch { area, parts: 3, .. } if area == "great lawn"));
    assert!(hydrozones(&areas, 0.0).is_err());
    assert!(hydrozones(&[area("x", &[], Method::Drip, 1e-4)], 1e-3).is_err());
}
