//! Notes looked through for what cannot be read, and for sums that do not come out.

use std::path::{Path, PathBuf};

use crate::batch::linked;
use crate::batch::which::{self, Wanted};
use crate::batch::wishes::Wishes;
use crate::notes::{Sidecar, Slip};

use super::sums::{Summed, sums};

/// Notes that were looked through.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// Their file.
    pub path: PathBuf,
    /// What keeps a batch or a print from using them.
    pub errors: Vec<String>,
    /// Marks that cannot be read, or are about a frame that the scan has not.
    pub marks: Vec<String>,
    /// Fields that cannot be read.
    pub slips: Vec<Slip>,
    /// Keys that may be meant otherwise.
    pub hints: Vec<Slip>,
    /// The sums of the exposure.
    pub sums: Vec<Summed>,
}

impl Checked {
    /// Whether all of it can be read.
    pub fn is_sound(&self) -> bool {
        self.errors.is_empty()
            && self.marks.is_empty()
            && self.slips.is_empty()
            && self.sums.iter().all(|summed| summed.working.is_ok())
    }
}

/// Looks through the notes of what was typed: files, frames, folders of results.
///
/// # Errors
/// When something typed is none of these.
pub fn check_notes(typed: &[PathBuf]) -> Result<Vec<Checked>, String> {
    Ok(which::notes(typed)?.iter().map(checked).collect())
}

fn checked(of: &Wanted) -> Checked {
    let mut checked = Checked {
        path: of.notes.clone(),
        errors: Vec::new(),
        marks: Vec::new(),
        slips: Vec::new(),
        hints: Vec::new(),
        sums: Vec::new(),
    };
    let sidecar = match Sidecar::open(&of.notes) {
        Ok(sidecar) => sidecar,
        Err(e) => {
            checked.errors.push(e.to_string());
            return checked;
        }
    };
    let folder = of.notes.parent().unwrap_or(Path::new(""));
    let shot = linked::shot(&sidecar, &of.notes);
    checked.errors.extend(linked::first(&sidecar, &of.notes).err());
    checked.sums = sums(&shot, folder);
    checked.slips = shot.slips;
    // Before a scan is measured nobody knows how many frames it has.
    checked.marks = sidecar.marks().slips(sidecar.ours().map_or(usize::MAX, |notes| notes.measured.frames.len()));
    checked.hints = shot.hints;
    checked.errors.extend(Wishes::of_notes(&sidecar, None, &of.results()).err());
    checked.errors.extend(sidecar.correction().err().map(|e| e.to_string()));
    checked.errors.extend(sidecar.prints().err().map(|e| e.to_string()));
    checked
}
