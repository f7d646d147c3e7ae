//! Heads, lines and emitters of an area.
//!
//! - Heads: of the nozzles that the method allows, the one that waters most evenly and misses least; set
//!   and searched by `heads.rs`, or where the watering says.
//! - Drip: rings along the edge of the bed, straight rows where no ring has room; plants that were moved or
//!   do poorly get two emitters of their own.
//! - Single plants: as many emitters as half their crown takes in this soil; a bubbler each, two for trees.

use std::collections::BTreeMap;

use groundwright_geometry::{Point, Region};
use groundwright_plan::stock::{DripKind, DripProduct, HeadKind, HeadProduct, SprayProfile};
use groundwright_plan::{Project, WateringMethod};
use groundwright_yard::Yard;

use super::areas::AreaRun;
use super::soil::Soil;
use crate::arc::{Ground, fit};
use crate::catch_grid::{CatchGrid, Head, Wind, catch_grid};
use crate::drip_line::DripLine;
use crate::drip_rows::{DripRows, RowRules, emitters_to_plant, ring_rows, straight_rows};
use crate::fluid::WATER;
use crate::heads::{HeadRules, place_heads};
use crate::network::Emitter;
use crate::nozzle::{Jet, Nozzle, Profile};

/// Emitters of its own for a plant that was moved or does poorly. Common practice, no source.
const OWN: usize = 2;
/// Share of a crown that shall be wet. Common practice, no source.
const WETTED: f64 = 0.5;
/// Power of the pressure with which the throw of an unregulated nozzle grows: from memory.
const THROW_POWER: f64 = 0.4;
/// Hazen and Williams' C of drip line. From memory.
const LINE_C: f64 = 140.0;
/// What barbs add to its friction. From memory.
const BARBS: f64 = 1.15;
/// Weight of a share missed against a share of evenness, when a nozzle is chosen.
const MISS: f64 = 1.0;
/// Weight of a head, when a nozzle is chosen: one more must lift the evenness by so much.
const HEAD: f64 = 0.004;

/// What is laid in an area.
#[derive(Debug, Clone)]
pub enum Layout<'p> {
    /// Heads.
    Heads {
        /// Which.
        product: &'p HeadProduct,
        /// Their nozzle.
        nozzle: Nozzle,
        /// The heads, at the pressure for which they were set.
        heads: Vec<Head>,
        /// Places where one should stand and no sector fits. [m]
        without: Vec<Point>,
    },
    /// Drip line.
    Lines {
        /// Which.
        product: &'p DripProduct,
        /// Its rows.
        rows: DripRows,
        /// Longest line that its pressure allows. [m]
        longest: f64,
        /// Plants with emitters of their own, and how many in all.
        own: (Vec<Point>, usize),
        /// Those emitters.
        emitter: Option<&'p DripProduct>,
    },
    /// Emitters at single plants, with their count.
    Points {
        /// Which.
        product: &'p DripProduct,
        /// Plants. [m]
        places: Vec<(Point, usize)>,
    },
    /// Bubblers at single plants, with their count.
    Bubblers {
        /// Which.
        product: &'p HeadProduct,
        /// Plants. [m]
        places: Vec<(Point, usize)>,
    },
    /// What is there goes on watering it.
    Existing,
    /// Nothing fits, in words.
    Nothing(String),
}

/// A place where water leaves the network.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlet {
    /// Where. [m]
    pub at: Point,
    /// How it gives.
    pub emitter: Emitter,
    /// Flow at the pressure for which it was set. [m³/s]
    pub flow: f64,
    /// Least pressure at which it works. [Pa]
    pub needed: f64,
    /// Its area, and its place among the outlets of it.
    pub of: (usize, usize),
}

/// Longest line of each drip product, by its id. [m]
pub(super) type Reaches<'p> = BTreeMap<&'p str, f64>;

/// Longest lines of the stock: found once, because the march along a line takes as long as a bed.
pub(super) fn reaches(project: &Project) -> Reaches<'_> {
    drips(project, DripKind::Line).map(|product| (product.id.as_str(), longest(product))).collect()
}

/// Lays out an area.
///
/// # Arguments
/// - `pressure`: for heads that do not regulate themselves. [Pa] `reaches`: of [`reaches`].
pub(super) fn lay<'p>(
    project: &'p Project,
    yard: &Yard,
    run: &AreaRun<'p>,
    pressure: f64,
    reaches: &Reaches<'_>,
) -> Layout<'p> {
    if !run.watering.existing.is_empty() {
        return Layout::Existing;
    }
    let soil = Soil::of(project.property.place.soil.value);
    match run.method {
        WateringMethod::Spray => heads(project, yard, run, HeadKind::Spray, pressure),
        WateringMethod::Rotor => heads(project, yard, run, HeadKind::Rotor, pressure),
        WateringMethod::DripLine => lines(project, run, reaches),
        WateringMethod::PointDrip => points(project, run, soil),
        WateringMethod::Bubbler => bubblers(project, run),
    }
}

/// The nozzle of a product.
pub(super) fn nozzle(product: &HeadProduct) -> Option<Nozzle> {
    let profile = match product.profile {
        SprayProfile::Cone => Profile::cone(),
        SprayProfile::Even => Profile::even(),
    };
    Some(Nozzle {
        rated_pressure: product.rated_pressure,
        flow: product.flow,
        rated_sweep: product.rated_sweep,
        matched: product.matched,
        throw: product.throw,
        throw_exponent: if product.regulated { 0.0 } else { THROW_POWER },
        range: product.range,
        sweeps: product.sweeps,
        shortest: product.shortest,
        profile,
    })
    .filter(|nozzle| nozzle.flow > 0.0)
}

/// Ground on which no water may fall: paving and houses near an area.
fn dry(yard: &Yard, near: &Region) -> Vec<Region> {
    let Some(bounds) = near.bounds() else { return Vec::new() };
    let reach = bounds.inflate(15.0, 15.0);
    let touches = |region: &&Region| region.bounds().is_some_and(|b| b.overlaps(reach));
    let houses = yard.plot.buildings.iter().map(|building| &building.whole);
    yard.plot.paved().map(|area| &area.whole).chain(houses).filter(touches).cloned().collect()
}

/// What stops a stream near an area.
pub(super) fn obstacles(yard: &Yard, near: &Region) -> Vec<Region> {
    let Some(bounds) = near.bounds() else { return Vec::new() };
    let reach = bounds.inflate(15.0, 15.0);
    let houses = yard.plot.buildings.iter().map(|building| &building.whole);
    houses.filter(|region| region.bounds().is_some_and(|b| b.overlaps(reach))).cloned().collect()
}

fn heads<'p>(
    project: &'p Project,
    yard: &Yard,
    run: &AreaRun<'p>,
    kind: HeadKind,
    pressure: f64,
) -> Layout<'p> {
    if run.region.is_empty() {
        return Layout::Nothing("heads water ground, not single plants; take point drip".to_owned());
    }
    let (dry, stops) = (dry(yard, &run.region), obstacles(yard, &run.region));
    let named = project.stock.heads.get(&run.watering.product);
    let candidates: Vec<&HeadProduct> = match named {
        Some(product) => vec![product],
        None => project.stock.heads.values().filter(|product| product.kind == kind).collect(),
    };
    let told: Vec<Point> = yard
        .plot
        .heads
        .iter()
        .filter(|spot| spot.element.id == run.watering.id && run.region.signed_distance(spot.at) > -1.0)
        .map(|spot| spot.at)
        .collect();
    let mut best: Option<(f64, Layout<'p>)> = None;
    let mut why = "the stock has no such head".to_owned();
    for product in candidates {
        let Some(nozzle) = nozzle(product) else { continue };
        let pressure = if product.regulated { product.rated_pressure } else { pressure.min(product.range.1) };
        let found = if told.is_empty() {
            place_heads(&run.region, &nozzle, pressure, &dry, &stops, HeadRules::default())
                .map(|layout| (layout.after.low_quarter, layout.missed, layout.heads, layout.without))
                .map_err(|problem| problem.to_string())
        } else {
            stated(&run.region, &nozzle, pressure, (&dry, &stops), &told)
        };
        match found {
            Ok((even, missed, heads, without)) => {
                let score = even - MISS * missed - HEAD * heads.len() as f64;
                if best.as_ref().is_none_or(|(known, _)| score > *known) {
                    best = Some((score, Layout::Heads { product, nozzle, heads, without }));
                }
            }
            Err(problem) => why = problem,
        }
    }
    best.map_or(Layout::Nothing(why), |(_, layout)| layout)
}

type Stated = (f64, f64, Vec<Head>, Vec<Point>);

/// Heads where the watering says, each with the sector that fits.
fn stated(
    region: &Region,
    nozzle: &Nozzle,
    pressure: f64,
    (dry, stops): (&[Region], &[Region]),
    told: &[Point],
) -> Result<Stated, String> {
    let rated = nozzle.jet(pressure, nozzle.rated_sweep).map_err(|problem| problem.to_string())?;
    let whole = if nozzle.matched { std::f64::consts::TAU / nozzle.rated_sweep } else { 1.0 };
    let full = Jet { flow: rated.flow * whole, ..rated };
    let ground = Ground::new(region, dry);
    let (mut heads, mut without) = (Vec::new(), Vec::new());
    for at in told {
        match fit(&ground, nozzle, full, *at) {
            Some(head) => heads.push(head),
            None => without.push(*at),
        }
    }
    let grid = catch(region, &heads, stops).ok_or("no sector of the stated heads waters the area")?;
    let even = grid.uniformity().map_or(0.0, |found| found.low_quarter);
    Ok((even, grid.missed(), heads, without))
}

/// Water of heads over an area, on cells fine enough for their throw.
pub(super) fn catch(region: &Region, heads: &[Head], stops: &[Region]) -> Option<CatchGrid> {
    let throw = heads.iter().map(|head| head.throw).fold(f64::INFINITY, f64::min);
    let cell = (throw / 12.0).max((region.area() / 40_000.0).sqrt());
    catch_grid(heads, region, cell, stops, Wind::STILL).ok()
}

fn drips(project: &Project, kind: DripKind) -> impl Iterator<Item = &DripProduct> {
    project.stock.drips.values().filter(move |product| product.kind == kind)
}

/// The line that is named, or the one whose emitters stand nearest to half of what one wets.
fn line<'p>(project: &'p Project, run: &AreaRun<'p>) -> Option<&'p DripProduct> {
    let named = project.stock.drips.get(&run.watering.product).filter(|p| p.kind == DripKind::Line);
    let wanted = Soil::of(project.property.place.soil.value).bulb / 2.0;
    let off = |product: &&DripProduct| (product.spacing - wanted).abs();
    named.or_else(|| drips(project, DripKind::Line).min_by(|a, b| off(a).total_cmp(&off(b))))
}

fn lines<'p>(project: &'p Project, run: &AreaRun<'p>, reaches: &Reaches<'_>) -> Layout<'p> {
    let Some(product) = line(project, run) else {
        return Layout::Nothing("the stock has no drip line".to_owned());
    };
    if run.region.is_empty() {
        return Layout::Nothing("drip line waters ground, not single plants; take point drip".to_owned());
    }
    let emitter = drips(project, DripKind::Emitter).next();
    let longest = reaches.get(product.id.as_str()).copied().unwrap_or(0.0);
    let spacing = project.practice.water_drip_rows;
    // A ring is fed from both sides.
    let rules =
        |inset: f64| RowRules { spacing, inset, emitter_spacing: product.spacing, longest: 2.0 * longest };
    let laid = ring_rows(&run.region, rules(0.5 * spacing))
        .or_else(|_| ring_rows(&run.region, rules(0.2 * spacing)))
        .or_else(|_| straight_rows(&run.region, rules(0.2 * spacing), None));
    match laid {
        Ok(rows) if rows.emitters > 0 => {
            let weak: Vec<Point> = run.plants.iter().filter(|p| p.weak).map(|p| p.at).collect();
            let count = if emitter.is_some() { OWN * weak.len() } else { 0 };
            Layout::Lines { product, rows, longest, own: (weak, count), emitter }
        }
        Ok(_) => Layout::Nothing("it is too narrow for a row of drip line; take point drip".to_owned()),
        Err(problem) => Layout::Nothing(problem.to_string()),
    }
}

/// The line of a product on the level.
pub(super) fn drip_line(product: &DripProduct) -> Option<DripLine> {
    Some(DripLine {
        emitter: outlet(product, 1)?,
        spacing: product.spacing,
        diameter: product.inside,
        coefficient: LINE_C,
        barbs: BARBS,
        slope: 0.0,
    })
}

/// Longest line that keeps its emitters at work. [m] 0 where none does.
fn longest(product: &DripProduct) -> f64 {
    let variation = if product.compensating { 1.0 } else { 0.1 };
    drip_line(product)
        .and_then(|line| line.longest(product.rated_pressure, product.range.0, variation, &WATER).ok())
        .map_or(0.0, |state| state.length)
}

/// Some emitters as one outlet.
fn outlet(product: &DripProduct, count: usize) -> Option<Emitter> {
    let flow = product.flow * count as f64;
    if product.compensating {
        let emitter = Emitter::rated(flow, product.range.0, 0.5).ok()?;
        Some(Emitter { regulated_above: Some(product.range.0), range: Some(product.range), ..emitter })
    } else {
        let emitter = Emitter::rated(flow, product.rated_pressure, 0.5).ok()?;
        Some(Emitter { range: Some(product.range), ..emitter })
    }
}

fn points<'p>(project: &'p Project, run: &AreaRun<'p>, soil: Soil) -> Layout<'p> {
    let named = project.stock.drips.get(&run.watering.product).filter(|p| p.kind == DripKind::Emitter);
    let Some(product) = named.or_else(|| drips(project, DripKind::Emitter).next()) else {
        return Layout::Nothing("the stock has no emitter".to_owned());
    };
    let places: Vec<(Point, usize)> = run
        .plants
        .iter()
        .filter_map(|plant| {
            let crown = std::f64::consts::PI / 4.0 * plant.spread * plant.spread;
            let count = emitters_to_plant(crown, WETTED, soil.bulb).ok()?;
            Some((plant.at, if plant.weak { count.max(OWN) } else { count }))
        })
        .collect();
    if places.is_empty() {
        return Layout::Nothing("no plant stands there".to_owned());
    }
    Layout::Points { product, places }
}

fn bubblers<'p>(project: &'p Project, run: &AreaRun<'p>) -> Layout<'p> {
    let of_kind = |product: &&HeadProduct| product.kind == HeadKind::Bubbler;
    let named = project.stock.heads.get(&run.watering.product).filter(of_kind);
    let Some(product) = named.or_else(|| project.stock.heads.values().find(of_kind)) else {
        return Layout::Nothing("the stock has no bubbler".to_owned());
    };
    if run.plants.is_empty() {
        return Layout::Nothing("no plant stands there".to_owned());
    }
    let count = |spread: f64| if spread > 4.0 { 2 } else { 1 };
    Layout::Bubblers { product, places: run.plants.iter().map(|p| (p.at, count(p.spread))).collect() }
}

/// An outlet of a head or bubbler over its sweep.
fn head_outlet(product: &HeadProduct, flow: f64, set_at: f64) -> Option<Emitter> {
    let emitter = Emitter::rated(flow, set_at, 0.5).ok()?;
    let regulated_above = product.regulated.then_some(product.rated_pressure);
    Some(Emitter { regulated_above, range: Some(product.range), ..emitter })
}

/// Outlets of an area; drip line is one outlet at its ring nearest to `valve`.
pub(super) fn outlets(layout: &Layout<'_>, area: usize, valve: Point, pressure: f64) -> Vec<Outlet> {
    let mut all = Vec::new();
    match layout {
        Layout::Heads { product, heads, .. } => {
            let set_at =
                if product.regulated { product.rated_pressure } else { pressure.min(product.range.1) };
            for (i, head) in heads.iter().enumerate() {
                if let Some(emitter) = head_outlet(product, head.flow, set_at) {
                    let (at, flow, needed) = (head.at, head.flow, product.range.0);
                    all.push(Outlet { at, emitter, flow, needed, of: (area, i) });
                }
            }
        }
        Layout::Bubblers { product, places } => {
            for (i, (at, count)) in places.iter().enumerate() {
                let flow = product.flow * *count as f64;
                if let Some(emitter) = head_outlet(product, flow, product.rated_pressure) {
                    all.push(Outlet { at: *at, emitter, flow, needed: product.range.0, of: (area, i) });
                }
            }
        }
        Layout::Lines { product, rows, own, emitter, .. } => {
            let own_flow = emitter.map_or(0.0, |emitter| emitter.flow * own.1 as f64);
            let flow = product.flow * rows.emitters as f64 + own_flow;
            // The emitters of weak plants hang on the same line: counted as more of its own.
            let as_many = flow / product.flow;
            let corners = rows.rings.iter().flatten().chain(rows.blocks.iter().flat_map(|b| &b.header));
            let feed = corners.min_by(|a, b| a.distance(valve).total_cmp(&b.distance(valve)));
            if let (Some(at), Some(single)) = (feed, outlet(product, 1)) {
                let emitter = Emitter { coefficient: single.coefficient * as_many, ..single };
                all.push(Outlet { at: *at, emitter, flow, needed: product.range.0, of: (area, 0) });
            }
        }
        Layout::Points { product, places } => {
            for (i, (at, count)) in places.iter().enumerate() {
                if let Some(emitter) = outlet(product, *count) {
                    let flow = product.flow * *count as f64;
                    all.push(Outlet { at: *at, emitter, flow, needed: product.range.0, of: (area, i) });
                }
            }
        }
        Layout::Existing | Layout::Nothing(_) => {}
    }
    all
}

/// Flow of an area as set. [m³/s]
pub(super) fn flow(layout: &Layout<'_>) -> f64 {
    match layout {
        Layout::Heads { heads, .. } => heads.iter().map(|head| head.flow).sum(),
        Layout::Bubblers { product, places } => {
            product.flow * places.iter().map(|place| place.1).sum::<usize>() as f64
        }
        Layout::Lines { product, rows, own, emitter, .. } => {
            product.flow * rows.emitters as f64 + emitter.map_or(0.0, |e| e.flow * own.1 as f64)
        }
        Layout::Points { product, places } => {
            product.flow * places.iter().map(|place| place.1).sum::<usize>() as f64
        }
        Layout::Existing | Layout::Nothing(_) => 0.0,
    }
}
