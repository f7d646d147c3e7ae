//! Figure `wall`: a whole section of a dry-stacked wall, with every number between.

use groundwright_walls::{
    AtHand, Bearing, Facing, Gravity, Grid, Layer, Load, Pad, Quake, Reinforced, ReinforcedSection, Required,
    Section, Soil, Strength, Verdict, advise, gravity, least_layers, reinforced, worst_circle,
};
use serde_json::{Map, Value, json};

use super::illuminance::needed;
use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "units": "kN, m, kN/m3, kPa",
  "inputs": { "n": 6, "hu": 0.15, "d": 0.3, "setback": 0.01875, "gu": 21, "phi_r": 30, "gr": 19,
    "phi_f": 30, "gf": 19, "cf": 0, "delta": 20, "beta": 0, "q": 0, "emb": 0.15, "phi_pad": 36,
    "a_u": 6, "lam_u": 35, "pad": 0.15, "gpad": 20, "pad_ext": 0.15 } }"#;
pub(super) const HELP: &str = r"`inputs`, in any coherent units (such as kN and m, or lb and ft), angles in degrees:
  n, hu, d, setback, gu    courses, course height, depth of a unit, setback per course, unit weight
  phi_r, gr                friction and unit weight of the retained soil
  phi_f, gf, cf            those of the foundation, and its cohesion
  delta, beta, emb         wall friction, back-slope, embedment
  q, or q_live and q_dead  surcharge on the ground behind
  pad, pad_ext, gpad, phi_pad   thickness, reach before and behind, unit weight, friction of the pad
  a_u, lam_u               shear between units: without load, angle
  kh, kv                   ground motion, shares of gravity
  phi_better               friction of a soil that could be filled in behind instead (38 if left out)
with layers of reinforcement: L and layers (heights, or [height, length]), phi_i, gi, delta_i, delta_e,
  Cds, Ci, T_ult, RFcr, RFd, RFid, FS_unc, a_cs, lam_cs, least_anchorage, least_length, greatest_spacing
  (`layers` left out with T_ult given: layers that pass with the least cloth are chosen)
Result: expected, with every intermediate number; verdicts, found against required; slip_circle, a
simplified check; advice: the most courses that stand by their weight and the height they show, the
least depth of unit, the friction behind it, and whether the better soil does. A case may also be a
collection of named cases.

Caution: a computation for review. The local code and a licensed engineer decide about walls; locate
buried services before digging.
Example:
  groundwright figure wall --example | groundwright figure wall";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    if let Some(inputs) = case.get("inputs") {
        return one(case, inputs).map(Answer::new);
    }
    let mut results = Map::new();
    for (name, row) in case {
        let Some(row) = row.as_object() else { continue };
        let Some(inputs) = row.get("inputs") else { continue };
        results.insert(name.clone(), one(row, inputs).map_err(|problem| format!("`{name}`: {problem}"))?);
    }
    if results.is_empty() {
        return Err("expected `inputs`: { \"n\": 6, \"hu\": 0.15, … }; see --help".to_owned());
    }
    Ok(Answer::new(Value::Object(results)))
}

fn one(case: &Case, inputs: &Value) -> Result<Value, String> {
    let inputs = inputs.as_object().ok_or("`inputs` is no object")?;
    let section = section(inputs)?;
    let circle = |fill: Option<&Soil>, block: f64| match worst_circle(&section, fill, block) {
        Ok(circle) => json!(circle.map(|circle| circle.factor)),
        Err(problem) => json!(problem.to_string()),
    };
    let Some(layers) = inputs.get("layers") else {
        let wall = gravity(&section, &Required::GRAVITY).map_err(|problem| problem.to_string())?;
        let mut result = json!({ "expected": of_gravity(&wall), "verdicts": verdicts(&wall.verdicts),
            "slip_circle": circle(None, section.facing.depth), "advice": advice(inputs, &section)? });
        if inputs.contains_key("T_ult") {
            result["chosen_layers"] = chosen(inputs, section, metric(case)?)?;
        }
        return Ok(result);
    };
    let wall = with_layers(inputs, layers, section, metric(case)?)?;
    let found = reinforced(&wall, &Required::REINFORCED).map_err(|problem| problem.to_string())?;
    let mut result = json!({ "expected": of_reinforced(&found), "verdicts": verdicts(&found.verdicts),
        "slip_circle": circle(Some(&wall.fill), found.length) });
    if let Some(top) = found.layers.last() {
        let to_plane = top.length - top.anchorage;
        result["top_layer"] = json!({
            "anchorage_needed_for_pullout_1_5": top.anchorage_needed,
            "layer_length_from_face": top.length_needed,
            "layer_length_for_1ft_anchorage": to_plane + wall.least_anchorage,
        });
    }
    Ok(result)
}

fn metric(case: &Case) -> Result<bool, String> {
    Ok(case::text(case, "units")?.is_some_and(|units| !units.contains("ft")))
}

/// What works where the wall does not, in the units of the case.
fn advice(inputs: &Case, section: &Section) -> Result<Value, String> {
    let better = Soil { friction: or(inputs, "phi_better", 38.0)?.to_radians(), ..section.retained };
    let found = advise(section, &AtHand { better, grid: None }).map_err(|problem| problem.to_string())?;
    Ok(json!({
        "courses": found.courses,
        "exposed": found.exposed,
        "depth": found.depth,
        "friction_deg": found.friction.map(f64::to_degrees),
        "better_soil_passes": found.better_soil,
    }))
}

/// Layers with the least cloth that pass, or none where no choice does.
fn chosen(inputs: &Case, section: Section, metric: bool) -> Result<Value, String> {
    // The search knows lengths in metres, as layers are laid; the rest is a matter of one unit of force.
    let foot = if metric { 1.0 } else { groundwright_units::constants::FOOT };
    let plain = with_layers(inputs, &Value::Array(Vec::new()), section, metric)?;
    let (area, volume) = (foot * foot, foot * foot * foot);
    let soil =
        |soil: Soil| Soil { unit_weight: soil.unit_weight / volume, cohesion: soil.cohesion / area, ..soil };
    let on = |strength: Strength| Strength { at_no_load: strength.at_no_load / foot, ..strength };
    let scaled = Section {
        facing: Facing {
            height: section.facing.height * foot,
            depth: section.facing.depth * foot,
            setback: section.facing.setback * foot,
            unit_weight: section.facing.unit_weight / volume,
            shear: on(section.facing.shear),
            ..section.facing
        },
        pad: Pad {
            thickness: section.pad.thickness * foot,
            beyond: section.pad.beyond * foot,
            unit_weight: section.pad.unit_weight / volume,
            ..section.pad
        },
        retained: soil(section.retained),
        foundation: soil(section.foundation),
        load: Load { live: section.load.live / area, dead: section.load.dead / area },
        embedment: section.embedment * foot,
        ..section
    };
    let grid =
        Grid { ultimate: plain.grid.ultimate / foot, connection: on(plain.grid.connection), ..plain.grid };
    let found = least_layers(&scaled, grid, soil(plain.fill)).map_err(|problem| problem.to_string())?;
    Ok(found.map_or(Value::Null, |(wall, result)| {
        let layers = wall.layers.iter().map(|layer| json!([layer.height / foot, layer.length / foot]));
        json!({ "layers": layers.collect::<Vec<_>>(), "verdicts": verdicts(&result.verdicts) })
    }))
}

fn or(case: &Case, key: &str, other: f64) -> Result<f64, String> {
    Ok(case::number(case, key)?.unwrap_or(other))
}

fn section(case: &Case) -> Result<Section, String> {
    let get = |key| needed(case, key);
    let courses = get("n")?;
    if courses.fract() != 0.0 || !(1.0..=60.0).contains(&courses) {
        return Err(format!("`n` is {courses}; expected a whole number of courses from 1 to 60"));
    }
    let unit = get("hu")?;
    let phi_r = get("phi_r")?;
    let quake = match case::number(case, "kh")? {
        Some(horizontal) => Some(Quake { horizontal, vertical: or(case, "kv", 0.0)? }),
        None => None,
    };
    let gu = get("gu")?;
    Ok(Section {
        facing: Facing {
            courses: courses as usize,
            height: unit,
            depth: get("d")?,
            setback: get("setback")?,
            unit_weight: gu,
            shear: Strength { at_no_load: get("a_u")?, angle: get("lam_u")?.to_radians() },
        },
        // A reinforced section stands on its fill: its pad is not used, and may be left out.
        pad: Pad {
            thickness: or(case, "pad", unit)?,
            beyond: or(case, "pad_ext", unit)?,
            unit_weight: or(case, "gpad", gu)?,
            friction: or(case, "phi_pad", 34.0)?.to_radians(),
        },
        retained: Soil { friction: phi_r.to_radians(), unit_weight: get("gr")?, cohesion: 0.0 },
        foundation: Soil {
            friction: get("phi_f")?.to_radians(),
            unit_weight: get("gf")?,
            cohesion: or(case, "cf", 0.0)?,
        },
        wall_friction: or(case, "delta", phi_r * 2.0 / 3.0)?.to_radians(),
        slope: or(case, "beta", 0.0)?.to_radians(),
        load: Load { live: or(case, "q", or(case, "q_live", 0.0)?)?, dead: or(case, "q_dead", 0.0)? },
        embedment: get("emb")?,
        quake,
    })
}

fn with_layers(
    case: &Case,
    layers: &Value,
    section: Section,
    metric: bool,
) -> Result<ReinforcedSection, String> {
    let get = |key| needed(case, key);
    let wrong = || format!("`layers` is {layers}; expected heights, or pairs [height, length]");
    let length = case::number(case, "L")?;
    let mut list = Vec::new();
    for layer in layers.as_array().ok_or_else(wrong)? {
        let pair = |i: usize| layer.get(i).and_then(Value::as_f64);
        let layer = match (layer.as_f64(), length) {
            (Some(height), Some(length)) => Layer { height, length },
            (Some(_), None) => return Err("`L` is missing; expected the length of the layers".to_owned()),
            (None, _) => Layer { height: pair(0).ok_or_else(wrong)?, length: pair(1).ok_or_else(wrong)? },
        };
        list.push(layer);
    }
    // Custom knows these in feet: 1 ft of anchorage, 4 ft of length, 2 ft of spacing.
    let foot = if metric { groundwright_units::constants::FOOT } else { 1.0 };
    let phi_i = get("phi_i")?;
    let phi_r = get("phi_r")?;
    Ok(ReinforcedSection {
        section,
        fill: Soil { friction: phi_i.to_radians(), unit_weight: get("gi")?, cohesion: 0.0 },
        on_units: or(case, "delta_i", phi_i * 2.0 / 3.0)?.to_radians(),
        on_soil: or(case, "delta_e", phi_i.min(phi_r))?.to_radians(),
        grid: Grid {
            ultimate: get("T_ult")?,
            creep: get("RFcr")?,
            durability: get("RFd")?,
            damage: get("RFid")?,
            uncertainty: get("FS_unc")?,
            sliding: get("Cds")?,
            pullout: get("Ci")?,
            connection: Strength { at_no_load: get("a_cs")?, angle: get("lam_cs")?.to_radians() },
        },
        layers: list,
        least_anchorage: or(case, "least_anchorage", foot)?,
        least_length: or(case, "least_length", 4.0 * foot)?,
        greatest_spacing: or(case, "greatest_spacing", 2.0 * foot)?,
    })
}

fn verdicts(list: &[Verdict]) -> Value {
    let row = |v: &Verdict| {
        json!({ "check": v.check.name(), "place": v.place, "found": v.found, "required": v.required,
            "passes": v.passes() })
    };
    list.iter().map(row).collect()
}

fn of_gravity(wall: &Gravity) -> Value {
    let t = &wall.thrust;
    let v = &wall.with_vertical;
    let mut out = json!({
        "H": wall.height,
        "batter_deg": wall.batter.to_degrees(),
        "Ka": t.pressure.coefficient,
        "Ps": t.soil,
        "Pq": t.load,
        "Ps_h": t.soil_horizontal,
        "Ps_v": t.soil_vertical,
        "Pq_h": t.load_horizontal,
        "Pq_v": t.load_vertical,
        "P_h": t.horizontal,
        "weight_per_course": wall.course_weight,
        "W": wall.weight,
        "x_W_stack": wall.arm,
        "x_W_continuous": wall.arm_continuous,
        "M_R": wall.resisting_moment,
        "M_O": wall.overturning_moment,
        "mu_base": wall.base_friction,
        "sliding_resistance": wall.sliding_resistance,
        "FS_sliding": wall.sliding,
        "FS_overturning": wall.overturning,
        "with_vertical_thrust": { "FS_sliding": v.sliding, "arm_Ps_v": v.soil_arm,
            "arm_Pq_v": v.load_arm, "FS_overturning": v.overturning },
        "resultant_inside_base": wall.bearing.is_some(),
        "bearing_on_unit_base": wall.bearing.as_ref().map(on_ground),
        "bearing_under_pad": wall.under_pad.map(|p| json!({ "B_eff": p.width, "pad_weight": p.pad_weight,
            "q_applied": p.applied, "overburden_q": p.overburden, "q_ult": p.ultimate, "FS": p.factor })),
    });
    out["interfaces"] = wall
        .joints
        .iter()
        .map(|j| {
            json!({ "courses_above": j.courses_above, "depth": j.depth, "W_above": j.weight,
                "driving": j.driving, "shear_capacity": j.capacity, "FS_shear": j.shear,
                "FS_toppling": j.tipping })
        })
        .collect();
    if let Some(q) = &wall.quake {
        out["quake"] = json!({ "angle_deg": q.angle.to_degrees(), "KAE": q.coefficient, "P_added": q.added,
            "inertia": q.inertia, "FS_sliding": q.sliding, "FS_overturning": q.overturning });
    }
    out
}

fn on_ground(b: &Bearing) -> Value {
    json!({ "x_resultant": b.resultant, "e": b.eccentricity, "kern": b.kern, "B_eff": b.width,
        "q_applied": b.applied, "overburden_q": b.overburden, "Nc": b.factors.cohesion,
        "Nq": b.factors.overburden, "Ng": b.factors.weight_vesic, "q_ult": b.ultimate, "FS": b.factor })
}

fn of_reinforced(wall: &Reinforced) -> Value {
    let t = &wall.thrust;
    let mut out = json!({
        "H": wall.height,
        "batter_deg": wall.batter.to_degrees(),
        "L": wall.length,
        "L_soil": wall.soil_length,
        "back_height_above_top": wall.added_height,
        "H_external": t.height,
        "Ka_external": t.pressure.coefficient,
        "Ps": t.soil,
        "Pq": t.load,
        "Ps_h": t.soil_horizontal,
        "Pq_h": t.load_horizontal,
        "W_facing": wall.weights[0],
        "W_soil": wall.weights[1],
        "W_backslope": wall.weights[2],
        "W": wall.weight,
        "x_facing": wall.arms[0],
        "x_soil": wall.arms[1],
        "x_backslope": wall.arms[2],
        "M_R": wall.resisting_moment,
        "M_O": wall.overturning_moment,
        "mu": wall.base_friction,
        "R_sliding": wall.sliding_resistance,
        "FS_sliding": wall.sliding,
        "FS_overturning": wall.overturning,
        "Ka_internal": wall.internal_coefficient,
        "failure_plane_deg": wall.plane.to_degrees(),
        "T_allowable": wall.allowable,
    });
    out["bearing"] = wall.bearing.as_ref().map_or(Value::Null, |b| under_block(wall, b));
    out["layers"] = wall.layers.iter().map(layer).collect();
    let c = &wall.crest;
    out["crest"] = json!({ "height_above_top_layer": c.height, "W": c.weight, "M_R": c.resisting_moment,
        "M_O": c.overturning_moment, "FS_toppling": c.tipping, "FS_shear_above_top_layer": c.shear });
    out
}

fn under_block(wall: &Reinforced, b: &Bearing) -> Value {
    let mut out = json!({
        "surcharge_on_block": wall.load_on_block,
        "arm_surcharge": wall.load_arm,
        "V": wall.weight + wall.load_on_block,
    });
    if let (Value::Object(out), Value::Object(more)) = (&mut out, on_ground(b)) {
        out.extend(more);
    }
    if let Some(whole) = &wall.bearing_whole_base {
        out["variant_negative_e_as_zero"] = json!({ "B_eff": whole.width, "q_applied": whole.applied,
            "q_ult": whole.ultimate, "FS": whole.factor });
    }
    out
}

fn layer(l: &groundwright_walls::LayerResult) -> Value {
    json!({ "height": l.height, "length": l.length, "contributory": l.to - l.from, "from_": l.from, "to": l.to,
        "mid_depth": l.mid_depth, "F": l.force, "FS_tension_vs_T_allowable": l.tension,
        "FS_against_long_term_strength": l.tension_long_term, "x_plane": l.plane_at, "x_end": l.end_at,
        "L_anchorage": l.anchorage, "cover": l.cover, "pullout": l.pullout_resistance,
        "FS_pullout": l.pullout, "connection": l.connection_strength, "FS_connection": l.connection,
        "internal_sliding_driving": l.sliding_driving, "internal_sliding_resisting": l.sliding_resisting,
        "FS_internal_sliding": l.sliding, "FS_bulging": l.bulging })
}
