//! The symmetric system of a network solved: leaves first, then what is left by sparse Cholesky.
//!
//! - In: pairs of unknowns that a link joins, then, as often as wanted, the numbers. Out: the heads.
//! - Method: a node with one neighbour is eliminated by hand, again and again; a tree is gone after
//!   that. The looped core has an approximate minimum degree ordering and a Cholesky factor of
//!   `faer`, whose pattern is worked out once.
//! - The matrix is diagonally dominant, so no pivot is sought.

use std::collections::BTreeMap;

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::LltRegularization;
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LltRef, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMat};
use faer::{Conj, MatMut, Par, Side, Spec};

/// A pivot was lost: the numbers span more than a computer can hold apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct LostPivot;

/// A leaf, and the pair that ties it to the rest, if anything does.
#[derive(Debug, Clone, Copy)]
struct Leaf {
    node: usize,
    tie: Option<(usize, usize)>,
}

/// What is looped.
#[derive(Debug)]
struct Core {
    /// Node at each place of the core.
    nodes: Vec<usize>,
    /// Upper triangle by columns, diagonal last.
    pattern: SymbolicSparseColMat<usize>,
    /// Pair, or node for the diagonal, at each stored place.
    origin: Vec<Origin>,
    symbolic: SymbolicCholesky<usize>,
}

#[derive(Debug, Clone, Copy)]
enum Origin {
    Pair(usize),
    Diagonal(usize),
}

/// The order of elimination of a network.
#[derive(Debug)]
pub(crate) struct Elimination {
    leaves: Vec<Leaf>,
    core: Option<Core>,
}

/// Joins each link of two unknowns to its pair; links side by side share one.
pub(crate) fn pairs_of(joins: &[(usize, usize)]) -> (Vec<(usize, usize)>, Vec<usize>) {
    let mut known = BTreeMap::new();
    let mut pairs = Vec::new();
    let of_join = joins
        .iter()
        .map(|&(i, j)| {
            let pair = (i.min(j), i.max(j));
            *known.entry(pair).or_insert_with(|| {
                pairs.push(pair);
                pairs.len() - 1
            })
        })
        .collect();
    (pairs, of_join)
}

impl Elimination {
    /// The order for `n` unknowns joined in pairs.
    pub(crate) fn new(n: usize, pairs: &[(usize, usize)]) -> Self {
        let mut ties = vec![Vec::new(); n];
        for (k, &(i, j)) in pairs.iter().enumerate() {
            ties[i].push((j, k));
            ties[j].push((i, k));
        }
        let mut degree: Vec<usize> = ties.iter().map(Vec::len).collect();
        let mut gone = vec![false; n];
        let mut open: Vec<usize> = (0..n).filter(|&i| degree[i] <= 1).collect();
        let mut leaves = Vec::new();
        while let Some(node) = open.pop() {
            if std::mem::replace(&mut gone[node], true) {
                continue;
            }
            let tie = ties[node].iter().copied().find(|&(other, _)| !gone[other]);
            if let Some((other, _)) = tie {
                degree[other] -= 1;
                if degree[other] == 1 || degree[other] == 0 {
                    open.push(other);
                }
            }
            leaves.push(Leaf { node, tie });
        }
        let core: Vec<usize> = (0..n).filter(|&i| !gone[i]).collect();
        Self { leaves, core: Core::new(core, n, &ties) }
    }

    /// Unknowns in the looped core.
    #[cfg(test)]
    pub(crate) fn core_size(&self) -> usize {
        self.core.as_ref().map_or(0, |core| core.nodes.len())
    }

    /// Solves for a diagonal, weights of the pairs (taken off beside the diagonal) and right sides.
    /// Both vectors are used up; `right` holds the answer.
    pub(crate) fn solve(
        &self,
        diagonal: &mut [f64],
        weights: &[f64],
        right: &mut [f64],
    ) -> Result<(), LostPivot> {
        for leaf in &self.leaves {
            let pivot = diagonal[leaf.node];
            if !(pivot.is_finite() && pivot > 0.0) {
                return Err(LostPivot);
            }
            if let Some((other, pair)) = leaf.tie {
                let share = weights[pair] / pivot;
                diagonal[other] -= share * weights[pair];
                right[other] += share * right[leaf.node];
            }
        }
        if let Some(core) = &self.core {
            core.solve(diagonal, weights, right)?;
        }
        for leaf in self.leaves.iter().rev() {
            let pulled = leaf.tie.map_or(0.0, |(other, pair)| weights[pair] * right[other]);
            right[leaf.node] = (right[leaf.node] + pulled) / diagonal[leaf.node];
        }
        if right.iter().all(|x| x.is_finite()) { Ok(()) } else { Err(LostPivot) }
    }
}

impl Core {
    fn new(nodes: Vec<usize>, n: usize, ties: &[Vec<(usize, usize)>]) -> Option<Self> {
        if nodes.is_empty() {
            return None;
        }
        let mut place = vec![usize::MAX; n];
        for (k, &node) in nodes.iter().enumerate() {
            place[node] = k;
        }
        let (mut starts, mut rows, mut origin) = (vec![0], Vec::new(), Vec::new());
        for (column, &node) in nodes.iter().enumerate() {
            let mut above: Vec<(usize, usize)> = ties[node]
                .iter()
                .map(|&(other, pair)| (place[other], pair))
                .filter(|&(row, _)| row < column)
                .collect();
            above.sort_unstable();
            for (row, pair) in above {
                rows.push(row);
                origin.push(Origin::Pair(pair));
            }
            rows.push(column);
            origin.push(Origin::Diagonal(node));
            starts.push(rows.len());
        }
        let size = nodes.len();
        let pattern = SymbolicSparseColMat::new_checked(size, size, starts, None, rows);
        let params = CholeskySymbolicParams {
            supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SIMPLICIAL,
            ..Default::default()
        };
        let symbolic =
            factorize_symbolic_cholesky(pattern.as_ref(), Side::Upper, SymmetricOrdering::Amd, params)
                .expect("memory for the pattern of the factor");
        Some(Self { nodes, pattern, origin, symbolic })
    }

    fn solve(&self, diagonal: &[f64], weights: &[f64], right: &mut [f64]) -> Result<(), LostPivot> {
        let numbers: Vec<f64> = self
            .origin
            .iter()
            .map(|origin| match *origin {
                Origin::Pair(pair) => -weights[pair],
                Origin::Diagonal(node) => diagonal[node],
            })
            .collect();
        let matrix = SparseColMatRef::<'_, usize, f64>::new(self.pattern.as_ref(), &numbers);
        let mut values = vec![0.0; self.symbolic.len_val()];
        let mut memory =
            MemBuffer::new(self.symbolic.factorize_numeric_llt_scratch::<f64>(Par::Seq, Spec::default()));
        self.symbolic
            .factorize_numeric_llt(
                &mut values,
                matrix,
                Side::Upper,
                LltRegularization::default(),
                Par::Seq,
                MemStack::new(&mut memory),
                Spec::default(),
            )
            .map_err(|_| LostPivot)?;
        let factor = LltRef::<'_, usize, f64>::new(&self.symbolic, &values);
        let mut heads: Vec<f64> = self.nodes.iter().map(|&node| right[node]).collect();
        let mut memory = MemBuffer::new(self.symbolic.solve_in_place_scratch::<f64>(1, Par::Seq));
        let size = heads.len();
        factor.solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(&mut heads, size, 1),
            Par::Seq,
            MemStack::new(&mut memory),
        );
        for (&node, head) in self.nodes.iter().zip(heads) {
            right[node] = head;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square with a tail and a lone node: the answer put back into the matrix gives the right side.
    #[test]
    fn a_loop_with_a_tail_is_solved() {
        let pairs = [(0, 1), (1, 2), (2, 3), (0, 3), (3, 4), (4, 5)];
        let weights = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0];
        let mut diagonal = vec![0.1; 7];
        for (&(i, j), w) in pairs.iter().zip(weights) {
            diagonal[i] += w;
            diagonal[j] += w;
        }
        let right = [1.0, -2.0, 0.5, 0.0, 3.0, 1.0, 2.0];
        let order = Elimination::new(7, &pairs);
        assert_eq!(order.core_size(), 4);
        let mut x = right.to_vec();
        order.solve(&mut diagonal.clone(), &weights, &mut x).unwrap();
        for (i, wanted) in right.iter().enumerate() {
            let mut sum = diagonal[i] * x[i];
            for (&(a, b), w) in pairs.iter().zip(weights) {
                if a == i {
                    sum -= w * x[b];
                } else if b == i {
                    sum -= w * x[a];
                }
            }
            assert!((sum - wanted).abs() < 1e-12, "{i}");
        }
    }
}
