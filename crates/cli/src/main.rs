//! The command line of groundwright.
//!
//! Files, clocks, threads and the terminal live here; everything that computes lives in the other
//! crates.

/// Prints a line on standard output. Whoever reads it may stop reading, as `head` does: that is no
/// failure of ours.
macro_rules! say {
    ($($words:tt)*) => {{
        use std::io::Write as _;
        let _ = writeln!(std::io::stdout().lock(), $($words)*);
    }};
}

mod check;
mod figure;
mod import;
mod issue;
mod open;
mod picture;
mod report;
mod stages;
mod start;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand, ValueEnum};

/// Design and build home landscapes from one measured model of the yard.
///
/// A project is a folder with property.toml (what is there), design.toml (what shall be) and, if
/// wanted, practice.toml (your firm's rules) and stock/ (what can be bought beyond what ships).
/// Begin one with `groundwright start FOLDER`, look at it with `groundwright check FOLDER`, publish
/// the planting package with `groundwright issue FOLDER`.
#[derive(Parser)]
#[command(name = "groundwright", version, max_term_width = 100)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Begin a new project folder with commented files to fill in.
    Start(start::Arguments),
    /// Read a project, place it, and say what is wrong or worth knowing.
    Check(check::Arguments),
    /// Publish the planting package: plan set, drawings, tables.
    Issue(issue::Arguments),
    /// Bring points, drawings or surfaces of other programs into a project.
    Import(import::Arguments),
    /// The yard as it will look: by day, by night, in ten years.
    Picture(picture::Arguments),
    /// Open a project in the browser: plan, checks, estimate.
    Open(open::Arguments),
    /// Make one calculation alone: a JSON case in, a JSON result out.
    Figure(figure::Arguments),
}

/// How findings are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum Format {
    /// For people.
    Text,
    /// One JSON document on standard output.
    Json,
}

/// The project folder and how it is read.
#[derive(clap::Args)]
pub(crate) struct ProjectArguments {
    /// Folder of the project: the one with property.toml.
    folder: PathBuf,
    /// Print for people, or as JSON for programs.
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Threads to compute on; all processors if not given. The result is the same.
    #[arg(long, value_name = "N")]
    threads: Option<std::num::NonZeroUsize>,
    /// Print how long each stage took.
    #[arg(long)]
    times: bool,
}

/// Exit codes: 0 done, 1 the project or case cannot be read or placed, 2 wrong use of the command
/// line, 3 findings as serious as `--deny` says.
fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let result = match arguments.command {
        Command::Start(arguments) => start::run(&arguments),
        Command::Check(arguments) => check::run(&arguments),
        Command::Issue(arguments) => issue::run(&arguments),
        Command::Import(arguments) => import::run(&arguments),
        Command::Picture(arguments) => picture::run(&arguments),
        Command::Open(arguments) => open::run(&arguments),
        Command::Figure(arguments) => figure::run(&arguments),
    };
    match result {
        Ok(code) => ExitCode::from(code),
        Err(problem) => {
            eprintln!("groundwright: {problem}");
            ExitCode::from(1)
        }
    }
}

/// Uses as many threads as asked for; without the option, as many as there are processors.
fn set_threads(threads: Option<std::num::NonZeroUsize>) -> Result<(), String> {
    let Some(threads) = threads else { return Ok(()) };
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads.get())
        .build_global()
        .map_err(|e| format!("{threads} threads cannot be started: {e}; leave out --threads"))
}
