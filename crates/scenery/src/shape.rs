//! Building triangles: tubes, cards, blades, boxes.

use std::f32::consts::TAU;

use glam::Vec3A;

/// Triangles with their materials.
#[derive(Debug, Clone, Default)]
pub struct Shape {
    /// Corners with the number of the material. [m]
    pub triangles: Vec<([Vec3A; 3], u16)>,
}

impl Shape {
    /// A triangle.
    pub fn triangle(&mut self, a: Vec3A, b: Vec3A, c: Vec3A, material: u16) {
        self.triangles.push(([a, b, c], material));
    }

    /// A quadrangle, corner by corner.
    pub fn quad(&mut self, [a, b, c, d]: [Vec3A; 4], material: u16) {
        self.triangle(a, b, c, material);
        self.triangle(a, c, d, material);
    }

    /// A tapering tube through places with radii, closed at its end.
    pub fn tube(&mut self, spine: &[(Vec3A, f32)], sides: usize, material: u16) {
        let ring = |i: usize| -> Vec<Vec3A> {
            let (at, radius) = spine[i];
            let before = spine[i.saturating_sub(1)].0;
            let after = spine[(i + 1).min(spine.len() - 1)].0;
            let axis = (after - before).normalize_or(Vec3A::Z);
            let (x, y) = frame(axis);
            (0..sides)
                .map(|k| {
                    let turn = TAU * k as f32 / sides as f32;
                    at + (x * turn.cos() + y * turn.sin()) * radius
                })
                .collect()
        };
        let mut low = ring(0);
        for i in 1..spine.len() {
            let high = ring(i);
            for k in 0..sides {
                let next = (k + 1) % sides;
                self.quad([low[k], low[next], high[next], high[k]], material);
            }
            low = high;
        }
    }

    /// A leaf: a kite folded along its midrib.
    ///
    /// # Arguments
    /// - `base`, `along`: where it sits and where its tip lies from there. [m]
    /// - `face`: roughly what its upper side faces.
    pub fn leaf(&mut self, base: Vec3A, along: Vec3A, face: Vec3A, width: f32, material: u16) {
        let side = along.cross(face).normalize_or(Vec3A::X);
        let up = side.cross(along).normalize_or(Vec3A::Z);
        let middle = base + along * 0.45;
        let edge = side * (0.5 * width);
        let lift = up * (0.15 * width);
        let tip = base + along;
        self.triangle(base, middle + edge + lift, tip, material);
        self.triangle(base, tip, middle - edge + lift, material);
    }

    /// A blade that bends: a strip through places, broad below, pointed above.
    pub fn blade(&mut self, spine: &[Vec3A], side: Vec3A, width: f32, material: u16) {
        let last = spine.len() - 1;
        let edge = |i: usize| {
            let share = i as f32 / last as f32;
            side * (0.5 * width * (1.0 - share * share))
        };
        for i in 0..last {
            let (a, b) = (edge(i), edge(i + 1));
            if i + 1 == last {
                self.triangle(spine[i] - a, spine[i] + a, spine[last], material);
            } else {
                self.quad([spine[i] - a, spine[i] + a, spine[i + 1] + b, spine[i + 1] - b], material);
            }
        }
    }

    /// A flower of petals about a stem's end.
    pub fn flower(&mut self, at: Vec3A, face: Vec3A, radius: f32, petals: usize, material: u16) {
        let (x, y) = frame(face.normalize_or(Vec3A::Z));
        for k in 0..petals {
            let turn = TAU * k as f32 / petals as f32;
            let out = x * turn.cos() + y * turn.sin();
            self.leaf(at, out * radius + face * (0.25 * radius), face, radius * 1.1, material);
        }
    }

    /// A box by its middle, half sizes and axes.
    pub fn slab(&mut self, middle: Vec3A, halves: [Vec3A; 3], material: u16) {
        for axis in 0..3 {
            let (n, u, v) = (halves[axis], halves[(axis + 1) % 3], halves[(axis + 2) % 3]);
            for sign in [1.0, -1.0] {
                let c = middle + n * sign;
                self.quad([c - u - v, c + u - v, c + u + v, c - u + v], material);
            }
        }
    }

    /// Moves and grows all of another shape into this one.
    pub fn add(&mut self, other: &Self) {
        self.triangles.extend_from_slice(&other.triangles);
    }
}

/// Two directions square to one.
pub(crate) fn frame(axis: Vec3A) -> (Vec3A, Vec3A) {
    axis.any_orthonormal_pair()
}
