//! Primitives at another place.

use groundwright_drawing::Primitive;
use kurbo::{Affine, Vec2};

/// The primitive moved by `dx` and `dy`. [mm]
pub(crate) fn moved(primitive: &Primitive, dx: f64, dy: f64) -> Primitive {
    let mut primitive = primitive.clone();
    let by = Vec2::new(dx, dy);
    match &mut primitive {
        Primitive::Path { path, .. } => path.apply_affine(Affine::translate(by)),
        Primitive::Text { at, .. } => *at += by,
    }
    primitive
}
