//! A display list as standalone SVG 1.1.
//!
//! - In: a display list and a title. Out: text, UTF-8, that any browser or drawing program opens at
//!   true size: width and height in millimetres, one user unit a millimetre.
//! - One group a layer, in the order of painting, with the layer's name as `id`.
//! - Numbers have at most three decimals (a micrometre), so equal drawings give equal bytes.
//! - Colours are attributes, never inline styles, so that a strict content policy accepts it.
//! - Letters use the reader's sans-serif; a halo is a white copy below them, hidden from readers of
//!   the accessible text.

use std::fmt::Write;

use kurbo::{BezPath, PathEl, Point};

use crate::display::{DisplayList, Face, Item, Primitive, Rgb, Stroke};
use crate::paint::anchor_word;
use crate::text_width::CAP_HEIGHT_OF_EM;

/// Width of the halo's rim in heights of capitals.
const HALO: f64 = 0.45;

/// Writes a display list as SVG.
pub fn svg(list: &DisplayList, title: &str) -> String {
    let mut out = String::with_capacity(200 * list.items.len() + 1_000);
    head(&mut out, list, title);
    let mut names: Vec<&str> = Vec::new();
    for run in list.items.chunk_by(|a, b| a.layer.name == b.layer.name) {
        let layer = run[0].layer;
        // A list made by hand may come back to a layer; identifiers must not repeat.
        let earlier = names.iter().filter(|name| **name == layer.name).count();
        names.push(layer.name);
        let suffix = if earlier == 0 { String::new() } else { format!("-{}", earlier + 1) };
        line(
            &mut out,
            &format!(r#"<g id="{}{suffix}" data-title="{}">"#, escape(layer.name), escape(layer.title)),
        );
        for item in run {
            self::item(&mut out, item);
        }
        line(&mut out, "</g>");
    }
    out.push_str("</g>\n</svg>\n");
    out
}

fn line(out: &mut String, text: &str) {
    out.push_str(text);
    out.push('\n');
}

fn head(out: &mut String, list: &DisplayList, title: &str) {
    let (width, height) = (number(list.width_mm), number(list.height_mm));
    line(out, r#"<?xml version="1.0" encoding="UTF-8"?>"#);
    line(
        out,
        &format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}" role="img" aria-labelledby="drawing-title drawing-description">"#
        ),
    );
    line(out, &format!(r#"<title id="drawing-title">{}</title>"#, escape(title)));
    let layers = list.items.chunk_by(|a, b| a.layer.name == b.layer.name);
    let titles: Vec<&str> = layers.map(|run| run[0].layer.title).collect();
    line(
        out,
        &format!(
            r#"<desc id="drawing-description">Drawing to scale, {width} by {height} millimetres. Layers: {}.</desc>"#,
            escape(&titles.join("; "))
        ),
    );
    line(
        out,
        &format!(
            r#"<defs><clipPath id="drawing-window"><rect x="0" y="0" width="{width}" height="{height}"/></clipPath></defs>"#
        ),
    );
    line(
        out,
        r#"<g clip-path="url(#drawing-window)" fill="none" stroke-linejoin="round" font-family="sans-serif">"#,
    );
}

fn item(out: &mut String, item: &Item) {
    let key = escape(&item.key);
    match &item.primitive {
        Primitive::Path { path, stroke, fill } => {
            let mut attributes = String::new();
            if let Some(fill) = fill {
                let _ = write!(attributes, r#" fill="{}""#, hex(*fill));
            }
            if let Some(stroke) = stroke {
                attributes += &stroke_attributes(stroke);
            }
            line(out, &format!(r#"<path data-key="{key}" d="{}"{attributes}/>"#, path_data(path)));
        }
        Primitive::Text { at, text, cap_height_mm, anchor, rotation, colour, face, halo } => {
            let mut attributes = format!(
                r#"x="{}" y="{}" font-size="{}" text-anchor="{}""#,
                number(at.x),
                number(at.y),
                number(cap_height_mm / CAP_HEIGHT_OF_EM),
                anchor_word(*anchor)
            );
            attributes += match face {
                Face::Regular => "",
                Face::Bold => r#" font-weight="bold""#,
                Face::Italic => r#" font-style="italic""#,
            };
            if *rotation != 0.0 {
                let degrees = number(rotation.to_degrees());
                let _ =
                    write!(attributes, r#" transform="rotate({degrees} {} {})""#, number(at.x), number(at.y));
            }
            let text = escape(text);
            if *halo {
                let rim = number(HALO * cap_height_mm);
                line(
                    out,
                    &format!(
                        r##"<text {attributes} fill="#ffffff" stroke="#ffffff" stroke-width="{rim}" aria-hidden="true">{text}</text>"##
                    ),
                );
            }
            line(
                out,
                &format!(r#"<text data-key="{key}" {attributes} fill="{}">{text}</text>"#, hex(*colour)),
            );
        }
    }
}

fn stroke_attributes(stroke: &Stroke) -> String {
    let mut text = format!(r#" stroke="{}" stroke-width="{}""#, hex(stroke.colour), number(stroke.width_mm));
    if !stroke.dash_mm.is_empty() {
        let dashes: Vec<String> = stroke.dash_mm.iter().map(|length| number(*length)).collect();
        let _ = write!(text, r#" stroke-dasharray="{}""#, dashes.join(" "));
    }
    text
}

fn path_data(path: &BezPath) -> String {
    let mut data = String::new();
    let mut put = |letter: &str, points: &[Point]| {
        data.push_str(letter);
        for (i, point) in points.iter().enumerate() {
            let gap = if i == 0 { "" } else { " " };
            let _ = write!(data, "{gap}{} {}", number(point.x), number(point.y));
        }
    };
    for element in path.elements() {
        match element {
            PathEl::MoveTo(p) => put("M", &[*p]),
            PathEl::LineTo(p) => put("L", &[*p]),
            PathEl::QuadTo(p, q) => put("Q", &[*p, *q]),
            PathEl::CurveTo(p, q, r) => put("C", &[*p, *q, *r]),
            PathEl::ClosePath => put("Z", &[]),
        }
    }
    data
}

/// At most three decimals, without trailing zeros, and never `-0`.
fn number(value: f64) -> String {
    let thousandths = (value * 1000.0).round() + 0.0;
    let text = format!("{:.3}", thousandths / 1000.0);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn hex(Rgb(r, g, b): Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// Text for content and attributes; characters that XML 1.0 forbids become a replacement mark.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            _ => out.push(letter),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_exact_to_a_micrometre() {
        for (value, text) in
            [(1.0, "1"), (0.13, "0.13"), (-0.000_1, "0"), (12.345_67, "12.346"), (-2.5, "-2.5")]
        {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn everything_that_xml_forbids_is_replaced() {
        assert_eq!(escape("a<b & \"c\"\u{7}"), "a&lt;b &amp; &quot;c&quot;\u{fffd}");
    }
}
