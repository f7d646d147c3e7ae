//! Head lost in a part as a function of its flow: rising everywhere, with its slope.
//!
//! - In: a part of the network. Out: [`Law`], which answers loss and slope at any flow.
//! - What must not happen (flow backwards through a check valve, more than a regulated outlet
//!   passes) is a line so steep that next to nothing gets through: rising laws have one answer.
//! - At rest a power law has no slope; a short straight line through nothing mends that.

use crate::darcy_weisbach::{Turbulent, unit_loss};
use crate::fluid::Fluid;
use crate::hazen_williams::{FLOW_POWER, unit_resistance};
use crate::minor_losses::minor_resistance;
use crate::network::{Emitter, Friction, Part, Supply};
use crate::velocity::bore;

/// Slope of what must not happen: 10 m push less than a millilitre in a minute. [m/(m³/s)]
const BARRIER: f64 = 1e9;
/// Least slope of any part, so that a part without loss can be solved. [m/(m³/s)]
const SLIP: f64 = 1e-3;
/// Flow below which friction is taken as straight. [m³/s]
const CREEP: f64 = 1e-8;

/// Loss as a function of flow.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Law {
    /// r Qⁿ + m Q², the same both ways.
    Power { resistance: f64, power: f64, minor: f64 },
    /// Darcy and Weisbach over a length, and m Q².
    Rough { length: f64, diameter: f64, roughness: f64, fluid: Fluid, formula: Turbulent, minor: f64 },
    /// Straight between points; below zero the same backwards, or barred.
    Table { points: Vec<(f64, f64)>, one_way: bool },
    /// What a pump takes away is below zero.
    Pump { shutoff: f64, fall: f64, power: f64 },
    /// Power law, barred backwards.
    OneWay { minor: f64 },
    /// (Q/k)^(1/x), barred backwards and above `most`.
    Outlet { coefficient: f64, power: f64, most: f64 },
}

impl Law {
    /// The law of a part that is open.
    pub(crate) fn of_part(part: &Part, fluid: &Fluid) -> Self {
        match part {
            Part::Pipe { length, diameter, friction, minor } => {
                let minor = minor_resistance(*minor, *diameter);
                match friction {
                    Friction::HazenWilliams(c) => Self::Power {
                        resistance: unit_resistance(*diameter, *c) * length,
                        power: FLOW_POWER,
                        minor,
                    },
                    Friction::DarcyWeisbach(roughness, formula) => Self::Rough {
                        length: *length,
                        diameter: *diameter,
                        roughness: *roughness,
                        fluid: *fluid,
                        formula: *formula,
                        minor,
                    },
                }
            }
            Part::Valve { diameter, minor, .. } => {
                Self::Power { resistance: 0.0, power: 1.0, minor: minor_resistance(*minor, *diameter) }
            }
            Part::CheckValve { diameter, minor } | Part::Regulator { diameter, minor, .. } => {
                Self::OneWay { minor: minor_resistance(*minor, *diameter) }
            }
            Part::Device { curve, one_way } => Self::Table { points: from_rest(curve), one_way: *one_way },
            Part::Pump(curve) => Self::Pump { shutoff: curve.shutoff, fall: curve.fall, power: curve.power },
        }
    }

    /// The law of an outlet into the air.
    pub(crate) fn of_emitter(emitter: &Emitter, fluid: &Fluid) -> Self {
        let coefficient = emitter.coefficient * fluid.specific_weight.powf(emitter.exponent);
        let most = emitter.regulated_above.map_or(f64::INFINITY, |top| emitter.flow(top));
        Self::Outlet { coefficient, power: 1.0 / emitter.exponent, most }
    }

    /// The law of a supply whose head falls; none where it does not.
    pub(crate) fn of_supply(supply: &Supply) -> Option<Self> {
        let droop = supply.droop?;
        Some(Self::Power { resistance: droop.coefficient, power: droop.exponent, minor: 0.0 })
    }

    /// A flow to begin with. [m³/s]
    pub(crate) fn guess(&self) -> f64 {
        match self {
            Self::Rough { diameter, .. } => 0.3 * bore(*diameter),
            Self::Outlet { coefficient, power, most } => (coefficient * 10_f64.powf(1.0 / power)).min(*most),
            Self::Pump { shutoff, fall, power } => (0.5 * shutoff / fall).powf(1.0 / power),
            Self::Table { points, .. } => points[points.len() - 1].0 / 2.0,
            // The flow at which a metre is lost is of the right size for any pipe of a yard.
            Self::Power { resistance, power, .. } if *resistance > 0.0 => {
                resistance.recip().powf(1.0 / power).min(1e-3)
            }
            _ => 1e-4,
        }
    }

    /// Head lost at a flow, and its slope, above zero. [m], [m/(m³/s)]
    pub(crate) fn loss(&self, flow: f64) -> (f64, f64) {
        let (loss, slope) = self.bare(flow);
        (loss + SLIP * flow, slope + SLIP)
    }

    fn bare(&self, flow: f64) -> (f64, f64) {
        let size = flow.abs();
        match self {
            Self::Power { resistance, power, minor } => {
                let (loss, slope) = power_law(*resistance, *power, size, CREEP);
                ((loss + minor * size * size).copysign(flow), slope + 2.0 * minor * size)
            }
            Self::Rough { length, diameter, roughness, fluid, formula, minor } => {
                let (loss, slope) = unit_loss(size, *diameter, *roughness, fluid, *formula);
                ((length * loss + minor * size * size).copysign(flow), length * slope + 2.0 * minor * size)
            }
            Self::Table { one_way: true, .. } | Self::OneWay { .. } | Self::Outlet { .. } if flow < 0.0 => {
                (BARRIER * flow, BARRIER)
            }
            Self::Table { points, .. } => {
                let (loss, slope) = straight(points, size);
                (loss.copysign(flow), slope)
            }
            Self::OneWay { minor } => (minor * flow * flow, 2.0 * minor * flow),
            Self::Pump { shutoff, .. } if flow < 0.0 => (BARRIER * flow - shutoff, BARRIER),
            Self::Pump { shutoff, fall, power } => {
                let (loss, slope) = power_law(*fall, *power, flow, CREEP);
                (loss - shutoff, slope)
            }
            Self::Outlet { coefficient, power, most } => {
                let within = flow.min(*most) / coefficient;
                let (loss, slope) = power_law(1.0, *power, within, 1e-3);
                if flow > *most {
                    (loss + BARRIER * (flow - most), BARRIER)
                } else {
                    (loss, slope / coefficient)
                }
            }
        }
    }
}

/// r Qⁿ and its slope; straight below `creep`.
fn power_law(resistance: f64, power: f64, flow: f64, creep: f64) -> (f64, f64) {
    if flow < creep {
        let slope = resistance * creep.powf(power - 1.0);
        return (slope * flow, slope);
    }
    let slope = resistance * flow.powf(power - 1.0);
    (slope * flow, power * slope)
}

/// The curve from rest on: a loss that is there as soon as something flows becomes a steep line.
fn from_rest(curve: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut points = vec![(0.0, 0.0)];
    for &(flow, loss) in curve {
        if flow == 0.0 && loss == 0.0 {
            continue;
        }
        points.push((if flow == 0.0 { 1e-7 } else { flow }, loss));
    }
    points
}

/// Value and slope of lines through points that begin at rest; the last goes on.
fn straight(points: &[(f64, f64)], flow: f64) -> (f64, f64) {
    let end = points.partition_point(|point| point.0 < flow).clamp(1, points.len() - 1);
    let ((q0, h0), (q1, h1)) = (points[end - 1], points[end]);
    let slope = (h1 - h0) / (q1 - q0);
    (h0 + slope * (flow - q0), slope)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fluid::WATER;

    fn laws() -> Vec<Law> {
        vec![
            Law::Power { resistance: 4.7e4, power: 1.852, minor: 2e5 },
            Law::Rough {
                length: 20.0,
                diameter: 0.02,
                roughness: 1.5e-6,
                fluid: WATER,
                formula: Turbulent::ColebrookWhite,
                minor: 1e5,
            },
            Law::Table { points: from_rest(&[(0.0, 2.0), (1e-4, 2.5), (1e-3, 6.0)]), one_way: true },
            Law::Pump { shutoff: 30.0, fall: 1e7, power: 2.0 },
            Law::OneWay { minor: 3e5 },
            Law::Outlet { coefficient: 5e-5, power: 2.0, most: 2e-4 },
        ]
    }

    /// The slope that Newton's method uses is the slope of the loss, and the loss rises.
    #[test]
    fn every_law_rises_with_the_slope_it_says() {
        for law in laws() {
            let mut before = f64::NEG_INFINITY;
            for i in -40..=60 {
                let flow = f64::from(i) * 1.037e-5 + 3.1e-7;
                let (loss, slope) = law.loss(flow);
                assert!(loss > before, "{law:?} at {flow}");
                before = loss;
                let step = 1e-10;
                let measured = (law.loss(flow + step).0 - law.loss(flow - step).0) / (2.0 * step);
                assert!(
                    (measured - slope).abs() < 1e-3 * slope + 1e-2,
                    "{law:?} at {flow}: {measured} {slope}"
                );
            }
        }
    }
}
