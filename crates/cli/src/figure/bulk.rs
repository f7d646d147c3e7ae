//! Figure `bulk`.

use groundwright_planting::{bulk, root_ball};
use groundwright_site::protection;
use groundwright_units::constants::{
    CUBIC_FOOT, CUBIC_YARD, FOOT, INCH, POUND, SHORT_TON, SQUARE_FOOT, TONNE,
};
use serde_json::{Map, Value, json};

use super::{Answer, case, prose};

pub(super) const EXAMPLE: &str =
    r#"{ "area": "1250 sq ft", "depth": "2 in", "settlement": "20 %", "bags": ["2 cu ft", "3 cu ft"] }"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"area\": \"540 sq ft\", \"depth\": \"3 in\", \"bags\": [\"2 cu ft\"] }' | groundwright figure bulk";

/// Assumed unit weight of a root ball, and share of the cylinder that a tapered ball is.
const BALL_POUNDS_TO_CUBIC_FOOT: f64 = 110.0;
const TAPERED: f64 = 0.8;
/// Bags of lime. [lb]
const LIME_BAG: f64 = 40.0;

fn told<T>(result: Result<T, bulk::BulkError>) -> Result<T, String> {
    result.map_err(|e| e.to_string())
}

pub(super) fn figure(case: &Map<String, Value>) -> Result<Answer, String> {
    if let Some((topic, text)) = prose::sentence(case) {
        return in_words(topic, text);
    }
    let plan =
        case::area(case, "area")?.ok_or("`area` is missing; expected an area such as \"540 sq ft\"")?;
    let depth = case::required_length(case, "depth")?;
    let settlement = case::share(case, "settlement")?.unwrap_or(0.0);
    let slope = case::share(case, "slope")?.unwrap_or(0.0);
    let area = told(bulk::true_area(plan, slope))?;
    let volume = told(bulk::loose_volume(area, depth, settlement))?;
    let mut result = json!({
        "area_m2": area,
        "loose_volume_m3": volume,
        "loose_volume_cu_yd": volume / CUBIC_YARD,
    });
    if let Some(bags) = case.get("bags").and_then(Value::as_array) {
        let counts: Result<Vec<Value>, String> = bags
            .iter()
            .map(|bag| {
                let contents = case::volume("bags", bag)?;
                Ok(json!({ "bag": bag, "count": told(bulk::packs(volume, contents))? }))
            })
            .collect();
        result["bags"] = Value::Array(counts?);
    }
    if let Some(Value::Object(density)) = case.get("density") {
        let mass = case::mass("density.mass", density.get("mass").unwrap_or(&Value::Null))?;
        let to = case::volume("density.to", density.get("to").unwrap_or(&Value::Null))?;
        if to <= 0.0 {
            return Err("`density.to` is no volume; expected one such as \"1 cu yd\"".to_owned());
        }
        result["mass_kg"] = json!(volume * mass / to);
    }
    Ok(Answer::new(result))
}

const TOPICS: [&str; 10] = [
    "slope",
    "bulk",
    "tonnage",
    "sod",
    "fertiliser",
    "lime",
    "swell",
    "root-ball",
    "hole",
    "tree-protection",
];

fn in_words(topic: &str, text: &str) -> Result<Answer, String> {
    match topic {
        "slope" => slope(text),
        "bulk" => layer(text),
        "tonnage" => tonnage(text),
        "sod" => sod(text),
        "fertiliser" => fertiliser(text),
        "lime" => lime(text),
        "swell" => swell(text),
        "root-ball" => ball(text),
        "hole" => hole(text),
        "tree-protection" => tree(text),
        other => Err(prose::unknown(other, &TOPICS)),
    }
}

fn slope(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["plan area", "sq ft", "(run:rise) slope"], 3)?;
    let area = told(bulk::true_area(n[0] * SQUARE_FOOT, n[2] / n[1]))? / SQUARE_FOOT;
    Ok(Answer::in_words(json!({ "true_area_sq_ft": area }), format!("true area {area:.3} sq ft")))
}

fn layer(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["sq ft at", "in"], 2)?;
    let settlement = if text.contains("settling") { n.get(2).copied().unwrap_or(0.0) / 100.0 } else { 0.0 };
    let volume = told(bulk::loose_volume(n[0] * SQUARE_FOOT, n[1] * INCH, settlement))?;
    let bags = |cubic_feet: f64| told(bulk::packs(volume, cubic_feet * CUBIC_FOOT));
    let (two, three) = (bags(2.0)?, bags(3.0)?);
    let words = format!(
        "{:.4} cu yd; {:.2} cu ft; {two:.0} bags of 2 cu ft; {three:.0} bags of 3 cu ft",
        volume / CUBIC_YARD,
        volume / CUBIC_FOOT
    );
    Ok(Answer::in_words(
        json!({ "loose_volume_m3": volume, "bags_of_2_cu_ft": two, "bags_of_3_cu_ft": three }),
        words,
    ))
}

fn tonnage(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["cu yd at", "short ton/cu yd"], 2)?;
    let mass = n[0] * n[1] * SHORT_TON;
    let words = format!("{:.4} short ton = {:.1} lb = {:.4} t", mass / SHORT_TON, mass / POUND, mass / TONNE);
    Ok(Answer::in_words(json!({ "mass_kg": mass }), words))
}

fn sod(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["sq ft of lawn", "% waste", "pallet", "slab"], 5)?;
    let (area, pallet, slab) = (n[0] * (1.0 + n[1] / 100.0), n[2], n[3] * n[4] / 144.0);
    let (pallets, slabs) = (told(bulk::packs(area, pallet))?, told(bulk::packs(area, slab))?);
    let words = format!(
        "{area:.2} sq ft -> {pallets:.0} pallets; {slabs:.0} slabs ({slab:.4} sq ft each; {:.2} slabs make {pallet} sq ft)",
        pallet / slab
    );
    Ok(Answer::in_words(json!({ "pallets": pallets, "slabs": slabs }), words))
}

fn fertiliser(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["sq ft", "lb N per", "% N product"], 4)?;
    let nitrogen = n[1] * POUND / (n[2] * SQUARE_FOOT);
    let rate = told(bulk::fertiliser_rate(nitrogen, n[3] / 100.0))?;
    let per_thousand = rate * 1000.0 * SQUARE_FOOT / POUND;
    let words = format!("{per_thousand:.4} lb per 1000 sq ft; {:.3} lb in all", per_thousand * n[0] / 1000.0);
    Ok(Answer::in_words(json!({ "rate_kg_per_m2": rate, "mass_kg": rate * n[0] * SQUARE_FOOT }), words))
}

fn lime(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["sq ft at", "lb per"], 3)?;
    let pounds = n[0] * n[1] / n[2];
    let bags = told(bulk::packs(pounds, LIME_BAG))?;
    let words = format!("{pounds:.2} lb; {bags:.0} bags of {LIME_BAG:.0} lb");
    Ok(Answer::in_words(json!({ "mass_kg": pounds * POUND, "bags": bags }), words))
}

fn swell(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["bank cu yd", "swell", "shrinkage"], 3)?;
    let (bank, swell, shrinkage) = (n[0] * CUBIC_YARD, n[1] / 100.0, n[2] / 100.0);
    let earth = told(bulk::Earth::from_bank(bank, swell, shrinkage))?;
    let need = told(bulk::Earth::from_compacted(bank, swell, shrinkage))?;
    let yards = |volume: f64| volume / CUBIC_YARD;
    let words = format!(
        "loose {:.3}; compacted {:.3}; bank needed for {} compacted cu yd {:.3}; loose to import for that {:.3}",
        yards(earth.loose),
        yards(earth.compacted),
        n[0],
        yards(need.bank),
        yards(need.loose)
    );
    let result = json!({
        "loose_m3": earth.loose, "compacted_m3": earth.compacted,
        "bank_needed_m3": need.bank, "loose_to_import_m3": need.loose,
    });
    Ok(Answer::in_words(result, words))
}

fn ball(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["in calliper", "minimum ball diameter"], 2)?;
    let diameter = n[1] * INCH;
    let depth = told(root_ball::ball_depth(diameter))?;
    let volume = told(root_ball::cylinder(diameter, depth))?;
    let pounds = volume / CUBIC_FOOT * BALL_POUNDS_TO_CUBIC_FOOT;
    let words = format!(
        "minimum depth {:.2} in; cylinder volume {:.4} cu ft; at {BALL_POUNDS_TO_CUBIC_FOOT:.0} lb/cu ft {pounds:.1} lb as a \
         full cylinder, {:.1} lb if tapered to 80 %",
        depth / INCH,
        volume / CUBIC_FOOT,
        TAPERED * pounds
    );
    Ok(Answer::in_words(json!({ "depth_m": depth, "volume_m3": volume, "mass_kg": pounds * POUND }), words))
}

fn hole(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["root ball", "in diameter x", "in deep", "x the ball width"], 3)?;
    let hole = told(root_ball::hole(n[0] * INCH, n[1] * INCH, n[2]))?;
    let yards = |volume: f64| volume / CUBIC_YARD;
    let words = format!(
        "hole {:.5} cu yd; ball {:.5} cu yd; backfill {:.5} cu yd (= {:.2} x ball); spoil left over, before swell, {:.5} cu yd",
        yards(hole.hole),
        yards(hole.ball),
        yards(hole.backfill),
        hole.backfill / hole.ball,
        yards(hole.spoil)
    );
    let result = json!({
        "hole_m3": hole.hole, "ball_m3": hole.ball, "backfill_m3": hole.backfill, "spoil_m3": hole.spoil,
    });
    Ok(Answer::in_words(result, words))
}

fn tree(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["trunk", "in DBH"], 1)?;
    let diameter = n[0] * INCH;
    let radius = |feet_per_inch: f64| {
        protection::radius(diameter, feet_per_inch * FOOT / INCH, 0.0).map_err(|e| e.to_string())
    };
    let radii = [radius(1.0)?, radius(1.25)?, radius(1.5)?];
    let area = std::f64::consts::PI * radii[0] * radii[0] / SQUARE_FOOT;
    let words = format!(
        "radius 1.0 ft/in: {:.1} ft; 1.25 ft/in: {:.2} ft; 1.5 ft/in: {:.1} ft; area at 1.0 ft/in {area:.2} sq ft",
        radii[0] / FOOT,
        radii[1] / FOOT,
        radii[2] / FOOT
    );
    Ok(Answer::in_words(json!({ "radii_m": radii }), words))
}
