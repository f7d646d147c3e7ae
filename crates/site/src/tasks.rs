//! Tasks of the site: protection, locating, clearing.

use groundwright_handoff::{Link, Quantity, Season, Task, Trade};
use groundwright_plan::{Action, ElementRef, Kind};

use crate::clearing;
use crate::study::SiteStudy;

/// All tasks of the site.
pub(crate) fn tasks(study: &SiteStudy<'_>) -> Vec<Task> {
    let mut all = vec![locate()];
    all.extend(fence(study));
    let quantities = clearing::quantities(study);
    all.extend(trees(study));
    all.extend(shrubs(study));
    all.extend(ground(study, &quantities));
    all
}

fn after(before: &str) -> Link {
    Link { before: before.to_owned(), lag_days: 0.0 }
}

fn locate() -> Task {
    Task {
        key: "site/locate".to_owned(),
        title: "Have buried services located and marked".to_owned(),
        trade: Trade::Crew,
        labour_hours: 0.5,
        after: Vec::new(),
        season: None,
        hold_point: Some("all services marked on the ground; private lines found".to_owned()),
        consumes: Vec::new(),
        cautions: vec!["The local one-call centre decides how long to wait and how near to dig.".to_owned()],
        subject: ElementRef::new(Kind::PaperLine, &"boundary".into()),
    }
}

/// Hours to set a metre of protection fence. [h/m] Common practice, no source.
const FENCE_HOURS: f64 = 0.05;

fn fence(study: &SiteStudy<'_>) -> Vec<Task> {
    study
        .rings
        .iter()
        .map(|ring| Task {
            key: format!("site/fence/{}", ring.element.id),
            title: format!("Fence {} at {}", ring.element, study.reader.length(ring.radius)),
            trade: Trade::Crew,
            labour_hours: std::f64::consts::TAU * ring.radius * FENCE_HOURS,
            after: Vec::new(),
            season: None,
            hold_point: Some("fence stands before any machine or load comes in".to_owned()),
            consumes: Vec::new(),
            cautions: vec!["No trench, storage, washing-out or change of grade inside the ring.".to_owned()],
            subject: ring.element.clone(),
        })
        .collect()
}

fn trees(study: &SiteStudy<'_>) -> Vec<Task> {
    let removed = study.project.property.trees.iter().filter(|t| t.action == Action::Remove);
    removed
        .map(|tree| Task {
            key: format!("clear/tree/{}", tree.id),
            title: format!("Take down {} and grind its stump", tree.id),
            trade: Trade::Arborist,
            // Six hours to the metre of trunk for a crew of one: common practice, no source.
            labour_hours: 4.0 + 6.0 * tree.diameter.value,
            after: vec![after("site/locate")],
            season: None,
            hold_point: None,
            consumes: vec!["clearing/tree".to_owned(), "clearing/stump".to_owned()],
            cautions: vec![
                "Licensed and insured arborist only; permit by local rules; no nests in use.".to_owned(),
                "Keep the drop zone clear; mind wires overhead.".to_owned(),
            ],
            subject: ElementRef::new(Kind::Tree, &tree.id),
        })
        .collect()
}

fn shrubs(study: &SiteStudy<'_>) -> Vec<Task> {
    let removed = study.project.property.shrubs.iter().filter(|s| s.action == Action::Remove);
    removed
        .map(|shrub| {
            let factor = match clearing::size_class(shrub.spread.value) {
                "small" => 0.3,
                "medium" => 1.0,
                _ => 2.5,
            };
            Task {
                key: format!("clear/shrub/{}", shrub.id),
                title: format!("Take out {} {}", shrub.count, shrub.id),
                trade: Trade::Crew,
                labour_hours: shrub.count as f64 * factor * study.project.practice.clear_shrub_hours,
                after: vec![after("site/")],
                season: None,
                hold_point: None,
                consumes: vec![format!("clearing/shrub-{}", clearing::size_class(shrub.spread.value))],
                cautions: vec!["Gloves and eye protection; services located first.".to_owned()],
                subject: ElementRef::new(Kind::Shrub, &shrub.id),
            }
        })
        .collect()
}

fn ground(study: &SiteStudy<'_>, quantities: &[Quantity]) -> Vec<Task> {
    let practice = &study.project.practice;
    let mut all = Vec::new();
    for quantity in quantities {
        let area = quantity.amount.value;
        let (title, hours, season) = match quantity.item.as_str() {
            "clearing/overgrown" => {
                let weed = study.project.property.overgrown.iter().find(|o| o.id == quantity.subject.id);
                let height = weed.map_or(1.0, |weed| weed.height.value);
                let title = format!("Clear {}", quantity.subject.id);
                (title, area * height * practice.clear_brush_hours, Some(Season { first: 8, last: 2 }))
            }
            "clearing/turf" => {
                (format!("Strip turf of {}", quantity.subject.id), area * practice.strip_hours, None)
            }
            _ => continue,
        };
        all.push(Task {
            key: format!("clear/{}/{}", quantity.item.trim_start_matches("clearing/"), quantity.subject.id),
            title,
            trade: Trade::Crew,
            labour_hours: hours,
            after: vec![after("site/")],
            season,
            hold_point: None,
            consumes: vec![quantity.item.clone(), "clearing/haul".to_owned()],
            cautions: vec![
                "Thorns and wasp nests: look before cutting; gloves, eyes and ears protected.".to_owned(),
                "Herbicide only by its label, by local rules, by a licensed applicator where asked.".to_owned(),
            ],
            subject: quantity.subject.clone(),
        });
    }
    all
}
