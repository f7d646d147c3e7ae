//! Figure `pipe`: friction, fittings and velocity in one pipe.

use groundwright_units::constants::{FOOT, GALLON_PER_MINUTE, INCH, MILLIMETRE, PSI};
use groundwright_water::{
    FLOW_POWER, PLASTIC_ROUGHNESS, Turbulent, USUAL_LIMIT, WATER, darcy_weisbach, hazen_williams,
    many_outlets, minor_loss, velocity,
};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str =
    r#"{ "diameter": "1.049 in", "C": 150, "flow": "10 gpm", "length": "100 ft", "minor_k": 1.8 }"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"id_in\": 0.824, \"C\": 150, \"gpm\": 8 }' | groundwright figure pipe\n\nCaution: pressures and velocities beyond the makers' limits burst pipe; local plumbing codes decide.";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let diameter = match case::decimal(case, "id_in")? {
        Some(inches) if !case.contains_key("diameter") => inches * INCH,
        _ => case::required_length(case, "diameter")?,
    };
    let flow = match case::decimal(case, "gpm")? {
        Some(gpm) if !case.contains_key("flow") => gpm * GALLON_PER_MINUTE,
        _ => case::flow(case, "flow")?.ok_or("`flow` is missing; expected a flow such as \"10 gpm\"")?,
    };
    let coefficient = case::decimal(case, "C")?.unwrap_or(150.0);
    let length = case::length(case, "length")?.unwrap_or(100.0 * FOOT);
    let minor = case::decimal(case, "minor_k")?.unwrap_or(0.0);
    let roughness = case::decimal(case, "roughness_mm")?.map_or(PLASTIC_ROUGHNESS, |r| r * MILLIMETRE);
    let say = |problem: groundwright_water::NotUsable| problem.to_string();
    let hundred = hazen_williams(flow, diameter, 100.0 * FOOT, coefficient).map_err(say)?;
    let formula = Turbulent::ColebrookWhite;
    let darcy = darcy_weisbach(flow, diameter, 100.0 * FOOT, roughness, &WATER, formula).map_err(say)?;
    let friction = hazen_williams(flow, diameter, length, coefficient).map_err(say)?;
    let fittings = minor_loss(minor, flow, diameter).map_err(say)?;
    let speed = velocity(flow, diameter).map_err(say)?;
    // The short form works in the units in which the trade writes it.
    let (gpm, inches) = (flow / GALLON_PER_MINUTE, diameter / INCH);
    let short = 452.0 * gpm.powf(FLOW_POWER) / (coefficient.powf(FLOW_POWER) * inches.powf(4.87));
    let mut result = json!({
        "velocity_fps": speed / FOOT,
        "loss_ft_per_100ft": hundred / FOOT,
        "loss_psi_per_100ft": WATER.pressure(hundred) / PSI,
        "loss_psi_per_100ft_short_form_452": short,
        "darcy_weisbach_ft_per_100ft": darcy / FOOT,
        "over_5_fps": i32::from(speed > USUAL_LIMIT),
        "velocity_m_per_s": speed,
        "friction_loss_m": friction,
        "minor_loss_m": fittings,
        "loss_m": friction + fittings,
        "loss_Pa": WATER.pressure(friction + fittings),
        "loss_psi": WATER.pressure(friction + fittings) / PSI,
    });
    if let Some(outlets) = case::decimal(case, "outlets")? {
        if outlets.fract() != 0.0 || !(1.0..=1e6).contains(&outlets) {
            return Err(format!("`outlets` is {outlets}; expected a whole number from 1"));
        }
        let share = many_outlets(outlets as usize, FLOW_POWER).map_err(say)?;
        result["many_outlets_factor"] = share.into();
        result["friction_loss_with_outlets_m"] = (share * friction).into();
    }
    Ok(Answer::new(result))
}
