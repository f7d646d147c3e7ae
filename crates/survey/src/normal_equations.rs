//! Normal equations of weighted least squares, sparse: solved, and inverted where it matters.
//!
//! - In: one row for each reading: its few coefficients, its weight, its misfit. Out: corrections
//!   of the unknowns, and those cofactors that lie within the pattern of the factor.
//! - Method: approximate minimum degree ordering and Cholesky factor of `faer`; cofactors by the
//!   recursion of Takahashi, Fagan and Chen (1973), so that no full inverse is ever made.
//! - Every pair of unknowns that shares a reading lies within that pattern.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::{LltError, LltRegularization};
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, SymbolicCholesky, SymbolicCholeskyRaw, SymmetricOrdering,
    factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMat, Triplet};
use faer::{Conj, MatMut, Par, Side, Spec};

/// A pivot below this share of its diagonal means that the unknown is not determined. It is the
/// squared sine of the angle at which the readings cross, here of 0.003°.
const LOST: f64 = 3e-9;

/// One reading, linearised: coefficients of a few unknowns, weight and misfit (observed − computed).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Row {
    /// Unknowns with their coefficients.
    pub terms: Vec<(usize, f64)>,
    /// 1 / σ².
    pub weight: f64,
    /// Observed minus computed.
    pub misfit: f64,
}

/// The factor of the normal equations.
#[derive(Debug)]
pub struct Factor {
    symbolic: SymbolicCholesky<usize>,
    values: Vec<f64>,
    /// Unknown at each place of the order of elimination.
    order: Vec<usize>,
    /// Place of each unknown in that order.
    place: Vec<usize>,
}

/// The unknown that the readings leave free.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Free(pub usize);

/// Factors the normal equations of `n` unknowns and solves them.
///
/// `damping` is added to each diagonal as a share of it (Levenberg-Marquardt); 0 for Gauss-Newton.
///
/// # Errors
/// [`Free`] names an unknown that the readings do not determine.
pub fn solve(n: usize, rows: &[Row], damping: f64) -> Result<(Vec<f64>, Factor), Free> {
    let mut triplets = Vec::with_capacity(rows.len() * 10);
    let mut right = vec![0.0; n];
    let mut diagonal = vec![0.0; n];
    for row in rows {
        for (k, &(i, a)) in row.terms.iter().enumerate() {
            right[i] += row.weight * a * row.misfit;
            diagonal[i] += row.weight * a * a;
            for &(j, b) in &row.terms[..k] {
                triplets.push(Triplet::new(i.min(j), i.max(j), row.weight * a * b));
            }
        }
    }
    if let Some(free) = diagonal.iter().position(|d| !(d.is_finite() && *d > 0.0)) {
        return Err(Free(free));
    }
    for (i, d) in diagonal.iter_mut().enumerate() {
        *d *= 1.0 + damping;
        triplets.push(Triplet::new(i, i, *d));
    }
    let matrix = SparseColMat::<usize, f64>::try_new_from_triplets(n, n, &triplets)
        .expect("every index is below n, by construction");
    let factor = Factor::of(&matrix, &diagonal)?;
    factor.solve_in_place(&mut right);
    Ok((right, factor))
}

impl Factor {
    fn of(upper: &SparseColMat<usize, f64>, diagonal: &[f64]) -> Result<Self, Free> {
        let params = CholeskySymbolicParams {
            supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SIMPLICIAL,
            ..Default::default()
        };
        let symbolic =
            factorize_symbolic_cholesky(upper.symbolic(), Side::Upper, SymmetricOrdering::Amd, params)
                .expect("memory for the pattern of the factor");
        let n = diagonal.len();
        let (order, place) = match symbolic.perm() {
            Some(permutation) => {
                let (forward, inverse) = permutation.arrays();
                (forward.to_vec(), inverse.to_vec())
            }
            None => ((0..n).collect(), (0..n).collect()),
        };
        let mut values = vec![0.0; symbolic.len_val()];
        let mut memory =
            MemBuffer::new(symbolic.factorize_numeric_llt_scratch::<f64>(Par::Seq, Spec::default()));
        let failed = symbolic
            .factorize_numeric_llt(
                &mut values,
                upper.as_ref(),
                Side::Upper,
                LltRegularization::default(),
                Par::Seq,
                MemStack::new(&mut memory),
                Spec::default(),
            )
            .err();
        if let Some(LltError::NonPositivePivot { index }) = failed {
            // The factor counts its pivots from 1.
            return Err(Free(order[index.saturating_sub(1)]));
        }
        let factor = Self { symbolic, values, order, place };
        let (starts, _) = factor.pattern();
        for (k, &start) in starts[..n].iter().enumerate() {
            let pivot = factor.values[start] * factor.values[start];
            let unknown = factor.order[k];
            if !(pivot.is_finite() && pivot > LOST * diagonal[unknown]) {
                return Err(Free(unknown));
            }
        }
        Ok(factor)
    }

    /// Starts of the columns of the factor, and its row indices.
    fn pattern(&self) -> (&[usize], &[usize]) {
        match self.symbolic.raw() {
            SymbolicCholeskyRaw::Simplicial(pattern) => (pattern.col_ptr(), pattern.row_idx()),
            SymbolicCholeskyRaw::Supernodal(_) => unreachable!("the simplicial factor was asked for"),
        }
    }

    fn solve_in_place(&self, right: &mut [f64]) {
        let n = right.len();
        let factor = faer::sparse::linalg::cholesky::LltRef::<usize, f64>::new(&self.symbolic, &self.values);
        let mut memory = MemBuffer::new(self.symbolic.solve_in_place_scratch::<f64>(1, Par::Seq));
        factor.solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(right, n, 1),
            Par::Seq,
            MemStack::new(&mut memory),
        );
    }

    /// Cofactors of the unknowns within the pattern of the factor.
    pub fn cofactors(self) -> Cofactors {
        let n = self.order.len();
        let mut inverse = vec![0.0; self.values.len()];
        {
            let (starts, rows) = self.pattern();
            let entry = |inverse: &[f64], i: usize, j: usize| {
                let (row, column) = (i.max(j), i.min(j));
                let within = &rows[starts[column]..starts[column + 1]];
                let k = within.binary_search(&row).expect("the pattern of a factor is closed");
                inverse[starts[column] + k]
            };
            for j in (0..n).rev() {
                let (start, end) = (starts[j], starts[j + 1]);
                let pivot = self.values[start];
                for target in (start + 1..end).rev() {
                    let i = rows[target];
                    let sum: f64 =
                        (start + 1..end).map(|k| self.values[k] * entry(&inverse, i, rows[k])).sum();
                    inverse[target] = -sum / pivot;
                }
                let sum: f64 = (start + 1..end).map(|k| self.values[k] * inverse[k]).sum();
                inverse[start] = (1.0 / pivot - sum) / pivot;
            }
        }
        Cofactors { factor: self, inverse }
    }
}

/// Cofactors of the unknowns: the inverse of the normal equations where the factor has entries.
#[derive(Debug)]
pub struct Cofactors {
    factor: Factor,
    inverse: Vec<f64>,
}

impl Cofactors {
    /// Cofactor of two unknowns; `None` where no reading ties them and elimination did not either.
    pub fn entry(&self, i: usize, j: usize) -> Option<f64> {
        let (a, b) = (self.factor.place[i], self.factor.place[j]);
        let (row, column) = (a.max(b), a.min(b));
        let (starts, rows) = self.factor.pattern();
        let within = &rows[starts[column]..starts[column + 1]];
        within.binary_search(&row).ok().map(|k| self.inverse[starts[column] + k])
    }

    /// Cofactor of a reading after the adjustment: a Q aᵀ of its coefficients.
    pub fn of_row(&self, terms: &[(usize, f64)]) -> f64 {
        let mut sum = 0.0;
        for &(i, a) in terms {
            for &(j, b) in terms {
                sum += a * b * self.entry(i, j).expect("unknowns of one reading share an entry");
            }
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(equations: &[(&[f64], f64)]) -> Vec<Row> {
        let terms = |a: &[f64]| a.iter().copied().enumerate().filter(|(_, a)| *a != 0.0).collect::<Vec<_>>();
        equations.iter().map(|(a, b)| Row { terms: terms(a), weight: 1.0, misfit: *b }).collect()
    }

    /// Normal equations [[2, 1], [1, 2]] x = [4, 5]: x = (1, 2), inverse (1/3)[[2, -1], [-1, 2]].
    #[test]
    fn a_small_system_is_solved_and_inverted() {
        let (x, factor) =
            solve(2, &rows(&[(&[1.0, 0.0], 1.0), (&[0.0, 1.0], 2.0), (&[1.0, 1.0], 3.0)]), 0.0).unwrap();
        assert!((x[0] - 1.0).abs() < 1e-14 && (x[1] - 2.0).abs() < 1e-14);
        let cofactors = factor.cofactors();
        assert!((cofactors.entry(0, 0).unwrap() - 2.0 / 3.0).abs() < 1e-14);
        assert!((cofactors.entry(1, 0).unwrap() + 1.0 / 3.0).abs() < 1e-14);
    }

    #[test]
    fn what_no_reading_holds_is_named() {
        assert_eq!(solve(2, &rows(&[(&[1.0, 0.0], 1.0)]), 0.0).err(), Some(Free(1)));
        let dependent = rows(&[(&[1.0, 1.0], 1.0), (&[2.0, 2.0], 2.0)]);
        assert!(solve(2, &dependent, 0.0).is_err());
    }

    /// The product of the matrix and its cofactors is the unit matrix, also in the larger case.
    #[test]
    fn cofactors_invert_the_matrix_of_a_chain() {
        let n = 30;
        let mut equations: Vec<Row> = Vec::new();
        for i in 0..n {
            equations.push(Row { terms: vec![(i, 1.0)], weight: 0.5 + i as f64, misfit: 0.0 });
            equations.push(Row { terms: vec![(i, 1.0), ((i * 7 + 3) % n, -0.5)], weight: 2.0, misfit: 0.0 });
        }
        equations.retain(|row| row.terms.len() == 1 || row.terms[0].0 != row.terms[1].0);
        let mut dense = vec![vec![0.0; n]; n];
        for row in &equations {
            for &(i, a) in &row.terms {
                for &(j, b) in &row.terms {
                    dense[i][j] += row.weight * a * b;
                }
            }
        }
        let (_, factor) = solve(n, &equations, 0.0).unwrap();
        let cofactors = factor.cofactors();
        // Row by row over the entries that the matrix has: their cofactors all lie in the pattern.
        for (i, row) in dense.iter().enumerate() {
            let nonzero = row.iter().enumerate().filter(|(_, a)| **a != 0.0);
            let one: f64 = nonzero.map(|(j, a)| a * cofactors.entry(j, i).unwrap()).sum();
            assert!((one - 1.0).abs() < 1e-12, "{i}: {one}");
        }
    }
}
