//! Water: pipes and networks, heads and drip lines, soil water and run times.
//!
//! - In: plain numbers and shapes, SI. Out: plain results with every number on the way.
//! - One file for each method, named by the field's term; every method cites its source.
//! - A water supply may be harmed by what flows back, and a main under pressure by what is wrongly
//!   joined: local plumbing codes and licensed practice decide.
//! - Not here: which zones a design has, drawings, findings, prices.

mod balance;
mod darcy_weisbach;
mod elimination;
mod fluid;
mod gradient;
mod hazen_williams;
mod law;
mod minor_losses;
mod network;
mod positive;
mod velocity;

pub use balance::Balance;
pub use darcy_weisbach::{PLASTIC_ROUGHNESS, Turbulent, darcy_weisbach, friction_factor};
pub use fluid::{Fluid, GRAVITY, WATER};
pub use gradient::{Flag, LinkState, NodeState, Solution, solve};
pub use hazen_williams::{FLOW_POWER, hazen_williams, many_outlets};
pub use minor_losses::{Fitting, coefficient_of_valve, minor_loss};
pub use network::{Droop, Emitter, Friction, Link, Network, NetworkError, Node, Part, PumpCurve, Supply};
pub use positive::NotUsable;
pub use velocity::{USUAL_LIMIT, flow_at_velocity, velocity};
