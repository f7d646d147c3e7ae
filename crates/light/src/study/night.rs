//! What the light does around: on walks, at the property line, in eyes, in the sky.
//!
//! - Walks: horizontal illuminance on a grid of places within reach of the lights that serve walking.
//! - Property line: vertical illuminance at 1.5 m, facing the property, where the most arrives.
//! - Eyes: intensity of every lamp towards every viewpoint, unless something stands between.
//! - Sky: flux above the horizon as the lamps are aimed, before what stands in its way.
//! - Of the lamps alone: sky, street and neighbours are not in it, nor light that bounces.

use std::f64::consts::{PI, TAU};

use glam::DVec3;
use groundwright_geometry::{Point, Point3, Rect, RegionIndex};
use groundwright_plan::{ElementRef, LightRole, Project};
use groundwright_yard::Yard;
use rayon::prelude::*;

use super::balance::brought;
use super::{LampRun, Passes};
use crate::fixture::vector;
use crate::illuminance::{Uniformity, uniformity};

/// Distance of places on a walk. [m]
const PITCH: f64 = 0.4;
/// Reach of a light that serves a walk. [m]
const SERVES: f64 = 2.5;
/// Distance of places along the property line. [m]
const ALONG: f64 = 1.0;
/// Height of an eye at the property line. [m]
const EYE: f64 = 1.5;
/// Directions of the sphere looked at for the flux upward: rings, and directions around each.
const RINGS: (usize, usize) = (36, 36);
/// Distance of places of the map. [m]
const MAP_PITCH: f64 = 0.5;
/// Most places of the map; a larger yard is looked at more coarsely.
const MAP_MOST: usize = 6000;

/// A walk under light.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// Whose.
    pub element: ElementRef,
    /// Name.
    pub label: String,
    /// Its light.
    pub light: Uniformity,
    /// Area looked at. [m²]
    pub area: f64,
    /// Its darkest place. [m]
    pub darkest: Point,
}

/// A lamp in an eye.
#[derive(Debug, Clone, PartialEq)]
pub struct InEye {
    /// The viewpoint.
    pub viewpoint: ElementRef,
    /// Index of the lamp.
    pub lamp: usize,
    /// Intensity towards it. [cd]
    pub candela: f64,
    /// Distance. [m]
    pub distance: f64,
}

/// Illuminance of the ground on a grid.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Map {
    /// Places with what arrives. [m, lx]
    pub places: Vec<(Point, f64)>,
}

/// Light at the property line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trespass {
    /// Where. [m]
    pub at: Point,
    /// How much arrives. [lx]
    pub lux: f64,
    /// Index of the lamp that brings most of it.
    pub lamp: usize,
    /// What that lamp brings. [lx]
    pub of_lamp: f64,
}

/// What the light does around.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Surroundings {
    /// Walks that lights serve.
    pub walks: Vec<Walk>,
    /// The most that arrives at the property line.
    pub trespass: Option<Trespass>,
    /// The brightest lamp towards each viewpoint that sees any.
    pub eyes: Vec<InEye>,
    /// Flux of all lamps, and of it above the horizon. [lm]
    pub flux: (f64, f64),
    /// The ground.
    pub map: Map,
}

pub(super) fn around(
    project: &Project,
    yard: &Yard,
    lamps: &[LampRun<'_>],
    passes: &Passes<'_>,
) -> Surroundings {
    if lamps.is_empty() {
        return Surroundings::default();
    }
    let upward: Vec<(f64, f64)> = lamps.par_iter().map(|lamp| flux(lamp)).collect();
    Surroundings {
        walks: walks(yard, lamps, passes),
        trespass: trespass(yard, lamps, passes),
        eyes: eyes(project, yard, lamps, passes),
        flux: upward.iter().fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1)),
        map: map(yard, lamps, passes),
    }
}

/// Illuminance from all lamps as they are dimmed. [lx]
fn lux(lamps: &[LampRun<'_>], to: Point3, facing: DVec3, passes: &Passes<'_>) -> f64 {
    lamps.iter().map(|lamp| lamp.light.level * brought(lamp, vector(to), facing, passes)).sum()
}

fn on_ground(yard: &Yard, at: Point) -> Point3 {
    Point3::new(at.x, at.y, yard.ground.proposed(at) + 0.02)
}

fn walks(yard: &Yard, lamps: &[LampRun<'_>], passes: &Passes<'_>) -> Vec<Walk> {
    let paved: Vec<_> = yard.plot.paved().map(|area| (area, RegionIndex::new(&area.whole))).collect();
    // A light serves the walk that it stands nearest to.
    let serves = |lamp: &&LampRun<'_>| lamp.light.role == LightRole::Path;
    let nearest = |at: Point| {
        let distances = paved.iter().enumerate().map(|(i, (_, index))| (i, -index.signed_distance(at)));
        distances.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, distance)| *distance < SERVES)
    };
    let serving: Vec<(usize, Point)> = lamps
        .iter()
        .filter(serves)
        .filter_map(|lamp| Some((nearest(lamp.place())?.0, lamp.place())))
        .collect();
    let mut all = Vec::new();
    for (i, (area, index)) in paved.iter().enumerate() {
        let near: Vec<Point> = serving.iter().filter(|(walk, _)| *walk == i).map(|(_, at)| *at).collect();
        let Some(bounds) = index.bounds().filter(|_| !near.is_empty()) else { continue };
        let places: Vec<Point> = lattice(bounds, PITCH)
            .into_iter()
            .filter(|at| index.contains(*at) && near.iter().any(|lamp| lamp.distance(*at) < SERVES))
            .collect();
        let found: Vec<f64> =
            places.par_iter().map(|at| lux(lamps, on_ground(yard, *at), DVec3::Z, passes)).collect();
        let Some(light) = uniformity(&found) else { continue };
        let darkest = places.iter().zip(&found).min_by(|a, b| a.1.total_cmp(b.1)).map(|(at, _)| *at);
        let Some(darkest) = darkest else { continue };
        all.push(Walk {
            element: area.element.clone(),
            label: area.label.clone(),
            light,
            area: places.len() as f64 * PITCH * PITCH,
            darkest,
        });
    }
    all
}

/// Places on a square grid within a rectangle.
fn lattice(bounds: Rect, pitch: f64) -> Vec<Point> {
    let (columns, rows) =
        ((bounds.width() / pitch).ceil() as usize, (bounds.height() / pitch).ceil() as usize);
    let at = |i: usize, j: usize| {
        Point::new(bounds.x0 + (i as f64 + 0.5) * pitch, bounds.y0 + (j as f64 + 0.5) * pitch)
    };
    (0..rows).flat_map(|j| (0..columns).map(move |i| at(i, j))).collect()
}

fn trespass(yard: &Yard, lamps: &[LampRun<'_>], passes: &Passes<'_>) -> Option<Trespass> {
    let boundary = yard.plot.boundary.as_ref()?;
    let edge = &boundary.edge;
    let count = (edge.length() / ALONG).ceil().max(4.0) as usize;
    let index = RegionIndex::new(&boundary.whole);
    let worst = (0..count).into_par_iter().map(|i| {
        let station = edge.length() * i as f64 / count as f64;
        let at = edge.point(station);
        let normal = edge.normal(station);
        let inward = if index.contains(at + normal * 0.1) { normal } else { -normal };
        let eye = Point3::new(at.x, at.y, yard.ground.proposed(at) + EYE);
        (at, lux(lamps, eye, DVec3::new(inward.x, inward.y, 0.0), passes), (eye, inward))
    });
    let (at, most, (eye, inward)) = worst.max_by(|a, b| a.1.total_cmp(&b.1))?;
    let of = |lamp: &LampRun<'_>| {
        lux(std::slice::from_ref(lamp), eye, DVec3::new(inward.x, inward.y, 0.0), passes)
    };
    let each = lamps.iter().map(of).enumerate();
    let (lamp, of_lamp) = each.max_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(Trespass { at, lux: most, lamp, of_lamp })
}

fn eyes(project: &Project, yard: &Yard, lamps: &[LampRun<'_>], passes: &Passes<'_>) -> Vec<InEye> {
    let mut all = Vec::new();
    for spot in &yard.plot.viewpoints {
        let Some(view) = project.property.viewpoints.iter().find(|view| view.id == spot.element.id) else {
            continue;
        };
        let eye = Point3::new(spot.at.x, spot.at.y, yard.ground.existing(spot.at) + view.eye.value);
        let seen = lamps.iter().enumerate().filter_map(|(i, lamp)| {
            let way = vector(eye) - vector(lamp.at);
            let distance = way.length();
            let candela = if distance > 0.5 { lamp.fixture.candela(way / distance) } else { 0.0 };
            let candela = if candela > 1.0 { candela * passes(lamp.at, eye) } else { 0.0 };
            (candela > 1.0).then(|| InEye { viewpoint: spot.element.clone(), lamp: i, candela, distance })
        });
        all.extend(seen.max_by(|a, b| a.candela.total_cmp(&b.candela)));
    }
    all
}

/// Flux that leaves a lamp as it is dimmed, and of it above the horizon. [lm]
fn flux(lamp: &LampRun<'_>) -> (f64, f64) {
    let (rings, around) = RINGS;
    let axis = lamp.fixture.axis();
    let side = axis.any_orthonormal_vector();
    let other = axis.cross(side);
    let (mut whole, mut up) = (0.0, 0.0);
    for ring in 0..rings {
        // Rings of equal angle about the axis, so that a narrow beam is met often enough.
        let (from, to) = (PI * ring as f64 / rings as f64, PI * (ring + 1) as f64 / rings as f64);
        let solid = TAU * (from.cos() - to.cos()) / around as f64;
        let middle = f64::midpoint(from, to);
        for i in 0..around {
            let turn = TAU * (i as f64 + 0.5) / around as f64;
            let direction = axis * middle.cos() + (side * turn.cos() + other * turn.sin()) * middle.sin();
            let candela = lamp.fixture.candela(direction);
            whole += candela * solid;
            if direction.z > 0.0 {
                up += candela * solid;
            }
        }
    }
    (whole, up)
}

fn map(yard: &Yard, lamps: &[LampRun<'_>], passes: &Passes<'_>) -> Map {
    let points = lamps.iter().map(|lamp| Rect::from_points(lamp.place(), lamp.place()).inflate(6.0, 6.0));
    let Some(bounds) = points.reduce(|a, b| a.union(b)) else { return Map::default() };
    let pitch = (bounds.area() / MAP_MOST as f64).sqrt().max(MAP_PITCH);
    let buildings: Vec<RegionIndex> =
        yard.plot.buildings.iter().map(|b| RegionIndex::new(&b.whole)).collect();
    let places = lattice(bounds, pitch);
    let open = |at: &Point| !buildings.iter().any(|building| building.contains(*at));
    let places: Vec<(Point, f64)> = places
        .into_par_iter()
        .filter(open)
        .map(|at| (at, lux(lamps, on_ground(yard, at), DVec3::Z, passes)))
        .collect();
    Map { places }
}
