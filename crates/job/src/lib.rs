//! The graph of the whole job: what feeds what, memoised; nothing else.

mod graph;
mod memo;
mod worth;

pub use graph::{Job, Outcome, Progress, solids};
pub use memo::{Digest, Memo, Node};
pub use worth::{Swing, Worth, worth_measuring};
