//! Notes read aloud: the fields of a shot, and its sums.

use std::path::{Path, PathBuf};

use crate::batch::{linked, which};
use crate::notes::{ShotNotes, Sidecar};

use super::sums::{Summed, sums};

/// What the notes of a scan say of its shot.
#[derive(Clone, Debug, PartialEq)]
pub struct ShownNotes {
    /// Name of the scan.
    pub name: String,
    /// Their file.
    pub path: PathBuf,
    /// The fields.
    pub shot: ShotNotes,
    /// The sums of the exposure.
    pub sums: Vec<Summed>,
}

/// Reads the notes of what was typed: files, frames, folders of results.
///
/// # Errors
/// When something typed is none of these, or notes cannot be read.
pub fn show_notes(typed: &[PathBuf]) -> Result<Vec<ShownNotes>, String> {
    let mut shown = Vec::new();
    for of in which::notes(typed)? {
        let sidecar = Sidecar::open(&of.notes).map_err(|e| format!("{}: {e}", of.notes.display()))?;
        let shot = linked::shot(&sidecar, &of.notes);
        let sums = sums(&shot, of.notes.parent().unwrap_or(Path::new("")));
        shown.push(ShownNotes { name: of.scan(), path: of.notes, shot, sums });
    }
    Ok(shown)
}
