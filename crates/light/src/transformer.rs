//! A transformer with its runs: voltages against the lamps' windows, loading, spare capacity.
//!
//! - In: a working point, the window of each lamp, the transformer's rating. Out: what is wrong with
//!   each lamp, load and loss of each run, the transformer's loading.
//! - Method: sums; a transformer is loaded to 80 % (trade magazine: lamp watts over 0.8, next size up).
//! - Volt-amperes are counted at the transformer, losses in the cables included.
//! - Planning figures: the label, the listing, the local code and a licensed electrician decide.

use crate::positive::{above_zero, share, within};
use crate::{NotUsable, Operation, Wiring};

/// Share of its rating to which a transformer is loaded. Source: a trade magazine's worked example.
pub const USABLE_SHARE: f64 = 0.8;

/// The voltages at which a lamp works as its label says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Lowest. [V]
    pub low: f64,
    /// Highest. [V]
    pub high: f64,
}

impl Window {
    /// Halogen lamps of 12 V: 11 V is the floor, above 12 V their life is short. Source: a trade
    /// magazine; other articles say 10.5 V to 11.7 V. The label decides.
    pub const HALOGEN_12: Self = Self { low: 11.0, high: 12.0 };
    /// Drivers that take 9 V to 15 V. From memory: the label decides.
    pub const LED_WIDE: Self = Self { low: 9.0, high: 15.0 };

    /// A window.
    ///
    /// # Errors
    /// [`NotUsable`] where there is none: the low end must be above zero and below the high end.
    pub fn new(low: f64, high: f64) -> Result<Self, NotUsable> {
        above_zero("lowest voltage of the lamp", low, "V")?;
        let good = high.is_finite() && high > low;
        within("highest voltage of the lamp", high, "V", good, "a finite number above the lowest")?;
        Ok(Self { low, high })
    }

    /// Where a voltage stands.
    pub fn stand(&self, voltage: f64) -> Stand {
        if voltage < self.low {
            Stand::Low { by: self.low - voltage }
        } else if voltage > self.high {
            Stand::High { by: voltage - self.high }
        } else {
            Stand::Within
        }
    }
}

/// A voltage against its window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stand {
    /// Within.
    Within,
    /// Too low. [V]
    Low {
        /// By how much.
        by: f64,
    },
    /// Too high. [V]
    High {
        /// By how much.
        by: f64,
    },
}

/// A run: all that one cable at the transformer feeds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RunLoad {
    /// Lamps on it that draw current.
    pub lamps: usize,
    /// Power of its lamps. [W]
    pub power: f64,
    /// Loss in its cables. [W]
    pub loss: f64,
    /// Current in its first cable. [A]
    pub current: f64,
    /// Voltage at the lamp that has least; infinite without lamps. [V]
    pub lowest: f64,
    /// Voltage at the lamp that has most; 0 without lamps. [V]
    pub highest: f64,
}

/// How a transformer is loaded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loading {
    /// Rating. [VA]
    pub rating: f64,
    /// Load with losses. [VA]
    pub load: f64,
    /// Load as a share of the rating.
    pub share: f64,
    /// What may be added until 80 % of the rating; below zero where it is past that. [VA]
    pub spare: f64,
}

impl Loading {
    /// Whether it is within what the trade puts on it.
    pub fn within_practice(&self) -> bool {
        self.spare >= 0.0
    }
}

/// Loading of a transformer.
///
/// # Arguments
/// - `rating`: [VA]
/// - `load`: of all that is on at once, losses included. [VA]
/// - `usable`: share of the rating to be used, [`USABLE_SHARE`] by practice.
pub fn loading(rating: f64, load: f64, usable: f64) -> Result<Loading, NotUsable> {
    above_zero("rating of the transformer", rating, "VA")?;
    crate::positive::not_below_zero("load of the transformer", load, "VA")?;
    share("usable share of the rating", usable)?;
    Ok(Loading { rating, load, share: load / rating, spare: rating * usable - load })
}

/// The smallest of some ratings that carries a load within practice; `None` where none does. [VA]
pub fn next_rating(ratings: &[f64], load: f64, usable: f64) -> Option<f64> {
    ratings.iter().copied().filter(|rating| rating * usable >= load).min_by(f64::total_cmp)
}

/// Load and loss of each run, in the order of the runs.
pub fn run_loads(wiring: &Wiring, operation: &Operation) -> Vec<RunLoad> {
    let network = wiring.network();
    let mut runs = vec![RunLoad { lowest: f64::INFINITY, ..RunLoad::default() }; wiring.runs()];
    for ((load, power), current) in
        network.loads.iter().zip(&operation.lamp_powers).zip(&operation.lamp_currents)
    {
        let Some(run) = wiring.run_of(load.joint).filter(|_| *current > 0.0) else { continue };
        let voltage = operation.voltages[load.joint];
        let run = &mut runs[run];
        run.lamps += 1;
        run.power += power;
        run.lowest = run.lowest.min(voltage);
        run.highest = run.highest.max(voltage);
    }
    for ((cable, loss), current) in
        network.cables.iter().zip(&operation.cable_losses).zip(&operation.cable_currents)
    {
        // The outer joint of a cable is never the source, unless it is one that closes a loop there.
        let outer = if cable.to == network.source { cable.from } else { cable.to };
        let Some(run) = wiring.run_of(outer) else { continue };
        runs[run].loss += loss;
        if cable.from == network.source || cable.to == network.source {
            runs[run].current += current.abs();
        }
    }
    runs
}
