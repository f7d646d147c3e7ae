//! `cargo xtask fuzz`: mutated project files against the reader, in one process.
//!
//! - In: the projects of `crates/plan/tests` and `demo`, minutes, a seed. Out: executions and their
//!   rate; every input on which the reader slips, made small, in `crates/plan/tests/corpus`, where
//!   `cargo test` replays it.
//! - Method: a text that shows a sort of fault not seen before joins the pool from which the next
//!   ones are made, so that the search goes deeper than its seeds. What must hold of a reading is
//!   in `crates/plan/tests/it/reading.rs`.
//! - The same seed and the same pool give the same inputs; only the clock decides where they end.

mod mutate;
mod random;
#[path = "../../../crates/plan/tests/it/reading.rs"]
mod reading;
#[path = "../../../crates/plan/tests/it/sections.rs"]
mod sections;

use std::collections::BTreeSet;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use groundwright_plan::{Sources, read_project, read_sources};

use self::random::Random;
use self::reading::Reading;
use self::sections::Sections;
use crate::workspace::root;

/// A reading that takes longer has lost its way.
const TOO_LONG: Duration = Duration::from_secs(1);

/// Inputs above this size are not kept. [bytes]
const SMALL: usize = 3000;

/// Most inputs in the pool.
const LARGE: usize = 3000;

struct Options {
    time: Duration,
    seed: u64,
    keep: bool,
}

/// Fuzzes for the time asked for.
///
/// # Errors
/// A wrong option, an unreadable seed, or how many slips were found.
pub fn run(options: &[&str]) -> Result<(), String> {
    let options = read_options(options)?;
    let mut pool = seeds()?;
    println!("{} seeds, seed number {}", pool.len(), options.seed);
    let watch = Watch::begin();
    std::panic::set_hook(Box::new(|_| {}));
    let mut search = Search::new(&pool, options.seed);
    let start = Instant::now();
    let mut told = start;
    while start.elapsed() < options.time {
        let input = mutate::mutate(&pool, &mut search.random);
        watch.look_at(&input);
        let novel = search.try_one(&input);
        watch.look_away();
        if let Some(sort) = novel {
            let small = shrink(input, |smaller| sorts(smaller).contains(&sort));
            if options.keep && search.kept.insert(coarse(&sort).to_owned()) {
                search.save("kept", &sort, &small);
            }
            // Old finds make room for new ones, so that the pool stays as varied as it is large.
            if pool.len() < LARGE {
                pool.push(small);
            } else {
                let at = search.random.below(LARGE);
                pool[at] = small;
            }
        }
        if told.elapsed() > Duration::from_mins(1) {
            told = Instant::now();
            search.tell(start.elapsed(), pool.len());
        }
    }
    drop(std::panic::take_hook());
    search.tell(start.elapsed(), pool.len());
    match search.slips {
        0 => Ok(()),
        slips => Err(format!("{slips} slips; their inputs are in crates/plan/tests/corpus")),
    }
}

fn read_options(options: &[&str]) -> Result<Options, String> {
    let mut read = Options { time: Duration::from_mins(10), seed: 1, keep: false };
    let mut rest = options.iter();
    while let Some(option) = rest.next() {
        match *option {
            "--keep" => read.keep = true,
            "--minutes" => {
                let minutes =
                    rest.next().and_then(|text| text.parse().ok()).filter(|m: &f64| (0.0..1e5).contains(m));
                read.time =
                    Duration::from_secs_f64(60.0 * minutes.ok_or("--minutes takes a number, such as 10")?);
            }
            "--seed" => {
                let seed = rest.next().and_then(|text| text.parse().ok());
                read.seed = seed.ok_or("--seed takes a whole number")?;
            }
            other => return Err(format!("`{other}` is not known; there are --minutes, --seed and --keep")),
        }
    }
    Ok(read)
}

fn tests() -> PathBuf {
    root().join("crates/plan/tests")
}

/// The projects from which all inputs are made, in the order of their names.
fn seeds() -> Result<Vec<Sources>, String> {
    let mut texts = vec![tests().join("data/whole.txt")];
    for folder in ["broken", "corpus"] {
        texts.extend(
            entries(&tests().join(folder))?
                .into_iter()
                .filter(|path| path.extension().is_some_and(|e| e == "txt")),
        );
    }
    let mut seeds = Vec::new();
    for path in texts {
        let text = fs::read_to_string(&path).map_err(|error| format!("{}: {error}", path.display()))?;
        seeds.push(Sections::split(&text).sources());
    }
    for folder in entries(&root().join("demo")).unwrap_or_default() {
        if folder.is_dir() {
            seeds.push(
                read_sources(&folder).map_err(|faults| format!("{}: {}", folder.display(), faults[0]))?,
            );
        }
    }
    Ok(seeds)
}

fn entries(folder: &std::path::Path) -> Result<Vec<PathBuf>, String> {
    let wrong = |error| format!("{}: {error}", folder.display());
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .map_err(wrong)?
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .collect();
    paths.sort();
    Ok(paths)
}

/// The search so far.
struct Search {
    random: Random,
    seed: u64,
    executions: u64,
    slips: usize,
    slip_sorts: BTreeSet<String>,
    seen: BTreeSet<String>,
    kept: BTreeSet<String>,
    slowest: Duration,
}

impl Search {
    fn new(pool: &[Sources], seed: u64) -> Self {
        let seen: BTreeSet<String> = pool.iter().flat_map(sorts).collect();
        Self {
            kept: seen.iter().map(|sort| coarse(sort).to_owned()).collect(),
            random: Random::new(seed),
            seed,
            executions: 0,
            slips: 0,
            slip_sorts: BTreeSet::new(),
            seen,
            slowest: Duration::ZERO,
        }
    }

    /// Examines one input; gives back a sort of fault that no input before it showed.
    fn try_one(&mut self, input: &Sources) -> Option<String> {
        self.executions += 1;
        let start = Instant::now();
        let result = examine(input);
        let took = start.elapsed();
        self.slowest = self.slowest.max(took);
        let why = match result {
            Ok(_) if took > TOO_LONG => format!("a reading took {:.1} s", took.as_secs_f64()),
            Ok(reading) => return sorts_of(&reading).into_iter().find(|sort| self.seen.insert(sort.clone())),
            Err(why) => why,
        };
        let sort = sort_of(&why);
        if self.slip_sorts.insert(sort.clone()) {
            self.slips += 1;
            println!("slip: {why}");
            let small =
                shrink(input.clone(), |smaller| examine(smaller).is_err_and(|why| sort_of(&why) == sort));
            self.save("slip", &why, &small);
        }
        None
    }

    /// Writes an input where `cargo test` replays it.
    fn save(&self, word: &str, why: &str, input: &Sources) {
        let why: String = why.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        let title = format!("# {why} (seed {}, execution {})\n", self.seed, self.executions);
        let text = Sections::of(&title, input).join();
        if word == "kept" && text.len() > SMALL {
            return;
        }
        let path = tests().join(format!("corpus/{word}-{}-{:06}.txt", self.seed, self.executions));
        if let Err(error) = fs::write(&path, text) {
            eprintln!("{}: {error}", path.display());
        }
    }

    fn tell(&self, time: Duration, pool: usize) {
        println!(
            "{:.1} min: {} executions, {:.0} a second, slowest {:.0} ms, {} sorts of faults, pool {pool}, {} slips",
            time.as_secs_f64() / 60.0,
            self.executions,
            self.executions as f64 / time.as_secs_f64(),
            self.slowest.as_secs_f64() * 1000.0,
            self.seen.len(),
            self.slips
        );
    }
}

/// The reading of an input, or what is wrong with it, a panic among that.
fn examine(input: &Sources) -> Result<Reading, String> {
    catch_unwind(AssertUnwindSafe(|| reading::examine(input))).unwrap_or_else(|panic| {
        let text = panic.downcast_ref::<String>().map(String::as_str);
        let text = text.or_else(|| panic.downcast_ref::<&str>().copied());
        Err(format!("panic: {}", text.unwrap_or("without a text")))
    })
}

/// The sorts of answers that an input gets; none where the reader slips.
fn sorts(input: &Sources) -> BTreeSet<String> {
    catch_unwind(AssertUnwindSafe(|| sorts_of(&read_project(input.clone())))).unwrap_or_default()
}

/// Of a project the kinds of its elements, of faults their words without what is quoted and counted.
fn sorts_of(reading: &Reading) -> BTreeSet<String> {
    match reading {
        Ok(loaded) => {
            let kinds: BTreeSet<&str> = loaded.project.elements().iter().map(|e| e.kind.word()).collect();
            let list: Vec<&str> = kinds.iter().copied().collect();
            [format!("accepted: {} kinds: {}", kinds.len(), list.join(", "))].into()
        }
        Err(faults) => faults.iter().map(|fault| sort_of(&fault.problem)).collect(),
    }
}

/// The words of a message without what is quoted and counted, behind the field that is meant:
/// `height` out of range and `spread` out of range are two ways through the reader.
fn sort_of(text: &str) -> String {
    let field = text.split_once(": `").and_then(|(_, rest)| rest.split('`').next()).unwrap_or_default();
    let words: String = text.split('`').step_by(2).collect();
    let words: String = words.chars().filter(|c| !c.is_ascii_digit()).take(120).collect();
    format!("{}: {words}", if field.len() < 20 { field } else { "" })
}

/// A sort without its field and without whose it is: one for each thing that can be wrong.
fn coarse(sort: &str) -> &str {
    let words = match sort.split_once(": ") {
        // One project for each number of kinds is enough.
        Some(("accepted", kinds)) => return kinds.split(':').next().unwrap_or_default(),
        Some((_, words)) => words,
        None => return sort,
    };
    words.rsplit(": ").find(|part| part.len() > 8).unwrap_or(words)
}

/// Takes lines away as long as `still` holds.
fn shrink(mut input: Sources, still: impl Fn(&Sources) -> bool) -> Sources {
    for which in mutate::files(&input) {
        let mut step = mutate::text(&input, which).map_or(0, |text| text.lines().count());
        while step > 0 {
            let mut at = 0;
            while let Some(text) = mutate::text(&input, which) {
                let lines: Vec<&str> = text.split_inclusive('\n').collect();
                if at >= lines.len() {
                    break;
                }
                let end = (at + step).min(lines.len());
                let shorter = lines[..at].concat() + &lines[end..].concat();
                let mut smaller = input.clone();
                mutate::put(&mut smaller, which, shorter);
                if still(&smaller) {
                    input = smaller;
                } else {
                    at += step;
                }
            }
            step /= 2;
        }
    }
    input
}

/// Keeps an eye on the input in hand: a reading that never ends leaves it on disk.
struct Watch {
    looking_at: Arc<Mutex<Option<(Instant, Sources)>>>,
}

impl Watch {
    fn begin() -> Self {
        let looking_at: Arc<Mutex<Option<(Instant, Sources)>>> = Arc::default();
        let shared = Arc::clone(&looking_at);
        std::thread::spawn(move || {
            loop {
                std::thread::sleep(Duration::from_secs(1));
                let Ok(held) = shared.lock() else { return };
                if let Some((since, input)) =
                    held.as_ref().filter(|(since, _)| since.elapsed() > 30 * TOO_LONG)
                {
                    let path = tests().join("corpus/slip-endless.txt");
                    let text = Sections::of("# a reading did not end\n", input).join();
                    let wrote = fs::write(&path, text);
                    eprintln!(
                        "a reading takes {:.0} s: {} ({wrote:?})",
                        since.elapsed().as_secs_f64(),
                        path.display()
                    );
                    std::process::exit(1);
                }
            }
        });
        Self { looking_at }
    }

    fn look_at(&self, input: &Sources) {
        if let Ok(mut held) = self.looking_at.lock() {
            *held = Some((Instant::now(), input.clone()));
        }
    }

    fn look_away(&self) {
        if let Ok(mut held) = self.looking_at.lock() {
            *held = None;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn options_are_read() {
        let read = read_options(&["--minutes", "0.5", "--seed", "7", "--keep"]).unwrap();
        assert_eq!((read.time, read.seed, read.keep), (Duration::from_secs(30), 7, true));
        for wrong in [&["--minutes"][..], &["--minutes", "-1"], &["--seed", "x"], &["--fast"]] {
            assert!(read_options(wrong).is_err(), "{wrong:?}");
        }
    }

    /// The same seed gives the same inputs, so that a finding can be made again.
    #[test]
    fn the_same_seed_gives_the_same_inputs() {
        let pool = seeds().unwrap();
        let inputs = |seed| {
            let mut random = Random::new(seed);
            (0..200).map(|_| mutate::mutate(&pool, &mut random)).collect::<Vec<_>>()
        };
        assert_eq!(inputs(3), inputs(3));
        assert_ne!(inputs(3), inputs(4));
    }

    /// A short run finds no slip and more sorts of faults than the seeds show.
    #[test]
    fn a_short_run_goes_beyond_its_seeds() {
        let pool = seeds().unwrap();
        let mut search = Search::new(&pool, 5);
        let known = search.seen.len();
        for _ in 0..2000 {
            let input = mutate::mutate(&pool, &mut search.random);
            let reading = examine(&input).unwrap();
            search.seen.extend(sorts_of(&reading));
        }
        assert!(search.seen.len() > known, "{known} sorts before, {} after", search.seen.len());
    }

    #[test]
    fn shrinking_leaves_what_matters() {
        let text = "format = 1\nunits = \"m\"\nname = \"x\"\nnorth = \"12 furlongs\"\nclient = \"y\"\n";
        let input = Sources { property: Some(text.to_owned()), ..Sources::default() };
        let small = shrink(input, |s| s.property.as_ref().is_some_and(|text| text.contains("furlongs")));
        assert_eq!(small.property.as_deref(), Some("north = \"12 furlongs\"\n"));
    }
}
