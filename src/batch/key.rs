//! Keys that tell whether something must be done again.

use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::time::SystemTime;
use std::{fs, io};

use crate::save::PROGRAM;

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

/// A file as it was made: enough to see later whether other hands changed it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Seal {
    /// Bytes; 0 while it is in the making.
    pub bytes: u64,
    /// BLAKE3 of the whole file; empty while it is in the making.
    pub blake3: String,
}

impl Seal {
    /// Reads the file.
    ///
    /// # Errors
    /// When it cannot be read.
    pub(super) fn of(path: &Path) -> io::Result<Self> {
        let mut hasher = blake3::Hasher::new();
        let mut file = File::open(path)?;
        let (mut bytes, mut piece) = (0, vec![0; PIECE]);
        loop {
            match file.read(&mut piece)? {
                0 => return Ok(Self { bytes, blake3: hasher.finalize().to_hex().to_string() }),
                n => {
                    bytes += n as u64;
                    hasher.update_rayon(&piece[..n]);
                }
            }
        }
    }

    /// Whether the file at `path` is still as it was sealed, or was in the making.
    pub(super) fn holds(&self, path: &Path) -> bool {
        let same_size = || fs::metadata(path).is_ok_and(|there| there.len() == self.bytes);
        self.bytes == 0 || same_size() && Self::of(path).is_ok_and(|there| there == *self)
    }
}

/// Bytes read at a time: enough for several threads to hash.
const PIECE: usize = 4 << 20;

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
