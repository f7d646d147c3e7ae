//! Marks: what a study wants drawn, in the yard's metres, without pages or colours.
//!
//! A mark says what it is (pen, tone, glyph), not how it looks; `drawing` knows how it looks on
//! paper and on screen. Sizes of glyphs and letters are in millimetres of paper, all else in
//! metres of the yard.

use groundwright_geometry::{BezPath, Point};
use groundwright_plan::ElementRef;

/// The drawings on which a layer appears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drawing {
    /// What is there, with keep, move and remove.
    Existing,
    /// What is planted where.
    Planting,
    /// Where kept and moved plants go.
    Transplants,
    /// Ground: bed lines, edging, mulch, soil, turf.
    Ground,
    /// Levels, contours, cut and fill.
    Levels,
    /// The ways of water, swales, drains, outlets.
    Drainage,
    /// Hours of direct sun.
    Sun,
    /// Shadows at noon.
    Shadows,
    /// Readings of the survey with their residuals.
    Survey,
    /// A detail in a section of its own.
    Detail,
    /// Walls, steps and paving in plan.
    Walls,
    /// Walls seen from the front and in section, steps in section.
    WallDetail,
    /// Lights by zone, with their cable.
    Lighting,
    /// Light on the ground after dark.
    Night,
    /// One-line diagrams of circuits.
    Circuits,
    /// Irrigation by zone, with its pipe.
    Irrigation,
    /// How evenly water falls.
    Evenness,
}

/// A layer: the unit that is switched, and that becomes a DXF layer.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub struct Layer {
    /// Stable name in capitals and hyphens, as DXF shows it: `PLANT-NEW`.
    pub name: &'static str,
    /// Words for the legend.
    pub title: &'static str,
    /// Drawings that show it.
    pub on: &'static [Drawing],
    /// Order of painting, low first.
    pub order: u16,
}

/// Where the coordinates of a mark live.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Frame {
    /// The plan: x east, y north.
    Plan,
    /// A diagram or detail with a name; x right, y up.
    Diagram(String),
}

/// Weight of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Weight {
    /// Texture, hatch, mature crown outlines.
    Fine,
    /// Dimensions, leaders, things that recede.
    Thin,
    /// Ordinary edges.
    Medium,
    /// Bed lines, buildings.
    Heavy,
    /// Boundary, cut edges.
    Bold,
}

/// Pattern of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Pattern {
    /// Without gaps.
    Continuous,
    /// Hidden, overhead, protection.
    Dashed,
    /// Buried services.
    DashDot,
    /// Future, mature size.
    Dotted,
    /// Property line: long and two short.
    LongShortShort,
}

/// What a colour means. Never the only cue: pattern, glyph or letters say the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tone {
    /// Built and written things.
    Ink,
    /// Background that recedes.
    Faint,
    /// New planting.
    New,
    /// What stays.
    Keep,
    /// What is moved.
    Move,
    /// What goes.
    Remove,
    /// Ground: soil, mulch.
    Earth,
    /// Turf.
    Turf,
    /// Water and what carries it.
    Water,
    /// Danger and services.
    Hazard,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub struct Pen {
    /// Weight.
    pub weight: Weight,
    /// Pattern.
    pub pattern: Pattern,
    /// Meaning of the colour.
    pub tone: Tone,
}

impl Pen {
    /// A continuous line.
    pub const fn solid(weight: Weight, tone: Tone) -> Self {
        Self { weight, pattern: Pattern::Continuous, tone }
    }
    /// A line with a pattern.
    pub const fn of(weight: Weight, pattern: Pattern, tone: Tone) -> Self {
        Self { weight, pattern, tone }
    }
}

/// How an area is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fill {
    /// A pale wash of the tone.
    Wash(Tone),
    /// The tone in full.
    Full(Tone),
    /// Slanting lines at even distance, for built things.
    Slanted(Tone),
    /// Dots at even distance, for gravel, mulch, sod.
    Dotted(Tone),
}

/// Small signs of fixed paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Glyph {
    /// Centre of a new pot: where the crew sets it.
    PotCentre,
    /// Centre of a new pot of the second plant of a mixture.
    PotSecond,
    /// Centre of a new pot of the third plant of a mixture.
    PotThird,
    /// Centre of a new pot of the fourth and any further plant of a mixture.
    PotFourth,
    /// Centre of a transplanted plant's new hole.
    TransplantCentre,
    /// Trunk of a tree that stays.
    TrunkKept,
    /// Trunk or plant that goes.
    Removed,
    /// Plant that will be dug.
    Dug,
    /// Shrub that stays.
    ShrubKept,
    /// A viewpoint.
    Eye,
    /// A downspout.
    Downspout,
    /// A meter, box or hydrant.
    Utility,
    /// An irrigation head or a buried fitting.
    Buried,
    /// A named reference point.
    Reference,
    /// A door.
    Door,
    /// The drop place for deliveries.
    DropPlace,
    /// A level taken on the ground.
    SpotLevel,
}

/// Which point of a text lies at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum TextAnchor {
    /// Left end of the base line.
    Left,
    /// Middle.
    Middle,
    /// Right end of the base line.
    Right,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A line or an area.
    Path {
        /// The path. [m]
        path: BezPath,
        /// Its line, if any.
        pen: Option<Pen>,
        /// Its fill, if any.
        fill: Option<Fill>,
    },
    /// A circle at true size.
    Circle {
        /// Centre. [m]
        centre: Point,
        /// Radius. [m] Above zero.
        radius: f64,
        /// Its line, if any.
        pen: Option<Pen>,
        /// Its fill, if any.
        fill: Option<Fill>,
    },
    /// A sign of fixed paper size.
    Glyph {
        /// Which.
        glyph: Glyph,
        /// Where. [m]
        at: Point,
        /// Rotation, counter-clockwise. [rad]
        rotation: f64,
        /// Meaning of its colour.
        tone: Tone,
    },
    /// Letters at a place; they stay level on the sheet unless rotated.
    Text {
        /// Where. [m]
        at: Point,
        /// The letters; `\n` begins a new line.
        text: String,
        /// Height of the capitals on paper. [mm]
        height_mm: f64,
        /// Which point of the text lies at `at`.
        anchor: TextAnchor,
        /// Rotation, counter-clockwise in the frame; `None` keeps it level. [rad]
        rotation: Option<f64>,
        /// Meaning of its colour.
        tone: Tone,
    },
    /// A tag whose place is found by optimisation, with a leader to what it names.
    Callout {
        /// Lines of the tag.
        lines: Vec<String>,
        /// Points that the leader may touch, at least one: members of the group. [m]
        anchors: Vec<Point>,
        /// Height of the capitals on paper. [mm]
        height_mm: f64,
        /// Meaning of its colour.
        tone: Tone,
    },
    /// A dimension between two points.
    Dimension {
        /// First point. [m]
        from: Point,
        /// Second point. [m]
        to: Point,
        /// Distance of the dimension line from the points, left of the direction. [m]
        offset: f64,
        /// What it says; already in the reader's units.
        text: String,
    },
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Whose mark it is.
    pub subject: ElementRef,
    /// Which of the subject's marks on this layer, from 0. With subject and layer a stable key.
    pub ordinal: u32,
    /// The layer.
    pub layer: &'static Layer,
    /// The frame of its coordinates.
    pub frame: Frame,
    /// What is drawn.
    pub shape: Shape,
}
