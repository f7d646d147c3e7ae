//! The lights of a yard.
//!
//! - In: project, placed yard, how much light passes between two points, the evenings of a year. Out: a
//!   [`LightStudy`], from which the hand-offs are made.
//! - Lamps are numbered through all lights in file order. Each transformer's cable is routed, grouped,
//!   sized and solved by itself (`design.rs`), then its lamps are worked out at the level to which they
//!   are dimmed; light adds up over all of them.
//! - Dimming lowers the light, not the load for which the cable is sized.
//! - Not here: what stands in the way of light (the caller's scene), when dusk falls (the caller's sun).

mod balance;
mod diagram;
mod evening;
mod findings;
mod handoffs;
mod marks;
mod night;
mod tables;
mod takeoff;
mod trench;

use groundwright_geometry::{Point, Point3};
use groundwright_plan::stock::{BeamShape, LightFixture, TransformerProduct};
use groundwright_plan::{Aim, ElementRef, Kind, Light, LightRole, LightZone, Project, Transformer};
use groundwright_units::Reader;
use groundwright_yard::Yard;

pub use balance::balance;
pub use diagram::circuit_frame;
pub use evening::{Burning, Night, burning};
pub use handoffs::housings;
pub use marks::ALL as LAYERS;
pub use night::Surroundings;

use crate::design::{Brief, Design, DesignError, Switching, design};
use crate::runs::Laying;
use crate::sizing::{CableOption, Choices, Lamp, SizingError};
use crate::transformer::{USABLE_SHARE, next_rating};
use crate::{Beam, Distribution, Fixture, Gauge, LampKind, Shape, Tie, Window};

/// Share of light that passes from the first point to the second, 0 to 1.
pub type Passes<'a> = dyn Fn(Point3, Point3) -> f64 + Sync + 'a;

/// Resistance of the splices of a piece. [Ω] From memory of makers' notes on gel-filled connectors.
const SPLICE: f64 = 0.005;
/// Temperature of buried cable: 20 °C. [K]
const BURIED: f64 = 293.15;
/// Costs by which routes and gauges are weighed against the stock's prices of cable. [money, money/m]
const SPLICE_COST: f64 = 3.0;
/// How far about its lamps a transformer's cable is looked for first. [m]
const NEARBY: f64 = 15.0;
/// Height of the aimed point on a building where none is told. [m]
const ON_BUILDING: f64 = 1.8;
/// Share of a tree's height at which a light up its trunk is aimed where none is told.
const UP_TRUNK: f64 = 0.25;
/// How far before the bark the aimed point on a trunk lies. [m]
const BARK: f64 = 0.05;

/// A lamp.
#[derive(Debug, Clone)]
pub struct LampRun<'p> {
    /// The instruction that it belongs to.
    pub light: &'p Light,
    /// Its number through all lights, from 1.
    pub number: usize,
    /// What it is.
    pub product: &'p LightFixture,
    /// Which zone it is switched with, by its place in the file.
    pub zone: usize,
    /// Where its light comes from. [m]
    pub at: Point3,
    /// The point that it is aimed at. [m]
    pub target: Point3,
    /// Whether something is aimed at; else it points straight up or down.
    pub aimed: bool,
    /// Its light.
    pub fixture: Fixture,
    /// Illuminance of its target from it alone, the meter facing the lamp, as dimmed. [lx]
    pub own: f64,
    /// The same from all lamps. [lx]
    pub together: f64,
    /// Which transformer feeds it, by its place in the file.
    pub transformer: Option<usize>,
}

/// A transformer with its circuits.
pub struct TransformerRun<'p> {
    /// The instruction.
    pub transformer: &'p Transformer,
    /// Where it hangs. [m]
    pub at: Point,
    /// What it is; chosen by its load where the file names none.
    pub product: Option<&'p TransformerProduct>,
    /// Indices of its lamps.
    pub lamps: Vec<usize>,
    /// Its cables.
    pub design: Result<Design, DesignError>,
    /// Stretches of its trench.
    pub trench: trench::Trench,
}

/// The lights of a yard.
pub struct LightStudy<'p> {
    /// The project.
    pub project: &'p Project,
    /// The yard.
    pub yard: &'p Yard,
    /// Units for words.
    pub reader: Reader,
    /// Zones, in file order.
    pub zones: &'p [LightZone],
    /// Lamps.
    pub lamps: Vec<LampRun<'p>>,
    /// Transformers that feed lamps.
    pub transformers: Vec<TransformerRun<'p>>,
    /// What the light does around.
    pub night: Surroundings,
    /// Levels that would bring every target to what is wanted, by lamp; none where nothing is wanted.
    pub levels: Option<Vec<f64>>,
    /// The evenings of a year.
    pub nights: Vec<Night>,
}

/// Studies the lights.
pub fn study<'p>(
    project: &'p Project,
    yard: &'p Yard,
    passes: &Passes<'_>,
    nights: Vec<Night>,
) -> LightStudy<'p> {
    let lighting = &project.design.lighting;
    let mut lamps = placed(project, yard);
    shine(&mut lamps, passes);
    let transformers = transformers(project, yard, &mut lamps);
    let night = night::around(project, yard, &lamps, passes);
    let levels = balance::wanted_levels(&lamps, passes);
    LightStudy {
        project,
        yard,
        reader: Reader::new(project.property.system),
        zones: &lighting.zones,
        lamps,
        transformers,
        night,
        levels,
        nights,
    }
}

/// All lamps whose fixture and zone are known, where they stand: for pictures, which follow the light
/// themselves. What depends on shadows and cables is left at zero.
pub fn placed<'p>(project: &'p Project, yard: &Yard) -> Vec<LampRun<'p>> {
    let lighting = &project.design.lighting;
    let ground = |at: Point| yard.ground.proposed(at);
    let mut all = Vec::new();
    for light in &lighting.lights {
        let Some(product) = project.stock.light_fixtures.get(&light.fixture) else { continue };
        let Some(zone) = lighting.zones.iter().position(|zone| zone.id == light.zone) else { continue };
        let spots = yard.plot.lights.iter().filter(|spot| spot.element.id == light.id);
        for spot in spots {
            let at = Point3::new(spot.at.x, spot.at.y, ground(spot.at) + light.height.value);
            let found = target(project, yard, light, spot.at);
            let target = found.unwrap_or_else(|| straight(light.role, at, ground(spot.at)));
            let Ok(beam) = beam(product) else { continue };
            let Ok(fixture) = Fixture::aimed(at, target, Distribution::Beam(beam)) else { continue };
            let Ok(fixture) = fixture.with(product.loss, light.level) else { continue };
            let fixture = fixture.shielded(product.cut_off);
            all.push(LampRun {
                light,
                number: all.len() + 1,
                product,
                zone,
                at,
                target,
                aimed: found.is_some(),
                fixture,
                own: 0.0,
                together: 0.0,
                transformer: None,
            });
        }
    }
    all
}

fn beam(product: &LightFixture) -> Result<Beam, crate::NotUsable> {
    let shape = match product.shape {
        BeamShape::Cone => Shape::Cone,
        BeamShape::Gaussian => Shape::Gaussian,
        BeamShape::CosinePower => Shape::CosinePower,
    };
    Beam::of_lumens(shape, product.beam_angle, product.lumens)
}

/// Without anything to aim at, path lights and downlights look down, the others up.
fn straight(role: LightRole, at: Point3, ground: f64) -> Point3 {
    match role {
        LightRole::Path | LightRole::Down | LightRole::Step => {
            Point3::new(at.x, at.y, ground.min(at.z - 0.01))
        }
        _ => Point3::new(at.x, at.y, at.z + 3.0),
    }
}

/// The point that a light is aimed at.
fn target(project: &Project, yard: &Yard, light: &Light, from: Point) -> Option<Point3> {
    let above = |at: Point, usual: f64| {
        let height = light.aim_height.map_or(usual, |given| given.value);
        Point3::new(at.x, at.y, yard.ground.proposed(at) + height)
    };
    let plot = &yard.plot;
    match light.aim.as_ref()? {
        Aim::Place(_) => {
            let at = plot.light_aims.iter().find(|(id, _)| *id == light.id)?.1;
            Some(above(at, 0.0))
        }
        Aim::Element(element) => match element.kind {
            Kind::Tree => {
                let tree = project.property.trees.iter().find(|tree| tree.id == element.id)?;
                let trunk = plot.place_of(element)?;
                let way = from - trunk;
                let out = tree.diameter.value / 2.0 + BARK;
                let bark = if way.hypot() > out { trunk + way / way.hypot() * out } else { trunk };
                Some(above(bark, UP_TRUNK * tree.height.value))
            }
            Kind::Planting => {
                let plants = yard.plants_of(&element.id).map(|plant| Point::new(plant.at.x, plant.at.y));
                let near = plants.min_by(|a, b| a.distance(from).total_cmp(&b.distance(from)))?;
                Some(above(near, 0.6))
            }
            Kind::Wall => {
                let wall = plot.walls.iter().find(|wall| &wall.element == element)?;
                Some(above(wall.face.point(wall.face.nearest(from).station), 0.4))
            }
            Kind::Steps => Some(above(plot.stairs.iter().find(|s| &s.element == element)?.from, 0.0)),
            Kind::Shrub => Some(above(plot.place_of(element)?, 0.6)),
            _ => {
                let edge = &plot.area(element)?.edge;
                let usual = if element.kind == Kind::Building { ON_BUILDING } else { 0.0 };
                Some(above(edge.point(edge.nearest(from).station), usual))
            }
        },
    }
}

/// What each lamp brings to its own target, and what all bring to it.
fn shine(lamps: &mut [LampRun<'_>], passes: &Passes<'_>) {
    let brought: Vec<Vec<f64>> = balance::at_targets(lamps, passes);
    let levels: Vec<f64> = lamps.iter().map(|lamp| lamp.light.level).collect();
    for (i, lamp) in lamps.iter_mut().enumerate() {
        let row = &brought[i];
        lamp.own = row[i] * levels[i];
        lamp.together = row.iter().zip(&levels).map(|(lux, level)| lux * level).sum();
    }
}

/// Feeds every lamp from the transformer of its zone, or from the nearest.
fn transformers<'p>(project: &'p Project, yard: &Yard, lamps: &mut [LampRun<'p>]) -> Vec<TransformerRun<'p>> {
    let lighting = &project.design.lighting;
    let spots: Vec<Option<Point>> = lighting
        .transformers
        .iter()
        .map(|t| yard.plot.transformers.iter().find(|spot| spot.element.id == t.id).map(|spot| spot.at))
        .collect();
    for lamp in lamps.iter_mut() {
        let told = lighting.zones[lamp.zone].transformer.as_ref();
        let of = |id| lighting.transformers.iter().position(|t| &t.id == id);
        let at = Point::new(lamp.at.x, lamp.at.y);
        let nearest = || {
            let placed =
                spots.iter().enumerate().filter_map(|(i, spot)| Some((i, spot.as_ref()?.distance(at))));
            placed.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| i)
        };
        lamp.transformer = told.and_then(of).or_else(nearest).filter(|i| spots[*i].is_some());
    }
    let places: Vec<Point> = lamps.iter().map(|lamp| Point::new(lamp.at.x, lamp.at.y)).collect();
    let ways =
        trench::Ways::new(project, yard, &places, &spots.iter().flatten().copied().collect::<Vec<_>>());
    let mut all = Vec::new();
    for (i, (transformer, spot)) in lighting.transformers.iter().zip(&spots).enumerate() {
        let own: Vec<usize> = (0..lamps.len()).filter(|l| lamps[*l].transformer == Some(i)).collect();
        let Some(at) = spot.filter(|_| !own.is_empty()) else { continue };
        let load: f64 = own.iter().map(|l| lamps[*l].product.volt_amperes).sum();
        let product = chosen(project, transformer, load);
        let wanted: Vec<(Point, Lamp)> = own.iter().map(|l| (places[*l], electrical(&lamps[*l]))).collect();
        let design = match product {
            Some(product) => {
                let brief = brief(project, product);
                let near = ways.near(wanted.iter().map(|lamp| lamp.0).chain([at]), NEARBY);
                // What hangs together only by a way around is looked for among all lines.
                design(&wanted, at, &near, &brief).or_else(|problem| match problem {
                    DesignError::Route(_) => design(&wanted, at, &ways.lines, &brief),
                    other => Err(other),
                })
            }
            None => Err(DesignError::Lamp { lamp: 1, why: SizingError::Nothing { what: "transformers" } }),
        };
        let trench = design.as_ref().map(|design| ways.trench(&design.route)).unwrap_or_default();
        all.push(TransformerRun { transformer, at, product, lamps: own, design, trench });
    }
    all
}

/// The product that is named, or the smallest that carries a load with a tenth for the cables.
fn chosen<'p>(project: &'p Project, transformer: &Transformer, load: f64) -> Option<&'p TransformerProduct> {
    let offered = &project.stock.transformers;
    if let Some(named) = offered.get(&transformer.product) {
        return Some(named);
    }
    let ratings: Vec<f64> = offered.values().map(|product| product.rating).collect();
    let rating = next_rating(&ratings, 1.1 * load, USABLE_SHARE)
        .or_else(|| ratings.iter().copied().max_by(f64::total_cmp))?;
    offered.values().find(|product| product.rating >= rating)
}

/// A lamp as its circuit sees it.
fn electrical(lamp: &LampRun<'_>) -> Lamp {
    let product = lamp.product;
    Lamp {
        kind: if product.driver { LampKind::ConstantPower } else { LampKind::Resistive },
        power: product.volt_amperes,
        rated_voltage: product.rated,
        window: Window { low: product.window.0, high: product.window.1 },
        zone: lamp.zone,
    }
}

fn brief(project: &Project, product: &TransformerProduct) -> Brief {
    let cables: Vec<CableOption> = project
        .stock
        .light_cables
        .values()
        .filter_map(|cable| Some(CableOption::new(Gauge::from_awg(cable.gauge)?, cable.price)))
        .collect();
    let most = cables.iter().map(|cable| cable.most_current).fold(0.0, f64::max);
    // A secondary circuit of such systems is commonly held to 25 A: from memory; the listing decides.
    let most_run = (most.min(25.0) * 12.0).min(USABLE_SHARE * product.rating).max(1.0);
    Brief {
        choices: Choices {
            cables,
            taps: product.taps.clone(),
            temperature: BURIED,
            splice: SPLICE_COST,
            splice_resistance: SPLICE,
        },
        laying: Laying { depth: project.practice.light_cable_depth, ..Laying::USUAL },
        tie: Tie { snap: 0.05, reach: trench::REACH, cost: trench::COST },
        switching: Switching::AtTransformer,
        most_run,
        rating: product.rating,
    }
}

impl LampRun<'_> {
    /// The tag on drawings and tables.
    pub fn tag(&self) -> String {
        format!("L{}", self.number)
    }

    /// Where it stands in plan. [m]
    pub fn place(&self) -> Point {
        Point::new(self.at.x, self.at.y)
    }

    /// Angle of its axis above the horizon; below it, below zero. [rad]
    pub fn tilt(&self) -> f64 {
        self.fixture.axis().z.clamp(-1.0, 1.0).asin()
    }

    /// The instruction as an element.
    pub fn element(&self) -> ElementRef {
        ElementRef::new(Kind::Light, &self.light.id)
    }
}

impl TransformerRun<'_> {
    /// The instruction as an element.
    pub fn element(&self) -> ElementRef {
        ElementRef::new(Kind::Transformer, &self.transformer.id)
    }

    /// Least and most voltage of a lamp over all states, by its index in the study. [V]
    pub fn voltages(&self, lamp: usize) -> Option<(f64, f64)> {
        let mine = self.lamps.iter().position(|l| *l == lamp)?;
        let design = self.design.as_ref().ok()?;
        design.runs.iter().find_map(|run| {
            let i = run.lamps.iter().position(|l| *l == mine)?;
            Some((*run.sized.lowest.get(i)?, *run.sized.highest.get(i)?))
        })
    }
}

impl LightStudy<'_> {
    /// Least and most voltage of a lamp. [V]
    pub fn voltages(&self, lamp: usize) -> Option<(f64, f64)> {
        self.transformers.iter().find_map(|transformer| transformer.voltages(lamp))
    }
}
