//! The side column: what stands beside a drawing, and what must go to further pages.
//!
//! - In: the contents of a sheet and the room above the title block [mm, y down]. Out: strips
//!   where they stand, and the contents that found no room.
//! - Contents stand whole or not at all; what goes elsewhere leaves a line that says on which
//!   sheet it is. Cautions are served first, then legend, notes and tables.
//! - From the top: legend, tables, notes, the lines that point elsewhere; cautions at the foot,
//!   right above the title block, where the eye comes back to.

use kurbo::{Point, Rect};

use crate::blocks::{Block, Content, Setter, heading, pointer};
use crate::error::SheetError;
use crate::flow::Standing;

/// What found room in a column.
pub(crate) struct Column<'a> {
    /// In the order of reading, cautions last.
    placed: Vec<(Content<'a>, Block)>,
    /// What did not, in the order given.
    pub elsewhere: Vec<Content<'a>>,
    room: Rect,
}

/// Decides what stands in the room.
pub(crate) fn fill<'a>(
    setter: &Setter<'_>,
    contents: &[Content<'a>],
    room: Rect,
) -> Result<Column<'a>, SheetError> {
    let mut blocks = Vec::with_capacity(contents.len());
    for content in contents {
        let fits = content.fits_width(setter, room.width());
        blocks.push(if fits { Some(content.block(setter, room.width())?) } else { None });
    }
    // Every content that goes elsewhere needs a line in the column, which may push out another:
    // it grows until nothing changes.
    let mut pointers = 0.0;
    loop {
        let stays = choose(setter, contents, &blocks, room.height() - pointers);
        let elsewhere: Vec<Content<'a>> =
            contents.iter().zip(&stays).filter(|(_, stays)| !**stays).map(|(content, _)| *content).collect();
        let needed = pointers_height(setter, &elsewhere, room.width());
        if needed <= pointers || stays.iter().all(|stays| !stays) {
            let mut placed: Vec<(Content<'a>, Block)> = contents
                .iter()
                .zip(blocks)
                .zip(stays)
                .filter_map(|((content, block), stays)| Some((*content, block.filter(|_| stays)?)))
                .collect();
            placed.sort_by_key(|(content, _)| reading_order(content));
            return Ok(Column { placed, elsewhere, room });
        }
        pointers = needed;
    }
}

/// Which contents stay, when served in the order of their importance.
fn choose(setter: &Setter<'_>, contents: &[Content<'_>], blocks: &[Option<Block>], room: f64) -> Vec<bool> {
    let gap = setter.setting.block_gap();
    let mut order: Vec<usize> = (0..contents.len()).collect();
    order.sort_by_key(|&i| importance(&contents[i]));
    let mut left = room;
    let mut stays = vec![false; contents.len()];
    for i in order {
        if let Some(block) = &blocks[i] {
            let height = block.height() + gap;
            if height <= left {
                stays[i] = true;
                left -= height;
            }
        }
    }
    stays
}

fn importance(content: &Content<'_>) -> u8 {
    match content {
        Content::Caution(_) => 0,
        Content::Legend(_) => 1,
        Content::Note(_) => 2,
        Content::Table(_) => 3,
    }
}

fn reading_order(content: &Content<'_>) -> u8 {
    match content {
        Content::Legend(_) => 0,
        Content::Table(_) => 1,
        Content::Note(_) => 2,
        Content::Caution(_) => 3,
    }
}

fn pointers_height(setter: &Setter<'_>, elsewhere: &[Content<'_>], width: f64) -> f64 {
    if elsewhere.is_empty() {
        return 0.0;
    }
    let lines = elsewhere.iter().map(|content| pointer(setter, &content.title(), 88, width).height);
    pointers_heading(setter, width).height + lines.sum::<f64>() + setter.setting.block_gap()
}

fn pointers_heading(setter: &Setter<'_>, width: f64) -> crate::pieces::Strip {
    let mut strip = heading(setter, "On other sheets", "", width);
    strip.space(setter.setting.cap * 0.5);
    strip
}

impl Column<'_> {
    /// The strips at their places; `pages` says on which sheet each content elsewhere begins.
    pub fn strips(&self, setter: &Setter<'_>, pages: &[usize]) -> Vec<Standing> {
        let gap = setter.setting.block_gap();
        let mut strips = Vec::new();
        let mut down = Point::new(self.room.x0, self.room.y0);
        let is_caution = |content: &Content<'_>| matches!(content, Content::Caution(_));
        for (_, block) in self.placed.iter().filter(|(content, _)| !is_caution(content)) {
            for strip in std::iter::once(&block.head).chain(&block.rows) {
                strips.push((down, strip.primitives.clone()));
                down.y += strip.height;
            }
            down.y += gap;
        }
        if !self.elsewhere.is_empty() {
            let width = self.room.width();
            let lines = self.elsewhere.iter().zip(pages);
            let lines = lines.map(|(content, page)| pointer(setter, &content.title(), *page, width));
            for strip in std::iter::once(pointers_heading(setter, width)).chain(lines) {
                strips.push((down, strip.primitives));
                down.y += strip.height;
            }
        }
        let mut up = self.room.y1;
        for (_, block) in self.placed.iter().rev().filter(|(content, _)| is_caution(content)) {
            up -= block.height() + gap;
            strips.push((Point::new(self.room.x0, up), block.head.primitives.clone()));
        }
        strips
    }
}
