//! Conifers: whorls of branches along a leader, with sprays of needles.

use std::f32::consts::TAU;

use glam::Vec3A;

use super::{Grown, leaves, outline};
use crate::dice::Dice;
use crate::shape::Shape;

pub(super) fn grow(grown: &Grown, dice: &mut Dice, most: usize, shape: &mut Shape) {
    /// Width of a spray over its length.
    const WIDTH: f32 = 0.4;
    /// Leaf area index of a full crown.
    const INDEX: f32 = 5.0;
    let thick = grown.trunk.unwrap_or(0.012 * grown.height).max(0.004);
    let top = Vec3A::Z * grown.height;
    shape.tube(
        &[(Vec3A::Z * -0.1, thick * 1.3), (Vec3A::Z * (0.3 * grown.height), thick * 0.8), (top, 0.003)],
        9,
        grown.paint.bark,
    );
    let crown = grown.height - grown.clear;
    let whorls = ((crown / 0.32) as usize).clamp(6, 64);
    let each = 7;
    let (count, length) = leaves(INDEX, grown.radius, (0.05 * crown).clamp(0.03, 0.16), WIDTH, most);
    let sprays = (count / (whorls * each)).max(4);
    for whorl in 0..whorls {
        let z = (whorl as f32 + dice.between(0.0, 0.8)) / whorls as f32;
        let height = grown.clear + crown * z;
        let reach = (grown.radius * outline(grown.form, z)).max(0.04 * grown.radius);
        let start = dice.between(0.0, TAU);
        for k in 0..each {
            let turn = start + TAU * (k as f32 + dice.between(-0.25, 0.25)) / each as f32;
            let out = Vec3A::new(turn.cos(), turn.sin(), 0.0);
            let reach = reach * dice.between(0.8, 1.05);
            // Low branches hang, high ones rise.
            let rise = (z - 0.55) * 0.7 * reach;
            let from = Vec3A::Z * height;
            let tip = from + out * reach + Vec3A::Z * rise.max(0.04 - height);
            let bend = from.lerp(tip, 0.55) - Vec3A::Z * (0.08 * reach);
            let radius = (thick * 0.25 * (1.0 - 0.7 * z)).max(0.002);
            shape.tube(&[(from, radius), (bend, radius * 0.6), (tip, 0.001)], 4, grown.paint.bark);
            for spray in 0..sprays {
                let share = (spray as f32 + dice.share()) / sprays as f32;
                let along = share.powf(0.6);
                let on = if along < 0.5 {
                    from.lerp(bend, along * 2.0)
                } else {
                    bend.lerp(tip, along * 2.0 - 1.0)
                };
                // Twigs fan out level from the branch, widest a third of the way out.
                let wide = reach * 0.42 * (1.0 - along).powf(0.7) * (0.3 + along).min(1.0);
                let aside = dice.between(-1.0, 1.0);
                let side = Vec3A::new(-out.y, out.x, 0.0) * aside;
                let hang = (wide * aside.abs() * dice.between(0.05, 0.4)).min((on.z - 0.03).max(0.0));
                let at = on + side * wide - Vec3A::Z * hang;
                let towards = (out * 0.7 + side + Vec3A::Z * dice.between(-0.45, 0.3)).normalize_or(out);
                // No spray lies on the ground.
                let towards =
                    if at.z < length { Vec3A::new(towards.x, towards.y, towards.z.abs()) } else { towards };
                let face = (Vec3A::Z + dice.direction() * 0.5).normalize_or(Vec3A::Z);
                let material = if dice.share() < 0.3 { grown.paint.second } else { grown.paint.leaf };
                shape.leaf(at, towards * (length * dice.between(0.7, 1.2)), face, length * WIDTH, material);
            }
        }
    }
}
