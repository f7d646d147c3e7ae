//! Figure `probe`: illuminance at places of a scene, straight and after bounces.

use groundwright_picture::probe;
use serde_json::{Map, Value, json};

use super::{Answer, lit_scene};

pub(super) const EXAMPLE: &str = r#"{ "shapes": [
    { "name": "ground", "type": "ground", "z": 0, "center": [0, 0], "half_size": 30, "reflectance": 0.2 },
    { "name": "wall", "type": "box", "min": [-4, 2, 0], "max": [4, 2.3, 2.4], "reflectance": 0.5 }],
  "lights": [{ "name": "graze", "position": [0, 1.7, 0.1], "target": [0, 1.95, 2.4],
    "table": [[0, 800], [10, 700], [25, 60], [40, 0]] }],
  "probes": [{ "name": "wall, 1 m up", "position": [0, 2, 1], "normal": [0, -1, 0] },
    { "name": "walk", "position": [0, 0.5, 0], "normal": [0, 0, 1] }],
  "samples": 100000 }"#;
pub(super) const HELP: &str =
    "A case has `shapes` (type ground: z, center, half_size; box: min, max; cylinder: base, radius, height,
open at both ends; ellipsoid: center, radii; sphere: center, radius; all with reflectance), `lights`
(position, target, table of [degrees off the aim, candela], linear between, nothing beyond the last)
and `probes` (position, normal), in metres; and may have `samples` (paths to a probe, usually 500000)
and `seed`. Result: lux at each probe: direct; bounce1, bounce1to2, bounce1to8 with standard errors
(`_se`); total_2_bounce, total_8_bounce. Surfaces are diffuse and grey, the sky is black.
Example:
  groundwright figure probe --example | groundwright figure probe";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let (scene, _) = lit_scene::scene(case)?;
    let samples = lit_scene::count(case, "samples", 500_000, 1_000_000_000)?;
    let seed = lit_scene::count(case, "seed", 1, u32::MAX)?;
    let places = lit_scene::places(case)?;
    if places.is_empty() {
        return Err("`probes` is missing or empty; expected places with position and normal".to_owned());
    }
    let probes: Vec<Value> = places
        .iter()
        .map(|(name, place)| {
            let found = probe(&scene, place, 8, samples, seed);
            let after = |bounces: usize| found.bounced[bounces - 1];
            json!({
                "name": name,
                "direct": found.direct,
                "bounce1": after(1).lux, "bounce1_se": after(1).standard_error,
                "bounce1to2": after(2).lux, "bounce1to2_se": after(2).standard_error,
                "bounce1to8": after(8).lux, "bounce1to8_se": after(8).standard_error,
                "total_2_bounce": found.direct + after(2).lux,
                "total_8_bounce": found.direct + after(8).lux,
            })
        })
        .collect();
    Ok(Answer::new(json!({ "units": "lux", "samples": samples, "probes": probes })))
}
