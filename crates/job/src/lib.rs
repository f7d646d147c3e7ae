//! The graph of the whole job: what feeds what, memoised; nothing else.

mod graph;
mod light;
mod memo;

pub use graph::{Job, Outcome, Progress, solids};
pub use light::{Casting, LIGHT_YEARS};
pub use memo::{Digest, Memo, Node};
