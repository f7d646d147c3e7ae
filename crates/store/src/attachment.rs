//! Photos, scans and plans that belong to a project, by the hash of their content.
//!
//! - In the journal bytes are kept once, whatever they are called; in the project folder they lie
//!   under the names by which the files speak of them.
//! - What somebody lays into the folder is taken in when the project is opened; what the folder lacks
//!   and the journal has is written there. So the folder can be carried away whole, and a photo that
//!   was deleted by mistake comes back.

use std::io::ErrorKind;
use std::path::Path;

use jiff::Timestamp;
use rusqlite::{OptionalExtension, params};

use crate::content::{self, Hash};
use crate::error::StoreError;
use crate::folder::{force_folder, write_file};
use crate::journal::{ProjectId, Store};

/// Something attached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// What it is, as in `image/jpeg`.
    pub media_type: String,
    /// When it was first attached, to the millisecond.
    pub at: Timestamp,
    /// The bytes as given.
    pub bytes: Vec<u8>,
}

impl Store {
    /// Keeps bytes under their hash. The same bytes are kept once; their first media type stays.
    ///
    /// Whether the bytes are what `media_type` says is for the caller to find out.
    ///
    /// # Errors
    /// The journal cannot be written.
    pub fn attach(&self, bytes: &[u8], media_type: &str, now: Timestamp) -> Result<Hash, StoreError> {
        let mut connection = self.connection();
        let transaction = Self::begin(&mut connection)?;
        let hash = content::keep(&transaction, bytes)?;
        transaction.execute(
            "INSERT INTO attachment (hash, media_type, at) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
            params![hash.as_bytes(), media_type, now.as_millisecond()],
        )?;
        transaction.commit()?;
        Ok(hash)
    }

    /// Keeps bytes and lays them into the project's folder; gives the name below it.
    ///
    /// # Arguments
    /// - `extension`: the ending of the file, without a dot.
    ///
    /// # Errors
    /// The journal or the folder cannot be written. Bytes that the journal has are written into the
    /// folder when the project is opened next.
    pub fn attach_file(
        &self,
        project: ProjectId,
        bytes: &[u8],
        (media_type, extension): (&str, &str),
        now: Timestamp,
    ) -> Result<String, StoreError> {
        let hash = self.attach(bytes, media_type, now)?;
        // Twenty digits tell more photos apart than will ever be taken.
        let name = format!("photos/{:.20}.{extension}", hash.to_string());
        self.call(project, &name, hash)?;
        let path = self.folder(project)?.join(&name);
        if !path.exists() {
            force_folder(&write_file(&path, bytes)?)?;
        }
        Ok(name)
    }

    fn call(&self, project: ProjectId, name: &str, hash: Hash) -> Result<(), StoreError> {
        self.connection().execute(
            "INSERT INTO attached (project, name, hash) VALUES (?1, ?2, ?3)
             ON CONFLICT (project, name) DO UPDATE SET hash = ?3 WHERE hash <> ?3",
            params![project.0, name, hash.as_bytes()],
        )?;
        Ok(())
    }

    /// Brings attachments of journal and folder into step.
    ///
    /// # Arguments
    /// - `names`: the files of the folder that the project speaks of.
    ///
    /// # Returns
    /// Those that neither folder nor journal has.
    ///
    /// # Errors
    /// The journal or the folder cannot be read or written.
    pub fn sync_attachments(
        &self,
        project: ProjectId,
        names: &[&str],
        now: Timestamp,
    ) -> Result<Vec<String>, StoreError> {
        let folder = self.folder(project)?;
        let mut missing = Vec::new();
        for &name in names {
            let path = folder.join(name);
            match std::fs::read(&path) {
                Ok(bytes) => {
                    let hash = self.attach(&bytes, media_type(&path), now)?;
                    self.call(project, name, hash)?;
                }
                Err(error) if error.kind() == ErrorKind::NotFound => match self.called(project, name)? {
                    Some(attached) => force_folder(&write_file(&path, &attached.bytes)?)?,
                    None => missing.push(name.to_owned()),
                },
                Err(error) => return Err(StoreError::file(&path)(error)),
            }
        }
        Ok(missing)
    }

    fn called(&self, project: ProjectId, name: &str) -> Result<Option<Attachment>, StoreError> {
        let hash: Option<Vec<u8>> = self
            .connection()
            .query_row(
                "SELECT hash FROM attached WHERE project = ?1 AND name = ?2",
                params![project.0, name],
                |row| row.get(0),
            )
            .optional()?;
        let Some(hash) = hash else { return Ok(None) };
        self.attachment(Hash::from_row(&hash)?)
    }

    /// What was attached under a hash; `None` where nothing was.
    ///
    /// # Errors
    /// The journal cannot be read, or the bytes are not those that were attached.
    pub fn attachment(&self, hash: Hash) -> Result<Option<Attachment>, StoreError> {
        let connection = self.connection();
        let row = connection
            .query_row(
                "SELECT media_type, at FROM attachment WHERE hash = ?1",
                params![hash.as_bytes()],
                |row| Ok((row.get::<_, String>(0)?, row.get::<_, i64>(1)?)),
            )
            .optional()?;
        let Some((media_type, at)) = row else { return Ok(None) };
        let bytes = content::fetch(&connection, hash)?
            .ok_or_else(|| StoreError::Damaged(format!("the attachment {hash} has no bytes")))?;
        Ok(Some(Attachment { media_type, at: crate::journal::time(at)?, bytes }))
    }
}

/// The media type that a file's ending names.
fn media_type(path: &Path) -> &'static str {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    match ending.to_ascii_lowercase().as_str() {
        "jpg" | "jpeg" => "image/jpeg",
        "png" => "image/png",
        "webp" => "image/webp",
        _ => "application/octet-stream",
    }
}
