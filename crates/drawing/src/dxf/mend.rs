//! What the writing crate leaves out of a DXF file, put in.
//!
//! - In: the text that `dxf` 0.6 writes for R2010. Out: the same with the structure that version
//!   asks for, so that a strict reader has nothing to repair.
//! - Method: the file is a sequence of pairs of lines (a group code and a value), read once. Tables
//!   get handles, records and entities get owners, the ends of blocks get handles of their own,
//!   references to nothing are dropped, dimension styles get their own code for handles, the root
//!   dictionary is added, and constants replace clocks and random identifiers. The next free handle in the header is corrected last.
//! - Source: the structure is that of the published DXF reference of 2010 (from memory), confirmed
//!   by the audit of an independent reader in the tests.

use std::collections::BTreeMap;
use std::fmt::Write;

/// Every file was made and changed then: noon of the first of January 2000, as a Julian date.
const DATE: &str = "2451545.0";

/// The identifier of every file and version.
const IDENTIFIER: &str = "{00000000-0000-0000-0000-000000000001}";

/// Mends a file.
pub fn mend(written: &str) -> String {
    let lines: Vec<&str> = written.lines().collect();
    let pairs = lines.chunks_exact(2).filter_map(|pair| Some((pair[0].trim().parse().ok()?, pair[1])));
    let pairs: Vec<(i32, &str)> = pairs.collect();
    let mut mender = Mender { next: first_free(&pairs), ..Mender::default() };
    for (code, value) in pairs {
        mender.pair(code, value);
    }
    mender.finish()
}

/// The handle after the largest that the header or any pair knows of.
fn first_free(pairs: &[(i32, &str)]) -> u64 {
    let handles = pairs
        .iter()
        .filter(|(code, _)| *code == 5)
        .filter_map(|(_, value)| u64::from_str_radix(value, 16).ok());
    handles.max().unwrap_or(0) + 1
}

/// Where in the file the mender is.
#[derive(Default, Clone, Copy, PartialEq, Eq)]
enum Section {
    #[default]
    Header,
    Tables,
    Blocks,
    Entities,
    Objects,
}

#[derive(Default)]
struct Mender {
    out: Vec<(i32, String)>,
    next: u64,
    section: Section,
    /// Type of the record or entity that is being read.
    record: String,
    /// Whether the name of a section is due.
    names_section: bool,
    /// Handle of the current table.
    table: String,
    /// Handles of block records by the blocks' names.
    blocks: BTreeMap<String, String>,
    /// Where in `out` the owner of the current block and of what it holds is to be filled in.
    waiting: Vec<usize>,
    /// Handle of the current block record or block's owner.
    owner: String,
    /// Name of the header variable that is being read.
    variable: String,
    /// Where in `out` the next free handle stands.
    seed: Option<usize>,
}

impl Mender {
    fn put(&mut self, code: i32, value: impl Into<String>) {
        self.out.push((code, value.into()));
    }

    fn fresh(&mut self) -> String {
        let handle = format!("{:X}", self.next);
        self.next += 1;
        handle
    }

    fn pair(&mut self, code: i32, value: &str) {
        if code == 0 {
            self.begin(value);
            return;
        }
        if self.names_section && code == 2 {
            self.names_section = false;
            self.section = match value {
                "TABLES" => Section::Tables,
                "BLOCKS" => Section::Blocks,
                "ENTITIES" => Section::Entities,
                "OBJECTS" => Section::Objects,
                _ => Section::Header,
            };
            self.put(code, value);
            if self.section == Section::Objects {
                self.root_dictionary();
            }
            return;
        }
        match self.section {
            Section::Header => self.header(code, value),
            Section::Tables => self.tables(code, value),
            Section::Blocks => self.blocks(code, value),
            Section::Entities => self.entities(code, value),
            Section::Objects => self.put(code, value),
        }
    }

    fn begin(&mut self, record: &str) {
        record.clone_into(&mut self.record);
        self.names_section = record == "SECTION";
        self.put(0, record);
    }

    fn header(&mut self, code: i32, value: &str) {
        if code == 9 {
            value.clone_into(&mut self.variable);
            self.put(code, value);
            return;
        }
        match self.variable.as_str() {
            "$HANDSEED" => {
                self.seed = Some(self.out.len());
                self.put(code, value);
            }
            "$TDCREATE" | "$TDUCREATE" | "$TDUPDATE" | "$TDUUPDATE" => self.put(code, DATE),
            "$FINGERPRINTGUID" | "$VERSIONGUID" => self.put(code, IDENTIFIER),
            _ => self.put(code, value),
        }
    }

    fn tables(&mut self, code: i32, value: &str) {
        match (self.record.as_str(), code) {
            ("TABLE", 2) => {
                self.table = self.fresh();
                let table = self.table.clone();
                self.put(2, value);
                self.put(5, table);
                self.put(330, "0");
            }
            (record, 5) => {
                let code = if record == "DIMSTYLE" { 105 } else { 5 };
                self.put(code, value);
                value.clone_into(&mut self.owner);
                let table = self.table.clone();
                self.put(330, table);
            }
            ("BLOCK_RECORD", 2) => {
                self.blocks.insert(value.to_owned(), self.owner.clone());
                self.put(2, value);
            }
            (record, 330..=348 | 390) if record != "BLOCK_RECORD" && is_nothing(value) => {}
            _ => self.put(code, value),
        }
    }

    fn blocks(&mut self, code: i32, value: &str) {
        match (self.record.as_str(), code) {
            ("BLOCK", 5) => {
                self.put(5, value);
                // The block's name, and with it its owner, comes later.
                self.waiting = vec![self.out.len()];
                self.put(330, "0");
            }
            ("BLOCK", 2) => {
                self.owner = self.blocks.get(value).cloned().unwrap_or_else(|| "0".to_owned());
                for place in std::mem::take(&mut self.waiting) {
                    self.out[place].1.clone_from(&self.owner);
                }
                self.put(2, value);
            }
            ("ENDBLK", 5) => {
                let handle = self.fresh();
                self.put(5, handle);
                let owner = self.owner.clone();
                self.put(330, owner);
            }
            ("BLOCK", _) => self.put(code, value),
            _ => {
                let owner = self.owner.clone();
                self.entity(code, value, &owner);
            }
        }
    }

    fn entities(&mut self, code: i32, value: &str) {
        let owner = self.blocks.get("*Model_Space").cloned().unwrap_or_else(|| "0".to_owned());
        self.entity(code, value, &owner);
    }

    fn entity(&mut self, code: i32, value: &str, owner: &str) {
        match code {
            5 => {
                self.put(5, value);
                self.put(330, owner);
            }
            // Material, plot style, name of a colour, transparency, shadows: none is set.
            347 | 390 | 430 | 440 | 284 if is_nothing(value) => {}
            _ => self.put(code, value),
        }
    }

    /// The dictionary from which all others hang, with the one for groups that readers ask for.
    fn root_dictionary(&mut self) {
        let (root, groups) = (self.fresh(), self.fresh());
        for (handle, owner) in [(&root, "0"), (&groups, root.as_str())] {
            self.put(0, "DICTIONARY");
            self.put(5, handle);
            self.put(330, owner);
            self.put(100, "AcDbDictionary");
            self.put(281, "1");
            if owner == "0" {
                self.put(3, "ACAD_GROUP");
                self.put(350, groups.as_str());
            }
        }
    }

    fn finish(mut self) -> String {
        let next = self.fresh();
        if let Some(seed) = self.seed {
            self.out[seed].1 = next;
        }
        let mut text = String::with_capacity(self.out.len() * 16);
        for (code, value) in self.out {
            let _ = write!(text, "{code:>3}\r\n{value}\r\n");
        }
        text
    }
}

/// Whether a reference or a setting says nothing.
fn is_nothing(value: &str) -> bool {
    matches!(value.trim(), "" | "0")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_get_handles_and_records_their_owner() {
        let written = "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n70\n0\n0\nLAYER\n5\nA\n2\nX\n390\n0\n0\nENDTAB\n0\nENDSEC\n0\nEOF\n";
        let mended = mend(written).replace("\r\n", "|");
        assert!(mended.contains("TABLE|  2|LAYER|  5|B|330|0|"), "{mended}");
        assert!(mended.contains("LAYER|  5|A|330|B|  2|X|  0|ENDTAB"), "{mended}");
    }

    /// Letters that look like structure stay letters, because pairs are read as pairs.
    #[test]
    fn letters_are_not_taken_for_structure() {
        let written = "0\nSECTION\n2\nENTITIES\n0\nTEXT\n5\nA\n1\nENDSEC\n0\nENDSEC\n0\nEOF\n";
        let mended = mend(written).replace("\r\n", "|");
        assert!(mended.contains("  1|ENDSEC|  0|ENDSEC|  0|EOF|"), "{mended}");
    }
}
