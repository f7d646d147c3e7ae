//! Lists that belong to the package and to no study: findings, assumptions, notes on the sheets.

use groundwright_handoff::{Cell, Column, Drawing, Finding, Rule, Severity, Source, Table};
use groundwright_plan::{Assumption, Loaded};
use groundwright_sheets::NoteBlock;
use groundwright_units::Reader;

use crate::plan_set::{Drawn, block};

static LABELS: Rule = Rule {
    id: "drawing.tag",
    title: "Tags that the drawing could not keep clear",
    sentence: "{subject}: on the drawing `{drawing}` its tag {fault}.",
    source: Source::Practice,
};

/// What the placing of tags could not avoid, as findings.
pub fn label_findings(drawn: &Drawn) -> Vec<Finding> {
    use groundwright_drawing::LabelFaultKind as Fault;
    drawn
        .label_faults
        .iter()
        .map(|(title, fault)| {
            let words = match fault.kind {
                Fault::LeadersCross => "has a leader that crosses another",
                Fault::TagOnTag => "overlaps another tag",
                Fault::TagOnPot => "covers a pot",
                Fault::TagOnText => "covers other words",
                Fault::LeaderThroughTag => "has a leader that runs through another tag",
                Fault::NotPlaced => "found no place and is left out",
            };
            let severity = if fault.kind == Fault::NotPlaced { Severity::Doubt } else { Severity::Note };
            let mut finding = Finding::new(&LABELS, severity, fault.subject.clone())
                .word("drawing", title.as_str())
                .word("fault", words)
                .remedy("take a larger sheet", Vec::new());
            if let Some(other) = &fault.other {
                finding = finding.also(other.clone());
            }
            finding
        })
        .collect()
}

fn text(words: impl Into<String>) -> Cell {
    let words = words.into();
    if words.is_empty() { Cell::Empty } else { Cell::Text(words) }
}

/// The word for a severity.
pub fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Danger => "danger",
        Severity::Fault => "fault",
        Severity::Doubt => "doubt",
        Severity::Note => "note",
    }
}

/// Findings as a table.
pub fn findings(findings: &[Finding], reader: &Reader) -> Table {
    let rows = findings
        .iter()
        .map(|finding| {
            let remedies: Vec<&str> = finding.remedies.iter().map(|r| r.action.as_str()).collect();
            vec![
                text(severity_word(finding.severity)),
                text(finding.rule.title),
                text(finding.sentence(reader)),
                text(remedies.join("; or ")),
                text(finding.rule.source.words()),
            ]
        })
        .collect();
    Table {
        key: "findings",
        title: "Findings".to_owned(),
        columns: vec![
            Column::text("Weight", 0.7),
            Column::text("About", 1.8),
            Column::text("Finding", 3.6),
            Column::text("What to do", 2.4),
            Column::text("Source", 1.8),
        ],
        rows,
        notes: vec![
            "Computed values against stated limits, for review; local rules and licensed practice decide."
                .to_owned(),
        ],
    }
}

/// What nobody gave, as a table.
pub fn assumptions(loaded: &Loaded) -> Table {
    let row = |a: &Assumption| {
        vec![text(a.element.as_str()), text(a.field.as_str()), text(a.value.as_str()), text(a.why.as_str())]
    };
    Table {
        key: "assumptions",
        title: "Assumed, because nobody gave it".to_owned(),
        columns: vec![
            Column::text("Element", 1.6),
            Column::text("What", 1.1),
            Column::text("Taken as", 1.4),
            Column::text("Because", 3.0),
        ],
        rows: loaded.assumptions.iter().map(row).collect(),
        notes: vec!["Measure or state a value in its file and it leaves this list.".to_owned()],
    }
}

/// What stands beside every drawing of a wall.
fn wall_caution() -> NoteBlock {
    block(
        "For review: walls can fall",
        true,
        &[
            "These are computed values against cited limits. The local code and a licensed engineer decide; ask about a permit \
             before the first cut.",
            "Have buried services located and marked before any digging. Nobody stands below a cut bank from 5 ft, or in bad \
             soil, unless it is shored.",
        ],
    )
}

/// What stands beside every drawing of lights.
fn light_caution() -> NoteBlock {
    block(
        "Electricity: who does what",
        true,
        &[
            "The crew works on the low-voltage side alone, with equipment listed for wet places. Outlet, ground-fault and surge \
             protection and all work on the house wiring are a licensed electrician's; the local code decides.",
            "Have buried services located and marked before any digging. Near pools and ponds commonly nothing within \
             10 ft but what is listed for it.",
        ],
    )
}

/// What stands beside every drawing of irrigation.
fn water_caution() -> NoteBlock {
    block(
        "Water: who does what",
        true,
        &[
            "Nothing is joined to the drinking water without the backflow preventer that the local code asks for. Permit, work \
             on the service line and the yearly test are a licensed plumber's; the local code decides.",
            "Have buried services located and marked before any trench. Test the main with water, never with air, before it is \
             covered.",
        ],
    )
}

/// How pots are set out; the last is for drawings with ranks.
const SETTING_OUT: [&str; 4] = [
    "Set all pots of a bed on their centres first; have them looked at before the first hole is dug.",
    "Light circles show crowns after six years, dotted outlines the mature size: they are meant to meet inside a mass \
     and to stay clear elsewhere.",
    "A tag says how many, of what, in which size, how far apart. In a mixture it names the sign that stands at each \
     of its pots.",
    "Numbers beside pots: set the best pot at 1, seen first from the house and the street; close plantings are ranked \
     in the table.",
];

/// Notes and cautions of a drawing.
///
/// - `ranked`: whether the drawing shows ranks beside pots.
pub fn notes(drawing: Drawing, ranked: bool) -> Vec<NoteBlock> {
    match drawing {
        Drawing::Survey => vec![block(
            "Reading this sheet",
            false,
            &[
                "Beside each tape its length as booked and below it the residual, adjusted minus booked. Ellipses show \
                 the accuracy of points, 100 times as large as it is.",
                "Dashed readings are likely wrong and left out: take them again. The survey serves this design; it is \
                 no boundary survey, and property lines belong to a licensed surveyor.",
            ],
        )],
        Drawing::Existing => vec![
            block(
                "Before any digging",
                true,
                &[
                    "Call the local one-call centre and wait for all marks; dig by hand where a service may lie. \
                     Private lines (lights, irrigation, gas to an outbuilding) are not marked by it.",
                    "Set the tree protection fence at the dashed rings before any machine or load comes in: no \
                     storage, no trench, no change of grade, no washing-out inside.",
                    "Tree removal and work above the ground belong to a licensed arborist; ask the local office \
                     about permits.",
                ],
            ),
            block(
                "Keep, move, remove",
                false,
                &[
                    "Tie the tags on site as on this sheet and let the client see them before clearing begins.",
                ],
            ),
        ],
        Drawing::Planting => vec![
            block("Setting out", false, if ranked { &SETTING_OUT } else { &SETTING_OUT[..3] }),
            block(
                "Caution",
                true,
                &[
                    "Have buried services located before digging. Wear gloves: sap and thorns. See the schedule for \
                   plants listed as toxic; a plant without a caution is not declared safe.",
                ],
            ),
        ],
        Drawing::Levels => vec![
            block(
                "Levels",
                false,
                &[
                    "All levels are of one datum. Check three of them against the mark before the first cut.",
                    "Hatched: cut. Dotted: fill. Fill is laid in thin layers, each compacted.",
                ],
            ),
            block(
                "Before any digging",
                true,
                &[
                    "Call the local one-call centre and wait for all marks. No cut and no fill inside a tree protection \
                     ring.",
                    "Changing levels can need a permit and can touch the neighbour's rights: ask the local office first.",
                ],
            ),
        ],
        Drawing::Drainage => vec![block(
            "Water and trenches",
            true,
            &[
                "Arrows show where water goes over the finished ground. Water is let go only where the local office and \
                 the neighbour allow it.",
                "Have buried services located before trenching; keep spoil back from the edge. From 5 ft deep, or in bad \
                 soil, nobody enters an unshored trench.",
                "Flows and sizes are computed values against cited methods; local codes and licensed practice decide.",
            ],
        )],
        Drawing::Transplants => vec![block(
            "Digging and moving",
            false,
            &[
                "Water the day before. Dig in the cool season, tie up the branches, keep the ball whole and shaded.",
                "Dig only when the new hole is open; what must wait is heeled in at the place named in the table.",
                "Numbers beside holes are those of the table; one place dug for several divisions is drawn once.",
                "Lift with the legs; two people to anything above 25 kg (55 lb).",
            ],
        )],
        Drawing::Ground => vec![block(
            "Soil and mulch",
            false,
            &[
                "Work soil only when a handful crumbles; never inside a protection ring.",
                "Keep mulch and soil below siding, sills and vents, and off every trunk.",
            ],
        )],
        Drawing::Sun => vec![block(
            "Hours of direct sun",
            false,
            &[
                "Lines of 3, 4 and 6 hours a day on the ground, mean of the growing season: below 3 shade, from 6 \
                 full sun. From the course of the sun, walls, roofs and crowns as planted; half an hour either way.",
                "What is seen on site goes before this drawing.",
            ],
        )],
        Drawing::Shadows => vec![block(
            "Shadows at noon",
            false,
            &[
                "Edges of the shadows when the sun crosses the meridian: of buildings, walls and crowns as planted. \
                 In the morning they fall to the west, after noon to the east, and longer.",
                "An edge runs where half the sun's light comes through; thin crowns throw none.",
            ],
        )],
        Drawing::Walls => vec![
            block(
                "Walls",
                false,
                &[
                    "Stations run along the face of the lowest course, from left to right as one faces the wall. Dashed: \
                     joints of the lowest course; full: of the highest.",
                    "The laying sheet names every unit of every course; a cut or a joint out of place is mended before the \
                     next course.",
                ],
            ),
            wall_caution(),
        ],
        Drawing::WallDetail => vec![wall_caution()],
        Drawing::Lighting => vec![
            block(
                "Lights",
                false,
                &[
                    "A dot with an arrow is aimed as the arrow shows, a ring shines down. Set all lights loose first, with \
                     slack, and aim them after dark before any is fixed.",
                    "Sleeves go in before the paving. Cable lies apart from water pipes, away from edging and spade.",
                ],
            ),
            light_caution(),
        ],
        Drawing::Irrigation => vec![
            block(
                "Irrigation",
                false,
                &[
                    "Sleeves go in before the paving, the main before soil and beds, drip line after the plants and before the \
                     mulch. Heads stand off edges by a hand; no arc reaches paving or a wall.",
                    "Pipe lies apart from the cable of lights, and out of the roots of kept trees.",
                ],
            ),
            water_caution(),
        ],
        Drawing::Evenness => vec![block(
            "Reading this sheet",
            false,
            &[
                "Lines of equal depth in shares of the ground's mean, from heads at the pressures computed for them, without \
                 wind. Below 75 % it is dry: look there first when the water has run a season.",
            ],
        )],
        Drawing::Night => vec![
            block(
                "Reading this sheet",
                false,
                &[
                    "Lines of equal light on level ground, each about three times the next: 0.1 lx is moonlight, 1 lx shows a \
                     path, 10 lx a step. Light that bounces, sky and street are not in it.",
                ],
            ),
            light_caution(),
        ],
        Drawing::Circuits => vec![light_caution()],
        Drawing::Detail => vec![block(
            "Caution",
            true,
            &[
                "Have buried services located before digging. Local codes and the grower's instructions come first.",
                "Never stand in or under a hole with a lifted ball.",
            ],
        )],
    }
}
