//! `cargo xtask bench-lights`: lights routed, sized, solved and shone through a yard.
//!
//! - In: the corner-lot demo with its thirty lights, laid side by side up to 34 times. Out: a table on
//!   standard output: milliseconds of the study without and with what stands in the way of light, and of
//!   what it hands out.
//! - The best of three runs.

use std::fmt::Write as _;
use std::time::Instant;

use groundwright_handoff::{Study, When};
use groundwright_job::{Casting, Job, nights};
use groundwright_scene::Scene;

use crate::bench::{demo, tile};
use crate::page;

/// Lots side by side.
const LOTS: [usize; 4] = [1, 3, 10, 34];

/// Runs the benchmark.
pub fn run() -> Result<(), String> {
    let mut table = String::from(
        "| lights | circuits and light in the clear, ms | with what stands in its way, ms | hand-offs, ms |\n| ---: | ---: | ---: \
         | ---: |\n",
    );
    let one = demo()?;
    for lots in LOTS {
        let project = if lots > 1 { tile(&one, lots) } else { one.clone() };
        let outcome = Job::live().run(&project, When::years(0.0), &mut ());
        let yard = outcome.yard.as_ref();
        let scene = Scene::new(Casting::new(&project, yard).bodies(10, 0.0));
        let nights = nights(&project);
        let mut best = [f64::INFINITY; 3];
        let mut lights = 0;
        for _ in 0..3 {
            let clear = timed(|| groundwright_light::study(&project, yard, &|_, _| 1.0, nights.clone()));
            let passes = |from, to| scene.between(from, to);
            let shaded = timed(|| groundwright_light::study(&project, yard, &passes, nights.clone()));
            let study = shaded.0;
            let failed = study.transformers.iter().filter(|run| run.design.is_err()).count();
            if failed > 0 {
                return Err(format!("{failed} transformers without a design"));
            }
            lights = study.lamps.len();
            let handed = timed(|| {
                study.findings().len()
                    + study.quantities().len()
                    + study.tables().len()
                    + study.marks(When::years(0.0)).len()
            });
            for (best, now) in best.iter_mut().zip([clear.1, shaded.1, handed.1]) {
                *best = best.min(now);
            }
        }
        let _ = writeln!(table, "| {lights} | {:.1} | {:.1} | {:.1} |", best[0], best[1], best[2]);
    }
    println!("{table}");
    page::write("bench-lights", &table)
}

fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = Instant::now();
    let value = work();
    (value, start.elapsed().as_secs_f64() * 1000.0)
}
