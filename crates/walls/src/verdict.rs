//! Which factors of safety a wall needs, and who says so.
//!
//! - In: factors found. Out: verdicts, each with the factor required, its source, and whether that
//!   source was read or is custom that the reader confirms against the local code.
//! - The building code's own words are the floor; the custom of dry-stacked walls asks for more.

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Check {
    /// Sliding of the whole wall on its base.
    Sliding,
    /// Overturning about the front of the base.
    Overturning,
    /// Pressure under the units.
    Bearing,
    /// Pressure under the pad.
    BearingUnderPad,
    /// Shear between two courses.
    Shear,
    /// Tipping of the courses above a joint, or of those above the top layer.
    Tipping,
    /// Long-term strength of a layer.
    Tension,
    /// Pullout of a layer.
    Pullout,
    /// Connection of a layer to the units.
    Connection,
    /// Sliding along a layer.
    SlidingAlongLayer,
    /// Shear between the units at a layer, against bulging.
    Bulging,
    /// Anchorage beyond the internal plane. [m]
    Anchorage,
    /// Length of a layer from the face. [m]
    Length,
    /// Spacing of the layers; found and required change places: greatest allowed over found.
    Spacing,
    /// A slip circle under and behind the wall.
    Global,
    /// Sliding in the earthquake.
    QuakeSliding,
    /// Overturning in the earthquake.
    QuakeOverturning,
}

/// Required factors of safety.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Required {
    /// Sliding on the base, along a layer.
    pub sliding: f64,
    /// Overturning.
    pub overturning: f64,
    /// Bearing.
    pub bearing: f64,
    /// Shear between units, tipping of the top, bulging.
    pub facing: f64,
    /// Tension on the long-term strength (the allowable strength has this factor in it), pullout, connection.
    pub layer: f64,
    /// Slip circles.
    pub global: f64,
    /// Share of the static factors that holds in an earthquake.
    pub quake_share: f64,
}

impl Required {
    /// A gravity wall of dry-stacked units: sliding and overturning as in IBC 2009 1807.2.3 and IRC 2009
    /// R404.4, read as quoted by code officials; the rest custom, from memory.
    pub const GRAVITY: Self = Self {
        sliding: 1.5,
        overturning: 1.5,
        bearing: 2.0,
        facing: 1.5,
        layer: 1.5,
        global: 1.3,
        quake_share: 0.75,
    };
    /// A reinforced wall: as the gravity wall with 2.0 against overturning, from memory.
    pub const REINFORCED: Self = Self { overturning: 2.0, ..Self::GRAVITY };
}

/// A factor found against the one required.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Verdict {
    /// What is compared.
    pub check: Check,
    /// Which joint (courses above it) or layer (from 1, lowest first); `None` for the wall as a whole.
    pub place: Option<usize>,
    /// Factor, or length [m], found. Zero where the wall overturns.
    pub found: f64,
    /// Factor, or length [m], required.
    pub required: f64,
}

impl Verdict {
    /// Whether it is enough. A billionth is rounding.
    pub fn passes(&self) -> bool {
        self.found >= self.required * (1.0 - 1e-9)
    }

    /// Found over required; without end where nothing is required.
    pub fn ratio(&self) -> f64 {
        if self.required > 0.0 { self.found / self.required } else { f64::INFINITY }
    }
}

impl Check {
    /// The trade's words for it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Sliding => "sliding",
            Self::Overturning => "overturning",
            Self::Bearing => "bearing under the units",
            Self::BearingUnderPad => "bearing under the pad",
            Self::Shear => "shear between units",
            Self::Tipping => "tipping of the top",
            Self::Tension => "tension of a layer",
            Self::Pullout => "pullout of a layer",
            Self::Connection => "connection of a layer",
            Self::SlidingAlongLayer => "sliding along a layer",
            Self::Bulging => "bulging between layers",
            Self::Anchorage => "anchorage beyond the internal plane",
            Self::Length => "length of a layer",
            Self::Spacing => "spacing of layers",
            Self::Global => "global stability",
            Self::QuakeSliding => "sliding in an earthquake",
            Self::QuakeOverturning => "overturning in an earthquake",
        }
    }

    /// Who asks for it.
    pub fn source(self) -> &'static str {
        match self {
            Self::Sliding | Self::Overturning => {
                "IBC 2009 1807.2.3 and IRC 2009 R404.4 (1.5), as quoted by code officials; \
                 2.0 against overturning of reinforced walls is custom"
            }
            Self::QuakeSliding | Self::QuakeOverturning => {
                "three quarters of the static factor: custom, from memory"
            }
            _ => {
                "custom of dry-stacked walls, from memory: confirm against the design manual and the local code"
            }
        }
    }

    /// Whether the required number was read in, or quoted from, a document.
    pub fn is_sourced(self) -> bool {
        matches!(self, Self::Sliding | Self::Overturning)
    }
}

/// Whether every verdict passes.
pub fn all_pass(verdicts: &[Verdict]) -> bool {
    verdicts.iter().all(Verdict::passes)
}

/// The verdict that is furthest from passing.
pub fn worst(verdicts: &[Verdict]) -> Option<&Verdict> {
    verdicts.iter().min_by(|a, b| a.ratio().total_cmp(&b.ratio()))
}
