//! Drip lines over a bed: straight rows with header and footer, or rings along the edge.
//!
//! - In: the bed [m], spacing of rows, distance from the edge. Out: rows, headers, footers, lengths.
//! - Straight rows lie side by side at the spacing, the outermost the inset from the edge. Rows that
//!   lie beside one another make a block; each block has a header at one end and a footer at the other,
//!   so that it can be flushed and no end stands still.
//! - Rows longer than the limit of the line are named: feed them from both ends or divide them.
//! - Bubblers and single emitters: [`emitters_to_plant`].

use groundwright_geometry::{Point, Region, Vec2};

use crate::positive::{NotUsable, above_zero, finite, not_below_zero, share_above_zero, within};

/// Rows that share header and footer.
#[derive(Debug, Clone, PartialEq)]
pub struct DripBlock {
    /// Rows in order, each from header to footer. [m]
    pub rows: Vec<[Point; 2]>,
    /// Joins the beginnings of the rows; one point if there is one row. [m]
    pub header: Vec<Point>,
    /// Joins their ends. [m]
    pub footer: Vec<Point>,
}

/// Drip lines over a bed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DripRows {
    /// Blocks of straight rows.
    pub blocks: Vec<DripBlock>,
    /// Rings along the edge, the outermost first; each closes on itself. [m]
    pub rings: Vec<Vec<Point>>,
    /// Length of drip line. [m]
    pub line: f64,
    /// Length of headers and footers. [m]
    pub blank: f64,
    /// Emitters on the line.
    pub emitters: usize,
    /// Rows or rings, in order, that are longer than the limit, with their lengths. [m]
    pub too_long: Vec<(usize, f64)>,
}

/// How rows are laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RowRules {
    /// Distance of rows. [m]
    pub spacing: f64,
    /// Distance of the outermost row from the edge. [m] Half a spacing is usual.
    pub inset: f64,
    /// Distance of emitters on the line. [m]
    pub emitter_spacing: f64,
    /// Longest line that its pressure allows. [m]
    pub longest: f64,
}

impl RowRules {
    fn check(&self) -> Result<(), NotUsable> {
        above_zero("the spacing of rows", self.spacing, "m")?;
        above_zero("the distance from the edge", self.inset, "m")?;
        above_zero("the spacing of emitters", self.emitter_spacing, "m")?;
        above_zero("the longest line", self.longest, "m")
    }
}

/// Most rows of a bed.
const MOST_ROWS: f64 = 20_000.0;

/// Straight rows in a direction; along the longest edge where none is given. [rad]
///
/// # Errors
/// Numbers not above zero, a bed without room inside the inset, more than 20 000 rows.
pub fn straight_rows(bed: &Region, rules: RowRules, direction: Option<f64>) -> Result<DripRows, NotUsable> {
    rules.check()?;
    let inner = bed.grow(-rules.inset);
    within("the room inside the inset", inner.area(), "m²", inner.area() > 0.0, "more than none")?;
    let angle = direction.unwrap_or_else(|| longest_edge(bed));
    finite("the direction of the rows", angle, "rad")?;
    let along = Vec2::from_angle(angle);
    let across = Vec2::new(-along.y, along.x);
    let offsets = inner.edges().map(|edge| edge.p0.to_vec2().dot(across));
    let (low, high) = offsets.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), o| (l.min(o), h.max(o)));
    // The fewest rows whose spacing is not above the one asked for, from edge to edge.
    let count = ((high - low) / rules.spacing - 1e-9).ceil().max(0.0) + 1.0;
    within("the count of rows", count, "", count <= MOST_ROWS, "at most 20000")?;
    let step = if count > 1.0 { (high - low) / (count - 1.0) } else { 0.0 };
    // Rows on the very edge of the inset would graze it: they stand a hair inside.
    let hair = (1e-6_f64).min((high - low) / 4.0);
    let mut blocks: Vec<DripBlock> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    for k in 0..count as usize {
        let offset = (low + step * k as f64).clamp(low + hair, high - hair);
        let mut next = Vec::new();
        for (from, to) in cuts(&inner, along, across, offset) {
            let row = [0.0, 1.0].map(|t| (along * (from + t * (to - from)) + across * offset).to_point());
            let joins = |b: &&usize| {
                blocks[**b].rows.last().is_some_and(|last| {
                    let [a, b] = last.map(|end| end.to_vec2().dot(along));
                    a.max(from) < b.min(to)
                })
            };
            let beside = open.iter().find(joins).copied().filter(|b| !next.contains(b));
            let block = beside.unwrap_or_else(|| {
                blocks.push(DripBlock { rows: Vec::new(), header: Vec::new(), footer: Vec::new() });
                blocks.len() - 1
            });
            blocks[block].rows.push(row);
            next.push(block);
        }
        open = next;
    }
    Ok(added_up(blocks, Vec::new(), rules))
}

/// Rings along the edge, from the inset inwards at the spacing until no room is left.
///
/// # Errors
/// As [`straight_rows`].
pub fn ring_rows(bed: &Region, rules: RowRules) -> Result<DripRows, NotUsable> {
    rules.check()?;
    let mut rings = Vec::new();
    let mut inset = rules.inset;
    loop {
        let inner = bed.grow(-inset);
        if inner.is_empty() {
            break;
        }
        rings.extend(inner.rings().into_iter().flatten());
        within(
            "the count of rings",
            rings.len() as f64,
            "",
            rings.len() as f64 <= MOST_ROWS,
            "at most 20000",
        )?;
        inset += rules.spacing;
    }
    within("the count of rings", rings.len() as f64, "", !rings.is_empty(), "room for one inside the inset")?;
    Ok(added_up(Vec::new(), rings, rules))
}

fn added_up(mut blocks: Vec<DripBlock>, rings: Vec<Vec<Point>>, rules: RowRules) -> DripRows {
    for block in &mut blocks {
        block.header = block.rows.iter().map(|row| row[0]).collect();
        block.footer = block.rows.iter().map(|row| row[1]).collect();
    }
    let of_rows = blocks.iter().flat_map(|block| &block.rows).map(|row| row[0].distance(row[1]));
    let of_rings = rings.iter().map(|ring| {
        let closing = ring.first().zip(ring.last()).map_or(0.0, |(a, b)| a.distance(*b));
        length(ring) + closing
    });
    let lengths: Vec<f64> = of_rows.chain(of_rings).collect();
    let emitters =
        lengths.iter().map(|length| (length / rules.emitter_spacing + 1e-9).floor() as usize + 1).sum();
    let blank = blocks.iter().map(|block| length(&block.header) + length(&block.footer)).sum();
    let too_long =
        lengths.iter().copied().enumerate().filter(|(_, length)| *length > rules.longest).collect();
    DripRows { line: lengths.iter().sum(), blank, emitters, too_long, blocks, rings }
}

fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

fn longest_edge(bed: &Region) -> f64 {
    let longest = bed.edges().max_by(|a, b| a.p0.distance(a.p1).total_cmp(&b.p0.distance(b.p1)));
    longest.map_or(0.0, |edge| (edge.p1 - edge.p0).atan2())
}

/// Stretches of a line inside a region, as stations along it.
fn cuts(region: &Region, along: Vec2, across: Vec2, offset: f64) -> Vec<(f64, f64)> {
    let mut stations: Vec<f64> = region
        .edges()
        .filter_map(|edge| {
            let (a, b) = (edge.p0.to_vec2(), edge.p1.to_vec2());
            let (da, db) = (a.dot(across) - offset, b.dot(across) - offset);
            ((da <= 0.0) != (db <= 0.0)).then(|| {
                let t = da / (da - db);
                a.dot(along) + t * (b.dot(along) - a.dot(along))
            })
        })
        .collect();
    stations.sort_unstable_by(f64::total_cmp);
    stations.chunks_exact(2).map(|pair| (pair[0], pair[1])).filter(|(a, b)| b - a > 1e-6).collect()
}

/// Emitters or bubblers that a plant needs.
///
/// # Arguments
/// - `canopy`: area under the crown, above zero. [m²] `wetted`: share of it that shall be wet.
/// - `bulb`: diameter of what one emitter wets in this soil, above zero. [m]
///
/// # Errors
/// Numbers that are not what is said above.
///
/// # Source
/// Keller and Karmeli 1974: N = P_w A / (π d²/4), rounded up.
pub fn emitters_to_plant(canopy: f64, wetted: f64, bulb: f64) -> Result<usize, NotUsable> {
    above_zero("the area under the crown", canopy, "m²")?;
    share_above_zero("the wetted share", wetted)?;
    above_zero("the diameter that an emitter wets", bulb, "m")?;
    let count = (wetted * canopy / (std::f64::consts::PI / 4.0 * bulb * bulb) - 1e-9).ceil().max(1.0);
    not_below_zero("100000 less the count of emitters", 1e5 - count, "")?;
    Ok(count as usize)
}
