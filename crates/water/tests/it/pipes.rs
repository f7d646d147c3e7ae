//! Friction, fittings and velocities against printed tables.

use groundwright_units::constants::{FOOT, GALLON_PER_MINUTE, INCH, PSI};
use groundwright_water::{
    Fitting, PLASTIC_ROUGHNESS, Turbulent, USUAL_LIMIT, WATER, coefficient_of_valve, darcy_weisbach,
    flow_at_velocity, friction_factor, hazen_williams, many_outlets, minor_loss, velocity,
};
use proptest::prelude::*;

/// Sources: `tests/data/README.md`.
const FRICTION: &str = include_str!("../data/pipe-friction.csv");

/// The numbers after the pipe's name, which may hold a comma between quotation marks.
fn rows() -> Vec<(String, Vec<f64>)> {
    FRICTION
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.rsplitn(10, ',').collect();
            let numbers = cells[..9].iter().rev().map(|cell| cell.parse().unwrap()).collect();
            (cells[9].to_owned(), numbers)
        })
        .collect()
}

#[test]
fn friction_agrees_with_the_table_in_every_row() {
    let rows = rows();
    assert_eq!(rows.len(), 75);
    for (pipe, row) in rows {
        let [bore, c, gpm, fps, feet, psi, short, darcy, over] = row[..] else {
            panic!("{pipe}: nine numbers")
        };
        let (flow, diameter) = (gpm * GALLON_PER_MINUTE, bore * INCH);
        let loss = hazen_williams(flow, diameter, 100.0 * FOOT, c).unwrap() / FOOT;
        assert!((loss - feet).abs() < 0.000_3 * feet, "{pipe} {gpm}: {loss} against {feet}");
        // The table's psi take 0.4333 psi to the foot; the short form is another rounding of the same law.
        let ours = WATER.pressure(loss * FOOT) / PSI;
        assert!((ours - psi).abs() < 0.001 * psi, "{pipe} {gpm}: {ours} against {psi}");
        assert!((ours - short).abs() < 0.005 * short, "{pipe} {gpm}: {ours} against {short}");
        let speed = velocity(flow, diameter).unwrap();
        assert!((speed / FOOT - fps).abs() <= 0.001 * fps, "{pipe} {gpm}");
        assert_eq!(speed > USUAL_LIMIT, over > 0.5, "{pipe} {gpm}");
        let other = darcy_weisbach(
            flow,
            diameter,
            100.0 * FOOT,
            PLASTIC_ROUGHNESS,
            &WATER,
            Turbulent::ColebrookWhite,
        );
        let other = other.unwrap() / FOOT;
        assert!((other - darcy).abs() < 0.003 * darcy, "{pipe} {gpm}: {other} against {darcy}");
    }
}

/// Friction loss in ft per 100 ft, schedule 40 plastic, C = 150: Illinois Administrative Code title
/// 77 part 906 appendix A exhibit I (read); inside diameters from memory. Tolerance 2.6 %: one row
/// (0.70 at 10 gpm in 1-1/2 in) is rounded to two digits.
#[test]
fn friction_agrees_with_a_published_code_table() {
    let table = [
        (1.049, 4.0, 1.01),
        (1.049, 6.0, 2.14),
        (1.049, 8.0, 3.63),
        (1.049, 10.0, 5.50),
        (1.380, 10.0, 1.46),
        (1.380, 15.0, 3.06),
        (1.380, 20.0, 5.23),
        (1.610, 10.0, 0.70),
        (1.610, 20.0, 2.46),
        (1.610, 30.0, 5.22),
        (2.067, 20.0, 0.74),
        (2.067, 30.0, 1.54),
        (2.067, 40.0, 2.62),
        (2.067, 50.0, 3.98),
    ];
    for (bore, gpm, printed) in table {
        let ours = hazen_williams(gpm * GALLON_PER_MINUTE, bore * INCH, 100.0 * FOOT, 150.0).unwrap() / FOOT;
        assert!((ours - printed).abs() < 0.026 * printed, "{bore} in, {gpm} gpm: {ours} against {printed}");
    }
}

/// The SI form 10.67 L Q^1.852 / (C^1.852 D^4.8704) in double precision; the forms differ by up to 0.5 %.
#[test]
fn friction_in_si_and_other_closed_values() {
    for (flow, diameter, c, length, printed) in [
        (0.000_630_9, 0.02664, 150.0, 30.48, 1.6744),
        (0.001, 0.04, 140.0, 50.0, 1.0117),
        (0.002, 0.05, 150.0, 100.0, 2.1681),
    ] {
        let ours: f64 = hazen_williams(flow, diameter, length, c).unwrap();
        assert!((ours - printed).abs() < 0.005 * printed, "{ours} against {printed}");
    }
    // Largest flow within 5 ft/s, by V = 0.4085 gpm / d².
    for (bore, gpm) in [(0.622, 4.74), (0.824, 8.31), (1.049, 13.47), (1.38, 23.31), (1.61, 31.73)] {
        let ours = flow_at_velocity(USUAL_LIMIT, bore * INCH).unwrap() / GALLON_PER_MINUTE;
        assert!((ours - gpm).abs() < 0.006, "{bore}: {ours}");
    }
    // K v²/2g.
    for (k, fps, feet) in [(2.0, 4.0, 0.4973), (0.9, 7.5, 0.7867)] {
        let flow = flow_at_velocity(fps * FOOT, 0.03).unwrap();
        assert!((minor_loss(k, flow, 0.03).unwrap() / FOOT - feet).abs() < 0.0001);
    }
    // Christiansen's factor for m = 1.852.
    for (outlets, factor) in [(2, 0.6391), (5, 0.4568), (10, 0.4022), (20, 0.3760), (50, 0.3607)] {
        assert!((many_outlets(outlets, 1.852).unwrap() - factor).abs() < 0.00006, "{outlets}");
    }
}

/// Christiansen's factor is the sum of the losses of the sections, by definition.
#[test]
fn many_outlets_agree_with_the_sum_over_sections() {
    for outlets in [5_u32, 12, 40] {
        let n = f64::from(outlets);
        let sum: f64 = (1..=outlets).map(|k| (f64::from(k) / n).powf(1.852) / n).sum();
        assert!((many_outlets(outlets as usize, 1.852).unwrap() - sum).abs() < 0.002 * sum, "{outlets}");
    }
}

/// A valve with a flow coefficient loses the pressure that defines it.
#[test]
fn a_valve_loses_the_pressure_that_rates_it() {
    let (flow, pressure, diameter) = (10.0 * GALLON_PER_MINUTE, 2.5 * PSI, 1.049 * INCH);
    let k = coefficient_of_valve(flow, pressure, diameter, &WATER).unwrap();
    let loss = WATER.pressure(minor_loss(k, flow, diameter).unwrap());
    assert!((loss - pressure).abs() < 1e-9 * pressure);
    assert!(Fitting::GlobeValve.coefficient() > Fitting::GateValve.coefficient());
}

#[test]
fn bad_numbers_are_named() {
    for (problem, words) in [
        (hazen_williams(f64::NAN, 0.02, 1.0, 150.0), "the flow is NaN m³/s"),
        (
            hazen_williams(1e-4, 0.0, 1.0, 150.0),
            "the inside diameter is 0 m; expected a finite number above zero",
        ),
        (hazen_williams(1e-4, 0.02, -1.0, 150.0), "the length is -1 m"),
        (hazen_williams(1e300, 1e-9, 1.0, 150.0), "the loss is inf m"),
        (velocity(1e-4, -2.0), "the inside diameter is -2 m"),
        (many_outlets(0, 1.852), "the count of outlets is 0"),
        (
            darcy_weisbach(1e-4, 0.02, 1.0, 0.01, &WATER, Turbulent::SwameeJain),
            "a tenth of the diameter less the roughness",
        ),
    ] {
        let said = problem.unwrap_err().to_string();
        assert!(said.contains(words), "{said}");
    }
}

proptest! {
    /// More flow loses more head, more bore less, and backwards is the mirror image.
    #[test]
    fn losses_rise_with_flow_and_fall_with_bore(
        flow in 1e-6..5e-3, more in 1.001..3.0, diameter in 0.01..0.08, rough in 0.0..1e-4,
    ) {
        let hazen = |q, d| hazen_williams(q, d, 10.0, 140.0).unwrap();
        let darcy = |q, d| darcy_weisbach(q, d, 10.0, rough, &WATER, Turbulent::ColebrookWhite).unwrap();
        prop_assert!(hazen(flow * more, diameter) > hazen(flow, diameter));
        prop_assert!(hazen(flow, diameter * more) < hazen(flow, diameter));
        prop_assert!(darcy(flow * more, diameter) > darcy(flow, diameter));
        prop_assert!((darcy(-flow, diameter) + darcy(flow, diameter)).abs() < 1e-15);
    }

    /// Colebrook and White's equation holds at the factor found; Swamee and Jain lie within 2 %.
    #[test]
    fn the_friction_factor_solves_its_equation(reynolds in 5e3..1e7, rough in 0.0..0.03) {
        let (f, _) = friction_factor(reynolds, rough, Turbulent::ColebrookWhite).unwrap();
        let right = -2.0 * (rough / 3.7 + 2.51 / (reynolds * f.sqrt())).log10();
        prop_assert!((f.sqrt().recip() - right).abs() < 1e-10 * right);
        let (near, _) = friction_factor(reynolds, rough, Turbulent::SwameeJain).unwrap();
        prop_assert!((near / f - 1.0).abs() < 0.035, "{near} {f}");
    }
}
