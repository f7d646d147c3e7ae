//! The yard as bodies that rays meet: roofs, walls, crowns.
//!
//! - In: solids at a date and an age. Out: opaque triangles, crowns with a light transmittance, and
//!   the share of light along any ray.
//! - Roofs over any simple footprint by the straight skeleton; crowns as bodies of revolution whose
//!   chord gives the light passed; an index of boxes for single rays.
//! - Values in, values out. Not here: where the sun stands, maps, anything that is drawn.

mod crown;
mod habit;
mod roof;
mod scene;
mod skeleton;

pub use crown::{Crown, CrownFault, Direction};
pub use habit::{BARE, IN_LEAF, LeafSeason, day_of_year, form_of, transmittance};
pub use roof::{Roof, RoofFault, RoofForm, roof_faces};
pub use scene::{Bodies, BodyFault, Scene, Triangle};
pub use skeleton::{Arc, Node, Skeleton, SkeletonFault, straight_skeleton};
