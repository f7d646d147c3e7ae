//! Steps that fit a rise.
//!
//! - In: the rise, wanted riser and tread, the room for them, limits. Out: every flight of equal risers
//!   within the limits, best first.
//! - Order: the riser nearest to the wanted one, then the stride nearest to the middle of its range.
//! - A landing parts a rise that is too high for one flight; its level is a tread of its own.
//! - Not here: which local code rules; guards and handrails (`study/findings.rs`).

use groundwright_units::constants::{FOOT, INCH};

use crate::positive::{NotUsable, above_zero};

/// What steps must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepLimits {
    /// Least and greatest riser. [m]
    pub riser: (f64, f64),
    /// Least tread. [m]
    pub tread: f64,
    /// Least and greatest stride, which is twice the riser and the tread. [m]
    pub stride: (f64, f64),
    /// Greatest rise between landings. [m]
    pub landing_rise: f64,
    /// Greatest length that a landing needs, however wide the steps are. [m]
    pub landing: f64,
}

impl StepLimits {
    /// Steps out of doors: risers 4 to 7 in, treads of 11 in at least (IBC 1011.5.2), landings after 12 ft
    /// (IBC 1011.8) as long as the steps are wide, 48 in at most (IBC 1011.6); a stride of 24 to 27 in, a
    /// published rule of garden construction. Local codes differ.
    pub const OUTDOORS: Self = Self {
        riser: (4.0 * INCH, 7.0 * INCH),
        tread: 11.0 * INCH,
        stride: (24.0 * INCH, 27.0 * INCH),
        landing_rise: 12.0 * FOOT,
        landing: 48.0 * INCH,
    };
}

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepsWanted {
    /// Height from foot to top. [m]
    pub rise: f64,
    /// Riser. [m]
    pub riser: f64,
    /// Tread. [m]
    pub tread: f64,
    /// Width. [m]
    pub width: f64,
    /// Length in plan that there is for them; none where there is enough. [m]
    pub room: Option<f64>,
}

/// Steps of equal risers and treads.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedSteps {
    /// Risers of each flight, from below; a landing lies between two.
    pub flights: Vec<usize>,
    /// Riser. [m]
    pub riser: f64,
    /// Tread. [m]
    pub tread: f64,
    /// Twice the riser and the tread. [m]
    pub stride: f64,
    /// Length of a landing. [m]
    pub landing: f64,
    /// Length in plan: the ground above is the top tread. [m]
    pub run: f64,
}

impl FittedSteps {
    /// Count of risers.
    pub fn risers(&self) -> usize {
        self.flights.iter().sum()
    }

    /// Count of treads, without landings and the ground above.
    pub fn treads(&self) -> usize {
        self.risers() - self.flights.len()
    }

    /// Front edge of each tread and landing with its height above the foot, from below; the last is the
    /// ground above. [m]
    pub fn edges(&self) -> Vec<(f64, f64)> {
        let mut at = 0.0;
        let mut height = 0.0;
        let mut edges = Vec::new();
        for count in &self.flights {
            for i in 0..*count {
                height += self.riser;
                edges.push((at, height));
                at += if i + 1 == *count { self.landing } else { self.tread };
            }
        }
        edges
    }

    /// Face of one cheek wall above the ground at the foot: the triangle beside the steps. [m²]
    pub fn cheek(&self) -> f64 {
        let edges = self.edges();
        edges.windows(2).map(|pair| (pair[1].0 - pair[0].0) * pair[0].1).sum()
    }
}

/// All steps within the limits, best first; none where no count of risers does.
///
/// # Errors
/// A size that is not above zero.
pub fn fit_steps(wanted: &StepsWanted, limits: &StepLimits) -> Result<Vec<FittedSteps>, NotUsable> {
    above_zero("the rise", wanted.rise, "m")?;
    above_zero("the riser", wanted.riser, "m")?;
    above_zero("the tread", wanted.tread, "m")?;
    above_zero("the width", wanted.width, "m")?;
    if let Some(room) = wanted.room {
        above_zero("the room", room, "m")?;
    }
    let least = (wanted.rise / limits.riser.1 - 1e-9).ceil().max(1.0) as usize;
    let most = (wanted.rise / limits.riser.0 + 1e-9).floor() as usize;
    let mut all: Vec<FittedSteps> = (least..=most).filter_map(|count| of(wanted, limits, count)).collect();
    let middle = f64::midpoint(limits.stride.0, limits.stride.1);
    let off = |steps: &FittedSteps| ((steps.riser - wanted.riser).abs(), (steps.stride - middle).abs());
    all.sort_by(|a, b| off(a).0.total_cmp(&off(b).0).then(off(a).1.total_cmp(&off(b).1)));
    Ok(all)
}

/// Steps of so many risers: the wanted tread where its stride and the room allow it, else the nearest that
/// they do.
fn of(wanted: &StepsWanted, limits: &StepLimits, count: usize) -> Option<FittedSteps> {
    let riser = wanted.rise / count as f64;
    let parts = (wanted.rise / limits.landing_rise - 1e-9).ceil().max(1.0) as usize;
    if parts > count {
        return None;
    }
    let flights: Vec<usize> = (0..parts).map(|i| count / parts + usize::from(i < count % parts)).collect();
    let landing = wanted.width.min(limits.landing);
    let landings = (parts - 1) as f64 * landing;
    let treads = count - parts;
    let (low, high) = (limits.tread.max(limits.stride.0 - 2.0 * riser), limits.stride.1 - 2.0 * riser);
    let widest = match wanted.room {
        Some(room) if treads > 0 => high.min((room - landings) / treads as f64),
        Some(room) if landings > room + 1e-9 => return None,
        _ => high,
    };
    if low > widest + 1e-9 {
        return None;
    }
    let tread = wanted.tread.clamp(low, widest.max(low));
    Some(FittedSteps {
        flights,
        riser,
        tread,
        stride: 2.0 * riser + tread,
        landing,
        run: treads as f64 * tread + landings,
    })
}
