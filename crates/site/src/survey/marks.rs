//! The survey diagram: every reading as a line with its length and residual, every point with its
//! error ellipse enlarged.

use groundwright_geometry::{BezPath, Point};
use groundwright_handoff::{
    Drawing, Frame, Glyph, Layer, Mark, Pattern, Pen, Shape, TextAnchor, Tone, Weight,
};
use groundwright_survey::{Ellipse, Observed};

use super::SurveyStudy;

const SURVEY: &[Drawing] = &[Drawing::Survey];

/// Readings.
static READING: Layer = Layer { name: "SURVEY-READING", title: "Reading", on: SURVEY, order: 300 };
/// Readings that are left out as likely wrong.
static SUSPECT: Layer =
    Layer { name: "SURVEY-SUSPECT", title: "Reading left out as likely wrong", on: SURVEY, order: 310 };
/// Error ellipses.
static ELLIPSE: Layer = Layer {
    name: "SURVEY-ELLIPSE",
    title: "Accuracy of a point, 100 times as large",
    on: SURVEY,
    order: 320,
};
/// Points.
static POINT: Layer = Layer { name: "SURVEY-POINT", title: "Survey point", on: SURVEY, order: 330 };
/// Lengths and residuals.
static LENGTH: Layer =
    Layer { name: "SURVEY-LENGTH", title: "Length, and residual below it", on: SURVEY, order: 340 };
/// Names of points.
static NAME: Layer = Layer { name: "SURVEY-NAME", title: "Name of a point", on: SURVEY, order: 905 };

/// All layers of the survey.
pub static ALL: [&Layer; 6] = [&READING, &SUSPECT, &ELLIPSE, &POINT, &LENGTH, &NAME];

/// Error ellipses are drawn this many times as large as they are.
const ENLARGED: f64 = 100.0;

pub(super) fn marks(study: &SurveyStudy<'_>) -> Vec<Mark> {
    let Some(network) = &study.readings.network else { return Vec::new() };
    let mut marks = Vec::new();
    for (i, reading) in study.readings.book.network.readings.iter().enumerate() {
        let suspect = network.suspects.iter().any(|suspect| suspect.reading == i);
        let adjusted = &network.cleaned.readings[i];
        let Observed::Distance { from, to } = reading.observed else { continue };
        let (Some(a), Some(b)) = (study.place(from), study.place(to)) else { continue };
        let mut put = |layer: &'static Layer, shape| {
            marks.push(Mark {
                subject: study.element(from),
                ordinal: i as u32,
                layer,
                frame: Frame::Plan,
                shape,
            });
        };
        let mut path = BezPath::new();
        path.move_to(a);
        path.line_to(b);
        let (layer, pen) = if suspect {
            (&SUSPECT, Pen::of(Weight::Medium, Pattern::Dashed, Tone::Hazard))
        } else {
            (&READING, Pen::solid(Weight::Thin, Tone::Faint))
        };
        put(layer, Shape::Path { path, pen: Some(pen), fill: None });
        let residual = super::tables::fine(study, adjusted.residual);
        let text = format!("{}\n{residual}", study.reader.length(reading.value));
        let tone = if suspect { Tone::Hazard } else { Tone::Ink };
        put(&LENGTH, text_along(a, b, text, tone));
    }
    points(study, &mut marks);
    marks
}

/// Letters at the middle of a line, never upside down.
fn text_along(a: Point, b: Point, text: String, tone: Tone) -> Shape {
    let (a, b) = if b.x < a.x { (b, a) } else { (a, b) };
    // A third of the way: the middles of crossing diagonals fall together.
    let at = a.lerp(b, 0.36);
    Shape::Text {
        at,
        text,
        height_mm: 1.4,
        anchor: TextAnchor::Middle,
        rotation: Some((b - a).atan2()),
        tone,
    }
}

fn points(study: &SurveyStudy<'_>, marks: &mut Vec<Mark>) {
    let Some(network) = &study.readings.network else { return };
    for (i, point) in network.cleaned.points.iter().enumerate().filter(|(_, point)| point.determined) {
        let mut put = |layer: &'static Layer, shape| {
            marks.push(Mark { subject: study.element(i), ordinal: 0, layer, frame: Frame::Plan, shape });
        };
        put(&POINT, Shape::Glyph { glyph: Glyph::Reference, at: point.at, rotation: 0.0, tone: Tone::Ink });
        let ellipse = point.ellipse();
        if ellipse.major > 0.0 {
            let pen = Pen::solid(Weight::Fine, Tone::Move);
            put(&ELLIPSE, Shape::Path { path: outline(point.at, &ellipse), pen: Some(pen), fill: None });
        }
        let lines = vec![study.booked(i).to_owned()];
        put(&NAME, Shape::Callout { lines, anchors: vec![point.at], height_mm: 2.0, tone: Tone::Ink });
    }
}

/// An ellipse as a closed line.
fn outline(centre: Point, ellipse: &Ellipse) -> BezPath {
    let (sin, cos) = ellipse.direction.sin_cos();
    let mut path = BezPath::new();
    for k in 0..48 {
        let angle = std::f64::consts::TAU * f64::from(k) / 48.0;
        let (u, v) = (ENLARGED * ellipse.major * angle.cos(), ENLARGED * ellipse.minor * angle.sin());
        let at = centre + groundwright_geometry::Vec2::new(u * cos - v * sin, u * sin + v * cos);
        if k == 0 { path.move_to(at) } else { path.line_to(at) }
    }
    path.close_path();
    path
}
