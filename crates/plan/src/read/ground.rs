//! Ground and water, of both files.

use super::Node;
use super::line::EDGES;
use super::measure::Measure;
use super::property::{each, label, length_or};
use crate::ground::{
    Basin, BreakLine, Cleanout, Drain, FoundGround, GradedArea, Grading, GradingForm, GroundWork, Outlet,
    SoilTest, SpotLevel, Storm, Swale, SwaleLining,
};
use crate::identity::{ElementId, Kind};
use crate::shape::Place;

/// Heights above a datum that can be. [m]
const HEIGHTS: (f64, f64) = (-500.0, 6000.0);
/// Minutes of a storm or a soil test: to four days.
const MINUTES: (f64, f64) = (1.0, 5760.0);

/// What was found.
pub(super) fn found(root: &Node<'_, '_>) -> FoundGround {
    FoundGround {
        datum: root.text("datum").unwrap_or_default(),
        levels: each(root, Kind::SpotLevel, |node, id| {
            let (at, level) = (node.required_place("at"), height(node, "level"));
            Some(SpotLevel { id, at: at?, level: level? })
        }),
        break_lines: each(root, Kind::BreakLine, break_line),
        storms: each(root, Kind::Storm, |node, id| {
            let depth = node.required_quantity("depth", Measure::Length, 0.0001, 2.0);
            let minutes = node.required_quantity("minutes", Measure::Number, MINUTES.0, MINUTES.1);
            let return_period = node.text("return_period").unwrap_or_default();
            Some(Storm { id, depth: depth?, minutes: minutes?, return_period })
        }),
        soil_tests: each(root, Kind::SoilTest, soil_test),
    }
}

/// What shall be.
pub(super) fn work(root: &Node<'_, '_>) -> GroundWork {
    GroundWork {
        gradings: each(root, Kind::Grading, grading),
        swales: each(root, Kind::Swale, |node, id| {
            let (start, end) = (height(node, "start"), height(node, "end"));
            Some(Swale {
                id,
                line: node.outline("line"),
                bottom: length_or(node, "bottom", (0.0, 5.0), (0.3, 0.15), "as wide as a spade and a half"),
                side: node.quantity_or(
                    "side",
                    Measure::Slope,
                    (0.05, 1.0),
                    (0.25, 0.08),
                    "four to one, so that it can be mown",
                ),
                lining: node.choice("lining").unwrap_or(SwaleLining::Turf),
                start: start?,
                end: end?,
            })
        }),
        drains: each(root, Kind::Drain, drain),
        basins: each(root, Kind::Basin, |node, id| {
            let at = node.required_place("at");
            Some(Basin {
                id,
                width: length_or(node, "width", (0.05, 2.0), (0.23, 0.08), "a grate of nine inches"),
                sump: length_or(node, "sump", (0.0, 2.0), (0.1, 0.05), "a hand's depth for silt"),
                at: at?,
            })
        }),
        cleanouts: each(root, Kind::Cleanout, |node, id| {
            let (at, cap) = (node.required_place("at"), height(node, "cap"));
            Some(Cleanout { id, at: at?, cap: cap? })
        }),
        outlets: each(root, Kind::Outlet, |node, id| {
            let (kind, at) = (node.required_choice("kind"), node.required_place("at"));
            let kind = kind?;
            // Sizes matter only where water is held; elsewhere no assumption is listed for them.
            let holds =
                matches!(kind, crate::ground::OutletKind::DryWell | crate::ground::OutletKind::RainGarden);
            let size = |key, range: (f64, f64), default: (f64, f64), why| {
                if holds || node.has(key) {
                    length_or(node, key, range, default, why)
                } else {
                    crate::Given::assumed(0.0, 0.0)
                }
            };
            let voids = if holds {
                node.quantity_or("voids", Measure::Ratio, (0.05, 1.0), (0.4, 0.05), "clean stone of one size")
            } else {
                crate::Given::assumed(0.0, 0.0)
            };
            Some(Outlet {
                id,
                width: size("width", (0.2, 20.0), (1.2, 0.3), "a pit of four feet"),
                depth: size("depth", (0.05, 6.0), (1.2, 0.3), "as deep as it is wide"),
                voids,
                allowed: node.text("allowed").unwrap_or_default(),
                kind,
                at: at?,
            })
        }),
    }
}

fn height(node: &Node<'_, '_>, key: &str) -> Option<crate::Given<f64>> {
    node.required_quantity(key, Measure::Length, HEIGHTS.0, HEIGHTS.1)
}

fn break_line(node: &Node<'_, '_>, id: ElementId) -> Option<BreakLine> {
    let fault = |key: &str, problem: String, expected: &str| {
        node.fault(key, problem).expected(expected).note(node.reading);
    };
    if !node.has("places") {
        fault(
            "places",
            "nothing says where it runs".to_owned(),
            "at least two places, `places = [[x, y], …]`",
        );
    }
    let places = node.places("places");
    let levels = levels(node);
    let (places, levels) = (places?, levels?);
    if places.len() < 2 {
        fault("places", format!("a line of {} places", places.len()), "at least two places");
        return None;
    }
    let heights: Vec<f64> = match levels.as_slice() {
        [one] => vec![*one; places.len()],
        all if all.len() == places.len() => all.to_vec(),
        all => {
            let problem = format!("{} levels, but {} places", all.len(), places.len());
            fault("levels", problem, "one level for each place, or one for the whole line");
            return None;
        }
    };
    Some(BreakLine { id, course: places.into_iter().zip(heights).collect() })
}

fn levels(node: &Node<'_, '_>) -> Option<Vec<f64>> {
    let list = node.raw("levels").and_then(|item| item.as_array());
    let Some(list) = list else {
        node.fault("levels", "nothing says how high it lies")
            .expected("a list of levels, one for each place or one for all, such as [98.2, 98.4]")
            .note(node.reading);
        return None;
    };
    list.iter().map(|value| node.value_within("levels", value, Measure::Length, HEIGHTS)).collect()
}

fn soil_test(node: &Node<'_, '_>, id: ElementId) -> Option<SoilTest> {
    let at = node.required_place("at");
    let length = |key| node.required_quantity(key, Measure::Length, 0.0, 3.0);
    let (start, end) = (length("start"), length("end"));
    let minutes = node.required_quantity("minutes", Measure::Number, MINUTES.0, MINUTES.1);
    let (start, end) = (start?, end?);
    if end.value > start.value || start.value <= 0.0 {
        node.fault("end", "the water stood higher at the end than at the start")
            .expected("water above the bottom of the hole, at the start and at the end")
            .note(node.reading);
        return None;
    }
    Some(SoilTest {
        id,
        diameter: length_or(node, "diameter", (0.05, 1.0), (0.2, 0.05), "a hole of a post-hole digger"),
        start,
        end,
        minutes: minutes?,
        at: at?,
    })
}

fn grading(node: &Node<'_, '_>, id: ElementId) -> Option<Grading> {
    let area = match (node.has("area"), node.has("outline")) {
        (true, false) => node.reference("area", &EDGES).map(GradedArea::Of),
        (false, true) => node.line("outline").map(GradedArea::Outline),
        (both, _) => {
            let problem = if both {
                "`area` and `outline` are both given"
            } else {
                "nothing says which part is graded"
            };
            node.fault("area", problem)
                .expected("`area = \"surface patio\"`, or `outline = [[x, y], …]`")
                .note(node.reading);
            None
        }
    };
    let form = form(node);
    let label = label(node, &id);
    Some(Grading {
        margin: length_or(node, "margin", (0.02, 30.0), (0.6, 0.3), "two feet to run out on each side"),
        id,
        label,
        area: area?,
        form: form?,
    })
}

fn form(node: &Node<'_, '_>) -> Option<GradingForm> {
    let forms = ["level", "raise", "spots"];
    let given: Vec<&str> = forms.into_iter().filter(|form| node.has(form)).collect();
    match given.as_slice() {
        ["level"] => {
            let level = height(node, "level")?.value;
            let fall = node.quantity("fall", Measure::Slope, 0.0, 1.0);
            let (from, toward) = (node.place("from"), node.place("toward"));
            let fall = match (fall, from, toward) {
                (None, None, None) => None,
                (Some(fall), Some(from), Some(toward)) => Some((fall.value, from, toward)),
                _ => {
                    node.fault("fall", "a fall needs a start and a direction")
                        .expected("`fall = \"2 %\"`, `from = [x, y]` where the level is meant, and `toward = [x, y]`")
                        .note(node.reading);
                    return None;
                }
            };
            Some(GradingForm::Pad { level, fall })
        }
        ["raise"] => Some(GradingForm::Raise(node.quantity("raise", Measure::Length, -5.0, 5.0)?.value)),
        ["spots"] => {
            let spots: Option<Vec<(Place, f64)>> = node
                .tables("spots")
                .iter()
                .map(|inner| {
                    let (at, level) = (inner.required_place("at"), height(inner, "level"));
                    inner.finish();
                    Some((at?, level?.value))
                })
                .collect();
            spots.filter(|spots| !spots.is_empty()).map(GradingForm::Levels)
        }
        others => {
            let problem = match others {
                [] => "nothing says how it is graded".to_owned(),
                _ => format!("`{}` are given together", others.join("` and `")),
            };
            node.fault(others.get(1).copied().unwrap_or("level"), problem)
                .expected(
                    "one of: `level` (a pad), `raise` (the ground as it is, raised), `spots` (design levels)",
                )
                .note(node.reading);
            None
        }
    }
}

fn drain(node: &Node<'_, '_>, id: ElementId) -> Option<Drain> {
    let kind = node.required_choice("kind");
    let (start, end) = (height(node, "start"), height(node, "end"));
    Some(Drain {
        id,
        route: node.outline("route"),
        diameter: length_or(node, "diameter", (0.02, 1.0), (0.1, 0.02), "four-inch pipe"),
        takes: node.references("takes", &[Kind::Downspout, Kind::Basin, Kind::Drain]),
        leads_to: node.reference("leads_to", &[Kind::Outlet, Kind::Drain, Kind::Basin]),
        kind: kind?,
        start: start?,
        end: end?,
    })
}
