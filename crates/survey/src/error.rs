//! Why a question has no answer.

/// Why a survey, a fit or a set-out has no answer. Readings count from 1, as in the field book.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SurveyError {
    /// A reading names a point that does not exist.
    #[error("reading {reading} names point {point}, and there is none; list the point first")]
    NoSuchPoint {
        /// The reading.
        reading: usize,
        /// Index of the point.
        point: usize,
    },
    /// A reading between a point and itself.
    #[error("reading {reading} ties `{name}` to itself; expected two different points")]
    ToItself {
        /// The reading.
        reading: usize,
        /// The point.
        name: String,
    },
    /// A standard deviation that is not above zero.
    #[error("reading {reading}: its standard deviation is {sigma}; expected a finite number above zero")]
    Sigma {
        /// The reading.
        reading: usize,
        /// What was given.
        sigma: f64,
    },
    /// A value that cannot have been read.
    #[error("reading {reading}: the value is {value}; expected a finite number, and above zero for a tape")]
    Value {
        /// The reading.
        reading: usize,
        /// What was given.
        value: f64,
    },
    /// A place that is not finite.
    #[error("point `{name}`: its place is not finite; expected two finite coordinates")]
    Place {
        /// The point.
        name: String,
    },
    /// A slope that no tape can lie on.
    #[error(
        "{length} m along the slope is no longer than the height between its ends; \
         check both, or whether the height belongs to another length"
    )]
    Slope {
        /// The taped length. [m]
        length: f64,
    },
    /// Nothing to adjust.
    #[error("there are no readings between points; tape at least one length")]
    Empty,
    /// The adjustment does not settle.
    #[error(
        "the adjustment does not settle after {iterations} steps; \
         a gross error or a very thin triangle is the usual cause: give rough places with `near`"
    )]
    NotSettled {
        /// Steps taken.
        iterations: usize,
    },
    /// The normal equations have no single answer.
    #[error("the readings leave {names} free to move; add a reading to each")]
    Singular {
        /// The points.
        names: String,
    },
    /// Two tapes that do not meet, or points on one line.
    #[error("{what}; {mend}")]
    Geometry {
        /// What is wrong.
        what: String,
        /// How to mend it.
        mend: &'static str,
    },
}

impl SurveyError {
    /// Index of the reading that is to blame, where one is.
    pub fn reading(&self) -> Option<usize> {
        match self {
            Self::NoSuchPoint { reading, .. }
            | Self::ToItself { reading, .. }
            | Self::Sigma { reading, .. }
            | Self::Value { reading, .. } => Some(*reading),
            _ => None,
        }
    }
}
