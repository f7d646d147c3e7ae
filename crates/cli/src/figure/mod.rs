//! `groundwright figure`: one calculation alone, a JSON case in, a JSON result out.

mod budget;
mod bulk;
mod case;
mod circuit;
mod courses;
mod crew_schedule;
mod critical_path;
mod curve;
mod earth_pressure;
mod evapotranspiration;
mod graze;
mod growth;
mod illuminance;
mod levels;
mod light_class;
mod lit_scene;
mod manning;
mod network;
mod photometry;
mod pipe;
mod plant_list;
mod plants;
mod price;
mod price_in_words;
mod probe;
mod prose;
mod purchase;
mod render;
mod resection;
mod rise_set;
mod rows;
mod run_time;
mod runoff;
mod shadow;
mod similarity;
mod soil_water;
mod spacing;
mod steps;
mod stock;
mod sun;
mod tape;
mod ties;
mod timer;
mod transplants;
mod traverse;
mod uniformity;
mod volume;
mod wall;

use std::io::Read;
use std::path::PathBuf;
use std::sync::OnceLock;

use clap::Subcommand;
use serde_json::{Map, Value};

/// Make one calculation alone: a JSON case in, a JSON result out.
///
/// The case is read from a file, or from standard input when the file is `-` or left out. It is one
/// JSON object, or a list of them. Keys that a topic does not use are kept and come back in the
/// answer, with `result` beside them; a key `expected` is not read, and filled when the case is
/// given in words. Quantities are texts with units ("540 sq ft", "3 in", "2.5 m"); results are
/// numbers in SI with the unit in the key.
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    topic: Topic,
}

/// Where the case comes from.
#[derive(clap::Args)]
struct Source {
    /// File with the case; standard input if left out or `-`.
    case: Option<PathBuf>,
    /// Print an example of a case instead of reading one.
    #[arg(long)]
    example: bool,
}

#[derive(Subcommand)]
enum Topic {
    /// Plants to an area: density on a grid and in triangles, counts, rows of a rectangle.
    ///
    /// A case has `spacing`, and any of: `area` (counts, rounded up), `rectangle` (length and
    /// width: rows and counts, first plant and row half a spacing from the edges), or `plant` with
    /// `size` and `filled_in` (years), which gives the spacing at which the crowns touch.
    ///
    /// Densities 1/d² and 2/(√3 d²): plane geometry.
    #[command(verbatim_doc_comment, after_help = spacing::HELP)]
    Spacing(Source),
    /// Bulk materials: loose volume, bags, mass, turf, fertiliser, lime, earth, root balls, holes.
    ///
    /// A case has `area` and `depth`, and may have `settlement`, `slope`, `bags` (list of volumes)
    /// and `density` (mass to the cubic metre, as `{"mass": "1.4 short ton", "to": "1 cu yd"}`).
    #[command(verbatim_doc_comment, after_help = bulk::HELP)]
    Bulk(Source),
    /// Plants of the stock that answer a description: words, light, water, zone, greatest size.
    #[command(verbatim_doc_comment, after_help = plants::HELP)]
    Plants(Source),
    /// Rows along a line: counts, adjusted spacing, positions.
    ///
    /// A case has `length` (a straight line) or `points` (places of a smooth curve, in metres) with
    /// `closed`; `spacing`; and may have `rows`, `pattern` (staggered or square), `inset`, `pitch`,
    /// `tolerance` (share by which the spacing may be adjusted) and `ends` (plants or half).
    #[command(verbatim_doc_comment, after_help = rows::HELP)]
    Rows(Source),
    /// Transplants: which dug plant goes into which hole, exactly, by the stated ranking.
    ///
    /// A case has `dug` (height, spread, condition 0 to 1, flowering, at [x, y] in metres) and
    /// `holes` (at, prominence, and may have wanted_height, wanted_spread, pair: index of the
    /// mirror partner).
    #[command(verbatim_doc_comment, after_help = transplants::HELP)]
    Transplants(Source),
    /// Taped lengths: adjusted coordinates, residuals, accuracy, suspected slips.
    ///
    /// A case has `observations` (a, b, length, and may have sigma) and may have `fixed` and
    /// `approximate` points; without two fixed points the first base is laid to the east. One that
    /// has `clean`, `blunder`, `unchecked` or `published_inputs` is a network in variants.
    ///
    /// Weighted least squares; data snooping after Baarda 1968.
    #[command(verbatim_doc_comment, after_help = tape::HELP)]
    Tape(Source),
    /// Levels: rod readings and height differences adjusted to heights.
    ///
    /// A case has `readings`: either `setup`, `rod` (the point) and `reading`, or `from`, `to` and
    /// `rise`; each may have `sigma` or `weight`. `held` gives known heights by point.
    ///
    /// Weighted least squares; data snooping after Baarda 1968.
    #[command(verbatim_doc_comment, after_help = levels::HELP)]
    Levels(Source),
    /// A traverse balanced by the compass rule: misclosure, coordinates, area.
    ///
    /// A case has `legs`: `length` with `lat` and `dep`, or with `azimuth` (degrees clockwise from
    /// north); and may have `start` and `end` as { n, e }. Without `end` it is a loop.
    #[command(verbatim_doc_comment, after_help = traverse::HELP)]
    Traverse(Source),
    /// One frame fitted to another on two or more shared points, with and without scale.
    ///
    /// A case has `source` and `target`: lists of places [x, y] in metres.
    #[command(verbatim_doc_comment, after_help = similarity::HELP)]
    Similarity(Source),
    /// Ties for setting out: two tapes to a point, station and offset, the best pair of references.
    ///
    /// A case has `A`, `B`, `da`, `db` (where do two tapes meet); or `start`, `end` and `points` by
    /// station and offset_left, or by `at`; or `references` by name and `points` with `at`.
    #[command(verbatim_doc_comment, after_help = ties::HELP)]
    Ties(Source),
    /// Curves: chord and middle ordinate, arcs by stations, circle through three points, areas.
    ///
    /// A case has `radius` and `chord` (and may have `step`, for a table); or `chord` and
    /// `mid_ordinate`; or three `points`; or `centre`, `radius`, `start_direction_deg`, `turns` and
    /// `points` by station; or `vertices` [x, y, bulge] of a ring.
    #[command(verbatim_doc_comment, after_help = curve::HELP)]
    Curve(Source),
    /// Earth: cut and fill of prisms, between two triangulated surfaces, and from sections.
    ///
    /// A case has `existing` and `design` (lists of [x, y, z] in metres, and may have
    /// `existing_triangles`, `design_triangles` or `existing_lines`, `design_lines`; a design may be a
    /// level), with `swell`, `shrinkage` and `usable` for the balance; or `triangle` and `depth`; or
    /// `ends`, `length` and `middle` of a section. Collections of such cases are answered name by name.
    ///
    /// Prismoids over the overlay of both triangulations: solid geometry.
    #[command(verbatim_doc_comment, after_help = volume::HELP)]
    Volume(Source),
    /// Rain: peak flow, storm runoff, soil intake, dry wells and rain gardens.
    ///
    /// A case has `intensity` with `area` and `coefficient`, or with `parts` of them (Rational method);
    /// `rain` with `curve_number` and `area`, or with `parts` (TR-55); `timed_hole` (diameter, start,
    /// end, time) or `texture`; `dry_well` (diameter, voids, depth) or `rain_garden` (bottom, top,
    /// ponding, soil, voids) with `inflow`, `intake` and `duration`. Those that stand in one case feed
    /// one another.
    #[command(verbatim_doc_comment, after_help = runoff::HELP)]
    Runoff(Source),
    /// Uniform flow in swales and pipes by Manning's equation.
    ///
    /// A case has `shape` (rectangle, trapezoid, vee, pipe) with `bottom`, `side` or `diameter`; `n`;
    /// `slope`; and `depth`, `flow` (its depth is found), or `full` for a pipe.
    #[command(verbatim_doc_comment, after_help = manning::HELP)]
    Manning(Source),
    /// Sun: where it stands at an instant, and the light of a clear sky.
    ///
    /// The full solar position algorithm, NREL/TP-560-34302; Ineichen and Perez 2002.
    #[command(verbatim_doc_comment, after_help = sun::HELP)]
    Sun(Source),
    /// Rise, set, civil dawn and dusk of a date of the local calendar, clock changes included.
    #[command(verbatim_doc_comment, after_help = rise_set::HELP)]
    RiseSet(Source),
    /// Shadows: their length, and the hours of sun at a point among walls, roofs and crowns.
    #[command(verbatim_doc_comment, after_help = shadow::HELP)]
    Shadow(Source),
    /// Reference evapotranspiration with every step: FAO Irrigation and Drainage Paper 56.
    #[command(verbatim_doc_comment, after_help = evapotranspiration::HELP)]
    Evapotranspiration(Source),
    /// Growth: size by age, of trees by published equations, of all else by the stock.
    #[command(verbatim_doc_comment, after_help = growth::HELP)]
    Growth(Source),
    /// Light class of hours of direct sun, and against what a plant bears.
    #[command(verbatim_doc_comment, after_help = light_class::HELP)]
    LightClass(Source),
    /// Plant lists for a bed: proposals that cover months and layers, each plant with its reasons.
    #[command(verbatim_doc_comment, after_help = plant_list::HELP)]
    PlantList(Source),
    /// A pipe: friction by Hazen-Williams and Darcy-Weisbach, fittings, velocity.
    ///
    /// A case has `diameter` (inside) and `flow`, and may have `C`, `length`, `minor_k`,
    /// `roughness_mm`, and `outlets` (equal ones along it); or `id_in` and `gpm` as in tables.
    #[command(verbatim_doc_comment, after_help = pipe::HELP)]
    Pipe(Source),
    /// A network of pipes under pressure: pressures, flows, balance.
    ///
    /// A case has `source`, `nodes` and `pipes`, or `networks` with a list of such cases.
    ///
    /// Global gradient method, Todini and Pilati 1988.
    #[command(verbatim_doc_comment, after_help = network::HELP)]
    Network(Source),
    /// Uniformity: catch cans, and precipitation rates.
    ///
    /// A case has `values` (millilitres in each can), and may have `mouth` (diameter of a can) with
    /// `time`; or `flow` and `area`.
    ///
    /// Low-quarter distribution uniformity; Christiansen 1942.
    #[command(verbatim_doc_comment, after_help = uniformity::HELP)]
    Uniformity(Source),
    /// Soil water: the daily balance of a root zone, with stress.
    ///
    /// A case has `field_capacity`, `wilting_point`, `depth`, `p`, `depletion` and `days`; `fixed_p`
    /// keeps p from following the day.
    ///
    /// FAO Irrigation and Drainage Paper 56, chapter 8.
    #[command(verbatim_doc_comment, after_help = soil_water::HELP)]
    SoilWater(Source),
    /// Water budget: allowance and estimated use of a year, by California's ordinance.
    ///
    /// A case has `eto` and `factor`, and `zones` (plant_factor, method or efficiency, area, special);
    /// or `area` and `special_area` for the allowance alone.
    #[command(verbatim_doc_comment, after_help = budget::HELP)]
    Budget(Source),
    /// Run time of a zone, in cycles with pauses to soak.
    ///
    /// A case has `net`, `efficiency` and `rate`, and may have `intake` and `allowance` (what the
    /// surface holds).
    #[command(verbatim_doc_comment, after_help = run_time::HELP)]
    RunTime(Source),
    /// A circuit of low-voltage lamps: voltage at every lamp, currents, losses.
    ///
    /// Nodal analysis with constant-power, resistive and filament loads; conductors by NFPA 70,
    /// chapter 9, table 8.
    #[command(verbatim_doc_comment, after_help = circuit::HELP)]
    Circuit(Source),
    /// A photometric file of IES LM-63: flux, peak, intensities between its angles.
    #[command(verbatim_doc_comment, after_help = photometry::HELP)]
    Photometry(Source),
    /// Illuminance: fixtures on places, inverse square, beams, area sources, form factors.
    #[command(verbatim_doc_comment, after_help = illuminance::HELP)]
    Illuminance(Source),
    /// Light at places of a scene, straight and after one, two and eight bounces.
    #[command(verbatim_doc_comment, after_help = probe::HELP)]
    Probe(Source),
    /// A scene's image in linear light, as luminance.
    #[command(verbatim_doc_comment, after_help = render::HELP)]
    Render(Source),
    /// The camera of a photograph from points known in the yard: place, direction, angle, residuals.
    #[command(verbatim_doc_comment, after_help = resection::HELP)]
    Resection(Source),
    /// Light of a fixture close to a wall.
    #[command(verbatim_doc_comment, after_help = graze::HELP)]
    Graze(Source),
    /// A timer: when lamps go on and off through a year, hours, energy, cost; dusk and dawn of a date.
    #[command(verbatim_doc_comment, after_help = timer::HELP)]
    Timer(Source),
    /// Early and late dates, floats and critical path of a network of activities.
    #[command(verbatim_doc_comment, after_help = critical_path::HELP)]
    CriticalPath(Source),
    /// Work that shares crews, in as few periods as can be found; how good that is known to be.
    #[command(verbatim_doc_comment, after_help = crew_schedule::HELP)]
    CrewSchedule(Source),
    /// A purchase: what to order from whom, at the least landed cost, and how well that is proven.
    #[command(verbatim_doc_comment, after_help = purchase::HELP)]
    Purchase(Source),
    /// Price of lines, every step shown; change orders; overhead, margin and markup, hauls.
    ///
    /// A case has `lines` (item, area, quantity, unit_price, and may have spread, class, taxable, rate,
    /// factor, haul) and `terms`, and may have `changed` (the lines of a later revision); or `year` with
    /// `yearly_overhead`; or `barrow` with a haul.
    #[command(verbatim_doc_comment, after_help = price::HELP)]
    Price(Source),
    /// Earth pressure: Coulomb, Rankine, Mononobe-Okabe, the critical plane, factors of bearing.
    ///
    /// A case has `phi_deg`, and may have `delta_deg` (two thirds of it if left out), `batter_deg`
    /// (positive leaning into the soil), `backslope_deg`, `kh` with `kv`; with `gamma` and `height`, and
    /// `q`, the thrust.
    #[command(verbatim_doc_comment, after_help = earth_pressure::HELP)]
    EarthPressure(Source),
    /// A wall's section, gravity or reinforced, with every number between and every factor of safety.
    ///
    /// A case has `inputs`: `n` courses of height `hu` and depth `d`, `setback`, `gu`; soils `phi_r`,
    /// `gr`, `phi_f`, `gf`, `cf`; `emb`; and may have `delta`, `beta`, `q`, `kh`, `kv`, the pad's `pad`,
    /// `pad_ext`, `gpad`, `phi_pad`, shear `a_u`, `lam_u`. With `layers` (heights), `L`, `phi_i`, `gi`,
    /// `T_ult`, `RFcr`, `RFd`, `RFid`, `Cds`, `Ci`, `a_cs`, `lam_cs` it is reinforced. Angles in
    /// degrees, all else in the `units` of the case. Cases by name are answered name by name.
    ///
    /// For review: the local code and a licensed engineer decide.
    #[command(verbatim_doc_comment, after_help = wall::HELP)]
    Wall(Source),
    /// Courses: every unit of a wall in its place, counts, pallets and the cut list.
    ///
    /// A case has `face` (list of `straight`; `radius` with `sweep_deg` and `bend`; `corner_deg` with
    /// `bend`: outside or inside), `courses` or `levels` ([station, ground in front, top]), `course`
    /// (its height), `units` (length, share, pallet); and may have `setback`, `least_overlap`,
    /// `least_cut`, `least_radius`, `embedment`, `rear_lip`, and `left`, `right` (flush or bank).
    #[command(verbatim_doc_comment, after_help = courses::HELP)]
    Courses(Source),
    /// Steps: flights of equal risers that fit a rise and the room for it, with landings.
    #[command(verbatim_doc_comment, after_help = steps::HELP)]
    Steps(Source),
}

type Figure = fn(&Map<String, Value>) -> Result<Answer, String>;

/// What a topic answers: the result, and words for the key `expected` when the case was in words.
pub(crate) struct Answer {
    result: Value,
    words: Option<String>,
}

impl Answer {
    fn new(result: Value) -> Self {
        Self { result, words: None }
    }

    fn in_words(result: Value, words: String) -> Self {
        Self { result, words: Some(words) }
    }
}

/// Runs the command.
pub(crate) fn run(arguments: &Arguments) -> Result<u8, String> {
    let (source, figure, example): (&Source, Figure, &str) = match &arguments.topic {
        Topic::Spacing(source) => (source, spacing::figure, spacing::EXAMPLE),
        Topic::Bulk(source) => (source, bulk::figure, bulk::EXAMPLE),
        Topic::Plants(source) => (source, plants::figure, plants::EXAMPLE),
        Topic::Rows(source) => (source, rows::figure, rows::EXAMPLE),
        Topic::Transplants(source) => (source, transplants::figure, transplants::EXAMPLE),
        Topic::Tape(source) => (source, tape::figure, tape::EXAMPLE),
        Topic::Levels(source) => (source, levels::figure, levels::EXAMPLE),
        Topic::Traverse(source) => (source, traverse::figure, traverse::EXAMPLE),
        Topic::Similarity(source) => (source, similarity::figure, similarity::EXAMPLE),
        Topic::Ties(source) => (source, ties::figure, ties::EXAMPLE),
        Topic::Curve(source) => (source, curve::figure, curve::EXAMPLE),
        Topic::Volume(source) => (source, volume::figure, volume::EXAMPLE),
        Topic::Runoff(source) => (source, runoff::figure, runoff::EXAMPLE),
        Topic::Manning(source) => (source, manning::figure, manning::EXAMPLE),
        Topic::Sun(source) => (source, sun::figure, sun::EXAMPLE),
        Topic::RiseSet(source) => (source, rise_set::figure, rise_set::EXAMPLE),
        Topic::Shadow(source) => (source, shadow::figure, shadow::EXAMPLE),
        Topic::Evapotranspiration(source) => {
            (source, evapotranspiration::figure, evapotranspiration::EXAMPLE)
        }
        Topic::Growth(source) => (source, growth::figure, growth::EXAMPLE),
        Topic::LightClass(source) => (source, light_class::figure, light_class::EXAMPLE),
        Topic::PlantList(source) => (source, plant_list::figure, plant_list::EXAMPLE),
        Topic::Pipe(source) => (source, pipe::figure, pipe::EXAMPLE),
        Topic::Network(source) => (source, network::figure, network::EXAMPLE),
        Topic::Uniformity(source) => (source, uniformity::figure, uniformity::EXAMPLE),
        Topic::SoilWater(source) => (source, soil_water::figure, soil_water::EXAMPLE),
        Topic::Budget(source) => (source, budget::figure, budget::EXAMPLE),
        Topic::RunTime(source) => (source, run_time::figure, run_time::EXAMPLE),
        Topic::Circuit(source) => (source, circuit::figure, circuit::EXAMPLE),
        Topic::Photometry(source) => (source, photometry::figure, photometry::EXAMPLE),
        Topic::Illuminance(source) => (source, illuminance::figure, illuminance::EXAMPLE),
        Topic::Probe(source) => (source, probe::figure, probe::EXAMPLE),
        Topic::Render(source) => (source, render::figure, render::EXAMPLE),
        Topic::Resection(source) => (source, resection::figure, resection::EXAMPLE),
        Topic::Graze(source) => (source, graze::figure, graze::EXAMPLE),
        Topic::Timer(source) => (source, timer::figure, timer::EXAMPLE),
        Topic::CriticalPath(source) => (source, critical_path::figure, critical_path::EXAMPLE),
        Topic::Purchase(source) => (source, purchase::figure, purchase::EXAMPLE),
        Topic::CrewSchedule(source) => (source, crew_schedule::figure, crew_schedule::EXAMPLE),
        Topic::Price(source) => (source, price::figure, price::EXAMPLE),
        Topic::EarthPressure(source) => (source, earth_pressure::figure, earth_pressure::EXAMPLE),
        Topic::Wall(source) => (source, wall::figure, wall::EXAMPLE),
        Topic::Steps(source) => (source, steps::figure, steps::EXAMPLE),
        Topic::Courses(source) => (source, courses::figure, courses::EXAMPLE),
    };
    if source.example {
        say!("{example}");
        return Ok(0);
    }
    let text = read(source)?;
    let takes_files = matches!(arguments.topic, Topic::Photometry(_) | Topic::CrewSchedule(_));
    let case: Value = match serde_json::from_str(&text) {
        Ok(case) => case,
        Err(_) if takes_files && !text.trim_start().starts_with(['{', '[']) => {
            serde_json::json!({ "text": text })
        }
        Err(e) => return Err(format!("the case is not JSON: {e}")),
    };
    let (answer, good) = match case {
        Value::Object(case) => answer(figure, case),
        Value::Array(cases) => {
            let answers: Vec<(Value, bool)> = cases
                .into_iter()
                .map(|case| match case {
                    Value::Object(case) => answer(figure, case),
                    other => (
                        serde_json::json!({ "error": format!("{other} is no case; expected an object") }),
                        false,
                    ),
                })
                .collect();
            let good = answers.iter().all(|(_, good)| *good);
            (Value::Array(answers.into_iter().map(|(answer, _)| answer).collect()), good)
        }
        _ => return Err("the case is neither an object nor a list of objects; see --example".to_owned()),
    };
    say!("{answer:#}");
    Ok(u8::from(!good))
}

/// Where the file of the case lies, so that files that it names are found beside it.
static FOLDER: OnceLock<PathBuf> = OnceLock::new();

/// Text of a file that a case names: as named, or beside the case, or in the folder `ies` there.
fn read_beside(file: &str) -> Result<String, String> {
    let folder = FOLDER.get().cloned().unwrap_or_default();
    let places = [PathBuf::from(file), folder.join(file), folder.join("ies").join(file)];
    let Some(path) = places.iter().find(|path| path.is_file()) else {
        return Err(format!(
            "there is no file {file}, neither here nor beside the case; name it by its path"
        ));
    };
    let bytes = std::fs::read(path).map_err(|e| format!("{}: {e}", path.display()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn answer(figure: Figure, mut case: Map<String, Value>) -> (Value, bool) {
    match figure(&case) {
        Ok(answer) => {
            if let Some(words) = answer.words {
                case.insert("expected".to_owned(), Value::String(words));
            }
            case.insert("result".to_owned(), answer.result);
            (Value::Object(case), true)
        }
        Err(problem) => {
            case.remove("expected");
            case.insert("error".to_owned(), Value::String(problem));
            (Value::Object(case), false)
        }
    }
}

fn read(source: &Source) -> Result<String, String> {
    if let Some(path) = source.case.as_deref().filter(|path| path.as_os_str() != "-") {
        if let Some(folder) = path.parent() {
            FOLDER.get_or_init(|| folder.to_owned());
        }
        std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
    } else {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text).map_err(|e| format!("standard input: {e}"))?;
        Ok(text)
    }
}
