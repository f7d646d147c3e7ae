//! The planting detail: a section through a planting hole, to true proportions.
//!
//! - Drawn for the commonest woody size of this job (pot or ball), with the practice's own numbers.
//! - Sources: hole two to three times as wide as the ball, ball set a little high, root flare
//!   visible, backfill of the soil dug: trade-magazine planting guide, Colorado State University
//!   GardenNotes 633.

use std::collections::BTreeMap;

use groundwright_geometry::{BezPath, Point};
use groundwright_handoff::{Fill, Frame, Pattern, Pen, Shape, TextAnchor, Tone, Weight};
use groundwright_plan::stock::Container;
use groundwright_plan::{ElementRef, Kind};

use crate::layers;
use crate::marks::Pad;
use crate::study::PlantingStudy;

/// Name of the detail's frame.
pub const FRAME: &str = "planting-detail";

/// Height of the ball's top above the finished grade. [m] Source: about 1 in above grade for small
/// stock, trade-magazine planting guide.
const PROUD: f64 = 0.0254;

/// The container that most woody plants of the job come in.
fn usual<'p>(study: &PlantingStudy<'p>) -> Option<(&'p Container, usize)> {
    let mut counts: BTreeMap<&str, (&Container, usize)> = BTreeMap::new();
    for plant in &study.yard.plants {
        let woody = study.taxon(plant).is_some_and(|taxon| taxon.kind.is_woody());
        if let Some(container) =
            study.container(plant).filter(|_| woody && plant.origin == groundwright_yard::Origin::New)
        {
            counts.entry(&container.id).or_insert((container, 0)).1 += 1;
        }
    }
    counts.into_values().max_by(|a, b| a.1.cmp(&b.1).then(b.0.id.cmp(&a.0.id)))
}

/// Draws the detail, if the job plants anything woody whose size is known.
pub(crate) fn draw(study: &PlantingStudy<'_>, pad: &mut Pad) {
    let Some((container, _)) = usual(study) else { return };
    let (Some(ball), Some(depth)) = (container.diameter, container.depth) else { return };
    let practice = &study.project.practice;
    let sketch = Sketch {
        ball,
        depth,
        hole: ball * practice.hole_width,
        mulch: practice.mulch_depth,
        ring: practice.mulch_ring,
    };
    let subject = ElementRef::new(Kind::Note, &FRAME.into());
    let mut put = |shape| pad.put_in(Frame::Diagram(FRAME.to_owned()), &subject, &layers::DETAIL, shape);
    sketch.earth(&mut put);
    sketch.plant(&mut put);
    let reader = &study.reader;
    let words = sketch.words(&container.id, reader);
    let mut say = |shape| pad.put_in(Frame::Diagram(FRAME.to_owned()), &subject, &layers::DETAIL_TEXT, shape);
    sketch.dimensions(reader, &mut say);
    let left = -0.95 * sketch.hole;
    for (i, line) in words.iter().enumerate() {
        let at = Point::new(left, -sketch.depth - 0.55 * sketch.hole * (0.5 + 0.22 * i as f64));
        say(Shape::Text {
            at,
            text: line.clone(),
            height_mm: 2.0,
            anchor: TextAnchor::Left,
            rotation: None,
            tone: Tone::Ink,
        });
    }
}

struct Sketch {
    ball: f64,
    depth: f64,
    hole: f64,
    mulch: f64,
    ring: f64,
}

fn polygon(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    for (i, &(x, y)) in points.iter().enumerate() {
        if i == 0 {
            path.move_to((x, y));
        } else {
            path.line_to((x, y));
        }
    }
    path.close_path();
    path
}

fn line(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    for (i, &(x, y)) in points.iter().enumerate() {
        if i == 0 {
            path.move_to((x, y));
        } else {
            path.line_to((x, y));
        }
    }
    path
}

impl Sketch {
    /// Grade, hole, undisturbed soil, backfill, mulch. The grade is y = 0.
    fn earth(&self, put: &mut impl FnMut(Shape)) {
        let (r, foot) = (self.hole / 2.0, PROUD - self.depth);
        let floor = 0.42 * self.hole;
        let side = 0.9 * self.hole;
        let path = |path, pen, fill| Shape::Path { path, pen, fill };
        let heavy = Some(Pen::solid(Weight::Heavy, Tone::Ink));
        // Backfill: a saucer, sides sloping to a firm floor under the ball.
        let backfill = polygon(&[(-r, 0.0), (-floor, foot), (floor, foot), (r, 0.0)]);
        put(path(backfill.clone(), None, Some(Fill::Wash(Tone::Earth))));
        put(path(backfill, Some(Pen::of(Weight::Medium, Pattern::Dashed, Tone::Earth)), None));
        let ground = polygon(&[
            (-side, 0.0),
            (-r, 0.0),
            (-floor, foot),
            (floor, foot),
            (r, 0.0),
            (side, 0.0),
            (side, foot - 0.25 * self.hole),
            (-side, foot - 0.25 * self.hole),
        ]);
        put(path(ground, None, Some(Fill::Slanted(Tone::Earth))));
        put(path(line(&[(-side, 0.0), (-r, 0.0)]), heavy, None));
        put(path(line(&[(r, 0.0), (side, 0.0)]), heavy, None));
        for sign in [-1.0, 1.0] {
            let inner = sign * (self.ring + 0.02);
            let mulch = polygon(&[
                (inner, PROUD),
                (inner + sign * 0.6 * self.mulch, self.mulch),
                (sign * side, self.mulch),
                (sign * side, 0.0),
                (sign * self.ball / 2.0, 0.0),
                (sign * self.ball / 2.0, PROUD),
            ]);
            let pen = Some(Pen::solid(Weight::Thin, Tone::Earth));
            put(path(mulch, pen, Some(Fill::Dotted(Tone::Earth))));
        }
    }

    /// Ball, root flare, stem and a few branches.
    fn plant(&self, put: &mut impl FnMut(Shape)) {
        let (b, foot) = (self.ball / 2.0, PROUD - self.depth);
        let ball = polygon(&[(-b, PROUD), (-0.86 * b, foot), (0.86 * b, foot), (b, PROUD)]);
        let pen = Some(Pen::solid(Weight::Medium, Tone::New));
        put(Shape::Path { path: ball, pen, fill: Some(Fill::Wash(Tone::New)) });
        let t = 0.07 * self.ball;
        let top = 1.5 * self.ball;
        let mut stem = BezPath::new();
        stem.move_to((-3.2 * t, PROUD));
        stem.quad_to((-1.1 * t, PROUD + 0.5 * t), (-t, PROUD + 3.0 * t));
        stem.line_to((-0.7 * t, top));
        stem.line_to((0.7 * t, top));
        stem.line_to((t, PROUD + 3.0 * t));
        stem.quad_to((1.1 * t, PROUD + 0.5 * t), (3.2 * t, PROUD));
        put(Shape::Path { path: stem, pen, fill: Some(Fill::Wash(Tone::New)) });
        for (height, reach) in [(0.55, -0.75), (0.7, 0.8), (0.9, -0.6), (1.05, 0.65)] {
            let mut branch = BezPath::new();
            branch.move_to((0.0, height * self.ball));
            branch.quad_to(
                (0.45 * reach * self.ball, (height + 0.1) * self.ball),
                (reach * self.ball, (height + 0.42) * self.ball),
            );
            put(Shape::Path { path: branch, pen: Some(Pen::solid(Weight::Thin, Tone::New)), fill: None });
        }
    }

    fn dimensions(&self, reader: &groundwright_units::Reader, say: &mut impl FnMut(Shape)) {
        let (r, foot) = (self.hole / 2.0, PROUD - self.depth);
        let below = -0.42 * self.hole;
        say(Shape::Dimension {
            from: Point::new(-r, foot),
            to: Point::new(r, foot),
            offset: below * 0.5,
            text: format!("hole {}", reader.depth(self.hole)),
        });
        say(Shape::Dimension {
            from: Point::new(0.98 * self.hole, foot),
            to: Point::new(0.98 * self.hole, PROUD),
            offset: -0.04 * self.hole,
            text: reader.depth(self.depth),
        });
        let tag = |lines: &[&str], at: (f64, f64)| Shape::Callout {
            lines: lines.iter().map(|&l| l.to_owned()).collect(),
            anchors: vec![Point::new(at.0, at.1)],
            height_mm: 2.0,
            tone: Tone::Ink,
        };
        say(tag(&["root flare at or above grade,", "never buried"], (0.2 * self.ball, PROUD + 0.01)));
        say(tag(&["mulch kept off the trunk"], (-(self.ring + 0.03 + 0.5 * self.mulch), 0.6 * self.mulch)));
        say(tag(&["backfill: the soil dug here,", "broken up, watered in"], (0.4 * self.hole, 0.3 * foot)));
        say(tag(&["ball on firm, undisturbed soil"], (-0.3 * self.ball, foot)));
    }

    fn words(&self, size: &str, reader: &groundwright_units::Reader) -> Vec<String> {
        vec![
            format!(
                "Drawn for {size}: hole {} wide, as deep as the pot less {}.",
                reader.depth(self.hole),
                reader.depth(PROUD)
            ),
            "1  Services located and marked before any digging.".to_owned(),
            "2  Find the root flare; take off soil above it. Cut circling roots.".to_owned(),
            "3  Roughen the sides of the hole; in wet clay do not dig deeper than the pot.".to_owned(),
            "4  Cut away wire, twine and burlap from the top of a ball.".to_owned(),
            "5  Water at once; settle by water, not by foot.".to_owned(),
        ]
    }
}
