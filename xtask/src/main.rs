//! Developer commands: `cargo xtask COMMAND`.
//!
//! - `test`: everything that must hold, with all set-up; the one test command of the README.
//! - `tidy`: rules of the house that the compiler does not know.
//! - `bench`, `bench-app`, `bench-store`, `bench-survey`, `bench-ground`, `bench-sun`, `bench-walls`, `bench-lights`,
//!   `bench-pictures`, `bench-water`: what takes how long, written to `docs/performance.md`.
//! - `fuzz`: mutated project files against the reader.
//!
//! Each command is one module; this file only chooses among them.

mod bench;
mod bench_app;
mod bench_ground;
mod bench_lights;
mod bench_pictures;
mod bench_store;
mod bench_sun;
mod bench_survey;
mod bench_walls;
mod bench_water;
mod fuzz;
mod machine;
mod page;
mod test;
mod tidy;
mod workspace;

use std::process::ExitCode;

const USAGE: &str = "\
usage: cargo xtask COMMAND

  test                       set up, format, lint, run every test, tidy
  tidy                       rules of the house that the compiler does not know
  bench                      time the stages on one, ten and a hundred lots
  bench-app                  time the app in a browser: start, first plan, a dragged bed line
  bench-store                time a thousand edits kept in a journal
  bench-survey               time tape networks of a hundred to ten thousand readings
  bench-ground               time surfaces of a thousand to a million levels
  bench-lights               time the lights of one to 34 lots: circuits, shadows, hand-offs
  bench-pictures [--against PYTHON] [--long]
                             time rays, the reference scene, the demo at night, 40,000 plants; against
                             Embree and a research renderer in a Python with embreex and mitsuba;
                             with --long also the demo's error after 20 s against a long picture
  bench-water [--against PYTHON]
                             time irrigation of one to ten lots, networks, catch grids; against
                             EPANET in a Python with wntr
  bench-walls                time tiered walls of 125 to 1,000 m, stepped, laid and computed
  bench-sun [--against PYTHON]
                             time maps of sun hours; against ray casting in a Python with trimesh
  fuzz [--minutes 10] [--seed 1] [--keep]
                             mutated project files against the reader; crashes go to
                             crates/plan/tests/corpus, with --keep also new sorts of faults";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let result = match arguments.as_slice() {
        ["test"] => test::run(),
        ["tidy"] => tidy::run(),
        ["bench", options @ ..] => bench::run(options),
        ["bench-app"] => bench_app::run(),
        ["bench-ground"] => bench_ground::run(),
        ["bench-pictures", options @ ..] => bench_pictures::run(options),
        ["bench-store"] => bench_store::run(),
        ["bench-survey"] => bench_survey::run(),
        ["bench-lights"] => bench_lights::run(),
        ["bench-water", options @ ..] => bench_water::run(options),
        ["bench-walls"] => bench_walls::run(),
        ["bench-sun", options @ ..] => bench_sun::run(options),
        ["fuzz", options @ ..] => fuzz::run(options),
        _ => Err(USAGE.to_owned()),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            if !why.is_empty() {
                eprintln!("{why}");
            }
            ExitCode::FAILURE
        }
    }
}
