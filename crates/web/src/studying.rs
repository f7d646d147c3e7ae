//! Levels, water and sun, studied behind the hand: a thread of its own for what takes longer than
//! anybody waits.
//!
//! - In: a project and the units of whoever looks at it. Out: what was studied,
//!   told to the desk.
//! - Only the newest project counts: a study is given up between its stages when a newer one waits.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use groundwright_handoff::When;
use groundwright_job::{Behind, Job, Progress};
use groundwright_plan::Loaded;
use groundwright_units::System;

use crate::background;
use crate::desk::Event;

/// A project to be studied.
#[derive(Debug)]
pub struct ToStudy {
    /// The project.
    pub loaded: Arc<Loaded>,
    /// Units in which words on drawings are written.
    pub systems: Vec<System>,
}

/// What was studied.
#[derive(Debug)]
pub struct Studied {
    /// In which units.
    pub system: System,
    /// What came of it.
    pub behind: Behind,
}

/// Starts the thread; it ends when the sender is dropped.
pub fn start(desk: Sender<Event>) -> Sender<ToStudy> {
    let (sender, receiver) = channel();
    // Without the thread nothing is studied behind, which the page says, and nothing else is lost.
    background::run("studying", move || work(&receiver, &desk));
    sender
}

/// Looks between stages whether a newer project waits.
struct Newer<'r> {
    receiver: &'r Receiver<ToStudy>,
    next: Option<ToStudy>,
}

impl Progress for Newer<'_> {
    fn done(&mut self, _stage: &'static str) {}

    fn go_on(&mut self) -> bool {
        self.next = self.receiver.try_iter().last().or(self.next.take());
        self.next.is_none()
    }
}

fn work(receiver: &Receiver<ToStudy>, desk: &Sender<Event>) {
    let mut job = Job::with_sun();
    let mut newer = Newer { receiver, next: None };
    loop {
        let one = match newer.next.take() {
            Some(one) => one,
            None => match receiver.recv() {
                Ok(one) => one,
                Err(_) => return,
            },
        };
        for system in &one.systems {
            let mut project = one.loaded.project.clone();
            project.property.system = *system;
            let Some(behind) = job.study_behind(&project, When::years(0.0), &mut newer) else { break };
            let studied = Studied { system: *system, behind };
            if desk.send(Event::Studied(Box::new(studied))).is_err() {
                return;
            }
        }
    }
}
