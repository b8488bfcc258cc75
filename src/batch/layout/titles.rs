//! What a photographer calls a print: from the notes that name it.

use std::fmt::Display;
use std::fs;
use std::path::{Path, PathBuf};

use crate::batch::folders::{FLAT, PRINT};
use crate::batch::linked;
use crate::batch::which::{notes_in, scan_of};
use crate::light::Millimetres;
use crate::notes::Sidecar;

/// What notes say of a print.
pub(super) struct Noted {
    title: Option<String>,
    /// The year of its date.
    pub year: Option<String>,
    /// Which of how many copies it is.
    pub edition: Option<String>,
    /// Its white border, at least.
    pub border: Millimetres,
}

impl Noted {
    /// With its title.
    ///
    /// # Errors
    /// When it has none: what to do.
    pub(super) fn titled(mut self) -> Result<(String, Self), String> {
        let unknown = "its notes have no title: write title = \"...\" under [shot] there";
        self.title.take().map(|title| (title, self)).ok_or_else(|| unknown.to_owned())
    }
}

/// Title, year and edition, as far as `[shot]` has them, from the notes that name the print: those of `results`, or of
/// the folder of results that the print lies in. What has no title is called by its subject.
///
/// # Errors
/// When there are no such notes: what to do.
pub(super) fn noted(print: &Path, results: Option<&Path>) -> Result<Noted, String> {
    let Found { path, sidecar, border } = found(print, results)?;
    let shot = linked::shot(&sidecar, &path);
    let own = |key: &str| shot.own.iter().find(|(own, _)| own == key).map(|(_, word)| word.trim().to_owned());
    let word = |word: Option<String>| word.map(|w| w.trim().to_owned()).filter(|word| !word.is_empty());
    Ok(Noted {
        title: shot.called().map(str::to_owned),
        year: shot.date.map(|date| date.year.to_string()),
        edition: word(own("edition")),
        border: Millimetres::new(border),
    })
}

/// The notes that name a print.
pub(super) struct Found {
    /// Where they are.
    pub path: PathBuf,
    /// As they stand.
    pub sidecar: Sidecar,
    /// The print's white border, at least, in mm.
    border: f64,
}

/// The notes that name the print.
///
/// # Errors
/// When there are none, or they cannot be read.
pub(super) fn found(print: &Path, results: Option<&Path>) -> Result<Found, String> {
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
fn notes_of(flat: &Path, file: &str) -> Result<Option<Found>, String> {
    let mut near = notes_in(flat)?;
    near.retain(|notes| file.starts_with(&scan_of(notes)));
    near.sort();
    for path in near {
        let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
        let sidecar = Sidecar::open(&path).map_err(|e| wrong(&e))?;
        let border =
            sidecar.prints().map_err(|e| wrong(&e))?.iter().find(|print| print.file == file).map(|print| print.border);
        if let Some(border) = border {
            return Ok(Some(Found { path, sidecar, border }));
        }
    }
    Ok(None)
}
