//! `dryside mark`: frames marked in their notes.

use std::fmt::Display;
use std::path::PathBuf;

use crate::notes::{Mark, Sidecar, text_of};

use super::folders::hold;
use super::keep::keep;
use super::noted::Noted;
use super::which;

/// Frames that were marked, by name, and what could not be.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MarkOutcome {
    /// Names of the frames.
    pub marked: Vec<String>,
    /// What failed, and why.
    pub failures: Vec<String>,
}

/// Marks the frames that were typed (frames, notes, folders of results), or takes their marks away. What fails is told; the others
/// are marked.
pub fn mark_frames(typed: &[PathBuf], mark: Option<Mark>, remark: Option<&str>) -> MarkOutcome {
    let (all, failures) = which::all(typed);
    let mut outcome = MarkOutcome { failures, ..MarkOutcome::default() };
    for of in all {
        match Noted::open(of).and_then(|noted| marked(&noted, mark, remark)) {
            Ok(names) => outcome.marked.extend(names),
            Err(error) => outcome.failures.push(error),
        }
    }
    outcome
}

fn marked(noted: &Noted, mark: Option<Mark>, remark: Option<&str>) -> Result<Vec<String>, String> {
    let path = &noted.wanted.notes;
    let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
    let _held = hold(&noted.wanted.results()).map_err(|e| e.to_string())?;
    let numbers = noted.numbers()?;
    let before = text_of(path).map_err(|e| wrong(&e))?;
    let text =
        Sidecar::open(path).and_then(|sidecar| sidecar.with_marks(&numbers, mark, remark)).map_err(|e| wrong(&e))?;
    if before.as_ref() != Some(&text) {
        keep(path, &text).map_err(|e| wrong(&e))?;
    }
    Ok(numbers.into_iter().map(|number| noted.name(number)).collect())
}
