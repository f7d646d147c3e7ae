//! A yard as a picture sees it.
//!
//! - In: a project, its placed yard, the bodies of all studies at a date and an age. Out: meshes,
//!   instances and materials for `groundwright-picture`.
//! - Plants are grown, not pasted: branches, leaves, blades and flowers by habit, kind, size and month,
//!   from a seed that is the plant's own; three of each kind are grown, and turned and stretched to
//!   stand for all of them.
//! - Forms, reflectances and patterns are common practice, no source: they are to be recognised, not
//!   measured.
//! - Not here: light (`groundwright-picture`), how large a plant is (`groundwright-planting`).

mod built;
mod dice;
mod ground;
mod house;
mod model;
mod palette;
pub mod plant;
mod shape;
mod stage;

pub use model::glb;
pub use palette::{Palette, flower_colour, leaf_colour};
pub use shape::Shape;
pub use stage::{Moment, Stage, StageFault, set};
