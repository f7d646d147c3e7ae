//! Exact assignment of rows to columns at the least total cost.
//!
//! - In: the cost of each pair, or none where the pair is forbidden. Out: the column of each row.
//! - Method: shortest augmenting paths with potentials (Kuhn 1955, Munkres 1957; this form after
//!   Jonker and Volgenant 1987), O(rows² (rows + columns)).
//! - Costs are any totally ordered commutative group: a whole number, or a vector of criteria
//!   compared from the first to the last. No weights are mixed and no rounding takes place, so a
//!   lesser criterion never outweighs a greater one.
//! - First as many rows as possible are assigned, then at the least total cost.

/// A cost that can be added, taken off and compared, such that order is kept by addition.
pub trait Cost: Copy + Ord {
    /// The cost of nothing.
    const ZERO: Self;
    /// The sum of two costs.
    #[must_use]
    fn plus(self, other: Self) -> Self;
    /// The difference of two costs.
    #[must_use]
    fn minus(self, other: Self) -> Self;
    /// The largest absolute component, which bounds what sums can reach.
    fn size(self) -> u64;
}

impl Cost for i64 {
    const ZERO: Self = 0;
    fn plus(self, other: Self) -> Self {
        self.saturating_add(other)
    }
    fn minus(self, other: Self) -> Self {
        self.saturating_sub(other)
    }
    fn size(self) -> u64 {
        self.unsigned_abs()
    }
}

/// Criteria in falling rank: added one by one, compared from the first to the last.
impl<const N: usize> Cost for [i64; N] {
    const ZERO: Self = [0; N];
    fn plus(self, other: Self) -> Self {
        std::array::from_fn(|i| self[i].saturating_add(other[i]))
    }
    fn minus(self, other: Self) -> Self {
        std::array::from_fn(|i| self[i].saturating_sub(other[i]))
    }
    fn size(self) -> u64 {
        self.iter().map(|c| c.unsigned_abs()).max().unwrap_or(0)
    }
}

/// Why an assignment was not made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AssignmentFault {
    /// A cost is so large that sums could overflow.
    #[error(
        "the cost of row {} and column {} is {size}, more than {most}; measure costs in a coarser unit",
        row + 1, column + 1
    )]
    TooLarge {
        /// Index of the row, from 0.
        row: usize,
        /// Index of the column, from 0.
        column: usize,
        /// Its largest component.
        size: u64,
        /// The largest that can be used with so many rows and columns.
        most: u64,
    },
}

/// Assigns rows to columns, each at most once, at the least total cost.
///
/// # Arguments
/// - `cost`: cost of a row and a column, both from 0; `None` forbids the pair. Asked once for
///   each pair.
///
/// # Returns
/// The column of each row, or `None` for a row without one. As many rows as possible have a
/// column; among such assignments the total cost is the least. The same input gives the same
/// answer; which of several equally good ones is not specified.
///
/// # Errors
/// [`AssignmentFault::TooLarge`] if a cost exceeds 2⁶² / (8 (rows + columns + 1)).
pub fn assign<C: Cost>(
    rows: usize,
    columns: usize,
    cost: impl Fn(usize, usize) -> Option<C>,
) -> Result<Vec<Option<usize>>, AssignmentFault> {
    let table = Table::new(rows, columns, cost)?;
    let mut search = Search::new(&table);
    for row in 0..rows {
        search.add(row);
    }
    let mut columns_of = vec![None; rows];
    for (column, row) in search.row_of.iter().enumerate().take(columns) {
        if let Some(row) = row {
            columns_of[*row] = Some(column);
        }
    }
    Ok(columns_of)
}

/// A cost with the number of unassigned rows before it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Ranked<C> {
    unassigned: i64,
    cost: C,
}

impl<C: Cost> Ranked<C> {
    const ZERO: Self = Self { unassigned: 0, cost: C::ZERO };
    const UNASSIGNED: Self = Self { unassigned: 1, cost: C::ZERO };

    fn plus(self, other: Self) -> Self {
        let unassigned = self.unassigned.saturating_add(other.unassigned);
        Self { unassigned, cost: self.cost.plus(other.cost) }
    }

    fn minus(self, other: Self) -> Self {
        let unassigned = self.unassigned.saturating_sub(other.unassigned);
        Self { unassigned, cost: self.cost.minus(other.cost) }
    }
}

/// The costs, with a column of its own for each row that stays unassigned.
struct Table<C> {
    rows: usize,
    columns: usize,
    costs: Vec<Option<C>>,
}

impl<C: Cost> Table<C> {
    fn new(
        rows: usize,
        columns: usize,
        cost: impl Fn(usize, usize) -> Option<C>,
    ) -> Result<Self, AssignmentFault> {
        let most = (1_u64 << 62) / (8 * (rows as u64 + columns as u64 + 1));
        let mut costs = Vec::with_capacity(rows * columns);
        for row in 0..rows {
            for column in 0..columns {
                let cost = cost(row, column);
                let size = cost.map_or(0, C::size);
                if size > most {
                    return Err(AssignmentFault::TooLarge { row, column, size, most });
                }
                costs.push(cost);
            }
        }
        Ok(Self { rows, columns, costs })
    }

    fn width(&self) -> usize {
        self.columns + self.rows
    }

    fn get(&self, row: usize, column: usize) -> Option<Ranked<C>> {
        if column < self.columns {
            let cost = self.costs[row * self.columns + column]?;
            return Some(Ranked { unassigned: 0, cost });
        }
        (column - self.columns == row).then_some(Ranked::UNASSIGNED)
    }
}

/// The state of the search: potentials and the assignment so far.
///
/// For every assigned pair the cost is the sum of its potentials, for every other pair not less.
struct Search<'a, C> {
    table: &'a Table<C>,
    row_potential: Vec<Ranked<C>>,
    column_potential: Vec<Ranked<C>>,
    row_of: Vec<Option<usize>>,
}

impl<'a, C: Cost> Search<'a, C> {
    fn new(table: &'a Table<C>) -> Self {
        Self {
            table,
            row_potential: vec![Ranked::ZERO; table.rows],
            column_potential: vec![Ranked::ZERO; table.width()],
            row_of: vec![None; table.width()],
        }
    }

    /// Assigns one more row along the shortest augmenting path.
    fn add(&mut self, row: usize) {
        let width = self.table.width();
        // Per column: the least reduced length of a path to it, and the column before it.
        let mut length: Vec<Option<Ranked<C>>> = vec![None; width];
        let mut before: Vec<Option<usize>> = vec![None; width];
        let mut reached: Vec<(usize, Ranked<C>)> = Vec::new();
        let mut done = vec![false; width];
        let (mut current, mut here, mut from) = (row, Ranked::ZERO, None);
        let end = loop {
            self.relax(current, here, from, &done, &mut length, &mut before);
            let Some((column, run)) = nearest(&length, &done) else {
                return;
            };
            done[column] = true;
            reached.push((column, run));
            let Some(next) = self.row_of[column] else {
                break column;
            };
            (current, here, from) = (next, run, Some(column));
        };
        self.lift(row, end, &reached);
        self.augment(row, end, &before);
    }

    /// Lengths over one more row.
    fn relax(
        &self,
        row: usize,
        here: Ranked<C>,
        from: Option<usize>,
        done: &[bool],
        length: &mut [Option<Ranked<C>>],
        before: &mut [Option<usize>],
    ) {
        let own = self.table.columns + row;
        for column in (0..self.table.columns).chain([own]) {
            if done[column] {
                continue;
            }
            let Some(cost) = self.table.get(row, column) else {
                continue;
            };
            let reduced = cost.minus(self.row_potential[row]).minus(self.column_potential[column]);
            let run = here.plus(reduced);
            if length[column].is_none_or(|known| run < known) {
                length[column] = Some(run);
                before[column] = from;
            }
        }
    }

    /// Moves the potentials so that the path found costs nothing more.
    fn lift(&mut self, row: usize, end: usize, reached: &[(usize, Ranked<C>)]) {
        let Some(&(_, whole)) = reached.last() else {
            return;
        };
        self.row_potential[row] = self.row_potential[row].plus(whole);
        for &(column, run) in reached {
            let rest = whole.minus(run);
            if column != end
                && let Some(owner) = self.row_of[column]
            {
                self.row_potential[owner] = self.row_potential[owner].plus(rest);
            }
            self.column_potential[column] = self.column_potential[column].minus(rest);
        }
    }

    /// Hands every column on the path to the row before it.
    fn augment(&mut self, row: usize, end: usize, before: &[Option<usize>]) {
        let mut column = end;
        while let Some(previous) = before[column] {
            self.row_of[column] = self.row_of[previous];
            column = previous;
        }
        self.row_of[column] = Some(row);
    }
}

/// The open column with the shortest path, the first of equals.
fn nearest<C: Cost>(length: &[Option<Ranked<C>>], done: &[bool]) -> Option<(usize, Ranked<C>)> {
    let mut best: Option<(usize, Ranked<C>)> = None;
    for (column, run) in length.iter().enumerate() {
        if let Some(run) = *run
            && !done[column]
            && best.is_none_or(|(_, least)| run < least)
        {
            best = Some((column, run));
        }
    }
    best
}
