//! A table of intensities: interpolated, integrated, searched.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::{Photometry, Symmetry};

/// Slack at the ends of the range, for angles that come out of arithmetic. [rad]
const EDGE: f64 = 1e-9;

impl Photometry {
    /// Intensity in a direction, bilinear in angle; 0 outside the vertical range. [cd]
    ///
    /// # Arguments
    /// - `vertical`: from the axis. [rad]
    /// - `horizontal`: about the axis, counter-clockwise seen from above the hanging fixture. [rad]
    pub fn candela(&self, vertical: f64, horizontal: f64) -> f64 {
        let (first, last) = (self.vertical[0], self.vertical[self.vertical.len() - 1]);
        if !(vertical >= first - EDGE && vertical <= last + EDGE && horizontal.is_finite()) {
            return 0.0;
        }
        let (i, u) = bracket(&self.vertical, vertical);
        let (j, w) = bracket(&self.horizontal, self.fold(horizontal));
        let along = |plane: usize| {
            let near = self.value(plane, i);
            if u == 0.0 { near } else { near + u * (self.value(plane, i + 1) - near) }
        };
        if w == 0.0 { along(j) } else { along(j) + w * (along(j + 1) - along(j)) }
    }

    fn value(&self, plane: usize, vertical: usize) -> f64 {
        self.candela[plane * self.vertical.len() + vertical]
    }

    /// Horizontal angle within the planes that are stored. [rad]
    fn fold(&self, horizontal: f64) -> f64 {
        let around = horizontal.rem_euclid(TAU);
        let half = if around > PI { TAU - around } else { around };
        match self.symmetry {
            Symmetry::Axial => 0.0,
            Symmetry::Quadrant => half.min(PI - half),
            Symmetry::Bilateral => half,
            Symmetry::BilateralAcross if around < FRAC_PI_2 => PI - around,
            Symmetry::BilateralAcross if around > 1.5 * PI => 3.0 * PI - around,
            Symmetry::BilateralAcross | Symmetry::Whole => around,
        }
    }

    /// Mean intensity over the planes at each vertical angle: trapezoids over the range stored. [cd]
    pub fn mean_profile(&self) -> Vec<f64> {
        let span = self.horizontal[self.horizontal.len() - 1] - self.horizontal[0];
        (0..self.vertical.len())
            .map(|i| {
                if self.horizontal.len() == 1 {
                    return self.value(0, i);
                }
                let planes = self.horizontal.windows(2).enumerate();
                let area = |(j, pair): (usize, &[f64])| {
                    0.5 * (pair[1] - pair[0]) * (self.value(j, i) + self.value(j + 1, i))
                };
                planes.map(area).sum::<f64>() / span
            })
            .collect()
    }

    /// Luminous flux of the fixture: exact for the interpolated table. [lm]
    pub fn flux(&self) -> f64 {
        self.flux_between(0.0, PI)
    }

    /// Flux between two vertical angles. [lm]
    ///
    /// # Source
    /// ∫ (c + s t) sin t dt = −(c + s t) cos t + s sin t: calculus.
    pub fn flux_between(&self, from: f64, to: f64) -> f64 {
        let mean = self.mean_profile();
        let pieces = self.vertical.windows(2).zip(mean.windows(2));
        let piece = |(t, i): (&[f64], &[f64])| {
            let (a, b) = (t[0].max(from), t[1].min(to));
            if a >= b {
                return 0.0;
            }
            let s = (i[1] - i[0]) / (t[1] - t[0]);
            let c = i[0] - s * t[0];
            let whole = |t: f64| -(c + s * t) * t.cos() + s * t.sin();
            TAU * (whole(b) - whole(a))
        };
        pieces.map(piece).sum()
    }

    /// Flux by the older zonal rule: the mean of a zone's ends times its solid angle. [lm]
    pub fn flux_zonal(&self) -> f64 {
        let mean = self.mean_profile();
        let zones = self.vertical.windows(2).zip(mean.windows(2));
        zones.map(|(t, i)| TAU * (t[0].cos() - t[1].cos()) * 0.5 * (i[0] + i[1])).sum()
    }

    /// Flux above the horizontal of a fixture that hangs with its axis straight down. [lm]
    pub fn uplight(&self) -> f64 {
        self.flux_between(FRAC_PI_2, PI)
    }

    /// Largest intensity and where it stands first. [cd, rad, rad]
    pub fn peak(&self) -> (f64, f64, f64) {
        let mut peak = (self.candela[0], self.vertical[0], self.horizontal[0]);
        for (j, horizontal) in self.horizontal.iter().enumerate() {
            for (i, vertical) in self.vertical.iter().enumerate() {
                if self.value(j, i) > peak.0 {
                    peak = (self.value(j, i), *vertical, *horizontal);
                }
            }
        }
        peak
    }

    /// Full angle at which the mean profile falls to a share of its largest value: 0.5 gives the
    /// beam angle, 0.1 the field angle; none where it is brightest off the axis. [rad]
    pub fn full_angle(&self, share: f64) -> Option<f64> {
        let mean = self.mean_profile();
        let most = mean.iter().copied().fold(0.0, f64::max);
        if self.vertical[0] != 0.0 || mean[0] < most || most <= 0.0 {
            return None;
        }
        let level = share * most;
        let i = mean.windows(2).position(|pair| pair[0] >= level && pair[1] < level)?;
        let along = (mean[i] - level) / (mean[i] - mean[i + 1]);
        Some(2.0 * (self.vertical[i] + along * (self.vertical[i + 1] - self.vertical[i])))
    }
}

/// Interval of ascending angles, and the share along it; share 0 at the last.
fn bracket(angles: &[f64], at: f64) -> (usize, f64) {
    let after = angles.partition_point(|angle| *angle <= at);
    if after == 0 {
        return (0, 0.0);
    }
    let i = after - 1;
    match angles.get(after) {
        Some(next) => (i, (at - angles[i]) / (next - angles[i])),
        None => (i, 0.0),
    }
}
