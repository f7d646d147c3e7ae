//! Change order: the priced difference between two revisions of a design.
//!
//! - Method: lines of the same item and area are held against each other; every step of the price that
//!   is not a line (whole days, mobilisation, contingency, overhead, profit, least job, tax) has a row of
//!   its own. The rows add up to the difference of the two prices, to the cent.

use std::collections::BTreeMap;

use rust_decimal::Decimal;

use super::{CostLine, Price, PriceError, Terms, price};

/// One row of a change order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangeRow {
    /// What changed: item and area, or a step of the price.
    pub what: String,
    /// Quantity before and after, of a line; 0 where it was not or is no more.
    pub quantities: Option<(Decimal, Decimal)>,
    /// By how much the price changes. [money]
    pub amount: Decimal,
}

/// The difference between two revisions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangeOrder {
    /// Rows that changed: lines in the order of the old and then the new revision, then steps.
    pub rows: Vec<ChangeRow>,
    /// By how much the price changes: the sum of the rows. [money]
    pub amount: Decimal,
    /// By how many whole days of the crew. [d]
    pub crew_days: Decimal,
}

/// Prices two revisions on the same terms and tells what the difference is made of.
///
/// # Errors
/// As for [`price`].
pub fn change_order(
    before: &[CostLine],
    after: &[CostLine],
    terms: &Terms,
) -> Result<ChangeOrder, PriceError> {
    let (old, new) = (price(before, terms)?, price(after, terms)?);
    let mut rows = changed_lines((before, &old), (after, &new));
    rows.extend(changed_steps(&old, &new));
    Ok(ChangeOrder {
        amount: rows.iter().map(|row| row.amount).sum(),
        rows,
        crew_days: new.crew_days - old.crew_days,
    })
}

fn changed_lines(
    (before, old): (&[CostLine], &Price),
    (after, new): (&[CostLine], &Price),
) -> Vec<ChangeRow> {
    let key = |line: &CostLine| (line.item.clone(), line.area.clone());
    let mut found: BTreeMap<_, usize> = BTreeMap::new();
    let mut rows: Vec<ChangeRow> = Vec::new();
    for (line, costed) in before.iter().zip(&old.lines) {
        found.insert(key(line), rows.len());
        let quantities = Some((line.quantity, Decimal::ZERO));
        rows.push(ChangeRow { what: line.name(), quantities, amount: -costed.cost() });
    }
    for (line, costed) in after.iter().zip(&new.lines) {
        let place = *found.entry(key(line)).or_insert_with(|| {
            let quantities = Some((Decimal::ZERO, Decimal::ZERO));
            rows.push(ChangeRow { what: line.name(), quantities, amount: Decimal::ZERO });
            rows.len() - 1
        });
        let row = &mut rows[place];
        row.quantities = row.quantities.map(|(before, _)| (before, line.quantity));
        row.amount += costed.cost();
    }
    // A line whose quantity or cost moved; what stayed is not part of the change.
    rows.retain(|row| !row.amount.is_zero() || row.quantities.is_some_and(|(a, b)| a != b));
    rows
}

/// A step of a price.
type Step = fn(&Price) -> Decimal;

fn changed_steps(old: &Price, new: &Price) -> Vec<ChangeRow> {
    let steps: [(&str, Step); 8] = [
        ("rest of the crew's last day", |p| p.day_rounding),
        ("vehicles and tools of the crew", |p| p.crew_equipment),
        ("mobilisation", |p| p.mobilisation),
        ("contingency", |p| p.contingency),
        ("overhead", |p| p.overhead),
        ("profit", |p| p.profit),
        ("least job", |p| p.least_job),
        ("tax", |p| p.tax),
    ];
    steps
        .into_iter()
        .map(|(what, step)| ChangeRow {
            what: what.to_owned(),
            quantities: None,
            amount: step(new) - step(old),
        })
        .filter(|row| !row.amount.is_zero())
        .collect()
}
