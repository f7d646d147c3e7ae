//! One planting instruction made into positions.
//!
//! - In: the instruction, the plot, and what already stands (`taken`). Out: an [`Arrangement`].
//! - Singles, groups and rows are laid first, in file order; masses fill what they leave.
//! - Not here: which dug plant goes into which hole (`transplanting.rs`).

use std::collections::BTreeMap;

use groundwright_geometry::{Curve, Point, Rect, Region, RegionIndex};
use groundwright_plan::stock::{PlantKind, Taxon};
use groundwright_plan::{ElementId, ElementRef, Kind, Layout, Planting, Project, RowPattern, TaxonId};

use groundwright_units::System;

use crate::arrange::rows::{Ends, Footing, Pattern, RowRule, Toward, lay_rows};
use crate::arrange::{drifts, group, mass};
use crate::growth::{size_bought, spread_curve};
use crate::outline::{PlaceFault, Resolver, fault};
use crate::plot::Plot;

/// Why a planting has the spacing it has.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpacingReason {
    /// Stated in the design.
    Stated,
    /// The crowns touch after these years. [a]
    FilledIn(f64),
    /// The taxon's usual spacing.
    Usual,
    /// The mature spread, as the stock has no usual spacing.
    Mature,
}

/// Where one plant of an instruction stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Position {
    /// Where. [m]
    pub at: Point,
    /// Which taxon.
    pub taxon: TaxonId,
    /// Row, from 0; 0 where there are no rows.
    pub row: u32,
    /// Step along the row or ordinal in the instruction, from 0; steps count on across gaps.
    pub step: u32,
}

/// The positions of one instruction.
#[derive(Debug, Clone, PartialEq)]
pub struct Arrangement {
    /// The instruction.
    pub planting: ElementId,
    /// The plants.
    pub positions: Vec<Position>,
    /// On-centre spacing asked for. [m]
    pub spacing: f64,
    /// Why this spacing.
    pub reason: SpacingReason,
    /// Spacing along each row as adjusted; empty without rows. [m]
    pub row_spacing: Vec<f64>,
    /// Mean distance of neighbours; `None` for fewer than two plants. [m]
    pub mean_spacing: Option<f64>,
    /// Least distance of two plants; `None` for fewer than two plants. [m]
    pub least_spacing: Option<f64>,
    /// Area that a mass fills. [m²]
    pub area: Option<f64>,
    /// Plants of an even triangular lattice on that area.
    pub expected: Option<f64>,
    /// Area of a mass that stays open. [m²]
    pub left_empty: f64,
    /// Places of rows skipped because something is in the way.
    pub skipped: usize,
    /// Who holds places that this instruction would have planted, with about how many plants each.
    pub held_by: Vec<(ElementRef, usize)>,
    /// Plants left out because two would have crowded.
    pub crowded_out: usize,
    /// Whether rows come out even at both ends.
    pub ends_finished: bool,
}

/// A place that a planting must leave free.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Who holds it.
    pub by: ElementRef,
    /// Centre. [m]
    pub at: Point,
    /// Radius. [m]
    pub radius: f64,
}

/// The instruction with its geometry found, ready to be laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Prepared {
    planting: ElementId,
    spacing: f64,
    reason: SpacingReason,
    /// Room that a plant of each share takes from those laid after it. [m]
    room: Vec<f64>,
    shares: Vec<(TaxonId, f64)>,
    form: Form,
    seed: u64,
}

#[derive(Debug, Clone, PartialEq)]
enum Form {
    Single(Vec<Point>),
    Group { at: Point, count: usize, region: Option<Region> },
    Row { line: Curve, rule: RowRule, ground: Region },
    Mass { region: Region },
}

impl Prepared {
    /// Whether it fills what the others leave.
    pub fn is_mass(&self) -> bool {
        matches!(self.form, Form::Mass { .. })
    }

    /// The rectangle within which it may put plants, with a spacing to spare; `None` if it has no
    /// place at all.
    pub fn reach(&self) -> Option<Rect> {
        let spacing = self.spacing;
        let about =
            |points: &[Point]| points.iter().map(|p| Rect::from_points(*p, *p)).reduce(|a, b| a.union(b));
        let (rect, more) = match &self.form {
            Form::Single(points) => (about(points)?, 0.0),
            Form::Group { at, count, .. } => (about(&[*at])?, *count as f64 * spacing),
            Form::Row { line, rule, .. } => {
                let most = (0..rule.rows).map(|row| rule.offset(row).abs()).fold(0.0, f64::max);
                (about(&line.flatten(0.1))?, most)
            }
            Form::Mass { region } => (region.bounds()?, 0.0),
        };
        Some(rect.inflate(more + spacing, more + spacing))
    }

    /// The area that a mass fills before anything is taken out of it.
    pub fn region(&self) -> Option<&Region> {
        match &self.form {
            Form::Mass { region } => Some(region),
            _ => None,
        }
    }

    /// Takes the area of a smaller mass out of this one.
    pub fn give_way(&mut self, other: &Region) {
        if let Form::Mass { region } = &mut self.form {
            let apart = match (region.bounds(), other.bounds()) {
                (Some(a), Some(b)) => !a.overlaps(b),
                _ => true,
            };
            if !apart {
                *region = region.difference(other);
            }
        }
    }
}

/// Finds the geometry of an instruction.
///
/// # Errors
/// What the instruction refers to that cannot be placed.
pub fn prepare(project: &Project, plot: &Plot, planting: &Planting) -> Result<Prepared, PlaceFault> {
    let resolver = Resolver::new(project);
    let owner = ElementRef::new(Kind::Planting, &planting.id);
    let (spacing, reason) = spacing(project, planting, &owner)?;
    let place = match &planting.place {
        Some(element) => {
            let area = plot.area(element).ok_or_else(|| {
                fault(&owner, "in", &format!("{element} cannot be placed"), "mend its outline first")
            })?;
            Some(area.free.clone())
        }
        None => None,
    };
    let missing = || fault(&owner, "at", "a reference point is missing", "name one that exists");
    let form = match &planting.layout {
        Layout::Single { at } => {
            let points: Option<Vec<Point>> = at.iter().map(|place| resolver.point(place)).collect();
            Form::Single(points.ok_or_else(missing)?)
        }
        Layout::Group { at, count } => {
            Form::Group { at: resolver.point(at).ok_or_else(missing)?, count: *count, region: place }
        }
        Layout::Row { .. } => row(project, plot, &resolver, planting, &owner, (spacing, place))?,
        Layout::Mass { outline } => {
            let region = match outline {
                Some(line) => {
                    let edge = resolver.outline(&owner, "mass", line)?;
                    let whole = Region::from_curve(&edge, groundwright_geometry::FLATTEN)
                        .map_err(|e| fault(&owner, "mass", &e.to_string(), "draw the outline once round"))?;
                    match &place {
                        Some(bed) => whole.intersection(bed),
                        None => whole.intersection(&plantable(plot, around(&edge))),
                    }
                }
                None => place.unwrap_or_else(Region::empty),
            };
            Form::Mass { region }
        }
    };
    let shares = planting.shares.iter().map(|share| (share.taxon.clone(), share.parts)).collect();
    Ok(Prepared {
        planting: planting.id.clone(),
        spacing,
        reason,
        room: planting.shares.iter().map(|share| room(project, &share.taxon, spacing)).collect(),
        shares,
        form,
        seed: seed(planting.id.as_str()),
    })
}

/// Room about a plant that later instructions leave free: half its spacing, so that two plantings
/// meet as at any edge. A tree takes no more than what is kept clear of a trunk: lower plants grow
/// under its crown.
fn room(project: &Project, taxon: &TaxonId, spacing: f64) -> f64 {
    let half = 0.5 * spacing;
    match project.stock.taxa.get(taxon) {
        Some(taxon) if taxon.kind == PlantKind::Tree => half.min(project.practice.trunk_clearance),
        _ => half,
    }
}

/// Ground within a rectangle in which plants may stand: beds and boxes.
pub fn plantable(plot: &Plot, within: Rect) -> Region {
    Region::union_near(within, plot.beds.iter().chain(&plot.boxes).map(|area| &area.free))
}

/// The rectangle about a curve.
fn around(curve: &Curve) -> Rect {
    let start = Rect::from_points(curve.start(), curve.end());
    curve.flatten(0.05).iter().fold(start, |rect, at| rect.union_pt(*at))
}

fn row(
    project: &Project,
    plot: &Plot,
    resolver: &Resolver<'_>,
    planting: &Planting,
    owner: &ElementRef,
    (spacing, place): (f64, Option<Region>),
) -> Result<Form, PlaceFault> {
    let Layout::Row { along, line, from, to, inset, rows, pattern, tolerance } = &planting.layout else {
        return Err(fault(owner, "row", "this is no row", "give `row = { … }`"));
    };
    let (curve, side, ends, usual_inset) = match (along, line) {
        (Some(element), _) => {
            let edge = resolver.edge(element)?;
            let inward = if edge_turns_left(&edge) { 1.0 } else { -1.0 };
            // Beds and boxes take a row inside their edge; buildings, paving and turf have it outside.
            let inside = matches!(element.kind, Kind::Bed | Kind::PlanterBox);
            let side = if inside { inward } else { -inward };
            let part = part_of_edge(resolver, &edge, from.as_ref(), to.as_ref()).map_err(|problem| {
                fault(owner, "row", &problem, "give two places that lie apart on the edge")
            })?;
            let side = if runs_with(&part, &edge) { side } else { -side };
            (part, side, Ends::HalfSpace, spacing / 2.0)
        }
        (None, Some(line)) => (resolver.line(owner, "row", line)?, 1.0, Ends::AtEnds, 0.0),
        (None, None) => return Err(fault(owner, "row", "it follows no line", "give `along` or `line`")),
    };
    let rule = RowRule {
        inset: side * inset.unwrap_or(usual_inset),
        rows: *rows,
        spacing,
        pitch: None,
        pattern: match pattern {
            RowPattern::Staggered => Pattern::Staggered,
            RowPattern::Square => Pattern::Square,
        },
        ends,
        tolerance: tolerance.unwrap_or(project.practice.row_tolerance),
        toward: if side > 0.0 { Toward::Left } else { Toward::Right },
    };
    let most = (0..rule.rows).map(|row| rule.offset(row).abs()).fold(0.0, f64::max) + rule.spacing;
    let ground = place.unwrap_or_else(|| plantable(plot, around(&curve).inflate(most, most)));
    Ok(Form::Row { line: curve, rule, ground })
}

/// Whether a part of an edge runs the way the edge does.
fn runs_with(part: &Curve, edge: &Curve) -> bool {
    let middle = part.length() / 2.0;
    let foot = edge.nearest(part.point(middle));
    edge.tangent(foot.station).dot(part.tangent(middle)) > 0.0
}

/// The part of an edge between two stations. Two lengths run forward; two places take the shorter
/// way round.
///
/// # Errors
/// Words for what is wrong with the stations.
pub fn part_of_edge(
    resolver: &Resolver<'_>,
    edge: &Curve,
    from: Option<&groundwright_plan::Station>,
    to: Option<&groundwright_plan::Station>,
) -> Result<Curve, String> {
    use groundwright_plan::Station;
    if from.is_none() && to.is_none() {
        return Ok(edge.clone());
    }
    let find = |station: Option<&Station>, usual: f64| match station {
        Some(station) => resolver.station(edge, station).ok_or("a reference point is missing"),
        None => Ok(usual),
    };
    let (s, e) = (find(from, 0.0)?, find(to, edge.length())?);
    let total = edge.length();
    let places = matches!((from, to), (Some(Station::Near(_)), Some(Station::Near(_))));
    if places && (e - s).rem_euclid(total) > total / 2.0 {
        return edge.sub(e, s).map(|curve| curve.reversed()).map_err(|e| e.to_string());
    }
    if s > total || e > total + 1e-6 {
        return Err(format!("a station lies beyond the edge's length of {total:.2} m"));
    }
    edge.sub(s, e).map_err(|e| e.to_string())
}

/// Whether a closed edge runs counter-clockwise, so that its inside lies to the left.
pub(crate) fn edge_turns_left(edge: &Curve) -> bool {
    let points = edge.flatten(0.05);
    let twice: f64 =
        points.iter().zip(points.iter().cycle().skip(1)).map(|(a, b)| a.x * b.y - b.x * a.y).sum();
    twice > 0.0
}

/// On-centre spacing of an instruction and why.
fn spacing(
    project: &Project,
    planting: &Planting,
    owner: &ElementRef,
) -> Result<(f64, SpacingReason), PlaceFault> {
    if let Some(stated) = planting.spacing {
        return Ok((stated.value, SpacingReason::Stated));
    }
    let mut sum = 0.0;
    let mut parts = 0.0;
    let mut reason = SpacingReason::Usual;
    for share in &planting.shares {
        let taxon = project.stock.taxa.get(&share.taxon).ok_or_else(|| {
            fault(
                owner,
                "plant",
                &format!("no stock file has `{}`", share.taxon),
                "name a plant of the stock",
            )
        })?;
        let (own, why) = taxon_spacing(project, planting, taxon);
        reason = why;
        sum += own * share.parts;
        parts += share.parts;
    }
    Ok((on_the_tape(sum / parts, project.property.system), reason))
}

fn taxon_spacing(project: &Project, planting: &Planting, taxon: &Taxon) -> (f64, SpacingReason) {
    if let Some(years) = planting.filled_in {
        let container = size_bought(&project.stock, taxon, planting.size.as_deref());
        if let Ok(spacing) = spread_curve(taxon, container).spacing_to_fill(years.value) {
            return (spacing, SpacingReason::FilledIn(years.value));
        }
    }
    match taxon.spacing {
        Some(spacing) => (spacing, SpacingReason::Usual),
        None => (taxon.mature_spread(), SpacingReason::Mature),
    }
}

/// A spacing that nobody stated, in a step that a crew can read off a tape: whole inches up to a
/// foot, then steps of 2, 3 and 6 in; steps of 25, 50 and 100 mm on a metric job. What is usual or
/// reckoned from a growth curve is not known any closer. [m]
fn on_the_tape(spacing: f64, system: System) -> f64 {
    let steps: &[(f64, f64)] = match system {
        System::Us => &[(0.3048, 0.0254), (0.6096, 0.0508), (1.2192, 0.0762), (f64::INFINITY, 0.1524)],
        System::Metric => &[(0.3, 0.025), (1.0, 0.05), (f64::INFINITY, 0.1)],
    };
    let step = steps.iter().find(|(most, _)| spacing <= *most).map_or(0.1, |(_, step)| *step);
    ((spacing / step).round() * step).max(step)
}

/// Lays out an instruction around what is taken.
///
/// # Arguments
/// - `prepared`: the instruction.
/// - `taken`: places to leave free, in any order.
///
/// # Errors
/// Why nothing can be laid out.
pub fn arrange(prepared: &Prepared, taken: &[Taken]) -> Result<Arrangement, PlaceFault> {
    let owner = ElementRef::new(Kind::Planting, &prepared.planting);
    let mut arrangement = Arrangement {
        planting: prepared.planting.clone(),
        positions: Vec::new(),
        spacing: prepared.spacing,
        reason: prepared.reason,
        row_spacing: Vec::new(),
        mean_spacing: None,
        least_spacing: None,
        area: None,
        expected: None,
        left_empty: 0.0,
        skipped: 0,
        held_by: Vec::new(),
        crowded_out: 0,
        ends_finished: true,
    };
    let plain = |points: Vec<Point>| -> Vec<(Point, u32, u32)> {
        points.into_iter().enumerate().map(|(i, at)| (at, 0, i as u32)).collect()
    };
    let places = match &prepared.form {
        Form::Single(points) => plain(points.clone()),
        Form::Group { at, count, region } => {
            let clump = group::clump(*count, prepared.spacing, *at, region.as_ref(), prepared.seed)
                .map_err(|e| fault(&owner, "group", &e.to_string(), "give it room, or fewer plants"))?;
            plain(clump.points)
        }
        Form::Row { line, rule, ground } => {
            let ground = RegionIndex::new(ground);
            let laid = lay_rows(line, rule, &footing(&ground, taken, rule.spacing))
                .map_err(|e| fault(&owner, "row", &e.to_string(), "check spacing and inset"))?;
            if laid.skipped > 0 && !taken.is_empty() {
                // What the row would be alone shows which of its gaps others make.
                let alone = lay_rows(line, rule, &footing(&ground, &[], rule.spacing));
                let places = alone.map(|alone| alone.plants.iter().map(|p| p.at).collect::<Vec<_>>());
                arrangement.held_by = row_holders(&places.unwrap_or_default(), taken, rule.spacing);
            }
            arrangement.row_spacing.clone_from(&laid.spacing);
            arrangement.skipped = laid.skipped;
            arrangement.crowded_out = laid.dropped_for_crowding;
            arrangement.ends_finished = laid.ends_finished;
            laid.plants.iter().map(|p| (p.at, p.row as u32, p.step as u32)).collect()
        }
        Form::Mass { region } => {
            let free = leave_free(region, taken, prepared.spacing);
            arrangement.held_by = mass_holders(region, taken, prepared.spacing);
            if free.is_empty() {
                arrangement.area = Some(0.0);
                return Ok(arrangement);
            }
            let filled = mass::fill(&free, prepared.spacing, prepared.seed)
                .map_err(|e| fault(&owner, "mass", &e.to_string(), "check its area and its spacing"))?;
            arrangement.area = Some(free.area());
            arrangement.expected = Some(filled.expected);
            arrangement.left_empty = filled.left_empty;
            plain(filled.points)
        }
    };
    let labels = labels(prepared, &places, &owner)?;
    arrangement.positions = places
        .into_iter()
        .zip(labels)
        .map(|((at, row, step), label)| Position { at, taxon: prepared.shares[label].0.clone(), row, step })
        .collect();
    measure(&mut arrangement);
    Ok(arrangement)
}

/// Which taxon stands at each place: drifts in a mass, in turn elsewhere.
fn labels(
    prepared: &Prepared,
    places: &[(Point, u32, u32)],
    owner: &ElementRef,
) -> Result<Vec<usize>, PlaceFault> {
    if prepared.shares.len() == 1 || places.is_empty() {
        return Ok(vec![0; places.len()]);
    }
    let parts: Vec<f64> = prepared.shares.iter().map(|share| share.1).collect();
    if !prepared.is_mass() {
        return Ok(in_turn(&parts, places.len()));
    }
    let points: Vec<Point> = places.iter().map(|place| place.0).collect();
    drifts::drifts(&points, &parts, prepared.seed)
        .map(|drifts| drifts.label)
        .map_err(|e| fault(owner, "plants", &e.to_string(), "give each plant a share above zero"))
}

/// Taxa one after the other, each place to the one furthest behind its share; of two alike the
/// first named. As many places as taxa of equal shares take them in the order given.
fn in_turn(parts: &[f64], count: usize) -> Vec<usize> {
    let sum: f64 = parts.iter().sum();
    let mut set = vec![0.0; parts.len()];
    (1..=count)
        .map(|k| {
            let behind = |i: usize| parts[i] / sum * k as f64 - set[i];
            let next =
                (1..parts.len()).fold(0, |best, i| if behind(i) > behind(best) + 1e-9 { i } else { best });
            set[next] += 1.0;
            next
        })
        .collect()
}

/// Whether a plant of a row may stand somewhere: on plantable ground, clear of what is taken.
fn footing<'a>(
    ground: &'a RegionIndex,
    taken: &'a [Taken],
    spacing: f64,
) -> impl Fn(Point) -> Footing + use<'a> {
    move |at| {
        let clear = taken.iter().all(|t| !holds(t, at, spacing));
        if clear && ground.contains(at) { Footing::Free } else { Footing::Gap }
    }
}

/// Whether a place of a row lies in room that another holds: nearer than that room and a quarter
/// of the row's own spacing.
fn holds(taken: &Taken, at: Point, spacing: f64) -> bool {
    at.distance(taken.at) < taken.radius + 0.25 * spacing
}

/// Who holds which of a row's places; each place counts for the first that holds it.
fn row_holders(places: &[Point], taken: &[Taken], spacing: f64) -> Vec<(ElementRef, usize)> {
    let held = places.iter().filter_map(|at| taken.iter().find(|t| holds(t, *at, spacing)));
    tally(held.map(|t| (t.by.clone(), 1.0)))
}

/// Who holds ground that a mass would fill, in plants of an even triangular lattice, 2/(√3 d²) to
/// the area. Circles that overlap count for both.
fn mass_holders(region: &Region, taken: &[Taken], spacing: f64) -> Vec<(ElementRef, usize)> {
    let density = 2.0 / (3f64.sqrt() * spacing * spacing);
    let held = taken.iter().filter_map(|t| {
        let circle = Region::circle(t.at, t.radius).ok()?;
        Some((t.by.clone(), circle.intersection(region).area() * density))
    });
    tally(held)
}

/// Sums by holder, in the holders' order, those that come to one plant or more.
fn tally(held: impl Iterator<Item = (ElementRef, f64)>) -> Vec<(ElementRef, usize)> {
    let mut sums: BTreeMap<ElementRef, f64> = BTreeMap::new();
    for (by, plants) in held {
        *sums.entry(by).or_default() += plants;
    }
    sums.into_iter().map(|(by, plants)| (by, plants.round() as usize)).filter(|(_, n)| *n > 0).collect()
}

/// Takes circles out of a mass: each plant already there keeps its own half spacing and leaves the
/// mass to begin half a spacing beyond, as at any edge.
fn leave_free(region: &Region, taken: &[Taken], spacing: f64) -> Region {
    let Some(bounds) = region.bounds() else { return Region::empty() };
    let circles: Vec<Region> = taken
        .iter()
        .filter(|t| bounds.inflate(t.radius + spacing, t.radius + spacing).contains(t.at))
        .filter_map(|t| Region::circle(t.at, t.radius).ok())
        .collect();
    if circles.is_empty() { region.clone() } else { region.difference(&Region::union_all(&circles)) }
}

fn measure(arrangement: &mut Arrangement) {
    let points: Vec<Point> = arrangement.positions.iter().map(|p| p.at).collect();
    if points.len() < 2 {
        return;
    }
    let index = groundwright_geometry::PointIndex::new(&points);
    let nearest: Vec<f64> = points
        .iter()
        .enumerate()
        .filter_map(|(i, at)| index.nearest_but(*at, Some(i)).map(|(_, distance)| distance))
        .collect();
    arrangement.mean_spacing = Some(nearest.iter().sum::<f64>() / nearest.len() as f64);
    arrangement.least_spacing = nearest.into_iter().reduce(f64::min);
}

/// A seed from an instruction's name, so that neighbours differ and nothing depends on the clock.
fn seed(name: &str) -> u64 {
    // FNV-1a, 64 bits: offset basis and prime of its published definition.
    name.bytes()
        .fold(0xcbf2_9ce4_8422_2325, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

impl Prepared {
    /// Places that this arrangement takes from those laid after it.
    pub fn takes(&self, arrangement: &Arrangement) -> Vec<Taken> {
        let by = ElementRef::new(Kind::Planting, &self.planting);
        let room = |taxon: &TaxonId| {
            let share = self.shares.iter().position(|share| &share.0 == taxon);
            share.map_or(0.5 * self.spacing, |share| self.room[share])
        };
        let taken = |p: &Position| Taken { by: by.clone(), at: p.at, radius: room(&p.taxon) };
        arrangement.positions.iter().map(taken).collect()
    }
}
