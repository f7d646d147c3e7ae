//! From yard metres to millimetres of paper and back.
//!
//! - In: a [`View`]. Out: the transforms, the window and what belongs in it.
//! - Method: shift the centre to the middle, turn by the view's rotation, scale, flip y.
//! - Not here: what is painted (`paint.rs`).

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use groundwright_handoff::{Mark, TextAnchor};
use kurbo::{Affine, Point, Rect, Vec2};

use crate::display::View;

impl View {
    /// Millimetres of paper for a metre of the yard. [mm/m]
    pub fn mm_per_metre(&self) -> f64 {
        1000.0 / self.scale
    }

    /// Takes yard coordinates [m] to paper coordinates [mm, y down].
    pub fn to_paper(&self) -> Affine {
        let k = self.mm_per_metre();
        Affine::translate((self.width_mm / 2.0, self.height_mm / 2.0))
            * Affine::scale_non_uniform(k, -k)
            * Affine::rotate(self.rotation)
            * Affine::translate(-self.centre.to_vec2())
    }

    /// Takes paper coordinates [mm, y down] to yard coordinates [m].
    pub fn to_yard(&self) -> Affine {
        self.to_paper().inverse()
    }

    /// The window. [mm of paper]
    pub fn window(&self) -> Rect {
        Rect::new(0.0, 0.0, self.width_mm, self.height_mm)
    }

    /// Whether the mark's layer is on this drawing and its frame is this view's.
    pub fn shows(&self, mark: &Mark) -> bool {
        mark.layer.on.contains(&self.drawing) && mark.frame == self.frame
    }

    /// Whether every number is finite, the scale between 1000:1 and 1:10⁹, and the window above zero.
    pub fn is_valid(&self) -> bool {
        let numbers =
            [self.scale, self.rotation, self.centre.x, self.centre.y, self.width_mm, self.height_mm];
        numbers.iter().all(|number| number.is_finite())
            && (1e-3..=1e9).contains(&self.scale)
            && self.width_mm > 0.0
            && self.height_mm > 0.0
    }
}

/// Key of a mark: `layer/kind/id/ordinal`.
pub fn mark_key(mark: &Mark) -> String {
    format!("{}/{}/{}/{}", mark.layer.name, mark.subject.kind.key(), mark.subject.id, mark.ordinal)
}

/// Distance between base lines in heights of capitals. Common practice, no source.
pub const LINE_PITCH: f64 = 1.7;

/// How far letters reach below the base line, in heights of capitals. Common practice, no source.
pub const DESCENT: f64 = 0.3;

/// One line of letters where it lies on paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Place of the anchor. [mm]
    pub at: Point,
    /// Which point of the base line lies there.
    pub anchor: TextAnchor,
    /// Rotation, clockwise on paper, above -90° and up to 90°. [rad]
    pub rotation: f64,
}

impl Placement {
    /// Letters that can be read from the foot or the right side of the sheet: a text that would
    /// stand on its head is turned about the middle of its height, so it covers the same paper.
    ///
    /// `rotation` is clockwise on paper. [rad]
    pub fn readable(at: Point, anchor: TextAnchor, rotation: f64, cap_height_mm: f64) -> Self {
        let turned = rotation - TAU * (rotation / TAU).round();
        // A plan turned by exactly 90° must not flip with the last bit of an angle.
        let slack = 1e-9;
        if turned > -FRAC_PI_2 - slack && turned < FRAC_PI_2 - slack {
            return Self { at, anchor, rotation: turned };
        }
        let anchor = match anchor {
            TextAnchor::Left => TextAnchor::Right,
            TextAnchor::Middle => TextAnchor::Middle,
            TextAnchor::Right => TextAnchor::Left,
        };
        let at = at + up(turned) * cap_height_mm;
        Self { at, anchor, rotation: if turned > 0.0 { turned - PI } else { turned + PI } }
    }

    /// The place of the line `n` lines below this one.
    pub fn line_below(&self, n: usize, cap_height_mm: f64) -> Self {
        Self { at: self.at - up(self.rotation) * (n as f64 * LINE_PITCH * cap_height_mm), ..*self }
    }

    /// The four corners of a line of letters of this width and height, from descent to capitals.
    pub fn corners(&self, width_mm: f64, cap_height_mm: f64) -> [Point; 4] {
        let start = match self.anchor {
            TextAnchor::Left => 0.0,
            TextAnchor::Middle => -0.5 * width_mm,
            TextAnchor::Right => -width_mm,
        };
        let along = Vec2::from_angle(self.rotation);
        let up = up(self.rotation);
        let corner = |x: f64, y: f64| self.at + along * x + up * y;
        let (low, high) = (-DESCENT * cap_height_mm, cap_height_mm);
        [
            corner(start, low),
            corner(start + width_mm, low),
            corner(start + width_mm, high),
            corner(start, high),
        ]
    }
}

/// The direction from a base line to the tops of its letters, on paper with y down.
fn up(rotation: f64) -> Vec2 {
    Vec2::new(rotation.sin(), -rotation.cos())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: Point, b: Point) -> bool {
        a.distance(b) < 1e-9
    }

    #[test]
    fn a_text_on_its_head_is_turned_and_covers_the_same_paper() {
        let at = Point::new(50.0, 40.0);
        let upright = Placement::readable(at, TextAnchor::Left, 0.4, 2.5);
        assert!((upright.rotation - 0.4).abs() < 1e-12);
        let turned = Placement::readable(at, TextAnchor::Left, 0.4 + PI, 2.5);
        assert!((turned.rotation - 0.4).abs() < 1e-12);
        assert_eq!(turned.anchor, TextAnchor::Right);
        // The box of capitals as given and as turned, corner by opposite corner.
        let given = Placement { at, anchor: TextAnchor::Left, rotation: 0.4 + PI };
        let (a, b) = (given.at, given.at + up(given.rotation) * 2.5);
        let (c, d) = (turned.at, turned.at + up(turned.rotation) * 2.5);
        assert!(close(a, d) && close(b, c));
    }

    #[test]
    fn upright_letters_are_read_from_the_right_side_only() {
        let at = Point::ORIGIN;
        for rotation in [FRAC_PI_2, -FRAC_PI_2, 3.0 * FRAC_PI_2] {
            let placed = Placement::readable(at, TextAnchor::Middle, rotation, 2.5);
            assert!((placed.rotation + FRAC_PI_2).abs() < 1e-9, "{rotation}: {placed:?}");
        }
    }
}
