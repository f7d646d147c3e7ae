//! `cargo xtask bench-ground`: surfaces of a thousand to a million levels.
//!
//! - In: levels of an invented hilly ground, scattered by a fixed rule. Out: a table on standard output:
//!   seconds to triangulate, for contours, for cut and fill against a second surface of as many other
//!   points, and for following water.

use std::fmt::Write as _;
use std::time::Instant;

use groundwright_geometry::{Point3, Surface};
use groundwright_ground::{Watershed, between};

use crate::page;

/// Levels at each size.
const SIZES: [usize; 3] = [1_000, 100_000, 1_000_000];

/// Runs the benchmark.
pub fn run() -> Result<(), String> {
    let mut table = String::from("| levels | triangulate, s | contours, s | cut and fill, s | water, s |\n");
    table.push_str("| ---: | ---: | ---: | ---: | ---: |\n");
    for size in SIZES {
        let told = |faults: Vec<groundwright_geometry::SurfaceFault>| format!("{faults:?}");
        let (existing, made) = timed(|| Surface::from_levels(&scattered(size, 1), &[]));
        let existing = existing.map_err(told)?;
        let proposed = Surface::from_levels(&scattered(size, 2), &[]).map_err(told)?;
        let (contours, drawn) = timed(|| existing.contours(0.5));
        let (earth, moved) = timed(|| between(&existing, &proposed));
        let (gathered, followed) = timed(|| {
            let shed = Watershed::new(&existing, &[]);
            shed.gather(&shed.own(|_| 1.0))
        });
        if contours.is_empty() || earth.cut <= 0.0 || gathered.len() != existing.points().len() {
            return Err(format!("{size} levels: no contours, no cut or no water"));
        }
        let _ = writeln!(table, "| {size} | {made:.3} | {drawn:.3} | {moved:.3} | {followed:.3} |");
    }
    println!("{table}");
    page::write("bench-ground", &table)
}

fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = Instant::now();
    let value = work();
    (value, start.elapsed().as_secs_f64())
}

/// One level in every square metre, somewhere in its middle part, on hills of two metres: no two
/// levels stand at one place, however many there are.
fn scattered(count: usize, seed: u64) -> Vec<Point3> {
    let side = (count as f64).sqrt().ceil() as usize;
    let mut state = seed;
    let mut next = move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    (0..count)
        .map(|i| {
            let x = (i % side) as f64 + 0.1 + 0.8 * next();
            let y = (i / side) as f64 + 0.1 + 0.8 * next();
            Point3::new(x, y, (x * 0.11).sin() + (y * 0.07).cos() + 0.02 * x + 0.05 * next())
        })
        .collect()
}
