//! Figure `circuit`: voltages and currents of low-voltage lamps on their cables.

use groundwright_light::conductor::{self, Gauge};
use groundwright_light::{Cable, CircuitError, LampKind, Load, Network, Operation};
use groundwright_units::constants::{FOOT, ZERO_CELSIUS};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "source_V": 12, "R_temp_C": 25, "source_node": "TX",
  "segments": [["TX", "L1", 12, 60], ["L1", "L2", 12, 15]],
  "loads": [["L1", "cp", 5], ["L2", "z", 20, 12]] }"#;
pub(super) const HELP: &str =
    "A segment is [from, to, gauge (AWG), length one way (ft)]; a load [node, kind, watts, and may have
rated volts], kind cp (a driver: constant power), z (resistive) or fil (filament). `R_temp_C` is the
conductor's temperature, 25 if left out. Result: expected, with solvable, node_V, segment_A, source_A,
source_VA, load_W_total, cable_loss_W, lowest_V_at_load, highest_V_at_load; where there is no working
point, limit_W. `circuits` may hold a list of cases.

Caution: planning figures. The local electrical code, the listing of the equipment and a licensed
electrician decide; nobody but the electrician works on the mains.
Example:
  groundwright figure circuit --example | groundwright figure circuit";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let Some(circuits) = case.get("circuits") else {
        return one(case).map(Answer::new);
    };
    let circuits = circuits.as_array().ok_or("`circuits` is no list")?;
    let mut results = Vec::new();
    for (i, circuit) in circuits.iter().enumerate() {
        let circuit = circuit.as_object().ok_or_else(|| format!("circuit {}: expected an object", i + 1))?;
        let mut result = one(circuit).map_err(|problem| format!("circuit {}: {problem}", i + 1))?;
        result["id"] = circuit.get("id").cloned().unwrap_or(Value::Null);
        results.push(result);
    }
    Ok(Answer::new(json!({ "circuits": results })))
}

fn one(case: &Case) -> Result<Value, String> {
    let supply =
        case::number(case, "source_V")?.ok_or("`source_V` is missing; expected the tap's voltage")?;
    let network = network(case)?;
    let wiring = network.clone().wiring().map_err(|problem| problem.to_string())?;
    match wiring.operate(supply) {
        Ok(operation) => Ok(json!({ "expected": working(&network, &operation, supply) })),
        Err(CircuitError::NoWorkingPoint { limit, power, .. }) => {
            let why = CircuitError::NoWorkingPoint { supply, power, limit, share: limit / power }.to_string();
            Ok(json!({ "expected": { "solvable": false }, "limit_W": limit, "why": why }))
        }
        Err(problem) => Err(problem.to_string()),
    }
}

fn network(case: &Case) -> Result<Network, String> {
    let source = case::text(case, "source_node")?.unwrap_or("TX");
    let celsius = case::number(case, "R_temp_C")?.unwrap_or(25.0);
    let mut network = Network { joints: vec![source.to_owned()], ..Network::default() };
    for (i, segment) in rows(case, "segments")?.iter().enumerate() {
        let wrong = || format!("segment {}: {segment}; expected [from, to, gauge, feet]", i + 1);
        let name = |at: usize| segment.get(at).and_then(Value::as_str);
        let (Some(from), Some(to)) = (name(0), name(1)) else { return Err(wrong()) };
        let gauge = segment.get(2).and_then(Value::as_u64).and_then(|number| u8::try_from(number).ok());
        let gauge = gauge.and_then(Gauge::from_awg).ok_or_else(wrong)?;
        let length = segment.get(3).and_then(Value::as_f64).ok_or_else(wrong)? * FOOT;
        let resistance = conductor::resistance(gauge, celsius + ZERO_CELSIUS).map_err(|e| e.to_string())?;
        let (from, to) = (joint(&mut network, from), joint(&mut network, to));
        network.cables.push(Cable { from, to, length, resistance, splice: 0.0 });
    }
    for (i, load) in rows(case, "loads")?.iter().enumerate() {
        let wrong = || format!("load {}: {load}; expected [node, cp, z or fil, watts]", i + 1);
        let name = load.get(0).and_then(Value::as_str).ok_or_else(wrong)?;
        let known = network.joints.iter().position(|joint| joint == name);
        let joint = known.ok_or_else(|| format!("load {}: no segment reaches `{name}`", i + 1))?;
        let kind = match load.get(1).and_then(Value::as_str) {
            Some("cp") => LampKind::ConstantPower,
            Some("z") => LampKind::Resistive,
            Some("fil") => LampKind::Filament,
            _ => return Err(wrong()),
        };
        let power = load.get(2).and_then(Value::as_f64).ok_or_else(wrong)?;
        let rated_voltage = load.get(3).and_then(Value::as_f64).unwrap_or(12.0);
        network.loads.push(Load { joint, kind, power, rated_voltage });
    }
    Ok(network)
}

fn rows<'c>(case: &'c Case, key: &str) -> Result<&'c [Value], String> {
    let list = case.get(key).and_then(Value::as_array);
    list.map(Vec::as_slice).ok_or_else(|| format!("`{key}` is missing; expected a list of lists"))
}

fn joint(network: &mut Network, name: &str) -> usize {
    network.joints.iter().position(|joint| joint == name).unwrap_or_else(|| {
        network.joints.push(name.to_owned());
        network.joints.len() - 1
    })
}

fn working(network: &Network, operation: &Operation, supply: f64) -> Value {
    let nodes: Case =
        network.joints.iter().cloned().zip(operation.voltages.iter().map(|v| json!(v))).collect();
    let segments: Case = network
        .cables
        .iter()
        .zip(&operation.cable_currents)
        .map(|(cable, current)| {
            (format!("{}-{}", network.joints[cable.from], network.joints[cable.to]), json!(current))
        })
        .collect();
    let at_lamps = || operation.lamp_voltages(&network.loads);
    json!({
        "solvable": true,
        "node_V": nodes,
        "segment_A": segments,
        "source_A": operation.source_current,
        "source_VA": operation.source_current * supply,
        "load_W_total": operation.balance.lamps,
        "cable_loss_W": operation.balance.cables,
        "lowest_V_at_load": at_lamps().fold(f64::INFINITY, f64::min),
        "highest_V_at_load": at_lamps().fold(0.0, f64::max),
    })
}
