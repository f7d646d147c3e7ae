//! The yard: the design placed on the property.
//!
//! Instructions become geometry here: bed lines become regions, rows and masses become plants with
//! positions and identities, transplants find their new holes. Pure functions, values in, values
//! out; nothing derived is ever stored as truth.

pub mod arrange;
mod ground;
mod growth;
mod instruct;
mod outline;
mod plot;
mod transplanting;
mod tree_growth;
mod walls;
mod yard;

pub use ground::{Graded, Ground, lay_ground};
pub use growth::{Expected, expected_size, growth_class, height_curve, size_bought, spread_curve};
pub use instruct::{
    Arrangement, Position, Prepared, SpacingReason, Taken, arrange, part_of_edge, plantable, prepare,
};
pub use outline::{PlaceFault, Resolver};
pub use plot::{Area, Plot, Route, Spot, place};
pub use transplanting::{DugPlant, Move, Transplanting, assign, inventory};
pub use tree_growth::{AgeFault, TreeEquations, TreeSize, equations_of, tree_equations};
pub use walls::{Stair, WallLine};
pub use yard::{Origin, Plant, PlantKey, Yard, assemble, assemble_on, taken_by_kept, viewpoints};
