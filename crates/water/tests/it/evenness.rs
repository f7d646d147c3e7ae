//! Catch cans, overlapping heads and rates against published sets and closed forms.

use std::f64::consts::{PI, TAU};
use std::time::Instant;

use groundwright_geometry::{Point, Rect, Region, Vec2};
use groundwright_units::constants::{FOOT, GALLON_PER_MINUTE, HOUR, INCH, LITRE_PER_MINUTE, MINUTE};
use groundwright_water::{
    Head, Nozzle, Profile, Quarter, Wind, catch_can_rate, catch_grid, emission_uniformity,
    precipitation_rate, run_time_multiplier, uniformity,
};
use proptest::prelude::*;

/// Sets of catch cans; the third is a data set of public package documentation (read), the others are
/// made up. Mean, DU with an exact quarter, rounded down, to the nearest and up, and CU, by the
/// definitions in double precision.
#[test]
fn catch_cans_agree() {
    let sets: [(&[f64], [f64; 6]); 6] = [
        (
            &[22., 25., 28., 24., 30., 33., 31., 27., 21., 26., 29., 32., 18., 23., 24., 20.],
            [25.8125, 78.450, 78.450, 78.450, 78.450, 85.714],
        ),
        (
            &[8., 31., 44., 12., 9., 35., 50., 15., 10., 28., 41., 14., 6., 26., 39., 11., 5., 22., 30., 7.],
            [22.15, 31.603, 31.603, 31.603, 31.603, 43.725],
        ),
        (
            &[47., 42., 45., 24., 13., 26., 33., 34., 27., 30., 40., 44., 32., 12., 12.],
            [30.7333, 47.722, 40.130, 49.620, 49.620, 69.140],
        ),
        (&[20.; 8], [20.0, 100.0, 100.0, 100.0, 100.0, 100.0]),
        (&[0., 0., 0., 14., 15., 16., 18., 20., 21., 22., 25., 29.], [15.0, 0.0, 0.0, 0.0, 0.0, 48.889]),
        (&[10., 12., 14., 16., 18., 20.], [15.0, 71.111, 66.667, 73.333, 73.333, 80.0]),
    ];
    for (cans, [mean, exact, down, nearest, up, christiansen]) in sets {
        for (quarter, printed) in
            [(Quarter::Exact, exact), (Quarter::Down, down), (Quarter::Nearest, nearest), (Quarter::Up, up)]
        {
            let ours = uniformity(cans, quarter).unwrap();
            assert!((ours.mean - mean).abs() < 0.00006);
            assert!((100.0 * ours.low_quarter - printed).abs() < 0.0006, "{quarter:?} {ours:?}");
            assert!((100.0 * ours.christiansen - christiansen).abs() < 0.0006, "{ours:?}");
        }
    }
    // The first set: mouths of 4.5 in, 12 minutes: 3.6614 ml / (area in² × minutes) in/h.
    let mouth = PI / 4.0 * (4.5 * INCH) * (4.5 * INCH);
    let rate = catch_can_rate(25.8125e-6, mouth, 12.0 * MINUTE).unwrap() * HOUR / INCH;
    assert!((rate - 0.4952).abs() < 0.00006, "{rate}");
    for (share, printed) in [(0.80, 1.1364), (0.65, 1.2658), (0.50, 1.4286)] {
        assert!((run_time_multiplier(share).unwrap() - printed).abs() < 0.00006);
    }
}

/// An endless pattern of equal cones over one cell of it, sampled as the table was: 40 × 40, or
/// 40 × 80 where the cell holds two rows. Mean, least, most, DU, CU with p₀ = R = 1.
#[test]
fn overlapping_cones_agree() {
    let table = [
        (false, 0.8, [1.6363, 1.5595, 1.7856, 97.23, 97.59]),
        (false, 1.0, [PI / 3.0, 0.9721, 1.1711, 94.98, 96.36]),
        (false, 1.2, [0.7272, 0.5651, 0.9788, 84.74, 90.54]),
        (false, 1.4, [0.5343, 0.0543, 0.9753, 58.15, 75.99]),
        (true, 0.8, [1.8894, 1.7976, 2.1864, 96.14, 96.50]),
        (true, 1.0, [1.2092, 1.0145, 1.2677, 93.55, 96.55]),
        (true, 1.2, [0.8397, 0.7678, 0.9802, 94.37, 95.42]),
        (true, 1.4, [0.6169, 0.5057, 0.9768, 87.72, 88.76]),
        (true, 1.6, [0.4723, 0.2180, 0.9735, 62.56, 70.61]),
    ];
    for (triangle, spacing, [mean, least, most, low, christiansen]) in table {
        let row = if triangle { spacing * 3_f64.sqrt() / 2.0 } else { spacing };
        let mut heads = Vec::new();
        for j in -4..=6 {
            for i in -4..=6 {
                let shift = if triangle && j % 2 != 0 { 0.5 } else { 0.0 };
                let at = Point::new((f64::from(i) + shift) * spacing, f64::from(j) * row);
                // A cone with p₀ = R = 1 has a flow of π/3.
                heads.push(Head {
                    at,
                    start: 0.0,
                    sweep: TAU,
                    throw: 1.0,
                    flow: PI / 3.0,
                    profile: Profile::cone(),
                });
            }
        }
        let top = if triangle { 2.0 * row } else { row };
        let area = Region::rectangle(Rect::new(0.0, 0.0, spacing, top)).unwrap();
        // The table's own 40 x 40 cells; those of two rows were not square, so finer ones stand in.
        let (count, off) = if triangle { (160.0, 0.03) } else { (40.0, 0.000_06) };
        let grid = catch_grid(&heads, &area, spacing / count, &[], Wind::STILL).unwrap();
        let ours = grid.uniformity().unwrap();
        assert!((ours.mean - mean).abs() < 0.003 * mean, "{ours:?}");
        assert!((ours.least - least).abs() < off && (ours.most - most).abs() < off, "{ours:?}");
        assert!((100.0 * ours.low_quarter - low).abs() < 0.3, "{triangle} {spacing} {ours:?}");
        assert!((100.0 * ours.christiansen - christiansen).abs() < 0.3, "{triangle} {spacing} {ours:?}");
    }
}

/// Worked rates, in in/h; the first is a published example (0.86), the others closed.
#[test]
fn precipitation_rates_agree() {
    let inches = |gpm: f64, feet: f64| {
        precipitation_rate(gpm * GALLON_PER_MINUTE, feet * FOOT * FOOT).unwrap() * HOUR / INCH
    };
    for (gpm, area, printed) in [
        (6.0 * 1.0 + 4.0 * 0.5, 900.0, 0.8556),
        (3.7, 225.0, 1.5828),
        (3.7, 225.0 * 3_f64.sqrt() / 2.0, 1.8276),
        (6.0, 750.0, 0.7700),
        (0.6 / 60.0, 2.25, 0.4278),
        (10.0, 500.0, 1.9250),
    ] {
        assert!((inches(gpm, area) - printed).abs() < 0.00006, "{gpm} {area}");
    }
    let millimetres = precipitation_rate(12.0 * LITRE_PER_MINUTE, 60.0).unwrap() * HOUR / 0.001;
    assert!((millimetres - 12.0).abs() < 1e-9);
    // The trade's constant: 231/144 × 60.
    assert!((inches(1.0, 1.0) - 96.25).abs() < 1e-9);
}

fn spray() -> Nozzle {
    Nozzle {
        rated_pressure: 210e3,
        flow: 2.3e-4,
        rated_sweep: TAU,
        matched: true,
        throw: 4.5,
        throw_exponent: 0.3,
        range: (140e3, 280e3),
        sweeps: (PI / 4.0, TAU),
        shortest: 0.75,
        profile: Profile::cone(),
    }
}

/// Matched nozzles put down the same whatever their arc; out of range is said, no pressure is refused.
#[test]
fn matched_nozzles_have_one_rate() {
    let rates: Vec<f64> = [PI / 2.0, PI, TAU]
        .iter()
        .map(|&sweep| spray().jet(210e3, sweep).unwrap().flow / (sweep / 2.0 * 4.5 * 4.5))
        .collect();
    assert!(rates.iter().all(|rate| (rate - rates[0]).abs() < 1e-15));
    let low = spray().jet(100e3, PI).unwrap();
    assert!(!low.in_range && low.throw < 4.5);
    assert!((spray().jet(4.0 * 52.5e3, PI).unwrap().flow - 1.15e-4).abs() < 1e-12);
    for (pressure, sweep, words) in [
        (0.0, PI, "the pressure is 0 Pa"),
        (f64::NAN, PI, "the pressure is NaN"),
        (2e5, 0.1, "within the sweeps of the nozzle"),
    ] {
        let said = spray().jet(pressure, sweep).unwrap_err().to_string();
        assert!(said.contains(words), "{said}");
    }
    assert!(Profile::new(&[(0.0, 1.0)]).is_err() && Profile::new(&[(0.0, 1.0), (0.5, 0.2)]).is_err());
    assert!(Profile::new(&[(0.0, 0.0), (1.0, 0.0)]).is_err());
}

/// A wall leaves a shadow behind it and nothing else changes.
#[test]
fn behind_a_wall_nothing_falls() {
    let area = Region::rectangle(Rect::new(-5.0, -5.0, 5.0, 5.0)).unwrap();
    let wall = Region::rectangle(Rect::new(1.0, -1.0, 1.2, 1.0)).unwrap();
    let head = Head {
        at: Point::new(0.0, 0.0),
        start: 0.0,
        sweep: TAU,
        throw: 4.0,
        flow: 1e-4,
        profile: Profile::even(),
    };
    let open = catch_grid(std::slice::from_ref(&head), &area, 0.1, &[], Wind::STILL).unwrap();
    let grid = catch_grid(&[head], &area, 0.1, &[wall], Wind::STILL).unwrap();
    for row in 0..grid.rows {
        for column in 0..grid.columns {
            let at = grid.centre(column, row);
            let k = row * grid.columns + column;
            let shadow = at.x > 1.0 && at.y.abs() < at.x * 1.001;
            let beyond = at.x > 1.2 && at.y.abs() < at.x * 0.8;
            if beyond {
                assert!(grid.rates[k].abs() < f64::EPSILON, "{at:?}");
            } else if !shadow {
                assert!((grid.rates[k] - open.rates[k]).abs() < 1e-18, "{at:?}");
            }
        }
    }
    assert!(grid.missed() > 0.1 && open.missed() < 0.01);
}

/// Keller and Karmeli's formula, by hand: (1 − 1.27 · 0.05 / √4) · 0.9/0.95.
#[test]
fn emission_uniformity_by_hand() {
    let ours = emission_uniformity(&[0.9, 1.0, 0.95], 0.05, 4).unwrap();
    assert!((ours - (1.0 - 1.27 * 0.05 / 2.0) * 0.9 / 0.95).abs() < 1e-12);
    assert!(emission_uniformity(&[], 0.05, 4).is_err() && emission_uniformity(&[1.0], 0.9, 1).is_err());
    assert!(uniformity(&[], Quarter::Exact).is_err() && uniformity(&[0.0, 0.0], Quarter::Exact).is_err());
    assert!(uniformity(&[1.0, f64::NAN], Quarter::Exact).is_err());
}

/// A thousand heads on a grid of 10 cm take less than a second.
#[test]
fn a_thousand_heads_on_ten_centimetres() {
    let mut heads = Vec::new();
    for i in 0..40 {
        for j in 0..25 {
            heads.push(Head {
                at: Point::new(f64::from(i) * 4.5, f64::from(j) * 4.5),
                start: 0.3,
                sweep: if (i + j) % 3 == 0 { PI } else { TAU },
                throw: 4.5,
                flow: 2e-4,
                profile: Profile::new(&[(0.0, 0.6), (0.6, 1.0), (1.0, 0.0)]).unwrap(),
            });
        }
    }
    let area = Region::rectangle(Rect::new(0.0, 0.0, 175.5, 108.0)).unwrap();
    let begin = Instant::now();
    let grid = catch_grid(&heads, &area, 0.1, &[], Wind::STILL).unwrap();
    let took = begin.elapsed();
    println!("1000 heads, {} cells: {took:?}", grid.rates.len());
    assert!(grid.uniformity().unwrap().low_quarter > 0.0);
    assert!(took.as_secs_f64() < 1.0, "{took:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    /// What is thrown lands: the grid adds up to the flow, in any wind, for any sector and profile.
    #[test]
    fn what_is_thrown_lands(
        start in -7.0..7.0, sweep in 0.3..TAU, middle in 0.0..3.0, wind_x in -0.4..0.4, wind_y in -0.4..0.4,
        lost in 0.0..0.3,
    ) {
        let profile = Profile::new(&[(0.0, 1.0), (0.5, middle), (1.0, 0.2)]).unwrap();
        let head = Head { at: Point::new(0.37, -0.21), start, sweep, throw: 4.0, flow: 1e-4, profile };
        let area = Region::rectangle(Rect::new(-7.0, -7.0, 7.0, 7.0)).unwrap();
        let wind = Wind { shift: Vec2::new(wind_x, wind_y), lost };
        let grid = catch_grid(&[head], &area, 0.02, &[], wind).unwrap();
        prop_assert!((grid.caught / (1e-4 * (1.0 - lost)) - 1.0).abs() < 0.01, "{}", grid.caught);
    }
}
