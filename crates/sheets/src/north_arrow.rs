//! A north arrow: a slender kite, one half filled, with an upright N before its tip.
//!
//! - In: the direction of north and the room. Out: primitives about the middle of the arrow.
//!   [mm, y down]

use groundwright_drawing::Primitive;
use groundwright_handoff::TextAnchor;
use kurbo::{BezPath, Point, Vec2};

use crate::pieces::{bold, filled, outline, text};
use crate::setting::{HAIRLINE, INK, Letters};

/// An arrow that fits a circle of this radius [mm], turned clockwise from the top of the sheet
/// [rad].
pub(crate) fn north_arrow(radius: f64, turned: f64, letters: Letters) -> Vec<Primitive> {
    let letter_room = letters.cap * 1.7;
    let half = radius - letter_room / 2.0;
    // The arrow and its letter together are as long as the circle is wide.
    let towards = |along: f64, aside: f64| {
        let north = Vec2::new(turned.sin(), -turned.cos());
        let east = Vec2::new(turned.cos(), turned.sin());
        (north * (along - letter_room / 2.0) + east * aside).to_point()
    };
    let tip = towards(half, 0.0);
    let notch = towards(-half * 0.5, 0.0);
    let right = towards(-half, half * 0.42);
    let left = towards(-half, -half * 0.42);
    let kite = |points: &[Point]| {
        let mut path = BezPath::new();
        path.move_to(points[0]);
        points[1..].iter().for_each(|&point| path.line_to(point));
        path.close_path();
        path
    };
    let letter = bold(letters);
    let middle = towards(half + letter_room / 2.0 + letters.cap * 0.1, 0.0);
    vec![
        filled(kite(&[tip, right, notch]), INK),
        outline(kite(&[tip, right, notch, left]), HAIRLINE * 1.5, INK),
        text(middle + Vec2::new(0.0, letters.cap / 2.0), "N", letter, TextAnchor::Middle),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::Paper;
    use crate::setting::Setting;
    use kurbo::Shape;
    use std::f64::consts::PI;

    /// Wherever it points, the arrow stays within its circle and its tip lies towards north.
    #[test]
    fn the_tip_lies_towards_north() {
        let letters = Setting::of(Paper::LETTER).body();
        for turned in [0.0, 0.7, PI / 2.0, PI, -2.1] {
            let arrow = north_arrow(6.0, turned, letters);
            let Primitive::Path { path, .. } = &arrow[1] else { panic!("the kite comes second") };
            let bounds = path.bounding_box();
            assert!([bounds.x0, bounds.y0, bounds.x1, bounds.y1].iter().all(|v| v.abs() <= 6.3));
            let Some(kurbo::PathEl::MoveTo(tip)) = path.elements().first() else { panic!("no tip") };
            let centre = path.bounding_box().center();
            let north = Vec2::new(turned.sin(), -turned.cos());
            assert!((*tip - centre).dot(north) > 2.0);
        }
    }
}
