//! What closes a batch: its table and its proof sheet.

use std::path::PathBuf;

use crate::notes;
use crate::paper::{DryDown, Placing};
use crate::sheet::PageSize;

use super::folders::Folders;
use super::sheets::{self, Shown};
use super::write::write;

/// How table and sheet are made.
pub(super) struct Closing {
    /// Page of the sheet.
    pub page: PageSize,
    /// How the batch prints.
    pub printing: Printing,
    /// Whether densities are true ones, by a step wedge.
    pub by_wedge: bool,
    /// Whether a sheet is laid out.
    pub sheets: bool,
    /// Replace a sheet of other hands.
    pub force: bool,
}

/// How a batch prints, as far as the head of its sheet says it; a frame that was printed otherwise says so itself.
#[derive(Default)]
pub(super) struct Printing {
    /// Name of the paper.
    pub paper: String,
    /// Name of the table that gives grades their range.
    pub table: String,
    /// What exposures are found by.
    pub place: Placing,
    /// Exposure taken away because prints get darker while they dry.
    pub dry_down: DryDown,
}

/// Saves table and sheet of all frames; gives the files of the sheet, and what went wrong.
pub(super) fn close(shown: &[Shown], closing: &Closing, folders: &Folders) -> (Vec<PathBuf>, Vec<String>) {
    // What an earlier run laid out is worth more than a list of refusals.
    let nothing = shown.iter().all(|shown| shown.failure().is_some());
    if nothing && (folders.table().exists() || sheets::is_there(folders)) {
        let out = folders.out().display();
        let what = "no scan went well, so table and proof sheet stay as they were";
        return (Vec::new(), vec![format!("{out}: {what}")]);
    }
    let mut troubles: Vec<_> = save_table(shown, folders).err().into_iter().collect();
    if !closing.sheets {
        return (Vec::new(), troubles);
    }
    match sheets::save(shown, closing, folders) {
        Ok(files) => (files, troubles),
        Err(trouble) => {
            troubles.push(trouble);
            (Vec::new(), troubles)
        }
    }
}

fn save_table(shown: &[Shown], folders: &Folders) -> Result<(), String> {
    let path = folders.table();
    let table = notes::csv(shown.iter().map(Shown::row)).map_err(|e| format!("{}: {e}", path.display()))?;
    write(&path, &table)
}
