//! `dryside mark`: frames marked in their notes.

use std::fmt::Display;
use std::path::PathBuf;

use crate::notes::{Mark, Sidecar, text_of};

use super::folders::hold;
use super::keep::keep_over;
use super::noted::Noted;
use super::which;

/// Frames that were marked, by name, and what could not be.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MarkOutcome {
    /// Names of the frames.
    pub marked: Vec<String>,
    /// What failed, and why.
    pub failures: Vec<String>,
    /// Whether nothing of what was typed is there: the failures say so.
    pub none_there: bool,
}

/// Marks the frames that were typed (frames, notes, folders of results), or takes their marks away. What fails is told; the others
/// are marked.
pub fn mark_frames(typed: &[PathBuf], mark: Option<Mark>, remark: Option<&str>) -> MarkOutcome {
    let (all, failures) = which::all(typed);
    let mut outcome = MarkOutcome { failures, none_there: true, ..MarkOutcome::default() };
    for of in all {
        let noted = Noted::open(of).inspect_err(|_| outcome.none_there = false);
        let numbered = noted.and_then(|noted| Ok((noted.numbers()?, noted)));
        match numbered.inspect(|_| outcome.none_there = false) {
            Ok((numbers, noted)) => match marked(&noted, &numbers, mark, remark) {
                Ok(names) => outcome.marked.extend(names),
                Err(error) => outcome.failures.push(error),
            },
            Err(error) => outcome.failures.push(error),
        }
    }
    outcome.none_there &= !outcome.failures.is_empty();
    outcome
}

fn marked(noted: &Noted, numbers: &[usize], mark: Option<Mark>, remark: Option<&str>) -> Result<Vec<String>, String> {
    let path = &noted.wanted.notes;
    let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
    let _held = hold(&noted.wanted.results()).map_err(|e| e.to_string())?;
    let seen = text_of(path).map_err(|e| wrong(&e))?.ok_or_else(|| wrong(&"these notes are gone"))?;
    let text =
        Sidecar::parse(&seen).and_then(|sidecar| sidecar.with_marks(numbers, mark, remark)).map_err(|e| wrong(&e))?;
    if seen != text && !keep_over(path, Some(&seen), &text).map_err(|e| wrong(&e))? {
        return Err(wrong(&"other hands saved it meanwhile: say it again"));
    }
    Ok(numbers.iter().map(|number| noted.name(*number)).collect())
}
