//! Beams by formula, where no photometric file is at hand.
//!
//! - In: a shape, the beam angle, centre intensity or lumens. Out: intensity off the axis, flux,
//!   field angle.
//! - Beam angle: full angle between the directions of half the largest intensity. Field angle: the
//!   same at a tenth (the trade's usual meaning, from memory).
//! - The flat cone overstates the centre by about 40 % for the same lumens: a common mistake.
//! - Assumes alike all round the axis, nothing beyond 90°.

use std::f64::consts::{FRAC_PI_2, LN_2, LN_10, PI, TAU};

use crate::NotUsable;
use crate::positive::{above_zero, within};

/// Intervals of Simpson's rule over a beam; the check values hold with a tenth of them.
const INTERVALS: usize = 4000;

/// How a beam falls off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape {
    /// Even within the beam angle, nothing outside.
    Cone,
    /// I = I0 exp(−ln 2 (t / (B/2))²).
    Gaussian,
    /// I = I0 cos^m t, with m from the beam angle.
    CosinePower,
    /// I = I0 exp(−ln 2 (t / (B/2))^p), with p from beam and field angle, full. [rad]
    Field(f64),
}

/// A beam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beam {
    shape: Shape,
    half_peak_angle: f64,
    peak: f64,
    power: f64,
}

impl Beam {
    /// A beam by its centre intensity.
    ///
    /// # Arguments
    /// - `beam_angle`: full angle at half intensity. [rad] Above 0, below π.
    /// - `peak`: intensity on the axis. [cd] Above zero.
    ///
    /// # Errors
    /// [`NotUsable`] for a number out of its range; a field angle must be above the beam angle.
    pub fn of_peak(shape: Shape, beam_angle: f64, peak: f64) -> Result<Self, NotUsable> {
        let good = beam_angle > 0.0 && beam_angle < PI;
        within("beam angle", beam_angle, "rad", good, "a full angle above 0 and below π (180°)")?;
        above_zero("centre intensity", peak, "cd")?;
        let power = match shape {
            Shape::Cone => 1.0,
            Shape::Gaussian => 2.0,
            Shape::CosinePower => -LN_2 / (0.5 * beam_angle).cos().ln(),
            Shape::Field(field) => {
                let good = field > beam_angle && field < TAU;
                within("field angle", field, "rad", good, "a full angle above the beam angle")?;
                (LN_10 / LN_2).ln() / (field / beam_angle).ln()
            }
        };
        Ok(Self { shape, half_peak_angle: beam_angle, peak, power })
    }

    /// A beam by its flux. [rad, lm]
    ///
    /// # Errors
    /// As [`Beam::of_peak`].
    pub fn of_lumens(shape: Shape, beam_angle: f64, lumens: f64) -> Result<Self, NotUsable> {
        above_zero("flux", lumens, "lm")?;
        let unit = Self::of_peak(shape, beam_angle, 1.0)?;
        Self::of_peak(shape, beam_angle, lumens / unit.flux())
    }

    /// Intensity at an angle off the axis. [cd]
    pub fn candela(&self, off_axis: f64) -> f64 {
        let half = 0.5 * self.half_peak_angle;
        if off_axis.is_nan() || off_axis.abs() > FRAC_PI_2 {
            return 0.0;
        }
        let share = off_axis.abs() / half;
        self.peak
            * match self.shape {
                Shape::Cone if share <= 1.0 => 1.0,
                Shape::Cone => 0.0,
                Shape::Gaussian | Shape::Field(_) => (-LN_2 * share.powf(self.power)).exp(),
                Shape::CosinePower => off_axis.cos().max(0.0).powf(self.power),
            }
    }

    /// Intensity on the axis. [cd]
    pub fn peak(&self) -> f64 {
        self.peak
    }

    /// Full angle at half intensity. [rad]
    pub fn beam_angle(&self) -> f64 {
        self.half_peak_angle
    }

    /// The exponent of the shape: m of the cosine, p of the Gaussian kind.
    pub fn exponent(&self) -> f64 {
        self.power
    }

    /// Full angle at a tenth of the intensity, as the formula runs on; past 180° nothing is there. [rad]
    pub fn field_angle(&self) -> f64 {
        match self.shape {
            Shape::Cone => self.half_peak_angle,
            Shape::Gaussian => self.half_peak_angle * (LN_10 / LN_2).sqrt(),
            Shape::CosinePower => 2.0 * 0.1f64.powf(1.0 / self.power).acos(),
            Shape::Field(field) => field,
        }
    }

    /// Luminous flux within 90° of the axis. [lm]
    ///
    /// # Source
    /// ∫ 2π I(t) sin t dt: closed for cone and cosine, Simpson's rule for the others.
    pub fn flux(&self) -> f64 {
        match self.shape {
            Shape::Cone => TAU * self.peak * (1.0 - (0.5 * self.half_peak_angle).cos()),
            Shape::CosinePower => TAU * self.peak / (self.power + 1.0),
            Shape::Gaussian | Shape::Field(_) => {
                let step = FRAC_PI_2 / INTERVALS as f64;
                let at = |i: usize| {
                    let t = step * i as f64;
                    self.candela(t) * t.sin()
                };
                let inner = (1..INTERVALS).map(|i| if i % 2 == 1 { 4.0 * at(i) } else { 2.0 * at(i) });
                TAU * step / 3.0 * (at(0) + inner.sum::<f64>() + at(INTERVALS))
            }
        }
    }
}
