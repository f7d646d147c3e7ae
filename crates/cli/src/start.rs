//! `groundwright start`: a new project folder with commented files.

use std::fs;
use std::path::PathBuf;

use clap::ValueEnum;
use groundwright_plan::{Practice, Word};
use groundwright_units::System;

/// Units of a new project.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Units {
    /// Feet and inches; bare numbers are decimal feet.
    Us,
    /// Metres.
    Metric,
}

impl Units {
    fn system(self) -> System {
        match self {
            Self::Us => System::Us,
            Self::Metric => System::Metric,
        }
    }
}

/// Begin a new project folder with commented files to fill in.
///
/// Writes property.toml, design.toml and practice.toml that read without fault and hold one house,
/// one bed and one planting to change. Files that exist are never touched.
#[derive(clap::Args)]
#[command(
    verbatim_doc_comment,
    after_help = "Example:\n  groundwright start my-yard --units us --name \"Birch Street 12\"\n  groundwright check my-yard"
)]
pub(crate) struct Arguments {
    /// Folder to make.
    folder: PathBuf,
    /// Units of the project.
    #[arg(long, value_enum, default_value = "us")]
    units: Units,
    /// Name of the job.
    #[arg(long, default_value = "New job")]
    name: String,
}

const PROPERTY: &str = include_str!("start/property.toml");
const DESIGN: &str = include_str!("start/design.toml");

/// Runs the command.
pub(crate) fn run(arguments: &Arguments) -> Result<u8, String> {
    let files = [
        ("property.toml", fill(PROPERTY, arguments)),
        ("design.toml", fill(DESIGN, arguments)),
        ("practice.toml", practice(arguments.units.system())),
    ];
    if let Some((name, _)) = files.iter().find(|(name, _)| arguments.folder.join(name).exists()) {
        return Err(format!(
            "{} exists already and is left as it is; choose another folder",
            arguments.folder.join(name).display()
        ));
    }
    fs::create_dir_all(&arguments.folder).map_err(|e| format!("{}: {e}", arguments.folder.display()))?;
    for (name, text) in files {
        let path = arguments.folder.join(name);
        fs::write(&path, text).map_err(|e| format!("{}: {e}", path.display()))?;
        say!("{}", path.display());
    }
    say!("Fill them in, then: groundwright check {}", arguments.folder.display());
    Ok(0)
}

/// Puts name and units into a template. Templates are in feet; metres are a round third of them.
fn fill(template: &str, arguments: &Arguments) -> String {
    let plain: String = arguments.name.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let name = plain.replace('\\', "\\\\").replace('"', "\\\"");
    let text = match arguments.units {
        Units::Us => template.replace("{units}", "decimal ft"),
        Units::Metric => metric(&template.replace("{units}", "m")),
    };
    text.replace("{name}", &name)
}

/// Numbers of a template divided by three: 60 ft become 20 m, near enough to begin with.
fn metric(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        let (code, comment) = line.split_at(line.find('#').unwrap_or(line.len()));
        if code.contains('[') && code.contains(',') && !code.contains("sun") {
            out.push_str(&thirds(code));
        } else {
            out.push_str(&code.replace("\"6' 3\\\"\"", "\"1.9 m\"").replace("\"2 in\"", "\"50 mm\""));
        }
        out.push_str(comment);
        out.push('\n');
    }
    out
}

fn thirds(code: &str) -> String {
    let mut out = String::new();
    let mut number = String::new();
    for c in code.chars().chain(['\n']) {
        if c.is_ascii_digit() || (c == '.' && !number.is_empty()) {
            number.push(c);
            continue;
        }
        if let Ok(value) = number.parse::<f64>() {
            out.push_str(&((value / 3.0 * 10.0).round() / 10.0).to_string());
        }
        number.clear();
        if c != '\n' {
            out.push(c);
        }
    }
    out
}

/// Every rule of the practice with its default, commented out.
fn practice(system: System) -> String {
    let mut text = String::from(
        "# This firm's rules and rates. Every line shows its default; take away the `#` and\n\
         # write your own value, with a unit (\"3 in\", \"10 %\").\nformat = 1\nfirm = \"\"\n",
    );
    for rule in Practice::RULES {
        text += &[
            "\n#",
            rule.meaning,
            "\n# Source: ",
            rule.source,
            "\n# ",
            rule.key,
            " = ",
            &rule.example(system),
            "\n",
        ]
        .concat();
    }
    let textures: Vec<&str> = groundwright_plan::SoilTexture::all().iter().map(|t| t.word()).collect();
    text + "\n# Words for soil texture: " + &textures.join(", ") + "\n"
}
