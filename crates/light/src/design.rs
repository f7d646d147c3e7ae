//! A whole layout by itself: trench, runs, how they branch, gauges and taps, at least cost.
//!
//! - In: lamps with place, load, window and zone; the transformer's place; corridors; prices. Out:
//!   the trench, every run with its cable and voltages, costs, what the transformer carries.
//! - Method: trench by `routing.rs`, groups by `runs.rs`; each group is laid as tee, chain and hub,
//!   sized (`sizing.rs`), and the cheapest kept. A group that no cable feeds is split and tried again.
//! - Quality: trench within the bound that is reported; for each run the least of all pairs of
//!   gauges and three ways to branch; the grouping is a heuristic without a bound.
//! - Planning figures: local code, listing and a licensed electrician decide.

use std::collections::BTreeMap;

use groundwright_geometry::Point;
use rayon::prelude::*;

use crate::positive::{above_zero, not_below_zero};
use crate::runs::{Laying, Layout, Topology, group, lay};
use crate::sizing::{Choices, Lamp, SizedRun, SizingError, size};
use crate::transformer::{Loading, USABLE_SHARE, loading};
use crate::{CorridorLine, Corridors, NotUsable, Route, RouteError, Tie, route};

/// Where lamps are switched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Switching {
    /// At the transformer: each zone has runs of its own.
    AtTransformer,
    /// At the lamps: zones may share a run.
    AtLamps,
}

/// What a design is to be made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Brief {
    /// Cables, taps, prices.
    pub choices: Choices,
    /// How cable is laid.
    pub laying: Laying,
    /// How lamps are tied to the corridors.
    pub tie: Tie,
    /// Where zones are switched.
    pub switching: Switching,
    /// What a run may carry; a smaller one may be found where cables do not bring as much. [VA]
    pub most_run: f64,
    /// Rating of the transformer. [VA]
    pub rating: f64,
}

/// A run of the design.
#[derive(Debug, Clone, PartialEq)]
pub struct DesignedRun {
    /// Numbers of its lamps, counted from 0.
    pub lamps: Vec<usize>,
    /// Where its cable lies.
    pub layout: Layout,
    /// Its gauges, tap and voltages.
    pub sized: SizedRun,
}

/// A whole design.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// The trench.
    pub route: Route,
    /// The runs, by their first lamps.
    pub runs: Vec<DesignedRun>,
    /// Length of all cable. [m]
    pub cable: f64,
    /// Cost of cable and splices. [money]
    pub cable_cost: f64,
    /// Cost of the trench and of all that is in it. [money]
    pub cost: f64,
    /// What the transformer carries with all on.
    pub loading: Loading,
}

/// Why there is no design.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum DesignError {
    /// No route.
    #[error(transparent)]
    Route(#[from] RouteError),
    /// A number that is not usable.
    #[error(transparent)]
    Value(#[from] NotUsable),
    /// A lamp that no cable can feed even by itself. Lamps count from 1.
    #[error("lamp {lamp}: {why}")]
    Lamp {
        /// Which.
        lamp: usize,
        /// Why.
        why: SizingError,
    },
}

/// Designs cables for lamps.
///
/// # Arguments
/// - `lamps`: n lamps with their places. [m]
/// - `transformer`: its place. [m]
///
/// # Errors
/// - [`DesignError::Route`]: places count from 1, the transformer is number 1, lamp i is i + 1.
/// - [`DesignError::Lamp`]: a lamp that no cable can feed even by itself.
pub fn design(
    lamps: &[(Point, Lamp)],
    transformer: Point,
    lines: &[CorridorLine],
    brief: &Brief,
) -> Result<Design, DesignError> {
    check(brief)?;
    let places: Vec<Point> = std::iter::once(transformer).chain(lamps.iter().map(|lamp| lamp.0)).collect();
    let route = route(&Corridors::tie(&places, lines, &brief.tie)?, 0)?;
    let mut zones: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (i, (_, lamp)) in lamps.iter().enumerate() {
        let zone = if brief.switching == Switching::AtTransformer { lamp.zone } else { 0 };
        zones.entry(zone).or_default().push(i);
    }
    let groups: Vec<Vec<usize>> =
        zones.values().flat_map(|zone| grouped(&route, lamps, zone, brief.most_run)).collect();
    let runs: Result<Vec<Vec<DesignedRun>>, DesignError> =
        groups.par_iter().map(|members| runs_of(&route, lamps, members, brief)).collect();
    let mut runs: Vec<DesignedRun> = runs?.into_iter().flatten().collect();
    runs.sort_by(|a, b| a.lamps.cmp(&b.lamps));
    let cable_cost = runs.iter().map(|run| run.sized.cost).sum();
    let load = runs.iter().map(|run| run.sized.all_on.balance.supplied).sum();
    Ok(Design {
        cable: runs.iter().map(|run| run.layout.cable()).sum(),
        cable_cost,
        cost: route.cost + cable_cost,
        loading: loading(brief.rating, load, USABLE_SHARE)?,
        route,
        runs,
    })
}

fn check(brief: &Brief) -> Result<(), NotUsable> {
    not_below_zero("slack", brief.laying.slack, "")?;
    not_below_zero("depth of the cable", brief.laying.depth, "m")?;
    not_below_zero("tail of the cable", brief.laying.tail, "m")?;
    above_zero("load of a run", brief.most_run, "VA")?;
    above_zero("rating of the transformer", brief.rating, "VA")
}

/// Groups of some lamps. Lamp i stands at joint i + 1 of the route.
fn grouped(route: &Route, lamps: &[(Point, Lamp)], members: &[usize], most: f64) -> Vec<Vec<usize>> {
    let placed: Vec<(usize, usize, f64)> = members.iter().map(|&i| (i, i + 1, lamps[i].1.power)).collect();
    group(route, &placed, most)
}

/// The cheapest run of a group, or of the groups that it must be split into.
fn runs_of(
    route: &Route,
    lamps: &[(Point, Lamp)],
    members: &[usize],
    brief: &Brief,
) -> Result<Vec<DesignedRun>, DesignError> {
    let own: Vec<Lamp> = members.iter().map(|&i| lamps[i].1).collect();
    let placed: Vec<(usize, f64)> = members.iter().map(|&i| (i + 1, lamps[i].1.power)).collect();
    let mut best: Option<DesignedRun> = None;
    let mut failed = None;
    for topology in Topology::ALL {
        let layout = lay(route, &placed, topology, &brief.laying);
        match size(&layout, &own, &brief.choices) {
            Ok(sized) if best.as_ref().is_none_or(|best| sized.cost < best.sized.cost) => {
                best = Some(DesignedRun { lamps: members.to_vec(), layout, sized });
            }
            Ok(_) => {}
            Err(why) => failed = Some(why),
        }
    }
    match (best, failed) {
        (Some(best), _) => Ok(vec![best]),
        (None, Some(why)) if members.len() < 2 => Err(DesignError::Lamp { lamp: members[0] + 1, why }),
        _ => {
            let load: f64 = own.iter().map(|lamp| lamp.power).sum();
            let mut groups = grouped(route, lamps, members, 0.5 * load);
            if groups.len() < 2 {
                // Lamps without load are never split by load: by number then.
                let (a, b) = members.split_at(members.len() / 2);
                groups = vec![a.to_vec(), b.to_vec()];
            }
            let runs: Result<Vec<_>, _> =
                groups.iter().map(|group| runs_of(route, lamps, group, brief)).collect();
            Ok(runs?.into_iter().flatten().collect())
        }
    }
}
