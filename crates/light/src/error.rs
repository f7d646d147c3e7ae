//! Why a circuit has no answer.

use crate::NotUsable;

/// Why a network has no working point. Cables and lamps count from 1.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CircuitError {
    /// A cable or lamp at a joint that is not there.
    #[error(
        "{what} {number} is at joint {joint}, and there are {joints} joints, counted from 0; list the joint first"
    )]
    NoSuchJoint {
        /// Cable or lamp.
        what: &'static str,
        /// Its number.
        number: usize,
        /// The joint it names.
        joint: usize,
        /// How many there are.
        joints: usize,
    },
    /// A cable from a joint to itself.
    #[error("a cable goes from `{joint}` to itself; expected two different joints")]
    ToItself {
        /// The joint.
        joint: String,
    },
    /// A cable with a number that cannot be.
    #[error("cable from {cable}: {wrong}")]
    Cable {
        /// Its joints.
        cable: String,
        /// The number.
        wrong: NotUsable,
    },
    /// A lamp with a number that cannot be.
    #[error("lamp at `{joint}`: {wrong}")]
    Lamp {
        /// Its joint.
        joint: String,
        /// The number.
        wrong: NotUsable,
    },
    /// Joints without supply.
    #[error("no cable connects {joints} with the supply; mend the break, or add the missing cable")]
    Unfed {
        /// Their names.
        joints: String,
    },
    /// Nothing to feed.
    #[error("there are no lamps on the network; add at least one")]
    Empty,
    /// A supply that is none.
    #[error(transparent)]
    Supply(NotUsable),
    /// Drivers that ask for more than the cable can bring.
    #[error(
        "no working point: the lamps ask for {power:.1} W at {supply} V, and the cables can bring {limit:.1} W \
         of it ({:.1} %); shorten the run, split its lamps over two, or take a thicker cable",
        100.0 * share
    )]
    NoWorkingPoint {
        /// Voltage of the supply. [V]
        supply: f64,
        /// Power asked for. [W]
        power: f64,
        /// Power at the limit. [W]
        limit: f64,
        /// The same as a share of what is asked for.
        share: f64,
    },
}
