//! Perennials, ground covers, annuals: mounds and mats of leaves, stems of flowers above.

use std::f32::consts::TAU;

use glam::Vec3A;
use groundwright_plan::stock::Habit;

use super::{Grown, leaves};
use crate::dice::Dice;
use crate::shape::Shape;

pub(super) fn mound(grown: &Grown, dice: &mut Dice, most: usize, shape: &mut Shape) {
    /// Width of a leaf over its length.
    const WIDTH: f32 = 0.55;
    let mat = grown.habit == Habit::Mat;
    let index = 2.8 * grown.in_leaf.max(0.15);
    let usual = if mat { 0.03 } else { (0.16 * grown.height).min(0.45 * grown.radius).clamp(0.02, 0.11) };
    let (count, length) = leaves(index, grown.radius, usual, WIDTH, most.min(2200));
    // Flowers stand above the leaves where it flowers upright.
    let upright = matches!(grown.habit, Habit::Upright | Habit::Columnar | Habit::Vase);
    let top = grown.height * if grown.in_flower && !mat { 0.72 } else { 0.95 };
    let swells: [f32; 6] = std::array::from_fn(|_| dice.between(0.8, 1.1));
    for _ in 0..count {
        let turn = dice.between(0.0, TAU);
        let swell = swells[(turn / TAU * 6.0) as usize % 6];
        let out = dice.share().sqrt() * swell;
        let level = if mat { 1.0 - 0.5 * out * out } else { (1.0 - out * out).max(0.0).sqrt() };
        let height = top * level.max(0.12) * dice.share().powf(0.3);
        let flat = Vec3A::new(turn.cos(), turn.sin(), 0.0);
        let along = (flat * 0.7 + dice.direction() * 0.7 + Vec3A::Z * 0.35).normalize_or(flat)
            * (length * dice.between(0.7, 1.2));
        // No tip rises above the whole plant.
        let height = height.min((grown.height - along.z).max(0.0));
        let at = flat * (out * (grown.radius - 0.4 * length).max(0.3 * grown.radius)) + Vec3A::Z * height;
        let face = (Vec3A::Z + flat * 0.4 + dice.direction() * 0.4).normalize_or(Vec3A::Z);
        let material = if dice.share() < 0.35 { grown.paint.second } else { grown.paint.leaf };
        shape.leaf(at, along, face, length * WIDTH, material);
    }
    if !mat {
        stems(grown, dice, top, shape);
    }
    if grown.in_flower {
        flowers(grown, dice, (top, upright, mat), shape);
    }
}

fn stems(grown: &Grown, dice: &mut Dice, top: f32, shape: &mut Shape) {
    for _ in 0..18 {
        let turn = dice.between(0.0, TAU);
        let flat = Vec3A::new(turn.cos(), turn.sin(), 0.0);
        let foot = flat * (0.15 * grown.radius);
        let end = flat * (grown.radius * dice.between(0.2, 0.8)) + Vec3A::Z * (top * dice.between(0.5, 0.9));
        shape.tube(&[(foot, 0.004), (end, 0.002)], 3, grown.paint.leaf);
    }
}

fn flowers(grown: &Grown, dice: &mut Dice, (top, upright, mat): (f32, bool, bool), shape: &mut Shape) {
    let cover = (2.0 * grown.radius).powi(2);
    let count = ((if mat { 90.0 } else { 55.0 } * cover) as usize).clamp(5, 120);
    let radius = (0.07 * grown.height).clamp(0.01, 0.035);
    for _ in 0..count {
        let turn = dice.between(0.0, TAU);
        let out = dice.share().sqrt() * 0.95;
        let flat = Vec3A::new(turn.cos(), turn.sin(), 0.0);
        let level = if mat { 1.0 - 0.5 * out * out } else { (1.0 - 0.7 * out * out).max(0.1) };
        let foot = flat * (out * 0.7 * grown.radius) + Vec3A::Z * (0.5 * top * level);
        let end = flat * (out * grown.radius) + Vec3A::Z * (grown.height * level * dice.between(0.88, 1.02));
        if !mat {
            shape.tube(&[(foot, 0.002), (end, 0.0012)], 3, grown.paint.leaf);
        }
        let up = (Vec3A::Z + flat * 0.4 + dice.direction() * 0.3).normalize_or(Vec3A::Z);
        if upright {
            // A spike: small flowers up the stem.
            let length = 0.28 * grown.height;
            for i in 0..8 {
                let at = end - Vec3A::Z * (length * i as f32 / 8.0);
                let face = (dice.direction() + Vec3A::Z * 0.3).normalize_or(Vec3A::Z);
                shape.flower(at, face, radius * (0.4 + 0.06 * i as f32), 3, grown.paint.flower);
            }
        } else {
            shape.flower(end, up, radius, 6, grown.paint.flower);
        }
    }
}
