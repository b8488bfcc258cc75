//! Gathering the shares of a batch: one table and one proof sheet, as if it had been one run.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use crate::notes::{MadeScan, Sidecar};
use crate::scan::Halt;

use super::closing::{Closing, close};
use super::folders::{FLAT, Folders, MEASURED, PROOF, SHARES, SHEETS, STRAIGHT};
use super::logbook;
use super::share::Share;
use super::shares::{self, ShareMade};
use super::shown::Shown;
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

/// Gathers what shares of a batch wrote down in one table and one proof sheet. Flat positives, proofs and notes stay
/// where they are, until `halt` is asked. A scan whose share is missing, or whose files were changed since, stands
/// there as failed.
///
/// # Errors
/// When the folders hold no shares of one batch that were made alike, or the output folder cannot be used.
pub fn gather(order: &GatherOrder, halt: &Halt, tell: &dyn Fn(Event<'_>)) -> Result<Gathered, Error> {
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
    let below = [FLAT, PROOF, STRAIGHT, MEASURED, SHARES].into_iter().filter(|name| results.out().join(name).is_dir());
    let _held = results.prepare(&below.chain([SHEETS]).collect::<Vec<_>>(), None)?;

    let made: HashMap<Share, &ShareMade> = all.iter().map(|made| (made.share, made)).collect();
    let of_scans: HashMap<&str, &MadeScan> =
        all.iter().flat_map(|made| &made.file.made).map(|scan| (scan.file.as_str(), scan)).collect();
    let takers: Vec<_> = scans.iter().zip(Share::of_files(of, scans)).collect();
    let rows: Vec<Vec<Shown>> = takers
        .par_iter()
        .map(|(file, share)| match (made.get(share), of_scans.get(file.as_str())) {
            (Some(by), Some(scan)) => shown(scan, by),
            _ => {
                let why = format!("share {share} is not made: run it, then gather again");
                vec![Shown::failed(file, why, &results)]
            }
        })
        .collect();
    let mut shown: Vec<_> = rows.into_iter().flatten().collect();

    let failed = shown.iter().filter_map(Shown::failure).map(|(file, why)| (file.to_owned(), why.to_owned()));
    let failed: Vec<_> = failed.collect();
    let frames = shown.len() - failed.len();
    let word = settings.get("page").map_or("", String::as_str);
    let page = word.parse().map_err(|e| Error::Shares(format!("{}: {e}", first.path.display())))?;
    let closing = Closing { page, scans: None, halt, sheets: order.sheets, force: order.force };
    if order.sheets {
        tell(Event::Sheets);
    }
    let (sheets, mut troubles) = close(&mut shown, &closing, &results);
    if halt.is_asked() {
        return Err(Error::Stopped { done: scans.len(), of: scans.len(), what: "gathered, the sheet is not finished" });
    }
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
///
/// # Errors
/// When the folder lies among them.
pub(super) fn refuse_scans(out: &Path, scans: &[String]) -> Result<(), Error> {
    let among = |folder: &&Path| scans.iter().any(|scan| folder.join(scan).exists());
    match out.ancestors().find(among) {
        Some(scans) => {
            Err(folders::Error::OutAmongScans { out: out.to_owned(), better: folders::beside(scans) }.into())
        }
        None => Ok(()),
    }
}

/// The rows of a scan, as long as its files are those that the share made.
fn shown(scan: &MadeScan, by: &ShareMade) -> Vec<Shown> {
    if let Some(failed) = scan.rows.iter().find(|row| !row.error.is_empty()) {
        return vec![Shown::failed(&scan.file, failed.error.clone(), &by.folders)];
    }
    still_there(scan, by).unwrap_or_else(|why| vec![Shown::failed(&scan.file, why, &by.folders)])
}

/// What the notes tell of the frames, as long as they are still those of the share.
fn still_there(scan: &MadeScan, by: &ShareMade) -> Result<Vec<Shown>, String> {
    let (share, folders) = (by.share, &by.folders);
    let name = Path::new(&scan.file).file_stem().unwrap_or_default().to_string_lossy();
    let path = folders.notes(&name);
    let sidecar = Sidecar::open(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let notes = sidecar.ours().filter(|ours| ours.record.key == scan.key).ok_or_else(|| {
        let path = path.display();
        format!("{path}: not as share {share} left it: run that share again, then gather again")
    })?;
    let files = scan.rows.iter().flat_map(|row| [folders.flat(&row.frame), folders.proof(&row.frame)]);
    match files.into_iter().find(|file| !file.is_file()) {
        Some(gone) => {
            let gone = gone.display();
            Err(format!("{gone}: it is not there any more: run share {share} again, then gather again"))
        }
        None => Ok(Shown::of_notes(&sidecar, &notes, &path, folders)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_folders_are_no_shares() {
        let order = GatherOrder { outs: Vec::new(), out: None, force: false, sheets: true };
        let told = gather(&order, &Halt::default(), &|_| {}).unwrap_err().to_string();
        assert!(told.contains("name the folders"), "{told}");
    }
}
