//! Tasks of clearing. Every key begins with `clear/`, so that later work can wait for all of them.
//!
//! - In: the study. Out: tasks with hours from the practice's rates where it has one, else from the
//!   constants below (common practice, no source).
//! - Order: locate and mark; fence; trees; shrubs and brush; regrowth; turf; hauling.

use groundwright_handoff::{Link, Season, Task, Trade};
use groundwright_plan::{Action, BuriedKind, ElementRef, Fate, Kind};

use crate::clearing::ShrubSize;
use crate::findings::plants::wire_in_reach;
use crate::findings::toxicity;
use crate::found::names;
use crate::study::{SiteStudy, whole_property};
use crate::takeoff::{self, FENCE, HAUL, OVERGROWN, STRIP, STUMP, TREE, WEED_KILL};

/// Working days that a locating centre asks for; three days are usual, the centre decides. [d]
const LOCATING_DAYS: f64 = 3.0;
/// Days in which weeds sprout again before they are killed. [d]
const REGROWTH_DAYS: f64 = 14.0;
/// Hours to call the locating centre and to walk its marks. [h]
const LOCATE_HOURS: f64 = 1.0;
/// Hours to mark one plant or group with ribbon. [h]
const RIBBON_HOURS: f64 = 0.05;
/// Hours to set a metre of fence. [h/m]
const FENCE_HOURS: f64 = 0.1;
/// Hours of a tree crew for a metre of trunk diameter, felling and grinding. [h/m]
const FELLING_HOURS: f64 = 24.0;
/// Hours to kill regrowth on a square metre. [h/m²]
const WEED_HOURS: f64 = 0.01;
/// Hours to load and haul one load. [h]
const LOAD_HOURS: f64 = 1.5;
/// Hours to close, move or take over one part of an irrigation. [h]
const IRRIGATION_HOURS: f64 = 0.5;

/// Outside the season in which most birds nest: September to February; local rules decide.
const NOT_NESTING: Season = Season { first: 9, last: 2 };

const LOCATED: &str = "services located and marked";
const FENCED: &str = "tree protection fence standing before any machine";
const HAND_DIG: &str =
    "Services: no machine within the locating centre's distance of a mark; dig by hand there.";
const NO_MACHINE: &str = "No machine, store or stripping inside tree protection; work by hand there.";
const MOVE_FIRST: &str = "Dig what is marked move before clearing beside it.";
const ARBORIST: &str =
    "Licensed arborist only; ask about a permit and about nests before the work is ordered.";
const HERBICIDE: &str =
    "Herbicides only by a licensed applicator and by the label; smothering and hoeing need none.";

/// All tasks of clearing.
pub(crate) fn tasks(study: &SiteStudy<'_>) -> Vec<Task> {
    let mut all = vec![locate(study)];
    if !study.found.is_empty() {
        all.push(ribbons(study));
    }
    all.extend(fence(study));
    all.extend(irrigation(study));
    trees(study, &mut all);
    shrubs(study, &mut all);
    overgrown(study, &mut all);
    strip(study, &mut all);
    all.extend(haul(study));
    all
}

fn after(before: &str) -> Link {
    after_days(before, 0.0)
}

fn after_days(before: &str, lag_days: f64) -> Link {
    Link { before: before.to_owned(), lag_days }
}

/// A crew's task on the whole property.
fn task(key: impl Into<String>, title: impl Into<String>, labour_hours: f64, subject: &ElementRef) -> Task {
    Task {
        key: key.into(),
        title: title.into(),
        trade: Trade::Crew,
        labour_hours,
        after: Vec::new(),
        season: None,
        hold_point: None,
        consumes: Vec::new(),
        cautions: Vec::new(),
        subject: subject.clone(),
    }
}

/// What comes before any digging or cutting.
fn begun(study: &SiteStudy<'_>) -> Vec<Link> {
    let mut links = vec![after_days("clear/locate", LOCATING_DAYS)];
    if !study.found.is_empty() {
        links.push(after("clear/mark"));
    }
    if !study.protections.is_empty() {
        links.push(after("clear/fence"));
    }
    links
}

fn locate(study: &SiteStudy<'_>) -> Task {
    let known = study.project.property.buried.iter().filter(|thing| thing.kind.is_service()).count();
    let known = match known {
        0 => "No service is on record here; that is no proof that none lies there.".to_owned(),
        n => format!("{n} services are on record here; there may be others."),
    };
    Task {
        hold_point: Some(LOCATED.to_owned()),
        cautions: vec![known],
        ..task("clear/locate", "Have buried services located and marked", LOCATE_HOURS, &whole_property())
    }
}

fn ribbons(study: &SiteStudy<'_>) -> Task {
    let hours = RIBBON_HOURS * study.found.len() as f64;
    Task {
        hold_point: Some("keep, move and remove marked and walked with the client".to_owned()),
        ..task("clear/mark", "Mark what stays, moves and goes", hours, &whole_property())
    }
}

fn fence(study: &SiteStudy<'_>) -> Option<Task> {
    let first = study.protections.first()?;
    let length: f64 = study.protections.iter().map(|circle| circle.fence).sum();
    let trees = study.protections.len();
    let title = format!("Fence the protection of {trees} kept trees, {}", study.reader.length(length));
    Some(Task {
        after: vec![after_days("clear/locate", LOCATING_DAYS)],
        hold_point: Some(FENCED.to_owned()),
        consumes: vec![FENCE.to_owned()],
        cautions: vec![
            HAND_DIG.to_owned(),
            "Along drives and walks in use the fence follows their edge.".to_owned(),
        ],
        ..task("clear/fence", title, FENCE_HOURS * length, &first.element)
    })
}

/// Irrigation that is closed off, moved or taken over, before anybody strips or digs.
fn irrigation(study: &SiteStudy<'_>) -> Option<Task> {
    let ours = |kind| {
        matches!(kind, BuriedKind::IrrigationPipe | BuriedKind::IrrigationHead | BuriedKind::IrrigationValve)
    };
    let things =
        study.project.property.buried.iter().filter(|thing| ours(thing.kind) && thing.fate != Fate::Keep);
    let things: Vec<_> = things.collect();
    let first = ElementRef::new(Kind::Buried, &things.first()?.id);
    let count = |fate| things.iter().filter(|thing| thing.fate == fate).count();
    let title = format!(
        "Irrigation: close off {}, move {}, take over {} parts",
        count(Fate::Cap),
        count(Fate::Move),
        count(Fate::Reuse)
    );
    Some(Task {
        trade: Trade::Irrigation,
        after: begun(study),
        cautions: vec![HAND_DIG.to_owned(), NO_MACHINE.to_owned()],
        ..task("clear/irrigation", title, IRRIGATION_HOURS * things.len() as f64, &first)
    })
}

fn trees(study: &SiteStudy<'_>, all: &mut Vec<Task>) {
    for tree in study.project.property.trees.iter().filter(|tree| tree.action == Action::Remove) {
        let subject = ElementRef::new(Kind::Tree, &tree.id);
        let (_, name, _) = names(&study.project.stock, tree.taxon.as_ref(), &tree.name);
        let trunk = study.reader.depth(tree.diameter.value);
        let mut cautions = vec![ARBORIST.to_owned(), HAND_DIG.to_owned(), NO_MACHINE.to_owned()];
        if wire_in_reach(study, tree).is_some() {
            cautions.insert(0, "Overhead wire within reach: call its owner first.".to_owned());
        }
        let title = format!("Take down {name}, {trunk} of trunk, and grind its stump");
        let hours = FELLING_HOURS * tree.diameter.value;
        all.push(Task {
            trade: Trade::Arborist,
            after: begun(study),
            season: Some(NOT_NESTING),
            consumes: vec![TREE.to_owned(), STUMP.to_owned()],
            cautions,
            ..task(format!("clear/tree/{}", tree.id), title, hours, &subject)
        });
    }
}

fn shrubs(study: &SiteStudy<'_>, all: &mut Vec<Task>) {
    for shrub in study.project.property.shrubs.iter().filter(|shrub| shrub.action == Action::Remove) {
        let subject = ElementRef::new(Kind::Shrub, &shrub.id);
        let (taxon, name, _) = names(&study.project.stock, shrub.taxon.as_ref(), &shrub.name);
        let size = ShrubSize::of(shrub.spread.value);
        let hours = study.project.practice.clear_shrub_hours * size.effort() * shrub.count as f64;
        let mut cautions = vec![HAND_DIG.to_owned(), MOVE_FIRST.to_owned()];
        if let Some(whom) = taxon.and_then(toxicity) {
            cautions.push(format!("Toxic: {whom}. Gloves; do not burn."));
        }
        if !shrub.note.is_empty() {
            cautions.push(shrub.note.clone());
        }
        all.push(Task {
            after: begun(study),
            consumes: vec![takeoff::shrub_item(size), HAUL.to_owned()],
            cautions,
            ..task(
                format!("clear/shrub/{}", shrub.id),
                format!("Grub out {} {name}", shrub.count),
                hours,
                &subject,
            )
        });
    }
}

fn overgrown(study: &SiteStudy<'_>, all: &mut Vec<Task>) {
    let practice = &study.project.practice;
    for ground in study.cleared.iter().filter(|ground| ground.area > 0.0) {
        let id = &ground.element.id;
        let Some(found) = study.project.property.overgrown.iter().find(|o| &o.id == id) else { continue };
        let (taxon, name, _) = names(&study.project.stock, found.taxon.as_ref(), &found.name);
        let mut cautions = vec![HAND_DIG.to_owned(), NO_MACHINE.to_owned(), MOVE_FIRST.to_owned()];
        if let Some(whom) = taxon.and_then(toxicity) {
            cautions.push(format!("Toxic: {whom}. Gloves, eyes covered; do not burn."));
        }
        let area = study.reader.area(ground.area);
        let cut = format!("clear/overgrown/{id}");
        all.push(Task {
            after: begun(study),
            season: Some(NOT_NESTING),
            consumes: vec![OVERGROWN.to_owned(), HAUL.to_owned()],
            cautions,
            ..task(
                cut.clone(),
                format!("Clear {area} of {name} with crowns and roots"),
                practice.clear_brush_hours * ground.area * ground.height.value,
                &ground.element,
            )
        });
        all.push(Task {
            after: vec![after_days(&cut, REGROWTH_DAYS)],
            consumes: vec![WEED_KILL.to_owned()],
            cautions: vec![HERBICIDE.to_owned()],
            ..task(
                format!("clear/weeds/{id}"),
                format!("Kill what sprouts again on {area}"),
                WEED_HOURS * ground.area,
                &ground.element,
            )
        });
    }
}

fn strip(study: &SiteStudy<'_>, all: &mut Vec<Task>) {
    let irrigation = irrigation(study).is_some();
    for ground in study.stripped.iter().filter(|ground| ground.area > 0.0) {
        let mut links = begun(study);
        // Stumps and roots leave holes; the ground is stripped and levelled after them.
        let goes = |kind| study.found.iter().any(|p| p.action == Action::Remove && p.element.kind == kind);
        if goes(Kind::Tree) {
            links.push(after("clear/tree/"));
        }
        if goes(Kind::Shrub) {
            links.push(after("clear/shrub/"));
        }
        if irrigation {
            links.push(after("clear/irrigation"));
        }
        let title = format!("Strip {} of turf at {}", study.reader.area(ground.area), ground.element);
        let mut cautions = vec![HAND_DIG.to_owned()];
        if ground.protected > 0.0 {
            cautions.push(NO_MACHINE.to_owned());
        }
        all.push(Task {
            after: links,
            consumes: vec![STRIP.to_owned(), HAUL.to_owned()],
            cautions,
            ..task(
                format!("clear/strip/{}-{}", ground.element.kind.key(), ground.element.id),
                title,
                study.project.practice.strip_hours * ground.area,
                &ground.element,
            )
        });
    }
}

fn haul(study: &SiteStudy<'_>) -> Option<Task> {
    let hauled = takeoff::quantities(study).into_iter().filter(|quantity| quantity.item == HAUL);
    let mut links = Vec::new();
    let mut volume = 0.0;
    for quantity in hauled {
        volume += quantity.amount.value;
        let group = match quantity.subject.kind {
            Kind::Shrub => "clear/shrub/",
            Kind::Overgrown => "clear/overgrown/",
            _ => "clear/strip/",
        };
        if !links.iter().any(|link: &Link| link.before == group) {
            links.push(after(group));
        }
    }
    if volume <= 0.0 {
        return None;
    }
    let loads = (volume / study.project.practice.load - 1e-9).ceil().max(1.0);
    Some(Task {
        after: links,
        consumes: vec![HAUL.to_owned()],
        cautions: vec![
            "Weeds with seeds or roots that sprout again go where the local rules want them.".to_owned(),
        ],
        ..task(
            "clear/haul",
            format!("Haul {loads} loads, {} loose", study.reader.volume(volume)),
            LOAD_HOURS * loads,
            &whole_property(),
        )
    })
}
