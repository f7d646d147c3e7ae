//! Imports into a project: the frame, the elements, what is left.

use groundwright_geometry::Point;
use groundwright_plan::{Loaded, Sources, read_project};
use groundwright_site::import::{BringError, Wishes, bring_in, check_kind};
use groundwright_survey::import::{FileUnit, Imported, Layers, PointOrder, read_dxf, read_points};

const PROPERTY: &str = "format = 1\nunits = \"decimal ft\"\nname = \"Yard\"\n\
    [[reference]]\nid = \"hc1\"\nat = [0, 0]\n[[reference]]\nid = \"hc2\"\nat = [40, 0]\n\
    [[reference]]\nid = \"pin\"\nat = [0, 30]\n";

fn load(property: &str) -> Loaded {
    let sources = Sources { property: Some(property.to_owned()), ..Sources::default() };
    read_project(sources).unwrap_or_else(|faults| panic!("{faults:?}"))
}

fn layers(kinds: &[(&str, &str)]) -> Layers {
    Layers {
        kinds: kinds.iter().map(|(layer, kind)| ((*layer).to_owned(), (*kind).to_owned())).collect(),
        left_out: Vec::new(),
    }
}

/// The yard above, turned by 90° counter-clockwise and shifted by (1000, 2000) ft: plan (x, y) is
/// drawn at (1000 − y, 2000 + x). By hand.
const TURNED: &str = "hc1,2000,1000,100,CORNER\nhc2,2040,1000,100.5,CORNER\npin,2000,970,99,PIN\n\
    104,2010,980,101.25,SPOT\n105,2020,960,,OAK\n";

fn points(text: &str, layers: &Layers) -> Imported {
    read_points(text, PointOrder::NorthingFirst, FileUnit::Foot, layers)
}

#[test]
fn shared_points_fit_the_import_into_the_plan() {
    let loaded = load(PROPERTY);
    let imported = points(TURNED, &layers(&[("SPOT", "level")]));
    let brought = bring_in(&imported, &loaded, &Wishes::default()).unwrap();
    let turned = brought.fitted.transform.rotation.to_degrees();
    assert!((turned + 90.0).abs() < 1e-9, "{turned}");
    assert_eq!(brought.fitted.residuals.len(), 3);
    assert!(brought.fitted.residuals.iter().all(|(_, off)| off.hypot() < 1e-9));
    let with = load(&format!("{PROPERTY}{}", brought.text));
    let references = &with.project.property.references;
    let oak = references.iter().find(|r| r.id.as_str() == "p-105").unwrap();
    let foot = 0.3048;
    assert!((oak.at.value - Point::new(20.0 * foot, 40.0 * foot)).hypot() < 1e-6, "{:?}", oak.at.value);
    assert_eq!(references.len(), 4, "shared points are not written again");
    let levels = &with.project.property.ground.levels;
    let heights: Vec<f64> = levels.iter().map(|level| level.level.value / foot).collect();
    assert_eq!(
        heights.iter().map(|h| (h * 100.0).round() / 100.0).collect::<Vec<_>>(),
        [100.0, 100.5, 99.0, 101.25]
    );
    assert_eq!(brought.elements, 5);
}

#[test]
fn without_two_shared_points_the_frame_is_asked_for() {
    let loaded = load(PROPERTY);
    let some = points("hc1,2000,1000\n7,2010,1000\n", &Layers::default());
    assert_eq!(bring_in(&some, &loaded, &Wishes::default()), Err(BringError::NoFrame { known: 1 }));
    let paired = Wishes { pairs: [("7".to_owned(), "hc2".to_owned())].into(), ..Wishes::default() };
    // The tape says 40 ft, the drawing 10: what is left says that they are not the same point.
    let off = bring_in(&some, &loaded, &paired).unwrap().fitted.residuals[0].1.hypot();
    assert!((off - 15.0 * 0.3048).abs() < 1e-9, "{off}");
    let scaled = Wishes { scaled: true, ..paired };
    let fitted = bring_in(&some, &loaded, &scaled).unwrap().fitted;
    assert!((fitted.transform.scale - 4.0).abs() < 1e-9);
    let nobody = Wishes { pairs: [("8".to_owned(), "hc2".to_owned())].into(), ..Wishes::default() };
    assert!(
        bring_in(&some, &loaded, &nobody).unwrap_err().to_string().contains("no point of the import `8`")
    );
    let map = points("1,4000000,600000\n", &Layers::default());
    let drawn = Wishes { as_drawn: true, ..Wishes::default() };
    assert!(bring_in(&map, &loaded, &drawn).unwrap_err().to_string().contains("coordinates of a map"));
    let origin = Wishes { origin: Some("1".to_owned()), ..Wishes::default() };
    assert!(bring_in(&map, &loaded, &origin).unwrap().text.contains("at = [0, 0]"));
}

/// A drawing of lines in metres, written for this test.
const DRAWING: &str = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n6\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n\
    0\nLWPOLYLINE\n8\nHOUSE\n90\n4\n70\n1\n10\n0\n20\n0\n10\n8\n20\n0\n10\n8\n20\n6\n10\n0\n20\n6\n\
    0\nLINE\n8\nKERB\n10\n0\n20\n-3\n30\n1.5\n11\n12\n21\n-3\n31\n1.25\n\
    0\nLINE\n8\nWALK\n10\n0\n20\n0\n30\n0\n11\n1\n21\n1\n31\n0\n\
    0\nLINE\n8\nOTHER\n10\n0\n20\n0\n30\n0\n11\n1\n21\n1\n31\n0\n0\nENDSEC\n0\nEOF\n";

#[test]
fn lines_become_what_their_layers_are() {
    let loaded = load("format = 1\nunits = \"m\"\nname = \"Yard\"\n");
    let kinds = layers(&[("HOUSE", "building"), ("KERB", "break line"), ("WALK", "walk")]);
    let imported = read_dxf(DRAWING.as_bytes(), None, &kinds).unwrap();
    let wishes = Wishes { as_drawn: true, raise: 100.0, ..Wishes::default() };
    let brought = bring_in(&imported, &loaded, &wishes).unwrap();
    let fate = |layer: &str| {
        let fate = brought.fates.iter().find(|fate| fate.what.contains(layer)).unwrap();
        fate.became.clone()
    };
    assert_eq!(fate("HOUSE"), Ok("building `house`".to_owned()));
    assert_eq!(fate("WALK"), Err("it is not closed, and an outline is needed".to_owned()));
    assert_eq!(fate("OTHER"), Err("nothing says what its layer is".to_owned()));
    let with = load(&format!("format = 1\nunits = \"m\"\nname = \"Yard\"\n{}", brought.text));
    let property = &with.project.property;
    assert_eq!(property.buildings.len(), 1);
    let kerb = &property.ground.break_lines[0];
    let levels: Vec<f64> = kerb.course.iter().map(|(_, level)| *level).collect();
    assert!((levels[0] - 101.5).abs() < 1e-9 && (levels[1] - 101.25).abs() < 1e-9, "{levels:?}");
}

#[test]
fn names_become_ids_that_are_free_and_kinds_are_known() {
    let loaded = load(PROPERTY);
    let twice = points("A 1,0,0\na_1,0,10\nÉ,0,20\n,5,5\n", &Layers::default());
    let wishes = Wishes { as_drawn: true, ..Wishes::default() };
    let text = bring_in(&twice, &loaded, &wishes).unwrap().text;
    for id in ["\"a-1\"", "\"a-1-2\"", "\"p\""] {
        assert!(text.contains(id), "{id} in {text}");
    }
    load(&format!("{PROPERTY}{text}"));
    let wrong = check_kind("hedgehog", &loaded).unwrap_err().to_string();
    assert!(wrong.contains("`hedgehog` is no kind") && wrong.contains("break line"), "{wrong}");
    assert!(check_kind("tree nothing-like-it", &loaded).is_err());
    assert!(check_kind("setback", &loaded).is_ok());
}
