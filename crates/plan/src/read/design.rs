//! `design.toml`.

use super::Node;
use super::line::EDGES;
use super::measure::Measure;
use super::property::{each, label, length_or};
use crate::design::{
    Acceptance, Bed, Design, Edging, FormerCover, Lawn, LawnKind, Layout, Mulch, Note, PlantSource,
    PlanterBox, Planting, RowPattern, Share, SoilPreparation,
};
use crate::identity::{ElementId, Kind, TaxonId};
use crate::practice::Practice;
use crate::standing::Given;

/// Reads the design.
pub(super) fn read(root: &Node<'_, '_>, practice: &Practice) -> Design {
    Design {
        issued: root.text("issued").unwrap_or_default(),
        revision: root.text("revision").unwrap_or_default(),
        beds: each(root, Kind::Bed, |node, id| {
            Some(Bed {
                label: label(node, &id),
                id,
                outline: node.outline("outline"),
                soil: soil(node),
                mulch: mulch(node, practice),
                slope: node.quantity_or(
                    "slope",
                    Measure::Slope,
                    (0.0, 2.0),
                    (0.0, 0.05),
                    "level until levels are taken",
                ),
                was: was(node, node.has("soil")),
                winter_water: node.quantity("winter_water", Measure::Length, 0.0, 30.0),
            })
        }),
        boxes: each(root, Kind::PlanterBox, |node, id| {
            let height = length_or(node, "height", (0.05, 3.0), (0.45, 0.15), "a box of seat height");
            let fill = 0.9 * height.value;
            Some(PlanterBox {
                label: label(node, &id),
                id,
                outline: node.outline("outline"),
                height,
                wall: length_or(node, "wall", (0.005, 1.0), (0.05, 0.03), "a plank"),
                mix: node.text("mix").unwrap_or_else(|| "planter-mix".to_owned()),
                fill: length_or(node, "fill", (0.0, 3.0), (fill, 0.05), "filled to a hand below the rim"),
                mulch: mulch(node, practice),
            })
        }),
        lawns: each(root, Kind::Lawn, |node, id| {
            let kind = node.required_choice("kind");
            Some(Lawn {
                id,
                was: was(node, kind.is_some_and(|kind| kind != LawnKind::Keep)),
                outline: node.outline("outline"),
                product: node.text("product").unwrap_or_default(),
                fertiliser: node.text("fertiliser").unwrap_or_default(),
                kind: kind?,
            })
        }),
        edgings: each(root, Kind::Edging, |node, id| {
            if !node.has("along") {
                node.required_text("along", "whose edge, such as \"bed front\"");
            }
            Some(Edging {
                id,
                product: node.required_text("product", "a stock id of edging"),
                from: node.station("from"),
                to: node.station("to"),
                along: node.reference("along", &EDGES)?,
            })
        }),
        plantings: each(root, Kind::Planting, planting),
        notes: each(root, Kind::Note, |node, id| {
            let text = node.required_text("text", "the remark");
            Some(Note { id, at: node.required_place("at")?, text })
        }),
        accepted: each(root, Kind::Acceptance, |node, id| {
            let reason = node.required_text("reason", "why it is accepted");
            if node.raw("reason").is_some_and(toml_edit::Item::is_str) && reason.trim().is_empty() {
                node.fault("reason", "an accepted finding without a reason")
                    .expected("a sentence that says why")
                    .note(node.reading);
            }
            Some(Acceptance {
                id,
                finding: node.required_text("finding", "the rule's id, as `check --format json` prints it"),
                about: node.texts("about"),
                reason,
            })
        }),
        ground: super::ground::work(root),
        built: super::built::read(root),
        lighting: super::lights::read(root),
        irrigation: super::irrigation::read(root),
    }
}

/// What grew there before; asked only where the answer decides whether turf is stripped.
fn was(node: &Node<'_, '_>, asked: bool) -> Given<FormerCover> {
    if asked || node.has("was") {
        node.given_choice("was", FormerCover::Turf, "most new beds and lawns are cut from old turf")
    } else {
        Given::assumed(FormerCover::Turf, 0.0)
    }
}

/// Soil preparation: `{ amendment = "compost", depth = "2 in", worked_in = "6 in" }`.
fn soil(node: &Node<'_, '_>) -> Option<SoilPreparation> {
    let inner = node.table("soil")?;
    let soil = SoilPreparation {
        amendment: inner.required_text("amendment", "a stock id of an amendment"),
        depth: length_or(&inner, "depth", (0.0, 1.0), (0.0508, 0.025), "two inches of compost"),
        worked_in: length_or(&inner, "worked_in", (0.0, 1.0), (0.1524, 0.05), "a spade's half depth"),
    };
    inner.finish();
    Some(soil)
}

/// Mulch: a stock id, `false` for none, or `{ product = …, depth = … }`; its depth is the firm's
/// where the bed does not say.
fn mulch(node: &Node<'_, '_>, practice: &Practice) -> Option<Mulch> {
    // Half an inch either way is what spreading by fork and rake gives: common practice, no source.
    let usual = Given::assumed(practice.mulch_depth, 0.0127);
    let item = node.raw("mulch")?;
    if item.as_bool() == Some(false) {
        return None;
    }
    if item.is_str() {
        let product = node.text("mulch")?;
        return Some(Mulch { product, depth: usual });
    }
    let inner = node.table("mulch")?;
    let product = inner.required_text("product", "a stock id of a mulch");
    let depth = inner.quantity("depth", Measure::Length, 0.0, 0.5).unwrap_or(usual);
    inner.finish();
    Some(Mulch { product, depth })
}

fn planting(node: &Node<'_, '_>, id: ElementId) -> Option<Planting> {
    let shares = shares(node);
    let layout = layout(node);
    let axis = match node.places("axis") {
        Some(places) if places.len() == 2 => Some((places[0].clone(), places[1].clone())),
        Some(places) => {
            node.fault("axis", format!("an axis of {} places", places.len()))
                .expected("two places")
                .note(node.reading);
            None
        }
        None => None,
    };
    let role = node.required_choice("role");
    let source = node.choice("source").unwrap_or(PlantSource::Nursery);
    Some(Planting {
        id,
        size: node.text("size"),
        place: node.reference("in", &[Kind::Bed, Kind::PlanterBox]),
        spacing: node.quantity("spacing", Measure::Length, 0.03, 30.0),
        filled_in: node.quantity("filled_in", Measure::Number, 0.25, 50.0),
        source,
        from_shrubs: node.texts("from").into_iter().map(ElementId).collect(),
        best_first: node.flag("best_first", false),
        axis,
        note: node.text("note").unwrap_or_default(),
        role: role?,
        shares: shares?,
        layout: layout?,
    })
}

/// `plant = "id"`, or `plants = [{ plant = "id", parts = 2 }, …]`.
fn shares(node: &Node<'_, '_>) -> Option<Vec<Share>> {
    if let Some(plant) = node.text("plant") {
        if node.has("plants") {
            node.fault("plants", "`plant` and `plants` are both given")
                .expected("one of them")
                .note(node.reading);
        }
        return Some(vec![Share { taxon: TaxonId(plant), parts: 1.0 }]);
    }
    let shares: Vec<Share> = node
        .tables("plants")
        .iter()
        .map(|inner| {
            let share = Share {
                taxon: TaxonId(inner.required_text("plant", "a plant's id in the stock")),
                parts: inner
                    .quantity("parts", Measure::Number, 0.01, 1000.0)
                    .map_or(1.0, |given| given.value),
            };
            inner.finish();
            share
        })
        .collect();
    if shares.is_empty() && !node.has("plants") {
        node.fault("plant", "nothing says what is planted")
            .expected("`plant = \"id\"`, or `plants = [{ plant = \"id\", parts = 2 }, …]`")
            .note(node.reading);
    }
    (1..=3).contains(&shares.len()).then_some(shares).or_else(|| {
        if node.has("plants") {
            node.fault("plants", "a planting mixes one to three taxa")
                .remedy("make several plantings of it")
                .note(node.reading);
        }
        None
    })
}

/// One of `at`, `group`, `row`, `mass`.
fn layout(node: &Node<'_, '_>) -> Option<Layout> {
    let forms = ["at", "group", "row", "mass"];
    let given: Vec<&str> = forms.into_iter().filter(|form| node.has(form)).collect();
    if given.len() != 1 {
        let problem = match given.len() {
            0 => "nothing says how the plants stand".to_owned(),
            _ => format!("`{}` are given together", given.join("` and `")),
        };
        node.fault(given.get(1).copied().unwrap_or("at"), problem)
            .expected("one of: `at` (places), `group`, `row`, `mass`")
            .note(node.reading);
        return None;
    }
    match given[0] {
        "at" => {
            // Two numbers are one place; two names are two reference points.
            let coordinate = |value: &toml_edit::Value| {
                !value.is_array()
                    && !value.is_inline_table()
                    && !value.as_str().is_some_and(ElementId::is_valid)
            };
            let single = node
                .raw("at")
                .and_then(|item| item.as_array())
                .is_some_and(|list| list.len() == 2 && list.iter().all(coordinate));
            let named = node.raw("at").is_some_and(|item| item.is_str() || item.is_inline_table());
            let at = if single || named { vec![node.place("at")?] } else { node.places("at")? };
            Some(Layout::Single { at })
        }
        "group" => {
            let inner = node.table("group")?;
            let group =
                Layout::Group { at: inner.required_place("at")?, count: inner.count("count", 3, 2, 200) };
            inner.finish();
            Some(group)
        }
        "row" => row(node),
        _ => {
            if node.raw("mass").is_some_and(|item| item.as_bool() == Some(true)) {
                return Some(Layout::Mass { outline: None });
            }
            let inner = node.table("mass")?;
            let outline = inner.line("outline");
            inner.finish();
            Some(Layout::Mass { outline })
        }
    }
}

fn row(node: &Node<'_, '_>) -> Option<Layout> {
    let inner = node.table("row")?;
    let along = inner.reference("along", &EDGES);
    let line = inner.line("line");
    if along.is_some() == line.is_some() && !(inner.has("along") && along.is_none()) {
        inner
            .fault("along", "a row follows one line")
            .expected("`along = \"bed front\"` or `line = [[x, y], …]`, and not both")
            .note(inner.reading);
    }
    let row = Layout::Row {
        along,
        line,
        from: inner.station("from"),
        to: inner.station("to"),
        inset: inner.quantity("inset", Measure::Length, 0.0, 30.0).map(|given| given.value),
        rows: inner.count("rows", 1, 1, 50),
        pattern: inner.choice("pattern").unwrap_or(RowPattern::Staggered),
        tolerance: inner.quantity("tolerance", Measure::Ratio, 0.0, 0.5).map(|given| given.value),
    };
    inner.finish();
    Some(row)
}
