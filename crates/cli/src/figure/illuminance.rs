//! Figure `illuminance`: light of sources on places, closed forms and aimed fixtures.

use groundwright_geometry::Point3;
use groundwright_light::area_source::{
    disc, discs_coaxial, rectangle_illuminance, rectangle_parallel, rectangle_perpendicular,
    rectangles_parallel, rectangles_perpendicular,
};
use groundwright_light::illuminance::{
    FOOTCANDLE, FOOTLAMBERT, Sample, contributions, diffuse_luminance, inverse_square, uniformity,
};
use groundwright_light::{Beam, Distribution, Fixture, NotUsable, Shape};
use serde_json::{Map, Value, json};

use super::{Answer, case, graze};

pub(super) const EXAMPLE: &str = r#"{ "fixtures": [
    { "at": [0, 0, 3], "aim": [1, 0, 0], "beam": "gaussian", "beam_deg": 36, "lumens": 300 },
    { "at": [4, 0, 0.6], "aim": [4, 1, 0], "beam": "cospower", "beam_deg": 60, "I0_cd": 120 }],
  "points": [{ "at": [1, 0, 0] }, { "at": [2, 0, 0], "normal": [0, 0, 1] }] }"#;
pub(super) const HELP: &str =
    "A case has `fixtures` (at and aim in metres, beam as of `figure graze`, and may have light_loss and
level) and `points` (at, and may have normal: upwards if left out): lux at each point, by fixture, and
how even it is; nothing stands between. Or any of the lists `inverse_square` (I_cd, d_m,
incidence_deg), `diffuse` (rho, lux), `beams` (beam_deg_50pct), `factors` (case, dims), `area_source`
(L_cd_m2, a_m, b_m, height_m, point_from_corner_m); or one row of the first two alone.
Example:
  groundwright figure illuminance --example | groundwright figure illuminance";

type Case = Map<String, Value>;
type One = fn(&Case) -> Result<Value, String>;

const LISTS: [(&str, One); 5] = [
    ("inverse_square", square),
    ("diffuse", diffuse),
    ("beams", beams),
    ("factors", factor),
    ("area_source", area_source),
];

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    if case.contains_key("fixtures") {
        return fixtures(case).map(Answer::new);
    }
    if case.contains_key("I_cd") {
        return square(case).map(Answer::new);
    }
    if case.contains_key("rho") && case.contains_key("lux") {
        return diffuse(case).map(Answer::new);
    }
    let mut result = Map::new();
    for (key, one) in LISTS {
        if let Some(list) = case.get(key) {
            result.insert(key.to_owned(), each(list, key, one)?);
        }
    }
    if result.is_empty() {
        return Err(
            "expected `fixtures` with `points`, or a list such as `inverse_square`; see --help".to_owned()
        );
    }
    Ok(Answer::new(Value::Object(result)))
}

/// Answers every row of a list.
pub(super) fn each(
    list: &Value,
    key: &str,
    one: impl Fn(&Case) -> Result<Value, String>,
) -> Result<Value, String> {
    let rows = list.as_array().ok_or_else(|| format!("`{key}` is no list"))?;
    let of = |(i, row): (usize, &Value)| {
        let place = |problem: String| format!("`{key}`, row {}: {problem}", i + 1);
        row.as_object()
            .ok_or_else(|| place("expected an object".to_owned()))
            .and_then(|row| one(row).map_err(place))
    };
    rows.iter().enumerate().map(of).collect()
}

/// A number that must be there.
pub(super) fn needed(case: &Case, key: &str) -> Result<f64, String> {
    case::number(case, key)?.ok_or_else(|| format!("`{key}` is missing; expected a number"))
}

fn said(found: Result<f64, NotUsable>) -> Result<f64, String> {
    found.map_err(|problem| problem.to_string())
}

fn square(case: &Case) -> Result<Value, String> {
    let incidence = case::number(case, "incidence_deg")?.unwrap_or_default().to_radians();
    let lux = said(inverse_square(needed(case, "I_cd")?, needed(case, "d_m")?, incidence))?;
    Ok(json!({ "lux": lux, "fc": lux / FOOTCANDLE }))
}

fn diffuse(case: &Case) -> Result<Value, String> {
    let luminance = said(diffuse_luminance(needed(case, "rho")?, needed(case, "lux")?))?;
    Ok(json!({ "cd_per_m2": luminance, "footlambert": luminance / FOOTLAMBERT }))
}

fn beams(case: &Case) -> Result<Value, String> {
    let angle = needed(case, "beam_deg_50pct")?.to_radians();
    let beam = |shape| Beam::of_peak(shape, angle, 1.0).map_err(|problem| problem.to_string());
    let (cone, gauss, cosine) = (beam(Shape::Cone)?, beam(Shape::Gaussian)?, beam(Shape::CosinePower)?);
    Ok(json!({
        "uniform_cone_lm_per_cd": cone.flux(),
        "gaussian_lm_per_cd": gauss.flux(),
        "gaussian_field_deg_10pct": gauss.field_angle().to_degrees(),
        "cospower_exponent": cosine.exponent(),
        "cospower_lm_per_cd": cosine.flux(),
        "cospower_field_deg_10pct": cosine.field_angle().to_degrees(),
    }))
}

fn factor(case: &Case) -> Result<Value, String> {
    let dims = numbers(case, "dims")?;
    let [a, b, c] = match dims[..] {
        [a, b, c] => [a, b, c],
        [a, b] => [a, b, 0.0],
        _ => return Err(format!("`dims` has {} numbers; expected 2 or 3", dims.len())),
    };
    let value = match case::text(case, "case")?.unwrap_or_default() {
        "ff_parallel" => rectangles_parallel(a, b, c),
        "ff_perp" => rectangles_perpendicular(a, b, c),
        "ff_discs" => discs_coaxial(a, b, c),
        "rect_corner_parallel" => rectangle_parallel(a, b, c),
        "rect_corner_perp" => rectangle_perpendicular(a, b, c),
        "disc_axis" => disc(a, b, 0.0),
        "disc_off" => disc(a, b, c),
        other => {
            return Err(format!(
                "`case` is `{other}`; expected ff_parallel, ff_perp, ff_discs, rect_corner_parallel, \
                 rect_corner_perp, disc_axis or disc_off"
            ));
        }
    };
    Ok(json!({ "value": said(value)? }))
}

fn area_source(case: &Case) -> Result<Value, String> {
    let place = numbers(case, "point_from_corner_m")?;
    let [x, y] = place[..] else { return Err("`point_from_corner_m` is no [x, y]".to_owned()) };
    let (luminance, a, b) = (needed(case, "L_cd_m2")?, needed(case, "a_m")?, needed(case, "b_m")?);
    let height = needed(case, "height_m")?;
    let lux = said(rectangle_illuminance(luminance, a, b, height, [x, y]))?;
    // All of it in the middle, by the cosines at both ends.
    let distance_2 = (x - a / 2.0).powi(2) + (y - b / 2.0).powi(2) + height * height;
    let as_point = luminance * a * b * (height * height / distance_2) / distance_2;
    Ok(json!({ "lux": lux, "point_source_approx_lux": as_point }))
}

fn numbers(case: &Case, key: &str) -> Result<Vec<f64>, String> {
    let wrong = || format!("`{key}` is missing or no list of numbers");
    let list = case.get(key).and_then(Value::as_array).ok_or_else(wrong)?;
    list.iter().map(|value| value.as_f64().ok_or_else(wrong)).collect()
}

fn point(case: &Case, key: &str) -> Result<Option<Point3>, String> {
    if !case.contains_key(key) {
        return Ok(None);
    }
    match numbers(case, key)?[..] {
        [x, y, z] => Ok(Some(Point3::new(x, y, z))),
        _ => Err(format!("`{key}` is no [x, y, z] in metres")),
    }
}

fn fixture(row: &Case) -> Result<Fixture, String> {
    let at = point(row, "at")?.ok_or("`at` is missing; expected [x, y, z] in metres")?;
    let aim = point(row, "aim")?.ok_or("`aim` is missing; expected [x, y, z] in metres")?;
    let loss = case::number(row, "light_loss")?.unwrap_or(1.0);
    let level = case::number(row, "level")?.unwrap_or(1.0);
    let fixture = Fixture::aimed(at, aim, Distribution::Beam(graze::beam(row)?));
    fixture.and_then(|fixture| fixture.with(loss, level)).map_err(|problem| problem.to_string())
}

fn fixtures(case: &Case) -> Result<Value, String> {
    let rows = |key: &str| -> Result<Vec<&Case>, String> {
        let list = case.get(key).and_then(Value::as_array).ok_or_else(|| format!("`{key}` is no list"))?;
        list.iter().map(|row| row.as_object().ok_or_else(|| format!("`{key}`: {row} is no object"))).collect()
    };
    let mut fixtures = Vec::new();
    for (i, row) in rows("fixtures")?.into_iter().enumerate() {
        fixtures.push(fixture(row).map_err(|problem| format!("fixture {}: {problem}", i + 1))?);
    }
    let mut samples = Vec::new();
    for (i, row) in rows("points")?.into_iter().enumerate() {
        let at = point(row, "at")?.ok_or_else(|| format!("point {}: `at` is missing", i + 1))?;
        let normal = point(row, "normal")?.unwrap_or(Point3::new(0.0, 0.0, 1.0));
        samples.push(Sample { at, normal: [normal.x, normal.y, normal.z].into() });
    }
    let found = contributions(&fixtures, &samples, |_, _| 1.0).map_err(|problem| problem.to_string())?;
    let levels: Vec<f64> = fixtures.iter().map(|fixture| fixture.level).collect();
    let lux = found.at_levels(&levels);
    let points: Vec<Value> = lux
        .iter()
        .enumerate()
        .map(
            |(i, lux)| json!({ "lux": lux, "fc": lux / FOOTCANDLE, "by_fixture_at_full_level": found.of(i) }),
        )
        .collect();
    let even = uniformity(&lux).map(
        |u| json!({ "mean": u.mean, "least_to_mean": u.least_to_mean, "least_to_most": u.least_to_most }),
    );
    Ok(json!({ "points": points, "uniformity": even }))
}
