//! Assignment against every permutation and against worked tables.

use groundwright_geometry::assignment::{AssignmentFault, assign};
use proptest::prelude::*;

type Costs = Vec<Vec<Option<[i64; 2]>>>;

/// Best (unassigned rows, total cost) over every way to give rows different columns or none.
fn brute(costs: &Costs, row: usize, used: &mut Vec<bool>) -> (i64, [i64; 2]) {
    if row == costs.len() {
        return (0, [0, 0]);
    }
    let (missing, total) = brute(costs, row + 1, used);
    let mut best = (missing + 1, total);
    for column in 0..used.len() {
        if let (false, Some(cost)) = (used[column], costs[row][column]) {
            used[column] = true;
            let (missing, total) = brute(costs, row + 1, used);
            best = best.min((missing, [total[0] + cost[0], total[1] + cost[1]]));
            used[column] = false;
        }
    }
    best
}

/// The same pair of measures for an answer.
fn worth(costs: &Costs, answer: &[Option<usize>]) -> (i64, [i64; 2]) {
    let mut worth = (0, [0, 0]);
    for (row, column) in answer.iter().enumerate() {
        match column {
            None => worth.0 += 1,
            Some(column) => {
                let cost = costs[row][*column].expect("a forbidden pair was assigned");
                worth.1 = [worth.1[0] + cost[0], worth.1[1] + cost[1]];
            }
        }
    }
    worth
}

fn costs(most: usize) -> impl Strategy<Value = Costs> {
    // Small numbers make ties, in which the second criterion has to decide.
    let cost = prop::option::weighted(0.8, [-3..6_i64, -50..50_i64]);
    (1..=most, 1..=most).prop_flat_map(move |(rows, columns)| {
        prop::collection::vec(prop::collection::vec(cost.clone(), columns), rows)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// The answer is as good as the best of all, with forbidden pairs and any shape.
    #[test]
    fn nothing_beats_the_assignment(costs in costs(7)) {
        let columns = costs[0].len();
        let answer = assign(costs.len(), columns, |r, c| costs[r][c]).unwrap();
        let mut used: Vec<usize> = answer.iter().flatten().copied().collect();
        used.sort_unstable();
        used.dedup();
        prop_assert_eq!(used.len(), answer.iter().flatten().count());
        prop_assert_eq!(worth(&costs, &answer), brute(&costs, 0, &mut vec![false; columns]));
    }

    /// Adding a constant to a row changes no answer's rank, so the best total moves by it.
    #[test]
    fn a_constant_on_a_row_moves_the_total_by_it(
        square in prop::collection::vec(prop::collection::vec(-90..90_i64, 12), 12), more in -500..500_i64,
    ) {
        let total = |extra: i64| {
            let cost = |r: usize, c: usize| square[r][c] + if r == 4 { extra } else { 0 };
            let answer = assign(12, 12, |r, c| Some(cost(r, c))).unwrap();
            answer.iter().enumerate().map(|(r, c)| cost(r, c.unwrap())).sum::<i64>()
        };
        prop_assert_eq!(total(more), total(0) + more);
    }
}

/// Tables of our own; the best total was found by writing out all 3! = 6 and 4! = 24 sums.
#[test]
fn small_tables_by_hand() {
    let three = [[4_i64, 1, 3], [2, 0, 5], [3, 2, 2]];
    let answer = assign(3, 3, |r, c| Some(three[r][c])).unwrap();
    // Diagonals: 4+0+2=6, 4+5+2=11, 1+2+2=5, 1+5+3=9, 3+2+2=7, 3+0+3=6.
    assert_eq!(answer, [Some(1), Some(0), Some(2)]);
    let four = [[9_i64, 2, 7, 8], [6, 4, 3, 7], [5, 8, 1, 8], [7, 6, 9, 4]];
    let answer = assign(4, 4, |r, c| Some(four[r][c])).unwrap();
    // 2 + 6 + 1 + 4 = 13 is the least of the 24 sums.
    assert_eq!(answer, [Some(1), Some(0), Some(2), Some(3)]);
}

/// A single point of the first criterion outweighs any number of the second.
#[test]
fn criteria_are_compared_in_their_rank() {
    let table = [[[0, 1_000_000_i64], [1, 0]], [[1, 0], [1, 0]]];
    let answer = assign(2, 2, |r, c| Some(table[r][c])).unwrap();
    assert_eq!(answer, [Some(0), Some(1)]);
}

#[test]
fn edge_cases_have_answers() {
    assert_eq!(assign(0, 5, |_, _| Some(1_i64)).unwrap(), []);
    assert_eq!(assign(2, 0, |_, _| Some(1_i64)).unwrap(), [None, None]);
    assert_eq!(assign(2, 2, |_, _| None::<i64>).unwrap(), [None, None]);
    let huge = assign(2, 2, |_, _| Some(i64::MIN)).unwrap_err();
    assert!(matches!(huge, AssignmentFault::TooLarge { row: 0, column: 0, .. }));
}
