//! Several project files in one readable text.
//!
//! A title, then each file under a line `--- name`: so that a whole project, and what is expected
//! of it, stands on one page. The developer commands read the same texts.

use groundwright_plan::Sources;

/// The parts of such a text.
#[derive(Debug, Clone, Default)]
pub struct Sections {
    /// The lines before the first part.
    pub title: String,
    /// Name and text of each part, in order.
    pub parts: Vec<(String, String)>,
}

impl Sections {
    /// Splits a text at its `--- name` lines; the line ends of the parts stay as they are.
    pub fn split(text: &str) -> Self {
        let mut sections = Self::default();
        for line in text.split_inclusive('\n') {
            if let Some(name) = line.strip_prefix("--- ") {
                sections.parts.push((name.trim().to_owned(), String::new()));
            } else {
                sections.parts.last_mut().map_or(&mut sections.title, |(_, part)| part).push_str(line);
            }
        }
        sections
    }

    /// The text of a part.
    pub fn part(&self, name: &str) -> Option<&str> {
        self.parts.iter().find(|(part, _)| part == name).map(|(_, text)| text.as_str())
    }

    /// The project that the parts make.
    pub fn sources(&self) -> Sources {
        let text = |name| self.part(name).map(str::to_owned);
        Sources {
            property: text("property.toml"),
            design: text("design.toml"),
            practice: text("practice.toml"),
            stock: self.parts.iter().filter(|(name, _)| name.starts_with("stock/")).cloned().collect(),
            survey: None,
        }
    }

    /// A project as sections.
    pub fn of(title: &str, sources: &Sources) -> Self {
        let files = [
            ("property.toml", &sources.property),
            ("design.toml", &sources.design),
            ("practice.toml", &sources.practice),
        ];
        let named = files.into_iter().filter_map(|(name, text)| Some((name.to_owned(), text.clone()?)));
        Self { title: title.to_owned(), parts: named.chain(sources.stock.iter().cloned()).collect() }
    }

    /// The text that [`Sections::split`] reads; a part that does not end its last line gets an end.
    pub fn join(&self) -> String {
        let mut text = self.title.clone();
        for (name, part) in &self.parts {
            if !text.is_empty() && !text.ends_with('\n') {
                text.push('\n');
            }
            for piece in ["--- ", name, "\n", part] {
                text.push_str(piece);
            }
        }
        text
    }
}
