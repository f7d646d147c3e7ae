//! Scenes of figures `probe` and `render`: plain shapes, point lights, a camera, places.

use std::sync::Arc;

use glam::{DVec3, Vec3A};
use groundwright_picture::{
    Camera, Heaven, Instance, Lamp, Lens, Material, Mesh, Place, Round, Scene, SceneParts, Spread, WHITE,
};
use serde_json::{Map, Value};

use super::case;
use super::illuminance::needed;

type Case = Map<String, Value>;

/// A scene as the case tells it, with the names of its lights.
pub(super) fn scene(case: &Case) -> Result<(Scene, Vec<String>), String> {
    let mut parts = SceneParts::default();
    let mut triangles = Vec::new();
    for (i, row) in rows(case, "shapes")?.into_iter().enumerate() {
        let place = |problem: String| format!("shape {} {}: {problem}", i + 1, name(row));
        shape(row, &mut parts, &mut triangles).map_err(place)?;
    }
    if !triangles.is_empty() {
        parts.meshes.push(Arc::new(Mesh::new(&triangles).map_err(|e| e.to_string())?));
        parts.instances.push(Instance::as_is(0));
    }
    let mut names = Vec::new();
    for (i, row) in rows(case, "lights")?.into_iter().enumerate() {
        let place = |problem: String| format!("light {} {}: {problem}", i + 1, name(row));
        parts.lamps.push(lamp(row, i as u16).map_err(place)?);
        names.push(name(row).to_owned());
    }
    parts.heaven = Heaven::default();
    Ok((Scene::new(parts).map_err(|e| e.to_string())?, names))
}

/// Places of the case that receive light, with their names.
pub(super) fn places(case: &Case) -> Result<Vec<(String, Place)>, String> {
    let of = |(i, row): (usize, &Case)| {
        let said = |problem: String| format!("probe {} {}: {problem}", i + 1, name(row));
        let at = vector(row, "position").map_err(said)?;
        let normal = vector(row, "normal").map_err(said)?;
        if normal.length() < 1e-9 {
            return Err(said("its `normal` has no length".to_owned()));
        }
        Ok((name(row).to_owned(), Place { at, normal }))
    };
    rows(case, "probes")?.into_iter().enumerate().map(of).collect()
}

/// The case's camera.
pub(super) fn camera(case: &Case) -> Result<Camera, String> {
    let row = case
        .get("camera")
        .and_then(Value::as_object)
        .ok_or("`camera` is missing; expected position, target, fov_x_deg, width and height")?;
    let said = |problem: String| format!("camera: {problem}");
    let (at, target) = (vector(row, "position").map_err(said)?, vector(row, "target").map_err(said)?);
    let up = if row.contains_key("up") { vector(row, "up").map_err(said)? } else { DVec3::Z };
    let angle = needed(row, "fov_x_deg").map_err(said)?.to_radians();
    let pixels = |key: &str| {
        let count = needed(row, key).map_err(said)?;
        let whole = count.fract() == 0.0 && (1.0..=4096.0).contains(&count);
        whole.then_some(count as u32).ok_or_else(|| format!("camera: `{key}` is {count}; expected 1 to 4096"))
    };
    let size = [pixels("width")?, pixels("height")?];
    Camera::new(at, target, up, Lens::Flat(angle), size).map_err(|e| format!("camera: {e}"))
}

/// A whole number within a range, or what is usual.
pub(super) fn count(case: &Case, key: &str, usual: u32, most: u32) -> Result<u32, String> {
    let Some(value) = case::number(case, key)? else { return Ok(usual) };
    let good = value.fract() == 0.0 && (0.0..=f64::from(most)).contains(&value);
    good.then_some(value as u32)
        .ok_or_else(|| format!("`{key}` is {value}; expected a whole number up to {most}"))
}

/// Name of a row.
pub(super) fn name(row: &Case) -> &str {
    row.get("name").and_then(Value::as_str).unwrap_or("without a name")
}

/// Rows of a list; none where it is left out.
pub(super) fn rows<'c>(case: &'c Case, key: &str) -> Result<Vec<&'c Case>, String> {
    let Some(list) = case.get(key) else { return Ok(Vec::new()) };
    let list = list.as_array().ok_or_else(|| format!("`{key}` is no list"))?;
    list.iter().map(|row| row.as_object().ok_or_else(|| format!("`{key}`: {row} is no object"))).collect()
}

/// Numbers of a list.
pub(super) fn numbers(row: &Case, key: &str) -> Result<Vec<f64>, String> {
    let wrong = || format!("`{key}` is missing or no list of finite numbers");
    let list = row.get(key).and_then(Value::as_array).ok_or_else(wrong)?;
    list.iter().map(|v| v.as_f64().filter(|v| v.is_finite()).ok_or_else(wrong)).collect()
}

/// A place or direction. [m]
pub(super) fn vector(row: &Case, key: &str) -> Result<DVec3, String> {
    match numbers(row, key)?[..] {
        [x, y, z] => Ok(DVec3::new(x, y, z)),
        _ => Err(format!("`{key}` is no [x, y, z] in metres")),
    }
}

fn shape(row: &Case, parts: &mut SceneParts, triangles: &mut Vec<([Vec3A; 3], u16)>) -> Result<(), String> {
    let reflectance = needed(row, "reflectance")?;
    if !(0.0..=1.0).contains(&reflectance) {
        return Err(format!("`reflectance` is {reflectance}; expected a share from 0 to 1"));
    }
    let material = parts.materials.len() as u16;
    parts.materials.push(Material::grey(reflectance as f32));
    let mut face = |corners: [DVec3; 4]| {
        let [a, b, c, d] = corners.map(DVec3::as_vec3a);
        triangles.extend([([a, b, c], material), ([a, c, d], material)]);
    };
    match case::text(row, "type")?.unwrap_or_default() {
        "ground" => {
            let [x, y] = numbers(row, "center")?[..] else { return Err("`center` is no [x, y]".to_owned()) };
            let (z, half) = (needed(row, "z")?, needed(row, "half_size")?);
            if half <= 0.0 {
                return Err(format!("`half_size` is {half}; expected a length above 0"));
            }
            let corner = |sx: f64, sy: f64| DVec3::new(x + sx * half, y + sy * half, z);
            face([corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)]);
        }
        "box" => {
            let (low, high) = (vector(row, "min")?, vector(row, "max")?);
            if !(high - low).cmpgt(DVec3::ZERO).all() {
                return Err("`max` is not above `min` along every axis".to_owned());
            }
            for axis in 0..3 {
                for side in [low[axis], high[axis]] {
                    let (i, j) = ((axis + 1) % 3, (axis + 2) % 3);
                    let corner = |u: f64, v: f64| {
                        let mut at = DVec3::ZERO;
                        (at[axis], at[i], at[j]) = (side, u, v);
                        at
                    };
                    face([
                        corner(low[i], low[j]),
                        corner(high[i], low[j]),
                        corner(high[i], high[j]),
                        corner(low[i], high[j]),
                    ]);
                }
            }
        }
        "cylinder" => {
            let (foot, radius, height) =
                (vector(row, "base")?, needed(row, "radius")?, needed(row, "height")?);
            parts.rounds.push((Round::Tube { foot, radius, height }, material));
        }
        "ellipsoid" => {
            let (centre, radii) = (vector(row, "center")?, vector(row, "radii")?);
            parts.rounds.push((Round::Ellipsoid { centre, radii }, material));
        }
        "sphere" => {
            let (centre, radius) = (vector(row, "center")?, needed(row, "radius")?);
            parts.rounds.push((Round::Ellipsoid { centre, radii: DVec3::splat(radius) }, material));
        }
        other => {
            return Err(format!("`type` is `{other}`; expected ground, box, cylinder, ellipsoid or sphere"));
        }
    }
    Ok(())
}

fn lamp(row: &Case, layer: u16) -> Result<Lamp, String> {
    let (at, target) = (vector(row, "position")?, vector(row, "target")?);
    let wrong = || "`table` is missing or no list of [degrees off the aim, candela]".to_owned();
    let table = row.get("table").and_then(Value::as_array).ok_or_else(wrong)?;
    let pair = |entry: &Value| {
        let pair = entry.as_array().filter(|pair| pair.len() == 2)?;
        Some((pair[0].as_f64()?.to_radians() as f32, pair[1].as_f64()? as f32))
    };
    let table = table.iter().map(pair).collect::<Option<Vec<_>>>().ok_or_else(wrong)?;
    Lamp::new(at, target - at, DVec3::X, Spread::Axial(table), WHITE, layer).map_err(|e| e.to_string())
}
