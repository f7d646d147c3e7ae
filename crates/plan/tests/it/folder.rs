//! A project folder on disk: what is absent, what cannot be read, what is left alone.

use std::fs;
use std::path::Path;

use groundwright_plan::{load_folder, read_sources};

use crate::whole;

fn folder_with(files: &[(&str, &[u8])]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }
    folder
}

fn first_fault(folder: &Path) -> String {
    load_folder(folder).unwrap_err()[0].to_string()
}

const PROPERTY: &[u8] = b"format = 1\nunits = \"m\"\nname = \"Corner lot\"\n";

#[test]
fn a_folder_reads_as_its_texts_do() {
    let sources = whole::sources();
    let mut files: Vec<(&str, &[u8])> = ["property.toml", "design.toml", "practice.toml"]
        .map(|name| (name, sources.text(name).unwrap().as_bytes()))
        .to_vec();
    files.extend(sources.stock.iter().map(|(name, text)| (name.as_str(), text.as_bytes())));
    files.push(("stock/label.pdf", b"\xff\xfe not a stock file"));
    files.push(("photos/before.jpg", b"\xff\xd8"));
    let folder = folder_with(&files);
    assert_eq!(read_sources(folder.path()).unwrap(), sources);
    assert_eq!(load_folder(folder.path()).unwrap(), whole::load(&sources));
}

#[test]
fn stock_files_come_in_the_order_of_their_names() {
    let folder = folder_with(&[
        ("property.toml", PROPERTY),
        ("stock/b.toml", b"format = 1\n"),
        ("stock/a.toml", b"format = 1\n"),
        ("stock/c.toml", b"format = 1\n"),
    ]);
    let sources = read_sources(folder.path()).unwrap();
    let names: Vec<&str> = sources.stock.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["stock/a.toml", "stock/b.toml", "stock/c.toml"]);
}

#[test]
fn an_empty_folder_says_how_to_begin() {
    let folder = folder_with(&[]);
    assert_eq!(
        first_fault(folder.path()),
        "property.toml:1:1: there is no property.toml; expected a project folder with property.toml in it; \
         begin one with `groundwright start FOLDER`"
    );
}

/// `ä` and `°` of an older encoding are single bytes that UTF-8 does not know.
#[test]
fn a_text_that_is_not_utf_8_is_named_with_its_file_and_place() {
    let folder = folder_with(&[
        ("property.toml", PROPERTY),
        ("design.toml", b"format = 1\n# ok\n[[note]]\nid = \"g\xe4te\"\n"),
        ("stock/own.toml", b"\xb0"),
    ]);
    let faults: Vec<String> =
        load_folder(folder.path()).unwrap_err().iter().map(ToString::to_string).collect();
    assert_eq!(
        faults,
        [
            "design.toml:4:8: this is not UTF-8 text; expected a text file in UTF-8; \
             save it as UTF-8; the byte here belongs to another encoding",
            "stock/own.toml:1:1: this is not UTF-8 text; expected a text file in UTF-8; \
             save it as UTF-8; the byte here belongs to another encoding",
        ]
    );
}

#[test]
fn a_folder_in_the_place_of_a_file_is_a_fault_and_not_an_absence() {
    let folder = folder_with(&[("property.toml", PROPERTY), ("design.toml/x", b"")]);
    let fault = first_fault(folder.path());
    assert!(fault.starts_with("design.toml:1:1: the file cannot be read: "), "{fault}");
}

#[test]
fn a_design_alone_is_not_a_project() {
    let folder = folder_with(&[("design.toml", b"format = 1\n")]);
    assert!(first_fault(folder.path()).contains("there is no property.toml"));
}
