//! Scale, rotation, order and keys of the display list.

use groundwright_drawing::{AverageWidths, Primitive, View, paint};
use groundwright_handoff::{Frame, Glyph, Mark, Pen, Shape, Tone, Weight};
use groundwright_plan::Kind;
use kurbo::{BezPath, ParamCurveArclen, Point, Rect, Shape as _};

use crate::sample::{self, Pad};

const PEN: Pen = Pen::solid(Weight::Medium, Tone::Ink);

fn line(from: (f64, f64), to: (f64, f64)) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(from);
    path.line_to(to);
    path
}

fn one(path: BezPath) -> Vec<Mark> {
    let mut pad = Pad::default();
    pad.path(&sample::BUILDING, Kind::Building, "house", path, PEN, None);
    pad.0
}

fn paths(marks: &[Mark], view: &View) -> Vec<BezPath> {
    let list = paint(marks, view, &AverageWidths).list;
    let path = |item: groundwright_drawing::Item| match item.primitive {
        Primitive::Path { path, .. } => Some(path),
        Primitive::Text { .. } => None,
    };
    list.items.into_iter().filter_map(path).collect()
}

fn length(path: &BezPath) -> f64 {
    path.segments().map(|segment| segment.arclen(1e-9)).sum()
}

#[test]
fn ten_metres_at_one_to_a_hundred_measure_a_hundred_millimetres() {
    let marks = one(line((3.0, 4.0), (9.0, 12.0)));
    for (scale, expected) in [(100.0, 100.0), (50.0, 200.0), (96.0, 10_000.0 / 96.0)] {
        for rotation in [0.0, 0.3, -2.0] {
            let view = View { scale, rotation, ..sample::view() };
            assert!((length(&paths(&marks, &view)[0]) - expected).abs() < 1e-9);
        }
    }
}

#[test]
fn north_is_up_and_the_centre_is_the_middle() {
    let marks = one(line((15.0, 12.0), (15.0, 13.0)));
    let path = &paths(&marks, &sample::view())[0];
    let ends = path.control_box();
    assert!(
        (ends.x0 - 200.0).abs() < 1e-9 && (ends.y1 - 150.0).abs() < 1e-9 && (ends.y0 - 140.0).abs() < 1e-9
    );
}

/// A quarter turn counter-clockwise takes east to the top of the sheet.
#[test]
fn rotation_turns_the_plan_counter_clockwise() {
    let marks = one(line((15.0, 12.0), (16.0, 12.0)));
    let view = View { rotation: std::f64::consts::FRAC_PI_2, ..sample::view() };
    let end = paths(&marks, &view)[0].segments().next().unwrap().as_path_el().end_point().unwrap();
    assert!(end.distance(Point::new(200.0, 140.0)) < 1e-9, "{end:?}");
}

#[test]
fn a_texts_rotation_follows_the_plan_and_level_texts_stay_level() {
    let mut pad = Pad::default();
    let text = |rotation| Shape::Text {
        at: Point::new(15.0, 12.0),
        text: "NORTH BED".to_owned(),
        height_mm: 2.5,
        anchor: groundwright_handoff::TextAnchor::Middle,
        rotation,
        tone: Tone::Ink,
    };
    pad.add(&sample::WORDS, Kind::Note, "turned", text(Some(0.3)));
    pad.add(&sample::WORDS, Kind::Note, "level", text(None));
    let view = View { rotation: 0.2, ..sample::view() };
    let list = paint(&pad.0, &view, &AverageWidths).list;
    let rotation = |i: usize| match &list.items[i].primitive {
        Primitive::Text { rotation, .. } => *rotation,
        Primitive::Path { .. } => f64::NAN,
    };
    assert!((rotation(0) + 0.5).abs() < 1e-12, "0.5 rad counter-clockwise is -0.5 clockwise");
    assert!(rotation(1).abs() < 1e-12);
}

#[test]
fn a_sign_has_the_same_size_at_every_scale() {
    let mut pad = Pad::default();
    pad.glyph(Kind::Tree, "oak", Glyph::Removed, (15.0, 12.0), 0.0, Tone::Remove);
    let size = |scale| {
        let view = View { scale, ..sample::view() };
        paths(&pad.0, &view).iter().map(BezPath::bounding_box).reduce(|a, b| a.union(b)).unwrap().width()
    };
    assert!((size(100.0) - 3.0).abs() < 1e-9 && (size(20.0) - 3.0).abs() < 1e-9);
}

#[test]
fn marks_outside_of_other_frames_or_other_drawings_are_left_out() {
    let mut marks = one(line((500.0, 0.0), (501.0, 0.0)));
    let mut detail = one(line((14.0, 12.0), (16.0, 12.0)));
    detail[0].frame = Frame::Diagram("section".to_owned());
    let mut ground = one(line((14.0, 12.0), (16.0, 12.0)));
    ground[0].layer = &sample::ELSEWHERE;
    marks.extend(detail);
    marks.extend(ground);
    assert!(paths(&marks, &sample::view()).is_empty());
    let view = View { frame: Frame::Diagram("section".to_owned()), ..sample::view() };
    assert_eq!(paths(&marks, &view).len(), 1);
}

#[test]
fn items_stand_by_layer_and_those_of_one_mark_together() {
    let mut marks = sample::garden();
    marks.reverse();
    let list = paint(&marks, &sample::view(), &AverageWidths).list;
    assert!(list.items.is_sorted_by_key(|item| item.layer.order));
    let mut runs: Vec<&str> =
        list.items.chunk_by(|a, b| a.key == b.key).map(|run| run[0].key.as_str()).collect();
    assert!(runs.contains(&"PLANT-NEW/planting/roses/0") && runs.contains(&"BUILDING/building/house/0"));
    let count = runs.len();
    runs.sort_unstable();
    runs.dedup();
    assert_eq!(runs.len(), count, "a key comes back after another mark");
}

#[test]
fn same_marks_same_list() {
    let (marks, view) = (sample::garden(), sample::view());
    assert_eq!(paint(&marks, &view, &AverageWidths), paint(&marks, &view, &AverageWidths));
}

#[test]
fn numbers_that_are_not_numbers_never_reach_the_paper() {
    let mut marks = sample::garden();
    for mark in marks.iter_mut().step_by(3) {
        match &mut mark.shape {
            Shape::Circle { radius, .. } => *radius = f64::NAN,
            Shape::Glyph { rotation, .. } => *rotation = f64::INFINITY,
            Shape::Path { path, .. } => path.line_to((f64::NAN, 0.0)),
            Shape::Text { at, .. } => at.x = f64::NAN,
            Shape::Callout { anchors, .. } => anchors[0].y = f64::NAN,
            Shape::Dimension { offset, .. } => *offset = f64::NAN,
        }
    }
    let painted = paint(&marks, &sample::view(), &AverageWidths);
    assert!(!painted.list.items.is_empty());
    for item in &painted.list.items {
        let finite = match &item.primitive {
            Primitive::Path { path, .. } => path.is_finite(),
            Primitive::Text { at, rotation, .. } => at.is_finite() && rotation.is_finite(),
        };
        assert!(finite, "{item:?}");
    }
    for view in [
        View { scale: 1e-300, ..sample::view() },
        View { scale: 0.0, ..sample::view() },
        View { rotation: f64::NAN, ..sample::view() },
        View { width_mm: -1.0, ..sample::view() },
    ] {
        assert!(paint(&marks, &view, &AverageWidths).list.items.is_empty());
    }
}

/// A slipped unit must cost no more than a sentence: no endless curves.
#[test]
fn marks_beyond_every_yard_are_left_out() {
    let mut pad = Pad::default();
    for radius in [1e12, f64::INFINITY, f64::MAX] {
        let shape = Shape::Circle { centre: Point::ORIGIN, radius, pen: Some(PEN), fill: None };
        pad.add(&sample::NEW, Kind::Planting, "hedge", shape);
    }
    pad.path(&sample::BUILDING, Kind::Building, "house", line((0.0, 0.0), (1e200, 1.0)), PEN, None);
    assert!(paths(&pad.0, &sample::view()).is_empty());
}

/// The clip is the painter's, but nothing wholly outside costs ink.
#[test]
fn everything_painted_touches_the_window() {
    let view = View { width_mm: 120.0, height_mm: 80.0, ..sample::view() };
    let window = Rect::new(0.0, 0.0, 120.0, 80.0).inflate(1.0, 1.0);
    for path in paths(&sample::garden(), &view) {
        let bounds = path.control_box();
        assert!(
            bounds.x1 >= window.x0
                && bounds.x0 <= window.x1
                && bounds.y1 >= window.y0
                && bounds.y0 <= window.y1
        );
    }
}
