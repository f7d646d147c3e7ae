//! Memory of nodes: a value is computed once for a key and shared from then on.
//!
//! - In: a node's name and version, a digest of its inputs, and how to compute it. Out: the value.
//! - Eviction by generation: what no run asked for during [`KEPT`] runs is dropped.
//! - Not here: what feeds what (`graph.rs`).

use std::any::Any;
use std::collections::HashMap;
use std::fmt::{Debug, Write};
use std::sync::Arc;

use rayon::prelude::*;
use twox_hash::XxHash3_128;

/// Runs after which a value that nobody asked for is dropped.
const KEPT: u64 = 8;

/// A 128-bit digest of content.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Digest(pub u128);

impl Digest {
    /// Digest of a value's content, by its `Debug` text, in which floats are exact and maps sorted.
    pub fn of(value: &impl Debug) -> Self {
        let mut sink = Sink(XxHash3_128::new());
        // Writing into a hasher cannot fail.
        let _ = write!(sink, "{value:?}");
        Self(sink.0.finish_128())
    }
}

struct Sink(XxHash3_128);

impl Write for Sink {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0.write(text.as_bytes());
        Ok(())
    }
}

/// A node of the graph: its name, and a version that changes with its method.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Node {
    /// Name, as the stage is reported.
    pub name: &'static str,
    /// Version of the method.
    pub version: u32,
}

struct Entry {
    value: Arc<dyn Any + Send + Sync>,
    seen: u64,
}

/// Values by node and key.
#[derive(Default)]
pub struct Memo {
    entries: HashMap<(Node, Digest), Entry>,
    run: u64,
    computed: usize,
    reused: usize,
}

impl Memo {
    /// Begins a run: drops what has not been asked for lately, resets the counts.
    pub fn begin(&mut self) {
        self.run += 1;
        self.computed = 0;
        self.reused = 0;
        let run = self.run;
        self.entries.retain(|_, entry| run - entry.seen <= KEPT);
    }

    /// Values computed and values reused in this run.
    pub fn counts(&self) -> (usize, usize) {
        (self.computed, self.reused)
    }

    /// The value of a node for a key, computed if nobody has yet.
    pub fn get<T: Send + Sync + 'static>(
        &mut self,
        node: Node,
        key: Digest,
        compute: impl FnOnce() -> T,
    ) -> Arc<T> {
        if let Some(known) = self.known(node, key) {
            return known;
        }
        let value = Arc::new(compute());
        self.keep(node, key, &value);
        value
    }

    /// The values of a node for many inputs, the missing ones computed on all threads.
    pub fn all_of<I: Sync, T: Send + Sync + 'static>(
        &mut self,
        node: Node,
        inputs: &[(Digest, I)],
        compute: impl Fn(&I) -> T + Sync,
    ) -> Vec<Arc<T>> {
        let known: Vec<Option<Arc<T>>> = inputs.iter().map(|(key, _)| self.known(node, *key)).collect();
        let values: Vec<Arc<T>> = inputs
            .par_iter()
            .zip(&known)
            .map(|((_, input), known)| known.clone().unwrap_or_else(|| Arc::new(compute(input))))
            .collect();
        for (((key, _), known), value) in inputs.iter().zip(&known).zip(&values) {
            if known.is_none() {
                self.keep(node, *key, value);
            }
        }
        values
    }

    fn known<T: Send + Sync + 'static>(&mut self, node: Node, key: Digest) -> Option<Arc<T>> {
        let entry = self.entries.get_mut(&(node, key))?;
        entry.seen = self.run;
        let value = entry.value.clone().downcast::<T>().ok()?;
        self.reused += 1;
        Some(value)
    }

    fn keep<T: Send + Sync + 'static>(&mut self, node: Node, key: Digest, value: &Arc<T>) {
        self.computed += 1;
        self.entries.insert((node, key), Entry { value: value.clone(), seen: self.run });
    }
}

#[cfg(test)]
mod tests {
    use super::{Digest, KEPT, Memo, Node};

    const NODE: Node = Node { name: "test", version: 1 };

    #[test]
    fn a_value_is_computed_once_for_a_key() {
        let mut memo = Memo::default();
        let mut calls = 0;
        for _ in 0..3 {
            memo.begin();
            let value = memo.get(NODE, Digest::of(&1.5), || {
                calls += 1;
                42
            });
            assert_eq!(*value, 42);
        }
        assert_eq!(calls, 1);
        assert_eq!(memo.counts(), (0, 1));
    }

    #[test]
    fn another_input_or_version_is_another_value() {
        let mut memo = Memo::default();
        memo.begin();
        memo.get(NODE, Digest::of(&1.0), || 1);
        memo.get(NODE, Digest::of(&f64::from_bits(1.0_f64.to_bits() + 1)), || 2);
        memo.get(Node { version: 2, ..NODE }, Digest::of(&1.0), || 3);
        assert_eq!(memo.counts(), (3, 0));
    }

    #[test]
    fn what_nobody_asks_for_is_dropped() {
        let mut memo = Memo::default();
        memo.begin();
        memo.get(NODE, Digest::of(&"old"), || 1);
        for _ in 0..=KEPT {
            memo.begin();
        }
        memo.begin();
        memo.get(NODE, Digest::of(&"old"), || 1);
        assert_eq!(memo.counts(), (1, 0));
    }

    #[test]
    fn many_inputs_keep_their_order() {
        let mut memo = Memo::default();
        memo.begin();
        let inputs: Vec<(Digest, u64)> = (0..100).map(|i| (Digest::of(&i), i)).collect();
        let values = memo.all_of(NODE, &inputs, |i| i * i);
        assert!(values.iter().enumerate().all(|(i, v)| **v == (i * i) as u64));
    }
}
