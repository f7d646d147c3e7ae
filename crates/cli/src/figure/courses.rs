//! Figure `courses`: every unit of a wall in its place, counts and the cut list.

use groundwright_walls::courses::{
    Bend, End, Kind, Laid, Layout, Segment, Stand, UnitSystem, check_bond, face_length, lay,
};
use groundwright_walls::{Levels, Panel, Stepping, step_base};
use serde_json::{Map, Value, json};

use super::{Answer, case};

pub(super) const EXAMPLE: &str = r#"{ "face": [ { "straight": "12 ft" }, { "corner_deg": 90, "bend": "outside" }, { "straight": "8 ft" }, { "radius": "10 ft", "sweep_deg": 60, "bend": "outside" } ], "courses": 5, "course": "6 in", "setback": "0.75 in", "units": [ { "length": "8 in", "share": 0.25, "pallet": 60 }, { "length": "12 in", "share": 0.35, "pallet": 48 }, { "length": "16 in", "share": 0.4, "pallet": 40 } ], "least_overlap": "2.5 in", "least_cut": "4 in", "least_radius": "32 in" }"#;
pub(super) const HELP: &str =
    "Example:\n  groundwright figure courses --example | groundwright figure courses";

type Case = Map<String, Value>;

pub(super) fn figure(case: &Case) -> Result<Answer, String> {
    let layout = layout(case)?;
    let laid = lay(&layout).map_err(|e| e.to_string())?;
    let bond = check_bond(&layout, &laid).map_err(|e| e.to_string())?;
    let mut result = of_laid(&layout, &laid);
    result["bond"] = json!({
        "least_overlap_m": bond.least_overlap.is_finite().then_some(bond.least_overlap),
        "stacked_joints": bond.stacked.len(),
        "shares_above_the_pad": bond.shares,
        "most_alike_in_a_row": bond.in_a_row,
    });
    Ok(Answer::new(result))
}

fn layout(case: &Case) -> Result<Layout, String> {
    let face = case.get("face").and_then(Value::as_array);
    let face =
        face.ok_or("`face` is missing; expected a list of straights, arcs and corners, as in --example")?;
    let segments = face.iter().map(segment).collect::<Result<Vec<_>, _>>()?;
    let system = system(case)?;
    let course = case::required_length(case, "course")?;
    let stands = stands(case, &segments, &system, course)?;
    let end = |key: &str| match case::text(case, key)? {
        None | Some("flush") => Ok(End::Flush),
        Some("bank") => Ok(End::Bank),
        Some(other) => Err(format!("`{key}` is `{other}`; expected flush or bank")),
    };
    Ok(Layout { segments, stands, course, ends: [end("left")?, end("right")?], system })
}

fn segment(value: &Value) -> Result<Segment, String> {
    let case = value.as_object().ok_or_else(|| format!("`face` has {value}; expected an object"))?;
    let bend = || match case::text(case, "bend")? {
        Some("outside" | "convex") => Ok(Bend::Convex),
        Some("inside" | "concave") => Ok(Bend::Concave),
        _ => Err(format!("`bend` is missing in {value}; expected outside or inside")),
    };
    if let Some(length) = case::length(case, "straight")? {
        return Ok(Segment::Straight { length });
    }
    if let Some(turn) = case::number(case, "corner_deg")? {
        return Ok(Segment::Corner { turn: turn.to_radians(), bend: bend()? });
    }
    if let (Some(radius), Some(sweep)) = (case::length(case, "radius")?, case::number(case, "sweep_deg")?) {
        return Ok(Segment::Arc { radius, sweep: sweep.to_radians(), bend: bend()? });
    }
    Err(format!("`face` has {value}; expected `straight`, `corner_deg`, or `radius` with `sweep_deg`"))
}

fn system(case: &Case) -> Result<UnitSystem, String> {
    let height = case::required_length(case, "course")?;
    let units = case.get("units").and_then(Value::as_array);
    let units = units.ok_or("`units` is missing; expected a list with `length` and `share`")?;
    let mut kinds = Vec::with_capacity(units.len());
    for unit in units {
        let unit = unit.as_object().ok_or_else(|| format!("`units` has {unit}; expected an object"))?;
        let share = case::share(unit, "share")?.unwrap_or(1.0 / units.len() as f64);
        let pallet = case::number(unit, "pallet")?.unwrap_or(0.0).max(0.0) as usize;
        kinds.push(Kind { length: case::required_length(unit, "length")?, height, share, pallet });
    }
    let longest = (0..kinds.len()).max_by(|a, b| kinds[*a].length.total_cmp(&kinds[*b].length));
    let shortest = kinds.iter().map(|kind| kind.length).fold(f64::INFINITY, f64::min);
    Ok(UnitSystem {
        base: longest.ok_or("`units` is empty; expected at least one unit")?,
        corner: None,
        setback: case::length(case, "setback")?.unwrap_or(0.0),
        least_radius: case::length(case, "least_radius")?.unwrap_or(0.0),
        least_cut: case::length(case, "least_cut")?.unwrap_or(shortest / 2.0),
        least_overlap: case::length(case, "least_overlap")?.unwrap_or(shortest / 4.0),
        in_a_row: 3,
        rear_lip: case::flag(case, "rear_lip")?,
        colours: vec![1.0],
        kinds,
    })
}

/// Courses all along, or a base that steps with `levels`.
fn stands(case: &Case, segments: &[Segment], system: &UnitSystem, course: f64) -> Result<Vec<Stand>, String> {
    if let Some(levels) = case.get("levels").and_then(Value::as_array) {
        let rows = levels.iter().map(|row| match row.as_array().map(Vec::as_slice) {
            Some([station, foot, top]) => Ok(Levels {
                station: case::length_value("levels", station)?,
                foot: case::length_value("levels", foot)?,
                top: case::length_value("levels", top)?,
            }),
            _ => Err(format!("`levels` has {row}; expected [station, ground in front, top]")),
        });
        let stepping = Stepping {
            course,
            unit: system.kinds[system.base].length,
            least_embedment: case::length(case, "embedment")?.unwrap_or(0.1524),
            fall: 0.0,
            pad: case::length(case, "pad")?.unwrap_or(0.1524),
        };
        let base = step_base(&rows.collect::<Result<Vec<_>, _>>()?, &stepping).map_err(|e| e.to_string())?;
        let stand = |p: &Panel| Stand { from: p.from, to: p.to, first: p.first, courses: p.courses };
        return Ok(base.panels.iter().map(stand).collect());
    }
    let courses =
        case::number(case, "courses")?.ok_or("`courses` or `levels` is missing; expected a count")?;
    let to = face_length(segments, 0.0).map_err(|e| e.to_string())?;
    Ok(vec![Stand { from: 0.0, to, first: 0, courses: courses.max(0.0) as usize }])
}

fn of_laid(layout: &Layout, laid: &Laid) -> Value {
    let kinds = &layout.system.kinds;
    let name = |kind: usize| kinds.get(kind).map_or(json!("corner"), |kind| json!(kind.length));
    let counts = laid.counts.iter().enumerate().map(|(kind, count)| {
        let pallet = kinds.get(kind).map_or(0, |kind| kind.pallet);
        json!({ "unit_m": name(kind), "count": count, "pallets": (pallet > 0).then(|| count.div_ceil(pallet.max(1))) })
    });
    let units = laid.units.iter().map(|u| {
        json!({
            "course": u.course + 1, "from_m": u.base[0], "to_m": u.base[1], "length_m": u.length,
            "unit_m": name(u.kind), "cut": u.cut,
        })
    });
    let cuts = laid.cuts.iter().map(|cut| {
        json!({ "course": cut.course + 1, "station_m": cut.station, "unit_m": name(cut.kind), "keep_m": cut.length })
    });
    json!({
        "count": laid.units.len(),
        "counts": counts.collect::<Vec<_>>(),
        "face_lengths_m": laid.lengths,
        "cuts": cuts.collect::<Vec<_>>(),
        "cuts_at_least": laid.cuts_bound,
        "lips_off": laid.lips_off,
        "units_laid": units.collect::<Vec<_>>(),
    })
}
