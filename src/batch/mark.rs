//! `dryside mark`: frames marked in their notes.

use std::collections::BTreeSet;
use std::fmt::Display;
use std::path::PathBuf;

use crate::notes::{Mark, Sidecar, text_of};

use super::folders;
use super::keep::{GONE, SAVED_MEANWHILE, keep_over};
use super::noted::Noted;
use super::reach::Reach;
use super::which::{self, Wanted};

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

/// Marks the frames that were typed (frames, notes, folders of results), or takes their marks away. What fails is told;
/// the others are marked.
///
/// # Errors
/// When nothing can be done at all: another run is at work in the results, or they cannot be written.
pub fn mark_frames(typed: &[PathBuf], mark: Option<Mark>, remark: Option<&str>) -> Result<MarkOutcome, folders::Error> {
    let (all, failures) = which::all(typed);
    let (mut names, mut reach) = (Vec::new(), Reach::of(failures));
    let results: BTreeSet<PathBuf> = all.iter().map(Wanted::results).collect();
    let _held: Vec<_> = results.iter().map(|out| folders::hold(out)).collect::<Result<_, _>>()?;
    for of in all {
        let Some((noted, numbers)) = reach.open(of, |_, _| true) else { continue };
        match marked(&noted, &numbers, mark, remark) {
            Ok(marked) => names.extend(marked),
            Err(error) => reach.fail(error),
        }
    }
    Ok(MarkOutcome { marked: names, none_there: reach.none_there(), failures: reach.failures })
}

fn marked(noted: &Noted, numbers: &[usize], mark: Option<Mark>, remark: Option<&str>) -> Result<Vec<String>, String> {
    let path = &noted.wanted.notes;
    let wrong = |e: &dyn Display| format!("{}: {e}", path.display());
    let seen = text_of(path).map_err(|e| wrong(&e))?.ok_or_else(|| wrong(&GONE))?;
    let text =
        Sidecar::parse(&seen).and_then(|sidecar| sidecar.with_marks(numbers, mark, remark)).map_err(|e| wrong(&e))?;
    if seen != text && !keep_over(path, Some(&seen), &text).map_err(|e| wrong(&e))? {
        return Err(wrong(&SAVED_MEANWHILE));
    }
    Ok(numbers.iter().map(|number| noted.name(*number)).collect())
}
