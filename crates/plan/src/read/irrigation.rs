//! Irrigation of the design, the supply and climate of the property, and the stock that they take.

use toml_edit::Item;

use super::stock::id;
use super::{Measure, Node};
use crate::identity::{ElementId, Kind};
use crate::irrigation::{Controller, Irrigation, Preventer, ValveBox, Watering, WateringMethod};
use crate::property::{Climate, Supply, Weekday};
use crate::read::property::{each, label};
use crate::stock::{
    ControllerProduct, DripKind, DripProduct, HeadKind, HeadProduct, PartKind, PipeProduct, SprayProfile,
    WaterPart,
};

/// Kinds that can be watered.
const WATERED: [Kind; 6] = [Kind::Bed, Kind::PlanterBox, Kind::Lawn, Kind::Planting, Kind::Tree, Kind::Shrub];
/// Kinds that `rest` takes.
const GROUND: [Kind; 3] = [Kind::Bed, Kind::PlanterBox, Kind::Lawn];
/// Months of a year.
const MONTHS: usize = 12;

/// What the design waters.
pub(super) fn read(root: &Node<'_, '_>) -> Irrigation {
    Irrigation {
        waterings: each(root, Kind::Watering, watering),
        valve_boxes: each(root, Kind::ValveBox, |node, id| {
            Some(ValveBox { label: label(node, &id), at: node.required_place("at")?, id })
        }),
        preventers: each(root, Kind::Preventer, |node, id| {
            let product = node.text("product").unwrap_or_default();
            Some(Preventer { label: label(node, &id), at: node.required_place("at")?, product, id })
        }),
        controllers: each(root, Kind::Controller, |node, id| {
            let product = node.text("product").unwrap_or_default();
            Some(Controller { label: label(node, &id), at: node.required_place("at")?, product, id })
        }),
    }
}

fn watering(node: &Node<'_, '_>, id: ElementId) -> Option<Watering> {
    let watering = Watering {
        label: label(node, &id),
        areas: node.references("areas", &WATERED),
        rest: node.flag("rest", false),
        without: node.references("without", &GROUND),
        method: node.choice::<WateringMethod>("method"),
        product: node.text("product").unwrap_or_default(),
        heads: node.places("heads"),
        existing: node.text("existing").unwrap_or_default(),
        id,
    };
    if watering.areas.is_empty() && !watering.rest && !node.has("areas") {
        node.fault("areas", "it waters nothing")
            .expected("`areas = [\"bed …\", \"lawn …\"]`, or `rest = true` for all that no other names")
            .note(node.reading);
        return None;
    }
    Some(watering)
}

/// Water where the irrigation joins.
pub(super) fn supply(root: &Node<'_, '_>) -> Supply {
    let Some(node) = root.table("supply") else { return Supply::default() };
    let pressure = |key: &str| node.quantity(key, Measure::Pressure, 1e4, 2e6);
    let supply = Supply {
        bucket: node.quantity("bucket", Measure::Volume, 1e-4, 1.0),
        seconds: node.quantity("seconds", Measure::Number, 0.1, 86_400.0),
        at: node.place("at"),
        static_pressure: pressure("static_pressure"),
        flowing_pressure: pressure("flowing_pressure"),
        meter: node.quantity("meter", Measure::Length, 0.005, 0.2),
        service_diameter: node.quantity("service_diameter", Measure::Length, 0.005, 0.2),
        service_length: node.quantity("service_length", Measure::Length, 0.1, 1000.0),
        days: weekdays(&node),
    };
    if let (Some(standing), Some(flowing)) = (supply.static_pressure, supply.flowing_pressure)
        && flowing.value >= standing.value
    {
        node.fault("flowing_pressure", "the pressure does not fall when water flows")
            .expected("less than `static_pressure`, both read on one gauge")
            .remedy("read the gauge with everything shut, then again while the bucket fills")
            .note(node.reading);
    }
    node.finish();
    supply
}

/// Days on which watering is allowed; all without the key.
fn weekdays(node: &Node<'_, '_>) -> Option<[bool; 7]> {
    if !node.has("watering_days") {
        return None;
    }
    let mut days = [false; 7];
    for word in node.texts("watering_days") {
        match Weekday::of(&word) {
            Some(day) => days[day] = true,
            None => node
                .fault("watering_days", format!("`{word}` is no day of the week"))
                .expected("days such as `[\"Tuesday\", \"Saturday\"]`")
                .note(node.reading),
        }
    }
    days.contains(&true).then_some(days)
}

/// Monthly normals.
pub(super) fn climate(root: &Node<'_, '_>) -> Option<Climate> {
    let node = root.table("climate")?;
    let climate = Climate {
        high: node.twelve("high", Measure::Temperature, (200.0, 340.0)),
        low: node.twelve("low", Measure::Temperature, (200.0, 340.0)),
        rain: node.twelve("rain", Measure::Length, (0.0, 5.0)),
        reference: node.twelve("evapotranspiration", Measure::Length, (0.0, 1.0)),
        source: node.text("source").unwrap_or_default(),
    };
    node.finish();
    Some(climate)
}

impl Node<'_, '_> {
    /// Twelve quantities, January first.
    fn twelve(&self, key: &str, measure: Measure, range: (f64, f64)) -> Option<[f64; MONTHS]> {
        let item = self.raw(key)?;
        let Some(list) = item.as_array() else {
            self.fault(key, "this is not a list").expected("twelve values, January first").note(self.reading);
            return None;
        };
        let values: Vec<Option<f64>> =
            list.iter().map(|value| self.value_within(key, value, measure, range)).collect();
        let values: Vec<f64> = values.into_iter().collect::<Option<_>>()?;
        let count = values.len();
        let twelve = <[f64; MONTHS]>::try_from(values).ok();
        if twelve.is_none() {
            self.fault(key, format!("this list has {count} values"))
                .at(Item::span(item))
                .expected("twelve, January first")
                .note(self.reading);
        }
        twelve
    }
}

fn value(node: &Node<'_, '_>, key: &str, measure: Measure, low: f64, high: f64) -> Option<f64> {
    node.required_quantity(key, measure, low, high).map(|given| given.value)
}

fn usual(node: &Node<'_, '_>, key: &str, measure: Measure, (low, high): (f64, f64), usual: f64) -> f64 {
    node.quantity(key, measure, low, high).map_or(usual, |given| given.value)
}

/// Lowest and highest working pressure.
fn pressures(node: &Node<'_, '_>) -> Option<(f64, f64)> {
    let range = node.quantities("pressures", Measure::Pressure, 2e6);
    match range.as_slice() {
        [low, high] if low < high && *low > 0.0 => Some((*low, *high)),
        _ => {
            node.fault("pressures", "these are no two pressures in order")
                .expected("the lowest and the highest working pressure, such as `[\"20 psi\", \"50 psi\"]`")
                .note(node.reading);
            None
        }
    }
}

/// A head with its nozzle.
pub(super) fn head(node: &Node<'_, '_>) -> Option<HeadProduct> {
    let (flow, throw) =
        (value(node, "flow", Measure::Flow, 1e-7, 0.01), value(node, "throw", Measure::Length, 0.1, 40.0));
    let rated = value(node, "rated_pressure", Measure::Pressure, 1e4, 1e6);
    let range = pressures(node);
    let sweeps = match node.quantities("arcs", Measure::Angle, 7.0).as_slice() {
        [low, high] if low <= high && *low > 0.0 && *high <= std::f64::consts::TAU + 1e-6 => {
            (*low, high.min(std::f64::consts::TAU))
        }
        [] => (std::f64::consts::FRAC_PI_4, std::f64::consts::TAU),
        _ => {
            node.fault("arcs", "these are no two angles in order")
                .expected("the smallest and the largest, such as `[\"45 deg\", \"360 deg\"]`")
                .note(node.reading);
            return None;
        }
    };
    Some(HeadProduct {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        kind: node.required_choice::<HeadKind>("kind")?,
        rated_sweep: usual(node, "rated_arc", Measure::Angle, (0.1, 6.3), std::f64::consts::TAU)
            .min(std::f64::consts::TAU),
        matched: node.flag("matched", true),
        regulated: node.flag("regulated", false),
        shortest: usual(node, "shortest", Measure::Ratio, (0.1, 1.0), 0.75),
        profile: node.choice::<SprayProfile>("profile").unwrap_or(SprayProfile::Cone),
        source: node.text("source").unwrap_or_default(),
        sweeps,
        flow: flow?,
        throw: throw?,
        rated_pressure: rated?,
        range: range?,
    })
}

/// A drip line or an emitter.
pub(super) fn drip(node: &Node<'_, '_>) -> Option<DripProduct> {
    let kind = node.required_choice::<DripKind>("kind");
    let flow = value(node, "flow", Measure::Flow, 1e-9, 1e-3);
    let range = pressures(node);
    let line = kind == Some(DripKind::Line);
    let spacing = if line { value(node, "spacing", Measure::Length, 0.05, 2.0) } else { Some(0.0) };
    let inside = if line { value(node, "inside", Measure::Length, 0.004, 0.05) } else { Some(0.0) };
    Some(DripProduct {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        compensating: node.flag("compensating", true),
        rated_pressure: usual(node, "rated_pressure", Measure::Pressure, (1e4, 1e6), 2e5),
        variation: usual(node, "variation", Measure::Ratio, (0.0, 0.5), 0.05),
        roll: node.quantity("roll", Measure::Length, 1.0, 1000.0).map(|given| given.value),
        source: node.text("source").unwrap_or_default(),
        kind: kind?,
        flow: flow?,
        range: range?,
        spacing: spacing?,
        inside: inside?,
    })
}

/// A pipe.
pub(super) fn pipe(node: &Node<'_, '_>) -> Option<PipeProduct> {
    let (inside, price) = (
        value(node, "inside", Measure::Length, 0.004, 0.3),
        value(node, "price_per_foot", Measure::Number, 0.001, 1000.0),
    );
    Some(PipeProduct {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        size: node.required_text("size", "the nominal size, such as `3/4 in`"),
        coefficient: usual(node, "coefficient", Measure::Number, (60.0, 160.0), 150.0),
        under_pressure: node.flag("main", true),
        stick: node.quantity("stick", Measure::Length, 0.5, 500.0).map(|given| given.value),
        source: node.text("source").unwrap_or_default(),
        inside: inside?,
        price: price? / groundwright_units::constants::FOOT,
    })
}

/// A valve, preventer, meter or drip kit with its losses.
pub(super) fn part(node: &Node<'_, '_>) -> Option<WaterPart> {
    let kind = node.required_choice::<PartKind>("part");
    let size = value(node, "inside", Measure::Length, 0.004, 0.3);
    let flows = node.quantities("flows", Measure::Flow, 0.1);
    let losses = node.quantities("losses", Measure::Pressure, 2e6);
    let rising = |list: &[f64]| list.windows(2).all(|pair| pair[0] < pair[1]);
    if flows.len() != losses.len() || flows.len() < 2 || !rising(&flows) || !rising(&losses) {
        node.fault("losses", "flows and losses make no curve")
            .expected("as many losses as flows, two or more, both rising, such as `flows = [\"5 gpm\", \"10 gpm\"]`, `losses = [\"2 psi\", \"6 psi\"]`")
            .note(node.reading);
        return None;
    }
    Some(WaterPart {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        setting: node.quantity("setting", Measure::Pressure, 1e4, 1e6).map(|given| given.value),
        source: node.text("source").unwrap_or_default(),
        kind: kind?,
        inside: size?,
        curve: flows.into_iter().zip(losses).collect(),
    })
}

/// A controller on offer.
pub(super) fn controller(node: &Node<'_, '_>) -> ControllerProduct {
    ControllerProduct {
        id: id(node),
        name: node.required_text("name", "words for the takeoff"),
        stations: node.count("stations", 6, 1, 200),
        source: node.text("source").unwrap_or_default(),
    }
}
