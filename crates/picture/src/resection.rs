//! The camera of a photograph from points that are known in the yard and seen in the picture.
//!
//! - In: four or more points with their places and their pixels, the size of the photograph, its angle if
//!   that is known. Out: where the camera stood, how it was turned, its angle, what is left over at each
//!   point, and how well the place is known.
//! - Method: least squares over the pixels (Levenberg 1944, Marquardt 1963) from many starts about the
//!   points, the camera upright and towards them. The middle of the picture is taken as the middle of the
//!   lens, straight lines as straight.
//! - Four points leave one reading over, and can suit two cameras; six or more, not all in one plane, are
//!   worth the walk.

use faer::Mat;
use faer::prelude::Solve;
use glam::{DMat3, DQuat, DVec3};

/// A point that is known and seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeenPoint {
    /// Where it is. [m]
    pub at: DVec3,
    /// Where it is seen, from the upper left corner. [px]
    pub pixel: [f64; 2],
}

/// The camera of a photograph.
#[derive(Debug, Clone, PartialEq)]
pub struct Resected {
    /// Where it stood. [m]
    pub at: DVec3,
    /// Standard deviation of that along the axes, from what is left over; none without readings over. [m]
    pub deviation: Option<DVec3>,
    /// Where it looked, of length 1.
    pub forward: DVec3,
    /// What is up in the picture, of length 1.
    pub up: DVec3,
    /// Angle across the width. [rad]
    pub angle: f64,
    /// What is left over at each point: seen less computed. [px]
    pub residuals: Vec<[f64; 2]>,
    /// Root mean square of their lengths. [px]
    pub rms: f64,
    /// Readings more than unknowns.
    pub over: usize,
}

/// Why there is no camera.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ResectionFault {
    /// Too few.
    #[error(
        "{given} points are given; expected {needed} or more that are known in the yard and seen in the photograph"
    )]
    TooFew {
        /// Given.
        given: usize,
        /// Needed.
        needed: usize,
    },
    /// A number that is none.
    #[error("point {0} has a place or pixel that is not finite")]
    NotFinite(usize),
    /// All on a line.
    #[error("all points lie on one line; expected points that span at least a plane")]
    OnALine,
    /// The photograph has no size, or an angle that no lens has.
    #[error("{what} is {value}; expected {expected}")]
    OutOfRange {
        /// Which.
        what: &'static str,
        /// Value.
        value: f64,
        /// What was expected.
        expected: &'static str,
    },
    /// No start led anywhere.
    #[error("no camera sees these points so; look for two that are swapped or a pixel mistyped")]
    NoCamera,
}

/// A camera while it is sought.
#[derive(Debug, Clone, Copy)]
struct Pose {
    at: DVec3,
    /// From the yard to right, down, forward.
    turn: DQuat,
    /// Distance of the picture behind the lens. [px]
    focal: f64,
}

/// The camera of a photograph.
///
/// # Arguments
/// - `size`: columns and rows. [px]
/// - `angle`: across the width, where it is known. [rad]
///
/// # Errors
/// [`ResectionFault`].
pub fn resection(
    points: &[SeenPoint],
    size: [f64; 2],
    angle: Option<f64>,
) -> Result<Resected, ResectionFault> {
    check(points, size, angle)?;
    let unknowns = if angle.is_some() { 6 } else { 7 };
    let fixed = angle.map(|angle| size[0] * 0.5 / (angle * 0.5).tan());
    let mut best: Option<(f64, Pose)> = None;
    for start in starts(points, size, fixed) {
        let (cost, pose) = settle(points, size, start, unknowns);
        if best.is_none_or(|(least, _)| cost < least) {
            best = Some((cost, pose));
        }
    }
    let (cost, pose) = best.filter(|(cost, _)| cost.is_finite()).ok_or(ResectionFault::NoCamera)?;
    // A fit that misses by a fifth of the picture is no fit.
    let rms = (cost / points.len() as f64).sqrt();
    if rms > 0.2 * size[0] {
        return Err(ResectionFault::NoCamera);
    }
    let residuals = points.iter().filter_map(|point| residual(point, &pose, size)).collect();
    let over = 2 * points.len() - unknowns;
    let rows = DMat3::from_quat(pose.turn).transpose();
    Ok(Resected {
        at: pose.at,
        deviation: deviation(points, size, &pose, unknowns, cost, over),
        forward: rows.z_axis,
        up: -rows.y_axis,
        angle: 2.0 * (size[0] * 0.5 / pose.focal).atan(),
        residuals,
        rms,
        over,
    })
}

fn check(points: &[SeenPoint], size: [f64; 2], angle: Option<f64>) -> Result<(), ResectionFault> {
    let needed = if angle.is_some() { 3 } else { 4 };
    if points.len() < needed {
        return Err(ResectionFault::TooFew { given: points.len(), needed });
    }
    let bad = |p: &SeenPoint| !(p.at.is_finite() && p.pixel.iter().all(|v| v.is_finite()));
    if let Some(i) = points.iter().position(bad) {
        return Err(ResectionFault::NotFinite(i + 1));
    }
    for (what, value) in [("width", size[0]), ("height", size[1])] {
        if !(value.is_finite() && value >= 1.0) {
            return Err(ResectionFault::OutOfRange {
                what,
                value,
                expected: "a number of pixels, 1 or more",
            });
        }
    }
    if let Some(value) = angle.filter(|angle| !(*angle > 0.02 && *angle < 3.0)) {
        return Err(ResectionFault::OutOfRange {
            what: "angle",
            value,
            expected: "an angle above 1° and below 172°",
        });
    }
    let first = points[0].at;
    let along = points
        .iter()
        .map(|p| p.at - first)
        .max_by(|a, b| a.length().total_cmp(&b.length()))
        .unwrap_or_default();
    let aside =
        points.iter().map(|p| (p.at - first).cross(along.normalize_or_zero()).length()).fold(0.0, f64::max);
    if along.length() < 1e-6 || aside < 1e-3 * along.length() {
        return Err(ResectionFault::OnALine);
    }
    Ok(())
}

/// What is left over at a point; nothing behind the camera. [px]
fn residual(point: &SeenPoint, pose: &Pose, size: [f64; 2]) -> Option<[f64; 2]> {
    let seen = pose.turn * (point.at - pose.at);
    (seen.z > 1e-3).then(|| {
        let along = |i: usize, v: f64| point.pixel[i] - (size[i] * 0.5 + pose.focal * v / seen.z);
        [along(0, seen.x), along(1, seen.y)]
    })
}

fn cost(points: &[SeenPoint], pose: &Pose, size: [f64; 2]) -> f64 {
    let square = |point| residual(point, pose, size).map_or(f64::INFINITY, |[u, v]| u * u + v * v);
    points.iter().map(square).sum()
}

/// Cameras about the points that look at their middle, the likeliest first.
fn starts(points: &[SeenPoint], size: [f64; 2], fixed: Option<f64>) -> Vec<Pose> {
    const TRIED: usize = 24;
    let middle = points.iter().map(|p| p.at).sum::<DVec3>() / points.len() as f64;
    let spread = points.iter().map(|p| (p.at - middle).length()).fold(0.0, f64::max);
    let focals: Vec<f64> =
        fixed.map_or_else(|| [0.6, 0.9, 1.4].map(|share| share * size[0]).to_vec(), |f| vec![f]);
    let mut all = Vec::new();
    for focal in focals {
        for away in [0.8, 1.5, 3.0, 6.0] {
            for step in 0..24 {
                for rise in [0.05, 0.35, 0.9] {
                    let turn = std::f64::consts::TAU * f64::from(step) / 24.0;
                    let level = DVec3::new(turn.cos(), turn.sin(), 0.0);
                    let at = middle + (level + DVec3::Z * rise).normalize() * (away * spread);
                    let forward = (middle - at).normalize();
                    let right = forward.cross(DVec3::Z).normalize();
                    let down = forward.cross(right);
                    // Rows are the camera's axes.
                    let turn = DQuat::from_mat3(&DMat3::from_cols(right, down, forward).transpose());
                    all.push(Pose { at, turn, focal });
                }
            }
        }
    }
    all.sort_by(|a, b| cost(points, a, size).total_cmp(&cost(points, b, size)));
    all.truncate(TRIED);
    all
}

/// A pose a little way off: three along the axes, three about them, one in the focal length.
fn moved(pose: &Pose, by: &[f64]) -> Pose {
    let turn = DQuat::from_scaled_axis(DVec3::new(by[3], by[4], by[5]));
    Pose {
        at: pose.at + DVec3::new(by[0], by[1], by[2]),
        turn: (turn * pose.turn).normalize(),
        focal: pose.focal * by.get(6).map_or(1.0, |share| share.exp()),
    }
}

/// How the residuals change, by differences, with the residuals themselves.
fn slopes(
    points: &[SeenPoint],
    size: [f64; 2],
    pose: &Pose,
    unknowns: usize,
) -> Option<(Mat<f64>, Mat<f64>)> {
    let read = |pose: &Pose| -> Option<Vec<f64>> {
        points
            .iter()
            .map(|point| residual(point, pose, size))
            .collect::<Option<Vec<_>>>()
            .map(|all| all.concat())
    };
    let base = read(pose)?;
    let mut columns = Vec::with_capacity(unknowns);
    for k in 0..unknowns {
        const STEP: f64 = 1e-6;
        let mut by = vec![0.0; unknowns];
        by[k] = STEP;
        let ahead = read(&moved(pose, &by))?;
        by[k] = -STEP;
        let behind = read(&moved(pose, &by))?;
        columns.push(ahead.iter().zip(&behind).map(|(a, b)| (a - b) / (2.0 * STEP)).collect::<Vec<f64>>());
    }
    Some((
        Mat::from_fn(base.len(), unknowns, |i, k| columns[k][i]),
        Mat::from_fn(base.len(), 1, |i, _| base[i]),
    ))
}

fn settle(points: &[SeenPoint], size: [f64; 2], start: Pose, unknowns: usize) -> (f64, Pose) {
    let (mut pose, mut least, mut damping) = (start, cost(points, &start, size), 1e-3);
    for _ in 0..200 {
        let Some((slope, left)) = slopes(points, size, &pose, unknowns) else { break };
        let normal = slope.transpose() * &slope;
        let down = slope.transpose() * &left;
        let damped = Mat::from_fn(unknowns, unknowns, |i, k| {
            if i == k { normal[(i, k)] * (1.0 + damping) + 1e-12 } else { normal[(i, k)] }
        });
        let step = damped.partial_piv_lu().solve(&down);
        let by: Vec<f64> = (0..unknowns).map(|k| -step[(k, 0)]).collect();
        let next = moved(&pose, &by);
        let reached =
            if by.iter().all(|v| v.is_finite()) { cost(points, &next, size) } else { f64::INFINITY };
        if reached < least {
            let gained = least - reached;
            (pose, least, damping) = (next, reached, (damping * 0.3).max(1e-12));
            if gained <= 1e-14 * least.max(1e-12) {
                break;
            }
        } else {
            damping *= 5.0;
            if damping > 1e9 {
                break;
            }
        }
    }
    (least, pose)
}

/// Standard deviation of the place, from what is left over.
fn deviation(
    points: &[SeenPoint],
    size: [f64; 2],
    pose: &Pose,
    unknowns: usize,
    cost: f64,
    over: usize,
) -> Option<DVec3> {
    if over == 0 {
        return None;
    }
    let (slope, _) = slopes(points, size, pose, unknowns)?;
    let normal = slope.transpose() * &slope;
    let inverse = normal.partial_piv_lu().solve(Mat::<f64>::identity(unknowns, unknowns));
    let variance = cost / over as f64;
    let along = |k: usize| (variance * inverse[(k, k)]).max(0.0).sqrt();
    Some(DVec3::new(along(0), along(1), along(2)))
}
