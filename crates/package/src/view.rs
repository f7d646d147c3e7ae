//! How the plan lies on the sheet: turned square to the house, the street at the foot.
//!
//! - In: the project and its plot. Out: the turn, the extent to show, and its middle.
//! - Method: the longest wall gives the direction; of its four quarter turns the one that brings
//!   the street lowest is taken.

use std::f64::consts::{FRAC_PI_2, PI};

use groundwright_geometry::{Point, Rect, Vec2};
use groundwright_plan::{Kind, Project};
use groundwright_yard::Plot;

/// How the plan lies on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lie {
    /// The plan's turn, counter-clockwise. [rad]
    pub rotation: f64,
    /// True north on the sheet, clockwise from its top. [rad]
    pub north: f64,
    /// The middle of what is shown. [m]
    pub centre: Point,
    /// Width of what is shown, along the sheet. [m]
    pub width: f64,
    /// Height of what is shown. [m]
    pub height: f64,
}

/// Margin around the property: room for tags. [m]
const MARGIN: f64 = 2.5;

/// Finds how the plan lies.
///
/// # Arguments
/// - `north_up`: keep true north at the top instead.
pub fn lie(project: &Project, plot: &Plot, north_up: bool) -> Lie {
    let north = project.property.north.value;
    let rotation = if north_up { north } else { square_to_house(project, plot) };
    let shown = shown(plot);
    let turn = |p: Point| turned(p, rotation);
    let bounds = shown.iter().map(|p| turn(*p)).fold(None, |rect: Option<Rect>, p| {
        Some(rect.map_or(Rect::from_points(p, p), |rect| rect.union_pt(p)))
    });
    let bounds = bounds.unwrap_or(Rect::new(0.0, 0.0, 10.0, 10.0)).inflate(MARGIN, MARGIN);
    let centre = turned(bounds.center(), -rotation);
    Lie { rotation, north: north - rotation, centre, width: bounds.width(), height: bounds.height() }
}

fn turned(p: Point, by: f64) -> Point {
    let (sin, cos) = by.sin_cos();
    Point::new(p.x * cos - p.y * sin, p.x * sin + p.y * cos)
}

/// Points that must be on the sheet: the property line, or without one all that is drawn.
fn shown(plot: &Plot) -> Vec<Point> {
    let areas = match &plot.boundary {
        Some(boundary) => vec![boundary],
        None => plot.buildings.iter().chain(&plot.surfaces).collect(),
    };
    let areas = areas.into_iter().chain(&plot.beds).chain(&plot.lawns).chain(&plot.boxes);
    areas.flat_map(|area| area.whole.outlines()).flatten().collect()
}

fn square_to_house(project: &Project, plot: &Plot) -> f64 {
    let walls = plot.buildings.iter().flat_map(|b| b.whole.outlines()).flat_map(|ring| {
        let next: Vec<Point> = ring.iter().cycle().skip(1).take(ring.len()).copied().collect();
        ring.into_iter().zip(next).map(|(a, b)| b - a).collect::<Vec<Vec2>>()
    });
    let longest = walls.max_by(|a, b| a.hypot2().total_cmp(&b.hypot2()));
    let axis = longest.map_or(0.0, groundwright_geometry::Vec2::atan2);
    let Some(to_street) = to_street(project, plot) else { return wrapped(-axis, FRAC_PI_2) };
    // Turns are compared by how far down they bring the street; nearly equal ones by how small
    // they are, so that a millimetre never turns the sheet.
    let drop = |turn: f64| (turned(to_street.to_point(), turn).y * 1000.0).round();
    (0..4)
        .map(|quarter| wrapped(f64::from(quarter) * FRAC_PI_2 - axis, PI))
        .min_by(|a, b| drop(*a).total_cmp(&drop(*b)).then(a.abs().total_cmp(&b.abs())))
        .unwrap_or(-axis)
}

/// An angle brought into the range from −`half` to `half`.
fn wrapped(angle: f64, half: f64) -> f64 {
    (angle + half).rem_euclid(2.0 * half) - half
}

/// Unit direction from the house to the street viewpoint.
fn to_street(project: &Project, plot: &Plot) -> Option<Vec2> {
    let street = project.property.street.as_ref()?;
    let element = groundwright_plan::ElementRef::new(Kind::Viewpoint, street);
    let eye = plot.place_of(&element)?;
    let house = plot.buildings.first()?.whole.centroid()?;
    let way = eye - house;
    (way.hypot() > 0.01).then(|| way.normalize())
}
