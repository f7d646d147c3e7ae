//! Takeoff: quantities of all studies added up into lines that can be ordered and checked by hand.
//!
//! - In: quantities of any studies. Out: a [`Takeoff`] of lines by phase and item, and its tables.
//! - Method: lines of one item are summed before the allowance is added and packs are rounded up,
//!   so that ten beds do not each order half a yard too much. What rounding adds is shown as spares.
//! - Prices: lines with their costs become a price, a range, lump sums by area and change orders ([`price`]).
//! - Not here: price lists, and which price a line of the takeoff has.

pub mod price;
mod tables;
mod takeoff;

pub use tables::tables;
pub use takeoff::{Line, Part, Takeoff, TakeoffFault, take_off};
