//! Messages that no page would send: nothing that comes may end the desk, or leave files that do not
//! read.
//!
//! Asks are put together at random from all edits there are, with names, numbers and texts that mean
//! something, nothing, or harm. How many is said by `GROUNDWRIGHT_FUZZ` in the environment.

use std::path::Path;
use std::sync::mpsc::Sender;
use std::time::{Duration, Instant};

use groundwright_plan::load_folder;
use serde_json::{Value, json};
use tokio::sync::mpsc::{Receiver, channel};

use crate::desk::{self, Event};
use crate::messages::Ask;
use crate::pictures;

/// Asks in an ordinary test run.
const USUAL: usize = 300;
/// After so long a silence the desk is taken to have ended.
const PATIENCE: Duration = Duration::from_mins(1);

/// Numbers by a fixed rule: Knuth's linear congruence (MMIX).
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end.max(1)
    }

    fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }

    fn element(&mut self) -> Value {
        let names = [
            "bed walk-west",
            "bed wet-foot",
            "planting sidewalk-hem",
            "building house",
            "tree oak",
            "lawn front",
            "bed nobody",
            "bed",
            "",
            "thing x",
            "planting ../../x",
            "bed \u{0}",
            "level l1",
            "photo photo",
            "bed bed",
        ];
        json!(self.of(&names))
    }

    fn elements(&mut self) -> Value {
        (0..self.below(4)).map(|_| self.element()).collect()
    }

    fn number(&mut self) -> Value {
        let numbers = [0.0, 1.0, -1.0, 0.3, 12.5, 1e-12, 1e9, -1e300, 1e300, 40.0];
        json!(self.of(&numbers))
    }

    fn spot(&mut self) -> Value {
        json!([self.number(), self.number()])
    }

    fn spots(&mut self) -> Value {
        (0..self.below(6)).map(|_| self.spot()).collect()
    }

    fn text(&mut self) -> Value {
        let texts = [
            "",
            "12' 6\"",
            "3.8 m",
            "true",
            "-1e400",
            "12 parsecs",
            "a\"]\n[[bed]]\nid = \"x\"",
            "\u{202e}\u{0}",
            "fine-bark",
            "acer-rubrum",
            "2",
            "[1, 2]",
            "photos/../../x.png",
            "photos/a.jpg",
            "keep",
        ];
        if self.below(40) == 0 { json!("x".repeat(20_000)) } else { json!(self.of(&texts)) }
    }

    fn path(&mut self) -> Value {
        let paths = [
            "outline/0/smooth/1",
            "outline/0",
            "outline",
            "at",
            "label",
            "id",
            "mulch.depth",
            "plant",
            "spacing",
            "",
            "a.b.c.d",
            "outline/99/smooth/99",
            "eave",
            "place.latitude",
            "name",
            "format",
            "action",
            "at/0",
        ];
        json!(self.of(&paths))
    }

    /// An edit that a person might well make.
    fn plain_edit(&mut self) -> Value {
        let far = self.below(20) as f64 * 0.05;
        match self.below(5) {
            0 => json!({ "edit": "move", "elements": ["bed walk-west"], "east": far, "north": -far }),
            1 => {
                json!({ "edit": "write", "element": "bed walk-west", "field": "label", "text": format!("bed {far}") })
            }
            2 => {
                json!({ "edit": "found", "what": "tree", "points": [[far, 2.0]], "fields": { "girth": "1.9 m" }, "setsScale": false })
            }
            3 => json!({ "edit": "declare", "field": "wishes.budget", "text": format!("about {far}") }),
            _ => {
                let round: Vec<[f64; 2]> = (0..12)
                    .map(|i| f64::from(i) * 0.52)
                    .map(|t| [3.0 + far + t.cos(), 4.0 + t.sin()])
                    .collect();
                json!({ "edit": "stroke", "purpose": "bed", "points": round, "plant": null, "bed": null })
            }
        }
    }

    fn edit(&mut self) -> Value {
        match self.below(18) {
            0 => {
                json!({ "edit": "write", "element": self.element(), "field": self.path(), "text": self.text() })
            }
            1 => {
                json!({ "edit": "move", "elements": self.elements(), "east": self.number(), "north": self.number() })
            }
            2 => {
                json!({ "edit": "move-text", "elements": self.elements(), "east": self.text(), "north": self.text() })
            }
            3 => {
                json!({ "edit": "point", "element": self.element(), "path": self.path(), "to": self.spot(), "reach": self.number() })
            }
            4 => {
                json!({ "edit": "point-text", "element": self.element(), "path": self.path(), "east": self.text(), "north": self.text() })
            }
            5 => {
                json!({ "edit": "add-point", "element": self.element(), "path": self.path(), "at": self.spot() })
            }
            6 => json!({ "edit": "remove-point", "element": self.element(), "path": self.path() }),
            7 => {
                let purpose = *self.of(&["bed", "row", "mass", "pond"]);
                json!({ "edit": "stroke", "purpose": purpose, "points": self.spots(), "plant": self.text(), "bed": self.element() })
            }
            8 => json!({ "edit": "plant", "bed": self.element(), "plant": self.text(), "at": self.spots() }),
            9 => {
                json!({ "edit": "copy", "elements": self.elements(), "east": self.number(), "north": self.number() })
            }
            10 => json!({ "edit": "remove", "elements": self.elements() }),
            11 => json!({ "edit": "rename", "element": self.element(), "to": self.text() }),
            12 => json!({ "edit": "remedy", "finding": self.text(), "remedy": self.below(3) }),
            13 => json!({ "edit": "accept", "finding": self.text(), "reason": self.text() }),
            14 => {
                let what = *self.of(&[
                    "house", "boundary", "street", "paving", "tree", "shrub", "taped", "level", "photo",
                    "picture",
                ]);
                let key =
                    *self.of(&["length", "file", "plant", "storeys", "sill", "reading", "note", "girth"]);
                json!({ "edit": "found", "what": what, "points": self.spots(), "fields": { key: self.text() }, "setsScale": self.below(2) == 0 })
            }
            15 => json!({ "edit": "declare", "field": self.path(), "text": self.text() }),
            16 => json!({ "edit": "fit" }),
            _ => json!({ "edit": "withdraw", "acceptance": self.text() }),
        }
    }

    /// Mostly the first revision, which there always is; else one that may be or not.
    fn base(&mut self) -> usize {
        if self.below(5) == 0 { self.below(60) } else { 1 }
    }

    fn ask(&mut self, n: usize) -> Value {
        let edits: Value = if self.below(3) == 0 {
            json!([self.plain_edit()])
        } else {
            (0..=self.below(2)).map(|_| self.edit()).collect()
        };
        let mut ask = match self.below(12) {
            0 => {
                json!({ "ask": "look", "drawing": self.of(&["planting", "sun", "levels", "nothing"]), "scale": self.number() })
            }
            1 => json!({ "ask": "units", "system": self.text() }),
            2..=4 => json!({ "ask": "trial", "seq": n, "edits": edits }),
            5 => json!({ "ask": "drop" }),
            6..=8 => {
                json!({ "ask": "commit", "id": format!("c{}", self.below(200)), "base": self.base(), "edits": edits })
            }
            9 => json!({ "ask": *self.of(&["undo", "redo"]), "id": format!("u{n}") }),
            10 => json!({ "ask": "select", "elements": self.elements() }),
            _ => json!({ "ask": "plants", "seq": n, "bed": self.element(), "words": self.text() }),
        };
        if self.below(15) == 0
            && let Some(fields) = ask.as_object_mut()
        {
            let keys: Vec<String> = fields.keys().cloned().collect();
            let key = self.of(&keys).clone();
            fields.insert(key, json!(null));
        }
        ask
    }
}

fn yard() -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo/corner-lot");
    copy(&demo, place.path());
    place
}

fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap().map(Result::unwrap) {
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &to);
        } else {
            std::fs::copy(entry.path(), to).unwrap();
        }
    }
}

/// Asks for something that is always answered, and waits for it.
fn answers(desk: &Sender<Event>, heard: &mut Receiver<String>, seq: u32) {
    let points = vec![[0.0, 0.0], [3.0, 4.0]];
    desk.send(Event::Ask { page: 1, ask: Ask::Measure { seq, points, reach: None } }).unwrap();
    let begin = Instant::now();
    while begin.elapsed() < PATIENCE {
        match heard.try_recv() {
            Ok(text) => {
                let told: Value = serde_json::from_str(&text).unwrap();
                if told["tell"] == "measured" && told["seq"] == seq {
                    return;
                }
            }
            Err(_) => std::thread::sleep(Duration::from_millis(2)),
        }
    }
    panic!("the desk does not answer");
}

#[test]
fn nothing_that_a_page_says_ends_the_desk_or_harms_the_files() {
    let count = std::env::var("GROUNDWRIGHT_FUZZ").ok().and_then(|n| n.parse().ok()).unwrap_or(USUAL);
    let place = yard();
    let read = |name: &str| std::fs::read_to_string(place.path().join(name)).unwrap();
    let begun = ["property.toml", "design.toml"].map(read);
    let desk = desk::start(place.path().to_owned(), "anna".to_owned()).unwrap();
    let (out, mut heard) = channel(100_000);
    desk.send(Event::Open { page: 1, out }).unwrap();
    let mut dice = Dice(7);
    let mut understood = 0;
    for n in 0..count {
        // As over the wire: a message that does not read is refused before the desk.
        if let Ok(ask) = serde_json::from_str::<Ask>(&dice.ask(n).to_string()) {
            understood += 1;
            desk.send(Event::Ask { page: 1, ask }).unwrap();
        }
        if n % 50 == 49 {
            answers(&desk, &mut heard, n as u32);
            assert!(load_folder(place.path()).is_ok(), "the files read after {n} asks");
        }
    }
    answers(&desk, &mut heard, u32::MAX);
    assert!(understood > count / 2, "{understood} of {count}");
    // All of it can be taken back.
    assert_ne!(["property.toml", "design.toml"].map(read), begun, "something was kept");
    for n in 0..count {
        desk.send(Event::Ask { page: 1, ask: Ask::Undo { id: format!("back{n}") } }).unwrap();
    }
    answers(&desk, &mut heard, 0);
    assert_eq!(["property.toml", "design.toml"].map(read), begun);
}

#[test]
fn no_bytes_make_a_picture_of_what_is_none() {
    let mut dice = Dice(3);
    let beginnings: [&[u8]; 5] = [
        b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x02\0\0\0\x03",
        b"\xff\xd8\xff\xe0\0\x10JFIF\0\xff\xc0\0\x11\x08\0\x03\0\x02",
        b"RIFF\x20\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0\x01\0\0\x02\0\0",
        b"RIFF\x20\0\0\0WEBPVP8L\x0a\0\0\0\x2f\x01\x80\0\0",
        b"",
    ];
    for _ in 0..20_000 {
        let mut bytes = dice.of(&beginnings).to_vec();
        for _ in 0..dice.below(4) {
            if !bytes.is_empty() {
                let at = dice.below(bytes.len());
                bytes[at] = dice.below(256) as u8;
            }
        }
        bytes.truncate(dice.below(bytes.len() + 1));
        bytes.extend((0..dice.below(40)).map(|_| dice.below(256) as u8));
        if let Ok((media_type, ending)) = pictures::kind(&bytes) {
            let begins = |beginning: &[u8]| bytes.starts_with(beginning);
            match (media_type, ending) {
                ("image/png", "png") => assert!(begins(b"\x89PNG")),
                ("image/jpeg", "jpg") => assert!(begins(b"\xff\xd8")),
                ("image/webp", "webp") => assert!(begins(b"RIFF")),
                other => panic!("{other:?}"),
            }
        }
    }
}
