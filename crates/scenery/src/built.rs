//! What is built besides houses: walls, steps, boxes, edging, fixtures, decks.

use glam::Vec3A;
use groundwright_geometry::Point3;
use groundwright_handoff::{Body, Role, Solid};
use groundwright_picture::{Material, Pattern};
use groundwright_plan::{Kind, Project};

use crate::house::{flat, vector};
use crate::palette::Palette;
use crate::shape::Shape;

/// Draws all that stands and is no house and no plant, and decks.
pub(crate) fn all(project: &Project, solids: &[Solid], palette: &mut Palette, shape: &mut Shape) {
    for solid in solids.iter().filter(|solid| solid.subject.kind != Kind::Building) {
        let deck = solid.role == Role::Ground && solid.material.contains("board");
        if solid.role != Role::Stands && !deck {
            continue;
        }
        let (side, top) = materials(project, solid, palette);
        if solid.subject.kind == Kind::Light {
            if let Body::Prism { outline, height } = &solid.body {
                fixture(outline, *height, side, shape);
            }
            continue;
        }
        match &solid.body {
            Body::Prism { outline, height } => prism(outline, *height, side, top, shape),
            Body::Ribbon { line, width, height } => ribbon(line, *width, *height, (side, top), shape),
            Body::Faces { faces } => faces.iter().for_each(|face| flat(face, side, shape)),
            Body::Cylinder { foot, radius, height } => {
                let (foot, radius) = (vector(*foot), *radius as f32);
                shape.tube(&[(foot, radius), (foot + Vec3A::Z * *height as f32, radius)], 16, side);
            }
            Body::Crown { .. } => {}
        }
    }
}

/// Materials of sides and top.
fn materials(project: &Project, solid: &Solid, palette: &mut Palette) -> (u16, u16) {
    if let Some(units) = project.stock.wall_units.get(&solid.material) {
        let length = units.units.iter().map(|unit| unit.length * unit.share).sum::<f64>();
        let height = units.height as f32;
        let colour = Vec3A::new(0.37, 0.335, 0.285);
        let side = palette.number(&format!("units {}", units.id), || {
            Material::plain(colour).with(Pattern::Courses {
                length: length.max(0.1) as f32,
                height,
                joint: 0.008,
                joint_share: 0.35,
                contrast: 0.22,
            })
        });
        let cap = palette.number("cap", || {
            Material::plain(colour * 1.1).with(Pattern::Patches { size: 0.3, contrast: 0.15 })
        });
        return (side, cap);
    }
    if solid.subject.kind == Kind::Edging {
        let number = palette.wall("edging");
        return (number, number);
    }
    if matches!(solid.subject.kind, Kind::Steps) || solid.role == Role::Ground {
        let number = palette.ground(&solid.material);
        return (number, number);
    }
    let number = palette.wall(&solid.material);
    (number, number)
}

fn prism(outline: &[Point3], height: f64, side: u16, top: u16, shape: &mut Shape) {
    let up = |p: &Point3| Point3::new(p.x, p.y, p.z + height);
    for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        shape.quad([vector(*a), vector(*b), vector(up(b)), vector(up(a))], side);
    }
    let lid: Vec<Point3> = outline.iter().map(up).collect();
    flat(&lid, top, shape);
}

/// A fixture of a garden light: on a stem with a hat where it stands high, else a short can. Its lamp
/// hangs a ninth of the body's height above the body.
fn fixture(outline: &[Point3], height: f64, material: u16, shape: &mut Shape) {
    let foot = outline.iter().map(|p| vector(*p)).sum::<Vec3A>() / outline.len().max(1) as f32;
    let (height, lamp) = (height as f32, height as f32 / 0.9);
    if lamp > 0.25 {
        shape.tube(&[(foot, 0.011), (foot + Vec3A::Z * height, 0.009)], 8, material);
        let under = foot + Vec3A::Z * (lamp + 0.02);
        shape.tube(
            &[(under, 0.085), (under + Vec3A::Z * 0.018, 0.06), (under + Vec3A::Z * 0.045, 0.002)],
            20,
            material,
        );
        // Three bars carry the hat.
        for k in 0..3 {
            let turn = std::f32::consts::TAU * k as f32 / 3.0;
            let out = Vec3A::new(turn.cos(), turn.sin(), 0.0);
            shape.tube(&[(foot + Vec3A::Z * height, 0.004), (under + out * 0.055, 0.004)], 4, material);
        }
    } else {
        let (low, high) = (foot - Vec3A::Z * 0.03, foot + Vec3A::Z * (lamp - 0.025).max(0.01));
        shape.tube(&[(low, 0.032), (high, 0.03)], 14, material);
    }
}

/// A ribbon with mitred corners: top, both sides, both ends.
fn ribbon(line: &[Point3], width: f64, height: f64, (side, top): (u16, u16), shape: &mut Shape) {
    let mut points: Vec<Vec3A> = Vec::new();
    for at in line {
        let at = vector(*at);
        if points.last().is_none_or(|last| (at - *last).truncate_z().length() > 1e-4) {
            points.push(at);
        }
    }
    if points.len() < 2 {
        return;
    }
    let direction = |i: usize, j: usize| (points[j] - points[i]).truncate_z().normalize_or(Vec3A::X);
    let half = 0.5 * width as f32;
    let offset = |i: usize| {
        let before = if i > 0 { direction(i - 1, i) } else { direction(i, i + 1) };
        let after = if i + 1 < points.len() { direction(i, i + 1) } else { before };
        let middle = (before + after).normalize_or(before);
        let across = Vec3A::new(-middle.y, middle.x, 0.0);
        // Longer at corners, up to twice.
        across * (half / middle.dot(after).max(0.5))
    };
    let up = Vec3A::Z * height as f32;
    let sides: Vec<[Vec3A; 2]> =
        (0..points.len()).map(|i| [points[i] - offset(i), points[i] + offset(i)]).collect();
    for pair in sides.windows(2) {
        let ([a, d], [b, c]) = (pair[0], pair[1]);
        shape.quad([a + up, b + up, c + up, d + up], top);
        shape.quad([a, b, b + up, a + up], side);
        shape.quad([c, d, d + up, c + up], side);
    }
    for [a, b] in [sides[0], sides[sides.len() - 1]] {
        shape.quad([a, b, b + up, a + up], side);
    }
}

/// The part of a vector that is level.
trait Level {
    fn truncate_z(self) -> Self;
}

impl Level for Vec3A {
    fn truncate_z(self) -> Self {
        Self::new(self.x, self.y, 0.0)
    }
}
