//! `cargo xtask bench-walls`: tiered winding walls of 125 to 1,000 m, from their lines to the takeoff.
//!
//! - In: three tiers of one winding line, written as a project. Out: a table on standard output:
//!   milliseconds to place them in the yard, to step, lay and compute them, to say what was found and to
//!   count it; units laid, sections computed.
//! - The best of three runs. A wall that cannot be laid, or whose sections cannot be computed, ends the
//!   benchmark.

use std::fmt::Write as _;
use std::sync::Arc;
use std::time::Instant;

use groundwright_handoff::Study;
use groundwright_plan::{Project, Sources, read_project};
use groundwright_yard::{Transplanting, assemble, place};

use crate::page;

/// Lengths of a tier. [m]
const LENGTHS: [f64; 4] = [125.0, 250.0, 500.0, 1000.0];
/// Length of a straight, radius and half sweep of the bends between. [m, m, rad]
const SHAPE: (f64, f64, f64) = (4.3, 6.2, 0.45);

/// Runs the benchmark.
pub fn run() -> Result<(), String> {
    let mut table = String::from(
        "| length of each of three tiers, m | units | sections | placed, ms | stepped, laid and computed, ms | findings and \
         takeoff, ms |\n| ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    for length in LENGTHS {
        let project = project(length)?;
        let mut best: Option<[f64; 3]> = None;
        let (mut units, mut sections) = (0, 0);
        for _ in 0..3 {
            let (yard, placed) = timed(|| {
                let (plot, faults) = place(&project);
                let yard = assemble(&project, Arc::new(plot), Vec::new(), Arc::new(Transplanting::default()));
                faults.is_empty().then_some(yard)
            });
            let yard = yard.ok_or("the walls cannot be placed")?;
            let (study, computed) = timed(|| groundwright_walls::study(&project, &yard));
            let (_, told) = timed(|| study.findings().len() + study.quantities().len());
            let parts = || study.walls.iter().flat_map(|wall| &wall.parts);
            units = 0;
            for part in parts() {
                let laid = part.laid.as_ref().ok_or("a wall has no base")?;
                units += laid.as_ref().map_err(ToString::to_string)?.units.len();
            }
            sections = parts().map(|part| part.sections.len()).sum();
            let failed =
                parts().flat_map(|part| &part.sections).filter(|found| found.gravity.is_err()).count();
            if failed > 0 {
                return Err(format!("{failed} sections cannot be computed"));
            }
            let times = [placed, computed, told];
            if best.is_none_or(|best| times[1] < best[1]) {
                best = Some(times);
            }
        }
        let [placed, computed, told] = best.unwrap_or_default();
        let _ = writeln!(
            table,
            "| {length:.0} | {units} | {sections} | {placed:.1} | {computed:.1} | {told:.1} |"
        );
    }
    println!("{table}");
    page::write("bench-walls", &table)
}

fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = Instant::now();
    let value = work();
    (value, start.elapsed().as_secs_f64() * 1000.0)
}

/// Three tiers, each 1.1 m high and 2.4 m behind the one before.
fn project(length: f64) -> Result<Project, String> {
    let mut design = String::from("format = 1\n");
    for tier in 0..3_u8 {
        let (line, _) = winding(length, 2.4 * f64::from(tier));
        let foot = 10.0 + 1.1 * f64::from(tier);
        let _ = writeln!(
            design,
            "[[wall]]\nid = \"tier-{tier}\"\nunits = \"split-face-6\"\nsoil = \"left\"\nends = [\"flush\", \"flush\"]\n\
             line = [{line}]\nfoot = {foot}\ntop = {}\nretained = \"clean stone\"\nload = \"nothing\"",
            foot + 1.1
        );
    }
    let (_, far) = winding(length, 0.0);
    let (east, north) = (far + 30.0, 60.0);
    let property = format!(
        "format = 1\nunits = \"m\"\nname = \"walls\"\n[boundary]\noutline = [[-30, -60], [{east}, -60], [{east}, {north}], \
         [-30, {north}]]\n"
    );
    let sources = Sources { property: Some(property), design: Some(design), ..Sources::default() };
    let loaded = read_project(sources);
    loaded
        .map(|loaded| loaded.project)
        .map_err(|faults| faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

/// Pieces of a line that winds eastward from a place in the north, as the design file writes them, and how
/// far east it comes.
fn winding(length: f64, north: f64) -> (String, f64) {
    let (straight, radius, half) = SHAPE;
    let (mut x, mut y, mut heading, mut turn, mut laid) = (0.0, north, half, -1.0, 0.0);
    let mut pieces = Vec::new();
    while laid < length {
        let (a, b) = (x + straight * f64::cos(heading), y + straight * f64::sin(heading));
        pieces.push(format!("{{ straight = [[{x:.6}, {y:.6}], [{a:.6}, {b:.6}]] }}"));
        let on = |sweep: f64| {
            let (from, to) = (heading, heading + turn * sweep);
            (a + turn * radius * (to.sin() - from.sin()), b - turn * radius * (to.cos() - from.cos()))
        };
        let ((mx, my), (ex, ey)) = (on(half), on(2.0 * half));
        pieces.push(format!("{{ arc = [[{mx:.6}, {my:.6}], [{ex:.6}, {ey:.6}]] }}"));
        (x, y) = (ex, ey);
        heading += turn * 2.0 * half;
        turn = -turn;
        laid += straight + 2.0 * half * radius;
    }
    (pieces.join(", "), x)
}
