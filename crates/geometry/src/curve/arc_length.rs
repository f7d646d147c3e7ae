//! Arc length of a cubic piece, and the parameter at which it has run a given length.
//!
//! - In: a segment and an accuracy [m]. Out: a length [m], or a parameter from 0 to 1.
//! - Method: Gauss-Legendre quadrature of the speed with 16 nodes, halved until the two halves
//!   agree with the whole; the inverse by Newton steps kept within a bracket.
//! - The comparison of halves, rather than an estimate from the control points, keeps the accuracy
//!   near cusps, where the speed almost vanishes.

use kurbo::{CubicBez, ParamCurve, ParamCurveDeriv, PathSeg, QuadBez};

/// Halvings at most: a millionth of the parameter.
const MOST_HALVINGS: u32 = 20;

/// The halves have to agree better than the accuracy by this, because on a sharp bend both may miss
/// by a similar amount.
const CAUTION: f64 = 64.0;

/// Nodes above zero and weights of the Gauss-Legendre rule with 16 nodes on (-1, 1).
///
/// Source: roots of the Legendre polynomial of degree 16 and weights 2 / ((1-x²) P'(x)²), computed
/// in double precision by Newton steps; the test below computes them again.
const NODES: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_47),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_6),
    (0.458_016_777_657_227_37, 0.169_156_519_395_002_56),
    (0.617_876_244_402_643_8, 0.149_595_988_816_576_82),
    (0.755_404_408_355_003, 0.124_628_971_255_533_95),
    (0.865_631_202_387_831_8, 0.095_158_511_682_492_9),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_776),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_058),
];

/// Length of a segment. [m]
///
/// # Arguments
/// - `accuracy`: error allowed; below a ten-billionth of the length it is limited by rounding. [m]
pub fn arc_length(segment: &PathSeg, accuracy: f64) -> f64 {
    match segment {
        PathSeg::Line(line) => line.p0.distance(line.p1),
        PathSeg::Quad(quad) => run(&quad.raise().deriv(), 0.0, 1.0, accuracy),
        PathSeg::Cubic(cubic) => run(&cubic.deriv(), 0.0, 1.0, accuracy),
    }
}

/// Length of a segment from its start to a parameter. [m]
pub(super) fn length_to(segment: &PathSeg, t: f64, accuracy: f64) -> f64 {
    match segment {
        PathSeg::Line(line) => line.p0.distance(line.p1) * t,
        PathSeg::Quad(quad) => run(&quad.raise().deriv(), 0.0, t, accuracy),
        PathSeg::Cubic(cubic) => run(&cubic.deriv(), 0.0, t, accuracy),
    }
}

/// Parameter at which a cubic has run a length out of its whole length. [m]
pub(super) fn parameter_at(cubic: &CubicBez, length: f64, whole: f64, accuracy: f64) -> f64 {
    let speed = cubic.deriv();
    let (mut low, mut high) = (0.0, 1.0);
    let mut t = length / whole;
    // The length run up to `low`, so that each step measures only what is new.
    let mut run_to_low = 0.0;
    for _ in 0..64 {
        let run_here = run_to_low + run(&speed, low, t, accuracy / 64.0);
        let rest = length - run_here;
        if rest.abs() <= accuracy {
            return t;
        }
        if rest > 0.0 {
            (low, run_to_low) = (t, run_here);
        } else {
            high = t;
        }
        let next = t + rest / speed.eval(t).to_vec2().hypot();
        t = if next > low && next < high { next } else { f64::midpoint(low, high) };
    }
    t
}

/// Length between two parameters, from the derivative of the curve.
fn run(speed: &QuadBez, from: f64, to: f64, accuracy: f64) -> f64 {
    halves(speed, from, to, (quadrature(speed, from, to), accuracy), 0)
}

fn halves(speed: &QuadBez, from: f64, to: f64, (whole, accuracy): (f64, f64), depth: u32) -> f64 {
    let middle = f64::midpoint(from, to);
    let (near, far) = (quadrature(speed, from, middle), quadrature(speed, middle, to));
    let rounding = 1e-14 * whole;
    let agree = (near + far - whole).abs() <= (accuracy / CAUTION).max(rounding);
    if depth >= MOST_HALVINGS || (agree && depth >= least_halvings(speed, from, to)) {
        return near + far;
    }
    halves(speed, from, middle, (near, accuracy / 2.0), depth + 1)
        + halves(speed, middle, to, (far, accuracy / 2.0), depth + 1)
}

/// Where the speed changes many times over within an interval, a whole and its halves may agree by
/// chance: there it is halved a few times before the agreement counts.
fn least_halvings(speed: &QuadBez, from: f64, to: f64) -> u32 {
    let at = |t: f64| speed.eval(t).to_vec2().hypot();
    let speeds = [at(from), at(f64::midpoint(from, to)), at(to)];
    let (low, high) = speeds.iter().fold((f64::INFINITY, 0.0_f64), |(l, h), s| (l.min(*s), h.max(*s)));
    if high > 8.0 * low { 3 } else { 0 }
}

fn quadrature(speed: &QuadBez, from: f64, to: f64) -> f64 {
    let (middle, half) = (f64::midpoint(from, to), (to - from) / 2.0);
    let at = |x: f64| speed.eval(middle + half * x).to_vec2().hypot();
    half * NODES.iter().map(|&(x, weight)| weight * (at(x) + at(-x))).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Legendre polynomial of degree 16 and its derivative, by the three-term recurrence.
    fn legendre(x: f64) -> (f64, f64) {
        let (mut before, mut here) = (1.0, x);
        for n in 2..=16 {
            let n = f64::from(n);
            (before, here) = (here, ((2.0 * n - 1.0) * x * here - (n - 1.0) * before) / n);
        }
        (here, 16.0 * (x * here - before) / (x * x - 1.0))
    }

    #[test]
    fn the_nodes_are_roots_and_the_weights_follow() {
        for (x, weight) in NODES {
            let (value, slope) = legendre(x);
            assert!((value / slope).abs() < 1e-15, "{x}");
            assert!((2.0 / ((1.0 - x * x) * slope * slope) - weight).abs() < 1e-14, "{x}");
        }
        assert!((NODES.iter().map(|n| 2.0 * n.1).sum::<f64>() - 2.0).abs() < 1e-14);
    }

    /// A cubic that turns on the spot: x = t², y = t³ from -1 to 1 has its cusp in the middle.
    /// Closed form of one half: (13√13 - 8) / 27.
    #[test]
    fn a_cusp_keeps_the_accuracy() {
        let cusp = CubicBez::new((1.0, -1.0), (-1.0 / 3.0, 1.0), (-1.0 / 3.0, -1.0), (1.0, 1.0));
        let expected = 2.0 * (13.0 * 13.0_f64.sqrt() - 8.0) / 27.0;
        assert!((arc_length(&cusp.into(), 1e-7) - expected).abs() < 1e-7);
        // Cut off the middle, so that no halving falls on the cusp.
        let skewed = PathSeg::from(cusp.subsegment(0.1..1.0));
        let first = PathSeg::from(cusp.subsegment(0.0..0.1));
        let sum = arc_length(&skewed, 1e-7) + arc_length(&first, 1e-7);
        assert!((sum - expected).abs() < 2e-7, "{sum} {expected}");
    }
}
