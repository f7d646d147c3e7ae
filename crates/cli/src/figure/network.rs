//! Figure `network`: pressures and flows of a network of pipes under pressure.

use groundwright_units::constants::{FOOT, GALLON_PER_MINUTE, INCH, MILLIMETRE, PSI};
use groundwright_water::{
    Emitter, Fluid, Friction, Link, Network, Node, Part, Solution, Supply, Turbulent, WATER, solve,
};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "source": { "id": "S", "head_ft": 100 },
  "nodes": [{ "id": "A", "elev_ft": 0, "k": 1.0 }],
  "pipes": [{ "id": "p1", "from": "S", "to": "A", "length_ft": 100, "id_in": 0.824, "C": 150, "minor_k": 0 }] }"#;
pub(super) const HELP: &str = "A node has `id`, `elev_ft`, and may have `k` (gal/min at 1 psi) with `x` (power of the pressure,\n0.5 if left out), or `demand_gpm`. A pipe has `id`, `from`, `to`, `length_ft`, `id_in`, `C` (or\n`roughness_mm`), and may have `minor_k`, and `kind`: pipe, valve (with `open`), check, or\nregulator (with `setting_psi`). `units.psi_per_ft` sets the weight of water.\n\nCaution: a supply must be kept from flowing back by a preventer that the local code allows.";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let fluid = fluid(case)?;
    let Some(networks) = case.get("networks") else {
        return one(case, fluid).map(Answer::new);
    };
    let networks = networks.as_array().ok_or("`networks` is no list")?;
    let mut results = Vec::new();
    for (i, network) in networks.iter().enumerate() {
        let network = network.as_object().ok_or_else(|| format!("network {}: expected an object", i + 1))?;
        results.push(one(network, fluid).map_err(|problem| format!("network {}: {problem}", i + 1))?);
    }
    Ok(Answer::new(json!({ "networks": results })))
}

/// Water, or a liquid as heavy as `units.psi_per_ft` says.
fn fluid(case: &Case) -> Result<Fluid, String> {
    let units = case.get("units").and_then(Value::as_object);
    match units.map(|units| case::number(units, "psi_per_ft")).transpose()?.flatten() {
        Some(weight) => Ok(Fluid { specific_weight: weight * PSI / FOOT, ..WATER }),
        None => Ok(WATER),
    }
}

fn one(case: &Case, fluid: Fluid) -> Result<Value, String> {
    let source = case.get("source").and_then(Value::as_object);
    let source = source.ok_or("`source` is missing; expected { \"id\", \"head_ft\" }")?;
    let head = case::number(source, "head_ft")?.ok_or("`source.head_ft` is missing; expected a number")?;
    let elevation = case::number(source, "elev_ft")?.unwrap_or(0.0) * FOOT;
    let supply = Supply { head: head * FOOT, droop: None };
    let mut nodes = vec![Node { supply: Some(supply), ..Node::joint(name(source, "id")?, elevation) }];
    let (node_rows, pipe_rows) = (rows(case, "nodes")?, rows(case, "pipes")?);
    for row in &node_rows {
        nodes.push(node(row).map_err(|problem| format!("node {}: {problem}", label(row)))?);
    }
    let mut links = Vec::new();
    for row in &pipe_rows {
        links.push(link(row, &nodes).map_err(|problem| format!("pipe {}: {problem}", label(row)))?);
    }
    let network = Network { nodes, links, fluid };
    let solution = solve(&network).map_err(|problem| problem.to_string())?;
    Ok(result(case, &node_rows, &pipe_rows, &solution))
}

fn rows<'c>(case: &'c Case, key: &str) -> Result<Vec<&'c Case>, String> {
    let list = case.get(key).and_then(Value::as_array);
    let list = list.ok_or_else(|| format!("`{key}` is missing; expected a list"))?;
    list.iter().map(|row| row.as_object().ok_or_else(|| format!("`{key}`: {row} is no object"))).collect()
}

fn name(row: &Case, key: &str) -> Result<String, String> {
    case::text(row, key)?.map(str::to_owned).ok_or_else(|| format!("`{key}` is missing; expected a name"))
}

fn label(row: &Case) -> String {
    row.get("id").map_or_else(|| "without id".to_owned(), ToString::to_string)
}

fn needed(row: &Case, key: &str) -> Result<f64, String> {
    case::number(row, key)?.ok_or_else(|| format!("`{key}` is missing; expected a number"))
}

fn node(row: &Case) -> Result<Node, String> {
    let elevation = case::number(row, "elev_ft")?.unwrap_or(0.0) * FOOT;
    let mut node = Node::joint(name(row, "id")?, elevation);
    node.demand = case::number(row, "demand_gpm")?.unwrap_or(0.0) * GALLON_PER_MINUTE;
    if let Some(k) = case::number(row, "k")? {
        let power = case::number(row, "x")?.unwrap_or(0.5);
        let emitter = Emitter::rated(k * GALLON_PER_MINUTE, PSI, power);
        node.emitter = Some(emitter.map_err(|problem| format!("`k` and `x`: {problem}"))?);
    }
    Ok(node)
}

fn link(row: &Case, nodes: &[Node]) -> Result<Link, String> {
    let index = |key: &str| {
        let wanted = name(row, key)?;
        let found = nodes.iter().position(|node| node.name == wanted);
        found.ok_or_else(|| format!("`{key}` is `{wanted}`; expected the id of a node or of the source"))
    };
    let (from, to) = (index("from")?, index("to")?);
    let diameter = needed(row, "id_in")? * INCH;
    let minor = case::number(row, "minor_k")?.unwrap_or(0.0);
    let part = match case::text(row, "kind")?.unwrap_or("pipe") {
        "pipe" => {
            let friction = match case::number(row, "roughness_mm")? {
                Some(rough) => Friction::DarcyWeisbach(rough * MILLIMETRE, Turbulent::ColebrookWhite),
                None => Friction::HazenWilliams(needed(row, "C")?),
            };
            Part::Pipe { length: needed(row, "length_ft")? * FOOT, diameter, friction, minor }
        }
        "valve" => Part::Valve { diameter, minor, open: case::flag(row, "open")? },
        "check" => Part::CheckValve { diameter, minor },
        "regulator" => Part::Regulator { setting: needed(row, "setting_psi")? * PSI, diameter, minor },
        other => return Err(format!("`kind` is `{other}`; expected pipe, valve, check or regulator")),
    };
    Ok(Link { name: name(row, "id")?, from, to, part })
}

fn result(case: &Case, node_rows: &[&Case], pipe_rows: &[&Case], solution: &Solution) -> Value {
    let nodes: Vec<Value> = node_rows
        .iter()
        .zip(&solution.nodes[1..])
        .map(|(row, state)| {
            let printed = |key: &str, ours| case::as_printed(row.get(key), ours, 8);
            json!({
                "id": row.get("id"),
                "expect_psi": printed("expect_psi", state.pressure / PSI),
                "expect_head_ft": printed("expect_head_ft", state.head / FOOT),
                "expect_outflow_gpm": printed("expect_outflow_gpm", state.outflow / GALLON_PER_MINUTE),
                "pressure_Pa": state.pressure,
                "head_m": state.head,
                "outflow_m3_per_s": state.outflow,
                "shut": state.shut,
            })
        })
        .collect();
    let pipes: Vec<Value> = pipe_rows
        .iter()
        .zip(&solution.links)
        .map(|(row, state)| {
            let printed = |key: &str, ours| case::as_printed(row.get(key), ours, 8);
            json!({
                "id": row.get("id"),
                "expect_gpm": printed("expect_gpm", state.flow / GALLON_PER_MINUTE),
                "expect_fps": printed("expect_fps", state.velocity / FOOT),
                "flow_m3_per_s": state.flow,
                "velocity_m_per_s": state.velocity,
                "loss_m": state.loss,
                "over_5_fps": state.velocity.abs() > groundwright_water::USUAL_LIMIT,
            })
        })
        .collect();
    let balance = &solution.balance;
    let total = balance.supplied / GALLON_PER_MINUTE;
    json!({
        "id": case.get("id"),
        "nodes": nodes,
        "pipes": pipes,
        "expect_total_gpm": case::as_printed(case.get("expect_total_gpm"), total, 8),
        "supplied_m3_per_s": balance.supplied,
        "delivered_m3_per_s": balance.delivered,
        "loops": balance.loops,
        "flow_left_open_m3_per_s": balance.open_flow,
        "head_left_open_round_loops_m": balance.open_loop,
        "flags": solution.flags.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "steps": solution.steps,
    })
}
