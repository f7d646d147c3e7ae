//! Distances between points in words.
//!
//! - In: points in order. Out: the last piece with its bearing, the sum, and the area where at least
//!   three points enclose one.

use groundwright_geometry::{Point, Region};
use groundwright_units::Reader;

/// Measured points in words; empty for fewer than two.
pub fn words(points: &[Point], reader: Reader) -> String {
    let pieces: Vec<f64> = points.windows(2).map(|pair| pair[0].distance(pair[1])).collect();
    let Some(last) = pieces.last() else { return String::new() };
    let mut parts = vec![reader.length(*last)];
    if pieces.len() > 1 {
        parts.push(format!("{} in all", reader.length(pieces.iter().sum())));
    }
    if points.len() > 2
        && let Ok(region) = Region::polygon(points)
    {
        parts.push(format!("{} enclosed", reader.area(region.area())));
    }
    parts.join(", ")
}

#[cfg(test)]
mod tests {
    use groundwright_units::System;

    use super::*;

    /// The 3-4-5 triangle, which every crew uses to square a corner.
    #[test]
    fn a_triangle_of_three_four_five() {
        let points = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)].map(|(x, y)| Point::new(x, y));
        let metric = Reader::new(System::Metric);
        assert_eq!(words(&points[..1], metric), "");
        assert_eq!(words(&points[..2], metric), metric.length(4.0));
        let all = words(&points, metric);
        assert_eq!(
            all,
            format!("{}, {} in all, {} enclosed", metric.length(3.0), metric.length(7.0), metric.area(6.0))
        );
    }
}
