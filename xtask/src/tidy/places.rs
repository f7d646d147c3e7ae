//! No path and no address of one machine in any file.
//!
//! - In: the files. Out: slips.
//! - A path is looked for where a word begins, so `frame/work/` in prose or a folder of the project
//!   passes; hosts of registries and options that choose one are refused wherever they stand.
//! - `Cargo.lock` may name the one public registry, and no other source.

use super::{File, Slip};

/// Beginnings of absolute paths, taken apart so that this file passes its own check.
const PATHS: [&str; 9] = [
    concat!("/", "home/"),
    concat!("/", "root/"),
    concat!("/", "Users/"),
    concat!("/", "work/"),
    concat!("/", "tmp/"),
    concat!("/", "mnt/"),
    concat!("/", "srv/"),
    concat!("/private/", "var/"),
    concat!("C:", "\\"),
];

/// Hosts of registries, and the options that point at one.
const REGISTRIES: [&str; 11] = [
    concat!("crates", ".io"),
    concat!("static.rust", "-lang.org"),
    concat!("pypi", ".org"),
    concat!("python", "hosted.org"),
    concat!("npmjs", ".org"),
    concat!("deb.debian", ".org"),
    concat!("archive.ubuntu", ".com"),
    concat!("--index", "-url"),
    concat!("--extra-index", "-url"),
    concat!("--trusted", "-host"),
    concat!("replace", "-with"),
];

/// Paths of a machine and addresses of registries.
pub fn check(files: &[File]) -> Vec<Slip> {
    let mut slips = Vec::new();
    for file in files {
        for (i, line) in file.text.as_deref().unwrap_or_default().lines().enumerate() {
            if file.path == "Cargo.lock" {
                if line.starts_with("source = ") && line != public_source() {
                    slips.push(Slip::new(
                        &file.path,
                        i + 1,
                        "this package comes from another source than the public registry",
                    ));
                }
                continue;
            }
            if let Some(path) = PATHS.iter().find(|path| begins_in(line, path)) {
                slips.push(Slip::new(
                    &file.path,
                    i + 1,
                    format!("`{path}…` is a path of one machine; use a relative one"),
                ));
            }
            if let Some(host) = REGISTRIES.iter().find(|host| line.contains(**host)) {
                slips.push(Slip::new(
                    &file.path,
                    i + 1,
                    format!("`{host}` points at a registry; leave that to each machine"),
                ));
            }
        }
    }
    slips
}

fn public_source() -> String {
    format!("source = \"registry+https://github.com/rust-lang/{}-index\"", REGISTRIES[0])
}

/// Whether `path` stands in `line` at the beginning of a word.
fn begins_in(line: &str, path: &str) -> bool {
    line.match_indices(path).any(|(at, _)| {
        !line[..at]
            .chars()
            .next_back()
            .is_some_and(|c| c.is_alphanumeric() || matches!(c, '/' | '.' | '-' | '_' | '}' | '~'))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slips(path: &str, text: &str) -> usize {
        check(&[File { path: path.to_owned(), text: Some(text.to_owned()) }]).len()
    }

    #[test]
    fn machine_paths_are_found_where_a_word_begins() {
        for wrong in ["open(\"/ROOT/x\")", "see /ROOT/x", "path=/ROOT/x", "(/ROOT/x)"] {
            assert_eq!(slips("a.rs", &wrong.replace("/ROOT", &PATHS[0][..5])), 1, "{wrong}");
        }
        for right in ["crates/ROOT/x", "../ROOT/x", "https://example.org/ROOT/x", "{root}/ROOT/x"] {
            assert_eq!(slips("a.rs", &right.replace("/ROOT", &PATHS[0][..5])), 0, "{right}");
        }
    }

    #[test]
    fn registries_are_named_nowhere_but_in_the_lock_file() {
        let host = REGISTRIES[2];
        assert_eq!(slips("README.md", &format!("from https://{host}/simple")), 1);
        assert_eq!(slips("Cargo.lock", &public_source()), 0);
        assert_eq!(slips("Cargo.lock", "source = \"registry+https://mirror.example/index\""), 1);
    }
}
