//! Tree protection: the circle about a kept trunk in which nobody digs, strips, stores or drives.
//!
//! - In: trunk diameter at breast height (1.37 m above grade), ratio, least radius. Out: the radius,
//!   and for a project the circles of all kept trees with the fence that they need.
//! - Method: radius = ratio × diameter, at least the minimum. The ratio is an input, because
//!   published rules differ: 1.0, 1.25 and 1.5 ft to the inch (12, 15, 18) all occur.
//! - Assumes roots that spread evenly; what has grown against a wall or a road has not.
//! - Not here: what harms a circle (`findings/`), its ring on the drawing (`marks/`).

use std::f64::consts::PI;

use groundwright_geometry::{Curve, Point, Rect, Region};
use groundwright_plan::{Action, ElementRef, Given, Kind, Project};
use groundwright_yard::Plot;

use crate::range::{OutOfRange, check};

/// Radius of tree protection. [m]
///
/// # Arguments
/// - `diameter`: trunk diameter at breast height. [m] Above zero.
/// - `ratio`: radius over diameter; 12 is one foot to the inch.
/// - `minimum`: least radius. [m]
///
/// # Errors
/// A value that is not finite, a diameter not above zero, a ratio outside 1 to 50.
///
/// # Source
/// Municipal and extension rules give 1.0, 1.25 or 1.5 ft to the inch; some add a least radius.
pub fn radius(diameter: f64, ratio: f64, minimum: f64) -> Result<f64, OutOfRange> {
    check("the trunk diameter", diameter, (1e-6, 20.0), "a diameter above 0 m, up to 20 m")?;
    check("the protection ratio", ratio, (1.0, 50.0), "a ratio from 1 to 50")?;
    check("the least radius", minimum, (0.0, 100.0), "a radius from 0 to 100 m")?;
    Ok((ratio * diameter).max(minimum))
}

/// Area of a protection circle. [m²]
pub fn area(radius: f64) -> f64 {
    PI * radius * radius
}

/// The protection circle of a kept tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Protection {
    /// The tree.
    pub element: ElementRef,
    /// Its trunk. [m]
    pub at: Point,
    /// Trunk diameter at breast height. [m]
    pub diameter: Given<f64>,
    /// Radius of the circle. [m]
    pub radius: f64,
    /// The circle. [m]
    pub zone: Region,
    /// Length of its edge outside other circles and outside buildings: the fence. [m]
    pub fence: f64,
}

/// Circles of all kept trees that stand on the plot, in file order.
pub(crate) fn protections(project: &Project, plot: &Plot) -> Vec<Protection> {
    let practice = &project.practice;
    let mut all: Vec<Protection> = Vec::new();
    for tree in project.property.trees.iter().filter(|tree| tree.action == Action::Keep) {
        let element = ElementRef::new(Kind::Tree, &tree.id);
        let Some(spot) = plot.trees.iter().find(|spot| spot.element == element) else { continue };
        let radius = radius(tree.diameter.value, practice.protection_ratio, practice.protection_minimum);
        let Ok(radius) = radius else { continue };
        let Ok(zone) = Region::circle(spot.at, radius) else { continue };
        all.push(Protection { element, at: spot.at, diameter: tree.diameter, radius, zone, fence: 0.0 });
    }
    let fences: Vec<f64> = (0..all.len()).map(|i| fence(&all, i, plot)).collect();
    for (protection, fence) in all.iter_mut().zip(fences) {
        protection.fence = fence;
    }
    all
}

/// Length of a circle's edge that lies in no other circle and in no building. [m]
fn fence(all: &[Protection], index: usize, plot: &Plot) -> f64 {
    let Ok(circle) = Curve::circle(all[index].at, all[index].radius) else { return 0.0 };
    let others = all.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, other)| &other.zone);
    let (at, radius) = (all[index].at, all[index].radius);
    let reach = Rect::from_points(at, at).inflate(radius, radius);
    let taken =
        Region::union_near(reach, others.chain(plot.buildings.iter().map(|building| &building.whole)));
    if taken.is_empty() {
        return circle.length();
    }
    circle.intervals_outside(&taken).iter().map(|(from, to)| to - from).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thin_trunk_gets_the_least_radius() {
        assert_eq!(radius(0.1, 12.0, 1.8288), Ok(1.8288));
    }

    #[test]
    fn a_trunk_that_is_not_a_number_is_told() {
        let told = radius(f64::NAN, 12.0, 0.0).unwrap_err().to_string();
        assert_eq!(told, "the trunk diameter is NaN; expected a diameter above 0 m, up to 20 m");
        assert!(radius(0.3, f64::INFINITY, 0.0).is_err());
    }
}
