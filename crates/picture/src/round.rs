//! Round bodies met exactly: ellipsoids and open upright tubes.

use glam::{DVec3, Vec3A};
use obvhs::aabb::Aabb;

/// A round body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Round {
    /// An ellipsoid along the axes.
    Ellipsoid {
        /// Centre. [m]
        centre: DVec3,
        /// Half axes. [m]
        radii: DVec3,
    },
    /// An upright tube, open at both ends.
    Tube {
        /// Middle of the foot. [m]
        foot: DVec3,
        /// Radius. [m]
        radius: f64,
        /// Height. [m]
        height: f64,
    },
}

impl Round {
    /// Distance along a ray to the first meeting within a stretch, from either side. [m]
    pub(crate) fn met(&self, origin: DVec3, direction: DVec3, from: f64, to: f64) -> Option<f64> {
        let (a, b, c) = match *self {
            Self::Ellipsoid { centre, radii } => {
                let (o, d) = ((origin - centre) / radii, direction / radii);
                (d.dot(d), o.dot(d), o.dot(o) - 1.0)
            }
            Self::Tube { foot, radius, .. } => {
                let (o, d) = ((origin - foot).truncate(), direction.truncate());
                (d.dot(d), o.dot(d), o.dot(o) - radius * radius)
            }
        };
        let discriminant = b * b - a * c;
        if discriminant < 0.0 || a < 1e-300 {
            return None;
        }
        // The root of larger magnitude first, the other by their product, lest digits cancel.
        let q = -(b + discriminant.sqrt().copysign(b));
        let roots = if q == 0.0 { [0.0, 0.0] } else { [q / a, c / q] };
        let within = |t: &f64| {
            *t >= from
                && *t <= to
                && match *self {
                    Self::Ellipsoid { .. } => true,
                    Self::Tube { foot, height, .. } => {
                        (0.0..=height).contains(&(origin.z + t * direction.z - foot.z))
                    }
                }
        };
        roots.into_iter().filter(within).reduce(f64::min)
    }

    /// Outward normal at a point of the surface.
    pub(crate) fn normal(&self, at: Vec3A) -> Vec3A {
        let at = at.as_dvec3();
        let normal = match *self {
            Self::Ellipsoid { centre, radii } => (at - centre) / (radii * radii),
            Self::Tube { foot, .. } => (at - foot).truncate().extend(0.0),
        };
        normal.normalize_or(DVec3::Z).as_vec3a()
    }

    pub(crate) fn bounds(&self) -> Aabb {
        let (low, high) = match *self {
            Self::Ellipsoid { centre, radii } => (centre - radii, centre + radii),
            Self::Tube { foot, radius, height } => {
                (foot - DVec3::new(radius, radius, 0.0), foot + DVec3::new(radius, radius, height))
            }
        };
        let margin = Vec3A::splat(1e-3);
        Aabb::new(low.as_vec3a() - margin, high.as_vec3a() + margin)
    }

    pub(crate) fn fault(&self) -> Option<String> {
        let good = |v: f64| v.is_finite() && v > 0.0;
        let (at, sizes) = match *self {
            Self::Ellipsoid { centre, radii } => (centre, radii.to_array()),
            Self::Tube { foot, radius, height } => (foot, [radius, height, height]),
        };
        if !at.is_finite() {
            return Some("its place is not finite".into());
        }
        let wrong = sizes.into_iter().find(|v| !good(*v))?;
        Some(format!("a size is {wrong} m; expected a finite length above 0"))
    }
}
