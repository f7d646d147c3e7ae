//! Walls, steps and paving.

use super::Node;
use super::measure::Measure;
use super::property::{each, label, length_or};
use crate::built::{Built, Paving, SideOfLine, Steps, Wall, WallEnd, WallLevels, WallLoad, WallSoil};
use crate::identity::{ElementId, Kind};
use crate::shape::Place;

/// Heights above a datum that can be. [m]
const HEIGHTS: (f64, f64) = (-500.0, 6000.0);
/// Angles of friction that soils have. [rad]
const FRICTIONS: (f64, f64) = (0.17, 0.82);

/// What is built.
pub(super) fn read(root: &Node<'_, '_>) -> Built {
    Built {
        walls: each(root, Kind::Wall, wall),
        steps: each(root, Kind::Steps, steps),
        pavings: each(root, Kind::Paving, |node, id| {
            let driven = node.flag("driven", false);
            let base = if driven { (0.2, 0.05) } else { (0.1, 0.025) };
            Some(Paving {
                label: label(node, &id),
                id,
                outline: node.outline("outline"),
                product: node.required_text("product", "a stock id of pavers"),
                base: length_or(
                    node,
                    "base",
                    (0.0, 1.0),
                    base,
                    "four inches where people walk, eight where cars drive",
                ),
                bedding: length_or(node, "bedding", (0.0, 0.2), (0.0254, 0.006), "an inch of bedding sand"),
                restraint: node.flag("restraint", true),
                driven,
            })
        }),
    }
}

fn wall(node: &Node<'_, '_>, id: ElementId) -> Option<Wall> {
    let soil = node.required_choice::<SideOfLine>("soil");
    let (top, foot) = (levels(node, ["top", "tops"]), levels(node, ["foot", "feet"]));
    let label = label(node, &id);
    let wall = Wall {
        label,
        units: node.required_text("units", "a stock id of wall units"),
        line: node.outline("line"),
        ends: ends(node),
        retained: node.given_choice(
            "retained",
            WallSoil::LeanClay,
            "nobody tested the soil: a clay loam, on the weak side",
        ),
        retained_friction: node.quantity("retained_friction", Measure::Angle, FRICTIONS.0, FRICTIONS.1),
        foundation: node.given_choice(
            "foundation",
            WallSoil::LeanClay,
            "nobody tested the soil: a clay loam, on the weak side",
        ),
        foundation_friction: node.quantity("foundation_friction", Measure::Angle, FRICTIONS.0, FRICTIONS.1),
        fill: node.choice("fill").unwrap_or(WallSoil::CleanStone),
        grid: node.text("grid").unwrap_or_default(),
        load: node.given_choice("load", WallLoad::Walked, "people may walk above it"),
        slope: node.quantity_or("slope", Measure::Slope, (0.0, 1.0), (0.0, 0.05), "level ground above"),
        water: node.given_flag("water", false, "nobody saw water seep there"),
        quake: node.quantity("quake", Measure::Ratio, 0.0, 0.6),
        fence: node.flag("fence", false),
        id,
        soil: soil?,
        top: top?,
        foot: foot?,
    };
    Some(wall)
}

/// A level, levels at places, or those of the ground.
fn levels(node: &Node<'_, '_>, [one, many]: [&str; 2]) -> Option<WallLevels> {
    match (node.has(one), node.has(many)) {
        (false, false) => Some(WallLevels::Ground),
        (true, false) => node
            .required_quantity(one, Measure::Length, HEIGHTS.0, HEIGHTS.1)
            .map(|g| WallLevels::Level(g.value)),
        (false, true) => {
            let spots: Option<Vec<(Place, f64)>> = node
                .tables(many)
                .iter()
                .map(|inner| {
                    let at = inner.required_place("at");
                    let level = inner.required_quantity("level", Measure::Length, HEIGHTS.0, HEIGHTS.1);
                    inner.finish();
                    Some((at?, level?.value))
                })
                .collect();
            if spots.as_ref().is_some_and(Vec::is_empty) {
                node.fault(many, "no level stands in it")
                    .expected("`[{ at = [x, y], level = 103.2 }, …]`")
                    .note(node.reading);
                return None;
            }
            spots.map(WallLevels::Spots)
        }
        (true, true) => {
            node.fault(many, format!("`{one}` and `{many}` are both given"))
                .expected("one level for the whole wall, or levels at places")
                .remedy(format!("leave out `{one}`"))
                .note(node.reading);
            None
        }
    }
}

/// `ends = ["bank", "flush"]`, left and right as one faces the wall.
fn ends(node: &Node<'_, '_>) -> [WallEnd; 2] {
    use crate::words::Word;
    if !node.has("ends") {
        return [WallEnd::Bank; 2];
    }
    let words = node.texts("ends");
    let known: Vec<WallEnd> = words.iter().filter_map(|word| WallEnd::from_word(word)).collect();
    if let ([left, right], 2) = (known.as_slice(), words.len()) {
        return [*left, *right];
    }
    if node.raw("ends").is_some_and(toml_edit::Item::is_array) {
        node.fault("ends", format!("`{}` are not two ends", words.join("`, `")))
            .expected("left and right as one faces the wall, each `bank` or `flush`")
            .note(node.reading);
    }
    [WallEnd::Bank; 2]
}

fn steps(node: &Node<'_, '_>, id: ElementId) -> Option<Steps> {
    let (from, toward) = (node.required_place("from"), node.required_place("toward"));
    let level = |key| node.required_quantity(key, Measure::Length, HEIGHTS.0, HEIGHTS.1);
    let (foot, top) = (level("foot"), level("top"));
    let label = label(node, &id);
    let (foot, top) = (foot?.value, top?.value);
    if top - foot < 0.05 {
        node.fault("top", "the steps do not rise")
            .expected("a top above the foot")
            .remedy("give the level of the ground above as `top`")
            .note(node.reading);
        return None;
    }
    Some(Steps {
        label,
        width: length_or(node, "width", (0.3, 20.0), (1.2, 0.3), "two people pass"),
        riser: length_or(node, "riser", (0.05, 0.3), (0.15, 0.02), "a garden riser of six inches"),
        tread: length_or(node, "tread", (0.2, 3.0), (0.36, 0.05), "a garden tread of fourteen inches"),
        material: node.text("material").unwrap_or_else(|| "stone treads".to_owned()),
        cheeks: node.text("cheeks").unwrap_or_default(),
        id,
        from: from?,
        toward: toward?,
        foot,
        top,
    })
}
