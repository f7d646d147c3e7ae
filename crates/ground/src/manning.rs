//! Uniform flow in swales and pipes that are not full, by Manning.
//!
//! - In: a cross-section, depth, roughness, slope. [m] Out: velocity and flow. [m/s, m³/s]
//! - Source: Manning's equation V = R^(2/3) S^(1/2) / n in SI; in customary units the factor
//!   1.486 = 3.28084^(1/3) is contained.
//! - Assumes steady uniform flow with a free surface.

use std::f64::consts::PI;

use crate::positive::{NotUsable, above_zero, not_below_zero};

/// A cross-section of constant form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Section {
    /// A flat bottom and upright sides.
    Rectangle {
        /// Width of the bottom. [m]
        bottom: f64,
    },
    /// A flat bottom and sides of one slope; a bottom of 0 makes a V.
    Trapezoid {
        /// Width of the bottom. [m] Not below zero.
        bottom: f64,
        /// Side slope, horizontal to one vertical.
        side: f64,
    },
    /// A round pipe.
    Circle {
        /// Inside diameter. [m]
        diameter: f64,
    },
}

/// What a section holds at a depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wetted {
    /// Area of flow. [m²]
    pub area: f64,
    /// Wetted perimeter. [m]
    pub perimeter: f64,
    /// Width of the water's surface. [m]
    pub surface: f64,
}

/// Uniform flow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uniform {
    /// Depth. [m]
    pub depth: f64,
    /// Area of flow. [m²]
    pub area: f64,
    /// Wetted perimeter. [m]
    pub perimeter: f64,
    /// Hydraulic radius. [m]
    pub radius: f64,
    /// Mean velocity. [m/s]
    pub velocity: f64,
    /// Flow. [m³/s]
    pub flow: f64,
}

/// Why a flow has no answer.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ManningError {
    /// A number that the formula cannot use.
    #[error(transparent)]
    NotUsable(#[from] NotUsable),
    /// Deeper than the section is.
    #[error("the depth {depth} m is more than the section's {full} m; the section runs over or full")]
    TooDeep {
        /// Depth asked for. [m]
        depth: f64,
        /// Depth of the section. [m]
        full: f64,
    },
    /// More than the section can carry.
    #[error(
        "{flow:.5} m³/s is more than the {most:.5} m³/s that the section carries; enlarge it or make it steeper"
    )]
    TooMuch {
        /// Flow asked for. [m³/s]
        flow: f64,
        /// The most it carries. [m³/s]
        most: f64,
    },
}

/// Depth of the largest flow in a pipe, as a share of its diameter: where A R^(2/3) is greatest.
///
/// # Source
/// Root of d(A R^(2/3))/dθ = 0 for a circle, θ = 302.41°, depth 0.93818 D.
pub const LARGEST_FLOW_SHARE: f64 = 0.938_18;

impl Section {
    /// What the section holds at a depth. [m]
    ///
    /// # Errors
    /// Sizes or a depth not above zero, a pipe deeper than full.
    pub fn wetted(&self, depth: f64) -> Result<Wetted, ManningError> {
        above_zero("the depth", depth, "m")?;
        match *self {
            Self::Rectangle { bottom } => {
                above_zero("the bottom width", bottom, "m")?;
                Ok(Wetted { area: bottom * depth, perimeter: bottom + 2.0 * depth, surface: bottom })
            }
            Self::Trapezoid { bottom, side } => {
                not_below_zero("the bottom width", bottom, "m")?;
                not_below_zero("the side slope", side, "")?;
                above_zero("bottom width and side slope together", bottom + side, "")?;
                Ok(Wetted {
                    area: (bottom + side * depth) * depth,
                    perimeter: bottom + 2.0 * depth * side.hypot(1.0),
                    surface: bottom + 2.0 * side * depth,
                })
            }
            Self::Circle { diameter } => {
                above_zero("the diameter", diameter, "m")?;
                let share = depth / diameter;
                if share > 1.0 + 1e-12 {
                    return Err(ManningError::TooDeep { depth, full: diameter });
                }
                // The angle at the centre under the water.
                let angle = if share >= 1.0 { 2.0 * PI } else { 2.0 * (1.0 - 2.0 * share).acos() };
                Ok(Wetted {
                    area: diameter * diameter / 8.0 * (angle - angle.sin()),
                    perimeter: diameter * angle / 2.0,
                    surface: diameter * (angle / 2.0).sin().abs(),
                })
            }
        }
    }
}

/// Uniform flow at a depth.
///
/// # Arguments
/// - `depth`: of the water. [m]
/// - `roughness`: Manning's n. [s/m^(1/3)]
/// - `slope`: fall over length, above zero.
///
/// # Errors
/// Numbers not above zero, a pipe deeper than full.
pub fn flow_at_depth(
    section: Section,
    depth: f64,
    roughness: f64,
    slope: f64,
) -> Result<Uniform, ManningError> {
    above_zero("the roughness", roughness, "s/m^(1/3)")?;
    above_zero("the slope", slope, "")?;
    let wetted = section.wetted(depth)?;
    let radius = wetted.area / wetted.perimeter;
    let velocity = radius.powf(2.0 / 3.0) * slope.sqrt() / roughness;
    Ok(Uniform {
        depth,
        area: wetted.area,
        perimeter: wetted.perimeter,
        radius,
        velocity,
        flow: velocity * wetted.area,
    })
}

/// Uniform flow that carries a flow: its depth, by halving an interval to a millionth of a
/// millimetre.
///
/// # Arguments
/// - `deepest`: depth at which the section runs over; a pipe is full at its diameter. [m]
///
/// # Errors
/// As [`flow_at_depth`], and [`ManningError::TooMuch`]. Of the two depths at which a nearly full pipe
/// carries the same, the lower is given.
pub fn depth_of_flow(
    section: Section,
    flow: f64,
    roughness: f64,
    slope: f64,
    deepest: f64,
) -> Result<Uniform, ManningError> {
    above_zero("the flow", flow, "m³/s")?;
    above_zero("the greatest depth", deepest, "m")?;
    let top = match section {
        Section::Circle { diameter } => deepest.min(diameter * LARGEST_FLOW_SHARE),
        _ => deepest,
    };
    let most = flow_at_depth(section, top, roughness, slope)?;
    if flow > most.flow {
        return Err(ManningError::TooMuch { flow, most: most.flow });
    }
    let (mut low, mut high) = (0.0, top);
    while high - low > 1e-9 {
        let middle = f64::midpoint(low, high);
        if flow_at_depth(section, middle, roughness, slope)?.flow < flow {
            low = middle;
        } else {
            high = middle;
        }
    }
    flow_at_depth(section, high, roughness, slope)
}
