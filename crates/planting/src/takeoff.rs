//! Takeoff of planting: plants, mulch, soil, planting mix, turf.
//!
//! - In: the study. Out: quantities whose basis can be checked by hand.
//! - Every line is for one element; `groundwright-estimate` adds up lines of the same item.

use std::collections::BTreeMap;

use groundwright_handoff::{Datum, Pack, Phase, Quantity, Step};
use groundwright_plan::stock::{Container, ContainerForm, Loose, Taxon};
use groundwright_plan::{ElementRef, Given, Kind, LawnKind, PlantSource, Planting, PlantingRole};
use groundwright_units::System;
use groundwright_units::constants::{CUBIC_FOOT, CUBIC_YARD, SQUARE_FOOT};
use groundwright_yard::{Area, Origin};

use crate::bulk;
use crate::root_ball;
use crate::study::PlantingStudy;

/// Volume below which a pot counts as small for losses. [m³]
const SMALL_POT: f64 = 0.003;

/// The ground of a bed or box, for bulk materials.
#[derive(Debug, Clone, PartialEq)]
pub struct BedSurface {
    /// The bed or box.
    pub element: ElementRef,
    /// Its area on plan, without buildings and paving. [m²]
    pub plan_area: f64,
    /// Rise over run.
    pub slope: Given<f64>,
    /// Area along the slope. [m²]
    pub true_area: f64,
    /// Woody plants standing in it, new, moved and kept.
    pub trunks: usize,
    /// Area of the rings kept clear of mulch about their trunks. [m²]
    pub rings: f64,
}

/// Surfaces of beds and boxes.
pub(crate) fn surfaces(
    project: &groundwright_plan::Project,
    yard: &groundwright_yard::Yard,
) -> Vec<BedSurface> {
    let ring = project.practice.mulch_ring;
    let trunk = |plant: &groundwright_yard::Plant| {
        let key = &plant.key.instruction;
        let tree = project.property.trees.iter().find(|t| key.kind == Kind::Tree && t.id == key.id);
        tree.map_or(0.0, |tree| tree.diameter.value / 2.0)
    };
    let mut trunks: BTreeMap<&ElementRef, (usize, f64)> = BTreeMap::new();
    for plant in &yard.plants {
        let taxon = plant.taxon.as_ref().and_then(|id| project.stock.taxa.get(id));
        if let Some(place) = plant.place.as_ref().filter(|_| taxon.is_none_or(|taxon| taxon.kind.is_woody()))
        {
            let entry = trunks.entry(place).or_default();
            entry.0 += 1;
            entry.1 += std::f64::consts::PI * (ring + trunk(plant)).powi(2);
        }
    }
    let surface = |area: &Area, slope: Given<f64>| {
        let plan_area = area.free.area();
        BedSurface {
            element: area.element.clone(),
            plan_area,
            slope,
            true_area: bulk::true_area(plan_area, slope.value).unwrap_or(plan_area),
            trunks: trunks.get(&area.element).map_or(0, |(count, _)| *count),
            rings: trunks.get(&area.element).map_or(0.0, |(_, area)| *area),
        }
    };
    let beds = yard.plot.beds.iter().filter_map(|area| {
        let bed = project.design.beds.iter().find(|bed| bed.id == area.element.id)?;
        Some(surface(area, bed.slope))
    });
    let boxes = yard.plot.boxes.iter().map(|area| surface(area, Given::stated(0.0)));
    beds.chain(boxes).collect()
}

/// All quantities of planting.
pub(crate) fn quantities(study: &PlantingStudy<'_>) -> Vec<Quantity> {
    let mut all = plants(study);
    all.extend(mulch(study));
    all.extend(soil(study));
    all.extend(mixes(study));
    all.extend(backfill(study));
    all.extend(turf(study));
    all
}

/// Phase in which a planting is set.
pub(crate) fn phase(planting: &Planting) -> Phase {
    if planting.role == PlantingRole::Seasonal { Phase::Seasonal } else { Phase::Planting }
}

fn plants(study: &PlantingStudy<'_>) -> Vec<Quantity> {
    let mut all = Vec::new();
    for planting in &study.project.design.plantings {
        if planting.source != PlantSource::Nursery {
            continue;
        }
        for share in &planting.shares {
            let Some(taxon) = study.project.stock.taxa.get(&share.taxon) else { continue };
            let mine = study.yard.plants_of(&planting.id).filter(|p| p.taxon.as_ref() == Some(&share.taxon));
            let count = mine.filter(|p| p.origin == Origin::New).count();
            if count > 0 {
                all.push(plant_line(study, planting, taxon, count));
            }
        }
    }
    all
}

fn plant_line(study: &PlantingStudy<'_>, planting: &Planting, taxon: &Taxon, count: usize) -> Quantity {
    let practice = &study.project.practice;
    let container = groundwright_yard::size_bought(&study.project.stock, taxon, planting.size.as_deref());
    let small = container.is_none_or(is_small);
    let allowance = if small { practice.small_plant_loss } else { practice.large_plant_loss };
    let size = container.map_or("size open", |c| c.id.as_str());
    Quantity {
        item: format!("plant/{}/{size}", taxon.id),
        description: format!("{}, {size}", taxon.botanical),
        amount: Datum::count(count),
        allowance,
        spread: 0.0,
        basis: vec![Step::new(
            format!("planting {}", planting.id),
            Datum::count(count),
            "positions counted on the plan",
        )],
        packs: container
            .and_then(|c| c.tray)
            .map(|tray| Pack { name: format!("tray of {tray}"), contents: f64::from(tray), tops_up: false })
            .into_iter()
            .collect(),
        subject: ElementRef::new(Kind::Planting, &planting.id),
        phase: phase(planting),
        option: None,
    }
}

fn is_small(container: &Container) -> bool {
    matches!(container.form, ContainerForm::Tray | ContainerForm::Bulb)
        || container.usual_volume().is_some_and(|volume| volume < SMALL_POT)
}

/// How a loose material is sold: by half cubic yards or half cubic metres loose, and in bags.
fn loose_packs(study: &PlantingStudy<'_>, product: &Loose) -> Vec<Pack> {
    let us = study.project.property.system == System::Us;
    let bag = |bag: &f64| Pack {
        name: if us {
            format!("bag of {} cu ft", trim(bag / CUBIC_FOOT))
        } else {
            format!("bag of {} l", trim(bag * 1000.0))
        },
        contents: *bag,
        tops_up: false,
    };
    let mut packs: Vec<Pack> = product.bags.iter().map(bag).collect();
    if product.bulk {
        packs.push(Pack {
            name: if us { "half cubic yard, loose" } else { "half cubic metre, loose" }.to_owned(),
            contents: if us { 0.5 * CUBIC_YARD } else { 0.5 },
            tops_up: false,
        });
    }
    packs
}

fn trim(value: f64) -> String {
    format!("{value:.1}").trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn area_steps(surface: &BedSurface) -> Vec<Step> {
    let mut steps = vec![Step::new(
        "area on plan",
        Datum::area(surface.plan_area),
        "measured, without buildings and paving",
    )];
    if surface.slope.value > 0.0 {
        steps.push(Step::new(
            "area along the slope",
            Datum::area(surface.true_area),
            format!("× √(1 + {:.3}²)", surface.slope.value),
        ));
    }
    steps
}

/// Half width of an amount's range from an assumed slope, depth or settlement.
fn spread(amount: f64, parts: &[(f64, f64)]) -> f64 {
    let share: f64 =
        parts.iter().filter(|(value, _)| *value > 0.0).map(|(value, spread)| (spread / value).powi(2)).sum();
    amount * share.sqrt()
}

fn mulch(study: &PlantingStudy<'_>) -> Vec<Quantity> {
    let design = &study.project.design;
    study
        .surfaces
        .iter()
        .filter_map(|surface| {
            let id = &surface.element.id;
            let mulch = match surface.element.kind {
                Kind::Bed => design.beds.iter().find(|bed| &bed.id == id)?.mulch.as_ref()?,
                _ => design.boxes.iter().find(|b| &b.id == id)?.mulch.as_ref()?,
            };
            mulch_line(study, surface, mulch)
        })
        .collect()
}

fn mulch_line(
    study: &PlantingStudy<'_>,
    surface: &BedSurface,
    mulch: &groundwright_plan::Mulch,
) -> Option<Quantity> {
    let practice = &study.project.practice;
    let product = &study.project.stock.mulches.get(&mulch.product)?.loose;
    let depth = if mulch.depth.value.is_finite() { mulch.depth.value } else { practice.mulch_depth };
    let settlement = product.settles.unwrap_or(practice.mulch_settlement);
    let covered = (surface.true_area - surface.rings).max(0.0);
    let volume = bulk::loose_volume(covered, depth, settlement).ok()?;
    let mut basis = area_steps(surface);
    basis.push(Step::new(
        "less rings kept clear",
        Datum::area(surface.rings),
        format!(
            "{} woody plants × π × (ring {} + the trunk's radius, for trees found)²",
            surface.trunks,
            study.reader.depth(practice.mulch_ring)
        ),
    ));
    basis.push(Step::new("covered", Datum::area(covered), "area less rings"));
    basis.push(Step::new("settled depth", Datum::depth(depth), "×"));
    basis.push(Step::new("settling", Datum::ratio(settlement), "÷ (1 − settling)"));
    basis.push(Step::new("loose volume", Datum::volume(volume), "="));
    Some(Quantity {
        item: format!("mulch/{}", product.id),
        description: product.name.clone(),
        amount: Datum::volume(volume),
        allowance: 0.0,
        spread: spread(volume, &[(1.0 - settlement, 0.05)]),
        basis,
        packs: loose_packs(study, product),
        subject: surface.element.clone(),
        phase: Phase::Mulching,
        option: None,
    })
}

fn soil(study: &PlantingStudy<'_>) -> Vec<Quantity> {
    let design = &study.project.design;
    study
        .surfaces
        .iter()
        .filter(|surface| surface.element.kind == Kind::Bed)
        .filter_map(|surface| {
            let bed = design.beds.iter().find(|bed| bed.id == surface.element.id)?;
            let soil = bed.soil.as_ref()?;
            let product = study.project.stock.amendments.get(&soil.amendment)?;
            Some(if let Some(rate) = product.rate {
                by_mass(study, surface, product, rate)
            } else {
                let volume = surface.true_area * soil.depth.value;
                let mut basis = area_steps(surface);
                basis.push(Step::new("depth spread, loose", Datum::depth(soil.depth.value), "×"));
                basis.push(Step::new("loose volume", Datum::volume(volume), "="));
                Quantity {
                    item: format!("amendment/{}", product.loose.id),
                    description: product.loose.name.clone(),
                    amount: Datum::volume(volume),
                    allowance: 0.0,
                    spread: spread(volume, &[(soil.depth.value, soil.depth.standing.spread())]),
                    basis,
                    packs: loose_packs(study, &product.loose),
                    subject: surface.element.clone(),
                    phase: Phase::Soil,
                    option: None,
                }
            })
        })
        .collect()
}

fn by_mass(
    study: &PlantingStudy<'_>,
    surface: &BedSurface,
    product: &groundwright_plan::stock::Amendment,
    (low, high): (f64, f64),
) -> Quantity {
    let rate = f64::midpoint(low, high);
    let mass = rate * surface.true_area;
    let mut basis = area_steps(surface);
    basis.push(Step::new(
        "rate",
        Datum::mass(rate * 1000.0 * SQUARE_FOOT),
        "to 1000 sq ft (93 m²), middle of the stock's range",
    ));
    basis.push(Step::new("mass", Datum::mass(mass), "="));
    Quantity {
        item: format!("amendment/{}", product.loose.id),
        description: product.loose.name.clone(),
        amount: Datum::mass(mass),
        allowance: 0.0,
        spread: 0.5 * (high - low) * surface.true_area,
        basis,
        packs: mass_packs(study, &product.bag_masses),
        subject: surface.element.clone(),
        phase: Phase::Soil,
        option: None,
    }
}

fn mass_packs(study: &PlantingStudy<'_>, bags: &[f64]) -> Vec<Pack> {
    bags.iter()
        .map(|&bag| Pack { name: format!("bag of {}", study.reader.mass(bag)), contents: bag, tops_up: true })
        .collect()
}

fn mixes(study: &PlantingStudy<'_>) -> Vec<Quantity> {
    study
        .project
        .design
        .boxes
        .iter()
        .filter_map(|planter| {
            let element = ElementRef::new(Kind::PlanterBox, &planter.id);
            let area = study.yard.plot.area(&element)?.free.area();
            let product = &study.project.stock.amendments.get(&planter.mix)?.loose;
            let settlement = product.settles.unwrap_or(0.0);
            let volume = bulk::loose_volume(area, planter.fill.value, settlement).ok()?;
            Some(Quantity {
                item: format!("amendment/{}", product.id),
                description: product.name.clone(),
                amount: Datum::volume(volume),
                allowance: 0.0,
                spread: spread(volume, &[(planter.fill.value, planter.fill.standing.spread())]),
                basis: vec![
                    Step::new("area inside the walls", Datum::area(area), "measured on plan"),
                    Step::new("depth filled, settled", Datum::depth(planter.fill.value), "×"),
                    Step::new("settling", Datum::ratio(settlement), "÷ (1 − settling)"),
                    Step::new("loose volume", Datum::volume(volume), "="),
                ],
                packs: loose_packs(study, product),
                subject: element,
                phase: Phase::Soil,
                option: None,
            })
        })
        .collect()
}

/// Amendment mixed into the backfill, where the firm's practice asks for it.
fn backfill(study: &PlantingStudy<'_>) -> Vec<Quantity> {
    let practice = &study.project.practice;
    let share = practice.backfill_amendment;
    let Some(product) = study.project.stock.amendments.get("compost").filter(|_| share > 0.0) else {
        return Vec::new();
    };
    let line = |planting: &Planting| {
        let holes: Vec<f64> = study
            .yard
            .plants_of(&planting.id)
            .filter(|plant| plant.origin == Origin::New)
            .filter_map(|plant| study.container(plant))
            .filter_map(|c| root_ball::hole(c.diameter?, c.depth?, practice.hole_width).ok())
            .map(|hole| hole.backfill)
            .collect();
        let total: f64 = holes.iter().sum();
        (total > 0.0).then(|| Quantity {
            item: format!("amendment/{}", product.loose.id),
            description: product.loose.name.clone(),
            amount: Datum::volume(total * share),
            allowance: 0.0,
            spread: 0.0,
            basis: vec![
                Step::new("holes", Datum::count(holes.len()), "planting positions"),
                Step::new("backfill of all holes", Datum::volume(total), "hole less pot or ball, cylinders"),
                Step::new("share of amendment", Datum::ratio(share), "×"),
            ],
            packs: loose_packs(study, &product.loose),
            subject: ElementRef::new(Kind::Planting, &planting.id),
            phase: Phase::Planting,
            option: None,
        })
    };
    study.project.design.plantings.iter().filter_map(line).collect()
}

fn turf(study: &PlantingStudy<'_>) -> Vec<Quantity> {
    let mut all = Vec::new();
    for lawn in &study.project.design.lawns {
        let element = ElementRef::new(Kind::Lawn, &lawn.id);
        let Some(area) = study.yard.plot.area(&element).map(|area| area.free.area()) else { continue };
        if let Some(product) =
            study.project.stock.turf.get(&lawn.product).filter(|_| lawn.kind != LawnKind::Keep)
        {
            all.extend(turf_line(study, &element, product, area));
        }
        all.extend(fertiliser_line(study, &element, &lawn.fertiliser, area));
    }
    all
}

fn turf_line(
    study: &PlantingStudy<'_>,
    element: &ElementRef,
    product: &groundwright_plan::stock::TurfProduct,
    area: f64,
) -> Option<Quantity> {
    let measured = Step::new("area of lawn", Datum::area(area), "measured, without beds and paving");
    let (amount, allowance, packs, mut basis) = match (product.slab, product.rate) {
        (Some((width, length)), _) => {
            let slab = width * length;
            let mut packs = vec![Pack {
                name: format!("slab of {}", study.reader.area(slab)),
                contents: slab,
                tops_up: true,
            }];
            packs.extend(product.pallet.map(|pallet| Pack {
                name: format!("pallet of {}", study.reader.area(pallet)),
                contents: pallet,
                tops_up: false,
            }));
            (Datum::area(area), study.project.practice.sod_waste, packs, vec![measured])
        }
        (None, Some((low, high))) => {
            let rate = f64::midpoint(low, high);
            let step = Step::new("rate", Datum::mass(rate * 1000.0 * SQUARE_FOOT), "to 1000 sq ft (93 m²)");
            (Datum::mass(rate * area), 0.0, mass_packs(study, &product.bag_masses), vec![measured, step])
        }
        (None, None) => return None,
    };
    if allowance > 0.0 {
        basis.push(Step::new("waste at cuts", Datum::ratio(allowance), "× (1 + waste)"));
    }
    Some(Quantity {
        item: format!("turf/{}", product.id),
        description: product.name.clone(),
        amount,
        allowance,
        spread: 0.0,
        basis,
        packs,
        subject: element.clone(),
        phase: Phase::Turf,
        option: None,
    })
}

fn fertiliser_line(study: &PlantingStudy<'_>, element: &ElementRef, id: &str, area: f64) -> Option<Quantity> {
    let product = study.project.stock.fertilisers.get(id)?;
    let rate = bulk::fertiliser_rate(product.nitrogen, product.shares[0]).ok()?;
    Some(Quantity {
        item: format!("fertiliser/{}", product.id),
        description: product.name.clone(),
        amount: Datum::mass(rate * area),
        allowance: 0.0,
        spread: 0.0,
        basis: vec![
            Step::new("area of lawn", Datum::area(area), "measured, without beds and paving"),
            Step::new(
                "nitrogen",
                Datum::mass(product.nitrogen * 1000.0 * SQUARE_FOOT),
                "to 1000 sq ft (93 m²)",
            ),
            Step::new("share of nitrogen", Datum::ratio(product.shares[0]), "÷"),
        ],
        packs: mass_packs(study, &product.bag_masses),
        subject: element.clone(),
        phase: Phase::Turf,
        option: None,
    })
}
