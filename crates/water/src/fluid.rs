//! What water weighs and how it sticks: from pressure to head and back.
//!
//! - Head is metres of water, pressure is pascal, at the gauge (above the air around).

use groundwright_units::constants::STANDARD_GRAVITY;

/// Free fall, as every head here takes it. [m/s²]
pub const GRAVITY: f64 = STANDARD_GRAVITY;

/// Water as a liquid in pipes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fluid {
    /// Weight of a cubic metre. [N/m³]
    pub specific_weight: f64,
    /// Kinematic viscosity. [m²/s]
    pub viscosity: f64,
}

/// Cold tap water: a metre of it is 9806.65 Pa by convention; viscosity at 15 °C, from memory.
pub const WATER: Fluid = Fluid { specific_weight: 9806.65, viscosity: 1.139e-6 };

impl Fluid {
    /// Head of a pressure. [Pa] to [m]
    pub fn head(&self, pressure: f64) -> f64 {
        pressure / self.specific_weight
    }

    /// Pressure of a head. [m] to [Pa]
    pub fn pressure(&self, head: f64) -> f64 {
        head * self.specific_weight
    }
}
