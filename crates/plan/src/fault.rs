//! Faults: what is wrong with a file, where, what was expected, how to mend it.

use std::fmt;
use std::ops::Range;

/// One thing wrong in a project's files.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct Fault {
    /// The file, relative to the project folder.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Bytes of the file that are meant.
    #[serde(skip)]
    pub start: usize,
    /// First byte after them.
    #[serde(skip)]
    pub end: usize,
    /// What is wrong.
    pub problem: String,
    /// What was expected.
    pub expected: String,
    /// How to mend it.
    pub remedy: String,
}

impl Fault {
    /// A fault at `span` of `text`, the content of `file`.
    pub fn at(file: &str, text: &str, span: Range<usize>, problem: impl Into<String>) -> Self {
        let start = span.start.min(text.len());
        let (line, column) = line_and_column(text, start);
        Self {
            file: file.to_owned(),
            line,
            column,
            start,
            end: span.end.clamp(start, text.len()),
            problem: problem.into(),
            expected: String::new(),
            remedy: String::new(),
        }
    }

    /// Says what was expected.
    #[must_use]
    pub fn expected(mut self, text: impl Into<String>) -> Self {
        self.expected = text.into();
        self
    }

    /// Says how to mend it.
    #[must_use]
    pub fn remedy(mut self, text: impl Into<String>) -> Self {
        self.remedy = text.into();
        self
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: {}", self.file, self.line, self.column, self.problem)?;
        if !self.expected.is_empty() {
            write!(f, "; expected {}", self.expected)?;
        }
        if !self.remedy.is_empty() {
            write!(f, "; {}", self.remedy)?;
        }
        Ok(())
    }
}

/// Line and column, both from 1, of a byte position.
pub fn line_and_column(text: &str, position: usize) -> (usize, usize) {
    let mut position = position.min(text.len());
    while !text.is_char_boundary(position) {
        position -= 1;
    }
    let before = &text[..position];
    let line = before.matches('\n').count() + 1;
    let start = before.rfind('\n').map_or(0, |at| at + 1);
    (line, before[start..].chars().count() + 1)
}
