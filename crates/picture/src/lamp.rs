//! Point lamps with their distribution.

use std::f64::consts::{PI, TAU};

use glam::{DVec3, Vec3A};

use crate::colour::Colour;

/// Intensities about an axis, linear in angle between.
#[derive(Debug, Clone, PartialEq)]
pub enum Spread {
    /// Alike all round: ascending angles off the axis with intensities, nothing beyond the last.
    /// [rad, cd]
    Axial(Vec<(f32, f32)>),
    /// On an even grid: rows from 0 to π off the axis, columns once around. [cd]
    Around {
        /// Rows, two or more.
        rows: usize,
        /// Columns, one or more; the last is followed by the first.
        columns: usize,
        /// Intensities, row after row. [cd]
        candela: Vec<f32>,
    },
}

/// A point lamp.
#[derive(Debug, Clone, PartialEq)]
pub struct Lamp {
    /// Where. [m]
    pub at: Vec3A,
    /// What it gives off.
    pub spread: Spread,
    /// Its colour, of luminance 1.
    pub colour: Colour,
    /// The layer to which its light is credited.
    pub layer: u16,
    /// Bodies nearer than this are its own housing and stand in no way. [m]
    pub clear: f32,
    axis: Vec3A,
    east: Vec3A,
    north: Vec3A,
    /// Cosine of the angle beyond which nothing leaves.
    edge: f32,
}

/// Why a lamp is none.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LampFault {
    /// The aim has no length or its place is not finite.
    #[error("its place or aim is not finite, or the aim has no length")]
    Place,
    /// A table out of order or with numbers below zero.
    #[error(
        "its intensities are no table: expected ascending angles from 0 and finite candela, none below 0"
    )]
    Table,
}

impl Lamp {
    /// A lamp aimed in a direction.
    ///
    /// # Arguments
    /// - `east`: the direction of its columns' first, across the axis; its part along the axis is taken
    ///   off. Any direction for a lamp that is alike all round.
    ///
    /// # Errors
    /// [`LampFault`].
    pub fn new(
        at: DVec3,
        axis: DVec3,
        east: DVec3,
        spread: Spread,
        colour: Colour,
        layer: u16,
    ) -> Result<Self, LampFault> {
        let Some(axis) = axis.try_normalize() else { return Err(LampFault::Place) };
        if !at.is_finite() {
            return Err(LampFault::Place);
        }
        let east =
            (east - axis * east.dot(axis)).try_normalize().unwrap_or_else(|| axis.any_orthonormal_vector());
        let edge = spread.edge().ok_or(LampFault::Table)?;
        Ok(Self {
            at: at.as_vec3a(),
            spread,
            colour,
            layer,
            clear: 0.0,
            axis: axis.as_vec3a(),
            east: east.as_vec3a(),
            north: axis.cross(east).as_vec3a(),
            edge,
        })
    }

    /// The same with a housing of a radius. [m]
    #[must_use]
    pub fn housed(self, clear: f32) -> Self {
        Self { clear, ..self }
    }

    /// Intensity in a direction of length 1. [cd]
    pub fn candela(&self, direction: Vec3A) -> f32 {
        let cosine = direction.dot(self.axis);
        if cosine < self.edge {
            return 0.0;
        }
        // By sine and cosine: a cosine alone loses half of its digits on the axis.
        let off = direction.cross(self.axis).length().atan2(cosine);
        match &self.spread {
            Spread::Axial(table) => axial(table, off),
            Spread::Around { rows, columns, candela } => {
                if *columns == 1 {
                    return along_rows(*rows, candela, off);
                }
                let about = direction.dot(self.north).atan2(direction.dot(self.east));
                around(*rows, *columns, candela, off, about)
            }
        }
    }

    /// Its axis, and the cosine of the angle beyond which nothing leaves.
    pub(crate) fn cone(&self) -> (Vec3A, f32) {
        (self.axis, self.edge.max(-1.0))
    }

    /// All that it gives off. [lm]
    pub fn lumens(&self) -> f64 {
        let (rings, spokes) = (720, 72);
        let step = PI / f64::from(rings);
        let mut flux = 0.0;
        for i in 0..rings {
            let off = step * (f64::from(i) + 0.5);
            let ring: f64 = (0..spokes)
                .map(|j| {
                    let about = TAU * (f64::from(j) + 0.5) / f64::from(spokes);
                    let across = self.east * about.cos() as f32 + self.north * about.sin() as f32;
                    f64::from(self.candela(self.axis * off.cos() as f32 + across * off.sin() as f32))
                })
                .sum();
            flux += ring / f64::from(spokes) * off.sin() * step * TAU;
        }
        flux
    }
}

impl Spread {
    /// Cosine of the angle beyond which nothing leaves; none for a table that is none.
    fn edge(&self) -> Option<f32> {
        let good = |cd: f32| cd.is_finite() && cd >= 0.0;
        match self {
            Self::Axial(table) => {
                let ordered = table.windows(2).all(|pair| pair[0].0 < pair[1].0);
                let whole =
                    table.first()?.0 >= 0.0 && table.iter().all(|(angle, cd)| angle.is_finite() && good(*cd));
                let last = table.last()?.0.min(std::f32::consts::PI);
                (ordered && whole).then(|| last.cos() - 1e-6)
            }
            Self::Around { rows, columns, candela } => {
                let whole = *rows >= 2 && *columns >= 1 && candela.len() == rows * columns;
                if !whole || !candela.iter().all(|cd| good(*cd)) {
                    return None;
                }
                let dark =
                    |row: usize| candela[row * columns..(row + 1) * columns].iter().all(|cd| *cd == 0.0);
                let last = (0..*rows).rev().find(|row| !dark(*row)).map_or(0, |row| (row + 1).min(rows - 1));
                Some((std::f32::consts::PI * last as f32 / (rows - 1) as f32).cos() - 1e-6)
            }
        }
    }
}

fn axial(table: &[(f32, f32)], off: f32) -> f32 {
    let after = table.partition_point(|(angle, _)| *angle <= off);
    match (after.checked_sub(1).map(|i| table[i]), table.get(after)) {
        (Some((a, i)), Some((b, j))) => i + (j - i) * (off - a) / (b - a),
        (Some((a, i)), None) if a >= off => i,
        _ => 0.0,
    }
}

/// A grid of one column.
fn along_rows(rows: usize, candela: &[f32], off: f32) -> f32 {
    let row = (off / std::f32::consts::PI * (rows - 1) as f32).clamp(0.0, (rows - 1) as f32);
    let i = (row as usize).min(rows - 2);
    candela[i] + (row - i as f32) * (candela[i + 1] - candela[i])
}

fn around(rows: usize, columns: usize, candela: &[f32], off: f32, about: f32) -> f32 {
    let row = (off / std::f32::consts::PI * (rows - 1) as f32).clamp(0.0, (rows - 1) as f32);
    let (i, u) = ((row as usize).min(rows - 2), row - (row as usize).min(rows - 2) as f32);
    let turn = (about / std::f32::consts::TAU).rem_euclid(1.0) * columns as f32;
    let (j, w) = (turn as usize % columns, turn.fract());
    let next = (j + 1) % columns;
    let along = |column: usize| {
        let (near, far) = (candela[i * columns + column], candela[(i + 1) * columns + column]);
        near + u * (far - near)
    };
    along(j) + w * (along(next) - along(j))
}
