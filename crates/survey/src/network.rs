//! A network of readings: points with or without known places, and what was read between them.
//!
//! - In: points and readings by index. Out: the input of [`crate::adjust`].
//! - Lengths are horizontal; what was taped along a slope is brought level first ([`level_run`]).
//! - Not here: heights (`levelling.rs`), the notation of the field book (`field_book`).

use groundwright_geometry::Point;

use crate::SurveyError;

/// A point of the network.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NetworkPoint {
    /// Name, as booked.
    pub name: String,
    /// Its place, where it is known and held. [m]
    pub held: Option<Point>,
    /// Roughly where it is: decides between mirror images and starts the adjustment. [m]
    pub near: Option<Point>,
}

/// What was read. Points are indices into [`Network::points`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Observed {
    /// Horizontal distance between two points. [m]
    Distance {
        /// Where the tape was held.
        from: usize,
        /// Where it was read.
        to: usize,
    },
    /// Station of a point along a base line, from the line's first point. [m]
    Along {
        /// The point.
        point: usize,
        /// First point of the base line.
        from: usize,
        /// Second point of the base line.
        to: usize,
    },
    /// Offset of a point from a base line, positive to the left of its direction. [m]
    Across {
        /// The point.
        point: usize,
        /// First point of the base line.
        from: usize,
        /// Second point of the base line.
        to: usize,
    },
    /// Angle between two directions, without a sense, from 0 to π. [rad]
    Angle {
        /// Where it was read or laid out.
        at: usize,
        /// End of the one side.
        from: usize,
        /// End of the other side.
        to: usize,
    },
}

impl Observed {
    /// The points that it ties together, two or three.
    pub fn points(&self) -> impl Iterator<Item = usize> + use<> {
        let (a, b, c) = match *self {
            Self::Distance { from, to } => (from, to, None),
            Self::Along { point, from, to } | Self::Across { point, from, to } => (point, from, Some(to)),
            Self::Angle { at, from, to } => (at, from, Some(to)),
        };
        [Some(a), Some(b), c].into_iter().flatten()
    }
}

/// One reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What was read, between which points.
    pub observed: Observed,
    /// The value. [m, rad]
    pub value: f64,
    /// Its standard deviation before the adjustment. [m, rad] Above zero.
    pub sigma: f64,
    /// How it was booked, so that a slip of the pen can be recognised.
    pub booked: Option<Booked>,
}

impl Reading {
    /// A taped distance. [m]
    pub fn distance(from: usize, to: usize, value: f64, sigma: f64) -> Self {
        Self { observed: Observed::Distance { from, to }, value, sigma, booked: None }
    }
}

/// A length as it stands in the field book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Booked {
    /// The text.
    pub text: String,
    /// The unit that a bare number takes.
    pub unit: Option<groundwright_units::LengthUnit>,
}

/// On which side of a line through two others a point lies; decides between mirror images.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SideOf {
    /// The point.
    pub point: usize,
    /// First point of the line.
    pub from: usize,
    /// Second point of the line.
    pub to: usize,
    /// Whether it lies on the left of the direction from the first to the second.
    pub left: bool,
}

/// Points and readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    /// The points.
    pub points: Vec<NetworkPoint>,
    /// The readings.
    pub readings: Vec<Reading>,
    /// Known sides.
    pub sides: Vec<SideOf>,
    /// The two points that set the frame where fewer than two places are held: the first is the
    /// origin, the second lies east of it.
    pub frame: Option<(usize, usize)>,
}

impl Network {
    /// Adds a point and gives its index.
    pub fn point(&mut self, name: &str, held: Option<Point>, near: Option<Point>) -> usize {
        self.points.push(NetworkPoint { name: name.to_owned(), held, near });
        self.points.len() - 1
    }

    /// Index of a point by its name.
    pub fn index_of(&self, name: &str) -> Option<usize> {
        self.points.iter().position(|point| point.name == name)
    }

    /// Refuses values that cannot be adjusted.
    ///
    /// # Errors
    /// The first reading or point that is wrong, by its number.
    pub fn check(&self) -> Result<(), SurveyError> {
        for (i, reading) in self.readings.iter().enumerate() {
            if let Some(point) = reading.observed.points().find(|point| *point >= self.points.len()) {
                return Err(SurveyError::NoSuchPoint { reading: i + 1, point });
            }
            let points: Vec<usize> = reading.observed.points().collect();
            if points.iter().enumerate().any(|(k, point)| points[..k].contains(point)) {
                return Err(SurveyError::ToItself { reading: i + 1, name: self.name(points[0]) });
            }
            if !(reading.sigma.is_finite() && reading.sigma > 0.0) {
                return Err(SurveyError::Sigma { reading: i + 1, sigma: reading.sigma });
            }
            let lowest = match reading.observed {
                Observed::Distance { .. } => f64::MIN_POSITIVE,
                Observed::Angle { .. } => 0.0,
                Observed::Along { .. } | Observed::Across { .. } => f64::MIN,
            };
            if !(reading.value.is_finite() && reading.value >= lowest) {
                return Err(SurveyError::Value { reading: i + 1, value: reading.value });
            }
        }
        for point in &self.points {
            let places = [point.held, point.near];
            if places.into_iter().flatten().any(|at| !at.is_finite()) {
                return Err(SurveyError::Place { name: point.name.clone() });
            }
        }
        Ok(())
    }

    pub(crate) fn name(&self, point: usize) -> String {
        self.points.get(point).map_or_else(String::new, |point| point.name.clone())
    }
}

/// How well a tape measures: a part that every reading has, and one that grows with its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapeAccuracy {
    /// Standard deviation of holding and reading the ends. [m]
    pub ends: f64,
    /// Standard deviation to the metre of length (sag, pull, heat). \[dimensionless\]
    pub per_length: f64,
}

impl TapeAccuracy {
    /// A fibreglass tape pulled by hand: 4 mm and 0.4 mm to the metre. Common practice, no source.
    pub const USUAL: Self = Self { ends: 0.004, per_length: 0.0004 };

    /// Standard deviation of a length. [m]
    pub fn sigma(self, length: f64) -> f64 {
        self.ends + self.per_length * length.abs()
    }
}

/// How the slope of a taped length is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slope {
    /// Height between the ends. [m]
    Rise(f64),
    /// Angle from the level. [rad]
    Angle(f64),
}

/// Horizontal length of a length taped along a slope, by the exact root and not the one-term
/// shortcut h²/2L. [m]
///
/// # Errors
/// [`SurveyError::Slope`] where the ends are farther apart in height than along the tape, or the
/// angle reaches the vertical.
pub fn level_run(length: f64, slope: Slope) -> Result<f64, SurveyError> {
    let run = match slope {
        Slope::Rise(rise) => (length * length - rise * rise).sqrt(),
        Slope::Angle(angle) if angle.abs() < std::f64::consts::FRAC_PI_2 => length * angle.cos(),
        Slope::Angle(_) => f64::NAN,
    };
    if run.is_finite() && run > 0.0 && length > 0.0 { Ok(run) } else { Err(SurveyError::Slope { length }) }
}
