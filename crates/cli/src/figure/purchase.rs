//! Figure `purchase`: what to order from whom, at the least landed cost.

use groundwright_schedule::purchase::{
    Break, Item, Offer, Purchase, PurchaseProblem, Supplier, UNIT, purchase,
};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "problem": {
  "demand": { "shrub_3gal": 84, "mulch_yd3": 14 },
  "suppliers": {
    "north nursery": { "delivery_fee": 150, "min_order": 800, "free_delivery_over": 1500, "offers": {
      "shrub_3gal": { "price": 13.4, "avail": 60, "breaks": [[50, 12.9]] } } },
    "south nursery": { "delivery_fee": 95, "offers": {
      "shrub_3gal": { "price": 15.1, "avail": 100, "pack": 5 },
      "mulch_yd3": { "price": 41, "avail": 40 } } } } } }"#;
pub(super) const HELP: &str =
    "`problem` has `demand` (pieces by item) and `suppliers` by name: `delivery_fee`, `min_order`,
`free_delivery_over`, and `offers` by item: `price`, `avail`, and may have `pack` (whole packs only),
`breaks` ([from, price] for the whole quantity) and `lead_days`. The problem may have `within_days` by
item and `most_drops`. Result: answer, with optimum_landed_cost, plan, delivery_fee_waived, orders,
lower_bound, proven, cheapest_unit_price_supplier, and with up to 6 suppliers by_allowed_supplier_set.
Example:
  groundwright figure purchase --example | groundwright figure purchase";

/// With more suppliers the optima of all their sets are not listed.
const LISTED: usize = 6;

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let problem = case.get("problem").map_or(Some(case), Value::as_object).ok_or("`problem` is no object")?;
    let problem = read(problem)?;
    let found = purchase(&problem).map_err(|problem| problem.to_string())?;
    let mut answer = shown(&problem, &found);
    answer["cheapest_unit_price_supplier"] = cheapest(&problem);
    if problem.suppliers.len() <= LISTED {
        answer["by_allowed_supplier_set"] = sets(&problem);
    }
    Ok(Answer::new(json!({ "answer": answer })))
}

fn read(case: &Case) -> Result<PurchaseProblem, String> {
    let object = |key: &str| {
        case.get(key).and_then(Value::as_object).ok_or_else(|| format!("`{key}` is missing or no object"))
    };
    let within = case.get("within_days").and_then(Value::as_object);
    let mut problem = PurchaseProblem::default();
    for (name, needed) in object("demand")? {
        let days = within.and_then(|days| days.get(name)).and_then(Value::as_u64);
        problem.items.push(Item {
            name: name.clone(),
            needed: whole(needed)
                .ok_or_else(|| format!("`demand.{name}` is {needed}; expected whole pieces"))?,
            within_days: days.and_then(|days| u32::try_from(days).ok()),
            offers: Vec::new(),
        });
    }
    for (s, (name, supplier)) in object("suppliers")?.iter().enumerate() {
        let place = |problem: String| format!("supplier `{name}`: {problem}");
        let supplier = supplier.as_object().ok_or_else(|| place("expected an object".to_owned()))?;
        problem.suppliers.push(Supplier {
            name: name.clone(),
            fee: money(supplier, "delivery_fee").map_err(place)?.unwrap_or(0),
            least_order: money(supplier, "min_order").map_err(place)?.unwrap_or(0),
            free_over: money(supplier, "free_delivery_over").map_err(place)?,
        });
        let offers = supplier.get("offers").and_then(Value::as_object);
        for (item, offer) in offers.ok_or_else(|| place("`offers` is missing".to_owned()))? {
            let Some(known) = problem.items.iter_mut().find(|known| &known.name == item) else { continue };
            let offer = offer.as_object().ok_or_else(|| place(format!("`{item}` is no object")));
            known
                .offers
                .push(read_offer(s, offer?).map_err(|problem| place(format!("`{item}`: {problem}")))?);
        }
    }
    problem.most_drops = case.get("most_drops").and_then(whole).and_then(|most| usize::try_from(most).ok());
    Ok(problem)
}

fn read_offer(supplier: usize, row: &Case) -> Result<Offer, String> {
    let count = |key: &str, other: u64| match row.get(key) {
        None => Ok(other),
        Some(value) => whole(value).ok_or_else(|| format!("`{key}` is {value}; expected a whole number")),
    };
    let wrong = |value: &Value| format!("`breaks` is {value}; expected [[from, price], …]");
    let mut breaks = Vec::new();
    if let Some(value) = row.get("breaks") {
        for pair in value.as_array().ok_or_else(|| wrong(value))? {
            let from = pair.get(0).and_then(whole).ok_or_else(|| wrong(value))?;
            let price = pair.get(1).and_then(hundredths).ok_or_else(|| wrong(value))?;
            breaks.push(Break { from, price });
        }
    }
    Ok(Offer {
        supplier,
        substitute: case::text(row, "substitute")?.map(str::to_owned),
        price: money(row, "price")?
            .ok_or("`price` is missing; a supplier without a price cannot be compared")?,
        available: count("avail", 0)?,
        pack: count("pack", 1)?,
        breaks,
        lead_days: u32::try_from(count("lead_days", 0)?).unwrap_or(u32::MAX),
    })
}

fn whole(value: &Value) -> Option<u64> {
    value
        .as_u64()
        .or_else(|| value.as_f64().filter(|v| v.fract() == 0.0 && (0.0..1e15).contains(v)).map(|v| v as u64))
}

/// An amount in hundredths of a cent, rounded to them.
fn hundredths(value: &Value) -> Option<i64> {
    let amount = value.as_f64().filter(|amount| amount.abs() < 1e11)?;
    Some((amount * UNIT as f64).round() as i64)
}

fn money(row: &Case, key: &str) -> Result<Option<i64>, String> {
    match row.get(key) {
        None | Some(Value::Null) => Ok(None),
        Some(value) => hundredths(value)
            .map(Some)
            .ok_or_else(|| format!("`{key}` is {value}; expected an amount of money")),
    }
}

fn amount(hundredths: i64) -> f64 {
    hundredths as f64 / UNIT as f64
}

fn shown(problem: &PurchaseProblem, found: &Purchase) -> Value {
    let (mut plan, mut waived, mut orders) = (Map::new(), Map::new(), Map::new());
    for order in &found.orders {
        let name = &problem.suppliers[order.supplier].name;
        let mut lines = Map::new();
        for line in &order.lines {
            let before = lines.get(&problem.items[line.item].name).and_then(Value::as_u64).unwrap_or(0);
            lines.insert(problem.items[line.item].name.clone(), json!(before + line.quantity));
        }
        plan.insert(name.clone(), Value::Object(lines));
        waived.insert(name.clone(), json!(order.waived));
        orders.insert(name.clone(), json!({ "value": amount(order.value), "fee": amount(order.fee) }));
    }
    json!({
        "optimum_landed_cost": amount(found.cost),
        "plan": plan,
        "delivery_fee_waived": waived,
        "orders": orders,
        "lower_bound": amount(found.lower_bound),
        "proven": found.proven,
    })
}

fn cheapest(problem: &PurchaseProblem) -> Value {
    let row = |item: &Item| {
        let offer = item.offers.iter().min_by_key(|offer| (offer.price, offer.supplier));
        (item.name.clone(), json!(offer.map(|offer| problem.suppliers[offer.supplier].name.as_str())))
    };
    Value::Object(problem.items.iter().map(row).collect())
}

/// The least cost of every set of suppliers, small sets first; null where a set cannot cover all.
fn sets(problem: &PurchaseProblem) -> Value {
    let count = problem.suppliers.len();
    let mut sets: Vec<Vec<usize>> =
        (1..1_usize << count).map(|set| (0..count).filter(|s| set & (1 << s) != 0).collect()).collect();
    sets.sort_by_key(|set| (set.len(), set.clone()));
    let row = |set: &Vec<usize>| {
        let mut some = problem.clone();
        for item in &mut some.items {
            item.offers.retain(|offer| set.contains(&offer.supplier));
        }
        let names: Vec<&str> = set.iter().map(|s| problem.suppliers[*s].name.as_str()).collect();
        let optimum = purchase(&some).ok().map(|found| amount(found.cost));
        json!({ "allowed_suppliers": names, "optimum": optimum })
    };
    sets.iter().map(row).collect()
}
