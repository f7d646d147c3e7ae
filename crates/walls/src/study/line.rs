//! A face drawn in plan as the straights, arcs and corners that units are laid along.
//!
//! - In: a curve with the soil to its left, and a part of it by stations. Out: segments of the same
//!   length. Straights and circular arcs come out exactly; a smooth curve becomes arcs of a hand's
//!   breadth each, of the same turn as the curve over that length.

use groundwright_geometry::{Curve, GeometryFault};
use kurbo::{ParamCurveArclen, PathSeg};

use crate::courses::{Bend, Segment};

/// Length of the arcs that follow a smooth curve. [m]
const PIECE: f64 = 0.25;
/// Turn between two pieces from which they meet in a corner. [rad]
const CORNER: f64 = 0.05;
/// Curvature below which a piece counts as straight. [1/m]
const STRAIGHT: f64 = 1.0 / 400.0;
/// Share by which the curvatures of two pieces of one arc may differ.
const SAME: f64 = 0.01;

/// A piece with its curvature, to the left above zero.
struct Piece {
    length: f64,
    curvature: f64,
    /// Turn at its start against the piece before. [rad]
    corner: f64,
}

/// Segments of a part of a face.
///
/// # Errors
/// Stations that do not lie on the face in order.
pub(crate) fn segments(face: &Curve, (from, to): (f64, f64)) -> Result<Vec<Segment>, GeometryFault> {
    let whole = face.length();
    let part = if from < 1e-9 && to > whole - 1e-9 { face.clone() } else { face.sub(from, to)? };
    let mut pieces: Vec<Piece> = Vec::new();
    let mut heading: Option<f64> = None;
    let mut done = 0.0;
    for segment in part.segments() {
        let length = segment.arclen(1e-7);
        if length < 1e-6 {
            continue;
        }
        let count =
            if matches!(segment, PathSeg::Line(_)) { 1 } else { (length / PIECE).ceil().max(1.0) as usize };
        let step = length / count as f64;
        let direction = |along: f64| {
            let inset = along.clamp(1e-5, length - 1e-5);
            part.tangent(done + inset).atan2()
        };
        for i in 0..count {
            let (start, end) = (direction(i as f64 * step), direction((i + 1) as f64 * step));
            let corner = if i == 0 { heading.map_or(0.0, |before| turn(before, start)) } else { 0.0 };
            pieces.push(Piece { length: step, curvature: turn(start, end) / step, corner });
            heading = Some(end);
        }
        done += length;
    }
    Ok(joined(&pieces))
}

/// The turn from one direction to another, the shorter way. [rad]
fn turn(from: f64, to: f64) -> f64 {
    let turn = (to - from).rem_euclid(std::f64::consts::TAU);
    if turn > std::f64::consts::PI { turn - std::f64::consts::TAU } else { turn }
}

fn joined(pieces: &[Piece]) -> Vec<Segment> {
    let mut all = Vec::new();
    let mut open: Option<(f64, f64)> = None;
    let bend = |left: f64| if left > 0.0 { Bend::Convex } else { Bend::Concave };
    let close = |open: &mut Option<(f64, f64)>, all: &mut Vec<Segment>| {
        if let Some((length, curvature)) = open.take() {
            all.push(if curvature == 0.0 {
                Segment::Straight { length }
            } else {
                let radius = 1.0 / curvature.abs();
                Segment::Arc { radius, sweep: length / radius, bend: bend(curvature) }
            });
        }
    };
    for piece in pieces {
        let curvature = if piece.curvature.abs() < STRAIGHT { 0.0 } else { piece.curvature };
        if piece.corner.abs() > CORNER {
            close(&mut open, &mut all);
            all.push(Segment::Corner { turn: piece.corner.abs(), bend: bend(piece.corner) });
        }
        match &mut open {
            Some((length, known)) if (*known - curvature).abs() <= SAME * known.abs() => {
                // The mean keeps the turn of both.
                *known = (*known * *length + curvature * piece.length) / (*length + piece.length);
                *length += piece.length;
            }
            _ => {
                close(&mut open, &mut all);
                open = Some((piece.length, curvature));
            }
        }
    }
    close(&mut open, &mut all);
    all
}
