//! The six hand-offs between the studies and everyone further out.
