//! The program is killed at any moment; what it acknowledged is there.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Duration;

use groundwright_plan::{read_project, read_sources};
use groundwright_store::{How, RevisionId, Store};

use crate::yard::{DESIGN, PROPERTY, now};

/// How often it is killed.
const TIMES: u64 = 100;

/// The example `edits`, which cargo builds beside the tests.
fn edits() -> PathBuf {
    let own = std::env::current_exe().unwrap();
    let folder = own.parent().unwrap().parent().unwrap().join("examples");
    folder.join(format!("edits{}", std::env::consts::EXE_SUFFIX))
}

#[test]
fn no_acknowledged_edit_is_lost_when_the_program_is_killed() {
    let place = tempfile::tempdir().unwrap();
    let (journal, folder) = (place.path().join("journal.sqlite"), place.path().join("yard"));
    fs::create_dir(&folder).unwrap();
    fs::write(folder.join("property.toml"), PROPERTY).unwrap();
    fs::write(folder.join("design.toml"), DESIGN).unwrap();
    let (mut acknowledged, mut cut_off) = (0, 0);
    for seed in 1..=TIMES {
        let mut child = Command::new(edits())
            .args([&journal, &folder])
            .arg(seed.to_string())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        // A few edits, then a moment more: fractions of the milliseconds that one edit takes.
        let mut last = None;
        for _ in 0..=seed % 4 {
            last = lines.next();
        }
        std::thread::sleep(Duration::from_micros(seed * 7919 % 9000));
        child.kill().unwrap();
        child.wait().unwrap();
        // What it managed to say before it died counts too.
        let last = lines.last().or(last).unwrap().unwrap();
        let (revision, value) = last.split_once(' ').unwrap();
        let revision = RevisionId(revision.parse().unwrap());
        acknowledged = revision.0;

        let store = Store::open(&journal).unwrap();
        let opened = store.open_folder(&folder, "ben", now()).unwrap();
        assert!(matches!(opened.how, How::Same | How::RolledForward), "{:?}", opened.how);
        cut_off += u32::from(opened.how == How::RolledForward);
        let head = store.head(opened.project).unwrap();
        assert!(head.revision >= revision, "{revision} was acknowledged, the head is {}", head.revision);
        let then = store.texts(opened.project, revision).unwrap();
        assert!(then.property.as_ref().unwrap().contains(&format!("\"Lot {value}\"")));
        assert!(then.design.as_ref().unwrap().contains(&format!("label = \"{value}\"")));
        assert_eq!(read_sources(&folder).unwrap(), head.sources);
        assert!(read_project(head.sources).is_ok());
        assert_eq!(store.revisions(opened.project).unwrap().len(), usize::try_from(head.revision.0).unwrap());
        drop(store);
        let state: String = rusqlite::Connection::open(&journal)
            .unwrap()
            .pragma_query_value(None, "integrity_check", |row| row.get(0))
            .unwrap();
        assert_eq!(state, "ok");
    }
    assert!(acknowledged > 100, "{acknowledged}");
    assert!(cut_off > 10, "the folder was behind only {cut_off} times: the moments are not varied enough");
}
