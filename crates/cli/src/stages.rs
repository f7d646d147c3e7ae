//! Progress on long work, and a time for each stage.

use std::time::{Duration, Instant};

use groundwright_job::Progress;
use indicatif::ProgressBar;

/// Shows the stage that runs on a terminal, and keeps the times.
pub(crate) struct Stages {
    bar: ProgressBar,
    last: Instant,
    /// Stages in order with their times.
    pub(crate) times: Vec<(&'static str, Duration)>,
}

impl Stages {
    /// Begins the clock. Nothing is drawn where standard error is no terminal.
    pub(crate) fn new() -> Self {
        let bar = ProgressBar::new_spinner();
        bar.enable_steady_tick(Duration::from_millis(120));
        Self { bar, last: Instant::now(), times: Vec::new() }
    }

    /// Ends the show.
    pub(crate) fn finish(&self) {
        self.bar.finish_and_clear();
    }

    /// Prints the times to standard error.
    pub(crate) fn print(&self) {
        let total: Duration = self.times.iter().map(|(_, time)| *time).sum();
        for (stage, time) in self.times.iter().chain([&("total", total)]) {
            eprintln!("{stage:<12} {:>9.2} ms", time.as_secs_f64() * 1000.0);
        }
    }
}

impl Progress for Stages {
    fn done(&mut self, stage: &'static str) {
        let now = Instant::now();
        self.times.push((stage, now - self.last));
        self.last = now;
        self.bar.set_message(format!("{stage} done"));
    }
}
