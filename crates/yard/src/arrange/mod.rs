//! Arrangements: where the plants of an instruction stand, from pure geometry.
//!
//! - In: curves and regions of `groundwright-geometry`, spacings and sizes. [m]
//! - Out: positions, counts, and figures that say how well the arrangement came out.
//! - Method: each file its own; nothing here knows a taxon, a file or a date.
//! - Deterministic: chance is drawn from a seed that the caller gives.
//! - Rows along a line: `rows`; masses: `mass`; clumps: `group.rs`; several taxa in one mass:
//!   `drifts.rs`; what is seen first: `prominence.rs`; dug plants to new holes: `transplants`;
//!   the edge of a lawn: `mowing.rs`; spread over the years: `fill_spacing.rs`.

mod draws;
mod neighbours;

pub mod drifts;
pub mod fill_spacing;
pub mod group;
pub mod mass;
pub mod mowing;
pub mod prominence;
pub mod rows;
pub mod transplants;
