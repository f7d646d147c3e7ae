//! Paths of light from the eye backwards.
//!
//! - What the eye sees first is lit by every point lamp without chance. Light that comes over other
//!   surfaces is sampled: at each of them one lamp or the sun, with a chance in proportion to what it
//!   would bring if nothing stood in its way.
//! - Half of the paths leave towards what the lamps light (`guide.rs`), where anything is lit so.
//! - Lit faces are sampled both by their area and by the surface, weighed by the power heuristic.
//! - Paths end by Russian roulette, so that nothing is lost on average, or after a given count.
//!
//! # Source
//! Kajiya 1986; weighing and roulette: Veach 1997; one of many by a stream of weights: Chao 1982.

use std::f32::consts::PI;

use glam::Vec3A;

use crate::colour::{Colour, luminance};
use crate::guide::{GUIDED, Here};
use crate::lamp::Lamp;
use crate::material::Surface;
use crate::sampler::Sampler;
use crate::scene::{Hit, Scene};
use crate::sky::SUN_RADIUS;

/// Paths are never longer than this, however bright the walls are.
const LONGEST: u32 = 400;
/// Lamps that bring less than this share of all are looked at by roulette.
const FAINT: f32 = 0.03;
/// From this bounce on, roulette may end a path.
const ROULETTE_FROM: u32 = 2;

/// Who takes down what a path brings.
pub(crate) trait Ledger {
    /// Light that came without a bounce and without chance, or nearly so.
    fn sharp(&mut self, layer: u16, light: Colour);
    /// Light that came by chance, after a count of bounces.
    fn soft(&mut self, layer: u16, bounces: u32, light: Colour);
}

/// A place from which light is looked for.
#[derive(Clone, Copy)]
pub(crate) struct Vertex {
    pub(crate) at: Vec3A,
    pub(crate) normal: Vec3A,
    pub(crate) surface: Surface,
}

impl Vertex {
    pub(crate) fn of(scene: &Scene, hit: &Hit) -> Self {
        Self { at: hit.at, normal: hit.normal, surface: scene.surface(hit) }
    }

    /// Just off the surface, on the side of a direction.
    fn off(&self, direction: Vec3A) -> Vec3A {
        let step = 1e-4 + 4e-6 * self.at.abs().max_element();
        self.at + self.normal * step.copysign(self.normal.dot(direction))
    }

    /// Share of light from a direction that leaves to the front, by steradian, times the cosine.
    fn response(&self, direction: Vec3A) -> Colour {
        let cosine = self.normal.dot(direction);
        let share = if cosine > 0.0 { self.surface.reflectance } else { self.surface.transmittance };
        share * (cosine.abs() / PI)
    }
}

/// What a lamp brings to a place if nothing stands in its way, with direction and distance.
pub(crate) fn unshaded(lamp: &Lamp, vertex: &Vertex) -> Option<(Colour, Vec3A, f32)> {
    let way = lamp.at - vertex.at;
    let square = way.length_squared();
    if square < 1e-12 {
        return None;
    }
    let distance = square.sqrt();
    let direction = way / distance;
    let response = vertex.response(direction);
    if response.max_element() <= 0.0 {
        return None;
    }
    let candela = lamp.candela(-direction);
    (candela > 0.0).then(|| (lamp.colour * response * (candela / square), direction, distance))
}

fn reaches(scene: &Scene, lamp: &Lamp, vertex: &Vertex, direction: Vec3A, distance: f32) -> bool {
    let end = distance - lamp.clear.max(1e-4);
    scene.clear(vertex.off(direction), direction, end)
}

/// Light of every lamp; without chance of all that bring a share worth looking at, and of the faint
/// rest by roulette, so that the mean is right.
pub(crate) fn lamps(
    scene: &Scene,
    vertex: &Vertex,
    weight: Colour,
    chance: Option<f32>,
    ledger: &mut impl Ledger,
) {
    let total: f32 = match chance {
        Some(_) => {
            scene.lamps().iter().filter_map(|lamp| unshaded(lamp, vertex)).map(|(l, ..)| luminance(l)).sum()
        }
        None => 0.0,
    };
    let faint = total * FAINT;
    // One number for all, shifted by the golden ratio from lamp to lamp.
    let mut chance = chance.unwrap_or(0.0);
    for lamp in scene.lamps() {
        let Some((light, direction, distance)) = unshaded(lamp, vertex) else { continue };
        let size = luminance(light);
        let mut share = 1.0;
        if size < faint {
            share = (size / faint).max(1e-3);
            chance = (chance + 0.618_034).fract();
            if chance >= share {
                continue;
            }
        }
        if reaches(scene, lamp, vertex, direction, distance) {
            ledger.sharp(lamp.layer, light * weight / share);
        }
    }
}

/// Light of the sun, at one place of its disc.
pub(crate) fn sun(
    scene: &Scene,
    vertex: &Vertex,
    weight: Colour,
    sampler: &mut Sampler,
    ledger: &mut impl Ledger,
) {
    let Some(sun) = scene.heaven().sun else { return };
    let direction = about(sun.direction, sampler.pair());
    let light = vertex.response(direction) * sun.illuminance;
    if light.max_element() > 0.0 && scene.clear(vertex.off(direction), direction, f32::INFINITY) {
        ledger.sharp(sun.layer, light * weight);
    }
}

/// A direction within the sun's disc.
fn about(direction: Vec3A, [u, v]: [f32; 2]) -> Vec3A {
    let (x, y) = direction.any_orthonormal_pair();
    let (radius, turn) = (SUN_RADIUS * u.sqrt(), v * std::f32::consts::TAU);
    (direction + x * (radius * turn.cos()) + y * (radius * turn.sin())).normalize()
}

/// Light of one lit face, at one of its places; weighed against meeting it by the surface.
fn lit_faces(
    scene: &Scene,
    vertex: &Vertex,
    weight: Colour,
    bounces: u32,
    sampler: &mut Sampler,
    ledger: &mut impl Ledger,
) {
    if scene.lit().is_empty() {
        return;
    }
    let ([mut chance, _], [u, v]) = (sampler.pair(), sampler.pair());
    let total: f32 = (0..scene.lit().len()).map(|i| expected(scene, i, vertex.at)).sum();
    if total <= 0.0 {
        return;
    }
    let mut chosen = None;
    chance *= total;
    for i in 0..scene.lit().len() {
        let share = expected(scene, i, vertex.at);
        if share > 0.0 {
            chosen = Some((i, share / total));
            if chance < share {
                break;
            }
            chance -= share;
        }
    }
    let Some((i, probability)) = chosen else { return };
    let face = &scene.lit()[i];
    let (a, b) = if u + v > 1.0 { (1.0 - u, 1.0 - v) } else { (u, v) };
    let place = face.corner + face.edges[0] * a + face.edges[1] * b;
    let way = place - vertex.at;
    let square = way.length_squared();
    let distance = square.sqrt();
    if distance < 1e-5 {
        return;
    }
    let direction = way / distance;
    let across = face.normal.dot(direction).abs();
    let response = vertex.response(direction);
    if across < 1e-6 || response.max_element() <= 0.0 {
        return;
    }
    let by_area = probability * square / (across * face.area);
    let by_surface = Guided::at(scene, vertex).chance(vertex, direction);
    let share = heuristic(by_area, by_surface);
    // From where the ray really begins, so that it ends before the face itself at any slant.
    let start = vertex.off(direction);
    let (towards, length) = (place - start).normalize_and_length();
    if scene.clear(start, towards, length * (1.0 - 2e-4) - 2e-5) {
        ledger.soft(face.layer, bounces, face.emitted * response * weight * (share / by_area));
    }
}

/// What a lit face may bring to a place, roughly: how it is chosen.
fn expected(scene: &Scene, face: usize, at: Vec3A) -> f32 {
    let face = &scene.lit()[face];
    let middle = face.corner + (face.edges[0] + face.edges[1]) / 3.0;
    luminance(face.emitted) * face.area / ((middle - at).length_squared() + face.area)
}

/// Chance by steradian that the surface sends a path in a direction.
fn leaving(vertex: &Vertex, direction: Vec3A) -> f32 {
    let cosine = vertex.normal.dot(direction);
    let back = vertex.surface.back();
    (if cosine > 0.0 { back } else { 1.0 - back }) * cosine.abs() / PI
}

fn heuristic(this: f32, other: f32) -> f32 {
    let (a, b) = (this * this, other * other);
    if a + b > 0.0 { a / (a + b) } else { 0.0 }
}

/// One lamp or the sun, chosen by what it would bring.
fn one_of_all(
    scene: &Scene,
    vertex: &Vertex,
    weight: Colour,
    bounces: u32,
    sampler: &mut Sampler,
    ledger: &mut impl Ledger,
) {
    let [chance, _] = sampler.pair();
    let mut draw = Draw { chance, total: 0.0, chosen: None };
    for lamp in scene.lamps() {
        if let Some((light, direction, distance)) = unshaded(lamp, vertex) {
            draw.offer(
                light * weight,
                Candidate { light, direction, distance, lamp: Some(lamp), layer: lamp.layer },
            );
        }
    }
    if let Some(sun) = scene.heaven().sun {
        let direction = about(sun.direction, sampler.pair());
        let light = vertex.response(direction) * sun.illuminance;
        let candidate = Candidate { light, direction, distance: f32::INFINITY, lamp: None, layer: sun.layer };
        draw.offer(light * weight, candidate);
    }
    let Some((candidate, size)) = draw.chosen else { return };
    let Candidate { light, direction, distance, lamp, layer } = candidate;
    let arrives = match lamp {
        Some(lamp) => reaches(scene, lamp, vertex, direction, distance),
        None => scene.clear(vertex.off(direction), direction, distance),
    };
    if arrives {
        ledger.soft(layer, bounces, light * weight * (draw.total / size));
    }
}

struct Candidate<'s> {
    light: Colour,
    direction: Vec3A,
    distance: f32,
    lamp: Option<&'s Lamp>,
    layer: u16,
}

/// One of a stream by weight, with one number for chance.
struct Draw<'s> {
    chance: f32,
    total: f32,
    chosen: Option<(Candidate<'s>, f32)>,
}

impl<'s> Draw<'s> {
    fn offer(&mut self, weighed: Colour, candidate: Candidate<'s>) {
        let size = luminance(weighed);
        if size <= 0.0 {
            return;
        }
        self.total += size;
        let share = size / self.total;
        if self.chance < share {
            self.chance = (self.chance / share).min(0.999_999_9);
            self.chosen = Some((candidate, size));
        } else {
            self.chance = ((self.chance - share) / (1.0 - share)).min(0.999_999_9);
        }
    }
}

/// Light that comes to a place over other surfaces, from lit faces and from the sky, along one path.
///
/// # Arguments
/// - `weight`: how much what leaves the place counts.
/// - `most`: bounces after the place itself; without end if none is given.
pub(crate) fn path(
    scene: &Scene,
    start: Vertex,
    weight: Colour,
    most: Option<u32>,
    sampler: &mut Sampler,
    ledger: &mut impl Ledger,
) {
    let (mut vertex, mut through) = (start, weight);
    lit_faces(scene, &vertex, through, 0, sampler, ledger);
    let ends_in_dark = scene.heaven().sky.is_none() && scene.lit().is_empty() && !scene.any_lit();
    let last = most.unwrap_or(LONGEST).min(LONGEST);
    for bounces in 1..=last + u32::from(!ends_in_dark) {
        let Some(Onward { direction, kept, chance: by_surface }) = leave(scene, &vertex, sampler) else {
            return;
        };
        through *= kept;
        if bounces >= ROULETTE_FROM && most.is_none() {
            let chance = luminance(through / weight.max(Vec3A::splat(1e-9))).clamp(0.02, 1.0);
            if chance < 1.0 {
                if sampler.one() >= chance {
                    return;
                }
                through /= chance;
            }
        }
        let Some((hit, direct)) = onward(scene, vertex.off(direction), direction, sampler, |direction| {
            if let Some((sky, layer)) = &scene.heaven().sky {
                ledger.soft(*layer, bounces - 1, sky.luminance(direction) * through);
            }
        }) else {
            return;
        };
        let material = scene.material(&hit);
        if material.emitted != Vec3A::ZERO {
            let share = match hit.lit {
                Some(face) if direct => {
                    let lit = &scene.lit()[face as usize];
                    let total: f32 = (0..scene.lit().len()).map(|i| expected(scene, i, vertex.at)).sum();
                    let across = lit.normal.dot(direction).abs().max(1e-6);
                    let square = hit.distance * hit.distance;
                    let by_area =
                        expected(scene, face as usize, vertex.at) / total * square / (across * lit.area);
                    heuristic(by_surface, by_area)
                }
                _ => 1.0,
            };
            ledger.soft(material.layer, bounces - 1, material.emitted * through * share);
        }
        if bounces > last {
            return;
        }
        vertex = Vertex::of(scene, &hit);
        if vertex.surface.kept() <= 0.0 {
            return;
        }
        one_of_all(scene, &vertex, through, bounces, sampler, ledger);
        lit_faces(scene, &vertex, through, bounces, sampler, ledger);
    }
}

/// The next diffuse surface along a ray, mirrored on by panes, and whether no pane was between.
fn onward(
    scene: &Scene,
    mut origin: Vec3A,
    mut direction: Vec3A,
    sampler: &mut Sampler,
    mut missed: impl FnMut(Vec3A),
) -> Option<(Hit, bool)> {
    for panes in 0..4 {
        let Some(hit) = scene.hit(origin, direction) else {
            missed(direction);
            return None;
        };
        let mirrored = scene.material(&hit).smooth && sampler.one() < fresnel(-direction.dot(hit.normal));
        if !mirrored {
            return Some((hit, panes == 0));
        }
        direction = mirror(direction, hit.normal);
        origin = Vertex::of(scene, &hit).off(direction);
    }
    None
}

/// How a path goes on.
struct Onward {
    direction: Vec3A,
    /// What is kept of the light, by luminance and chance.
    kept: Colour,
    /// Chance of the direction by steradian.
    chance: f32,
}

/// A direction in which light goes on from a surface; none where all is taken.
fn leave(scene: &Scene, vertex: &Vertex, sampler: &mut Sampler) -> Option<Onward> {
    let surface = &vertex.surface;
    if surface.kept() <= 0.0 {
        return None;
    }
    let guided = Guided::at(scene, vertex);
    let ([u, v], [pick, side]) = (sampler.pair(), sampler.pair());
    let direction = match &guided.0 {
        Some(here) if pick < GUIDED => here.direction(pick / GUIDED, [u, v]),
        _ => by_cosine(vertex, side, [u, v]),
    };
    let chance = guided.chance(vertex, direction);
    let response = vertex.response(direction);
    // Grazing to the last bit would leave on the wrong side.
    let good = chance > 0.0 && response.max_element() > 0.0 && direction.dot(vertex.normal).abs() > 1e-6;
    good.then(|| Onward { direction, kept: response / chance, chance })
}

/// A direction in proportion to the cosine, on the front or behind a leaf.
fn by_cosine(vertex: &Vertex, side: f32, [u, v]: [f32; 2]) -> Vec3A {
    let normal = if side >= vertex.surface.back() { -vertex.normal } else { vertex.normal };
    let (x, y) = normal.any_orthonormal_pair();
    let (radius, turn) = (u.sqrt(), v * std::f32::consts::TAU);
    let up = (1.0 - u).max(0.0).sqrt();
    (x * (radius * turn.cos()) + y * (radius * turn.sin()) + normal * up).normalize()
}

/// How the guide counts at a place.
struct Guided<'s>(Option<Here<'s>>);

impl<'s> Guided<'s> {
    fn at(scene: &'s Scene, vertex: &Vertex) -> Self {
        Self(scene.guide().here(vertex.at, vertex.normal, vertex.surface.back() < 1.0))
    }

    /// Chance by steradian that a path leaves in a direction.
    fn chance(&self, vertex: &Vertex, direction: Vec3A) -> f32 {
        let plain = leaving(vertex, direction);
        match &self.0 {
            Some(here) => GUIDED * here.chance(direction) + (1.0 - GUIDED) * plain,
            None => plain,
        }
    }
}

/// Share that a pane mirrors, by the cosine of the angle to its normal.
///
/// # Source
/// Fresnel's equations for unpolarised light between air and glass of index 1.5.
pub(crate) fn fresnel(cosine: f32) -> f32 {
    const INDEX: f32 = 1.5;
    let cosine = cosine.clamp(0.0, 1.0);
    let inside = (1.0 - (1.0 - cosine * cosine) / (INDEX * INDEX)).max(0.0).sqrt();
    let square = (cosine - INDEX * inside) / (cosine + INDEX * inside);
    let along = (INDEX * cosine - inside) / (INDEX * cosine + inside);
    0.5 * (square * square + along * along)
}

pub(crate) fn mirror(direction: Vec3A, normal: Vec3A) -> Vec3A {
    direction - normal * (2.0 * direction.dot(normal))
}

impl Vertex {
    /// Where a mirrored ray begins.
    pub(crate) fn start(&self, direction: Vec3A) -> Vec3A {
        self.off(direction)
    }
}
