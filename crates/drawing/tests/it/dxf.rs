//! The DXF as an independent reader sees it.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use groundwright_drawing::{AverageWidths, DrawingUnit, DxfError, View, dxf, paint};
use groundwright_handoff::{Mark, Shape};
use kurbo::Shape as _;
use serde_json::{Value, json};

use crate::reader::ask;
use crate::sample;

/// International foot, exact by definition. [m]
const FOOT: f64 = 0.3048;

fn bytes(marks: &[Mark], view: &View, unit: DrawingUnit) -> Vec<u8> {
    let painted = paint(marks, view, &AverageWidths);
    dxf(marks, &painted.callouts, view, unit).unwrap()
}

/// The garden in metres, read once for the checks that look at it.
fn garden() -> &'static Value {
    static GARDEN: LazyLock<Value> =
        LazyLock::new(|| read(&sample::view(), DrawingUnit::Metre, "garden.dxf"));
    &GARDEN
}

fn read(view: &View, unit: DrawingUnit, name: &str) -> Value {
    ask("dxf", name, &bytes(&sample::garden(), view, unit))
}

fn close(value: &Value, expected: f64) -> bool {
    (value.as_f64().unwrap() - expected).abs() < 2e-6
}

#[test]
fn a_strict_reader_finds_nothing_to_mend() {
    for unit in [DrawingUnit::Metre, DrawingUnit::Foot] {
        let found = read(&sample::view(), unit, &format!("audit-{unit:?}.dxf"));
        assert_eq!(found["version"], "AC1024");
        assert_eq!(found["errors"], json!([]));
        assert_eq!(found["fixes"], json!([]));
        // Group codes of $INSUNITS: 6 is metres, 2 is feet.
        assert_eq!(found["units"], if unit == DrawingUnit::Metre { 6 } else { 2 });
    }
    let empty = ask("dxf", "empty.dxf", &bytes(&[], &sample::view(), DrawingUnit::Metre));
    assert_eq!((&empty["errors"], &empty["fixes"]), (&json!([]), &json!([])));
}

#[test]
fn two_writes_give_the_same_bytes() {
    let first = bytes(&sample::garden(), &sample::view(), DrawingUnit::Foot);
    std::thread::sleep(std::time::Duration::from_millis(1_100));
    assert!(first == bytes(&sample::garden(), &sample::view(), DrawingUnit::Foot));
    let text = String::from_utf8(first).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let after = |name: &str| lines[lines.iter().position(|line| *line == name).unwrap() + 2];
    for clock in ["$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"] {
        assert_eq!(after(clock), "2451545.0", "{clock}");
    }
    for identifier in ["$FINGERPRINTGUID", "$VERSIONGUID"] {
        assert_eq!(after(identifier), "{00000000-0000-0000-0000-000000000001}", "{identifier}");
    }
}

/// What the marks should become, counted from the marks.
fn expected() -> BTreeMap<String, BTreeMap<String, u64>> {
    let mut counts: BTreeMap<String, BTreeMap<String, u64>> = BTreeMap::new();
    for mark in sample::garden() {
        let mut add = |kind: &str, count: usize| {
            let of = counts.entry(mark.layer.name.to_owned()).or_default();
            *of.entry(kind.to_owned()).or_default() += count as u64;
        };
        match &mark.shape {
            Shape::Path { path, .. } => add("LWPOLYLINE", path.subpaths().count()),
            Shape::Circle { .. } => add("CIRCLE", 1),
            Shape::Glyph { .. } => add("INSERT", 1),
            Shape::Text { text, .. } => add("TEXT", text.lines().count()),
            Shape::Callout { lines, .. } => {
                // Leader, arrow (every tag of the garden names a sign) and box.
                add("LWPOLYLINE", 3);
                add("TEXT", lines.len());
            }
            Shape::Dimension { .. } => {
                add("LWPOLYLINE", 5);
                add("TEXT", 1);
            }
        }
    }
    counts
}

#[test]
fn every_mark_is_there_on_its_layer() {
    let found = garden();
    assert_eq!(found["entities"], json!(expected()));
    for name in expected().keys() {
        assert!(found["layers"].get(name).is_some(), "layer {name}");
    }
    // The first mark of the layer of buildings is drawn heavy: 0.35 mm.
    assert_eq!(found["layers"]["BUILDING"]["weight"], 35);
    assert_eq!(found["layers"]["PROPERTY"]["weight"], 50);
}

#[test]
fn coordinates_are_the_yards_in_the_unit_asked_for() {
    for (unit, metre) in [(DrawingUnit::Metre, 1.0), (DrawingUnit::Foot, 1.0 / FOOT)] {
        // Neither the sheet's rotation nor its window moves or cuts the yard.
        let view = View { rotation: 0.7, width_mm: 60.0, ..sample::view() };
        let found = read(&view, unit, &format!("coordinates-{unit:?}.dxf"));
        let lines = found["polylines"].as_array().unwrap();
        let house = lines.iter().find(|line| line["layer"] == "BUILDING").unwrap();
        assert_eq!(house["closed"], true);
        let corners: Vec<(f64, f64)> = serde_json::from_value(house["points"].clone()).unwrap();
        let mut expected = vec![(8.0, 8.5), (28.0, 8.5), (28.0, 16.5), (8.0, 16.5)];
        for (x, y) in &corners {
            expected.retain(|(a, b)| (a * metre - x).abs() > 2e-6 || (b * metre - y).abs() > 2e-6);
        }
        assert!(corners.len() == 4 && expected.is_empty(), "{corners:?}");
        let circles = found["circles"].as_array().unwrap();
        let oak = circles.iter().find(|circle| circle["layer"] == "PLANT-KEPT").unwrap();
        assert!(close(&oak["radius"], 2.6 * metre) && close(&oak["centre"][0], 4.2 * metre));
        let corner = found["inserts"]
            .as_array()
            .unwrap()
            .iter()
            .find(|insert| insert["block"] == "SIGN-DOOR")
            .unwrap();
        assert!(close(&corner["at"][0], 16.7 * metre) && close(&corner["at"][1], 8.8 * metre));
        assert!(close(&corner["size"], 0.1 * metre), "a millimetre of paper at 1:100 is 0.1 m");
    }
}

#[test]
fn letters_have_their_size_on_paper_and_stay_level_on_a_turned_sheet() {
    let view = View { rotation: 0.5, ..sample::view() };
    let found = read(&view, DrawingUnit::Metre, "letters.dxf");
    let texts = found["texts"].as_array().unwrap();
    let street = texts.iter().find(|text| text["text"] == "MAPLE LANE").unwrap();
    assert!(close(&street["height"], 0.35), "3.5 mm at 1:100");
    assert_eq!(street["align"], "CENTER");
    assert!(close(&street["at"][0], 15.0) && close(&street["at"][1], -1.4));
    let degrees = (street["rotation"].as_f64().unwrap() + 360.0).rem_euclid(360.0);
    assert!((degrees - (360.0 - 0.5_f64.to_degrees())).abs() < 1e-5, "{degrees}");
    let walk = texts.iter().find(|text| text["text"] == "WALK").unwrap();
    // Given as 90° in the yard, so 119° on this sheet: turned by half a circle to be readable.
    assert!((walk["rotation"].as_f64().unwrap() + 90.0).abs() < 1e-5, "{walk}");
}

/// Curves leave their polylines by at most 2 mm, in whichever unit.
#[test]
fn curves_are_flattened_to_two_millimetres() {
    let marks = sample::garden();
    let bed = marks.iter().find_map(|mark| match &mark.shape {
        Shape::Path { path, .. } if mark.layer.name == "GROUND-BED" => Some(path.clone()),
        _ => None,
    });
    let bed = bed.unwrap();
    for (unit, metre) in [(DrawingUnit::Metre, 1.0), (DrawingUnit::Foot, 1.0 / FOOT)] {
        let found = read(&sample::view(), unit, &format!("curves-{unit:?}.dxf"));
        let line =
            found["polylines"].as_array().unwrap().iter().find(|line| line["layer"] == "GROUND-BED").unwrap();
        let points: Vec<(f64, f64)> = serde_json::from_value(line["points"].clone()).unwrap();
        let closed = points.iter().chain(points.first());
        let flat: Vec<kurbo::Point> = closed.map(|(x, y)| kurbo::Point::new(x / metre, y / metre)).collect();
        let furthest = bed.segments().flat_map(|segment| {
            (0..=400).map(move |i| kurbo::ParamCurve::eval(&segment, f64::from(i) / 400.0))
        });
        let away = |point: kurbo::Point| {
            flat.windows(2)
                .map(|pair| {
                    kurbo::ParamCurveNearest::nearest(&kurbo::Line::new(pair[0], pair[1]), point, 1e-9)
                        .distance_sq
                        .sqrt()
                })
                .fold(f64::INFINITY, f64::min)
        };
        let worst = furthest.map(away).fold(0.0, f64::max);
        assert!(worst <= 0.002 + 2e-6 && worst > 0.0, "{worst} m");
    }
}

/// Dashed: 12 and 3 times the width of 0.25 mm, so 3 and 0.75 mm of paper, 0.3 and 0.075 m at 1:100.
#[test]
fn line_types_and_weights_match_the_paper() {
    let found = garden();
    let dashes: Vec<f64> = serde_json::from_value(found["line_types"]["DASHED"].clone()).unwrap();
    assert!((dashes[0] - 0.3).abs() < 1e-9 && (dashes[1] - 0.075).abs() < 1e-9, "{dashes:?}");
    let lines = found["polylines"].as_array().unwrap();
    let services: Vec<&Value> =
        lines.iter().filter(|line| line["layer"] == "BURIED").map(|line| &line["type"]).collect();
    assert_eq!(services, [&json!("DASH-DOT"), &json!("DASHED")]);
    assert!(lines.iter().filter(|line| line["layer"] == "BUILDING").all(|line| line["weight"] == 35));
}

#[test]
fn blocks_exist_for_the_signs_that_occur_and_no_others() {
    let found = garden();
    let blocks = found["blocks"].as_object().unwrap();
    let names: Vec<&String> = blocks.keys().filter(|name| name.starts_with("SIGN-")).collect();
    assert_eq!(names.len(), 13, "the garden has every sign: {names:?}");
    let none = ask("dxf", "none.dxf", &bytes(&[], &sample::view(), DrawingUnit::Metre));
    assert!(none["blocks"].as_object().unwrap().keys().all(|name| !name.starts_with("SIGN-")));
}

#[test]
fn the_extents_hold_the_lot() {
    let found = garden();
    let [low, high]: [(f64, f64); 2] = serde_json::from_value(found["extents"].clone()).unwrap();
    assert!(low.0 <= 0.0 && low.1 <= -1.4 && high.0 >= 30.0 && high.1 >= 24.0, "{low:?} {high:?}");
}

#[test]
fn bad_numbers_are_refused_by_name() {
    let mut marks = sample::garden();
    if let Shape::Path { path, .. } = &mut marks[0].shape {
        path.line_to((f64::NAN, 1.0));
    }
    let refused = dxf(&marks, &[], &sample::view(), DrawingUnit::Metre).unwrap_err();
    assert_eq!(refused, DxfError::NotDrawable { key: "GROUND-LAWN/lawn/front/0".to_owned() });
    assert_eq!(
        refused.to_string(),
        "mark `GROUND-LAWN/lawn/front/0` has a coordinate that is not a number or lies beyond 1,000 km, \
         or a size that is not above zero; \
         correct the element it belongs to"
    );
    let view = View { scale: f64::NAN, ..sample::view() };
    assert_eq!(dxf(&[], &[], &view, DrawingUnit::Metre).unwrap_err(), DxfError::View);
}

/// The bed's outline is what the contractor orders mulch for: its area survives the way there.
#[test]
fn areas_survive_flattening_and_units() {
    let found = read(&sample::view(), DrawingUnit::Foot, "areas.dxf");
    let line =
        found["polylines"].as_array().unwrap().iter().find(|line| line["layer"] == "GROUND-BED").unwrap();
    let points: Vec<(f64, f64)> = serde_json::from_value(line["points"].clone()).unwrap();
    let next = points.iter().cycle().skip(1);
    let doubled: f64 = points.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    let marks = sample::garden();
    let bed = marks.iter().find_map(|mark| match &mark.shape {
        Shape::Path { path, .. } if mark.layer.name == "GROUND-BED" => Some(path.area()),
        _ => None,
    });
    let ratio = (doubled.abs() / 2.0 * FOOT * FOOT) / bed.unwrap().abs();
    assert!((ratio - 1.0).abs() < 1e-3, "{ratio}");
}
