//! What is worth measuring, weighed behind the hand: a thread that tries every doubt of a project.
//!
//! - In: a project with its revision. Out: the doubts by what they would change, told to the desk.
//! - Only the newest project counts: a weighing is given up when a newer one waits.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};

use groundwright_handoff::When;
use groundwright_job::{Worth, worth_measuring};
use groundwright_plan::Loaded;

use crate::background;
use crate::desk::Event;

/// A project to be weighed.
#[derive(Debug)]
pub struct ToWeigh {
    /// Its revision.
    pub revision: u64,
    /// The project.
    pub loaded: Arc<Loaded>,
}

/// A project that was weighed.
#[derive(Debug, Clone)]
pub struct Weighed {
    /// Its revision.
    pub revision: u64,
    /// What is worth measuring, the most first.
    pub worth: Arc<Vec<Worth>>,
}

/// Starts the thread; it ends when the sender is dropped.
pub fn start(desk: Sender<Event>) -> Sender<ToWeigh> {
    let (sender, receiver) = channel();
    // Without the thread the list stays empty, and nothing else is lost.
    background::run("weighing", move || work(&receiver, &desk));
    sender
}

fn work(receiver: &Receiver<ToWeigh>, desk: &Sender<Event>) {
    let mut next = receiver.recv().ok();
    while let Some(one) = next.take() {
        let mut gone = false;
        let worth = worth_measuring(&one.loaded, When::years(0.0), &mut || match receiver.try_recv() {
            Ok(newer) => {
                next = Some(newer);
                false
            }
            Err(TryRecvError::Empty) => true,
            Err(TryRecvError::Disconnected) => {
                gone = true;
                false
            }
        });
        if gone {
            return;
        }
        if next.is_none() {
            let weighed = Weighed { revision: one.revision, worth: Arc::new(worth) };
            if desk.send(Event::Weighed(weighed)).is_err() {
                return;
            }
            next = receiver.recv().ok();
        }
    }
}
