//! Figure `price`: lines with their costs to a price, and what a change of them costs.

use groundwright_estimate::price::{
    Barrow, Class, CostLine, Costs, Crew, OverheadRates, Price, Profit, Recovery, Terms, Work, change_order,
    haul, overhead_rates, price,
};
use rust_decimal::Decimal;
use serde_json::{Map, Value, json};

use super::{Answer, case, price_in_words, prose};

pub(super) const EXAMPLE: &str = r#"{ "terms": {
    "crew": { "people": 3, "day": 8, "wage": 46.50, "equipment": 180 },
    "mobilisations": 1, "mobilisation": 240, "contingency": "5 %",
    "overhead_on_own_work": "35.5 %", "overhead_on_bought": "10 %", "margin": "10 %",
    "least_job": 1800, "tax": "7.25 %", "retainage": "10 %" },
  "lines": [
    { "item": "sword fern #1", "area": "front walk", "quantity": 84, "unit_price": 13.40, "spread": 6, "rate": 14 },
    { "item": "fine bark", "area": "back bed", "quantity": 6, "unit_price": 36.50, "rate": 2, "factor": 1.25, "haul": 1.5 } ],
  "changed": [
    { "item": "sword fern #1", "area": "front walk", "quantity": 96, "unit_price": 13.40, "rate": 14 } ] }"#;
pub(super) const HELP: &str =
    "Amounts are in one currency, quantities in units of the unit price, rates in units per crew-hour, haul in
crew-hours; class is material, subcontract or equipment; taxable is true if left out. Terms have either
margin (share of the price) or markup (share of cost). Tax is on the cost of taxable lines, rounded once;
what is taxed and how much may be held back is for local law to say.
A case may also have year { labour, material, subcontract, equipment }, yearly_overhead and bought_rate; or
barrow { load, width, speed, handling } (m³, m, m/h, h), volume, distance, slowed, gate, barrows.
Example:
  groundwright figure price --example | groundwright figure price";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    if let Some((topic, text)) = prose::sentence(case) {
        return price_in_words::answer(topic, text);
    }
    if case.contains_key("barrow") {
        return carried(case).map(Answer::new);
    }
    if case.contains_key("year") {
        return recovered(case).map(Answer::new);
    }
    let terms = terms(object(case, "terms")?).map_err(|e| format!("`terms`: {e}"))?;
    let base = lines(case, "lines")?;
    let found = price(&base, &terms).map_err(|e| e.to_string())?;
    let mut result = shown(&base, &found);
    if case.contains_key("changed") {
        let after = lines(case, "changed")?;
        let changed = price(&after, &terms).map_err(|e| e.to_string())?;
        let order = change_order(&base, &after, &terms).map_err(|e| e.to_string())?;
        let rows: Vec<Value> = order
            .rows
            .iter()
            .map(|row| {
                let mut shown = json!({ "what": row.what, "amount": number(row.amount) });
                if let Some((before, after)) = row.quantities {
                    shown["before"] = number(before);
                    shown["after"] = number(after);
                }
                shown
            })
            .collect();
        result["change_order"] = json!({ "rows": rows, "amount": number(order.amount),
            "crew_days": number(order.crew_days), "changed_total": number(changed.total) });
    }
    Ok(Answer::new(result))
}

fn shown(lines: &[CostLine], found: &Price) -> Value {
    let rows: Vec<Value> = found
        .lines
        .iter()
        .map(|row| {
            let line = &lines[row.line];
            json!({ "item": line.item, "area": line.area, "bought": number(row.bought),
                "crew_hours": number(row.crew_hours), "labour": number(row.labour),
                "half_width": number(row.half_width) })
        })
        .collect();
    let areas: Case = found.by_area.iter().map(|(area, sum)| (area.clone(), number(*sum))).collect();
    json!({
        "lines": rows,
        "crew_hours": number(found.crew_hours),
        "crew_days": number(found.crew_days),
        "day_rounding": number(found.day_rounding),
        "crew_equipment": number(found.crew_equipment),
        "mobilisation": number(found.mobilisation),
        "labour": number(found.direct.labour),
        "material": number(found.direct.material),
        "subcontract": number(found.direct.subcontract),
        "equipment": number(found.direct.equipment),
        "direct": number(found.direct.total()),
        "contingency": number(found.contingency),
        "computed_contingency": number(found.computed_contingency),
        "overhead": number(found.overhead),
        "break_even": number(found.break_even),
        "profit": number(found.profit),
        "least_job": number(found.least_job),
        "before_tax": number(found.before_tax),
        "tax": number(found.tax),
        "total": number(found.total),
        "retainage": number(found.retainage),
        "range": [number(found.range.0), number(found.range.1)],
        "by_area": areas,
    })
}

/// A decimal as a number of JSON, to ten decimals.
pub(super) fn number(value: Decimal) -> Value {
    value.round_dp(10).to_string().parse::<f64>().map_or(Value::Null, Value::from)
}

/// A number of a case as a decimal.
pub(super) fn decimal(what: &str, value: f64) -> Result<Decimal, String> {
    Decimal::try_from(value).map_err(|_| format!("`{what}` is {value}; expected a number of ordinary size"))
}

fn object<'c>(case: &'c Case, key: &str) -> Result<&'c Case, String> {
    case.get(key)
        .and_then(Value::as_object)
        .ok_or_else(|| format!("`{key}` is missing or no object; see --example"))
}

fn amount(case: &Case, key: &str) -> Result<Decimal, String> {
    decimal(key, case::needed_decimal(case, key)?)
}

fn amount_or(case: &Case, key: &str, other: Decimal) -> Result<Decimal, String> {
    case::decimal(case, key)?.map_or(Ok(other), |value| decimal(key, value))
}

fn share_or(case: &Case, key: &str, other: Decimal) -> Result<Decimal, String> {
    case::share(case, key)?.map_or(Ok(other), |value| decimal(key, value))
}

fn terms(case: &Case) -> Result<Terms, String> {
    let crew = object(case, "crew")?;
    let profit = match (case::share(case, "margin")?, case::share(case, "markup")?) {
        (Some(margin), None) => Profit::Margin(decimal("margin", margin)?),
        (None, Some(markup)) => Profit::Markup(decimal("markup", markup)?),
        _ => return Err("expected either `margin` (share of the price) or `markup` (of cost)".to_owned()),
    };
    let times = amount_or(case, "mobilisations", Decimal::ONE)?;
    let mobilisations = u32::try_from(times).ok().filter(|n| Decimal::from(*n) == times);
    let zero = Decimal::ZERO;
    Ok(Terms {
        crew: Crew {
            people: amount(crew, "people")?,
            day: amount(crew, "day")?,
            wage: amount(crew, "wage")?,
            equipment: amount_or(crew, "equipment", zero)?,
        },
        mobilisations: mobilisations.ok_or("`mobilisations` is no whole number")?,
        mobilisation: amount_or(case, "mobilisation", zero)?,
        contingency: share_or(case, "contingency", zero)?,
        overhead: OverheadRates {
            own_work: share_or(case, "overhead_on_own_work", zero)?,
            bought: share_or(case, "overhead_on_bought", zero)?,
        },
        profit,
        least_job: amount_or(case, "least_job", zero)?,
        tax: share_or(case, "tax", zero)?,
        retainage: share_or(case, "retainage", zero)?,
    })
}

fn lines(case: &Case, key: &str) -> Result<Vec<CostLine>, String> {
    let rows = case.get(key).and_then(Value::as_array);
    let rows = rows.ok_or_else(|| format!("`{key}` is missing or no list; see --example"))?;
    rows.iter()
        .enumerate()
        .map(|(i, row)| {
            let row = row.as_object().ok_or("expected an object".to_owned());
            row.and_then(line).map_err(|e| format!("`{key}`, line {}: {e}", i + 1))
        })
        .collect()
}

fn line(row: &Case) -> Result<CostLine, String> {
    let class = match case::text(row, "class")?.unwrap_or("material") {
        "material" => Class::Material,
        "subcontract" => Class::Subcontract,
        "equipment" => Class::Equipment,
        other => return Err(format!("`class` is `{other}`; expected material, subcontract or equipment")),
    };
    let work = match case::decimal(row, "rate")? {
        None => None,
        Some(rate) => Some(Work {
            rate: decimal("rate", rate)?,
            factor: amount_or(row, "factor", Decimal::ONE)?,
            haul: amount_or(row, "haul", Decimal::ZERO)?,
        }),
    };
    let name = |key| {
        let text = case::text(row, key)?;
        text.map(str::to_owned).ok_or_else(|| format!("`{key}` is missing; expected a name"))
    };
    Ok(CostLine {
        item: name("item")?,
        area: name("area")?,
        quantity: amount(row, "quantity")?,
        spread: amount_or(row, "spread", Decimal::ZERO)?,
        unit_price: amount(row, "unit_price")?,
        class,
        taxable: !row.contains_key("taxable") || case::flag(row, "taxable")?,
        work,
    })
}

fn recovered(case: &Case) -> Result<Value, String> {
    let year = object(case, "year")?;
    let year = Costs {
        labour: amount(year, "labour")?,
        material: amount(year, "material")?,
        subcontract: amount_or(year, "subcontract", Decimal::ZERO)?,
        equipment: amount_or(year, "equipment", Decimal::ZERO)?,
    };
    let recovery = match case::share(case, "bought_rate")? {
        None => Recovery::Single,
        Some(rate) => Recovery::Dual(decimal("bought_rate", rate)?),
    };
    let overhead = amount(case, "yearly_overhead")?;
    let rates = overhead_rates(&year, overhead, recovery).map_err(|e| e.to_string())?;
    Ok(json!({ "on_own_work": number(rates.own_work), "on_bought": number(rates.bought) }))
}

fn carried(case: &Case) -> Result<Value, String> {
    let barrow = object(case, "barrow")?;
    let barrow = Barrow {
        load: amount(barrow, "load")?,
        width: amount(barrow, "width")?,
        speed: amount(barrow, "speed")?,
        handling: amount(barrow, "handling")?,
    };
    let way = (amount(case, "distance")?, amount_or(case, "slowed", Decimal::ONE)?);
    let barrows = amount_or(case, "barrows", Decimal::ONE)?;
    let found = haul(amount(case, "volume")?, &barrow, way, amount(case, "gate")?, barrows);
    let found = found.map_err(|e| e.to_string())?;
    Ok(json!({ "trips": number(found.trips), "trip_h": number(found.trip), "hours": number(found.hours) }))
}
