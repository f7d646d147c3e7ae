//! Ferns and palms: fronds with leaflets in pairs.

use std::f32::consts::TAU;

use glam::Vec3A;

use super::Grown;
use crate::dice::Dice;
use crate::shape::Shape;

/// Fronds about a place.
pub(super) fn crown(grown: &Grown, dice: &mut Dice, at: Vec3A, shape: &mut Shape) {
    let count = 15;
    for k in 0..count {
        let turn = TAU * (k as f32 + dice.between(-0.3, 0.3)) / count as f32;
        let steep = dice.between(0.35, 1.0);
        let rise = (grown.height - at.z).max(0.0) * steep;
        let reach = grown.radius * dice.between(0.8, 1.05);
        frond(grown, dice, at, turn, reach, rise, 13, shape);
    }
}

/// A trunk with fronds all round, the low ones hanging.
pub(super) fn palm(grown: &Grown, dice: &mut Dice, shape: &mut Shape) {
    let thick = grown.trunk.unwrap_or(0.018 * grown.height + 0.05);
    let head = Vec3A::Z * (grown.clear + 0.15 * (grown.height - grown.clear));
    shape.tube(
        &[(Vec3A::Z * -0.1, thick * 1.25), (Vec3A::Z * 0.4, thick), (head, thick * 0.85)],
        12,
        grown.paint.bark,
    );
    let count = 22;
    for k in 0..count {
        // By the golden angle, so that none lie over one another.
        let turn = k as f32 * 2.399_963;
        let share = k as f32 / count as f32;
        let rise = (grown.height - head.z) * (1.0 - 1.7 * share);
        frond(grown, dice, head, turn, grown.radius, rise, 26, shape);
    }
}

#[expect(clippy::too_many_arguments, reason = "one frond with all that belongs to it")]
fn frond(
    grown: &Grown,
    dice: &mut Dice,
    at: Vec3A,
    turn: f32,
    reach: f32,
    rise: f32,
    pairs: usize,
    shape: &mut Shape,
) {
    let out = Vec3A::new(turn.cos(), turn.sin(), 0.0);
    let side = Vec3A::new(-out.y, out.x, 0.0);
    let place = |share: f32| {
        let lift = rise * (1.9 * share - 0.9 * share * share) - 0.35 * reach * share.powi(3);
        at + out * (reach * share) + Vec3A::Z * lift.max(0.02 - at.z)
    };
    let spine: Vec<(Vec3A, f32)> =
        (0..6).map(|i| (place(i as f32 / 5.0), 0.006 * reach * (1.1 - i as f32 / 5.0))).collect();
    shape.tube(&spine, 3, grown.paint.leaf);
    for pair in 0..pairs {
        let share = 0.12 + 0.88 * pair as f32 / pairs as f32;
        let from = place(share);
        let ahead = (place((share + 0.05).min(1.0)) - from).normalize_or(out);
        // Longest below the middle, short at the tip.
        let length = reach * 0.34 * (1.0 - share).powf(0.6) * (0.35 + share).min(1.0);
        for sign in [-1.0, 1.0] {
            let along =
                (side * sign + ahead * 0.45 - Vec3A::Z * dice.between(0.05, 0.3)).normalize_or(side) * length;
            let material = if dice.share() < 0.3 { grown.paint.second } else { grown.paint.leaf };
            shape.leaf(from, along, Vec3A::Z, (1.7 * reach / pairs as f32 * 0.5).min(0.3 * length), material);
        }
    }
}
