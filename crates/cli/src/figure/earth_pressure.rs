//! Figure `earth-pressure`: Coulomb, Rankine, Mononobe-Okabe, the critical plane, factors of bearing.

use groundwright_walls::bearing::factors;
use groundwright_walls::{Pressure, Quake, Wedge, batter, coulomb, mononobe_okabe, rankine, thrust};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "phi_deg": 30, "delta_deg": 20, "setback": "0.75 in", "course": "6 in", "backslope_deg": 10, "kh": 0.1, "unit_weight": 18850, "surcharge": 4790, "height": "3 ft" }"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"phi_deg\": 30, \"delta_deg\": 20, \"batter_deg\": 7.125, \"backslope_deg\": 10 }' | groundwright figure earth-pressure";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let wedge = wedge(case)?;
    let active = coulomb::active(&wedge).map_err(|e| e.to_string())?;
    let plane = coulomb::critical_plane(&wedge).map_err(|e| e.to_string())?;
    let mut result = Map::new();
    result.insert("batter_deg".into(), json!(wedge.batter.to_degrees()));
    result.insert("delta_deg".into(), json!(wedge.wall_friction.to_degrees()));
    result.insert("Ka".into(), json!(active.coefficient));
    result.insert("Ka_horizontal".into(), json!(active.horizontal));
    result.insert("Ka_vertical".into(), json!(active.vertical));
    result.insert("plane_deg".into(), json!(plane.to_degrees()));
    let level = rankine::active(wedge.friction, wedge.slope).map_err(|e| e.to_string())?;
    result.insert("Ka_rankine".into(), json!(level));
    bearing(&wedge, &mut result)?;
    pushed(case, &wedge, &mut result)?;
    shaken(case, &wedge, &mut result)?;
    Ok(Answer::new(Value::Object(result)))
}

fn wedge(case: &Case) -> Result<Wedge, String> {
    let friction = case::needed_decimal(case, "phi_deg")?;
    let wall_friction = case::decimal(case, "delta_deg")?.unwrap_or(friction * 2.0 / 3.0);
    let lean = match (case::length(case, "setback")?, case::length(case, "course")?) {
        (Some(setback), Some(course)) => batter(setback, course).map_err(|e| e.to_string())?,
        (None, None) => case::decimal(case, "batter_deg")?.unwrap_or(0.0).to_radians(),
        _ => return Err("`setback` and `course` make a batter together; expected both or neither".to_owned()),
    };
    Ok(Wedge {
        friction: friction.to_radians(),
        wall_friction: wall_friction.to_radians(),
        batter: lean,
        slope: case::decimal(case, "backslope_deg")?.unwrap_or(0.0).to_radians(),
    })
}

fn bearing(wedge: &Wedge, result: &mut Case) -> Result<(), String> {
    // The formulas of bearing end at 50°, those of pressure at 60°.
    if wedge.friction.to_degrees() >= 50.0 {
        return Ok(());
    }
    let f = factors(wedge.friction).map_err(|e| e.to_string())?;
    result.insert(
        "bearing".into(),
        json!({
            "Nc": f.cohesion, "Nq": f.overburden, "Ng_vesic": f.weight_vesic,
            "Ng_meyerhof": f.weight_meyerhof, "Ng_hansen": f.weight_hansen,
        }),
    );
    Ok(())
}

/// The thrust on a wall of a height, in the units of force and length that the case is given in.
fn pushed(case: &Case, wedge: &Wedge, result: &mut Case) -> Result<(), String> {
    let (weight, height) = (case::decimal(case, "unit_weight")?, case::length(case, "height")?);
    let (Some(weight), Some(height)) = (weight, height) else { return Ok(()) };
    let load = case::decimal(case, "surcharge")?.unwrap_or(0.0);
    let found = thrust(wedge, weight, load, height).map_err(|e| e.to_string())?;
    for (key, value) in [
        ("Ps", found.soil),
        ("Pq", found.load),
        ("Ps_h", found.soil_horizontal),
        ("Ps_v", found.soil_vertical),
        ("Pq_h", found.load_horizontal),
        ("Pq_v", found.load_vertical),
        ("P_h", found.horizontal),
        ("M_O", found.moment),
    ] {
        result.insert(key.into(), json!(value));
    }
    Ok(())
}

/// `kh` and `kv`, and every key of a table's head such as `KAE_kh0.10_kv0`.
fn shaken(case: &Case, wedge: &Wedge, result: &mut Case) -> Result<(), String> {
    if let Some(horizontal) = case::decimal(case, "kh")? {
        let vertical = case::decimal(case, "kv")?.unwrap_or(0.0);
        let found = mononobe_okabe::active(wedge, &Quake { horizontal, vertical });
        let found = found.map_err(|e| e.to_string())?;
        let Pressure { coefficient, horizontal, vertical } = found.pressure;
        result.insert("psi_deg".into(), json!(found.angle.to_degrees()));
        result.insert("K".into(), json!(coefficient));
        result.insert("K_horizontal".into(), json!(horizontal));
        result.insert("K_vertical".into(), json!(vertical));
    }
    for key in case.keys() {
        let Some((kh, kv)) = key.strip_prefix("KAE_kh").and_then(|rest| rest.split_once("_kv")) else {
            continue;
        };
        let number = |text: &str| text.parse::<f64>().map_err(|_| format!("`{key}`: {text} is no number"));
        let quake = Quake { horizontal: number(kh)?, vertical: number(kv)? };
        match mononobe_okabe::active(wedge, &quake) {
            Ok(found) => result.insert(key.clone(), json!(found.pressure.coefficient)),
            // A table says in its cell that there is no answer; why stands beside it.
            Err(why) => {
                result.insert(format!("{key}_why"), json!(why.to_string()));
                result.insert(key.clone(), json!("none"))
            }
        };
    }
    Ok(())
}
