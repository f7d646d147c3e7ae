//! How long a drip line may be before its end runs dry.
//!
//! - In: emitters, pipe, pressure at the inlet [Pa], slope. Out: count, length, pressures, flows.
//! - Method: for a number of emitters the line is marched from its closed end to the inlet, section
//!   by section; the pressure at the end is halved in until the inlet's is met. The longest line whose
//!   emitters all keep the least pressure is found by doubling and halving the count.
//! - Friction by Hazen and Williams, enlarged by a factor for the barbs of the emitters.

use crate::fluid::Fluid;
use crate::hazen_williams::{FLOW_POWER, unit_resistance};
use crate::network::Emitter;
use crate::positive::{NotUsable, above_zero, finite, within};

/// Longest line looked for, in emitters.
const MOST: usize = 20_000;

/// A line of equal emitters, the first a full spacing from the inlet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DripLine {
    /// An emitter.
    pub emitter: Emitter,
    /// Distance of emitters. [m]
    pub spacing: f64,
    /// Inside diameter. [m]
    pub diameter: f64,
    /// Hazen and Williams' C.
    pub coefficient: f64,
    /// What barbs add to friction: 1 for none.
    pub barbs: f64,
    /// Rise from the inlet to the end, over the length; below zero downhill.
    pub slope: f64,
}

/// A line at work.
#[derive(Debug, Clone, PartialEq)]
pub struct LineState {
    /// Flow of each emitter, inlet first. [m³/s]
    pub flows: Vec<f64>,
    /// Pressure at each emitter, inlet first. [Pa]
    pub pressures: Vec<f64>,
    /// Flow at the inlet. [m³/s]
    pub flow: f64,
    /// Length to the last emitter. [m]
    pub length: f64,
    /// Least pressure of all emitters. [Pa]
    pub least: f64,
    /// (q_max − q_min) / q_max.
    pub variation: f64,
}

impl DripLine {
    fn check(&self) -> Result<(), NotUsable> {
        above_zero("the outlet's coefficient", self.emitter.coefficient, "m³/s/Paˣ")?;
        above_zero("the outlet's exponent", self.emitter.exponent, "")?;
        above_zero("the spacing of emitters", self.spacing, "m")?;
        above_zero("the inside diameter", self.diameter, "m")?;
        above_zero("the coefficient C", self.coefficient, "")?;
        within("the factor for barbs", self.barbs, "", (1.0..=5.0).contains(&self.barbs), "1 to 5")?;
        within("the slope of the line", self.slope, "", self.slope.abs() < 1.0, "between -1 and 1")
    }

    /// The line with a count of emitters, from a pressure at its end: pressures and flows from the end.
    fn march(&self, count: usize, end: f64, fluid: &Fluid) -> (Vec<(f64, f64)>, f64) {
        let resistance = unit_resistance(self.diameter, self.coefficient) * self.spacing * self.barbs;
        let rise = self.slope * self.spacing;
        let (mut pressure, mut flow) = (end, 0.0);
        let mut states = Vec::with_capacity(count);
        for _ in 0..count {
            let out = self.emitter.flow(pressure);
            states.push((pressure, out));
            flow += out;
            pressure += fluid.pressure(resistance * flow.powf(FLOW_POWER) + rise);
        }
        (states, pressure)
    }

    /// The line at work.
    ///
    /// # Arguments
    /// - `count`: emitters, 1 to 20 000. `inlet`: pressure there. [Pa]
    ///
    /// # Errors
    /// Impossible numbers; an inlet pressure that does not reach the last emitter.
    pub fn at_work(&self, count: usize, inlet: f64, fluid: &Fluid) -> Result<LineState, NotUsable> {
        self.check()?;
        above_zero("the pressure at the inlet", inlet, "Pa")?;
        within("the count of emitters", count as f64, "", (1..=MOST).contains(&count), "1 to 20000")?;
        let (_, dry) = self.march(count, 0.0, fluid);
        within("the pressure at the inlet", inlet, "Pa", inlet > dry, "more, to reach the last emitter")?;
        let gained = fluid.pressure((-self.slope * self.spacing * count as f64).max(0.0));
        let (mut low, mut high) = (0.0, inlet + gained);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if self.march(count, middle, fluid).1 < inlet { low = middle } else { high = middle }
        }
        let (mut states, _) = self.march(count, low, fluid);
        states.reverse();
        let (pressures, flows): (Vec<f64>, Vec<f64>) = states.into_iter().unzip();
        let least = pressures.iter().copied().fold(f64::INFINITY, f64::min);
        let (least_flow, most_flow) =
            flows.iter().fold((f64::INFINITY, 0.0_f64), |(l, m), q| (l.min(*q), m.max(*q)));
        let flow = flows.iter().sum();
        finite("the flow of the line", flow, "m³/s")?;
        let variation = if most_flow > 0.0 { 1.0 - least_flow / most_flow } else { 0.0 };
        Ok(LineState { length: self.spacing * count as f64, flows, pressures, flow, least, variation })
    }

    /// The longest line whose emitters all have at least a pressure and vary at most by a share.
    ///
    /// # Arguments
    /// - `least`: pressure. [Pa] `variation`: of flow, above 0, up to 1; 1 for no limit (compensating).
    ///
    /// # Errors
    /// Impossible numbers; not even one emitter works.
    pub fn longest(
        &self,
        inlet: f64,
        least: f64,
        variation: f64,
        fluid: &Fluid,
    ) -> Result<LineState, NotUsable> {
        let good = |count: usize| {
            let state = self.at_work(count, inlet, fluid).ok()?;
            (state.least >= least && state.variation <= variation).then_some(state)
        };
        self.at_work(1, inlet, fluid)?;
        let mut known = good(1);
        within("the least pressure", least, "Pa", known.is_some(), "less: not even one emitter has it")?;
        let (mut low, mut high) = (1, 2);
        while high <= MOST {
            match good(high) {
                Some(state) => (known, low, high) = (Some(state), high, high * 2),
                None => break,
            }
        }
        high = high.min(MOST + 1);
        while high - low > 1 {
            let middle = usize::midpoint(low, high);
            match good(middle) {
                Some(state) => (known, low) = (Some(state), middle),
                None => high = middle,
            }
        }
        match known {
            Some(state) => Ok(state),
            None => self.at_work(1, inlet, fluid),
        }
    }
}
