//! Tags, placed behind the hand: a thread that finds their places while people go on working.
//!
//! - In: the marks of a drawing. Out: the tags as painted, told back to the desk.
//! - For each page only the newest drawing waits; a result that came too late is still used for the
//!   tags that did not change meanwhile.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use groundwright_drawing::{AverageWidths, Item, mark_key, paint};
use groundwright_handoff::{Mark, Shape};

use crate::background;
use crate::desk::{Event, PageId};
use crate::screen::Look;

/// A drawing whose tags want places.
#[derive(Debug)]
pub struct Wanted {
    /// For which page.
    pub page: PageId,
    /// What it looks at.
    pub look: Look,
    /// All marks.
    pub marks: Arc<Vec<Mark>>,
}

/// Tags with their places.
#[derive(Debug)]
pub struct Placed {
    /// For which page.
    pub page: PageId,
    /// What it looked at.
    pub look: Look,
    /// Tags and what to paint; nothing for a tag that found no place.
    pub tags: Vec<(Mark, Vec<Item>)>,
}

/// Starts the thread; it ends when the sender is dropped.
pub fn start(desk: Sender<Event>) -> Sender<Wanted> {
    let (sender, receiver) = channel();
    // Without the thread there are no tags, and nothing else is lost.
    background::run("tags", move || work(&receiver, &desk));
    sender
}

fn work(receiver: &Receiver<Wanted>, desk: &Sender<Event>) {
    let mut waiting: BTreeMap<PageId, Wanted> = BTreeMap::new();
    loop {
        if waiting.is_empty() {
            let Ok(wanted) = receiver.recv() else { return };
            waiting.insert(wanted.page, wanted);
        }
        for wanted in receiver.try_iter() {
            waiting.insert(wanted.page, wanted);
        }
        let Some((_, wanted)) = waiting.pop_first() else { continue };
        if desk.send(Event::Tags(place(wanted))).is_err() {
            return;
        }
    }
}

fn place(wanted: Wanted) -> Placed {
    let view = wanted.look.view();
    let painted = paint(&wanted.marks, &view, &AverageWidths);
    let mut items: BTreeMap<String, Vec<Item>> = BTreeMap::new();
    let tags: Vec<&Mark> = wanted
        .marks
        .iter()
        .filter(|mark| view.shows(mark) && matches!(mark.shape, Shape::Callout { .. }))
        .collect();
    let keys: Vec<String> = tags.iter().map(|mark| mark_key(mark)).collect();
    for item in painted.list.items {
        if keys.contains(&item.key) {
            items.entry(item.key.clone()).or_default().push(item);
        }
    }
    let tags = tags
        .into_iter()
        .zip(&keys)
        .map(|(mark, key)| (mark.clone(), items.remove(key).unwrap_or_default()))
        .collect();
    Placed { page: wanted.page, look: wanted.look, tags }
}
