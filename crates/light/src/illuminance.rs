//! Illuminance and luminance at places, along paths and over planes; each fixture kept apart.
//!
//! - In: fixtures, places with their normals, a closure that says what share of light passes between
//!   two places. Out: contributions in lux, sums, least, mean, uniformity.
//! - Method: E = I cos i / d² from point sources; direct light only.
//! - Contributions are at full level, so that dimming is a factor afterwards.
//! - Not here: reflected light, sources near to what they light (`area_source.rs`).

use std::f64::consts::PI;

use glam::DVec3;
use groundwright_geometry::Point3;
use groundwright_units::constants::SQUARE_FOOT;
use rayon::prelude::*;

use crate::fixture::vector;
use crate::positive::{above_zero, not_below_zero, share, within};
use crate::{Fixture, NotUsable};

/// Footcandle: a lumen to the square foot. [lx]
pub const FOOTCANDLE: f64 = 1.0 / SQUARE_FOOT;
/// Footlambert: 1/π candela to the square foot. [cd/m²]
pub const FOOTLAMBERT: f64 = 1.0 / (PI * SQUARE_FOOT);
/// Nearer than this to a fixture there is no point source. [m]
const TOUCHING: f64 = 1e-3;

/// A place that receives light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Where. [m]
    pub at: Point3,
    /// What it faces, of length 1.
    pub normal: DVec3,
}

/// Illuminance of a point source. [lx]
///
/// # Arguments
/// - `candela`: intensity towards the place. [cd]
/// - `distance`: [m] Above zero.
/// - `incidence`: between the ray and the normal; nothing from behind. [rad]
///
/// # Errors
/// [`NotUsable`] for a number out of its range.
pub fn inverse_square(candela: f64, distance: f64, incidence: f64) -> Result<f64, NotUsable> {
    not_below_zero("intensity", candela, "cd")?;
    above_zero("distance", distance, "m")?;
    within("incidence", incidence, "rad", incidence.is_finite(), "a finite angle")?;
    Ok(candela * incidence.cos().max(0.0) / (distance * distance))
}

/// Luminance of a diffuse surface. [cd/m²]
///
/// # Errors
/// [`NotUsable`]: a reflectance that is no share, an illuminance below zero.
pub fn diffuse_luminance(reflectance: f64, illuminance: f64) -> Result<f64, NotUsable> {
    share("reflectance", reflectance)?;
    not_below_zero("illuminance", illuminance, "lx")?;
    Ok(reflectance * illuminance / PI)
}

/// What each fixture brings to each place, at full level.
#[derive(Debug, Clone, PartialEq)]
pub struct Contributions {
    /// How many fixtures there are.
    pub fixtures: usize,
    /// Lux, place after place, fixture after fixture within it.
    values: Vec<f64>,
}

impl Contributions {
    /// How many places there are.
    pub fn samples(&self) -> usize {
        self.values.len().checked_div(self.fixtures).unwrap_or(0)
    }

    /// What each fixture brings to one place. [lx]
    pub fn of(&self, sample: usize) -> &[f64] {
        self.values.get(sample * self.fixtures..(sample + 1) * self.fixtures).unwrap_or_default()
    }

    /// Illuminance of every place with the fixtures at some levels, 0 to 1 each. [lx]
    pub fn at_levels(&self, levels: &[f64]) -> Vec<f64> {
        let sum = |row: &[f64]| row.iter().zip(levels).map(|(lux, level)| lux * level).sum();
        self.values.chunks(self.fixtures.max(1)).map(sum).collect()
    }
}

/// What each fixture brings to each place, at full level.
///
/// # Arguments
/// - `passes`: share of light that passes from the first place, a fixture, to the second, 0 to 1.
///
/// # Errors
/// [`NotUsable`]: a place within a millimetre of a fixture or not finite, a normal without length.
pub fn contributions(
    fixtures: &[Fixture],
    samples: &[Sample],
    passes: impl Fn(Point3, Point3) -> f64 + Sync,
) -> Result<Contributions, NotUsable> {
    let rows: Result<Vec<Vec<f64>>, NotUsable> = samples
        .par_iter()
        .map(|sample| fixtures.iter().map(|fixture| one(fixture, sample, &passes)).collect())
        .collect();
    Ok(Contributions { fixtures: fixtures.len(), values: rows?.into_iter().flatten().collect() })
}

fn one(
    fixture: &Fixture,
    sample: &Sample,
    passes: &(impl Fn(Point3, Point3) -> f64 + Sync),
) -> Result<f64, NotUsable> {
    let way = vector(sample.at) - vector(fixture.at);
    let distance = way.length();
    within(
        "distance from a fixture",
        distance,
        "m",
        distance > TOUCHING && distance.is_finite(),
        "more than a millimetre",
    )?;
    let length = sample.normal.length();
    within("length of a normal", length, "", (length - 1.0).abs() < 1e-3, "1")?;
    let direction = way / distance;
    let cosine = -direction.dot(sample.normal) / length;
    if cosine <= 0.0 {
        return Ok(0.0);
    }
    let candela = fixture.full_candela(direction);
    if candela <= 0.0 {
        return Ok(0.0);
    }
    let passed = passes(fixture.at, sample.at);
    share("share of light that passes", passed)?;
    Ok(candela * cosine / (distance * distance) * passed)
}

/// A grid over a plane: cell middles in rows along the first edge.
///
/// # Arguments
/// - `corner`, `along`, `across`: a corner and the two edges of a rectangle or parallelogram. [m] The
///   normal is along × across.
/// - `cells`: how many along and across, one or more each.
///
/// # Errors
/// [`NotUsable`]: edges that span no plane, no cells.
pub fn grid(
    corner: Point3,
    along: DVec3,
    across: DVec3,
    cells: [usize; 2],
) -> Result<Vec<Sample>, NotUsable> {
    let normal = along.cross(across);
    above_zero("area of the plane", normal.length(), "m²")?;
    above_zero("number of cells", (cells[0] * cells[1]) as f64, "")?;
    let normal = normal.normalize();
    let middle = |i: usize, n: usize| (i as f64 + 0.5) / n as f64;
    let cell = |(i, j): (usize, usize)| {
        let at = vector(corner) + along * middle(i, cells[0]) + across * middle(j, cells[1]);
        Sample { at: Point3::new(at.x, at.y, at.z), normal }
    };
    Ok((0..cells[1]).flat_map(|j| (0..cells[0]).map(move |i| (i, j))).map(cell).collect())
}

/// Places along a path, from its start to its end, no farther apart than `spacing`, facing up.
///
/// # Errors
/// [`NotUsable`]: a path without length, a spacing that is not above zero.
pub fn along_path(path: &[Point3], spacing: f64) -> Result<Vec<Sample>, NotUsable> {
    above_zero("spacing", spacing, "m")?;
    let lengths: Vec<f64> = path.windows(2).map(|p| (vector(p[1]) - vector(p[0])).length()).collect();
    let whole: f64 = lengths.iter().sum();
    above_zero("length of the path", whole, "m")?;
    let count = (whole / spacing).ceil().max(1.0) as usize;
    let mut samples = Vec::with_capacity(count + 1);
    let (mut piece, mut passed) = (0, 0.0);
    for i in 0..=count {
        let station = whole * i as f64 / count as f64;
        while piece + 1 < lengths.len() && station > passed + lengths[piece] {
            passed += lengths[piece];
            piece += 1;
        }
        let share = if lengths[piece] > 0.0 { ((station - passed) / lengths[piece]).min(1.0) } else { 0.0 };
        let at = vector(path[piece]).lerp(vector(path[piece + 1]), share);
        samples.push(Sample { at: Point3::new(at.x, at.y, at.z), normal: DVec3::Z });
    }
    Ok(samples)
}

/// What a set of illuminances is like.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uniformity {
    /// Least. [lx]
    pub least: f64,
    /// Mean. [lx]
    pub mean: f64,
    /// Most. [lx]
    pub most: f64,
    /// Least over mean; 0 where all is dark.
    pub least_to_mean: f64,
    /// Least over most; 0 where all is dark.
    pub least_to_most: f64,
}

/// Least, mean, most and their ratios; none of no values.
pub fn uniformity(lux: &[f64]) -> Option<Uniformity> {
    if lux.is_empty() {
        return None;
    }
    let least = lux.iter().copied().fold(f64::INFINITY, f64::min);
    let most = lux.iter().copied().fold(0.0, f64::max);
    let mean = lux.iter().sum::<f64>() / lux.len() as f64;
    let over = |whole: f64| if whole > 0.0 { least / whole } else { 0.0 };
    Some(Uniformity { least, mean, most, least_to_mean: over(mean), least_to_most: over(most) })
}
