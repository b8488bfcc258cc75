//! Frames laid on the table, each at the place that it keeps: a page knows them by their number.

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use crate::batch::noted::Noted;
use crate::batch::which::Wanted;

/// A frame, by its notes and its number there.
#[derive(Clone, Debug)]
pub(super) struct Numbered {
    pub(super) wanted: Wanted,
    pub(super) number: usize,
}

/// All of them, and how their notes stood when their frames were counted.
#[derive(Debug, Default)]
pub(super) struct Tabletop {
    pub(super) frames: Vec<Numbered>,
    counted: BTreeMap<PathBuf, Option<SystemTime>>,
}

impl Tabletop {
    /// Lays down those of `all` that do not lie there yet, behind the others; tells their numbers.
    pub(super) fn lay(&mut self, all: Vec<Wanted>) -> Range<usize> {
        let first = self.frames.len();
        for wanted in all {
            let stands = modified(&wanted.notes);
            if self.counted.insert(wanted.notes.clone(), stands) == Some(stands) {
                continue;
            }
            let lying = self.frames.iter().filter(|frame| frame.wanted.notes == wanted.notes).count();
            // Notes that cannot be read have a place too: there it is told why.
            let count = Noted::open(wanted.clone()).map_or(1, |noted| noted.reading.frames.len());
            self.frames.extend((lying + 1..=count.max(1)).map(|number| Numbered { wanted: wanted.clone(), number }));
        }
        first..self.frames.len()
    }
}

/// When a file or folder was changed last; nothing where it is away.
pub(super) fn modified(path: &Path) -> Option<SystemTime> {
    path.metadata().and_then(|facts| facts.modified()).ok()
}
