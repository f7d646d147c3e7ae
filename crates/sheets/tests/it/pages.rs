//! Pages: how many, how large, what they say, and the same bytes every time.

use groundwright_drawing::{DisplayList, Face, Primitive, Rgb};
use groundwright_handoff::{Cell, Datum, TextAnchor};
use groundwright_sheets::{
    Fonts, NoteBlock, Paper, PlacedView, PlanSet, Scale, Sheet, SheetError, pdf, tables_sheet,
};
use groundwright_units::{Reader, System};
use kurbo::Point;
use serde_json::Value;

use crate::python::{read_back, show};
use crate::sample::{crowded, item, line, plan_set, plant_schedule, stroked, title_block};

const METRIC: Reader = Reader::new(System::Metric);
const US: Reader = Reader::new(System::Us);

fn scale(system: System, text: &str) -> Scale {
    *Scale::series(system).iter().find(|scale| scale.text == text).unwrap()
}

fn us_set(paper: Paper) -> PlanSet {
    plan_set(paper, scale(System::Us, "1/8\" = 1'-0\""), scale(System::Us, "3\" = 1'-0\""))
}

fn metric_set(paper: Paper) -> PlanSet {
    plan_set(paper, scale(System::Metric, "1:100"), scale(System::Metric, "1:10"))
}

fn texts(read: &Value) -> Vec<String> {
    let pages = read["pages"].as_array().unwrap();
    pages.iter().map(|page| page["text"].as_str().unwrap().to_owned()).collect()
}

/// On one line, whatever the lines of the page.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Page sizes in points of 1/72 inch, from the sizes in inches and in millimetres.
#[test]
fn pages_have_the_size_of_their_paper() {
    let fonts = Fonts::new();
    for (set, reader, width, height) in [
        (us_set(Paper::LETTER), US, 792.0, 612.0),
        (us_set(Paper::US_24X36), US, 2592.0, 1728.0),
        (metric_set(Paper::A3), METRIC, 1190.551, 841.890),
    ] {
        let bytes = pdf(&set, &reader, &fonts).unwrap();
        show(&format!("{}.pdf", set.paper.name), &bytes);
        let read = read_back("read_pdf.py", "set.pdf", &bytes, &[]);
        let pages = read["pages"].as_array().unwrap();
        assert!(pages.len() >= 3);
        for page in pages {
            assert!((page["width"].as_f64().unwrap() - width).abs() < 0.01, "{}", page["width"]);
            assert!((page["height"].as_f64().unwrap() - height).abs() < 0.01, "{}", page["height"]);
        }
    }
}

/// The words of the title block, the plan, the legend and the schedules can be searched.
#[test]
fn the_text_of_a_set_is_text() {
    let bytes = pdf(&us_set(Paper::US_11X17), &US, &Fonts::new()).unwrap();
    show("11x17.pdf", &bytes);
    let read = read_back("read_pdf.py", "set.pdf", &bytes, &[]);
    let texts: Vec<String> = texts(&read).iter().map(|text| flat(text)).collect();
    let of = texts.len();
    for (i, text) in texts.iter().enumerate() {
        for words in ["Alder Lane front garden", "Example Gardens", "2026-03-14", "for review"] {
            assert!(text.contains(words), "sheet {}: {words} not in {text}", i + 1);
        }
        assert!(text.contains(&format!("{} of {of}", i + 1)), "{text}");
    }
    for words in ["Planting plan, front garden", "1/8\" = 1'-0\"", "Bed line", "Caution: Buried services"] {
        assert!(texts[0].contains(words), "{words} not in {}", texts[0]);
    }
    assert!(texts[0].contains("Polystichum munitum"));
    assert_eq!(texts[0].matches("HOUSE").count(), 1, "the white rim is not text");
    let all = texts.join(" ");
    assert!(all.contains("18\" o.c."), "spacings in the reader's units");
    assert_eq!(read["metadata"]["Title"], "Alder Lane front garden");
    assert_eq!(read["metadata"]["CreationDate"], "D:20260314000000Z");
    let outline = read["outline"].as_array().unwrap();
    assert_eq!(outline.len(), of);
    assert_eq!(outline[0], "1  Planting plan");
}

/// A schedule that does not fit beside the plan stands on a later sheet, and the plan says which.
#[test]
fn the_column_points_to_what_it_cannot_hold() {
    let bytes = pdf(&us_set(Paper::US_11X17), &US, &Fonts::new()).unwrap();
    let texts = texts(&read_back("read_pdf.py", "set.pdf", &bytes, &[]));
    let plan = flat(&texts[0]);
    assert!(plan.contains("On other sheets Plant schedule sheet 3"), "{plan}");
    assert!(texts[2].contains("Plant schedule") && texts[2].contains("Planting plan, continued"));
}

/// What several drawings turn away follows the last of them in one run of pages, and each column names
/// the page on which its own begins.
#[test]
fn what_several_drawings_turn_away_follows_together() {
    let mut set = us_set(Paper::US_11X17);
    let mut second = set.sheets[0].clone();
    second.title = "Back garden".to_owned();
    second.tables = vec![plant_schedule(60)];
    set.sheets.insert(1, second);
    let drawn = set.sheets.iter().take_while(|sheet| !sheet.views.is_empty()).count();
    let bytes = pdf(&set, &US, &Fonts::new()).unwrap();
    let texts = texts(&read_back("read_pdf.py", "set.pdf", &bytes, &[]));
    let together: Vec<usize> =
        (0..texts.len()).filter(|&page| texts[page].contains("Schedules to the drawings")).collect();
    assert_eq!(together.first(), Some(&drawn), "{texts:?}");
    let headings: usize = together.iter().map(|&page| texts[page].matches("Plant schedule\n").count()).sum();
    assert_eq!(headings, 2, "{texts:?}");
    for page in [0, 1] {
        let flat = flat(&texts[page]);
        let (_, named) = flat.split_once("Plant schedule sheet ").expect("a pointer");
        let named: usize = named.split(' ').next().unwrap().parse().unwrap();
        assert!(texts[named - 1].contains("Plant schedule\n"), "sheet {named}");
    }
}

/// 400 rows: each exactly once, each page with the headings, continuations marked.
#[test]
fn a_long_schedule_repeats_its_heading_and_loses_no_row() {
    let mut table = plant_schedule(400);
    for (i, row) in table.rows.iter_mut().enumerate() {
        row[0] = Cell::Text(format!("row{i}end"));
    }
    let sheet = tables_sheet("Schedules", vec![table]);
    let set = PlanSet { title_block: title_block(), paper: Paper::LETTER, sheets: vec![sheet] };
    let bytes = pdf(&set, &METRIC, &Fonts::new()).unwrap();
    let texts = texts(&read_back("read_pdf.py", "set.pdf", &bytes, &[]));
    assert!(texts.len() > 5, "{} pages", texts.len());
    for (i, text) in texts.iter().enumerate() {
        assert!(text.contains("Botanical name") && text.contains("Spacing"), "page {}", i + 1);
        assert_eq!(text.contains("Plant schedule (continued)"), i > 0, "page {}", i + 1);
    }
    let all = texts.join("\n");
    for i in 0..400 {
        assert_eq!(all.matches(&format!("row{i}end")).count(), 1, "row {i}");
    }
}

/// Whatever the crowd, everything is printed once, on the sheet that the column names.
#[test]
fn a_crowded_sheet_loses_nothing() {
    let set = crowded(Paper::LETTER, scale(System::Us, "1\" = 10'"));
    let bytes = pdf(&set, &US, &Fonts::new()).unwrap();
    show("crowded.pdf", &bytes);
    let texts: Vec<String> =
        texts(&read_back("read_pdf.py", "set.pdf", &bytes, &[])).iter().map(|text| flat(text)).collect();
    let all = texts.join(" ");
    for n in 1..=40 {
        assert_eq!(all.matches(&format!("Sign number {n}.")).count(), 1, "sign {n}");
    }
    for n in 1..=6 {
        // The first page holds some, in a frame; it points to those that the second page holds.
        let heading = format!("Caution: Hazard number {n}.");
        assert!(texts[0].contains(&heading), "caution {n}: cautions come before all else");
        let pointer = format!("{heading} sheet 2");
        let expected = if texts[0].contains(&pointer) { 2 } else { 1 };
        assert_eq!(all.matches(&heading).count(), expected, "caution {n}");
    }
    for n in 1..=3 {
        assert!(texts[n - 1].contains(&format!("View {n} Scale 1\" = 10'")), "{}", texts[n - 1]);
    }
    for title in ["Legend", "Wide schedule"] {
        let (_, pointer) = texts[0].split_once(&format!("{title} sheet ")).expect("the column points to it");
        let page: usize = pointer.split(' ').next().unwrap().parse().unwrap();
        let body = if title == "Legend" { "Sign number 1." } else { "indistinguishable" };
        assert!(texts[page - 1].contains(title) && texts[page - 1].contains(body), "{title} on {page}");
    }
}

#[test]
fn the_same_set_gives_the_same_bytes() {
    let first = pdf(&us_set(Paper::US_18X24), &US, &Fonts::new()).unwrap();
    show("18x24.pdf", &first);
    let second = pdf(&us_set(Paper::US_18X24), &US, &Fonts::new()).unwrap();
    assert!(first == second);
}

/// 2,000 labels with a white rim: the outline of each glyph is in the file once, not 10,000 times.
#[test]
fn rims_of_letters_do_not_swell_the_file() {
    let label = |i: usize| Primitive::Text {
        at: Point::new(4.0 + 8.0 * (i % 25) as f64, 2.0 + 1.5 * (i / 25) as f64),
        text: format!("{i}"),
        cap_height_mm: 1.8,
        anchor: TextAnchor::Middle,
        rotation: 0.0,
        colour: Rgb(0, 0, 0),
        face: Face::Regular,
        halo: true,
    };
    let mut sheet = view_of(210.0, 130.0, label(1000));
    sheet.views[0].list.items.extend((1001..3000).map(|i| item(label(i - 1000))));
    let bytes = pdf(&set_of(sheet), &METRIC, &Fonts::new()).unwrap();
    assert!(bytes.len() < 300_000, "{} bytes", bytes.len());
}

fn set_of(sheet: Sheet) -> PlanSet {
    PlanSet { title_block: title_block(), paper: Paper::LETTER, sheets: vec![sheet] }
}

fn refused(sheet: Sheet) -> String {
    match pdf(&set_of(sheet), &METRIC, &Fonts::new()) {
        Ok(_) => panic!("it was printed"),
        Err(error) => error.to_string(),
    }
}

fn view_of(width_mm: f64, height_mm: f64, primitive: Primitive) -> Sheet {
    let list = DisplayList { width_mm, height_mm, items: vec![item(primitive)] };
    let view = PlacedView { list, title: "Plan".to_owned(), scale: None, north: None };
    Sheet { title: "Plan".to_owned(), views: vec![view], ..Sheet::default() }
}

#[test]
fn what_cannot_be_printed_says_why() {
    let black = Rgb(0, 0, 0);
    let bad = stroked(line(&[(0.0, 0.0), (f64::NAN, 5.0)]), 0.2, black);
    assert_eq!(
        refused(view_of(50.0, 50.0, bad)),
        "sheet `Plan`: `SAMPLE/yard/sample/0` has a coordinate or a size that is not a finite number"
    );
    let good = stroked(line(&[(0.0, 0.0), (5.0, 5.0)]), 0.2, black);
    let message = refused(view_of(400.0, 50.0, good));
    assert!(message.starts_with("sheet `Plan`, view `Plan`: it is 400.0 mm by 50.0 mm"), "{message}");
    let mut table = plant_schedule(2);
    table.rows[1].pop();
    assert_eq!(
        refused(tables_sheet("Schedules", vec![table])),
        "table `plant-schedule`, row 2: 5 cells, expected 6, one for each column"
    );
    let endless =
        NoteBlock { heading: "Endless".to_owned(), paragraphs: vec!["word ".repeat(4000)], caution: false };
    let message = refused(Sheet { title: "Notes".to_owned(), notes: vec![endless], ..Sheet::default() });
    assert!(message.starts_with("sheet `Notes`, `Endless`: one part is"), "{message}");
    let none = PlanSet { title_block: title_block(), paper: Paper::A4, sheets: Vec::new() };
    assert_eq!(pdf(&none, &METRIC, &Fonts::new()).err(), Some(SheetError::NoSheets));
}

/// A number that is no number prints as a dash, and a page without contents is still a page.
#[test]
fn gaps_in_the_data_do_not_reach_the_page() {
    let mut table = plant_schedule(1);
    table.rows[0][5] = Cell::Datum(Datum::spacing(f64::NAN));
    table.rows[0][3] = Cell::Empty;
    let bytes = pdf(&set_of(tables_sheet("Schedules", vec![table])), &US, &Fonts::new()).unwrap();
    let text = texts(&read_back("read_pdf.py", "set.pdf", &bytes, &[])).remove(0);
    assert!(text.contains('–') && !text.contains("NaN") && !text.contains("unknown"), "{text}");
    let bytes = pdf(&set_of(Sheet::default()), &US, &Fonts::new()).unwrap();
    assert_eq!(texts(&read_back("read_pdf.py", "set.pdf", &bytes, &[])).len(), 1);
}
