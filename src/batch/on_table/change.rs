//! What a person decides at the light table, written into the frame's notes.

use crate::batch::folders::{self, hold};
use crate::batch::keep::{keep_over, writing};
use crate::notes::{Mark, Sidecar, text_of};

use super::{TableFrame, TableFrames, revision};

/// Fields of `[shot]` that are written at the light table: what a picture is called, shows, and how it came to be
/// (house: those that are noted when negatives are looked at; all others have `dryside notes set`).
pub const SHOT_FIELDS: [&str; 6] = ["title", "subject", "place", "date", "film", "development.developer"];

/// What is to be written.
#[derive(Clone, Debug)]
pub enum Change {
    /// A mark, and what is written beside it.
    Mark(Option<Mark>, Option<String>),
    /// Fields of the shot notes, of [`SHOT_FIELDS`]; one without words is taken away.
    Shot(Vec<(String, String)>),
    /// How it is printed: settings by their names. Those without a word are taken away.
    Settings(Vec<(&'static str, Option<String>)>),
}

/// Why nothing was written.
#[derive(Clone, Debug)]
pub enum Refused {
    /// The notes have changed since: the frame as it is by now.
    Changed(Box<TableFrame>),
    /// The disk does not take it, or another run is at work there: it may go later.
    Later(String),
    /// It cannot be written.
    Wrong(String),
}

impl TableFrames {
    /// Writes a change into the notes of a frame, if they still are those of the revision that a person has `seen`.
    /// `own_run` says that a run of this program is at work in the folder: it lets others write in notes between its
    /// own words.
    ///
    /// # Errors
    /// Why it was not written; the notes are as they were.
    pub fn change(&self, id: usize, seen: &str, change: &Change, own_run: bool) -> Result<TableFrame, Refused> {
        let of = self.lying(id).ok_or_else(|| Refused::Wrong("there is no such frame on the table".to_owned()))?;
        let path = &of.wanted.notes;
        // One after another within this program, so that two pages never take one another for another run.
        let _writing = writing();
        let _held = match hold(&of.wanted.results()) {
            Ok(held) => Some(held),
            Err(folders::Error::AtWork(_)) if own_run => None,
            Err(folders::Error::AtWork(_)) => {
                return Err(Refused::Later("a run is at work in this folder".to_owned()));
            }
            Err(other) => return Err(Refused::Later(other.to_string())),
        };
        let wrong = |e: &dyn std::fmt::Display| Refused::Wrong(format!("{}: {e}", path.display()));
        let before = text_of(path).map_err(|e| wrong(&e))?.ok_or_else(|| wrong(&"the notes are gone"))?;
        let now = || self.frame(id).unwrap_or_default();
        if revision(&before) != seen {
            return Err(Refused::Changed(Box::new(now())));
        }
        let sidecar = Sidecar::parse(&before).map_err(|e| wrong(&e))?;
        let text = match change {
            Change::Mark(mark, remark) => {
                sidecar.with_marks(&[of.number], *mark, remark.as_deref()).map_err(|e| wrong(&e))?
            }
            Change::Shot(fields) => {
                if let Some((name, _)) = fields.iter().find(|(name, _)| !SHOT_FIELDS.contains(&name.as_str())) {
                    return Err(Refused::Wrong(format!("\"{name}\" is written with dryside notes set, not here")));
                }
                let asked: Vec<String> = fields.iter().map(|(name, words)| format!("{name}={words}")).collect();
                sidecar.with_shot(&asked).map_err(|e| Refused::Wrong(e.to_string()))?
            }
            Change::Settings(words) => sidecar.with_settings(words).map_err(|e| wrong(&e))?,
        };
        match keep_over(path, Some(&before), &text).map_err(Refused::Later)? {
            true => Ok(now()),
            false => Err(Refused::Changed(Box::new(now()))),
        }
    }
}
