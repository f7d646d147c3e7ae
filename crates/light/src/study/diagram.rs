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
use crate::runs::Layout;

/// Height of a line of a run, and of the gap between runs, as lengths of cable. [m]
const LINE: f64 = 2.6;
const GAP: f64 = 1.6;
/// Left and right side of the transformer's box.
const BOX: (f64, f64) = (-3.0, -1.0);

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
    let (top, low) = (1.8, starts.last().copied().unwrap_or(0.0) - 1.2);
    let corners =
        [Point::new(BOX.0, low), Point::new(BOX.1, low), Point::new(BOX.1, top), Point::new(BOX.0, top)];
    sheet.area(&element, &CABLE, &frame, &corners, (Some(pen), None));
    let label = format!("{}: {}", run.transformer.label, load_words(run, design));
    sheet.put(&element, &WORDS, &frame, words(Point::new(BOX.0, top + 0.6), &label, 2.2, TextAnchor::Left));
}

fn load_words(run: &TransformerRun<'_>, design: &Design) -> String {
    let rating = run.product.map_or(0.0, |product| product.rating);
    format!("{:.0} of {rating:.0} VA", design.loading.load)
}

/// Pieces of cable that lead on from each joint: to which, how long, whether it is the one from the
/// transformer; the one with the longest way behind it first.
fn onward(layout: &Layout) -> Vec<Vec<(usize, f64, bool)>> {
    let mut onward = vec![Vec::new(); layout.joints.len()];
    for piece in &layout.pieces {
        onward[piece.from].push((piece.to, piece.length, piece.home));
    }
    let reach = reaches(&onward);
    for pieces in &mut onward {
        pieces.sort_by(|a, b| (b.1 + reach[b.0]).total_cmp(&(a.1 + reach[a.0])));
    }
    onward
}

/// The longest way onward from each joint. [m]
fn reaches(onward: &[Vec<(usize, f64, bool)>]) -> Vec<f64> {
    let mut order = vec![0];
    let mut next = 0;
    while let Some(joint) = order.get(next).copied() {
        order.extend(onward[joint].iter().map(|piece| piece.0));
        next += 1;
    }
    let mut reach = vec![0.0_f64; onward.len()];
    for joint in order.into_iter().rev() {
        reach[joint] = onward[joint].iter().map(|(to, length, _)| length + reach[*to]).fold(0.0, f64::max);
    }
    reach
}

/// A run as it is drawn.
struct Tree {
    along: Vec<f64>,
    row: Vec<usize>,
    onward: Vec<Vec<(usize, f64, bool)>>,
}

impl Tree {
    /// Places what follows a joint: the longest way straight on, the rest below all that it takes, so that
    /// no cable crosses another. Returns the last row taken.
    fn place(&mut self, joint: usize, row: usize) -> usize {
        let mut last = row;
        for i in 0..self.onward[joint].len() {
            let (to, length, _) = self.onward[joint][i];
            self.along[to] = self.along[joint] + length;
            self.row[to] = if i == 0 { row } else { last + 1 };
            last = self.place(to, self.row[to]).max(last);
        }
        last
    }
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
    let mut tree = Tree {
        along: vec![0.0; layout.joints.len()],
        row: vec![0; layout.joints.len()],
        onward: onward(layout),
    };
    let rows = tree.place(0, 0);
    let Tree { along, row, onward } = tree;
    let line = |row: usize| top - row as f64 * LINE;
    sheet.line(&element, &CABLE, &frame, &[Point::new(BOX.1, line(0)), Point::new(0.0, line(0))], pen);
    for (joint, pieces) in onward.iter().enumerate() {
        for (to, length, home) in pieces {
            let (x, y) = (along[joint], line(row[*to]));
            let end = Point::new(along[*to], y);
            let bend = [Point::new(x, line(row[joint])), Point::new(x, y), end];
            sheet.line(
                &element,
                &CABLE,
                &frame,
                if row[joint] == row[*to] { &bend[1..] } else { &bend },
                pen,
            );
            let gauge = if *home { sized.home } else { sized.rest };
            if *length > 4.0 {
                let middle = Point::new(f64::midpoint(x, end.x), y + 0.25);
                let text = format!("{} · {} AWG", study.reader.length(*length), gauge.awg());
                sheet.put(&element, &WORDS, &frame, words(middle, &text, 1.7, TextAnchor::Middle));
            }
        }
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
        let (Some(joint), Some(lamp)) =
            (layout.lamps.get(i), run.lamps.get(*member).map(|l| &study.lamps[*l]))
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
