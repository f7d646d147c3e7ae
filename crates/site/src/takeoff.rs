//! Takeoff of clearing: what is removed, stripped, fenced and hauled.
//!
//! - In: the study. Out: quantities whose basis can be checked by hand, each for one element;
//!   `groundwright-estimate` adds up lines of the same item, and rounds loads up there.

use groundwright_handoff::{Datum, Pack, Phase, Quantity, Step};
use groundwright_plan::{Action, ElementRef, Kind, Shrub};

use crate::clearing::{self, ClearedGround, LARGE_ABOVE, SMALL_BELOW, ShrubSize, StrippedGround};
use crate::found::names;
use crate::study::SiteStudy;
use crate::swell::loose_from_bank;

/// Item of what is hauled away.
pub(crate) const HAUL: &str = "clearing/haul";
/// Item of the fence about protected trees.
pub(crate) const FENCE: &str = "clearing/protection-fence";
/// Item of trees taken down.
pub(crate) const TREE: &str = "clearing/tree";
/// Item of stumps ground.
pub(crate) const STUMP: &str = "clearing/stump";
/// Item of overgrown ground cut.
pub(crate) const OVERGROWN: &str = "clearing/overgrown-ground";
/// Item of weeds killed.
pub(crate) const WEED_KILL: &str = "clearing/weed-kill";
/// Item of turf stripped.
pub(crate) const STRIP: &str = "clearing/turf-strip";

/// All quantities of clearing.
pub(crate) fn quantities(study: &SiteStudy<'_>) -> Vec<Quantity> {
    let mut all = trees(study);
    for shrub in study.project.property.shrubs.iter().filter(|shrub| shrub.action == Action::Remove) {
        all.push(shrub_line(study, shrub));
        all.extend(shrub_haul(study, shrub));
    }
    for ground in study.cleared.iter().filter(|ground| ground.area > 0.0) {
        all.extend(overgrown(study, ground));
    }
    for ground in study.stripped.iter().filter(|ground| ground.area > 0.0) {
        all.extend(strip(study, ground));
    }
    all.extend(fences(study));
    all
}

fn line(item: &str, description: String, amount: Datum, basis: Vec<Step>, subject: &ElementRef) -> Quantity {
    Quantity {
        item: item.to_owned(),
        description,
        amount,
        allowance: 0.0,
        spread: 0.0,
        basis,
        packs: Vec::new(),
        subject: subject.clone(),
        phase: Phase::Clearing,
        option: None,
    }
}

/// Item of a shrub to be removed.
pub(crate) fn shrub_item(size: ShrubSize) -> String {
    format!("clearing/shrub-{}", size.word())
}

fn trees(study: &SiteStudy<'_>) -> Vec<Quantity> {
    let mut all = Vec::new();
    for tree in study.project.property.trees.iter().filter(|tree| tree.action == Action::Remove) {
        let subject = ElementRef::new(Kind::Tree, &tree.id);
        let (_, name, _) = names(&study.project.stock, tree.taxon.as_ref(), &tree.name);
        let diameter = Datum::depth(tree.diameter.value);
        all.push(line(
            TREE,
            "trees taken down by a licensed arborist, wood taken along".to_owned(),
            Datum::count(1),
            vec![
                Step::new(name, Datum::count(1), "marked remove"),
                Step::new("trunk diameter at breast height", diameter, tree.diameter.standing.word()),
                Step::new("height", Datum::length(tree.height.value), tree.height.standing.word()),
            ],
            &subject,
        ));
        all.push(Quantity {
            spread: tree.diameter.standing.spread(),
            ..line(
                STUMP,
                "stumps ground, by trunk diameter at breast height".to_owned(),
                diameter,
                vec![Step::new(
                    "trunk diameter at breast height",
                    diameter,
                    "added up; a stump is wider at the ground: common practice, no source",
                )],
                &subject,
            )
        });
    }
    all
}

fn shrub_line(study: &SiteStudy<'_>, shrub: &Shrub) -> Quantity {
    let size = ShrubSize::of(shrub.spread.value);
    let reader = &study.reader;
    let class = match size {
        ShrubSize::Small => format!("small, below {} of spread", reader.size(SMALL_BELOW)),
        ShrubSize::Medium => {
            format!("medium, {} to {} of spread", reader.size(SMALL_BELOW), reader.size(LARGE_ABOVE))
        }
        ShrubSize::Large => format!("large, above {} of spread", reader.size(LARGE_ABOVE)),
    };
    line(
        &shrub_item(size),
        format!("shrubs cut and grubbed out, {class}"),
        Datum::count(shrub.count),
        vec![
            Step::new(shrub.id.as_str(), Datum::count(shrub.count), "marked remove"),
            Step::new(
                "spread of one",
                Datum::length(shrub.spread.value),
                format!(
                    "{}; class {}: common practice, no source",
                    shrub.spread.standing.word(),
                    size.word()
                ),
            ),
        ],
        &ElementRef::new(Kind::Shrub, &shrub.id),
    )
}

/// A volume to haul, sold by the load.
fn haul(
    study: &SiteStudy<'_>,
    volume: f64,
    spread: f64,
    mut basis: Vec<Step>,
    subject: &ElementRef,
) -> Quantity {
    let load = study.project.practice.load;
    basis.push(Step::new("loose volume", Datum::volume(volume), "="));
    Quantity {
        spread,
        packs: vec![Pack {
            name: format!("load of {}", study.reader.volume(load)),
            contents: load,
            tops_up: false,
        }],
        ..line(
            HAUL,
            "brush, sod and roots, loose, hauled away".to_owned(),
            Datum::volume(volume),
            basis,
            subject,
        )
    }
}

fn shrub_haul(study: &SiteStudy<'_>, shrub: &Shrub) -> Option<Quantity> {
    let practice = &study.project.practice;
    let (spread, height) = (shrub.spread.value, shrub.height.value);
    let count = shrub.count as f64;
    let crown = clearing::crown_area(spread);
    let brush = clearing::brush(crown * count, height, practice.brush_bulk).ok()?;
    let root = clearing::root(spread, practice.dug_ball).ok()? * count;
    let loose_root = loose_from_bank(root, practice.swell).ok()?;
    // The crown grows with the square of the spread, the root with its cube.
    let (ds, dh) = (shrub.spread.standing.spread() / spread, shrub.height.standing.spread() / height);
    let range = ((2.0 * brush + 3.0 * loose_root) * ds).hypot(brush * dh);
    let basis = vec![
        Step::new("shrubs", Datum::count(shrub.count), "marked remove"),
        Step::new("ground under one crown", Datum::area(crown), "× π/4 × spread²"),
        Step::new("height", Datum::length(height), "×"),
        Step::new("loose over standing volume", Datum::ratio(practice.brush_bulk), "×"),
        Step::new("loose brush", Datum::volume(brush), "="),
        Step::new(
            "width of a root",
            Datum::length(spread * practice.dug_ball),
            "spread × the practice's share",
        ),
        Step::new("roots as they lie", Datum::volume(root), "cylinders half as deep as wide, all shrubs"),
        Step::new("swell", Datum::ratio(practice.swell), "× (1 + swell)"),
        Step::new("loose roots", Datum::volume(loose_root), "added to the brush"),
    ];
    let range = if range.is_finite() { range } else { 0.0 };
    Some(haul(study, brush + loose_root, range, basis, &ElementRef::new(Kind::Shrub, &shrub.id)))
}

fn overgrown(study: &SiteStudy<'_>, ground: &ClearedGround) -> Vec<Quantity> {
    let bulk = study.project.practice.brush_bulk;
    let (area, height) = (Datum::area(ground.area), ground.height.value);
    let measured = Step::new("overgrown ground", area, "measured on plan, without buildings and paving");
    let mut all = vec![
        line(
            OVERGROWN,
            "overgrown ground cut, crowns and roots out".to_owned(),
            area,
            vec![measured.clone(), Step::new("height", Datum::length(height), ground.height.standing.word())],
            &ground.element,
        ),
        line(
            WEED_KILL,
            "regrowth of weeds killed".to_owned(),
            area,
            vec![measured.clone(), Step::new("times over", Datum::number(1.0), "the cleared ground once")],
            &ground.element,
        ),
    ];
    if let Ok(brush) = clearing::brush(ground.area, height, bulk) {
        let basis = vec![
            measured,
            Step::new("height", Datum::length(height), "×"),
            Step::new("loose over standing volume", Datum::ratio(bulk), "×"),
        ];
        let spread = ground.area * ground.height.standing.spread() * bulk;
        all.push(haul(study, brush, spread, basis, &ground.element));
    }
    all
}

/// The assumption on which stripping rests.
pub(crate) const STRIP_RULE: &str =
    "assumed to be turf now: all new sod and seed, and beds with prepared soil";

fn strip(study: &SiteStudy<'_>, ground: &StrippedGround) -> Vec<Quantity> {
    let practice = &study.project.practice;
    let areas = vec![
        Step::new("area on plan", Datum::area(ground.whole), STRIP_RULE),
        Step::new("overgrown ground", Datum::area(ground.overgrown), "less: no turf there"),
        Step::new("tree protection circles", Datum::area(ground.protected), "less: no stripping over roots"),
        Step::new("stripped", Datum::area(ground.area), "="),
    ];
    let mut all = vec![line(
        STRIP,
        "turf stripped".to_owned(),
        Datum::area(ground.area),
        areas.clone(),
        &ground.element,
    )];
    let bank = ground.area * practice.strip_depth;
    if let Ok(loose) = loose_from_bank(bank, practice.swell) {
        let mut basis = areas;
        basis.push(Step::new("depth", Datum::depth(practice.strip_depth), "×"));
        basis.push(Step::new("as it lies", Datum::volume(bank), "="));
        basis.push(Step::new("swell", Datum::ratio(practice.swell), "× (1 + swell)"));
        all.push(haul(study, loose, 0.0, basis, &ground.element));
    }
    all
}

fn fences(study: &SiteStudy<'_>) -> Vec<Quantity> {
    let practice = &study.project.practice;
    let standing = study.protections.iter().filter(|protection| protection.fence > 0.0);
    standing
        .map(|protection| {
            let spread = protection.diameter.standing.spread() * protection.fence / protection.diameter.value;
            let basis = vec![
                Step::new(
                    "trunk diameter",
                    Datum::depth(protection.diameter.value),
                    protection.diameter.standing.word(),
                ),
                Step::new(
                    "radius",
                    Datum::length(protection.radius),
                    format!(
                        "× {}, at least {}",
                        practice.protection_ratio,
                        study.reader.length(practice.protection_minimum)
                    ),
                ),
                Step::new(
                    "edge to fence",
                    Datum::length(protection.fence),
                    "2 π × radius, less what lies in other circles and buildings",
                ),
            ];
            Quantity {
                spread: if spread.is_finite() { spread } else { 0.0 },
                ..line(
                    FENCE,
                    "fence about protected trees".to_owned(),
                    Datum::length(protection.fence),
                    basis,
                    &protection.element,
                )
            }
        })
        .collect()
}
