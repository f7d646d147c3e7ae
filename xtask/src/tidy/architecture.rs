//! ARCHITECTURE.md and the real arrows between crates are one.
//!
//! - In: the page and the packages of the workspace. Out: slips.
//! - The page lists the crates from the ground up, each on a line that begins ``- `groundwright-``:
//!   a crate may need only crates above its line. A line that begins `Disciplines:` names those of
//!   one rank; they need none of one another.
//! - Dependencies for tests count too: what a test needs, a reader of the test must know.

use super::Slip;
use crate::workspace::Package;

/// The page, relative to the workspace.
pub const PAGE: &str = "ARCHITECTURE.md";

/// What the page says about the crates; names are without `groundwright-`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Architecture {
    /// Crates from the ground up.
    pub order: Vec<String>,
    /// Crates of one rank that do not know one another.
    pub disciplines: Vec<String>,
}

impl Architecture {
    /// Reads the page.
    pub fn read(page: &str) -> Self {
        let order = page
            .lines()
            .filter_map(|line| line.strip_prefix("- `groundwright-")?.split('`').next())
            .map(str::to_owned)
            .collect();
        let disciplines = page
            .lines()
            .filter_map(|line| line.strip_prefix("Disciplines:"))
            .flat_map(|line| line.split(|c: char| !(c.is_ascii_lowercase() || c == '-')))
            .filter(|word| !matches!(*word, "" | "and"))
            .map(|name| short(name).unwrap_or(name).to_owned())
            .collect();
        Self { order, disciplines }
    }

    /// Compares the page with the packages.
    pub fn check(&self, packages: &[Package]) -> Vec<Slip> {
        let mut slips = Vec::new();
        let ours: Vec<(&str, &Package)> =
            packages.iter().filter_map(|package| Some((short(&package.name)?, package))).collect();
        for (name, package) in &ours {
            match self.rank(name) {
                None => slips.push(slip(format!(
                    "`{}` is not listed: add it where it belongs in the order",
                    package.name
                ))),
                Some(rank) => slips.extend(self.check_needs(name, rank, package)),
            }
        }
        for (i, listed) in self.order.iter().enumerate() {
            if !ours.iter().any(|(name, _)| name == listed) {
                slips.push(slip(format!("`groundwright-{listed}` is listed, but there is no such crate")));
            }
            if self.order[..i].contains(listed) {
                slips.push(slip(format!("`groundwright-{listed}` is listed twice")));
            }
        }
        if self.disciplines.is_empty() {
            slips.push(slip("no line begins `Disciplines:`; it names the crates of one rank"));
        }
        for name in self.disciplines.iter().filter(|name| self.rank(name).is_none()) {
            slips.push(slip(format!("the discipline `{name}` is not in the list of crates")));
        }
        slips
    }

    fn rank(&self, name: &str) -> Option<usize> {
        self.order.iter().position(|listed| listed == name)
    }

    fn check_needs(&self, name: &str, rank: usize, package: &Package) -> Vec<Slip> {
        let discipline = |name: &str| self.disciplines.iter().any(|listed| listed == name);
        let mut slips = Vec::new();
        for needed in package.needs.iter().filter_map(|needed| short(needed)) {
            if discipline(name) && discipline(needed) && needed != name {
                slips.push(slip(format!(
                    "the discipline `{name}` needs the discipline `{needed}`: pass what it needs as plain arguments"
                )));
            } else if self.rank(needed).is_some_and(|needed| needed >= rank) {
                slips.push(slip(format!("`{name}` needs `{needed}`, which must be listed before it")));
            }
        }
        slips
    }
}

fn short(name: &str) -> Option<&str> {
    name.strip_prefix("groundwright-")
}

fn slip(text: impl Into<String>) -> Slip {
    Slip::new(PAGE, 0, text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::workspace::{members, root};

    /// ARCHITECTURE.md lists the crates from the ground up: that list is the order of dependence.
    #[test]
    fn crates_need_only_those_listed_before_them() {
        let page = std::fs::read_to_string(root().join(PAGE)).unwrap();
        let members = members().unwrap();
        assert!(members.iter().filter(|package| short(&package.name).is_some()).count() > 5, "{members:?}");
        let slips = Architecture::read(&page).check(&members);
        assert_eq!(slips, [], "ARCHITECTURE.md and the crates differ");
    }

    const SMALL: &str = "\
# A house
- `groundwright-units`: quantities
- `groundwright-walls`: walls
- `groundwright-water`: water
- `groundwright-job`: all of it

Disciplines: `walls` and `water`.
";

    fn package(name: &str, needs: &[&str]) -> Package {
        Package {
            name: format!("groundwright-{name}"),
            version: String::new(),
            licence: None,
            needs: needs.iter().map(|needed| (*needed).to_owned()).collect(),
            ours: true,
        }
    }

    fn texts(packages: &[Package]) -> Vec<String> {
        Architecture::read(SMALL).check(packages).into_iter().map(|slip| slip.text).collect()
    }

    #[test]
    fn the_page_is_read() {
        let page = Architecture::read(SMALL);
        assert_eq!(page.order, ["units", "walls", "water", "job"]);
        assert_eq!(page.disciplines, ["walls", "water"]);
    }

    #[test]
    fn each_wrong_arrow_is_a_slip() {
        let sound = [
            package("units", &["serde"]),
            package("walls", &["groundwright-units"]),
            package("water", &["groundwright-units"]),
            package("job", &["groundwright-walls", "groundwright-water"]),
        ];
        assert_eq!(texts(&sound), [""; 0]);

        let mut upwards = sound.to_vec();
        upwards[0] = package("units", &["groundwright-job"]);
        assert_eq!(texts(&upwards)[0], "`units` needs `job`, which must be listed before it");

        let mut sideways = sound.to_vec();
        sideways[2] = package("water", &["groundwright-walls"]);
        assert!(texts(&sideways)[0].starts_with("the discipline `water` needs the discipline `walls`"));

        let mut unlisted = sound.to_vec();
        unlisted.push(package("light", &[]));
        assert!(texts(&unlisted)[0].starts_with("`groundwright-light` is not listed"));

        assert!(
            texts(&sound[..3])[0].starts_with("`groundwright-job` is listed, but there is no such crate")
        );
    }
}
