//! What is not known for certain, with what it might be instead.

use crate::command::Command;
use crate::identity::{ElementRef, ProjectFile};

/// A value that rests on an assumption: a default that nobody confirmed, or a value marked `±`.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Doubt {
    /// The file in which it could be given.
    pub file: String,
    /// The element; `None` for what a file says outside its elements.
    pub element: Option<ElementRef>,
    /// Words for the element: `tree `oak``, `[place]`.
    pub name: String,
    /// The field, a dotted path from the element or from the file.
    pub field: String,
    /// What is assumed, with its spread, in the project's units.
    pub shown: String,
    /// What it might be instead: both ends of the range, or the other words.
    pub tries: Vec<Try>,
    /// Why it is assumed.
    pub why: String,
}

/// What a value might be.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Try {
    /// As TOML.
    pub value: String,
    /// For a reader, in the project's units.
    pub shown: String,
}

impl Doubt {
    /// The command that would give the field this value; `None` for fields of the stock, which is
    /// corrected in its own files.
    pub fn command(&self, value: &str) -> Option<Command> {
        if let Some(element) = &self.element {
            let (element, field, value) = (element.clone(), self.field.clone(), value.to_owned());
            return Some(Command::Set { element, field, value });
        }
        let files = [ProjectFile::Property, ProjectFile::Design, ProjectFile::Practice];
        let file = files.into_iter().find(|file| file.name() == self.file)?;
        Some(Command::Declare { file, field: self.field.clone(), value: value.to_owned() })
    }
}
