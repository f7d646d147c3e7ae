//! The page: its types, and its work in a real browser against the real binary.
//!
//! `cargo xtask test` installs what is needed (Node, Chromium, packages) and names it in
//! `GROUNDWRIGHT_BROWSER` and `GROUNDWRIGHT_CHROMIUM`; without them `target/browser` is looked at.

use std::path::PathBuf;
use std::process::Command;

use crate::support::workspace;

fn modules() -> PathBuf {
    let modules = std::env::var_os("GROUNDWRIGHT_BROWSER")
        .map_or_else(|| workspace().join("target/browser"), PathBuf::from);
    assert!(
        modules.join("node_modules").is_dir(),
        "{} holds no packages: run `cargo xtask test` once, which fills it",
        modules.display()
    );
    modules
}

fn passes(command: &mut Command) {
    let output = command.output().expect("node starts");
    let text = String::from_utf8_lossy(&output.stdout) + String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{text}");
}

/// The page's modules keep to their JSDoc types and to the messages generated from Rust.
#[test]
fn the_page_has_no_type_errors() {
    let compiler = modules().join("node_modules/typescript/bin/tsc");
    passes(
        Command::new("node").arg(compiler).arg("-p").arg(workspace().join("crates/web/tests/tsconfig.json")),
    );
}

#[test]
fn the_page_works_in_a_browser() {
    passes(
        Command::new("node")
            .args(["--test", "--test-reporter=spec"])
            .args(
                ["app", "board", "site"]
                    .map(|name| workspace().join(format!("crates/web/tests/browser/{name}.test.mjs"))),
            )
            .env("GROUNDWRIGHT_BROWSER", modules())
            .env("GROUNDWRIGHT_BINARY", env!("CARGO_BIN_EXE_groundwright")),
    );
}
