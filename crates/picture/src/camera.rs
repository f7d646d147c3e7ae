//! Where the eye is and how wide it looks.

use glam::{DVec3, Vec3A};

/// How a picture is laid out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lens {
    /// Straight lines stay straight; the angle is across the width. [rad]
    Flat(f64),
    /// All round in a level strip: equal angles to equal widths. The angle is across the width. [rad]
    Round(f64),
    /// From above without perspective: the width that it shows. [m]
    Plan(f64),
}

/// A camera.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Camera {
    at: Vec3A,
    forward: Vec3A,
    right: Vec3A,
    up: Vec3A,
    lens: Lens,
    width: u32,
    height: u32,
}

/// Why a camera is none.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CameraFault {
    /// It looks nowhere.
    #[error("the eye and what it looks at are the same place, or not finite")]
    Nowhere,
    /// A size or angle out of range.
    #[error("{what} is {value}; expected {expected}")]
    OutOfRange {
        /// Which.
        what: &'static str,
        /// Its value.
        value: f64,
        /// What was expected.
        expected: &'static str,
    },
}

impl Camera {
    /// A camera at a place that looks at another.
    ///
    /// # Arguments
    /// - `up`: what is up in the picture; north for one that looks straight down.
    /// - `size`: columns and rows of pixels, 1 to 16,384.
    ///
    /// # Errors
    /// [`CameraFault`].
    pub fn new(at: DVec3, target: DVec3, up: DVec3, lens: Lens, size: [u32; 2]) -> Result<Self, CameraFault> {
        let Some(forward) = (target - at).try_normalize() else { return Err(CameraFault::Nowhere) };
        let Some(right) = forward.cross(up).try_normalize() else { return Err(CameraFault::Nowhere) };
        for (what, value) in [("width", size[0]), ("height", size[1])] {
            if !(1..=16_384).contains(&value) {
                let expected = "1 to 16384 pixels";
                return Err(CameraFault::OutOfRange { what, value: f64::from(value), expected });
            }
        }
        let (good, value, expected) = match lens {
            Lens::Flat(angle) => (angle > 0.0 && angle < 3.1, angle, "an angle above 0 and below 177°"),
            Lens::Round(angle) => (angle > 0.0 && angle <= 6.284, angle, "an angle above 0 and up to 360°"),
            Lens::Plan(width) => (width > 0.0 && width.is_finite(), width, "a finite width above 0 m"),
        };
        if !good {
            return Err(CameraFault::OutOfRange { what: "the lens", value, expected });
        }
        let [width, height] = size;
        let up = right.cross(forward);
        Ok(Self {
            at: at.as_vec3a(),
            forward: forward.as_vec3a(),
            right: right.as_vec3a(),
            up: up.as_vec3a(),
            lens,
            width,
            height,
        })
    }

    /// Columns and rows of pixels.
    pub fn size(&self) -> [u32; 2] {
        [self.width, self.height]
    }

    /// Where the eye is. [m]
    pub fn eye(&self) -> Vec3A {
        self.at
    }

    /// The ray through a place of the picture, in pixels from its upper left corner.
    pub(crate) fn ray(&self, x: f32, y: f32) -> (Vec3A, Vec3A) {
        let (w, h) = (self.width as f32, self.height as f32);
        // Across −1 to 1, up in the same scale.
        let (u, v) = (2.0 * x / w - 1.0, (h - 2.0 * y) / w);
        match self.lens {
            Lens::Flat(angle) => {
                let half = (angle * 0.5).tan() as f32;
                (self.at, (self.forward + self.right * (u * half) + self.up * (v * half)).normalize())
            }
            Lens::Round(angle) => {
                let half = (angle * 0.5) as f32;
                let (across, rise) = (u * half, v * half);
                let level = self.forward * across.cos() + self.right * across.sin();
                (self.at, (level + self.up * rise.tan()).normalize())
            }
            Lens::Plan(width) => {
                let half = (width * 0.5) as f32;
                (self.at + self.right * (u * half) + self.up * (v * half), self.forward)
            }
        }
    }

    /// Where a place appears, in pixels from the upper left corner, and how far along the view it lies.
    /// [px, px, m] Nothing behind the eye.
    pub fn seen(&self, place: DVec3) -> Option<[f64; 3]> {
        let way = place - self.at.as_dvec3();
        let (along, across, rise) =
            (way.dot(self.forward.as_dvec3()), way.dot(self.right.as_dvec3()), way.dot(self.up.as_dvec3()));
        let (u, v) = match self.lens {
            Lens::Flat(_) if along <= 1e-6 => return None,
            Lens::Flat(angle) => {
                let half = (angle * 0.5).tan();
                (across / along / half, rise / along / half)
            }
            Lens::Round(angle) => {
                let level = along.hypot(across);
                (across.atan2(along) / (angle * 0.5), (rise / level).atan() / (angle * 0.5))
            }
            Lens::Plan(width) => (across / (width * 0.5), rise / (width * 0.5)),
        };
        let (w, h) = (f64::from(self.width), f64::from(self.height));
        Some([(u + 1.0) * 0.5 * w, (h - v * w) * 0.5, along])
    }
}
