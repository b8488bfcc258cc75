//! What tells one file from another: its size and its hash.

use std::io::{self, Read};

use super::Written;

/// Bytes read at a time: enough for several threads to hash.
const PIECE: usize = 4 << 20;

/// The size and the hash of a file as it lies on the disk.
///
/// # Errors
/// When it cannot be read.
pub fn fingerprint(mut file: impl Read) -> io::Result<Written> {
    let mut hasher = blake3::Hasher::new();
    let (mut bytes, mut piece) = (0, vec![0; PIECE]);
    loop {
        match file.read(&mut piece)? {
            0 => return Ok(Written { bytes, blake3: hasher.finalize().to_hex().to_string() }),
            n => {
                bytes += n as u64;
                hasher.update_rayon(&piece[..n]);
            }
        }
    }
}
