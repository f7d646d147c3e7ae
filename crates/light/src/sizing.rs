//! Gauge and tap of a run at least cost, every lamp within its window in every switching state.
//!
//! - In: a run laid out, its lamps, gauges with prices, taps. Out: the cheapest pair of gauges (for
//!   the cable from the transformer, for the rest) and the tap that leaves the widest margin.
//! - Method: pairs of gauges in order of cost, each tried on all taps, until one fits.
//! - States: voltages only fall as lamps are switched on, so the least voltage of a lamp is with all
//!   on and the most with its own zone alone. Zones + 1 working points prove all 2^zones states.
//! - Not here: where the cable lies (`runs.rs`), which lamps share a run (`design.rs`).

use std::collections::BTreeSet;

use crate::conductor::{Gauge, resistance};
use crate::positive::{above_zero, not_below_zero};
use crate::runs::Layout;
use crate::{Cable, CircuitError, LampKind, Load, Network, NotUsable, Operation, Window, Wiring};

/// A lamp to be fed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamp {
    /// How it draws its current.
    pub kind: LampKind,
    /// Power at the rated voltage; for a driver the volt-amperes it draws. [W]
    pub power: f64,
    /// Rated voltage. [V]
    pub rated_voltage: f64,
    /// The voltages at which it works.
    pub window: Window,
    /// What it is switched with.
    pub zone: usize,
}

/// A cable that can be bought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CableOption {
    /// Gauge.
    pub gauge: Gauge,
    /// Price of both conductors together. [money/m]
    pub price: f64,
    /// Most current that it is to carry. [A]
    pub most_current: f64,
}

impl CableOption {
    /// A cable loaded to four fifths of its ampacity.
    ///
    /// 18 and 16 AWG are not in the table of ampacities: 10 A and 13 A of flexible cords are taken,
    /// NFPA 70, table 400.5, from memory. Planning figures: listing and local code decide.
    pub fn new(gauge: Gauge, price: f64) -> Self {
        let ampacity = gauge.ampacity().unwrap_or(if gauge == Gauge::Awg18 { 10.0 } else { 13.0 });
        Self { gauge, price, most_current: 0.8 * ampacity }
    }
}

/// What a run may be made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Choices {
    /// Cables on offer.
    pub cables: Vec<CableOption>,
    /// Voltages of the transformer's taps. [V]
    pub taps: Vec<f64>,
    /// Temperature of the cable. [K]
    pub temperature: f64,
    /// Price of a splice. [money]
    pub splice: f64,
    /// Resistance of the splices of a piece. [Ω]
    pub splice_resistance: f64,
}

/// A run with gauges and tap.
#[derive(Debug, Clone, PartialEq)]
pub struct SizedRun {
    /// Gauge from the transformer to the first joint.
    pub home: Gauge,
    /// Gauge of all other pieces.
    pub rest: Gauge,
    /// Voltage of the tap. [V]
    pub tap: f64,
    /// Cable and splices. [money]
    pub cost: f64,
    /// Least distance of any voltage from the end of its window, over all states. [V]
    pub margin: f64,
    /// Least voltage of each lamp over all states: with all on. [V]
    pub lowest: Vec<f64>,
    /// Most voltage of each lamp over all states: with its zone alone. [V]
    pub highest: Vec<f64>,
    /// The working point with all on.
    pub all_on: Operation,
    /// The network, ready to be solved in other states.
    pub wiring: Wiring,
}

/// Why no gauge and tap fit. Lamps count from 1.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SizingError {
    /// A choice that is not usable.
    #[error(transparent)]
    Choice(#[from] NotUsable),
    /// Nothing to choose from.
    #[error("there are no {what} to choose from; offer at least one")]
    Nothing {
        /// Of what.
        what: &'static str,
    },
    /// A network that cannot be.
    #[error(transparent)]
    Circuit(#[from] CircuitError),
    /// Nothing fits; the nearest that was tried.
    #[error(
        "no gauge and tap keep every lamp within its window: nearest come {home} AWG, then {rest} AWG, at {tap} V, \
         where lamp {lamp} would be {by:.2} V out; split the run, shorten it, or offer other taps or cable"
    )]
    NoneFits {
        /// First gauge tried.
        home: u8,
        /// The other.
        rest: u8,
        /// Tap tried. [V]
        tap: f64,
        /// The lamp farthest out.
        lamp: usize,
        /// By how much. [V]
        by: f64,
    },
    /// No cable carries the current, or no working point.
    #[error(
        "the run asks for {power:.0} VA, more than any cable offered brings to it; split the run or offer thicker cable"
    )]
    TooMuch {
        /// Load of all lamps. [VA]
        power: f64,
    },
}

/// Sizes a run.
///
/// # Arguments
/// - `lamps`: in the order of the layout's lamps.
///
/// # Errors
/// [`SizingError`] with the nearest try where nothing fits.
pub fn size(layout: &Layout, lamps: &[Lamp], choices: &Choices) -> Result<SizedRun, SizingError> {
    check(choices)?;
    let mut nearest: Option<(f64, SizingError)> = None;
    for (cost, home, rest) in pairs(layout, choices) {
        let wiring = network(layout, lamps, choices, home, rest)?.wiring()?;
        let mut best: Option<SizedRun> = None;
        for &tap in &choices.taps {
            let Some((sized, lamp)) = try_tap(layout, lamps, &wiring, tap, home, rest)? else { continue };
            if sized.margin < 0.0 {
                let by = -sized.margin;
                if nearest.as_ref().is_none_or(|(least, _)| by < *least) {
                    let (home, rest) = (home.gauge.awg(), rest.gauge.awg());
                    nearest = Some((by, SizingError::NoneFits { home, rest, tap, lamp: lamp + 1, by }));
                }
            } else if best.as_ref().is_none_or(|best| sized.margin > best.margin) {
                best = Some(SizedRun { cost, ..sized });
            }
        }
        if let Some(best) = best {
            return Ok(best);
        }
    }
    let power = lamps.iter().map(|lamp| lamp.power).sum();
    Err(nearest.map_or(SizingError::TooMuch { power }, |(_, error)| error))
}

fn check(choices: &Choices) -> Result<(), SizingError> {
    if choices.cables.is_empty() {
        return Err(SizingError::Nothing { what: "cables" });
    }
    if choices.taps.is_empty() {
        return Err(SizingError::Nothing { what: "taps" });
    }
    for cable in &choices.cables {
        not_below_zero("price of a cable", cable.price, "per m")?;
        above_zero("most current of a cable", cable.most_current, "A")?;
    }
    for tap in &choices.taps {
        above_zero("voltage of a tap", *tap, "V")?;
    }
    not_below_zero("price of a splice", choices.splice, "each")?;
    not_below_zero("resistance of splices", choices.splice_resistance, "Ω")?;
    Ok(())
}

/// Pairs of cables by cost, the one from the transformer never the thinner.
fn pairs<'c>(layout: &Layout, choices: &'c Choices) -> Vec<(f64, &'c CableOption, &'c CableOption)> {
    let length = |home: bool| -> f64 {
        layout.pieces.iter().filter(|piece| piece.home == home).map(|piece| piece.length).sum()
    };
    let (first, others) = (length(true), length(false));
    let splices = layout.splices() as f64 * choices.splice;
    let mut pairs: Vec<(f64, &CableOption, &CableOption)> = choices
        .cables
        .iter()
        .flat_map(|home| choices.cables.iter().map(move |rest| (home, rest)))
        .filter(|(home, rest)| home.gauge >= rest.gauge)
        .map(|(home, rest)| (first * home.price + others * rest.price + splices, home, rest))
        .collect();
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| b.1.gauge.cmp(&a.1.gauge)));
    pairs
}

fn network(
    layout: &Layout,
    lamps: &[Lamp],
    choices: &Choices,
    home: &CableOption,
    rest: &CableOption,
) -> Result<Network, NotUsable> {
    let home = resistance(home.gauge, choices.temperature)?;
    let rest = resistance(rest.gauge, choices.temperature)?;
    let cables = layout.pieces.iter().map(|piece| Cable {
        from: piece.from,
        to: piece.to,
        length: piece.length,
        resistance: if piece.home { home } else { rest },
        splice: choices.splice_resistance,
    });
    let loads = layout.lamps.iter().zip(lamps).map(|(joint, lamp)| Load {
        joint: *joint,
        kind: lamp.kind,
        power: lamp.power,
        rated_voltage: lamp.rated_voltage,
    });
    let (cables, loads) = (cables.collect(), loads.collect());
    Ok(Network {
        joints: layout.joints.iter().map(|joint| format!("joint {joint}")).collect(),
        source: 0,
        cables,
        loads,
    })
}

/// One tap: the run as it would be, its margin below zero where a lamp is out of its window, and the
/// lamp with the least margin. Nothing where there is no working point or too much current.
fn try_tap(
    layout: &Layout,
    lamps: &[Lamp],
    wiring: &Wiring,
    tap: f64,
    home: &CableOption,
    rest: &CableOption,
) -> Result<Option<(SizedRun, usize)>, SizingError> {
    let loads = &wiring.network().loads;
    let Some(all_on) = wiring.working_point(tap, &vec![true; lamps.len()])? else { return Ok(None) };
    let too_much = layout.pieces.iter().zip(&all_on.cable_currents).any(|(piece, current)| {
        current.abs() > if piece.home { home.most_current } else { rest.most_current }
    });
    if too_much {
        return Ok(None);
    }
    let lowest: Vec<f64> = all_on.lamp_voltages(loads).collect();
    let mut highest = lowest.clone();
    let zones: BTreeSet<usize> = lamps.iter().map(|lamp| lamp.zone).collect();
    for zone in zones.iter().filter(|_| zones.len() > 1) {
        let alone = wiring.operate_where(tap, |lamp| lamps[lamp].zone == *zone)?;
        for ((lamp, high), voltage) in lamps.iter().zip(&mut highest).zip(alone.lamp_voltages(loads)) {
            if lamp.zone == *zone {
                *high = voltage;
            }
        }
    }
    let margins = lamps
        .iter()
        .zip(lowest.iter().zip(&highest))
        .map(|(lamp, (low, high))| (low - lamp.window.low).min(lamp.window.high - high));
    let Some((lamp, margin)) = margins.enumerate().min_by(|a, b| a.1.total_cmp(&b.1)) else {
        return Err(CircuitError::Empty.into());
    };
    let (home, rest) = (home.gauge, rest.gauge);
    let run =
        SizedRun { home, rest, tap, cost: 0.0, margin, lowest, highest, all_on, wiring: wiring.clone() };
    Ok(Some((run, lamp)))
}
