//! Edits a project without end and says what is on disk: `edits JOURNAL FOLDER SEED`.
//!
//! - Out: a line `REVISION VALUE` after each acknowledged edit, where VALUE is what the oak's east
//!   coordinate is now.
//! - For the test that kills it at any moment.

use std::error::Error;
use std::io::Write;
use std::path::Path;

use groundwright_plan::{Command, Kind, ProjectFile};
use groundwright_store::Store;
use jiff::Timestamp;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, journal, folder, seed] = arguments.as_slice() else {
        return Err("usage: edits JOURNAL FOLDER SEED".into());
    };
    let mut seed: u64 = seed.parse()?;
    let store = Store::open(Path::new(journal))?;
    let project = store.open_folder(Path::new(folder), "anna", Timestamp::UNIX_EPOCH)?.project;
    let mut out = std::io::stdout().lock();
    for value in 1_u64.. {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let base = store.head(project)?.revision;
        let east = value % 29;
        let commands = [
            Command::set(Kind::Tree, &"oak".into(), "at", &format!("[{east}, {}]", value % 27)),
            Command::set(Kind::Bed, &"front".into(), "label", &format!("\"{value}\"")),
            Command::Declare {
                file: ProjectFile::Property,
                field: "name".to_owned(),
                value: format!("\"Lot {value}\""),
            },
        ];
        let now = Timestamp::from_second(i64::try_from(value)?)?;
        let revision = store.commit(project, base, &commands, None, "anna", now)?.revision;
        writeln!(out, "{} {value}", revision.0)?;
        out.flush()?;
        match seed >> 61 {
            0 => {
                store.undo(project, None, "anna", now)?;
                let revision = store.redo(project, None, "anna", now)?.revision;
                writeln!(out, "{} {value}", revision.0)?;
                out.flush()?;
            }
            1..5 => {
                store.sync(project, "anna", now)?;
            }
            _ => {}
        }
    }
    Ok(())
}
