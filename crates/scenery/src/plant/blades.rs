//! Grasses and strap leaves: blades from one foot that rise, bend over and hang.

use std::f32::consts::TAU;

use glam::Vec3A;
use groundwright_plan::stock::Habit;

use super::Grown;
use crate::dice::Dice;
use crate::shape::Shape;

/// A kind of tuft.
pub(super) struct Tuft {
    /// Blades of a plant of a metre's spread.
    count: f32,
    /// Width of a blade. [m]
    width: f32,
    /// Width grows with the height by this share.
    width_share: f32,
}

pub(super) const NARROW: Tuft = Tuft { count: 420.0, width: 0.004, width_share: 0.006 };
pub(super) const STRAP: Tuft = Tuft { count: 95.0, width: 0.012, width_share: 0.035 };

pub(super) fn tuft(grown: &Grown, dice: &mut Dice, kind: &Tuft, shape: &mut Shape) {
    let upright = matches!(grown.habit, Habit::Upright | Habit::Columnar | Habit::Vase);
    let count = ((kind.count * (2.0 * grown.radius).powf(0.7)) as usize).clamp(18, 700);
    let width = kind.width + kind.width_share * grown.height;
    for _ in 0..count {
        let turn = dice.between(0.0, TAU);
        let out = Vec3A::new(turn.cos(), turn.sin(), 0.0);
        let foot = out * (grown.radius * 0.22 * dice.share().sqrt());
        let reach = grown.radius * dice.between(0.15, 1.0) * if upright { 0.75 } else { 1.0 };
        let height = grown.height * dice.between(0.55, 1.0);
        // Blades that reach far hang over at their tips.
        let fall = height * (reach / grown.radius.max(0.01)) * if upright { 0.15 } else { 0.55 };
        let spine: [Vec3A; 5] = std::array::from_fn(|i| {
            let share = i as f32 / 4.0;
            let lift = height * (2.0 * share - share * share) - fall * share.powi(3);
            foot + out * (reach * share.powf(1.4)) + Vec3A::Z * lift.max(0.01 * share)
        });
        let side = Vec3A::new(-out.y, out.x, dice.between(-0.25, 0.25)).normalize();
        let material = if dice.share() < 0.35 { grown.paint.second } else { grown.paint.leaf };
        shape.blade(&spine, side, width, material);
    }
    if grown.in_flower {
        plumes(grown, dice, shape);
    }
}

fn plumes(grown: &Grown, dice: &mut Dice, shape: &mut Shape) {
    let count = ((26.0 * (2.0 * grown.radius)) as usize).clamp(4, 40);
    for _ in 0..count {
        let turn = dice.between(0.0, TAU);
        let lean = grown.radius * dice.between(0.1, 0.7);
        let out = Vec3A::new(turn.cos(), turn.sin(), 0.0);
        let top = out * lean + Vec3A::Z * (grown.height * dice.between(1.0, 1.2));
        let foot = out * (0.12 * grown.radius);
        shape.tube(
            &[(foot, 0.003), (foot.lerp(top, 0.6) + Vec3A::Z * 0.05, 0.002), (top, 0.0015)],
            3,
            grown.paint.leaf,
        );
        let length = 0.16 * grown.height;
        for i in 0..9 {
            let at = top - (top - foot).normalize_or(Vec3A::Z) * (length * i as f32 / 9.0);
            let along = (dice.direction() * 0.6 + Vec3A::Z).normalize_or(Vec3A::Z) * (0.35 * length);
            shape.leaf(at, along, dice.direction(), 0.12 * length, grown.paint.flower);
        }
    }
}
