//! A negative that was scanned again: the notes of its first scan, which `rescan-of` in `[shot]` names.

use std::fmt::Display;
use std::path::{Path, PathBuf};

use crate::notes::{ShotNotes, Sidecar, text_of};

use super::folders::real;
use super::keep::{GONE, Rewritten};
use super::which::{self, Wanted};

/// The first scan of a negative.
pub(super) struct First {
    /// Its notes.
    pub path: PathBuf,
    /// As they stand on the disk.
    pub sidecar: Sidecar,
}

/// The first scan, if notes that lie at `path` name one: by its name in the same results, or as any frame elsewhere,
/// counted from there.
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

/// `[shot]` of notes that lie at `path`, over that of the first scan. A link that does not hold hides nothing of their
/// own: a batch warns of it, and `dryside notes check` tells it.
pub(super) fn shot(sidecar: &Sidecar, path: &Path) -> ShotNotes {
    over(sidecar, first(sidecar, path).ok().flatten().as_ref())
}

/// The same where the first scan is at hand.
pub(super) fn over(sidecar: &Sidecar, first: Option<&First>) -> ShotNotes {
    first.map_or_else(|| sidecar.shot_notes(), |first| sidecar.shot_over(&first.sidecar))
}

/// Notes that name those of their first scan.
pub(super) struct Link {
    /// Those of the scan made again.
    pub rescan: PathBuf,
    first: PathBuf,
}

impl Link {
    /// The link of notes that lie at `path`, if there is one and it holds.
    pub(super) fn of(path: &Path) -> Option<Self> {
        // Reading a text is nothing beside parsing it, and few of a thousand notes are those of a rescan.
        let text = text_of(path).ok().flatten().filter(|text| text.contains("rescan-of"))?;
        let first = first(&Sidecar::parse(&text).ok()?, path).ok().flatten()?;
        Some(Self { rescan: path.to_owned(), first: real(&first.path) })
    }

    /// Whether it leads to notes.
    pub(super) fn leads_to(&self, notes: &Path) -> bool {
        self.first == real(notes)
    }

    /// The notes of the scan made again, with another `name` of the first one; everything else stays to the byte.
    ///
    /// # Errors
    /// When they cannot be read any more.
    pub(super) fn naming(&self, name: &str) -> Result<Rewritten, String> {
        let wrong = |e: &dyn Display| format!("{}: {e}", self.rescan.display());
        let seen = text_of(&self.rescan).map_err(|e| wrong(&e))?.ok_or_else(|| wrong(&GONE))?;
        let sidecar = Sidecar::parse(&seen).map_err(|e| wrong(&e))?;
        let text = sidecar.with_shot(&[format!("rescan-of={name}")]).map_err(|e| wrong(&e))?;
        Ok(Rewritten { path: self.rescan.clone(), seen: Some(seen), text })
    }
}
