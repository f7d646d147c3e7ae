//! Rows of plants along a line.
//!
//! - In: a line, open or closed, and a [`RowRule`]. [m] Out: plants with row and step, and how the
//!   rows came out.
//! - Method: each row lies on the parallel curve at its distance, with equal lengths along the row
//!   itself, so that tight bends do not bunch the plants. An open row takes the number of
//!   intervals that comes nearest to the spacing asked for, if that is within the tolerance, and
//!   otherwise the spacing itself with a remainder at the far end. A closed row takes
//!   n = round(L/d). Later rows keep the count of the row before where the tolerance allows it, so
//!   that a stagger stays a stagger round a bend.
//! - Corners: a row gets a plant in each sharp corner, and the legs between are divided evenly, if
//!   that keeps every leg within the tolerance; else the spacing runs on through the corners.
//! - Rhythm: where a plant may not stand its place is skipped and the steps count on, so the
//!   plants beyond a gate stand where they would stand without it.
//! - Where the parallel of a line comes in several pieces (inside bends tighter than the distance),
//!   the pieces are taken end to end as one row.
//! - Source of the counts: plane geometry, floor(L/d) + 1 and its kin, as in
//!   `groundwright_geometry::layout`; the rest is common practice, no source.
//! - Not here: where gaps are (the caller knows doors and walks), what is planted, counts
//!   (`spread.rs`).

mod spread;

use groundwright_geometry::layout::ROW_PITCH;
use groundwright_geometry::{Curve, Point, Rect};

use super::neighbours::{Neighbours, bounds_of, nearest_distances};

/// How plants of neighbouring rows stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// Side by side.
    Square,
    /// Every other row shifted by half a step.
    Staggered,
}

/// How an open row meets the ends of its line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// A plant at each end.
    AtEnds,
    /// Half a spacing free at each end.
    HalfSpace,
}

/// The side to which further rows follow, seen along the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toward {
    /// To the left of travel.
    Left,
    /// To the right of travel.
    Right,
}

/// What the caller says of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Footing {
    /// A plant may stand here.
    Free,
    /// Something is in the way: its place is skipped.
    Gap,
}

/// How rows are to be laid.
#[derive(Debug, Clone, PartialEq)]
pub struct RowRule {
    /// Distance from the line to the first row, above zero to the left of travel. [m]
    pub inset: f64,
    /// Number of rows, at least 1.
    pub rows: usize,
    /// Distance of plants along a row. [m]
    pub spacing: f64,
    /// Distance between rows; if not given, the spacing for a square pattern and √3/2 of it for a
    /// staggered one. [m]
    pub pitch: Option<f64>,
    /// How neighbouring rows stand to each other.
    pub pattern: Pattern,
    /// How rows meet the ends of an open line.
    pub ends: Ends,
    /// Share by which the spacing may be stretched or pressed so that both ends look finished,
    /// from 0 to 0.5.
    pub tolerance: f64,
    /// Where further rows follow.
    pub toward: Toward,
}

impl RowRule {
    /// Distance between rows. [m]
    pub fn row_pitch(&self) -> f64 {
        self.pitch.unwrap_or(match self.pattern {
            Pattern::Square => self.spacing,
            Pattern::Staggered => self.spacing * ROW_PITCH,
        })
    }

    /// Distance of a row (from 0) from the line, above zero to the left. [m]
    pub fn offset(&self, row: usize) -> f64 {
        let reach = row as f64 * self.row_pitch();
        match self.toward {
            Toward::Left => self.inset + reach,
            Toward::Right => self.inset - reach,
        }
    }

    /// Distance of neighbours in neighbouring rows as the pattern has them. [m]
    fn across(&self) -> f64 {
        match self.pattern {
            Pattern::Square => self.row_pitch(),
            Pattern::Staggered => self.row_pitch().hypot(self.spacing / 2.0),
        }
    }
}

/// A plant of a row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RowPlant {
    /// Where it stands. [m]
    pub at: Point,
    /// Its row, from 0 at the line.
    pub row: usize,
    /// Its step along the row, from 0; steps count on across gaps.
    pub step: usize,
    /// Station of its foot on the line given. [m]
    pub station: f64,
    /// Length along its own row from the row's start. [m]
    pub along: f64,
}

/// Rows as they came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Rows {
    /// The plants, row by row, along each row.
    pub plants: Vec<RowPlant>,
    /// Spacing of each row, along the row. [m] The nominal one for a row that has no length left.
    pub spacing: Vec<f64>,
    /// Length of each row; 0 where inside bends leave nothing of it. [m]
    pub length: Vec<f64>,
    /// What each row leaves beyond its last plant, over what the rule keeps free there; 0 for a
    /// row whose ends are finished. [m]
    pub remainder: Vec<f64>,
    /// Spacing asked for. [m]
    pub nominal: f64,
    /// Places skipped because something is in the way.
    pub skipped: usize,
    /// Plants left out because they would have stood too near another.
    pub dropped_for_crowding: usize,
    /// Mean straight distance of neighbours along the rows; none without two neighbours. [m]
    pub mean_spacing: Option<f64>,
    /// Least distance of any two plants; none for fewer than two. [m]
    pub least_spacing: Option<f64>,
    /// Whether every row comes out even at both ends.
    pub ends_finished: bool,
}

/// Why rows cannot be laid.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RowFault {
    /// A length that must be above zero.
    #[error("the {what} of the rows is {value} m, expected a finite length above zero")]
    NotPositive {
        /// Which length.
        what: &'static str,
        /// The value given. [m]
        value: f64,
    },
    /// An inset that is not a number.
    #[error("the distance from the line to the first row is {value} m, expected a finite length")]
    Inset {
        /// The value given. [m]
        value: f64,
    },
    /// No rows asked for.
    #[error("no rows asked for, expected at least one")]
    NoRows,
    /// A tolerance outside 0 to 0.5.
    #[error(
        "the spacing may be adjusted by a share of {value}, expected a number from 0 to 0.5, \
         such as 0.1 for a tenth"
    )]
    Tolerance {
        /// The share given.
        value: f64,
    },
    /// More plants than anyone will set.
    #[error(
        "about {count:.0} plants would stand in these rows, more than {MOST_PLANTS}; \
         check the spacing and its unit"
    )]
    TooMany {
        /// About how many plants.
        count: f64,
    },
    /// No row has any length left.
    #[error(
        "no row fits: at {offset:.2} m from the line nothing is left inside its bends; \
         bring the rows nearer to the line or put them on its other side"
    )]
    NoRoom {
        /// Distance of the first row from the line. [m]
        offset: f64,
    },
}

/// No instruction lays more plants in rows than this.
pub const MOST_PLANTS: usize = 200_000;

/// How far a row may lie off its parallel. [m]
const OFFSET_TOLERANCE: f64 = 1e-3;

/// A turn sharper than this is a corner: 40°. [rad]
const CORNER: f64 = 0.7;

/// Least distance of two plants over the spacing, whatever the tolerance.
const CROWDED: f64 = 0.85;

/// Lays rows of plants along a line.
///
/// # Arguments
/// - `line`: the line, open or closed.
/// - `rule`: how the rows are to be laid.
/// - `may_stand`: asked once for each place, in order.
///
/// # Returns
/// Plants row by row. No two of different rows stand nearer than 0.85 of the spacing (of the
/// distance across rows, if that is less); no two of one row nearer than 1 - tolerance of it, 0.85
/// at least, except that neighbours along a row may come a twentieth nearer than their spacing.
/// Of two that would, the later one is left out and counted.
/// A row shorter than its spacing gets one plant in its middle.
pub fn lay_rows(
    line: &Curve,
    rule: &RowRule,
    may_stand: &dyn Fn(Point) -> Footing,
) -> Result<Rows, RowFault> {
    check(line, rule)?;
    let tracks: Vec<Track> = (0..rule.rows).map(|row| Track::new(line, rule.offset(row))).collect();
    if tracks.iter().all(|track| track.pieces.is_empty()) {
        return Err(RowFault::NoRoom { offset: rule.offset(0) });
    }
    let mut laying = Laying::new(line, rule, &tracks);
    for (row, track) in tracks.iter().enumerate() {
        laying.row(row, track, may_stand);
    }
    Ok(laying.finish())
}

fn check(line: &Curve, rule: &RowRule) -> Result<(), RowFault> {
    let lengths = [("spacing", Some(rule.spacing)), ("pitch", rule.pitch)];
    for (what, value) in lengths.into_iter().filter_map(|(what, v)| v.map(|v| (what, v))) {
        if !(value.is_finite() && value > 0.0) {
            return Err(RowFault::NotPositive { what, value });
        }
    }
    if !rule.inset.is_finite() {
        return Err(RowFault::Inset { value: rule.inset });
    }
    if rule.rows == 0 {
        return Err(RowFault::NoRows);
    }
    if !(0.0..=0.5).contains(&rule.tolerance) {
        return Err(RowFault::Tolerance { value: rule.tolerance });
    }
    let count = rule.rows as f64 * (line.length() / rule.spacing + 1.0);
    if count > MOST_PLANTS as f64 {
        return Err(RowFault::TooMany { count });
    }
    Ok(())
}

/// The line that a row follows: pieces end to end, or rings.
struct Track {
    pieces: Vec<Curve>,
}

impl Track {
    fn new(line: &Curve, offset: f64) -> Self {
        let pieces = if offset.abs() < OFFSET_TOLERANCE {
            vec![line.clone()]
        } else {
            line.offset(offset, OFFSET_TOLERANCE)
        };
        Self { pieces }
    }

    fn length(&self) -> f64 {
        self.pieces.iter().map(Curve::length).fold(0.0, |sum, length| sum + length)
    }

    /// Lengths along a row of one piece of its sharp corners. [m]
    fn corners(&self) -> Vec<f64> {
        match &self.pieces[..] {
            [piece] => piece.corners(CORNER),
            _ => Vec::new(),
        }
    }

    /// The rings, if the row closes on itself.
    fn rings(&self) -> Option<&[Curve]> {
        let closed = !self.pieces.is_empty() && self.pieces.iter().all(Curve::is_closed);
        closed.then_some(&self.pieces[..])
    }

    /// The place at a length along the pieces taken end to end. [m]
    fn point(&self, along: f64) -> Option<Point> {
        let mut left = along;
        for piece in &self.pieces {
            if left <= piece.length() {
                return Some(piece.point(left));
            }
            left -= piece.length();
        }
        self.pieces.last().map(Curve::end)
    }
}

/// The rows in the making.
struct Laying<'a> {
    line: &'a Curve,
    rule: &'a RowRule,
    grid: Neighbours,
    rows: Rows,
    /// Intervals of the row before.
    keep: Option<usize>,
}

impl<'a> Laying<'a> {
    fn new(line: &'a Curve, rule: &'a RowRule, tracks: &[Track]) -> Self {
        let bounds = tracks
            .iter()
            .flat_map(|track| &track.pieces)
            .map(|piece| bounds_of(&piece.flatten(0.1)))
            .reduce(|a, b| a.union(b))
            .unwrap_or(Rect::ZERO);
        Self {
            line,
            rule,
            grid: Neighbours::new(bounds, rule.spacing),
            rows: Rows {
                plants: Vec::new(),
                spacing: Vec::new(),
                length: Vec::new(),
                remainder: Vec::new(),
                nominal: rule.spacing,
                skipped: 0,
                dropped_for_crowding: 0,
                mean_spacing: None,
                least_spacing: None,
                ends_finished: true,
            },
            keep: None,
        }
    }

    fn row(&mut self, row: usize, track: &Track, may_stand: &dyn Fn(Point) -> Footing) {
        let shifted = self.rule.pattern == Pattern::Staggered && row % 2 == 1;
        let length = track.length();
        self.rows.length.push(length);
        if let Some(rings) = track.rings() {
            self.rings(row, rings, shifted, may_stand);
            return;
        }
        if track.pieces.is_empty() {
            self.rows.spacing.push(self.rule.spacing);
            self.rows.remainder.push(0.0);
            self.rows.ends_finished = false;
            return;
        }
        let spread = spread::open(length, &track.corners(), self.rule, shifted, self.keep);
        self.rows.spacing.push(spread.spacing);
        self.rows.remainder.push(spread.remainder);
        self.rows.ends_finished &= spread.finished;
        self.keep = spread.intervals;
        for (step, &along) in spread.places.iter().enumerate() {
            if let Some(at) = track.point(along) {
                let place = Place { at, row, step, along, spacing: spread.spacing };
                self.set(&place, [step.checked_sub(1), None], may_stand);
            }
        }
    }

    /// A row of rings: every ring comes out even by itself, the steps count on.
    fn rings(&mut self, row: usize, rings: &[Curve], shifted: bool, may_stand: &dyn Fn(Point) -> Footing) {
        let keep = self.keep.filter(|_| rings.len() == 1);
        let (mut first_step, mut before, mut keep_next) = (0, 0.0, None);
        for ring in rings {
            let start = ring.nearest(self.line.start()).station;
            let corners = ring.corners(CORNER);
            let spread = spread::closed(ring.length(), &corners, (start, shifted), self.rule, keep);
            let count = spread.places.len();
            for (turn, place) in spread.places.iter().enumerate() {
                let run = ring.on_curve(*place);
                let step = first_step + turn;
                let place =
                    Place { at: ring.point(run), row, step, along: before + run, spacing: spread.spacing };
                let neighbour = if turn == 0 { None } else { Some(step - 1) };
                let closing = turn + 1 == count && turn > 0;
                self.set(&place, [neighbour, closing.then_some(first_step)], may_stand);
            }
            first_step += count;
            before += ring.length();
            keep_next = spread.intervals;
        }
        self.rows.spacing.push(before / first_step.max(1) as f64);
        self.rows.remainder.push(0.0);
        self.keep = keep_next.filter(|_| rings.len() == 1);
    }

    /// Sets one plant unless its place is a gap or crowded. `beside` are the steps of its neighbours
    /// along the row that may be set already.
    fn set(&mut self, place: &Place, beside: [Option<usize>; 2], may_stand: &dyn Fn(Point) -> Footing) {
        if may_stand(place.at) == Footing::Gap {
            self.rows.skipped += 1;
            return;
        }
        if self.crowded(place, beside) {
            self.rows.dropped_for_crowding += 1;
            return;
        }
        self.grid.insert(place.at);
        self.rows.plants.push(RowPlant {
            at: place.at,
            row: place.row,
            step: place.step,
            station: self.line.nearest(place.at).station,
            along: place.along,
        });
    }

    fn crowded(&self, place: &Place, beside: [Option<usize>; 2]) -> bool {
        let nominal = self.rule.spacing;
        let along = (CROWDED * nominal).min(0.95 * place.spacing);
        let in_row = (1.0 - self.rule.tolerance).max(CROWDED) * nominal;
        let across = CROWDED * nominal.min(self.rule.across());
        let mut crowded = false;
        self.grid.near(place.at, nominal, |index, distance| {
            let other = &self.rows.plants[index];
            let limit = if other.row != place.row {
                across
            } else if beside.contains(&Some(other.step)) {
                along
            } else {
                in_row
            };
            crowded |= distance < limit - 1e-6;
        });
        crowded
    }

    fn finish(mut self) -> Rows {
        let plants = &self.rows.plants;
        let points: Vec<Point> = plants.iter().map(|plant| plant.at).collect();
        let neighbours: Vec<f64> = plants
            .windows(2)
            .filter(|pair| pair[0].row == pair[1].row && pair[0].step + 1 == pair[1].step)
            .map(|pair| pair[0].at.distance(pair[1].at))
            .collect();
        if !neighbours.is_empty() {
            let mean = neighbours.iter().sum::<f64>() / neighbours.len() as f64;
            self.rows.mean_spacing = Some(mean);
        }
        self.rows.least_spacing = nearest_distances(&points).into_iter().flatten().reduce(f64::min);
        self.rows
    }
}

/// A place in a row at which a plant may be set.
struct Place {
    at: Point,
    row: usize,
    step: usize,
    along: f64,
    /// Spacing of the row. [m]
    spacing: f64,
}
