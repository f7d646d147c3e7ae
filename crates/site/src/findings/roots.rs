//! Digging and building over the roots of kept trees.

use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{Command, ElementRef, Kind};
use groundwright_yard::{Origin, Plant};

use super::{ball_width, place};
use crate::protection::{self, Protection};
use crate::study::SiteStudy;

static TILLED: Rule = Rule {
    id: "site.roots-tilled",
    title: "Soil worked over the roots of kept trees",
    sentence: "{subject}: the soil of {bed} is worked {depth} deep over {area} of its protection circle, \
               {share} of the circle of {limit} radius.",
    source: Source::Published(
        "municipal and extension tree protection rules: 1 to 1.5 ft of radius to the inch of trunk",
    ),
};
static BUILT: Rule = Rule {
    id: "site.roots-built",
    title: "Boxes over the roots of kept trees",
    sentence: "{subject}: {box} stands on {area} of its protection circle, {share} of the circle of {limit} radius.",
    source: Source::Published(
        "municipal and extension tree protection rules: 1 to 1.5 ft of radius to the inch of trunk",
    ),
};

static HOLES: Rule = Rule {
    id: "site.roots-holes",
    title: "Planting holes among the roots of kept trees",
    sentence: "{subject}: {count} planting {hole|holes} ({where}) {is|are} dug inside its protection circle of {limit} radius, \
               the nearest {least} from the trunk.",
    source: Source::Published(
        "municipal and extension tree protection rules: 1 to 1.5 ft of radius to the inch of trunk",
    ),
};

/// Overlaps below this are rounding. [m²]
const SLIVER: f64 = 0.05;
/// A ball wider than this does not go between roots by hand. [m] About a 3-gallon pot: common
/// practice, no source.
const WIDE: f64 = 0.28;
/// A larger share of the circle lost is a fault, a smaller one a doubt. Common practice, no source.
const MUCH: f64 = 0.10;

pub(super) fn of_new_plants(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    all.extend(study.protections.iter().filter_map(|circle| holes(study, circle)));
}

pub(super) fn findings(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    let (plot, design) = (&study.yard.plot, &study.project.design);
    for circle in &study.protections {
        let whole = protection::area(circle.radius);
        let finding = |rule, cut: &groundwright_geometry::Region| {
            let share = cut.area() / whole;
            let severity = if share > MUCH { Severity::Fault } else { Severity::Doubt };
            let mut finding = Finding::new(rule, severity, circle.element.clone())
                .value("area", Datum::area(cut.area()))
                .value("share", Datum::ratio(share))
                .limit(Datum::length(circle.radius))
                .rests_on(circle.element.clone(), "diameter", circle.diameter.standing);
            if let Some((at, _)) = cut.pole(0.05) {
                finding = finding.at(at);
            }
            finding
        };
        for bed in &design.beds {
            let Some(soil) = bed.soil.as_ref().filter(|soil| soil.worked_in.value > 0.0) else { continue };
            let Some(area) = plot.beds.iter().find(|area| area.element.id == bed.id) else { continue };
            let cut = area.free.intersection(&circle.zone);
            if cut.area() > SLIVER {
                all.push(
                    finding(&TILLED, &cut)
                        .also(area.element.clone())
                        .value("depth", Datum::depth(soil.worked_in.value))
                        .word("bed", area.element.to_string())
                        .remedy(
                            "spread it on top and work nothing in",
                            vec![Command::set(Kind::Bed, &bed.id, "soil.worked_in", "\"0 in\"")],
                        )
                        .remedy(
                            "leave the bed's soil as it is",
                            vec![Command::Clear { element: area.element.clone(), field: "soil".to_owned() }],
                        )
                        .remedy("draw the bed line outside the circle", Vec::new()),
                );
            }
        }
        for planter in &design.boxes {
            let Some(area) = plot.boxes.iter().find(|area| area.element.id == planter.id) else { continue };
            let cut = area.whole.grow(planter.wall.value).intersection(&circle.zone);
            if cut.area() > SLIVER {
                all.push(
                    finding(&BUILT, &cut)
                        .also(area.element.clone())
                        .word("box", area.element.to_string())
                        .remedy("set it outside the circle, or on feet without digging", Vec::new()),
                );
            }
        }
    }
}

/// Holes of new and moved plants inside a protection circle. Small pots set by hand between the
/// roots are how such ground is planted; a wide ball means cut roots.
fn holes(study: &SiteStudy<'_>, circle: &Protection) -> Option<Finding> {
    let reach = |plant: &Plant| place(plant).distance(circle.at);
    let inside: Vec<(f64, &Plant)> = study
        .yard
        .plants
        .iter()
        .filter(|plant| plant.origin != Origin::Kept)
        .map(|plant| (reach(plant), plant))
        .filter(|(distance, plant)| *distance < circle.radius && !in_box(plant))
        .collect();
    let &(least, nearest) = inside.iter().min_by(|a, b| a.0.total_cmp(&b.0))?;
    let wide = inside.iter().any(|(_, plant)| ball_width(study, plant).is_some_and(|width| width > WIDE));
    let severity = if wide { Severity::Doubt } else { Severity::Note };
    let mut plantings: Vec<&ElementRef> = inside.iter().map(|(_, plant)| &plant.key.instruction).collect();
    plantings.sort();
    plantings.dedup();
    let names: Vec<String> = plantings.iter().map(ToString::to_string).collect();
    let mut finding = Finding::new(&HOLES, severity, circle.element.clone())
        .value("count", Datum::count(inside.len()))
        .value("least", Datum::length(least))
        .limit(Datum::length(circle.radius))
        .word("where", names.join(", "))
        .at(place(nearest))
        .rests_on(circle.element.clone(), "diameter", circle.diameter.standing)
        .remedy("dig by hand, shift a hole rather than cut a root thicker than a thumb", Vec::new())
        .remedy("take smaller pots there", Vec::new());
    for planting in plantings {
        finding = finding.also(planting.clone());
    }
    Some(finding)
}

fn in_box(plant: &Plant) -> bool {
    plant.place.as_ref().is_some_and(|place| place.kind == Kind::PlanterBox)
}
