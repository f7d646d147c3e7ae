//! Growing and shrinking a region, and finding its narrow parts.
//!
//! - In: a distance or a width [m]. Out: regions.
//! - Method: outline offset with round joins (Minkowski sum with a disc); shrinking is growing the
//!   outside. Narrow parts are what a disc rolled about inside cannot reach: the region less its
//!   morphological opening, without the little gussets that the disc leaves in ordinary corners.

use geo::MultiPolygon;
use geo::algorithm::Area;
use geo::algorithm::buffer::{Buffer, BufferStyle, LineJoin};

use super::{FLATTEN, Region};

impl Region {
    /// Every point within `distance` of the region; below zero, every point deeper inside than
    /// that. Round corners keep within half of [`FLATTEN`] of the arc. [m]
    ///
    /// A distance that is not finite or below 1 µm gives the region as it is.
    #[must_use]
    pub fn grow(&self, distance: f64) -> Self {
        if !distance.is_finite() || distance.abs() < 1e-6 || self.is_empty() {
            return self.clone();
        }
        let sag = (FLATTEN / 2.0 / distance.abs()).min(0.1);
        let angle = 2.0 * (1.0 - sag).acos();
        let style = BufferStyle::new(distance).line_join(LineJoin::Round(angle));
        if distance > 0.0 {
            return Self::of(self.shape.buffer_with_style(style));
        }
        // A part without room for a disc of that radius vanishes. Leaving it out spares the offset
        // its worst case, a disc whose edges all meet in one point.
        let least = std::f64::consts::PI * distance * distance * (1.0 + 1e-6);
        let parts = self.shape.0.iter().filter(|part| part.unsigned_area() > least).cloned().collect();
        Self::of(MultiPolygon(parts).buffer_with_style(style))
    }

    /// The parts narrower than `width`: necks, slivers and sharp tips; empty if there are none.
    ///
    /// Corners of a right angle and more are not narrow. [m]
    #[must_use]
    pub fn narrow_parts(&self, width: f64) -> Self {
        if !(width.is_finite() && width > 0.0) {
            return Self::empty();
        }
        let radius = width / 2.0;
        let core = self.grow(-radius);
        // A hair more than the radius, so that rounding leaves no film along straight sides.
        let rest = self.difference(&core.grow(radius + FLATTEN));
        // In a right-angled corner the tip is √2 radii from the core.
        let wide = core.grow(radius * std::f64::consts::SQRT_2 + 2.0 * FLATTEN);
        let narrow: Vec<Self> =
            rest.parts().into_iter().filter(|part| !part.difference(&wide).is_empty()).collect();
        Self::union_all(&narrow)
    }
}
