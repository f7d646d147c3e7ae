//! What draws a point while it is moved: edges, right angles to the house, whole steps.
//!
//! - In: a point, the placed yard, a reach. Out: the point where it is drawn to, and the words.
//! - The nearest edge within reach wins; otherwise the line square to the house through the
//!   neighbouring point; otherwise whole steps of the reader's unit from that neighbour.

use groundwright_geometry::{Curve, Point, Vec2};
use groundwright_plan::ElementRef;
use groundwright_units::{Reader, System};
use groundwright_yard::Plot;

/// A point where it is drawn to.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Where. [m]
    pub at: Point,
    /// By what, in words; empty if nothing draws it.
    pub words: String,
}

/// What may draw a point.
#[derive(Debug, Clone, Copy)]
pub struct Magnets<'y> {
    /// The yard's edges.
    pub plot: &'y Plot,
    /// The element that is moved; its own edge does not draw.
    pub own: Option<&'y ElementRef>,
    /// The neighbouring point.
    pub from: Option<Point>,
    /// Direction that "square" means. [rad]
    pub square: f64,
}

impl Magnets<'_> {
    /// Where a point within `reach` [m] is drawn to.
    pub fn draw(&self, at: Point, reach: f64, reader: Reader) -> Drawn {
        self.edge(at, reach, reader)
            .or_else(|| self.square(at, reach, reader))
            .or_else(|| self.step(at, reach, reader))
            .unwrap_or(Drawn { at, words: String::new() })
    }

    fn edge(&self, at: Point, reach: f64, reader: Reader) -> Option<Drawn> {
        let plot = self.plot;
        let areas = plot.buildings.iter().chain(plot.paved()).chain(&plot.beds).chain(&plot.boxes);
        let areas = areas.chain(&plot.lawns).chain(&plot.boundary);
        let edges = areas
            .filter(|area| Some(&area.element) != self.own || area.element.id.as_str() == "boundary")
            .filter(|area| area.whole.bounds().is_some_and(|b| b.inflate(reach, reach).contains(at)))
            .map(|area| (area.label.as_str(), &area.edge));
        let near = |(label, edge): (&str, &Curve)| {
            let foot = edge.nearest(at);
            let (corner, distance) = nearest_corner(edge, at);
            // A corner draws before the edge that it ends.
            let (point, off, words) = if distance <= reach {
                (corner, distance * 0.5, format!("corner of {label}"))
            } else {
                let station = reader.length(foot.station);
                (foot.point, foot.distance, format!("edge of {label}, station {station}"))
            };
            (off, Drawn { at: point, words })
        };
        let nearest = edges.map(near).min_by(|a, b| a.0.total_cmp(&b.0))?;
        (nearest.1.at.distance(at) <= reach).then_some(nearest.1)
    }

    fn square(&self, at: Point, reach: f64, reader: Reader) -> Option<Drawn> {
        let from = self.from?;
        let way = at - from;
        let axes = [Vec2::from_angle(self.square), Vec2::from_angle(self.square).turn_90()];
        let axis = axes.into_iter().min_by(|a, b| way.cross(*a).abs().total_cmp(&way.cross(*b).abs()))?;
        if way.hypot() < reach || way.cross(axis).abs() > reach {
            return None;
        }
        let length = whole(way.dot(axis), reach, reader);
        let words = format!("square to the house, {}", reader.length(length.abs()));
        Some(Drawn { at: from + axis * length, words })
    }

    fn step(&self, at: Point, reach: f64, reader: Reader) -> Option<Drawn> {
        let from = self.from?;
        let way = at - from;
        let length = way.hypot();
        let stepped = whole(length, reach, reader);
        if length < reach || (stepped - length).abs() < 1e-12 {
            return None;
        }
        Some(Drawn { at: from + way * (stepped / length), words: reader.length(stepped) })
    }
}

/// A length brought to half feet or tenths of a metre where one is within reach. [m]
fn whole(length: f64, reach: f64, reader: Reader) -> f64 {
    let step = if reader.system == System::Us { 0.1524 } else { 0.1 };
    let stepped = (length / step).round() * step;
    if (stepped - length).abs() <= reach { stepped } else { length }
}

/// The corner of an edge nearest to a point, with its distance; infinitely far if there is none.
fn nearest_corner(edge: &Curve, at: Point) -> (Point, f64) {
    let corners = edge.corners(0.3).into_iter().map(|station| edge.point(station));
    let nearest = corners.map(|corner| (corner, corner.distance(at))).min_by(|a, b| a.1.total_cmp(&b.1));
    nearest.unwrap_or((at, f64::INFINITY))
}
