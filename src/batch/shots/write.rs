//! Fields of a shot written from the command line.

use std::path::{Path, PathBuf};

use crate::batch::folders::hold;
use crate::batch::keep::{GONE, Rewritten, keep_all};
use crate::batch::which::wanted;
use crate::notes::{Sidecar, text_of};

/// Writes fields, each as `key=value`, into the notes of what was typed: a file, a frame, or a folder of results, which
/// means all notes in it. All are read and changed, and written beside, before the first gets its name: a slip in one
/// of them, or a disk that refuses, leaves all as they are. Gives the files that changed.
///
/// # Errors
/// When there are no such notes, a field cannot take its value, notes cannot be read, another run is at work there, or
/// the disk refuses.
pub fn write_notes(typed: &Path, asked: &[String]) -> Result<Vec<PathBuf>, String> {
    let all = wanted(typed)?;
    let Some(first) = all.first() else { return Ok(Vec::new()) };
    let _held = hold(&first.results()).map_err(|e| e.to_string())?;
    let mut texts = Vec::new();
    for of in &all {
        let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", of.notes.display());
        let seen = text_of(&of.notes).map_err(|e| wrong(&e))?;
        // That a link leads nowhere is told when it is to be written through.
        if seen.is_none() && !of.notes.is_symlink() {
            return Err(wrong(&GONE));
        }
        let sidecar = seen.as_deref().map_or_else(|| Ok(Sidecar::new()), Sidecar::parse).map_err(|e| wrong(&e))?;
        let text = sidecar.with_shot(asked).map_err(|e| wrong(&e))?;
        if seen.as_ref() != Some(&text) {
            texts.push(Rewritten { path: of.notes.clone(), seen, text });
        }
    }
    keep_all(&texts)?;
    Ok(texts.into_iter().map(|of| of.path).collect())
}
