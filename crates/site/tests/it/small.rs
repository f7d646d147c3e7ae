//! A small yard written as text, so that everything is read as a person would write it.
//!
//! Metric, 30 m by 24 m: a house in the middle, an oak that stays in a bed to the south-west, new sod
//! to the south-east over a gas line, brambles to the north-west, and plants of every fate.

use std::sync::Arc;

use groundwright_handoff::{Finding, Quantity, Study};
use groundwright_plan::{Project, Sources, read_project};
use groundwright_site::study;
use groundwright_yard::{Transplanting, Yard, assemble, place};

/// A turn about the origin and a shift, applied to every coordinate of the text.
#[derive(Debug, Clone, Copy, Default)]
pub struct Lie {
    pub turn: f64,
    pub east: f64,
    pub north: f64,
}

impl Lie {
    fn at(&self, x: f64, y: f64) -> String {
        let (sin, cos) = self.turn.sin_cos();
        format!("[{:.6}, {:.6}]", x * cos - y * sin + self.east, x * sin + y * cos + self.north)
    }

    /// Writes `<x y>` in a text as a coordinate that lies accordingly.
    pub fn write(&self, text: &str) -> String {
        let mut written = String::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('<') {
            let (place, behind) = after.split_once('>').expect("a place ends with >");
            let (x, y) = place.split_once(' ').expect("a place is <x y>");
            written += before;
            written += &self.at(x.parse().unwrap(), y.parse().unwrap());
            rest = behind;
        }
        written + rest
    }
}

pub const PROPERTY: &str = r#"
format = 1
units = "m"
name = "small yard"
[place]
children_or_pets = true
[boundary]
known = { value = "pins found", standing = "measured" }
outline = [<0 0>, <30 0>, <30 24>, <0 24>]
[[building]]
id = "house"
outline = [<10 10>, <20 10>, <20 16>, <10 16>]
eave = 3
siding = "boards"
[[opening]]
id = "front-door"
building = "house"
kind = "door"
at = <15 10>
[[opening]]
id = "north-window"
building = "house"
kind = "window"
at = <12 16>
width = 2
[[surface]]
id = "street"
kind = "street"
outline = [<-10 -8>, <40 -8>, <40 -2>, <-10 -2>]
[[surface]]
id = "walk"
kind = "walk"
material = "crushed gravel"
outline = [<14 -2>, <16 -2>, <16 10>, <14 10>]
[[tree]]
id = "oak"
plant = "quercus-garryana"
at = <5 5>
diameter = { value = 0.25, standing = "measured" }
crown = 8
height = 10
condition = "good"
[[tree]]
id = "cherry"
plant = "prunus-serrulata-kanzan"
at = <25 5>
diameter = { value = 0.30, standing = "measured" }
height = { value = 6, standing = "measured" }
action = "remove"
[[shrub]]
id = "junipers"
plant = "juniperus-chinensis-pfitzeriana"
places = [<22 20>, <24 20>, <26 20>]
spread = { value = 1.0, standing = "measured" }
height = { value = 1.0, standing = "measured" }
action = "remove"
[[shrub]]
id = "boxwoods"
plant = "buxus-sempervirens"
places = [<22 22>, <24 22>]
spread = { value = 0.5, standing = "measured" }
height = { value = 0.5, standing = "measured" }
action = "remove"
[[shrub]]
id = "laurel"
plant = "prunus-laurocerasus"
at = <28 22>
spread = { value = 2.0, standing = "measured" }
height = { value = 2.0, standing = "measured" }
action = "remove"
[[shrub]]
id = "azaleas"
plant = "rhododendron-kurume-group"
places = [<11 8>, <13 8>]
condition = "fair"
action = "move"
[[shrub]]
id = "ferns"
plant = "polystichum-munitum"
places = [<18 8>, <19 8>]
[[overgrown]]
id = "brambles"
plant = "rubus-armeniacus"
outline = [<0 14>, <4 14>, <4 24>, <0 24>]
height = { value = 1.5, standing = "measured" }
[[buried]]
id = "gas"
kind = "gas"
route = [<28 -5>, <28 12>, <20 12>]
depth = 0.6
[[buried]]
id = "sprinkler-pipe"
kind = "irrigation pipe"
route = [<2 12>, <2 0>]
depth = 0.3
[[downspout]]
id = "spout"
at = <10 10>
[[utility]]
id = "meter"
name = "gas meter"
at = <20 12>
screen = true
[[viewpoint]]
id = "eye"
role = "street"
at = <15 -5>
looking = <15 10>
"#;

pub const DESIGN: &str = r#"
format = 1
[[bed]]
id = "west"
outline = [<1 1>, <9 1>, <9 9>, <1 9>]
soil = { amendment = "compost", depth = "50 mm", worked_in = "150 mm" }
[[bed]]
id = "north"
outline = [<0 18>, <8 18>, <8 23>, <0 23>]
soil = { amendment = "compost", depth = "50 mm", worked_in = "150 mm" }
[[bed]]
id = "bare"
outline = [<10 17>, <20 17>, <20 20>, <10 20>]
[[lawn]]
id = "east"
kind = "sod"
outline = [<21 1>, <29 1>, <29 9>, <21 9>]
[[lawn]]
id = "back"
kind = "keep"
outline = [<21 17>, <29 17>, <29 23>, <21 23>]
"#;

pub const PRACTICE: &str = r#"
format = 1
strip_depth = "50 mm"
"#;

/// The texts of the small yard.
pub fn sources(lie: Lie, property: &str, design: &str) -> Sources {
    Sources {
        property: Some(lie.write(property)),
        design: Some(lie.write(design)),
        practice: Some(PRACTICE.to_owned()),
        stock: Vec::new(),
        survey: None,
    }
}

pub fn read(sources: Sources) -> Project {
    let shown = |faults: Vec<groundwright_plan::Fault>| {
        faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    read_project(sources).map_err(shown).unwrap_or_else(|faults| panic!("{faults}")).project
}

/// The small yard as written above.
pub fn project() -> Project {
    read(sources(Lie::default(), PROPERTY, DESIGN))
}

/// The small yard with more elements in its files.
pub fn with(property: &str, design: &str) -> Project {
    let (property, design) = (format!("{PROPERTY}{property}"), format!("{DESIGN}{design}"));
    read(sources(Lie::default(), &property, &design))
}

/// The yard of a project without plantings.
pub fn yard(project: &Project) -> Yard {
    let (plot, faults) = place(project);
    assert!(faults.is_empty(), "{faults:?}");
    assemble(project, Arc::new(plot), Vec::new(), Arc::new(Transplanting::default()))
}

pub fn findings(project: &Project) -> Vec<Finding> {
    study(project, &yard(project)).findings()
}

pub fn quantities(project: &Project) -> Vec<Quantity> {
    study(project, &yard(project)).quantities()
}

/// Findings of one rule.
pub fn of_rule<'f>(findings: &'f [Finding], id: &str) -> Vec<&'f Finding> {
    findings.iter().filter(|finding| finding.rule.id == id).collect()
}

/// Count of an item over all elements.
pub fn count(quantities: &[Quantity], item: &str) -> usize {
    amount(quantities, item, None).round() as usize
}

/// Sum of an item's amounts, of one element if it is named.
pub fn amount(quantities: &[Quantity], item: &str, id: Option<&str>) -> f64 {
    let named =
        quantities.iter().filter(|q| q.item == item && id.is_none_or(|id| q.subject.id.as_str() == id));
    named.map(|q| q.amount.value).sum()
}
