//! One item at its least cost from a set of suppliers, whatever the other items do.
//!
//! - Method: single pieces without price breaks go to the cheapest first. Packs and breaks are a
//!   knapsack: dynamic programming over the pieces still to be covered, one offer after the other.
//! - An item sees only the suppliers that offer it, so few sets differ for it; each is worked out once.

use std::collections::HashMap;

use super::OrderLine;
use super::problem::{Item, Offer, PurchaseProblem};

/// Cost and quantities by offer.
#[derive(Debug, Clone)]
struct Covered {
    cost: i64,
    quantities: Vec<(usize, u64)>,
}

/// Least costs of all items, remembered by set of suppliers.
pub(super) struct Items<'p> {
    problem: &'p PurchaseProblem,
    /// Suppliers that offer each item in time.
    offered: Vec<u64>,
    known: Vec<HashMap<u64, Option<Covered>>>,
}

impl<'p> Items<'p> {
    pub fn new(problem: &'p PurchaseProblem) -> Self {
        let offered = |item: &Item| {
            item.offers.iter().filter(|o| o.in_time(item)).fold(0, |mask, offer| mask | 1 << offer.supplier)
        };
        Self {
            problem,
            offered: problem.items.iter().map(offered).collect(),
            known: vec![HashMap::new(); problem.items.len()],
        }
    }

    fn covered(&mut self, i: usize, mask: u64) -> Option<&Covered> {
        let item = &self.problem.items[i];
        let mask = mask & self.offered[i];
        self.known[i].entry(mask).or_insert_with(|| cover(item, mask)).as_ref()
    }

    /// Least cost of all items from a set of suppliers; `None` where one cannot be covered.
    pub fn cost(&mut self, mask: u64) -> Option<i64> {
        (0..self.problem.items.len()).try_fold(0, |sum, i| Some(sum + self.covered(i, mask)?.cost))
    }

    /// The lines of that least cost.
    pub fn lines(&mut self, mask: u64) -> Vec<OrderLine> {
        let mut lines = Vec::new();
        for i in 0..self.problem.items.len() {
            let offers = &self.problem.items[i].offers;
            let quantities = self.covered(i, mask).map(|covered| covered.quantities.clone());
            for (offer, quantity) in quantities.into_iter().flatten() {
                lines.push(OrderLine { item: i, offer, quantity, cost: offers[offer].cost(quantity) });
            }
        }
        lines
    }
}

fn cover(item: &Item, mask: u64) -> Option<Covered> {
    let offers: Vec<(usize, &Offer)> = item
        .offers
        .iter()
        .enumerate()
        .filter(|(_, offer)| mask & (1 << offer.supplier) != 0 && offer.in_time(item))
        .collect();
    if offers.iter().all(|(_, offer)| offer.pack == 1 && offer.breaks.is_empty()) {
        cheapest_first(item.needed, offers)
    } else {
        by_packs(item.needed, &offers)
    }
}

fn cheapest_first(needed: u64, mut offers: Vec<(usize, &Offer)>) -> Option<Covered> {
    offers.sort_by_key(|(i, offer)| (offer.price, *i));
    let (mut left, mut cost, mut quantities) = (needed, 0, Vec::new());
    for (i, offer) in offers {
        let taken = left.min(offer.available);
        if taken > 0 {
            cost += offer.cost(taken);
            quantities.push((i, taken));
            left -= taken;
        }
    }
    quantities.sort_unstable();
    (left == 0).then_some(Covered { cost, quantities })
}

/// `best[q]` is the least cost of the offers so far that leaves `q` pieces to be covered.
fn by_packs(needed: u64, offers: &[(usize, &Offer)]) -> Option<Covered> {
    let n = needed as usize;
    let mut best: Vec<Option<i64>> = vec![None; n + 1];
    best[n] = Some(0);
    let mut taken: Vec<Vec<u64>> = Vec::with_capacity(offers.len());
    for (_, offer) in offers {
        let mut next: Vec<Option<i64>> = vec![None; n + 1];
        let mut packs = vec![0; n + 1];
        let choices: Vec<(u64, usize, i64)> = (0..=offer.useful_packs(needed))
            .map(|k| (k, (k * offer.pack) as usize, offer.cost(k * offer.pack)))
            .collect();
        for (left, so_far) in best.iter().enumerate() {
            let Some(so_far) = so_far else { continue };
            for (k, quantity, cost) in &choices {
                let rest = left.saturating_sub(*quantity);
                if next[rest].is_none_or(|known| so_far + cost < known) {
                    next[rest] = Some(so_far + cost);
                    packs[rest] = k << 32 | left as u64;
                }
                // Beyond the need only a lower price can help, and that is at a break.
                if *quantity > left && offer.breaks.is_empty() {
                    break;
                }
            }
        }
        best = next;
        taken.push(packs);
    }
    let cost = best[0]?;
    let (mut quantities, mut at) = (Vec::new(), 0);
    for ((i, offer), packs) in offers.iter().zip(&taken).rev() {
        let (k, left) = (packs[at] >> 32, packs[at] & 0xffff_ffff);
        if k > 0 {
            quantities.push((*i, k * offer.pack));
        }
        at = left as usize;
    }
    quantities.reverse();
    Some(Covered { cost, quantities })
}
