//! How well a value is known, so that a result can carry what it rests on.

/// How a value came to be known.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(rename_all = "kebab-case", tag = "standing")]
pub enum Standing {
    /// Read on site with a tape, a level or a gauge.
    Measured,
    /// Told by the client, a label or a map.
    Stated,
    /// A default or a guess; the true value lies within `spread` of it, in the value's own unit.
    Assumed {
        /// Half width of the range in which the true value is expected; same unit as the value.
        spread: f64,
    },
}

impl Standing {
    /// The word a file uses.
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Stated => "stated",
            Self::Assumed { .. } => "assumed",
        }
    }

    /// Half width of the range; 0 when measured or stated.
    pub fn spread(self) -> f64 {
        match self {
            Self::Assumed { spread } => spread,
            _ => 0.0,
        }
    }
}

/// A value together with how well it is known.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Given<T> {
    /// The value; lengths in metres, angles in radians.
    pub value: T,
    /// How it is known.
    #[serde(flatten)]
    pub standing: Standing,
}

impl<T> Given<T> {
    /// A value told by the client, a label or a map.
    pub fn stated(value: T) -> Self {
        Self { value, standing: Standing::Stated }
    }

    /// A default; the true value is expected within `spread` of it.
    pub fn assumed(value: T, spread: f64) -> Self {
        Self { value, standing: Standing::Assumed { spread } }
    }

    /// The same standing for another value.
    pub fn map<U>(self, change: impl FnOnce(T) -> U) -> Given<U> {
        Given { value: change(self.value), standing: self.standing }
    }
}
