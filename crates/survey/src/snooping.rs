//! Data snooping: which readings are gross errors, and what slip explains each.
//!
//! - In: a network and its adjustment. Out: suspects, worst first, and the adjustment without them.
//! - Method: Baarda 1968. The reading with the largest standardised residual beyond the critical
//!   value is set aside, the rest adjusted again, until none is beyond it; then each that was set
//!   aside is tried again, since one error can make others look bad.
//! - Readings that check only one another cannot be told apart: all of them are named.
//! - Not here: naming the slip (`slip.rs`).

use crate::SurveyError;
use crate::adjust::{Adjustment, adjust, adjust_from};
use crate::equation;
use crate::network::Network;
use crate::placing::Placing;
use crate::slip::{Slip, explain};
use crate::statistics::{SNOOPING_CHANCE, normal_critical};

/// Standardised residuals this close are one: their readings check only one another.
const ONE: f64 = 1e-6;

/// A reading that is likely a gross error.
#[derive(Debug, Clone, PartialEq)]
pub struct Suspect {
    /// The reading.
    pub reading: usize,
    /// Its standardised residual when it was found. \[dimensionless\]
    pub standardised: f64,
    /// Its error as the other readings show it, observed minus true. [m, rad]
    pub error: f64,
    /// Standard deviation of that error. [m, rad]
    pub sigma: f64,
    /// Other readings that are as likely to be the bad one; empty where it is clear.
    pub alike: Vec<usize>,
    /// Slips that explain the error, likeliest first; none where nothing common does.
    pub slips: Vec<Slip>,
}

/// A network adjusted, its suspects found, and adjusted again without them.
#[derive(Debug, Clone, PartialEq)]
pub struct Snooped {
    /// With all readings.
    pub all: Adjustment,
    /// Without the suspects; the same as `all` where there are none.
    pub cleaned: Adjustment,
    /// The suspects, in the order in which they were found.
    pub suspects: Vec<Suspect>,
}

/// Adjusts a network and finds its gross errors.
///
/// # Errors
/// As [`adjust`].
pub fn snoop(network: &Network) -> Result<Snooped, SurveyError> {
    let all = adjust(network)?;
    let critical = normal_critical(SNOOPING_CHANCE);
    let mut cleaned = all.clone();
    let mut found: Vec<Suspect> = Vec::new();
    while let Some(worst) = beyond(&cleaned, critical) {
        let suspect = suspect(network, &cleaned, worst);
        let mut out: Vec<usize> = found.iter().map(|s| s.reading).collect();
        out.push(worst);
        let Ok(next) = again(network, &cleaned, &out) else { break };
        found.push(suspect);
        cleaned = next;
        if cleaned.freedom == 0 || found.len() > network.readings.len() / 3 {
            break;
        }
    }
    readmit(network, critical, &mut found, &mut cleaned);
    for suspect in &mut found {
        judge(network, &cleaned, suspect);
    }
    Ok(Snooped { all, cleaned, suspects: found })
}

/// The reading with the largest standardised residual, if it is beyond the critical value.
fn beyond(adjustment: &Adjustment, critical: f64) -> Option<usize> {
    let worst = adjustment.largest()?;
    adjustment.readings[worst].standardised.filter(|w| w.abs() > critical).map(|_| worst)
}

fn again(network: &Network, from: &Adjustment, out: &[usize]) -> Result<Adjustment, SurveyError> {
    let placing = Placing {
        at: from.points.iter().map(|point| point.at).collect(),
        lost: from.undetermined.clone(),
        mirrored: from.mirrored.clone(),
        datum: from.datum,
    };
    adjust_from(network, placing, out)
}

fn suspect(network: &Network, adjustment: &Adjustment, worst: usize) -> Suspect {
    let reading = &adjustment.readings[worst];
    let standardised = reading.standardised.unwrap_or(0.0);
    let alike = adjustment
        .readings
        .iter()
        .enumerate()
        .filter(|(i, other)| {
            let w = other.standardised.map_or(0.0, f64::abs);
            *i != worst && (w - standardised.abs()).abs() < ONE * standardised.abs().max(1.0) * 100.0
        })
        .map(|(i, _)| i)
        .collect();
    Suspect {
        reading: worst,
        standardised,
        error: -reading.residual / reading.redundancy,
        sigma: network.readings[worst].sigma / reading.redundancy.sqrt(),
        alike,
        slips: Vec::new(),
    }
}

/// Takes back what was set aside only because of another error.
fn readmit(network: &Network, critical: f64, found: &mut Vec<Suspect>, cleaned: &mut Adjustment) {
    let mut i = 0;
    while found.len() > 1 && i < found.len() {
        let out: Vec<usize> =
            found.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, s)| s.reading).collect();
        let fits = again(network, cleaned, &out).ok().filter(|next| beyond(next, critical).is_none());
        if let Some(next) = fits {
            found.remove(i);
            *cleaned = next;
        } else {
            i += 1;
        }
    }
}

/// Error and slips as the cleaned network shows them.
fn judge(network: &Network, cleaned: &Adjustment, suspect: &mut Suspect) {
    let reading = &network.readings[suspect.reading];
    if reading.observed.points().all(|point| cleaned.points[point].determined) {
        let at: Vec<_> = cleaned.points.iter().map(|point| point.at).collect();
        let computed = equation::value(reading.observed, &at);
        let error = equation::misfit(reading.observed, reading.value, computed);
        if error.is_finite() {
            suspect.error = error;
        }
    }
    suspect.slips = explain(network, cleaned, suspect);
}
