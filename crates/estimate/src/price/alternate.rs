//! Alternates: the same yard priced side by side with some lines taken out and others put in.

use rust_decimal::Decimal;

use super::{CostLine, Price, PriceError, Terms, price};

/// Another way to build something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alternate {
    /// Name, as the client reads it.
    pub name: String,
    /// Item and area of the base's lines that it does without.
    pub without: Vec<(String, String)>,
    /// Lines that it adds.
    pub with: Vec<CostLine>,
}

/// An alternate with its price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Priced {
    /// Name of the alternate.
    pub name: String,
    /// Price of the whole yard with it.
    pub price: Price,
    /// What it adds to the base's price; below zero where it saves. [money]
    pub difference: Decimal,
}

/// Prices each alternate against the base, alone.
///
/// # Errors
/// [`PriceError::Absent`]: an alternate does without a line that the base has not; else as for [`price`].
pub fn alternates(
    base: &[CostLine],
    alternates: &[Alternate],
    terms: &Terms,
) -> Result<Vec<Priced>, PriceError> {
    let total = price(base, terms)?.total;
    let one = |alternate: &Alternate| {
        let lines = applied(base, alternate)?;
        let price = price(&lines, terms)?;
        Ok(Priced { name: alternate.name.clone(), difference: price.total - total, price })
    };
    alternates.iter().map(one).collect()
}

fn applied(base: &[CostLine], alternate: &Alternate) -> Result<Vec<CostLine>, PriceError> {
    let mut lines = base.to_vec();
    for (item, area) in &alternate.without {
        let Some(place) = lines.iter().position(|l| l.item == *item && l.area == *area) else {
            let name = format!("{item} in {area}");
            return Err(PriceError::Absent { alternate: alternate.name.clone(), name });
        };
        lines.remove(place);
    }
    lines.extend(alternate.with.iter().cloned());
    Ok(lines)
}
