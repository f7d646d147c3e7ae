//! Bounds of every number of an estimate, and rounding to cents.
//!
//! The bounds lie far outside of any garden, and so near that no sum or product of them leaves the 28
//! digits of a decimal: behind this door arithmetic cannot overflow.

use rust_decimal::{Decimal, RoundingStrategy};

/// Why lines and terms have no price.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PriceError {
    /// A number out of its range.
    #[error("{place}: {what} is {value}; expected a number from {least} to {most}")]
    Range {
        /// Where it stands.
        place: String,
        /// What it is.
        what: &'static str,
        /// The number.
        value: Decimal,
        /// Least value.
        least: Decimal,
        /// Greatest value.
        most: Decimal,
    },
    /// A line without a name, or two of one name.
    #[error("line {line}: its item and area are `{name}`, which {fault}; give every line a name of its own")]
    Name {
        /// Which line, from 1.
        line: usize,
        /// Item and area.
        name: String,
        /// What is wrong with it.
        fault: &'static str,
    },
    /// Too many lines.
    #[error("there are {count} lines; expected at most 100000: sum lines of one item before pricing")]
    TooMany {
        /// How many.
        count: usize,
    },
    /// Overhead that the method leaves nothing to recover from.
    #[error(
        "overhead cannot be recovered: the year has no {classes} to carry it; enter the year's direct costs"
    )]
    NoBasis {
        /// Which classes of cost.
        classes: &'static str,
    },
    /// The rate on material and subcontracts already recovers more than the overhead.
    #[error(
        "{recovered} is recovered on material and subcontracts, more than the overhead of {overhead}; lower that rate"
    )]
    Recovered {
        /// What the rate recovers in a year.
        recovered: Decimal,
        /// The year's overhead.
        overhead: Decimal,
    },
    /// A load that does not pass.
    #[error(
        "the barrow is {width} m wide and the narrowest gate {gate} m; take a narrower one or another way"
    )]
    Gate {
        /// Width of the barrow. [m]
        width: Decimal,
        /// Width of the gate. [m]
        gate: Decimal,
    },
    /// An alternate that removes what is not there.
    #[error("alternate `{alternate}` removes `{name}`, which the base has not; name lines of the base")]
    Absent {
        /// The alternate.
        alternate: String,
        /// Item and area.
        name: String,
    },
}

/// Whether a number lies within its bounds.
pub(super) fn within(
    place: &str,
    what: &'static str,
    value: Decimal,
    (least, most): (Decimal, Decimal),
) -> Result<(), PriceError> {
    if (least..=most).contains(&value) {
        Ok(())
    } else {
        Err(PriceError::Range { place: place.to_owned(), what, value, least, most })
    }
}

/// From zero to so many.
pub(super) fn up_to(most: i64) -> (Decimal, Decimal) {
    (Decimal::ZERO, Decimal::from(most))
}

/// A share of a whole, such as 0.0725, from zero to a number of hundredths.
pub(super) fn share(hundredths: i64) -> (Decimal, Decimal) {
    (Decimal::ZERO, Decimal::new(hundredths, 2))
}

/// Rounded to cents, halves away from zero.
pub fn cents(amount: Decimal) -> Decimal {
    let mut amount = amount.round_dp_with_strategy(2, RoundingStrategy::MidpointAwayFromZero);
    amount.rescale(2);
    amount
}

/// Square root by Newton's iteration from above; zero of what is not above zero. It falls until it
/// stands still.
pub(super) fn square_root(number: Decimal) -> Decimal {
    if number <= Decimal::ZERO {
        return Decimal::ZERO;
    }
    let mut root = number.max(Decimal::ONE);
    for _ in 0..200 {
        let next = (root + number / root) / Decimal::TWO;
        if next >= root || next.is_zero() {
            break;
        }
        root = next;
    }
    root
}
