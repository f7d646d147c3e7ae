//! What surfaces do with light.
//!
//! - Every surface is diffuse on both sides; a leaf also passes light to the other side; a pane
//!   mirrors by Fresnel's law over what lies behind it.
//! - Patterns are of our own: sums of hashed noise, courses and joints by where a place lies.

use glam::Vec3A;

use crate::colour::{Colour, luminance};
use crate::sampler::mixed;

/// A material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// Share of light thrown back, 0 to 1 for each primary.
    pub reflectance: Colour,
    /// Share of light passed to the other side, 0 to 1. With the reflectance below 1.
    pub transmittance: Colour,
    /// Luminance that it gives off from both sides. [cd/m²]
    pub emitted: Colour,
    /// Layer to which what it gives off is credited.
    pub layer: u16,
    /// Whether it is smooth like glass or still water.
    pub smooth: bool,
    /// How its reflectance varies.
    pub pattern: Pattern,
    /// A map seen from above that says which material really lies there.
    pub map: Option<u16>,
}

/// Materials on a level grid: what lies where on the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct MaterialMap {
    /// Its south-west corner. [m]
    pub corner: [f32; 2],
    /// Side of a cell. [m] Above zero.
    pub cell: f32,
    /// Columns and rows.
    pub size: [usize; 2],
    /// Material of every cell, rows from the south.
    pub materials: Vec<u16>,
    /// Material of what lies beyond.
    pub beyond: u16,
}

impl MaterialMap {
    /// Material at a place. [m]
    pub fn at(&self, x: f32, y: f32) -> u16 {
        let (i, j) = ((x - self.corner[0]) / self.cell, (y - self.corner[1]) / self.cell);
        if i < 0.0 || j < 0.0 || i >= self.size[0] as f32 || j >= self.size[1] as f32 {
            return self.beyond;
        }
        self.materials[j as usize * self.size[0] + i as usize]
    }

    pub(crate) fn fault(&self, materials: usize) -> Option<String> {
        let whole = self.materials.len() == self.size[0] * self.size[1] && self.cell > 0.0;
        let known = self.materials.iter().chain([&self.beyond]).all(|m| usize::from(*m) < materials);
        match (whole, known) {
            (false, _) => Some("its cells are not columns times rows, or have no side".into()),
            (_, false) => Some("it names a material that is not there".into()),
            _ => None,
        }
    }
}

impl Material {
    /// A plain diffuse material.
    pub const fn plain(reflectance: Colour) -> Self {
        Self {
            reflectance,
            transmittance: Vec3A::ZERO,
            emitted: Vec3A::ZERO,
            layer: 0,
            smooth: false,
            pattern: Pattern::Plain,
            map: None,
        }
    }

    /// A grey diffuse material.
    pub const fn grey(reflectance: f32) -> Self {
        Self::plain(Vec3A::splat(reflectance))
    }

    /// A leaf: thrown back and passed.
    pub const fn leaf(reflectance: Colour, transmittance: Colour) -> Self {
        Self { transmittance, ..Self::plain(reflectance) }
    }

    /// The same with a pattern.
    #[must_use]
    pub const fn with(self, pattern: Pattern) -> Self {
        Self { pattern, ..self }
    }

    /// A surface that gives off light, credited to a layer.
    #[must_use]
    pub const fn lit(self, emitted: Colour, layer: u16) -> Self {
        Self { emitted, layer, ..self }
    }

    /// The same by a map.
    #[must_use]
    pub const fn mapped(self, map: u16) -> Self {
        Self { map: Some(map), ..self }
    }

    pub(crate) fn fault(&self) -> Option<String> {
        let shares = self.reflectance.min_element() >= 0.0
            && self.transmittance.min_element() >= 0.0
            && (self.reflectance + self.transmittance).max_element() <= 1.0;
        if !shares {
            let (back, on) = (self.reflectance, self.transmittance);
            return Some(format!(
                "it throws back {back} and passes {on}; expected shares that sum to at most 1"
            ));
        }
        let emitted = self.emitted;
        let good = emitted.is_finite() && emitted.min_element() >= 0.0;
        (!good).then(|| format!("it gives off {emitted} cd/m²; expected finite values, none below 0"))
    }
}

/// How a reflectance varies over a surface.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Pattern {
    /// Even.
    #[default]
    Plain,
    /// Patches: their size [m], and how far they go up and down, as a share.
    Patches {
        /// Size of the largest patches. [m]
        size: f32,
        /// Most that a patch is lighter or darker, 0 to 1.
        contrast: f32,
    },
    /// Courses with joints on upright faces, in running bond: stretcher by course. [m]
    Courses {
        /// Length of a piece. [m]
        length: f32,
        /// Height of a course. [m]
        height: f32,
        /// Width of the joint. [m]
        joint: f32,
        /// Reflectance of the joint over that of the piece.
        joint_share: f32,
        /// Most that a piece is lighter or darker.
        contrast: f32,
    },
    /// Boards lapped one over the other on upright faces: each throws a line of shade. [m]
    Boards {
        /// Height of a board. [m]
        height: f32,
    },
    /// Pieces laid flat with joints. [m]
    Pavers {
        /// Side of a piece. [m]
        length: f32,
        /// Other side. [m]
        width: f32,
        /// Width of the joint. [m]
        joint: f32,
    },
}

/// What a place of a surface does with light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// Share thrown back.
    pub reflectance: Colour,
    /// Share passed.
    pub transmittance: Colour,
}

impl Surface {
    /// Share thrown back or passed, by luminance: how likely a path goes on.
    pub(crate) fn kept(&self) -> f32 {
        luminance(self.reflectance + self.transmittance).min(1.0)
    }

    /// Share of what goes on that is thrown back.
    pub(crate) fn back(&self) -> f32 {
        let (back, on) = (luminance(self.reflectance), luminance(self.transmittance));
        if back + on > 0.0 { back / (back + on) } else { 1.0 }
    }
}

impl Material {
    /// What the material does at a place. [m]
    ///
    /// # Arguments
    /// - `tint`: factor of the instance, 1 for none.
    pub fn at(&self, place: Vec3A, normal: Vec3A, tint: Colour) -> Surface {
        let share = self.pattern.share(place, normal);
        let scaled = |colour: Colour| (colour * share * tint).clamp(Vec3A::ZERO, Vec3A::splat(0.95));
        let (reflectance, transmittance) = (scaled(self.reflectance), scaled(self.transmittance));
        // Tints never make more light than there was.
        let most = (reflectance + transmittance).max_element();
        let scale = if most > 0.98 { 0.98 / most } else { 1.0 };
        if self.pattern == Pattern::Plain && tint == Vec3A::ONE {
            return Surface { reflectance: self.reflectance, transmittance: self.transmittance };
        }
        Surface { reflectance: reflectance * scale, transmittance: transmittance * scale }
    }
}

impl Pattern {
    fn share(self, at: Vec3A, normal: Vec3A) -> f32 {
        match self {
            Self::Plain => 1.0,
            Self::Patches { size, contrast } => 1.0 + contrast * patches(at / size),
            Self::Courses { length, height, joint, joint_share, contrast } => {
                let (along, up) = upright(at, normal);
                let course = (up / height).floor();
                let shifted = along / length + 0.5 * (course.rem_euclid(2.0));
                let piece = shifted.floor();
                let (u, v) = ((shifted - piece) * length, up - course * height);
                if normal.z.abs() < 0.7 && (u < joint || v < joint) {
                    return joint_share;
                }
                1.0 + contrast * signed(hash(piece as i32, course as i32, 11))
            }
            Self::Boards { height } => {
                let (along, up) = upright(at, normal);
                let share = (up / height).rem_euclid(1.0);
                let grain = 0.03 * patches(Vec3A::new(along * 0.7, 0.0, up * 6.0));
                if share < 0.08 { 0.55 } else { 1.0 + grain - 0.06 * (1.0 - share) }
            }
            Self::Pavers { length, width, joint } => {
                let row = (at.y / width).floor();
                let shifted = at.x / length + 0.5 * row.rem_euclid(2.0);
                let piece = shifted.floor();
                let (u, v) = ((shifted - piece) * length, at.y - row * width);
                if u < joint || v < joint {
                    return 0.5;
                }
                1.0 + 0.12 * signed(hash(piece as i32, row as i32, 5)) + 0.05 * patches(at * 12.0)
            }
        }
    }
}

/// Place on an upright face: along it and up. [m, m]
fn upright(at: Vec3A, normal: Vec3A) -> (f32, f32) {
    let along = Vec3A::new(-normal.y, normal.x, 0.0).normalize_or(Vec3A::X);
    (at.dot(along), at.z)
}

/// Noise of four octaves, about −1 to 1.
fn patches(at: Vec3A) -> f32 {
    let (mut sum, mut weight, mut at) = (0.0, 0.5, at);
    for octave in 0..4 {
        sum += weight * noise(at, octave);
        weight *= 0.6;
        at *= 2.17;
    }
    sum
}

/// Hashed values at whole places, smoothly between, −1 to 1.
fn noise(at: Vec3A, seed: i32) -> f32 {
    let cell = at.floor();
    let share = at - cell;
    let eased = share * share * (Vec3A::splat(3.0) - 2.0 * share);
    let corner = |dx: i32, dy: i32, dz: i32| {
        signed(hash(cell.x as i32 + dx, cell.y as i32 + dy, (cell.z as i32 + dz).wrapping_mul(31) + seed))
    };
    let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
    let level = |dz: i32| {
        let near = mix(corner(0, 0, dz), corner(1, 0, dz), eased.x);
        let far = mix(corner(0, 1, dz), corner(1, 1, dz), eased.x);
        mix(near, far, eased.y)
    };
    mix(level(0), level(1), eased.z)
}

fn hash(x: i32, y: i32, z: i32) -> u32 {
    mixed(
        mixed(mixed(x.cast_unsigned()).wrapping_add(y.cast_unsigned()).wrapping_mul(0x9e37_79b1))
            .wrapping_add(z.cast_unsigned()),
    )
}

fn signed(bits: u32) -> f32 {
    (bits >> 8) as f32 * (2.0 / 16_777_216.0) - 1.0
}
