//! Whole sections against worked ones, every intermediate number.

use groundwright_walls::{
    Check, Facing, GREATEST_SPACING, Grid, Layer, Load, Pad, Quake, ReinforcedSection, Required, Section,
    Slice, Soil, Strength, bishop, gravity, reinforced, upper_wall, worst_circle,
};
use proptest::prelude::*;
use serde_json::Value;

const EXAMPLES: &str = include_str!("../data/walls-examples.json");

fn number(value: &Value, key: &str) -> f64 {
    value[key].as_f64().unwrap_or_else(|| panic!("{key} in {value}"))
}

/// The formulas are ratios: the worked sections run in the units they are given in.
fn section(case: &Value) -> Section {
    let get = |key: &str| number(case, key);
    let or = |key: &str, other: f64| case[key].as_f64().unwrap_or(other);
    Section {
        facing: Facing {
            courses: get("n") as usize,
            height: get("hu"),
            depth: get("d"),
            setback: get("setback"),
            unit_weight: get("gu"),
            shear: Strength { at_no_load: get("a_u"), angle: get("lam_u").to_radians() },
        },
        pad: Pad {
            thickness: or("pad", 0.5),
            beyond: or("pad_ext", 0.5),
            unit_weight: or("gpad", 130.0),
            friction: or("phi_pad", 34.0).to_radians(),
        },
        retained: Soil { friction: get("phi_r").to_radians(), unit_weight: get("gr"), cohesion: 0.0 },
        foundation: Soil { friction: get("phi_f").to_radians(), unit_weight: get("gf"), cohesion: get("cf") },
        wall_friction: or("delta", 0.0).to_radians(),
        slope: get("beta").to_radians(),
        load: Load { live: or("q", or("q_live", 0.0)), dead: or("q_dead", 0.0) },
        embedment: get("emb"),
        quake: None,
    }
}

fn near(what: &str, ours: f64, printed: &Value) {
    let printed = printed.as_f64().unwrap_or_else(|| panic!("{what}: {printed}"));
    // Nine digits are printed; the inputs of some cases carry as many.
    assert!(
        (ours - printed).abs() <= 1e-7 * printed.abs().max(1.0),
        "{what}: ours {ours}, printed {printed}"
    );
}

#[test]
fn gravity_walls_agree_to_every_printed_digit() {
    let cases: Value = serde_json::from_str(EXAMPLES).unwrap();
    for name in ["G1", "G2", "G3"] {
        let case = &cases[name];
        let wall = gravity(&section(&case["inputs"]), &Required::GRAVITY).unwrap();
        let e = &case["expected"];
        let t = &wall.thrust;
        for (key, ours) in [
            ("H", wall.height),
            ("batter_deg", wall.batter.to_degrees()),
            ("Ka", t.pressure.coefficient),
            ("Ps", t.soil),
            ("Pq", t.load),
            ("Ps_h", t.soil_horizontal),
            ("Ps_v", t.soil_vertical),
            ("Pq_h", t.load_horizontal),
            ("Pq_v", t.load_vertical),
            ("P_h", t.horizontal),
            ("weight_per_course", wall.course_weight),
            ("W", wall.weight),
            ("x_W_stack", wall.arm),
            ("x_W_continuous", wall.arm_continuous),
            ("M_R", wall.resisting_moment),
            ("M_O", wall.overturning_moment),
            ("mu_base", wall.base_friction),
            ("sliding_resistance", wall.sliding_resistance),
            ("FS_sliding", wall.sliding),
            ("FS_overturning", wall.overturning),
        ] {
            near(&format!("{name} {key}"), ours, &e[key]);
        }
        let v = &wall.with_vertical;
        for (key, ours) in [
            ("FS_sliding", v.sliding),
            ("arm_Ps_v", v.soil_arm),
            ("arm_Pq_v", v.load_arm),
            ("FS_overturning", v.overturning),
        ] {
            near(&format!("{name} vertical {key}"), ours, &e["with_vertical_thrust"][key]);
        }
        let b = wall.bearing.unwrap();
        for (key, ours) in [
            ("x_resultant", b.resultant),
            ("e", b.eccentricity),
            ("kern", b.kern),
            ("B_eff", b.width),
            ("q_applied", b.applied),
            ("overburden_q", b.overburden),
            ("Nc", b.factors.cohesion),
            ("Nq", b.factors.overburden),
            ("Ng", b.factors.weight_vesic),
            ("q_ult", b.ultimate),
            ("FS", b.factor),
        ] {
            near(&format!("{name} bearing {key}"), ours, &e["bearing_on_unit_base"][key]);
        }
        let p = wall.under_pad.unwrap();
        for (key, ours) in [
            ("B_eff", p.width),
            ("pad_weight", p.pad_weight),
            ("q_applied", p.applied),
            ("overburden_q", p.overburden),
            ("q_ult", p.ultimate),
            ("FS", p.factor),
        ] {
            near(&format!("{name} pad {key}"), ours, &e["bearing_under_pad"][key]);
        }
        let joints = e["interfaces"].as_array().unwrap();
        assert_eq!(joints.len(), wall.joints.len());
        for (ours, joint) in wall.joints.iter().zip(joints) {
            assert_eq!(ours.courses_above as u64, joint["courses_above"].as_u64().unwrap());
            for (key, ours) in [
                ("depth", ours.depth),
                ("W_above", ours.weight),
                ("driving", ours.driving),
                ("shear_capacity", ours.capacity),
                ("FS_shear", ours.shear),
                ("FS_toppling", ours.tipping),
            ] {
                near(&format!("{name} joint {key}"), ours, &joint[key]);
            }
        }
    }
}

/// G1 passes, G2 fails three ways, G3 slides and bears too little: as stated with the values.
#[test]
fn verdicts_are_those_stated() {
    let cases: Value = serde_json::from_str(EXAMPLES).unwrap();
    let failing = |name: &str| {
        let wall = gravity(&section(&cases[name]["inputs"]), &Required::GRAVITY).unwrap();
        let mut list: Vec<Check> = wall.verdicts.iter().filter(|v| !v.passes()).map(|v| v.check).collect();
        list.dedup();
        list
    };
    assert_eq!(failing("G1"), []);
    assert_eq!(failing("G2"), [Check::Sliding, Check::Overturning, Check::Bearing, Check::Tipping]);
    assert_eq!(failing("G3"), [Check::Sliding, Check::Bearing]);
}

fn r1() -> (Value, ReinforcedSection) {
    let cases: Value = serde_json::from_str(EXAMPLES).unwrap();
    let case = cases["R1"]["inputs"].clone();
    let get = |key: &str| number(&case, key);
    let wall = ReinforcedSection {
        section: section(&case),
        fill: Soil { friction: get("phi_i").to_radians(), unit_weight: get("gi"), cohesion: 0.0 },
        on_units: get("delta_i").to_radians(),
        on_soil: get("delta_e").to_radians(),
        grid: Grid {
            ultimate: get("T_ult"),
            creep: get("RFcr"),
            durability: get("RFd"),
            damage: get("RFid"),
            uncertainty: get("FS_unc"),
            sliding: get("Cds"),
            pullout: get("Ci"),
            connection: Strength { at_no_load: get("a_cs"), angle: get("lam_cs").to_radians() },
        },
        layers: case["layers"]
            .as_array()
            .unwrap()
            .iter()
            .map(|h| Layer { height: h.as_f64().unwrap(), length: get("L") })
            .collect(),
        least_anchorage: 1.0,
        least_length: 4.0,
        greatest_spacing: 2.0,
    };
    (cases["R1"].clone(), wall)
}

#[test]
fn the_reinforced_wall_agrees_to_every_printed_digit() {
    let (case, wall) = r1();
    let found = reinforced(&wall, &Required::REINFORCED).unwrap();
    let e = &case["expected"];
    let t = &found.thrust;
    for (key, ours) in [
        ("H", found.height),
        ("batter_deg", found.batter.to_degrees()),
        ("L", found.length),
        ("L_soil", found.soil_length),
        ("back_height_above_top", found.added_height),
        ("H_external", t.height),
        ("Ka_external", t.pressure.coefficient),
        ("Ps", t.soil),
        ("Pq", t.load),
        ("Ps_h", t.soil_horizontal),
        ("Pq_h", t.load_horizontal),
        ("W_facing", found.weights[0]),
        ("W_soil", found.weights[1]),
        ("W_backslope", found.weights[2]),
        ("W", found.weight),
        ("x_facing", found.arms[0]),
        ("x_soil", found.arms[1]),
        ("x_backslope", found.arms[2]),
        ("M_R", found.resisting_moment),
        ("M_O", found.overturning_moment),
        ("mu", found.base_friction),
        ("R_sliding", found.sliding_resistance),
        ("FS_sliding", found.sliding),
        ("FS_overturning", found.overturning),
        ("Ka_internal", found.internal_coefficient),
        ("failure_plane_deg", found.plane.to_degrees()),
        ("T_allowable", found.allowable),
    ] {
        near(key, ours, &e[key]);
    }
    let b = found.bearing.unwrap();
    for (key, ours) in [
        ("surcharge_on_block", found.load_on_block),
        ("arm_surcharge", found.load_arm),
        ("V", found.weight + found.load_on_block),
        ("x_resultant", b.resultant),
        ("e", b.eccentricity),
        ("kern", b.kern),
        ("B_eff", b.width),
        ("q_applied", b.applied),
        ("q_ult", b.ultimate),
        ("FS", b.factor),
    ] {
        near(key, ours, &e["bearing"][key]);
    }
    let whole = found.bearing_whole_base.unwrap();
    for (key, ours) in [
        ("B_eff", whole.width),
        ("q_applied", whole.applied),
        ("q_ult", whole.ultimate),
        ("FS", whole.factor),
    ] {
        near(key, ours, &e["bearing"]["variant_negative_e_as_zero"][key]);
    }
    for (ours, printed) in found.layers.iter().zip(e["layers"].as_array().unwrap()) {
        for (key, ours) in [
            ("height", ours.height),
            ("contributory", ours.to - ours.from),
            ("from_", ours.from),
            ("to", ours.to),
            ("mid_depth", ours.mid_depth),
            ("F", ours.force),
            ("FS_tension_vs_T_allowable", ours.tension),
            ("FS_against_long_term_strength", ours.tension_long_term),
            ("x_plane", ours.plane_at),
            ("x_end", ours.end_at),
            ("L_anchorage", ours.anchorage),
            ("cover", ours.cover),
            ("pullout", ours.pullout_resistance),
            ("FS_pullout", ours.pullout),
            ("connection", ours.connection_strength),
            ("FS_connection", ours.connection),
            ("internal_sliding_driving", ours.sliding_driving),
            ("internal_sliding_resisting", ours.sliding_resisting),
            ("FS_internal_sliding", ours.sliding),
        ] {
            near(key, ours, &printed[key]);
        }
    }
    let c = &found.crest;
    for (key, ours) in [
        ("height_above_top_layer", c.height),
        ("W", c.weight),
        ("M_R", c.resisting_moment),
        ("M_O", c.overturning_moment),
        ("FS_toppling", c.tipping),
        ("FS_shear_above_top_layer", c.shear),
    ] {
        near(key, ours, &e["crest"][key]);
    }
    let top = found.layers.last().unwrap();
    let t = &case["top_layer"];
    near("top anchorage", top.anchorage_needed, &t["anchorage_needed_for_pullout_1_5"]);
    near("top length", top.length_needed, &t["layer_length_from_face"]);
    // It passes everything outside and fails inside, at the top layer.
    let failing: Vec<_> = found.verdicts.iter().filter(|v| !v.passes()).map(|v| (v.check, v.place)).collect();
    assert_eq!(failing, [(Check::Pullout, Some(3)), (Check::Anchorage, Some(3))]);
}

/// A circle in clay without friction: F = c R² θ / (W d), whatever the slices.
#[test]
fn bishop_without_friction_is_the_closed_form() {
    // A half disc of radius 5 m cut off-centre: the part of the disc below y = 0 and right of x = −3.
    let (radius, cohesion, gamma, from, to) = (5.0_f64, 20.0, 18.0, -3.0_f64, 5.0);
    let n = 4000;
    let width = (to - from) / f64::from(n);
    let slices: Vec<Slice> = (0..n)
        .map(|i| {
            let x = from + (f64::from(i) + 0.5) * width;
            Slice {
                width,
                weight: gamma * width * (radius * radius - x * x).sqrt(),
                inclination: (x / radius).asin(),
                friction: 0.0,
                cohesion,
            }
        })
        .collect();
    let angle = (to / radius).asin() - (from / radius).asin();
    // Σ W x / R with W = γ √(R² − x²): the moment integral in closed form.
    let moment = gamma * ((radius * radius - from * from).powf(1.5) / 3.0) / radius;
    let steep = bishop(&slices);
    assert_eq!(steep, None, "upright ends are refused, not guessed");
    let kept = &slices[..3500];
    let (last, resisting) =
        (from + 3500.0 * width, kept.iter().map(|s| s.cohesion * s.width / s.inclination.cos()).sum::<f64>());
    let arc = radius * ((last / radius).asin() - (from / radius).asin());
    assert!((resisting / (cohesion * arc) - 1.0).abs() < 1e-3);
    let driving = gamma / radius
        * ((radius * radius - from * from).powf(1.5) - (radius * radius - last * last).powf(1.5))
        / 3.0;
    assert!(driving < moment && angle > 0.0);
    let ours = bishop(kept).unwrap();
    assert!((ours / (cohesion * arc / driving) - 1.0).abs() < 2e-3, "{ours}");
}

/// Steep ground without cohesion is less safe than gentle; a longer block pushes the circle out.
#[test]
fn slip_circles_answer_to_slope_and_block() {
    let (_, wall) = r1();
    let at = |slope: f64, block: f64| {
        let section = Section { slope: slope.to_radians(), ..wall.section };
        worst_circle(&section, Some(&wall.fill), block).unwrap().unwrap().factor
    };
    assert!(at(15.0, 4.0) < at(0.0, 4.0));
    assert!(at(0.0, 6.0) > at(0.0, 3.0));
    assert!(at(0.0, 4.0) > 1.0 && at(0.0, 4.0) < 4.0, "{}", at(0.0, 4.0));
}

/// Custom: an upper wall twice the lower one's height away lays nothing on it; next to it, everything.
#[test]
fn tiers_count_whole_and_not_at_all() {
    let load = Load { live: 5000.0, dead: 0.0 };
    let near = upper_wall(1.0, 0.8, 1.0, 19_000.0, load).unwrap();
    assert!((near.load.live - (19_000.0 * 0.8 + 5000.0)).abs() < 1e-9);
    let half = upper_wall(1.0, 0.8, 1.5, 19_000.0, load).unwrap();
    assert!((half.share - 0.5).abs() < 1e-12);
    let far = upper_wall(1.0, 0.8, 2.0, 19_000.0, load).unwrap();
    assert!(far.load.live.abs() < 1e-12);
}

proptest! {
    /// More load, more height, a quake: never safer.
    #[test]
    fn factors_fall_with_load_and_height(
        courses in 2_usize..9, load in 0.0..9000.0, more in 100.0..5000.0, friction in 26.0..38.0, slope in 0.0..12.0,
    ) {
        let cases: Value = serde_json::from_str(EXAMPLES).unwrap();
        let mut base = section(&cases["G3"]["inputs"]);
        for strength in [&mut base.facing.unit_weight, &mut base.retained.unit_weight, &mut base.foundation.unit_weight,
            &mut base.pad.unit_weight, &mut base.facing.shear.at_no_load] {
            *strength *= 1000.0;
        }
        base.retained.friction = f64::to_radians(friction);
        base.wall_friction = base.retained.on_units();
        base.slope = f64::to_radians(slope);
        base.facing.courses = courses;
        base.load.live = load;
        let wall = gravity(&base, &Required::GRAVITY).unwrap();
        let heavier = gravity(&Section { load: Load { live: load + more, dead: 0.0 }, ..base }, &Required::GRAVITY).unwrap();
        prop_assert!(heavier.sliding < wall.sliding && heavier.overturning < wall.overturning);
        let higher = Section { facing: Facing { courses: courses + 1, ..base.facing }, ..base };
        let higher = gravity(&higher, &Required::GRAVITY).unwrap();
        // The load's thrust grows as the height and the weight too: only the soil's share makes it worse.
        prop_assert!(higher.sliding < wall.sliding + 1e-12);
        let quake = Some(Quake { horizontal: 0.05, vertical: 0.0 });
        let shaken = gravity(&Section { quake, ..base }, &Required::GRAVITY).unwrap().quake.unwrap();
        prop_assert!(shaken.sliding < wall.sliding && shaken.overturning < wall.overturning);
        for v in wall.verdicts.iter().chain(&heavier.verdicts) {
            prop_assert!(v.found.is_finite(), "{v:?}");
        }
    }

    /// Longer layers never hold less; more load never lets them hold more.
    #[test]
    fn longer_layers_hold_more(length in 4.0..9.0_f64, more in 0.1..2.0, load in 0.0..200.0, slope in 0.0..15.0) {
        let (_, mut wall) = r1();
        wall.greatest_spacing = GREATEST_SPACING;
        wall.section.slope = f64::to_radians(slope);
        wall.section.load.live = load;
        let mut longer = wall.clone();
        for (a, b) in wall.layers.iter_mut().zip(&mut longer.layers) {
            (a.length, b.length) = (length, length + more);
        }
        let (short, long) = (reinforced(&wall, &Required::REINFORCED).unwrap(), reinforced(&longer, &Required::REINFORCED).unwrap());
        for (a, b) in short.layers.iter().zip(&long.layers) {
            prop_assert!(b.pullout > a.pullout);
        }
        prop_assert!(long.overturning > short.overturning);
        for v in &short.verdicts {
            prop_assert!(v.found.is_finite(), "{v:?}");
        }
        wall.section.load.live = load + 50.0;
        let loaded = reinforced(&wall, &Required::REINFORCED).unwrap();
        prop_assert!(loaded.sliding < short.sliding && loaded.overturning < short.overturning);
    }
}
