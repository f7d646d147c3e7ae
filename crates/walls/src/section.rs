//! A wall's section: what it is made of and what stands behind, under and on it.
//!
//! - In: plain numbers per metre of wall. Every formula over them is one of ratios, so that any coherent
//!   set of units gives the same factors; the project uses SI.
//! - The stone behind the units drains and is not counted as soil held or holding. The units' own
//!   weight is that with the fill of their cores.
//! - The wall's height runs from the base of the lowest course to the top of the highest, embedment
//!   included: that is the height the soil pushes against.
//! - Not here: whether it stands (`gravity.rs`, `reinforced.rs`, `global.rs`).

use crate::coulomb;
use crate::positive::{NotUsable, above_zero, not_below_zero, within};
use crate::pressure::{Pressure, PressureError, Quake, Wedge, batter};

/// A soil.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Soil {
    /// Angle of friction. [rad]
    pub friction: f64,
    /// Unit weight. [N/m³]
    pub unit_weight: f64,
    /// Cohesion. [Pa] Counts for bearing and slip circles of the foundation only.
    pub cohesion: f64,
}

/// A strength that grows with the load on the joint: at no load plus load times the tangent of an angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Without load. [N/m]
    pub at_no_load: f64,
    /// Angle of growth. [rad]
    pub angle: f64,
}

/// The stack of units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Facing {
    /// Count of courses, the buried ones included.
    pub courses: usize,
    /// Height of a course. [m]
    pub height: f64,
    /// Depth of a unit, front to back. [m]
    pub depth: f64,
    /// Setback of each course against the one below. [m]
    pub setback: f64,
    /// Unit weight of the units with their fill. [N/m³]
    pub unit_weight: f64,
    /// Shear between courses.
    pub shear: Strength,
}

/// The levelling pad of compacted stone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pad {
    /// Thickness. [m]
    pub thickness: f64,
    /// How far it reaches beyond the units, before and behind. [m]
    pub beyond: f64,
    /// Unit weight. [N/m³]
    pub unit_weight: f64,
    /// Angle of friction. [rad]
    pub friction: f64,
}

/// Uniform load on the ground above the wall. [Pa]
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Load {
    /// That comes and goes: it drives and never holds.
    pub live: f64,
    /// That stays: on a reinforced block it also holds.
    pub dead: f64,
}

/// Walking on a terrace above: 100 psf, common practice, from memory. [Pa]
pub const WALKED: f64 = 100.0 * groundwright_units::constants::PSF;
/// Cars above: 250 psf. Source: Highway Engineering Handbook, chapter 8, wall example. [Pa]
pub const DRIVEN: f64 = 250.0 * groundwright_units::constants::PSF;

impl Load {
    /// Both together. [Pa]
    pub fn whole(&self) -> f64 {
        self.live + self.dead
    }
}

/// A wall's section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// The stack of units.
    pub facing: Facing,
    /// The pad under it.
    pub pad: Pad,
    /// The soil it holds.
    pub retained: Soil,
    /// The soil under it.
    pub foundation: Soil,
    /// Friction between the held soil and the units. [rad] Two thirds of the soil's, as a rule.
    pub wall_friction: f64,
    /// Slope of the ground above. [rad]
    pub slope: f64,
    /// Load on the ground above.
    pub load: Load,
    /// Depth of the lowest course's base under the ground in front. [m]
    pub embedment: f64,
    /// Ground motion, where the wall shall stand one.
    pub quake: Option<Quake>,
}

/// Thrust on a back over its height, by Coulomb.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thrust {
    /// Height of the back. [m]
    pub height: f64,
    /// Coefficient and parts.
    pub pressure: Pressure,
    /// Inclination of the critical plane. [rad]
    pub plane: f64,
    /// Of the soil, K γ H² / 2. [N/m]
    pub soil: f64,
    /// Of the load, K q H. [N/m]
    pub load: f64,
    /// Of the soil, across. [N/m] Acts at H/3.
    pub soil_horizontal: f64,
    /// Of the soil, downwards. [N/m]
    pub soil_vertical: f64,
    /// Of the load, across. [N/m] Acts at H/2.
    pub load_horizontal: f64,
    /// Of the load, downwards. [N/m]
    pub load_vertical: f64,
    /// Across, in all. [N/m]
    pub horizontal: f64,
    /// Overturning moment about the base. [N]
    pub moment: f64,
}

impl Soil {
    /// Friction on concrete units: two thirds of the soil's. [rad] Common practice, from memory.
    pub fn on_units(&self) -> f64 {
        self.friction * 2.0 / 3.0
    }

    fn check(&self, names: [&'static str; 3]) -> Result<(), NotUsable> {
        let good = self.friction > 0.0 && self.friction < 50_f64.to_radians();
        within(names[0], self.friction, "rad", good, "an angle above 0 and below 50° (0.873)")?;
        above_zero(names[1], self.unit_weight, "N/m³")?;
        not_below_zero(names[2], self.cohesion, "Pa")
    }

    pub(crate) fn check_retained(&self) -> Result<(), NotUsable> {
        self.check([
            "the friction of the retained soil",
            "the unit weight of the retained soil",
            "the cohesion of the retained soil",
        ])
    }

    pub(crate) fn check_fill(&self) -> Result<(), NotUsable> {
        self.check([
            "the friction of the reinforced fill",
            "the unit weight of the reinforced fill",
            "the cohesion of the reinforced fill",
        ])
    }

    pub(crate) fn check_foundation(&self) -> Result<(), NotUsable> {
        self.check([
            "the friction of the foundation",
            "the unit weight of the foundation",
            "the cohesion of the foundation",
        ])
    }
}

impl Strength {
    /// Under a load. [N/m]
    pub fn under(&self, load: f64) -> f64 {
        self.at_no_load + load * self.angle.tan()
    }

    pub(crate) fn check(&self, what: &'static str) -> Result<(), NotUsable> {
        not_below_zero(what, self.at_no_load, "N/m")?;
        let good = self.angle >= 0.0 && self.angle < 60_f64.to_radians();
        within(what, self.angle, "rad", good, "an angle from 0 to below 60° (1.047)")
    }
}

impl Facing {
    /// Height of the whole stack. [m]
    pub fn total(&self) -> f64 {
        self.courses as f64 * self.height
    }

    /// Weight of a course. [N/m]
    pub fn course_weight(&self) -> f64 {
        self.height * self.depth * self.unit_weight
    }

    /// Lever arm of the top `count` courses from the front of the lowest of them: the mean of the courses. [m]
    pub fn arm(&self, count: usize) -> f64 {
        self.depth / 2.0 + self.setback * (count as f64 - 1.0).max(0.0) / 2.0
    }

    pub(crate) fn check(&self) -> Result<(), NotUsable> {
        let courses = self.courses as f64;
        within(
            "the count of courses",
            courses,
            "",
            (1..=60).contains(&self.courses),
            "a count from 1 to 60",
        )?;
        above_zero("the height of a course", self.height, "m")?;
        above_zero("the depth of a unit", self.depth, "m")?;
        above_zero("the unit weight of the units", self.unit_weight, "N/m³")?;
        let good = self.setback >= 0.0 && self.setback <= self.height;
        within("the setback", self.setback, "m", good, "from 0 to the height of a course")?;
        self.shear.check("the shear between units")
    }
}

impl Section {
    /// Whether every number can be used.
    pub fn check(&self) -> Result<(), NotUsable> {
        self.facing.check()?;
        self.retained.check_retained()?;
        self.foundation.check_foundation()?;
        not_below_zero("the thickness of the pad", self.pad.thickness, "m")?;
        not_below_zero("the pad beyond the units", self.pad.beyond, "m")?;
        above_zero("the unit weight of the pad", self.pad.unit_weight, "N/m³")?;
        let good = self.pad.friction > 0.0 && self.pad.friction < 60_f64.to_radians();
        within("the friction of the pad", self.pad.friction, "rad", good, "an angle above 0 and below 60°")?;
        not_below_zero("the live load", self.load.live, "Pa")?;
        not_below_zero("the dead load", self.load.dead, "Pa")?;
        let total = self.facing.total();
        let good = self.embedment >= 0.0 && self.embedment < total;
        within("the embedment", self.embedment, "m", good, "from 0 to below the wall's whole height")
    }

    /// Height above the ground in front. [m]
    pub fn exposed(&self) -> f64 {
        self.facing.total() - self.embedment
    }

    /// Height from the bottom of the pad to the top, by which permits are asked for. [m]
    pub fn permit_height(&self) -> f64 {
        self.facing.total() + self.pad.thickness
    }

    /// Batter of the stack. [rad]
    pub fn batter(&self) -> Result<f64, NotUsable> {
        batter(self.facing.setback, self.facing.height)
    }

    /// The wedge of held soil behind the units.
    pub(crate) fn wedge(&self) -> Result<Wedge, NotUsable> {
        Ok(Wedge {
            friction: self.retained.friction,
            wall_friction: self.wall_friction,
            batter: self.batter()?,
            slope: self.slope,
        })
    }
}

/// Thrust of a soil and a load on a back.
///
/// # Arguments
/// - `wedge`: of the soil; `unit_weight`: of it [N/m³]; `load`: on the ground above, by plan area [Pa].
/// - `height`: of the back, upright. [m]
///
/// # Errors
/// As [`coulomb::active`].
pub fn thrust(wedge: &Wedge, unit_weight: f64, load: f64, height: f64) -> Result<Thrust, PressureError> {
    above_zero("the unit weight of the soil", unit_weight, "N/m³")?;
    not_below_zero("the load", load, "Pa")?;
    above_zero("the height of the back", height, "m")?;
    let pressure = coulomb::active(wedge)?;
    let plane = coulomb::critical_plane(wedge)?;
    let soil = 0.5 * unit_weight * height * height;
    let pushed = load * wedge.load_share() * height;
    let (soil_horizontal, load_horizontal) = (pressure.horizontal * soil, pressure.horizontal * pushed);
    Ok(Thrust {
        height,
        pressure,
        plane,
        soil: pressure.coefficient * soil,
        load: pressure.coefficient * pushed,
        soil_horizontal,
        soil_vertical: pressure.vertical * soil,
        load_horizontal,
        load_vertical: pressure.vertical * pushed,
        horizontal: soil_horizontal + load_horizontal,
        moment: soil_horizontal * height / 3.0 + load_horizontal * height / 2.0,
    })
}
