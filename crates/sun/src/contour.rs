//! Lines of equal value over a grid.
//!
//! - In: a grid with a value at each point, a level. Out: lines, each a list of points, closed ones
//!   with the first point repeated.
//! - Method: marching squares between the points of the grid, straight within a cell, saddles parted
//!   by the mean of the four corners; pieces joined end to end in a fixed order.

use std::collections::BTreeMap;

use groundwright_geometry::Point;

use crate::map::Grid;

/// An edge of the grid: the lower of its two points, and whether it goes up.
type Edge = (usize, bool);

/// Lines along which the values of a grid pass a level.
///
/// # Arguments
/// - `values`: one for each point of the grid; cells with one that is not finite have no line.
pub fn contours(grid: &Grid, values: &[f64], level: f64) -> Vec<Vec<Point>> {
    if values.len() != grid.len() || !level.is_finite() {
        return Vec::new();
    }
    let mut pieces: Vec<(Edge, Edge)> = Vec::new();
    for row in 0..grid.rows.saturating_sub(1) {
        for column in 0..grid.columns.saturating_sub(1) {
            cell(grid, values, level, row * grid.columns + column, &mut pieces);
        }
    }
    joined(&pieces)
        .into_iter()
        .map(|line| line.into_iter().map(|edge| crossing(grid, values, level, edge)).collect())
        .collect()
}

fn cell(grid: &Grid, values: &[f64], level: f64, i: usize, pieces: &mut Vec<(Edge, Edge)>) {
    let up = i + grid.columns;
    // South-west, south-east, north-east, north-west.
    let corners = [values[i], values[i + 1], values[up + 1], values[up]];
    if corners.iter().any(|value| !value.is_finite()) {
        return;
    }
    let above = corners.map(|value| value >= level);
    let edges: [Edge; 4] = [(i, false), (i + 1, true), (up, false), (i, true)];
    let crossed: Vec<usize> = (0..4).filter(|e| above[*e] != above[(e + 1) % 4]).collect();
    match crossed.as_slice() {
        [a, b] => pieces.push((edges[*a], edges[*b])),
        [_, _, _, _] => {
            let middle = corners.iter().sum::<f64>() / 4.0 >= level;
            // The two corners that are like the middle are joined through it.
            let pairs = if middle == above[0] { [(0, 1), (2, 3)] } else { [(3, 0), (1, 2)] };
            pieces.extend(pairs.map(|(a, b): (usize, usize)| (edges[a], edges[b])));
        }
        _ => {}
    }
}

fn crossing(grid: &Grid, values: &[f64], level: f64, (i, goes_up): Edge) -> Point {
    let j = if goes_up { i + grid.columns } else { i + 1 };
    let share = ((level - values[i]) / (values[j] - values[i])).clamp(0.0, 1.0);
    grid.at(i).lerp(grid.at(j), share)
}

/// Pieces joined to lines: open ones from their ends first, then rings.
fn joined(pieces: &[(Edge, Edge)]) -> Vec<Vec<Edge>> {
    let mut at: BTreeMap<Edge, Vec<usize>> = BTreeMap::new();
    for (i, (a, b)) in pieces.iter().enumerate() {
        at.entry(*a).or_default().push(i);
        at.entry(*b).or_default().push(i);
    }
    let ends: Vec<Edge> = at.iter().filter(|(_, list)| list.len() == 1).map(|(edge, _)| *edge).collect();
    let starts: Vec<Edge> = ends.into_iter().chain(at.keys().copied()).collect();
    let mut used = vec![false; pieces.len()];
    let mut lines = Vec::new();
    for start in starts {
        let mut line = vec![start];
        let mut here = start;
        while let Some(&piece) = at[&here].iter().find(|piece| !used[**piece]) {
            used[piece] = true;
            let (a, b) = pieces[piece];
            here = if a == here { b } else { a };
            line.push(here);
        }
        if line.len() > 1 {
            lines.push(line);
        }
    }
    lines
}
