//! One linear step of nodal analysis: sweeps along a tree, a sparse factor where there are loops.
//!
//! - In: slope and current of the lamps at each joint. Out: voltages, or nothing where the matrix is
//!   not positive definite.
//! - Method: a tree is eliminated from its leaves to the supply and filled in back again, exact and
//!   in time proportional to the joints; loops by sparse Cholesky (`faer`), whose pattern is found
//!   once for a network.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::LltRegularization;
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LltRef, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMat, Triplet};
use faer::{Conj, MatMut, Par, Side, Spec};

use crate::Wiring;

/// A share of the diagonal below which a pivot counts as none: the last of the digits.
const LOST: f64 = 1e-13;

/// Solves steps of one network.
pub(crate) struct Solver<'w> {
    wiring: &'w Wiring,
    /// Conductance of each cable. [S]
    conductances: Vec<f64>,
    /// Sum of conductances at each joint. [S]
    diagonal: Vec<f64>,
    /// Pattern of the factor, for networks with loops.
    symbolic: Option<SymbolicCholesky<usize>>,
}

impl<'w> Solver<'w> {
    pub(crate) fn new(wiring: &'w Wiring) -> Self {
        let conductances: Vec<f64> =
            wiring.network.cables.iter().map(|cable| 1.0 / cable.loop_resistance()).collect();
        let mut diagonal = vec![0.0; wiring.network.joints.len()];
        for (cable, g) in wiring.network.cables.iter().zip(&conductances) {
            diagonal[cable.from] += g;
            diagonal[cable.to] += g;
        }
        Self { wiring, conductances, diagonal, symbolic: None }
    }

    /// Voltages where each joint draws slope × V + current; `None` where no such state is stable.
    pub(crate) fn solve(&mut self, supply: f64, slopes: &[f64], currents: &[f64]) -> Option<Vec<f64>> {
        if self.wiring.closing.is_empty() {
            self.sweep(supply, slopes, currents)
        } else {
            self.factor(supply, slopes, currents)
        }
    }

    fn sweep(&self, supply: f64, slopes: &[f64], currents: &[f64]) -> Option<Vec<f64>> {
        let wiring = self.wiring;
        let mut pivots: Vec<f64> = self.diagonal.iter().zip(slopes).map(|(g, s)| g + s).collect();
        let mut right: Vec<f64> = currents.iter().map(|current| -current).collect();
        for &joint in wiring.order.iter().skip(1).rev() {
            let (before, cable) = wiring.feed[joint]?;
            let g = self.conductances[cable];
            if pivots[joint].is_nan() || pivots[joint] <= LOST * self.diagonal[joint] {
                return None;
            }
            let share = g / pivots[joint];
            pivots[before] -= g * share;
            right[before] += right[joint] * share;
        }
        let mut voltages = vec![supply; slopes.len()];
        for &joint in wiring.order.iter().skip(1) {
            let (before, cable) = wiring.feed[joint]?;
            voltages[joint] = (right[joint] + self.conductances[cable] * voltages[before]) / pivots[joint];
        }
        Some(voltages)
    }

    /// All joints but the supply are unknowns; the supply goes to the right-hand side.
    fn factor(&mut self, supply: f64, slopes: &[f64], currents: &[f64]) -> Option<Vec<f64>> {
        let source = self.wiring.network.source;
        let unknown = |joint: usize| joint - usize::from(joint > source);
        let n = slopes.len() - 1;
        let mut triplets = Vec::with_capacity(n + self.conductances.len());
        let mut right = vec![0.0; n];
        for joint in (0..slopes.len()).filter(|joint| *joint != source) {
            let i = unknown(joint);
            triplets.push(Triplet::new(i, i, self.diagonal[joint] + slopes[joint]));
            right[i] -= currents[joint];
        }
        for (cable, g) in self.wiring.network.cables.iter().zip(&self.conductances) {
            match (cable.from == source, cable.to == source) {
                (false, false) => {
                    let (i, j) = (unknown(cable.from), unknown(cable.to));
                    triplets.push(Triplet::new(i.min(j), i.max(j), -g));
                }
                (true, _) => right[unknown(cable.to)] += g * supply,
                (_, true) => right[unknown(cable.from)] += g * supply,
            }
        }
        let upper = SparseColMat::<usize, f64>::try_new_from_triplets(n, n, &triplets).ok()?;
        if self.symbolic.is_none() {
            let params = CholeskySymbolicParams {
                supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SIMPLICIAL,
                ..Default::default()
            };
            self.symbolic =
                factorize_symbolic_cholesky(upper.symbolic(), Side::Upper, SymmetricOrdering::Amd, params)
                    .ok();
        }
        cholesky(self.symbolic.as_ref()?, &upper, &mut right)?;
        right.insert(source, supply);
        Some(right)
    }
}

/// Factors and solves in place; `None` where the matrix is not positive definite.
fn cholesky(
    symbolic: &SymbolicCholesky<usize>,
    upper: &SparseColMat<usize, f64>,
    right: &mut [f64],
) -> Option<()> {
    let n = right.len();
    let mut values = vec![0.0; symbolic.len_val()];
    let mut memory = MemBuffer::new(symbolic.factorize_numeric_llt_scratch::<f64>(Par::Seq, Spec::default()));
    symbolic
        .factorize_numeric_llt(
            &mut values,
            upper.as_ref(),
            Side::Upper,
            LltRegularization::default(),
            Par::Seq,
            MemStack::new(&mut memory),
            Spec::default(),
        )
        .ok()?;
    let mut memory = MemBuffer::new(symbolic.solve_in_place_scratch::<f64>(1, Par::Seq));
    LltRef::<usize, f64>::new(symbolic, &values).solve_in_place_with_conj(
        Conj::No,
        MatMut::from_column_major_slice_mut(right, n, 1),
        Par::Seq,
        MemStack::new(&mut memory),
    );
    Some(())
}
