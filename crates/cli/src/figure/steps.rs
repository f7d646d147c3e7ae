//! Figure `steps`: flights of equal risers that fit a rise.

use groundwright_units::constants::INCH;
use groundwright_walls::{FittedSteps, StepLimits, StepsWanted, fit_steps};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str =
    r#"{ "rise": "2.4 ft", "riser": "6 in", "tread": "14 in", "width": "4 ft", "room": "7 ft" }"#;
pub(super) const HELP: &str =
    "A case has `rise`, and may have `riser` (6 in if left out), `tread` (14 in), `width` (4 ft), `room`
(length in plan that there is), and limits: `least_riser` (4 in), `greatest_riser` (7 in), `least_tread`
(11 in), `least_stride` and `greatest_stride` (24 and 27 in: twice the riser and the tread),
`rise_between_landings` (12 ft).
Result: steps, best first, each with risers, flights, riser, tread, run, and edges (distance and height
of every front edge, for setting out); cautions.

Caution: the local code decides about risers, handrails, guards and landings.
Example:
  groundwright figure steps --example | groundwright figure steps";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let or = |key: &str, other: f64| Ok::<f64, String>(case::length(case, key)?.unwrap_or(other));
    let usual = StepLimits::OUTDOORS;
    let limits = StepLimits {
        riser: (or("least_riser", usual.riser.0)?, or("greatest_riser", usual.riser.1)?),
        tread: or("least_tread", usual.tread)?,
        stride: (or("least_stride", usual.stride.0)?, or("greatest_stride", usual.stride.1)?),
        landing_rise: or("rise_between_landings", usual.landing_rise)?,
        landing: usual.landing,
    };
    for (key, value) in [("least_riser", limits.riser.0), ("rise_between_landings", limits.landing_rise)] {
        if value < 0.01 {
            return Err(format!("`{key}` is {value} m; expected at least a centimetre"));
        }
    }
    let wanted = StepsWanted {
        rise: case::required_length(case, "rise")?,
        riser: or("riser", 6.0 * INCH)?,
        tread: or("tread", 14.0 * INCH)?,
        width: or("width", 48.0 * INCH)?,
        room: case::length(case, "room")?,
    };
    if wanted.rise > 1000.0 {
        return Err(format!("`rise` is {} m; expected at most a thousand metres", wanted.rise));
    }
    let all = fit_steps(&wanted, &limits).map_err(|problem| problem.to_string())?;
    if all.is_empty() {
        return Err(format!(
            "no count of equal risers from {:.3} to {:.3} m fits a rise of {:.3} m{}; give more room, or part the \
             rise into flights that turn",
            limits.riser.0,
            limits.riser.1,
            wanted.rise,
            wanted.room.map_or(String::new(), |room| format!(" in {room:.3} m"))
        ));
    }
    let cautions = cautions(&wanted, all.first());
    Ok(Answer::new(json!({ "steps": all.iter().map(of).collect::<Vec<_>>(), "cautions": cautions })))
}

fn of(steps: &FittedSteps) -> Value {
    json!({
        "risers": steps.risers(),
        "treads": steps.treads(),
        "flights": steps.flights,
        "riser_m": steps.riser,
        "tread_m": steps.tread,
        "stride_m": steps.stride,
        "landing_m": (steps.flights.len() > 1).then_some(steps.landing),
        "run_m": steps.run,
        "cheek_m2": steps.cheek(),
        "edges_m": steps.edges().iter().map(|(at, height)| json!([at, height])).collect::<Vec<_>>(),
    })
}

fn cautions(wanted: &StepsWanted, best: Option<&FittedSteps>) -> Vec<String> {
    let mut all = Vec::new();
    if best.is_some_and(|steps| steps.risers() >= 4) {
        all.push("four or more risers: many codes ask for a handrail (IRC R311.7.8)".to_owned());
    }
    if wanted.rise > 30.0 * INCH {
        all.push("a drop over 30 in beside a walk: many codes ask for a guard (IBC 1015.2)".to_owned());
    }
    all
}
