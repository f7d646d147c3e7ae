//! A base that steps, against a worked one and its laws.

use groundwright_units::constants::{FOOT, INCH, SQUARE_FOOT};
use groundwright_walls::{
    BaseError, Levels, Rule, Stepping, drainage_stone, embedment, filter_cloth, pad_volume, step_base,
};
use proptest::prelude::*;
use serde_json::Value;

fn stepping() -> Stepping {
    Stepping {
        course: 8.0 * INCH,
        unit: 18.0 * INCH,
        least_embedment: 6.0 * INCH,
        fall: 0.0,
        pad: 6.0 * INCH,
    }
}

#[test]
fn the_stepped_base_agrees() {
    let cases: Value = serde_json::from_str(include_str!("../data/walls-quantities.json")).unwrap();
    let e = &cases["stepped_base"]["expected"];
    let level =
        |station: f64, foot: f64| Levels { station: station * FOOT, foot: foot * FOOT, top: 104.0 * FOOT };
    let found = step_base(&[level(0.0, 100.0), level(39.0, 101.95)], &stepping()).unwrap();
    let columns: Vec<u64> = found.columns.iter().map(|c| *c as u64).collect();
    assert_eq!(serde_json::json!(columns), e["columns"]);
    assert_eq!(found.unit_equivalents, 152);
    assert!((found.face / SQUARE_FOOT - 152.0).abs() < 1e-9);
    assert!((found.exposed_face / SQUARE_FOOT - 117.975).abs() < 1e-9);
    let cubic_foot = FOOT * FOOT * FOOT;
    let pad = pad_volume(found.length, 12.0 * INCH, 6.0 * INCH, 6.0 * INCH) / cubic_foot;
    assert!((pad - e["pad_volume_compacted"].as_f64().unwrap()).abs() < 1e-6, "{pad}");
    let stone = drainage_stone(&found, FOOT, 6.0 * INCH) / cubic_foot;
    assert!((stone - e["drain_volume"].as_f64().unwrap()).abs() < 1e-6, "{stone}");
    // Its face again, and a foot under and over it all along.
    assert!((filter_cloth(&found, FOOT, 6.0 * INCH) / SQUARE_FOOT - (132.5 + 78.0)).abs() < 1e-9);
    let sections = e["sections"].as_array().unwrap();
    assert_eq!(found.panels.len(), sections.len());
    for (panel, printed) in found.panels.iter().zip(sections) {
        assert_eq!(panel.courses as u64, printed["courses"].as_u64().unwrap());
        for (key, ours) in [("from", panel.from), ("to", panel.to), ("base_elevation", panel.base)] {
            assert!((ours / FOOT - printed[key].as_f64().unwrap()).abs() < 1e-6, "{key} {ours}");
        }
        assert!((panel.base - panel.pad_base - 0.5 * FOOT).abs() < 1e-12);
    }
}

/// H/10 and 6 in: public installation notes of makers; H/7 before a fall over 3 to 1: a third note.
#[test]
fn embedment_goes_by_height_and_fall() {
    let at = |height: f64, fall: f64| embedment(height * FOOT, fall).unwrap();
    assert_eq!(at(3.0, 0.0).rule, Rule::Least);
    assert!((at(3.0, 0.0).depth / INCH - 6.0).abs() < 1e-9);
    assert!((at(8.0, 0.0).depth / FOOT - 0.8).abs() < 1e-9);
    assert!((at(7.0, 0.5).depth / FOOT - 1.0).abs() < 1e-9);
    assert_eq!(at(7.0, 0.5).rule, Rule::OfHeightSteep);
}

#[test]
fn slips_are_named() {
    let l = |station: f64, foot: f64, top: f64| Levels { station, foot, top };
    let wrong = step_base(&[l(0.0, 0.0, 1.0), l(0.0, 0.0, 1.0)], &stepping());
    assert!(matches!(wrong, Err(BaseError::Stations { .. })));
    let wrong = step_base(&[l(0.0, 0.0, 1.0), l(3.0, 1.0, 1.0)], &stepping()).unwrap_err();
    assert_eq!(
        wrong.to_string(),
        "at station 3.000 m the top 1.000 m is not above the ground in front 1.000 m; end the wall before it"
    );
    assert!(step_base(&[l(f64::NAN, 0.0, 1.0), l(3.0, 1.0, 2.0)], &stepping()).is_err());
    assert!(step_base(&[l(0.0, 0.0, 1.0)], &stepping()).is_err());
    assert!(step_base(&[], &stepping()).is_err());
}

proptest! {
    /// Embedment everywhere, tops never under the wanted one nor a course above it, panels end to end on
    /// unit joints, levels whole courses apart, columns and panels the same count.
    #[test]
    fn every_panel_is_exact(feet in prop::collection::vec((0.3..6.0_f64, -1.0..1.0_f64, 0.3..2.5_f64), 2..9)) {
        let mut station = 0.0;
        let levels: Vec<Levels> = feet
            .iter()
            .map(|&(run, foot, height)| {
                station += run;
                Levels { station, foot, top: foot + height }
            })
            .collect();
        let rules = stepping();
        let found = step_base(&levels, &rules).unwrap();
        let mut at = levels[0].station;
        let datum = found.panels[0].base;
        for panel in &found.panels {
            prop_assert!((panel.from - at).abs() < 1e-9);
            at = panel.to;
            let joints = (panel.from - levels[0].station) / rules.unit;
            prop_assert!((joints - joints.round()).abs() < 1e-6);
            prop_assert!(panel.embedment >= rules.least_embedment - 1e-6, "{panel:?}");
            let steps = (panel.base - datum) / rules.course;
            prop_assert!((steps - steps.round()).abs() < 1e-6);
            prop_assert!((panel.top - panel.base - panel.courses as f64 * rules.course).abs() < 1e-9);
        }
        prop_assert!((at - levels[levels.len() - 1].station).abs() < 1e-9);
        for l in &levels {
            let over = found.panels.iter().any(|p| p.from <= l.station + 1e-9 && l.station <= p.to + 1e-9 && p.top >= l.top - 1e-6);
            prop_assert!(over, "{l:?}");
        }
    }
}
