//! The wedge of soil behind a wall: its angles, the limits within which the formulas hold, and what
//! comes out of them.
//!
//! - Angles are in radians. The batter counts from the vertical and is positive when the wall leans
//!   into the soil it holds, which lowers the thrust; texts that measure the back of the wall from the
//!   horizontal mean 90° plus the batter.
//! - The slope is that of the ground above the wall, positive when it rises away from the wall.
//! - Not here: the formulas themselves (`coulomb.rs`, `rankine.rs`, `mononobe_okabe.rs`).

use std::f64::consts::FRAC_PI_2;

use crate::positive::{NotUsable, within};

/// A wedge of soil behind a wall, as all formulas of earth pressure see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wedge {
    /// Angle of friction of the soil. [rad] Above 0 and below 60°.
    pub friction: f64,
    /// Friction between soil and wall. [rad] From 0 to the soil's own.
    pub wall_friction: f64,
    /// Batter, positive leaning into the soil. [rad] Within ±45°.
    pub batter: f64,
    /// Slope of the ground above the wall, positive rising away. [rad]
    pub slope: f64,
}

/// Thrust of a wedge at rest or moving, as a share of what a fluid of the soil's weight would give.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pressure {
    /// Coefficient K: the thrust is K γ H² / 2.
    pub coefficient: f64,
    /// Its part across the wall: K cos(δ − ω).
    pub horizontal: f64,
    /// Its downward part: K sin(δ − ω); below zero it lifts.
    pub vertical: f64,
}

/// Ground motion as an equivalent steady acceleration, in shares of gravity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quake {
    /// Horizontal coefficient kh. From 0 to below 1.
    pub horizontal: f64,
    /// Vertical coefficient kv, positive upwards. Above −1 and below 1.
    pub vertical: f64,
}

/// Why an earth pressure has no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PressureError {
    /// A number that the formula cannot use.
    #[error(transparent)]
    NotUsable(#[from] NotUsable),
    /// The slope above the wall does not stand by itself.
    #[error(
        "the ground above the wall rises at {:.1}°, more than the {:.1}° of its friction: the slope itself moves; \
         flatten it to below {:.1}° or have it designed",
        slope.to_degrees(), friction.to_degrees(), friction.to_degrees()
    )]
    SlopeMoves {
        /// Slope of the ground. [rad]
        slope: f64,
        /// Friction of the soil. [rad]
        friction: f64,
    },
    /// In the earthquake the slope above the wall moves.
    #[error(
        "under this ground motion (angle {:.2}°) ground that rises at {:.1}° with a friction of {:.1}° moves by itself; \
         a slope up to {:.1}° stands",
        angle.to_degrees(), slope.to_degrees(), friction.to_degrees(), (friction - angle).to_degrees()
    )]
    SlopeMovesShaken {
        /// Seismic angle ψ. [rad]
        angle: f64,
        /// Slope of the ground. [rad]
        slope: f64,
        /// Friction of the soil. [rad]
        friction: f64,
    },
    /// The batter is so flat that the wall is no wall.
    #[error(
        "a batter of {:.1}° with a friction of {:.1}° makes a lining of a slope that stands by itself; \
         expected both together below 90°",
        batter.to_degrees(), friction.to_degrees()
    )]
    Lining {
        /// Batter. [rad]
        batter: f64,
        /// Friction of the soil. [rad]
        friction: f64,
    },
    /// The passive formula ends before this wall friction and slope.
    #[error(
        "the passive formula of plane wedges has no answer for a wall friction of {:.1}° under a slope of {:.1}°; \
         take a smaller wall friction, at most a third of the soil's",
        wall_friction.to_degrees(), slope.to_degrees()
    )]
    NoPassiveWedge {
        /// Wall friction. [rad]
        wall_friction: f64,
        /// Slope of the ground. [rad]
        slope: f64,
    },
}

impl Wedge {
    /// Whether the numbers are those of a wall in soil.
    pub(crate) fn check(&self) -> Result<(), PressureError> {
        let Self { friction, wall_friction, batter, slope } = *self;
        let limit = std::f64::consts::FRAC_PI_3;
        within(
            "the friction angle",
            friction,
            "rad",
            friction > 0.0 && friction < limit,
            "an angle above 0 and below 60° (1.047)",
        )?;
        // A whisker above the soil's own friction is rounding of degrees, not a mistake.
        let good = wall_friction >= 0.0 && wall_friction <= friction + 1e-9;
        within("the wall friction", wall_friction, "rad", good, "an angle from 0 to the soil's friction")?;
        let good = batter.abs() <= std::f64::consts::FRAC_PI_4;
        within("the batter", batter, "rad", good, "an angle within ±45° (0.785)")?;
        let good = slope.abs() < FRAC_PI_2 && (batter + slope).abs() < FRAC_PI_2;
        within("the slope", slope, "rad", good, "an angle that meets the wall, within ±90° (1.571)")?;
        if slope > friction {
            return Err(PressureError::SlopeMoves { slope, friction });
        }
        if friction + batter >= FRAC_PI_2 {
            return Err(PressureError::Lining { batter, friction });
        }
        Ok(())
    }

    /// Parts of a coefficient whose thrust acts at the wall friction to the normal of the wall's back.
    pub(crate) fn parts(&self, coefficient: f64) -> Pressure {
        let to_level = self.wall_friction - self.batter;
        Pressure {
            coefficient,
            horizontal: coefficient * to_level.cos(),
            vertical: coefficient * to_level.sin(),
        }
    }

    /// Share by which a uniform load, by plan area, counts on sloping ground: cos β cos ω / cos(β + ω).
    ///
    /// # Source
    /// The load over a plane wedge against the wedge's weight, plane statics; 1 on level ground.
    pub(crate) fn load_share(&self) -> f64 {
        self.slope.cos() * self.batter.cos() / (self.slope + self.batter).cos()
    }
}

/// Batter of a stack with a setback to each course. [rad]
///
/// # Arguments
/// - `setback`: of each course against the one below, towards the soil. [m]
/// - `height`: of a course. [m] Above zero.
pub fn batter(setback: f64, height: f64) -> Result<f64, NotUsable> {
    crate::positive::not_below_zero("the setback", setback, "m")?;
    crate::positive::above_zero("the height of a course", height, "m")?;
    Ok((setback / height).atan())
}
