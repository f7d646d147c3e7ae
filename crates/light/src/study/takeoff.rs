//! What lights take: fixtures, transformers, cable, connections, trench, sleeves.

use std::collections::BTreeMap;

use groundwright_handoff::{Datum, Pack, Phase, Quantity, Step};
use groundwright_plan::ElementRef;

use super::{LightStudy, TransformerRun};

/// Share of cable bought beyond what is laid. Common practice, no source.
const CABLE_SPARE: f64 = 0.05;

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

pub(super) fn all(study: &LightStudy<'_>) -> Vec<Quantity> {
    let mut all = Vec::new();
    for light in &study.project.design.lighting.lights {
        let own: Vec<_> = study.lamps.iter().filter(|lamp| lamp.light.id == light.id).collect();
        let Some(first) = own.first() else { continue };
        let basis = vec![Step::new("places", Datum::count(own.len()), "one each")];
        let item = format!("light/{}", first.product.id);
        all.push(quantity(item, &first.product.name, Datum::count(own.len()), basis, &first.element()));
    }
    for run in &study.transformers {
        of(study, run, &mut all);
    }
    all
}

fn of(study: &LightStudy<'_>, run: &TransformerRun<'_>, all: &mut Vec<Quantity>) {
    let element = run.element();
    if let Some(product) = run.product {
        let basis = vec![Step::new("transformers", Datum::count(1), "as placed")];
        let item = format!("transformer/{}", product.id);
        all.push(quantity(item, &product.name, Datum::count(1), basis, &element));
    }
    let Ok(design) = &run.design else { return };
    let mut lengths: BTreeMap<u8, f64> = BTreeMap::new();
    let mut splices = 0;
    for part in &design.runs {
        for piece in &part.layout.pieces {
            let gauge = if piece.home { part.sized.home } else { part.sized.rest };
            *lengths.entry(gauge.awg()).or_default() += piece.length;
        }
        splices += part.layout.splices() + part.lamps.len();
    }
    for (gauge, length) in lengths {
        let Some(cable) = study.project.stock.light_cables.values().find(|cable| cable.gauge == gauge) else {
            continue;
        };
        let basis = vec![
            Step::new("ways of the cables", Datum::length(length), "with slack, depth and tails"),
            Step::new("spare", Datum::ratio(CABLE_SPARE), "× (1 + spare)"),
        ];
        let item = format!("light-cable/{}", cable.id);
        let mut cables = quantity(item, &cable.name, Datum::length(length), basis, &element);
        cables.allowance = CABLE_SPARE;
        if let Some(roll) = cable.roll {
            let name = format!("roll of {}", study.reader.length(roll));
            cables.packs = vec![Pack { name, contents: roll, tops_up: false }];
        }
        all.push(cables);
    }
    let basis =
        vec![Step::new("joints and lamps", Datum::count(splices), "one connection each, two connectors")];
    let words = "gel-filled connectors for direct burial, listed for it";
    all.push(quantity("light-connector".to_owned(), words, Datum::count(2 * splices), basis, &element));
    let basis = vec![Step::new("trench", Datum::length(design.route.length), "all cables of a way in one")];
    let words = "trench for cable of lights, six inches of cover";
    all.push(quantity("light-trench".to_owned(), words, Datum::length(design.route.length), basis, &element));
    if run.trench.under_paving > 0.0 {
        let basis = vec![Step::new(
            "under paving",
            Datum::length(run.trench.under_paving),
            "and a foot beyond each edge",
        )];
        let count = run.trench.stretches.iter().filter(|stretch| stretch.sleeve).count();
        let length = run.trench.under_paving + count as f64 * 0.6096;
        let words = "sleeve under paving, 1 in conduit";
        all.push(quantity("light-sleeve".to_owned(), words, Datum::length(length), basis, &element));
    }
}
