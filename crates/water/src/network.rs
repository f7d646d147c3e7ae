//! A network of pipes under pressure: what it is made of, and whether it can be solved.
//!
//! - In: nodes (junctions, outlets, supplies) and links (pipes, valves, pumps, regulators, devices).
//! - Out: [`Network`], checked by [`Network::check`]; `gradient.rs` solves it.
//! - Heads and elevations are metres over one datum; pressures are pascal at the gauge.
//! - Links run from one node to another; a flow against that direction is below zero.

use crate::darcy_weisbach::Turbulent;
use crate::fluid::Fluid;
use crate::positive::{NotUsable, above_zero, finite, not_below_zero, within};

/// A network.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    /// Where pipes meet, and where water comes in or leaves.
    pub nodes: Vec<Node>,
    /// What lies between them.
    pub links: Vec<Link>,
    /// The liquid.
    pub fluid: Fluid,
}

/// A node.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// As the drawing calls it.
    pub name: String,
    /// Height over the datum. [m]
    pub elevation: f64,
    /// Flow taken whatever the pressure. [m³/s] Not below zero.
    pub demand: f64,
    /// An outlet whose flow depends on the pressure.
    pub emitter: Option<Emitter>,
    /// Water comes in here.
    pub supply: Option<Supply>,
}

impl Node {
    /// A plain joint.
    pub fn joint(name: impl Into<String>, elevation: f64) -> Self {
        Self { name: name.into(), elevation, demand: 0.0, emitter: None, supply: None }
    }
}

/// An outlet: q = k pˣ, closed against flow from outside.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Emitter {
    /// k: flow at a pressure of 1 Pa. [m³/s/Paˣ]
    pub coefficient: f64,
    /// x: 0.5 for a nozzle; 0.1 to 1.5.
    pub exponent: f64,
    /// Pressure above which the flow no longer grows: regulated heads, compensating emitters. [Pa]
    pub regulated_above: Option<f64>,
    /// Lowest and highest pressure at which it works as it should. [Pa]
    pub range: Option<(f64, f64)>,
}

impl Emitter {
    /// The outlet that passes `flow` [m³/s] at `pressure` [Pa].
    ///
    /// # Errors
    /// Numbers not above zero, an exponent out of 0.1 to 1.5.
    pub fn rated(flow: f64, pressure: f64, exponent: f64) -> Result<Self, NotUsable> {
        above_zero("the rated flow", flow, "m³/s")?;
        above_zero("the rated pressure", pressure, "Pa")?;
        good_exponent(exponent)?;
        let coefficient = flow / pressure.powf(exponent);
        Ok(Self { coefficient, exponent, regulated_above: None, range: None })
    }

    /// Flow at a pressure; none below zero. [m³/s]
    pub fn flow(&self, pressure: f64) -> f64 {
        let top = self.regulated_above.unwrap_or(f64::INFINITY);
        self.coefficient * pressure.clamp(0.0, top).powf(self.exponent)
    }
}

/// Where water comes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Supply {
    /// Head over the datum when nothing flows. [m]
    pub head: f64,
    /// By how much it falls when something flows.
    pub droop: Option<Droop>,
}

/// Fall of a supply's head with its flow: c Qⁿ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Droop {
    /// c: fall at 1 m³/s. [m/(m³/s)ⁿ]
    pub coefficient: f64,
    /// n, from 1 to 3.
    pub exponent: f64,
}

/// A link between two nodes.
#[derive(Debug, Clone, PartialEq)]
pub struct Link {
    /// As the drawing calls it.
    pub name: String,
    /// Index of the node at its beginning.
    pub from: usize,
    /// Index of the node at its end.
    pub to: usize,
    /// What it is.
    pub part: Part,
}

/// Friction of a pipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Friction {
    /// By Hazen and Williams' coefficient C.
    HazenWilliams(f64),
    /// By roughness. [m]
    DarcyWeisbach(f64, Turbulent),
}

/// What a link is.
#[derive(Debug, Clone, PartialEq)]
pub enum Part {
    /// A pipe.
    Pipe {
        /// Length. [m]
        length: f64,
        /// Inside diameter. [m]
        diameter: f64,
        /// Friction.
        friction: Friction,
        /// Sum of the K of its fittings.
        minor: f64,
    },
    /// A valve, open or shut.
    Valve {
        /// Inside diameter to which K refers. [m]
        diameter: f64,
        /// K when open.
        minor: f64,
        /// Whether it is open.
        open: bool,
    },
    /// A valve that lets water through one way.
    CheckValve {
        /// Inside diameter to which K refers. [m]
        diameter: f64,
        /// K when open.
        minor: f64,
    },
    /// A meter, filter or backflow preventer by its maker's curve.
    Device {
        /// Flow [m³/s] and head lost [m], both rising; straight between, the last line goes on.
        curve: Vec<(f64, f64)>,
        /// Whether it stops flow backwards.
        one_way: bool,
    },
    /// A pump; it stops flow backwards.
    Pump(PumpCurve),
    /// A pressure-reducing valve: keeps the pressure at its end from rising above a setting, and
    /// stops flow backwards.
    Regulator {
        /// Pressure at its end. [Pa]
        setting: f64,
        /// Inside diameter to which K refers. [m]
        diameter: f64,
        /// K when wide open.
        minor: f64,
    },
}

/// Head that a pump adds: H = shutoff − b Qᶜ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PumpCurve {
    /// Head against a shut valve. [m]
    pub shutoff: f64,
    /// b. [m/(m³/s)ᶜ]
    pub fall: f64,
    /// c, from 0.5 to 20.
    pub power: f64,
}

impl PumpCurve {
    /// The curve through the shutoff head [m] and two more points (flow [m³/s], head [m]).
    ///
    /// # Errors
    /// Flows that do not rise, heads that do not fall, or a shape no pump of this form has.
    pub fn through(
        shutoff: f64,
        (flow_1, head_1): (f64, f64),
        (flow_2, head_2): (f64, f64),
    ) -> Result<Self, NotUsable> {
        above_zero("the first flow of the pump", flow_1, "m³/s")?;
        above_zero("the second flow less the first", flow_2 - flow_1, "m³/s")?;
        finite("the second flow of the pump", flow_2, "m³/s")?;
        above_zero("the fall of head to the first point", shutoff - head_1, "m")?;
        above_zero("the fall of head to the second point", head_1 - head_2, "m")?;
        not_below_zero("the head at the second point", head_2, "m")?;
        let power = ((shutoff - head_2) / (shutoff - head_1)).ln() / (flow_2 / flow_1).ln();
        let curve = Self { shutoff, fall: (shutoff - head_1) / flow_1.powf(power), power };
        curve.check()?;
        Ok(curve)
    }

    /// Head added at a flow. [m]
    pub fn head(&self, flow: f64) -> f64 {
        self.shutoff - self.fall * flow.max(0.0).powf(self.power)
    }

    /// Flow at which it adds nothing. [m³/s]
    pub fn runout(&self) -> f64 {
        (self.shutoff / self.fall).powf(1.0 / self.power)
    }

    fn check(&self) -> Result<(), NotUsable> {
        above_zero("the shutoff head", self.shutoff, "m")?;
        above_zero("the fall of the pump's curve", self.fall, "m/(m³/s)ᶜ")?;
        let good = (0.5..=20.0).contains(&self.power);
        within("the power of the pump's curve", self.power, "", good, "0.5 to 20; check the three points")
    }
}

/// Why a network has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// A number that a part cannot have.
    #[error("{at}: {wrong}")]
    NotUsable {
        /// Name of the node or link.
        at: String,
        /// What is wrong.
        wrong: NotUsable,
    },
    /// A link to a node that is not there.
    #[error("link `{link}` ends at node {node}, but there are {nodes} nodes, counted from 0")]
    NoSuchNode {
        /// Name of the link.
        link: String,
        /// Index asked for.
        node: usize,
        /// How many there are.
        nodes: usize,
    },
    /// A link from a node to itself.
    #[error("link `{link}` begins and ends at `{node}`; give it two different ends")]
    Loop {
        /// Name of the link.
        link: String,
        /// Name of the node.
        node: String,
    },
    /// No supply at all.
    #[error("no node has a supply; tell where the water comes in and with what pressure")]
    NoSupply,
    /// Nothing ties a node to a supply.
    #[error("`{node}` is not joined to any supply; draw the pipe that feeds it")]
    Unfed {
        /// Name of the node.
        node: String,
    },
    /// Shut valves cut off every outlet, or one that must be served.
    #[error("shut valves cut `{node}` off, which asks for water; open the valve that feeds it")]
    Closed {
        /// Name of the node.
        node: String,
    },
    /// Two regulators hold the same node, or one holds a supply.
    #[error("regulator `{link}` ends at `{node}`, whose pressure something else holds; put a pipe between")]
    HeldTwice {
        /// Name of the link.
        link: String,
        /// Name of the node.
        node: String,
    },
    /// The method did not come to rest.
    #[error(
        "no balance was found after {tries} rounds ({left:.2e} m³/s left open); check for parts that work against each other, such as a regulator with a pipe round it"
    )]
    Unsettled {
        /// Rounds made.
        tries: usize,
        /// Largest change of flow in the last. [m³/s]
        left: f64,
    },
}

impl Network {
    /// Checks numbers and joints; says nothing about shut valves.
    ///
    /// # Errors
    /// The first thing found wrong, with the name of the part.
    pub fn check(&self) -> Result<(), NetworkError> {
        let wrong = |at: &str| {
            let at = at.to_owned();
            move |wrong| NetworkError::NotUsable { at, wrong }
        };
        self.check_fluid().map_err(wrong("the liquid"))?;
        for node in &self.nodes {
            check_node(node).map_err(wrong(&node.name))?;
        }
        let mut held: Vec<bool> = self.nodes.iter().map(|node| node.supply.is_some()).collect();
        for link in &self.links {
            self.check_ends(link)?;
            check_part(&link.part).map_err(wrong(&link.name))?;
            if matches!(link.part, Part::Regulator { .. }) && std::mem::replace(&mut held[link.to], true) {
                let node = self.nodes[link.to].name.clone();
                return Err(NetworkError::HeldTwice { link: link.name.clone(), node });
            }
        }
        if !self.nodes.iter().any(|node| node.supply.is_some()) {
            return Err(NetworkError::NoSupply);
        }
        let fed = self.reached(|_| true);
        match fed.iter().position(|fed| !fed) {
            Some(node) => Err(NetworkError::Unfed { node: self.nodes[node].name.clone() }),
            None => Ok(()),
        }
    }

    /// Which nodes a supply reaches through the links that `passes` admits, by index.
    pub(crate) fn reached(&self, passes: impl Fn(usize) -> bool) -> Vec<bool> {
        let mut joined = vec![Vec::new(); self.nodes.len()];
        for (_, link) in self.links.iter().enumerate().filter(|(i, _)| passes(*i)) {
            joined[link.from].push(link.to);
            joined[link.to].push(link.from);
        }
        let mut reached: Vec<bool> = self.nodes.iter().map(|node| node.supply.is_some()).collect();
        let mut open: Vec<usize> = (0..reached.len()).filter(|&i| reached[i]).collect();
        while let Some(node) = open.pop() {
            for &next in &joined[node] {
                if !std::mem::replace(&mut reached[next], true) {
                    open.push(next);
                }
            }
        }
        reached
    }

    fn check_fluid(&self) -> Result<(), NotUsable> {
        above_zero("the specific weight", self.fluid.specific_weight, "N/m³")?;
        above_zero("the viscosity", self.fluid.viscosity, "m²/s")
    }

    fn check_ends(&self, link: &Link) -> Result<(), NetworkError> {
        let nodes = self.nodes.len();
        if let Some(node) = [link.from, link.to].into_iter().find(|&node| node >= nodes) {
            return Err(NetworkError::NoSuchNode { link: link.name.clone(), node, nodes });
        }
        if link.from == link.to {
            let node = self.nodes[link.from].name.clone();
            return Err(NetworkError::Loop { link: link.name.clone(), node });
        }
        Ok(())
    }
}

fn good_exponent(exponent: f64) -> Result<(), NotUsable> {
    let expected =
        "0.1 to 1.5; for a compensating emitter take 0.5 and the pressure above which it regulates";
    within("the exponent", exponent, "", (0.1..=1.5).contains(&exponent), expected)
}

fn check_node(node: &Node) -> Result<(), NotUsable> {
    finite("the elevation", node.elevation, "m")?;
    not_below_zero("the demand", node.demand, "m³/s")?;
    if let Some(emitter) = &node.emitter {
        above_zero("the outlet's coefficient", emitter.coefficient, "m³/s/Paˣ")?;
        good_exponent(emitter.exponent)?;
        if let Some(top) = emitter.regulated_above {
            above_zero("the pressure above which it regulates", top, "Pa")?;
        }
        if let Some((low, high)) = emitter.range {
            not_below_zero("the lowest working pressure", low, "Pa")?;
            above_zero("the working range of pressure", high - low, "Pa")?;
        }
    }
    if let Some(supply) = &node.supply {
        finite("the supply's head", supply.head, "m")?;
        if let Some(droop) = &supply.droop {
            above_zero("the fall of the supply's head", droop.coefficient, "m/(m³/s)ⁿ")?;
            let good = (1.0..=3.0).contains(&droop.exponent);
            within("the power of the supply's fall", droop.exponent, "", good, "1 to 3")?;
        }
    }
    Ok(())
}

fn check_part(part: &Part) -> Result<(), NotUsable> {
    let valve = |diameter: f64, minor: f64| {
        above_zero("the inside diameter", diameter, "m")?;
        not_below_zero("the loss coefficient K", minor, "")
    };
    match part {
        Part::Pipe { length, diameter, friction, minor } => {
            valve(*diameter, *minor)?;
            above_zero("the length", *length, "m")?;
            match friction {
                Friction::HazenWilliams(c) => above_zero("the coefficient C", *c, ""),
                Friction::DarcyWeisbach(roughness, _) => {
                    let good = *roughness >= 0.0 && *roughness <= diameter / 10.0;
                    within("the roughness", *roughness, "m", good, "0 to a tenth of the diameter")
                }
            }
        }
        Part::Valve { diameter, minor, .. } | Part::CheckValve { diameter, minor } => {
            valve(*diameter, *minor)
        }
        Part::Regulator { setting, diameter, minor } => {
            above_zero("the setting", *setting, "Pa")?;
            valve(*diameter, *minor)
        }
        Part::Pump(curve) => curve.check(),
        Part::Device { curve, .. } => check_curve(curve),
    }
}

fn check_curve(curve: &[(f64, f64)]) -> Result<(), NotUsable> {
    above_zero("the count of points of the curve", curve.len() as f64, "")?;
    let (mut flow, mut loss) = (-1.0, -1.0);
    for &(next_flow, next_loss) in curve {
        not_below_zero("a flow of the curve", next_flow, "m³/s")?;
        not_below_zero("a loss of the curve", next_loss, "m")?;
        above_zero("the step to the next flow of the curve", next_flow - flow, "m³/s")?;
        not_below_zero("the step to the next loss of the curve", next_loss - loss, "m")?;
        (flow, loss) = (next_flow, next_loss);
    }
    if curve.len() == 1 { above_zero("the only flow of the curve", flow, "m³/s") } else { Ok(()) }
}
