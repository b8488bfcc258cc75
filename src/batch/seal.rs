//! What tells the program's own files from those of others: a hidden file beside them, with their hashes and by what
//! they were made.

use std::fs;
use std::path::{Path, PathBuf};

use crate::notes::text_of;

use super::key::on_disk;
use super::write::write;

/// No sheet is larger (a roll 1.1 m wide and 10 m long at 600 pixels an inch has 12 GB); to read what is would take
/// minutes, in which nothing could stop it.
const MOST: u64 = 32 << 30;

/// The seal of a few files that are made together.
pub(super) struct Seal {
    path: PathBuf,
    /// By what they were made; empty while they are in the making.
    key: String,
    /// Hashes of all files that are the program's own.
    hashes: Vec<String>,
}

impl Seal {
    /// Reads it. One that is not there or cannot be read vouches for nothing: what lies there is then taken for
    /// another's.
    pub(super) fn of(path: PathBuf) -> Self {
        let text = text_of(&path).ok().flatten().unwrap_or_default();
        let mut lines = text.lines().map(str::to_owned);
        let key = lines.next().unwrap_or_default();
        Self { path, key, hashes: lines.filter(|line| !line.is_empty()).collect() }
    }

    /// How many files were finished by this key; none if they were made by another, or not finished.
    pub(super) fn finished_by(&self, key: &str) -> Option<usize> {
        (self.key == key).then_some(self.hashes.len())
    }

    /// Whether a file is as the program left it.
    ///
    /// # Errors
    /// When it cannot be read: which, and why.
    pub(super) fn vouches_for(&self, file: &Path) -> Result<bool, String> {
        let told = |e: std::io::Error| format!("{}: {e}", file.display());
        if fs::metadata(file).map_err(told)?.len() > MOST {
            return Ok(false);
        }
        Ok(self.hashes.contains(&on_disk(file).map_err(told)?.blake3))
    }

    /// That nothing of other hands lies under a name.
    ///
    /// # Errors
    /// When something does: what to do.
    pub(super) fn refuse_others(&self, file: &Path) -> Result<(), String> {
        if !file.exists() || self.vouches_for(file)? {
            return Ok(());
        }
        let what = "it was put there or changed by other hands: move it away, or run with --force";
        Err(format!("{}: {what}", file.display()))
    }

    /// Vouches for files that are about to get their names, and goes on vouching for those before them, but for no key:
    /// wherever a run is broken off, the next knows all of them as its own and as not finished.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn expect(&mut self, hashes: impl IntoIterator<Item = String>) -> Result<(), String> {
        self.key.clear();
        self.hashes.extend(hashes);
        self.save()
    }

    /// Vouches for what was made and for nothing else.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn finish(mut self, key: String, hashes: Vec<String>) -> Result<(), String> {
        (self.key, self.hashes) = (key, hashes);
        self.save()
    }

    fn save(&self) -> Result<(), String> {
        write(&self.path, format!("{}\n{}\n", self.key, self.hashes.join("\n")).as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hash(bytes: &[u8]) -> String {
        blake3::hash(bytes).to_hex().to_string()
    }

    #[test]
    fn a_broken_run_leaves_the_old_files_and_the_new_ones_known() {
        let top = tempfile::tempdir().unwrap();
        let (path, page) = (top.path().join(".sheet"), top.path().join("sheet-1.jpg"));
        fs::write(&page, "old").unwrap();
        let told = Seal::of(path.clone()).refuse_others(&page).unwrap_err();
        assert!(told.contains("sheet-1.jpg: it was put there"), "{told}");
        Seal::of(path.clone()).finish("first".to_owned(), vec![hash(b"old")]).unwrap();
        let mut seal = Seal::of(path.clone());
        assert_eq!((seal.finished_by("first"), seal.finished_by("second")), (Some(1), None));
        seal.expect([hash(b"new")]).unwrap();
        for bytes in ["old", "new"] {
            fs::write(&page, bytes).unwrap();
            let seal = Seal::of(path.clone());
            assert!(seal.vouches_for(&page).unwrap() && seal.finished_by("first").is_none(), "{bytes}");
        }
        Seal::of(path.clone()).finish("second".to_owned(), vec![hash(b"new")]).unwrap();
        fs::write(&page, "old").unwrap();
        assert!(!Seal::of(path.clone()).vouches_for(&page).unwrap());
        // Without blocks on the disk.
        fs::File::create(&page).unwrap().set_len(MOST + 1).unwrap();
        assert!(!Seal::of(path).vouches_for(&page).unwrap());
    }
}
