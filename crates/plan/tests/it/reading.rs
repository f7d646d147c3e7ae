//! What must hold of every reading, whatever the texts say.
//!
//! - In: any texts. Out: the reading, or what is wrong with the reader in one sentence.
//! - Holds: faults stand at places that exist, in order, and say how to go on; a project that is
//!   accepted has only finite numbers, and renaming an element leaves a project that is accepted.
//! - Not here: panics, which the caller sees by itself.
//!
//! The developer commands examine mutated texts with this file too.

use groundwright_plan::{
    Command, Fault, Kind, Loaded, ProjectFile, Sources, apply, line_and_column, read_project,
};

/// What the reader gives.
pub type Reading = Result<Loaded, Vec<Fault>>;

/// Reads the texts and examines what comes out.
pub fn examine(sources: &Sources) -> Result<Reading, String> {
    let reading = read_project(sources.clone());
    match &reading {
        Err(faults) if faults.is_empty() => return Err("refused without a fault".to_owned()),
        Err(faults) => examine_faults(sources, faults)?,
        Ok(loaded) => examine_project(sources, loaded)?,
    }
    Ok(reading)
}

fn examine_faults(sources: &Sources, faults: &[Fault]) -> Result<(), String> {
    for fault in faults {
        let text = sources.text(&fault.file).unwrap_or_default();
        if text.get(fault.start..fault.end).is_none() {
            return Err(format!("{fault}: bytes {} to {} are no place", fault.start, fault.end));
        }
        if (fault.line, fault.column) != line_and_column(text, fault.start) {
            return Err(format!("{fault}: line and column are not those of byte {}", fault.start));
        }
        if fault.problem.is_empty() || fault.expected.is_empty() && fault.remedy.is_empty() {
            return Err(format!("{fault}: it does not say how to go on"));
        }
    }
    if faults.is_sorted_by_key(|fault| (&fault.file, fault.start)) {
        Ok(())
    } else {
        Err("faults out of order".to_owned())
    }
}

fn examine_project(sources: &Sources, loaded: &Loaded) -> Result<(), String> {
    let project = &loaded.project;
    let printed = format!("{:?}{:?}{:?}", project.property, project.design, project.practice);
    if let Some(word) = numbers(&printed).find(|word| ["NaN", "inf", "-inf"].contains(word)) {
        return Err(format!("the project has a {word}"));
    }
    let elements = project.elements();
    // A few of them, other ones in every text: all would take long in a large project.
    let step = elements.len() / 4 + 1;
    for element in elements.iter().skip(printed.len() % step).step_by(step).filter(|e| e.id.as_str() != NEW) {
        let renamed = apply(sources, &Command::Rename { element: element.clone(), to: NEW.to_owned() });
        let renamed = match renamed {
            Ok(renamed) => renamed,
            // Elements in a list are read and not edited; an id may be taken.
            Err(_) if is_in_a_list(sources, element.kind) => continue,
            Err(_) if elements.iter().any(|other| other.kind == element.kind && other.id.as_str() == NEW) => {
                continue;
            }
            Err(error) => return Err(format!("renaming {element}: {error}")),
        };
        match read_project(renamed) {
            Ok(again) if again.project.elements().len() == elements.len() => {}
            Ok(_) => return Err(format!("renaming {element} lost an element")),
            Err(faults) => return Err(format!("renaming {element}: {}", faults[0])),
        }
    }
    Ok(())
}

const NEW: &str = "quite-new";

fn is_in_a_list(sources: &Sources, kind: Kind) -> bool {
    let text = match kind.file() {
        ProjectFile::Property => &sources.property,
        ProjectFile::Design => &sources.design,
        ProjectFile::Practice => &sources.practice,
    };
    !text.as_deref().unwrap_or_default().contains(&format!("[[{}]]", kind.key()))
}

/// The words of a printed value outside its texts in quotes.
fn numbers(printed: &str) -> impl Iterator<Item = &str> {
    let mut quoted = false;
    let mut escaped = false;
    printed
        .split(move |c: char| {
            match c {
                '"' if !escaped => quoted = !quoted,
                '\\' if quoted && !escaped => {
                    escaped = true;
                    return true;
                }
                _ => {}
            }
            escaped = false;
            quoted || matches!(c, '"' | ' ' | ',' | '(' | ')' | '[' | ']' | '{' | '}')
        })
        .filter(|word| !word.is_empty())
}
