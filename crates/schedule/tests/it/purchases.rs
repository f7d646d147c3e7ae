//! Purchases: the worked problem, random ones against a general solver, laws, bad input, speed.

use std::time::{Duration, Instant};

use groundwright_schedule::purchase::{
    Break, Item, Offer, Purchase, PurchaseError, PurchaseProblem, Supplier, UNIT, purchase,
};
use proptest::prelude::*;
use serde_json::Value;

/// Written by `tests/compare_purchase.py`: optima of SciPy's milp (HiGHS), gap 0.
const RANDOM: &str = include_str!("../data/purchases.json");
/// The purchase problem of the check files, proven by HiGHS and by CP-SAT; see the file's own notes.
const WORKED: &str = include_str!("../data/purchasing-milp.json");

fn money(value: &Value) -> i64 {
    (value.as_f64().unwrap() * UNIT as f64).round() as i64
}

fn read(problem: &Value) -> PurchaseProblem {
    let demand = problem["demand"].as_object().unwrap();
    let mut read = PurchaseProblem {
        most_drops: problem["most_drops"].as_u64().map(|most| most as usize),
        ..PurchaseProblem::default()
    };
    for (name, needed) in demand {
        let needed = needed.as_u64().unwrap();
        read.items.push(Item { name: name.clone(), needed, within_days: None, offers: Vec::new() });
    }
    for (s, (name, supplier)) in problem["suppliers"].as_object().unwrap().iter().enumerate() {
        read.suppliers.push(Supplier {
            name: name.clone(),
            fee: money(&supplier["delivery_fee"]),
            least_order: money(&supplier["min_order"]),
            free_over: supplier.get("free_delivery_over").map(money),
        });
        for (item, offer) in supplier["offers"].as_object().unwrap() {
            let breaks = offer.get("breaks").and_then(Value::as_array).into_iter().flatten();
            let breaks =
                breaks.map(|b| Break { from: b[0].as_u64().unwrap(), price: money(&b[1]) }).collect();
            read.items.iter_mut().find(|known| &known.name == item).unwrap().offers.push(Offer {
                supplier: s,
                substitute: None,
                price: money(&offer["price"]),
                available: offer["avail"].as_u64().unwrap(),
                pack: offer["pack"].as_u64().unwrap_or(1),
                breaks,
                lead_days: 0,
            });
        }
    }
    read
}

/// What a purchase breaks, worked out from the orders alone.
fn broken(problem: &PurchaseProblem, found: &Purchase) -> Vec<String> {
    let mut faults = Vec::new();
    let lines = || found.orders.iter().flat_map(|order| &order.lines);
    for (i, item) in problem.items.iter().enumerate() {
        let bought: u64 = lines().filter(|line| line.item == i).map(|line| line.quantity).sum();
        if bought < item.needed {
            faults.push(format!("{} short", item.name));
        }
        for (o, offer) in item.offers.iter().enumerate() {
            let taken: u64 =
                lines().filter(|line| line.item == i && line.offer == o).map(|l| l.quantity).sum();
            if taken > offer.available || !taken.is_multiple_of(offer.pack) {
                faults.push(format!("{} from {}", item.name, offer.supplier));
            }
        }
    }
    let mut cost = 0;
    for order in &found.orders {
        let supplier = &problem.suppliers[order.supplier];
        let value: i64 =
            order.lines.iter().map(|l| problem.items[l.item].offers[l.offer].cost(l.quantity)).sum();
        let fee = if supplier.free_over.is_some_and(|over| value >= over) { 0 } else { supplier.fee };
        if value < supplier.least_order || value != order.value || fee != order.fee {
            faults.push(format!("terms of {}", supplier.name));
        }
        cost += value + fee;
    }
    if cost != found.cost || problem.most_drops.is_some_and(|most| found.orders.len() > most) {
        faults.push("cost or drops".to_owned());
    }
    faults
}

#[test]
fn the_worked_problem_has_its_optimum() {
    let file: Value = serde_json::from_str(WORKED).unwrap();
    let problem = read(&file["problem"]);
    let found = purchase(&problem).unwrap();
    assert_eq!((found.cost, found.proven), (59_746_000, true));
    let used: Vec<&str> =
        found.orders.iter().map(|order| problem.suppliers[order.supplier].name.as_str()).collect();
    assert_eq!(used, ["S2", "S3", "S4"]);
    for row in file["answer"]["by_allowed_supplier_set"].as_array().unwrap() {
        let allowed: Vec<&str> =
            row["allowed_suppliers"].as_array().unwrap().iter().map(|s| s.as_str().unwrap()).collect();
        let mut some = problem.clone();
        for item in &mut some.items {
            item.offers.retain(|o| allowed.contains(&problem.suppliers[o.supplier].name.as_str()));
        }
        let cost = purchase(&some).ok().map(|found| found.cost);
        assert_eq!(cost, row["optimum"].as_f64().map(|_| money(&row["optimum"])), "{allowed:?}");
    }
}

#[test]
fn random_purchases_equal_a_general_solvers_optima() {
    let file: Value = serde_json::from_str(RANDOM).unwrap();
    let (mut compared, mut impossible, mut proven) = (0, 0, 0);
    for (i, case) in file["cases"].as_array().unwrap().iter().enumerate() {
        let problem = read(&case["problem"]);
        match purchase(&problem) {
            Ok(found) => {
                assert_eq!(broken(&problem, &found), Vec::<String>::new(), "case {i}");
                proven += usize::from(found.proven);
                assert!(!case["optimum"].is_null(), "case {i}: {} and none", found.cost);
                assert!(
                    (found.cost - money(&case["optimum"])).abs() <= 10,
                    "case {i}: {} {}",
                    found.cost,
                    case["optimum"]
                );
                compared += 1;
            }
            Err(PurchaseError::Short { .. } | PurchaseError::NoSet { .. }) => {
                assert!(case["optimum"].is_null(), "case {i}: none and {}", case["optimum"]);
                impossible += 1;
            }
            Err(other) => panic!("case {i}: {other}"),
        }
    }
    assert_eq!(compared + impossible, 100);
    // Every cost is the optimum; for most it is also known here to be.
    println!("{compared} purchases, {proven} proven");
    assert!(compared >= 70 && proven >= 60, "{compared}, {proven} proven");
}

/// 12 suppliers, 200 items with packs and price breaks.
#[test]
fn a_large_purchase_is_solved_soon() {
    let file: Value = serde_json::from_str(RANDOM).unwrap();
    let problem = read(&file["large"]["problem"]);
    let begun = Instant::now();
    let found = purchase(&problem).unwrap();
    let took = begun.elapsed();
    println!("12 suppliers, 200 items: {} sets looked at to the end, {took:?}", found.sets);
    assert_eq!(broken(&problem, &found), Vec::<String>::new());
    assert!(
        (found.cost - money(&file["large"]["optimum"])).abs() <= 10,
        "{} {}",
        found.cost,
        file["large"]["optimum"]
    );
    assert!(took < Duration::from_secs(5), "{took:?}");
}

fn one_item(offers: Vec<Offer>, suppliers: usize, needed: u64) -> PurchaseProblem {
    let supplier = |s| Supplier { name: format!("S{s}"), fee: 0, least_order: 0, free_over: None };
    PurchaseProblem {
        suppliers: (0..suppliers).map(supplier).collect(),
        items: vec![Item { name: "fern".to_owned(), needed, within_days: Some(10), offers }],
        most_drops: None,
    }
}

fn offer(supplier: usize, price: i64, available: u64) -> Offer {
    Offer { supplier, substitute: None, price, available, pack: 1, breaks: Vec::new(), lead_days: 0 }
}

#[test]
fn what_cannot_be_bought_is_said() {
    let short = purchase(&one_item(vec![offer(0, UNIT, 5)], 1, 9)).unwrap_err().to_string();
    assert!(short.contains("`fern`: 9 are needed and 5 can be had"), "{short}");
    let late = Offer { lead_days: 30, ..offer(0, UNIT, 50) };
    assert!(matches!(purchase(&one_item(vec![late], 1, 9)), Err(PurchaseError::Short { available: 0, .. })));
    let mut drops = one_item(vec![offer(0, UNIT, 5), offer(1, UNIT, 5)], 2, 9);
    drops.most_drops = Some(1);
    assert!(purchase(&drops).unwrap_err().to_string().contains("at most 1"));
    let bad = purchase(&one_item(vec![offer(3, UNIT, 5)], 1, 1)).unwrap_err().to_string();
    assert!(bad.contains("the supplier of `fern` is 3"), "{bad}");
    let negative = purchase(&one_item(vec![offer(0, -1, 5)], 1, 1)).unwrap_err().to_string();
    assert!(negative.contains("the price of `fern` is -1"), "{negative}");
}

/// By hand: ten at 1.00, or 0.80 from twelve on: twelve cost 9.60, less than ten.
#[test]
fn a_price_break_may_be_worth_more_than_is_needed() {
    let many = Offer { breaks: vec![Break { from: 12, price: 8_000 }], ..offer(0, UNIT, 20) };
    let found = purchase(&one_item(vec![many], 1, 10)).unwrap();
    assert_eq!((found.cost, found.orders[0].lines[0].quantity), (96_000, 12));
}

/// By hand: an order of 90 pays 20 for its delivery; one of 100 pays nothing.
#[test]
fn more_is_ordered_where_that_saves_the_fee() {
    let mut problem = one_item(vec![offer(0, 10 * UNIT, 50)], 1, 9);
    problem.suppliers[0].fee = 20 * UNIT;
    problem.suppliers[0].free_over = Some(100 * UNIT);
    let found = purchase(&problem).unwrap();
    assert_eq!((found.cost, found.orders[0].waived, found.proven), (100 * UNIT, true, true));
}

/// What is needed of an item; price, stock and pack of each supplier.
type Row = (u64, Vec<(i64, u64, u64)>);

proptest! {
    /// Orders cover every need and keep every term; a further supplier never makes it dearer; nor does
    /// a longer list of allowed drops.
    #[test]
    fn orders_keep_their_terms(
        rows in prop::collection::vec((1_u64..40, prop::collection::vec((1_i64..500, 0_u64..60, 1_u64..7), 3)), 1..6),
        terms in prop::collection::vec((0_i64..80, 0_i64..400), 3),
    ) {
        let supplier = |(s, (fee, least)): (usize, &(i64, i64))| Supplier {
            name: format!("S{s}"), fee: fee * UNIT, least_order: least * UNIT, free_over: None,
        };
        let item = |(i, (needed, offers)): (usize, &Row)| Item {
            name: format!("i{i}"), needed: *needed, within_days: None,
            offers: offers.iter().enumerate().map(|(s, (price, available, pack))| Offer {
                pack: *pack, ..offer(s, price * UNIT / 10, *available)
            }).collect(),
        };
        let all = PurchaseProblem {
            suppliers: terms.iter().enumerate().map(supplier).collect(),
            items: rows.iter().enumerate().map(item).collect(),
            most_drops: None,
        };
        let mut few = all.clone();
        few.most_drops = Some(2);
        for item in &mut few.items {
            item.offers.retain(|offer| offer.supplier < 2);
        }
        if let Ok(found) = purchase(&few) {
            prop_assert_eq!(broken(&few, &found), Vec::<String>::new());
            let more = purchase(&all).unwrap();
            prop_assert!(more.cost <= found.cost);
        }
        if let Ok(found) = purchase(&all) {
            prop_assert_eq!(broken(&all, &found), Vec::<String>::new());
            prop_assert!(found.lower_bound <= found.cost);
            prop_assert_eq!(purchase(&all).unwrap(), found);
        }
    }
}
