//! Crowns as bodies of revolution that let part of the light through.
//!
//! - In: form, place, radius, height, share of light passed. Out: the length of a ray inside the
//!   crown, and the share of light left behind it.
//! - Method: every form is r² = a + b z + c z² between its foot and its top, so that a ray meets it
//!   by one quadratic equation. Light falls off along the chord by the Beer–Lambert law.
//! - The share of light passed belongs to the crown's mean chord, 4 V / S of any convex body
//!   (Cauchy). Leaves are taken as even throughout the body, which is coarse for open crowns.
//! - Not here: which habit has which form, and when leaves are out (`habit.rs`).

use std::f64::consts::PI;

use groundwright_geometry::Point3;
use groundwright_handoff::CrownForm;

/// Direction of a ray or of the sun, a unit vector. x east, y north, z up.
pub type Direction = [f64; 3];

/// A crown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crown {
    /// The middle of its foot. [m]
    pub foot: Point3,
    /// Height from foot to top. [m]
    pub height: f64,
    /// Greatest radius. [m]
    pub radius: f64,
    /// r² = a + b z + c z², z from the foot up. [m², m, 1]
    pub profile: [f64; 3],
    /// Loss of light along a ray inside: ln of light over length. [1/m] Infinite where nothing passes.
    pub extinction: f64,
}

/// Why a crown is none.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("the crown's {what} is {value}; expected {expected}")]
pub struct CrownFault {
    /// Which value.
    pub what: &'static str,
    /// The value in SI.
    pub value: f64,
    /// What was expected.
    pub expected: &'static str,
}

impl Crown {
    /// A crown of a form.
    ///
    /// # Arguments
    /// - `foot`: middle of its lowest leaves. [m]
    /// - `radius`: greatest, above 0. [m]
    /// - `height`: from foot to top, above 0. [m]
    /// - `transmittance`: share of direct light passed along the mean chord, 0 to 1.
    ///
    /// # Errors
    /// A size that is not above zero and finite, or a share outside 0 to 1.
    pub fn new(
        form: CrownForm,
        foot: Point3,
        radius: f64,
        height: f64,
        transmittance: f64,
    ) -> Result<Self, CrownFault> {
        let size = |what, value: f64| {
            if value.is_finite() && value > 0.0 {
                Ok(())
            } else {
                Err(CrownFault { what, value, expected: "a finite length above 0 m" })
            }
        };
        size("radius", radius)?;
        size("height", height)?;
        if !(foot.x.is_finite() && foot.y.is_finite() && foot.z.is_finite()) {
            return Err(CrownFault { what: "place", value: f64::NAN, expected: "finite coordinates" });
        }
        if !(0.0..=1.0).contains(&transmittance) {
            return Err(CrownFault {
                what: "transmittance",
                value: transmittance,
                expected: "a share from 0 to 1",
            });
        }
        let (square, h) = (radius * radius, height);
        let profile = match form {
            // r² = R² (1 − (2 z / h − 1)²)
            CrownForm::Ellipsoid => [0.0, 4.0 * square / h, -4.0 * square / (h * h)],
            // r² = R² (1 − (z / h)²)
            CrownForm::Dome => [square, 0.0, -square / (h * h)],
            // r² = R² (1 − z / h)²
            CrownForm::Cone => [square, -2.0 * square / h, square / (h * h)],
            CrownForm::Cylinder => [square, 0.0, 0.0],
            // r² = R² z / h, a paraboloid
            CrownForm::Vase => [0.0, square / h, 0.0],
        };
        let mut crown = Self { foot, height, radius, profile, extinction: 0.0 };
        crown.extinction =
            if transmittance > 0.0 { -transmittance.ln() / crown.mean_chord() } else { f64::INFINITY };
        Ok(crown)
    }

    /// Volume. [m³]
    pub fn volume(&self) -> f64 {
        let ([a, b, c], h) = (self.profile, self.height);
        PI * (a * h + b * h * h / 2.0 + c * h * h * h / 3.0)
    }

    /// Surface, with the flat ends where it has them. [m²]
    ///
    /// By Simpson's rule on 2 π √(r² + (r r′)²), within a millionth for these forms.
    pub fn surface(&self) -> f64 {
        let ([a, b, c], h) = (self.profile, self.height);
        let ring = |z: f64| {
            let (square, half) = ((a + b * z + c * z * z).max(0.0), 0.5 * b + c * z);
            (square + half * half).sqrt()
        };
        let n = 512;
        let step = h / f64::from(n);
        let inside: f64 =
            (1..n).map(|i| if i % 2 == 1 { 4.0 } else { 2.0 } * ring(step * f64::from(i))).sum();
        let side = 2.0 * PI * step / 3.0 * (ring(0.0) + inside + ring(h));
        let end = |z: f64| PI * (a + b * z + c * z * z).max(0.0);
        side + end(0.0) + end(h)
    }

    /// Mean length of the straight ways through it. [m]
    ///
    /// # Source
    /// Cauchy: 4 V / S for a convex body in even, isotropic light.
    pub fn mean_chord(&self) -> f64 {
        4.0 * self.volume() / self.surface()
    }

    /// Length of a ray inside the crown; only what lies ahead of the ray's origin counts. [m]
    pub fn chord(&self, origin: Point3, direction: Direction) -> f64 {
        let (u, v, w) = (origin.x - self.foot.x, origin.y - self.foot.y, origin.z - self.foot.z);
        let [dx, dy, dz] = direction;
        let [a, b, c] = self.profile;
        // Within foot and top.
        let (mut low, mut high) = if dz.abs() < 1e-12 {
            if !(0.0..=self.height).contains(&w) {
                return 0.0;
            }
            (0.0, f64::INFINITY)
        } else {
            let (t0, t1) = (-w / dz, (self.height - w) / dz);
            (t0.min(t1).max(0.0), t0.max(t1))
        };
        // q(t) = A t² + 2 B t + C ≥ 0 within the body.
        let qa = c * dz * dz - dx * dx - dy * dy;
        let qb = c * w * dz + 0.5 * b * dz - u * dx - v * dy;
        let qc = a + b * w + c * w * w - u * u - v * v;
        if qa.abs() < 1e-14 {
            // A line: inside on one side of its root.
            if qb.abs() < 1e-14 {
                return if qc >= 0.0 { finite(high - low) } else { 0.0 };
            }
            let root = -qc / (2.0 * qb);
            if qb > 0.0 {
                low = low.max(root);
            } else {
                high = high.min(root);
            }
            return finite(high - low);
        }
        let discriminant = qb * qb - qa * qc;
        if qa < 0.0 {
            if discriminant <= 0.0 {
                return 0.0;
            }
            let root = discriminant.sqrt();
            low = low.max((-qb + root) / qa);
            high = high.min((-qb - root) / qa);
            return finite(high - low);
        }
        // A cone seen along its axis: outside of the roots, of which the body holds one side.
        if discriminant <= 0.0 {
            return finite(high - low);
        }
        let root = discriminant.sqrt();
        let (t0, t1) = ((-qb - root) / qa, (-qb + root) / qa);
        finite(high.min(t0) - low) + finite(high - low.max(t1))
    }

    /// Share of light left after a ray's way through the crown.
    pub fn passed(&self, origin: Point3, direction: Direction) -> f64 {
        let chord = self.chord(origin, direction);
        if chord > 0.0 { (-self.extinction * chord).exp() } else { 1.0 }
    }
}

fn finite(length: f64) -> f64 {
    if length.is_finite() { length.max(0.0) } else { 0.0 }
}
