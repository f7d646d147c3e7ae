//! `groundwright open`: the app, in the browser of this machine.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use groundwright_web::{Options, serve};

/// Open a project in the browser: plan, checks, estimate.
///
/// Listens on this machine only, prints the address, and runs until it is stopped with Ctrl-C.
#[derive(clap::Args)]
#[command(
    verbatim_doc_comment,
    after_help = "Examples:\n  groundwright open demo/corner-lot\n  \
                  groundwright open my-yard --port 8080 --no-browser"
)]
pub(crate) struct Arguments {
    /// Folder of the project: the one with property.toml.
    #[arg(default_value = ".")]
    folder: PathBuf,
    /// Port to listen on; 0 lets the system choose one.
    #[arg(long, default_value = "0", value_name = "N")]
    port: u16,
    /// Print the address and open no browser.
    #[arg(long)]
    no_browser: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments) -> Result<u8, String> {
    let folder = &arguments.folder;
    if !folder.join("property.toml").is_file() {
        return Err(format!(
            "{} holds no property.toml; name the project's folder, or begin one with `groundwright start`",
            folder.display()
        ));
    }
    let author = ["USER", "USERNAME"].iter().find_map(|name| std::env::var(name).ok());
    let author = author.unwrap_or_else(|| "somebody".to_owned());
    let options = Options { folder: folder.clone(), port: arguments.port, author };
    let ready = |address: &str| {
        println!("{} is open at {address} (stop with Ctrl-C)", name(folder));
        if !arguments.no_browser && !browse(address) {
            println!("no browser could be started; open the address yourself");
        }
    };
    serve(&options, ready).map_err(|error| error.to_string())?;
    Ok(0)
}

fn name(folder: &Path) -> String {
    let full = folder.canonicalize().unwrap_or_else(|_| folder.to_owned());
    full.file_name().map_or_else(|| "the project".to_owned(), |name| name.to_string_lossy().into_owned())
}

/// Asks the system to show the address in its browser.
fn browse(address: &str) -> bool {
    let (program, arguments): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(target_os = "windows") {
        ("cmd", &["/C", "start", ""])
    } else {
        ("xdg-open", &[])
    };
    let quiet = Stdio::null;
    let mut command = Command::new(program);
    command.args(arguments).arg(address).stdin(quiet()).stdout(quiet()).stderr(quiet());
    command.spawn().is_ok()
}
