//! Figure `volume`: cut and fill of prisms, between surfaces, and from sections.

use groundwright_geometry::{Point, Point3, Surface};
use groundwright_ground::{Earthwork, Soil, average_end_area, balance, between, prism, prismoidal};
use groundwright_units::constants::CUBIC_YARD;
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{
  "existing": [[0, 0, 0.2], [12, 0, 0.5], [12, 8, 0.9], [0, 8, 0.3], [5, 4, 0.7]],
  "design": [[0, 0, 0.3], [12, 0, 0.4], [12, 8, 0.6], [0, 8, 0.5]],
  "swell": "25 %", "shrinkage": "10 %"
}"#;
pub(super) const HELP: &str = "Example:\n  groundwright figure volume --example | groundwright figure volume";

type Case = Map<String, Value>;

/// Digits of a result that no printed value asks for fewer of.
const DIGITS: u8 = 12;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    if case.contains_key("triangle") {
        return of_prism(case).map(Answer::new);
    }
    if case.contains_key("existing") {
        return of_surfaces(case).map(Answer::new);
    }
    if case.contains_key("ends") {
        return of_section(case).map(Answer::new);
    }
    let mut result = Map::new();
    for (name, inner) in case {
        if let Some(answer) = part(inner).map_err(|problem| format!("{name}: {problem}"))? {
            result.insert(name.clone(), answer);
        }
    }
    if result.is_empty() {
        return Err(
            "expected `existing` and `design` (lists of [x, y, z]), `triangle` and `depth`, or `ends` \
                    and `length`"
                .to_owned(),
        );
    }
    Ok(Answer::new(Value::Object(result)))
}

/// A case inside a collection of cases; none for remarks.
fn part(value: &Value) -> Result<Option<Value>, String> {
    match value {
        Value::Object(case) if case.contains_key("triangle") => of_prism(case).map(Some),
        Value::Object(case) if case.contains_key("existing") => of_surfaces(case).map(Some),
        Value::Object(case) if case.contains_key("ends") => of_section(case).map(Some),
        Value::Array(cases) if cases.iter().all(Value::is_object) => {
            let answers: Result<Vec<Option<Value>>, String> = cases.iter().map(part).collect();
            Ok(Some(Value::Array(answers?.into_iter().map(Option::unwrap_or_default).collect())))
        }
        _ => Ok(None),
    }
}

fn of_prism(case: &Case) -> Result<Value, String> {
    let triangle = list(case, "triangle", 3)?;
    let mut corners = [Point::ORIGIN; 3];
    for (corner, value) in corners.iter_mut().zip(triangle) {
        *corner = case::place("triangle", value)?;
    }
    let mut depths = [0.0; 3];
    for (depth, value) in depths.iter_mut().zip(list(case, "depth", 3)?) {
        *depth = case::length_value("depth", value)?;
    }
    let earth = prism(corners, depths);
    let mut result = Map::new();
    for (key, ours) in [("cut", earth.cut), ("fill", earth.fill)] {
        result.insert(key.to_owned(), case::as_printed(case.get(key), ours, DIGITS));
    }
    Ok(Value::Object(result))
}

fn of_surfaces(case: &Case) -> Result<Value, String> {
    let existing = surface(case, "existing", &["existing_triangles", "triangles"], "existing_lines")?;
    let proposed = match case.get("design") {
        Some(Value::String(text)) => level(&existing, level_in_words(text)?)?,
        Some(Value::Number(_)) => level(&existing, case::required_length(case, "design")?)?,
        Some(_) => surface(case, "design", &["design_triangles"], "design_lines")?,
        None => return Err("`design` is missing; expected a list of [x, y, z], or a level".to_owned()),
    };
    let earth = between(&existing, &proposed);
    let mut result = Map::new();
    result.insert("expected".to_owned(), Value::Object(as_printed(case.get("expected"), &earth)));
    let mut put = |key: &str, value: f64| result.insert(key.to_owned(), json!(value));
    put("cut_m3", earth.cut);
    put("fill_m3", earth.fill);
    put("net_cut_m3", earth.net_cut());
    put("cut_cu_yd", earth.cut / CUBIC_YARD);
    put("fill_cu_yd", earth.fill / CUBIC_YARD);
    put("overlap_area_m2", earth.area);
    put("deepest_cut_m", earth.deepest_cut);
    put("deepest_fill_m", earth.deepest_fill);
    if case.contains_key("swell") || case.contains_key("shrinkage") {
        let share = |key: &str, otherwise: f64| Ok::<_, String>(case::share(case, key)?.unwrap_or(otherwise));
        let soil = Soil {
            swell: share("swell", 0.0)?,
            shrinkage: share("shrinkage", 0.0)?,
            usable: share("usable", 1.0)?,
        };
        let b = balance(earth.cut, earth.fill, soil).map_err(|e| e.to_string())?;
        result.insert(
            "balance".to_owned(),
            json!({
                "reused_bank_m3": b.reused, "surplus_bank_m3": b.surplus, "haul_loose_m3": b.haul_loose,
                "lacking_compacted_m3": b.lacking, "import_loose_m3": b.import_loose,
            }),
        );
    }
    Ok(Value::Object(result))
}

/// The keys of the collections of check values, to as many decimals as they are printed with.
fn as_printed(printed: Option<&Value>, earth: &Earthwork) -> Case {
    let ours = [
        ("cut", earth.cut),
        ("fill", earth.fill),
        ("net_cut", earth.net_cut()),
        ("overlap_area", earth.area),
    ];
    let given = |key: &str| printed.and_then(|p| p.get(key));
    ours.iter().map(|(key, ours)| ((*key).to_owned(), case::as_printed(given(key), *ours, DIGITS))).collect()
}

fn of_section(case: &Case) -> Result<Value, String> {
    let length = case::required_length(case, "length")?;
    let mut ends = [0.0; 2];
    for (end, value) in ends.iter_mut().zip(list(case, "ends", 2)?) {
        *end = case::area_value("ends", value)?;
    }
    let average = average_end_area(length, ends).map_err(|e| e.to_string())?;
    let mut result =
        json!({ "average_end_area_m3": average, "average_end_area_cu_yd": average / CUBIC_YARD });
    if let Some(middle) = case::area(case, "middle")? {
        let volume = prismoidal(length, ends, middle).map_err(|e| e.to_string())?;
        result["prismoidal_m3"] = json!(volume);
        result["prismoidal_cu_yd"] = json!(volume / CUBIC_YARD);
    }
    Ok(result)
}

fn surface(case: &Case, key: &str, triangles: &[&str], lines: &str) -> Result<Surface, String> {
    let points = places(key, case.get(key).unwrap_or(&Value::Null))?;
    if let Some(found) = triangles.iter().find_map(|key| case.get(*key)) {
        let found = found.as_array().ok_or("the triangles are no list; expected [[0, 1, 2], …]")?;
        let corners = found.iter().map(|triangle| {
            let index =
                |i: usize| triangle.get(i).and_then(Value::as_u64).and_then(|n| usize::try_from(n).ok());
            match (index(0), index(1), index(2), triangle.get(3)) {
                (Some(a), Some(b), Some(c), None) => Ok([a, b, c]),
                _ => Err(format!("{triangle} is no triangle; expected three indices of points, from 0")),
            }
        });
        let corners: Result<Vec<[usize; 3]>, String> = corners.collect();
        return Surface::from_triangles(points, &corners?).map_err(|e| format!("`{key}`: {e}"));
    }
    let mut courses = Vec::new();
    if let Some(found) = case.get(lines) {
        let found = found.as_array().ok_or_else(|| format!("`{lines}` is no list of lines"))?;
        for line in found {
            courses.push(places(lines, line)?);
        }
    }
    Surface::from_levels(&points, &courses).map_err(|faults| {
        let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
        format!("`{key}`: {}", faults.join("; "))
    })
}

fn places(key: &str, value: &Value) -> Result<Vec<Point3>, String> {
    let list = value.as_array().ok_or_else(|| format!("`{key}` is {value}; expected a list of [x, y, z]"))?;
    list.iter()
        .map(|place| match place.as_array().map(Vec::as_slice) {
            Some([x, y, z]) => Ok(Point3::new(
                case::length_value(key, x)?,
                case::length_value(key, y)?,
                case::length_value(key, z)?,
            )),
            _ => Err(format!("`{key}` has {place}; expected a place with its level, [x, y, z]")),
        })
        .collect()
}

/// A level as wide as the ground.
fn level(like: &Surface, z: f64) -> Result<Surface, String> {
    let b = like.bounds();
    let corners = [(b.x0, b.y0), (b.x1, b.y0), (b.x1, b.y1), (b.x0, b.y1)];
    let corners = corners.map(|(x, y)| Point3::new(x, y, z)).to_vec();
    Surface::from_triangles(corners, &[[0, 1, 2], [0, 2, 3]]).map_err(|e| e.to_string())
}

/// `z = 1 over the same square`, `z = 0`, `0.5 m`.
fn level_in_words(text: &str) -> Result<f64, String> {
    let number = text.trim().strip_prefix("z").map(|rest| rest.trim_start_matches([' ', '=']));
    let number = number.and_then(|rest| rest.split_whitespace().next()).and_then(|word| word.parse().ok());
    match number {
        Some(level) => Ok(level),
        None => case::length_value("design", &Value::String(text.to_owned())),
    }
}

fn list<'c>(case: &'c Case, key: &str, count: usize) -> Result<&'c [Value], String> {
    let found = case.get(key).and_then(Value::as_array).filter(|list| list.len() == count);
    found.map(Vec::as_slice).ok_or_else(|| format!("`{key}` is missing or wrong; expected a list of {count}"))
}
