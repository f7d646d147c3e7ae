//! Numbers that must be what a formula needs.

/// A number that a formula cannot use.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{what} is {value} {unit}; expected {expected}")]
pub struct NotUsable {
    /// Which number.
    pub what: &'static str,
    /// The number given.
    pub value: f64,
    /// Its unit.
    pub unit: &'static str,
    /// What a formula can use.
    pub expected: &'static str,
}

/// A finite number above zero.
pub(crate) fn above_zero(what: &'static str, value: f64, unit: &'static str) -> Result<(), NotUsable> {
    within(what, value, unit, value > 0.0 && value.is_finite(), "a finite number above zero")
}

/// A finite number, not below zero.
pub(crate) fn not_below_zero(what: &'static str, value: f64, unit: &'static str) -> Result<(), NotUsable> {
    within(what, value, unit, value >= 0.0 && value.is_finite(), "a finite number, not below zero")
}

/// A share from 0 to 1.
pub(crate) fn share(what: &'static str, value: f64) -> Result<(), NotUsable> {
    within(what, value, "", (0.0..=1.0).contains(&value), "a share from 0 to 1")
}

/// Any condition.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    unit: &'static str,
    good: bool,
    expected: &'static str,
) -> Result<(), NotUsable> {
    if good { Ok(()) } else { Err(NotUsable { what, value, unit, expected }) }
}
