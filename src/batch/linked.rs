//! A negative that was scanned again: the notes of its first scan, which `rescan-of` in `[shot]` names.

use std::path::{Path, PathBuf};

use crate::notes::{ShotNotes, Sidecar};

use super::which::{self, Wanted};

/// The first scan of a negative.
pub(super) struct First {
    /// Its notes.
    pub path: PathBuf,
    /// As they stand on the disk.
    pub sidecar: Sidecar,
}

/// The first scan, if notes that lie at `path` name one: by its name in the same results, or as any frame elsewhere, counted from there.
///
/// # Errors
/// When there are no such notes, they cannot be read, or are themselves those of a scan made again.
pub(super) fn first(sidecar: &Sidecar, path: &Path) -> Result<Option<First>, String> {
    let Some(word) = sidecar.shot_notes().rescan_of else { return Ok(None) };
    let wrong = |what: &str| format!("rescan-of = \"{word}\": {what}");
    let own = Wanted { notes: path.to_owned(), frame: None };
    let none = "there are no such notes: give the name of the first scan, as rope-01, or the path of its notes";
    let first = which::noted(&own.results().join(&word)).map_err(|_| wrong(none))?.notes;
    if first == path {
        return Err(wrong("these are its own notes: name those of the first scan"));
    }
    let sidecar = Sidecar::open(&first).map_err(|e| wrong(&format!("{}: {e}", first.display())))?;
    match sidecar.shot_notes().rescan_of {
        Some(before) => Err(wrong(&format!("that was scanned again itself: name its first scan, {before}"))),
        None => Ok(Some(First { path: first, sidecar })),
    }
}

/// `[shot]` of notes that lie at `path`, over that of the first scan. A link that does not hold hides nothing of their own: `dryside notes
/// check` tells of it.
pub(super) fn shot(sidecar: &Sidecar, path: &Path) -> ShotNotes {
    match first(sidecar, path) {
        Ok(Some(first)) => sidecar.shot_over(&first.sidecar),
        Ok(None) | Err(_) => sidecar.shot_notes(),
    }
}
