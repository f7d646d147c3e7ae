//! Figure `shadow`: lengths of shadows, and hours of sun at a point among bodies.

use groundwright_geometry::{Point3, Region};
use groundwright_handoff::CrownForm;
use groundwright_plan::{ElementRef, Kind};
use groundwright_scene::{Bodies, Crown, Roof, RoofForm, Scene, roof_faces};
use groundwright_sun::sky::day_moments;
use groundwright_sun::{sky, sky_patches, sun_day};
use serde_json::{Map, Value, json};

use super::{Answer, case, sun};

pub(super) const EXAMPLE: &str = r#"{ "lat": 40, "lon": -105, "date": "2025-03-20", "point": [0, 0, 0], "bodies": [ { "box": [[-6, -12], [6, -12], [6, -4], [-6, -4]], "height": "5 m", "roof": "hip", "pitch": 0.5 }, { "crown": "ellipsoid", "at": [6, -5], "foot": "1.5 m", "height": "5 m", "radius": "2.5 m", "transmittance": "20 %" } ] }"#;
pub(super) const HELP: &str = r#"A case has height and elevation_deg: result shadow_length_m, and with azimuth_deg and wall_azimuth_deg
(the way the wall runs, clockwise from north) profile_angle_deg. Or it has
  lat, lon, date    degrees; a date, on which the sun is followed in steps of step_minutes (1 if left out)
  point             [x, y, z] in metres, x east, y north, z up
  north_deg         true north clockwise from the y axis; 0 if left out
  bodies            a list of
                    { "wall": [[x, y], ...], "height" } upright, without thickness; foot below 0 if "foot"
                    { "box": [[x, y], ...], "height", and may have "roof" (gable, hip, shed, flat),
                      "pitch" (rise over run), "overhang" }
                    { "crown": ellipsoid, dome, cone, cylinder or vase, "at": [x, y], "foot", "height",
                      "radius", "transmittance" (share of light along its mean chord) }
Result: sun_hours of direct sun, hours_above_horizon, morning_hours, afternoon_hours, sky_view.
Example:
  echo '{ "height": "6 ft", "elevation_deg": 30 }' | groundwright figure shadow"#;

pub(super) fn figure(of: &Map<String, Value>) -> Result<Answer, String> {
    if of.contains_key("elevation_deg") {
        return lengths(of);
    }
    let observer = sun::observer(of)?;
    let written =
        case::text(of, "date")?.ok_or("`date` is missing; expected a date such as \"2025-03-20\"")?;
    let date: jiff::civil::Date = written
        .parse()
        .map_err(|_| format!("`date` is \"{written}\"; expected a date such as \"2025-03-20\""))?;
    let point = of.get("point").ok_or("`point` is missing; expected [x, y, z]")?;
    let at = place3("point", point)?;
    let bodies = bodies(of)?;
    let north = case::decimal(of, "north_deg")?.unwrap_or(0.0).to_radians();
    let minutes = case::decimal(of, "step_minutes")?.unwrap_or(1.0);
    if !(0.1..=120.0).contains(&minutes) {
        return Err(format!("`step_minutes` is {minutes}; expected 0.1 to 120"));
    }
    let (month, day) = (date.month().unsigned_abs(), date.day().unsigned_abs());
    let moments = day_moments(&observer, north, (date.year(), month, day), minutes / 60.0);
    let scene = Scene::new(bodies);
    let (mut morning, mut afternoon) = (0.0, 0.0);
    for moment in &moments {
        let hours = moment.hours * scene.light(at, moment.direction);
        match moment.half {
            sky::Half::Morning => morning += hours,
            sky::Half::Afternoon => afternoon += hours,
        }
    }
    let patches = sky_patches(18);
    let view: f64 = patches.iter().map(|patch| patch.even * scene.light(at, patch.direction)).sum();
    let day = sun_day(&observer, date, &jiff::tz::TimeZone::UTC).map_err(|e| e.to_string())?;
    Ok(Answer::new(json!({
        "sun_hours": morning + afternoon,
        "morning_hours": morning,
        "afternoon_hours": afternoon,
        "hours_above_horizon": moments.iter().map(|m| m.hours).sum::<f64>(),
        "sky_view": view,
        "sun_rises": day.state == groundwright_sun::DayState::Normal,
    })))
}

fn lengths(of: &Map<String, Value>) -> Result<Answer, String> {
    let height = case::required_length(of, "height")?;
    let degrees = case::needed_decimal(of, "elevation_deg")?;
    if !(degrees > 0.0 && degrees <= 90.0) {
        return Err(format!(
            "`elevation_deg` is {degrees}; expected more than 0, at most 90: a sun on the horizon throws no end of shadow"
        ));
    }
    let elevation = degrees.to_radians();
    let length = if degrees >= 90.0 { 0.0 } else { height / elevation.tan() };
    let mut result = json!({ "shadow_length_m": length });
    let g = match (case::decimal(of, "g_deg")?, case::decimal(of, "azimuth_deg")?) {
        (Some(g), _) => Some(g.to_radians()),
        (None, Some(azimuth)) => {
            let wall = case::decimal(of, "wall_azimuth_deg")?.unwrap_or(90.0);
            Some((azimuth - wall - 90.0).to_radians())
        }
        (None, None) => None,
    };
    if let Some(g) = g {
        result["profile_angle_deg"] = json!((elevation.tan().atan2(g.cos())).to_degrees());
    }
    Ok(Answer::new(result))
}

fn bodies(of: &Map<String, Value>) -> Result<Bodies, String> {
    let mut bodies = Bodies::default();
    let list = match of.get("bodies") {
        None => return Ok(bodies),
        Some(list) => list.as_array().ok_or("`bodies` is no list; see --help")?,
    };
    for (i, body) in list.iter().enumerate() {
        let object = body.as_object().ok_or_else(|| format!("body {} is no object; see --help", i + 1))?;
        add(&mut bodies, object).map_err(|e| format!("body {}: {e}", i + 1))?;
    }
    Ok(bodies)
}

fn add(bodies: &mut Bodies, body: &Map<String, Value>) -> Result<(), String> {
    let foot = case::length(body, "foot")?.unwrap_or(0.0);
    let height = case::required_length(body, "height")?;
    let up = |(x, y): (f64, f64), z: f64| Point3::new(x, y, z);
    if let Some(line) = body.get("wall") {
        for pair in places("wall", line)?.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            bodies.face(&[up(a, foot), up(b, foot), up(b, foot + height), up(a, foot + height)]);
        }
        return Ok(());
    }
    if let Some(line) = body.get("box") {
        let ring = places("box", line)?;
        let points: Vec<_> = ring.iter().map(|(x, y)| groundwright_geometry::Point::new(*x, *y)).collect();
        Region::polygon(&points).map_err(|e| format!("`box`: {e}"))?;
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            bodies.face(&[up(*a, foot), up(*b, foot), up(*b, foot + height), up(*a, foot + height)]);
        }
        let form = match case::text(body, "roof")? {
            None | Some("flat") => RoofForm::Flat,
            Some("gable") => RoofForm::Gable,
            Some("hip") => RoofForm::Hip,
            Some("shed") => RoofForm::Shed,
            Some(other) => return Err(format!("`roof` is `{other}`; expected gable, hip, shed or flat")),
        };
        let slope = case::decimal(body, "pitch")?.unwrap_or(0.0);
        let overhang = case::length(body, "overhang")?.unwrap_or(0.0);
        let roof = Roof { form, eave: foot + height, slope, overhang };
        for face in roof_faces(&points, &roof).map_err(|e| e.to_string())? {
            bodies.face(&face);
        }
        return Ok(());
    }
    let form = match case::text(body, "crown")? {
        Some("ellipsoid") => CrownForm::Ellipsoid,
        Some("dome") => CrownForm::Dome,
        Some("cone") => CrownForm::Cone,
        Some("cylinder") => CrownForm::Cylinder,
        Some("vase") => CrownForm::Vase,
        other => {
            return Err(format!(
                "expected `wall`, `box` or `crown` (ellipsoid, dome, cone, cylinder, vase), not {other:?}"
            ));
        }
    };
    let at = case::place("at", body.get("at").ok_or("`at` is missing; expected [x, y]")?)?;
    let radius = case::required_length(body, "radius")?;
    let share = case::share(body, "transmittance")?.unwrap_or(0.0);
    let foot = Point3::new(at.x, at.y, foot);
    bodies.crowns.push(Crown::new(form, foot, radius, height, share).map_err(|e| e.to_string())?);
    bodies.owners.push((ElementRef::new(Kind::Tree, &"crown".into()), 0));
    Ok(())
}

fn places(key: &str, value: &Value) -> Result<Vec<(f64, f64)>, String> {
    let list = value.as_array().filter(|list| list.len() > 1);
    let list = list.ok_or_else(|| format!("`{key}` is {value}; expected a list of places [x, y]"))?;
    list.iter().map(|at| case::place(key, at).map(|p| (p.x, p.y))).collect()
}

fn place3(key: &str, value: &Value) -> Result<Point3, String> {
    let list = value.as_array().filter(|list| list.len() == 3);
    let list = list.ok_or_else(|| format!("`{key}` is {value}; expected [x, y, z]"))?;
    let of = |i: usize| case::length_value(key, &list[i]);
    Ok(Point3::new(of(0)?, of(1)?, of(2)?))
}
