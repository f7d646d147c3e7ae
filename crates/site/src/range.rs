//! The one way in which a calculation of this crate has no answer: a value out of its range.

/// A value that a calculation cannot take.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{what} is {value}; expected {expected}")]
pub struct OutOfRange {
    /// Which value.
    pub what: &'static str,
    /// The value.
    pub value: f64,
    /// What was expected.
    pub expected: &'static str,
}

/// Lets a finite value from `low` to `high` pass.
pub(crate) fn check(
    what: &'static str,
    value: f64,
    (low, high): (f64, f64),
    expected: &'static str,
) -> Result<(), OutOfRange> {
    // A value that is not a number fails both comparisons.
    if value >= low && value <= high { Ok(()) } else { Err(OutOfRange { what, value, expected }) }
}
