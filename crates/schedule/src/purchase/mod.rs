//! Purchase: what to order from whom, at the least landed cost.
//!
//! - In: what is needed, suppliers with their offers, fees and terms. Out: orders with their cost, a
//!   bound below which no purchase can be, and whether the one is proven to reach the other.
//! - Method: sets of suppliers are looked at in the order of a bound: each item at its least cost from
//!   those still allowed (`item.rs`), with the fees of those already chosen. Where the terms of the
//!   chosen suppliers are not met by that alone (a least order, an order that saves the fee), the items
//!   depend on one another and a general solver for whole numbers takes over (`coupled.rs`).
//! - Amounts of money are whole hundredths of a cent, so that sums are exact.
//! - Not here: what is needed, and reading price lists.

mod coupled;
mod item;
mod problem;

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use item::Items;

pub use problem::{Break, Item, Offer, PurchaseError, PurchaseProblem, Supplier, UNIT};

/// A line of an order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OrderLine {
    /// Index of the item.
    pub item: usize,
    /// Index of the offer within the item.
    pub offer: usize,
    /// Pieces ordered, whole packs.
    pub quantity: u64,
    /// What they cost. [hundredths of a cent]
    pub cost: i64,
}

/// An order with one supplier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// Index of the supplier.
    pub supplier: usize,
    /// Its lines, in the order of the items.
    pub lines: Vec<OrderLine>,
    /// Worth before the fee. [hundredths of a cent]
    pub value: i64,
    /// Delivery fee. [hundredths of a cent] 0 where it is waived.
    pub fee: i64,
    /// Whether the order is large enough to save the fee.
    pub waived: bool,
}

/// Orders that cover every need.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purchase {
    /// Orders, in the order of the suppliers.
    pub orders: Vec<Order>,
    /// Landed cost, fees included. [hundredths of a cent]
    pub cost: i64,
    /// No purchase costs less. [hundredths of a cent]
    pub lower_bound: i64,
    /// The cost equals the bound.
    pub proven: bool,
    /// Sets of suppliers that were looked at to the end.
    pub sets: usize,
}

/// How a supplier takes part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    Out,
    /// Paying the fee.
    Paid,
    /// With an order that saves the fee.
    Waived,
}

/// Suppliers decided so far.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Node {
    bound: i64,
    parts: Vec<Part>,
}

impl Ord for Node {
    fn cmp(&self, other: &Self) -> Ordering {
        // The most decided first among equals, so that a whole set is reached soon.
        (self.bound, Reverse(self.parts.len()), &self.parts).cmp(&(
            other.bound,
            Reverse(other.parts.len()),
            &other.parts,
        ))
    }
}

impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// The purchase of least landed cost.
///
/// # Errors
/// - [`PurchaseError::NotUsable`]: numbers that cannot be.
/// - [`PurchaseError::Short`]: an item that all suppliers together cannot cover.
/// - [`PurchaseError::NoSet`]: no allowed set of suppliers covers all with its terms met.
pub fn purchase(problem: &PurchaseProblem) -> Result<Purchase, PurchaseError> {
    problem.check()?;
    let mut items = Items::new(problem);
    let mut search = Search { problem, best: None, unsolved: None, sets: 0 };
    let mut heap = BinaryHeap::new();
    if let Some(bound) = search.bound(&mut items, &[]) {
        heap.push(Reverse(Node { bound, parts: Vec::new() }));
    }
    while let Some(Reverse(node)) = heap.pop() {
        if search.best.as_ref().is_some_and(|(cost, _)| node.bound >= *cost) {
            break;
        }
        if node.parts.len() == problem.suppliers.len() {
            search.finish(&mut items, &node);
            continue;
        }
        let supplier = &problem.suppliers[node.parts.len()];
        for part in [Part::Out, Part::Paid, Part::Waived] {
            if part == Part::Waived && supplier.free_over.is_none() {
                continue;
            }
            let mut parts = node.parts.clone();
            parts.push(part);
            if let Some(bound) = search.bound(&mut items, &parts) {
                heap.push(Reverse(Node { bound, parts }));
            }
        }
    }
    search.result()
}

struct Search<'p> {
    problem: &'p PurchaseProblem,
    best: Option<(i64, Vec<Order>)>,
    /// Least bound of a set that the general solver could not finish.
    unsolved: Option<i64>,
    sets: usize,
}

impl Search<'_> {
    /// No purchase with these parts costs less; `None` where there is none.
    fn bound(&self, items: &mut Items<'_>, parts: &[Part]) -> Option<i64> {
        let chosen = parts.iter().filter(|part| **part != Part::Out).count();
        if self.problem.most_drops.is_some_and(|most| chosen > most) {
            return None;
        }
        let allowed = |s: usize| parts.get(s).is_none_or(|part| *part != Part::Out);
        let cost = items.cost(mask(self.problem.suppliers.len(), allowed))?;
        Some(cost + self.fees(parts))
    }

    fn fees(&self, parts: &[Part]) -> i64 {
        let paid = parts.iter().zip(&self.problem.suppliers).filter(|(part, _)| **part == Part::Paid);
        paid.map(|(_, supplier)| supplier.fee).sum()
    }

    /// Looks at a whole set: its cost where its items are free of one another, else by the general solver.
    fn finish(&mut self, items: &mut Items<'_>, node: &Node) {
        self.sets += 1;
        let chosen = |s: usize| node.parts[s] != Part::Out;
        let lines = items.lines(mask(node.parts.len(), chosen));
        let needed: Vec<i64> = (0..node.parts.len()).map(|s| self.least_value(s, node.parts[s])).collect();
        let mut orders = self.orders(&lines, &node.parts);
        let met = |orders: &[Order]| {
            (0..needed.len()).filter(|s| node.parts[*s] != Part::Out).all(|s| {
                orders.iter().find(|order| order.supplier == s).is_some_and(|order| order.value >= needed[s])
            })
        };
        if !met(&orders) {
            // A supplier that gets no order is a smaller set, which is looked at by itself.
            let idle = |s: usize| chosen(s) && needed[s] <= 0 && !orders.iter().any(|o| o.supplier == s);
            if (0..needed.len()).any(idle) {
                return;
            }
            let fees = self.fees(&node.parts);
            let below = self.best.as_ref().map(|(cost, _)| cost - fees);
            match coupled::solve(self.problem, chosen, &needed, below) {
                Ok(Some((lines, proven))) => {
                    orders = self.orders(&lines, &node.parts);
                    if !proven {
                        self.leave_open(node.bound);
                    }
                }
                Ok(None) => return,
                Err(()) => return self.leave_open(node.bound),
            }
        }
        let cost: i64 = orders.iter().map(|order| order.value + order.fee).sum();
        if met(&orders) && self.best.as_ref().is_none_or(|(best, _)| cost < *best) {
            self.best = Some((cost, orders));
        }
    }

    /// A set whose cost is not known to be the least: the answer is good to its bound only.
    fn leave_open(&mut self, bound: i64) {
        self.unsolved = Some(self.unsolved.map_or(bound, |known| known.min(bound)));
    }

    fn least_value(&self, s: usize, part: Part) -> i64 {
        let supplier = &self.problem.suppliers[s];
        let free = if part == Part::Waived { supplier.free_over.unwrap_or(0) } else { 0 };
        supplier.least_order.max(free)
    }

    fn orders(&self, lines: &[OrderLine], parts: &[Part]) -> Vec<Order> {
        let mut orders = Vec::new();
        for s in (0..parts.len()).filter(|s| parts[*s] != Part::Out) {
            let own = lines.iter().filter(|line| self.problem.offer(line).supplier == s);
            let lines: Vec<OrderLine> = own.cloned().collect();
            let value = lines.iter().map(|line| line.cost).sum();
            let supplier = &self.problem.suppliers[s];
            let waived = supplier.free_over.is_some_and(|over| value >= over);
            if !lines.is_empty() {
                let fee = if waived { 0 } else { supplier.fee };
                orders.push(Order { supplier: s, lines, value, fee, waived });
            }
        }
        orders
    }

    fn result(self) -> Result<Purchase, PurchaseError> {
        let Some((cost, orders)) = self.best else { return Err(self.problem.why_none()) };
        let lower_bound = self.unsolved.map_or(cost, |bound| bound.min(cost));
        Ok(Purchase { orders, cost, lower_bound, proven: lower_bound == cost, sets: self.sets })
    }
}

fn mask(suppliers: usize, allowed: impl Fn(usize) -> bool) -> u64 {
    (0..suppliers).filter(|s| allowed(*s)).fold(0, |mask, s| mask | 1 << s)
}
