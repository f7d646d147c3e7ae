//! The six hand-offs of lights.

use groundwright_geometry::Point3;
use groundwright_handoff::{
    Body, Finding, Link, Mark, Quantity, Role, Season, Solid, Study, Table, Task, Trade, When,
};
use groundwright_plan::{ElementRef, LightRole};

use super::{LightStudy, findings, marks, tables, takeoff};

const LOCATED: &str = "Have buried services located and marked before any digging, even for six inches; dig by hand near the marks.";
const MAINS: &str = "The crew works on the low-voltage side alone. Outlet, ground-fault protection, any work on the house wiring and \
     its inspection are a licensed electrician's; the local code and the listing of the equipment decide.";
const DEAD: &str = "Switch off and unplug before cable is cut, spliced or opened.";
const LADDER: &str =
    "Work in trees and on ladders at night is for two, tied off; above a ladder it is the arborist's.";
const HOT: &str = "Lamps are hot and bright: gloves, and never look into a beam.";

impl Study for LightStudy<'_> {
    fn findings(&self) -> Vec<Finding> {
        findings::all(self)
    }

    fn quantities(&self) -> Vec<Quantity> {
        takeoff::all(self)
    }

    fn tasks(&self) -> Vec<Task> {
        let practice = &self.project.practice;
        let mut all = Vec::new();
        for run in &self.transformers {
            let (id, subject) = (&run.transformer.id, run.element());
            let trench = run.design.as_ref().map_or(0.0, |design| design.route.length);
            let (cable, set) = (format!("light-cable/{id}"), format!("light-set/{id}"));
            all.push(task(
                cable.clone(),
                format!("Trench and lay the cable of {}", run.transformer.label),
                trench * practice.light_cable_hours,
                &["clear/", "grade/", "wall-fill/", "steps/"],
                &[LOCATED, DEAD],
                &subject,
            ));
            let lamps = run.lamps.len();
            all.push(task(
                set.clone(),
                format!("Hang {}, set and connect {lamps} lights", run.transformer.label),
                lamps as f64 * practice.light_hours,
                &[&cable, "planting/", "transplant/"],
                &[MAINS, DEAD, LADDER],
                &subject,
            ));
            let mut aim = task(
                format!("light-aim/{id}"),
                format!("Aim and dim the {lamps} lights of {} after dark", run.transformer.label),
                lamps as f64 * practice.light_hours / 3.0,
                &[&set, "after-mulch/"],
                &[HOT, LADDER],
                &subject,
            );
            aim.hold_point = Some("voltage read at every lamp, and the client has seen the night".to_owned());
            all.push(aim);
        }
        all
    }

    fn tables(&self) -> Vec<Table> {
        tables::all(self)
    }

    fn marks(&self, _when: When) -> Vec<Mark> {
        marks::all(self)
    }

    fn solids(&self, _when: When) -> Vec<Solid> {
        let mut all = Vec::new();
        let mut put = |subject: ElementRef, role: Role, body: Body, material: &str| {
            let ordinal = all.len() as u32;
            all.push(Solid {
                subject,
                ordinal,
                role,
                body,
                material: material.to_owned(),
                transmittance: 0.0,
            });
        };
        for run in &self.transformers {
            for stretch in &run.trench.stretches {
                let depth = self.project.practice.light_cable_depth + 0.02;
                let lift = |at: groundwright_geometry::Point| {
                    Point3::new(at.x, at.y, self.yard.ground.proposed(at) - depth)
                };
                let line = vec![lift(stretch.ends.0), lift(stretch.ends.1)];
                put(run.element(), Role::Buried, Body::Ribbon { line, width: 0.02, height: 0.02 }, "cable");
            }
        }
        for (element, body) in housings(&self.lamps, self.yard) {
            put(element, Role::Stands, body, "fixture");
        }
        all
    }
}

/// What a lamp stands on: a post that ends a tenth below it, so that the lamp itself stays free. One
/// that hangs in a tree has none here.
pub fn housings(lamps: &[super::LampRun<'_>], yard: &groundwright_yard::Yard) -> Vec<(ElementRef, Body)> {
    let standing = lamps.iter().filter(|lamp| lamp.light.role != LightRole::Down);
    standing
        .map(|lamp| {
            let foot = yard.ground.proposed(lamp.place());
            let height = (lamp.at.z - foot).max(0.05);
            let (x, y, half) = (lamp.at.x, lamp.at.y, 0.03);
            let outline = [(-half, -half), (half, -half), (half, half), (-half, half)]
                .map(|(dx, dy)| Point3::new(x + dx, y + dy, foot))
                .to_vec();
            (lamp.element(), Body::Prism { outline, height: height * 0.9 })
        })
        .collect()
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
        trade: Trade::Lighting,
        labour_hours: hours,
        after: before.iter().map(|key| Link { before: (*key).to_owned(), lag_days: 0.0 }).collect(),
        season: None::<Season>,
        hold_point: None,
        consumes: Vec::new(),
        cautions: cautions.iter().map(|&caution| caution.to_owned()).collect(),
        subject: subject.clone(),
    }
}
