//! Illuminance at places, by the count of bounces, with its standard error.

use std::f32::consts::PI;

use glam::{DVec3, Vec3A};
use rayon::prelude::*;

use crate::colour::{Colour, luminance};
use crate::material::Surface;
use crate::sampler::{Sampler, mixed};
use crate::scene::Scene;
use crate::trace::{Ledger, Vertex, lamps, path, sun};

/// A place that receives light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Where. [m]
    pub at: DVec3,
    /// What it faces; any length above 0.
    pub normal: DVec3,
}

/// A mean over independent replicates.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bounced {
    /// Illuminance. [lx]
    pub lux: f64,
    /// Its standard error. [lx]
    pub standard_error: f64,
}

/// Illuminance at a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Probed {
    /// From point lamps and the sun, straight. [lx]
    pub direct: f64,
    /// From lit faces and sky, straight. [lx]
    pub glow: Bounced,
    /// After at most 1, 2, … bounces, without what came straight. [lx]
    pub bounced: Vec<Bounced>,
}

/// Independent scramblings of the same sequence, from which the standard error comes.
const REPLICATES: u32 = 32;
/// Bounces that are kept apart.
const KEPT: usize = 16;

/// Sums by bounces; all that comes without chance first.
struct Sums {
    sharp: f64,
    soft: [f64; KEPT + 1],
}

impl Ledger for Sums {
    fn sharp(&mut self, _layer: u16, light: Colour) {
        self.sharp += f64::from(luminance(light));
    }

    fn soft(&mut self, _layer: u16, bounces: u32, light: Colour) {
        if let Some(sum) = self.soft.get_mut(bounces as usize) {
            *sum += f64::from(luminance(light));
        }
    }
}

/// Illuminance at a place.
///
/// # Arguments
/// - `bounces`: the most to follow, 0 to 16.
/// - `samples`: paths, shared out over 32 replicates.
///
/// # Returns
/// As many cumulative values as bounces.
pub fn probe(scene: &Scene, place: &Place, bounces: u32, samples: u32, seed: u32) -> Probed {
    let bounces = bounces.min(KEPT as u32);
    // A white diffuse surface there has a luminance of illuminance over π.
    let surface = Surface { reflectance: Vec3A::ONE, transmittance: Vec3A::ZERO };
    let normal = place.normal.normalize_or(DVec3::Z).as_vec3a();
    let vertex = Vertex { at: place.at.as_vec3a(), normal, surface };
    let mut straight = Sums { sharp: 0.0, soft: [0.0; KEPT + 1] };
    lamps(scene, &vertex, Vec3A::ONE, None, &mut straight);
    let each = samples.div_ceil(REPLICATES).max(1);
    let replicates: Vec<Sums> = (0..REPLICATES)
        .into_par_iter()
        .map(|replicate| {
            let seed = mixed(seed ^ mixed(replicate + 1));
            let mut sums = Sums { sharp: 0.0, soft: [0.0; KEPT + 1] };
            for sample in 0..each {
                let mut sampler = Sampler::new(seed, sample);
                sun(scene, &vertex, Vec3A::ONE, &mut sampler, &mut sums);
                path(scene, vertex, Vec3A::ONE, Some(bounces), &mut sampler, &mut sums);
            }
            let scale = f64::from(PI) / f64::from(each);
            Sums { sharp: sums.sharp * scale, soft: sums.soft.map(|sum| sum * scale) }
        })
        .collect();
    let mean = |of: &dyn Fn(&Sums) -> f64| {
        let n = f64::from(REPLICATES);
        let lux = replicates.iter().map(of).sum::<f64>() / n;
        let spread = replicates.iter().map(|r| (of(r) - lux).powi(2)).sum::<f64>();
        Bounced { lux, standard_error: (spread / (n * (n - 1.0))).sqrt() }
    };
    Probed {
        direct: f64::from(PI) * straight.sharp + mean(&|r| r.sharp).lux,
        glow: mean(&|r| r.soft[0]),
        bounced: (1..=bounces as usize).map(|most| mean(&|r| r.soft[1..=most].iter().sum())).collect(),
    }
}
