//! Invented yards for the checks: a garden with something of everything, and crowds of tags.

use groundwright_drawing::View;
use groundwright_handoff::{
    Drawing, Fill, Frame, Glyph, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight,
};
use groundwright_plan::{ElementId, ElementRef, Kind};
use kurbo::{BezPath, Point, Rect, Shape as _, Vec2};

const ON: &[Drawing] = &[Drawing::Planting, Drawing::Existing];

macro_rules! layers {
    ($($name:ident = $text:literal, $title:literal, $order:literal;)*) => {
        $(pub static $name: Layer = Layer { name: $text, title: $title, on: ON, order: $order };)*
    };
}

layers! {
    GROUND = "GROUND-BED", "Planting beds", 10;
    LAWN = "GROUND-LAWN", "Lawn", 5;
    HARD = "SURFACE", "Walks and drives", 12;
    BUILDING = "BUILDING", "Buildings", 20;
    PROPERTY = "PROPERTY", "Property line", 22;
    SERVICE = "BURIED", "Buried services", 24;
    MATURE = "PLANT-MATURE", "Mature size", 28;
    KEPT = "PLANT-KEPT", "Plants that stay", 30;
    NEW = "PLANT-NEW", "New plants", 32;
    SIGNS = "SIGNS", "Reference points and fixtures", 34;
    SIZES = "DIMENSION", "Dimensions", 40;
    TAGS = "PLANT-TAG", "Plant tags", 50;
    WORDS = "WORDS", "Words", 52;
}

/// Shown on no drawing of the checks.
pub static ELSEWHERE: Layer = Layer { name: "SOIL", title: "Soil work", on: &[Drawing::Ground], order: 11 };

/// Collects marks, numbering those of one subject on one layer.
#[derive(Default)]
pub struct Pad(pub Vec<Mark>);

impl Pad {
    pub fn add(&mut self, layer: &'static Layer, kind: Kind, id: &str, shape: Shape) {
        let subject = ElementRef::new(kind, &ElementId::from(id));
        let of = |mark: &&Mark| mark.subject == subject && mark.layer == layer;
        let ordinal = self.0.iter().filter(of).count() as u32;
        self.0.push(Mark { subject, ordinal, layer, frame: Frame::Plan, shape });
    }

    pub fn path(
        &mut self,
        layer: &'static Layer,
        kind: Kind,
        id: &str,
        path: BezPath,
        pen: Pen,
        fill: Option<Fill>,
    ) {
        self.add(layer, kind, id, Shape::Path { path, pen: Some(pen), fill });
    }

    pub fn glyph(&mut self, kind: Kind, id: &str, glyph: Glyph, at: (f64, f64), rotation: f64, tone: Tone) {
        self.add(&SIGNS, kind, id, Shape::Glyph { glyph, at: at.into(), rotation, tone });
    }

    fn pot(&mut self, id: &str, at: Point, radius: f64, mature: f64) {
        let future = Pen::of(Weight::Fine, Pattern::Dotted, Tone::New);
        let circle = |radius, pen, fill| Shape::Circle { centre: at, radius, pen: Some(pen), fill };
        self.add(&MATURE, Kind::Planting, id, circle(mature, future, None));
        let fill = Some(Fill::Wash(Tone::New));
        self.add(&NEW, Kind::Planting, id, circle(radius, Pen::solid(Weight::Thin, Tone::New), fill));
        let sign = Shape::Glyph { glyph: Glyph::PotCentre, at, rotation: 0.0, tone: Tone::New };
        self.add(&NEW, Kind::Planting, id, sign);
    }

    pub fn tag(&mut self, id: &str, lines: &[&str], anchors: Vec<Point>, tone: Tone) {
        let lines = lines.iter().map(|line| (*line).to_owned()).collect();
        self.add(&TAGS, Kind::Planting, id, Shape::Callout { lines, anchors, height_mm: 2.0, tone });
    }

    fn row(
        &mut self,
        id: &str,
        words: [&str; 2],
        from: (f64, f64),
        to: (f64, f64),
        count: usize,
        mature: f64,
    ) {
        let (from, to) = (Point::from(from), Point::from(to));
        let places: Vec<Point> =
            (0..count).map(|i| from.lerp(to, i as f64 / (count.max(2) - 1) as f64)).collect();
        for place in &places {
            self.pot(id, *place, 0.14, mature);
        }
        self.tag(id, &words, places, Tone::New);
    }

    fn words(&mut self, id: &str, at: (f64, f64), text: &str, height_mm: f64, rotation: Option<f64>) {
        let shape = Shape::Text {
            at: at.into(),
            text: text.to_owned(),
            height_mm,
            anchor: TextAnchor::Middle,
            rotation,
            tone: Tone::Ink,
        };
        self.add(&WORDS, Kind::Note, id, shape);
    }
}

pub fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> BezPath {
    Rect::new(x0, y0, x1, y1).to_path(0.01)
}

/// A smooth bed line along a wall or fence at `y0`: out by `depth`, along in waves, back.
fn bed(x0: f64, x1: f64, y0: f64, depth: f64) -> BezPath {
    let mut path = BezPath::new();
    path.move_to((x0, y0));
    path.line_to((x0, y0 + 0.6 * depth));
    let third = (x1 - x0) / 3.0;
    path.curve_to(
        (x0 + 0.5 * third, y0 + depth),
        (x0 + third, y0 + 1.3 * depth),
        (x0 + 1.4 * third, y0 + depth),
    );
    path.curve_to(
        (x0 + 1.8 * third, y0 + 0.7 * depth),
        (x0 + 2.2 * third, y0 + 0.6 * depth),
        (x1, y0 + 1.1 * depth),
    );
    path.line_to((x1, y0));
    path.close_path();
    path
}

/// A front and back yard of 30 m by 24 m, with something of everything.
pub fn garden() -> Vec<Mark> {
    let mut pad = Pad::default();
    ground(&mut pad);
    built(&mut pad);
    planted(&mut pad);
    pad.0
}

fn ground(pad: &mut Pad) {
    let medium = Pen::solid(Weight::Medium, Tone::Ink);
    let heavy = Pen::solid(Weight::Heavy, Tone::Ink);
    let turf = Some(Fill::Wash(Tone::Turf));
    pad.path(
        &LAWN,
        Kind::Lawn,
        "front",
        rectangle(0.0, 0.0, 30.0, 8.5),
        Pen::solid(Weight::Fine, Tone::Turf),
        turf,
    );
    let mulch = Some(Fill::Dotted(Tone::Earth));
    pad.path(&GROUND, Kind::Bed, "north", bed(0.6, 29.4, 23.6, -4.0), heavy, mulch);
    pad.path(&GROUND, Kind::Bed, "foundation", bed(8.0, 15.5, 8.5, -2.2), heavy, mulch);
    pad.path(&HARD, Kind::Surface, "walk", rectangle(16.0, 0.0, 17.4, 8.5), medium, None);
    let stone = Some(Fill::Wash(Tone::Faint));
    pad.path(&HARD, Kind::Surface, "drive", rectangle(22.0, 0.0, 27.5, 8.5), medium, stone);
    pad.path(
        &PROPERTY,
        Kind::PaperLine,
        "lot",
        rectangle(0.0, 0.0, 30.0, 24.0),
        Pen::of(Weight::Bold, Pattern::LongShortShort, Tone::Ink),
        None,
    );
}

fn built(pad: &mut Pad) {
    let house = rectangle(8.0, 8.5, 28.0, 16.5);
    pad.path(
        &BUILDING,
        Kind::Building,
        "house",
        house,
        Pen::solid(Weight::Heavy, Tone::Ink),
        Some(Fill::Slanted(Tone::Faint)),
    );
    let mut gas = BezPath::new();
    gas.move_to((2.5, 0.0));
    gas.line_to((3.0, 10.0));
    gas.line_to((8.0, 10.6));
    pad.path(
        &SERVICE,
        Kind::Buried,
        "gas",
        gas,
        Pen::of(Weight::Medium, Pattern::DashDot, Tone::Hazard),
        None,
    );
    let mut water = BezPath::new();
    water.move_to((19.5, 0.0));
    water.line_to((19.5, 8.5));
    pad.path(
        &SERVICE,
        Kind::Buried,
        "water",
        water,
        Pen::of(Weight::Medium, Pattern::Dashed, Tone::Water),
        None,
    );
    pad.glyph(Kind::Opening, "front-door", Glyph::Door, (16.7, 8.8), 0.0, Tone::Ink);
    pad.glyph(Kind::Downspout, "south-west", Glyph::Downspout, (8.15, 8.3), 0.0, Tone::Water);
    pad.glyph(Kind::Utility, "meter", Glyph::Utility, (7.7, 11.0), 0.0, Tone::Hazard);
    pad.glyph(Kind::Viewpoint, "kitchen", Glyph::Eye, (15.0, 16.2), std::f64::consts::FRAC_PI_2, Tone::Ink);
    pad.glyph(Kind::Reference, "corner", Glyph::Reference, (0.0, 0.0), 0.0, Tone::Ink);
    pad.glyph(Kind::Surface, "drive", Glyph::DropPlace, (24.7, 4.0), 0.0, Tone::Ink);
    pad.glyph(Kind::Buried, "gas", Glyph::Buried, (12.0, 2.0), 0.0, Tone::Water);
    pad.words("house", (18.0, 12.5), "EXISTING HOUSE\nsill +0.00", 3.5, None);
    pad.words("drive", (24.7, 6.0), "DRIVE", 2.5, None);
    pad.words("walk", (16.9, 4.0), "WALK", 2.5, Some(std::f64::consts::FRAC_PI_2));
    pad.words("street", (15.0, -1.4), "MAPLE LANE", 3.5, None);
    let size = |from: (f64, f64), to: (f64, f64), offset, text: &str| Shape::Dimension {
        from: from.into(),
        to: to.into(),
        offset,
        text: text.to_owned(),
    };
    pad.add(&SIZES, Kind::Building, "house", size((8.0, 16.5), (28.0, 16.5), 0.9, "20.00 m"));
    pad.add(&SIZES, Kind::Building, "house", size((28.0, 8.5), (28.0, 16.5), -0.9, "8.00 m"));
}

fn planted(pad: &mut Pad) {
    pad.row("hedge", ["14 HORN", "hornbeam, 5 gal, 3 ft o.c."], (1.6, 22.9), (28.4, 22.9), 14, 0.75);
    pad.row("roses", ["9 ROSE", "shrub rose, 3 gal"], (3.0, 21.8), (11.0, 22.0), 9, 0.5);
    pad.row("sage", ["12 SAGE", "meadow sage, 1 gal"], (3.0, 20.6), (10.2, 20.6), 12, 0.3);
    pad.row("grass", ["8 MISC", "maiden grass, 3 gal"], (13.0, 21.8), (20.0, 21.2), 8, 0.45);
    pad.row("ferns", ["10 FERN", "lady fern, 1 gal"], (21.4, 21.6), (28.6, 21.2), 10, 0.35);
    pad.row("box", ["7 BOX", "boxwood, 3 gal, 24 in o.c."], (8.7, 7.8), (15.0, 7.8), 7, 0.45);
    pad.row("thyme", ["8 THYM", "creeping thyme"], (9.2, 6.9), (14.8, 6.9), 8, 0.25);
    let stays = Pen::solid(Weight::Medium, Tone::Keep);
    for (id, x, y, radius) in [("oak", 4.2, 15.0, 2.6), ("cherry", 25.5, 18.2, 1.2)] {
        let crown = Shape::Circle { centre: Point::new(x, y), radius, pen: Some(stays), fill: None };
        pad.add(&KEPT, Kind::Tree, id, crown);
        let trunk =
            Shape::Glyph { glyph: Glyph::TrunkKept, at: Point::new(x, y), rotation: 0.0, tone: Tone::Keep };
        pad.add(&KEPT, Kind::Tree, id, trunk);
        pad.tag(id, &["KEEP", id], vec![Point::new(x, y)], Tone::Keep);
    }
    for (id, x, y, glyph, tone, word) in [
        ("yew", 6.0, 4.0, Glyph::Removed, Tone::Remove, "REMOVE"),
        ("lilac", 9.0, 3.6, Glyph::Dug, Tone::Move, "MOVE"),
        ("lilac-new", 21.0, 18.3, Glyph::TransplantCentre, Tone::Move, "LILAC HERE"),
        ("spirea", 13.6, 4.4, Glyph::ShrubKept, Tone::Keep, "KEEP"),
    ] {
        pad.glyph(Kind::Shrub, id, glyph, (x, y), 0.0, tone);
        pad.tag(id, &[word], vec![Point::new(x, y)], tone);
    }
}

/// A sheet of 400 mm by 300 mm that shows the garden at 1:100.
pub fn view() -> View {
    View {
        drawing: Drawing::Planting,
        frame: Frame::Plan,
        scale: 100.0,
        rotation: 0.0,
        centre: Point::new(15.0, 12.0),
        width_mm: 400.0,
        height_mm: 300.0,
    }
}

/// Beds full of pots with a tag for every so many, on a sheet that leaves room between the beds.
///
/// `tags` groups of pots of equal number; the sheet grows with them.
pub fn crowd(tags: usize, pots: usize) -> (Vec<Mark>, View) {
    let mut pad = Vec::new();
    let columns = (tags as f64).sqrt().ceil() as usize;
    let per_group = pots / tags;
    let cell = Vec2::new(4.6, 3.4);
    for group in 0..tags {
        let corner = Point::new(cell.x * (group % columns) as f64, cell.y * (group / columns) as f64);
        let id = ElementId::from(format!("group-{group}").as_str());
        let subject = ElementRef::new(Kind::Planting, &id);
        let side = (per_group as f64).sqrt().ceil() as usize;
        let place = |i: usize| corner + Vec2::new((i % side) as f64, (i / side) as f64) * 0.55;
        let mut mark = |layer: &'static Layer, ordinal, shape| {
            pad.push(Mark { subject: subject.clone(), ordinal, layer, frame: Frame::Plan, shape });
        };
        for i in 0..per_group {
            let pen = Some(Pen::solid(Weight::Thin, Tone::New));
            mark(&NEW, i as u32, Shape::Circle { centre: place(i), radius: 0.2, pen, fill: None });
        }
        let lines = vec![format!("{per_group} TAXON-{group}"), "3 gal, 22 in o.c.".to_owned()];
        let anchors = (0..per_group).map(place).collect();
        mark(&TAGS, 0, Shape::Callout { lines, anchors, height_mm: 2.0, tone: Tone::New });
    }
    let rows = tags.div_ceil(columns);
    let size = Vec2::new(cell.x * columns as f64, cell.y * rows as f64) * 10.0;
    let view = View {
        centre: Point::new(size.x / 20.0 - 1.5, size.y / 20.0 - 1.0),
        width_mm: size.x + 30.0,
        height_mm: size.y + 30.0,
        ..self::view()
    };
    (pad, view)
}
