//! What a photographer calls a print: from the notes that name it.

use std::fmt::Display;
use std::fs;
use std::path::{Path, PathBuf};

use crate::batch::folders::{FLAT, PRINT};
use crate::batch::linked;
use crate::batch::which::{notes_in, scan_of};
use crate::notes::Sidecar;

/// Title, year and edition, as far as `[shot]` has them, from the notes that name the print: those of `results`, or of the folder of
/// results that the print lies in.
///
/// # Errors
/// When there are no such notes, or they have no title: what to do.
pub(super) fn title(print: &Path, results: Option<&Path>) -> Result<Vec<String>, String> {
    let (path, notes) = noted(print, results)?;
    let shot = linked::shot(&notes, &path);
    let own = |key: &str| shot.own.iter().find(|(own, _)| own == key).map(|(_, word)| word.trim().to_owned());
    let word = |word: Option<String>| word.map(|w| w.trim().to_owned()).filter(|word| !word.is_empty());
    let title = word(shot.title.clone()).or_else(|| word(shot.subject.clone()));
    let title = title.ok_or_else(|| "its notes have no title: write title = \"...\" under [shot] there".to_owned())?;
    let year = shot.date.map(|date| date.year.to_string());
    Ok([Some(title), year, word(own("edition"))].into_iter().flatten().collect())
}

/// The notes that name the print, and where they are.
///
/// # Errors
/// When there are none, or they cannot be read.
pub(super) fn noted(print: &Path, results: Option<&Path>) -> Result<(PathBuf, Sidecar), String> {
    let file = print.file_name().unwrap_or_default().to_string_lossy();
    let unknown = || "no notes name this print: say with --notes in which folder of results they are".to_owned();
    let results = results.map(Path::to_path_buf).or_else(|| beside(print)).ok_or_else(unknown)?;
    notes_of(&results.join(FLAT), &file)?.ok_or_else(unknown)
}

/// The folder of results that a print lies in.
fn beside(print: &Path) -> Option<PathBuf> {
    let folder = fs::canonicalize(print).ok()?.parent()?.to_owned();
    folder.ends_with(PRINT).then(|| folder.parent().map(Path::to_path_buf)).flatten()
}

/// The notes among whose prints a file is; only those are opened with whose scan's name the file begins.
fn notes_of(flat: &Path, file: &str) -> Result<Option<(PathBuf, Sidecar)>, String> {
    let mut near = notes_in(flat)?;
    near.retain(|notes| file.starts_with(&scan_of(notes)));
    near.sort();
    for path in near {
        let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
        let notes = Sidecar::open(&path).map_err(|e| wrong(&e))?;
        if notes.prints().map_err(|e| wrong(&e))?.iter().any(|print| print.file == file) {
            return Ok(Some((path, notes)));
        }
    }
    Ok(None)
}
