//! Photos, scans and plans that belong to a project, by the hash of their content.

use jiff::Timestamp;
use rusqlite::{OptionalExtension, params};

use crate::content::{self, Hash};
use crate::error::StoreError;
use crate::journal::Store;

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
