//! The irrigation of a yard, from the meter to the leaf.
//!
//! - In: project, placed yard, hours of sun, the climate's year. Out: a [`WaterStudy`], from which the
//!   hand-offs are made.
//! - Areas are laid out (`layout.rs`), grouped into zones at the nearest valve box (`hydrozones.rs`), piped
//!   and solved (`pipes.rs`), looked at for evenness at the pressures that come of it, and given run times
//!   for every month (`season.rs`).
//! - One zone runs at a time. A bed's drip line enters the network as one outlet where it is fed; its rows
//!   are checked by their length.
//! - Not here: hours of sun and climate (the caller's), what plants are.

mod areas;
mod findings;
mod handoffs;
mod layout;
mod marks;
mod pipes;
mod season;
mod soil;
mod source;
mod tables;
mod takeoff;

use groundwright_geometry::Point;
use groundwright_plan::stock::{ControllerProduct, PartKind, PipeProduct, WaterPart};
use groundwright_plan::{ElementRef, Kind, Project, WateringMethod};
use groundwright_units::Reader;
use groundwright_yard::Yard;
use rayon::prelude::*;

pub use areas::{AreaRun, Drinker, SunHours};
pub use layout::{Layout, Outlet};
pub use marks::ALL as LAYERS;
pub use pipes::{Main, PipeProblem, Stretch, ZonePlan};
pub use season::{Schedule, Year};
pub use source::Source;

use crate::budget::Budget;
use crate::catch_grid::{CatchGrid, Head};
use crate::fluid::WATER;
use crate::hydrozones::{Common, Method, WateredArea, ZoneFlag, hydrozones};
use crate::uniformity::emission_uniformity;
use pipes::{Lay, Piped, Terrain};

/// Rounds in which heads are set again for the pressure that comes of the last.
const ROUNDS: usize = 2;
/// A pressure that differs by less than this share from the one for which heads were set is the same.
const SAME: f64 = 0.08;

/// How evenly an area is watered.
#[derive(Debug, Clone)]
pub struct Even {
    /// Water of its heads, at the pressures they have.
    pub grid: Option<CatchGrid>,
    /// Low-quarter distribution uniformity of heads.
    pub low_quarter: Option<f64>,
    /// Christiansen's coefficient.
    pub christiansen: Option<f64>,
    /// Share of what heads throw that misses the area.
    pub missed: f64,
    /// Emission uniformity of drip.
    pub emission: Option<f64>,
    /// Mean rate over the area. [m/s]
    pub rate: f64,
}

/// A valve box.
#[derive(Debug, Clone, PartialEq)]
pub struct BoxRun {
    /// The instruction; none where valves stand at the preventer.
    pub element: Option<ElementRef>,
    /// Its name.
    pub label: String,
    /// Where. [m]
    pub at: Point,
}

/// A zone: what one valve waters.
pub struct ZoneRun<'p> {
    /// From 1.
    pub number: usize,
    /// Index of its box.
    pub valve_box: usize,
    /// What its areas have in common.
    pub common: Common,
    /// Indices of its areas, each once.
    pub areas: Vec<usize>,
    /// Its outlets.
    pub outlets: Vec<Outlet>,
    /// Its valve.
    pub kit: &'p WaterPart,
    /// Flow as set. [m³/s]
    pub flow: f64,
    /// Its pipes, solved.
    pub piped: Result<ZonePlan, PipeProblem>,
    /// Its year.
    pub schedule: Option<Schedule>,
}

/// The irrigation of a yard.
pub struct WaterStudy<'p> {
    /// The project.
    pub project: &'p Project,
    /// The yard.
    pub yard: &'p Yard,
    /// Units for words.
    pub reader: Reader,
    /// What is watered.
    pub areas: Vec<AreaRun<'p>>,
    /// How evenly, by area.
    pub evens: Vec<Option<Even>>,
    /// Where the water comes from, or what is missing.
    pub source: Result<Source, String>,
    /// The preventer, and where it stands. [m]
    pub preventer: Option<(&'p WaterPart, Point)>,
    /// Valve boxes.
    pub boxes: Vec<BoxRun>,
    /// Pipe on offer, by inside diameter.
    pub pipes: Vec<&'p PipeProduct>,
    /// The main; none without a supply.
    pub main: Result<Main, String>,
    /// Zones, by box.
    pub zones: Vec<ZoneRun<'p>>,
    /// What grouping says.
    pub flags: Vec<ZoneFlag>,
    /// The controller.
    pub controller: Option<&'p ControllerProduct>,
    /// The climate.
    pub year: Year,
    /// Water of a year.
    pub budget: Option<Budget>,
}

/// Studies the irrigation.
pub fn study<'p>(project: &'p Project, yard: &'p Yard, hours: &SunHours<'_>, year: Year) -> WaterStudy<'p> {
    let mut areas = areas::gather(project, yard, hours);
    let source = source::source(project, yard);
    let preventer = preventer(project, yard, &source);
    let boxes = boxes(project, yard, preventer.map(|p| p.1));
    let mut pipes: Vec<&PipeProduct> = project.stock.pipes.values().collect();
    pipes.sort_by(|a, b| a.inside.total_cmp(&b.inside).then_with(|| a.id.cmp(&b.id)));
    let mut pressure = source.as_ref().map_or(project.practice.water_static, |source| source.pressure) * 0.75;
    let (mut main, mut zones, mut flags) = (Err(String::new()), Vec::new(), Vec::new());
    let reaches = layout::reaches(project);
    for _ in 0..ROUNDS {
        let laid: Vec<Layout<'p>> =
            areas.par_iter().map(|run| layout::lay(project, yard, run, pressure, &reaches)).collect();
        areas.iter_mut().zip(laid).for_each(|(run, layout)| run.layout = layout);
        let Ok(source) = &source else { break };
        let lay = Lay { project, yard, source, preventer: preventer.map(|p| p.0), pipes: pipes.clone() };
        (zones, flags) = grouped(project, &areas, &boxes, source.usable.flow, pressure);
        let stands = preventer.map_or(source.at, |p| p.1);
        main = piped(&lay, &mut zones, &boxes, stands, yard);
        // Heads that do not regulate themselves are set again for the pressure they really have.
        let Some(real) = unregulated(&areas, &zones) else { break };
        if (real - pressure).abs() <= SAME * pressure {
            break;
        }
        pressure = real;
    }
    let evens: Vec<Option<Even>> =
        (0..areas.len()).into_par_iter().map(|i| evenness(yard, i, &areas[i], &zones)).collect();
    let schedules: Vec<Option<Schedule>> =
        zones.iter().map(|zone| season::schedule(project, zone, &areas, &evens, &year)).collect();
    zones.iter_mut().zip(schedules).for_each(|(zone, schedule)| zone.schedule = schedule);
    season::stagger_all(project, &mut zones);
    let budget = season::yearly(&areas, &year);
    let controller = controller(project, zones.len());
    WaterStudy {
        project,
        yard,
        reader: Reader::new(project.property.system),
        areas,
        evens,
        source,
        preventer,
        boxes,
        pipes,
        main,
        zones,
        flags,
        controller,
        year,
        budget,
    }
}

/// The preventer and its place: at the supply where the design has none.
fn preventer<'p>(
    project: &'p Project,
    yard: &Yard,
    source: &Result<Source, String>,
) -> Option<(&'p WaterPart, Point)> {
    let source = source.as_ref().ok()?;
    let told = project.design.irrigation.preventers.first();
    let named = told.and_then(|told| project.stock.water_parts.get(&told.product));
    let part = named.or_else(|| pipes::smallest(project, PartKind::Preventer, source.usable.flow))?;
    let spot = told.and_then(|told| yard.plot.preventers.iter().find(|spot| spot.element.id == told.id));
    Some((part, spot.map_or(source.at, |spot| spot.at)))
}

/// Valve boxes of the design; the preventer's place where there are none.
fn boxes(project: &Project, yard: &Yard, preventer: Option<Point>) -> Vec<BoxRun> {
    let told = &project.design.irrigation.valve_boxes;
    let placed: Vec<BoxRun> = told
        .iter()
        .filter_map(|valves| {
            let element = ElementRef::new(Kind::ValveBox, &valves.id);
            let at = yard.plot.valve_boxes.iter().find(|spot| spot.element == element)?.at;
            Some(BoxRun { element: Some(element), label: valves.label.clone(), at })
        })
        .collect();
    if placed.is_empty() {
        let at = preventer.or(yard.plot.water).unwrap_or(Point::ZERO);
        return vec![BoxRun { element: None, label: "valves at the preventer".to_owned(), at }];
    }
    placed
}

fn controller(project: &Project, zones: usize) -> Option<&ControllerProduct> {
    let offered = &project.stock.controllers;
    let told = project.design.irrigation.controllers.first();
    let named = told.and_then(|told| offered.get(&told.product));
    let enough = || offered.values().filter(|p| p.stations >= zones).min_by_key(|p| p.stations);
    named.or_else(enough).or_else(|| offered.values().max_by_key(|p| p.stations))
}

/// Zones by valve box, numbered through; pipes come later.
fn grouped<'p>(
    project: &'p Project,
    areas: &[AreaRun<'p>],
    boxes: &[BoxRun],
    available: f64,
    pressure: f64,
) -> (Vec<ZoneRun<'p>>, Vec<ZoneFlag>) {
    let (mut zones, mut flags) = (Vec::new(), Vec::new());
    let nearest = |run: &AreaRun<'_>| {
        let at = run.middle()?;
        let far = |b: &usize| boxes[*b].at.distance(at);
        (0..boxes.len()).min_by(|a, b| far(a).total_cmp(&far(b)))
    };
    let homes: Vec<Option<usize>> = areas.iter().map(nearest).collect();
    for (b, valves) in boxes.iter().enumerate() {
        let mut parts: Vec<(WateredArea, Vec<Outlet>)> = Vec::new();
        for (i, run) in areas.iter().enumerate().filter(|(i, _)| homes[*i] == Some(b)) {
            let outlets = layout::outlets(&run.layout, i, valves.at, pressure);
            parts.extend(divided(outlets, available).into_iter().map(|part| (watered(run, &part), part)));
        }
        let watered: Vec<WateredArea> = parts.iter().map(|part| part.0.clone()).collect();
        let Ok(found) = hydrozones(&watered, available) else { continue };
        flags.extend(found.flags);
        for zone in found.zones {
            let outlets: Vec<Outlet> = zone.areas.iter().flat_map(|i| parts[*i].1.clone()).collect();
            let mut own: Vec<usize> = outlets.iter().map(|outlet| outlet.of.0).collect();
            own.sort_unstable();
            own.dedup();
            let drips = zone.common.method == Method::Drip;
            let Some(kit) = pipes::valve(project, drips, zone.flow) else { continue };
            zones.push(ZoneRun {
                number: zones.len() + 1,
                valve_box: b,
                common: zone.common,
                areas: own,
                outlets,
                kit,
                flow: zone.flow,
                piped: Err(PipeProblem::Solve("not piped".to_owned())),
                schedule: None,
            });
        }
    }
    // The same area may be told twice, once for each of its parts.
    let mut told: Vec<ZoneFlag> = Vec::new();
    flags.retain(|flag| {
        !told.contains(flag) && {
            told.push(flag.clone());
            true
        }
    });
    (zones, flags)
}

/// Outlets of an area in parts that the supply can run at once, each part side by side.
fn divided(mut outlets: Vec<Outlet>, available: f64) -> Vec<Vec<Outlet>> {
    let flow: f64 = outlets.iter().map(|outlet| outlet.flow).sum();
    if flow <= available || outlets.len() < 2 {
        return if outlets.is_empty() { Vec::new() } else { vec![outlets] };
    }
    let wide = |of: fn(&Point) -> f64| {
        let ends = outlets.iter().map(|o| of(&o.at));
        let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |e, v| (e.0.min(v), e.1.max(v)));
        high - low
    };
    let along_x = wide(|at| at.x) >= wide(|at| at.y);
    let key = |outlet: &Outlet| if along_x { outlet.at.x } else { outlet.at.y };
    outlets.sort_by(|a, b| key(a).total_cmp(&key(b)).then(a.of.cmp(&b.of)));
    let share = flow / (flow / available).ceil();
    let mut parts: Vec<Vec<Outlet>> = vec![Vec::new()];
    let mut taken = 0.0;
    for outlet in outlets {
        let flow = outlet.flow;
        let full = taken + flow > available || taken >= share * (1.0 - 1e-9);
        if full && parts.last().is_some_and(|part| !part.is_empty()) {
            parts.push(Vec::new());
            taken = 0.0;
        }
        taken += flow;
        if let Some(part) = parts.last_mut() {
            part.push(outlet);
        }
    }
    parts
}

fn watered(run: &AreaRun<'_>, outlets: &[Outlet]) -> WateredArea {
    WateredArea {
        name: run.label.clone(),
        plant_factors: run.factors(),
        exposure: run.exposure,
        // What drips or bubbles does not run down a slope.
        slope: if run.is_sprayed() { run.slope } else { 0.0 },
        soil: String::new(),
        method: match run.method {
            WateringMethod::Spray => Method::Spray,
            WateringMethod::Rotor => Method::Rotor,
            WateringMethod::DripLine | WateringMethod::PointDrip => Method::Drip,
            WateringMethod::Bubbler => Method::Bubbler,
        },
        area: run.area(),
        flow: outlets.iter().map(|outlet| outlet.flow).sum(),
    }
}

/// Routes, sizes and solves everything.
fn piped(
    lay: &Lay<'_>,
    zones: &mut [ZoneRun<'_>],
    boxes: &[BoxRun],
    stands: Point,
    yard: &Yard,
) -> Result<Main, String> {
    let mut places: Vec<Point> = boxes.iter().map(|valves| valves.at).collect();
    places.extend([lay.source.at, stands]);
    places.extend(zones.iter().flat_map(|zone| zone.outlets.iter().map(|outlet| outlet.at)));
    let terrain = Terrain::new(lay.project, yard, &places).ok_or("there is nothing to pipe")?;
    let used: Vec<Point> = boxes.iter().map(|valves| valves.at).collect();
    if lay.pipes.is_empty() {
        return Err("the stock has no pipe".to_owned());
    }
    let mut main = lay.main(&terrain, stands, &used)?;
    let briefs: Vec<Piped<'_>> = zones
        .iter()
        .map(|zone| Piped {
            outlets: &zone.outlets,
            valve_box: zone.valve_box,
            kit: zone.kit,
            flow: zone.flow,
        })
        .collect();
    lay.size_main(&mut main, &briefs);
    let trees: Vec<_> = briefs.par_iter().map(|brief| terrain.laterals(&main, brief)).collect();
    let mut solved: Vec<Result<ZonePlan, PipeProblem>>;
    loop {
        let zoned = briefs.par_iter().zip(&trees);
        solved = zoned.map(|(brief, tree)| lay.zone(&terrain, &main, brief, tree)).collect();
        let short = solved.iter().any(|zone| matches!(zone, Err(PipeProblem::Pressure { .. })));
        if !short || !lay.enlarge(&mut main) {
            break;
        }
    }
    drop(briefs);
    zones.iter_mut().zip(solved).for_each(|(zone, piped)| zone.piped = piped);
    Ok(main)
}

/// Mean pressure of heads that do not regulate themselves; none where there are none.
fn unregulated(areas: &[AreaRun<'_>], zones: &[ZoneRun<'_>]) -> Option<f64> {
    let pressures: Vec<f64> = zones
        .iter()
        .filter_map(|zone| Some((zone, zone.plan()?)))
        .flat_map(|(zone, plan)| zone.outlets.iter().zip(&plan.pressures))
        .filter(|(outlet, _)| {
            matches!(&areas[outlet.of.0].layout, Layout::Heads { product, .. } if !product.regulated)
        })
        .map(|(_, pressure)| *pressure)
        .collect();
    let mean = pressures.iter().sum::<f64>() / pressures.len().max(1) as f64;
    (mean > 0.0).then_some(mean)
}

/// How evenly an area is watered at the pressures that its outlets have.
fn evenness(yard: &Yard, i: usize, run: &AreaRun<'_>, zones: &[ZoneRun<'_>]) -> Option<Even> {
    let mut states: Vec<(usize, f64, f64)> = zones
        .iter()
        .filter_map(|zone| Some((zone, zone.plan()?)))
        .flat_map(|(zone, plan)| {
            let own = zone.outlets.iter().enumerate().filter(|(_, outlet)| outlet.of.0 == i);
            own.map(|(k, outlet)| (outlet.of.1, plan.pressures[k], plan.flows[k]))
        })
        .collect();
    states.sort_by_key(|state| state.0);
    let flow: f64 = states.iter().map(|state| state.2).sum();
    let rate = flow / run.area();
    let plain = |emission: Option<f64>| {
        Some(Even { grid: None, low_quarter: None, christiansen: None, missed: 0.0, emission, rate })
    };
    match &run.layout {
        Layout::Heads { product, nozzle, heads, .. } => {
            let real: Vec<Head> = states
                .iter()
                .filter_map(|(k, pressure, flow)| {
                    let head = heads.get(*k)?;
                    let held =
                        if product.regulated { pressure.min(product.rated_pressure) } else { *pressure };
                    // Below its rated pressure a regulated head falls short like any other.
                    let power = if product.regulated { 0.4 } else { nozzle.throw_exponent };
                    let throw = head.throw * (held / product.rated_pressure).max(0.05).powf(power);
                    Some(Head { throw: throw.min(head.throw * 1.2), flow: flow.max(1e-9), ..head.clone() })
                })
                .collect();
            let grid = layout::catch(&run.region, &real, &layout::obstacles(yard, &run.region))?;
            let found = grid.uniformity().ok()?;
            Some(Even {
                low_quarter: Some(found.low_quarter),
                christiansen: Some(found.christiansen),
                missed: grid.missed(),
                emission: None,
                rate: found.mean,
                grid: Some(grid),
            })
        }
        Layout::Lines { product, rows, .. } => {
            let longest = rows.rings.iter().map(|ring| round(ring) / 2.0);
            let straight = rows.blocks.iter().flat_map(|b| b.rows.iter().map(|r| r[0].distance(r[1])));
            let length = longest.chain(straight).fold(0.0, f64::max);
            let count = ((length / product.spacing).floor() as usize).max(1);
            let inlet = states.first().map_or(product.rated_pressure, |state| state.1);
            let line = layout::drip_line(product)?;
            let emission = line
                .at_work(count, inlet, &WATER)
                .ok()
                .and_then(|state| emission_uniformity(&state.flows, product.variation, 1).ok());
            plain(emission)
        }
        Layout::Points { product, .. } => {
            let flows: Vec<f64> = states.iter().map(|state| state.2.max(1e-12)).collect();
            let single = vec![1.0; flows.len().max(1)];
            let shares = if product.compensating { single } else { flows };
            plain(emission_uniformity(&shares, product.variation, 1).ok())
        }
        Layout::Bubblers { .. } => plain(Some(0.9)),
        Layout::Existing | Layout::Nothing(_) => None,
    }
}

/// Length of a closed ring. [m]
fn round(ring: &[Point]) -> f64 {
    let next = ring.iter().skip(1).chain(ring.first());
    ring.iter().zip(next).map(|(a, b)| a.distance(*b)).sum()
}

impl ZoneRun<'_> {
    /// Its pipes as solved, whether they are enough or not.
    pub fn plan(&self) -> Option<&ZonePlan> {
        match &self.piped {
            Ok(plan) => Some(plan),
            Err(PipeProblem::Pressure { plan, .. } | PipeProblem::Sizes { plan, .. }) => Some(plan),
            Err(_) => None,
        }
    }

    /// The tag on drawings and tables.
    pub fn tag(&self) -> String {
        format!("Z{}", self.number)
    }

    /// Ground of each of its areas that its outlets water: where an area hangs on several zones, the
    /// share of its flow. [m²]
    pub fn outlet_shares(&self, areas: &[AreaRun<'_>]) -> Vec<f64> {
        self.areas
            .iter()
            .map(|i| {
                let mine: f64 = self.outlets.iter().filter(|o| o.of.0 == *i).map(|o| o.flow).sum();
                let whole: f64 = layout::flow(&areas[*i].layout);
                areas[*i].area() * (mine / whole.max(1e-12)).min(1.0)
            })
            .collect()
    }

    /// Index of the outlet with least pressure to spare over what it needs, and that pressure. [Pa]
    pub fn worst(&self) -> Option<(usize, f64)> {
        let plan = self.plan()?;
        let spare = |k: &usize| plan.pressures[*k] - self.outlets[*k].needed;
        let worst = (0..self.outlets.len()).min_by(|a, b| spare(a).total_cmp(&spare(b)))?;
        Some((worst, plan.pressures[worst]))
    }

    /// (p_max − p_min) / p_max over its outlets.
    pub fn variation(&self) -> Option<f64> {
        let pressures = &self.plan()?.pressures;
        let high = pressures.iter().copied().fold(0.0, f64::max);
        let low = pressures.iter().copied().fold(f64::INFINITY, f64::min);
        (high > 0.0).then(|| (high - low) / high)
    }
}

impl AreaRun<'_> {
    /// Whether it is watered from above.
    pub fn is_sprayed(&self) -> bool {
        matches!(self.method, WateringMethod::Spray | WateringMethod::Rotor)
    }
}
