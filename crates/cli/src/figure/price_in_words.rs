//! Figure `price` for cases in words: markup and margin, risks, production rates, sales tax.

use groundwright_estimate::price::{Profit, Risk, Work, cents, production, risks, tax};
use rust_decimal::{Decimal, RoundingStrategy};
use serde_json::json;

use super::price::{decimal, number};
use super::{Answer, prose};

pub(super) fn answer(topic: &str, text: &str) -> Result<Answer, String> {
    match topic {
        "markup-margin" => markup_margin(&numbers(text, &["cost", "rate", "%"], 2)?),
        "contingency" => contingency(&numbers(text, &["independent risks", "cost, chance"], 2)?),
        "production" => produced(&numbers(
            text,
            &["quantity", "units per crew-hour", "crew of", "h day", "difficulty factor"],
            5,
        )?),
        "sales-tax" => sales_tax(&numbers(text, &["qty x price", "tax", "% on material only"], 3)?),
        "overhead" => Err("overhead in words leaves out the rate on material; give `year`, \
            `yearly_overhead` and `bought_rate`"
            .to_owned()),
        other => Err(prose::unknown(other, &["markup-margin", "contingency", "production", "sales-tax"])),
    }
}

fn numbers(text: &str, words: &[&str], count: usize) -> Result<Vec<Decimal>, String> {
    let found = prose::numbers(text, words, count)?;
    if let Some(large) = found.iter().find(|value| **value > 1e9) {
        return Err(format!("`inputs` has the number {large}; expected at most 1000000000"));
    }
    found.into_iter().map(|value| decimal("inputs", value)).collect()
}

/// Rounded to the four decimals that are printed: printing alone would cut them off.
fn printed(value: Decimal) -> Decimal {
    value.round_dp_with_strategy(4, RoundingStrategy::MidpointAwayFromZero)
}

fn markup_margin(n: &[Decimal]) -> Result<Answer, String> {
    let rate = n[1] / Decimal::ONE_HUNDRED;
    let (markup, margin) = (Profit::Markup(rate), Profit::Margin(rate));
    let said = |problem: groundwright_estimate::price::PriceError| problem.to_string();
    let (by_markup, by_margin) =
        (cents(markup.price(n[0]).map_err(said)?), cents(margin.price(n[0]).map_err(said)?));
    let as_margin = printed(markup.as_margin().map_err(said)? * Decimal::ONE_HUNDRED);
    let as_markup = printed(margin.as_markup().map_err(said)? * Decimal::ONE_HUNDRED);
    let words = format!(
        "as markup: price {by_markup:.2}, margin {as_margin:.4} %; as margin: price {by_margin:.2}, \
         equivalent markup {as_markup:.4} %"
    );
    let result = json!({ "price_by_markup": number(by_markup), "margin_percent": number(as_margin),
        "price_by_margin": number(by_margin), "markup_percent": number(as_markup) });
    Ok(Answer::in_words(result, words))
}

fn contingency(n: &[Decimal]) -> Result<Answer, String> {
    if !n.len().is_multiple_of(2) {
        return Err("`inputs` has a cost without a chance; expected pairs (cost, chance)".to_owned());
    }
    let list: Vec<Risk> = n.chunks(2).map(|pair| Risk { cost: pair[0], chance: pair[1] }).collect();
    let (expected, deviation) = risks(&list).map_err(|e| e.to_string())?;
    let (expected, deviation) = (cents(expected), cents(deviation));
    let words = format!("expected {expected:.2}; standard deviation {deviation:.2}");
    let result = json!({ "expected": number(expected), "standard_deviation": number(deviation) });
    Ok(Answer::in_words(result, words))
}

fn produced(n: &[Decimal]) -> Result<Answer, String> {
    let work = Work { rate: n[1], factor: n[4], haul: Decimal::ZERO };
    let found = production(n[0], &work, n[2], n[3]).map_err(|e| e.to_string())?;
    let words = format!(
        "{:.4} crew-h; {:.4} labour-h; {:.4} crew-days ({} whole days)",
        printed(found.crew_hours),
        printed(found.labour_hours),
        printed(found.crew_days),
        found.whole_days
    );
    let result = json!({ "crew_hours": number(found.crew_hours), "labour_hours": number(found.labour_hours),
        "crew_days": number(found.crew_days), "whole_days": number(found.whole_days) });
    Ok(Answer::in_words(result, words))
}

fn sales_tax(n: &[Decimal]) -> Result<Answer, String> {
    let [lines @ .., rate] = n else { return Err("`inputs` has no tax rate".to_owned()) };
    if !lines.len().is_multiple_of(2) {
        return Err("`inputs` has a quantity without a price; expected qty x price".to_owned());
    }
    let rate = rate / Decimal::ONE_HUNDRED;
    let (mut subtotal, mut by_line) = (Decimal::ZERO, Decimal::ZERO);
    for pair in lines.chunks(2) {
        let cost = pair[0].checked_mul(pair[1]).and_then(|cost| subtotal.checked_add(cost));
        let sum = cents(cost.ok_or("the lines are too large to be money")?);
        by_line += tax(sum - subtotal, rate).map_err(|e| e.to_string())?;
        subtotal = sum;
    }
    let whole = tax(subtotal, rate).map_err(|e| e.to_string())?;
    let words = format!(
        "subtotal {subtotal:.2}; tax on the total {whole:.2}; sum of line-by-line taxes {by_line:.2}; \
         total {:.2} or {:.2}",
        subtotal + whole,
        subtotal + by_line
    );
    let result = json!({ "subtotal": number(subtotal), "tax": number(whole),
        "tax_line_by_line": number(by_line), "total": number(subtotal + whole) });
    Ok(Answer::in_words(result, words))
}
