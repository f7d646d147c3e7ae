//! What the irrigation takes: heads, drip, pipe, fittings, valves, wire, trench, sleeves.

use std::collections::BTreeMap;

use groundwright_handoff::{Datum, Pack, Phase, Quantity, Step};
use groundwright_plan::ElementRef;

use super::layout::Layout;
use super::pipes::Stretch;
use super::{WaterStudy, ZoneRun};

/// Share of pipe and line bought beyond what is laid. Common practice, no source.
const SPARE: f64 = 0.05;
/// What a sleeve reaches beyond each edge of paving: a foot. [m]
const BEYOND: f64 = 0.3048;
/// Pins on a metre of drip line: one in three feet. [1/m] Common practice, no source.
const PINS: f64 = 1.0 / 0.9144;

fn quantity(item: String, words: &str, amount: Datum, basis: Vec<Step>, subject: &ElementRef) -> Quantity {
    Quantity {
        item,
        description: words.to_owned(),
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

pub(super) fn all(study: &WaterStudy<'_>) -> Vec<Quantity> {
    let mut all = Vec::new();
    laid(study, &mut all);
    let Some(first) = study.areas.first().map(super::AreaRun::subject) else { return all };
    if study.zones.is_empty() {
        return all;
    }
    parts(study, &first, &mut all);
    piping(study, &first, &mut all);
    all
}

/// What lies in and on the ground of each area.
fn laid(study: &WaterStudy<'_>, all: &mut Vec<Quantity>) {
    for run in &study.areas {
        let subject = run.subject();
        let counted = |n: usize, how: &str| vec![Step::new(run.label.clone(), Datum::count(n), how)];
        match &run.layout {
            Layout::Heads { product, heads, .. } => {
                let basis = counted(heads.len(), "heads as laid out");
                let item = format!("sprinkler/{}", product.id);
                all.push(quantity(item, &product.name, Datum::count(heads.len()), basis, &subject));
            }
            Layout::Bubblers { product, places } => {
                let count = places.iter().map(|place| place.1).sum();
                let basis = counted(count, "one at each plant, two at trees");
                let item = format!("sprinkler/{}", product.id);
                all.push(quantity(item, &product.name, Datum::count(count), basis, &subject));
            }
            Layout::Lines { product, rows, own, emitter, .. } => {
                let basis = vec![
                    Step::new(run.label.clone(), Datum::length(rows.line), "rows of line"),
                    Step::new("headers and footers", Datum::length(rows.blank), "not counted here"),
                    Step::new("spare", Datum::ratio(SPARE), "× (1 + spare)"),
                ];
                let item = format!("drip/{}", product.id);
                let mut line = quantity(item, &product.name, Datum::length(rows.line), basis, &subject);
                line.allowance = SPARE;
                if let Some(roll) = product.roll {
                    let name = format!("roll of {}", study.reader.length(roll));
                    line.packs = vec![Pack { name, contents: roll, tops_up: false }];
                }
                all.push(line);
                let pins = (rows.line * PINS).ceil() as usize;
                let basis = counted(pins, "one in three feet of line");
                let item = "drip/pin".to_owned();
                all.push(quantity(item, "wire pins for drip line", Datum::count(pins), basis, &subject));
                if let Some(emitter) = emitter.filter(|_| own.1 > 0) {
                    let basis = counted(own.1, "two at each moved or weak plant");
                    let item = format!("drip/{}", emitter.id);
                    all.push(quantity(item, &emitter.name, Datum::count(own.1), basis, &subject));
                }
            }
            Layout::Points { product, places } => {
                let count = places.iter().map(|place| place.1).sum();
                let basis = counted(count, "half of each crown wet, in this soil");
                let item = format!("drip/{}", product.id);
                all.push(quantity(item, &product.name, Datum::count(count), basis, &subject));
            }
            Layout::Existing | Layout::Nothing(_) => {}
        }
    }
}

/// Valves, preventer, controller, wire.
fn parts(study: &WaterStudy<'_>, subject: &ElementRef, all: &mut Vec<Quantity>) {
    let mut kits: BTreeMap<&str, (usize, &str)> = BTreeMap::new();
    for zone in &study.zones {
        kits.entry(zone.kit.id.as_str()).or_insert((0, zone.kit.name.as_str())).0 += 1;
    }
    for (id, (count, name)) in kits {
        let basis = vec![Step::new("zones", Datum::count(count), "one each")];
        all.push(quantity(format!("water-part/{id}"), name, Datum::count(count), basis, subject));
    }
    for (b, valves) in study.boxes.iter().enumerate() {
        let count = study.zones.iter().filter(|zone| zone.valve_box == b).count();
        if count > 0 {
            // A jumbo box takes four valves: common practice, no source.
            let boxes = count.div_ceil(4);
            let basis = vec![Step::new(valves.label.clone(), Datum::count(count), "valves, four to a box")];
            let words = "valve box with cover, on gravel";
            let own = valves.element.as_ref().unwrap_or(subject);
            all.push(quantity("valve-box".to_owned(), words, Datum::count(boxes), basis, own));
        }
    }
    if let Some((part, _)) = study.preventer {
        let basis = vec![Step::new("supply", Datum::count(1), "one, of the kind the code allows")];
        all.push(quantity(format!("water-part/{}", part.id), &part.name, Datum::count(1), basis, subject));
    }
    if let Some(product) = study.controller {
        let basis = vec![Step::new("zones", Datum::count(study.zones.len()), "and room to spare")];
        let item = format!("controller/{}", product.id);
        all.push(quantity(item, &product.name, Datum::count(1), basis, subject));
    }
    if let Ok(main) = &study.main {
        let ways: f64 = main.boxes.iter().map(|node| way(main, *node)).fold(0.0, f64::max);
        let basis = vec![
            Step::new("main to the farthest box", Datum::length(ways), "in the same trench"),
            Step::new(
                "conductors",
                Datum::count(study.zones.len() + 1),
                "one a zone and a common, in one cable",
            ),
        ];
        let words = format!("direct-burial control cable, {} conductors", study.zones.len() + 1);
        let mut cable = quantity("water-cable".to_owned(), &words, Datum::length(ways), basis, subject);
        cable.allowance = 0.1;
        all.push(cable);
    }
}

/// Length of the main to a node. [m]
fn way(main: &super::Main, node: usize) -> f64 {
    let mut length = 0.0;
    let mut at = Some(node);
    while let Some(node) = at {
        length += main.nodes[node].length;
        at = main.nodes[node].after;
    }
    length
}

/// Pipe, fittings, trench, sleeves.
fn piping(study: &WaterStudy<'_>, subject: &ElementRef, all: &mut Vec<Quantity>) {
    let mut lengths: BTreeMap<usize, [f64; 2]> = BTreeMap::new();
    let mut fittings: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let mut add = |nodes: &[crate::routing::RouteNode], sizes: &[usize], which: usize| {
        let mut fed = vec![0_usize; nodes.len()];
        nodes.iter().filter_map(|node| node.after).for_each(|after| fed[after] += 1);
        for (i, node) in nodes.iter().enumerate().skip(1) {
            lengths.entry(sizes[i]).or_default()[which] += node.length;
            let kind = match fed[i] {
                0 => "end or riser",
                1 => "elbow",
                _ => "tee",
            };
            let size = study.pipes.get(sizes[i]).map_or("", |pipe| pipe.size.as_str());
            *fittings.entry((kind, size)).or_default() += 1;
        }
    };
    if let Ok(main) = &study.main {
        add(&main.nodes, &main.sizes, 0);
    }
    for plan in study.zones.iter().filter_map(ZoneRun::plan) {
        add(&plan.nodes, &plan.sizes, 1);
    }
    for (size, [main, lateral]) in lengths {
        let Some(pipe) = study.pipes.get(size) else { continue };
        let basis = vec![
            Step::new("main", Datum::length(main), "as routed"),
            Step::new("laterals", Datum::length(lateral), "as routed, + main"),
            Step::new("spare", Datum::ratio(SPARE), "× (1 + spare)"),
        ];
        let whole = Datum::length(main + lateral);
        let mut line = quantity(format!("pipe/{}", pipe.id), &pipe.name, whole, basis, subject);
        line.allowance = SPARE;
        if let Some(stick) = pipe.stick {
            let name = format!("stick of {}", study.reader.length(stick));
            line.packs = vec![Pack { name, contents: stick, tops_up: false }];
        }
        all.push(line);
    }
    for ((kind, size), count) in fittings {
        let basis = vec![Step::new("joints of the routes", Datum::count(count), "bends, branches and ends")];
        let item = format!("fitting/{}/{}", kind.replace(' ', "-"), size.replace(' ', ""));
        all.push(quantity(
            item,
            &format!("pipe fitting, {kind}, {size}"),
            Datum::count(count),
            basis,
            subject,
        ));
    }
    let mains: Vec<&Stretch> = study.main.iter().flat_map(|main| &main.stretches).collect();
    let laterals: Vec<&Stretch> =
        study.zones.iter().filter_map(ZoneRun::plan).flat_map(|plan| &plan.stretches).collect();
    let practice = &study.project.practice;
    trench(study, "water-trench-main", practice.water_main_depth, &mains, subject, all);
    trench(study, "water-trench", practice.water_lateral_depth, &laterals, subject, all);
}

fn trench(
    study: &WaterStudy<'_>,
    item: &str,
    depth: f64,
    stretches: &[&Stretch],
    subject: &ElementRef,
    all: &mut Vec<Quantity>,
) {
    let length = |sleeve: bool| {
        let of = stretches.iter().filter(|stretch| stretch.sleeve == sleeve);
        of.map(|stretch| stretch.ends.0.distance(stretch.ends.1)).sum::<f64>()
    };
    let open = length(false);
    if open > 0.0 {
        let soil = study.project.property.place.soil.value;
        let texture = groundwright_plan::Word::word(soil);
        let basis = vec![Step::new("routes", Datum::length(open), format!("in {texture}"))];
        let words = format!("trench for pipe with {} of cover, filled again", study.reader.depth(depth));
        all.push(quantity(item.to_owned(), &words, Datum::length(open), basis, subject));
    }
    let count = stretches.iter().filter(|stretch| stretch.sleeve).count();
    if count > 0 {
        let whole = length(true) + 2.0 * BEYOND * count as f64;
        let basis = vec![
            Step::new("under paving", Datum::length(length(true)), "as routed"),
            Step::new("crossings", Datum::count(count), "+ a foot beyond each edge"),
        ];
        let words = "sleeve under paving for irrigation, 2 in pipe";
        all.push(quantity("water-sleeve".to_owned(), words, Datum::length(whole), basis, subject));
    }
}
