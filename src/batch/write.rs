//! A file of bytes written whole, or why not in words.

use std::io::Write;
use std::path::Path;

use crate::save;

/// Writes a file whole; an older one is replaced.
///
/// # Errors
/// When the disk refuses: which file, why, and what to do.
pub(super) fn write(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let written = save::whole::<save::Error>(path, |file| Ok(file.write_all(bytes)?));
    written.map(drop).map_err(|error| format!("{}: {error}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_written_is_told_with_its_file_and_what_to_do() {
        let top = tempfile::tempdir().unwrap();
        let path = top.path().join("gone/batch.csv");
        let told = write(&path, b"frame").unwrap_err();
        assert!(told.starts_with(&format!("{}: cannot write: ", path.display())), "{told}");
        assert!(told.ends_with("check the disk, or choose another folder with --out"), "{told}");
    }
}
