//! Where the lamps' light falls: what a path that bounces should look at.
//!
//! - At night most light that bounces comes from few bright patches. Rays of every lamp find them; each
//!   lamp's patches are gathered into a few spheres, and a path leaves a surface half of the time
//!   towards one of them, by what it may bring. The chance of every direction is known, so that the mean
//!   stays right wherever the spheres are.
//! - Not where the sun shines: then all is bright.

use std::f32::consts::{PI, TAU};

use glam::Vec3A;

use crate::colour::luminance;
use crate::lamp::Lamp;
use crate::sampler::Sampler;
use crate::scene::Scene;

/// Share of paths that go by the guide.
pub(crate) const GUIDED: f32 = 0.5;
/// Rays of each lamp.
const RAYS: u32 = 512;
/// Most patches of a scene.
const MOST: usize = 64;
/// How often a lamp's patches are halved at most.
const HALVINGS: u32 = 3;
/// Patches are never taken as smaller. [m]
const SMALLEST: f32 = 0.05;

/// A bright patch.
#[derive(Debug, Clone, Copy)]
struct Patch {
    centre: Vec3A,
    radius: f32,
    /// Light thrown back. [lm]
    power: f32,
}

/// Bright patches of a scene.
#[derive(Debug, Default)]
pub(crate) struct Guide {
    patches: Vec<Patch>,
}

/// What the patches may bring to one place.
pub(crate) struct Here<'g> {
    patches: &'g [Patch],
    expected: [f32; MOST],
    total: f32,
    at: Vec3A,
}

impl Guide {
    pub(crate) fn of(scene: &Scene) -> Self {
        if scene.heaven().sun.is_some() {
            return Self::default();
        }
        let lamps = scene.lamps();
        // As many halvings as leave no more patches than are looked at.
        let halvings = (MOST / lamps.len().max(1)).checked_ilog2().unwrap_or(0).min(HALVINGS);
        let mut patches = Vec::new();
        for (i, lamp) in lamps.iter().enumerate() {
            gather(lit_by(scene, lamp, i as u32), halvings, &mut patches);
        }
        patches.sort_by(|a, b| b.power.total_cmp(&a.power));
        patches.truncate(MOST);
        Self { patches }
    }

    /// What the patches may bring to a place; nothing where none can.
    pub(crate) fn here(&self, at: Vec3A, normal: Vec3A, both_sides: bool) -> Option<Here<'_>> {
        let mut here = Here { patches: &self.patches, expected: [0.0; MOST], total: 0.0, at };
        for (patch, expected) in self.patches.iter().zip(&mut here.expected) {
            *expected = patch.expected(at, normal, both_sides);
            here.total += *expected;
        }
        (here.total > 0.0).then_some(here)
    }
}

impl Here<'_> {
    /// A direction towards one of the patches.
    pub(crate) fn direction(&self, chance: f32, [u, v]: [f32; 2]) -> Vec3A {
        let mut left = chance * self.total;
        let mut chosen = 0;
        for (i, expected) in self.expected.iter().enumerate().take(self.patches.len()) {
            if *expected > 0.0 {
                chosen = i;
                if left < *expected {
                    break;
                }
                left -= expected;
            }
        }
        let patch = &self.patches[chosen];
        let way = patch.centre - self.at;
        let axis = way.normalize_or(Vec3A::Z);
        let cosine = 1.0 - u * (1.0 - patch.edge(way.length_squared()));
        let (x, y) = axis.any_orthonormal_pair();
        let sine = (1.0 - cosine * cosine).max(0.0).sqrt();
        (axis * cosine + x * (sine * (TAU * v).cos()) + y * (sine * (TAU * v).sin())).normalize()
    }

    /// Chance by steradian of a direction.
    pub(crate) fn chance(&self, direction: Vec3A) -> f32 {
        let mut sum = 0.0;
        for (patch, expected) in self.patches.iter().zip(&self.expected) {
            let way = patch.centre - self.at;
            let along = direction.dot(way);
            if *expected <= 0.0 || along < 0.0 {
                continue;
            }
            let square = way.length_squared();
            let edge = patch.edge(square);
            if along * along >= edge * edge * square {
                sum += expected / (TAU * (1.0 - edge));
            }
        }
        sum / self.total
    }
}

impl Patch {
    /// Cosine of half the cone under which it is seen; a hemisphere from inside.
    fn edge(&self, square: f32) -> f32 {
        let sine = self.radius * self.radius / square.max(1e-12);
        if sine >= 1.0 { 0.0 } else { (1.0 - sine).sqrt().min(0.999_999) }
    }

    fn expected(&self, at: Vec3A, normal: Vec3A, both_sides: bool) -> f32 {
        let way = self.centre - at;
        let square = way.length_squared();
        let rise = normal.dot(way);
        if !both_sides && rise + self.radius <= 0.0 {
            return 0.0;
        }
        let cosine = if both_sides { 0.5 } else { (rise / square.sqrt().max(1e-6)).max(0.1) };
        let angle = TAU * (1.0 - self.edge(square));
        self.power / (PI * self.radius * self.radius) * angle * cosine
    }
}

/// Places that a lamp lights, with the light that they throw back.
fn lit_by(scene: &Scene, lamp: &Lamp, seed: u32) -> Vec<(Vec3A, f32)> {
    let mut places = Vec::new();
    let (axis, edge) = lamp.cone();
    let (x, y) = axis.any_orthonormal_pair();
    let each = TAU * (1.0 - edge) / RAYS as f32;
    for ray in 0..RAYS {
        let [u, v] = Sampler::new(seed, ray).pair();
        let cosine = 1.0 - u * (1.0 - edge);
        let sine = (1.0 - cosine * cosine).max(0.0).sqrt();
        let direction = axis * cosine + x * (sine * (TAU * v).cos()) + y * (sine * (TAU * v).sin());
        let lumens = lamp.candela(direction) * each;
        if lumens <= 0.0 {
            continue;
        }
        let start = lamp.at + direction * lamp.clear;
        if let Some(hit) = scene.hit(start, direction) {
            let surface = scene.surface(&hit);
            let power = lumens * luminance(surface.reflectance + surface.transmittance);
            if power > 0.0 {
                places.push((hit.at, power));
            }
        }
    }
    places
}

/// Gathers places into spheres, halving them along their longest axis.
fn gather(mut places: Vec<(Vec3A, f32)>, halvings: u32, patches: &mut Vec<Patch>) {
    if places.is_empty() {
        return;
    }
    let power: f32 = places.iter().map(|(_, power)| power).sum();
    let centre = places.iter().map(|(at, power)| *at * *power).sum::<Vec3A>() / power;
    let square =
        places.iter().map(|(at, power)| (*at - centre).length_squared() * power).sum::<f32>() / power;
    let radius = (1.5 * square.sqrt()).max(SMALLEST);
    if halvings == 0 || radius < 2.0 * SMALLEST || places.len() < 8 {
        patches.push(Patch { centre, radius, power });
        return;
    }
    let low = places.iter().fold(Vec3A::INFINITY, |low, (at, _)| low.min(*at));
    let high = places.iter().fold(Vec3A::NEG_INFINITY, |high, (at, _)| high.max(*at));
    let size = high - low;
    let axis = if size.x >= size.y && size.x >= size.z {
        0
    } else if size.y >= size.z {
        1
    } else {
        2
    };
    places.sort_by(|a, b| a.0[axis].total_cmp(&b.0[axis]));
    // Halved by light, so that the brightest part is told best.
    let mut left = power * 0.5;
    let at = places
        .iter()
        .position(|(_, power)| {
            left -= power;
            left <= 0.0
        })
        .unwrap_or(0)
        .clamp(1, places.len() - 1);
    let far = places.split_off(at);
    gather(places, halvings - 1, patches);
    gather(far, halvings - 1, patches);
}
