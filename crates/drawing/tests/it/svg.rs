//! The SVG as another reader sees it.

use groundwright_drawing::{AverageWidths, paint, svg};
use serde_json::{Value, json};

use crate::reader::ask;
use crate::sample;

fn read(text: &str, name: &str) -> Value {
    ask("svg", name, text.as_bytes())
}

#[test]
fn it_is_well_formed_and_measures_millimetres() {
    let painted = paint(&sample::garden(), &sample::view(), &AverageWidths);
    let found = read(&svg(&painted.list, "Front & back yard <draft>"), "garden.svg");
    assert_eq!(found["tag"], "{http://www.w3.org/2000/svg}svg");
    assert_eq!((&found["width"], &found["height"]), (&json!("400mm"), &json!("300mm")));
    assert_eq!(found["box"], "0 0 400 300");
    assert_eq!(found["title"], "Front & back yard <draft>");
    assert_eq!(found["styled"], json!([]), "a strict content policy forbids inline styles");
}

#[test]
fn each_layer_is_one_group_in_the_order_of_painting() {
    let painted = paint(&sample::garden(), &sample::view(), &AverageWidths);
    let found = read(&svg(&painted.list, "Garden"), "layers.svg");
    let names: Vec<&str> =
        found["groups"].as_array().unwrap().iter().map(|group| group[0].as_str().unwrap()).collect();
    let expected = [
        "GROUND-LAWN",
        "GROUND-BED",
        "SURFACE",
        "BUILDING",
        "PROPERTY",
        "BURIED",
        "PLANT-MATURE",
        "PLANT-KEPT",
        "PLANT-NEW",
        "SIGNS",
        "DIMENSION",
        "PLANT-TAG",
        "WORDS",
    ];
    assert_eq!(names, expected);
    assert_eq!(found["groups"][3][1], "Buildings");
}

#[test]
fn every_item_is_there_once_with_its_key() {
    let painted = paint(&sample::garden(), &sample::view(), &AverageWidths);
    let found = read(&svg(&painted.list, "Garden"), "keys.svg");
    let keys: Vec<&str> = found["keys"].as_array().unwrap().iter().map(|key| key.as_str().unwrap()).collect();
    let items: Vec<&str> = painted.list.items.iter().map(|item| item.key.as_str()).collect();
    assert_eq!(keys, items);
}

/// Letters of 3.5 mm capitals need a font size of 3.5 mm over the capitals' part of the em.
#[test]
fn letters_keep_their_height_and_place() {
    let painted = paint(&sample::garden(), &sample::view(), &AverageWidths);
    let found = read(&svg(&painted.list, "Garden"), "letters.svg");
    let texts = found["texts"].as_array().unwrap();
    let street = texts.iter().find(|text| text[0] == "MAPLE LANE").unwrap();
    let size: f64 = street[3].as_str().unwrap().parse().unwrap();
    assert!((size * groundwright_drawing::CAP_HEIGHT_OF_EM - 3.5).abs() < 1e-3);
    // (15.0, -1.4) m at 1:100 about (15, 12) m in the middle of 400 by 300 mm.
    assert_eq!((&street[1], &street[2]), (&json!("200"), &json!("284")));
    let walk = texts.iter().find(|text| text[0] == "WALK").unwrap();
    assert_eq!(walk[4], "rotate(-90 219 230)", "read from the right side of the sheet");
}
