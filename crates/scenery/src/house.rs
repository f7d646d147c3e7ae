//! Houses: walls, roofs, doors and windows.

use earcut::Earcut;
use glam::Vec3A;
use groundwright_geometry::{Point, Point3, Vec2};
use groundwright_handoff::{Body, Role, Solid};
use groundwright_picture::{Colour, Material};
use groundwright_plan::{Kind, Opening, OpeningKind, Project};
use groundwright_yard::Yard;

use crate::palette::Palette;
use crate::shape::Shape;

/// Heights where nobody took them: common practice, no source. [m]
const DOOR: f64 = 2.05;
const GARAGE_DOOR: f64 = 2.13;
const WINDOW_HEAD: f64 = 2.05;
const WINDOW: f64 = 1.2;
const VENT: f64 = 0.2;
/// Width of a frame. [m]
const FRAME: f32 = 0.07;

pub(crate) fn vector(at: Point3) -> Vec3A {
    Vec3A::new(at.x as f32, at.y as f32, at.z as f32)
}

/// Walls and roofs of all buildings.
pub(crate) fn buildings(solids: &[Solid], palette: &mut Palette, shape: &mut Shape) {
    for solid in solids.iter().filter(|s| s.subject.kind == Kind::Building && s.role == Role::Stands) {
        match &solid.body {
            Body::Prism { outline, height } => {
                let wall = palette.wall(&solid.material);
                // The top is level over the lowest ground; the foot goes into the ground everywhere.
                let low = outline.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
                let lift = |p: &Point3, z: f64| Vec3A::new(p.x as f32, p.y as f32, z as f32);
                for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
                    let (foot, top) = (low - 0.5, low + height);
                    shape.quad([lift(a, foot), lift(b, foot), lift(b, top), lift(a, top)], wall);
                }
                let lid: Vec<Point3> = outline.iter().map(|p| Point3::new(p.x, p.y, low + height)).collect();
                flat(&lid, wall, shape);
            }
            Body::Faces { faces } => {
                let roof = palette.wall("roof");
                let siding = solids
                    .iter()
                    .find(|s| s.subject == solid.subject && matches!(s.body, Body::Prism { .. }));
                let wall = siding.map_or(roof, |s| palette.wall(&s.material));
                for face in faces {
                    let upright = normal(face).is_some_and(|n| n.z.abs() < 0.05);
                    flat(face, if upright { wall } else { roof }, shape);
                }
            }
            _ => {}
        }
    }
}

fn normal(face: &[Point3]) -> Option<Vec3A> {
    let corner = |i: usize| vector(face[i % face.len()]);
    (0..face.len())
        .map(|i| (corner(i + 1) - corner(i)).cross(corner(i + 2) - corner(i + 1)))
        .find_map(Vec3A::try_normalize)
}

/// A flat outline in space cut into triangles.
pub(crate) fn flat(face: &[Point3], material: u16, shape: &mut Shape) {
    let Some(n) = normal(face) else { return };
    let n = n.abs();
    let laid = face.iter().map(|p| {
        if n.z >= n.x && n.z >= n.y {
            [p.x, p.y]
        } else if n.x >= n.y {
            [p.y, p.z]
        } else {
            [p.x, p.z]
        }
    });
    let mut indices: Vec<u32> = Vec::new();
    Earcut::new().earcut(laid, &[], &mut indices);
    for t in indices.chunks_exact(3) {
        let [a, b, c] = [t[0], t[1], t[2]].map(|i| vector(face[i as usize]));
        shape.triangle(a, b, c, material);
    }
}

/// Light behind windows: its luminance, and the layer that it is credited to.
pub(crate) type Lit = Option<(Colour, u16)>;

/// Doors, windows and vents as panels on their walls.
pub(crate) fn openings(project: &Project, yard: &Yard, lit: Lit, palette: &mut Palette, shape: &mut Shape) {
    for spot in &yard.plot.openings {
        let Some(opening) = project.property.openings.iter().find(|o| o.id == spot.element.id) else {
            continue;
        };
        let building = project.property.buildings.iter().find(|b| b.id == opening.building);
        let area = yard.plot.buildings.iter().find(|area| area.element.id == opening.building);
        let (Some(building), Some(area)) = (building, area) else { continue };
        let edges = area.whole.edges().map(|edge| (edge.p0, edge.p1));
        let nearest = edges.min_by(|a, b| apart(*a, spot.at).total_cmp(&apart(*b, spot.at)));
        let Some((from, to)) = nearest else { continue };
        let along = (to - from) / (to - from).hypot().max(1e-9);
        let mut out = Vec2::new(along.y, -along.x);
        if area.whole.contains(spot.at + out * 0.1) {
            out = -out;
        }
        let grade = yard.ground.existing(spot.at);
        let (low, high) = heights(opening, building.floor.value, building.eave.value);
        let middle = Vec3A::new(spot.at.x as f32, spot.at.y as f32, (grade + 0.5 * (low + high)) as f32);
        let panel = Panel {
            middle,
            along: Vec3A::new(along.x as f32, along.y as f32, 0.0),
            out: Vec3A::new(out.x as f32, out.y as f32, 0.0),
            half: [(0.5 * opening.width.value) as f32, (0.5 * (high - low)) as f32],
        };
        panel.draw(opening.kind, lit, palette, shape);
    }
}

/// Distance of a place from an edge. [m]
fn apart((from, to): (Point, Point), at: Point) -> f64 {
    let along = to - from;
    let share = ((at - from).dot(along) / along.hypot2().max(1e-12)).clamp(0.0, 1.0);
    (from + along * share).distance(at)
}

/// Lower and upper edge above grade. [m]
fn heights(opening: &Opening, floor: f64, eave: f64) -> (f64, f64) {
    let sill = opening.sill.value;
    match opening.kind {
        OpeningKind::Door => (sill.max(0.0), sill.max(0.0) + DOOR),
        OpeningKind::GarageDoor => (sill.max(0.0), sill.max(0.0) + GARAGE_DOOR),
        OpeningKind::Window => {
            let head = (floor + WINDOW_HEAD).max(sill + 0.4).min(eave - 0.1);
            (sill, head.max(sill + 0.3).min(sill + WINDOW + 0.4))
        }
        OpeningKind::Vent => (sill, sill + VENT),
    }
}

struct Panel {
    middle: Vec3A,
    along: Vec3A,
    out: Vec3A,
    half: [f32; 2],
}

impl Panel {
    fn slab(&self, at: [f32; 2], half: [f32; 2], depth: f32, material: u16, shape: &mut Shape) {
        let middle = self.middle + self.along * at[0] + Vec3A::Z * at[1];
        let halves = [self.along * half[0], Vec3A::Z * half[1], self.out * depth];
        shape.slab(middle, halves, material);
    }

    fn frame(&self, material: u16, shape: &mut Shape) {
        let [w, h] = self.half;
        for sign in [-1.0, 1.0] {
            self.slab([sign * (w + 0.5 * FRAME), 0.0], [0.5 * FRAME, h + FRAME], 0.05, material, shape);
            self.slab([0.0, sign * (h + 0.5 * FRAME)], [w, 0.5 * FRAME], 0.05, material, shape);
        }
    }

    fn draw(&self, kind: OpeningKind, lit: Lit, palette: &mut Palette, shape: &mut Shape) {
        let trim = palette.number("trim", || Material::plain(Vec3A::new(0.74, 0.73, 0.70)));
        let [w, h] = self.half;
        match kind {
            OpeningKind::Window => {
                let glass = palette.number("glass", || {
                    let pane = Material { smooth: true, ..Material::plain(Vec3A::new(0.015, 0.018, 0.02)) };
                    match lit {
                        Some((colour, layer)) => pane.lit(colour, layer),
                        None => pane,
                    }
                });
                self.frame(trim, shape);
                self.slab([0.0, 0.0], [w, h], 0.02, glass, shape);
                // A mullion, and a bar at mid height of a tall one.
                self.slab([0.0, 0.0], [0.02, h], 0.035, trim, shape);
                if h > 0.45 {
                    self.slab([0.0, 0.0], [w, 0.02], 0.035, trim, shape);
                }
            }
            OpeningKind::Door => {
                let paint = palette.number("door", || Material::plain(Vec3A::new(0.11, 0.05, 0.035)));
                self.frame(trim, shape);
                self.slab([0.0, 0.0], [w, h], 0.025, paint, shape);
                for (x, y) in [(-0.5, 0.45), (0.5, 0.45), (-0.5, -0.45), (0.5, -0.45)] {
                    self.slab([x * w, y * h], [0.36 * w, 0.36 * h], 0.032, paint, shape);
                }
            }
            OpeningKind::GarageDoor => {
                let paint = palette.number("garage door", || Material::plain(Vec3A::new(0.62, 0.61, 0.57)));
                self.frame(trim, shape);
                for i in 0..4 {
                    let y = h * (-0.75 + 0.5 * i as f32);
                    self.slab([0.0, y], [w, 0.235 * h], 0.03, paint, shape);
                }
                self.slab([0.0, 0.0], [w, h], 0.02, trim, shape);
            }
            OpeningKind::Vent => {
                let grille = palette.number("vent", || Material::grey(0.12));
                self.slab([0.0, 0.0], [w, h], 0.015, grille, shape);
            }
        }
    }
}
