//! The walls, steps and paving of a yard.
//!
//! - In: project and yard. Out: a [`WallStudy`], from which the hand-offs are made.
//! - Every part of a wall between steps is stepped, laid and computed by itself. Sections are computed
//!   at every change of height and in every stretch of three metres, each at the worst of its stations.
//! - Walls behind a wall load it (`tiers.rs`); which these are follows from where the faces lie.

mod elevation;
mod findings;
mod handoffs;
mod line;
mod marks;
mod section_marks;
mod soils;
mod tables;
mod takeoff;
mod words;

use std::collections::BTreeMap;

use groundwright_geometry::Point;
use groundwright_plan::{Project, Steps, Wall, WallEnd, WallLoad, WallSoil, stock::WallUnits};
use groundwright_units::Reader;
use groundwright_units::constants::STANDARD_GRAVITY;
use groundwright_yard::{Area, Stair, WallLine, Yard};

pub use elevation::elevation_frame;
pub use marks::ALL as LAYERS;
pub use section_marks::section_frame;
pub use soils::{of_texture, presumed};

use crate::courses::{CoursesError, End, Kind, Laid, Layout, Stand, UnitSystem, lay_all};
use crate::{
    BaseError, Facing, Gravity, Grid, Levels, Load, Pad, PressureError, Quake, Reinforced, ReinforcedSection,
    Required, Section, Soil, SteppedBase, Stepping, Strength, Tier, gravity, reinforced, step_base,
    upper_wall, worst,
};

/// Longest stretch of wall with one section. [m]
const STRETCH: f64 = 3.0;
/// Unit weight of compacted pad stone. [N/m³] From memory.
const PAD_WEIGHT: f64 = 20_000.0;
/// Friction of compacted pad stone: 36°. [rad] From memory.
const PAD_FRICTION: f64 = 0.628_318_530_717_958_6;

/// A section of a wall, with what it rests on.
#[derive(Debug, Clone)]
pub struct SectionRun {
    /// Station along the wall's face. [m]
    pub station: f64,
    /// The section.
    pub section: Section,
    /// The upper wall that loads it, and how far behind it stands. [m]
    pub tier: Option<(Tier, f64, groundwright_plan::ElementRef)>,
    /// The section worked out as a gravity wall.
    pub gravity: Result<Gravity, PressureError>,
    /// The stretch of wall that it stands for, as stations. [m]
    pub stretch: (f64, f64),
    /// Layers of reinforcement, where weight alone does not do and the wall may take them.
    pub reinforced: Option<Box<(ReinforcedSection, Reinforced)>>,
}

/// A part of a wall between flights of steps.
#[derive(Debug)]
pub struct PartRun {
    /// Stations along the wall's face. [m]
    pub from: f64,
    /// Last station. [m]
    pub to: f64,
    /// Levels by stations from the part's start. [m]
    pub levels: Vec<Levels>,
    /// Fall of the ground in front, fall over run, at its steepest.
    pub fall: f64,
    /// Its base in steps.
    pub base: Result<SteppedBase, BaseError>,
    /// Its units; none where it has no base.
    pub laid: Option<Result<Laid, CoursesError>>,
    /// Its sections.
    pub sections: Vec<SectionRun>,
}

/// A wall.
pub struct WallRun<'p> {
    /// The instruction.
    pub wall: &'p Wall,
    /// Its face in plan.
    pub line: &'p WallLine,
    /// Its units.
    pub units: &'p WallUnits,
    /// Its parts, left to right as one faces it.
    pub parts: Vec<PartRun>,
}

/// A flight of steps.
pub struct FlightRun<'p> {
    /// The instruction.
    pub steps: &'p Steps,
    /// Where it lies.
    pub stair: &'p Stair,
}

/// Walls, steps and paving of a yard.
pub struct WallStudy<'p> {
    /// The project.
    pub project: &'p Project,
    /// The yard.
    pub yard: &'p Yard,
    /// Units for words.
    pub reader: Reader,
    /// Walls that could be placed, in file order.
    pub walls: Vec<WallRun<'p>>,
    /// Flights of steps.
    pub flights: Vec<FlightRun<'p>>,
    /// Paving.
    pub pavings: Vec<(&'p groundwright_plan::Paving, &'p Area)>,
}

/// Studies walls, steps and paving.
pub fn study<'p>(project: &'p Project, yard: &'p Yard) -> WallStudy<'p> {
    let built = &project.design.built;
    let mut walls: Vec<WallRun<'p>> = yard
        .plot
        .walls
        .iter()
        .filter_map(|line| {
            let wall = built.walls.iter().find(|wall| wall.id == line.element.id)?;
            let units = project.stock.wall_units.get(&wall.units)?;
            let parts = line.parts.iter().map(|part| stepped(project, yard, line, units, *part)).collect();
            Some(WallRun { wall, line, units, parts })
        })
        .collect();
    lay(&mut walls);
    compute(project, &mut walls);
    let flights = yard.plot.stairs.iter().filter_map(|stair| {
        let steps = built.steps.iter().find(|steps| steps.id == stair.element.id)?;
        Some(FlightRun { steps, stair })
    });
    let pavings =
        yard.plot.pavings.iter().filter_map(|area| {
            Some((built.pavings.iter().find(|paving| paving.id == area.element.id)?, area))
        });
    WallStudy {
        project,
        yard,
        reader: Reader::new(project.property.system),
        flights: flights.collect(),
        pavings: pavings.collect(),
        walls,
    }
}

/// A part with its levels and its stepped base.
fn stepped(
    project: &Project,
    yard: &Yard,
    line: &WallLine,
    units: &WallUnits,
    (from, to): (f64, f64),
) -> PartRun {
    let ground = |at: Point| yard.ground.graded(at);
    let cap = units.cap.map_or(0.0, |cap| cap.1);
    let mut fall = 0.0_f64;
    let levels: Vec<Levels> = line
        .stations((from, to))
        .into_iter()
        .map(|station| {
            let foot = line.foot_at(station, ground);
            let near = ground(line.behind(station, -0.3));
            fall = fall.max((near - ground(line.behind(station, -1.8))) / 1.5);
            Levels { station: station - from, foot, top: line.top_at(station, ground) - cap }
        })
        .collect();
    let stepping = Stepping {
        course: units.height,
        unit: units.units.iter().map(|unit| unit.length).fold(0.0, f64::max),
        least_embedment: 0.0,
        fall: fall.min(9.0),
        pad: project.practice.wall_pad,
    };
    let base = step_base(&levels, &stepping);
    PartRun { from, to, levels, fall, base, laid: None, sections: Vec::new() }
}

impl PartRun {
    /// Level of the ground in front at a station of the wall. [m]
    pub fn foot_at(&self, station: f64) -> f64 {
        between(&self.levels, station - self.from, |level| level.foot)
    }

    /// Wanted level of the top of the units at a station of the wall. [m]
    pub fn top_at(&self, station: f64) -> f64 {
        between(&self.levels, station - self.from, |level| level.top)
    }

    /// Length of the layers of reinforcement at a station of the wall; 0 without any. [m]
    pub fn layers_at(&self, station: f64) -> f64 {
        let here = self.sections.iter().filter(|f| f.stretch.0 <= station && station <= f.stretch.1);
        let layers = here.filter_map(|found| found.reinforced.as_ref()).flat_map(|both| &both.0.layers);
        layers.map(|layer| layer.length).fold(0.0, f64::max)
    }

    /// The section that is furthest from passing.
    pub fn worst(&self) -> Option<&SectionRun> {
        self.sections.iter().min_by(|a, b| a.ratio().total_cmp(&b.ratio()))
    }
}

impl SectionRun {
    /// Least of found over required as a gravity wall; zero where the section cannot be computed.
    pub fn by_weight(&self) -> f64 {
        self.gravity.as_ref().map_or(0.0, |found| least(&found.verdicts))
    }

    /// Least of found over required as it will be built, layers included.
    pub fn ratio(&self) -> f64 {
        self.reinforced.as_ref().map_or_else(|| self.by_weight(), |both| least(&both.1.verdicts))
    }
}

fn least(verdicts: &[crate::Verdict]) -> f64 {
    worst(verdicts).map_or(f64::INFINITY, crate::Verdict::ratio)
}

impl WallRun<'_> {
    /// The section that is furthest from passing, in which part.
    pub fn worst(&self) -> Option<(&PartRun, &SectionRun)> {
        let all = self.parts.iter().filter_map(|part| Some((part, part.worst()?)));
        all.min_by(|a, b| a.1.ratio().total_cmp(&b.1.ratio()))
    }

    /// The section that is drawn and worked out on paper: the tallest with layers, else the worst.
    pub fn shown(&self) -> Option<(&PartRun, &SectionRun)> {
        let all = self.parts.iter().flat_map(|part| part.sections.iter().map(move |found| (part, found)));
        let layered = all.filter(|(_, found)| found.reinforced.is_some());
        layered.max_by_key(|(_, found)| found.section.facing.courses).or_else(|| self.worst())
    }

    /// Sections that take layers of reinforcement.
    pub fn layered(&self) -> impl Iterator<Item = (&SectionRun, &ReinforcedSection, &Reinforced)> {
        let all = self.parts.iter().flat_map(|part| &part.sections);
        all.filter_map(|found| found.reinforced.as_ref().map(|both| (found, &both.0, &both.1)))
    }

    /// Greatest height above the ground in front, cap included. [m]
    pub fn tallest(&self) -> f64 {
        let panels =
            self.parts.iter().filter_map(|part| part.base.as_ref().ok()).flat_map(|base| &base.panels);
        panels.map(|panel| panel.exposed).fold(0.0, f64::max) + self.units.cap.map_or(0.0, |cap| cap.1)
    }
}

fn between(levels: &[Levels], station: f64, value: impl Fn(&Levels) -> f64) -> f64 {
    let next = levels.partition_point(|level| level.station < station);
    match (next.checked_sub(1).and_then(|i| levels.get(i)), levels.get(next)) {
        (Some(a), Some(b)) => {
            let share = (station - a.station) / (b.station - a.station);
            value(a) + share * (value(b) - value(a))
        }
        (Some(only), None) | (None, Some(only)) => value(only),
        (None, None) => 0.0,
    }
}

/// The units as the mason's search takes them.
pub(crate) fn system(units: &WallUnits) -> UnitSystem {
    let longest = (0..units.units.len()).max_by(|a, b| {
        let length = |i: usize| units.units.get(i).map_or(0.0, |unit| unit.length);
        length(*a).total_cmp(&length(*b))
    });
    UnitSystem {
        kinds: units
            .units
            .iter()
            .map(|unit| Kind {
                length: unit.length,
                height: units.height,
                share: unit.share,
                pallet: unit.pallet,
            })
            .collect(),
        base: longest.unwrap_or(0),
        corner: units.corner.map(|(a, b)| crate::courses::Corner { long: a.max(b), short: a.min(b) }),
        setback: units.setback,
        least_radius: units.least_radius,
        least_cut: units.least_cut,
        least_overlap: units.least_overlap,
        in_a_row: units.in_a_row,
        rear_lip: units.rear_lip,
        colours: units.colours.iter().map(|colour| colour.1).collect(),
    }
}

/// Lays all parts side by side.
fn lay(walls: &mut [WallRun<'_>]) {
    let mut layouts = Vec::new();
    let mut owners = Vec::new();
    for (w, run) in walls.iter().enumerate() {
        for (p, part) in run.parts.iter().enumerate() {
            let Ok(base) = &part.base else { continue };
            let Ok(segments) = line::segments(&run.line.face, (part.from, part.to)) else { continue };
            let whole = |end: WallEnd| if end == WallEnd::Bank { End::Bank } else { End::Flush };
            let first = if p == 0 { whole(run.wall.ends[0]) } else { End::Flush };
            let last = if p + 1 == run.parts.len() { whole(run.wall.ends[1]) } else { End::Flush };
            let stands = base.panels.iter().map(|panel| Stand {
                from: panel.from,
                to: panel.to,
                first: panel.first,
                courses: panel.courses,
            });
            layouts.push(Layout {
                segments,
                stands: stands.collect(),
                course: run.units.height,
                ends: [first, last],
                system: system(run.units),
            });
            owners.push((w, p));
        }
    }
    for ((w, p), laid) in owners.into_iter().zip(lay_all(&layouts)) {
        if let Some(part) = walls.get_mut(w).and_then(|run| run.parts.get_mut(p)) {
            part.laid = Some(laid);
        }
    }
}

/// A wall as another one in front of it sees it.
struct Behind {
    wall: usize,
    /// Points of the face with the level of its base and its whole height there. [m]
    points: Vec<(Point, f64, f64)>,
}

fn compute(project: &Project, walls: &mut [WallRun<'_>]) {
    let behind: Vec<Behind> = walls
        .iter()
        .enumerate()
        .map(|(wall, run)| {
            let mut points = Vec::new();
            for part in &run.parts {
                for panel in part.base.as_ref().map_or(&[][..], |base| &base.panels) {
                    let stations = run.line.stations((part.from + panel.from, part.from + panel.to));
                    points.extend(
                        stations
                            .iter()
                            .map(|s| (run.line.face.point(*s), panel.base, panel.top - panel.base)),
                    );
                }
            }
            Behind { wall, points }
        })
        .collect();
    let mut found: BTreeMap<(usize, usize), Vec<SectionRun>> = BTreeMap::new();
    for (w, run) in walls.iter().enumerate() {
        for (p, part) in run.parts.iter().enumerate() {
            found.insert((w, p), sections(project, walls, &behind, (w, run), part));
        }
    }
    for ((w, p), sections) in found {
        if let Some(part) = walls.get_mut(w).and_then(|run| run.parts.get_mut(p)) {
            part.sections = sections;
        }
    }
}

fn sections(
    project: &Project,
    walls: &[WallRun<'_>],
    behind: &[Behind],
    (w, run): (usize, &WallRun<'_>),
    part: &PartRun,
) -> Vec<SectionRun> {
    let mut all = Vec::new();
    for panel in part.base.as_ref().map_or(&[][..], |base| &base.panels) {
        let count = ((panel.to - panel.from) / STRETCH).ceil().max(1.0) as usize;
        let step = (panel.to - panel.from) / count as f64;
        for i in 0..count {
            let start = part.from + panel.from + i as f64 * step;
            let worst = [0.0, 0.5, 1.0]
                .into_iter()
                .map(|share| {
                    let station = start + share * step;
                    let embedment = (part.foot_at(station) - panel.base).max(0.0);
                    let plain = section(project, run, panel.courses, embedment);
                    let tier = tier(walls, behind, (w, run), station, panel.base, &plain);
                    let mut section = plain;
                    if let Some((tier, ..)) = &tier {
                        section.load.live += tier.load.live;
                        section.load.dead += tier.load.dead;
                    }
                    let gravity = gravity(&section, &Required::GRAVITY);
                    SectionRun {
                        station,
                        gravity,
                        section,
                        tier,
                        stretch: (start, start + step),
                        reinforced: None,
                    }
                })
                .min_by(|a, b| a.ratio().total_cmp(&b.ratio()));
            all.extend(worst);
        }
    }
    reinforce(project, run, &mut all);
    all
}

/// The geosynthetic that a wall may take, with its fill.
pub(crate) fn grid_of(project: &Project, run: &WallRun<'_>) -> Option<(Grid, Soil)> {
    let product = project.stock.grids.get(&run.wall.grid)?;
    let [creep, durability, damage] = product.reductions;
    let grid = Grid {
        ultimate: product.ultimate * STANDARD_GRAVITY,
        creep,
        durability,
        damage,
        uncertainty: 1.5,
        sliding: product.sliding,
        pullout: product.pullout,
        connection: Strength {
            at_no_load: product.connection * STANDARD_GRAVITY,
            angle: product.connection_angle,
        },
    };
    Some((grid, presumed(run.wall.fill)))
}

/// Gives layers to sections that do not stand by their weight, those of one height alike.
fn reinforce(project: &Project, run: &WallRun<'_>, sections: &mut [SectionRun]) {
    let Some((grid, fill)) = grid_of(project, run) else { return };
    let mut heaviest: BTreeMap<usize, Section> = BTreeMap::new();
    for found in sections.iter().filter(|found| found.by_weight() < 1.0 - 1e-9) {
        let section = found.section;
        let known = heaviest.entry(section.facing.courses).or_insert(section);
        if section.load.whole() > known.load.whole() {
            known.load = section.load;
        }
        known.embedment = known.embedment.min(section.embedment);
    }
    for (courses, section) in heaviest {
        let Ok(Some((wall, _))) = crate::least_layers(&section, grid, fill) else { continue };
        for found in
            sections.iter_mut().filter(|f| f.section.facing.courses == courses && f.by_weight() < 1.0 - 1e-9)
        {
            let own = ReinforcedSection { section: found.section, ..wall.clone() };
            found.reinforced =
                reinforced(&own, &Required::REINFORCED).ok().map(|result| Box::new((own, result)));
        }
    }
}

/// The section of a wall with so many courses, alone.
pub(crate) fn section(project: &Project, run: &WallRun<'_>, courses: usize, embedment: f64) -> Section {
    let (wall, units, practice) = (run.wall, run.units, &project.practice);
    let soil = |class: WallSoil, tested: Option<groundwright_plan::Given<f64>>| {
        let known = presumed(class);
        Soil { friction: tested.map_or(known.friction, |given| given.value), ..known }
    };
    let retained = soil(wall.retained.value, wall.retained_friction);
    let live = match wall.load.value {
        WallLoad::Nothing => 0.0,
        WallLoad::Walked => crate::WALKED,
        WallLoad::Driven => crate::DRIVEN,
    };
    Section {
        facing: Facing {
            courses,
            height: units.height,
            depth: units.depth,
            setback: units.setback,
            unit_weight: units.density * STANDARD_GRAVITY,
            shear: Strength { at_no_load: units.shear * STANDARD_GRAVITY, angle: units.shear_angle },
        },
        pad: Pad {
            thickness: practice.wall_pad,
            beyond: practice.wall_pad_beyond,
            unit_weight: PAD_WEIGHT,
            friction: PAD_FRICTION,
        },
        wall_friction: retained.on_units(),
        retained,
        foundation: soil(wall.foundation.value, wall.foundation_friction),
        slope: wall.slope.value.atan(),
        load: Load { live, dead: 0.0 },
        embedment,
        quake: wall.quake.map(|given| Quake { horizontal: given.value, vertical: 0.0 }),
    }
}

/// The wall behind a station that loads it most.
fn tier(
    walls: &[WallRun<'_>],
    behind: &[Behind],
    (w, run): (usize, &WallRun<'_>),
    station: f64,
    base: f64,
    section: &Section,
) -> Option<(Tier, f64, groundwright_plan::ElementRef)> {
    let here = run.line.face.point(station);
    let into = run.line.face.normal(station);
    let lower = section.facing.total();
    let mut heaviest: Option<(Tier, f64, groundwright_plan::ElementRef)> = None;
    for other in behind.iter().filter(|other| other.wall != w) {
        let near = other
            .points
            .iter()
            .filter(|(at, level, _)| (*at - here).dot(into) > 0.0 && *level > base)
            .min_by(|a, b| a.0.distance(here).total_cmp(&b.0.distance(here)));
        let Some((at, _, upper)) = near else { continue };
        let distance = at.distance(here);
        let load = section.load;
        let Ok(tier) = upper_wall(lower, *upper, distance, section.retained.unit_weight, load) else {
            continue;
        };
        let more = heaviest.as_ref().is_none_or(|(known, ..)| tier.load.whole() > known.load.whole());
        if tier.share > 0.0 && more {
            heaviest = walls.get(other.wall).map(|run| (tier, distance, run.line.element.clone()));
        }
    }
    heaviest
}
