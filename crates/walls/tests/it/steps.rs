//! Steps that fit a rise, against the published rules and their laws.

use groundwright_units::constants::{FOOT, INCH};
use groundwright_walls::{FittedSteps, StepLimits, StepsWanted, fit_steps};
use proptest::prelude::*;

const LIMITS: StepLimits = StepLimits::OUTDOORS;

fn wanted(rise: f64) -> StepsWanted {
    StepsWanted { rise, riser: 6.0 * INCH, tread: 14.0 * INCH, width: 4.0 * FOOT, room: None }
}

/// 30 in in five risers of 6 in with treads of 14 in: twice the riser and the tread make 26 in (the
/// published rule asks for 24 to 27), and four treads are 56 in long. By hand.
#[test]
fn the_wanted_step_is_kept_where_it_fits() {
    let all = fit_steps(&wanted(30.0 * INCH), &LIMITS).unwrap();
    let best = &all[0];
    assert_eq!((best.risers(), best.treads(), best.flights.clone()), (5, 4, vec![5]));
    assert!((best.riser / INCH - 6.0).abs() < 1e-9 && (best.tread / INCH - 14.0).abs() < 1e-9);
    assert!((best.stride / INCH - 26.0).abs() < 1e-9 && (best.run / INCH - 56.0).abs() < 1e-9);
    // Each cheek is seen as the triangle under the edges: 14 in × (6 + 12 + 18 + 24) in.
    assert!((best.cheek() / (INCH * INCH) - 840.0).abs() < 1e-6);
    // All counts of risers of 4 to 7 in: 5, 6 and 7.
    let mut counts: Vec<usize> = all.iter().map(FittedSteps::risers).collect();
    counts.sort_unstable();
    assert_eq!(counts, [5, 6, 7]);
}

#[test]
fn little_room_makes_steep_steps_and_too_little_none() {
    let tight = |room: f64| fit_steps(&StepsWanted { room: Some(room), ..wanted(30.0 * INCH) }, &LIMITS);
    let all = tight(48.0 * INCH).unwrap();
    assert_eq!(all.len(), 1);
    assert!((all[0].tread / INCH - 12.0).abs() < 1e-9 && all[0].risers() == 5);
    assert!(tight(40.0 * INCH).unwrap().is_empty());
    assert!(tight(0.0).is_err() && fit_steps(&wanted(f64::NAN), &LIMITS).is_err());
}

/// IBC 1011.8 asks for a landing after 12 ft, IBC 1011.6 for one as long as the stair is wide, 48 in at
/// most.
#[test]
fn a_high_rise_takes_landings() {
    let all = fit_steps(&StepsWanted { width: 6.0 * FOOT, ..wanted(15.0 * FOOT) }, &LIMITS).unwrap();
    let best = &all[0];
    assert_eq!(best.flights, [15, 15]);
    assert!((best.landing / INCH - 48.0).abs() < 1e-9);
    assert!((best.run / INCH - (28.0 * 14.0 + 48.0)).abs() < 1e-6);
}

proptest! {
    /// Whatever fits keeps every limit, and its last edge lies at the rise and at the run.
    #[test]
    fn whatever_fits_keeps_every_limit(
        rise in 0.11..9.0_f64, riser in 0.08..0.25_f64, tread in 0.2..0.6_f64, width in 0.5..3.0_f64,
        room in prop::option::of(0.2..20.0_f64),
    ) {
        let asked = StepsWanted { rise, riser, tread, width, room };
        for steps in fit_steps(&asked, &LIMITS).unwrap() {
            prop_assert!(steps.riser > LIMITS.riser.0 - 1e-9 && steps.riser < LIMITS.riser.1 + 1e-9);
            prop_assert!(steps.tread > LIMITS.tread - 1e-9);
            prop_assert!(steps.stride > LIMITS.stride.0 - 1e-9 && steps.stride < LIMITS.stride.1 + 1e-9);
            prop_assert!(room.is_none_or(|room| steps.run < room + 1e-9));
            prop_assert!(steps.flights.iter().all(|n| *n as f64 * steps.riser < LIMITS.landing_rise + steps.riser));
            let edges = steps.edges();
            let last = edges.last().unwrap();
            prop_assert!((last.0 - steps.run).abs() < 1e-9 && (last.1 - rise).abs() < 1e-9);
            prop_assert_eq!(edges.len(), steps.risers());
        }
    }
}
