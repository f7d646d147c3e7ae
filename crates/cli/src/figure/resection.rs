//! Figure `resection`: the camera of a photograph from points known in the yard.

use groundwright_picture::{SeenPoint, resection};
use serde_json::{Map, Value, json};

use super::illuminance::needed;
use super::{Answer, case, lit_scene};

pub(super) const EXAMPLE: &str = r#"{ "width": 4000, "height": 3000, "points": [
    { "name": "corner, foot", "at": [0, 0, 0], "pixel": [619, 1803] },
    { "name": "corner, eave", "at": [0, 0, 2.8], "pixel": [614, 1202] },
    { "name": "far corner, foot", "at": [12, 0, 0.2], "pixel": [3078, 1734] },
    { "name": "far corner, eave", "at": [12, 0, 2.9], "pixel": [3083, 1200] },
    { "name": "post", "at": [4.5, -3, 1.1], "pixel": [1562, 1594] },
    { "name": "lid", "at": [8, -6, -0.1], "pixel": [2694, 2038] }] }"#;
pub(super) const HELP: &str =
    "A case has `width` and `height` of the photograph in pixels and `points`: `at` [x, y, z] in metres and
`pixel` [x, y] from the upper left corner, four or more; and may have `angle_deg` across the width if
that is known. The middle of the picture is taken as that of the lens. Result: at_m with standard
deviations, towards (of length 1), angle_deg, rms_px and what is left over at each point.
Example:
  groundwright figure resection --example | groundwright figure resection";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let size = [needed(case, "width")?, needed(case, "height")?];
    let angle = case::number(case, "angle_deg")?.map(f64::to_radians);
    let rows = lit_scene::rows(case, "points")?;
    let mut points = Vec::new();
    let mut names = Vec::new();
    for (i, row) in rows.into_iter().enumerate() {
        let said = |problem: String| format!("point {} {}: {problem}", i + 1, lit_scene::name(row));
        let at = lit_scene::vector(row, "at").map_err(said)?;
        let [x, y] = lit_scene::numbers(row, "pixel").map_err(said)?[..] else {
            return Err(said("`pixel` is no [x, y]".to_owned()));
        };
        points.push(SeenPoint { at, pixel: [x, y] });
        names.push(lit_scene::name(row));
    }
    let found = resection(&points, size, angle).map_err(|e| e.to_string())?;
    let left: Vec<Value> = names
        .iter()
        .zip(&found.residuals)
        .map(|(name, [x, y])| json!({ "name": name, "left_px": [x, y], "length_px": x.hypot(*y) }))
        .collect();
    Ok(Answer::new(json!({
        "at_m": found.at.to_array(),
        "deviation_m": found.deviation.map(|d| d.to_array()),
        "towards": found.forward.to_array(),
        "up": found.up.to_array(),
        "angle_deg": found.angle.to_degrees(),
        "rms_px": found.rms,
        "readings_over": found.over,
        "points": left,
    })))
}
