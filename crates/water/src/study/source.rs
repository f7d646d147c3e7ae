//! The supply of a project: what was read at the gauge and the bucket, and what stands in for the rest.

use groundwright_geometry::Point;
use groundwright_plan::Project;
use groundwright_plan::stock::{PartKind, WaterPart};
use groundwright_yard::Yard;

use crate::fluid::WATER;
use crate::network::{Friction, Part, Supply};
use crate::supply::{FlowTest, Meter, ServiceLine, SupplyFacts, UsableFlow, supply_of_test, usable_flow};

/// Hazen and Williams' C of a service line. From memory; copper and polyethylene.
const SERVICE_C: f64 = 140.0;

/// Where the water comes from.
#[derive(Debug, Clone)]
pub struct Source {
    /// Where the irrigation joins. [m]
    pub at: Point,
    /// Its head.
    pub supply: Supply,
    /// Pressure with nothing flowing. [Pa]
    pub pressure: f64,
    /// Meter and service line, where no flow test includes them.
    pub parts: Vec<(&'static str, Part)>,
    /// Flow that may be used, and what limits it.
    pub usable: UsableFlow,
    /// What nobody read, in words.
    pub assumed: Vec<&'static str>,
}

/// The supply.
///
/// # Errors
/// Words for what is missing or cannot be.
pub(super) fn source(project: &Project, yard: &Yard) -> Result<Source, String> {
    let (told, practice) = (&project.property.supply, &project.practice);
    let at = yard.plot.water.ok_or("nobody says where the irrigation joins: give `at` in [supply]")?;
    let mut assumed = Vec::new();
    let pressure = told.static_pressure.map_or_else(
        || {
            assumed.push("pressure");
            practice.water_static
        },
        |given| given.value,
    );
    let bucket = told.flow();
    let test = bucket.zip(told.flowing_pressure).map(|(flow, left)| FlowTest { flow, pressure: left.value });
    if bucket.is_none() {
        assumed.push("flow");
    }
    let meter = told.meter.and_then(|size| meter(project, size.value));
    let service = told.service_diameter.zip(told.service_length).map(|(inside, length)| ServiceLine {
        diameter: inside.value,
        length: length.value,
        coefficient: SERVICE_C,
        velocity: practice.water_velocity,
    });
    let mut parts = Vec::new();
    if test.is_none() {
        parts.extend(meter.map(|part| ("meter", device(part, false))));
        parts.extend(service.as_ref().map(|line| ("service line", pipe(line))));
    }
    let facts = SupplyFacts {
        static_pressure: pressure,
        residual: practice.water_residual,
        meter: meter.map(|part| Meter {
            safe_flow: part.curve.last().map_or(0.0, |last| last.0),
            curve: heads(part),
        }),
        service,
        test,
        source: if test.is_none() { Some(bucket.unwrap_or(practice.water_flow)) } else { None },
    };
    let usable = usable_flow(&facts, &WATER).map_err(|problem| problem.to_string())?;
    let supply = supply_of_test(pressure, yard.ground.existing(at), test, &WATER)
        .map_err(|problem| problem.to_string())?;
    Ok(Source { at, supply, pressure, parts, usable, assumed })
}

/// The meter of the stock nearest in size.
fn meter(project: &Project, size: f64) -> Option<&WaterPart> {
    let meters = project.stock.water_parts.values().filter(|part| part.kind == PartKind::Meter);
    meters.min_by(|a, b| (a.inside - size).abs().total_cmp(&(b.inside - size).abs()))
}

/// Flows with the heads that they lose. [m³/s, m]
pub(super) fn heads(part: &WaterPart) -> Vec<(f64, f64)> {
    part.curve.iter().map(|(flow, loss)| (*flow, WATER.head(*loss))).collect()
}

/// A part of the stock as a link.
pub(super) fn device(part: &WaterPart, one_way: bool) -> Part {
    Part::Device { curve: heads(part), one_way }
}

fn pipe(line: &ServiceLine) -> Part {
    Part::Pipe {
        length: line.length,
        diameter: line.diameter,
        friction: Friction::HazenWilliams(line.coefficient),
        minor: 0.0,
    }
}
