//! What a solved network says: states, balance, and what to look at.
//!
//! - In: heads and flows of `gradient.rs`. Out: [`Solution`].
//! - A flag is no error: the network has an answer, and the answer is bad for the yard.

use crate::balance::Balance;
use crate::network::{Network, Part};

/// The state of a node.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NodeState {
    /// Head over the datum; of a shut node its elevation. [m]
    pub head: f64,
    /// Pressure; of a shut node 0. [Pa]
    pub pressure: f64,
    /// Flow that leaves here: outlet and demand. [m³/s]
    pub outflow: f64,
    /// Flow that comes in here, if it is a supply. [m³/s]
    pub inflow: f64,
    /// Whether shut valves cut it off.
    pub shut: bool,
}

/// The state of a link.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LinkState {
    /// Flow, above zero from `from` to `to`. [m³/s]
    pub flow: f64,
    /// Mean velocity, with the sign of the flow; 0 where the link has no bore. [m/s]
    pub velocity: f64,
    /// Head at `from` less head at `to`; what a pump adds is below zero. [m]
    pub loss: f64,
}

/// Something that a reader should look at; names are those of the network.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Flag {
    /// Suction: air would come in, and dirty water with it.
    #[error(
        "`{node}` has a pressure of {pressure:.0} Pa, below that of the air; lower it, feed it better or pipe it larger"
    )]
    NegativePressure {
        /// Name of the node.
        node: String,
        /// Its pressure. [Pa]
        pressure: f64,
    },
    /// An outlet out of its range.
    #[error("outlet `{node}` works at {pressure:.0} Pa; it needs {low:.0} to {high:.0} Pa")]
    OutOfRange {
        /// Name of the node.
        node: String,
        /// Its pressure. [Pa]
        pressure: f64,
        /// Lowest. [Pa]
        low: f64,
        /// Highest. [Pa]
        high: f64,
    },
    /// A pump beyond its curve.
    #[error(
        "pump `{link}` passes {flow:.6} m³/s, beyond the {runout:.6} m³/s at which it adds no head; take a larger one"
    )]
    PumpBeyondCurve {
        /// Name of the link.
        link: String,
        /// Its flow. [m³/s]
        flow: f64,
        /// Flow at which it adds nothing. [m³/s]
        runout: f64,
    },
    /// An outlet behind a shut valve.
    #[error("outlet `{node}` is cut off by a shut valve")]
    Shut {
        /// Name of the node.
        node: String,
    },
}

/// A solved network; nodes and links in its order.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// State of each node.
    pub nodes: Vec<NodeState>,
    /// State of each link.
    pub links: Vec<LinkState>,
    /// Whether what flows in flows out, and whether losses close round every loop.
    pub balance: Balance,
    /// What to look at.
    pub flags: Vec<Flag>,
    /// Newton steps taken.
    pub steps: usize,
}

/// What a reader should look at.
pub(crate) fn flags(network: &Network, nodes: &[NodeState], flows: &[f64]) -> Vec<Flag> {
    let mut flags = Vec::new();
    for (node, state) in network.nodes.iter().zip(nodes) {
        let (name, pressure) = (|| node.name.clone(), state.pressure);
        if state.shut {
            if node.emitter.is_some() {
                flags.push(Flag::Shut { node: name() });
            }
            continue;
        }
        if pressure < -1.0 {
            flags.push(Flag::NegativePressure { node: name(), pressure });
        }
        if let Some((low, high)) = node.emitter.and_then(|emitter| emitter.range)
            && !(low..=high).contains(&pressure)
        {
            flags.push(Flag::OutOfRange { node: name(), pressure, low, high });
        }
    }
    for (link, &flow) in network.links.iter().zip(flows) {
        if let Part::Pump(curve) = &link.part
            && flow > curve.runout()
        {
            flags.push(Flag::PumpBeyondCurve { link: link.name.clone(), flow, runout: curve.runout() });
        }
    }
    flags
}
