//! The project with every kind of element, on which the other checks work.

use groundwright_plan::{Loaded, Sources, read_project};

use crate::sections::Sections;

/// Its texts.
pub fn sources() -> Sources {
    Sections::split(include_str!("../data/whole.txt")).sources()
}

/// Reads a project that must be without fault.
pub fn load(sources: &Sources) -> Loaded {
    read_project(sources.clone()).unwrap_or_else(|faults| {
        let list: Vec<String> = faults.iter().map(ToString::to_string).collect();
        panic!("{}", list.join("\n"))
    })
}
