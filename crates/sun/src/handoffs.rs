//! What the sun study hands out: a table by bed, lines of equal hours.

use groundwright_geometry::{BezPath, Point};
use groundwright_handoff::{
    Cell, Column, Datum, Drawing, Frame, Layer, Mark, Pattern, Pen, Shape, Study, Table, TextAnchor, Tone,
    Weight, When,
};
use groundwright_plan::{ElementRef, Kind};

use crate::contour::contours;
use crate::noon::SunYear;
use crate::study::SunStudy;

/// Lines of equal sun hours.
pub static SUN_LINES: Layer = Layer {
    name: "SUN-HOURS",
    title: "Hours of direct sun a day, growing season",
    on: &[Drawing::Sun],
    order: 500,
};
/// Their numbers.
pub static SUN_NUMBERS: Layer =
    Layer { name: "SUN-HOURS-TAG", title: "Hours of direct sun, number", on: &[Drawing::Sun], order: 905 };

/// Shadows at noon on the shortest day.
pub static NOON_SHORTEST: Layer = Layer {
    name: "SUN-NOON-SHORTEST",
    title: "Shadow at noon, shortest day",
    on: &[Drawing::Shadows],
    order: 501,
};
/// Shadows at noon at the equinox.
pub static NOON_EQUINOX: Layer =
    Layer { name: "SUN-NOON-EQUINOX", title: "Shadow at noon, equinox", on: &[Drawing::Shadows], order: 502 };
/// Shadows at noon on the longest day.
pub static NOON_LONGEST: Layer = Layer {
    name: "SUN-NOON-LONGEST",
    title: "Shadow at noon, longest day",
    on: &[Drawing::Shadows],
    order: 503,
};

/// Hours at which lines are drawn: the limits of shade and of full sun, and one between. [h]
const LEVELS: [f64; 3] = [3.0, 4.0, 6.0];
/// Lines shorter than this are specks. [m]
const SPECK: f64 = 2.0;

impl Study for SunStudy<'_> {
    fn tables(&self) -> Vec<Table> {
        let mut all: Vec<Table> = crate::noon::table(self.noons).into_iter().collect();
        if self.beds.is_empty() {
            return all;
        }
        let hours = |value: f64| Cell::Datum(Datum::hours((2.0 * value).round() / 2.0));
        let rows = self.beds.iter().map(|bed| {
            vec![
                Cell::Text(bed.element.id.to_string()),
                hours(bed.least),
                hours(bed.middle),
                hours(bed.most),
                hours(bed.afternoon),
                hours(bed.winter),
            ]
        });
        all.push(Table {
            key: "sun",
            title: "Direct sun on the ground, hours a day".to_owned(),
            columns: vec![
                Column::text("Bed, box or lawn", 1.6),
                Column::number("Darkest tenth", 1.0),
                Column::number("Middle", 0.9),
                Column::number("Brightest tenth", 1.0),
                Column::number("After noon", 0.9),
                Column::number("Winter", 0.9),
            ],
            rows: rows.collect(),
            notes: vec![
                format!("Mean of the growing season, {}; winter is November to February.", self.when()),
                "From the course of the sun, walls, roofs and crowns; half an hour either way. What is seen on site goes before it.".to_owned(),
            ],
        });
        all
    }

    fn marks(&self, _when: When) -> Vec<Mark> {
        let mut marks = Vec::new();
        let subject = ElementRef::new(Kind::Viewpoint, &"sun".into());
        for (level, weight) in LEVELS.into_iter().zip([Weight::Bold, Weight::Fine, Weight::Medium]) {
            for line in contours(self.grid, &self.season.total, level) {
                let length: f64 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
                if length < SPECK {
                    continue;
                }
                let mut put = |layer, shape| {
                    let ordinal = marks.len() as u32;
                    marks.push(Mark { subject: subject.clone(), ordinal, layer, frame: Frame::Plan, shape });
                };
                put(
                    &SUN_LINES,
                    Shape::Path {
                        path: path(&line),
                        pen: Some(Pen::of(weight, Pattern::Continuous, Tone::Ink)),
                        fill: None,
                    },
                );
                let at = line[line.len() / 2];
                put(&SUN_NUMBERS, number(at, level));
            }
        }
        marks.extend(self.shadows());
        marks
    }
}

impl SunStudy<'_> {
    fn shadows(&self) -> Vec<Mark> {
        let mut marks = Vec::new();
        for noon in self.noons {
            let (layer, weight, pattern) = match noon.day {
                SunYear::Shortest => (&NOON_SHORTEST, Weight::Medium, Pattern::Dashed),
                SunYear::Equinox => (&NOON_EQUINOX, Weight::Bold, Pattern::Continuous),
                SunYear::Longest => (&NOON_LONGEST, Weight::Medium, Pattern::Dotted),
            };
            let subject = ElementRef::new(Kind::Viewpoint, &"noon".into());
            let pen = Some(Pen::of(weight, pattern, Tone::Ink));
            marks.extend(noon.edges.iter().zip(0..).map(|(edge, ordinal)| Mark {
                subject: subject.clone(),
                ordinal,
                layer,
                frame: Frame::Plan,
                shape: Shape::Path { path: path(edge), pen, fill: None },
            }));
        }
        marks
    }

    fn when(&self) -> String {
        if self.age == 0.0 { "as planted".to_owned() } else { format!("in year {:.0}", self.age) }
    }
}

fn path(line: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (i, at) in line.iter().enumerate() {
        if i == 0 {
            path.move_to(*at);
        } else {
            path.line_to(*at);
        }
    }
    path
}

fn number(at: Point, level: f64) -> Shape {
    Shape::Text {
        at,
        text: format!("{level:.0} h"),
        height_mm: 2.0,
        anchor: TextAnchor::Middle,
        rotation: None,
        tone: Tone::Ink,
    }
}
