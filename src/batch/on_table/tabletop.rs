//! Frames laid on the table, each at the place that it keeps: a page knows them by their number.

use std::collections::{BTreeMap, BTreeSet};
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

/// All of them, and what was known of their notes when their frames were counted.
#[derive(Debug, Default)]
pub(super) struct Tabletop {
    pub(super) frames: Vec<Numbered>,
    counted: BTreeMap<PathBuf, Counted>,
}

/// Notes whose frames were counted.
#[derive(Debug)]
struct Counted {
    /// When they were changed last.
    changed: Option<SystemTime>,
    /// The hash of their scan's codes, where they can be read.
    codes: Option<String>,
    /// Where their scan lies if it has kept its name, where they can be read.
    scan: Option<PathBuf>,
}

impl Tabletop {
    /// Lays down those of `all` that do not lie there yet, behind the others; tells their numbers. Where a scan was
    /// renamed, and its notes with it, its frames stay where they lie, and are told, too. The `scans` lie beside the
    /// results if not said.
    pub(super) fn lay(&mut self, all: Vec<Wanted>, scans: Option<&Path>) -> Vec<usize> {
        let there: BTreeSet<PathBuf> = all.iter().map(|wanted| wanted.notes.clone()).collect();
        let mut told = Vec::new();
        for wanted in all {
            let changed = modified(&wanted.notes);
            if self.counted.get(&wanted.notes).is_some_and(|counted| counted.changed == changed) {
                continue;
            }
            // Notes that cannot be read have a place too: there it is told why.
            let noted = Noted::open(wanted.clone()).ok();
            let count = noted.as_ref().map_or(1, |noted| noted.reading.frames.len()).max(1);
            let scan = noted.as_ref().map(|noted| noted.place(scans));
            let codes = noted.map(|noted| noted.notes.scan.codes_blake3);
            if !self.counted.contains_key(&wanted.notes) {
                told.extend(self.rename(&wanted, codes.as_ref(), &there));
            }
            self.counted.insert(wanted.notes.clone(), Counted { changed, codes, scan });
            let lying = self.frames.iter().filter(|frame| frame.wanted.notes == wanted.notes).count();
            told.extend(self.frames.len()..self.frames.len() + count.saturating_sub(lying));
            self.frames.extend((lying + 1..=count).map(|number| Numbered { wanted: wanted.clone(), number }));
        }
        told
    }

    /// The notes of each frame, and its scan.
    pub(super) fn files(&self) -> Vec<(PathBuf, Option<PathBuf>)> {
        let scan = |notes: &Path| self.counted.get(notes).and_then(|counted| counted.scan.clone());
        self.frames.iter().map(|frame| (frame.wanted.notes.clone(), scan(&frame.wanted.notes))).collect()
    }

    /// Gives new notes to the frames of those that have the same codes and are not among what is `there` any more;
    /// tells which frames these are.
    fn rename(&mut self, wanted: &Wanted, codes: Option<&String>, there: &BTreeSet<PathBuf>) -> Vec<usize> {
        let is_former = |(path, counted): &(&PathBuf, &Counted)| {
            codes.is_some() && counted.codes.as_ref() == codes && !there.contains(*path)
        };
        let Some(former) = self.counted.iter().find(is_former).map(|(path, _)| path.clone()) else { return Vec::new() };
        self.counted.remove(&former);
        let of_former = |(_, frame): &(usize, &mut Numbered)| frame.wanted.notes == former;
        let renamed = self.frames.iter_mut().enumerate().filter(of_former).map(|(id, frame)| {
            frame.wanted = wanted.clone();
            id
        });
        renamed.collect()
    }
}

/// When a file or folder was changed last; nothing where it is away.
pub(super) fn modified(path: &Path) -> Option<SystemTime> {
    path.metadata().and_then(|facts| facts.modified()).ok()
}
