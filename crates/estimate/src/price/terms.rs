//! Overhead, profit, contingency and tax: how direct cost becomes a price.
//!
//! - Markup is a share of cost, margin a share of price: they are two variants of one type, so that
//!   neither can be taken for the other.
//! - Overhead is recovered by a stated method from a year's budget, once on all direct cost or by two
//!   rates: common practice, no source.

use rust_decimal::Decimal;

use super::amount::{PriceError, cents, share, square_root, up_to, within};

/// Greatest sum: its products have room in a decimal. [money]
const MOST_MONEY: i64 = 1_000_000_000_000_000_000;

/// Cost by class. [money]
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Costs {
    /// Wages with all that rests on them.
    pub labour: Decimal,
    /// Material.
    pub material: Decimal,
    /// Work of others.
    pub subcontract: Decimal,
    /// Machines and vehicles.
    pub equipment: Decimal,
}

impl Costs {
    /// All classes together.
    pub fn total(&self) -> Decimal {
        self.labour + self.material + self.subcontract + self.equipment
    }
}

/// Shares of cost that recover the overhead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct OverheadRates {
    /// On labour and equipment.
    pub own_work: Decimal,
    /// On material and subcontracts.
    pub bought: Decimal,
}

/// How a year's overhead is spread over its jobs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Recovery {
    /// One rate on all direct cost.
    Single,
    /// This rate on material and subcontracts, the rest on labour and equipment.
    Dual(Decimal),
}

/// Rates that recover a year's overhead from a year's direct cost.
///
/// # Errors
/// [`PriceError::NoBasis`]: the year has no cost to carry it. [`PriceError::Recovered`]: the rate given
/// recovers too much. [`PriceError::Range`]: an amount is not from 0 to 1 thousand million.
///
/// # Source
/// Common practice, no source.
pub fn overhead_rates(
    year: &Costs,
    overhead: Decimal,
    recovery: Recovery,
) -> Result<OverheadRates, PriceError> {
    for (what, value) in [
        ("labour", year.labour),
        ("material", year.material),
        ("subcontract", year.subcontract),
        ("equipment", year.equipment),
        ("overhead", overhead),
    ] {
        within("the year", what, value, up_to(1_000_000_000))?;
    }
    // A year of less than a whole unit of money is a slip, and would give rates without bound.
    let basis = |amount: Decimal, classes| {
        if amount < Decimal::ONE { Err(PriceError::NoBasis { classes }) } else { Ok(amount) }
    };
    match recovery {
        Recovery::Single => {
            let rate = overhead / basis(year.total(), "direct cost")?;
            Ok(OverheadRates { own_work: rate, bought: rate })
        }
        Recovery::Dual(bought) => {
            within("overhead", "the rate on material and subcontracts", bought, share(1_000))?;
            let recovered = bought * (year.material + year.subcontract);
            if recovered > overhead {
                return Err(PriceError::Recovered { recovered, overhead });
            }
            let own = basis(year.labour + year.equipment, "labour and equipment")?;
            Ok(OverheadRates { own_work: (overhead - recovered) / own, bought })
        }
    }
}

/// What is earned above cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profit {
    /// A share of the cost.
    Markup(Decimal),
    /// A share of the price.
    Margin(Decimal),
}

impl Profit {
    /// Price that earns this on a cost, not rounded.
    ///
    /// # Errors
    /// [`PriceError::Range`]: a markup is not from 0 to 10, a margin not from 0 to 0.95, or the cost not from
    /// 0 to 10¹⁸.
    pub fn price(self, cost: Decimal) -> Result<Decimal, PriceError> {
        self.check()?;
        within("profit", "the cost", cost, up_to(MOST_MONEY))?;
        Ok(match self {
            Self::Markup(markup) => cost * (Decimal::ONE + markup),
            Self::Margin(margin) => cost / (Decimal::ONE - margin),
        })
    }

    /// The same said as a margin: m/(1 + m).
    ///
    /// # Errors
    /// As for [`Profit::price`].
    pub fn as_margin(self) -> Result<Decimal, PriceError> {
        self.check()?;
        Ok(match self {
            Self::Markup(markup) => markup / (Decimal::ONE + markup),
            Self::Margin(margin) => margin,
        })
    }

    /// The same said as a markup: g/(1 − g).
    ///
    /// # Errors
    /// As for [`Profit::price`].
    pub fn as_markup(self) -> Result<Decimal, PriceError> {
        self.check()?;
        Ok(match self {
            Self::Markup(markup) => markup,
            Self::Margin(margin) => margin / (Decimal::ONE - margin),
        })
    }

    fn check(self) -> Result<(), PriceError> {
        match self {
            Self::Markup(markup) => within("profit", "the markup", markup, share(1_000)),
            Self::Margin(margin) => within("profit", "the margin", margin, share(95)),
        }
    }
}

/// A thing that may happen, apart from all others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Risk {
    /// What it costs. [money]
    pub cost: Decimal,
    /// How likely it is, from 0 to 1.
    pub chance: Decimal,
}

/// Expected cost of independent risks and its standard deviation. [money]
///
/// # Errors
/// [`PriceError::Range`]: a cost is not from 0 to 10 million, or a chance not from 0 to 1.
///
/// # Source
/// Mean Σpc and variance Σp(1 − p)c² of independent events.
pub fn risks(risks: &[Risk]) -> Result<(Decimal, Decimal), PriceError> {
    for (i, risk) in risks.iter().enumerate() {
        let place = format!("risk {}", i + 1);
        within(&place, "its cost", risk.cost, up_to(10_000_000))?;
        within(&place, "its chance", risk.chance, share(100))?;
    }
    let expected = risks.iter().map(|r| r.cost * r.chance).sum();
    let variance: Decimal =
        risks.iter().map(|r| r.cost * r.cost * r.chance * (Decimal::ONE - r.chance)).sum();
    Ok((expected, square_root(variance)))
}

/// Tax on an amount, rounded once. [money]
///
/// # Errors
/// [`PriceError::Range`]: the rate is not from 0 to 1, or the amount not from 0 to 10¹⁸.
pub fn tax(taxable: Decimal, rate: Decimal) -> Result<Decimal, PriceError> {
    within("tax", "the rate", rate, share(100))?;
    within("tax", "the taxable amount", taxable, up_to(MOST_MONEY))?;
    Ok(cents(taxable * rate))
}
