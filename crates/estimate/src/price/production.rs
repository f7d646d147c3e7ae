//! Work: production rates to crew-hours and days, and what carrying by barrow adds.
//!
//! - Production: quantity over the crew's rate, times a factor for hard conditions: common practice, no
//!   source.
//! - Haul: whole trips, each loaded, walked out and back, and tipped. The walk out is slowed by a factor
//!   for the slope and the ground: common practice, no source.

use rust_decimal::Decimal;

use super::amount::{PriceError, up_to, within};

/// How fast a crew does something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Work {
    /// Units of the line's quantity that the crew does in an hour. Above zero.
    pub rate: Decimal,
    /// Factor on the time for hard conditions; 1 for usual ones.
    pub factor: Decimal,
    /// Crew-hours of carrying, from [`haul`]. [h]
    pub haul: Decimal,
}

/// Time of a piece of work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Production {
    /// Hours of the whole crew. [h]
    pub crew_hours: Decimal,
    /// Hours of all its people. [h]
    pub labour_hours: Decimal,
    /// Days of the crew, not rounded. [d]
    pub crew_days: Decimal,
    /// The same in whole days. [d]
    pub whole_days: Decimal,
}

/// Hours and days of a quantity of work.
///
/// # Arguments
/// - `quantity`: from 0 to 10 million units.
/// - `work`: rate from 0.001 to 10 million units per crew-hour, factor from 0.1 to 100.
/// - `crew`: people in the crew, from 1 to 100. `day`: hours of a working day. [h] From 1 to 24.
///
/// # Errors
/// [`PriceError::Range`]: a number is outside of its range.
///
/// # Source
/// Common practice, no source.
pub fn production(
    quantity: Decimal,
    work: &Work,
    crew: Decimal,
    day: Decimal,
) -> Result<Production, PriceError> {
    check_work("work", work)?;
    within("work", "the quantity", quantity, up_to(10_000_000))?;
    within("crew", "the number of people", crew, (Decimal::ONE, Decimal::ONE_HUNDRED))?;
    within("crew", "the working day in hours", day, (Decimal::ONE, Decimal::from(24)))?;
    let crew_hours = crew_hours(quantity, work);
    let crew_days = crew_hours / day;
    Ok(Production {
        crew_hours,
        labour_hours: crew_hours * crew,
        crew_days,
        whole_days: whole_days(crew_hours, day),
    })
}

/// Days begun; what rounding of decimals leaves beyond a full day begins none.
pub(super) fn whole_days(crew_hours: Decimal, day: Decimal) -> Decimal {
    (crew_hours / day).round_dp(9).ceil()
}

pub(super) fn crew_hours(quantity: Decimal, work: &Work) -> Decimal {
    quantity / work.rate * work.factor + work.haul
}

pub(super) fn check_work(place: &str, work: &Work) -> Result<(), PriceError> {
    let rate = (Decimal::new(1, 3), Decimal::from(10_000_000));
    within(place, "the rate in units per crew-hour", work.rate, rate)?;
    within(place, "the factor for conditions", work.factor, (Decimal::new(1, 1), Decimal::ONE_HUNDRED))?;
    within(place, "the haul in hours", work.haul, up_to(1_000_000))
}

/// Carrying by barrow from where the truck drops to where it is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Barrow {
    /// Volume of a load. [m³] Above zero.
    pub load: Decimal,
    /// Width over all. [m]
    pub width: Decimal,
    /// Walking speed on level ground. [m/h]
    pub speed: Decimal,
    /// Time to load and to tip. [h]
    pub handling: Decimal,
}

/// Trips and hours of a haul.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Haul {
    /// Whole trips.
    pub trips: Decimal,
    /// Time of one. [h]
    pub trip: Decimal,
    /// Time of all, shared by the barrows. [h]
    pub hours: Decimal,
}

/// Time to carry a volume by barrow.
///
/// # Arguments
/// - `volume`: loose volume. [m³]
/// - `distance`: one way along the path. [m] `slowed`: factor on the time of the way out, loaded; 1 on
///   level hard ground.
/// - `gate`: narrowest place on the way. [m]
/// - `barrows`: how many go at once, each with one person.
///
/// # Errors
/// [`PriceError::Gate`]: the barrow does not pass. [`PriceError::Range`]: a number is out of its range.
pub fn haul(
    volume: Decimal,
    barrow: &Barrow,
    (distance, slowed): (Decimal, Decimal),
    gate: Decimal,
    barrows: Decimal,
) -> Result<Haul, PriceError> {
    let small = Decimal::new(1, 3);
    within("haul", "the volume in m³", volume, up_to(100_000))?;
    within("barrow", "the load in m³", barrow.load, (small, Decimal::TEN))?;
    within("barrow", "the width in m", barrow.width, (small, Decimal::TEN))?;
    within("barrow", "the speed in m/h", barrow.speed, (Decimal::ONE_HUNDRED, Decimal::from(20_000)))?;
    within("barrow", "the handling in hours", barrow.handling, up_to(10))?;
    within("haul", "the distance in m", distance, up_to(10_000))?;
    within("haul", "the factor for slope and ground", slowed, (Decimal::ONE, Decimal::TEN))?;
    within("haul", "the gate in m", gate, up_to(1_000))?;
    within("haul", "the number of barrows", barrows, (Decimal::ONE, Decimal::ONE_HUNDRED))?;
    if barrow.width > gate {
        return Err(PriceError::Gate { width: barrow.width, gate });
    }
    let trips = (volume / barrow.load).round_dp(9).ceil();
    let trip = barrow.handling + distance / barrow.speed * (slowed + Decimal::ONE);
    Ok(Haul { trips, trip, hours: trips * trip / barrows })
}
