//! Runs the scripts that read documents back.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// The interpreter with the readers: `GROUNDWRIGHT_PYTHON`, or the one that `cargo xtask test`
/// sets up under the target folder of the workspace.
fn interpreter() -> PathBuf {
    let python = std::env::var_os("GROUNDWRIGHT_PYTHON").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/venv/bin/python"),
        PathBuf::from,
    );
    assert!(
        python.exists(),
        "no Python with the document readers at {}: run `cargo xtask test`, which sets it up, or \
         point GROUNDWRIGHT_PYTHON to one with pypdfium2, openpyxl and numpy",
        python.display()
    );
    python
}

/// What a script writes. `arguments` follow the name of the file.
fn run(script: &str, file: &Path, arguments: &[String]) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(script);
    let output = Command::new(interpreter()).arg(&path).arg(file).args(arguments).output().unwrap();
    assert!(output.status.success(), "{script}: {}", String::from_utf8_lossy(&output.stderr));
    output.stdout
}

/// Writes the bytes into a temporary file and hands it to a script; what the script says.
pub fn read_back(script: &str, name: &str, bytes: &[u8], arguments: &[String]) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(name);
    std::fs::write(&file, bytes).unwrap();
    serde_json::from_slice(&run(script, &file, arguments)).unwrap()
}

/// Writes the file and its pages as pictures into the folder that `GROUNDWRIGHT_LOOK` names, if it
/// names one, for a person to look at.
pub fn show(name: &str, bytes: &[u8]) {
    if let Some(folder) = std::env::var_os("GROUNDWRIGHT_LOOK") {
        let folder = PathBuf::from(folder);
        std::fs::create_dir_all(&folder).unwrap();
        let file = folder.join(name);
        std::fs::write(&file, bytes).unwrap();
        run("render_pdf.py", &file, &[folder.display().to_string(), "130".to_owned()]);
    }
}
