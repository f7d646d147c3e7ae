//! What works where a wall fails: each answer put through the checks again.

use groundwright_units::constants::{FOOT, INCH, PSF};
use groundwright_walls::{
    AtHand, Facing, GREATEST_SPACING, Grid, Load, Pad, Required, Section, Soil, Strength, advise, all_pass,
    gravity, least_layers, reinforced,
};
use proptest::prelude::*;

fn soil(degrees: f64) -> Soil {
    Soil { friction: f64::to_radians(degrees), unit_weight: 120.0 * PSF / FOOT, cohesion: 0.0 }
}

fn section(courses: usize, friction: f64, live: f64) -> Section {
    let retained = soil(friction);
    Section {
        facing: Facing {
            courses,
            height: 6.0 * INCH,
            depth: 12.0 * INCH,
            setback: 0.75 * INCH,
            unit_weight: 125.0 * PSF / FOOT,
            shear: Strength { at_no_load: 400.0 * PSF * FOOT, angle: f64::to_radians(35.0) },
        },
        pad: Pad { thickness: 0.15, beyond: 0.15, unit_weight: 20_000.0, friction: f64::to_radians(36.0) },
        wall_friction: retained.on_units(),
        retained,
        foundation: soil(30.0),
        slope: 0.0,
        load: Load { live, dead: 0.0 },
        embedment: 6.0 * INCH,
        quake: None,
    }
}

fn grid() -> Grid {
    Grid {
        ultimate: 2400.0 * PSF * FOOT,
        creep: 1.6,
        durability: 1.1,
        damage: 1.1,
        uncertainty: 1.5,
        sliding: 0.8,
        pullout: 0.7,
        connection: Strength { at_no_load: 400.0 * PSF * FOOT, angle: f64::to_radians(30.0) },
    }
}

fn at_hand() -> AtHand {
    AtHand { better: soil(36.0), grid: Some((grid(), soil(36.0))) }
}

fn stands(section: &Section) -> bool {
    all_pass(&gravity(section, &Required::GRAVITY).unwrap().verdicts)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn what_is_advised_passes_and_what_is_refused_fails(
        courses in 2_usize..12, friction in 22.0..36.0_f64, live in 0.0..6000.0_f64,
    ) {
        let section = section(courses, friction, live);
        let advice = advise(&section, &at_hand()).unwrap();
        let with = |count: usize| Section { facing: Facing { courses: count, ..section.facing }, ..section };
        if let Some(count) = advice.courses {
            prop_assert!(stands(&with(count)));
            prop_assert!(count == courses || !stands(&with(count + 1)));
        }
        if let Some(depth) = advice.depth {
            let deep = Section { facing: Facing { depth, ..section.facing }, ..section };
            prop_assert!(stands(&deep), "{depth}");
        }
        if let Some(friction) = advice.friction {
            let retained = Soil { friction, ..section.retained };
            let firm = Section { retained, wall_friction: retained.on_units(), ..section };
            prop_assert!(stands(&firm), "{friction}");
        }
        if let Some(both) = &advice.layers {
            let again = reinforced(&both.0, &Required::REINFORCED).unwrap();
            prop_assert!(all_pass(&again.verdicts));
            prop_assert!(again.spacing <= GREATEST_SPACING + 1e-9);
        }
    }

    #[test]
    fn more_load_never_lets_a_wall_be_taller(friction in 24.0..36.0_f64, live in 0.0..4000.0_f64) {
        let light = advise(&section(10, friction, live), &at_hand()).unwrap();
        let heavy = advise(&section(10, friction, live + 2000.0), &at_hand()).unwrap();
        prop_assert!(heavy.courses.unwrap_or(0) <= light.courses.unwrap_or(0));
    }
}

/// Every choice of joints and of a length on the search's own step: none takes less cloth.
#[test]
fn no_other_choice_takes_less_cloth() {
    let section = section(7, 26.0, 3000.0);
    let (wall, found) = least_layers(&section, grid(), soil(36.0)).unwrap().unwrap();
    assert!(all_pass(&found.verdicts));
    let area: f64 = wall.layers.iter().map(|layer| layer.length).sum();
    for bits in 1_u32..1 << 6 {
        let joints: Vec<usize> = (0..6).filter(|i| bits >> i & 1 == 1).map(|i| i + 1).collect();
        let length = area / joints.len() as f64 - 0.02;
        if length <= section.facing.depth {
            continue;
        }
        let mut other = wall.clone();
        other.layers = joints
            .iter()
            .map(|joint| groundwright_walls::Layer { height: *joint as f64 * section.facing.height, length })
            .collect();
        let passes = reinforced(&other, &Required::REINFORCED).is_ok_and(|r| all_pass(&r.verdicts));
        assert!(!passes, "{joints:?} of {length} m take less than {area} m");
    }
}
