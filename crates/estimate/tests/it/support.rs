//! Lines and terms for tests; firm and prices are invented.

use groundwright_estimate::price::{Class, CostLine, Crew, OverheadRates, Profit, Terms, Work};
use rust_decimal::Decimal;

/// A decimal out of its digits.
pub fn d(text: &str) -> Decimal {
    text.parse().unwrap()
}

pub fn line(item: &str, area: &str, quantity: &str, price: &str) -> CostLine {
    CostLine {
        item: item.to_owned(),
        area: area.to_owned(),
        quantity: d(quantity),
        spread: Decimal::ZERO,
        unit_price: d(price),
        class: Class::Material,
        taxable: true,
        work: None,
    }
}

pub fn worked(line: CostLine, rate: &str, factor: &str) -> CostLine {
    CostLine { work: Some(Work { rate: d(rate), factor: d(factor), haul: Decimal::ZERO }), ..line }
}

pub fn terms() -> Terms {
    Terms {
        crew: Crew { people: d("3"), day: d("8"), wage: d("40"), equipment: d("150") },
        mobilisations: 1,
        mobilisation: d("250"),
        contingency: d("0.05"),
        overhead: OverheadRates { own_work: d("0.3"), bought: d("0.1") },
        profit: Profit::Margin(d("0.1")),
        least_job: d("1500"),
        tax: d("0.0725"),
        retainage: d("0.1"),
    }
}
