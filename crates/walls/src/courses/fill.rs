//! One course over one stretch: which units, in which order.
//!
//! - In: a length to fill, the joints of the course below, the units, the counts laid so far. Out: pieces
//!   in order.
//! - Method: dynamic programming over the place of the next joint, in steps of a millimetre. A joint may
//!   lie anywhere but within the least overlap of a joint below. A cut costs most, then units off their
//!   share of the blend, then a small cost drawn from the content, which keeps the eye from finding a
//!   pattern.
//! - One label is kept to a place: the cost of a blend depends on the way there, so that the blend is good
//!   and not proven best. A place is one millimetre, its label the exact length laid.
//! - First with cuts at the end, and where no whole unit can follow; where that fails, with cuts
//!   anywhere; then without the limit of units alike in a row.

/// Most kinds of units in a course.
pub(crate) const KINDS: usize = 8;
/// Places to a metre.
const PLACES: f64 = 1000.0;
/// Two lengths that differ by less are the same. [m]
const SAME: f64 = 5e-4;
/// Cost of a cut: some hundred ordinary units. An exact fit of a long course that would ask for a blend
/// far from the one wanted costs more than the cut it saves.
const CUT: f64 = 150.0;
/// Cost of a unit other than the base's on the pad.
const NOT_BASE: f64 = 50.0;
/// Cost of each unit over its share.
const OVER: f64 = 0.4;
/// Steps of the lengths tried for a cut within a course. [m]
const CUT_STEP: f64 = 0.005;

/// Where a piece may be cut, besides the one that closes a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cuts {
    /// Where no whole unit can follow.
    WhereStuck,
    /// Anywhere.
    Anywhere,
}

/// How a stretch ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Stop {
    /// Exactly there.
    Flush,
    /// There or up to so far beyond, into the bank. [m]
    Over(f64),
}

/// A stretch to fill.
pub(crate) struct Stretch<'s> {
    /// Length. [m]
    pub length: f64,
    pub stop: Stop,
    /// Whether the end is a joint that counts for the bond.
    pub joint_at_end: bool,
    /// How near a corner unit another joint may come: room for the joints of the courses above. [m]
    pub clear: f64,
    /// Whether a corner unit stands before the start.
    pub corner_at_start: bool,
    /// Joints below, from the start, in order. [m]
    pub below: &'s [f64],
    /// Stretches on the pad, from the start. [m]
    pub on_pad: &'s [(f64, f64)],
    /// Lengths of the kinds of units. [m]
    pub lengths: &'s [f64],
    /// Share of each kind by count.
    pub shares: &'s [f64],
    /// The kind the pad takes.
    pub base: usize,
    /// Least overlap. [m]
    pub overlap: f64,
    /// Least length of a cut piece. [m]
    pub least_cut: f64,
    /// Most units of one kind in a row; 0 for no limit.
    pub in_a_row: u8,
    pub seed: u64,
}

/// A piece of a filling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Piece {
    pub length: f64,
    pub kind: usize,
    pub cut: bool,
    pub on_pad: bool,
}

#[derive(Debug, Clone, Copy)]
struct Label {
    cost: f64,
    at: f64,
    before: u32,
    epoch: u32,
    counts: [u16; KINDS],
    all: u16,
    kind: u8,
    row: u8,
    cut: bool,
}

/// Labels of all places, kept from stretch to stretch.
#[derive(Default)]
pub(crate) struct Desk {
    labels: Vec<Label>,
    epoch: u32,
}

const BLANK: Label = Label {
    cost: 0.0,
    at: 0.0,
    before: u32::MAX,
    epoch: 0,
    counts: [0; KINDS],
    all: 0,
    kind: u8::MAX,
    row: 0,
    cut: false,
};

/// Fills a stretch; `None` when no units and cuts do.
pub(crate) fn fill(desk: &mut Desk, stretch: &Stretch<'_>, laid: &[usize; KINDS]) -> Option<Vec<Piece>> {
    let free = Stretch { in_a_row: 0, ..*stretch };
    let close = Stretch { clear: 0.0, ..free };
    desk.search(stretch, laid, Cuts::WhereStuck)
        .or_else(|| desk.search(stretch, laid, Cuts::Anywhere))
        .or_else(|| desk.search(&free, laid, Cuts::Anywhere))
        .or_else(|| desk.search(&close, laid, Cuts::Anywhere))
}

/// Whether whole units alone make a length, whatever lies below.
pub(crate) fn whole_units_fit(length: f64, lengths: &[f64]) -> bool {
    let end = (length * PLACES).round() as usize;
    let mut reached = vec![false; end + 2];
    reached[0] = true;
    for i in 0..=end {
        if reached[i] {
            for unit in lengths {
                if let Some(place) = reached.get_mut(i + (unit * PLACES).round() as usize) {
                    *place = true;
                }
            }
        }
    }
    // Rounding of each unit may have moved the end by one place either way.
    (end.saturating_sub(1)..=end + 1).any(|i| reached.get(i) == Some(&true))
}

impl Desk {
    fn search(&mut self, s: &Stretch<'_>, laid: &[usize; KINDS], cuts: Cuts) -> Option<Vec<Piece>> {
        let longest = s.lengths.iter().copied().fold(0.0, f64::max);
        let over = match s.stop {
            Stop::Flush => 0.0,
            Stop::Over(over) => over,
        };
        let places = ((s.length + over.max(longest)) * PLACES) as usize + 3;
        self.epoch += 1;
        if self.labels.len() < places {
            self.labels.resize(places, BLANK);
        }
        let epoch = self.epoch;
        self.labels[0] = Label { epoch, ..BLANK };
        let mut below = vec![0_usize; s.lengths.len()];
        let laid_in_all: usize = laid.iter().sum();
        let mut best: Option<(f64, usize)> = None;
        let mut pad = 0;
        for place in 0..places - 1 {
            let label = self.labels[place];
            if label.epoch != epoch {
                continue;
            }
            if label.at >= s.length - SAME {
                let good = label.at <= s.length + over.max(SAME);
                if good && best.is_none_or(|(cost, _)| label.cost < cost) {
                    best = Some((label.cost, place));
                }
                continue;
            }
            while s.on_pad.get(pad).is_some_and(|p| p.1 <= label.at + SAME) {
                pad += 1;
            }
            let on_pad = s.on_pad.get(pad).is_some_and(|p| p.0 <= label.at + SAME);
            let mut stuck = true;
            for (kind, &length) in s.lengths.iter().enumerate() {
                let next = label.at + length;
                let row = if label.kind == kind as u8 { label.row.saturating_add(1) } else { 1 };
                let limited = s.in_a_row > 0 && !on_pad && row > s.in_a_row;
                if limited || !Self::may_stand(s, next, over, &mut below[kind]) {
                    continue;
                }
                let mut to =
                    Label { at: next, before: place as u32, kind: kind as u8, row, cut: false, ..label };
                to.cost += Self::price(s, &label, laid, laid_in_all, kind, place, on_pad);
                if !on_pad {
                    to.counts[kind] = to.counts[kind].saturating_add(1);
                    to.all = to.all.saturating_add(1);
                }
                self.put(to);
                stuck = false;
            }
            let rest = s.length - label.at;
            if s.stop == Stop::Flush && rest <= longest - SAME {
                self.cut(s, &label, place, rest, true);
            }
            if stuck || cuts == Cuts::Anywhere {
                let mut length = s.least_cut;
                while length < longest - SAME && length < rest - SAME {
                    self.cut(s, &label, place, length, false);
                    length += CUT_STEP;
                }
            }
        }
        best.map(|(_, place)| self.trace(s, place))
    }

    /// Whether a joint may lie at a place; `from` is the first joint below that is not left behind.
    fn may_stand(s: &Stretch<'_>, at: f64, over: f64, from: &mut usize) -> bool {
        let ends = at >= s.length - SAME;
        if ends && !(s.joint_at_end || matches!(s.stop, Stop::Over(_))) {
            return at <= s.length + SAME;
        }
        if at > s.length + over.max(SAME) {
            return false;
        }
        let near_end = s.joint_at_end && !ends && at > s.length - s.clear;
        if near_end || (s.corner_at_start && at < s.clear) {
            return false;
        }
        while s.below.get(*from).is_some_and(|joint| *joint <= at - s.overlap + 1e-9) {
            *from += 1;
        }
        // Places of one millimetre are visited in order, their labels only nearly so.
        while *from > 0 && s.below[*from - 1] > at - s.overlap + 1e-9 {
            *from -= 1;
        }
        s.below.get(*from).is_none_or(|joint| *joint >= at + s.overlap - 1e-9)
    }

    fn price(
        s: &Stretch<'_>,
        label: &Label,
        laid: &[usize; KINDS],
        laid_in_all: usize,
        kind: usize,
        place: usize,
        on_pad: bool,
    ) -> f64 {
        if on_pad {
            return if kind == s.base { 0.0 } else { NOT_BASE };
        }
        let count = (laid[kind] + usize::from(label.counts[kind]) + 1) as f64;
        let all = (laid_in_all + usize::from(label.all) + 1) as f64;
        let over = count - s.shares[kind] * all;
        OVER * over.max(0.0) + drawn(s.seed, place as u64, kind as u64)
    }

    fn cut(&mut self, s: &Stretch<'_>, label: &Label, place: usize, length: f64, closes: bool) {
        let next = label.at + length;
        if length < s.least_cut - 1e-9 {
            return;
        }
        let counts = !closes || s.joint_at_end;
        if counts {
            let mut from = s.below.partition_point(|joint| *joint <= next - s.overlap);
            if !Self::may_stand(s, next, 0.0, &mut from) {
                return;
            }
        }
        // Cut from the shortest unit that is long enough.
        let kinds = s.lengths.iter().enumerate().filter(|(_, l)| **l >= length - 1e-9);
        let Some((kind, _)) = kinds.min_by(|a, b| a.1.total_cmp(b.1)) else { return };
        let mut to = Label { at: next, before: place as u32, kind: kind as u8, row: 1, cut: true, ..*label };
        // Of cuts that are as many, the longer pieces.
        to.cost += CUT - 10.0 * length;
        self.put(to);
    }

    fn put(&mut self, to: Label) {
        let place = (to.at * PLACES).round() as usize;
        if let Some(there) = self.labels.get_mut(place) {
            // A place is never its own forebear: pieces are longer than a millimetre.
            if there.epoch != to.epoch || to.cost < there.cost {
                *there = to;
            }
        }
    }

    fn trace(&self, s: &Stretch<'_>, place: usize) -> Vec<Piece> {
        let mut pieces = Vec::new();
        let mut label = self.labels[place];
        while label.before != u32::MAX {
            let before = self.labels[label.before as usize];
            let on_pad = s.on_pad.iter().any(|p| p.0 <= before.at + SAME && before.at + SAME < p.1);
            pieces.push(Piece {
                length: label.at - before.at,
                kind: label.kind as usize,
                cut: label.cut,
                on_pad,
            });
            label = before;
        }
        pieces.reverse();
        pieces
    }
}

/// A small cost from 0 to 1, always the same for the same content.
pub(crate) fn drawn(seed: u64, place: u64, kind: u64) -> f64 {
    // SplitMix64, Steele, Lea and Flood 2014.
    let mut z =
        seed ^ place.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ (kind + 1).wrapping_mul(0xD1B5_4A32_D192_ED03);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}
