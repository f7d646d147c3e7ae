//! Fitting one frame to another: turn, shift and, if wanted, scale.
//!
//! - In: the same points in two frames. Out: the fit and what it leaves at each point.
//! - Method: least squares with weights, in closed form about the centres of gravity.
//! - Target = shift + scale · rotation · source; residual = fit − target.

use groundwright_geometry::{Point, Vec2};

use crate::SurveyError;

/// A similarity transform.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Similarity {
    /// Size in the target for one unit in the source. \[dimensionless\]
    pub scale: f64,
    /// Turn, counter-clockwise. [rad]
    pub rotation: f64,
    /// Where the source's origin falls. [m]
    pub shift: Vec2,
}

impl Similarity {
    /// A place of the source in the target. [m]
    pub fn apply(&self, place: Point) -> Point {
        let (sin, cos) = self.rotation.sin_cos();
        let turned = Vec2::new(place.x * cos - place.y * sin, place.x * sin + place.y * cos);
        (self.shift + turned * self.scale).to_point()
    }

    /// A place of the target in the source. [m]
    pub fn undo(&self, place: Point) -> Point {
        let arm = (place - self.shift.to_point()) / self.scale;
        let (sin, cos) = self.rotation.sin_cos();
        Point::new(arm.x * cos + arm.y * sin, -arm.x * sin + arm.y * cos)
    }
}

/// A fit with what it leaves.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// The transform.
    pub transform: Similarity,
    /// Fit minus target at each point. [m]
    pub residuals: Vec<Vec2>,
    /// Weighted sum of the squared residuals. [m²]
    pub sum_of_squares: f64,
    /// Coordinates beyond what determines the fit.
    pub freedom: usize,
}

impl Fit {
    /// Standard deviation of a coordinate of unit weight; `None` without redundancy. [m]
    pub fn s0(&self) -> Option<f64> {
        (self.freedom > 0).then(|| (self.sum_of_squares / self.freedom as f64).sqrt())
    }

    /// Root of the mean squared distance at a point. [m]
    pub fn rms(&self) -> f64 {
        (self.residuals.iter().map(|r| r.hypot2()).sum::<f64>() / self.residuals.len() as f64).sqrt()
    }
}

/// A point that both frames know.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shared {
    /// In the source. [m]
    pub source: Point,
    /// In the target. [m]
    pub target: Point,
    /// Weight. \[dimensionless\] Above zero.
    pub weight: f64,
}

/// Fits the source to the target.
///
/// # Arguments
/// - `shared`: two points or more.
/// - `scaled`: whether the scale is free; held at 1 otherwise.
///
/// # Errors
/// [`SurveyError::Geometry`] with fewer than two points, points in one place, or values that are
/// not finite.
pub fn fit(shared: &[Shared], scaled: bool) -> Result<Fit, SurveyError> {
    let refuse = |what: &str| {
        Err(SurveyError::Geometry {
            what: what.to_owned(),
            mend: "give two or more different points with finite coordinates and weights above zero",
        })
    };
    let finite = |s: &Shared| s.source.is_finite() && s.target.is_finite() && s.weight > 0.0;
    if shared.len() < 2 {
        return refuse("a fit needs two points that both frames know");
    }
    if !shared.iter().all(finite) {
        return refuse("a shared point is not finite or has no weight");
    }
    let weight: f64 = shared.iter().map(|s| s.weight).sum();
    let centre = |place: fn(&Shared) -> Point| {
        shared.iter().map(|s| place(s).to_vec2() * s.weight).fold(Vec2::ZERO, |a, b| a + b) / weight
    };
    let (from, to) = (centre(|s| s.source), centre(|s| s.target));
    let (mut dot, mut cross, mut size) = (0.0, 0.0, 0.0);
    for s in shared {
        let (a, b) = (s.source.to_vec2() - from, s.target.to_vec2() - to);
        dot += s.weight * a.dot(b);
        cross += s.weight * a.cross(b);
        size += s.weight * a.hypot2();
    }
    let reach = dot.hypot(cross);
    if !(size > 1e-12 && reach > 1e-12) {
        return refuse("the shared points fall in one place");
    }
    let rotation = cross.atan2(dot);
    let scale = if scaled { reach / size } else { 1.0 };
    let (sin, cos) = rotation.sin_cos();
    let turned = Vec2::new(from.x * cos - from.y * sin, from.x * sin + from.y * cos);
    let transform = Similarity { scale, rotation, shift: to - turned * scale };
    let residuals: Vec<Vec2> = shared.iter().map(|s| transform.apply(s.source) - s.target).collect();
    let sum_of_squares = residuals.iter().zip(shared).map(|(r, s)| s.weight * r.hypot2()).sum();
    let freedom = 2 * shared.len() - if scaled { 4 } else { 3 };
    Ok(Fit { transform, residuals, sum_of_squares, freedom })
}
