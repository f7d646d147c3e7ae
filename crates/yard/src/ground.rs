//! The ground: as it is, from levels and break lines, and as it shall be, from gradings and swales.
//!
//! - In: a project and its plot. Out: a [`Ground`] that knows the height at every place, and the faults
//!   of levels and gradings that cannot be.
//! - Method: a constrained triangulation of levels and break lines, carried out level to beyond the plot
//!   where nobody took any; then every grading, and after them every swale, laid into it in file order.
//! - Without levels the ground is level at 0.
//! - Not here: what the ground means for water, walls and people (`groundwright-ground`).

use std::sync::Arc;

use groundwright_geometry::{
    Curve, FLATTEN, Patch, Point, Point3, Rect, Region, RegionIndex, Surface, SurfaceFault, Vec2,
};
use groundwright_plan::{ElementRef, GradedArea, Grading, GradingForm, Kind, Project, Swale};

use crate::outline::{PlaceFault, Resolver, fault};
use crate::plot::Plot;
use crate::walls::{stair_patch, wall_patches};

/// Ground carried out beyond the plot. [m] More than the reach of any check from its edge.
const BEYOND: f64 = 4.0;
/// Distance of points on the rim of what is carried out. [m]
const RIM_STEP: f64 = 4.0;
/// Longest piece of a grading's edge that follows the ground. [m]
const FOLLOW: f64 = 1.0;

/// A part graded anew.
#[derive(Debug, Clone, PartialEq)]
pub struct Graded {
    /// The grading or swale.
    pub element: ElementRef,
    /// Where it meets the ground as it was. [m]
    pub rim: Vec<Point>,
}

/// The ground's heights; level at 0 until there are levels.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ground {
    existing: Option<Arc<Surface>>,
    /// As graded, before walls and steps are set into it.
    graded_surface: Option<Arc<Surface>>,
    proposed: Option<Arc<Surface>>,
    /// Where levels were taken: their hull. Beyond it the ground is assumed. [m]
    pub surveyed: Vec<Point>,
    /// Parts graded anew, in the order in which they were laid.
    pub graded: Vec<Graded>,
    /// What is wrong with levels and gradings.
    pub faults: Vec<PlaceFault>,
}

impl Ground {
    /// Height of the existing ground. [m]
    pub fn existing(&self, at: Point) -> f64 {
        self.existing.as_ref().and_then(|ground| ground.level_carried_out(at)).unwrap_or(0.0)
    }

    /// Height of the proposed ground. [m]
    pub fn proposed(&self, at: Point) -> f64 {
        self.proposed.as_ref().and_then(|ground| ground.level_carried_out(at)).unwrap_or(0.0)
    }

    /// The existing ground as a surface; none until there are levels.
    pub fn existing_surface(&self) -> Option<&Surface> {
        self.existing.as_deref()
    }

    /// Height of the ground as graded, before walls and steps are set into it. [m]
    pub fn graded(&self, at: Point) -> f64 {
        self.graded_surface.as_ref().and_then(|ground| ground.level_carried_out(at)).unwrap_or(0.0)
    }

    /// The ground as graded as a surface; none until there are levels.
    pub fn graded_surface(&self) -> Option<&Surface> {
        self.graded_surface.as_deref()
    }

    /// The proposed ground as a surface; none until there are levels.
    pub fn proposed_surface(&self) -> Option<&Surface> {
        self.proposed.as_deref()
    }
}

/// Lays the ground of a project.
pub fn lay_ground(project: &Project, plot: &Plot) -> Ground {
    let found = &project.property.ground;
    let resolver = Resolver::new(project);
    let mut ground = Ground::default();
    let levels: Vec<Point3> = found
        .levels
        .iter()
        .filter_map(|level| Some(lift(resolver.point(&level.at)?, level.level.value)))
        .collect();
    let lines: Vec<Vec<Point3>> = found
        .break_lines
        .iter()
        .map(|line| line.course.iter().filter_map(|(at, z)| Some(lift(resolver.point(at)?, *z))).collect())
        .collect();
    if levels.is_empty() && lines.is_empty() {
        ask_for_levels(project, &mut ground);
        return ground;
    }
    let taken = match Surface::from_levels(&levels, &lines) {
        Ok(taken) => taken,
        Err(faults) => {
            ground.faults.extend(faults.iter().map(|problem| of_survey(project, problem)));
            return ground;
        }
    };
    ground.surveyed = hull(&taken);
    let existing = carried_out(&taken, &levels, &lines, plot);
    let mut proposed = existing.clone();
    for grading in &project.design.ground.gradings {
        let element = ElementRef::new(Kind::Grading, &grading.id);
        let patch = grading_patch(&resolver, grading, &element, &proposed);
        ground.lay(&mut proposed, element, patch);
    }
    for swale in &project.design.ground.swales {
        let element = ElementRef::new(Kind::Swale, &swale.id);
        let patch = swale_patch(&resolver, swale, &element, &proposed);
        ground.lay(&mut proposed, element, patch);
    }
    ground.existing = Some(Arc::new(existing));
    let graded = Arc::new(proposed);
    ground.graded_surface = Some(graded.clone());
    ground.proposed = Some(ground.with_built(project, plot, graded));
    ground
}

impl Ground {
    fn lay(&mut self, surface: &mut Surface, element: ElementRef, patch: Result<Patch, PlaceFault>) {
        match patch {
            Ok(patch) => match surface.patched(&patch) {
                Ok(next) => {
                    *surface = next;
                    if matches!(element.kind, Kind::Grading | Kind::Swale) {
                        self.graded.push(Graded { element, rim: patch.rim });
                    }
                }
                Err(faults) => self.faults.extend(faults.iter().map(|problem| {
                    let field = match element.kind {
                        Kind::Swale | Kind::Wall => "line",
                        Kind::Steps => "from",
                        _ => "outline",
                    };
                    split(&element, field, problem)
                })),
            },
            Err(problem) => self.faults.push(problem),
        }
    }
}

impl Ground {
    /// Walls that are told their levels, and then steps, set into the graded ground.
    fn with_built(&mut self, project: &Project, plot: &Plot, graded: Arc<Surface>) -> Arc<Surface> {
        if plot.walls.is_empty() && plot.stairs.is_empty() {
            return graded;
        }
        let mut surface = graded.as_ref().clone();
        for wall in &plot.walls {
            for patch in wall_patches(wall, &graded) {
                self.lay(&mut surface, wall.element.clone(), patch);
            }
        }
        for stair in &plot.stairs {
            let steps = project.design.built.steps.iter().find(|steps| steps.id == stair.element.id);
            if let Some(steps) = steps {
                self.lay(&mut surface, stair.element.clone(), Ok(stair_patch(stair, steps)));
            }
        }
        Arc::new(surface)
    }
}

fn lift(at: Point, z: f64) -> Point3 {
    Point3::new(at.x, at.y, z)
}

/// Gradings stand on levels: without any they cannot be laid.
fn ask_for_levels(project: &Project, ground: &mut Ground) {
    let work = &project.design.ground;
    let first = work.gradings.first().map(|g| ElementRef::new(Kind::Grading, &g.id));
    let first = first.or_else(|| work.swales.first().map(|s| ElementRef::new(Kind::Swale, &s.id)));
    if let Some(element) = first {
        let field = if element.kind == Kind::Swale { "line" } else { "outline" };
        ground.faults.push(fault(
            &element,
            field,
            "the property has no levels to grade from",
            "take levels of the ground and give them as [[level]] in property.toml",
        ));
    }
}

/// A fault of the survey: it names the first level or line, and says where in words.
fn of_survey(project: &Project, problem: &SurfaceFault) -> PlaceFault {
    let found = &project.property.ground;
    let line = |index: usize| found.break_lines.get(index).map(|l| ElementRef::new(Kind::BreakLine, &l.id));
    let level = found.levels.first().map(|l| ElementRef::new(Kind::SpotLevel, &l.id));
    if let SurfaceFault::Crossing { first, .. } = problem {
        let element = line(*first).or(level);
        split(&element.unwrap_or_else(|| ElementRef::new(Kind::BreakLine, &"?".into())), "places", problem)
    } else {
        let element = level.or_else(|| line(0));
        split(&element.unwrap_or_else(|| ElementRef::new(Kind::SpotLevel, &"?".into())), "at", problem)
    }
}

/// A surface's sentence as problem and remedy: they part at its last semicolon.
fn split(element: &ElementRef, field: &'static str, problem: &SurfaceFault) -> PlaceFault {
    let text = problem.to_string();
    let (what, remedy) = text.rsplit_once("; ").unwrap_or((&text, "take the levels again"));
    fault(element, field, what, remedy)
}

/// The outline of a surface, counter-clockwise.
fn hull(surface: &Surface) -> Vec<Point> {
    let edges: Vec<(Point3, Point3)> = surface.rim_edges().collect();
    let Some(first) = edges.first() else { return Vec::new() };
    let mut hull = vec![first.0.plan()];
    let mut at = first.1.plan();
    while at.distance(hull[0]) > 1e-9 && hull.len() <= edges.len() {
        hull.push(at);
        match edges.iter().find(|(from, _)| from.plan().distance(at) < 1e-9) {
            Some((_, to)) => at = to.plan(),
            None => break,
        }
    }
    hull
}

/// The ground taken, and level ground from its rim out to beyond the plot.
fn carried_out(taken: &Surface, levels: &[Point3], lines: &[Vec<Point3>], plot: &Plot) -> Surface {
    let areas = plot
        .boundary
        .iter()
        .chain(&plot.buildings)
        .chain(plot.paved())
        .chain(&plot.beds)
        .chain(&plot.lawns)
        .filter_map(|area| area.whole.bounds());
    let bounds = areas.fold(taken.bounds(), |all, one| all.union(one)).inflate(BEYOND, BEYOND);
    let mut all = levels.to_vec();
    all.extend(about(bounds).into_iter().filter_map(|at| Some(lift(at, taken.level_carried_out(at)?))));
    // The hull of what was taken stays an edge: what is assumed beyond must not reach into it.
    let mut kept = lines.to_vec();
    kept.extend(taken.rim_edges().map(|(from, to)| vec![from, to]));
    // The rim lies beyond all that was taken, so what held without it holds with it.
    Surface::from_levels(&all, &kept).unwrap_or_else(|_| taken.clone())
}

/// Points about a rectangle.
fn about(rect: Rect) -> Vec<Point> {
    let corners = [
        Point::new(rect.x0, rect.y0),
        Point::new(rect.x1, rect.y0),
        Point::new(rect.x1, rect.y1),
        Point::new(rect.x0, rect.y1),
    ];
    (0..4)
        .flat_map(|i| {
            let (from, to) = (corners[i], corners[(i + 1) % 4]);
            let count = (from.distance(to) / RIM_STEP).ceil().clamp(1.0, 500.0) as usize;
            (0..count).map(move |k| from.lerp(to, k as f64 / count as f64))
        })
        .collect()
}

fn grading_patch(
    resolver: &Resolver<'_>,
    grading: &Grading,
    element: &ElementRef,
    ground: &Surface,
) -> Result<Patch, PlaceFault> {
    let edge = match &grading.area {
        GradedArea::Of(area) => resolver.edge(area)?,
        GradedArea::Outline(line) => resolver.outline(element, "outline", line)?,
    };
    let region = Region::from_curve(&edge, FLATTEN).map_err(|e| {
        fault(element, "outline", &e.to_string(), "draw the outline once round, without crossing")
    })?;
    let point = |place| {
        resolver
            .point(place)
            .ok_or_else(|| fault(element, "spots", "a place hangs on no point", "name a reference point"))
    };
    let margin = grading.margin.value;
    match &grading.form {
        GradingForm::Pad { level, fall } => {
            let (direction, from) = match fall {
                Some((fall, from, toward)) => {
                    let (from, toward) = (point(from)?, point(toward)?);
                    let along = toward - from;
                    if along.hypot() < 0.01 {
                        return Err(fault(
                            element,
                            "toward",
                            "it is where the fall starts",
                            "name a place further on",
                        ));
                    }
                    (along / along.hypot() * *fall, from)
                }
                None => (Vec2::ZERO, Point::ORIGIN),
            };
            let height = |at: Point| level - direction.dot(at - from);
            let inner = largest(&region);
            let rim = largest(&region.grow(margin));
            let line = closed(&inner).into_iter().map(|at| lift(at, height(at))).collect();
            Ok(Patch { rim, levels: Vec::new(), lines: vec![line] })
        }
        GradingForm::Raise(by) => {
            let inner = region.grow(-margin);
            if inner.is_empty() {
                return Err(fault(
                    element,
                    "margin",
                    "nothing is left inside the margin",
                    "give a narrower margin",
                ));
            }
            let height = |at: Point| lift(at, ground.level_carried_out(at).unwrap_or(0.0) + by);
            let outlines = inner.outlines();
            let lines = outlines
                .iter()
                .map(|outline| follow(&closed(outline)).into_iter().map(height).collect::<Vec<_>>());
            let index = RegionIndex::new(&inner);
            let inside = ground.points().iter().filter(|p| index.signed_distance(p.plan()) > 0.02);
            let levels = inside.map(|p| Point3::new(p.x, p.y, p.z + by)).collect();
            Ok(Patch { rim: largest(&region), levels, lines: lines.collect() })
        }
        GradingForm::Levels(spots) => {
            let levels: Result<Vec<Point3>, PlaceFault> =
                spots.iter().map(|(place, z)| Ok(lift(point(place)?, *z))).collect();
            Ok(Patch { rim: largest(&region), levels: levels?, lines: Vec::new() })
        }
    }
}

/// The outline of a region's largest part.
fn largest(region: &Region) -> Vec<Point> {
    let part = region.parts().into_iter().max_by(|a, b| a.area().total_cmp(&b.area()));
    part.and_then(|part| part.outlines().into_iter().next()).unwrap_or_default()
}

fn closed(outline: &[Point]) -> Vec<Point> {
    outline.iter().chain(outline.first()).copied().collect()
}

/// A line with points close enough to follow the ground.
fn follow(line: &[Point]) -> Vec<Point> {
    let mut dense = Vec::new();
    for pair in line.windows(2) {
        let count = (pair[0].distance(pair[1]) / FOLLOW).ceil().clamp(1.0, 10_000.0) as usize;
        dense.extend((0..count).map(|k| pair[0].lerp(pair[1], k as f64 / count as f64)));
    }
    dense.extend(line.last());
    dense
}

/// A swale: its bottom at a fall, its sides up (or down) to the ground.
fn swale_patch(
    resolver: &Resolver<'_>,
    swale: &Swale,
    element: &ElementRef,
    ground: &Surface,
) -> Result<Patch, PlaceFault> {
    let line: Curve = resolver.line(element, "line", &swale.line)?;
    let length = line.length();
    let half = swale.bottom.value / 2.0;
    let points = follow(&line.flatten(0.02));
    let mut sides: [Vec<Point>; 2] = [Vec::new(), Vec::new()];
    let mut bottoms: [Vec<Point3>; 2] = [Vec::new(), Vec::new()];
    let mut station = 0.0;
    for (i, &at) in points.iter().enumerate() {
        if i > 0 {
            station += at.distance(points[i - 1]);
        }
        let (before, after) = (points[i.saturating_sub(1)], points[(i + 1).min(points.len() - 1)]);
        let along = (after - before) / (after - before).hypot();
        let across = Vec2::new(-along.y, along.x);
        let share = (station / length).min(1.0);
        let z = swale.start.value + share * (swale.end.value - swale.start.value);
        let depth = ground.level_carried_out(at).unwrap_or(z) - z;
        // Never narrower than a rim that can be raked.
        let run = (depth.abs() / swale.side.value).max(0.1);
        // The rim goes round the ends of the bottom.
        let beyond = match i {
            0 => -along * run,
            _ if i + 1 == points.len() => along * run,
            _ => Vec2::ZERO,
        };
        for (side, sign) in [(0, 1.0), (1, -1.0)] {
            sides[side].push(at + beyond + across * (sign * (half + run)));
            let foot = at + across * (sign * half);
            bottoms[side].push(lift(foot, z));
        }
    }
    let [left, mut right] = sides;
    right.reverse();
    let rim: Vec<Point> = left.into_iter().chain(right).collect();
    if let Some(crossing) = groundwright_geometry::check_outline(&rim).first() {
        let what = format!("its sides meet in the bend: {crossing}");
        return Err(fault(element, "line", &what, "ease the bend, or make the sides steeper"));
    }
    let [left, right] = bottoms;
    let lines = if half < 0.005 { vec![left] } else { vec![left, right] };
    Ok(Patch { rim, levels: Vec::new(), lines })
}
