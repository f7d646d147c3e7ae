//! Adding up.

use std::collections::BTreeMap;

use groundwright_handoff::{Datum, Dimension, Finding, Pack, Phase, Quantity, Rule, Severity, Source, Step};
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
    /// Packs to order and how many of each, the largest first; none where any amount can be had.
    pub packs: Vec<(f64, Pack)>,
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
    let packs = packs(group, gross);
    let ordered = match packs.as_slice() {
        [] => gross,
        packs => packs.iter().map(|(count, pack)| count * pack.contents).sum(),
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
        ordered,
        spare: (ordered - net).max(0.0),
        parts: group
            .iter()
            .map(|q| Part { subject: q.subject.clone(), amount: q.amount.value, basis: q.basis.clone() })
            .collect(),
    })
}

/// Packs for an amount: the largest that the amount fills at least once, rounded up; where a smaller
/// one may top it up, whole large ones and small ones for the rest.
fn packs(group: &[&Quantity], gross: f64) -> Vec<(f64, Pack)> {
    let mut sold: Vec<&Pack> = Vec::new();
    for pack in group.iter().flat_map(|q| &q.packs) {
        let good = pack.contents.is_finite() && pack.contents > 0.0;
        if good && !sold.iter().any(|known| known.name == pack.name) {
            sold.push(pack);
        }
    }
    sold.sort_by(|a, b| b.contents.total_cmp(&a.contents).then(a.name.cmp(&b.name)));
    let Some(main) = sold.iter().position(|pack| pack.contents <= gross + 1e-9).or(sold.len().checked_sub(1))
    else {
        return Vec::new();
    };
    let large = sold[main];
    let Some(small) = sold[main + 1..].iter().rfind(|pack| pack.tops_up) else {
        return vec![(round_up(gross / large.contents), large.clone())];
    };
    let whole = (gross / large.contents + 1e-9).floor();
    let rest = round_up((gross - whole * large.contents) / small.contents);
    if rest * small.contents >= large.contents {
        return vec![(whole + 1.0, large.clone())];
    }
    [(whole, large), (rest, small)]
        .into_iter()
        .filter(|(n, _)| *n > 0.0)
        .map(|(n, p)| (n, p.clone()))
        .collect()
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

static NOT_ADDED: Rule = Rule {
    id: "estimate.not-added",
    title: "Amounts left out of the takeoff",
    sentence: "{subject}: an amount is left out of the order: {why}.",
    source: Source::Practice,
};

impl Takeoff {
    /// What could not be added up, as findings, so that nothing is left out in silence.
    pub fn findings(&self) -> Vec<Finding> {
        self.faults
            .iter()
            .map(|fault| {
                let (TakeoffFault::Amount { subject, .. } | TakeoffFault::Dimension { subject, .. }) = fault;
                Finding::new(&NOT_ADDED, Severity::Fault, subject.clone()).word("why", fault.to_string())
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use groundwright_plan::Kind;

    fn quantity(amount: Datum, allowance: f64, packs: &[(&str, f64, bool)]) -> Quantity {
        Quantity {
            item: "thing".to_owned(),
            description: "thing".to_owned(),
            amount,
            allowance,
            spread: 0.0,
            basis: Vec::new(),
            packs: packs
                .iter()
                .map(|&(name, contents, tops_up)| Pack { name: name.to_owned(), contents, tops_up })
                .collect(),
            subject: ElementRef::new(Kind::Bed, &"one".into()),
            phase: Phase::Planting,
            option: None,
        }
    }

    fn order(takeoff: &Takeoff) -> Vec<(f64, &str)> {
        takeoff.lines[0].packs.iter().map(|(count, pack)| (*count, pack.name.as_str())).collect()
    }

    /// Twelve small beds make one truck, not fifty bags: packs are chosen on the sum.
    #[test]
    fn packs_are_chosen_on_the_sum() {
        let packs = [("bag", 0.085, false), ("half", 0.5, false)];
        let beds: Vec<Quantity> = (0..12).map(|_| quantity(Datum::volume(0.38), 0.0, &packs)).collect();
        let takeoff = take_off(&beds);
        assert_eq!(order(&takeoff), [(10.0, "half")]);
        assert!((takeoff.lines[0].spare - (5.0 - 12.0 * 0.38)).abs() < 1e-9);
        assert_eq!(order(&take_off(&beds[..1])), [(5.0, "bag")]);
    }

    /// Whole pallets, and slabs for the rest.
    #[test]
    fn slabs_top_up_pallets() {
        let packs = [("slab", 0.25, true), ("pallet", 42.0, false)];
        let sod = |area| take_off(&[quantity(Datum::area(area), 0.05, &packs)]);
        assert_eq!(order(&sod(40.8)), [(1.0, "pallet"), (4.0, "slab")]);
        assert_eq!(order(&sod(10.0)), [(42.0, "slab")]);
        assert_eq!(order(&sod(79.9)), [(2.0, "pallet")]);
    }

    /// Two per cent of one specimen is no second specimen; of thirty pots it is one more.
    #[test]
    fn allowances_of_counts_are_rounded_to_the_nearest() {
        let gross = |n, allowance| take_off(&[quantity(Datum::count(n), allowance, &[])]).lines[0].gross;
        assert!((gross(1, 0.02) - 1.0).abs() < 1e-9);
        assert!((gross(30, 0.02) - 31.0).abs() < 1e-9);
        assert!((gross(100, 0.05) - 105.0).abs() < 1e-9);
    }

    #[test]
    fn what_cannot_be_added_is_told() {
        let takeoff = take_off(&[
            quantity(Datum::count(3), 0.0, &[]),
            quantity(Datum::area(2.0), 0.0, &[]),
            quantity(Datum::number(f64::NAN), 0.0, &[]),
        ]);
        assert_eq!(takeoff.lines.len(), 1);
        assert_eq!(takeoff.findings().len(), 2);
    }
}
