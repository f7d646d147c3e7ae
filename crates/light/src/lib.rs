//! Low-voltage landscape lighting: circuits and routes, photometry, illuminance, evenings.
//!
//! - In: plain numbers of lamps, cables, places and times. Out: plain results with every number on
//!   the way.
//! - Units: volts, amperes, ohms, watts, metres, radians, kelvin; candela, lumens, lux.
//! - Places: x east, y north, z up. Shadows come in as a closure, so that the scene stays outside.
//! - Planning figures. Wherever electricity is concerned the local code, the listing of the equipment
//!   and a licensed electrician decide.
//! - `study/` does all that for the lights of a yard, and hands it out; every other file computes one
//!   thing from plain numbers.
//! - Not here: drawing, pricing; where the sun stands.

pub mod area_source;
mod beam;
mod circuit;
pub mod conductor;
mod corridors;
pub mod design;
mod error;
mod fixture;
pub mod graze;
pub mod ies;
pub mod illuminance;
mod network;
mod positive;
mod routing;
pub mod runs;
pub mod sizing;
mod solver;
mod study;
pub mod timer;
pub mod transformer;

pub use beam::{Beam, Shape};
pub use circuit::{Balance, Operation, current};
pub use conductor::Gauge;
pub use corridors::{CorridorLine, Corridors, Tie, Way};
pub use error::CircuitError;
pub use fixture::{Distribution, Fixture};
pub use ies::{IesError, Photometry};
pub use network::{Cable, LampKind, Load, Network, Wiring};
pub use positive::NotUsable;
pub use routing::{Route, RouteError, route};
pub use study::{
    Burning, LAYERS, LampRun, LightStudy, Night, Surroundings, TransformerRun, balance, burning,
    circuit_frame, housings, placed, study,
};
pub use transformer::{Loading, RunLoad, Stand, Window};
