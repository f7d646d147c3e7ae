//! What walls, steps and paving take: pieces, stone, earth.
//!
//! - Earth by sections across the wall: what lies over the trench, whose back stands at 45°, is dug;
//!   what is wanted and not filled by units, stone and pad is filled again.
//! - Rates that are not measured on the drawing are rules of the practice file.

use groundwright_geometry::Point;
use groundwright_handoff::{Datum, Pack, Phase, Quantity, Step};
use groundwright_plan::ElementRef;
use groundwright_units::constants::{FOOT, INCH};

use super::elevation::tops;
use super::section_marks::STONE_BELOW_TOP;
use super::{FlightRun, PartRun, WallRun, WallStudy};
use crate::{SteppedBase, drainage_stone, filter_cloth, pad_volume};

/// Distance of outlets of the drain behind a wall. [m] Common practice, no source.
const OUTLETS: f64 = 50.0 * FOOT;
/// Length of bead from a tube of 10 oz. [m] From memory.
const TUBE: f64 = 30.0 * FOOT;
/// Distance of columns over which earth is summed across a wall. [m]
const COLUMN: f64 = 0.1;
/// How far behind the face earth is looked at. [m]
const FAR: f64 = 6.0;
/// Base under each tread. [m] Common practice, no source.
const TREAD_BASE: f64 = 4.0 * INCH;
/// Depth of a tread hidden under the next. [m] Common practice, no source.
const TREAD_LAP: f64 = 2.0 * INCH;

/// Amounts of a part of a wall.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Amounts {
    /// Length. [m]
    pub length: f64,
    /// Face with its buried part. [m²]
    pub face: f64,
    /// Pad, compacted. [m³]
    pub pad: f64,
    /// Drainage stone. [m³]
    pub stone: f64,
    /// Filter cloth, without laps. [m²]
    pub cloth: f64,
    /// Caps.
    pub caps: usize,
    /// Length of caps. [m]
    pub capped: f64,
    /// Outlets of the drain.
    pub outlets: usize,
    /// Earth dug, as it lies. [m³]
    pub dug: f64,
    /// Earth filled again, compacted. [m³]
    pub filled: f64,
    /// Reinforcement. [m²]
    pub grid: f64,
    /// Fill among the layers of reinforcement, compacted. [m³]
    pub chosen: f64,
}

/// Amounts of a part that has a base.
pub(crate) fn amounts(
    study: &WallStudy<'_>,
    run: &WallRun<'_>,
    part: &PartRun,
    base: &SteppedBase,
) -> Amounts {
    let practice = &study.project.practice;
    let (thick, beyond, wide) = (practice.wall_pad, practice.wall_pad_beyond, practice.wall_drain_stone);
    let depth = run.units.depth;
    let mut found = Amounts {
        length: base.length,
        face: base.face,
        pad: pad_volume(base.length, depth, beyond, thick),
        stone: drainage_stone(base, wide, STONE_BELOW_TOP),
        cloth: filter_cloth(base, wide, STONE_BELOW_TOP),
        outlets: (base.length / OUTLETS).ceil().max(1.0) as usize,
        ..Amounts::default()
    };
    if let Some((length, ..)) = run.units.cap {
        for (from, to, _) in tops(base) {
            found.caps += ((to - from) / length - 1e-9).ceil().max(1.0) as usize;
            found.capped += to - from;
        }
    }
    let columns: Vec<f64> = {
        let count = ((beyond + FAR) / COLUMN).ceil() as usize;
        (0..count).map(|i| -beyond + (i as f64 + 0.5) * COLUMN).collect()
    };
    for panel in &base.panels {
        let stations = run.line.stations((part.from + panel.from, part.from + panel.to));
        let Some(step) = stations.get(1).map(|second| second - stations[0]) else { continue };
        for pair in stations.windows(2) {
            let station = f64::midpoint(pair[0], pair[1]);
            let cut = Cut { study, run, part, panel, station };
            for &x in &columns {
                let (ground, bottom) = (cut.ground(x), cut.bottom(x));
                found.dug += (ground - bottom).max(0.0) * COLUMN * step;
                let wanted = cut.finished(x, ground);
                found.filled += (wanted - ground.min(bottom)).max(0.0) * COLUMN * step;
            }
        }
    }
    for layered in part.sections.iter().filter_map(|section| Some((section, section.reinforced.as_ref()?))) {
        let (section, both) = layered;
        let stretch = section.stretch.1 - section.stretch.0;
        found.grid += both.0.layers.iter().map(|layer| layer.length * stretch).sum::<f64>();
        let behind = (both.1.length - depth - wide).max(0.0);
        found.chosen += behind * section.section.facing.total() * stretch;
    }
    let solid = found.face * depth + found.stone + found.pad + found.chosen;
    found.filled = (found.filled - solid).max(0.0);
    found
}

/// A cut across a wall at a station.
struct Cut<'a, 'p> {
    study: &'a WallStudy<'p>,
    run: &'a WallRun<'p>,
    part: &'a PartRun,
    panel: &'a crate::Panel,
    station: f64,
}

impl Cut<'_, '_> {
    /// The graded ground at a distance behind the face.
    fn ground(&self, x: f64) -> f64 {
        let at: Point = self.run.line.behind(self.station, x);
        self.study.yard.ground.graded(at)
    }

    /// The bottom of the trench, whose back rises at 45°.
    fn bottom(&self, x: f64) -> f64 {
        let practice = &self.study.project.practice;
        let plain = self.run.units.depth + practice.wall_drain_stone.max(practice.wall_pad_beyond);
        let back = plain.max(self.part.layers_at(self.station));
        self.panel.pad_base + (x - back).max(0.0)
    }

    /// What is wanted: the foot in front, the top and its slope behind, never over the ground that
    /// stays behind.
    fn finished(&self, x: f64, ground: f64) -> f64 {
        if x < 0.0 {
            return self.part.foot_at(self.station);
        }
        let top = self.part.top_at(self.station);
        let behind = top + (x - self.run.units.depth).max(0.0) * self.run.wall.slope.value;
        // Beyond the trench the ground stays where it is higher; where it is lower it runs out.
        if self.bottom(x) >= ground {
            (behind - (x - self.run.units.depth).max(0.0)).max(ground)
        } else {
            behind
        }
    }
}

pub(crate) fn all(study: &WallStudy<'_>) -> Vec<Quantity> {
    let mut all = Vec::new();
    for run in &study.walls {
        for part in &run.parts {
            if let Ok(base) = &part.base {
                of_wall(study, run, part, &amounts(study, run, part, base), &mut all);
            }
        }
    }
    for flight in &study.flights {
        of_steps(study, flight, &mut all);
    }
    for (paving, area) in &study.pavings {
        of_paving(study, paving, area, &mut all);
    }
    all
}

/// A quantity of hard work without packs.
fn quantity(
    item: String,
    description: &str,
    amount: Datum,
    basis: Vec<Step>,
    subject: &ElementRef,
) -> Quantity {
    Quantity {
        item,
        description: description.to_owned(),
        amount,
        allowance: 0.0,
        spread: 0.0,
        basis,
        packs: Vec::new(),
        subject: subject.clone(),
        phase: Phase::Hardscape,
        option: None,
    }
}

fn of_wall(
    study: &WallStudy<'_>,
    run: &WallRun<'_>,
    part: &PartRun,
    found: &Amounts,
    all: &mut Vec<Quantity>,
) {
    let subject = &run.line.element;
    let practice = &study.project.practice;
    pieces(study, run, part, all);
    if let Some((length, height, depth)) = run.units.cap.filter(|_| found.caps > 0) {
        let reader = study.reader;
        let words =
            format!("cap {} x {} x {}", reader.depth(length), reader.depth(depth), reader.depth(height));
        let basis = vec![
            Step::new("length of the top", Datum::length(found.capped), "measured"),
            Step::new("length of a cap", Datum::depth(length), "÷, whole in each stretch of one top"),
        ];
        let mut caps =
            quantity(format!("wall-cap/{}", run.units.id), &words, Datum::count(found.caps), basis, subject);
        caps.allowance = practice.wall_unit_waste;
        all.push(caps);
        let bead = 2.0 * found.capped;
        let basis = vec![
            Step::new("length of the top", Datum::length(found.capped), "measured"),
            Step::new("beads", Datum::count(2), "×"),
        ];
        let mut adhesive = quantity(
            "wall-adhesive".to_owned(),
            "adhesive for caps, bead",
            Datum::length(bead),
            basis,
            subject,
        );
        adhesive.packs = vec![Pack { name: "tube of 10 oz".to_owned(), contents: TUBE, tops_up: false }];
        all.push(adhesive);
    }
    let compaction = practice.stone_compaction;
    let loose = |volume: f64| Datum::volume(volume / (1.0 - compaction));
    let pad = vec![
        Step::new(
            "length with both ends",
            Datum::length(found.length + 2.0 * practice.wall_pad_beyond),
            "measured",
        ),
        Step::new(
            "width",
            Datum::depth(run.units.depth + 2.0 * practice.wall_pad_beyond),
            "× unit and both sides",
        ),
        Step::new("thickness", Datum::depth(practice.wall_pad), "×"),
        Step::new("compaction", Datum::ratio(compaction), "÷ (1 − compaction)"),
    ];
    all.push(quantity("stone/graded".to_owned(), "graded base stone, loose", loose(found.pad), pad, subject));
    let stone = vec![
        Step::new("width", Datum::depth(practice.wall_drain_stone), "behind the units"),
        Step::new("face", Datum::area(found.face), "× its height up to 6 in below the top"),
        Step::new("stone", Datum::volume(found.stone), "="),
    ];
    let words = "washed stone of one size";
    all.push(quantity("stone/washed".to_owned(), words, Datum::volume(found.stone), stone, subject));
    let basis = vec![Step::new("cloth", Datum::area(found.cloth), "back, foot and top of the stone")];
    let mut cloth =
        quantity("filter-cloth".to_owned(), "filter cloth", Datum::area(found.cloth), basis, subject);
    // Laps of a foot in rolls of twelve: common practice, no source.
    cloth.allowance = 0.1;
    all.push(cloth);
    let basis = vec![
        Step::new("length", Datum::length(found.length), "along the wall"),
        Step::new("outlets", Datum::count(found.outlets), "one to each fifty feet, a yard of pipe each"),
    ];
    let pipe = found.length + found.outlets as f64 * 3.0 * FOOT;
    grid(study, run, found, all);
    let words = "perforated drain pipe behind walls, 4 in";
    let mut pipe = quantity("wall-drain".to_owned(), words, Datum::length(pipe), basis, subject);
    pipe.allowance = 0.05;
    all.push(pipe);
    earth(study, run, found, all);
}

/// Reinforcement and the fill that belongs to it.
fn grid(study: &WallStudy<'_>, run: &WallRun<'_>, found: &Amounts, all: &mut Vec<Quantity>) {
    let Some(product) = study.project.stock.grids.get(&run.wall.grid).filter(|_| found.grid > 0.0) else {
        return;
    };
    let subject = &run.line.element;
    let basis =
        vec![Step::new("layers", Datum::area(found.grid), "length of each layer × length of its stretch")];
    let words = format!("{}, its strong way at right angles to the face", product.name);
    let mut grid =
        quantity(format!("wall-grid/{}", product.id), &words, Datum::area(found.grid), basis, subject);
    grid.allowance = 0.05;
    let name =
        format!("roll of {} x {}", study.reader.length(product.roll.0), study.reader.length(product.roll.1));
    grid.packs = vec![Pack { name, contents: product.roll.0 * product.roll.1, tops_up: false }];
    all.push(grid);
    let compaction = study.project.practice.stone_compaction;
    let basis = vec![
        Step::new(
            "behind units and drainage stone",
            Datum::volume(found.chosen),
            "to the end of the layers, whole height",
        ),
        Step::new("compaction", Datum::ratio(compaction), "÷ (1 − compaction)"),
    ];
    let words = format!("fill among layers of reinforcement: {}, loose", run.wall.fill);
    let amount = Datum::volume(found.chosen / (1.0 - compaction));
    let item = format!("wall-fill/{}", run.wall.fill.to_string().replace(' ', "-"));
    all.push(quantity(item, &words, amount, basis, subject));
}

/// Units by kind and colour.
fn pieces(study: &WallStudy<'_>, run: &WallRun<'_>, part: &PartRun, all: &mut Vec<Quantity>) {
    let Some(Ok(laid)) = &part.laid else { return };
    let colours = run.units.colours.len().max(1);
    let kinds = run.units.units.len() + 1;
    let mut counts = vec![0_usize; kinds * colours];
    for unit in &laid.units {
        if let Some(count) = counts.get_mut(unit.kind.min(kinds - 1) * colours + unit.colour.min(colours - 1))
        {
            *count += 1;
        }
    }
    for (index, count) in counts.into_iter().enumerate().filter(|(_, count)| *count > 0) {
        let (kind, colour) = (index / colours, index % colours);
        let name = run.units.colours.get(colour).map_or("", |colour| colour.0.as_str());
        let unit = run.units.units.get(kind);
        let size = unit.map_or("corner".to_owned(), |unit| study.reader.depth(unit.length));
        let item = format!(
            "wall-unit/{}/{}/{name}",
            run.units.id,
            unit.map_or(0.0, |u| (u.length * 1000.0).round())
        );
        let words = format!("{}: {size}{}{name}", run.units.name, if name.is_empty() { "" } else { ", " });
        let basis =
            vec![Step::new("units laid", Datum::count(count), "counted on the elevation, cut ones as whole")];
        let mut units = quantity(item, &words, Datum::count(count), basis, &run.line.element);
        units.allowance = study.project.practice.wall_unit_waste;
        if let Some(pallet) = unit.map(|unit| unit.pallet).filter(|pallet| *pallet > 0) {
            units.packs = vec![
                Pack { name: format!("pallet of {pallet}"), contents: pallet as f64, tops_up: false },
                Pack { name: "unit".to_owned(), contents: 1.0, tops_up: true },
            ];
        }
        all.push(units);
    }
}

/// Earth dug and filled; a wall that is told to hold clean stone has its wedge filled with it.
fn earth(study: &WallStudy<'_>, run: &WallRun<'_>, found: &Amounts, all: &mut Vec<Quantity>) {
    let subject = &run.line.element;
    let on_stone = run.wall.retained.value == groundwright_plan::WallSoil::CleanStone;
    if study.yard.ground.graded_surface().is_none() {
        return;
    }
    let practice = &study.project.practice;
    let how = "sections across the wall every half metre, back of the trench at 45°";
    let volume = |what: &str, value: f64, how: &str| Step::new(what, Datum::volume(value), how);
    let dug = vec![volume("trench", found.dug, how)];
    all.push(quantity(
        "wall/dug".to_owned(),
        "trench of walls, as it lies",
        Datum::volume(found.dug),
        dug,
        subject,
    ));
    let filled = vec![volume("fill", found.filled, "wanted ground less units, stone and pad, compacted")];
    let words = "fill behind walls, compacted";
    all.push(quantity("wall/filled".to_owned(), words, Datum::volume(found.filled), filled, subject));
    if on_stone {
        let basis = vec![
            volume("fill", found.filled, "the wedge behind is filled with stone"),
            Step::new("compaction", Datum::ratio(practice.stone_compaction), "÷ (1 − compaction)"),
        ];
        let amount = Datum::volume(found.filled / (1.0 - practice.stone_compaction));
        let words = "fill behind walls: clean stone, loose";
        all.push(quantity("wall-fill/clean-stone".to_owned(), words, amount, basis, subject));
    }
    let wanted = if on_stone { 0.0 } else { found.filled };
    let usable = found.dug * practice.usable_cut * (1.0 - practice.shrinkage);
    let left = found.dug - (wanted.min(usable) / (1.0 - practice.shrinkage));
    let lacking = (wanted - usable).max(0.0);
    let haul = vec![
        volume("trench", found.dug, "as it lies"),
        volume("reused as fill", wanted.min(usable), "÷ (1 − shrinkage), taken off"),
        Step::new("swell", Datum::ratio(practice.swell), "× (1 + swell)"),
    ];
    let words = "soil left over, loose";
    let amount = Datum::volume(left * (1.0 + practice.swell));
    all.push(quantity("earth/haul".to_owned(), words, amount, haul, subject));
    if lacking > 0.01 {
        let bring = lacking / (1.0 - practice.shrinkage) * (1.0 + practice.swell);
        let basis = vec![
            volume("fill lacking", lacking, "compacted"),
            Step::new("shrinkage", Datum::ratio(practice.shrinkage), "÷ (1 − shrinkage)"),
            Step::new("swell", Datum::ratio(practice.swell), "× (1 + swell)"),
        ];
        let words = "soil to bring, loose";
        all.push(quantity("earth/import".to_owned(), words, Datum::volume(bring), basis, subject));
    }
}

fn of_steps(study: &WallStudy<'_>, flight: &FlightRun<'_>, all: &mut Vec<Quantity>) {
    let FlightRun { steps, stair } = flight;
    let count = steps.risers();
    let width = steps.width.value;
    let basis = vec![
        Step::new("risers", Datum::count(count), "rise ÷ riser, whole"),
        Step::new("width", Datum::length(width), "×"),
    ];
    let riser = steps.rise() / count as f64;
    let reader = study.reader;
    let item = format!("step/{}/{}", steps.material.replace(' ', "-"), (riser * 1000.0).round());
    let words = format!(
        "{}: steps {} high, {} deep",
        steps.material,
        reader.depth(riser),
        reader.depth(steps.tread.value + TREAD_LAP)
    );
    all.push(quantity(item, &words, Datum::length(width * count as f64), basis, &stair.element));
    let base = count as f64 * (steps.tread.value + TREAD_LAP) * width * TREAD_BASE;
    let compaction = study.project.practice.stone_compaction;
    let basis = vec![
        Step::new("under each tread", Datum::volume(base), "depth × width × 4 in"),
        Step::new("compaction", Datum::ratio(compaction), "÷ (1 − compaction)"),
    ];
    let amount = Datum::volume(base / (1.0 - compaction));
    all.push(quantity("stone/graded".to_owned(), "graded base stone, loose", amount, basis, &stair.element));
    if let Some(units) = study.project.stock.wall_units.get(&steps.cheeks) {
        // Each cheek holds the triangle beside the flight and a unit below its foot.
        let face = 2.0 * (steps.rise() * steps.run() / 2.0 + units.height * steps.run());
        let mean: f64 = units.units.iter().map(|unit| unit.length * unit.share).sum();
        let basis = vec![
            Step::new("both cheeks", Datum::area(face), "triangle beside the flight, one course buried"),
            Step::new("face of a unit", Datum::area(mean * units.height), "÷"),
        ];
        let pieces = (face / (mean * units.height)).ceil() as usize;
        let words = format!("{}, blend for cheeks", units.name);
        let item = format!("wall-unit/{}/blend", units.id);
        let mut cheeks = quantity(item, &words, Datum::count(pieces), basis, &stair.element);
        cheeks.allowance = 0.1;
        all.push(cheeks);
    }
}

fn of_paving(
    study: &WallStudy<'_>,
    paving: &groundwright_plan::Paving,
    area: &groundwright_yard::Area,
    all: &mut Vec<Quantity>,
) {
    let practice = &study.project.practice;
    let net = area.free.area();
    let subject = &area.element;
    if let Some(product) = study.project.stock.pavers.get(&paving.product) {
        let basis = vec![Step::new("area", Datum::area(net), "measured on plan")];
        let item = format!("paver/{}", product.id);
        let mut pavers = quantity(item, &product.name, Datum::area(net), basis, subject);
        // Patterns at an angle to the edge cost more cuts: common practice, no source.
        pavers.allowance = practice.paving_waste * if product.pattern == "herringbone" { 1.5 } else { 1.0 };
        pavers.packs = product
            .pallet
            .map(|contents| Pack { name: "pallet".to_owned(), contents, tops_up: false })
            .into_iter()
            .collect();
        if let Some(first) = pavers.packs.first().cloned() {
            let layer = Pack { name: "layer".to_owned(), contents: first.contents / 10.0, tops_up: true };
            pavers.packs.push(layer);
        }
        all.push(pavers);
    }
    let perimeter = area.free.perimeter();
    let beyond = paving.base.value;
    let spread = net + perimeter * beyond;
    let compaction = practice.stone_compaction;
    let basis = vec![
        Step::new("area", Datum::area(net), "measured on plan"),
        Step::new("beyond the edge", Datum::area(perimeter * beyond), "perimeter × thickness of the base"),
        Step::new("thickness", Datum::depth(paving.base.value), "×"),
        Step::new("compaction", Datum::ratio(compaction), "÷ (1 − compaction)"),
    ];
    let amount = Datum::volume(spread * paving.base.value / (1.0 - compaction));
    all.push(quantity("stone/graded".to_owned(), "graded base stone, loose", amount, basis, subject));
    let basis = vec![
        Step::new("area", Datum::area(net), "measured on plan"),
        Step::new("thickness", Datum::depth(paving.bedding.value), "×"),
    ];
    let amount = Datum::volume(net * paving.bedding.value);
    all.push(quantity("sand/bedding".to_owned(), "bedding sand", amount, basis, subject));
    if paving.restraint {
        let free = free_edge(study, area);
        let basis = vec![
            Step::new("perimeter", Datum::length(perimeter), "measured on plan"),
            Step::new("held by what stands there", Datum::length(perimeter - free), "taken off"),
        ];
        let mut edge = quantity(
            "paving-edge".to_owned(),
            "edge restraint for pavers",
            Datum::length(free),
            basis,
            subject,
        );
        edge.allowance = 0.05;
        all.push(edge);
    }
}

/// Length of an outline that no building, paving or wall holds. [m]
fn free_edge(study: &WallStudy<'_>, area: &groundwright_yard::Area) -> f64 {
    let plot = &study.yard.plot;
    let held: Vec<groundwright_geometry::Region> = plot
        .buildings
        .iter()
        .map(|building| &building.whole)
        .chain(plot.paved().filter(|other| other.element != area.element).map(|other| &other.whole))
        .chain(plot.walls.iter().map(|wall| &wall.footprint))
        .chain(plot.stairs.iter().map(|stair| &stair.region))
        .filter(|region| region.bounds().is_some())
        .map(|region| region.grow(0.05))
        .collect();
    let held = groundwright_geometry::Region::union_all(&held);
    area.edge.intervals_outside(&held).iter().map(|(from, to)| to - from).sum()
}
