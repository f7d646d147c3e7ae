//! The workspace as cargo sees it: its folder, its packages, who needs whom, under which licence.
//!
//! - In: `cargo metadata`. Out: plain data, in the order of names.

use std::path::PathBuf;
use std::process::Command;

use serde_json::Value;

/// One package of the workspace or one that it builds upon.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Package {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Its licence as an SPDX expression, if it states one.
    pub licence: Option<String>,
    /// Names of the packages it needs, for running, building or testing.
    pub needs: Vec<String>,
    /// Whether it is part of this workspace.
    pub ours: bool,
}

/// The folder that holds the workspace.
pub fn root() -> PathBuf {
    let here = std::env::var_os("CARGO_MANIFEST_DIR").map_or_else(|| PathBuf::from("./xtask"), PathBuf::from);
    here.parent().map_or_else(|| PathBuf::from("."), PathBuf::from)
}

/// The cargo that runs this command, so that all stages use one toolchain.
pub fn cargo() -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root());
    command
}

/// The packages of the workspace alone.
///
/// # Errors
/// What cargo says.
pub fn members() -> Result<Vec<Package>, String> {
    metadata(&["--no-deps"])
}

/// The packages of the workspace and everything they build upon.
///
/// # Errors
/// What cargo says.
pub fn all_packages() -> Result<Vec<Package>, String> {
    metadata(&[])
}

fn metadata(options: &[&str]) -> Result<Vec<Package>, String> {
    let output = cargo()
        .args(["metadata", "--format-version", "1"])
        .args(options)
        .output()
        .map_err(|error| format!("cargo metadata does not start: {error}"))?;
    if !output.status.success() {
        return Err(format!("cargo metadata: {}", String::from_utf8_lossy(&output.stderr)));
    }
    let value: Value =
        serde_json::from_slice(&output.stdout).map_err(|error| format!("cargo metadata: {error}"))?;
    Ok(packages(&value))
}

fn packages(metadata: &Value) -> Vec<Package> {
    let members: Vec<&str> = list(metadata, "workspace_members").filter_map(Value::as_str).collect();
    let mut packages: Vec<Package> = list(metadata, "packages")
        .map(|package| Package {
            name: text(package, "name").unwrap_or_default(),
            version: text(package, "version").unwrap_or_default(),
            licence: text(package, "license"),
            needs: list(package, "dependencies").filter_map(|needed| text(needed, "name")).collect(),
            ours: package["id"].as_str().is_some_and(|id| members.contains(&id)),
        })
        .collect();
    packages.sort();
    packages
}

fn list<'v>(value: &'v Value, key: &str) -> impl Iterator<Item = &'v Value> {
    value[key].as_array().into_iter().flatten()
}

fn text(value: &Value, key: &str) -> Option<String> {
    value[key].as_str().map(str::to_owned)
}
