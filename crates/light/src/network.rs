//! A low-voltage network: joints, cables between them, lamps at them, one supply.
//!
//! - In: joints by name, cables, lamps, any graph: chain, tee, hub with spokes, loop. Out: the
//!   network checked, with its order from the supply outwards, ready to be solved in any state.
//! - Assumes the tap's voltage held at the terminals; both conductors of a cable alike.
//! - Not here: the solving (`circuit.rs`), the choice of gauge and tap (`sizing.rs`).

use std::collections::HashSet;

use crate::positive::{above_zero, not_below_zero};
use crate::{CircuitError, NotUsable};

/// How a lamp draws its current.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LampKind {
    /// A resistance, taken from power and rated voltage: I = V W / Vr².
    Resistive,
    /// A driver that holds the power: I = W / V. Count its volt-amperes, not its watts.
    ConstantPower,
    /// A filament, whose resistance rises as it heats: W (V/Vr)^1.6, from memory of lamp handbooks.
    Filament,
}

/// A lamp at a joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// Index of its joint.
    pub joint: usize,
    /// How it draws its current.
    pub kind: LampKind,
    /// Power at the rated voltage; for a driver the volt-amperes it draws. [W]
    pub power: f64,
    /// Rated voltage of the lamp, not of the tap; a driver does not use it. [V]
    pub rated_voltage: f64,
}

/// A piece of two-conductor cable between two joints.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cable {
    /// Index of a joint.
    pub from: usize,
    /// Index of the other.
    pub to: usize,
    /// Length one way, with slack and depth. [m]
    pub length: f64,
    /// Resistance of one conductor. [Ω/m]
    pub resistance: f64,
    /// Resistance of the splices at its ends, both conductors together. [Ω] Usually 0.
    pub splice: f64,
}

impl Cable {
    /// Resistance out and back, splices included. [Ω]
    pub fn loop_resistance(&self) -> f64 {
        2.0 * self.length * self.resistance + self.splice
    }
}

/// A network as drawn.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    /// Names of the joints, for messages.
    pub joints: Vec<String>,
    /// Index of the joint at the transformer's terminals.
    pub source: usize,
    /// Cables.
    pub cables: Vec<Cable>,
    /// Lamps.
    pub loads: Vec<Load>,
}

/// A checked network with its order: from the supply outwards.
#[derive(Debug, Clone, PartialEq)]
pub struct Wiring {
    /// The network.
    pub(crate) network: Network,
    /// Joints, each after the one that feeds it in the spanning tree; the source is first.
    pub(crate) order: Vec<usize>,
    /// For each joint the joint before it and the cable between; none for the source.
    pub(crate) feed: Vec<Option<(usize, usize)>>,
    /// Index of the run of each joint: which cable at the source leads to it in the spanning tree.
    pub(crate) run: Vec<Option<usize>>,
    /// Cables that close a loop.
    pub(crate) closing: Vec<usize>,
}

impl Network {
    /// Checks the network and orders it.
    ///
    /// # Errors
    /// - [`CircuitError::NoSuchJoint`], [`CircuitError::ToItself`]: a cable or lamp names a wrong joint.
    /// - [`CircuitError::Cable`], [`CircuitError::Lamp`]: a number is not usable.
    /// - [`CircuitError::Unfed`]: joints that no cable connects with the supply.
    /// - [`CircuitError::Empty`]: no lamp.
    pub fn wiring(self) -> Result<Wiring, CircuitError> {
        self.check()?;
        let mut around: Vec<Vec<(usize, usize)>> = vec![Vec::new(); self.joints.len()];
        for (i, cable) in self.cables.iter().enumerate() {
            around[cable.from].push((cable.to, i));
            around[cable.to].push((cable.from, i));
        }
        let mut feed = vec![None; self.joints.len()];
        let mut run = vec![None; self.joints.len()];
        let mut order = vec![self.source];
        let mut seen = vec![false; self.joints.len()];
        seen[self.source] = true;
        let mut used = HashSet::new();
        let mut runs = 0;
        let mut next = 0;
        while let Some(&at) = order.get(next) {
            next += 1;
            for &(to, cable) in &around[at] {
                if seen[to] {
                    continue;
                }
                seen[to] = true;
                used.insert(cable);
                feed[to] = Some((at, cable));
                run[to] = run[at].or_else(|| {
                    runs += 1;
                    Some(runs - 1)
                });
                order.push(to);
            }
        }
        let unfed: Vec<&str> = self
            .joints
            .iter()
            .zip(&seen)
            .filter(|(_, seen)| !**seen)
            .map(|(name, _)| name.as_str())
            .collect();
        if !unfed.is_empty() {
            return Err(CircuitError::Unfed { joints: unfed.join(", ") });
        }
        let closing = (0..self.cables.len()).filter(|cable| !used.contains(cable)).collect();
        Ok(Wiring { network: self, order, feed, run, closing })
    }

    fn check(&self) -> Result<(), CircuitError> {
        let joint = |what: &'static str, number: usize, joint: usize| {
            if joint < self.joints.len() {
                Ok(())
            } else {
                Err(CircuitError::NoSuchJoint { what, number, joint, joints: self.joints.len() })
            }
        };
        joint("the supply", 1, self.source)?;
        if self.loads.is_empty() {
            return Err(CircuitError::Empty);
        }
        for (i, cable) in self.cables.iter().enumerate() {
            joint("cable", i + 1, cable.from)?;
            joint("cable", i + 1, cable.to)?;
            let name = || format!("{} to {}", self.joints[cable.from], self.joints[cable.to]);
            if cable.from == cable.to {
                return Err(CircuitError::ToItself { joint: self.joints[cable.from].clone() });
            }
            usable_cable(cable).map_err(|wrong| CircuitError::Cable { cable: name(), wrong })?;
        }
        for (i, load) in self.loads.iter().enumerate() {
            joint("lamp", i + 1, load.joint)?;
            usable_lamp(load)
                .map_err(|wrong| CircuitError::Lamp { joint: self.joints[load.joint].clone(), wrong })?;
        }
        Ok(())
    }
}

fn usable_cable(cable: &Cable) -> Result<(), NotUsable> {
    above_zero("length", cable.length, "m")?;
    above_zero("resistance", cable.resistance, "Ω/m")?;
    not_below_zero("resistance of splices", cable.splice, "Ω")
}

fn usable_lamp(load: &Load) -> Result<(), NotUsable> {
    not_below_zero("power", load.power, "W")?;
    match load.kind {
        LampKind::ConstantPower => Ok(()),
        LampKind::Resistive | LampKind::Filament => above_zero("rated voltage", load.rated_voltage, "V"),
    }
}

impl Wiring {
    /// The network as drawn.
    pub fn network(&self) -> &Network {
        &self.network
    }

    /// How many runs leave the supply.
    pub fn runs(&self) -> usize {
        self.run.iter().flatten().max().map_or(0, |last| last + 1)
    }

    /// Index of the run that feeds a joint; in a loop over several runs, the one by fewest joints.
    pub fn run_of(&self, joint: usize) -> Option<usize> {
        self.run.get(joint).copied().flatten()
    }

    /// Cables that close a loop; none in a tree.
    pub fn closing(&self) -> &[usize] {
        &self.closing
    }

    /// Indices of the joints between the supply and a joint, the joint first, the supply last.
    pub fn path(&self, joint: usize) -> Vec<usize> {
        let mut path = vec![joint];
        let mut at = joint;
        while let Some(Some((before, _))) = self.feed.get(at) {
            at = *before;
            path.push(at);
        }
        path
    }
}
