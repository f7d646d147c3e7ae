//! Figure `wall`: a whole section of a wall, gravity or reinforced, with every number between.

use groundwright_units::constants::FOOT;
use groundwright_walls::{
    Bearing, Facing, GREATEST_SPACING, Gravity, Grid, LEAST_ANCHORAGE, LEAST_LENGTH, Layer, LayerResult,
    Load, Pad, Quake, Reinforced, ReinforcedSection, Required, Section, Soil, Strength, Verdict, gravity,
    reinforced,
};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "units": "lb, ft, pcf, psf", "inputs": { "n": 6, "hu": 0.5, "d": 1.0, "setback": 0.0625, "gu": 125, "phi_r": 30, "gr": 120, "phi_f": 30, "gf": 120, "q": 0, "emb": 0.5, "a_u": 400, "lam_u": 35 } }"#;
pub(super) const HELP: &str = "Example:\n  groundwright figure wall --example | groundwright figure wall";

type Case = Map<String, Value>;

/// What the sheet says of itself.
const CAUTION: &str = "A computation for review: the local code and a licensed engineer decide. Over 4 ft from \
the underside of the pad, with loads, slopes, water or other walls near, a wall is designed by one.";

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    if case.contains_key("inputs") || case.contains_key("n") {
        return section_figure(case).map(Answer::new);
    }
    let mut found = Map::new();
    for (name, part) in case {
        if let Some(part) = part.as_object().filter(|part| part.contains_key("inputs")) {
            found.insert(name.clone(), section_figure(part).map_err(|e| format!("`{name}`: {e}"))?);
        }
    }
    if found.is_empty() {
        return Err(
            "expected `inputs` with `n`, `hu`, `d` and the soils, or such cases by name; see --example"
                .to_owned(),
        );
    }
    Ok(Answer::new(Value::Object(found)))
}

fn section_figure(case: &Case) -> Result<Value, String> {
    let inputs = match case.get("inputs") {
        Some(inputs) => inputs.as_object().ok_or("`inputs` is no object; expected one, as in --example")?,
        None => case,
    };
    let foot = foot(case)?;
    let section = section(inputs, foot)?;
    let mut result = if inputs.contains_key("layers") {
        let wall = reinforced_section(inputs, section, foot)?;
        of_reinforced(&wall, &reinforced(&wall, &Required::REINFORCED).map_err(|e| e.to_string())?)
    } else {
        of_gravity(&gravity(&section, &Required::GRAVITY).map_err(|e| e.to_string())?)
    };
    if let Value::Object(map) = &mut result {
        map.insert("caution".into(), json!(CAUTION));
        map.insert("exposed".into(), json!(section.exposed()));
        map.insert("height_with_pad".into(), json!(section.permit_height()));
    }
    Ok(result)
}

/// A foot in the case's own unit of length. The formulas are ratios: any coherent units do.
fn foot(case: &Case) -> Result<f64, String> {
    match case::text(case, "units")? {
        None => Ok(FOOT),
        Some(units) if units.contains("ft") => Ok(1.0),
        Some(units) if units.split([',', ' ']).any(|unit| unit == "m") => Ok(FOOT),
        Some(other) => Err(format!(
            "`units` is `{other}`; expected such as \"lb, ft, pcf, psf\" or \"kN, m, kN/m3, kPa\""
        )),
    }
}

fn need(inputs: &Case, key: &str) -> Result<f64, String> {
    case::needed_decimal(inputs, key)
}

fn or(inputs: &Case, key: &str, other: f64) -> Result<f64, String> {
    Ok(case::decimal(inputs, key)?.unwrap_or(other))
}

fn section(inputs: &Case, foot: f64) -> Result<Section, String> {
    let courses = need(inputs, "n")?;
    if !(1.0..=60.0).contains(&courses) || courses.fract() != 0.0 {
        return Err(format!("`n` is {courses}; expected a whole count of courses from 1 to 60"));
    }
    let retained = soil(inputs, "phi_r", "gr", "c_r")?;
    let quake = match case::decimal(inputs, "kh")? {
        Some(horizontal) => Some(Quake { horizontal, vertical: or(inputs, "kv", 0.0)? }),
        None => None,
    };
    Ok(Section {
        facing: Facing {
            courses: courses as usize,
            height: need(inputs, "hu")?,
            depth: need(inputs, "d")?,
            setback: need(inputs, "setback")?,
            unit_weight: need(inputs, "gu")?,
            shear: Strength {
                at_no_load: or(inputs, "a_u", 0.0)?,
                angle: or(inputs, "lam_u", 0.0)?.to_radians(),
            },
        },
        pad: Pad {
            thickness: or(inputs, "pad", foot / 2.0)?,
            beyond: or(inputs, "pad_ext", foot / 2.0)?,
            // A pad of stone weighs a little more than the soil; it counts only under its own width.
            unit_weight: or(inputs, "gpad", need(inputs, "gf")?)?,
            friction: or(inputs, "phi_pad", 34.0)?.to_radians(),
        },
        retained,
        foundation: soil(inputs, "phi_f", "gf", "cf")?,
        wall_friction: match case::decimal(inputs, "delta")? {
            Some(angle) => angle.to_radians(),
            None => retained.on_units(),
        },
        slope: or(inputs, "beta", 0.0)?.to_radians(),
        load: Load { live: or(inputs, "q", or(inputs, "q_live", 0.0)?)?, dead: or(inputs, "q_dead", 0.0)? },
        embedment: need(inputs, "emb")?,
        quake,
    })
}

fn soil(inputs: &Case, friction: &str, weight: &str, cohesion: &str) -> Result<Soil, String> {
    Ok(Soil {
        friction: need(inputs, friction)?.to_radians(),
        unit_weight: need(inputs, weight)?,
        cohesion: or(inputs, cohesion, 0.0)?,
    })
}

fn reinforced_section(inputs: &Case, section: Section, foot: f64) -> Result<ReinforcedSection, String> {
    let fill = soil(inputs, "phi_i", "gi", "c_i")?;
    let on_units = or(inputs, "delta_i", fill.on_units().to_degrees())?.to_radians();
    let weaker = fill.friction.min(section.retained.friction);
    let on_soil = or(inputs, "delta_e", weaker.to_degrees())?.to_radians();
    let length = need(inputs, "L")?;
    let heights = inputs.get("layers").and_then(Value::as_array);
    let heights = heights.ok_or("`layers` is no list; expected heights above the base, the lowest first")?;
    let layers = heights.iter().map(|height| {
        let height = height.as_f64().ok_or_else(|| format!("`layers` has {height}; expected a height"))?;
        Ok(Layer { height, length })
    });
    Ok(ReinforcedSection {
        section,
        fill,
        on_units,
        on_soil,
        grid: Grid {
            ultimate: need(inputs, "T_ult")?,
            creep: need(inputs, "RFcr")?,
            durability: need(inputs, "RFd")?,
            damage: need(inputs, "RFid")?,
            uncertainty: or(inputs, "FS_unc", 1.5)?,
            sliding: need(inputs, "Cds")?,
            pullout: need(inputs, "Ci")?,
            connection: Strength {
                at_no_load: need(inputs, "a_cs")?,
                angle: need(inputs, "lam_cs")?.to_radians(),
            },
        },
        layers: layers.collect::<Result<_, String>>()?,
        least_anchorage: LEAST_ANCHORAGE / FOOT * foot,
        least_length: LEAST_LENGTH / FOOT * foot,
        greatest_spacing: GREATEST_SPACING / FOOT * foot,
    })
}

fn of_verdicts(verdicts: &[Verdict]) -> Value {
    let list = verdicts.iter().map(|v| {
        json!({
            "check": v.check.name(), "place": v.place, "found": v.found, "required": v.required,
            "passes": v.passes(), "source": v.check.source(),
        })
    });
    Value::Array(list.collect())
}

fn of_bearing(bearing: Option<&Bearing>) -> Value {
    bearing.map_or(Value::Null, |b| {
        json!({
            "x_resultant": b.resultant, "e": b.eccentricity, "kern": b.kern, "B_eff": b.width,
            "q_applied": b.applied, "overburden_q": b.overburden, "Nc": b.factors.cohesion,
            "Nq": b.factors.overburden, "Ng": b.factors.weight_vesic, "q_ult": b.ultimate, "FS": b.factor,
        })
    })
}

fn of_gravity(wall: &Gravity) -> Value {
    let (t, v) = (&wall.thrust, &wall.with_vertical);
    let joints = wall.joints.iter().map(|joint| {
        json!({
            "courses_above": joint.courses_above, "depth": joint.depth, "W_above": joint.weight,
            "driving": joint.driving, "shear_capacity": joint.capacity, "FS_shear": joint.shear,
            "FS_toppling": joint.tipping,
        })
    });
    let under_pad = wall.under_pad.as_ref().map(|p| {
        json!({
            "B_eff": p.width, "pad_weight": p.pad_weight, "q_applied": p.applied,
            "overburden_q": p.overburden, "q_ult": p.ultimate, "FS": p.factor,
        })
    });
    let mut result = json!({
        "H": wall.height, "batter_deg": wall.batter.to_degrees(), "Ka": t.pressure.coefficient,
        "plane_deg": t.plane.to_degrees(),
        "Ps": t.soil, "Pq": t.load, "Ps_h": t.soil_horizontal, "Ps_v": t.soil_vertical,
        "Pq_h": t.load_horizontal, "Pq_v": t.load_vertical, "P_h": t.horizontal,
        "weight_per_course": wall.course_weight, "W": wall.weight, "x_W_stack": wall.arm,
        "x_W_continuous": wall.arm_continuous, "M_R": wall.resisting_moment,
        "M_O": wall.overturning_moment, "mu_base": wall.base_friction,
        "sliding_resistance": wall.sliding_resistance, "FS_sliding": wall.sliding,
        "FS_overturning": wall.overturning,
        "with_vertical_thrust": {
            "FS_sliding": v.sliding, "arm_Ps_v": v.soil_arm, "arm_Pq_v": v.load_arm,
            "FS_overturning": v.overturning,
        },
        "resultant_inside_base": wall.bearing.is_some(),
        "bearing_on_unit_base": of_bearing(wall.bearing.as_ref()),
        "bearing_under_pad": under_pad,
        "interfaces": joints.collect::<Vec<_>>(),
        "verdicts": of_verdicts(&wall.verdicts),
    });
    insert_quake(&mut result, wall.quake.as_ref());
    result
}

fn insert_quake(result: &mut Value, quake: Option<&groundwright_walls::InQuake>) {
    if let Some(q) = quake {
        result["earthquake"] = json!({
            "psi_deg": q.angle.to_degrees(), "K": q.coefficient, "added": q.added, "inertia": q.inertia,
            "FS_sliding": q.sliding, "FS_overturning": q.overturning,
        });
    }
}

fn of_layer(layer: &LayerResult) -> Value {
    json!({
        "height": layer.height, "length": layer.length, "contributory": layer.to - layer.from,
        "from_": layer.from, "to": layer.to, "mid_depth": layer.mid_depth, "F": layer.force,
        "FS_tension_vs_T_allowable": layer.tension,
        "FS_against_long_term_strength": layer.tension_long_term,
        "x_plane": layer.plane_at, "x_end": layer.end_at, "L_anchorage": layer.anchorage,
        "cover": layer.cover, "pullout": layer.pullout_resistance, "FS_pullout": layer.pullout,
        "length_needed": layer.length_needed, "connection": layer.connection_strength,
        "FS_connection": layer.connection, "internal_sliding_driving": layer.sliding_driving,
        "internal_sliding_resisting": layer.sliding_resisting, "FS_internal_sliding": layer.sliding,
        "FS_bulging": layer.bulging,
    })
}

fn of_reinforced(wall: &ReinforcedSection, found: &Reinforced) -> Value {
    let t = &found.thrust;
    let mut bearing = of_bearing(found.bearing.as_ref());
    if !bearing.is_null() {
        bearing["surcharge_on_block"] = json!(found.load_on_block);
        bearing["arm_surcharge"] = json!(found.load_arm);
        bearing["V"] = json!(found.weight + found.load_on_block);
        bearing["variant_negative_e_as_zero"] = of_bearing(found.bearing_whole_base.as_ref());
    }
    let crest = &found.crest;
    let mut result = json!({
        "H": found.height, "batter_deg": found.batter.to_degrees(), "L": found.length,
        "L_soil": found.soil_length, "back_height_above_top": found.added_height, "H_external": t.height,
        "Ka_external": t.pressure.coefficient, "Ps": t.soil, "Pq": t.load, "Ps_h": t.soil_horizontal,
        "Pq_h": t.load_horizontal, "W_facing": found.weights[0], "W_soil": found.weights[1],
        "W_backslope": found.weights[2], "W": found.weight, "x_facing": found.arms[0],
        "x_soil": found.arms[1], "x_backslope": found.arms[2], "M_R": found.resisting_moment,
        "M_O": found.overturning_moment, "mu": found.base_friction, "R_sliding": found.sliding_resistance,
        "FS_sliding": found.sliding, "FS_overturning": found.overturning, "bearing": bearing,
        "Ka_internal": found.internal_coefficient, "failure_plane_deg": found.plane.to_degrees(),
        "T_allowable": found.allowable,
        "layers": found.layers.iter().map(of_layer).collect::<Vec<_>>(),
        "crest": {
            "height_above_top_layer": crest.height, "W": crest.weight, "M_R": crest.resisting_moment,
            "M_O": crest.overturning_moment, "FS_toppling": crest.tipping,
            "FS_shear_above_top_layer": crest.shear,
        },
        "spacing": found.spacing,
        "verdicts": of_verdicts(&found.verdicts),
    });
    if let Some(top) = found.layers.last() {
        // The plane and the back of the face lean: length from the face less anchorage is the same for both.
        let reach = top.length - top.anchorage;
        result["top_layer"] = json!({
            "anchorage_needed_for_pullout_1_5": top.anchorage_needed,
            "layer_length_from_face": reach + top.anchorage_needed,
            "layer_length_for_1ft_anchorage": reach + wall.least_anchorage,
        });
    }
    insert_quake(&mut result, found.quake.as_ref());
    result
}
