//! Keys that tell whether something must be done again.

use std::fs::File;
use std::path::Path;
use std::time::SystemTime;
use std::{fs, io};

use crate::save::{self, PROGRAM, Written};

/// What the disk says of a file without reading it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Stamp {
    /// Bytes.
    pub bytes: u64,
    /// Last change, UTC, RFC 3339 to the nanosecond.
    pub modified: String,
}

impl Stamp {
    /// Reads it.
    ///
    /// # Errors
    /// When the file cannot be asked.
    pub(super) fn of(path: &Path) -> io::Result<Self> {
        let facts = fs::metadata(path)?;
        let modified = facts.modified().unwrap_or(SystemTime::UNIX_EPOCH);
        let modified = jiff::Timestamp::try_from(modified).map_or_else(|_| String::new(), |t| t.to_string());
        Ok(Self { bytes: facts.len(), modified })
    }
}

/// Whether a file is still as it was `written`, or was in the making: then its notes know no hash yet.
///
/// # Errors
/// When it cannot be read.
pub(super) fn holds(written: &Written, path: &Path) -> io::Result<bool> {
    let is_as_written = || Ok(fs::metadata(path)?.len() == written.bytes && on_disk(path)? == *written);
    if written.bytes == 0 { Ok(true) } else { is_as_written() }
}

/// Size and hash of a file.
///
/// # Errors
/// When it cannot be read, or is no ordinary file: a pipe would be waited for.
pub(super) fn on_disk(path: &Path) -> io::Result<Written> {
    if !fs::metadata(path)?.is_file() {
        return Err(io::Error::other("it is no ordinary file: move it away"));
    }
    save::fingerprint(File::open(path)?)
}

/// Whether a file may be written without anything being lost: it is not there, or holds just these bytes.
///
/// # Errors
/// Those of [`on_disk`].
pub(super) fn is_free_for(path: &Path, bytes: &[u8]) -> io::Result<bool> {
    match on_disk(path) {
        Ok(there) => Ok(there.blake3 == blake3::hash(bytes).to_hex().as_str()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(true),
        Err(error) => Err(error),
    }
}

/// A short name for everything in `parts`, in order, and for the program's version.
pub(super) fn key(parts: &[&str]) -> String {
    let mut hasher = blake3::Hasher::new();
    for part in [PROGRAM].iter().chain(parts) {
        // The length first, so that no two lists of parts run together.
        hasher.update(&(part.len() as u64).to_le_bytes()).update(part.as_bytes());
    }
    hasher.finalize().to_hex()[..16].to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_tells_apart_what_only_looks_alike() {
        assert_eq!(key(&["coil", "2"]), key(&["coil", "2"]));
        assert_ne!(key(&["coil", "2"]), key(&["coil2", ""]));
        assert_ne!(key(&["coil"]), key(&["coil", ""]));
    }
}
