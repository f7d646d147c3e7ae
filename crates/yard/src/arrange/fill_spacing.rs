//! Spread of a plant over the years, and the spacing at which a planting closes.
//!
//! - In: spread when planted, mature spread, growth class. [m] Out: spread after t years, years to
//!   a spread, spacing on centre at which crowns touch by then.
//! - Method: the gain still to come shrinks by the same share every year,
//!   s(t) = s1 - (s1 - s0) exp(-k t).
//! - Source: common practice, no source. No open data on the growth of shrubs is known; the curve
//!   is the plainest that starts fast, never turns down and never passes the mature spread. Its
//!   rate is stated by [`GrowthClass::years_to_nine_tenths`].
//! - Not here: height, trees with measured equations, which class a taxon belongs to.

use std::f64::consts::LN_10;

/// How fast a plant grows up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum GrowthClass {
    /// About a foot a year or less while young.
    Slow,
    /// About one to two feet a year while young.
    Medium,
    /// More than two feet a year while young.
    Fast,
}

impl GrowthClass {
    /// Years after which nine tenths of the gain in spread are there: 20, 12 and 7. [year]
    /// Common practice, no source.
    pub const fn years_to_nine_tenths(self) -> f64 {
        match self {
            Self::Slow => 20.0,
            Self::Medium => 12.0,
            Self::Fast => 7.0,
        }
    }

    /// The rate k of the curve. [1/year]
    pub fn rate(self) -> f64 {
        LN_10 / self.years_to_nine_tenths()
    }
}

/// A plant's spread from planting to maturity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreadCurve {
    /// Spread when planted. [m]
    pub planted: f64,
    /// Mature spread. [m]
    pub mature: f64,
    /// How fast it gets there.
    pub class: GrowthClass,
}

/// Why a spread has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SpreadFault {
    /// A spread that is not a finite number above zero.
    #[error("the {what} spread is {value} m, expected a finite length above zero")]
    NotPositive {
        /// Which spread.
        what: &'static str,
        /// The value given. [m]
        value: f64,
    },
    /// The plant is set wider than it will ever be.
    #[error(
        "the plant is {planted} m wide when planted and {mature} m when mature; \
         correct the size bought or the mature spread"
    )]
    Shrinking {
        /// Spread when planted. [m]
        planted: f64,
        /// Mature spread. [m]
        mature: f64,
    },
    /// Years that are not a finite number, or below zero.
    #[error("{years} years after planting, expected a finite number not below zero")]
    Years {
        /// The years given. [year]
        years: f64,
    },
    /// A spread that the curve does not reach in finite time.
    #[error(
        "a spread of {wanted} m is not reached: the plant is {planted} m wide when planted and \
         stays below its mature {mature} m; plant closer or choose a wider plant"
    )]
    NeverReached {
        /// Spread asked for. [m]
        wanted: f64,
        /// Spread when planted. [m]
        planted: f64,
        /// Mature spread. [m]
        mature: f64,
    },
}

impl SpreadCurve {
    /// Spread after some years. [m] Between the planted and the mature spread, never falling.
    ///
    /// # Arguments
    /// - `years`: years after planting, not below zero. [year]
    pub fn spread(&self, years: f64) -> Result<f64, SpreadFault> {
        self.check()?;
        if !(years.is_finite() && years >= 0.0) {
            return Err(SpreadFault::Years { years });
        }
        let gain = self.mature - self.planted;
        Ok(self.mature - gain * (-self.class.rate() * years).exp())
    }

    /// Years after which the plant has a spread, the inverse of [`SpreadCurve::spread`]. [year]
    ///
    /// # Errors
    /// [`SpreadFault::NeverReached`] below the planted spread and from the mature spread on.
    pub fn years_to(&self, wanted: f64) -> Result<f64, SpreadFault> {
        self.check()?;
        let Self { planted, mature, .. } = *self;
        if !(wanted >= planted && wanted < mature) {
            return Err(SpreadFault::NeverReached { wanted, planted, mature });
        }
        let left = (mature - wanted) / (mature - planted);
        Ok((-left.ln() / self.class.rate()).max(0.0))
    }

    /// Spacing on centre at which the crowns of like plants touch after some years: their spread
    /// then. [m]
    pub fn spacing_to_fill(&self, years: f64) -> Result<f64, SpreadFault> {
        self.spread(years)
    }

    fn check(&self) -> Result<(), SpreadFault> {
        for (what, value) in [("planted", self.planted), ("mature", self.mature)] {
            if !(value.is_finite() && value > 0.0) {
                return Err(SpreadFault::NotPositive { what, value });
            }
        }
        if self.planted > self.mature {
            return Err(SpreadFault::Shrinking { planted: self.planted, mature: self.mature });
        }
        Ok(())
    }
}

/// Spacing on centre at which two unlike plants touch after some years: half of each spread. [m]
pub fn spacing_between(one: &SpreadCurve, other: &SpreadCurve, years: f64) -> Result<f64, SpreadFault> {
    Ok(f64::midpoint(one.spread(years)?, other.spread(years)?))
}
