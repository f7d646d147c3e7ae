//! Figure `graze`: light of a fixture on the wall that it stands close to.

use groundwright_light::graze::graze;
use groundwright_light::illuminance::FOOTCANDLE;
use groundwright_light::{Beam, Shape};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "beam": "gaussian", "beam_deg": 24, "I0_cd": 1500, "setback_m": 0.3, "height_m": 1.5,
  "lateral_m": 0, "tilt_to_wall_deg": 0 }"#;
pub(super) const HELP: &str =
    "A case has `beam` (gaussian, cospower or cone), `beam_deg` (full angle at half intensity), `I0_cd` or
`lumens`, `setback_m` from the wall, `height_m` and `lateral_m` of the place on the wall above and
beside the lamp, `tilt_to_wall_deg`; or `graze` with a list of cases. Result: off_axis_deg, cd, lux, fc.
Example:
  groundwright figure graze --example | groundwright figure graze";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let Some(list) = case.get("graze") else {
        return one(case).map(Answer::new);
    };
    super::illuminance::each(list, "graze", one).map(|results| Answer::new(json!({ "graze": results })))
}

/// A beam out of `beam`, `beam_deg` and `I0_cd` or `lumens`.
pub(super) fn beam(case: &Case) -> Result<Beam, String> {
    let shape = match case::text(case, "beam")?.unwrap_or("gaussian") {
        "gaussian" => Shape::Gaussian,
        "cospower" => Shape::CosinePower,
        "cone" | "uniform" | "uniform_cone" => Shape::Cone,
        other => return Err(format!("`beam` is `{other}`; expected gaussian, cospower or cone")),
    };
    let angle = super::illuminance::needed(case, "beam_deg")?.to_radians();
    let beam = match case::number(case, "lumens")? {
        Some(lumens) => Beam::of_lumens(shape, angle, lumens),
        None => Beam::of_peak(shape, angle, super::illuminance::needed(case, "I0_cd")?),
    };
    beam.map_err(|problem| problem.to_string())
}

fn one(case: &Case) -> Result<Value, String> {
    let get = |key| super::illuminance::needed(case, key);
    let or_none = |key| case::number(case, key).map(Option::unwrap_or_default);
    let tilt = or_none("tilt_to_wall_deg")?.to_radians();
    let lit = graze(&beam(case)?, get("setback_m")?, get("height_m")?, or_none("lateral_m")?, tilt);
    let lit = lit.map_err(|problem| problem.to_string())?;
    Ok(json!({ "off_axis_deg": lit.off_axis.to_degrees(), "cd": lit.candela, "lux": lit.lux,
        "fc": lit.lux / FOOTCANDLE }))
}
