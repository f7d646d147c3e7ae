//! From a scene and a camera to a film.

use glam::Vec3A;
use rayon::prelude::*;

use crate::camera::Camera;
use crate::colour::Colour;
use crate::film::{Film, Pass};
use crate::sampler::{Sampler, mixed};
use crate::scene::Scene;
use crate::trace::{Ledger, Vertex, fresnel, lamps, mirror, path, sun};

/// How often light may bounce before it reaches what the eye sees; without end by Russian roulette.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bounces {
    /// At most so often; 0 is direct light alone.
    AtMost(u32),
    /// As often as it matters.
    All,
}

impl Bounces {
    pub(crate) fn most(self) -> Option<u32> {
        match self {
            Self::AtMost(most) => Some(most),
            Self::All => None,
        }
    }
}

/// So few lamps are all looked at from every place.
const FEW: usize = 6;

/// A pixel's place in a film.
struct Pixel<'f> {
    sharp: &'f mut [f32],
    soft: &'f mut [f32],
}

impl Ledger for Pixel<'_> {
    fn sharp(&mut self, layer: u16, light: Colour) {
        add(self.sharp, layer, light);
    }

    fn soft(&mut self, layer: u16, _bounces: u32, light: Colour) {
        add(self.soft, layer, light);
    }
}

fn add(values: &mut [f32], layer: u16, light: Colour) {
    let at = usize::from(layer) * 3;
    values[at] += light.x;
    values[at + 1] += light.y;
    values[at + 2] += light.z;
}

/// Adds samples to every pixel of a film, on all threads; the result hangs on their count in no way.
///
/// # Arguments
/// - `film`: of the camera's size and the scene's layers, blank or begun.
///
/// # Panics
/// Never where film, camera and scene fit; a film of another size is left as it is.
pub fn render(scene: &Scene, camera: &Camera, film: &mut Film, pass: Pass, bounces: Bounces) {
    let fits = film.size() == camera.size() && film.layers() == scene.layers();
    if !fits || pass.samples == 0 {
        return;
    }
    let (width, stride) = (camera.size()[0] as usize, film.layers() * 3);
    let from = film.samples;
    film.sharp
        .par_chunks_mut(width * stride)
        .zip(film.soft.par_chunks_mut(width * stride))
        .zip(film.features.par_chunks_mut(width))
        .enumerate()
        .for_each(|(y, ((sharp, soft), features))| {
            let pixels = sharp.chunks_mut(stride).zip(soft.chunks_mut(stride)).zip(features);
            for (x, ((sharp, soft), features)) in pixels.enumerate() {
                let mut pixel = Pixel { sharp, soft };
                let seed = mixed(pass.seed ^ mixed((y * width + x) as u32));
                for sample in from..from + pass.samples {
                    let mut sampler = Sampler::new(seed, sample);
                    let [u, v] = sampler.pair();
                    let (origin, direction) = camera.ray(x as f32 + u, y as f32 + v);
                    let seen =
                        look(scene, origin, direction, Vec3A::ONE, bounces, 0, &mut sampler, &mut pixel);
                    for (sum, value) in features.iter_mut().zip(seen) {
                        *sum += value;
                    }
                }
            }
        });
    film.samples += pass.samples;
}

/// What the eye sees along a ray; comes back as features of the first surface.
#[expect(clippy::too_many_arguments, reason = "one ray with all that belongs to it")]
fn look(
    scene: &Scene,
    origin: Vec3A,
    direction: Vec3A,
    weight: Colour,
    bounces: Bounces,
    panes: u32,
    sampler: &mut Sampler,
    ledger: &mut impl Ledger,
) -> [f32; 7] {
    /// Seen where nothing is: far off, facing the eye. [m]
    const FAR: f32 = 1000.0;
    let Some(hit) = scene.hit(origin, direction) else {
        if let Some((sky, layer)) = &scene.heaven().sky {
            ledger.sharp(*layer, sky.luminance(direction) * weight);
        }
        return [1.0, 1.0, 1.0, 0.0, 0.0, 0.0, FAR.ln()];
    };
    let material = scene.material(&hit);
    if material.emitted != Vec3A::ZERO {
        ledger.sharp(material.layer, material.emitted * weight);
    }
    let vertex = Vertex::of(scene, &hit);
    let mut rest = weight;
    if material.smooth {
        let share = fresnel(-direction.dot(hit.normal));
        rest *= 1.0 - share;
        if panes < 2 {
            let on = mirror(direction, hit.normal);
            look(scene, vertex.start(on), on, weight * share, bounces, panes + 1, sampler, ledger);
        }
    }
    if vertex.surface.kept() > 0.0 {
        let chance = (scene.lamps().len() > FEW).then(|| sampler.one());
        lamps(scene, &vertex, rest, chance, ledger);
        sun(scene, &vertex, rest, sampler, ledger);
        path(scene, vertex, rest, bounces.most(), sampler, ledger);
    }
    let (r, n) = (vertex.surface.reflectance + vertex.surface.transmittance, hit.normal);
    [r.x, r.y, r.z, n.x, n.y, n.z, hit.distance.max(1e-3).ln()]
}
