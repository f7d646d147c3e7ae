//! Figure `run-time`: minutes for a need, in cycles that do not run off.

use groundwright_units::constants::{GALLON, INCH, MINUTE};
use groundwright_water::{Need, cycle_soak, drip_run_time, run_time};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "net": "0.5 in", "efficiency": 0.7, "rate": "1.6 in/h", "intake": "0.25 in/h", "allowance": "0.1 in" }"#;
pub(super) const HELP: &str = "Instead of `net`: `eto`, `plant_factor` and `rain`. Instead of `rate`: `area` and `flow` (drip).\nWithout `intake` the run is not cut into cycles.";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let need = need(case)?;
    let say = |problem: groundwright_water::NotUsable| problem.to_string();
    let (net, gross) = (need.net().map_err(say)?, need.gross().map_err(say)?);
    let (area, flow) = (case::area(case, "area")?, case::flow(case, "flow")?);
    let rate = match (case::speed(case, "rate")?, area, flow) {
        (Some(rate), _, _) => rate,
        (None, Some(area), Some(flow)) if area > 0.0 => flow / area,
        _ => {
            return Err(
                "`rate` is missing; expected a rate such as \"1.6 in/h\", or `area` and `flow`".to_owned()
            );
        }
    };
    let total = match (area, flow) {
        (Some(area), Some(flow)) => drip_run_time(gross, area, flow).map_err(say)?,
        _ => run_time(gross, rate).map_err(say)?,
    };
    let mut result = json!({
        "net_in": net / INCH,
        "gross_in": gross / INCH,
        "total_min": total / MINUTE,
        "gross_m": gross,
        "total_s": total,
    });
    if let Some(area) = area {
        result["volume_m3"] = (gross * area).into();
        result["volume_gal"] = (gross * area / GALLON).into();
    }
    if let Some(intake) = case::speed(case, "intake")? {
        let allowance = case::length(case, "allowance")?.unwrap_or(0.0);
        let run = cycle_soak(total, rate, intake, allowance).map_err(say)?;
        result["longest_cycle_min"] = run.longest.map(|longest| longest / MINUTE).into();
        result["cycles"] = run.cycles.into();
        result["cycle_min"] = (run.cycle / MINUTE).into();
        result["soak_min"] = (run.soak / MINUTE).into();
        result["cycle_rounded_up_min"] = (run.whole_minutes(true) / MINUTE).into();
        result["cycle_rounded_down_min"] = (run.whole_minutes(false) / MINUTE).into();
        result["elapsed_min"] = (run.elapsed() / MINUTE).into();
    }
    Ok(Answer::new(result))
}

fn need(case: &Case) -> Result<Need, String> {
    let efficiency = case::share(case, "efficiency")?.ok_or("`efficiency` is missing; expected a share")?;
    match case::length(case, "net")? {
        Some(net) => Ok(Need { reference: net, plant_factor: 1.0, rain: 0.0, efficiency }),
        None => Ok(Need {
            reference: case::length(case, "eto")?.ok_or("`net` is missing, or `eto` with `plant_factor`")?,
            plant_factor: case::number(case, "plant_factor")?.ok_or("`plant_factor` is missing")?,
            rain: case::length(case, "rain")?.unwrap_or(0.0),
            efficiency,
        }),
    }
}
