//! Figure `crew-schedule`: work that shares crews, in as few periods as can be found.

use groundwright_schedule::{
    Activity, CrewProblem, CrewSchedule, Effort, Link, Resource, read_sm, schedule_crews,
};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "crews": { "crew": 4, "mason": 1 },
  "activities": {
    "wall": { "duration": 5, "needs": { "crew": 2, "mason": 1 } },
    "steps": { "duration": 3, "needs": { "crew": 1, "mason": 1 } },
    "soil": { "duration": 4, "needs": { "crew": 3 } },
    "plant": { "duration": 3, "needs": { "crew": 4 }, "predecessors": ["soil", "wall"] } } }"#;
pub(super) const HELP: &str =
    "A case has `crews` by name and number, and `activities` with `duration`, `needs` and `predecessors`;
or it is a PSPLIB instance (.sm): the file itself, or `text` with its text, or `file` with its name.
Result: makespan, lower_bound, proven, gap, critical_path (without crews), starts.
Example:
  groundwright figure crew-schedule j301_1.sm";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let text = match (case::text(case, "text")?, case::text(case, "file")?) {
        (Some(text), _) => Some(text.to_owned()),
        (None, Some(file)) => Some(super::read_beside(file)?),
        (None, None) => None,
    };
    let problem = match text {
        Some(text) => read_sm(&text).map_err(|problem| problem.to_string())?,
        None => in_words(case)?,
    };
    let effort = Effort::usual(problem.activities.len());
    let schedule = schedule_crews(&problem, effort).map_err(|problem| problem.to_string())?;
    Ok(Answer::new(result(&problem, &schedule)))
}

fn result(problem: &CrewProblem, schedule: &CrewSchedule) -> Value {
    let starts: Case = problem
        .activities
        .iter()
        .zip(&schedule.starts)
        .map(|(activity, start)| (activity.name.clone(), json!(start)))
        .collect();
    json!({
        "makespan": schedule.makespan,
        "lower_bound": schedule.lower_bound,
        "bound_from": schedule.bound_from,
        "proven": schedule.proven,
        "gap": schedule.gap(),
        "critical_path": schedule.critical_path,
        "starts": starts,
    })
}

fn in_words(case: &Case) -> Result<CrewProblem, String> {
    let crews = case.get("crews").and_then(Value::as_object);
    let crews = crews.ok_or("`crews` is missing; expected { \"crew\": 4, … }, or `file` with a .sm file")?;
    let mut resources = Vec::new();
    for (name, number) in crews {
        let capacity =
            whole(number).ok_or_else(|| format!("crew `{name}` is {number}; expected a whole number"))?;
        resources.push(Resource { name: name.clone(), capacity });
    }
    let rows = case.get("activities").and_then(Value::as_object).ok_or("`activities` is missing")?;
    let names: Vec<&String> = rows.keys().collect();
    let (mut activities, mut links, mut demand) = (Vec::new(), Vec::new(), Vec::new());
    for (after, (name, row)) in rows.iter().enumerate() {
        let row = row.as_object().ok_or_else(|| format!("activity `{name}` is no object"))?;
        let duration = row.get("duration").and_then(Value::as_i64);
        let duration = duration.ok_or_else(|| format!("activity `{name}`: `duration` is missing"))?;
        activities.push(Activity { name: name.clone(), duration });
        demand.push(needs(row, &resources).map_err(|problem| format!("activity `{name}`: {problem}"))?);
        let before = row.get("predecessors").and_then(Value::as_array).map_or(&[][..], Vec::as_slice);
        for other in before {
            let index = names.iter().position(|known| Some(known.as_str()) == other.as_str());
            let index =
                index.ok_or_else(|| format!("activity `{name}`: predecessor {other} is not among them"))?;
            links.push(Link::finish_start(index, after));
        }
    }
    Ok(CrewProblem { activities, links, resources, demand })
}

fn needs(row: &Case, resources: &[Resource]) -> Result<Vec<u32>, String> {
    let mut units = vec![0; resources.len()];
    let needs = row.get("needs").and_then(Value::as_object);
    for (name, number) in needs.into_iter().flatten() {
        let index = resources.iter().position(|resource| &resource.name == name);
        let index = index.ok_or_else(|| format!("there is no crew `{name}`"))?;
        units[index] =
            whole(number).ok_or_else(|| format!("need of `{name}` is {number}; expected a whole number"))?;
    }
    Ok(units)
}

fn whole(number: &Value) -> Option<u32> {
    number.as_u64().and_then(|number| u32::try_from(number).ok())
}
