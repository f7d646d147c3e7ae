//! The title block: who, where, what for, when, and which sheet of how many.
//!
//! - In: the words, the sheet's title and number, and the width [mm]. Out: a strip: a block for
//!   the foot of the side column, or a strip for the foot of a sheet without one.

use groundwright_drawing::TextWidth;
use groundwright_handoff::TextAnchor;
use kurbo::Point;

use crate::blocks::Setter;
use crate::pieces::{Strip, bold, first_base_line, line, text};
use crate::plan_set::TitleBlock;
use crate::setting::{BORDER, HAIRLINE, INK, Letters};

/// Which sheet this is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct SheetNumber<'a> {
    pub title: &'a str,
    /// From 1.
    pub number: usize,
    pub of: usize,
}

impl SheetNumber<'_> {
    fn words(&self) -> String {
        format!("{} of {}", self.number, self.of)
    }
}

/// The block at the foot of the side column. Its height does not depend on the number.
pub(crate) fn title_block(
    setter: &Setter<'_>,
    words: &TitleBlock,
    sheet: SheetNumber<'_>,
    width: f64,
) -> Strip {
    let setting = setter.setting;
    let (cap, body) = (setting.cap, setting.body());
    let mut strip = Strip::default();
    strip.rule(0.0, width, BORDER, INK);
    strip.space(cap * 1.2);
    strip.paragraph(setter.fonts, &words.project, setting.title(), 0.0, width);
    strip.paragraph(setter.fonts, &words.address, body, 0.0, width);
    strip.space(cap * 0.9);
    let half = width * 0.5;
    let client = words.client.as_deref().unwrap_or_default();
    let pairs = [
        [("Client", client), ("Designed and built by", words.firm.as_str())],
        [("Issued for", words.drawn_for.as_str()), ("Status", words.status.as_str())],
        [("Date", words.date.as_str()), ("Revision", words.revision.as_str())],
    ];
    for pair in pairs {
        strip.rule(0.0, width, HAIRLINE, INK);
        strip.space(cap * 0.6);
        let top = strip.height;
        let mut foot = top;
        for ((label, value), x) in pair.into_iter().zip([0.0, half]) {
            strip.height = top;
            field(setter, &mut strip, label, value, (x, x + half - cap));
            foot = foot.max(strip.height);
        }
        strip.height = foot + cap * 0.6;
    }
    strip.rule(0.0, width, BORDER, INK);
    strip.space(cap * 1.2);
    sheet_line(setter, &mut strip, sheet, width);
    strip
}

/// A small label over its value; nothing where there is no value.
fn field(setter: &Setter<'_>, strip: &mut Strip, label: &str, value: &str, (x0, x1): (f64, f64)) {
    if value.is_empty() {
        return;
    }
    let letters = if label == "Status" { bold(setter.setting.body()) } else { setter.setting.body() };
    strip.paragraph(setter.fonts, label, setter.setting.label(), x0, x1);
    strip.paragraph(setter.fonts, value, letters, x0, x1);
}

/// The sheet's title at the left and its number at the right.
fn sheet_line(setter: &Setter<'_>, strip: &mut Strip, sheet: SheetNumber<'_>, width: f64) {
    let title = setter.setting.title();
    let top = strip.height;
    strip.paragraph(setter.fonts, sheet.title, title, 0.0, width - number_room(setter));
    strip.height = strip.height.max(top + title.leading());
    let at = Point::new(width, top + first_base_line(title));
    strip.primitives.push(text(at, sheet.words(), setter.setting.number(), TextAnchor::Right));
}

/// Room for the widest number that a set could have, so that titles break alike on all sheets.
fn number_room(setter: &Setter<'_>) -> f64 {
    let number = setter.setting.number();
    setter.fonts.width_mm("88 of 88", number.cap, number.face) + setter.setting.cap * 1.5
}

/// The largest of the letters in which the words take no more than `room` in height. [mm]
fn fitting(setter: &Setter<'_>, words: &str, choices: [Letters; 3], width: f64, room: f64) -> Letters {
    let height = |letters: &Letters| {
        let lines = setter.fonts.wrap(words, letters.cap, letters.face, width).len();
        letters.leading() * lines as f64
    };
    let fits = choices.iter().find(|letters| height(letters) <= room);
    *fits.unwrap_or(&choices[choices.len() - 1])
}

/// The strip at the foot of a sheet without side column, as high as given. [mm]
pub(crate) fn title_strip(
    setter: &Setter<'_>,
    words: &TitleBlock,
    sheet: SheetNumber<'_>,
    (width, height): (f64, f64),
) -> Strip {
    let setting = setter.setting;
    let cap = setting.cap;
    let mut strip = Strip::default();
    let columns = [0.0, 0.30, 0.52, 0.70, 1.0].map(|share| share * width);
    for x in &columns[1..4] {
        let (top, foot) = (Point::new(x - cap, cap), Point::new(x - cap, height - cap));
        strip.primitives.push(line(top, foot, HAIRLINE, INK));
    }
    let mut cell = |i: usize, fill: &dyn Fn(&mut Strip, (f64, f64))| {
        let mut part = Strip { height: cap * 1.4, ..Strip::default() };
        fill(&mut part, (columns[i], columns[i + 1] - cap * 2.0));
        strip.primitives.append(&mut part.primitives);
    };
    let choices = [setting.title(), setting.heading(), bold(setting.body())];
    cell(0, &|part, (x0, x1)| {
        let room = height - cap * 4.4;
        let letters = fitting(setter, &words.project, [choices[1], choices[1], choices[2]], x1 - x0, room);
        part.paragraph(setter.fonts, &words.project, letters, x0, x1);
        part.paragraph(setter.fonts, &words.address, setting.body(), x0, x1);
    });
    cell(1, &|part, edges| {
        inline_field(setter, part, "Client", words.client.as_deref().unwrap_or_default(), edges);
        inline_field(setter, part, "Built by", &words.firm, edges);
        inline_field(setter, part, "Issued for", &words.drawn_for, edges);
    });
    cell(2, &|part, edges| {
        inline_field(setter, part, "Date", &words.date, edges);
        inline_field(setter, part, "Revision", &words.revision, edges);
        inline_field(setter, part, "Status", &words.status, edges);
    });
    cell(3, &|part, (x0, _)| {
        let right = width - number_room(setter);
        let letters = fitting(setter, sheet.title, choices, right - x0, height - cap * 1.6);
        let lines = setter.fonts.wrap(sheet.title, letters.cap, letters.face, right - x0).len();
        part.height = (height - letters.leading() * lines as f64) / 2.0;
        part.paragraph(setter.fonts, sheet.title, letters, x0, right);
        let at = Point::new(width, f64::midpoint(height, setting.number().cap));
        part.primitives.push(text(at, sheet.words(), setting.number(), TextAnchor::Right));
    });
    strip.height = height;
    strip
}

/// A label and its value in one line.
fn inline_field(setter: &Setter<'_>, strip: &mut Strip, label: &str, value: &str, (x0, x1): (f64, f64)) {
    if value.is_empty() {
        return;
    }
    let letters = setter.setting.label();
    let base = strip.height + first_base_line(letters);
    strip.primitives.push(text(Point::new(x0, base), label, letters, TextAnchor::Left));
    let indent = setter.setting.cap * 7.4;
    let letters = if label == "Status" { bold(setter.setting.body()) } else { setter.setting.body() };
    strip.paragraph(setter.fonts, value, letters, x0 + indent, x1);
}
