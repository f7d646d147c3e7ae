//! The working point of a low-voltage network: voltages, currents, losses.
//!
//! - In: a checked network, the tap's voltage, which lamps are on. Out: every voltage and current,
//!   and the balance of power; or the share of the load at which the network would still work.
//! - Method: nodal analysis. Newton's step for drivers, the chord for filaments, from the supply's
//!   voltage downwards. Each step is one sweep from the leaves and back for a tree, one sparse
//!   Cholesky factor where there are loops (`solver.rs`).
//! - A driver draws more current at less voltage, so there are two working points or none. Nodal
//!   equations with such loads are convex and their matrix has no positive entry off its diagonal;
//!   Newton's step from above then falls steadily to the upper point, and a pivot that is not
//!   positive proves that there is none.
//! - Not here: whether the voltages suit the lamps (`transformer.rs`).

use crate::solver::Solver;
use crate::{CircuitError, LampKind, Load, Wiring};

/// Power of W(V) of a filament.
const FILAMENT: f64 = 1.6;
/// Steps after which a point that does not settle is called none: ten suffice in practice.
const STEPS: usize = 60;
/// Change of voltage, as a share of the supply's, at which a point has settled.
const SETTLED: f64 = 1e-12;

/// Where the power goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// From the supply. [W]
    pub supplied: f64,
    /// Into lamps. [W]
    pub lamps: f64,
    /// Lost in cables. [W]
    pub cables: f64,
}

impl Balance {
    /// Supplied less used: what the solving lost. [W]
    pub fn residual(&self) -> f64 {
        self.supplied - self.lamps - self.cables
    }
}

/// A network at work.
#[derive(Debug, Clone, PartialEq)]
pub struct Operation {
    /// Voltage of each joint. [V]
    pub voltages: Vec<f64>,
    /// Current of each cable, positive from its `from` to its `to`. [A]
    pub cable_currents: Vec<f64>,
    /// Loss in each cable. [W]
    pub cable_losses: Vec<f64>,
    /// Current of each lamp; 0 where it is off. [A]
    pub lamp_currents: Vec<f64>,
    /// Power of each lamp. [W]
    pub lamp_powers: Vec<f64>,
    /// Current from the supply. [A]
    pub source_current: f64,
    /// Where the power goes.
    pub balance: Balance,
    /// Steps taken.
    pub steps: usize,
}

impl Operation {
    /// Voltage at each lamp. [V]
    pub fn lamp_voltages<'a>(&'a self, loads: &'a [Load]) -> impl Iterator<Item = f64> + 'a {
        loads.iter().map(|load| self.voltages[load.joint])
    }
}

impl Wiring {
    /// The working point with all lamps on.
    ///
    /// # Errors
    /// As [`Wiring::operate_where`].
    pub fn operate(&self, supply: f64) -> Result<Operation, CircuitError> {
        self.operate_where(supply, |_| true)
    }

    /// The working point with some lamps on.
    ///
    /// # Arguments
    /// - `supply`: voltage at the terminals. [V] Finite and above zero.
    /// - `on`: whether the lamp of an index is on.
    ///
    /// # Errors
    /// - [`CircuitError::Supply`]: the supply is no voltage.
    /// - [`CircuitError::NoWorkingPoint`]: the drivers ask for more than the cable can bring.
    pub fn operate_where(&self, supply: f64, on: impl Fn(usize) -> bool) -> Result<Operation, CircuitError> {
        let on: Vec<bool> = (0..self.network.loads.len()).map(on).collect();
        match self.working_point(supply, &on)? {
            Some(operation) => Ok(operation),
            None => Err(self.no_point(&mut Solver::new(self), supply, &on)),
        }
    }

    /// The working point, or none, without asking how far the network is from one.
    pub(crate) fn working_point(&self, supply: f64, on: &[bool]) -> Result<Option<Operation>, CircuitError> {
        crate::positive::above_zero("voltage of the supply", supply, "V").map_err(CircuitError::Supply)?;
        let settled = self.settle(&mut Solver::new(self), supply, on, 1.0);
        Ok(settled.map(|(voltages, steps)| self.report(voltages, on, steps)))
    }

    /// Falls from the supply's voltage to the upper working point, with all powers times `share`.
    fn settle(
        &self,
        solver: &mut Solver<'_>,
        supply: f64,
        on: &[bool],
        share: f64,
    ) -> Option<(Vec<f64>, usize)> {
        let n = self.network.joints.len();
        let mut voltages = vec![supply; n];
        let (mut slopes, mut currents) = (vec![0.0; n], vec![0.0; n]);
        for step in 1..=STEPS {
            slopes.fill(0.0);
            currents.fill(0.0);
            for (load, _) in self.network.loads.iter().zip(on).filter(|(_, on)| **on) {
                let (slope, current) = linear(load, voltages[load.joint], share);
                slopes[load.joint] += slope;
                currents[load.joint] += current;
            }
            let next = solver.solve(supply, &slopes, &currents)?;
            if next.iter().any(|v| !(v.is_finite() && *v > 0.0)) {
                return None;
            }
            let change = voltages.iter().zip(&next).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            voltages = next;
            if change <= SETTLED * supply {
                return Some((voltages, step));
            }
        }
        None
    }

    /// What is wrong where there is no working point: the share of the load that there is one for.
    fn no_point(&self, solver: &mut Solver<'_>, supply: f64, on: &[bool]) -> CircuitError {
        let (mut works, mut fails) = (0.0, 1.0);
        for _ in 0..30 {
            let middle = 0.5 * (works + fails);
            if self.settle(solver, supply, on, middle).is_some() {
                works = middle;
            } else {
                fails = middle;
            }
        }
        let loads = self.network.loads.iter().zip(on).filter(|(_, on)| **on);
        let power: f64 = loads.map(|(load, _)| load.power).sum();
        CircuitError::NoWorkingPoint { supply, power, limit: power * works, share: works }
    }

    fn report(&self, voltages: Vec<f64>, on: &[bool], steps: usize) -> Operation {
        let network = &self.network;
        let lamp = |(load, on): (&Load, &bool)| if *on { current(load, voltages[load.joint]) } else { 0.0 };
        let lamp_currents: Vec<f64> = network.loads.iter().zip(on).map(lamp).collect();
        let lamp_powers: Vec<f64> =
            network.loads.iter().zip(&lamp_currents).map(|(load, i)| i * voltages[load.joint]).collect();
        let mut cable_currents: Vec<f64> = network
            .cables
            .iter()
            .map(|c| (voltages[c.from] - voltages[c.to]) / c.loop_resistance())
            .collect();
        if self.closing.is_empty() {
            self.sum_currents(&lamp_currents, &mut cable_currents);
        }
        let cable_losses: Vec<f64> =
            network.cables.iter().zip(&cable_currents).map(|(c, i)| i * i * c.loop_resistance()).collect();
        let at_source = |(cable, i): (&crate::Cable, &f64)| match network.source {
            source if cable.from == source => *i,
            source if cable.to == source => -i,
            _ => 0.0,
        };
        let beside: f64 = network
            .loads
            .iter()
            .zip(&lamp_currents)
            .filter(|(load, _)| load.joint == network.source)
            .map(|(_, i)| i)
            .sum();
        let source_current = network.cables.iter().zip(&cable_currents).map(at_source).sum::<f64>() + beside;
        let balance = Balance {
            supplied: source_current * voltages[network.source],
            lamps: lamp_powers.iter().sum(),
            cables: cable_losses.iter().sum(),
        };
        Operation {
            voltages,
            cable_currents,
            cable_losses,
            lamp_currents,
            lamp_powers,
            source_current,
            balance,
            steps,
        }
    }

    /// Currents of a tree by adding up lamps from the leaves: exact where the difference of two
    /// nearly equal voltages over a very short cable is not.
    fn sum_currents(&self, lamps: &[f64], cables: &mut [f64]) {
        let mut beyond = vec![0.0; self.network.joints.len()];
        for (load, current) in self.network.loads.iter().zip(lamps) {
            beyond[load.joint] += current;
        }
        for &joint in self.order.iter().rev() {
            if let Some((before, cable)) = self.feed[joint] {
                beyond[before] += beyond[joint];
                let outwards = self.network.cables[cable].from == before;
                cables[cable] = if outwards { beyond[joint] } else { -beyond[joint] };
            }
        }
    }
}

/// Current of a lamp at a voltage. [A]
pub fn current(load: &Load, voltage: f64) -> f64 {
    match load.kind {
        LampKind::Resistive => load.power * voltage / load.rated_voltage.powi(2),
        LampKind::ConstantPower => load.power / voltage,
        LampKind::Filament => load.power * (voltage / load.rated_voltage).powf(FILAMENT) / voltage,
    }
}

/// A lamp near a voltage as slope and current: I ≈ slope V + current.
fn linear(load: &Load, voltage: f64, share: f64) -> (f64, f64) {
    let drawn = share * current(load, voltage);
    match load.kind {
        // Below this voltage a filament draws more than its chord says, so the fall never overshoots.
        LampKind::Resistive | LampKind::Filament => (drawn / voltage, 0.0),
        LampKind::ConstantPower => (-drawn / voltage, 2.0 * drawn),
    }
}
