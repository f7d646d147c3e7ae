//! DXF drawings: points, lines, polylines, arcs, circles and splines, by layer.
//!
//! - In: the bytes, and the unit where the drawing does not say. Out: points and lines.
//! - Method: the `dxf` library reads; arcs and bulges are cut to points within `FLATNESS`, splines
//!   evaluated by de Boor's recursion.
//! - Left, with the reason: blocks, letters, dimensions, hatches, solids, and what lies in a tilted plane.

use std::f64::consts::TAU;
use std::io::Cursor;

use dxf::Drawing;
use dxf::entities::{EntityType, Spline};
use dxf::enums::Units;
use groundwright_geometry::{Point, Vec2};

use super::{FLATNESS, FileUnit, ImportError, Imported, ImportedLine, ImportedPoint, Layers, Outcome};

/// Points between two knots of a spline.
const PER_SPAN: usize = 16;

/// Reads a DXF drawing.
///
/// # Arguments
/// - `unit`: the unit of a drawing that declares none; `None` refuses such a drawing.
///
/// # Errors
/// [`ImportError`] where the bytes are no DXF, or nobody knows the unit.
pub fn read_dxf(bytes: &[u8], unit: Option<FileUnit>, layers: &Layers) -> Result<Imported, ImportError> {
    let format = |why: String| ImportError::Format { format: "DXF", why };
    // The library trusts its input in places, and a broken file must not end the program.
    let read = std::panic::catch_unwind(|| Drawing::load(&mut Cursor::new(bytes)));
    let drawing = match read {
        Ok(Ok(drawing)) => drawing,
        Ok(Err(error)) => return Err(format(error.to_string())),
        Err(_) => return Err(format("its groups contradict one another".to_owned())),
    };
    let declared = match drawing.header.default_drawing_units {
        Units::Meters => Some(1.0),
        Units::Feet => Some(FileUnit::Foot.metres()),
        Units::Inches => Some(FileUnit::Foot.metres() / 12.0),
        Units::Yards => Some(FileUnit::Foot.metres() * 3.0),
        Units::Millimeters => Some(1e-3),
        Units::Centimeters => Some(1e-2),
        Units::Decimeters => Some(0.1),
        Units::USSurveyFeet => Some(FileUnit::SurveyFoot.metres()),
        _ => None,
    };
    let scale = declared
        .or(unit.map(FileUnit::metres))
        .ok_or_else(|| ImportError::Unit { what: "the drawing declares no unit".to_owned() })?;
    let mut imported = Imported::default();
    for (i, entity) in drawing.entities().enumerate() {
        let layer = entity.common.layer.clone();
        let (name, shape) = shape(&entity.specific);
        let what = format!("{name} {}", i + 1);
        let place = |at: Point| Point::new(at.x * scale, at.y * scale);
        match shape {
            Ok(Found::Point(at, height)) => {
                let point = ImportedPoint {
                    name: String::new(),
                    at: place(at),
                    height: Some(height * scale),
                    layer,
                    kind: None,
                };
                imported.take_point(what, point, layers);
            }
            Ok(Found::Line { corners, heights, closed }) => {
                let points = flatten(&corners, closed, FLATNESS / scale);
                // Heights stand for the corners; a bulged side has more points than corners.
                let heights = heights.filter(|heights| heights.len() == points.len());
                let line = ImportedLine {
                    points: points.into_iter().map(place).collect(),
                    heights: heights.map(|heights| heights.into_iter().map(|z| z * scale).collect()),
                    closed,
                    layer,
                    kind: None,
                };
                imported.take_line(what, line, layers);
            }
            Err(why) => imported.note(what, &layer, Outcome::Left(why.to_owned())),
        }
    }
    Ok(imported)
}

/// What an entity is, in the drawing's unit.
enum Found {
    Point(Point, f64),
    /// Corners with the bulge of the side that leaves each.
    Line {
        corners: Vec<(Point, f64)>,
        heights: Option<Vec<f64>>,
        closed: bool,
    },
}

fn shape(entity: &EntityType) -> (&'static str, Result<Found, &'static str>) {
    const TILTED: &str = "it lies in a tilted or mirrored plane";
    let flat = |normal: &dxf::Vector| normal.z > 0.999_999;
    let xy = |p: &dxf::Point| Point::new(p.x, p.y);
    let open = |corners, heights| Ok(Found::Line { corners, heights, closed: false });
    match entity {
        EntityType::ModelPoint(point) => ("POINT", Ok(Found::Point(xy(&point.location), point.location.z))),
        EntityType::Line(line) => {
            let corners = vec![(xy(&line.p1), 0.0), (xy(&line.p2), 0.0)];
            ("LINE", open(corners, Some(vec![line.p1.z, line.p2.z])))
        }
        EntityType::LwPolyline(line) if flat(&line.extrusion_direction) => {
            let corners = line.vertices.iter().map(|v| (Point::new(v.x, v.y), v.bulge)).collect();
            ("LWPOLYLINE", Ok(Found::Line { corners, heights: None, closed: line.is_closed() }))
        }
        EntityType::LwPolyline(_) => ("LWPOLYLINE", Err(TILTED)),
        EntityType::Polyline(line) if flat(&line.normal) => {
            let vertices: Vec<_> = line.vertices().collect();
            let corners = vertices.iter().map(|v| (xy(&v.location), v.bulge)).collect();
            let heights = line.is_3d_polyline().then(|| vertices.iter().map(|v| v.location.z).collect());
            ("POLYLINE", Ok(Found::Line { corners, heights, closed: line.is_closed() }))
        }
        EntityType::Polyline(_) => ("POLYLINE", Err(TILTED)),
        EntityType::Arc(arc) if flat(&arc.normal) => {
            let (start, end) = (arc.start_angle.to_radians(), arc.end_angle.to_radians());
            let sweep = (end - start).rem_euclid(TAU);
            let at = |angle: f64| xy(&arc.center) + Vec2::from_angle(angle) * arc.radius;
            // Two halves: the bulge of a whole turn would be infinite.
            let bulge = (sweep / 8.0).tan();
            let corners =
                vec![(at(start), bulge), (at(start + sweep / 2.0), bulge), (at(start + sweep), 0.0)];
            ("ARC", open(corners, None))
        }
        EntityType::Arc(_) => ("ARC", Err(TILTED)),
        EntityType::Circle(circle) if flat(&circle.normal) || circle.normal.z < -0.999_999 => {
            let arm = Vec2::new(circle.radius, 0.0);
            let middle = if circle.normal.z < 0.0 {
                Point::new(-circle.center.x, circle.center.y)
            } else {
                xy(&circle.center)
            };
            let corners = vec![(middle + arm, 1.0), (middle - arm, 1.0)];
            ("CIRCLE", Ok(Found::Line { corners, heights: None, closed: true }))
        }
        EntityType::Circle(_) => ("CIRCLE", Err(TILTED)),
        EntityType::Spline(spline) => ("SPLINE", spline_points(spline)),
        EntityType::Insert(_) => ("INSERT", Err("a block: explode it in the drawing to bring its parts")),
        EntityType::Text(_) => ("TEXT", Err("letters")),
        EntityType::MText(_) => ("MTEXT", Err("letters")),
        EntityType::Ellipse(_) => ("ELLIPSE", Err("an ellipse: draw it as a polyline or a spline")),
        EntityType::Face3D(_) => ("3DFACE", Err("a face: bring surfaces as LandXML")),
        EntityType::Image(_) => ("IMAGE", Err("a picture")),
        EntityType::RotatedDimension(_)
        | EntityType::RadialDimension(_)
        | EntityType::DiameterDimension(_) => ("DIMENSION", Err("a dimension")),
        _ => ("OTHER", Err("no line and no point")),
    }
}

/// A spline as points, by its control points; by its fit points where it has no others.
fn spline_points(spline: &Spline) -> Result<Found, &'static str> {
    let control: Vec<Point> = spline.control_points.iter().map(|p| Point::new(p.x, p.y)).collect();
    let degree = usize::try_from(spline.degree_of_curve).unwrap_or(0);
    let line = |points: Vec<Point>| {
        let corners = points.into_iter().map(|at| (at, 0.0)).collect();
        Ok(Found::Line { corners, heights: None, closed: false })
    };
    if control.is_empty() {
        let fit: Vec<Point> = spline.fit_points.iter().map(|p| Point::new(p.x, p.y)).collect();
        return if fit.len() >= 2 { line(fit) } else { Err("a spline without points") };
    }
    let knots = &spline.knot_values;
    let sorted = knots.windows(2).all(|pair| pair[0] <= pair[1]);
    if !(1..=9).contains(&degree)
        || control.len() <= degree
        || knots.len() != control.len() + degree + 1
        || !sorted
    {
        return Err("a spline whose knots do not suit its points");
    }
    let mut weights = spline.weight_values.clone();
    weights.resize(control.len(), 1.0);
    let mut points = Vec::new();
    for span in degree..control.len() {
        let (from, to) = (knots[span], knots[span + 1]);
        if to > from {
            let first = usize::from(!points.is_empty());
            for k in first..=PER_SPAN {
                let t = from + (to - from) * k as f64 / PER_SPAN as f64;
                points.push(de_boor(&control, &weights, knots, degree, span, t));
            }
        }
    }
    line(points)
}

/// A point of a rational B-spline by de Boor's recursion, in the span that holds `t`.
fn de_boor(control: &[Point], weights: &[f64], knots: &[f64], degree: usize, span: usize, t: f64) -> Point {
    let mut layer: Vec<(Vec2, f64)> = (0..=degree)
        .map(|j| span - degree + j)
        .map(|i| (control[i].to_vec2() * weights[i], weights[i]))
        .collect();
    for r in 1..=degree {
        for j in (r..=degree).rev() {
            let i = span - degree + j;
            let width = knots[i + degree + 1 - r] - knots[i];
            let share = if width > 0.0 { (t - knots[i]) / width } else { 0.0 };
            let (before, here) = (layer[j - 1], layer[j]);
            layer[j] = (before.0 * (1.0 - share) + here.0 * share, before.1 * (1.0 - share) + here.1 * share);
        }
    }
    let (sum, weight) = layer[degree];
    (sum / weight).to_point()
}

/// Corners with bulges as points no farther from the arcs than `flatness`.
fn flatten(corners: &[(Point, f64)], closed: bool, flatness: f64) -> Vec<Point> {
    let mut points = Vec::new();
    for (i, (from, bulge)) in corners.iter().enumerate() {
        points.push(*from);
        let last = i + 1 == corners.len();
        let to = corners[(i + 1) % corners.len()].0;
        if *bulge == 0.0 || (last && !closed) {
            continue;
        }
        let angle = 4.0 * bulge.atan();
        let chord = (to - *from).hypot();
        let radius = chord / (2.0 * (angle / 2.0).sin().abs());
        let step = 2.0 * (1.0 - flatness / radius).clamp(-1.0, 1.0).acos();
        let parts = (angle.abs() / step.max(1e-4)).ceil().clamp(1.0, 10_000.0);
        // The centre lies left of the chord where the arc turns left by less than half a turn.
        let normal = crate::equation::left(to - *from) / chord;
        let centre = from.midpoint(to) + normal * (radius * (angle / 2.0).cos() * angle.signum());
        let start = (*from - centre).atan2();
        if centre.is_finite() {
            points.extend(
                (1..parts as usize)
                    .map(|k| centre + Vec2::from_angle(start + angle * k as f64 / parts) * radius),
            );
        }
    }
    points
}
