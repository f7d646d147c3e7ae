//! What is built upon, and what is shipped along, may be passed on under the project's own terms.
//!
//! - In: the packages with their SPDX expressions, and the files. Out: slips.
//! - A choice (`OR`) needs one permissive side, a sum (`AND`) both; an exception (`WITH`) is known
//!   or refused. The old way of writing a choice, `MIT/Apache-2.0`, is read as one.

use super::{File, Slip};
use crate::workspace::Package;

/// Licences that ask for no more than a notice. MPL-2.0 asks for its own files to stay open, which
/// a package of the registry that nobody here changes fulfils.
const PERMISSIVE: [&str; 14] = [
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "Unicode-3.0",
    "CC0-1.0",
    "0BSD",
    "BSL-1.0",
    "MPL-2.0",
    "Unlicense",
    "OFL-1.1",
];

/// Exceptions that only add freedoms.
const EXCEPTIONS: [&str; 1] = ["LLVM-exception"];

/// Packages whose licence is missing or not permissive.
pub fn check(packages: &[Package]) -> Vec<Slip> {
    let mut slips = Vec::new();
    for package in packages {
        let name = format!("{} {}", package.name, package.version);
        match package.licence.as_deref().map(|licence| (licence, permissive(licence))) {
            Some((_, Ok(true))) => {}
            Some((licence, Ok(false))) => {
                slips.push(Slip::new(
                    "Cargo.lock",
                    0,
                    format!("{name} is under `{licence}`: find another library"),
                ));
            }
            Some((licence, Err(why))) => {
                slips.push(Slip::new(
                    "Cargo.lock",
                    0,
                    format!("{name}: the licence `{licence}` is no expression: {why}"),
                ));
            }
            None => slips.push(Slip::new("Cargo.lock", 0, format!("{name} states no licence"))),
        }
    }
    slips
}

/// Endings of fonts, which are works of their own.
const FONTS: [&str; 4] = [".ttf", ".otf", ".woff", ".woff2"];

/// Folders with fonts or vendored modules and without their licence, and the project's own licences.
pub fn check_folders(files: &[File]) -> Vec<Slip> {
    let mut slips = Vec::new();
    for own in ["LICENSE-MIT", "LICENSE-APACHE"] {
        if !files.iter().any(|file| file.path == own) {
            slips.push(Slip::new(own, 0, "the project's own licence is missing"));
        }
    }
    let licensed = |folder: &str| {
        files.iter().any(|file| {
            let (own, name) = parts(&file.path);
            own == folder && ["OFL", "LICENSE", "LICENCE"].iter().any(|start| name.starts_with(start))
        })
    };
    let mut seen: Vec<&str> = Vec::new();
    for file in files {
        let (folder, name) = parts(&file.path);
        let borrowed = FONTS.iter().any(|ending| name.ends_with(ending))
            || folder.split('/').any(|part| part == "vendor");
        if borrowed && !seen.contains(&folder) {
            seen.push(folder);
            if !licensed(folder) {
                slips.push(Slip::new(
                    folder,
                    0,
                    "what is borrowed here lies without its licence (OFL.txt, LICENSE…)",
                ));
            }
        }
    }
    slips
}

fn parts(path: &str) -> (&str, &str) {
    path.rsplit_once('/').unwrap_or(("", path))
}

/// Whether an SPDX expression leaves a permissive way.
fn permissive(expression: &str) -> Result<bool, String> {
    let spaced = expression.replace('(', " ( ").replace(')', " ) ").replace('/', " OR ");
    let tokens: Vec<&str> = spaced.split_whitespace().collect();
    let mut rest = tokens.as_slice();
    let result = either(&mut rest)?;
    match rest.first() {
        None => Ok(result),
        Some(token) => Err(format!("`{token}` is left over")),
    }
}

fn either(rest: &mut &[&str]) -> Result<bool, String> {
    let mut result = both(rest)?;
    while take(rest, "OR") {
        result |= both(rest)?;
    }
    Ok(result)
}

fn both(rest: &mut &[&str]) -> Result<bool, String> {
    let mut result = single(rest)?;
    while take(rest, "AND") {
        result &= single(rest)?;
    }
    Ok(result)
}

fn single(rest: &mut &[&str]) -> Result<bool, String> {
    if take(rest, "(") {
        let result = either(rest)?;
        return if take(rest, ")") { Ok(result) } else { Err("a bracket is not closed".to_owned()) };
    }
    let licence = next(rest)?;
    let known = PERMISSIVE.contains(&licence);
    if take(rest, "WITH") {
        let exception = next(rest)?;
        return Ok(known && EXCEPTIONS.contains(&exception));
    }
    Ok(known)
}

fn take(rest: &mut &[&str], word: &str) -> bool {
    let found = rest.first() == Some(&word);
    if found {
        *rest = &rest[1..];
    }
    found
}

fn next<'t>(rest: &mut &[&'t str]) -> Result<&'t str, String> {
    let (first, others) = rest.split_first().ok_or("it ends where a licence is expected")?;
    *rest = others;
    if ["AND", "OR", "WITH", ")", "("].contains(first) {
        return Err(format!("`{first}` stands where a licence is expected"));
    }
    Ok(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_are_weighed() {
        for (expression, expected) in [
            ("MIT", true),
            ("MIT/Apache-2.0", true),
            ("MIT OR Apache-2.0 OR LGPL-2.1-or-later", true),
            ("(Apache-2.0 OR MIT) AND BSD-3-Clause", true),
            ("Apache-2.0 WITH LLVM-exception OR GPL-3.0", true),
            ("GPL-3.0", false),
            ("MIT AND GPL-3.0", false),
            ("(MIT OR GPL-3.0) AND GPL-2.0", false),
            ("MIT AND (GPL-3.0 OR LGPL-3.0)", false),
            ("GPL-2.0 WITH Classpath-exception-2.0", false),
            ("mit", false),
        ] {
            assert_eq!(permissive(expression), Ok(expected), "{expression}");
        }
        for broken in ["", "MIT OR", "(MIT", "MIT)", "OR MIT", "MIT Apache-2.0", "MIT WITH"] {
            assert!(permissive(broken).is_err(), "{broken}");
        }
    }

    fn file(path: &str) -> File {
        File { path: path.to_owned(), text: None }
    }

    #[test]
    fn fonts_and_vendored_modules_need_their_licence() {
        let own = [file("LICENSE-MIT"), file("LICENSE-APACHE")];
        let with = |more: &[&str]| {
            check_folders(&own.iter().cloned().chain(more.iter().map(|path| file(path))).collect::<Vec<_>>())
        };
        assert_eq!(with(&["fonts/Plain.ttf", "fonts/OFL.txt"]), []);
        assert_eq!(with(&["fonts/Plain.ttf", "other/OFL.txt"]).len(), 1);
        assert_eq!(with(&["web/vendor/view/view.js"])[0].file, "web/vendor/view");
        assert_eq!(with(&["web/vendor/view/view.js", "web/vendor/view/LICENSE"]), []);
        assert_eq!(check_folders(&own[..1]).len(), 1);
    }
}
