//! Earth pressure and bearing against tables.

use groundwright_walls::{PressureError, Quake, Wedge, bearing, coulomb, mononobe_okabe, rankine};
use proptest::prelude::*;

fn wedge(friction: f64, wall: f64, batter: f64, slope: f64) -> Wedge {
    Wedge {
        friction: friction.to_radians(),
        wall_friction: wall.to_radians(),
        batter: batter.to_radians(),
        slope: slope.to_radians(),
    }
}

/// Das, Principles of Foundation Engineering, table 6.4, as quoted in the verification tests of an open
/// finite-element library.
#[test]
fn coulomb_agrees_with_the_textbook() {
    for (friction, wall, printed) in [(28.0, 0.0, 0.3610), (30.0, 5.0, 0.3189), (32.0, 10.0, 0.2853)] {
        let ours = coulomb::active(&wedge(friction, wall, 0.0, 0.0)).unwrap().coefficient;
        assert!((ours - printed).abs() < 1e-4, "φ {friction}, δ {wall}: {ours}");
    }
    // Jiménez Salas, Geotecnia y Cimientos II, table 10.3, quoted likewise; to 3 % as printed there.
    let leaning = coulomb::active(&wedge(40.0, 10.0, 20.0, -20.0)).unwrap().coefficient;
    assert!((leaning / 0.085 - 1.0).abs() < 0.03, "{leaning}");
}

/// Rankine by slope and friction. Source: help page of a Dutch hydraulic-engineering package, which cites
/// Bowles, Foundation Analysis and Design, 5th ed.; 0 stands for none.
#[test]
fn rankine_agrees_with_the_table() {
    const TABLE: [(f64, [f64; 8]); 7] = [
        (0.0, [0.3905, 0.3610, 0.3333, 0.3073, 0.2827, 0.2596, 0.2379, 0.2174]),
        (5.0, [0.3959, 0.3656, 0.3372, 0.3105, 0.2855, 0.2620, 0.2399, 0.2192]),
        (10.0, [0.4134, 0.3802, 0.3495, 0.3210, 0.2944, 0.2696, 0.2464, 0.2247]),
        (15.0, [0.4480, 0.4086, 0.3729, 0.3405, 0.3108, 0.2834, 0.2581, 0.2346]),
        (20.0, [0.5152, 0.4605, 0.4142, 0.3739, 0.3381, 0.3060, 0.2769, 0.2504]),
        (25.0, [0.6999, 0.5727, 0.4936, 0.4336, 0.3847, 0.3431, 0.3070, 0.2750]),
        (30.0, [0.0, 0.0, 0.8660, 0.5741, 0.4776, 0.4105, 0.3582, 0.3151]),
    ];
    for (slope, row) in TABLE {
        for (i, printed) in row.into_iter().enumerate() {
            let friction = 26.0 + 2.0 * i as f64;
            let ours = rankine::active(friction.to_radians(), slope.to_radians());
            match printed {
                0.0 => assert!(matches!(ours, Err(PressureError::SlopeMoves { .. })), "{friction} {slope}"),
                printed => assert!((ours.unwrap() - printed).abs() < 5.1e-5, "{friction} {slope}"),
            }
        }
    }
}

#[test]
fn the_grid_of_coulomb_and_mononobe_okabe_agrees() {
    let mut rows = 0;
    for line in include_str!("../data/walls-earth-pressure.csv").lines().skip(1) {
        let cells: Vec<f64> = line.split(',').map(|cell| cell.parse().unwrap_or(f64::NAN)).collect();
        let w = wedge(cells[0], cells[1], cells[2], cells[3]);
        let ours = coulomb::active(&w).unwrap();
        assert!((ours.coefficient - cells[4]).abs() < 1e-5, "{line}: {ours:?}");
        assert!((ours.horizontal - cells[5]).abs() < 1e-5, "{line}");
        assert!((coulomb::critical_plane(&w).unwrap().to_degrees() - cells[6]).abs() < 0.01, "{line}");
        match mononobe_okabe::active(&w, &Quake { horizontal: 0.1, vertical: 0.0 }) {
            Ok(shaken) => assert!((shaken.pressure.coefficient - cells[7]).abs() < 1e-5, "{line}"),
            Err(problem) => {
                assert!(line.ends_with("none"), "{line}: {problem}");
                assert!(problem.to_string().contains("moves by itself"), "{problem}");
            }
        }
        rows += 1;
    }
    assert_eq!(rows, 150);
}

/// A public calculator after Eurocode 8, as quoted in the same finite-element tests (first two rows);
/// closed form in double precision (the others).
#[test]
fn mononobe_okabe_agrees_with_other_shakings() {
    let rows = [
        (30.0, 0.0, 0.0, 0.0, 0.24, -0.12, 0.485_617_7, 1e-6),
        (
            (29.0985_f64.to_radians().tan() / 1.25).atan().to_degrees(),
            0.0,
            0.0,
            0.0,
            5.3_f64.to_radians().tan(),
            0.0,
            0.4879,
            1e-4,
        ),
        (30.0, 20.0, 0.0, 0.0, 0.10, 0.0, 0.365_916, 1e-6),
        (30.0, 20.0, 7.125_016, 0.0, 0.10, 0.05, 0.318_513, 1e-6),
        (34.0, 22.666_67, 7.125_016, 10.0, 0.15, 0.0, 0.352_325, 1e-6),
        (28.0, 18.666_67, 0.0, 5.0, 0.20, 0.0, 0.540_819, 1e-6),
    ];
    for (friction, wall, batter, slope, horizontal, vertical, printed, within) in rows {
        let shaken =
            mononobe_okabe::active(&wedge(friction, wall, batter, slope), &Quake { horizontal, vertical });
        let ours = shaken.unwrap().pressure.coefficient;
        assert!((ours - printed).abs() < within, "{friction} {wall} {batter} {slope}: {ours}");
    }
    let none = mononobe_okabe::active(
        &wedge(28.0, 18.666_67, 0.0, 20.0),
        &Quake { horizontal: 0.15, vertical: 0.0 },
    );
    assert!(matches!(none, Err(PressureError::SlopeMovesShaken { .. })));
}

/// Factors of bearing: a page of a geotechnical reference site and table 21.5 of a handbook of
/// geotechnical investigation and design tables; the tables differ from the formulas by rounding.
#[test]
fn bearing_factors_agree_with_the_tables() {
    const TABLE: [(f64, [f64; 5]); 11] = [
        (26.0, [22.25, 11.85, 12.54, 8.00, 7.94]),
        (27.0, [23.94, 13.20, 14.47, 9.46, 9.32]),
        (28.0, [25.80, 14.72, 16.72, 11.19, 10.94]),
        (29.0, [27.86, 16.44, 19.34, 13.24, 12.84]),
        (30.0, [30.14, 18.40, 22.40, 15.67, 15.07]),
        (31.0, [32.67, 20.63, 25.99, 18.56, 17.69]),
        (32.0, [35.49, 23.18, 30.22, 22.02, 20.79]),
        (33.0, [38.64, 26.09, 35.19, 26.17, 24.44]),
        (34.0, [42.16, 29.44, 41.06, 31.15, 28.77]),
        (35.0, [46.12, 33.30, 48.03, 37.15, 33.92]),
        (36.0, [50.59, 37.75, 56.31, 44.43, 40.05]),
    ];
    for (friction, printed) in TABLE {
        let f = bearing::factors(friction.to_radians()).unwrap();
        let ours = [f.cohesion, f.overburden, f.weight_vesic, f.weight_meyerhof, f.weight_hansen];
        for (ours, printed) in ours.into_iter().zip(printed) {
            assert!((ours - printed).abs() < 0.02, "{friction}: {ours} {printed}");
        }
    }
}

/// Prandtl: without friction a strip bears (2 + π) times its cohesion.
#[test]
fn bearing_without_friction_is_prandtls() {
    let f = bearing::factors(0.0).unwrap();
    assert!((f.cohesion - 2.0 - std::f64::consts::PI).abs() < 1e-12 && (f.overburden - 1.0).abs() < 1e-12);
    // Near zero Nc rises by (2 + π)² / 2 for each radian.
    let near = bearing::factors(1e-4).unwrap();
    assert!((near.cohesion - f.cohesion - 1e-4 * f.cohesion.powi(2) / 2.0).abs() < 1e-5);
}

proptest! {
    /// A smooth upright wall gives Rankine's coefficient from Coulomb's on level ground, both ways.
    #[test]
    fn smooth_and_upright_is_rankine(friction in 10.0..45.0) {
        let w = wedge(friction, 0.0, 0.0, 0.0);
        let (active, passive) = (coulomb::active(&w).unwrap(), coulomb::passive(&w).unwrap());
        prop_assert!((active.coefficient - rankine::active(w.friction, 0.0).unwrap()).abs() < 1e-12);
        prop_assert!((passive.coefficient / rankine::passive(w.friction, 0.0).unwrap() - 1.0).abs() < 1e-9);
        let plane = coulomb::critical_plane(&w).unwrap().to_degrees();
        prop_assert!((plane - 45.0 - friction / 2.0).abs() < 1e-9);
    }

    /// Leaning into the soil lowers the thrust; shaking and slope raise it.
    #[test]
    fn thrust_moves_the_right_way(friction in 26.0..38.0, batter in 0.0..14.0, slope in 0.0..18.0) {
        let k = |batter: f64, slope: f64| {
            coulomb::active(&wedge(friction, friction * 2.0 / 3.0, batter, slope)).unwrap().coefficient
        };
        prop_assert!(k(batter + 0.5, slope) < k(batter, slope));
        prop_assert!(k(batter, slope + 0.5) > k(batter, slope));
        let w = wedge(friction, friction * 2.0 / 3.0, batter, slope);
        let at = |horizontal: f64| mononobe_okabe::active(&w, &Quake { horizontal, vertical: 0.0 });
        prop_assert!((at(0.0).unwrap().pressure.coefficient - k(batter, slope)).abs() < 1e-12);
        if let Ok(shaken) = at(0.05) {
            prop_assert!(shaken.pressure.coefficient > k(batter, slope));
        }
    }

    /// A trial wedge in plain statics never pushes harder than the critical one, and that one as hard.
    #[test]
    fn no_trial_wedge_pushes_harder(
        friction in 24.0..40.0, share in 0.0..1.0, batter in -5.0..20.0, slope in -10.0..20.0, trial in 0.02..0.98,
    ) {
        let w = wedge(friction, friction * share, batter, slope);
        let push = |plane: f64| {
            let (f, d, o, b) = (w.friction, w.wall_friction, w.batter, w.slope);
            // Triangle of toe, crest and the meeting of plane and slope; unit weight and height of one.
            let crest = (o.tan(), 1.0);
            let run = (1.0 - crest.0 * b.tan()) / (plane.tan() - b.tan());
            let weight = 0.5 * (crest.1 * run - crest.0 * run * plane.tan()).abs();
            // Level and upright balance of weight, reaction of the plane, thrust of the wall.
            let (tx, ty) = ((d - o).cos(), (d - o).sin());
            weight * (plane - f).tan() / (tx + ty * (plane - f).tan())
        };
        let k = coulomb::active(&w).unwrap().coefficient;
        let critical = coulomb::critical_plane(&w).unwrap();
        prop_assert!((2.0 * push(critical) - k).abs() < 1e-6, "{} {}", 2.0 * push(critical), k);
        let low: f64 = w.friction.max(w.slope) + 1e-3;
        let plane: f64 = low + trial * (1.3 - low).max(0.0);
        if plane.tan() > w.slope.tan() + 1e-3 && plane < std::f64::consts::FRAC_PI_2 - w.batter {
            prop_assert!(2.0 * push(plane) <= k + 1e-9);
        }
    }

    /// Whatever goes in, an answer is a finite number.
    #[test]
    fn nothing_but_numbers_comes_out(a in -2.0..2.0, b in -2.0..2.0, c in -2.0..2.0, d in -2.0..2.0, q in -0.5..1.5) {
        let w = Wedge { friction: a, wall_friction: b, batter: c, slope: d };
        for found in [coulomb::active(&w), coulomb::passive(&w)].into_iter().flatten() {
            prop_assert!(found.coefficient.is_finite() && found.coefficient >= 0.0, "{w:?} {found:?}");
        }
        if let Ok(shaken) = mononobe_okabe::active(&w, &Quake { horizontal: q, vertical: c }) {
            prop_assert!(shaken.pressure.coefficient.is_finite(), "{w:?}");
        }
        if let Ok(plane) = coulomb::critical_plane(&w) {
            prop_assert!(plane.is_finite());
        }
        if let Ok(factors) = bearing::factors(a) {
            prop_assert!(factors.weight_vesic.is_finite() && factors.cohesion.is_finite());
        }
    }
}
