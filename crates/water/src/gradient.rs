//! A network solved by the global gradient method.
//!
//! - In: a [`Network`]. Out: [`Solution`]: heads, pressures, flows, the balance, what to look at.
//! - Method: Newton's method on heads and flows together (Todini and Pilati 1988). Every law rises, so
//!   the flows sought are the least of a convex content; each step is shortened along its own
//!   direction until the content falls, so it comes to rest from any beginning.
//! - Outlets are links to the height of their mouth. A regulator is open, at work (its end is then a
//!   known head, its flow a demand before it) or shut; rounds are made until that stands.
//! - Nodes behind shut valves are out of service.

use crate::balance::balance;
use crate::elimination::{Elimination, LostPivot, pairs_of};
use crate::law::Law;
use crate::network::{Network, NetworkError, Part};
use crate::solution::{LinkState, NodeState, Solution, flags};
use crate::velocity::bore;

/// Newton steps in one round.
const STEPS: usize = 200;
/// Rounds over the states of regulators.
const ROUNDS: usize = 60;
/// At rest, the flows' changes sum to less than this share of the flows.
const AT_REST: f64 = 1e-10;
/// Below this share of the flows, changes that no longer shrink are rounding.
const NEARLY: f64 = 1e-7;
/// Heads that differ by less than this from the losses between them are closed. [m]
const CLOSED: f64 = 1e-6;
/// A flow that is none: a few drops in a day. [m³/s]
const NOTHING: f64 = 1e-11;

/// Where an edge of the computation ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum End {
    /// An unknown head, by index.
    Unknown(usize),
    /// A known head. [m]
    Known(f64),
}

/// What an edge of the computation stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stands {
    Link(usize),
    Outlet(usize),
    Supply(usize),
}

#[derive(Debug, Clone)]
pub(crate) struct Edge {
    pub(crate) ends: [End; 2],
    pub(crate) law: Law,
    stands: Stands,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Regulator {
    Open,
    AtWork,
    Shut,
}

/// The state of the computation that lasts from round to round.
struct Rounds<'n> {
    network: &'n Network,
    regulators: Vec<Regulator>,
    /// Flow through each link that is a regulator at work.
    regulated: Vec<f64>,
    flows: Vec<f64>,
    steps: usize,
}

/// One round: the graph of its unknowns.
struct Round {
    end: Vec<Option<End>>,
    unknowns: usize,
    edges: Vec<Edge>,
}

/// Solves a network.
///
/// # Returns
/// States in the order of the network's nodes and links. Flows close at every node and losses round
/// every loop to the amounts in the balance.
///
/// # Errors
/// What [`Network::check`] finds; a demand, or every outlet, behind shut valves; no balance found.
///
/// # Source
/// Todini and Pilati 1988; regulators as in the manual of EPANET 2.2.
pub fn solve(network: &Network) -> Result<Solution, NetworkError> {
    network.check()?;
    let mut rounds = Rounds {
        network,
        regulators: vec![Regulator::Open; network.links.len()],
        regulated: vec![0.0; network.links.len()],
        flows: Vec::new(),
        steps: 0,
    };
    for _ in 0..ROUNDS {
        let round = rounds.lay_out()?;
        let heads = rounds.newton(&round)?;
        if rounds.settle(&round, &heads) {
            return Ok(rounds.solution(&round, &heads));
        }
    }
    Err(NetworkError::Unsettled { tries: ROUNDS, left: 0.0 })
}

impl Rounds<'_> {
    /// Numbers the unknowns and lays out the edges.
    fn lay_out(&self) -> Result<Round, NetworkError> {
        let network = self.network;
        let state = |i: usize| self.regulators[i];
        let shut = |i: usize| match network.links[i].part {
            Part::Valve { open, .. } => !open,
            Part::Regulator { .. } => state(i) == Regulator::Shut,
            _ => false,
        };
        let passes: Vec<bool> = (0..network.links.len()).map(|i| !shut(i)).collect();
        let fed = network.reached(|i| passes[i]);
        check_served(network, &fed)?;
        let mut end: Vec<Option<End>> = vec![None; network.nodes.len()];
        for (i, link) in network.links.iter().enumerate() {
            if let (Part::Regulator { setting, .. }, Regulator::AtWork) = (&link.part, state(i)) {
                let head = network.nodes[link.to].elevation + network.fluid.head(*setting);
                end[link.to] = Some(End::Known(head));
            }
        }
        let mut unknowns = 0;
        for (i, node) in network.nodes.iter().enumerate().filter(|(i, _)| fed[*i]) {
            let held = node.supply.filter(|supply| supply.droop.is_none());
            end[i] = end[i].or_else(|| {
                Some(held.map_or_else(
                    || {
                        unknowns += 1;
                        End::Unknown(unknowns - 1)
                    },
                    |supply| End::Known(supply.head),
                ))
            });
        }
        let mut round = Round { end, unknowns, edges: Vec::new() };
        round.add_edges(network, |i| passes[i] && state(i) != Regulator::AtWork);
        Ok(round)
    }

    /// Newton's method; answers the heads of the unknowns and leaves the flows of the edges.
    fn newton(&mut self, round: &Round) -> Result<Vec<f64>, NetworkError> {
        let edges = &round.edges;
        let system = System::new(round, self.demands(round));
        let mut flows: Vec<f64> = edges.iter().map(|edge| edge.law.guess()).collect();
        let mut left = f64::INFINITY;
        for step in 0..STEPS {
            self.steps += 1;
            let (losses, slopes): (Vec<f64>, Vec<f64>) =
                edges.iter().zip(&flows).map(|(edge, q)| edge.law.loss(*q)).unzip();
            let heads = system
                .heads(edges, &flows, &losses, &slopes)
                .map_err(|LostPivot| NetworkError::Unsettled { tries: step, left })?;
            let differences: Vec<f64> = edges.iter().map(|edge| edge.difference(&heads)).collect();
            let moves: Vec<f64> =
                (0..edges.len()).map(|k| (differences[k] - losses[k]) / slopes[k]).collect();
            let share = if step == 0 { 1.0 } else { step_share(edges, &flows, &moves, &differences) };
            for (q, d) in flows.iter_mut().zip(&moves) {
                *q += share * d;
            }
            let before = std::mem::replace(&mut left, moves.iter().map(|d| d.abs()).sum::<f64>());
            let size: f64 = flows.iter().map(|q| q.abs()).sum();
            // What no longer shrinks though it is small is rounding; steep laws turn small flows into heads.
            let small = left <= NEARLY * size + NOTHING * edges.len() as f64 && left > before / 2.0;
            let open = differences.iter().zip(&losses).map(|(d, h)| (d - h).abs()).fold(0.0, f64::max);
            let rounding = small && (open < CLOSED || step > STEPS / 4);
            if step > 0 && (left <= AT_REST * size || rounding) {
                self.flows = flows;
                return Ok(heads);
            }
        }
        Err(NetworkError::Unsettled { tries: STEPS, left })
    }

    /// Demands of the unknowns, with what regulators at work take before them. [m³/s]
    fn demands(&self, round: &Round) -> Vec<f64> {
        let mut demand = vec![0.0; round.unknowns];
        let mut add = |node: usize, flow: f64| {
            if let Some(End::Unknown(i)) = round.end[node] {
                demand[i] += flow;
            }
        };
        for (i, node) in self.network.nodes.iter().enumerate() {
            add(i, node.demand);
        }
        for (i, link) in self.network.links.iter().enumerate() {
            if self.regulators[i] == Regulator::AtWork {
                add(link.from, self.regulated[i]);
            }
        }
        demand
    }

    /// Looks at the regulators; whether their states and flows stand.
    fn settle(&mut self, round: &Round, heads: &[f64]) -> bool {
        let network = self.network;
        let mut stands = true;
        for (i, link) in network.links.iter().enumerate() {
            let Part::Regulator { setting, .. } = &link.part else { continue };
            let target = network.nodes[link.to].elevation + network.fluid.head(*setting);
            let before = round.head(link.from, heads);
            let after = round.head(link.to, heads);
            let flow = match self.regulators[i] {
                Regulator::AtWork => self.leaving(round, link.to),
                _ => self.flow_of(round, Stands::Link(i)),
            };
            let wide_open = Law::of_part(&link.part, &network.fluid).loss(flow.max(0.0)).0;
            let next = match (self.regulators[i], before) {
                (_, None) => Regulator::Open,
                (Regulator::Open, Some(_)) if after.is_some_and(|h| h > target + 1e-9) => Regulator::AtWork,
                (Regulator::AtWork, Some(_)) if flow < -1e-9 => Regulator::Shut,
                (Regulator::AtWork, Some(before)) if before < target + wide_open - 1e-9 => Regulator::Open,
                (Regulator::Shut, Some(before)) if after.is_none_or(|h| h < before.min(target) - 1e-9) => {
                    Regulator::Open
                }
                (same, _) => same,
            };
            if next != self.regulators[i] {
                stands = false;
            }
            if next == Regulator::AtWork {
                stands &= (flow - self.regulated[i]).abs() <= 1e-9 * flow.abs() + 1e-12;
                self.regulated[i] = flow.max(0.0);
            }
            self.regulators[i] = next;
        }
        stands
    }

    /// What leaves a node whose head is known, over all its edges. [m³/s]
    fn leaving(&self, round: &Round, node: usize) -> f64 {
        let network = self.network;
        let mut sum = network.nodes[node].demand + self.flow_of(round, Stands::Outlet(node));
        for (edge, flow) in round.edges.iter().zip(&self.flows) {
            if let Stands::Link(i) = edge.stands {
                if network.links[i].from == node {
                    sum += flow;
                } else if network.links[i].to == node {
                    sum -= flow;
                }
            }
        }
        for (i, link) in network.links.iter().enumerate() {
            if link.from == node && self.regulators[i] == Regulator::AtWork {
                sum += self.regulated[i];
            }
        }
        sum
    }

    fn flow_of(&self, round: &Round, stands: Stands) -> f64 {
        round.edges.iter().zip(&self.flows).find(|(edge, _)| edge.stands == stands).map_or(0.0, |(_, q)| *q)
    }

    fn solution(&self, round: &Round, heads: &[f64]) -> Solution {
        let network = self.network;
        let fluid = &network.fluid;
        let mut nodes: Vec<NodeState> = network
            .nodes
            .iter()
            .enumerate()
            .map(|(i, node)| {
                let head = round.head(i, heads);
                let demand = if head.is_some() { node.demand } else { 0.0 };
                NodeState {
                    head: head.unwrap_or(node.elevation),
                    pressure: head.map_or(0.0, |head| fluid.pressure(head - node.elevation)),
                    outflow: demand,
                    inflow: 0.0,
                    shut: head.is_none(),
                }
            })
            .collect();
        let mut flows = vec![0.0; network.links.len()];
        for (edge, &flow) in round.edges.iter().zip(&self.flows) {
            match edge.stands {
                Stands::Link(i) => flows[i] = flow,
                Stands::Outlet(i) => nodes[i].outflow += flow.max(0.0),
                Stands::Supply(i) => nodes[i].inflow = flow,
            }
        }
        for i in (0..flows.len()).filter(|&i| self.regulators[i] == Regulator::AtWork) {
            flows[i] = self.regulated[i];
        }
        // A supply whose head stands gives what its links and its own outlets take.
        let held = |node: usize| network.nodes[node].supply.is_some_and(|s| s.droop.is_none());
        for (i, link) in network.links.iter().enumerate() {
            for (node, flow) in [(link.from, flows[i]), (link.to, -flows[i])] {
                if held(node) {
                    nodes[node].inflow += flow;
                }
            }
        }
        for (_, state) in nodes.iter_mut().enumerate().filter(|(i, _)| held(*i)) {
            state.inflow += state.outflow;
        }
        let links = network
            .links
            .iter()
            .zip(&flows)
            .map(|(link, &flow)| LinkState {
                flow,
                velocity: flow / diameter(&link.part).map_or(f64::INFINITY, bore),
                loss: nodes[link.from].head - nodes[link.to].head,
            })
            .collect();
        let balance = balance(network, &nodes, &flows, &|i| self.bound_loss(i, flows[i]));
        let flags = flags(network, &nodes, &flows);
        Solution { nodes, links, balance, flags, steps: self.steps }
    }

    /// Loss of a link by its law; none where the link does not follow one (shut, or regulating).
    fn bound_loss(&self, i: usize, flow: f64) -> Option<f64> {
        let link = &self.network.links[i];
        let bound = match link.part {
            Part::Valve { open, .. } => open,
            Part::Regulator { .. } => self.regulators[i] == Regulator::Open,
            _ => true,
        };
        bound.then(|| Law::of_part(&link.part, &self.network.fluid).loss(flow).0)
    }
}

/// The linear system of a round: the same pattern in every step.
struct System {
    order: Elimination,
    /// Pair of unknowns that each edge joins, if it joins two.
    pair: Vec<Option<usize>>,
    pairs: usize,
    demand: Vec<f64>,
}

impl System {
    fn new(round: &Round, demand: Vec<f64>) -> Self {
        let joins: Vec<Option<(usize, usize)>> = round.edges.iter().map(Edge::join).collect();
        let inner: Vec<(usize, usize)> = joins.iter().flatten().copied().collect();
        let (pairs, of_inner) = pairs_of(&inner);
        let mut next = of_inner.into_iter();
        let pair = joins.iter().map(|join| join.and_then(|_| next.next())).collect();
        Self { order: Elimination::new(round.unknowns, &pairs), pair, pairs: pairs.len(), demand }
    }

    /// Heads at which flows along the tangents of the laws close at every node.
    fn heads(
        &self,
        edges: &[Edge],
        flows: &[f64],
        losses: &[f64],
        slopes: &[f64],
    ) -> Result<Vec<f64>, LostPivot> {
        let mut diagonal = vec![0.0; self.demand.len()];
        let mut weights = vec![0.0; self.pairs];
        let mut right: Vec<f64> = self.demand.iter().map(|d| -d).collect();
        for (k, edge) in edges.iter().enumerate() {
            let g = slopes[k].recip();
            edge.assemble(g, flows[k] - g * losses[k], &mut diagonal, &mut right);
            if let Some(pair) = self.pair[k] {
                weights[pair] += g;
            }
        }
        self.order.solve(&mut diagonal, &weights, &mut right)?;
        Ok(right)
    }
}

impl Round {
    fn add_edges(&mut self, network: &Network, flows: impl Fn(usize) -> bool) {
        let fluid = &network.fluid;
        for (i, link) in network.links.iter().enumerate().filter(|(i, _)| flows(*i)) {
            if let (Some(from), Some(to)) = (self.end[link.from], self.end[link.to]) {
                let law = Law::of_part(&link.part, fluid);
                self.edges.push(Edge { ends: [from, to], law, stands: Stands::Link(i) });
            }
        }
        for (i, node) in network.nodes.iter().enumerate() {
            let Some(end) = self.end[i] else { continue };
            if let Some(emitter) = &node.emitter {
                let ends = [end, End::Known(node.elevation)];
                self.edges.push(Edge {
                    ends,
                    law: Law::of_emitter(emitter, fluid),
                    stands: Stands::Outlet(i),
                });
            }
            if let Some((supply, law)) = node.supply.and_then(|s| Some((s, Law::of_supply(&s)?))) {
                let ends = [End::Known(supply.head), end];
                self.edges.push(Edge { ends, law, stands: Stands::Supply(i) });
            }
        }
    }

    /// Head of a node; none if it is shut. [m]
    fn head(&self, node: usize, heads: &[f64]) -> Option<f64> {
        self.end[node].map(|end| end.head(heads))
    }
}

impl End {
    fn head(self, heads: &[f64]) -> f64 {
        match self {
            Self::Unknown(i) => heads[i],
            Self::Known(head) => head,
        }
    }
}

impl Edge {
    /// The two unknowns it joins.
    fn join(&self) -> Option<(usize, usize)> {
        match self.ends {
            [End::Unknown(i), End::Unknown(j)] => Some((i, j)),
            _ => None,
        }
    }

    fn difference(&self, heads: &[f64]) -> f64 {
        self.ends[0].head(heads) - self.ends[1].head(heads)
    }

    /// Adds conductance `g` and the flow `carried` at equal heads to the system.
    fn assemble(&self, g: f64, carried: f64, diagonal: &mut [f64], right: &mut [f64]) {
        for (here, there, leaving) in [(0, 1, carried), (1, 0, -carried)] {
            if let End::Unknown(i) = self.ends[here] {
                diagonal[i] += g;
                right[i] -= leaving;
                if let End::Known(head) = self.ends[there] {
                    right[i] += g * head;
                }
            }
        }
    }
}

/// How much of a step to take: all of it, or where the content stops falling along it.
fn step_share(edges: &[Edge], flows: &[f64], moves: &[f64], differences: &[f64]) -> f64 {
    let slope = |share: f64| -> f64 {
        edges
            .iter()
            .enumerate()
            .map(|(k, edge)| (edge.law.loss(flows[k] + share * moves[k]).0 - differences[k]) * moves[k])
            .sum()
    };
    let steepest: f64 = slope(0.0);
    if slope(1.0) <= 0.1 * steepest.abs() {
        return 1.0;
    }
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..30 {
        let middle = f64::midpoint(low, high);
        let here = slope(middle);
        if here.abs() <= 0.1 * steepest.abs() {
            return middle;
        }
        if here < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// A demand, or every outlet, behind shut valves has no answer.
fn check_served(network: &Network, fed: &[bool]) -> Result<(), NetworkError> {
    let closed = |i: usize| NetworkError::Closed { node: network.nodes[i].name.clone() };
    let asks = |i: usize| network.nodes[i].emitter.is_some();
    if let Some(i) = (0..fed.len()).find(|&i| !fed[i] && network.nodes[i].demand > 0.0) {
        return Err(closed(i));
    }
    let some = (0..fed.len()).any(|i| fed[i] && (asks(i) || network.nodes[i].demand > 0.0));
    match (0..fed.len()).find(|&i| asks(i)) {
        Some(i) if !some => Err(closed(i)),
        _ => Ok(()),
    }
}

fn diameter(part: &Part) -> Option<f64> {
    match part {
        Part::Pipe { diameter, .. }
        | Part::Valve { diameter, .. }
        | Part::CheckValve { diameter, .. }
        | Part::Regulator { diameter, .. } => Some(*diameter),
        Part::Device { .. } | Part::Pump(_) => None,
    }
}
