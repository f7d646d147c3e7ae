//! Bytes by the hash of their content, each kept once.
//!
//! - Method: SHA-256 names the bytes; deflate makes them smaller where that helps. What comes back
//!   is hashed again, so that a damaged journal is noticed and never passed on.

use std::fmt;
use std::io::{Read, Write};

use flate2::Compression;
use flate2::read::DeflateDecoder;
use flate2::write::DeflateEncoder;
use rusqlite::{Connection, OptionalExtension, params};
use sha2::{Digest, Sha256};

use crate::error::StoreError;

/// SHA-256 of some bytes; prints as 64 hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hash([u8; 32]);

impl Hash {
    /// The hash of bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// Reads 64 hexadecimal digits; `None` for anything else.
    pub fn parse(text: &str) -> Option<Self> {
        let digits: Vec<u8> =
            text.chars().map(|c| c.to_digit(16).map(|digit| digit as u8)).collect::<Option<_>>()?;
        let bytes: Vec<u8> = digits.chunks(2).map(|pair| pair[0] << 4 | pair.get(1).unwrap_or(&0)).collect();
        (digits.len() == 64).then(|| bytes.try_into().ok().map(Self))?
    }

    pub(crate) fn as_bytes(&self) -> &[u8] {
        &self.0
    }

    pub(crate) fn from_row(bytes: &[u8]) -> Result<Self, StoreError> {
        let bytes = bytes.try_into();
        bytes.map(Self).map_err(|_| StoreError::Damaged("a hash has not 32 bytes".to_owned()))
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl serde::Serialize for Hash {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// Keeps bytes, if they are not kept yet.
pub(crate) fn keep(connection: &Connection, bytes: &[u8]) -> Result<Hash, StoreError> {
    let hash = Hash::of(bytes);
    let known = connection
        .prepare_cached("SELECT 1 FROM content WHERE hash = ?1")?
        .exists(params![hash.as_bytes()])?;
    if !known {
        let packed = pack(bytes);
        let smaller = packed.len() < bytes.len();
        connection
            .prepare_cached("INSERT INTO content (hash, packed, bytes) VALUES (?1, ?2, ?3)")?
            .execute(params![hash.as_bytes(), smaller, if smaller { &packed } else { bytes }])?;
    }
    Ok(hash)
}

/// The bytes behind a hash, or `None` where nobody gave them.
pub(crate) fn fetch(connection: &Connection, hash: Hash) -> Result<Option<Vec<u8>>, StoreError> {
    let row = connection
        .prepare_cached("SELECT packed, bytes FROM content WHERE hash = ?1")?
        .query_row(params![hash.as_bytes()], |row| Ok((row.get::<_, bool>(0)?, row.get::<_, Vec<u8>>(1)?)))
        .optional()?;
    let Some((packed, bytes)) = row else { return Ok(None) };
    let bytes = if packed { unpack(&bytes, hash)? } else { bytes };
    if Hash::of(&bytes) != hash {
        return Err(StoreError::Damaged(format!("the content {hash} is not what was stored")));
    }
    Ok(Some(bytes))
}

fn pack(bytes: &[u8]) -> Vec<u8> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::fast());
    // Writing to memory cannot fail; should it, the bytes are kept as they are.
    let done = encoder.write_all(bytes).and_then(|()| encoder.finish());
    done.unwrap_or_else(|_| bytes.to_vec())
}

fn unpack(bytes: &[u8], hash: Hash) -> Result<Vec<u8>, StoreError> {
    let mut plain = Vec::new();
    DeflateDecoder::new(bytes)
        .read_to_end(&mut plain)
        .map_err(|why| StoreError::Damaged(format!("the content {hash} cannot be unpacked: {why}")))?;
    Ok(plain)
}
