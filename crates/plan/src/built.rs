//! What is built: walls of dry-stacked units, steps, paving.
//!
//! Levels are heights above the project's datum, as in `ground.rs`. Which stone lies where, and
//! whether a wall stands, is computed from these instructions and never stored.

use crate::identity::{ElementId, ElementRef, Kind};
use crate::shape::{Line, Place};
use crate::standing::Given;
use crate::words::words;

/// Walls, steps and paving.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Built {
    /// Walls.
    pub walls: Vec<Wall>,
    /// Flights of steps.
    pub steps: Vec<Steps>,
    /// Patios and walks.
    pub pavings: Vec<Paving>,
}

impl Built {
    /// Every element of it, in file order by kind.
    pub fn elements(&self) -> Vec<ElementRef> {
        let walls = self.walls.iter().map(|e| ElementRef::new(Kind::Wall, &e.id));
        let steps = self.steps.iter().map(|e| ElementRef::new(Kind::Steps, &e.id));
        let pavings = self.pavings.iter().map(|e| ElementRef::new(Kind::Paving, &e.id));
        walls.chain(steps).chain(pavings).collect()
    }
}

words! {
    /// On which side of a line, as one walks along it.
    SideOfLine, "side of a line" {
        /// Left.
        Left = "left",
        /// Right.
        Right = "right",
    }
}

words! {
    /// How an end of a wall is made.
    WallEnd, "end of a wall" {
        /// Flush: every course ends there.
        Flush = "flush",
        /// Run into the bank.
        Bank = "bank",
    }
}

words! {
    /// A soil as walls feel it, where nobody tested it.
    WallSoil, "soil of a wall" {
        /// Crushed stone of one size.
        CleanStone = "clean stone",
        /// Gravel, well graded.
        Gravel = "gravel",
        /// Sand.
        Sand = "sand",
        /// Sand with silt, loamy sand, sandy loam.
        SiltySand = "silty sand",
        /// Silt, loam.
        Silt = "silt",
        /// Clay of low plasticity, clay loam.
        LeanClay = "lean clay",
        /// Clay that swells and shrinks.
        FatClay = "fat clay",
    }
}

words! {
    /// What presses on the ground above a wall.
    WallLoad, "load above a wall" {
        /// Nothing but rain and a gardener.
        Nothing = "nothing",
        /// People.
        Walked = "walked",
        /// Cars.
        Driven = "driven",
    }
}

/// Levels along a wall.
#[derive(Debug, Clone, PartialEq)]
pub enum WallLevels {
    /// As the ground lies there once it is graded.
    Ground,
    /// One level. [m]
    Level(f64),
    /// Levels at places, straight between the nearest stations. [m]
    Spots(Vec<(Place, f64)>),
}

impl WallLevels {
    /// Whether the wall is told its levels, and so shapes the ground.
    pub fn is_told(&self) -> bool {
        !matches!(self, Self::Ground)
    }
}

/// A segmental retaining wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Wall {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Stock id of its units.
    pub units: String,
    /// Face of the lowest course.
    pub line: Line,
    /// On which side of the line the soil lies.
    pub soil: SideOfLine,
    /// Wanted top of the wall, its cap included.
    pub top: WallLevels,
    /// Finished ground in front.
    pub foot: WallLevels,
    /// How its ends are made, as one faces it: left, right.
    pub ends: [WallEnd; 2],
    /// Soil that it holds.
    pub retained: Given<WallSoil>,
    /// Friction of that soil, where it was tested. [rad]
    pub retained_friction: Option<Given<f64>>,
    /// Soil under it.
    pub foundation: Given<WallSoil>,
    /// Friction of that soil, where it was tested. [rad]
    pub foundation_friction: Option<Given<f64>>,
    /// Soil among layers of reinforcement, where it takes any.
    pub fill: WallSoil,
    /// Stock id of the reinforcement that is laid where weight alone does not do; empty for none.
    pub grid: String,
    /// What presses on the ground above.
    pub load: Given<WallLoad>,
    /// Rise of the ground above, rise over run.
    pub slope: Given<f64>,
    /// Whether water seeps from the ground that it holds.
    pub water: Given<bool>,
    /// Ground motion that it shall stand, a share of gravity.
    pub quake: Option<Given<f64>>,
    /// Whether a fence or guard stands on or close behind it.
    pub fence: bool,
}

/// A flight of steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Middle of the lowest riser.
    pub from: Place,
    /// A place towards which they rise.
    pub toward: Place,
    /// Width between the cheeks. [m]
    pub width: Given<f64>,
    /// Level at the foot. [m]
    pub foot: f64,
    /// Level at the top. [m]
    pub top: f64,
    /// Wanted height of a riser. [m]
    pub riser: Given<f64>,
    /// Wanted depth of a tread. [m]
    pub tread: Given<f64>,
    /// What they are made of.
    pub material: String,
    /// Stock id of the units of their cheek walls; empty for none.
    pub cheeks: String,
}

impl Steps {
    /// Height from foot to top. [m]
    pub fn rise(&self) -> f64 {
        self.top - self.foot
    }

    /// Count of risers of even height nearest to the one wanted, at least one.
    pub fn risers(&self) -> usize {
        (self.rise() / self.riser.value).round().clamp(1.0, 200.0) as usize
    }

    /// Length in plan: the top tread is the ground above. [m]
    pub fn run(&self) -> f64 {
        (self.risers() - 1) as f64 * self.tread.value
    }
}

/// A patio or walk to be laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Paving {
    /// Identity.
    pub id: ElementId,
    /// Name on the drawing.
    pub label: String,
    /// Outline.
    pub outline: Line,
    /// Stock id of the pavers.
    pub product: String,
    /// Thickness of the compacted base. [m]
    pub base: Given<f64>,
    /// Thickness of the bedding. [m]
    pub bedding: Given<f64>,
    /// Whether an edge restraint runs along its free edges.
    pub restraint: bool,
    /// Whether cars drive on it.
    pub driven: bool,
}
