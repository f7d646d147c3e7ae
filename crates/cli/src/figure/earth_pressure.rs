//! Figure `earth-pressure`: coefficients of active and passive pressure, and what ground bears.

use groundwright_walls::{Quake, Wedge, bearing, coulomb, mononobe_okabe, rankine, thrust};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "phi_deg": 30, "delta_deg": 20, "batter_deg": 7.125, "backslope_deg": 0, "kh": 0.1, "gamma": 120, "height": 3, "q": 100 }"#;
pub(super) const HELP: &str =
    "A case has `phi_deg`, and may have `delta_deg` (wall friction; two thirds of phi if left out),
`batter_deg` (leaning into the soil), `backslope_deg`, `kh` and `kv` (shares of gravity), `gamma` with
`height` (and `q`) for the thrust, in any coherent units. Numbers may also be texts.
Result: Ka, Ka_horizontal, plane_deg, Kp, Ka_rankine, Kp_rankine, KAE (where `kh` is given),
KAE_kh0.10_kv0 and others that the case names (none where the ground moves), thrust, and Nc, Nq,
Ngamma by Vesic, Meyerhof, Hansen; null where a formula has no answer.

Caution: a computation for review. The local code and a licensed engineer decide about walls.
Example:
  groundwright figure earth-pressure --example | groundwright figure earth-pressure";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let phi = number(case, "phi_deg")?.ok_or("`phi_deg` is missing; expected the soil's friction angle")?;
    let angle = |key: &str| Ok::<f64, String>(number(case, key)?.unwrap_or_default().to_radians());
    let friction = phi.to_radians();
    let wedge = Wedge {
        friction,
        wall_friction: number(case, "delta_deg")?.unwrap_or(phi * 2.0 / 3.0).to_radians(),
        batter: angle("batter_deg")?,
        slope: angle("backslope_deg")?,
    };
    let active = coulomb::active(&wedge).map_err(|problem| problem.to_string())?;
    let plane = coulomb::critical_plane(&wedge).map_err(|problem| problem.to_string())?;
    let shaken = |horizontal, vertical| {
        mononobe_okabe::active(&wedge, &Quake { horizontal, vertical }).map(|s| s.pressure.coefficient)
    };
    let mut result = json!({
        "Ka": active.coefficient,
        "Ka_horizontal": active.horizontal,
        "plane_deg": plane.to_degrees(),
        "Kp": coulomb::passive(&wedge).ok().map(|p| p.coefficient),
        "Ka_rankine": rankine::active(friction, wedge.slope).ok(),
        "Kp_rankine": rankine::passive(friction, wedge.slope).ok(),
    });
    // A column of a table is named for its motion, and says so where the ground moves by itself.
    let columns = case.keys().map(String::as_str).filter(|key| key.starts_with("KAE_kh"));
    for key in columns.chain(["KAE_kh0.10_kv0"]) {
        let motion = key["KAE_kh".len()..].split_once("_kv");
        let motion = motion.and_then(|(kh, kv)| Some((kh.parse().ok()?, kv.parse().ok()?)));
        let (kh, kv) =
            motion.ok_or_else(|| format!("`{key}` names no motion; expected such as KAE_kh0.10_kv0"))?;
        result[key] = shaken(kh, kv).map_or_else(|_| json!("none"), |coefficient| json!(coefficient));
    }
    if let Some(horizontal) = number(case, "kh")? {
        let vertical = number(case, "kv")?.unwrap_or_default();
        result["KAE"] = json!(shaken(horizontal, vertical).map_err(|problem| problem.to_string())?);
    }
    if let (Some(gamma), Some(height)) = (number(case, "gamma")?, number(case, "height")?) {
        let load = number(case, "q")?.unwrap_or_default();
        let t = thrust(&wedge, gamma, load, height).map_err(|problem| problem.to_string())?;
        result["thrust"] = json!({ "Ps": t.soil, "Pq": t.load, "Ps_h": t.soil_horizontal,
            "Pq_h": t.load_horizontal, "Ps_v": t.soil_vertical, "Pq_v": t.load_vertical,
            "P_h": t.horizontal, "M_O": t.moment });
    }
    if let Ok(factors) = bearing::factors(friction) {
        result["bearing"] = json!({ "Nc": factors.cohesion, "Nq": factors.overburden,
            "Ngamma_vesic": factors.weight_vesic, "Ngamma_meyerhof": factors.weight_meyerhof,
            "Ngamma_hansen": factors.weight_hansen });
    }
    Ok(Answer::new(result))
}

/// A number, also where a table has it as a text.
fn number(case: &Case, key: &str) -> Result<Option<f64>, String> {
    match case.get(key) {
        Some(Value::String(text)) => {
            let value = text.trim().parse::<f64>().ok().filter(|value| value.is_finite());
            value.map(Some).ok_or_else(|| format!("`{key}` is \"{text}\"; expected a number"))
        }
        _ => case::number(case, key),
    }
}
