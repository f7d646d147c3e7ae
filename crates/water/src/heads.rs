//! Heads placed over an area: corners, then edges, then inside, head to head; then improved.
//!
//! - In: the area [m], what must stay dry, obstacles, a nozzle and its pressure. Out: heads, and how
//!   evenly they water before and after the search.
//! - Method: heads stand just inside corners and in equal steps along edges, and on square and
//!   triangular lattices inside, of which the most even is taken. Each gets the sector that fits
//!   (`arc.rs`). A search then moves each head a little, keeps what lifts the low-quarter uniformity,
//!   and adds a head where it is driest as long as that lifts it by a point.
//! - The search finds a good layout, not the best there is; `before` and `after` say what it gained.
//! - No sector lies on what must stay dry; water beyond the area but not there is weighed, not barred.

use groundwright_geometry::{Point, Region, Vec2, lattice};

use crate::arc::{Ground, fit};
use crate::catch_grid::{CatchGrid, Head, Wind, catch_grid};
use crate::nozzle::{Jet, Nozzle};
use crate::positive::{NotUsable, above_zero, not_below_zero, within};
use crate::uniformity::Uniformity;

/// How heads are placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeadRules {
    /// Spacing as a share of the throw; 1 is head to head.
    pub spacing: f64,
    /// Distance of heads from the edge of the area. [m]
    pub inset: f64,
    /// Rounds of the search; 0 for none.
    pub rounds: usize,
    /// Most heads.
    pub most: usize,
}

impl Default for HeadRules {
    /// Head to head, 10 cm off the edge, three rounds: common practice, no source.
    fn default() -> Self {
        Self { spacing: 1.0, inset: 0.1, rounds: 3, most: 500 }
    }
}

/// Heads over an area.
#[derive(Debug, Clone, PartialEq)]
pub struct HeadLayout {
    /// The heads; those at corners and edges first.
    pub heads: Vec<Head>,
    /// How many stand at corners and edges.
    pub at_edges: usize,
    /// Evenness before the search.
    pub before: Uniformity,
    /// Evenness after it.
    pub after: Uniformity,
    /// Flow of all. [m³/s]
    pub flow: f64,
    /// Mean rate over the area. [m/s]
    pub rate: f64,
    /// Share of the water that misses the area.
    pub missed: f64,
    /// Places where a head should stand but no sector fits without wetting what must stay dry. [m]
    pub without: Vec<Point>,
    /// Whether the pressure lies within the nozzle's range.
    pub in_range: bool,
}

/// Why heads could not be placed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LayoutError {
    /// A number that cannot be.
    #[error(transparent)]
    NotUsable(#[from] NotUsable),
    /// A shape that cannot be.
    #[error("the shape cannot be laid out: {0}")]
    Shape(#[from] groundwright_geometry::GeometryFault),
    /// Too small for heads.
    #[error(
        "no head fits: the area is narrower than twice the {inset} m that heads stand off its edge, or every sector would wet what must stay dry; take drip"
    )]
    NoRoom {
        /// Distance from the edge. [m]
        inset: f64,
    },
    /// Too many heads.
    #[error("{count} heads would be needed, at most {most} are allowed; take a nozzle of longer throw")]
    TooMany {
        /// Needed.
        count: usize,
        /// Allowed.
        most: usize,
    },
}

/// A task of placing heads.
struct Task<'t> {
    ground: Ground<'t>,
    nozzle: &'t Nozzle,
    full: Jet,
    obstacles: &'t [Region],
    cell: f64,
    rules: HeadRules,
}

/// Places heads over an area.
///
/// # Arguments
/// - `pressure`: at the heads. [Pa] `dry`: what no sector may lie on: paving, houses, neighbours.
/// - `obstacles`: what stops streams.
///
/// # Errors
/// Impossible numbers, an area without room, more heads than allowed.
pub fn place_heads(
    area: &Region,
    nozzle: &Nozzle,
    pressure: f64,
    dry: &[Region],
    obstacles: &[Region],
    rules: HeadRules,
) -> Result<HeadLayout, LayoutError> {
    let good = (0.3..=2.0).contains(&rules.spacing);
    within("the spacing", rules.spacing, "of the throw", good, "0.3 to 2")?;
    not_below_zero("the distance from the edge", rules.inset, "m")?;
    above_zero("the area", area.area(), "m²")?;
    let rated = nozzle.jet(pressure, nozzle.rated_sweep)?;
    // The flow of a full circle, so that a sector takes its share.
    let arc = if nozzle.matched { std::f64::consts::TAU / nozzle.rated_sweep } else { 1.0 };
    let full = Jet { flow: rated.flow * arc, ..rated };
    let count = (area.area() / (rules.spacing * full.throw).powi(2)).ceil() as usize;
    if count > rules.most {
        return Err(LayoutError::TooMany { count, most: rules.most });
    }
    let cell = (full.throw / 12.0).max((area.area() / 40_000.0).sqrt());
    let task = Task { ground: Ground::new(area, dry), nozzle, full, obstacles, cell, rules };
    task.place()
}

impl Task<'_> {
    fn place(&self) -> Result<HeadLayout, LayoutError> {
        let mut without = Vec::new();
        let mut edge_heads = Vec::new();
        let inner = self.ground.area.grow(-self.rules.inset.max(1e-3));
        let spacing = self.rules.spacing * self.full.throw;
        for ring in inner.rings().into_iter().flatten() {
            for at in along_ring(&ring, spacing) {
                let near = |head: &Head| head.at.distance(at) < 0.3 * spacing;
                if edge_heads.iter().any(near) {
                    continue;
                }
                match fit(&self.ground, self.nozzle, self.full, at) {
                    Some(head) => edge_heads.push(head),
                    None => without.push(at),
                }
            }
        }
        let at_edges = edge_heads.len();
        let mut best: Option<(Vec<Head>, Uniformity)> = None;
        for places in self.insides(spacing)? {
            let mut heads = edge_heads.clone();
            heads.extend(places.into_iter().filter_map(|at| fit(&self.ground, self.nozzle, self.full, at)));
            if let Some(even) = self.evenness(&heads)
                && best.as_ref().is_none_or(|(_, known)| even.low_quarter > known.low_quarter)
            {
                best = Some((heads, even));
            }
        }
        let (mut heads, before) = best.ok_or(LayoutError::NoRoom { inset: self.rules.inset })?;
        let after = self.search(&mut heads, at_edges, before);
        if heads.len() > self.rules.most {
            return Err(LayoutError::TooMany { count: heads.len(), most: self.rules.most });
        }
        let grid = self.grid(&heads)?;
        let flow = heads.iter().map(|head| head.flow).sum();
        let (rate, missed) = (after.mean, grid.missed());
        let in_range = self.full.in_range;
        Ok(HeadLayout { heads, at_edges, before, after, flow, rate, missed, without, in_range })
    }

    /// Sets of places inside: nothing, square and triangular rows along the longest edge, and shifted.
    fn insides(&self, spacing: f64) -> Result<Vec<Vec<Point>>, LayoutError> {
        let mut sets = vec![Vec::new()];
        let Some(bounds) = self.ground.area.bounds() else { return Ok(sets) };
        let longest =
            self.ground.area.edges().max_by(|a, b| a.p0.distance(a.p1).total_cmp(&b.p0.distance(b.p1)));
        let Some(edge) = longest else { return Ok(sets) };
        let along = (edge.p1 - edge.p0).normalize();
        let angle = along.atan2();
        let across = Vec2::new(-along.y, along.x);
        for (shift_along, shift_across) in [(0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5)] {
            let origin = edge.p0 + along * (shift_along * spacing) + across * (shift_across * spacing);
            for points in [
                lattice::square(bounds, spacing, origin, angle)?,
                lattice::triangular(bounds, spacing, origin, angle)?,
            ] {
                let inside = |at: &Point| self.ground.signed_distance(*at) >= 0.5 * spacing;
                sets.push(points.into_iter().filter(inside).collect());
            }
        }
        Ok(sets)
    }

    fn grid(&self, heads: &[Head]) -> Result<CatchGrid, NotUsable> {
        catch_grid(heads, self.ground.area, self.cell, self.obstacles, Wind::STILL)
    }

    /// Evenness; none where nothing falls.
    fn evenness(&self, heads: &[Head]) -> Option<Uniformity> {
        self.grid(heads).ok()?.uniformity().ok()
    }

    /// Moves heads and adds some while that helps; answers the evenness reached.
    fn search(&self, heads: &mut Vec<Head>, at_edges: usize, before: Uniformity) -> Uniformity {
        let mut best = before;
        let mut step = self.full.throw / 6.0;
        for _ in 0..self.rules.rounds {
            for i in 0..heads.len() {
                for turn in 0..8 {
                    let shift = Vec2::from_angle(std::f64::consts::FRAC_PI_4 * f64::from(turn)) * step;
                    let at = heads[i].at + shift;
                    // Heads at the edge stay there.
                    let off = self.ground.signed_distance(at);
                    let good = if i < at_edges {
                        (self.rules.inset..=2.0 * self.rules.inset).contains(&off)
                    } else {
                        off >= self.rules.inset
                    };
                    let Some(head) = good.then(|| fit(&self.ground, self.nozzle, self.full, at)).flatten()
                    else {
                        continue;
                    };
                    let kept = std::mem::replace(&mut heads[i], head);
                    match self.evenness(heads) {
                        Some(even) if even.low_quarter > best.low_quarter + 1e-6 => best = even,
                        _ => heads[i] = kept,
                    }
                }
            }
            if let Some(even) = self.add_where_driest(heads, best) {
                best = even;
            }
            step /= 2.0;
        }
        best
    }

    /// Adds a head at the driest cell if that lifts the low quarter by a point.
    fn add_where_driest(&self, heads: &mut Vec<Head>, best: Uniformity) -> Option<Uniformity> {
        if heads.len() >= self.rules.most {
            return None;
        }
        let grid = self.grid(heads).ok()?;
        let far = |k: &usize| {
            grid.inside[*k]
                && self.ground.signed_distance(grid.centre(k % grid.columns, k / grid.columns))
                    >= self.rules.inset
        };
        let driest =
            (0..grid.rates.len()).filter(far).min_by(|a, b| grid.rates[*a].total_cmp(&grid.rates[*b]))?;
        let at = grid.centre(driest % grid.columns, driest / grid.columns);
        if !self.ground.contains(at) {
            return None;
        }
        heads.push(fit(&self.ground, self.nozzle, self.full, at)?);
        match self.evenness(heads) {
            Some(even) if even.low_quarter > best.low_quarter + 0.01 => Some(even),
            _ => {
                heads.pop();
                None
            }
        }
    }
}

/// Turning of the outline that makes a corner. [rad]
const CORNER: f64 = 0.35;

/// Corners of a ring, and equal steps of at most a spacing between them. [m]
fn along_ring(ring: &[Point], spacing: f64) -> Vec<Point> {
    let n = ring.len();
    if n < 3 {
        return Vec::new();
    }
    let turning = |i: usize| {
        let (into, out) = (ring[i] - ring[(i + n - 1) % n], ring[(i + 1) % n] - ring[i]);
        into.cross(out).atan2(into.dot(out)).abs()
    };
    let mut corners: Vec<usize> = (0..n).filter(|&i| turning(i) > CORNER).collect();
    if corners.is_empty() {
        corners.push(0);
    }
    let mut places: Vec<Point> = corners.iter().map(|&i| ring[i]).collect();
    for (k, &first) in corners.iter().enumerate() {
        let last = corners[(k + 1) % corners.len()];
        let count = if last > first { last - first } else { last + n - first };
        let stretch: Vec<Point> = (0..=count).map(|i| ring[(first + i) % n]).collect();
        places.extend(inner_steps(&stretch, spacing));
    }
    places
}

/// Places that cut a line into the fewest equal steps of at most a spacing, ends left out. [m]
fn inner_steps(line: &[Point], spacing: f64) -> Vec<Point> {
    let length: f64 = line.windows(2).map(|pair| pair[0].distance(pair[1])).sum();
    // Three hundredths more than a spacing is no step more.
    let steps = (length / (1.03 * spacing)).ceil().max(1.0);
    let mut places = Vec::new();
    let (mut walked, mut next) = (0.0, 1.0);
    for pair in line.windows(2) {
        let piece = pair[0].distance(pair[1]);
        while next < steps && next * length / steps <= walked + piece && piece > 0.0 {
            places.push(pair[0].lerp(pair[1], (next * length / steps - walked) / piece));
            next += 1.0;
        }
        walked += piece;
    }
    places
}
