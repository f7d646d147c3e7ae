//! The graph of the whole job: what feeds what, memoised; nothing else.

mod graph;
mod memo;

pub use graph::{Job, Outcome, Progress, solids};
pub use memo::{Digest, Memo, Node};
