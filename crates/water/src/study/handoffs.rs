//! The six hand-offs of irrigation.

use groundwright_geometry::Point3;
use groundwright_handoff::{
    Body, Finding, Link, Mark, Quantity, Role, Solid, Study, Table, Task, Trade, When,
};
use groundwright_plan::ElementRef;

use super::layout::Layout;
use super::{AreaRun, WaterStudy, ZoneRun, findings, marks, tables, takeoff};

const LOCATED: &str =
    "Have buried services located and marked before any trench; dig by hand near the marks.";
const BACKFLOW: &str = "Nothing is joined to the drinking water without the preventer that the local code asks for; permit, work on \
     the service line and the yearly test are a licensed plumber's.";
const PRESSURE: &str =
    "Let air out slowly and stand clear when pipe is filled the first time; never test with air.";
const GLUE: &str = "Solvent cement and primer burn and fume: gloves, air, no flame.";
const DRY: &str = "No water in summer under trees that do not bear it.";

impl Study for WaterStudy<'_> {
    fn findings(&self) -> Vec<Finding> {
        findings::all(self)
    }

    fn quantities(&self) -> Vec<Quantity> {
        takeoff::all(self)
    }

    fn tasks(&self) -> Vec<Task> {
        let Some(subject) = self.areas.first().map(AreaRun::subject) else { return Vec::new() };
        if self.zones.is_empty() {
            return Vec::new();
        }
        let practice = &self.project.practice;
        let main: f64 = self.main.as_ref().map_or(0.0, |main| main.nodes.iter().map(|n| n.length).sum());
        let mut all = vec![
            sleeves(self, &subject),
            Task {
                hold_point: Some("main holds its pressure for an hour before it is covered".to_owned()),
                ..task(
                    "water-main/all".to_owned(),
                    "Trench and lay the main, set preventer and valve boxes".to_owned(),
                    main * practice.water_pipe_hours + self.zones.len() as f64 * practice.water_valve_hours,
                    &["clear/", "grade/", "wall-fill/", "steps/", "water-sleeves/"],
                    &[LOCATED, BACKFLOW, PRESSURE, GLUE],
                    &subject,
                )
            },
        ];
        for zone in &self.zones {
            all.extend(self.zone_tasks(zone));
        }
        let keys: Vec<String> = self.zones.iter().map(|zone| format!("water-set/{}", zone.tag())).collect();
        let mut before: Vec<&str> = keys.iter().map(String::as_str).collect();
        before.push("planting/");
        let mut run = task(
            "water-run/all".to_owned(),
            "Set the controller, run every zone, read pressures, adjust arcs".to_owned(),
            0.4 * self.zones.len() as f64 + 0.5,
            &before,
            &[DRY],
            &subject,
        );
        run.hold_point = Some("every zone seen running, pressures written down".to_owned());
        all.push(run);
        all
    }

    fn tables(&self) -> Vec<Table> {
        tables::all(self)
    }

    fn marks(&self, _when: When) -> Vec<Mark> {
        marks::all(self)
    }

    fn solids(&self, _when: When) -> Vec<Solid> {
        let Some(subject) = self.areas.first().map(AreaRun::subject) else { return Vec::new() };
        let practice = &self.project.practice;
        let mut all: Vec<Solid> = Vec::new();
        let mut put =
            |ends: (groundwright_geometry::Point, groundwright_geometry::Point), depth: f64, bore: f64| {
                let lift = |at: groundwright_geometry::Point| {
                    Point3::new(at.x, at.y, self.yard.ground.proposed(at) - depth - bore)
                };
                let body = Body::Ribbon { line: vec![lift(ends.0), lift(ends.1)], width: bore, height: bore };
                all.push(Solid {
                    subject: subject.clone(),
                    ordinal: all.len() as u32,
                    role: Role::Buried,
                    body,
                    material: "irrigation pipe".to_owned(),
                    transmittance: 0.0,
                });
            };
        let bore = |size: usize| self.pipes.get(size).map_or(0.025, |pipe| pipe.inside);
        if let Ok(main) = &self.main {
            for stretch in &main.stretches {
                put(stretch.ends, practice.water_main_depth, bore(main.sizes[stretch.node]));
            }
        }
        for plan in self.zones.iter().filter_map(ZoneRun::plan) {
            for stretch in &plan.stretches {
                put(stretch.ends, practice.water_lateral_depth, bore(plan.sizes[stretch.node]));
            }
        }
        all
    }
}

impl WaterStudy<'_> {
    /// Laterals before the ground is made, heads and line after planting.
    fn zone_tasks(&self, zone: &ZoneRun<'_>) -> Vec<Task> {
        let practice = &self.project.practice;
        let Some(subject) = zone.areas.first().map(|i| self.areas[*i].subject()) else { return Vec::new() };
        let lateral: f64 = zone.plan().map_or(0.0, |plan| plan.nodes.iter().map(|node| node.length).sum());
        let names = tables::names(self, zone);
        let trench = format!("water-lateral/{}", zone.tag());
        let hours: f64 = zone
            .areas
            .iter()
            .map(|i| match &self.areas[*i].layout {
                Layout::Heads { heads, .. } => heads.len() as f64 * practice.water_head_hours,
                Layout::Bubblers { places, .. } => places.len() as f64 * practice.water_head_hours,
                Layout::Lines { rows, own, .. } => {
                    (rows.line + rows.blank) * practice.water_drip_hours + own.1 as f64 * 0.05
                }
                Layout::Points { places, .. } => places.iter().map(|p| p.1).sum::<usize>() as f64 * 0.08,
                Layout::Existing | Layout::Nothing(_) => 0.0,
            })
            .sum();
        // Heads go in with the grade; line and emitters after the plants and before the mulch.
        let drips = zone.common.method == crate::hydrozones::Method::Drip;
        let before: &[&str] = if drips { &[&trench, "planting/", "transplant/"] } else { &[&trench] };
        vec![
            task(
                trench.clone(),
                format!("Trench and lay the laterals of {}: {names}", zone.tag()),
                lateral * practice.water_pipe_hours,
                &["water-main/", "clear/", "grade/"],
                &[LOCATED, GLUE],
                &subject,
            ),
            task(
                format!("water-set/{}", zone.tag()),
                format!(
                    "Set {} of {}: {names}",
                    if drips { "line and emitters" } else { "heads" },
                    zone.tag()
                ),
                hours,
                before,
                &[PRESSURE],
                &subject,
            ),
        ]
    }
}

/// Sleeves lie before anything is paved.
fn sleeves(study: &WaterStudy<'_>, subject: &ElementRef) -> Task {
    let main = study.main.as_ref().map_or(&[][..], |main| &main.stretches);
    let laterals = study.zones.iter().filter_map(ZoneRun::plan).flat_map(|plan| &plan.stretches);
    let count = main.iter().chain(laterals).filter(|stretch| stretch.sleeve).count();
    task(
        "water-sleeves/all".to_owned(),
        format!("Lay {count} sleeves under paving, ends marked"),
        count as f64 * 0.75,
        &["clear/"],
        &[LOCATED],
        subject,
    )
}

fn task(
    key: String,
    title: String,
    hours: f64,
    before: &[&str],
    cautions: &[&str],
    subject: &ElementRef,
) -> Task {
    Task {
        key,
        title,
        trade: Trade::Irrigation,
        labour_hours: hours,
        after: before.iter().map(|key| Link { before: (*key).to_owned(), lag_days: 0.0 }).collect(),
        season: None,
        hold_point: None,
        consumes: Vec::new(),
        cautions: cautions.iter().map(|&caution| caution.to_owned()).collect(),
        subject: subject.clone(),
    }
}
