//! Figure `spacing`.

use groundwright_geometry::layout;
use groundwright_units::constants::{FOOT, INCH, SQUARE_FOOT};
use groundwright_yard::{size_bought, spread_curve};
use serde_json::{Map, Value, json};

use super::{Answer, case, prose};

pub(super) const EXAMPLE: &str =
    r#"{ "spacing": "18 in", "area": "410 sq ft", "rectangle": { "length": "20 ft", "width": "6 ft" } }"#;
pub(super) const HELP: &str = "Example:\n  echo '{ \"spacing\": \"18 in\", \"area\": \"410 sq ft\" }' | groundwright figure spacing\n  \
    echo '{ \"plant\": \"polystichum-munitum\", \"size\": \"#1\", \"filled_in\": 4 }' | groundwright figure spacing";

pub(super) fn figure(case: &Map<String, Value>) -> Result<Answer, String> {
    if let Some((topic, text)) = prose::sentence(case) {
        return in_words(topic, text);
    }
    let spacing = match case::text(case, "plant")? {
        Some(plant) => to_fill(case, plant)?,
        None => case::required_length(case, "spacing")?,
    };
    positive("spacing", spacing)?;
    let (square, triangular) = (layout::square_density(spacing), layout::triangular_density(spacing));
    let mut result = json!({
        "spacing_m": spacing,
        "square_per_m2": square,
        "triangular_per_m2": triangular,
        "square_per_100_sq_ft": square * 100.0 * SQUARE_FOOT,
        "triangular_per_100_sq_ft": triangular * 100.0 * SQUARE_FOOT,
    });
    if let Some(area) = case::area(case, "area")? {
        positive("area", area)?;
        result["square_plants"] = json!(layout::plants_for_area(area, square));
        result["triangular_plants"] = json!(layout::plants_for_area(area, triangular));
    }
    if let Some(Value::Object(rectangle)) = case.get("rectangle") {
        let length = case::required_length(rectangle, "length")?;
        let width = case::required_length(rectangle, "width")?;
        result["square_rows"] = json!(layout::square_rows(length, width, spacing));
        result["triangular_rows"] = json!(layout::triangular_rows(length, width, spacing));
    }
    Ok(Answer::new(result))
}

/// Spacing at which the crowns of a plant of the stock touch. [m]
fn to_fill(case: &Map<String, Value>, plant: &str) -> Result<f64, String> {
    let stock = groundwright_plan::stock::embedded();
    let taxon = stock.taxa.values().find(|taxon| taxon.id.as_str() == plant).ok_or_else(|| {
        let near = groundwright_units::nearest_name(
            plant,
            stock.taxa.keys().map(groundwright_plan::TaxonId::as_str),
        );
        format!(
            "no plant `{plant}` in the stock{}",
            near.map_or(String::new(), |near| format!("; did you mean `{near}`?"))
        )
    })?;
    let years =
        case::number(case, "filled_in")?.ok_or("`filled_in` is missing; expected years, such as 4")?;
    let size = case::text(case, "size")?;
    let container = size_bought(stock, taxon, size);
    if let (Some(size), None) = (size, container) {
        return Err(format!("no container `{size}` in the stock"));
    }
    spread_curve(taxon, container).spacing_to_fill(years).map_err(|e| e.to_string())
}

fn positive(what: &str, value: f64) -> Result<(), String> {
    if value.is_finite() && value > 0.0 {
        Ok(())
    } else {
        Err(format!("the {what} is {value}; expected more than 0"))
    }
}

fn in_words(topic: &str, text: &str) -> Result<Answer, String> {
    match topic {
        "density" => {
            let n = prose::numbers(text, &["on-centre spacing", "in"], 1)?;
            let d = n[0] * INCH;
            positive("spacing", d)?;
            let (s, t) =
                (layout::square_density(d) * SQUARE_FOOT, layout::triangular_density(d) * SQUARE_FOOT);
            let words = format!(
                "square {s:.4}/sq ft ({:.2} per 100 sq ft); triangular {t:.4}/sq ft ({:.2} per 100 sq ft)",
                100.0 * s,
                100.0 * t
            );
            Ok(Answer::in_words(json!({ "square_per_sq_ft": s, "triangular_per_sq_ft": t }), words))
        }
        "area-count" => {
            let n = prose::numbers(text, &["bed", "sq ft", "in o.c."], 2)?;
            let (area, d) = (n[0] * SQUARE_FOOT, n[1] * INCH);
            positive("spacing", d)?;
            let one = |density: f64| (area * density, layout::plants_for_area(area, density));
            let (s, t) = (one(layout::square_density(d)), one(layout::triangular_density(d)));
            let words =
                format!("square {:.3} -> {} plants; triangular {:.3} -> {} plants", s.0, s.1, t.0, t.1);
            Ok(Answer::in_words(json!({ "square_plants": s.1, "triangular_plants": t.1 }), words))
        }
        "layout" => rectangle(text),
        other => Err(prose::unknown(other, &["density", "area-count", "layout"])),
    }
}

fn rectangle(text: &str) -> Result<Answer, String> {
    let n = prose::numbers(text, &["rectangle", "ft", "in o.c.", "half a spacing from the edges"], 3)?;
    let (length, width, d) = (n[0] * FOOT, n[1] * FOOT, n[2] * INCH);
    positive("spacing", d)?;
    let square = layout::square_rows(length, width, d);
    let triangular = layout::triangular_rows(length, width, d);
    let (first, second) = (triangular.first().copied().unwrap_or(0), triangular.get(1).copied().unwrap_or(0));
    let words = format!(
        "square grid {} x {} = {}; triangular: {} rows at pitch {:.4} in, rows of {first} and {second} alternating \
         (long row first) = {}",
        square.first().copied().unwrap_or(0),
        square.len(),
        square.iter().sum::<usize>(),
        triangular.len(),
        d / INCH * 3.0_f64.sqrt() / 2.0,
        triangular.iter().sum::<usize>(),
    );
    Ok(Answer::in_words(json!({ "square_rows": square, "triangular_rows": triangular }), words))
}
