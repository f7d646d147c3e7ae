//! Stock of walls and paving: units, reinforcement, pavers.

use groundwright_units::constants::{CUBIC_FOOT, FOOT};

use super::stock::id;
use super::{Measure, Node};
use crate::stock::{GridProduct, Paver, WallUnit, WallUnits};

/// A system of wall units.
pub(super) fn units(node: &Node<'_, '_>) -> Option<WallUnits> {
    let length = |key: &str, low: f64, high: f64| {
        node.required_quantity(key, Measure::Length, low, high).map(|given| given.value)
    };
    let (height, depth) = (length("height", 0.03, 1.0), length("depth", 0.05, 2.0));
    let setback = length("setback", 0.0, 0.3);
    let density = node
        .required_quantity("weight_per_cubic_foot", Measure::Mass, 20.0, 100.0)
        .map(|given| given.value / CUBIC_FOOT);
    let shear =
        node.required_quantity("shear_per_foot", Measure::Mass, 0.0, 5000.0).map(|given| given.value / FOOT);
    let shear_angle = node.required_quantity("shear_angle", Measure::Angle, 0.0, 1.0).map(|g| g.value);
    let units = kinds(node);
    let colours = colours(node);
    let longest = units.as_ref().map_or(0.4, |units| units.iter().map(|u| u.length).fold(0.0, f64::max));
    let or = |key: &str, usual: f64| {
        node.quantity(key, Measure::Length, 0.0, 30.0).map_or(usual, |given| given.value)
    };
    let cap = node.quantities("cap", Measure::Length, 2.0);
    let cap = match cap.as_slice() {
        [] => None,
        [length, height, depth] if *length > 0.0 => Some((*length, *height, *depth)),
        _ => {
            node.fault("cap", "this is no cap")
                .expected("three lengths: length, height, depth")
                .note(node.reading);
            None
        }
    };
    let product = WallUnits {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        corner: node.pair("corner", Measure::Length, 0.03, 5.0),
        least_radius: or("least_radius", 0.0),
        least_cut: or("least_cut", longest / 4.0).max(0.01),
        least_overlap: or("least_overlap", longest / 4.0),
        in_a_row: node.count("in_a_row", 0, 0, 20) as u8,
        rear_lip: node.flag("rear_lip", false),
        source: node.text("source").unwrap_or_default(),
        cap,
        colours,
        height: height?,
        depth: depth?,
        setback: setback?,
        density: density?,
        shear: shear?,
        shear_angle: shear_angle?,
        units: units?,
    };
    Some(product)
}

/// `units = [{ length = "16 in", share = "40 %", pallet = 48 }, …]`, shares made to add up to one.
fn kinds(node: &Node<'_, '_>) -> Option<Vec<WallUnit>> {
    let kinds: Option<Vec<WallUnit>> = node
        .tables("units")
        .iter()
        .map(|inner| {
            let length = inner.required_quantity("length", Measure::Length, 0.03, 5.0);
            let share = inner.quantity("share", Measure::Ratio, 0.0, 1.0).map_or(1.0, |given| given.value);
            let pallet = inner.count("pallet", 0, 0, 10_000);
            inner.finish();
            Some(WallUnit { length: length?.value, share, pallet })
        })
        .collect();
    let kinds = kinds?;
    let sum: f64 = kinds.iter().map(|kind| kind.share).sum();
    if kinds.is_empty() || kinds.len() > 8 || (sum - 1.0).abs() > 1e-6 {
        node.fault("units", format!("{} kinds of units whose shares add up to {:.1} %", kinds.len(), sum * 100.0))
            .expected("one to eight kinds, `[{ length = \"16 in\", share = \"40 %\", pallet = 48 }, …]`, shares of 100 % together")
            .note(node.reading);
        return None;
    }
    Some(kinds)
}

/// `colours = [{ name = "grey", share = "60 %" }, …]`.
fn colours(node: &Node<'_, '_>) -> Vec<(String, f64)> {
    let mut colours: Vec<(String, f64)> = node
        .tables("colours")
        .iter()
        .map(|inner| {
            let name = inner.required_text("name", "the colour as it is ordered");
            let share = inner.quantity("share", Measure::Ratio, 0.01, 1.0).map_or(1.0, |given| given.value);
            inner.finish();
            (name, share)
        })
        .collect();
    let sum: f64 = colours.iter().map(|colour| colour.1).sum();
    for colour in &mut colours {
        colour.1 /= sum;
    }
    colours
}

/// A geosynthetic.
pub(super) fn grid(node: &Node<'_, '_>) -> Option<GridProduct> {
    let per_foot =
        |key: &str| node.required_quantity(key, Measure::Mass, 0.0, 20_000.0).map(|given| given.value / FOOT);
    let (ultimate, connection) = (per_foot("strength_per_foot"), per_foot("connection_per_foot"));
    let angle = node.required_quantity("connection_angle", Measure::Angle, 0.0, 1.0);
    let reductions = node.numbers("reductions", 3, 1.0, 20.0);
    if !node.has("reductions") {
        node.fault("reductions", "it is missing")
            .expected("three numbers: creep, durability, damage when laid")
            .note(node.reading);
    }
    let share = |key: &str| node.quantity(key, Measure::Ratio, 0.05, 1.0).map_or(0.8, |given| given.value);
    let product = GridProduct {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        sliding: share("sliding"),
        pullout: share("pullout"),
        roll: node.pair("roll", Measure::Length, 0.3, 200.0).unwrap_or((1.8288, 15.24)),
        source: node.text("source").unwrap_or_default(),
        ultimate: ultimate?,
        connection: connection?,
        connection_angle: angle?.value,
        reductions: reductions?.try_into().ok()?,
    };
    Some(product)
}

/// Pavers.
pub(super) fn paver(node: &Node<'_, '_>) -> Option<Paver> {
    let thickness = node.required_quantity("thickness", Measure::Length, 0.01, 0.5);
    let size = node.pair("size", Measure::Length, 0.02, 2.0);
    if !node.has("size") {
        node.fault("size", "it is missing").expected("two lengths: length and width").note(node.reading);
    }
    let product = Paver {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        pattern: node.text("pattern").unwrap_or_else(|| "running bond".to_owned()),
        pallet: node.quantity("pallet_area", Measure::Area, 0.5, 100.0).map(|given| given.value),
        source: node.text("source").unwrap_or_default(),
        size: size?,
        thickness: thickness?.value,
    };
    Some(product)
}
