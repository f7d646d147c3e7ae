//! Plants found, and overgrown ground: signs, crowns, protection rings, tags.

use groundwright_handoff::{Fill, Glyph, Layer, Pattern, Pen, Tone, Weight};
use groundwright_plan::{Action, Kind};
use groundwright_units::InchFraction;

use super::Pad;
use crate::found::{Found, names};
use crate::layers;
use crate::study::SiteStudy;

pub(super) fn draw(study: &SiteStudy<'_>, pad: &mut Pad) {
    for plant in &study.found {
        signs(plant, pad);
        crowns(study, plant, pad);
        pad.tag(
            &plant.element,
            &layers::TAG,
            tag_lines(study, plant),
            plant.places.clone(),
            tone(plant.action),
        );
    }
    for protection in &study.protections {
        let pen = Pen::of(Weight::Medium, Pattern::Dashed, Tone::Keep);
        pad.circle(&protection.element, &layers::PROTECTION, protection.at, protection.radius, pen);
    }
    overgrown(study, pad);
}

fn tone(action: Action) -> Tone {
    match action {
        Action::Keep => Tone::Keep,
        Action::Move => Tone::Move,
        Action::Remove => Tone::Remove,
    }
}

fn signs(plant: &Found<'_>, pad: &mut Pad) {
    let (layer, glyph): (&'static Layer, Glyph) = match (plant.action, plant.element.kind) {
        (Action::Keep, Kind::Tree) => (&layers::TREE, Glyph::TrunkKept),
        (Action::Keep, _) => (&layers::SHRUB, Glyph::ShrubKept),
        (Action::Move, _) => (&layers::MOVE, Glyph::Dug),
        (Action::Remove, _) => (&layers::REMOVE, Glyph::Removed),
    };
    for at in &plant.places {
        pad.sign(&plant.element, layer, glyph, *at, tone(plant.action));
    }
}

fn crowns(study: &SiteStudy<'_>, plant: &Found<'_>, pad: &mut Pad) {
    let property = &study.project.property;
    let id = &plant.element.id;
    let spread = match plant.element.kind {
        Kind::Tree => property.trees.iter().find(|tree| &tree.id == id).map(|tree| tree.crown.value),
        _ => property.shrubs.iter().find(|shrub| &shrub.id == id).map(|shrub| shrub.spread.value),
    };
    let (layer, pattern) = match plant.action {
        Action::Keep => (&layers::CROWN_KEEP, Pattern::Dotted),
        Action::Move => (&layers::CROWN_MOVE, Pattern::Dotted),
        Action::Remove => (&layers::CROWN_REMOVE, Pattern::Dashed),
    };
    let pen = Pen::of(Weight::Fine, pattern, tone(plant.action));
    for at in &plant.places {
        pad.circle(&plant.element, layer, *at, spread.unwrap_or(0.0) / 2.0, pen);
    }
}

/// `T1 Quercus garryana`, `26" keep`; a group says how many: `S2 Polystichum munitum`, `move 3`.
fn tag_lines(study: &SiteStudy<'_>, plant: &Found<'_>) -> Vec<String> {
    let trees = &study.project.property.trees;
    let trunk = trees.iter().find(|tree| plant.element.kind == Kind::Tree && tree.id == plant.element.id);
    let reader = study.reader.with_inches(InchFraction::Whole);
    let fate = match trunk {
        Some(tree) => format!("{} {}", reader.depth(tree.diameter.value), plant.action),
        None if plant.count > 1 => format!("{} {}", plant.action, plant.count),
        None => plant.action.to_string(),
    };
    vec![format!("{} {}", plant.tag, plant.botanical), fate]
}

fn overgrown(study: &SiteStudy<'_>, pad: &mut Pad) {
    for ground in study.cleared.iter().filter(|ground| !ground.region.is_empty()) {
        let found = study.project.property.overgrown.iter().find(|o| o.id == ground.element.id);
        let Some(found) = found else { continue };
        let pen = Pen::of(Weight::Thin, Pattern::Dashed, Tone::Remove);
        pad.area(&ground.element, &layers::OVERGROWN, &ground.region, pen, Some(Fill::Slanted(Tone::Remove)));
        let (_, name, _) = names(&study.project.stock, found.taxon.as_ref(), &found.name);
        let reader = &study.reader;
        let size =
            format!("{}, {} high: clear", reader.area(ground.area), reader.length(ground.height.value));
        let anchors = ground.region.pole(0.2).map(|(at, _)| at).into_iter().collect();
        pad.tag(
            &ground.element,
            &layers::TAG,
            vec![format!("{} {name}", ground.tag), size],
            anchors,
            Tone::Remove,
        );
    }
}
