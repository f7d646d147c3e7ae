//! `cargo xtask bench-store`: a journal that grows.
//!
//! - In: the corner lot and one tree that is moved a thousand times. Out: what an acknowledged edit
//!   costs on this disk (each is forced to it), what opening costs before and after, and the size.

use std::fmt::Write as _;
use std::path::Path;
use std::time::{Duration, Instant};

use groundwright_plan::{Command, ElementRef, Kind, Place, Tree, load_folder};
use groundwright_store::Store;
use jiff::Timestamp;

use crate::{page, workspace};

/// Edits that are kept.
const EDITS: u32 = 1000;

/// Runs the benchmark.
pub fn run() -> Result<(), String> {
    let place = tempfile::tempdir().map_err(|e| e.to_string())?;
    let folder = place.path().join("yard");
    copy(&workspace::root().join("demo/corner-lot"), &folder)?;
    let journal = place.path().join("journal.sqlite");
    let now = "2026-03-14T09:00:00Z".parse::<Timestamp>().map_err(|e| e.to_string())?;
    let told = |error: groundwright_store::StoreError| error.to_string();

    let begin = Instant::now();
    let store = Store::open(&journal).map_err(told)?;
    let opened = store.open_folder(&folder, "bench", now).map_err(told)?;
    let first = begin.elapsed();

    let loaded = load_folder(&folder).map_err(|faults| faults[0].to_string())?;
    let has_own_place = |tree: &&Tree| matches!(tree.at, Place::At(_));
    let tree = loaded.project.property.trees.iter().find(has_own_place);
    let tree = tree.ok_or("the demo has no tree with a place of its own")?;
    let element = ElementRef::new(Kind::Tree, &tree.id);
    let mut base = opened.revision;
    let mut times: Vec<Duration> = Vec::new();
    for i in 0..EDITS {
        // To and fro, and never back to the same place: every edit leaves a text of its own.
        let way = if i % 2 == 0 { 0.25 + 1e-4 * f64::from(i % 100 + 1) } else { -0.25 };
        let edit = Command::Move { element: element.clone(), east: way, north: 0.0 };
        let begin = Instant::now();
        let kept = store.commit(opened.project, base, &[edit], None, "bench", now);
        base = kept.map_err(|e| e.to_string())?.revision;
        times.push(begin.elapsed());
    }
    let begin = Instant::now();
    store.undo(opened.project, None, "bench", now).map_err(|e| e.to_string())?;
    let undone = begin.elapsed();
    store.sync(opened.project, "bench", now).map_err(told)?;
    drop(store);

    let begin = Instant::now();
    let store = Store::open(&journal).map_err(told)?;
    store.open_folder(&folder, "bench", now).map_err(told)?;
    let again = begin.elapsed();
    let size = std::fs::metadata(&journal).map_err(|e| e.to_string())?.len();

    let half = times.len() / 2;
    let (early, late) = (middle(&times[..half]), middle(&times[half..]));
    times.sort();
    let ms = |time: Duration| time.as_secs_f64() * 1000.0;
    let mut table = String::from("| what | value |\n| --- | ---: |\n");
    let mut row = |what: &str, value: String| {
        let _ = writeln!(table, "| {what} | {value} |");
    };
    row("open a folder for the first time, ms", format!("{:.1}", ms(first)));
    row("keep an edit, median of the first 500, ms", format!("{:.1}", ms(early)));
    row("keep an edit, median of the next 500, ms", format!("{:.1}", ms(late)));
    row("keep an edit, 99th of a hundred, ms", format!("{:.1}", ms(times[times.len() * 99 / 100])));
    row("take the last edit back, ms", format!("{:.1}", ms(undone)));
    row("open again with 1,001 revisions, ms", format!("{:.1}", ms(again)));
    row("the journal, MB", format!("{:.1}", size as f64 / 1e6));
    println!("{table}");
    page::write("bench-store", &table)
}

fn middle(times: &[Duration]) -> Duration {
    let mut times = times.to_vec();
    times.sort();
    times[times.len() / 2]
}

fn copy(from: &Path, to: &Path) -> Result<(), String> {
    std::fs::create_dir_all(to).map_err(|e| e.to_string())?;
    for entry in std::fs::read_dir(from).map_err(|e| e.to_string())? {
        let entry = entry.map_err(|e| e.to_string())?;
        let (from, to) = (entry.path(), to.join(entry.file_name()));
        if from.is_dir() {
            copy(&from, &to)?;
        } else {
            std::fs::copy(&from, &to).map_err(|e| e.to_string())?;
        }
    }
    Ok(())
}
