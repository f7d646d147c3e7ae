//! One-line diagrams: every run of a transformer as a tree, lengths along it to scale.
//!
//! - A run begins at the left; lamps lie as far along it as cable leads to them, branches one line lower.
//! - A millimetre on paper is what the sheet makes of a metre of cable; heights are in rows.

use groundwright_geometry::Point;
use groundwright_handoff::{Frame, Pen, TextAnchor, Tone, Weight};
use groundwright_plan::{ElementId, Kind};

use super::marks::{CABLE, LAMP, Sheet, WORDS, words};
use super::{LightStudy, TransformerRun};
use crate::design::{Design, DesignedRun};

/// Height of a line of a run, and of the gap between runs, as lengths of cable. [m]
const LINE: f64 = 2.6;
const GAP: f64 = 1.6;

/// Name of the frame of a transformer's diagram.
pub fn circuit_frame(transformer: &ElementId) -> Frame {
    Frame::Diagram(format!("circuit {transformer}"))
}

pub(super) fn draw(study: &LightStudy<'_>, run: &TransformerRun<'_>, sheet: &mut Sheet) {
    let Ok(design) = &run.design else { return };
    let element = run.element();
    let frame = circuit_frame(&run.transformer.id);
    let mut bottom = 0.0;
    let mut starts = Vec::new();
    for (number, part) in design.runs.iter().enumerate() {
        starts.push(bottom);
        bottom = circuit(study, run, part, number + 1, bottom, sheet) - GAP;
    }
    let pen = Pen::solid(Weight::Heavy, Tone::Ink);
    let (top, low) = (1.2, starts.last().copied().unwrap_or(0.0) - 1.2);
    let corners =
        [Point::new(-3.0, low), Point::new(-1.0, low), Point::new(-1.0, top), Point::new(-3.0, top)];
    sheet.area(&element, &CABLE, &frame, &corners, (Some(pen), None));
    let label = format!("{}\n{}", run.transformer.label, load_words(run, design));
    sheet.put(&element, &WORDS, &frame, words(Point::new(-3.2, top), &label, 2.2, TextAnchor::Right));
}

fn load_words(run: &TransformerRun<'_>, design: &Design) -> String {
    let rating = run.product.map_or(0.0, |product| product.rating);
    format!("{:.0} of {rating:.0} VA", design.loading.load)
}

/// Draws a run from a height downward; returns how far down it came.
fn circuit(
    study: &LightStudy<'_>,
    run: &TransformerRun<'_>,
    part: &DesignedRun,
    number: usize,
    top: f64,
    sheet: &mut Sheet,
) -> f64 {
    let frame = circuit_frame(&run.transformer.id);
    let element = run.element();
    let pen = Pen::solid(Weight::Medium, Tone::Ink);
    let sized = &part.sized;
    let layout = &part.layout;
    let mut along = vec![0.0; layout.joints.len()];
    let mut row = vec![0_usize; layout.joints.len()];
    let mut rows = 0;
    let line = |row: usize| top - row as f64 * LINE;
    // From the transformer outwards, the first cable of a joint straight on, others one line lower each.
    let mut open = vec![0_usize];
    let mut seen = vec![false; layout.joints.len()];
    while let Some(joint) = open.pop() {
        let mut onward: Vec<_> = layout.pieces.iter().filter(|p| p.from == joint && !seen[p.to]).collect();
        onward.sort_by(|a, b| b.length.total_cmp(&a.length));
        for (i, piece) in onward.iter().enumerate() {
            seen[piece.to] = true;
            if i > 0 {
                rows += 1;
            }
            row[piece.to] = if i == 0 { row[joint] } else { rows };
            along[piece.to] = along[joint] + piece.length;
            let (a, b) = (Point::new(along[joint], line(row[joint])), Point::new(along[joint], line(row[piece.to])));
            let end = Point::new(along[piece.to], line(row[piece.to]));
            let bend = if i == 0 { vec![a, end] } else { vec![a, b, end] };
            sheet.line(&element, &CABLE, &frame, &bend, pen);
            let gauge = if piece.home { sized.home } else { sized.rest };
            if piece.length > 4.0 {
                let middle = Point::new(f64::midpoint(along[joint], along[piece.to]), line(row[piece.to]) + 0.25);
                let text = format!("{} · {} AWG", study.reader.length(piece.length), gauge.awg());
                sheet.put(&element, &WORDS, &frame, words(middle, &text, 1.7, TextAnchor::Middle));
            }
        }
        // What goes straight on is drawn last, so that its branches take the lines below it in order.
        open.extend(onward.iter().rev().map(|piece| piece.to));
    }
    let sentence = format!(
        "run {number}: tap {:.0} V, {:.0} VA, {}",
        sized.tap,
        sized.all_on.balance.supplied,
        super::tables::topology(part.layout.topology)
    );
    let above = Point::new(0.0, line(0) + 0.9);
    sheet.put(&element, &WORDS, &frame, words(above, &sentence, 1.9, TextAnchor::Left));
    for (i, member) in part.lamps.iter().enumerate() {
        let (Some(joint), Some(lamp)) = (layout.lamps.get(i), run.lamps.get(*member).map(|l| &study.lamps[*l]))
        else {
            continue;
        };
        let at = Point::new(along[*joint], line(row[*joint]));
        let lamp_element = groundwright_plan::ElementRef::new(Kind::Light, &lamp.light.id);
        sheet.disc(&lamp_element, &LAMP, &frame, at, 0.28);
        let volts = sized.lowest.get(i).copied().unwrap_or(0.0);
        let text = format!("{}\n{volts:.1} V", lamp.tag());
        sheet.put(
            &lamp_element,
            &WORDS,
            &frame,
            words(at - groundwright_geometry::Vec2::new(0.0, 0.75), &text, 1.7, TextAnchor::Middle),
        );
    }
    line(rows) - LINE
}
