//! The journal's tables and how an older journal becomes a newer one.
//!
//! - A journal carries the number of its newest migration as `user_version`.
//! - A migration is never changed once it was published; a new need is a new migration.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, TransactionBehavior};

use crate::error::StoreError;

/// The migrations in order; the first makes the tables of version 1.
const MIGRATIONS: [&str; 3] = [VERSION_1, VERSION_2, VERSION_3];

const VERSION_1: &str = "
CREATE TABLE project (
    id INTEGER PRIMARY KEY,
    folder TEXT NOT NULL UNIQUE,      -- relative to the journal where one holds the other
    written INTEGER NOT NULL          -- the last revision whose files were written completely
);
CREATE TABLE revision (
    project INTEGER NOT NULL REFERENCES project (id),
    number INTEGER NOT NULL,          -- 1 is the first; without gaps
    at INTEGER NOT NULL,              -- milliseconds since 1970 in UTC
    author TEXT NOT NULL,
    cause TEXT NOT NULL,
    other INTEGER,                    -- the revision that is taken back or brought back
    note TEXT NOT NULL,               -- the commands, as JSON
    request TEXT,                     -- the sender's own name for it, so that it is kept once
    PRIMARY KEY (project, number)
) WITHOUT ROWID;
CREATE UNIQUE INDEX revision_request ON revision (project, request) WHERE request IS NOT NULL;
CREATE TABLE content (
    hash BLOB PRIMARY KEY,            -- SHA-256 of the bytes before compression
    packed INTEGER NOT NULL,          -- 1 where the bytes are compressed by deflate
    bytes BLOB NOT NULL
);
CREATE TABLE file (
    project INTEGER NOT NULL REFERENCES project (id),
    name TEXT NOT NULL,
    revision INTEGER NOT NULL,
    hash BLOB REFERENCES content (hash), -- NULL where the revision took the file away
    PRIMARY KEY (project, name, revision)
) WITHOUT ROWID;
CREATE TABLE seen (                   -- files of the folder whose changes were taken in already
    project INTEGER NOT NULL REFERENCES project (id),
    name TEXT NOT NULL,
    hash BLOB NOT NULL,
    PRIMARY KEY (project, name, hash)
) WITHOUT ROWID;
CREATE TABLE attachment (
    hash BLOB PRIMARY KEY REFERENCES content (hash),
    media_type TEXT NOT NULL,
    at INTEGER NOT NULL
);
";

/// Revisions can have a name: `as shown to the client`.
const VERSION_2: &str = "
ALTER TABLE revision ADD COLUMN name TEXT;
CREATE UNIQUE INDEX revision_name ON revision (project, name) WHERE name IS NOT NULL;
";

/// Attachments lie in the project folder under names of their own.
const VERSION_3: &str = "
CREATE TABLE attached (
    project INTEGER NOT NULL REFERENCES project (id),
    name TEXT NOT NULL,               -- below the project folder: photos/front.jpg
    hash BLOB NOT NULL REFERENCES attachment (hash),
    PRIMARY KEY (project, name)
) WITHOUT ROWID;
";

/// Opens a journal, makes it if there is none, and brings it to this program's version.
pub(crate) fn open(path: &Path) -> Result<Connection, StoreError> {
    let mut connection = Connection::open(path)?;
    connection.busy_timeout(Duration::from_secs(10))?;
    connection.pragma_update(None, "journal_mode", "WAL")?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "foreign_keys", "ON")?;
    migrate(&mut connection)?;
    Ok(connection)
}

fn migrate(connection: &mut Connection) -> Result<(), StoreError> {
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let found: u32 = transaction.pragma_query_value(None, "user_version", |row| row.get(0))?;
    let newest = MIGRATIONS.len() as u32;
    if found > newest {
        return Err(StoreError::Newer { found, newest });
    }
    for (number, statements) in (1_u32..).zip(MIGRATIONS).skip(found as usize) {
        transaction.execute_batch(statements)?;
        transaction.pragma_update(None, "user_version", number)?;
    }
    transaction.commit()?;
    Ok(())
}
