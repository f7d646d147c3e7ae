//! Copper cable: resistance by gauge and temperature, ampacity, and the trade's rule of thumb.
//!
//! - In: a gauge, a temperature. Out: resistance of one conductor to the metre; what it may carry.
//! - Method: a table at 75 °C and a linear coefficient, stranded uncoated copper.
//! - A circuit sees both conductors: `network.rs` doubles the length, this file does not.
//! - Garden cable at its usual load is near the soil's temperature; 75 °C is the cautious figure.

use groundwright_units::constants::{FOOT, ZERO_CELSIUS};

use crate::NotUsable;
use crate::positive::within;

/// Temperature at which the table stands: 75 °C. [K]
pub const TABLE_TEMPERATURE: f64 = 75.0 + ZERO_CELSIUS;
/// Garden cable in soil, near its truth: 25 °C. Common practice, no source. [K]
pub const SOIL_TEMPERATURE: f64 = 25.0 + ZERO_CELSIUS;
/// Change of copper's resistance by temperature, as a share of that at 75 °C. [1/K]
///
/// Source: the note to the conductor table, NFPA 70, chapter 9, table 8; read second-hand.
const COEFFICIENT: f64 = 0.003_23;

/// A gauge of cable by the American wire gauge, as garden cable is sold. From thin to thick.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gauge {
    /// 18 AWG.
    Awg18,
    /// 16 AWG.
    Awg16,
    /// 14 AWG.
    Awg14,
    /// 12 AWG.
    Awg12,
    /// 10 AWG.
    Awg10,
    /// 8 AWG.
    Awg8,
}

impl Gauge {
    /// All gauges, from thin to thick.
    pub const ALL: [Self; 6] = [Self::Awg18, Self::Awg16, Self::Awg14, Self::Awg12, Self::Awg10, Self::Awg8];

    /// The gauge of a number, if it is one of the table's.
    pub fn from_awg(number: u8) -> Option<Self> {
        Self::ALL.into_iter().find(|gauge| gauge.awg() == number)
    }

    /// Its number.
    pub const fn awg(self) -> u8 {
        match self {
            Self::Awg18 => 18,
            Self::Awg16 => 16,
            Self::Awg14 => 14,
            Self::Awg12 => 12,
            Self::Awg10 => 10,
            Self::Awg8 => 8,
        }
    }

    /// Resistance of one conductor at 75 °C. [Ω/m]
    ///
    /// # Source
    /// NFPA 70, chapter 9, table 8, stranded uncoated copper; read in a reproduction of the table.
    #[allow(clippy::approx_constant, reason = "3.14 ohms is what the table says, not a circle")]
    pub fn table_resistance(self) -> f64 {
        let ohms_per_kft = match self {
            Self::Awg18 => 7.95,
            Self::Awg16 => 4.99,
            Self::Awg14 => 3.14,
            Self::Awg12 => 1.98,
            Self::Awg10 => 1.24,
            Self::Awg8 => 0.778,
        };
        ohms_per_kft / (1000.0 * FOOT)
    }

    /// What the conductor may carry by the 60 °C column; `None` for 18 and 16 AWG, which that table
    /// does not hold: their listing decides. [A]
    ///
    /// # Source
    /// NFPA 70, table 310.16, 60 °C column; from memory. A planning figure: the local code decides.
    pub fn ampacity(self) -> Option<f64> {
        match self {
            Self::Awg18 | Self::Awg16 => None,
            Self::Awg14 => Some(15.0),
            Self::Awg12 => Some(20.0),
            Self::Awg10 => Some(30.0),
            Self::Awg8 => Some(40.0),
        }
    }

    /// The trade's constant for drop = W × ft / constant at 12 V. \[W ft/V\]
    ///
    /// For comparison only: it is close to an evenly spread load at room temperature for 8, 10 and
    /// 12 AWG, cautious by a fifth for thinner cable, and far too hopeful for a load at the end.
    ///
    /// # Source
    /// 12 and 10 AWG read in trade articles; the others from memory.
    pub const fn trade_constant(self) -> f64 {
        match self {
            Self::Awg18 => 1380.0,
            Self::Awg16 => 2200.0,
            Self::Awg14 => 3500.0,
            Self::Awg12 => 7500.0,
            Self::Awg10 => 11_920.0,
            Self::Awg8 => 18_960.0,
        }
    }
}

/// Resistance of one conductor. [Ω/m]
///
/// # Arguments
/// - `temperature`: of the copper. [K] From −50 °C to 150 °C.
///
/// # Errors
/// [`NotUsable`] for a temperature outside that range.
///
/// # Source
/// R(T) = R75 (1 + 0.00323 (T − 75 °C)): note to NFPA 70, chapter 9, table 8; read second-hand.
pub fn resistance(gauge: Gauge, temperature: f64) -> Result<f64, NotUsable> {
    let celsius = temperature - ZERO_CELSIUS;
    let good = (-50.0..=150.0).contains(&celsius);
    within("temperature of the cable", temperature, "K", good, "223.15 K to 423.15 K (−50 °C to 150 °C)")?;
    Ok(gauge.table_resistance() * (1.0 + COEFFICIENT * (temperature - TABLE_TEMPERATURE)))
}

/// Drop by the trade's rule, to be shown beside the true one. [V]
///
/// # Arguments
/// - `power`: all lamps of the run. [W]
/// - `length`: from supply to last lamp, one way. [m]
pub fn trade_drop(gauge: Gauge, power: f64, length: f64) -> f64 {
    power * (length / FOOT) / gauge.trade_constant()
}
