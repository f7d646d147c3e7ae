//! A set of suppliers whose terms tie the items together: a least order, an order that saves the fee.
//!
//! - Method: a program in whole numbers, solved by branch and bound over the simplex method
//!   (`microlp`). Packs of each offer at each of its prices; every item covered; every chosen supplier's
//!   order worth what its terms ask.

use microlp::{ComparisonOp, Error, OptimizationDirection, Problem, SolutionStatus, SolveOptions, Variable};

use super::OrderLine;
use super::problem::{Offer, PurchaseProblem, UNIT};

/// Steps of the branch and bound after which the best so far is taken, its proof left open.
const STEPS: u64 = 8_000;

/// Packs of an offer at one of its prices.
struct Tier {
    item: usize,
    offer: usize,
    packs: Variable,
}

/// Lines of least cost from the chosen suppliers, each of whom gets an order of the needed worth;
/// `None` where there are none. With them, whether they are proven to be of least cost.
/// Those that cost `below` or more are of no use. [hundredths of a cent]
///
/// # Errors
/// The solver gave up.
pub(super) fn solve(
    problem: &PurchaseProblem,
    chosen: impl Fn(usize) -> bool,
    needed: &[i64],
    below: Option<i64>,
) -> Result<Option<(Vec<OrderLine>, bool)>, ()> {
    let mut program = Problem::new(OptimizationDirection::Minimize);
    let mut worth: Vec<Vec<(Variable, f64)>> = vec![Vec::new(); needed.len()];
    let (mut tiers, mut all) = (Vec::new(), Vec::new());
    for (i, item) in problem.items.iter().enumerate() {
        let mut cover = Vec::new();
        for (o, offer) in
            item.offers.iter().enumerate().filter(|(_, o)| chosen(o.supplier) && o.in_time(item))
        {
            for (packs, price) in prices(&mut program, offer) {
                cover.push((packs, offer.pack as f64));
                worth[offer.supplier].push((packs, price));
                all.push((packs, price));
                tiers.push(Tier { item: i, offer: o, packs });
            }
        }
        program.add_constraint(cover, ComparisonOp::Ge, item.needed as f64);
    }
    for (s, terms) in worth.into_iter().enumerate().filter(|(s, _)| chosen(*s)) {
        // A chosen supplier gets an order, be it ever so small: a hundredth of a cent stands for one.
        program.add_constraint(terms, ComparisonOp::Ge, needed[s].max(1) as f64 / UNIT as f64);
    }
    if let Some(below) = below {
        program.add_constraint(all, ComparisonOp::Le, (below - 1) as f64 / UNIT as f64);
    }
    let mut options = SolveOptions::default();
    options.node_limit = Some(STEPS);
    let solution = match program.solve_with(options) {
        Ok(outcome) => outcome.into_solution().map_err(|_| ())?,
        Err(Error::Infeasible) => return Ok(None),
        Err(_) => return Err(()),
    };
    let proven = matches!(solution.status(), SolutionStatus::Optimal);
    let mut lines: Vec<OrderLine> = Vec::new();
    for tier in tiers {
        let packs = solution.var_value(tier.packs).round().max(0.0) as u64;
        let offer = &problem.items[tier.item].offers[tier.offer];
        let quantity = packs * offer.pack;
        if quantity > 0 {
            let cost = offer.cost(quantity);
            lines.push(OrderLine { item: tier.item, offer: tier.offer, quantity, cost });
        }
    }
    if covers(problem, &lines) { Ok(Some((lines, proven))) } else { Err(()) }
}

/// A variable of packs for each price of an offer, with the worth of a pack; at most one of them is used.
fn prices(program: &mut Problem, offer: &Offer) -> Vec<(Variable, f64)> {
    let most = offer.packs();
    let worth = |price: i64| offer.pack as f64 * price as f64 / UNIT as f64;
    // More than the need may be bought where a least order asks for it.
    let bound = |packs: u64| i32::try_from(packs).unwrap_or(i32::MAX);
    if offer.breaks.is_empty() {
        let price = worth(offer.price);
        return vec![(program.add_integer_var(price, (0, bound(most))), price)];
    }
    let mut steps = vec![(0, offer.price)];
    steps.extend(offer.breaks.iter().map(|b| (b.from, b.price)));
    let (mut list, mut one) = (Vec::new(), Vec::new());
    for (i, (from, price)) in steps.iter().enumerate() {
        let least = from.div_ceil(offer.pack);
        let next = steps.get(i + 1).map_or(most, |(next, _)| (next.div_ceil(offer.pack)).saturating_sub(1));
        let last = next.min(most);
        if least > last {
            continue;
        }
        let price = worth(*price);
        let packs = program.add_integer_var(price, (0, bound(last)));
        let used = program.add_binary_var(0.0);
        program.add_constraint([(packs, 1.0), (used, -(last as f64))], ComparisonOp::Le, 0.0);
        program.add_constraint([(packs, 1.0), (used, -(least as f64))], ComparisonOp::Ge, 0.0);
        list.push((packs, price));
        one.push((used, 1.0));
    }
    program.add_constraint(one, ComparisonOp::Le, 1.0);
    list
}

fn covers(problem: &PurchaseProblem, lines: &[OrderLine]) -> bool {
    problem.items.iter().enumerate().all(|(i, item)| {
        lines.iter().filter(|line| line.item == i).map(|line| line.quantity).sum::<u64>() >= item.needed
    })
}
