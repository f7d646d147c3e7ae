//! Ground and water: levels, storms and soil tests as found; gradings, swales and drains as they shall
//! be.
//!
//! Levels are heights above the project's datum, which the property names in words; all of them must
//! be of one datum.

use crate::identity::{ElementId, ElementRef};
use crate::shape::{Line, Place};
use crate::standing::Given;
use crate::words::words;

/// Ground and water as found.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FoundGround {
    /// What height 0 is, in words: `top of the kerb at cm1 is 100.00 ft`.
    pub datum: String,
    /// Levels taken.
    pub levels: Vec<SpotLevel>,
    /// Lines at which the ground breaks: kerbs, wall lines, slab edges, tops and feet of slopes.
    pub break_lines: Vec<BreakLine>,
    /// Design storms.
    pub storms: Vec<Storm>,
    /// Timed holes.
    pub soil_tests: Vec<SoilTest>,
}

/// A level taken.
#[derive(Debug, Clone, PartialEq)]
pub struct SpotLevel {
    /// Identity.
    pub id: ElementId,
    /// Where.
    pub at: Place,
    /// Height above the datum. [m]
    pub level: Given<f64>,
}

/// A line at which the ground breaks.
#[derive(Debug, Clone, PartialEq)]
pub struct BreakLine {
    /// Identity.
    pub id: ElementId,
    /// Its points, with their heights above the datum. [m] Straight between them.
    pub course: Vec<(Place, f64)>,
}

/// A design storm: a depth of rain in a time.
#[derive(Debug, Clone, PartialEq)]
pub struct Storm {
    /// Identity.
    pub id: ElementId,
    /// Depth of rain. [m]
    pub depth: Given<f64>,
    /// In how many minutes it falls. [min]
    pub minutes: Given<f64>,
    /// How often, in words: `10 years`.
    pub return_period: String,
}

impl Storm {
    /// Mean intensity. [m/s]
    pub fn intensity(&self) -> f64 {
        self.depth.value / (60.0 * self.minutes.value)
    }
}

/// A hole that was soaked, filled with water and watched.
#[derive(Debug, Clone, PartialEq)]
pub struct SoilTest {
    /// Identity.
    pub id: ElementId,
    /// Where.
    pub at: Place,
    /// Diameter of the hole. [m]
    pub diameter: Given<f64>,
    /// Water above the bottom at the start. [m]
    pub start: Given<f64>,
    /// Water above the bottom at the end. [m]
    pub end: Given<f64>,
    /// Minutes between. [min]
    pub minutes: Given<f64>,
}

/// Ground and water as they shall be.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct GroundWork {
    /// Parts graded anew, in the order in which they are laid over one another.
    pub gradings: Vec<Grading>,
    /// Swales, laid after the gradings.
    pub swales: Vec<Swale>,
    /// Pipes.
    pub drains: Vec<Drain>,
    /// Basins that take water in.
    pub basins: Vec<Basin>,
    /// Places to get at a pipe.
    pub cleanouts: Vec<Cleanout>,
    /// Where water is let go.
    pub outlets: Vec<Outlet>,
}

/// The area of a grading.
#[derive(Debug, Clone, PartialEq)]
pub enum GradedArea {
    /// The outline of a surface, bed, box or lawn.
    Of(ElementRef),
    /// An outline of its own.
    Outline(Line),
}

/// What a grading makes of its area.
#[derive(Debug, Clone, PartialEq)]
pub enum GradingForm {
    /// A plane: level, or with one fall.
    Pad {
        /// Height at `from`, or everywhere. [m]
        level: f64,
        /// Fall, its start and the place towards which it falls.
        fall: Option<(f64, Place, Place)>,
    },
    /// The ground as it is, raised; lowered if below zero. [m]
    Raise(f64),
    /// Through design levels.
    Levels(Vec<(Place, f64)>),
}

/// A part of the ground graded anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Grading {
    /// Identity.
    pub id: ElementId,
    /// Words for the drawing.
    pub label: String,
    /// Where.
    pub area: GradedArea,
    /// What becomes of it.
    pub form: GradingForm,
    /// Width over which it runs out to the ground as it is: outside of a pad, inside of a raised
    /// area; without meaning for design levels, which meet the ground at the outline. [m]
    pub margin: Given<f64>,
}

words! {
    /// What a swale is lined with.
    SwaleLining, "lining of a swale" {
        /// Turf that makes a sod.
        Turf = "turf",
        /// Grasses set close.
        Grasses = "grasses",
        /// Cobble and stone.
        Stone = "stone",
        /// Soil or mulch.
        Bare = "bare",
    }
}

/// A shallow channel.
#[derive(Debug, Clone, PartialEq)]
pub struct Swale {
    /// Identity.
    pub id: ElementId,
    /// Its bottom line, in the direction of the water.
    pub line: Line,
    /// Height of its bottom at the start. [m]
    pub start: Given<f64>,
    /// Height of its bottom at the end. [m]
    pub end: Given<f64>,
    /// Width of the bottom. [m]
    pub bottom: Given<f64>,
    /// Side slope, rise over run.
    pub side: Given<f64>,
    /// What it is lined with.
    pub lining: SwaleLining,
}

words! {
    /// How a pipe is made.
    DrainKind, "kind of drain" {
        /// Smooth inside, tight joints.
        Smooth = "smooth pipe",
        /// Corrugated inside.
        Corrugated = "corrugated pipe",
        /// Perforated, in gravel and filter cloth.
        Perforated = "perforated pipe",
    }
}

/// A pipe laid to a fall.
#[derive(Debug, Clone, PartialEq)]
pub struct Drain {
    /// Identity.
    pub id: ElementId,
    /// How it is made.
    pub kind: DrainKind,
    /// Its line, in the direction of the water.
    pub route: Line,
    /// Height of the pipe's inside bottom at the start. [m]
    pub start: Given<f64>,
    /// Height of the pipe's inside bottom at the end. [m]
    pub end: Given<f64>,
    /// Inside diameter. [m]
    pub diameter: Given<f64>,
    /// Downspouts and basins that it takes.
    pub takes: Vec<ElementRef>,
    /// The drain, basin or outlet to which it leads.
    pub leads_to: Option<ElementRef>,
}

/// A basin that takes water in at the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Basin {
    /// Identity.
    pub id: ElementId,
    /// Where.
    pub at: Place,
    /// Width of the grate. [m]
    pub width: Given<f64>,
    /// Depth of the sump below the outgoing pipe. [m]
    pub sump: Given<f64>,
}

/// A place to get at a pipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Cleanout {
    /// Identity.
    pub id: ElementId,
    /// Where.
    pub at: Place,
    /// Height of its cap. [m]
    pub cap: Given<f64>,
}

words! {
    /// Where water is let go.
    OutletKind, "kind of outlet" {
        /// Through the kerb to the street.
        Kerb = "kerb",
        /// Onto the ground.
        Daylight = "daylight",
        /// Into a pit of stone.
        DryWell = "dry well",
        /// Into a planted basin.
        RainGarden = "rain garden",
        /// Into a public storm sewer.
        StormSewer = "storm sewer",
    }
}

/// Where water is let go.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlet {
    /// Identity.
    pub id: ElementId,
    /// What it is.
    pub kind: OutletKind,
    /// Where.
    pub at: Place,
    /// By whose leave, in words; empty where nobody has asked.
    pub allowed: String,
    /// Width of a dry well, or of a rain garden's bottom taken as round. [m]
    pub width: Given<f64>,
    /// Depth of stone, or of ponding. [m]
    pub depth: Given<f64>,
    /// Share of the stone, or of the soil below, that holds water.
    pub voids: Given<f64>,
}
