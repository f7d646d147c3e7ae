//! Pipe sizes for a branched zone at least cost.
//!
//! - In: sections of a tree with their flows, sizes with prices, limits. Out: a size for each section.
//! - Method: dynamic programming from the ends to the source. For each section and size it keeps
//!   every pair of needed head and cost that no other pair beats in both; joined branches need the
//!   larger head and cost the sum. That is exact, for flows that do not change with the sizes.
//! - Lists of more than [`LONGEST`] pairs are thinned by rounding needed heads up to a millimetre; the
//!   answer says so, still keeps every limit, and may miss the least cost by what a millimetre buys.
//! - Not here: solving the network with the sizes found (`gradient.rs`); do that, flows shift a little.

use crate::darcy_weisbach::unit_loss;
use crate::fluid::Fluid;
use crate::hazen_williams::{FLOW_POWER, unit_resistance};
use crate::minor_losses::minor_resistance;
use crate::network::Friction;
use crate::positive::{NotUsable, above_zero, finite, not_below_zero};
use crate::velocity::bore;

/// Pairs kept before lists are thinned.
pub const LONGEST: usize = 3000;
/// Step to which needed heads are then rounded up. [m]
const STEP: f64 = 0.001;

/// A pipe that can be bought.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeSize {
    /// As the list calls it.
    pub name: String,
    /// Inside diameter. [m]
    pub diameter: f64,
    /// Cost of a metre, in any money.
    pub cost: f64,
    /// Friction.
    pub friction: Friction,
}

/// A length of one size, from the end of another section or from the source.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// As the drawing calls it.
    pub name: String,
    /// The section that feeds it; none at the source.
    pub after: Option<usize>,
    /// Length. [m]
    pub length: f64,
    /// Sum of the K of its fittings.
    pub minor: f64,
    /// Flow at full work. [m³/s]
    pub flow: f64,
    /// Height of its end over the datum. [m]
    pub elevation: f64,
    /// Pressure head that must be left at its end, if any. [m]
    pub needed: Option<f64>,
}

/// What the sizes must keep to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SizingLimits {
    /// Head over the datum at the source. [m]
    pub head: f64,
    /// Greatest velocity. [m/s]
    pub velocity: f64,
    /// Whether no section may be larger than the one that feeds it: common practice.
    pub tapering: bool,
}

/// The sizes.
#[derive(Debug, Clone, PartialEq)]
pub struct Sizing {
    /// Index of the size of each section.
    pub sizes: Vec<usize>,
    /// Velocity in each section. [m/s]
    pub velocities: Vec<f64>,
    /// Head lost in each section. [m]
    pub losses: Vec<f64>,
    /// Head over the datum at the end of each section. [m]
    pub heads: Vec<f64>,
    /// Cost of all.
    pub cost: f64,
    /// Head that is left over at the outlet that has least. [m]
    pub spare: f64,
    /// Whether no list was thinned, so that nothing cheaper keeps the limits.
    pub exact: bool,
}

/// Why there are no sizes.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SizingError {
    /// A number that is none.
    #[error("{at}: {wrong}")]
    NotUsable {
        /// Name of the section or size.
        at: String,
        /// What is wrong.
        wrong: NotUsable,
    },
    /// No pipes, or no sections.
    #[error("expected at least one {what}; there is none")]
    Nothing {
        /// Size or section.
        what: &'static str,
    },
    /// Sections that feed one another in a ring, or a feeder that is not there.
    #[error("section `{section}` is not fed from the source; sizes are chosen for branched zones, not rings")]
    NotFed {
        /// Name of the section.
        section: String,
    },
    /// Too fast in the largest pipe.
    #[error(
        "section `{section}` runs at {velocity:.2} m/s even in `{size}`, above {limit:.2} m/s; split the zone or add a larger pipe"
    )]
    TooFast {
        /// Name of the section.
        section: String,
        /// Its velocity in the largest size. [m/s]
        velocity: f64,
        /// The largest size.
        size: String,
        /// The limit. [m/s]
        limit: f64,
    },
    /// Too little head.
    #[error(
        "{needed:.2} m of head are needed at the source with the largest pipes, there are {head:.2} m; split the zone, take outlets for less pressure, or boost it"
    )]
    TooLittle {
        /// Needed with the largest pipes. [m]
        needed: f64,
        /// There. [m]
        head: f64,
    },
}

/// A pair that no other beats.
#[derive(Debug, Clone, Copy)]
struct Pair {
    /// Head needed at the beginning of the section. [m]
    need: f64,
    cost: f64,
    /// Head needed at its end. [m]
    end: f64,
    size: usize,
}

/// Chooses sizes.
///
/// # Arguments
/// - `sections`: a tree, in any order. `sizes`: in any order.
///
/// # Errors
/// Numbers that are none, a ring, a velocity or a pressure that no size keeps.
pub fn choose_sizes(
    sections: &[Section],
    sizes: &[PipeSize],
    limits: SizingLimits,
    fluid: &Fluid,
) -> Result<Sizing, SizingError> {
    check(sections, sizes, limits)?;
    let order = from_the_source(sections)?;
    let mut fed: Vec<Vec<usize>> = vec![Vec::new(); sections.len()];
    for (i, section) in sections.iter().enumerate() {
        if let Some(after) = section.after {
            fed[after].push(i);
        }
    }
    let mut exact = true;
    let mut fronts: Vec<Vec<Pair>> = vec![Vec::new(); sections.len()];
    for &i in order.iter().rev() {
        let mut front = Vec::new();
        for (s, size) in sizes.iter().enumerate() {
            let section = &sections[i];
            if section.flow / bore(size.diameter) > limits.velocity * (1.0 + 1e-12) {
                continue;
            }
            let loss = loss(section, size, fluid);
            let branches: Vec<Vec<Pair>> =
                fed[i].iter().map(|&k| admitted(&fronts[k], sizes, size.diameter, limits.tapering)).collect();
            for (end, cost) in joined(&branches, section.needed.map(|needed| section.elevation + needed)) {
                front.push(Pair { need: end + loss, cost: cost + size.cost * section.length, end, size: s });
            }
        }
        if front.is_empty() {
            return Err(too_fast(&sections[i], sizes, limits));
        }
        fronts[i] = kept(front, sizes, limits.tapering, &mut exact);
    }
    trace(sections, sizes, limits, fluid, &order, &fed, &fronts, exact)
}

/// From the source outwards: takes for each section the cheapest pair within the head there is.
#[expect(clippy::too_many_arguments, reason = "it is the second half of one method")]
fn trace(
    sections: &[Section],
    sizes: &[PipeSize],
    limits: SizingLimits,
    fluid: &Fluid,
    order: &[usize],
    fed: &[Vec<usize>],
    fronts: &[Vec<Pair>],
    exact: bool,
) -> Result<Sizing, SizingError> {
    let mut allowed = vec![(limits.head, f64::INFINITY); sections.len()];
    let mut chosen = vec![0; sections.len()];
    for &i in order {
        let (budget, widest) = allowed[i];
        let front = admitted(&fronts[i], sizes, widest, limits.tapering && widest.is_finite());
        let within = front.iter().filter(|pair| pair.need <= budget + 1e-9);
        let Some(pair) = within.min_by(|a, b| a.cost.total_cmp(&b.cost)) else {
            let needed = fronts[i].iter().map(|pair| pair.need).fold(f64::INFINITY, f64::min);
            return Err(SizingError::TooLittle { needed, head: limits.head });
        };
        chosen[i] = pair.size;
        for &k in &fed[i] {
            allowed[k] = (pair.end.max(f64::MIN), sizes[pair.size].diameter);
        }
    }
    let losses: Vec<f64> =
        sections.iter().zip(&chosen).map(|(section, &s)| loss(section, &sizes[s], fluid)).collect();
    let mut heads = vec![0.0; sections.len()];
    let mut spare = f64::INFINITY;
    for &i in order {
        heads[i] = sections[i].after.map_or(limits.head, |after| heads[after]) - losses[i];
        if let Some(needed) = sections[i].needed {
            spare = spare.min(heads[i] - sections[i].elevation - needed);
        }
    }
    let velocities = sections.iter().zip(&chosen).map(|(x, &s)| x.flow / bore(sizes[s].diameter)).collect();
    let cost = sections.iter().zip(&chosen).map(|(x, &s)| x.length * sizes[s].cost).sum();
    let spare = if spare.is_finite() { spare } else { 0.0 };
    Ok(Sizing { sizes: chosen, velocities, losses, heads, cost, spare, exact })
}

/// Head lost in a section of a size. [m]
fn loss(section: &Section, size: &PipeSize, fluid: &Fluid) -> f64 {
    let metre = match size.friction {
        Friction::HazenWilliams(c) => unit_resistance(size.diameter, c) * section.flow.powf(FLOW_POWER),
        Friction::DarcyWeisbach(roughness, formula) => {
            unit_loss(section.flow, size.diameter, roughness, fluid, formula).0
        }
    };
    metre * section.length + minor_resistance(section.minor, size.diameter) * section.flow * section.flow
}

/// Pairs that may follow a pipe of a bore.
fn admitted(front: &[Pair], sizes: &[PipeSize], bore: f64, tapering: bool) -> Vec<Pair> {
    let fits = |pair: &&Pair| !tapering || sizes[pair.size].diameter <= bore;
    let mut pairs: Vec<Pair> = front.iter().filter(fits).copied().collect();
    beat(&mut pairs);
    pairs
}

/// Needs and costs of branches together, at a head that is also enough for the end itself. No
/// pair if a branch has none.
fn joined(branches: &[Vec<Pair>], own: Option<f64>) -> Vec<(f64, f64)> {
    let least = own.unwrap_or(f64::NEG_INFINITY);
    if branches.is_empty() {
        // An end that needs nothing still cannot lie lower than any datum.
        return vec![(if least.is_finite() { least } else { -1e6 }, 0.0)];
    }
    let mut needs: Vec<f64> = branches.iter().flatten().map(|pair| pair.need.max(least)).collect();
    needs.sort_unstable_by(f64::total_cmp);
    needs.dedup();
    let mut next = vec![0; branches.len()];
    let mut found = Vec::new();
    for need in needs {
        let mut sum = Some(0.0);
        for (branch, at) in branches.iter().zip(&mut next) {
            while branch.get(*at).is_some_and(|pair| pair.need <= need) {
                *at += 1;
            }
            // Pairs are sorted by rising need and falling cost: the last within is the cheapest.
            sum = sum.zip(at.checked_sub(1).map(|k| branch[k].cost)).map(|(a, b)| a + b);
        }
        if let Some(cost) = sum {
            found.push((need, cost));
        }
    }
    found
}

/// Sorts by need and leaves out what costs no less than something that needs no more.
fn beat(pairs: &mut Vec<Pair>) {
    pairs.sort_unstable_by(|a, b| a.need.total_cmp(&b.need).then(a.cost.total_cmp(&b.cost)));
    let mut cheapest = f64::INFINITY;
    pairs.retain(|pair| {
        let better = pair.cost < cheapest;
        cheapest = cheapest.min(pair.cost);
        better
    });
}

/// What is kept of a section's pairs: by size where sizes taper, else over all sizes.
fn kept(front: Vec<Pair>, sizes: &[PipeSize], tapering: bool, exact: &mut bool) -> Vec<Pair> {
    let mut groups = if tapering {
        (0..sizes.len()).map(|s| front.iter().filter(|p| p.size == s).copied().collect()).collect()
    } else {
        vec![front]
    };
    for group in &mut groups {
        beat(group);
        if group.len() > LONGEST {
            *exact = false;
            for pair in group.iter_mut() {
                pair.need = (pair.need / STEP).ceil() * STEP;
            }
            beat(group);
        }
    }
    groups.concat()
}

/// Sections in an order in which each follows the one that feeds it.
fn from_the_source(sections: &[Section]) -> Result<Vec<usize>, SizingError> {
    let mut order: Vec<usize> = Vec::with_capacity(sections.len());
    let mut placed = vec![false; sections.len()];
    loop {
        let before = order.len();
        for (i, section) in sections.iter().enumerate() {
            let ready = section.after.is_none_or(|after| placed.get(after).copied().unwrap_or(false));
            if ready && !placed[i] {
                placed[i] = true;
                order.push(i);
            }
        }
        if order.len() == before {
            break;
        }
    }
    match placed.iter().position(|placed| !placed) {
        Some(i) => Err(SizingError::NotFed { section: sections[i].name.clone() }),
        None => Ok(order),
    }
}

fn too_fast(section: &Section, sizes: &[PipeSize], limits: SizingLimits) -> SizingError {
    let widest = sizes.iter().max_by(|a, b| a.diameter.total_cmp(&b.diameter));
    let (size, velocity) =
        widest.map_or((String::new(), 0.0), |size| (size.name.clone(), section.flow / bore(size.diameter)));
    SizingError::TooFast { section: section.name.clone(), velocity, size, limit: limits.velocity }
}

fn check(sections: &[Section], sizes: &[PipeSize], limits: SizingLimits) -> Result<(), SizingError> {
    if sections.is_empty() || sizes.is_empty() {
        return Err(SizingError::Nothing { what: if sizes.is_empty() { "size" } else { "section" } });
    }
    let wrong = |at: &str| {
        let at = at.to_owned();
        move |wrong| SizingError::NotUsable { at, wrong }
    };
    finite("the head at the source", limits.head, "m").map_err(wrong("limits"))?;
    above_zero("the velocity", limits.velocity, "m/s").map_err(wrong("limits"))?;
    for size in sizes {
        let good = || {
            above_zero("the inside diameter", size.diameter, "m")?;
            not_below_zero("the cost", size.cost, "a metre")?;
            match size.friction {
                Friction::HazenWilliams(c) => above_zero("the coefficient C", c, ""),
                Friction::DarcyWeisbach(roughness, _) => not_below_zero("the roughness", roughness, "m"),
            }
        };
        good().map_err(wrong(&size.name))?;
    }
    for section in sections {
        let good = || {
            not_below_zero("the length", section.length, "m")?;
            not_below_zero("the loss coefficient K", section.minor, "")?;
            not_below_zero("the flow", section.flow, "m³/s")?;
            finite("the elevation", section.elevation, "m")?;
            finite("the needed head", section.needed.unwrap_or(0.0), "m")
        };
        good().map_err(wrong(&section.name))?;
    }
    Ok(())
}
