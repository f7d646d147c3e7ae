//! Whether a solved network closes: water at every node, head round every loop.
//!
//! - In: the network, heads and flows. Out: [`Balance`], what is left open and where.
//! - Losses are taken from the laws at the flows found, not from the heads: round a loop they are
//!   added up over a spanning tree and the link that closes it. Supplies and outlets close loops
//!   through the datum, so every difference of heads is tried too.

use std::collections::VecDeque;

use crate::law::Law;
use crate::network::{Network, Part};
use crate::solution::NodeState;

/// What a solution leaves open.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Balance {
    /// Flow in at all supplies. [m³/s]
    pub supplied: f64,
    /// Flow out at outlets and demands. [m³/s]
    pub delivered: f64,
    /// Largest flow left open at any node. [m³/s]
    pub open_flow: f64,
    /// The node where it is.
    pub open_at: Option<usize>,
    /// Loops closed by links, beside those through the datum.
    pub loops: usize,
    /// Largest head left open round a loop of links. [m]
    pub open_loop: f64,
    /// Largest head left open from a supply through the losses on the way to a node. [m]
    pub open_head: f64,
}

pub(crate) fn balance(
    network: &Network,
    nodes: &[NodeState],
    flows: &[f64],
    loss: &dyn Fn(usize) -> Option<f64>,
) -> Balance {
    let mut balance = Balance {
        supplied: nodes.iter().map(|node| node.inflow).sum(),
        delivered: nodes.iter().map(|node| node.outflow).sum(),
        ..Balance::default()
    };
    let mut open: Vec<f64> = nodes.iter().map(|node| node.inflow - node.outflow).collect();
    for (link, flow) in network.links.iter().zip(flows) {
        open[link.from] -= flow;
        open[link.to] += flow;
    }
    for (i, flow) in open.iter().enumerate() {
        if flow.abs() > balance.open_flow {
            (balance.open_flow, balance.open_at) = (flow.abs(), Some(i));
        }
    }
    close_loops(network, nodes, loss, &mut balance);
    balance
}

/// A potential by adding up losses from the supplies; what does not agree with it is left open.
fn close_loops(
    network: &Network,
    nodes: &[NodeState],
    loss: &dyn Fn(usize) -> Option<f64>,
    balance: &mut Balance,
) {
    let losses: Vec<Option<f64>> = (0..network.links.len()).map(loss).collect();
    let mut links_at = vec![Vec::new(); nodes.len()];
    for (i, link) in network.links.iter().enumerate() {
        links_at[link.from].push(i);
        links_at[link.to].push(i);
    }
    let mut potential: Vec<Option<f64>> = vec![None; nodes.len()];
    let mut in_tree = vec![false; network.links.len()];
    let mut open: VecDeque<usize> = VecDeque::new();
    for (i, node) in network.nodes.iter().enumerate() {
        if let Some(supply) = &node.supply {
            let fall = Law::of_supply(supply).map_or(0.0, |law| law.loss(nodes[i].inflow).0);
            potential[i] = Some(supply.head - fall);
            open.push_back(i);
        }
    }
    // Where a regulator is at work, a new known head begins.
    for link in &network.links {
        if matches!(link.part, Part::Regulator { .. }) && !nodes[link.to].shut {
            potential[link.to] = Some(nodes[link.to].head);
            open.push_back(link.to);
        }
    }
    while let Some(node) = open.pop_front() {
        let Some(here) = potential[node] else { continue };
        balance.open_head = balance.open_head.max((here - nodes[node].head).abs());
        for &i in &links_at[node] {
            let link = &network.links[i];
            let (Some(loss), false) = (losses[i], in_tree[i]) else { continue };
            let (next, there) =
                if link.from == node { (link.to, here - loss) } else { (link.from, here + loss) };
            in_tree[i] = true;
            match potential[next] {
                None if !nodes[next].shut => {
                    potential[next] = Some(there);
                    open.push_back(next);
                }
                Some(known) => {
                    balance.loops += 1;
                    balance.open_loop = balance.open_loop.max((known - there).abs());
                }
                None => {}
            }
        }
    }
}
