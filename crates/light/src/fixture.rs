//! A fixture in its place: where it stands, where it is aimed, what it gives there.
//!
//! - In: place, aim, spin about the aim, a distribution, factors. Out: intensity towards a place.
//! - A distribution's axis is the aim. One that hangs straight down has its horizontal angle 0 to the
//!   east, counter-clockwise seen from above, plus the spin; aiming turns it the shortest way.

use std::sync::Arc;

use glam::{DQuat, DVec3};
use groundwright_geometry::Point3;

use crate::ies::Photometry;
use crate::positive::{above_zero, not_below_zero, within};
use crate::{Beam, NotUsable};

/// How light leaves a fixture.
#[derive(Debug, Clone, PartialEq)]
pub enum Distribution {
    /// By formula.
    Beam(Beam),
    /// Alike all round: ascending angles off the axis with intensities, linear between, nothing
    /// beyond the last. [rad, cd]
    Profile(Vec<(f64, f64)>),
    /// By a photometric file.
    File(Arc<Photometry>),
}

impl Distribution {
    /// Intensity in a direction off the axis and about it. [rad, rad → cd]
    pub fn candela(&self, off_axis: f64, about: f64) -> f64 {
        match self {
            Self::Beam(beam) => beam.candela(off_axis),
            Self::File(file) => file.candela(off_axis, about),
            Self::Profile(profile) => {
                let after = profile.partition_point(|(angle, _)| *angle <= off_axis);
                match (after.checked_sub(1).and_then(|i| profile.get(i)), profile.get(after)) {
                    (Some((a, i)), Some((b, j))) => i + (j - i) * (off_axis - a) / (b - a),
                    (Some((a, i)), None) if *a >= off_axis => *i,
                    _ => 0.0,
                }
            }
        }
    }
}

/// A fixture.
#[derive(Debug, Clone, PartialEq)]
pub struct Fixture {
    /// Where its light comes from. [m]
    pub at: Point3,
    /// How light leaves it.
    pub distribution: Distribution,
    /// Dirt, age and temperature as one factor; 1 for a new one, 0.7 to 0.9 by common practice.
    pub light_loss: f64,
    /// Level of dimming, 0 to 1.
    pub level: f64,
    /// Angle from the aim beyond which a shield lets nothing out. [rad]
    cut_off: f64,
    axis: DVec3,
    east: DVec3,
    north: DVec3,
}

impl Fixture {
    /// A fixture aimed at a place, undimmed, without loss.
    ///
    /// # Errors
    /// [`NotUsable`] where place and target are the same or not finite.
    pub fn aimed(at: Point3, target: Point3, distribution: Distribution) -> Result<Self, NotUsable> {
        Self::towards(at, vector(target) - vector(at), 0.0, distribution)
    }

    /// A fixture aimed in a direction of any length, with a spin about it. [rad]
    ///
    /// # Errors
    /// [`NotUsable`] for a direction without length, a place or spin that is not finite.
    pub fn towards(at: Point3, aim: DVec3, spin: f64, distribution: Distribution) -> Result<Self, NotUsable> {
        above_zero("length of the aim", aim.length(), "m")?;
        within("place of the fixture", at.x, "m", vector(at).is_finite(), "finite coordinates")?;
        within("spin", spin, "rad", spin.is_finite(), "a finite angle")?;
        let axis = aim.normalize();
        let turn = DQuat::from_rotation_arc(DVec3::NEG_Z, axis);
        let east = turn * DVec3::new(spin.cos(), spin.sin(), 0.0);
        let north = turn * DVec3::new(-spin.sin(), spin.cos(), 0.0);
        Ok(Self {
            at,
            distribution,
            light_loss: 1.0,
            level: 1.0,
            cut_off: std::f64::consts::PI,
            axis,
            east,
            north,
        })
    }

    /// The same with another light-loss factor and level.
    ///
    /// # Errors
    /// [`NotUsable`] for a factor below zero, or a level that is not from 0 to 1.
    pub fn with(self, light_loss: f64, level: f64) -> Result<Self, NotUsable> {
        not_below_zero("light-loss factor", light_loss, "")?;
        crate::positive::share("level of dimming", level)?;
        Ok(Self { light_loss, level, ..self })
    }

    /// The same behind a shield that lets nothing out beyond an angle from the aim. [rad]
    #[must_use]
    pub fn shielded(self, cut_off: Option<f64>) -> Self {
        Self { cut_off: cut_off.unwrap_or(std::f64::consts::PI), ..self }
    }

    /// The aim, of length 1.
    pub fn axis(&self) -> DVec3 {
        self.axis
    }

    /// Angle between the aim and a direction of length 1. [rad]
    pub fn off_axis(&self, direction: DVec3) -> f64 {
        // By both sine and cosine, since a cosine alone loses half of its digits on the axis.
        self.axis.cross(direction).length().atan2(self.axis.dot(direction))
    }

    /// Intensity in a direction of length 1, with losses, at full level. [cd]
    pub fn full_candela(&self, direction: DVec3) -> f64 {
        let off_axis = self.off_axis(direction);
        if off_axis > self.cut_off {
            return 0.0;
        }
        let about = direction.dot(self.north).atan2(direction.dot(self.east));
        self.light_loss * self.distribution.candela(off_axis, about)
    }

    /// Intensity in a direction of length 1, with losses and dimming. [cd]
    pub fn candela(&self, direction: DVec3) -> f64 {
        self.level * self.full_candela(direction)
    }
}

/// A place as a vector.
pub(crate) fn vector(at: Point3) -> DVec3 {
    DVec3::new(at.x, at.y, at.z)
}
