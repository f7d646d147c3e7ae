//! `cargo xtask bench-survey`: tape networks of a hundred to ten thousand readings.
//!
//! - In: points of a jittered square grid, each taped to its neighbours along, across and on both
//!   diagonals; the corners of one side held. Out: a table: seconds for starting places, adjustment,
//!   accuracy and the redundancy of every reading, and for the search for slips; the larger of three
//!   runs is dropped twice.

use std::fmt::Write as _;
use std::time::Instant;

use groundwright_geometry::Point;
use groundwright_survey::{Network, Reading, adjust, snoop};

use crate::page;

/// Points along a side; four readings to a point.
const SIDES: [usize; 3] = [6, 17, 51];
/// Distance of neighbours. [m]
const PITCH: f64 = 5.0;

/// Runs the benchmark.
pub fn run() -> Result<(), String> {
    let mut table = String::from("| readings | points | adjust, s | with the search for slips, s |\n");
    table.push_str("| ---: | ---: | ---: | ---: |\n");
    for side in SIDES {
        let network = grid(side);
        let adjusted = best(|| adjust(&network).map(|_| ()).map_err(|e| e.to_string()))?;
        let searched = best(|| snoop(&network).map(|_| ()).map_err(|e| e.to_string()))?;
        let (readings, points) = (network.readings.len(), network.points.len());
        let _ = writeln!(table, "| {readings} | {points} | {adjusted:.3} | {searched:.3} |");
    }
    println!("{table}");
    page::write("bench-survey", &table)
}

/// The least of three times. [s]
fn best(mut work: impl FnMut() -> Result<(), String>) -> Result<f64, String> {
    let mut least = f64::INFINITY;
    for _ in 0..3 {
        let start = Instant::now();
        work()?;
        least = least.min(start.elapsed().as_secs_f64());
    }
    Ok(least)
}

fn grid(side: usize) -> Network {
    let mut state = 5_u64;
    let mut next = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1_u64 << 53) as f64
    };
    let places: Vec<Point> = (0..side * side)
        .map(|i| {
            let (x, y) = ((i % side) as f64, (i / side) as f64);
            Point::new(PITCH * x + next(), PITCH * y + next())
        })
        .collect();
    let mut network = Network::default();
    for (i, place) in places.iter().enumerate() {
        network.point(&format!("p{i}"), (i == 0 || i == side - 1).then_some(*place), Some(*place));
    }
    for i in 0..side * side {
        let (column, row) = (i % side, i / side);
        let ties = [
            (column + 1 < side).then_some(i + 1),
            (row + 1 < side).then_some(i + side),
            (column + 1 < side && row + 1 < side).then_some(i + side + 1),
            (column > 0 && row + 1 < side).then_some(i + side - 1),
        ];
        for to in ties.into_iter().flatten() {
            let length = places[i].distance(places[to]);
            let sigma = 0.004 + 0.0004 * length;
            // Twelve numbers between 0 and 1 add up to a normal one about 6.
            let normal = (0..12).map(|_| next()).sum::<f64>() - 6.0;
            network.readings.push(Reading::distance(i, to, length + sigma * normal, sigma));
        }
    }
    network
}
