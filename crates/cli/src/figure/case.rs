//! Fields of a case.

use groundwright_geometry::Point;
use groundwright_units as units;
use serde_json::{Map, Value};

type Case = Map<String, Value>;

fn wrong(key: &str, value: &Value, expected: &str) -> String {
    format!("`{key}` is {value}; expected {expected}")
}

/// A text, if it is there.
pub(crate) fn text<'c>(case: &'c Case, key: &str) -> Result<Option<&'c str>, String> {
    match case.get(key) {
        None => Ok(None),
        Some(value) => value.as_str().map(Some).ok_or_else(|| wrong(key, value, "a text in quotes")),
    }
}

/// A number, if it is there.
pub(crate) fn number(case: &Case, key: &str) -> Result<Option<f64>, String> {
    match case.get(key) {
        None => Ok(None),
        Some(value) => value.as_f64().map(Some).ok_or_else(|| wrong(key, value, "a number")),
    }
}

/// A share: `0.2` or `"20 %"`.
pub(crate) fn share(case: &Case, key: &str) -> Result<Option<f64>, String> {
    let Some(value) = case.get(key) else { return Ok(None) };
    let found = match value.as_str() {
        Some(text) => {
            text.trim().strip_suffix('%').and_then(|t| t.trim().parse::<f64>().ok()).map(|v| v / 100.0)
        }
        None => value.as_f64(),
    };
    found
        .filter(|v| v.is_finite())
        .map(Some)
        .ok_or_else(|| wrong(key, value, "a share such as \"20 %\" or 0.2"))
}

/// A length, if it is there: a text with its unit, or a number of metres. [m]
pub(crate) fn length(case: &Case, key: &str) -> Result<Option<f64>, String> {
    let Some(value) = case.get(key) else { return Ok(None) };
    length_value(key, value).map(Some)
}

/// A length out of a value. [m]
pub(crate) fn length_value(key: &str, value: &Value) -> Result<f64, String> {
    match value.as_str() {
        Some(text) => {
            units::parse_length(text, None).map(|p| p.value.metres()).map_err(|e| format!("`{key}`: {e}"))
        }
        None => {
            value.as_f64().ok_or_else(|| wrong(key, value, "a length such as \"12' 6\\\"\" or \"3.8 m\""))
        }
    }
}

/// A length that must be there. [m]
pub(crate) fn required_length(case: &Case, key: &str) -> Result<f64, String> {
    length(case, key)?.ok_or_else(|| format!("`{key}` is missing; expected a length such as \"18 in\""))
}

/// An area, if it is there. [m²]
pub(crate) fn area(case: &Case, key: &str) -> Result<Option<f64>, String> {
    let Some(value) = case.get(key) else { return Ok(None) };
    area_value(key, value).map(Some)
}

/// An area out of a value. [m²]
pub(crate) fn area_value(key: &str, value: &Value) -> Result<f64, String> {
    match value.as_str() {
        Some(text) => units::parse_area(text, None)
            .map(|p| p.value.square_metres())
            .map_err(|e| format!("`{key}`: {e}")),
        None => value.as_f64().ok_or_else(|| wrong(key, value, "an area such as \"240 sq ft\"")),
    }
}

/// A flow, if it is there: a text with its unit, or a number of m³/s.
pub(crate) fn flow(case: &Case, key: &str) -> Result<Option<f64>, String> {
    let Some(value) = case.get(key) else { return Ok(None) };
    match value.as_str() {
        Some(text) => units::parse_flow(text, None)
            .map(|p| Some(p.value.cubic_metres_per_second()))
            .map_err(|e| format!("`{key}`: {e}")),
        None => value.as_f64().map(Some).ok_or_else(|| wrong(key, value, "a flow such as \"50 gpm\"")),
    }
}

/// A speed, such as the intensity of rain, if it is there: a text with its unit, or a number of m/s.
pub(crate) fn speed(case: &Case, key: &str) -> Result<Option<f64>, String> {
    let Some(value) = case.get(key) else { return Ok(None) };
    match value.as_str() {
        Some(text) => units::parse_speed(text, None)
            .map(|p| Some(p.value.metres_per_second()))
            .map_err(|e| format!("`{key}`: {e}")),
        None => value.as_f64().map(Some).ok_or_else(|| wrong(key, value, "a speed such as \"4 in/h\"")),
    }
}

/// A time that must be there: "30 min", "2 h", or a number of seconds. [s]
pub(crate) fn required_time(case: &Case, key: &str) -> Result<f64, String> {
    let expected = "a time such as \"30 min\" or \"2 h\"";
    let value = case.get(key).ok_or_else(|| format!("`{key}` is missing; expected {expected}"))?;
    let Some(text) = value.as_str() else {
        return value.as_f64().ok_or_else(|| wrong(key, value, expected));
    };
    let text = text.trim();
    let digits = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
    let size = match text[digits..].trim() {
        "s" => 1.0,
        "min" => units::constants::MINUTE,
        "h" => units::constants::HOUR,
        "d" => units::constants::DAY,
        _ => return Err(wrong(key, value, expected)),
    };
    text[..digits].parse::<f64>().map(|count| count * size).map_err(|_| wrong(key, value, expected))
}

/// Our number with as many decimals as a printed one has; with `digits` significant digits where
/// nothing is printed.
pub(crate) fn as_printed(printed: Option<&Value>, ours: f64, digits: u8) -> Value {
    let text = printed.and_then(Value::as_number).map(ToString::to_string);
    let decimals = text.as_deref().map(|text| text.split_once('.').map_or(0, |(_, after)| after.len()));
    match decimals {
        Some(decimals) => format!("{ours:.decimals$}").parse::<f64>().map_or(Value::Null, Value::from),
        None => Value::from(units::significant(ours, digits)),
    }
}

/// A volume out of a text. [m³]
pub(crate) fn volume(key: &str, value: &Value) -> Result<f64, String> {
    let text = value.as_str().ok_or_else(|| wrong(key, value, "a volume such as \"2 cu ft\""))?;
    units::parse_volume(text, None).map(|p| p.value.cubic_metres()).map_err(|e| format!("`{key}`: {e}"))
}

/// A mass out of a text. [kg]
pub(crate) fn mass(key: &str, value: &Value) -> Result<f64, String> {
    let text = value.as_str().ok_or_else(|| wrong(key, value, "a mass such as \"1.4 short ton\""))?;
    units::parse_mass(text, None).map(|p| p.value.kilograms()).map_err(|e| format!("`{key}`: {e}"))
}

/// Yes or no; no if it is not there.
pub(crate) fn flag(case: &Case, key: &str) -> Result<bool, String> {
    match case.get(key) {
        None => Ok(false),
        Some(value) => value.as_bool().ok_or_else(|| wrong(key, value, "true or false")),
    }
}

/// A place `[x, y]`. [m]
pub(crate) fn place(key: &str, value: &Value) -> Result<Point, String> {
    let pair = value.as_array().filter(|pair| pair.len() == 2);
    match pair {
        Some(pair) => Ok(Point::new(length_value(key, &pair[0])?, length_value(key, &pair[1])?)),
        None => Err(wrong(key, value, "a place [x, y]")),
    }
}

/// A number, as such or as a text: rows of a table come as texts. An empty text is no number.
pub(crate) fn decimal(case: &Case, key: &str) -> Result<Option<f64>, String> {
    let Some(value) = case.get(key) else { return Ok(None) };
    let found = match value {
        Value::String(text) if text.trim().is_empty() => return Ok(None),
        Value::String(text) => text.trim().parse::<f64>().ok(),
        Value::Null => return Ok(None),
        other => other.as_f64(),
    };
    found.filter(|v| v.is_finite()).map(Some).ok_or_else(|| wrong(key, value, "a number"))
}

/// A number that must be there, as such or as a text.
pub(crate) fn needed_decimal(case: &Case, key: &str) -> Result<f64, String> {
    decimal(case, key)?.ok_or_else(|| format!("`{key}` is missing; expected a number"))
}
