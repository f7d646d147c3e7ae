//! GeoJSON (RFC 7946): longitude and latitude in degrees on the world's ellipsoid.
//!
//! - In: the text, and where in the world the plan's origin lies. Out: points and lines in plan metres.
//! - Method: lengths of a degree at the origin from the radii of curvature of WGS 84, with the change
//!   of the parallel by latitude; within a kilometre this is good to millimetres.
//! - Holes of polygons come as lines of their own.

use groundwright_geometry::Point;
use serde_json::Value;

use super::{ImportError, Imported, ImportedLine, ImportedPoint, Layers, Outcome};

/// Semi-major axis and squared eccentricity of WGS 84. Source: NIMA TR8350.2 (from memory). [m]
const AXIS: f64 = 6_378_137.0;
const ECCENTRICITY_2: f64 = 6.694_379_990_14e-3;

/// Beyond this the plane is not good enough, and the entity is left. [rad] About 6 km.
const REACH: f64 = 1e-3;

/// Where in the world the plan's origin lies.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Origin {
    longitude: f64,
    latitude: f64,
}

impl Origin {
    /// Plan coordinates of a place, y to true north; `None` far from the origin. [m]
    fn plan(self, longitude: f64, latitude: f64) -> Option<Point> {
        let (east, north) = (longitude.to_radians() - self.longitude, latitude.to_radians() - self.latitude);
        if !(east.abs() < REACH && north.abs() < REACH) {
            return None;
        }
        let middle = self.latitude + north / 2.0;
        let w = |latitude: f64| 1.0 - ECCENTRICITY_2 * latitude.sin().powi(2);
        let meridian = AXIS * (1.0 - ECCENTRICITY_2) / w(middle).powf(1.5);
        let at = self.latitude + north;
        let parallel = AXIS / w(at).sqrt() * at.cos();
        // The parallel bends away from the tangent at the origin's meridian.
        let sag = 0.5 * east * east * at.sin() * parallel;
        Some(Point::new(parallel * east, meridian * north + sag))
    }
}

/// Reads GeoJSON. The property `layer`, `code` or `name` of a feature serves as its layer or name.
///
/// # Arguments
/// - `longitude`, `latitude`: where in the world the plan's origin lies. [rad]
///
/// # Errors
/// [`ImportError::Format`] where the text is no GeoJSON.
pub fn read_geojson(
    text: &str,
    longitude: f64,
    latitude: f64,
    layers: &Layers,
) -> Result<Imported, ImportError> {
    let format = |why: String| ImportError::Format { format: "GeoJSON", why };
    let root: Value = serde_json::from_str(text).map_err(|error| format(error.to_string()))?;
    let mut reader =
        Reader { imported: Imported::default(), origin: Origin { longitude, latitude }, layers, count: 0 };
    match root["type"].as_str() {
        Some("FeatureCollection") => {
            let features = root["features"].as_array();
            for feature in features.ok_or_else(|| format("the collection has no `features`".to_owned()))? {
                reader.feature(feature);
            }
        }
        Some("Feature") => reader.feature(&root),
        Some(_) => reader.geometry(&root, "", ""),
        None => return Err(format("it has no `type`".to_owned())),
    }
    Ok(reader.imported)
}

struct Reader<'l> {
    imported: Imported,
    origin: Origin,
    layers: &'l Layers,
    count: usize,
}

impl Reader<'_> {
    fn feature(&mut self, feature: &Value) {
        let text = |key: &str| match &feature["properties"][key] {
            Value::String(text) => Some(text.clone()),
            Value::Number(number) => Some(number.to_string()),
            _ => None,
        };
        let layer = text("layer").or_else(|| text("code")).unwrap_or_default();
        let name = text("name").or_else(|| text("id")).unwrap_or_default();
        self.geometry(&feature["geometry"], &layer, &name);
    }

    fn geometry(&mut self, geometry: &Value, layer: &str, name: &str) {
        self.count += 1;
        let kind = geometry["type"].as_str().unwrap_or("nothing");
        let what = format!("{kind} {}", self.count);
        let places = &geometry["coordinates"];
        let many = |value: &Value| value.as_array().cloned().unwrap_or_default();
        match kind {
            "Point" => self.point(what, places, layer, name),
            "LineString" => self.line(what, places, layer, false),
            "MultiPoint" => {
                for at in many(places) {
                    self.point(what.clone(), &at, layer, name);
                }
            }
            "MultiLineString" | "Polygon" => {
                for line in many(places) {
                    self.line(what.clone(), &line, layer, kind == "Polygon");
                }
            }
            "MultiPolygon" => {
                for ring in many(places).iter().flat_map(many) {
                    self.line(what.clone(), &ring, layer, true);
                }
            }
            "GeometryCollection" => {
                for inner in many(&geometry["geometries"]) {
                    self.geometry(&inner, layer, name);
                }
            }
            _ => {
                let why = "it has no geometry that is known".to_owned();
                self.imported.note(what, layer, Outcome::Left(why));
            }
        }
    }

    /// Plan coordinates and height of a position.
    fn place(&self, position: &Value) -> Result<(Point, Option<f64>), String> {
        let number = |i: usize| position.get(i).and_then(Value::as_f64);
        let (Some(longitude), Some(latitude)) = (number(0), number(1)) else {
            return Err(format!("{position} is no position"));
        };
        let at = self.origin.plan(longitude, latitude);
        at.map(|at| (at, number(2)))
            .ok_or_else(|| format!("{position} lies more than 6 km from the property, or is not in degrees"))
    }

    fn point(&mut self, what: String, position: &Value, layer: &str, name: &str) {
        match self.place(position) {
            Ok((at, height)) => {
                let point =
                    ImportedPoint { name: name.to_owned(), at, height, layer: layer.to_owned(), kind: None };
                self.imported.take_point(what, point, self.layers);
            }
            Err(why) => self.imported.note(what, layer, Outcome::Left(why)),
        }
    }

    fn line(&mut self, what: String, positions: &Value, layer: &str, closed: bool) {
        let list = positions.as_array().map(Vec::as_slice).unwrap_or_default();
        let places: Result<Vec<(Point, Option<f64>)>, String> = list.iter().map(|p| self.place(p)).collect();
        match places {
            Ok(mut places) => {
                // A ring repeats its first position at its end.
                if closed && places.len() > 1 && places.first().map(|p| p.0) == places.last().map(|p| p.0) {
                    places.pop();
                }
                let line = ImportedLine {
                    heights: places.iter().map(|(_, height)| *height).collect(),
                    points: places.into_iter().map(|(at, _)| at).collect(),
                    closed,
                    layer: layer.to_owned(),
                    kind: None,
                };
                self.imported.take_line(what, line, self.layers);
            }
            Err(why) => self.imported.note(what, layer, Outcome::Left(why)),
        }
    }
}
