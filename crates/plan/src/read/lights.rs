//! Lights, their zones and transformers; the stock that they are made of.

use super::stock::id;
use super::{Measure, Node};
use crate::identity::{ElementId, Kind};
use crate::lights::{Aim, Light, LightRole, LightZone, Lighting, Switch, Transformer};
use crate::read::property::{each, label};
use crate::stock::{BeamShape, LightCable, LightFixture, TransformerProduct};

/// Kinds that a light may be aimed at.
const AIMED: [Kind; 9] = [
    Kind::Tree,
    Kind::Shrub,
    Kind::Building,
    Kind::Planting,
    Kind::Wall,
    Kind::Steps,
    Kind::Bed,
    Kind::Surface,
    Kind::Paving,
];

/// Lights.
pub(super) fn read(root: &Node<'_, '_>) -> Lighting {
    Lighting {
        lights: each(root, Kind::Light, light),
        zones: each(root, Kind::LightZone, zone),
        transformers: each(root, Kind::Transformer, |node, id| {
            Some(Transformer {
                label: label(node, &id),
                product: node.text("product").unwrap_or_default(),
                at: node.required_place("at")?,
                id,
            })
        }),
    }
}

fn light(node: &Node<'_, '_>, id: ElementId) -> Option<Light> {
    let role = node.required_choice::<LightRole>("role");
    let places = match (node.has("at"), node.has("places")) {
        (true, false) => node.required_place("at").map(|at| vec![at]),
        (false, true) => node.places("places"),
        _ => {
            node.fault("at", "it has no place, or two")
                .expected("`at = [x, y]` for one light, or `places = [[x, y], …]` for several alike")
                .note(node.reading);
            None
        }
    };
    let aim = match (node.has("aim"), node.has("aim_place")) {
        (true, true) => {
            node.fault("aim", "`aim` and `aim_place` are both given")
                .expected("one of them: an element such as `\"tree oak\"`, or a place")
                .note(node.reading);
            None
        }
        (true, false) => node.reference("aim", &AIMED).map(Aim::Element),
        (false, true) => node.place("aim_place").map(Aim::Place),
        (false, false) => None,
    };
    let usual = match role {
        Some(LightRole::Path) => (0.5, "a path light of twenty inches"),
        Some(LightRole::Down) => (4.5, "fifteen feet up"),
        Some(LightRole::Step) => (0.3, "a foot above the tread"),
        _ => (0.15, "low, six inches above the ground"),
    };
    Some(Light {
        label: label(node, &id),
        fixture: node.required_text("fixture", "a stock id of a fixture"),
        aim_height: node.quantity("aim_height", Measure::Length, 0.0, 60.0),
        height: node.quantity_or("height", Measure::Length, (0.0, 30.0), (usual.0, usual.0 / 4.0), usual.1),
        zone: ElementId(node.required_text("zone", "the id of a `[[light_zone]]`")),
        level: node.quantity("level", Measure::Ratio, 0.0, 1.0).map_or(1.0, |given| given.value),
        wanted: node.quantity("wanted_lux", Measure::Number, 0.0, 10_000.0).map(|given| given.value),
        id,
        role: role?,
        places: places?,
        aim,
    })
}

fn zone(node: &Node<'_, '_>, id: ElementId) -> Option<LightZone> {
    let on = if node.has("on") { switch(node, "on")? } else { Switch::Dusk };
    let off = if node.has("off") { switch(node, "off")? } else { Switch::Clock(23 * 60) };
    let dimmed = if node.has("dim_from") || node.has("dim_to") {
        let from = switch(node, "dim_from");
        let level = node.required_quantity("dim_to", Measure::Ratio, 0.0, 1.0)?.value;
        match from {
            Some(Switch::Clock(minutes)) => Some((minutes, level)),
            Some(_) => {
                node.fault("dim_from", "this is no time of the clock")
                    .expected("a time such as `\"22:00\"`")
                    .note(node.reading);
                None
            }
            None => None,
        }
    } else {
        None
    };
    Some(LightZone {
        label: label(node, &id),
        transformer: node.text("transformer").map(ElementId),
        id,
        on,
        off,
        dimmed,
    })
}

/// `dusk`, `dawn`, or a time of the clock: `22:30`.
fn switch(node: &Node<'_, '_>, key: &str) -> Option<Switch> {
    let text = node.required_text(key, "`dusk`, `dawn` or a time such as `22:30`");
    let clock = || {
        let (hours, minutes) = text.split_once(':')?;
        let (hours, minutes): (u16, u16) = (hours.trim().parse().ok()?, minutes.trim().parse().ok()?);
        (hours < 24 && minutes < 60).then_some(Switch::Clock(hours * 60 + minutes))
    };
    match text.trim() {
        "" => None,
        "dusk" => Some(Switch::Dusk),
        "dawn" => Some(Switch::Dawn),
        _ => clock().or_else(|| {
            node.fault(key, format!("`{text}` is no time"))
                .expected("`dusk`, `dawn` or a time of the clock from 00:00 to 23:59")
                .remedy("write it as `\"22:30\"`")
                .note(node.reading);
            None
        }),
    }
}

/// A fixture.
pub(super) fn fixture(node: &Node<'_, '_>) -> Option<LightFixture> {
    let number = |key: &str, low: f64, high: f64| {
        node.required_quantity(key, Measure::Number, low, high).map(|given| given.value)
    };
    let or = |key: &str, low: f64, high: f64, usual: f64| {
        node.quantity(key, Measure::Number, low, high).map_or(usual, |given| given.value)
    };
    let (lumens, watts) = (number("lumens", 1.0, 100_000.0), number("watts", 0.1, 2_000.0));
    let beam = node.required_quantity("beam_angle", Measure::Angle, 0.02, 3.1);
    let window = node.numbers("volts", 2, 1.0, 60.0);
    if !node.has("volts") {
        node.fault("volts", "it is missing")
            .expected("two numbers: the lowest and the highest voltage on the label, such as `[9, 15]`")
            .note(node.reading);
    }
    let window = window?;
    if window[0] >= window[1] {
        node.fault("volts", format!("{} is not below {}", window[0], window[1]))
            .expected("the lowest voltage first, then the highest")
            .note(node.reading);
        return None;
    }
    let watts = watts?;
    Some(LightFixture {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        shape: node.choice::<BeamShape>("shape").unwrap_or(BeamShape::Gaussian),
        volt_amperes: or("volt_amperes", 0.1, 4_000.0, watts),
        driver: node.flag("driver", true),
        rated: or("rated_volts", 1.0, 60.0, 12.0),
        kelvin: or("kelvin", 1_500.0, 10_000.0, 2_700.0),
        rendering: or("rendering", 0.0, 100.0, 80.0),
        loss: or("light_loss", 0.1, 1.0, 0.85),
        cut_off: node.quantity("cut_off", Measure::Angle, 0.0, 3.2).map(|given| given.value),
        source: node.text("source").unwrap_or_default(),
        window: (window[0], window[1]),
        lumens: lumens?,
        beam_angle: beam?.value,
        watts,
    })
}

/// A transformer on offer.
pub(super) fn transformer(node: &Node<'_, '_>) -> Option<TransformerProduct> {
    let rating = node.required_quantity("rating", Measure::Number, 20.0, 5_000.0)?.value;
    let taps = node.quantities("taps", Measure::Number, 60.0);
    if taps.is_empty() || taps.iter().any(|tap| *tap < 5.0) {
        node.fault("taps", "these are no taps")
            .expected("voltages, such as `[12, 13, 14, 15]`")
            .note(node.reading);
        return None;
    }
    Some(TransformerProduct {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        source: node.text("source").unwrap_or_default(),
        rating,
        taps,
    })
}

/// A cable on offer.
pub(super) fn cable(node: &Node<'_, '_>) -> Option<LightCable> {
    let gauge = node.count("gauge", 12, 0, 30);
    if ![8, 10, 12, 14, 16, 18].contains(&gauge) {
        node.fault("gauge", format!("{gauge} is no gauge of such cable"))
            .expected("8, 10, 12, 14, 16 or 18 (American wire gauge)")
            .note(node.reading);
        return None;
    }
    Some(LightCable {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        price: node.required_quantity("price_per_foot", Measure::Number, 0.001, 100.0)?.value
            / groundwright_units::constants::FOOT,
        roll: node.quantity("roll", Measure::Length, 1.0, 2_000.0).map(|given| given.value),
        source: node.text("source").unwrap_or_default(),
        gauge: gauge as u8,
    })
}
