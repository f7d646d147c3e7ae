//! Main, valves and laterals: routed, sized, solved.
//!
//! - Routes keep out of houses, and off paving and the roots of kept trees where the way around is not too
//!   long (`routing.rs`). The main leads from the supply over the preventer to every valve box; laterals
//!   lead from the box to the outlets of their zone.
//! - The main is the smallest pipe that the greatest flow of a zone beyond it does not run too fast in;
//!   laterals are sized at least cost for the head that is left (`sizing.rs`). Where none is enough the main
//!   grows by a size, and once more.
//! - Each zone is then solved with everything before it as one network (`gradient.rs`); one zone runs at a
//!   time.

use groundwright_geometry::{BoxIndex, Point, Rect, Region, RegionIndex};
use groundwright_plan::stock::{PartKind, PipeProduct, WaterPart};
use groundwright_plan::{Action, Project};
use groundwright_yard::Yard;

use super::layout::Outlet;
use super::source::{Source, device};
use crate::fluid::WATER;
use crate::gradient::solve;
use crate::minor_losses::Fitting;
use crate::network::{Friction, Link, Network, Node, Part};
use crate::routing::{Route, RouteError, RouteGround, RouteNode, route};
use crate::sizing::{PipeSize, Section, SizingError, SizingLimits, choose_sizes};
use crate::velocity::flow_at_velocity;

/// Side of a cell of the ground over which pipe is routed. [m]
const CELL: f64 = 0.5;
/// Most cells; a larger yard is looked at more coarsely.
const MOST_CELLS: f64 = 60_000.0;
/// How far about its ends a tree is looked for first. [m]
const ABOUT: f64 = 8.0;
/// How much dearer a metre under paving is, and one among kept roots. Common practice, no source.
const DEARER: (f64, f64) = (6.0, 10.0);
/// How far houses are drawn in, so that heads along their walls can be reached. [m]
const BESIDE: f64 = 0.35;
/// Shortest length of a section. [m]
const SHORTEST: f64 = 0.02;

/// Ground over which pipe is routed.
pub(super) struct Terrain {
    bounds: Rect,
    dear: Vec<(Region, f64)>,
    barred: Vec<Region>,
    roots: Vec<(Point, f64)>,
    paved: Vec<RegionIndex>,
    boxes: BoxIndex,
}

/// A stretch of a trench.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its ends. [m]
    pub ends: (Point, Point),
    /// Whether it runs in a sleeve under paving.
    pub sleeve: bool,
    /// The node of its route at its far end.
    pub node: usize,
}

impl Terrain {
    pub fn new(project: &Project, yard: &Yard, places: &[Point]) -> Option<Self> {
        let about = places.iter().map(|at| Rect::from_points(*at, *at));
        let bounds = about.reduce(|a, b| a.union(b))?.inflate(6.0, 6.0);
        let paved: Vec<Region> = yard.plot.hard().cloned().collect();
        let practice = &project.practice;
        let roots: Vec<(Point, f64)> = yard
            .plot
            .trees
            .iter()
            .filter_map(|spot| {
                let tree = project.property.trees.iter().find(|tree| tree.id == spot.element.id)?;
                let radius =
                    (tree.diameter.value * practice.protection_ratio).max(practice.protection_minimum);
                (tree.action == Action::Keep).then_some((spot.at, radius))
            })
            .collect();
        let mut dear: Vec<(Region, f64)> = paved.iter().map(|region| (region.clone(), DEARER.0)).collect();
        for (at, radius) in &roots {
            dear.extend(Region::circle(*at, *radius).ok().map(|region| (region, DEARER.1)));
        }
        let barred = yard.plot.buildings.iter().map(|building| building.whole.grow(-BESIDE)).collect();
        let paved: Vec<RegionIndex> =
            paved.iter().map(RegionIndex::new).filter(|region| region.bounds().is_some()).collect();
        let boxes: Vec<Rect> = paved.iter().filter_map(RegionIndex::bounds).collect();
        Some(Self { bounds, dear, barred, roots, boxes: BoxIndex::new(&boxes), paved })
    }

    /// The tree of a zone's laterals.
    pub fn laterals(&self, main: &Main, zone: &Piped<'_>) -> Result<Route, String> {
        let valve = main.nodes[main.boxes[zone.valve_box]].at;
        let targets: Vec<Point> = zone.outlets.iter().map(|outlet| outlet.at).collect();
        self.route(valve, &targets)
    }

    /// A tree over the ground about its ends; over all of it where that has no way.
    fn route(&self, from: Point, to: &[Point]) -> Result<Route, String> {
        let about = to.iter().map(|at| Rect::from_points(*at, from));
        let near = about.reduce(|a, b| a.union(b)).map_or(self.bounds, |b| b.inflate(ABOUT, ABOUT));
        self.route_within(near.intersect(self.bounds), from, to)
            .or_else(|_| self.route_within(self.bounds, from, to))
            .map_err(|problem| problem.to_string())
    }

    fn route_within(&self, bounds: Rect, from: Point, to: &[Point]) -> Result<Route, RouteError> {
        let reaches = |region: &Region| region.bounds().is_some_and(|b| b.overlaps(bounds));
        let dear: Vec<(Region, f64)> = self.dear.iter().filter(|d| reaches(&d.0)).cloned().collect();
        let barred: Vec<Region> = self.barred.iter().filter(|region| reaches(region)).cloned().collect();
        let cell = (bounds.area() / MOST_CELLS).sqrt().max(CELL);
        route(RouteGround { bounds, cell, dear: &dear, barred: &barred }, from, to)
    }

    fn is_paved(&self, at: Point) -> bool {
        self.boxes.at(at).any(|i| self.paved.get(i).is_some_and(|region| region.contains(at)))
    }

    fn is_rooted(&self, at: Point) -> bool {
        self.roots.iter().any(|(trunk, radius)| trunk.distance(at) < *radius)
    }

    /// Stretches of a route, and how much of it lies among kept roots. [m]
    fn stretches(&self, nodes: &[RouteNode]) -> (Vec<Stretch>, f64) {
        let (mut all, mut rooted) = (Vec::new(), 0.0);
        for (node, end) in nodes.iter().enumerate() {
            let Some(begin) = end.after.map(|after| nodes[after].at) else { continue };
            let length = begin.distance(end.at);
            if length < 1e-6 {
                continue;
            }
            let count = (length / 0.2).ceil().max(1.0) as usize;
            let at = |i: usize| begin.lerp(end.at, i as f64 / count as f64);
            let middle = |i: usize| begin.lerp(end.at, (i as f64 + 0.5) / count as f64);
            let paved: Vec<bool> = (0..count).map(|i| self.is_paved(middle(i))).collect();
            let mut begun = 0;
            for i in 1..=count {
                if i < count && paved[i] == paved[begun] {
                    continue;
                }
                all.push(Stretch { ends: (at(begun), at(i)), sleeve: paved[begun], node });
                begun = i;
            }
            let among = (0..count).filter(|i| self.is_rooted(middle(*i))).count();
            rooted += length * among as f64 / count as f64;
        }
        (all, rooted)
    }
}

/// The main.
#[derive(Debug, Clone)]
pub struct Main {
    /// Its nodes: the supply first.
    pub nodes: Vec<RouteNode>,
    /// Index of the node at which the preventer stands.
    pub preventer: usize,
    /// Index of the node of each valve box.
    pub boxes: Vec<usize>,
    /// Greatest flow in the section that ends at each node. [m³/s]
    pub flows: Vec<f64>,
    /// Index of its pipe among the project's pipes, by node.
    pub sizes: Vec<usize>,
    /// Its trench.
    pub stretches: Vec<Stretch>,
    /// Length among the roots of kept trees. [m]
    pub in_roots: f64,
}

/// Laterals of a zone, solved.
#[derive(Debug, Clone)]
pub struct ZonePlan {
    /// Its tree of pipe: the valve first.
    pub nodes: Vec<RouteNode>,
    /// Cost of the tree and a bound that no tree on the grid is below. [m of easy ground]
    pub quality: (f64, f64),
    /// Index of the pipe of the section that ends at each node.
    pub sizes: Vec<usize>,
    /// Velocity in it. [m/s]
    pub velocities: Vec<f64>,
    /// Pressure at each outlet. [Pa]
    pub pressures: Vec<f64>,
    /// Flow of each outlet. [m³/s]
    pub flows: Vec<f64>,
    /// Flow of the zone. [m³/s]
    pub flow: f64,
    /// Pressure behind the valve. [Pa]
    pub behind_valve: f64,
    /// Pressure at the point where the irrigation joins. [Pa]
    pub at_supply: f64,
    /// Trench.
    pub stretches: Vec<Stretch>,
    /// Length among the roots of kept trees. [m]
    pub in_roots: f64,
    /// What the flows leave open at the nodes, over the whole flow.
    pub open: f64,
}

/// What a zone needs to be piped.
pub(super) struct Piped<'z> {
    pub outlets: &'z [Outlet],
    pub valve_box: usize,
    pub kit: &'z WaterPart,
    pub flow: f64,
}

/// Everything that pipes are laid from.
pub(super) struct Lay<'p> {
    pub project: &'p Project,
    pub yard: &'p Yard,
    pub source: &'p Source,
    pub preventer: Option<&'p WaterPart>,
    pub pipes: Vec<&'p PipeProduct>,
}

impl Lay<'_> {
    fn level(&self, at: Point) -> f64 {
        self.yard.ground.proposed(at)
    }

    /// Routes the main; sizes come with the zones.
    pub fn main(&self, terrain: &Terrain, preventer: Point, boxes: &[Point]) -> Result<Main, String> {
        let mut nodes = Vec::new();
        let mut stands = 0;
        if preventer.distance(self.source.at) > 0.05 {
            nodes = terrain.route(self.source.at, &[preventer])?.nodes;
            stands = nodes.iter().position(|node| node.target == Some(0)).unwrap_or(nodes.len() - 1);
        } else {
            nodes.push(RouteNode { at: preventer, after: None, length: 0.0, cost: 0.0, target: None });
        }
        let first = nodes.len();
        let beyond = terrain.route(preventer, boxes)?.nodes;
        // The root of the second tree is the preventer itself.
        let moved = |after: usize| if after == 0 { stands } else { first + after - 1 };
        let mut places = vec![stands; boxes.len()];
        for (i, node) in beyond.iter().enumerate().skip(1) {
            if let Some(target) = node.target {
                places[target] = first + i - 1;
            }
            nodes.push(RouteNode { after: node.after.map(moved), ..*node });
        }
        let (stretches, in_roots) = terrain.stretches(&nodes);
        let count = nodes.len();
        Ok(Main {
            nodes,
            preventer: stands,
            boxes: places,
            flows: vec![0.0; count],
            sizes: vec![0; count],
            stretches,
            in_roots,
        })
    }

    /// Sizes the main by velocity for the greatest flow of a zone beyond each section.
    pub fn size_main(&self, main: &mut Main, zones: &[Piped<'_>]) {
        for zone in zones {
            let mut at = Some(main.boxes[zone.valve_box]);
            while let Some(node) = at {
                main.flows[node] = main.flows[node].max(zone.flow);
                at = main.nodes[node].after;
            }
        }
        let mains: Vec<usize> = (0..self.pipes.len()).filter(|i| self.pipes[*i].under_pressure).collect();
        for (size, flow) in main.sizes.iter_mut().zip(&main.flows) {
            let carries = |i: &&usize| {
                let most = flow_at_velocity(self.project.practice.water_velocity, self.pipes[**i].inside);
                most.is_ok_and(|most| most >= *flow)
            };
            *size = mains.iter().find(carries).or(mains.last()).copied().unwrap_or(0);
        }
    }

    /// Makes the main a size larger everywhere; whether there was one.
    pub fn enlarge(&self, main: &mut Main) -> bool {
        let mut grown = false;
        for size in &mut main.sizes {
            let next = (*size + 1..self.pipes.len())
                .find(|i| self.pipes[*i].under_pressure && self.pipes[*i].inside > self.pipes[*size].inside);
            if let Some(next) = next {
                *size = next;
                grown = true;
            }
        }
        grown
    }

    /// Sizes and solves a zone from its valve.
    pub fn zone(
        &self,
        terrain: &Terrain,
        main: &Main,
        zone: &Piped<'_>,
        found: &Result<Route, String>,
    ) -> Result<ZonePlan, PipeProblem> {
        let found = found.clone().map_err(PipeProblem::Route)?;
        let sections = self.sections(&found.nodes, zone);
        let head = self.head_behind_valve(main, zone).map_err(PipeProblem::Solve)?;
        let sizes: Vec<PipeSize> = self.pipes.iter().map(|pipe| size(pipe)).collect();
        let limits = SizingLimits { head, velocity: self.project.practice.water_velocity, tapering: true };
        let (sized, short) = match choose_sizes(&sections, &sizes, limits, &WATER) {
            Ok(sized) => (sized.sizes, None),
            // The widest pipe everywhere shows what is left.
            Err(problem) => {
                let widest = (0..sizes.len())
                    .max_by(|a, b| sizes[*a].diameter.total_cmp(&sizes[*b].diameter))
                    .unwrap_or(0);
                (vec![widest; sections.len()], Some(problem))
            }
        };
        let by_node: Vec<usize> = std::iter::once(0).chain(sized).collect();
        let mut plan = self.solved(main, zone, found, by_node).map_err(PipeProblem::Solve)?;
        (plan.stretches, plan.in_roots) = terrain.stretches(&plan.nodes);
        match short {
            None => Ok(plan),
            Some(SizingError::TooLittle { needed, head }) => {
                Err(PipeProblem::Pressure { needed, head, plan: Box::new(plan) })
            }
            Some(other) => Err(PipeProblem::Sizes { why: other.to_string(), plan: Box::new(plan) }),
        }
    }

    /// Sections of a tree, one for each node but the first.
    fn sections(&self, nodes: &[RouteNode], zone: &Piped<'_>) -> Vec<Section> {
        let mut flows = vec![0.0; nodes.len()];
        let mut fed = vec![0_usize; nodes.len()];
        for (i, node) in nodes.iter().enumerate().rev() {
            if let Some(target) = node.target {
                flows[i] += zone.outlets[target].flow;
            }
            if let Some(after) = node.after {
                flows[after] += flows[i];
                fed[after] += 1;
            }
        }
        let section = |(i, node): (usize, &RouteNode)| Section {
            name: format!("section {i}"),
            after: node.after.and_then(|after| after.checked_sub(1)),
            length: node.length.max(SHORTEST),
            minor: minor(node, &fed),
            flow: flows[i].max(1e-9),
            elevation: self.level(node.at),
            needed: node.target.map(|target| WATER.head(zone.outlets[target].needed)),
        };
        nodes.iter().enumerate().skip(1).map(section).collect()
    }

    /// Head over the datum behind a zone's valve at its flow. [m]
    fn head_behind_valve(&self, main: &Main, zone: &Piped<'_>) -> Result<f64, String> {
        let (mut network, last) = self.trunk(main, zone);
        network.nodes[last].demand = zone.flow;
        let solution = solve(&network).map_err(|problem| problem.to_string())?;
        Ok(solution.nodes[last].head)
    }

    /// The network from the supply to behind the valve; the index of its last node.
    fn trunk(&self, main: &Main, zone: &Piped<'_>) -> (Network, usize) {
        let mut network = Network { nodes: Vec::new(), links: Vec::new(), fluid: WATER };
        let start = main.nodes[0].at;
        let first = Node { supply: Some(self.source.supply), ..Node::joint("supply", self.level(start)) };
        network.nodes.push(first);
        let mut last = 0;
        for (name, part) in &self.source.parts {
            last = follow(&mut network, last, *name, self.level(start), part.clone());
        }
        // From the supply to the box, the nodes on the way.
        let mut way = Vec::new();
        let mut at = Some(main.boxes[zone.valve_box]);
        while let Some(node) = at {
            way.push(node);
            at = main.nodes[node].after;
        }
        for node in way.into_iter().rev() {
            let place = &main.nodes[node];
            if place.after.is_some() {
                let pipe = pipe(self.pipes[main.sizes[node]], place.length, Fitting::Elbow.coefficient());
                last = follow(&mut network, last, format!("main {node}"), self.level(place.at), pipe);
            }
            if node == main.preventer
                && let Some(preventer) = self.preventer
            {
                last = follow(&mut network, last, "preventer", self.level(place.at), device(preventer, true));
            }
        }
        let level = network.nodes[last].elevation;
        last = follow(&mut network, last, "valve", level, device(zone.kit, true));
        if let Some(setting) = zone.kit.setting {
            let part = Part::Regulator { setting, diameter: zone.kit.inside, minor: 0.0 };
            last = follow(&mut network, last, "regulator", level, part);
        }
        (network, last)
    }

    /// The whole way of a zone, solved.
    fn solved(
        &self,
        main: &Main,
        zone: &Piped<'_>,
        found: Route,
        sizes: Vec<usize>,
    ) -> Result<ZonePlan, String> {
        let (mut network, valve) = self.trunk(main, zone);
        let first_link = network.links.len();
        let mut fed = vec![0_usize; found.nodes.len()];
        found.nodes.iter().filter_map(|node| node.after).for_each(|after| fed[after] += 1);
        let mut names = vec![valve; found.nodes.len()];
        for (i, node) in found.nodes.iter().enumerate() {
            let Some(after) = node.after else { continue };
            let part = pipe(self.pipes[sizes[i]], node.length.max(SHORTEST), minor(node, &fed));
            names[i] = follow(&mut network, names[after], format!("lateral {i}"), self.level(node.at), part);
            let emitter = node.target.map(|target| zone.outlets[target].emitter);
            network.nodes[names[i]].emitter = emitter;
        }
        let solution = solve(&network).map_err(|problem| problem.to_string())?;
        let (mut pressures, mut flows) = (vec![0.0; zone.outlets.len()], vec![0.0; zone.outlets.len()]);
        for (i, node) in found.nodes.iter().enumerate() {
            if let Some(target) = node.target {
                pressures[target] = solution.nodes[names[i]].pressure;
                flows[target] = solution.nodes[names[i]].outflow;
            }
        }
        let mut velocities = vec![0.0; found.nodes.len()];
        for (velocity, link) in velocities.iter_mut().skip(1).zip(&solution.links[first_link..]) {
            *velocity = link.velocity.abs();
        }
        let flow: f64 = flows.iter().sum();
        Ok(ZonePlan {
            quality: (found.cost, found.bound),
            nodes: found.nodes,
            sizes,
            velocities,
            pressures,
            flows,
            flow,
            behind_valve: solution.nodes[valve].pressure,
            at_supply: solution.nodes[0].pressure,
            stretches: Vec::new(),
            in_roots: 0.0,
            open: (solution.nodes[0].inflow - flow).abs() / flow.max(1e-12),
        })
    }
}

/// Why a zone is not piped as it should be.
pub enum PipeProblem {
    /// No way.
    Route(String),
    /// The network has no answer.
    Solve(String),
    /// Too little pressure, with what comes of it in the widest pipe.
    Pressure {
        /// Head needed behind the valve. [m]
        needed: f64,
        /// Head that is there. [m]
        head: f64,
        /// The zone in the widest pipe.
        plan: Box<ZonePlan>,
    },
    /// No size that keeps the limits, with what comes of it in the widest pipe.
    Sizes {
        /// Which limit.
        why: String,
        /// The zone in the widest pipe.
        plan: Box<ZonePlan>,
    },
}

/// Adds a node behind another; its index.
fn follow(network: &mut Network, before: usize, name: impl Into<String>, level: f64, part: Part) -> usize {
    let name = name.into();
    network.nodes.push(Node::joint(name.clone(), level));
    let to = network.nodes.len() - 1;
    network.links.push(Link { name, from: before, to, part });
    to
}

fn pipe(product: &PipeProduct, length: f64, minor: f64) -> Part {
    Part::Pipe {
        length: length.max(SHORTEST),
        diameter: product.inside,
        friction: Friction::HazenWilliams(product.coefficient),
        minor,
    }
}

fn size(product: &PipeProduct) -> PipeSize {
    PipeSize {
        name: product.name.clone(),
        diameter: product.inside,
        cost: product.price,
        friction: Friction::HazenWilliams(product.coefficient),
    }
}

/// Loss of the fitting at the beginning of a section.
fn minor(node: &RouteNode, fed: &[usize]) -> f64 {
    let branches = node.after.is_some_and(|after| fed[after] > 1);
    if branches { Fitting::TeeBranch.coefficient() } else { Fitting::Elbow.coefficient() }
}

/// The valve for a zone: with regulator for drip, without for heads; the smallest that carries its flow.
pub(super) fn valve(project: &Project, drip: bool, flow: f64) -> Option<&WaterPart> {
    let kind = if drip { PartKind::DripValve } else { PartKind::Valve };
    smallest(project, kind, flow)
}

/// The smallest part of a kind that carries a flow; the largest where none does.
pub(super) fn smallest(project: &Project, kind: PartKind, flow: f64) -> Option<&WaterPart> {
    let mut parts: Vec<&WaterPart> =
        project.stock.water_parts.values().filter(|part| part.kind == kind).collect();
    let most = |part: &&WaterPart| part.curve.last().map_or(0.0, |last| last.0);
    parts.sort_by(|a, b| most(a).total_cmp(&most(b)).then_with(|| a.id.cmp(&b.id)));
    parts.iter().find(|part| most(part) >= flow).or(parts.last()).copied()
}
