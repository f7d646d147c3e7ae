//! Figure `manning`: uniform flow in swales and pipes.

use groundwright_ground::{Section, Uniform, depth_of_flow, flow_at_depth};
use groundwright_units::constants::{CUBIC_FOOT, FOOT, GALLON_PER_MINUTE, SQUARE_FOOT};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str =
    r#"{ "shape": "trapezoid", "bottom": "2 ft", "side": 4, "depth": "0.4 ft", "n": 0.035, "slope": "1 %" }"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"shape\": \"pipe\", \"diameter\": \"4 in\", \"flow\": \"50 gpm\", \"n\": 0.01, \"slope\": \"1 %\" }' | groundwright figure manning";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let section = section(case)?;
    let roughness = number(case, &["n", "roughness"])?;
    let slope = case::share(case, "slope")?
        .or(case::share(case, "S")?)
        .ok_or("`slope` is missing; expected fall over length, such as \"2 %\"")?;
    let depth = first_length(case, &["depth", "y"])?;
    let flow = case::flow(case, "flow")?;
    let found = match (depth, flow) {
        (Some(depth), None) => flow_at_depth(section, depth, roughness, slope),
        (None, Some(flow)) => {
            let deepest = match (case::length(case, "deepest")?, section) {
                (Some(deepest), _) => deepest,
                (None, Section::Circle { diameter }) => diameter,
                // Deeper than any swale of a yard: what runs over is the reader's to say.
                (None, _) => 3.0,
            };
            depth_of_flow(section, flow, roughness, slope, deepest)
        }
        (None, None) if full(case)? => match section {
            Section::Circle { diameter } => flow_at_depth(section, diameter, roughness, slope),
            _ => return Err("only a pipe runs `full`; give a `depth`".to_owned()),
        },
        _ => return Err("expected `depth`, `flow`, or `full` for a pipe, and one of them only".to_owned()),
    };
    found.map(|flow| Answer::new(result(&flow))).map_err(|e| e.to_string())
}

fn result(flow: &Uniform) -> Value {
    json!({
        "depth_m": flow.depth,
        "area_m2": flow.area,
        "wetted_perimeter_m": flow.perimeter,
        "hydraulic_radius_m": flow.radius,
        "velocity_m_per_s": flow.velocity,
        "flow_m3_per_s": flow.flow,
        "depth_ft": flow.depth / FOOT,
        "area_sq_ft": flow.area / SQUARE_FOOT,
        "wetted_perimeter_ft": flow.perimeter / FOOT,
        "hydraulic_radius_ft": flow.radius / FOOT,
        "velocity_ft_per_s": flow.velocity / FOOT,
        "flow_cfs": flow.flow / CUBIC_FOOT,
        "flow_gpm": flow.flow / GALLON_PER_MINUTE,
    })
}

fn section(case: &Case) -> Result<Section, String> {
    let bottom = first_length(case, &["bottom", "b"])?;
    let side = case::number(case, "side")?.or(case::number(case, "z")?);
    let diameter = first_length(case, &["diameter", "D"])?;
    let missing = |what: &str| format!("`{what}` is missing for this shape");
    match case::text(case, "shape")? {
        Some("rectangle") => Ok(Section::Rectangle { bottom: bottom.ok_or_else(|| missing("bottom"))? }),
        Some("trapezoid") => Ok(Section::Trapezoid {
            bottom: bottom.ok_or_else(|| missing("bottom"))?,
            side: side.ok_or_else(|| missing("side"))?,
        }),
        Some("vee") => Ok(Section::Trapezoid { bottom: 0.0, side: side.ok_or_else(|| missing("side"))? }),
        Some("pipe" | "circle") => Ok(Section::Circle { diameter: diameter.ok_or_else(|| missing("diameter"))? }),
        Some(other) => Err(format!("`shape` is `{other}`; expected rectangle, trapezoid, vee or pipe")),
        None => match (bottom, side, diameter) {
            (None, None, Some(diameter)) => Ok(Section::Circle { diameter }),
            (Some(bottom), None, None) => Ok(Section::Rectangle { bottom }),
            (bottom, Some(side), None) => Ok(Section::Trapezoid { bottom: bottom.unwrap_or(0.0), side }),
            _ => Err("expected `shape`: rectangle, trapezoid, vee or pipe, with `bottom`, `side` (run to one up) or `diameter`".to_owned()),
        },
    }
}

fn full(case: &Case) -> Result<bool, String> {
    case::flag(case, "full")
}

fn first_length(case: &Case, keys: &[&str]) -> Result<Option<f64>, String> {
    for key in keys {
        if let Some(found) = case::length(case, key)? {
            return Ok(Some(found));
        }
    }
    Ok(None)
}

fn number(case: &Case, keys: &[&str]) -> Result<f64, String> {
    for key in keys {
        if let Some(found) = case::number(case, key)? {
            return Ok(found);
        }
    }
    Err(format!("`{}` is missing; expected a number", keys[0]))
}
