//! What closes a batch: its table and its proof sheet.

use std::path::{Path, PathBuf};

use crate::light::PixelsPerInch;
use crate::notes;
use crate::scan::Halt;
use crate::sheet::{Lay, PageSize};

use super::again::make_again;
use super::folders::Folders;
use super::sheet_parts::Kinds;
use super::sheets::{self, PAGE_PPI, PROOF_SHEET, Wanted};
use super::shown::Shown;
use super::write::write;

/// How table and sheet are made.
pub(super) struct Closing<'a> {
    /// Page of the sheet.
    pub page: PageSize,
    /// The folder of the scans, if they are at hand.
    pub scans: Option<&'a Path>,
    /// Whether to stop.
    pub halt: &'a Halt,
    /// Whether a sheet is laid out.
    pub sheets: bool,
    /// Replace a sheet of other hands.
    pub force: bool,
}

/// Saves table and sheet of all frames, the sheet until it is halted; gives the files of the sheet, and what went
/// wrong.
pub(super) fn close(shown: &mut [Shown], closing: &Closing<'_>, folders: &Folders) -> (Vec<PathBuf>, Vec<String>) {
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
    troubles.extend(make_again(shown, true, closing.scans, closing.halt));
    let wanted = Wanted {
        stem: PROOF_SHEET.to_owned(),
        lay: Lay { page: closing.page, grid: None, contact: false },
        kinds: Kinds::BOTH,
        ppi: PixelsPerInch::new(PAGE_PPI).expect("a page has pixels"),
        force: closing.force,
        chosen: None,
    };
    match sheets::save(shown, &wanted, folders, None, closing.halt) {
        Ok(saved) => (saved.files, troubles),
        Err(trouble) => {
            troubles.push(trouble);
            (Vec::new(), troubles)
        }
    }
}

fn save_table(shown: &[Shown], folders: &Folders) -> Result<(), String> {
    let path = folders.table();
    let table = notes::csv(shown.iter().map(|shown| &shown.row)).map_err(|e| format!("{}: {e}", path.display()))?;
    write(&path, &table)
}
