//! What can be wrong with a photometric file.

/// Why a file cannot be read. Lines count from 1.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum IesError {
    /// No TILT line.
    #[error("there is no line that starts with TILT=; expected TILT=NONE or TILT=INCLUDE after the keywords")]
    NoTilt,
    /// Tilt data elsewhere.
    #[error("line {line}: tilt data are in the file `{file}`; copy them in and write TILT=INCLUDE")]
    TiltFile {
        /// Where.
        line: usize,
        /// The file named.
        file: String,
    },
    /// A token that is no number.
    #[error("line {line}: `{text}` is no number; expected {what}")]
    NotANumber {
        /// Where.
        line: usize,
        /// The token.
        text: String,
        /// What should stand there.
        what: &'static str,
    },
    /// The file ends too soon.
    #[error("line {line}: the file ends after {found} of {expected} {what}; {} are missing", expected - found)]
    Short {
        /// Last line.
        line: usize,
        /// Of what.
        what: &'static str,
        /// Announced.
        expected: usize,
        /// Present.
        found: usize,
    },
    /// The file goes on.
    #[error(
        "line {line}: {extra} values follow after the {expected} announced; \
         check the counts of angles in the line after TILT"
    )]
    Extra {
        /// Where they begin.
        line: usize,
        /// How many.
        extra: usize,
        /// Announced.
        expected: usize,
    },
    /// A value that cannot be.
    #[error("line {line}: {what} is {value}; expected {expected}")]
    Value {
        /// Where.
        line: usize,
        /// Which.
        what: &'static str,
        /// What stands there.
        value: f64,
        /// What could.
        expected: &'static str,
    },
}
