//! The survey: what the readings give, how well, and which of them to take again.
//!
//! - In: the project's readings, adjusted by the reader of its files. Out: findings, tables, and the
//!   survey diagram with readings and residuals.
//! - A suspected slip is a reading to take again, never one that is corrected here.
//! - Not here: the adjustment (`groundwright-survey`).

mod findings;
mod marks;
mod tables;

use groundwright_geometry::Point;
use groundwright_handoff::{Finding, Mark, Study, Table, When};
use groundwright_plan::{ElementRef, Kind, Project, Readings};
use groundwright_units::Reader;

pub use marks::ALL as LAYERS;

/// The survey of a project.
#[derive(Debug, Clone, Copy)]
pub struct SurveyStudy<'p> {
    /// The readings with what they give.
    pub readings: &'p Readings,
    /// Units for words inside marks.
    pub reader: Reader,
}

/// Studies the survey.
pub fn study(project: &Project) -> SurveyStudy<'_> {
    SurveyStudy { readings: &project.readings, reader: Reader::new(project.property.system) }
}

impl Study for SurveyStudy<'_> {
    fn findings(&self) -> Vec<Finding> {
        findings::findings(self)
    }
    fn tables(&self) -> Vec<Table> {
        tables::tables(self)
    }
    fn marks(&self, _when: When) -> Vec<Mark> {
        marks::marks(self)
    }
}

impl SurveyStudy<'_> {
    /// The point as an element of the project.
    fn element(&self, point: usize) -> ElementRef {
        ElementRef::new(Kind::Reference, &self.name(point).into())
    }

    fn name(&self, point: usize) -> &str {
        self.readings.book.network.points.get(point).map_or("", |point| point.name.as_str())
    }

    /// Its name as booked.
    fn booked(&self, point: usize) -> &str {
        let name = self.name(point);
        self.readings.book.names.get(name).map_or(name, String::as_str)
    }

    /// Where it is, with all that is not suspected; `None` where it is not determined. [m]
    fn place(&self, point: usize) -> Option<Point> {
        let adjusted = self.readings.network.as_ref()?;
        adjusted.cleaned.points.get(point).filter(|point| point.determined).map(|point| point.at)
    }

    /// Line of the field book of a reading.
    fn line(&self, reading: usize) -> usize {
        self.readings.book.lines.get(reading).copied().unwrap_or(0)
    }

    /// A reading in words: `tape SW to Maple`.
    fn words(&self, reading: usize) -> String {
        use groundwright_survey::Observed;
        let name = |point| self.booked(point);
        match self.readings.book.network.readings[reading].observed {
            Observed::Distance { from, to } => format!("{} to {}", name(from), name(to)),
            Observed::Along { point, from, to } => {
                format!("station of {} on {} to {}", name(point), name(from), name(to))
            }
            Observed::Across { point, from, to } => {
                format!("offset of {} from {} to {}", name(point), name(from), name(to))
            }
            Observed::Angle { at, from, to } => {
                format!("angle at {} from {} to {}", name(at), name(from), name(to))
            }
        }
    }
}
