//! Beds, boxes and lawns as ground: what they are drawn with, and what is wrong with them.
//!
//! - In: the project and its plot; no plant is looked at, so that nothing here is done again when a
//!   planting changes. Out: findings and marks.
//! - Not here: what the ground takes (`takeoff.rs`), its plants.

use groundwright_handoff::{
    Datum, Fill, Finding, Mark, Pen, Rule, Severity, Shape, Source, Study, Tone, Weight, When,
};
use groundwright_plan::{Command, ElementRef, Kind, LawnKind, Project};
use groundwright_units::Reader;
use groundwright_yard::arrange::mowing::{Mower, check_lawn};
use groundwright_yard::{Area, Plot};

use crate::layers;
use crate::marks::Pad;

static BEDS_OVERLAP: Rule = Rule {
    id: "planting.beds-overlap",
    title: "Beds, boxes or lawns that overlap",
    sentence: "{subject} and {other} overlap by {area}; what goes there would be counted twice.",
    source: Source::Practice,
};
static NO_TURF: Rule = Rule {
    id: "planting.turf-product",
    title: "Lawns without a product",
    sentence: "{subject} is to be laid with {kind}, but names no {kind} of the stock; none is ordered.",
    source: Source::Practice,
};
static TIGHT_TURF: Rule = Rule {
    id: "planting.mowing-radius",
    title: "Lawn edges too tight to mow",
    sentence: "{subject}: {count} {bend of its edge is|bends of its edge are} tighter than {limit}, the tightest {least}.",
    source: Source::Practice,
};
static NARROW_TURF: Rule = Rule {
    id: "planting.mowing-width",
    title: "Turf narrower than the mower",
    sentence: "{subject}: {area} of turf is narrower than the mower's {limit}.",
    source: Source::Practice,
};
static TURF_SCRAP: Rule = Rule {
    id: "planting.turf-scrap",
    title: "Scraps of turf",
    sentence: "{subject}: an isolated scrap of {area} of turf is below {limit}.",
    source: Source::Practice,
};
static MULCH_DEEP: Rule = Rule {
    id: "planting.mulch-deep",
    title: "Mulch too deep",
    sentence: "{subject}: mulch {depth} deep; above {limit} it harms roots.",
    source: Source::Published("supplier page on mulch depths: more than about 6 in is harmful"),
};

/// What is usually spread. [m]
const USUAL_MULCH: f64 = 0.0762;

/// Mulch deeper than this harms roots. [m]
const HARMFUL_MULCH: f64 = 0.1524;

/// Beds, boxes and lawns, from the plot alone.
#[derive(Debug, Clone)]
pub struct BedStudy<'p> {
    project: &'p Project,
    plot: &'p Plot,
    reader: Reader,
}

/// Studies beds, boxes and lawns.
///
/// # Arguments
/// - `project`: for practice, stock, and what the design says of its ground.
/// - `plot`: where they lie.
pub fn beds<'p>(project: &'p Project, plot: &'p Plot) -> BedStudy<'p> {
    BedStudy { project, plot, reader: Reader::new(project.property.system) }
}

impl Study for BedStudy<'_> {
    fn findings(&self) -> Vec<Finding> {
        let mut all = Vec::new();
        overlaps_and_mulch(self, &mut all);
        lawns(self, &mut all);
        all
    }

    fn marks(&self, _when: When) -> Vec<Mark> {
        let mut pad = Pad::default();
        draw(self, &mut pad);
        pad.marks
    }
}

fn overlaps_and_mulch(study: &BedStudy<'_>, all: &mut Vec<Finding>) {
    let plot = study.plot;
    let grounds: Vec<&Area> = plot.beds.iter().chain(&plot.boxes).chain(&plot.lawns).collect();
    for (i, one) in grounds.iter().enumerate() {
        for other in &grounds[i + 1..] {
            let apart = match (one.free.bounds(), other.free.bounds()) {
                (Some(a), Some(b)) => !a.overlaps(b),
                _ => true,
            };
            if apart {
                continue;
            }
            let shared = one.free.intersection(&other.free);
            // Shared edges overlap by slivers within the flattening tolerance.
            if shared.area() > 0.05 {
                let mut finding = Finding::new(&BEDS_OVERLAP, Severity::Fault, one.element.clone())
                    .also(other.element.clone())
                    .word("other", other.element.to_string())
                    .value("area", Datum::area(shared.area()))
                    .remedy(
                        format!(
                            "let one of them run `along = \"{} {}\"`",
                            other.element.kind.key(),
                            other.element.id
                        ),
                        Vec::new(),
                    );
                if let Some(at) = shared.centroid() {
                    finding = finding.at(at);
                }
                all.push(finding);
            }
        }
    }
    let design = &study.project.design;
    let beds = design.beds.iter().map(|bed| (Kind::Bed, &bed.id, &bed.mulch));
    let boxes = design.boxes.iter().map(|planter| (Kind::PlanterBox, &planter.id, &planter.mulch));
    for (kind, id, mulch) in beds.chain(boxes) {
        let depth = mulch.as_ref().map_or(0.0, |mulch| mulch.depth.value);
        if depth > HARMFUL_MULCH {
            let value = format!("\"{:.0} mm\"", USUAL_MULCH * 1000.0);
            let action = format!("spread {}", study.reader.depth(USUAL_MULCH));
            all.push(
                Finding::new(&MULCH_DEEP, Severity::Doubt, ElementRef::new(kind, id))
                    .value("depth", Datum::depth(depth))
                    .limit(Datum::depth(HARMFUL_MULCH))
                    .remedy(action, vec![Command::set(kind, id, "mulch.depth", &value)]),
            );
        }
    }
}

fn lawns(study: &BedStudy<'_>, all: &mut Vec<Finding>) {
    for lawn in study.project.design.lawns.iter().filter(|lawn| lawn.kind != LawnKind::Keep) {
        let product = study.project.stock.turf.get(&lawn.product);
        // Sod has slabs, seed has a rate.
        if product.is_none_or(|product| product.slab.is_some() != (lawn.kind == LawnKind::Sod)) {
            all.push(
                Finding::new(&NO_TURF, Severity::Fault, ElementRef::new(Kind::Lawn, &lawn.id))
                    .word("kind", lawn.kind.to_string())
                    .remedy("name a `product` of stock/sod.toml of that kind", Vec::new()),
            );
        }
    }
    let practice = &study.project.practice;
    let mower = Mower {
        least_radius: practice.mowing_radius,
        deck: practice.mower_width,
        least_area: practice.turf_scrap,
    };
    for lawn in &study.plot.lawns {
        let new = |rule, severity| Finding::new(rule, severity, lawn.element.clone());
        let Ok(edge) = check_lawn(&lawn.free, &mower) else { continue };
        if let Some(worst) = edge.tight.iter().min_by(|a, b| a.radius.total_cmp(&b.radius)) {
            all.push(
                new(&TIGHT_TURF, Severity::Note)
                    .value("count", Datum::count(edge.tight.len()))
                    .value("least", Datum::length(worst.radius))
                    .limit(Datum::length(mower.least_radius))
                    .at(worst.at)
                    .remedy("ease the bed line there, or edge it by hand", Vec::new()),
            );
        }
        if edge.narrow.area() > 0.1 {
            let mut finding = new(&NARROW_TURF, Severity::Doubt)
                .value("area", Datum::area(edge.narrow.area()))
                .limit(Datum::length(mower.deck))
                .remedy("give it to the bed", Vec::new());
            if let Some((at, _)) = edge.narrow.pole(0.05) {
                finding = finding.at(at);
            }
            all.push(finding);
        }
        for (scrap, area) in &edge.scraps {
            let mut finding = new(&TURF_SCRAP, Severity::Doubt)
                .value("area", Datum::area(*area))
                .limit(Datum::area(mower.least_area))
                .remedy("give it to the bed, or join it to the lawn", Vec::new());
            if let Some((at, _)) = scrap.pole(0.05) {
                finding = finding.at(at);
            }
            all.push(finding);
        }
    }
}

fn outline(area: &Area, pen: Pen, fill: Option<Fill>) -> Shape {
    Shape::Path { path: area.free.to_path(), pen: Some(pen), fill }
}

fn draw(study: &BedStudy<'_>, pad: &mut Pad) {
    let plot = study.plot;
    for lawn in &plot.lawns {
        let pen = Pen::solid(Weight::Thin, Tone::Turf);
        pad.put(&lawn.element, &layers::LAWN, outline(lawn, pen, Some(Fill::Dotted(Tone::Turf))));
        lawn_words(study, lawn, pad);
    }
    for bed in &plot.beds {
        let mulched = study.project.design.beds.iter().any(|b| b.id == bed.element.id && b.mulch.is_some());
        if mulched {
            let wash =
                Shape::Path { path: bed.free.to_path(), pen: None, fill: Some(Fill::Wash(Tone::Earth)) };
            pad.put(&bed.element, &layers::MULCH, wash);
        }
        pad.put(&bed.element, &layers::BED, outline(bed, Pen::solid(Weight::Heavy, Tone::Earth), None));
        ground_words(study, bed, pad);
    }
    for planter in &plot.boxes {
        pad.put(
            &planter.element,
            &layers::PLANTER_BOX,
            outline(planter, Pen::solid(Weight::Heavy, Tone::Ink), None),
        );
        let wall = study
            .project
            .design
            .boxes
            .iter()
            .find(|b| b.id == planter.element.id)
            .map_or(0.05, |b| b.wall.value);
        let outer = Shape::Path {
            path: planter.whole.grow(wall).to_path(),
            pen: Some(Pen::solid(Weight::Medium, Tone::Ink)),
            fill: None,
        };
        pad.put(&planter.element, &layers::PLANTER_BOX, outer);
        ground_words(study, planter, pad);
    }
}

/// What a lawn is and how large.
fn lawn_words(study: &BedStudy<'_>, area: &Area, pad: &mut Pad) {
    let Some(lawn) = study.project.design.lawns.iter().find(|lawn| lawn.id == area.element.id) else {
        return;
    };
    let Some((at, _)) = area.free.pole(0.2) else { return };
    let what = match lawn.kind {
        LawnKind::Keep => "lawn that stays",
        LawnKind::Sod => "lawn, new sod",
        LawnKind::Seed => "lawn, new seed",
    };
    let lines = vec![what.to_owned(), study.reader.area(area.free.area())];
    let shape = Shape::Callout { lines, anchors: vec![at], height_mm: 2.0, tone: Tone::Turf };
    pad.put(&area.element, &layers::LAWN_NAME, shape);
}

/// Name, soil and mulch of a bed, for the ground drawing.
fn ground_words(study: &BedStudy<'_>, area: &Area, pad: &mut Pad) {
    let Some((at, _)) = area.free.pole(0.2) else { return };
    let design = &study.project.design;
    let reader = &study.reader;
    let mut lines = vec![format!("{} · {}", area.label, reader.area(area.free.area()))];
    let mulch = match area.element.kind {
        Kind::Bed => {
            let bed = design.beds.iter().find(|b| b.id == area.element.id);
            if let Some(soil) = bed.and_then(|b| b.soil.as_ref()) {
                let name =
                    study.project.stock.amendments.get(&soil.amendment).map_or("", |a| a.loose.name.as_str());
                lines.push(format!("{name} {}", reader.depth(soil.depth.value)));
                lines.push(match soil.worked_in.value {
                    worked if worked > 0.0 => format!("worked in {}", reader.depth(worked)),
                    _ => "laid on top, not worked in".to_owned(),
                });
            }
            bed.and_then(|b| b.mulch.as_ref())
        }
        _ => design.boxes.iter().find(|b| b.id == area.element.id).and_then(|b| b.mulch.as_ref()),
    };
    if let Some(mulch) = mulch {
        let depth = if mulch.depth.value.is_finite() {
            mulch.depth.value
        } else {
            study.project.practice.mulch_depth
        };
        let name = study.project.stock.mulches.get(&mulch.product).map_or("", |m| m.loose.name.as_str());
        lines.push(format!("{name} {} settled", reader.depth(depth)));
    }
    let tone = Tone::Ink;
    pad.put(
        &area.element,
        &layers::GROUND_NOTES,
        Shape::Callout { lines, anchors: vec![at], height_mm: 2.0, tone },
    );
}
