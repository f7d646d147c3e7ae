//! A mass: a region filled with plants in a triangular pattern, its edge first.
//!
//! - In: a region, a spacing on centre [m], a seed. Out: positions and how even they came out.
//! - Method, as a crew would set it out:
//!   1. where the region is too narrow for two lines, one line (or a zigzag) along its middle
//!      (`strips.rs`);
//!   2. elsewhere a first line half a spacing inside every edge, holes too (`edge.rs`);
//!   3. inside, the triangular lattice whose direction and phase fit the first line best
//!      (`interior.rs`), of small masses the best of a few;
//!   4. the inner plants give way to one another until they stand evenly, the first line held; what
//!      is crowded is taken out and what is left open filled (`settle.rs`).
//! - Count: area × 2/(√3 d²) is the even lattice without edges. As the first line keeps d/2 from
//!   the edge, where the lattice alone would keep √3/4 d in the mean, a mass has about 0.077 plants
//!   less for each spacing of its edge. For regions over 100 d² with an edge below half their area
//!   over d ("fat") the count is within 4 % of it; a test holds it to that.
//! - Source: common practice, no source; densities by plane geometry.
//! - Not here: several taxa in one mass (`drifts.rs`), places where nothing may stand (take them
//!   off the region).

mod edge;
mod interior;
mod settle;
mod strips;

use groundwright_geometry::layout::triangular_density;
use groundwright_geometry::{Point, Region, RegionIndex};
use rayon::prelude::*;

use super::neighbours::Neighbours;

/// A filled region.
#[derive(Debug, Clone, PartialEq)]
pub struct Mass {
    /// Where the plants stand, those along the edge and in narrow parts first. [m]
    pub points: Vec<Point>,
    /// How many of them follow the edge or the middle of a narrow part.
    pub first_line: usize,
    /// Mean distance of a plant to its nearest neighbour; none for fewer than two plants. [m]
    pub mean_spacing: Option<f64>,
    /// Least distance of two plants, at least 0.8 of the spacing; none for fewer than two. [m]
    pub least_spacing: Option<f64>,
    /// Area over count; the area itself if nothing fits. [m²]
    pub area_per_plant: f64,
    /// Area × 2/(√3 d²): plants of an even lattice on that area. [1]
    pub expected: f64,
    /// Area further than a spacing from every plant: what stays open, such as parts narrower than
    /// a third of the spacing. [m²]
    pub left_empty: f64,
}

/// Why a region cannot be filled.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MassFault {
    /// A spacing that is not a finite number above zero.
    #[error("the spacing of the mass is {value} m, expected a finite length above zero")]
    Spacing {
        /// The value given. [m]
        value: f64,
    },
    /// A region without area.
    #[error("the region of the mass has no area; draw it again or check what is taken off it")]
    EmptyRegion,
    /// More plants than anyone will set.
    #[error(
        "about {count:.0} plants would stand in this mass, more than {MOST_PLANTS}; \
         check the spacing and its unit, or split the area"
    )]
    TooMany {
        /// About how many plants.
        count: f64,
    },
}

/// No mass has more plants than this.
pub const MOST_PLANTS: usize = 200_000;

/// Two plants of a mass nearer than this share of the spacing are one too many.
const CROWDED: f64 = 0.8;

/// Plants that a mass has less than the even lattice for each spacing of its edge: the first line
/// keeps d/2 from it, the lattice √3/4 d in the mean, and a row takes √3/2 d.
const EDGE_SHORTFALL: f64 = 0.077;

/// Masses of fewer plants than this are filled in several ways, of which the best is taken; larger
/// ones come out alike whichever way.
const WORTH_TRYING: f64 = 500.0;

/// Fills a region with plants at a spacing.
///
/// # Arguments
/// - `region`: any number of parts, with holes.
/// - `spacing`: distance on centre. [m] Above zero.
/// - `seed`: breaks ties of the inner plants; another seed gives another, equally even mass.
///
/// # Returns
/// Plants inside the region, at least half a spacing from its edge wherever it is wide enough for
/// that, no two nearer than 0.8 of the spacing. The same input gives the same plants.
pub fn fill(region: &Region, spacing: f64, seed: u64) -> Result<Mass, MassFault> {
    if !(spacing.is_finite() && spacing > 0.0) {
        return Err(MassFault::Spacing { value: spacing });
    }
    let area = region.area();
    let Some(bounds) = region.bounds().filter(|_| area > 0.0) else {
        return Err(MassFault::EmptyRegion);
    };
    let expected = area * triangular_density(spacing);
    if expected > MOST_PLANTS as f64 {
        return Err(MassFault::TooMany { count: expected });
    }
    let (core, index) = (region.grow(-spacing / 2.0), RegionIndex::new(region));
    let mut bed = Bed {
        spacing,
        core: &core,
        index: &index,
        grid: Neighbours::new(bounds, spacing),
        points: Vec::new(),
        depth: Vec::new(),
        stirred: Vec::new(),
        held: 0,
    };
    strips::plant(&mut bed, region);
    let line = edge::plant(&mut bed);
    plant_deepest(&mut bed, region);
    bed.held = bed.points.len();
    bed.depth = vec![0.0; bed.held];
    bed.stirred = vec![true; bed.held];
    let bed = fill_inside(&bed, &line, region, seed);
    Ok(report(bed, region, area, expected))
}

/// One plant at the deepest place of each small part that has room for no line.
fn plant_deepest(bed: &mut Bed<'_>, region: &Region) {
    for part in region.parts() {
        if let Some((at, depth)) = part.pole(bed.spacing / 50.0)
            && (strips::LEAST_WIDTH..strips::STRIP_WIDTH).contains(&(2.0 * depth / bed.spacing))
        {
            bed.offer(at, 0.95);
        }
    }
}

/// Fills what the first line leaves; of a few lattices that fit it well, in a mass small enough to
/// try, the one that comes out most even.
fn fill_inside<'a>(bed: &Bed<'a>, line: &[edge::EdgePlant], region: &Region, seed: u64) -> Bed<'a> {
    let expected = region.area() * triangular_density(bed.spacing);
    let tries = if expected < WORTH_TRYING { 3 } else { 1 };
    let due = expected - EDGE_SHORTFALL * region.perimeter() / bed.spacing;
    let fill = |lattice| {
        let mut bed = bed.clone();
        interior::plant(&mut bed, &lattice);
        settle::settle(&mut bed, seed);
        (unevenness(&bed, due), bed)
    };
    let filled: Vec<(f64, Bed<'a>)> =
        interior::best_lattices(bed, line, tries).into_par_iter().map(fill).collect();
    let best = filled.into_iter().reduce(|best, next| if next.0 < best.0 - 1e-9 { next } else { best });
    best.map_or_else(
        || {
            let mut bed = bed.clone();
            settle::settle(&mut bed, seed);
            bed
        },
        |(_, bed)| bed,
    )
}

/// Share by which the number of plants misses what is due, and by which neighbours stand too near.
fn unevenness(bed: &Bed<'_>, due: f64) -> f64 {
    let distances = nearest_distances(bed);
    let mean = distances.iter().sum::<f64>() / distances.len().max(1) as f64;
    let number = (bed.points.len() as f64 / due.max(1.0) - 1.0).abs();
    number + 0.5 * (1.0 - mean / bed.spacing).max(0.0)
}

fn report(bed: Bed<'_>, region: &Region, area: f64, expected: f64) -> Mass {
    let distances = nearest_distances(&bed);
    let mean = distances.iter().sum::<f64>() / distances.len().max(1) as f64;
    let step = bed.spacing / 4.0;
    let open = samples_inside(region, step)
        .into_iter()
        .filter(|place| bed.grid.nearest(*place, bed.spacing, None) >= bed.spacing)
        .count();
    Mass {
        first_line: bed.held,
        mean_spacing: (!distances.is_empty()).then_some(mean),
        least_spacing: distances.iter().copied().reduce(f64::min),
        area_per_plant: area / bed.points.len().max(1) as f64,
        expected,
        left_empty: open as f64 * step * step,
        points: bed.points,
    }
}

/// Distance of every plant to its nearest fellow. [m]
fn nearest_distances(bed: &Bed<'_>) -> Vec<f64> {
    let near = |(i, at): (usize, &Point)| {
        let radii = [1.5 * bed.spacing, f64::MAX.sqrt()];
        radii.into_iter().find_map(|radius| {
            let distance = bed.grid.nearest(*at, radius, Some(i));
            (distance < radius).then_some(distance)
        })
    };
    bed.points.iter().enumerate().filter_map(near).collect()
}

/// The mass in the making.
#[derive(Clone)]
struct Bed<'a> {
    spacing: f64,
    /// What lies half a spacing and more inside the region.
    core: &'a Region,
    /// The region itself.
    index: &'a RegionIndex,
    /// All plants, indexed as in `points`.
    grid: Neighbours,
    points: Vec<Point>,
    /// A bound from below on the distance of each inner plant from the edge. [m]
    depth: Vec<f64>,
    /// Whether a plant is held or has moved off its place in the lattice.
    stirred: Vec<bool>,
    /// Plants that stay where they are: the first of `points`.
    held: usize,
}

impl Bed<'_> {
    /// Sets an inner plant on its place in the lattice.
    fn add(&mut self, at: Point, depth: f64) {
        self.grid.insert(at);
        self.points.push(at);
        self.depth.push(depth);
        self.stirred.push(false);
    }

    /// Moves an inner plant.
    fn shift(&mut self, index: usize, to: Point, depth: f64) {
        self.grid.shift(index, to);
        self.points[index] = to;
        self.depth[index] = depth;
        self.stirred[index] = true;
    }

    /// Sets a plant unless another is nearer than a share of the spacing.
    fn offer(&mut self, at: Point, share: f64) -> bool {
        let least = share * self.spacing;
        if self.grid.nearest(at, least, None) < least {
            return false;
        }
        self.grid.insert(at);
        self.points.push(at);
        true
    }
}

/// Places of an upright square grid that lie inside a region, line by line. [m]
///
/// Each line is met with the edges once, which is cheaper than asking place by place.
fn samples_inside(region: &Region, step: f64) -> Vec<Point> {
    let Some(bounds) = region.bounds() else {
        return Vec::new();
    };
    let lines = (bounds.height() / step).floor() as usize + 1;
    let height = |line: usize| bounds.y0 + (line as f64 + 0.5) * step;
    let mut crossings: Vec<Vec<f64>> = vec![Vec::new(); lines];
    for edge in region.edges() {
        let (from, to) = (edge.p0, edge.p1);
        // The first line that the edge can meet.
        let first = ((from.y.min(to.y) - bounds.y0) / step - 0.5).floor().max(0.0) as usize;
        for (line, met) in crossings.iter_mut().enumerate().skip(first) {
            let y = height(line);
            if y > from.y.max(to.y) {
                break;
            }
            if (from.y <= y) != (to.y <= y) {
                met.push(from.x + (y - from.y) / (to.y - from.y) * (to.x - from.x));
            }
        }
    }
    let mut places = Vec::new();
    for (line, met) in crossings.iter_mut().enumerate() {
        met.sort_by(f64::total_cmp);
        for pair in met.chunks_exact(2) {
            let mut column = ((pair[0] - bounds.x0) / step - 0.5).ceil().max(0.0);
            loop {
                let x = bounds.x0 + (column + 0.5) * step;
                if x > pair[1] {
                    break;
                }
                places.push(Point::new(x, height(line)));
                column += 1.0;
            }
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Area by counting: 6 × 4 less a hole of 2 × 2, at 10,000 samples a square metre.
    #[test]
    fn samples_measure_the_area() {
        let square =
            |x, y, w, h| Region::rectangle(groundwright_geometry::Rect::new(x, y, x + w, y + h)).unwrap();
        let region = square(0.3, 0.1, 6.0, 4.0).difference(&square(1.0, 1.0, 2.0, 2.0));
        let places = samples_inside(&region, 0.01);
        assert!((places.len() as f64 * 1e-4 - 20.0).abs() < 0.05, "{}", places.len());
        assert!(places.iter().step_by(97).all(|place| region.contains(*place)));
    }
}
