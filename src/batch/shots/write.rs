//! Fields of a shot written from the command line.

use std::path::{Path, PathBuf};

use crate::batch::folders::hold;
use crate::batch::keep::keep;
use crate::batch::which::wanted;
use crate::notes::{Sidecar, text_of};

/// Writes fields, each as `key=value`, into the notes of what was typed: a file, a frame, or a folder of results, which means all notes in it.
/// All are read and changed before the first is written, so that a slip in one of them leaves all as they are; where the disk refuses, it is told which are written. Gives
/// the files that changed.
///
/// # Errors
/// When there are no such notes, a field cannot take its value, notes cannot be read, another run is at work there, or the disk refuses.
pub fn write_notes(typed: &Path, asked: &[String]) -> Result<Vec<PathBuf>, String> {
    let all = wanted(typed)?;
    let Some(first) = all.first() else { return Ok(Vec::new()) };
    let _held = hold(&first.results()).map_err(|e| e.to_string())?;
    let mut texts = Vec::new();
    for of in &all {
        let wrong = |e: &dyn std::fmt::Display| format!("{}: {e}", of.notes.display());
        let before = text_of(&of.notes).map_err(|e| wrong(&e))?;
        let sidecar = Sidecar::open(&of.notes).map_err(|e| wrong(&e))?;
        let text = sidecar.with_shot(asked).map_err(|e| wrong(&e))?;
        if before.as_ref() != Some(&text) {
            texts.push((of.notes.clone(), text));
        }
    }
    for (written, (path, text)) in texts.iter().enumerate() {
        keep(path, text).map_err(|e| {
            let so_far = match texts.len() {
                1 => String::new(),
                of => format!("; {written} of {of} notes files are written, this and those after it are not: mend that, and say it again"),
            };
            format!("{}: {e}{so_far}", path.display())
        })?;
    }
    Ok(texts.into_iter().map(|(path, _)| path).collect())
}
