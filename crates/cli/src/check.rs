//! `groundwright check`: read, place, study, and say what is wrong or worth knowing.

use clap::ValueEnum;
use groundwright_handoff::{Severity, When};
use groundwright_job::{Job, Outcome};
use groundwright_plan::{Fault, Loaded, Sources, load_folder, read_sources};
use groundwright_units::Reader;
use serde_json::json;

use crate::stages::Stages;
use crate::{Format, ProjectArguments, report, set_threads};

/// Findings from which the command fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Deny {
    /// Somebody could be hurt.
    Danger,
    /// Something will fail, or worse.
    Fault,
    /// Anything that a person should decide, or worse.
    Doubt,
}

/// Read a project, place it, and say what is wrong or worth knowing.
///
/// Faults in the files are all listed at once, with line and column, what was expected and how to
/// mend it; nothing is changed. Findings are grouped by cause, the most serious first; each names
/// its numbers, its source and the cheapest remedy.
///
/// Exit code 0 when the project reads and places, 1 when it does not, 3 when there are findings as
/// serious as --deny says.
#[derive(clap::Args)]
#[command(verbatim_doc_comment, after_help = "Example:\n  groundwright check demo/corner-lot --deny danger")]
pub(crate) struct Arguments {
    #[command(flatten)]
    project: ProjectArguments,
    /// Fail with exit code 3 when there are findings of this weight or worse.
    #[arg(long, value_enum)]
    deny: Option<Deny>,
    /// List also what nobody gave and is assumed.
    #[arg(long)]
    assumptions: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments) -> Result<u8, String> {
    let Some((loaded, outcome, stages)) = study(&arguments.project)? else { return Ok(1) };
    let reader = Reader::new(loaded.project.property.system);
    match arguments.project.format {
        Format::Json => {
            let assumptions = arguments.assumptions.then_some(&loaded.assumptions);
            let document = json!({
                "project": loaded.project.property.name,
                "plants": set_plants(&outcome),
                "findings": report::findings_json(&outcome.findings, &loaded, &reader),
                "assumptions": assumptions,
            });
            say!("{document:#}");
        }
        Format::Text => {
            print!("{}", report::findings_text(&outcome.findings, &loaded, &reader));
            if arguments.assumptions {
                say!("\nASSUMED, because nobody gave it");
                for a in &loaded.assumptions {
                    say!("  - {} {}: {} ({})", a.element, a.field, a.value, a.why);
                }
            }
            say!("\n{}", summary(&loaded, &outcome));
        }
    }
    if arguments.project.times {
        stages.print();
    }
    let worst = outcome.findings.iter().map(|finding| finding.severity).min();
    let limit = match arguments.deny {
        None => return Ok(0),
        Some(Deny::Danger) => Severity::Danger,
        Some(Deny::Fault) => Severity::Fault,
        Some(Deny::Doubt) => Severity::Doubt,
    };
    Ok(if worst.is_some_and(|worst| worst <= limit) { 3 } else { 0 })
}

/// Plants that the crew sets: bought or moved, not those that stand there.
fn set_plants(outcome: &Outcome) -> usize {
    outcome.yard.plants.iter().filter(|p| p.origin != groundwright_yard::Origin::Kept).count()
}

fn summary(loaded: &Loaded, outcome: &Outcome) -> String {
    let count = |severity| outcome.findings.iter().filter(|f| f.severity == severity).count();
    format!(
        "{}: {} plants to set in {} plantings; {} dangers, {} faults, {} doubts, {} notes; {} values assumed.",
        loaded.project.property.name,
        set_plants(outcome),
        outcome.yard.arrangements.len(),
        count(Severity::Danger),
        count(Severity::Fault),
        count(Severity::Doubt),
        count(Severity::Note),
        loaded.assumptions.len(),
    )
}

/// Loads and studies a project; prints its faults and gives `None` where it cannot be.
pub(crate) fn study(arguments: &ProjectArguments) -> Result<Option<(Loaded, Outcome, Stages)>, String> {
    set_threads(arguments.threads)?;
    if !arguments.folder.is_dir() {
        return Err(format!(
            "there is no folder {}; name the folder with property.toml, or begin one with `groundwright start`",
            arguments.folder.display()
        ));
    }
    let mut stages = Stages::new();
    let loaded = match load_folder(&arguments.folder) {
        Ok(loaded) => loaded,
        Err(faults) => {
            stages.finish();
            let sources = read_sources(&arguments.folder).unwrap_or_default();
            tell(&faults, &sources, arguments.format);
            return Ok(None);
        }
    };
    groundwright_job::Progress::done(&mut stages, "read");
    let outcome = Job::with_sun().run(&loaded.project, When::years(0.0), &mut stages);
    stages.finish();
    if !outcome.faults.is_empty() {
        tell(&report::placed(&outcome.faults, &loaded), &loaded.sources, arguments.format);
        return Ok(None);
    }
    Ok(Some((loaded, outcome, stages)))
}

fn tell(faults: &[Fault], sources: &Sources, format: Format) {
    match format {
        Format::Text => report::faults(faults, sources),
        Format::Json => say!("{:#}", json!({ "faults": report::faults_json(faults) })),
    }
}
