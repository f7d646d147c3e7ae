//! Edits as commands: the only way in which the app, a remedy or a script changes a project.
//!
//! A command names its element and field, so that two editors conflict only on the same field of
//! the same element, and so that a finding can carry its remedy as data.

use crate::identity::{ElementRef, Kind, ProjectFile};

/// One change to a project file.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case", tag = "command")]
pub enum Command {
    /// Gives `field` of an element a new value, written as TOML (`"\"24 in\""`, `3`, `[1, 2]`).
    Set {
        /// The element.
        element: ElementRef,
        /// The field's key; a dotted path reaches into tables.
        field: String,
        /// The value as TOML text.
        value: String,
    },
    /// Takes a field away, so that its default holds again.
    Clear {
        /// The element.
        element: ElementRef,
        /// The field's key.
        field: String,
    },
    /// Shifts every point of an element. [m]
    Move {
        /// The element.
        element: ElementRef,
        /// Shift to the east. [m]
        east: f64,
        /// Shift to the north. [m]
        north: f64,
    },
    /// Adds an element; `body` is the TOML of its fields without the table header.
    Add {
        /// What is added; its id must be free.
        element: ElementRef,
        /// TOML text of the fields.
        body: String,
    },
    /// Removes an element that nothing refers to.
    Remove {
        /// The element.
        element: ElementRef,
    },
    /// Gives an element another id and rewrites every reference to it.
    Rename {
        /// The element under its old id.
        element: ElementRef,
        /// The new id.
        to: String,
    },
    /// Gives a key outside the elements a new value: `units`, `place.latitude`, `boundary.outline`.
    Declare {
        /// The file.
        file: ProjectFile,
        /// The key; a dotted path reaches into tables.
        field: String,
        /// The value as TOML text.
        value: String,
    },
    /// Scales every place of the plan about its origin: the first taped length was misread, or the
    /// picture that the plan was traced from had another scale. Lengths that were read on the
    /// ground (spacings, widths, shifts from reference points) stay as they are.
    Scale {
        /// New over old. Finite and above zero.
        factor: f64,
    },
    /// Takes a key outside the elements away, so that its default holds again.
    Retract {
        /// The file.
        file: ProjectFile,
        /// The key.
        field: String,
    },
}

impl Command {
    /// The element that the command changes; `None` for what a file says outside its elements.
    pub fn element(&self) -> Option<&ElementRef> {
        match self {
            Self::Set { element, .. }
            | Self::Clear { element, .. }
            | Self::Move { element, .. }
            | Self::Add { element, .. }
            | Self::Remove { element }
            | Self::Rename { element, .. } => Some(element),
            Self::Declare { .. } | Self::Retract { .. } | Self::Scale { .. } => None,
        }
    }

    /// The file that holds what the command names; renaming and scaling may change others too.
    pub fn file(&self) -> ProjectFile {
        match self {
            Self::Scale { .. } => ProjectFile::Property,
            Self::Declare { file, .. } | Self::Retract { file, .. } => *file,
            Self::Set { element, .. }
            | Self::Clear { element, .. }
            | Self::Move { element, .. }
            | Self::Add { element, .. }
            | Self::Remove { element }
            | Self::Rename { element, .. } => element.kind.file(),
        }
    }

    /// A command that sets a field; `value` is TOML text.
    pub fn set(kind: Kind, id: &crate::identity::ElementId, field: &str, value: &str) -> Self {
        Self::Set { element: ElementRef::new(kind, id), field: field.to_owned(), value: value.to_owned() }
    }
}
