//! Plants kept, moved and removed.

use groundwright_geometry::Point;
use groundwright_handoff::{Datum, Finding, Rule, Severity, Source};
use groundwright_plan::{Action, Command, Condition, ElementRef, Kind, OverheadWire, Tree};

use super::toxicity;
use crate::found::Found;
use crate::study::{SiteStudy, whole_property};

static WEED_KEPT: Rule = Rule {
    id: "site.weed-kept",
    title: "Weeds and invasive plants that stay",
    sentence: "{subject}: {plant} is {why}; it is marked {action}. The local list decides.",
    source: Source::Published("the stock's entry with its own source"),
};
static TOXIC_KEPT: Rule = Rule {
    id: "site.toxic-kept",
    title: "Toxic plants that stay where children or pets play",
    sentence: "{subject}: {plant} is listed as toxic ({whom}); children or pets use this yard.",
    source: Source::Published(
        "the stock's toxicity entry with its own source; `none known` is no statement of safety",
    ),
};
static NOT_IN_STOCK: Rule = Rule {
    id: "site.plant-unknown",
    title: "Found plants that the stock does not know",
    sentence: "{subject}: no stock file has `{plant}`; whether it is toxic or a weed is not checked.",
    source: Source::Practice,
};
static POOR_MOVED: Rule = Rule {
    id: "site.poor-moved",
    title: "Plants in poor condition that are to be moved",
    sentence: "{subject}: {count} of {plant} {does poorly and is|do poorly and are} marked move; {it may not live|few of them will live} through it.",
    source: Source::CommonPractice,
};
static TREE_MOVED: Rule = Rule {
    id: "site.tree-moved",
    title: "Trees marked move",
    sentence: "{subject} ({plant}, {diameter} of trunk) is marked move; a tree is moved by a specialist, \
               and no planting takes it up.",
    source: Source::CommonPractice,
};
static TREE_REMOVED: Rule = Rule {
    id: "site.tree-removed",
    title: "Trees to be taken down: ask about permits",
    sentence: "{subject} ({plant}, {diameter} of trunk) is taken down by a licensed arborist; \
               local rules decide whether it needs a permit.",
    source: Source::CommonPractice,
};
static FELLED_AT_WIRE: Rule = Rule {
    id: "site.felled-at-wire",
    title: "Trees to be taken down beside wires",
    sentence: "{subject} is {height} high and stands {distance} from {wire}; \
               only those qualified to work near power lines may take it down.",
    source: Source::CommonPractice,
};

pub(super) fn findings(study: &SiteStudy<'_>, all: &mut Vec<Finding>) {
    for plant in &study.found {
        unknown(study, plant, all);
        if plant.action != Action::Remove {
            weed(plant, all);
        }
        if plant.action == Action::Keep {
            toxic(study, plant, all);
        }
        if plant.action == Action::Move && plant.condition.value == Condition::Poor {
            poor(plant, all);
        }
    }
    for tree in &study.project.property.trees {
        match tree.action {
            Action::Remove => removed(study, tree, all),
            Action::Move => moved(study, tree, all),
            Action::Keep => {}
        }
    }
}

fn about(rule: &'static Rule, severity: Severity, plant: &Found<'_>) -> Finding {
    let finding = Finding::new(rule, severity, plant.element.clone()).word("plant", plant.botanical);
    match plant.places.first() {
        Some(at) => finding.at(*at),
        None => finding,
    }
}

/// The command that gives a found plant another fate.
fn act(element: &ElementRef, action: Action) -> Vec<Command> {
    vec![Command::set(element.kind, &element.id, "action", &format!("\"{action}\""))]
}

fn weed(plant: &Found<'_>, all: &mut Vec<Finding>) {
    let Some(taxon) = plant.taxon.filter(|taxon| taxon.weed || !taxon.invasive.is_empty()) else { return };
    let why = match (taxon.weed, taxon.invasive.as_str()) {
        (_, "") => "a weed".to_owned(),
        (true, listed) => format!("a weed, listed: {listed}"),
        (false, listed) => format!("listed as invasive: {listed}"),
    };
    all.push(
        about(&WEED_KEPT, Severity::Doubt, plant)
            .word("why", why)
            .word("action", plant.action.to_string())
            .remedy("ask the local list, and remove it", act(&plant.element, Action::Remove)),
    );
}

/// A name that the stock does not have: a slip of the pen, or a plant to be added.
fn unknown(study: &SiteStudy<'_>, plant: &Found<'_>, all: &mut Vec<Finding>) {
    if plant.taxon.is_some() {
        return;
    }
    let names = study.project.stock.taxa.values().map(|taxon| taxon.botanical.as_str());
    let mut finding = about(&NOT_IN_STOCK, Severity::Note, plant);
    if let Some(near) = groundwright_units::nearest_name(plant.botanical, names) {
        let value = format!("\"{near}\"");
        let command = Command::set(plant.element.kind, &plant.element.id, "plant", &value);
        finding = finding.remedy(format!("did you mean {near}?"), vec![command]);
    }
    all.push(finding.remedy("add it to the project's stock folder", Vec::new()));
}

fn toxic(study: &SiteStudy<'_>, plant: &Found<'_>, all: &mut Vec<Finding>) {
    let use_of_yard = study.project.property.place.children_or_pets;
    let whom = plant.taxon.and_then(toxicity).filter(|_| use_of_yard.value);
    let Some(whom) = whom else { return };
    let finding = about(&TOXIC_KEPT, Severity::Doubt, plant)
        .word("whom", whom)
        .rests_on(whole_property(), "place.children_or_pets", use_of_yard.standing)
        .remedy("tell the client where it stands", Vec::new());
    // Nobody fells a tree for its leaves.
    all.push(match plant.element.kind {
        Kind::Tree => finding,
        _ => finding.remedy("remove it", act(&plant.element, Action::Remove)),
    });
}

fn poor(plant: &Found<'_>, all: &mut Vec<Finding>) {
    all.push(
        about(&POOR_MOVED, Severity::Doubt, plant)
            .value("count", Datum::count(plant.count))
            .rests_on(plant.element.clone(), "condition", plant.condition.standing)
            .remedy("remove them and buy new ones", act(&plant.element, Action::Remove))
            .remedy("leave them where they are", act(&plant.element, Action::Keep)),
    );
}

fn tree_finding(study: &SiteStudy<'_>, rule: &'static Rule, severity: Severity, tree: &Tree) -> Finding {
    let element = ElementRef::new(Kind::Tree, &tree.id);
    let found = study.found.iter().find(|found| found.element == element);
    let finding = Finding::new(rule, severity, element.clone())
        .word("plant", found.map_or(tree.name.as_str(), |found| found.botanical))
        .value("diameter", Datum::depth(tree.diameter.value))
        .rests_on(element, "diameter", tree.diameter.standing);
    match found.and_then(|found| found.places.first()) {
        Some(at) => finding.at(*at),
        None => finding,
    }
}

fn moved(study: &SiteStudy<'_>, tree: &Tree, all: &mut Vec<Finding>) {
    let element = ElementRef::new(Kind::Tree, &tree.id);
    all.push(
        tree_finding(study, &TREE_MOVED, Severity::Doubt, tree)
            .remedy("keep it where it is", act(&element, Action::Keep))
            .remedy("ask a tree mover", Vec::new()),
    );
}

fn removed(study: &SiteStudy<'_>, tree: &Tree, all: &mut Vec<Finding>) {
    let element = ElementRef::new(Kind::Tree, &tree.id);
    all.push(
        tree_finding(study, &TREE_REMOVED, Severity::Note, tree)
            .remedy("ask the local authority before the work is ordered", Vec::new())
            .remedy("keep it", act(&element, Action::Keep)),
    );
    if let Some(near) = wire_in_reach(study, tree) {
        all.push(
            tree_finding(study, &FELLED_AT_WIRE, Severity::Danger, tree)
                .also(ElementRef::new(Kind::OverheadWire, &near.wire.id))
                .value("height", Datum::length(tree.height.value))
                .value("distance", Datum::length(near.distance))
                .word("wire", ElementRef::new(Kind::OverheadWire, &near.wire.id).to_string())
                .rests_on(element, "height", tree.height.standing)
                .remedy("call the owner of the wire before anybody climbs", Vec::new()),
        );
    }
}

/// A wire and how near it passes.
pub(crate) struct NearWire<'p> {
    pub wire: &'p OverheadWire,
    /// Distance of the trunk on plan. [m]
    pub distance: f64,
}

/// The nearest wire onto which a tree could fall, its height taken with its spread.
pub(crate) fn wire_in_reach<'p>(study: &SiteStudy<'p>, tree: &Tree) -> Option<NearWire<'p>> {
    let plot = &study.yard.plot;
    let at: Point = plot.trees.iter().find(|spot| spot.element.id == tree.id)?.at;
    let reach = tree.height.value + tree.height.standing.spread();
    let wires = study.project.property.overhead_wires.iter().filter_map(|wire| {
        let route = plot.wires.iter().find(|route| route.element.id == wire.id)?;
        Some(NearWire { wire, distance: route.line.nearest(at).distance })
    });
    wires.filter(|near| near.distance < reach).min_by(|a, b| a.distance.total_cmp(&b.distance))
}
