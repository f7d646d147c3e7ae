//! The six hand-offs of edging.

use groundwright_geometry::Point3;
use groundwright_handoff::{
    Body, Cell, Column, Datum, Drawing, Finding, Layer, Link, Mark, Pattern, Pen, Phase, Quantity, Role,
    Rule, Severity, Shape, Solid, Source, Step, Study, Table, Task, Tone, Trade, Weight, When,
};
use groundwright_plan::{Command, Kind};

use crate::pieces::count_pieces;
use crate::{EdgingStudy, Run};

/// The layer of edging.
pub static EDGING: Layer = Layer { name: "EDGING", title: "Edging", on: &[Drawing::Ground], order: 405 };
/// Its tags.
pub static EDGING_TAG: Layer =
    Layer { name: "EDGING-TAG", title: "Edging, tag", on: &[Drawing::Ground], order: 906 };

static TOO_TIGHT: Rule = Rule {
    id: "edging.radius",
    title: "Edging bent too tightly",
    sentence: "{subject}: {product} is bent to a radius of {least}; it bends to {limit}.",
    source: Source::Published("the stock's edging file, with its own source"),
};
static NOTHING: Rule = Rule {
    id: "edging.nothing",
    title: "Edging without length",
    sentence: "{subject} has no length: all of its edge runs along paving or walls.",
    source: Source::Practice,
};

/// Flattening of drawn lines. [m]
const FINE: f64 = 0.005;

/// Edging is set with its top this far above the soil. [m] Common practice, no source.
const SHOWS: f64 = 0.0254;

impl Study for EdgingStudy<'_> {
    fn findings(&self) -> Vec<Finding> {
        self.runs.iter().filter_map(finding).collect()
    }

    fn quantities(&self) -> Vec<Quantity> {
        self.runs.iter().flat_map(|run| quantities(self, run)).collect()
    }

    fn tasks(&self) -> Vec<Task> {
        let runs = self.runs.iter().filter(|run| run.length() > 0.0);
        runs.map(|run| Task {
            key: format!("edging/{}", run.element.id),
            title: format!("Set {} along {}", run.product.name, run.along),
            trade: Trade::Crew,
            labour_hours: run.length() * self.project.practice.edging_hours,
            after: vec![Link { before: "clear/".to_owned(), lag_days: 0.0 }],
            season: None,
            hold_point: Some("line of the edge painted and looked at".to_owned()),
            consumes: vec![format!("edging/{}", run.product.id)],
            cautions: vec!["Stakes reach below the edging: have buried services located first.".to_owned()],
            subject: run.element.clone(),
        })
        .collect()
    }

    fn tables(&self) -> Vec<Table> {
        if self.runs.is_empty() {
            return Vec::new();
        }
        let text = |words: &str| Cell::Text(words.to_owned());
        let rows = self.runs.iter().map(|run| {
            let radius = if run.least_radius.is_finite() {
                Cell::Datum(Datum::length(run.least_radius))
            } else {
                text("straight")
            };
            vec![
                text(run.element.id.as_str()),
                text(&run.product.name),
                text(&run.along.to_string()),
                Cell::Datum(Datum::length(run.length())),
                radius,
            ]
        });
        vec![Table {
            key: "edging",
            title: "Edging".to_owned(),
            columns: vec![
                Column::text("Run", 1.2),
                Column::text("Product", 2.0),
                Column::text("Along", 1.5),
                Column::number("Length", 0.9),
                Column::number("Least radius", 0.9),
            ],
            rows: rows.collect(),
            notes: vec!["Lengths along the edge, where no paving or wall is the edge already.".to_owned()],
        }]
    }

    fn marks(&self, _when: When) -> Vec<Mark> {
        let mut marks = Vec::new();
        for run in &self.runs {
            let mut put = |layer, shape| {
                let ordinal = marks.len() as u32;
                let frame = groundwright_handoff::Frame::Plan;
                marks.push(Mark { subject: run.element.clone(), ordinal, layer, frame, shape });
            };
            for piece in &run.pieces {
                let mut path = groundwright_geometry::BezPath::new();
                for (i, at) in piece.flatten(FINE).into_iter().enumerate() {
                    if i == 0 {
                        path.move_to(at);
                    } else {
                        path.line_to(at);
                    }
                }
                let pen = Pen::of(Weight::Bold, Pattern::Dashed, Tone::Ink);
                put(&EDGING, Shape::Path { path, pen: Some(pen), fill: None });
            }
            if let Some(longest) = run.pieces.iter().max_by(|a, b| a.length().total_cmp(&b.length())) {
                let lines = vec![run.product.name.clone(), self.reader.length(run.length())];
                let anchors =
                    [0.3, 0.5, 0.7].iter().map(|share| longest.point(share * longest.length())).collect();
                put(&EDGING_TAG, Shape::Callout { lines, anchors, height_mm: 2.0, tone: Tone::Ink });
            }
        }
        marks
    }

    fn solids(&self, _when: When) -> Vec<Solid> {
        let pieces =
            self.runs.iter().flat_map(|run| run.pieces.iter().enumerate().map(move |piece| (run, piece)));
        pieces
            .map(|(run, (ordinal, piece))| Solid {
                subject: run.element.clone(),
                ordinal: ordinal as u32,
                role: Role::Stands,
                body: Body::Ribbon {
                    line: piece
                        .flatten(FINE)
                        .into_iter()
                        .map(|at| {
                            Point3::new(
                                at.x,
                                at.y,
                                self.yard.ground.proposed(at) + SHOWS - run.product.height,
                            )
                        })
                        .collect(),
                    width: run.product.thickness,
                    height: run.product.height,
                },
                material: run.product.id.clone(),
                transmittance: 0.0,
            })
            .collect()
    }
}

fn finding(run: &Run<'_>) -> Option<Finding> {
    if run.pieces.is_empty() {
        let remedy = "take it out, or name another edge";
        return Some(
            Finding::new(&NOTHING, Severity::Doubt, run.element.clone())
                .remedy(remedy, vec![Command::Remove { element: run.element.clone() }]),
        );
    }
    (run.least_radius < run.product.least_radius).then(|| {
        Finding::new(&TOO_TIGHT, Severity::Doubt, run.element.clone())
            .word("product", &run.product.name)
            .value("least", Datum::length(run.least_radius))
            .limit(Datum::length(run.product.least_radius))
            .remedy(
                "cut the edge with a spade there",
                vec![Command::set(Kind::Edging, &run.element.id, "product", "\"spade-cut\"")],
            )
            .remedy("ease the bend of the bed line", Vec::new())
    })
}

fn quantities(study: &EdgingStudy<'_>, run: &Run<'_>) -> Vec<Quantity> {
    let length = run.length();
    if length <= 0.0 {
        return Vec::new();
    }
    let waste = study.project.practice.edging_waste;
    let line = |item: String, description: String, amount, allowance, basis| Quantity {
        item,
        description,
        amount,
        allowance,
        spread: 0.0,
        basis,
        packs: Vec::new(),
        subject: run.element.clone(),
        phase: Phase::Hardscape,
        option: None,
    };
    let product = run.product;
    let measured = Step::new("length along the edge", Datum::length(length), "measured by arc length");
    let cuts = Step::new("waste at cuts", Datum::ratio(waste), "× (1 + waste)");
    let Some(piece) = product.piece else {
        return vec![line(
            format!("edging/{}", product.id),
            product.name.clone(),
            Datum::length(length),
            waste,
            vec![measured, cuts],
        )];
    };
    // Each part of a run is laid by itself: a walk between two parts ends the laps.
    let counts = run.pieces.iter().filter_map(|part| {
        count_pieces(part.length() * (1.0 + waste), piece, product.overlap, product.stakes).ok()
    });
    let (pieces, stakes) = counts.fold((0, 0), |(p, s), count| (p + count.pieces, s + count.stakes));
    let laid = Step::new(
        "pieces",
        Datum::count(pieces),
        format!(
            "of {}, lapped {}, whole in each of {} parts",
            study.reader.length(piece),
            study.reader.depth(product.overlap),
            run.pieces.len()
        ),
    );
    let mut all = vec![line(
        format!("edging/{}", product.id),
        format!("{}, pieces", product.name),
        Datum::count(pieces),
        0.0,
        vec![measured.clone(), cuts, laid.clone()],
    )];
    if product.stakes > 0 {
        let each = Step::new("stakes", Datum::count(stakes), format!("{} to a piece", product.stakes));
        all.push(line(
            format!("edging-stakes/{}", product.id),
            format!("stakes for {}", product.name),
            Datum::count(stakes),
            0.0,
            vec![measured, laid, each],
        ));
    }
    all
}
