//! Adding up.

use std::collections::BTreeMap;

use groundwright_handoff::{Datum, Dimension, Phase, Quantity, Spares, Step};
use groundwright_plan::ElementRef;

/// What one element adds to a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// The element.
    pub subject: ElementRef,
    /// Its net amount. SI, or a count.
    pub amount: f64,
    /// How it came about.
    pub basis: Vec<Step>,
}

/// One thing to order or do.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// When in the job.
    pub phase: Phase,
    /// Key of the item.
    pub item: String,
    /// Description for a reader.
    pub description: String,
    /// What the amounts measure.
    pub dimension: Dimension,
    /// Net amount of all parts. SI, or a count.
    pub net: f64,
    /// Share added for losses and waste.
    pub allowance: f64,
    /// Net amount with allowance; of counts, the allowance rounded to whole things.
    pub gross: f64,
    /// Half width of the net amount's range.
    pub spread: f64,
    /// Packs to order, if it is sold in packs.
    pub packs: Option<f64>,
    /// What a pack is.
    pub pack: Option<Spares>,
    /// What is ordered: the contents of the packs, or the gross amount.
    pub ordered: f64,
    /// What is ordered beyond the net amount.
    pub spare: f64,
    /// Parts in the order of the studies.
    pub parts: Vec<Part>,
}

/// All lines, by phase and item.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Takeoff {
    /// Lines, sorted by phase and item.
    pub lines: Vec<Line>,
    /// Quantities that could not be added.
    pub faults: Vec<TakeoffFault>,
}

/// A quantity that cannot be added to its line.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TakeoffFault {
    /// An amount that is not a finite number, not below zero.
    #[error("{subject}: the amount of `{item}` is {amount}; expected a finite number, not below zero")]
    Amount {
        /// The element.
        subject: ElementRef,
        /// The item.
        item: String,
        /// The amount.
        amount: f64,
    },
    /// Two dimensions under one item.
    #[error("{subject}: `{item}` is measured as {found:?} here and as {expected:?} elsewhere")]
    Dimension {
        /// The element.
        subject: ElementRef,
        /// The item.
        item: String,
        /// What it is here.
        found: Dimension,
        /// What it is elsewhere.
        expected: Dimension,
    },
}

/// Adds up quantities of the base job (option `None`).
///
/// # Arguments
/// - `quantities`: of any studies, in any order.
///
/// # Returns
/// Lines sorted by phase and item; every good quantity is in exactly one of them.
pub fn take_off(quantities: &[Quantity]) -> Takeoff {
    let mut groups: BTreeMap<(Phase, &str), Vec<&Quantity>> = BTreeMap::new();
    let mut faults = Vec::new();
    for quantity in quantities.iter().filter(|q| q.option.is_none()) {
        let amount = quantity.amount.value;
        if !(amount.is_finite() && amount >= 0.0) {
            let (subject, item) = (quantity.subject.clone(), quantity.item.clone());
            faults.push(TakeoffFault::Amount { subject, item, amount });
            continue;
        }
        let group = groups.entry((quantity.phase, &quantity.item)).or_default();
        match group.first() {
            Some(first) if first.amount.dimension != quantity.amount.dimension => {
                faults.push(TakeoffFault::Dimension {
                    subject: quantity.subject.clone(),
                    item: quantity.item.clone(),
                    found: quantity.amount.dimension,
                    expected: first.amount.dimension,
                });
            }
            _ => group.push(quantity),
        }
    }
    let lines = groups.into_iter().filter_map(|((phase, item), group)| line(phase, item, &group)).collect();
    Takeoff { lines, faults }
}

fn line(phase: Phase, item: &str, group: &[&Quantity]) -> Option<Line> {
    let first = group.first()?;
    let dimension = first.amount.dimension;
    let net: f64 = group.iter().map(|q| q.amount.value).sum();
    // Allowances are per quantity, so that a line of mixed allowances adds exactly what each asks.
    let with_allowance: f64 = group.iter().map(|q| q.amount.value * (1.0 + q.allowance)).sum();
    // Nobody orders a second specimen tree against a loss of two per cent: whole spares are added
    // where the allowance comes to half a thing or more.
    let gross = match dimension {
        Dimension::Count => round_up(net) + (with_allowance - net).round(),
        _ => with_allowance,
    };
    let pack = pack_of(group);
    let packs = pack.as_ref().map(|pack| round_up(gross / pack.contents));
    let ordered = match (&pack, packs) {
        (Some(pack), Some(packs)) => packs * pack.contents,
        _ => gross,
    };
    Some(Line {
        phase,
        item: item.to_owned(),
        description: first.description.clone(),
        dimension,
        net,
        allowance: if net > 0.0 { with_allowance / net - 1.0 } else { 0.0 },
        gross,
        // Parts rest on their own assumptions; independent ranges add by squares.
        spread: group.iter().map(|q| q.spread * q.spread).sum::<f64>().sqrt(),
        packs,
        pack,
        ordered,
        spare: (ordered - net).max(0.0),
        parts: group
            .iter()
            .map(|q| Part { subject: q.subject.clone(), amount: q.amount.value, basis: q.basis.clone() })
            .collect(),
    })
}

/// The pack in which a line is ordered: the largest that any part names, since the whole is more
/// than each part.
fn pack_of(group: &[&Quantity]) -> Option<Spares> {
    group
        .iter()
        .filter_map(|q| q.spares.as_ref())
        .filter(|pack| pack.contents.is_finite() && pack.contents > 0.0)
        .max_by(|a, b| a.contents.total_cmp(&b.contents))
        .cloned()
}

/// The next whole number; a billionth above one is rounding, not a need.
fn round_up(value: f64) -> f64 {
    (value - 1e-9).ceil().max(0.0)
}

impl Line {
    /// The net amount with its dimension.
    pub fn net_datum(&self) -> Datum {
        Datum { value: self.net, dimension: self.dimension }
    }
    /// What is ordered, with its dimension.
    pub fn ordered_datum(&self) -> Datum {
        Datum { value: self.ordered, dimension: self.dimension }
    }
    /// What is ordered beyond the net amount, with its dimension.
    pub fn spare_datum(&self) -> Datum {
        Datum { value: self.spare, dimension: self.dimension }
    }
}
