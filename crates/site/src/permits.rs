//! Permit flags: what on this job may need somebody's leave before work begins.
//!
//! - In: the project and its plot. Out: flags with whom to ask, in a fixed order.
//! - A flag never says that a permit is needed, nor that none is: the authorities named decide, and
//!   places differ. An empty list is no permission.

use groundwright_plan::{Action, ElementRef, Kind, PaperLineKind, Project};
use groundwright_yard::{Area, Plot};

/// Land disturbed from which construction in the United States needs leave to let storm water run
/// off: one acre. [m²]
/// Source: 40 CFR 122.26(b)(15), "one acre"; from memory, confirm.
pub const DISTURBED: f64 = 4_046.856_422_4;

/// A trunk from which towns commonly ask to be told before a tree is felled. [m]
/// Six inches at breast height: common practice, no source; town rules run from 4 to 24 in.
pub const TRUNK: f64 = 0.1524;

/// Overlap below which two areas only touch. [m²]
const TOUCH: f64 = 0.05;

/// Something to ask about.
#[derive(Debug, Clone, PartialEq)]
pub struct PermitFlag {
    /// Stable name: `digging`, `felling`.
    pub id: &'static str,
    /// What it is about.
    pub what: String,
    /// Whom to ask, and what.
    pub ask: &'static str,
    /// The elements, in the order of the file.
    pub elements: Vec<ElementRef>,
}

/// Everything that may need leave.
pub fn permit_flags(project: &Project, plot: &Plot) -> Vec<PermitFlag> {
    let mut flags = vec![PermitFlag {
        id: "digging",
        what: "Digging anywhere on the lot".to_owned(),
        ask: "Have the owners of buried lines mark them before any digging, by hand tools too; private lines \
              (garden cables, irrigation, gas to a grill) are nobody's but the owner's to find.",
        elements: Vec::new(),
    }];
    flags.extend(felling(project));
    let worked = || plot.beds.iter().chain(&plot.boxes).chain(&plot.lawns);
    for (kind, id, what, ask) in PAPER {
        let elements: Vec<ElementRef> = plot
            .paper_areas
            .iter()
            .filter(|area| is_kind(project, &area.element, kind))
            .flat_map(|paper| worked().filter(|area| area.whole.overlaps(&paper.whole, TOUCH)))
            .map(|area| area.element.clone())
            .collect();
        push(&mut flags, id, what, ask, elements);
    }
    let outside = plot.boundary.as_ref().map_or_else(Vec::new, |lot| {
        worked().filter(|area| lies_outside(area, lot)).map(|area| area.element.clone()).collect()
    });
    push(
        &mut flags,
        "beyond-the-line",
        "Work beyond the property line",
        "Ask the neighbour, or the office that keeps the street; have the line surveyed where it is not certain.",
        outside,
    );
    let disturbed: f64 = plot.beds.iter().chain(&plot.lawns).map(|area| area.free.area()).sum();
    if disturbed >= DISTURBED {
        flags.push(PermitFlag {
            id: "disturbed-land",
            what: "An acre of ground or more is disturbed".to_owned(),
            ask: "Ask the storm water authority about leave and about erosion control.",
            elements: Vec::new(),
        });
    }
    flags
}

const PAPER: [(PaperLineKind, &str, &str, &str); 3] = [
    (
        PaperLineKind::Easement,
        "easement",
        "Work in an easement",
        "Ask whoever holds the easement what may be built and planted in it; they may dig it up.",
    ),
    (
        PaperLineKind::RightOfWay,
        "right-of-way",
        "Work on public land",
        "Ask the office that keeps the street.",
    ),
    (
        PaperLineKind::SightTriangle,
        "sight-triangle",
        "Work where drivers must see",
        "Ask the office that keeps the street which heights it allows.",
    ),
];

fn felling(project: &Project) -> Option<PermitFlag> {
    let trees = &project.property.trees;
    // In doubt the trunk is taken as thick as it may be.
    let counts = |tree: &&groundwright_plan::Tree| {
        tree.action != Action::Keep && tree.diameter.value + tree.diameter.standing.spread() >= TRUNK - 1e-9
    };
    let elements: Vec<ElementRef> =
        trees.iter().filter(counts).map(|tree| ElementRef::new(Kind::Tree, &tree.id)).collect();
    (!elements.is_empty()).then_some(PermitFlag {
        id: "felling",
        what: "Felling or moving trees".to_owned(),
        ask: "Ask the town whether these trees are protected, and have them judged and taken by a qualified \
              tree worker; birds may nest in them.",
        elements,
    })
}

fn push(
    flags: &mut Vec<PermitFlag>,
    id: &'static str,
    what: &str,
    ask: &'static str,
    mut elements: Vec<ElementRef>,
) {
    elements.dedup();
    if !elements.is_empty() {
        flags.push(PermitFlag { id, what: what.to_owned(), ask, elements });
    }
}

fn is_kind(project: &Project, element: &ElementRef, kind: PaperLineKind) -> bool {
    project.property.paper_lines.iter().any(|line| line.id == element.id && line.kind == kind)
}

/// Whether part of an area lies outside the lot.
fn lies_outside(area: &Area, lot: &Area) -> bool {
    area.whole.area() - area.whole.intersection(&lot.whole).area() > TOUCH
}
