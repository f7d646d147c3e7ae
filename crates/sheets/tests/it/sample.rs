//! A small invented job: enough of everything that a sheet can carry.

use groundwright_drawing::{DisplayList, Face, Item, Primitive, Rgb, Stroke};
use groundwright_handoff::{Cell, Column, Datum, Drawing, Layer, Table, TextAnchor};
use groundwright_sheets::{
    LegendEntry, NoteBlock, Paper, PlacedView, PlanSet, SAMPLE_HEIGHT_MM, SAMPLE_WIDTH_MM, Scale, Sheet,
    TitleBlock, tables_sheet, window,
};
use kurbo::{Affine, BezPath, Circle, Point, Rect, Shape, Size};

pub static LAYER: Layer = Layer { name: "SAMPLE", title: "Sample", on: &[Drawing::Planting], order: 0 };

const INK: Rgb = Rgb(40, 40, 40);
const GREEN: Rgb = Rgb(46, 94, 50);
const PALE_GREEN: Rgb = Rgb(226, 236, 220);
const EARTH: Rgb = Rgb(240, 232, 218);
const STONE: Rgb = Rgb(232, 232, 230);

pub fn item(primitive: Primitive) -> Item {
    Item { key: "SAMPLE/yard/sample/0".to_owned(), layer: &LAYER, primitive }
}

pub fn stroked(path: BezPath, width_mm: f64, colour: Rgb) -> Primitive {
    Primitive::Path { path, stroke: Some(Stroke { width_mm, dash_mm: Vec::new(), colour }), fill: None }
}

fn area(path: BezPath, width_mm: f64, colour: Rgb, fill: Rgb) -> Primitive {
    Primitive::Path { path, stroke: Some(Stroke { width_mm, dash_mm: Vec::new(), colour }), fill: Some(fill) }
}

fn label(at: Point, text: &str, cap_height_mm: f64, face: Face, rotation: f64) -> Primitive {
    Primitive::Text {
        at,
        text: text.to_owned(),
        cap_height_mm,
        anchor: TextAnchor::Middle,
        rotation,
        colour: INK,
        face,
        halo: true,
    }
}

pub fn line(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(points[0]);
    points[1..].iter().for_each(|point| path.line_to(*point));
    path
}

/// Paints yard shapes onto a window, the yard's origin at its lower left corner.
struct Yard {
    list: DisplayList,
    to_paper: Affine,
    mm_per_metre: f64,
}

impl Yard {
    fn new(window: Size, extent: Size, scale: Scale) -> Self {
        let mm_per_metre = scale.paper_mm(1.0);
        let left = (window.width - extent.width * mm_per_metre) / 2.0;
        let foot = f64::midpoint(window.height, extent.height * mm_per_metre);
        let to_paper =
            Affine::translate((left, foot)) * Affine::scale_non_uniform(mm_per_metre, -mm_per_metre);
        let list = DisplayList { width_mm: window.width, height_mm: window.height, items: Vec::new() };
        Self { list, to_paper, mm_per_metre }
    }

    fn add(&mut self, primitive: Primitive) {
        self.list.items.push(item(primitive));
    }

    fn paper(&self, x: f64, y: f64) -> Point {
        self.to_paper * Point::new(x, y)
    }

    fn shape(&mut self, path: &BezPath, width: f64, colour: Rgb, fill: Option<Rgb>) {
        let path = self.to_paper * path.clone();
        self.add(match fill {
            Some(fill) => area(path, width, colour, fill),
            None => stroked(path, width, colour),
        });
    }

    fn plant(&mut self, x: f64, y: f64, radius: f64) {
        let at = self.paper(x, y);
        self.add(area(Circle::new(at, radius * self.mm_per_metre).to_path(0.01), 0.13, GREEN, PALE_GREEN));
        self.add(Primitive::Path {
            path: Circle::new(at, 0.35).to_path(0.01),
            stroke: None,
            fill: Some(GREEN),
        });
    }

    fn text(&mut self, x: f64, y: f64, words: &str, cap: f64, face: Face, rotation: f64) {
        let at = self.paper(x, y);
        self.add(label(at, words, cap, face, rotation));
    }
}

/// A front yard of 20 by 14 m.
pub fn front_yard(window: Size, scale: Scale) -> DisplayList {
    let extent = Size::new(20.0, 14.0);
    let mut yard = Yard::new(window, extent, scale);
    let rect = |x0, y0, x1, y1| Rect::new(x0, y0, x1, y1).to_path(0.1);
    let mut bed = BezPath::new();
    bed.move_to((1.0, 8.6));
    bed.curve_to((3.0, 4.5), (5.0, 7.5), (8.4, 6.2));
    bed.line_to((8.4, 9.0));
    bed.line_to((1.0, 9.0));
    bed.close_path();
    let mut corner = BezPath::new();
    corner.move_to((12.0, 0.6));
    corner.curve_to((13.0, 5.0), (17.0, 3.0), (19.4, 6.0));
    corner.line_to((19.4, 0.6));
    corner.close_path();
    yard.shape(&bed, 0.35, INK, Some(EARTH));
    yard.shape(&corner, 0.35, INK, Some(EARTH));
    yard.shape(&rect(2.0, 9.0, 17.0, 13.4), 0.5, INK, Some(STONE));
    yard.shape(&rect(8.4, 0.0, 10.0, 9.0), 0.25, INK, Some(STONE));
    for i in 0..8 {
        let x = 1.6 + 0.9 * f64::from(i);
        yard.plant(x, 8.5, 0.38);
        yard.plant(x + 0.45, 7.75 - 0.02 * f64::from(i), 0.38);
    }
    for (x, y) in [(14.0, 1.5), (15.6, 2.2), (17.3, 1.4), (18.4, 3.4), (16.9, 3.0)] {
        yard.plant(x, y, 0.75);
    }
    let lot = line(&[(0.2, 0.0), (19.8, 0.0), (19.8, 13.9), (0.2, 13.9), (0.2, 0.0)]);
    let path = yard.to_paper * lot;
    yard.add(Primitive::Path {
        path,
        stroke: Some(Stroke { width_mm: 0.5, dash_mm: vec![9.0, 1.5, 1.5, 1.5, 1.5, 1.5], colour: INK }),
        fill: None,
    });
    yard.text(9.5, 11.0, "HOUSE", 3.0, Face::Bold, 0.0);
    yard.text(9.2, 4.0, "Walk", 2.0, Face::Italic, -std::f64::consts::FRAC_PI_2);
    yard.text(4.6, 6.0, "16 WF", 2.0, Face::Regular, 0.0);
    yard.text(16.4, 4.6, "5 OH", 2.0, Face::Regular, 0.0);
    yard.list
}

/// A section through an edging, drawn at a large scale.
pub fn edging_detail(width: f64, height: f64, scale: Scale) -> DisplayList {
    let mut yard = Yard::new(Size::new(width, height), Size::new(0.6, 0.3), scale);
    let soil = line(&[(0.0, 0.18), (0.29, 0.18), (0.29, 0.02), (0.31, 0.02), (0.31, 0.2), (0.6, 0.2)]);
    yard.shape(&soil, 0.35, INK, None);
    yard.shape(&Rect::new(0.29, 0.02, 0.31, 0.21).to_path(0.1), 0.35, INK, Some(STONE));
    yard.text(0.14, 0.21, "Sod", 2.0, Face::Regular, 0.0);
    yard.text(0.46, 0.225, "Mulch", 2.0, Face::Regular, 0.0);
    yard.list
}

pub fn title_block() -> TitleBlock {
    TitleBlock {
        project: "Alder Lane front garden".to_owned(),
        address: "12 Alder Lane, Rivermouth".to_owned(),
        client: Some("The owners of 12 Alder Lane".to_owned()),
        firm: "Example Gardens".to_owned(),
        drawn_for: "client review".to_owned(),
        date: "2026-03-14".to_owned(),
        revision: "A".to_owned(),
        status: "for review".to_owned(),
    }
}

fn legend() -> Vec<LegendEntry> {
    let middle = Point::new(SAMPLE_WIDTH_MM / 2.0, SAMPLE_HEIGHT_MM / 2.0);
    let across = line(&[(0.5, 2.5), (SAMPLE_WIDTH_MM - 0.5, 2.5)]);
    let entry = |sample, text: &str| LegendEntry { sample, text: text.to_owned() };
    vec![
        entry(
            vec![area(Circle::new(middle, 2.2).to_path(0.01), 0.13, GREEN, PALE_GREEN)],
            "New plant, drawn at its spread five years after planting",
        ),
        entry(vec![stroked(across.clone(), 0.35, INK)], "Bed line"),
        entry(
            vec![Primitive::Path {
                path: across,
                stroke: Some(Stroke {
                    width_mm: 0.5,
                    dash_mm: vec![5.0, 1.0, 1.0, 1.0, 1.0, 1.0],
                    colour: INK,
                }),
                fill: None,
            }],
            "Property line",
        ),
        entry(
            vec![area(Rect::new(0.5, 0.5, 11.5, 4.5).to_path(0.1), 0.13, INK, EARTH)],
            "Planting bed, mulched",
        ),
    ]
}

pub fn plant_schedule(rows: usize) -> Table {
    let plants = [
        ("WF", "Polystichum munitum", "Western sword fern", "1 gal", 0.6),
        ("OH", "Hydrangea quercifolia", "Oakleaf hydrangea", "5 gal", 1.5),
        (
            "BX",
            "Buxus microphylla var. japonica",
            "Littleleaf boxwood, clipped as a low hedge",
            "3 gal",
            0.4572,
        ),
        ("HK", "Hakonechloa macra", "Japanese forest grass", "1 gal", 0.4),
    ];
    let row = |i: usize| {
        let (code, botanical, common, size, spacing) = plants[i % plants.len()];
        let code = if i < plants.len() { code.to_owned() } else { format!("{code}{i}") };
        vec![
            Cell::Text(code),
            Cell::Datum(Datum::count(5 + (i * 11) % 23)),
            Cell::Italic(botanical.to_owned()),
            Cell::Text(common.to_owned()),
            Cell::Text(size.to_owned()),
            Cell::Datum(Datum::spacing(spacing)),
        ]
    };
    Table {
        key: "plant-schedule",
        title: "Plant schedule".to_owned(),
        columns: vec![
            Column::text("Key", 1.0),
            Column::number("Qty", 1.0),
            Column::text("Botanical name", 4.0),
            Column::text("Common name", 4.0),
            Column::text("Size", 1.5),
            Column::number("Spacing", 1.6),
        ],
        rows: (0..rows).map(row).collect(),
        notes: vec!["Counts are from the plan; set plants by the plan, not by the count.".to_owned()],
    }
}

fn key_schedule() -> Table {
    let mut table = plant_schedule(4);
    table.columns.truncate(3);
    table.rows.iter_mut().for_each(|row| row.truncate(3));
    "Plants on this sheet".clone_into(&mut table.title);
    table.key = "plants-on-sheet";
    table.notes.clear();
    table
}

fn caution() -> NoteBlock {
    NoteBlock {
        heading: "Buried services".to_owned(),
        paragraphs: vec![
            "Have all utilities located and marked before any digging. Hand dig within 24\" of marks."
                .to_owned(),
        ],
        caution: true,
    }
}

fn notes() -> NoteBlock {
    NoteBlock {
        heading: "Planting notes".to_owned(),
        paragraphs: vec![
            "Set root balls 1\" above finished grade; mulch 2½\" deep, kept 3\" off stems.".to_owned(),
            "Water in twice on the day of planting.".to_owned(),
        ],
        caution: false,
    }
}

/// Three sheets: a plan with everything, two details, and a schedule over several pages.
pub fn plan_set(paper: Paper, scale: Scale, detail_scale: Scale) -> PlanSet {
    let plan = Sheet {
        title: "Planting plan".to_owned(),
        views: vec![PlacedView {
            list: front_yard(window(paper, true), scale),
            title: "Planting plan, front garden".to_owned(),
            scale: Some(scale),
            north: Some(0.35),
        }],
        legend: legend(),
        tables: vec![key_schedule(), plant_schedule(30)],
        notes: vec![notes(), caution()],
    };
    let detail = |title: &str| PlacedView {
        list: edging_detail(90.0, 60.0, detail_scale),
        title: title.to_owned(),
        scale: Some(detail_scale),
        north: None,
    };
    let details = Sheet {
        title: "Details".to_owned(),
        views: vec![detail("Steel edging at sod"), detail("Steel edging at gravel")],
        ..Sheet::default()
    };
    let schedules = tables_sheet("Schedules", vec![plant_schedule(90)]);
    PlanSet { title_block: title_block(), paper, sheets: vec![plan, details, schedules] }
}

/// A sheet with more of everything than one page holds: three views that fill a page each, forty
/// signs, six cautions, a table wider than the column, notes.
pub fn crowded(paper: Paper, scale: Scale) -> PlanSet {
    let view = |n: usize| PlacedView {
        list: front_yard(window(paper, true), scale),
        title: format!("View {n}"),
        scale: Some(scale),
        north: Some(-2.0),
    };
    let caution_number = |n: usize| NoteBlock { heading: format!("Hazard number {n}."), ..caution() };
    let sign = |n: usize| LegendEntry { text: format!("Sign number {n}."), ..legend()[n % 4].clone() };
    let mut wide = plant_schedule(5);
    "Wide schedule".clone_into(&mut wide.title);
    for i in 0..3 {
        wide.columns.insert(4, Column::text(&format!("Incomparable characteristics {i}"), 2.0));
        wide.rows.iter_mut().for_each(|row| row.insert(4, Cell::Text("indistinguishable".to_owned())));
    }
    let sheet = Sheet {
        title: "A plan with a title so long that it must be set on more than a single line".to_owned(),
        views: (1..=3).map(view).collect(),
        legend: (1..=40).map(sign).collect(),
        tables: vec![wide, key_schedule()],
        notes: (1..=6).map(caution_number).chain([notes()]).collect(),
    };
    PlanSet { title_block: title_block(), paper, sheets: vec![sheet] }
}
