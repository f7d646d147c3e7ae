//! The frame of a DXF file: header, layers, line types, blocks.
//!
//! - In: the marks shown and their entities. Out: the text that the `dxf` crate writes.
//! - The crate has no public way to make a line weight: they are read from [`TEMPLATE`]. It takes
//!   clocks and random identifiers when it makes a header: `mend.rs` writes constants over them.

use std::collections::BTreeMap;

use dxf::entities::Entity;
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use dxf::tables::{Layer as DxfLayer, LineType};
use dxf::{Block, Color, Drawing, DxfResult, LineWeight, Point as DxfPoint};
use groundwright_handoff::{Glyph, Layer, Mark, Pattern, Shape, Tone, Weight};

use super::{DrawingUnit, entities};
use crate::display::View;
use crate::look::{self, glyphs};

/// Weight of an entity that takes the weight of the insert of its block (group 370).
pub const BY_BLOCK: i16 = -2;

/// One layer for each line weight.
const TEMPLATE: &str = "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n\
    0\nLAYER\n2\n13\n370\n13\n0\nLAYER\n2\n18\n370\n18\n0\nLAYER\n2\n25\n370\n25\n\
    0\nLAYER\n2\n35\n370\n35\n0\nLAYER\n2\n50\n370\n50\n0\nENDTAB\n0\nENDSEC\n0\nEOF\n";

/// Writes the file as the crate writes it.
pub fn write(shown: &[&Mark], drawn: Vec<Entity>, view: &View, unit: DrawingUnit) -> DxfResult<String> {
    let template = Drawing::load(&mut TEMPLATE.as_bytes())?;
    let weights: BTreeMap<String, LineWeight> =
        template.layers().map(|layer| (layer.name.clone(), layer.line_weight.clone())).collect();
    let mut drawing = Drawing::new();
    header(&mut drawing, &drawn, unit);
    spaces(&mut drawing);
    line_types(&mut drawing, view, unit);
    layers(&mut drawing, shown, &weights);
    blocks(&mut drawing, shown);
    for entity in drawn {
        drawing.add_entity(entity);
    }
    let mut bytes = Vec::new();
    drawing.save(&mut bytes)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn header(drawing: &mut Drawing, drawn: &[Entity], unit: DrawingUnit) {
    let header = &mut drawing.header;
    header.version = AcadVersion::R2010;
    header.last_saved_by = String::new();
    (header.default_drawing_units, header.drawing_units) = match unit {
        DrawingUnit::Metre => (Units::Meters, DrawingUnits::Metric),
        DrawingUnit::Foot => (Units::Feet, DrawingUnits::English),
    };
    header.display_linewieght_in_model_and_layout_tab = true;
    if let Some(extents) = entities::extents(drawn) {
        header.minimum_drawing_extents = DxfPoint::new(extents.x0, extents.y0, 0.0);
        header.maximum_drawing_extents = DxfPoint::new(extents.x1, extents.y1, 0.0);
        for port in drawing.view_ports_mut() {
            port.view_center = DxfPoint::new(extents.center().x, extents.center().y, 0.0);
            port.view_height = (extents.height().max(extents.width()) * 1.1).max(1.0);
        }
    }
    drawing.header.normalize();
}

/// Model and paper space as blocks; the crate makes only their records.
fn spaces(drawing: &mut Drawing) {
    while drawing.remove_block_record(0).is_some() {}
    for name in ["*Model_Space", "*Paper_Space"] {
        let is_in_paperspace = name == "*Paper_Space";
        drawing.add_block(Block { name: name.to_owned(), is_in_paperspace, ..Block::default() });
    }
}

/// Name of the line type of a pattern.
pub const fn line_type(pattern: Pattern) -> &'static str {
    match pattern {
        Pattern::Continuous => "CONTINUOUS",
        Pattern::Dashed => "DASHED",
        Pattern::DashDot => "DASH-DOT",
        Pattern::Dotted => "DOTTED",
        Pattern::LongShortShort => "LONG-SHORT-SHORT",
    }
}

/// Dashes in file units, as a line of medium weight has them on paper.
fn line_types(drawing: &mut Drawing, view: &View, unit: DrawingUnit) {
    let width = look::width_mm(Weight::Medium) / view.mm_per_metre() * unit.in_a_metre();
    for pattern in look::PATTERNS {
        let dashes = look::dashes_of_width(pattern);
        if dashes.is_empty() {
            continue;
        }
        let signed = |(i, length): (usize, &f64)| if i % 2 == 0 { length * width } else { -length * width };
        drawing.add_line_type(LineType {
            name: line_type(pattern).to_owned(),
            description: line_type(pattern).to_lowercase().replace('-', " "),
            element_count: i32::try_from(dashes.len()).unwrap_or(i32::MAX),
            total_pattern_length: dashes.iter().sum::<f64>() * width,
            dash_dot_space_lengths: dashes.iter().enumerate().map(signed).collect(),
            ..LineType::default()
        });
    }
}

/// Name of a layer, without characters that DXF forbids in names.
pub fn layer_name(layer: &Layer) -> String {
    layer.name.chars().map(|letter| if r#"<>/\":;?*|,=`"#.contains(letter) { '-' } else { letter }).collect()
}

/// The layers of the marks shown, with the colour of the first mark and the weight of its pen.
fn layers(drawing: &mut Drawing, shown: &[&Mark], weights: &BTreeMap<String, LineWeight>) {
    for run in shown.chunk_by(|a, b| a.layer.name == b.layer.name) {
        let (tone, weight) =
            run.iter().map(|mark| pen_of(&mark.shape)).next().unwrap_or((Tone::Ink, Weight::Thin));
        let line_weight = weights.get(&hundredths(weight).to_string()).cloned().unwrap_or_default();
        drawing.add_layer(DxfLayer {
            name: layer_name(run[0].layer),
            color: colour(tone),
            line_weight,
            ..DxfLayer::default()
        });
    }
}

fn pen_of(shape: &Shape) -> (Tone, Weight) {
    match shape {
        Shape::Path { pen: Some(pen), .. } | Shape::Circle { pen: Some(pen), .. } => (pen.tone, pen.weight),
        Shape::Glyph { tone, .. } | Shape::Text { tone, .. } | Shape::Callout { tone, .. } => {
            (*tone, Weight::Thin)
        }
        _ => (Tone::Ink, Weight::Fine),
    }
}

/// Line weight in hundredths of a millimetre (group 370).
pub fn hundredths(weight: Weight) -> i16 {
    (look::width_mm(weight) * 100.0).round() as i16
}

/// Indexed colour of a tone. Index 7 is black on white and white on black, as the screen needs;
/// the others are clear on either, which the colours of paper are not.
pub fn colour(tone: Tone) -> Color {
    Color::from_index(match tone {
        Tone::Ink => 7,
        Tone::Faint => 8,
        Tone::New => 3,
        Tone::Keep => 5,
        Tone::Move => 30,
        Tone::Remove => 1,
        Tone::Earth => 34,
        Tone::Turf => 94,
        Tone::Water => 4,
        Tone::Hazard => 6,
    })
}

/// Name of the block of a sign.
pub fn block_name(glyph: Glyph) -> String {
    let name = match glyph {
        Glyph::PotCentre => "POT-CENTRE",
        Glyph::PotSecond => "POT-SECOND",
        Glyph::PotThird => "POT-THIRD",
        Glyph::PotFourth => "POT-FOURTH",
        Glyph::TransplantCentre => "TRANSPLANT-CENTRE",
        Glyph::TrunkKept => "TRUNK-KEPT",
        Glyph::Removed => "REMOVED",
        Glyph::Dug => "DUG",
        Glyph::ShrubKept => "SHRUB-KEPT",
        Glyph::Eye => "EYE",
        Glyph::Downspout => "DOWNSPOUT",
        Glyph::Utility => "UTILITY",
        Glyph::Buried => "BURIED",
        Glyph::Reference => "REFERENCE",
        Glyph::Door => "DOOR",
        Glyph::DropPlace => "DROP-PLACE",
        Glyph::SpotLevel => "SPOT-LEVEL",
    };
    format!("SIGN-{name}")
}

/// Blocks of the signs that occur.
fn blocks(drawing: &mut Drawing, shown: &[&Mark]) {
    for glyph in glyphs::GLYPHS {
        let occurs =
            |mark: &&Mark| matches!(&mark.shape, Shape::Glyph { glyph: other, .. } if *other == glyph);
        if shown.iter().any(occurs) {
            let entities = entities::glyph_block(glyph);
            drawing.add_block(Block { name: block_name(glyph), entities, ..Block::default() });
        }
    }
}
