//! Light along a wall from its foot, and a pool of light from above: closed forms for one fixture.
//!
//! - In: a beam, distances, the tilt of its aim. Out: distance, angle off the axis, intensity, lux.
//! - Method: E = I s / d³ on the wall, E = I h / d³ on the ground: inverse square with both cosines.
//! - Assumes a plane wall and level ground with nothing between; shadows are in `illuminance.rs`.
//! - A light a few inches from a wall gives thousands of lux low down: the numbers are not clamped.

use glam::DVec3;

use crate::positive::{above_zero, within};
use crate::{Beam, NotUsable};

/// A place in the light of one fixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lit {
    /// Distance from the fixture. [m]
    pub distance: f64,
    /// Angle off its axis. [rad]
    pub off_axis: f64,
    /// Intensity towards the place. [cd]
    pub candela: f64,
    /// Illuminance. [lx]
    pub lux: f64,
}

/// A place on a wall above a fixture on the ground.
///
/// # Arguments
/// - `setback`: from the wall. [m] Above zero.
/// - `height`, `aside`: of the place on the wall, from the fixture. [m]
/// - `tilt`: of the aim from straight up towards the wall. [rad]
///
/// # Errors
/// [`NotUsable`] for a number out of its range.
pub fn graze(beam: &Beam, setback: f64, height: f64, aside: f64, tilt: f64) -> Result<Lit, NotUsable> {
    above_zero("setback", setback, "m")?;
    within("height on the wall", height, "m", height.is_finite(), "a finite number")?;
    within("distance aside", aside, "m", aside.is_finite(), "a finite number")?;
    within("tilt", tilt, "rad", tilt.is_finite(), "a finite angle")?;
    let way = DVec3::new(aside, setback, height);
    let aim = DVec3::new(0.0, tilt.sin(), tilt.cos());
    Ok(lit(beam, way, aim, setback))
}

/// A place on the ground below a fixture that is aimed straight down.
///
/// # Arguments
/// - `height`: of the fixture. [m] Above zero.
/// - `aside`: from the place below it. [m]
///
/// # Errors
/// [`NotUsable`] for a number out of its range.
pub fn downlight(beam: &Beam, height: f64, aside: f64) -> Result<Lit, NotUsable> {
    above_zero("height of the fixture", height, "m")?;
    within("distance aside", aside, "m", aside.is_finite(), "a finite number")?;
    Ok(lit(beam, DVec3::new(aside, 0.0, -height), DVec3::NEG_Z, height))
}

/// Diameter of the pool within the beam angle, on ground square to the axis. [m]
pub fn pool_diameter(beam: &Beam, height: f64) -> f64 {
    2.0 * height * (0.5 * beam.beam_angle()).tan()
}

/// `depth` is the distance from the fixture to the plane.
fn lit(beam: &Beam, way: DVec3, aim: DVec3, depth: f64) -> Lit {
    let distance = way.length();
    let off_axis = aim.cross(way).length().atan2(aim.dot(way));
    let candela = beam.candela(off_axis);
    Lit { distance, off_axis, candela, lux: candela * depth / distance.powi(3) }
}
