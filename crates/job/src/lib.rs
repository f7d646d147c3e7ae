//! The graph of the whole job: what feeds what, memoised.
