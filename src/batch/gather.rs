//! Gathering the shares of a batch: one table and one proof sheet, as if it had been one run.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::notes::{MadeScan, Row, Sidecar};

use super::closing::{Closing, Printing, close};
use super::folders::{FLAT, Folders, MEASURED, PROOF, SHARES, SHEETS};
use super::logbook;
use super::settings::Settings;
use super::share::Share;
use super::shares::{self, ShareMade};
use super::sheets::Shown;
use super::{Error, Event, folders};

/// Which shares are to be gathered.
#[derive(Clone, Debug)]
pub struct GatherOrder {
    /// The folders of their results: one for all, or several.
    pub outs: Vec<PathBuf>,
    /// Where table and sheet go; into the folder of the shares' results if there is one.
    pub out: Option<PathBuf>,
    /// Replace a sheet of other hands.
    pub force: bool,
    /// Whether a proof sheet is laid out.
    pub sheets: bool,
}

/// What became of it.
#[derive(Clone, Debug)]
pub struct Gathered {
    /// How many shares were found.
    pub shares: usize,
    /// How many the batch was made in.
    pub of: u32,
    /// How many scans.
    pub scans: usize,
    /// How many frames of those that went well.
    pub frames: usize,
    /// Scans that failed or are missing, and why.
    pub failed: Vec<(String, String)>,
    /// Where table and sheet are.
    pub out: PathBuf,
    /// Files of the proof sheet.
    pub sheets: Vec<PathBuf>,
    /// The page of all frames, if there is one.
    pub page: Option<PathBuf>,
    /// What went wrong beside the scans.
    pub troubles: Vec<String>,
}

impl Gathered {
    /// Whether everything went well.
    pub fn all_well(&self) -> bool {
        self.failed.is_empty() && self.troubles.is_empty()
    }
}

/// Gathers what shares of a batch wrote down in one table and one proof sheet. Flat positives, proofs and notes stay where
/// they are. A scan whose share is missing, or whose files were changed since, stands there as failed.
///
/// # Errors
/// When the folders hold no shares of one batch that were made alike, or the output folder cannot be used.
pub fn gather(order: &GatherOrder, tell: &dyn Fn(Event<'_>)) -> Result<Gathered, Error> {
    let mut all = Vec::new();
    for out in &order.outs {
        all.extend(shares::made_in(out)?);
    }
    let first = shares::agree(&all)?;
    let (of, settings, scans) = (first.share.of(), &first.file.settings, &first.file.scans);
    let out = match (&order.out, &order.outs[..]) {
        (Some(out), _) => out,
        (None, [only]) => only,
        (None, _) => {
            return Err(Error::Shares("several folders: say with --out where table and sheet shall go".to_owned()));
        }
    };
    let results = Folders::of_results(out, &first.file.folder);
    refuse_scans(results.out(), scans)?;
    // What broken shares left is cleared where they worked; elsewhere no empty folders appear.
    let below = [FLAT, PROOF, MEASURED, SHARES].into_iter().filter(|name| results.out().join(name).is_dir());
    let _held = results.prepare(&below.chain([SHEETS]).collect::<Vec<_>>(), None)?;

    let made: HashMap<Share, &ShareMade> = all.iter().map(|made| (made.share, made)).collect();
    let of_scans: HashMap<&str, &MadeScan> =
        all.iter().flat_map(|made| &made.file.made).map(|scan| (scan.file.as_str(), scan)).collect();
    let takers: Vec<_> = scans.iter().zip(Share::of_files(of, scans)).collect();
    let rows: Vec<Vec<Shown>> = takers
        .par_iter()
        .map(|(file, share)| match (made.get(share), of_scans.get(file.as_str())) {
            (Some(by), Some(scan)) => shown(scan, by),
            _ => vec![failed(file, format!("share {share} is not made: run it, then gather again"), &results)],
        })
        .collect();
    let shown: Vec<_> = rows.into_iter().flatten().collect();

    let failed = shown.iter().filter_map(Shown::failure).map(|(file, why)| (file.to_owned(), why.to_owned()));
    let failed: Vec<_> = failed.collect();
    let frames = shown.len() - failed.len();
    let word = |name: &str| settings.get(name).map_or("", String::as_str);
    let mut of_batch = Settings::default();
    for name in ["page", "place", "dry-down"] {
        let set = of_batch.set(name, word(name));
        set.map_err(|e| Error::Shares(format!("{}: {e}", first.path.display())))?;
    }
    let Settings { page, place, dry_down, .. } = of_batch;
    let (paper, table) = (first.file.paper.clone(), first.file.table.clone());
    let closing = Closing {
        page,
        printing: Printing { paper, table, place, dry_down },
        by_wedge: word("wedge") != "none",
        sheets: order.sheets,
        force: order.force,
    };
    if order.sheets {
        tell(Event::Sheets);
    }
    let (sheets, mut troubles) = close(&shown, &closing, &results);
    let mut page = None;
    if order.sheets {
        match logbook::save(&shown, &closing, settings, &results) {
            Ok(saved) => page = saved,
            Err(trouble) => troubles.push(trouble),
        }
    }
    Ok(Gathered {
        shares: all.len(),
        of,
        scans: scans.len(),
        frames,
        failed,
        out: results.out().to_owned(),
        sheets,
        page,
        troubles,
    })
}

/// Nothing is ever written among the scans. Where they lie is not written down; the first of them tells.
fn refuse_scans(out: &Path, scans: &[String]) -> Result<(), Error> {
    let among = |folder: &&Path| scans.first().is_some_and(|scan| folder.join(scan).exists());
    match out.ancestors().find(among) {
        Some(scans) => {
            Err(folders::Error::OutAmongScans { out: out.to_owned(), better: folders::beside(scans) }.into())
        }
        None => Ok(()),
    }
}

/// The rows of a scan, as long as its files are those that the share made.
fn shown(scan: &MadeScan, by: &ShareMade) -> Vec<Shown> {
    let rows = |subject: &Option<String>| {
        scan.rows.iter().map(|row| Shown::of(row.clone(), subject.clone(), &by.folders)).collect()
    };
    if scan.rows.iter().any(|row| !row.error.is_empty()) {
        return rows(&None);
    }
    match still_there(scan, by) {
        Ok(subject) => rows(&subject),
        Err(why) => vec![failed(&scan.file, why, &by.folders)],
    }
}

fn failed(file: &str, error: String, folders: &Folders) -> Shown {
    Shown::of(Row { scan: file.to_owned(), error, ..Row::default() }, None, folders)
}

/// What the photographer calls the picture, read from notes that are still those of the share.
fn still_there(scan: &MadeScan, by: &ShareMade) -> Result<Option<String>, String> {
    let (share, folders) = (by.share, &by.folders);
    let name = Path::new(&scan.file).file_stem().unwrap_or_default().to_string_lossy();
    let path = folders.notes(&name);
    let notes = Sidecar::open(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    if notes.ours().is_none_or(|ours| ours.record.key != scan.key) {
        let path = path.display();
        return Err(format!("{path}: not as share {share} left it: run that share again, then gather again"));
    }
    let files = scan.rows.iter().flat_map(|row| [folders.flat(&row.frame), folders.proof(&row.frame)]);
    match files.into_iter().find(|file| !file.is_file()) {
        Some(gone) => {
            let gone = gone.display();
            Err(format!("{gone}: it is not there any more: run share {share} again, then gather again"))
        }
        None => Ok(notes.shot_notes().subject),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_folders_are_no_shares() {
        let order = GatherOrder { outs: Vec::new(), out: None, force: false, sheets: true };
        let told = gather(&order, &|_| {}).unwrap_err().to_string();
        assert!(told.contains("name the folders"), "{told}");
    }
}
