//! The ground: its surface, what lies on it, blades of lawn near the eye.

use std::sync::Arc;

use glam::{Affine3A, Mat3A, Vec3A};
use groundwright_geometry::{Point, Rect, Region};
use groundwright_picture::{Instance, Material, MaterialMap, Mesh, MeshFault};
use groundwright_plan::{Project, SurfaceKind};
use groundwright_yard::Yard;

use crate::dice::Dice;
use crate::palette::{Palette, leaf_colour};
use crate::shape::Shape;

/// How far the ground goes on beyond all that is known. [m]
const BEYOND: f64 = 4000.0;
/// Side of a cell of the map, where the yard is not too large. [m]
const CELL: f64 = 0.0125;
/// Most cells of the map.
const MOST_CELLS: f64 = 24e6;
/// Side of a patch of blades. [m]
const PATCH: f64 = 0.4;
/// Blades are drawn no farther from the eye. [m]
const BLADES_WITHIN: f64 = 13.0;

/// What lies where: one material a cell.
pub(crate) fn map(project: &Project, yard: &Yard, palette: &mut Palette) -> MaterialMap {
    let plot = &yard.plot;
    let areas =
        plot.boundary.iter().chain(&plot.beds).chain(&plot.lawns).chain(&plot.buildings).chain(plot.paved());
    let over = areas.filter_map(|area| area.whole.bounds()).reduce(|a, b| a.union(b));
    let over = over.unwrap_or(Rect::new(-10.0, -10.0, 10.0, 10.0)).inflate(4.0, 4.0);
    let cell = CELL.max((over.width() * over.height() / MOST_CELLS).sqrt());
    let size = [(over.width() / cell).ceil() as usize, (over.height() / cell).ceil() as usize];
    let rough = palette.ground("rough grass");
    let mut map = Raster { over, cell, size, cells: vec![rough; size[0] * size[1]] };
    for area in &plot.overgrown {
        map.fill(&area.whole, palette.ground("overgrown"));
    }
    for area in &plot.lawns {
        map.fill(&area.free, palette.ground("lawn"));
    }
    for area in &plot.beds {
        let mulch = project
            .design
            .beds
            .iter()
            .find(|bed| bed.id == area.element.id)
            .and_then(|bed| bed.mulch.as_ref());
        let material = if mulch.is_some() { palette.ground("bark mulch") } else { palette.ground("soil") };
        map.fill(&area.free, material);
    }
    for area in &plot.boxes {
        map.fill(&area.whole, palette.ground("soil"));
    }
    for area in &plot.surfaces {
        let surface = project.property.surfaces.iter().find(|surface| surface.id == area.element.id);
        let words = match surface {
            Some(surface) if surface.kind == SurfaceKind::Water => "water",
            Some(surface) => &surface.material.value,
            None => "concrete",
        };
        map.fill(&area.whole, palette.ground(words));
    }
    for area in &plot.pavings {
        let paving = project.design.built.pavings.iter().find(|paving| paving.id == area.element.id);
        let words = paving.map_or("paver".to_owned(), |paving| format!("paver {}", paving.product));
        map.fill(&area.free, palette.ground(&words));
    }
    MaterialMap {
        corner: [over.x0 as f32, over.y0 as f32],
        cell: cell as f32,
        size,
        materials: map.cells,
        beyond: rough,
    }
}

struct Raster {
    over: Rect,
    cell: f64,
    size: [usize; 2],
    cells: Vec<u16>,
}

impl Raster {
    /// Fills the cells whose middles lie in a region, row by row between its edges.
    fn fill(&mut self, region: &Region, material: u16) {
        let Some(bounds) = region.bounds() else { return };
        let row = |y: f64| ((y - self.over.y0) / self.cell - 0.5).max(0.0);
        let (first, last) = (row(bounds.y0).floor() as usize, row(bounds.y1).ceil() as usize);
        let edges: Vec<_> = region.edges().collect();
        let mut crossings = Vec::new();
        for j in first..=last.min(self.size[1] - 1) {
            let y = self.over.y0 + (j as f64 + 0.5) * self.cell;
            crossings.clear();
            for edge in &edges {
                let (a, b) = (edge.p0, edge.p1);
                if (a.y <= y) != (b.y <= y) {
                    crossings.push(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
                }
            }
            crossings.sort_by(f64::total_cmp);
            for pair in crossings.chunks_exact(2) {
                let column = |x: f64| {
                    (((x - self.over.x0) / self.cell - 0.5).ceil().max(0.0) as usize).min(self.size[0])
                };
                self.cells[j * self.size[0]..][column(pair[0])..column(pair[1])].fill(material);
            }
        }
    }
}

/// Triangles of the ground, out to a rim far beyond.
pub(crate) fn surface(yard: &Yard, material: u16) -> Shape {
    let mut shape = Shape::default();
    let over = if let Some(surface) = yard.ground.proposed_surface() {
        for i in 0..surface.triangles().len() {
            let [a, b, c] = surface.corners(i).map(crate::house::vector);
            shape.triangle(a, b, c, material);
        }
        surface.bounds()
    } else {
        let over = Rect::new(-40.0, -40.0, 40.0, 40.0);
        let at =
            |x: f64, y: f64| Vec3A::new(x as f32, y as f32, yard.ground.proposed(Point::new(x, y)) as f32);
        shape.quad(
            [at(over.x0, over.y0), at(over.x1, over.y0), at(over.x1, over.y1), at(over.x0, over.y1)],
            material,
        );
        over
    };
    // Beyond what is known the ground stays as it is at the rim, which is followed step by step.
    let rim: Vec<Vec3A> = around(over)
        .into_iter()
        .map(|at| Vec3A::new(at.x as f32, at.y as f32, yard.ground.proposed(at) as f32))
        .collect();
    let middle = Vec3A::new(over.center().x as f32, over.center().y as f32, 0.0);
    let size = over.width().min(over.height()).max(1.0);
    let out = |at: Vec3A| {
        let away = (at - middle) * (BEYOND / size) as f32;
        Vec3A::new(middle.x + away.x, middle.y + away.y, at.z)
    };
    for (i, near) in rim.iter().enumerate() {
        let next = rim[(i + 1) % rim.len()];
        shape.quad([*near, out(*near), out(next), next], material);
    }
    // The known ground need not fill its rectangle: under it all lies a level floor.
    let floor = rim.iter().map(|at| at.z).fold(f32::INFINITY, f32::min) - 0.05;
    let corner = |x: f64, y: f64| Vec3A::new(x as f32, y as f32, floor);
    shape.quad(
        [
            corner(over.x0, over.y0),
            corner(over.x1, over.y0),
            corner(over.x1, over.y1),
            corner(over.x0, over.y1),
        ],
        material,
    );
    shape
}

/// Places about a rectangle, counter-clockwise, half a metre apart or less.
fn around(over: Rect) -> Vec<Point> {
    let corners = [(over.x0, over.y0), (over.x1, over.y0), (over.x1, over.y1), (over.x0, over.y1)];
    let mut all = Vec::new();
    for (i, (x, y)) in corners.into_iter().enumerate() {
        let (from, to) = (Point::new(x, y), Point::from(corners[(i + 1) % 4]));
        let steps = (from.distance(to) / 0.5).ceil().max(1.0) as usize;
        all.extend((0..steps).map(|k| from + (to - from) * (k as f64 / steps as f64)));
    }
    all
}

/// Blades of the lawn about the eye: a patch grown once and laid many times.
pub(crate) fn blades(
    yard: &Yard,
    map: &MaterialMap,
    palette: &mut Palette,
    eye: Point,
    meshes: &mut Vec<Arc<Mesh>>,
) -> Result<Vec<Instance>, MeshFault> {
    let lawn = palette.ground("lawn");
    let colour = leaf_colour("green") * Vec3A::new(1.0, 1.05, 0.9);
    let blade = palette.number("blade of lawn", || Material::leaf(colour, colour * 0.8));
    let mut places = Vec::new();
    let reach = (BLADES_WITHIN / PATCH).ceil() as i32;
    let (ci, cj) = ((eye.x / PATCH).floor(), (eye.y / PATCH).floor());
    for dj in -reach..=reach {
        for di in -reach..=reach {
            let corner = Point::new((ci + f64::from(di)) * PATCH, (cj + f64::from(dj)) * PATCH);
            let middle = Point::new(corner.x + PATCH / 2.0, corner.y + PATCH / 2.0);
            if middle.distance(eye) > BLADES_WITHIN {
                continue;
            }
            let inside = [(0.05, 0.05), (0.95, 0.05), (0.95, 0.95), (0.05, 0.95), (0.5, 0.5)]
                .iter()
                .all(|(u, v)| map.at((corner.x + u * PATCH) as f32, (corner.y + v * PATCH) as f32) == lawn);
            if inside {
                places.push(middle);
            }
        }
    }
    if places.is_empty() {
        return Ok(Vec::new());
    }
    let first = meshes.len();
    for variant in 0..3 {
        meshes.push(Arc::new(Mesh::new(&patch(variant, blade).triangles)?));
    }
    let instance = |(i, at): (usize, &Point)| {
        let level = |dx: f64, dy: f64| yard.ground.proposed(Point::new(at.x + dx, at.y + dy));
        let (half, z) = (PATCH / 2.0, level(0.0, 0.0));
        let slope = |a: f64, b: f64| ((a - b) / PATCH) as f32;
        // Leaned with the ground, blades upright.
        let lean = Mat3A::from_cols(
            Vec3A::new(1.0, 0.0, slope(level(half, 0.0), level(-half, 0.0))),
            Vec3A::new(0.0, 1.0, slope(level(0.0, half), level(0.0, -half))),
            Vec3A::Z,
        );
        let pose = Affine3A { matrix3: lean, translation: Vec3A::new(at.x as f32, at.y as f32, z as f32) };
        let mut dice = Dice::of("lawn", i as u64);
        Instance { mesh: first + i % 3, pose, tint: Vec3A::splat(dice.between(0.9, 1.1)) }
    };
    Ok(places.iter().enumerate().map(instance).collect())
}

fn patch(variant: u64, material: u16) -> Shape {
    let mut dice = Dice::of("patch of lawn", variant);
    let mut shape = Shape::default();
    for _ in 0..620 {
        let half = (PATCH / 2.0) as f32;
        let foot = Vec3A::new(dice.between(-half, half), dice.between(-half, half), -0.005);
        let lean = dice.direction() * 0.02;
        let tip = foot + Vec3A::new(lean.x, lean.y, dice.between(0.03, 0.06));
        let side = dice.direction().cross(Vec3A::Z).normalize_or(Vec3A::X) * 0.002;
        shape.triangle(foot - side, foot + side, tip, material);
    }
    shape
}
