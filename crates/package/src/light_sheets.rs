//! Sheets of circuits: the one-line diagram of each transformer.

use groundwright_handoff::{Drawing, Mark};
use groundwright_job::Outcome;
use groundwright_plan::Project;
use groundwright_sheets::{Fonts, Paper, window};
use kurbo::Size;

use crate::PackageError;
use crate::wall_sheets::{Diagrams, draw, sheet};

/// A sheet for each transformer that feeds lights.
pub(crate) fn circuits(
    project: &Project,
    outcome: &Outcome,
    paper: Paper,
    fonts: &Fonts,
) -> Result<Vec<Diagrams>, PackageError> {
    let marks: Vec<&Mark> =
        outcome.marks.iter().filter(|mark| mark.layer.on.contains(&Drawing::Circuits)).collect();
    let room = window(paper, true);
    let mut all = Vec::new();
    for transformer in &project.design.lighting.transformers {
        let frame = groundwright_light::circuit_frame(&transformer.id);
        let name = format!("circuits-{}", transformer.id);
        let title = format!("{}: circuits, one-line", transformer.label);
        let room = Size::new(room.width, room.height);
        let view = draw(
            &outcome.marks,
            &marks,
            (frame, title.clone(), name),
            room,
            Drawing::Circuits,
            project,
            fonts,
        )?;
        let tables = crate::plan_set::tables(outcome, &["circuits", "transformers"]);
        let drawn = view.into_iter().collect();
        all.extend(sheet(title, drawn, tables, Drawing::Circuits));
    }
    Ok(all)
}
