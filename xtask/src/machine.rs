//! What the tests need of the machine beyond Rust, put in place.
//!
//! - A Python of our own in `target/venv` with the packages of `xtask/requirements.txt`: tests read
//!   documents and drawings back with other people's readers.
//! - Node, Chromium, and in `target/browser` the packages of `crates/web/tests/package.json`: tests open
//!   the page in a real browser and check its types.
//! - The components `rustfmt` and `clippy` of the toolchain.
//!
//! What is there already is used as it is, without the network.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::workspace::{cargo, root};

const REQUIREMENTS: &str = include_str!("../requirements.txt");

/// Installs `rustfmt` and `clippy` where the toolchain lacks them.
///
/// # Errors
/// Which component is missing and cannot be fetched.
pub fn components() -> Result<(), String> {
    for (subcommand, component) in [("fmt", "rustfmt"), ("clippy", "clippy")] {
        if quiet(cargo().args([subcommand, "--version"])) {
            continue;
        }
        println!("installing {component}");
        run(Command::new("rustup").args(["component", "add", component])).map_err(|why| {
            format!("{component} is missing; install it with `rustup component add {component}` ({why})")
        })?;
    }
    Ok(())
}

/// The Python for the tests; made and filled where it is missing or out of date.
///
/// # Errors
/// What is missing and how to install it.
pub fn python() -> Result<PathBuf, String> {
    let venv = root().join("target/venv");
    let python = venv.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let marker = venv.join("requirements.txt");
    if fs::read_to_string(&marker).is_ok_and(|filled| filled == REQUIREMENTS)
        && quiet(Command::new(&python).arg("--version"))
    {
        return Ok(python);
    }
    if !quiet(Command::new(&python).args(["-m", "pip", "--version"])) {
        make(&venv)?;
    }
    println!("filling target/venv");
    run(Command::new(&python)
        .args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"])
        .arg(root().join("xtask/requirements.txt")))
    .map_err(|why| format!("the packages of xtask/requirements.txt cannot be installed ({why})"))?;
    fs::write(&marker, REQUIREMENTS).map_err(|error| format!("{}: {error}", marker.display()))?;
    Ok(python)
}

/// Makes an empty environment, with the system's Python installed first where it lacks a part.
fn make(venv: &Path) -> Result<(), String> {
    println!("making target/venv");
    let attempt = || run(Command::new("python3").args(["-m", "venv", "--clear"]).arg(venv));
    if attempt().is_ok() {
        return Ok(());
    }
    println!("python3 cannot make one yet; installing it");
    let installed = run(Command::new("apt-get").args(["update", "--quiet"])).and_then(|()| {
        run(Command::new("apt-get")
            .args(["install", "--yes", "--quiet", "python3", "python3-venv"])
            .env("DEBIAN_FRONTEND", "noninteractive"))
    });
    installed.and_then(|()| attempt()).map_err(|why| {
        format!(
            "python3 with its module venv is missing ({why}); install it, for example as root with \
             `apt-get install python3 python3-venv`, and run this again"
        )
    })
}

/// Browser and packages for the tests of the page.
pub struct Browser {
    /// Folder with the packages.
    pub modules: PathBuf,
    /// The browser's program.
    pub chromium: PathBuf,
}

/// Programs of Chromium, as systems name them.
const CHROMIUM: [&str; 3] = ["chromium", "chromium-browser", "google-chrome"];

/// Browser and packages for the tests of the page, installed where they are missing.
///
/// # Errors
/// What is missing and how to install it.
pub fn browser() -> Result<Browser, String> {
    if !quiet(Command::new("node").arg("--version")) || !quiet(Command::new("npm").arg("--version")) {
        install(&["nodejs", "npm"])?;
    }
    let chromium = if let Some(program) = found(&CHROMIUM) {
        program
    } else {
        install(&["chromium"])?;
        found(&CHROMIUM).ok_or("chromium was installed and is not found on the PATH")?
    };
    let modules = root().join("target/browser");
    fs::create_dir_all(&modules).map_err(|error| format!("{}: {error}", modules.display()))?;
    let marker = modules.join("installed.json");
    let tests = root().join("crates/web/tests");
    let lock = fs::read_to_string(tests.join("package-lock.json")).map_err(|error| error.to_string())?;
    if fs::read_to_string(&marker).is_ok_and(|installed| installed == lock) {
        return Ok(Browser { modules, chromium });
    }
    for name in ["package.json", "package-lock.json"] {
        fs::copy(tests.join(name), modules.join(name)).map_err(|error| format!("{name}: {error}"))?;
    }
    println!("filling target/browser");
    run(Command::new("npm").args(["ci", "--no-audit", "--no-fund"]).current_dir(&modules))
        .map_err(|why| format!("the packages of crates/web/tests cannot be installed ({why})"))?;
    fs::write(&marker, lock).map_err(|error| format!("{}: {error}", marker.display()))?;
    Ok(Browser { modules, chromium })
}

/// The first of these programs that is on the path.
fn found(programs: &[&str]) -> Option<PathBuf> {
    let path = std::env::var_os("PATH")?;
    let folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    programs.iter().find_map(|program| folders.iter().map(|f| f.join(program)).find(|file| file.is_file()))
}

/// Installs packages of the system.
fn install(packages: &[&str]) -> Result<(), String> {
    println!("installing {}", packages.join(" "));
    run(Command::new("apt-get").args(["update", "--quiet"]))
        .and_then(|()| {
            run(Command::new("apt-get")
                .args(["install", "--yes", "--quiet", "--no-install-recommends"])
                .args(packages)
                .env("DEBIAN_FRONTEND", "noninteractive"))
        })
        .map_err(|why| format!("{} is missing ({why}); install it and run this again", packages.join(" or ")))
}

fn run(command: &mut Command) -> Result<(), String> {
    let name = command.get_program().to_string_lossy().into_owned();
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("{name}: {status}")),
        Err(error) => Err(format!("{name}: {error}")),
    }
}

fn quiet(command: &mut Command) -> bool {
    command.stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok_and(|status| status.success())
}
