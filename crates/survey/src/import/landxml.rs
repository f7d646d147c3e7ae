//! LandXML 1.2: coordinate points and triangulated surfaces.
//!
//! - In: the text. Out: points and surfaces in metres.
//! - A place is written northing, easting, elevation, parted by blanks.
//! - Read: `CgPoint` below `CgPoints`; `P` and `F` of each `Surface`. Faces marked invisible (`i="1"`) and
//!   faces of points that are missing are listed as left. Other features of the file are listed as left,
//!   one entry for each kind.

use std::collections::BTreeMap;

use groundwright_geometry::Point;
use roxmltree::{Document, Node};

use super::{FileUnit, ImportError, Imported, ImportedPoint, ImportedSurface, Layers, Outcome, within_reach};

/// Reads LandXML.
///
/// # Errors
/// [`ImportError`] where the text is no LandXML, or its unit is not known.
pub fn read_landxml(text: &str, layers: &Layers) -> Result<Imported, ImportError> {
    let format = |why: String| ImportError::Format { format: "LandXML", why };
    let document = Document::parse(text).map_err(|error| format(error.to_string()))?;
    let root = document.root_element();
    if root.tag_name().name() != "LandXML" {
        return Err(format(format!("its first element is `{}`", root.tag_name().name())));
    }
    let scale = unit(root)?.metres();
    let mut imported = Imported::default();
    let mut others: BTreeMap<String, usize> = BTreeMap::new();
    for child in root.children().filter(Node::is_element) {
        match child.tag_name().name() {
            "CgPoints" => points(child, scale, layers, &mut imported),
            "Surfaces" => {
                for surface in child.children().filter(|node| node.has_tag_name_anywhere("Surface")) {
                    surface_of(surface, scale, layers, &mut imported);
                }
            }
            "Units" | "Project" | "Application" | "CoordinateSystem" => {}
            other => *others.entry(other.to_owned()).or_insert(0) += 1,
        }
    }
    for (name, count) in others {
        let why = "only points and surfaces are read".to_owned();
        imported.note(format!("{name} ({count})"), "", Outcome::Left(why));
    }
    Ok(imported)
}

/// A tag by its local name, in whatever namespace: versions of the format differ in it.
trait LocalName {
    fn has_tag_name_anywhere(&self, name: &str) -> bool;
}

impl LocalName for Node<'_, '_> {
    fn has_tag_name_anywhere(&self, name: &str) -> bool {
        self.is_element() && self.tag_name().name() == name
    }
}

fn unit(root: Node<'_, '_>) -> Result<FileUnit, ImportError> {
    let units = root.children().find(|node| node.has_tag_name_anywhere("Units"));
    let declared = units
        .into_iter()
        .flat_map(|units| units.children())
        .find_map(|system| system.attribute("linearUnit"));
    match declared {
        Some("meter") => Ok(FileUnit::Metre),
        Some("millimeter") => Ok(FileUnit::Other(1e-3)),
        Some("centimeter") => Ok(FileUnit::Other(1e-2)),
        Some("foot") => Ok(FileUnit::Foot),
        Some("USSurveyFoot") => Ok(FileUnit::SurveyFoot),
        Some("inch") => Ok(FileUnit::Other(0.0254)),
        Some(other) => Err(ImportError::Unit { what: format!("the unit `{other}` is not known") }),
        None => Err(ImportError::Unit { what: "the file declares no unit".to_owned() }),
    }
}

/// Northing, easting and, where written, elevation. [m]
fn place(text: &str, scale: f64) -> Option<(Point, Option<f64>)> {
    let numbers: Option<Vec<f64>> = text.split_whitespace().map(|word| word.parse::<f64>().ok()).collect();
    let (at, height) = match numbers?.as_slice() {
        [n, e] => (Point::new(e * scale, n * scale), None),
        [n, e, z] => (Point::new(e * scale, n * scale), Some(z * scale)),
        _ => return None,
    };
    within_reach([at], height).ok().map(|()| (at, height))
}

fn points(group: Node<'_, '_>, scale: f64, layers: &Layers, imported: &mut Imported) {
    // Groups of points may lie inside groups.
    for node in group.descendants().filter(|node| node.has_tag_name_anywhere("CgPoint")) {
        let name = node.attribute("name").unwrap_or_default().to_owned();
        let layer = node.attribute("code").or(node.attribute("desc")).unwrap_or_default().to_owned();
        let what = format!("CgPoint {name}");
        if let Some((at, height)) = node.text().and_then(|text| place(text, scale)) {
            let point = ImportedPoint { name, at, height, layer, kind: None };
            imported.take_point(what, point, layers);
        } else {
            let why = match node.attribute("pntRef") {
                Some(other) => format!("it only refers to `{other}`"),
                None => "it is not northing, easting, elevation".to_owned(),
            };
            imported.note(what, &layer, Outcome::Left(why));
        }
    }
}

fn surface_of(node: Node<'_, '_>, scale: f64, layers: &Layers, imported: &mut Imported) {
    let name = node.attribute("name").unwrap_or_default().to_owned();
    let mut surface = ImportedSurface { name: name.clone(), ..ImportedSurface::default() };
    let mut index: BTreeMap<&str, usize> = BTreeMap::new();
    let (mut bad_points, mut hidden, mut bad_faces) = (0_usize, 0_usize, 0_usize);
    for point in node.descendants().filter(|inner| inner.has_tag_name_anywhere("P")) {
        match (point.attribute("id"), point.text().and_then(|text| place(text, scale))) {
            (Some(id), Some((at, Some(height)))) => {
                index.insert(id, surface.points.len());
                surface.points.push((at, height));
            }
            _ => bad_points += 1,
        }
    }
    for face in node.descendants().filter(|inner| inner.has_tag_name_anywhere("F")) {
        if face.attribute("i") == Some("1") {
            hidden += 1;
            continue;
        }
        let corners: Option<Vec<usize>> =
            face.text().and_then(|text| text.split_whitespace().map(|id| index.get(id).copied()).collect());
        match corners.as_deref() {
            Some(&[a, b, c]) if a != b && b != c && a != c => surface.faces.push([a, b, c]),
            _ => bad_faces += 1,
        }
    }
    for (count, why) in [
        (bad_points, "points without id, or not northing, easting, elevation"),
        (hidden, "faces marked invisible"),
        (bad_faces, "faces that are no triangle of known points"),
    ] {
        if count > 0 {
            imported.note(format!("Surface {name}: {count}"), &name, Outcome::Left(why.to_owned()));
        }
    }
    let what = format!("Surface {name}: {} points, {} faces", surface.points.len(), surface.faces.len());
    let outcome = if surface.faces.is_empty() {
        Outcome::Left("it has no faces".to_owned())
    } else {
        layers.outcome(&name)
    };
    if !matches!(outcome, Outcome::Left(_)) {
        imported.surfaces.push(surface);
    }
    imported.note(what, &name, outcome);
}
