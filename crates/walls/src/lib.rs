//! Walls: whether they stand, how they step, every unit in its place, steps and paving.
//!
//! - In: plain numbers of a wall and its ground, in SI. Out: factors of safety with every number between,
//!   levels of base and top, units laid one by one, amounts, and what to change where a wall fails.
//! - Nothing here declares a wall safe. Over 4 ft of whole height, near loads, water or slopes, and
//!   wherever the local code says so, a wall is designed by a licensed engineer; this gives that
//!   engineer and the contractor the same numbers.
//! - `study/` does all that for the walls, steps and paving of a yard, and hands it out; every other
//!   file computes one thing from plain numbers.
//! - Not here: drawing, pricing.

mod advice;
pub mod bearing;
pub mod coulomb;
pub mod courses;
mod embedment;
mod flight;
mod global;
mod gravity;
pub mod mononobe_okabe;
mod positive;
mod pressure;
mod quantities;
pub mod rankine;
mod reinforced;
mod section;
mod steps_of_base;
mod study;
mod tiers;
mod verdict;

pub use advice::{Advice, AtHand, SEARCHED, advise, least_layers};
pub use embedment::{Embedment, Rule, embedment};
pub use flight::{FittedSteps, StepLimits, StepsWanted, fit_steps};
pub use global::{Circle, Slice, bishop, worst_circle};
pub use gravity::{Bearing, Gravity, InQuake, Joint, UnderPad, WithVertical, gravity};
pub use positive::NotUsable;
pub use pressure::{Pressure, PressureError, Quake, Wedge, batter};
pub use quantities::{drainage_stone, filter_cloth, pad_volume, stone_face};
pub use reinforced::{
    Crest, GREATEST_SPACING, Grid, LEAST_ANCHORAGE, LEAST_LENGTH, LEAST_LENGTH_SHARE, Layer, LayerResult,
    Reinforced, ReinforcedSection, reinforced,
};
pub use section::{DRIVEN, Facing, Load, Pad, Section, Soil, Strength, Thrust, WALKED, thrust};
pub use steps_of_base::{BaseError, Levels, Panel, SteppedBase, Stepping, step_base};
pub use study::{
    FlightRun, LAYERS, PartRun, SectionRun, WallRun, WallStudy, elevation_frame, of_texture, presumed,
    section_frame, study,
};
pub use tiers::{FREE_FROM, Tier, WHOLE_WITHIN, upper_wall};
pub use verdict::{Check, Required, Verdict, all_pass, worst};
