//! Imports: every entity of a file is taken, mapped or left, with the reason.

use std::collections::BTreeMap;

use groundwright_geometry::Point;
use groundwright_survey::import::{
    FLATNESS, FileUnit, ImportError, Imported, Layers, Outcome, PointOrder, SURVEY_FOOT, fit_by_name,
    read_dxf, read_geojson, read_landxml, read_points,
};
use groundwright_units::constants::FOOT;
use proptest::prelude::*;

fn layers() -> Layers {
    Layers {
        kinds: BTreeMap::from([("WALLS".to_owned(), "building".to_owned())]),
        left_out: vec!["furniture".to_owned()],
    }
}

fn reasons(imported: &Imported) -> Vec<String> {
    let left = imported.report.iter().filter_map(|entry| match &entry.outcome {
        Outcome::Left(why) => Some(format!("{}: {why}", entry.what)),
        _ => None,
    });
    left.collect()
}

#[test]
fn points_come_in_the_order_that_is_stated() {
    let text = "P,N,E,Z,code\n1,500.00,2000.00,100.5,WALLS\n2,510,2010,,TREE 12in\n3,x,1\n4,1,2,high\n5,1,2,3,Furniture\n";
    let imported = read_points(text, PointOrder::NorthingFirst, FileUnit::Foot, &layers());
    assert_eq!(imported.counts(), (1, 1, 4));
    let first = &imported.points[0];
    assert!((first.at - Point::new(2000.0 * FOOT, 500.0 * FOOT)).hypot() < 1e-9);
    assert!((first.height.unwrap() - 100.5 * FOOT).abs() < 1e-9);
    assert_eq!((first.kind.as_deref(), imported.points[1].height), (Some("building"), None));
    assert_eq!(imported.points[1].layer, "TREE 12in");
    assert!(reasons(&imported)[1].starts_with("line 4: point 3: its second and third"));
    let turned = read_points(text, PointOrder::EastingFirst, FileUnit::SurveyFoot, &layers());
    assert!((turned.points[0].at - Point::new(500.0 * SURVEY_FOOT, 2000.0 * SURVEY_FOOT)).hypot() < 1e-9);
}

/// Two points a hundredth of a second apart in latitude are 0.309 m apart at 45° (a degree of latitude is 111,131.745 m
/// there, of longitude 78,846.8 m). Source: NIMA, length of a degree on WGS 84 (from memory).
#[test]
fn degrees_become_metres_on_the_ellipsoid() {
    let text = r#"{ "type": "FeatureCollection", "features": [
        { "type": "Feature", "properties": { "name": "a", "layer": "WALLS" },
          "geometry": { "type": "Point", "coordinates": [-122.0, 45.0005, 31.5] } },
        { "type": "Feature", "properties": {},
          "geometry": { "type": "Point", "coordinates": [-121.999, 45.0] } },
        { "type": "Feature", "properties": { "code": "lot" },
          "geometry": { "type": "Polygon", "coordinates": [[[-122, 45], [-121.9995, 45], [-121.9995, 45.0003], [-122, 45]]] } },
        { "type": "Feature", "properties": {}, "geometry": { "type": "Point", "coordinates": [500000, 4000000] } },
        { "type": "Feature", "properties": {}, "geometry": null }
    ] }"#;
    let origin = (-122_f64.to_radians(), 45_f64.to_radians());
    let imported = read_geojson(text, origin.0, origin.1, &layers()).unwrap();
    assert_eq!(imported.counts(), (2, 1, 2));
    let (north, east) = (imported.points[0].at, imported.points[1].at);
    assert!((north.y - 111_131.745 * 0.0005).abs() < 2e-4 && north.x.abs() < 1e-9, "{north:?}");
    assert!((east.x - 78_846.8 * 0.001).abs() < 1e-3 && east.y.abs() < 1e-3, "{east:?}");
    assert_eq!(imported.points[0].height, Some(31.5));
    assert!(imported.lines[0].closed && imported.lines[0].points.len() == 3);
    assert!(read_geojson("{}", 0.0, 0.0, &layers()).is_err());
    assert!(read_geojson("nonsense", 0.0, 0.0, &layers()).is_err());
}

/// A drawing in feet, written by hand after the published group codes.
fn drawing(entities: &str) -> String {
    let head = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1021\n9\n$INSUNITS\n70\n2\n0\nENDSEC\n";
    format!("{head}0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n")
}

#[test]
fn a_drawing_comes_by_layer_with_its_curves() {
    let entities = "\
0\nLINE\n8\nwalls\n10\n0\n20\n0\n30\n1\n11\n30\n21\n0\n31\n2\n\
0\nLWPOLYLINE\n8\nbeds\n90\n2\n70\n1\n10\n0\n20\n0\n42\n1\n10\n20\n20\n0\n42\n1\n\
0\nARC\n8\nwalk\n10\n0\n20\n0\n30\n0\n40\n10\n50\n350\n51\n80\n\
0\nCIRCLE\n8\ntrees\n10\n5\n20\n5\n30\n0\n40\n3\n\
0\nPOINT\n8\nlevels\n10\n1\n20\n2\n30\n3\n\
0\nTEXT\n8\nnotes\n10\n1\n20\n2\n30\n0\n40\n1\n1\nhello\n\
0\nLINE\n8\nFURNITURE\n10\n0\n20\n0\n30\n0\n11\n1\n21\n1\n31\n0\n";
    let imported = read_dxf(drawing(entities).as_bytes(), None, &layers()).unwrap();
    assert_eq!(imported.counts(), (4, 1, 2), "{:?}", imported.report);
    assert_eq!(imported.lines[0].kind.as_deref(), Some("building"));
    assert!((imported.lines[0].points[1].x - 30.0 * FOOT).abs() < 1e-9);
    assert!((imported.lines[0].heights.as_ref().unwrap()[1] - 2.0 * FOOT).abs() < 1e-9);
    // The polyline is a circle of 10 ft about (10, 0): every point and every middle is on it.
    for (line, centre, radius) in [(1, (10.0, 0.0), 10.0), (2, (0.0, 0.0), 10.0), (3, (5.0, 5.0), 3.0)] {
        let centre = Point::new(centre.0 * FOOT, centre.1 * FOOT);
        let points = &imported.lines[line].points;
        assert!(points.len() > 10);
        for pair in points.windows(2) {
            assert!(((pair[0] - centre).hypot() - radius * FOOT).abs() < 1e-9);
            let middle = pair[0].midpoint(pair[1]);
            assert!(radius * FOOT - (middle - centre).hypot() < FLATNESS + 1e-9);
        }
    }
    // The arc runs from 350° by way of 0° to 80°.
    let arc = &imported.lines[2].points;
    let end = Point::new(80_f64.to_radians().cos(), 80_f64.to_radians().sin());
    assert!((arc[arc.len() - 1].to_vec2() / (10.0 * FOOT) - end.to_vec2()).hypot() < 1e-9);
    assert!(arc.iter().any(|p| p.y.abs() < 0.2 && p.x > 0.0));
    assert!((imported.points[0].height.unwrap() - 3.0 * FOOT).abs() < 1e-9);
    assert!(reasons(&imported)[0].contains("TEXT 6: letters"));
}

/// A cubic with four control points and knots of 0 and 1 is the Bézier curve of those points.
#[test]
fn a_spline_is_evaluated() {
    let entities = "0\nSPLINE\n8\nbeds\n70\n8\n71\n3\n72\n8\n73\n4\n74\n0\n40\n0\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n40\n1\n\
10\n0\n20\n0\n30\n0\n10\n0\n20\n4\n30\n0\n10\n8\n20\n4\n30\n0\n10\n8\n20\n0\n30\n0\n";
    let imported = read_dxf(drawing(entities).as_bytes(), None, &layers()).unwrap();
    let points = &imported.lines[0].points;
    assert_eq!(points.len(), 17);
    // At the middle: (0 + 3·0 + 3·8 + 8) / 8 = 4, (0 + 3·4 + 3·4 + 0) / 8 = 3.
    assert!((points[8] - Point::new(4.0 * FOOT, 3.0 * FOOT)).hypot() < 1e-9);
    assert!((points[16] - Point::new(8.0 * FOOT, 0.0)).hypot() < 1e-9);
}

#[test]
fn a_drawing_without_unit_is_refused_until_it_is_told() {
    let text = drawing("0\nPOINT\n8\na\n10\n1\n20\n2\n30\n3\n").replace("70\n2\n", "70\n0\n");
    assert!(matches!(read_dxf(text.as_bytes(), None, &layers()), Err(ImportError::Unit { .. })));
    let told = read_dxf(text.as_bytes(), Some(FileUnit::Metre), &layers()).unwrap();
    assert!((told.points[0].at - Point::new(1.0, 2.0)).hypot() < 1e-12);
    assert!(matches!(read_dxf(b"not a drawing", None, &layers()), Err(ImportError::Format { .. })));
}

#[test]
fn landxml_gives_points_and_surfaces() {
    let text = r#"<?xml version="1.0"?>
<LandXML xmlns="http://www.landxml.org/schema/LandXML-1.2" version="1.2">
  <Units><Imperial areaUnit="squareFoot" linearUnit="foot" volumeUnit="cubicYard"/></Units>
  <CgPoints>
    <CgPoint name="1" code="WALLS">500.0 2000.0 100.0</CgPoint>
    <CgPoint name="2">510.0 2000.0</CgPoint>
    <CgPoint name="3" pntRef="1"/>
  </CgPoints>
  <Surfaces><Surface name="existing"><Definition surfType="TIN">
    <Pnts><P id="1">0 0 10</P><P id="2">0 30 11</P><P id="3">20 0 12</P><P id="4">20 30 12</P></Pnts>
    <Faces><F>1 2 3</F><F>2 4 3</F><F i="1">1 2 4</F><F>1 2 9</F></Faces>
  </Definition></Surface></Surfaces>
  <Alignments/>
</LandXML>"#;
    let imported = read_landxml(text, &layers()).unwrap();
    assert_eq!(imported.points.len(), 2);
    assert!((imported.points[0].at - Point::new(2000.0 * FOOT, 500.0 * FOOT)).hypot() < 1e-9);
    assert_eq!(imported.points[1].height, None);
    let surface = &imported.surfaces[0];
    assert_eq!((surface.points.len(), surface.faces.as_slice()), (4, [[0, 1, 2], [1, 3, 2]].as_slice()));
    assert!((surface.points[1].0 - Point::new(30.0 * FOOT, 0.0)).hypot() < 1e-9);
    let told = reasons(&imported).join("\n");
    for words in ["refers to `1`", "marked invisible", "no triangle of known points", "Alignments (1)"] {
        assert!(told.contains(words), "{told}");
    }
    assert!(matches!(
        read_landxml(&text.replace("\"foot\"", "\"cubit\""), &layers()),
        Err(ImportError::Unit { .. })
    ));
    assert!(matches!(read_landxml("<a/>", &layers()), Err(ImportError::Format { .. })));
    assert!(matches!(read_landxml("<a>", &layers()), Err(ImportError::Format { .. })));
}

#[test]
fn shared_points_carry_a_drawing_into_the_frame() {
    let text = "a,0,0\nb,0,10\nc,8,3\nd,1,1\n";
    let imported = read_points(text, PointOrder::NorthingFirst, FileUnit::Metre, &Layers::default());
    // Turned by a quarter to the left and shifted.
    let known = BTreeMap::from([
        ("a".to_owned(), Point::new(5.0, 7.0)),
        ("b".to_owned(), Point::new(5.0, 17.0)),
        ("c".to_owned(), Point::new(-3.0, 10.002)),
    ]);
    let (fit, names) = fit_by_name(&imported.points, &known, false).unwrap();
    assert_eq!(names, ["a", "b", "c"]);
    assert!((fit.transform.rotation.to_degrees() - 90.0).abs() < 0.02);
    assert!(fit.residuals.iter().all(|residual| residual.hypot() < 0.002));
    let d = fit.transform.apply(imported.points[3].at);
    assert!((d - Point::new(4.0, 8.0)).hypot() < 0.002);
    assert!((fit.transform.undo(d) - imported.points[3].at).hypot() < 1e-12);
    assert!(fit_by_name(&imported.points[..1], &known, false).is_err());
}

proptest! {
    /// No text brings an import down, and every line is in the report.
    #[test]
    fn any_text_is_reported(text in "([a-z0-9,.;\"<>/= -]|\n|LINE|10|0){0,160}") {
        let points = read_points(&text, PointOrder::NorthingFirst, FileUnit::Metre, &Layers::default());
        let (taken, mapped, _) = points.counts();
        prop_assert_eq!(taken + mapped, points.points.len());
        let _ = read_dxf(text.as_bytes(), Some(FileUnit::Metre), &Layers::default());
        let _ = read_dxf(drawing(&text).as_bytes(), None, &Layers::default());
        let _ = read_landxml(&text, &Layers::default());
        let _ = read_geojson(&text, 0.0, 0.0, &Layers::default());
    }
}
