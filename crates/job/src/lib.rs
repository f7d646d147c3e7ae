//! The graph of the whole job: what feeds what, memoised; and what its answers hang on
//! (`worth.rs`), by running it with each doubt at its ends.

mod climate;
mod graph;
mod light;
mod memo;
mod picture;
mod worth;

pub use graph::{Behind, Job, Outcome, Progress, solids};
pub use groundwright_planting::light_class;
pub use groundwright_site::{PermitFlag, permit_flags};
pub use light::{Casting, LIGHT_YEARS, nights};
pub use memo::{Digest, Memo, Node};
pub use picture::{Apart, Ready, Shot, ShotFault, View, Weather, model, ready, usual_view, views};
pub use worth::{Swing, Worth, worth_measuring};
