//! True scale, measured on rendered pages.

use groundwright_drawing::{DisplayList, Rgb};
use groundwright_sheets::{Fonts, Paper, PlacedView, PlanSet, Scale, Sheet, pdf, window};
use groundwright_units::{Reader, System};

use crate::python::read_back;
use crate::sample::{item, line, stroked, title_block};

const RED: Rgb = Rgb(255, 0, 0);
/// Colour of the scale bar.
const INK: Rgb = Rgb(28, 28, 28);

fn scale(system: System, text: &str) -> Scale {
    *Scale::series(system).iter().find(|scale| scale.text == text).unwrap()
}

/// A sheet that shows one red line, level, of this length [mm], and nothing else.
fn one_line(paper: Paper, scale: Scale, from: f64, to: f64) -> PlanSet {
    let room = window(paper, false);
    let red = stroked(line(&[(from, 50.0), (to, 50.0)]), 0.5, RED);
    let list = DisplayList { width_mm: room.width, height_mm: room.height, items: vec![item(red)] };
    let view = PlacedView { list, title: "Line".to_owned(), scale: Some(scale), north: None };
    let sheet = Sheet { title: "Line".to_owned(), views: vec![view], ..Sheet::default() };
    PlanSet { title_block: title_block(), paper, sheets: vec![sheet] }
}

/// Left and right end of what is seen in a colour within a rectangle of the first page: of all,
/// and of the longest unbroken run. [mm]
fn ends(bytes: &[u8], rect: [f64; 4], colour: Rgb) -> [[f64; 2]; 2] {
    let mut arguments = vec!["0".to_owned()];
    arguments.extend(rect.map(|mm| mm.to_string()));
    arguments.extend([colour.0, colour.1, colour.2].map(|channel| channel.to_string()));
    let measured = read_back("measure_pdf.py", "line.pdf", bytes, &arguments);
    let at = |name: &str, i: usize| measured[name][i].as_f64().unwrap();
    [[at("bounds", 0), at("bounds", 2)], [at("run", 0), at("run", 1)]]
}

/// Ten metres at 1:100 are 100 mm on paper.
#[test]
fn ten_metres_at_one_to_a_hundred_measure_a_hundred_millimetres() {
    let set = one_line(Paper::A4, scale(System::Metric, "1:100"), 30.0, 130.0);
    let bytes = pdf(&set, &Reader::new(System::Metric), &Fonts::new()).unwrap();
    let [[left, right], _] = ends(&bytes, [0.0, 0.0, 297.0, 210.0], RED);
    assert!((right - left - 100.0).abs() < 0.2, "{} mm", right - left);
    // The window begins at the margin and the gutter of a small sheet: 9 mm and 4 mm.
    assert!((left - 43.0).abs() < 0.2, "the line begins at {left} mm");
}

/// At 1/8" = 1'-0" a bar of 20 feet is 2.5 inches long; at 1:100 one of 4 metres is 40 mm long.
#[test]
fn scale_bars_measure_what_they_say() {
    for (paper, system, text, last, expected) in [
        (Paper::LETTER, System::Us, "1/8\" = 1'-0\"", "05101520ft", 2.5 * 25.4),
        (Paper::A4, System::Metric, "1:100", "01234m", 40.0),
    ] {
        let set = one_line(paper, scale(system, text), 30.0, 60.0);
        let bytes = pdf(&set, &Reader::new(system), &Fonts::new()).unwrap();
        let window_foot = 13.0 + window(paper, false).height;
        // Below the hairline of the caption and above the title strip, right of the caption's words.
        let caption = [100.0, window_foot + 1.0, paper.width_mm - 13.0, window_foot + 12.0];
        let [_, [left, right]] = ends(&bytes, caption, INK);
        assert!((right - left - expected).abs() < 0.2, "{text}: {} mm", right - left);
        let read = read_back("read_pdf.py", "line.pdf", &bytes, &[]);
        let words = read["pages"][0]["text"].as_str().unwrap();
        // Readers differ in where they see spaces between labels that stand apart.
        let words = words.split_whitespace().collect::<String>();
        assert!(words.contains(last), "{last} not in {words}");
    }
}

/// A line that runs out of its window is cut at the window's edge.
#[test]
fn drawings_are_clipped_to_their_window() {
    let set = one_line(Paper::A4, scale(System::Metric, "1:100"), -50.0, 2000.0);
    let bytes = pdf(&set, &Reader::new(System::Metric), &Fonts::new()).unwrap();
    let [[left, right], _] = ends(&bytes, [0.0, 0.0, 297.0, 210.0], RED);
    assert!((left - 13.0).abs() < 0.2 && (right - (297.0 - 13.0)).abs() < 0.2, "{left} to {right} mm");
}
