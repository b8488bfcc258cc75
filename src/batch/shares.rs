//! What shares of a batch write down of themselves, and read of one another to be gathered.

use std::collections::{BTreeMap, HashMap};
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::notes::{MadeScan, SHARE_VERSION, ShareFile, text_of};
use crate::paper::Stock;
use crate::save;

use super::Error;
use super::folders::Folders;
use super::key::key;
use super::outcome::Done;
use super::record;
use super::settings::{Kept, Settings};
use super::share::Share;
use super::write::write;

/// What is the same for all shares of a batch.
pub(super) struct InCommon {
    /// Name of the folder of scans.
    pub folder: String,
    /// What was decided in common, as a short name.
    pub key: String,
    /// All scans of the folder in name order.
    pub scans: Vec<String>,
    /// Settings of the batch, as words.
    pub settings: BTreeMap<String, String>,
    /// The paper and the table of grades that they name.
    pub stock: Arc<Stock>,
}

/// Settings of a batch as words; of the calibration, and of a paper and a table of one's own, counts what is in them,
/// not where they lie.
pub(super) fn words(settings: &Settings, wedge_blake3: Option<&str>, stock: &Stock) -> BTreeMap<String, String> {
    let mut words = settings.words();
    let own = |name: &str, within: &dyn std::fmt::Debug| format!("{name} ({})", key(&[&format!("{within:?}")]));
    if let Kept::File(_) = settings.paper {
        words.insert("paper".to_owned(), own(stock.paper().name(), stock.paper()));
    }
    if let Kept::File(_) = settings.grades {
        words.insert("grades".to_owned(), own(stock.table().name(), stock.table()));
    }
    if let Some(blake3) = wedge_blake3 {
        words.insert("wedge".to_owned(), blake3.to_owned());
    }
    words
}

/// Writes down what a share made.
///
/// # Errors
/// When the disk refuses.
pub(super) fn save(share: Share, common: InCommon, scans: &[Done], folders: &Folders) -> Result<(), String> {
    let made = |done: &Done| MadeScan {
        file: done.file.clone(),
        key: done.result.as_ref().map_or_else(|_| String::new(), |of| of.key.clone()),
        rows: record::rows(done),
    };
    let file = ShareFile {
        version: SHARE_VERSION,
        program: save::PROGRAM.to_owned(),
        share: share.to_string(),
        folder: common.folder,
        in_common: common.key,
        scans: common.scans,
        settings: common.settings,
        paper: common.stock.paper().name().to_owned(),
        table: common.stock.table().name().to_owned(),
        made: scans.iter().map(made).collect(),
    };
    write(&folders.share(share), file.text().as_bytes())
}

/// A share as it was made, and where its files are.
#[derive(Debug)]
pub(super) struct ShareMade {
    /// Where that is written down.
    pub path: PathBuf,
    /// Which one.
    pub share: Share,
    /// What is written there.
    pub file: ShareFile,
    /// Its folder of results.
    pub folders: Folders,
}

/// The shares that were made in a folder of results.
///
/// # Errors
/// When there are none, or one cannot be read.
pub(super) fn made_in(out: &Path) -> Result<Vec<ShareMade>, Error> {
    let none = || {
        let what = "no share was made here: give the folder that --out of the shares named";
        Error::Shares(format!("{}: {what}", out.display()))
    };
    let disk = |error| Error::Disk { path: out.to_owned(), error };
    let shares = Folders::of_results(out, "").shares();
    if !shares.is_dir() {
        return Err(none());
    }
    let mut paths = Vec::new();
    for entry in fs::read_dir(&shares).map_err(disk)? {
        let path = entry.map_err(disk)?.path();
        if path.extension().is_some_and(|ending| ending == "toml") {
            paths.push(path);
        }
    }
    let mut made = paths.into_iter().map(|path| read(path, out)).collect::<Result<Vec<_>, _>>()?;
    made.sort_by_key(|made| made.share);
    if made.is_empty() { Err(none()) } else { Ok(made) }
}

fn read(path: PathBuf, out: &Path) -> Result<ShareMade, Error> {
    let wrong = |what: &str| Error::Shares(format!("{}: {what}: make this share again", path.display()));
    let text = text_of(&path).map_err(|e| wrong(&e.to_string()))?.ok_or_else(|| wrong("it is gone"))?;
    let file = ShareFile::parse(&text).map_err(|e| wrong(&e))?;
    let share: Share = file.share.parse().map_err(|e: String| wrong(&e))?;
    let folders = Folders::of_results(out, &file.folder);
    Ok(ShareMade { path, share, file, folders })
}

/// Whether shares are those of one batch, made alike; gives the first of them.
///
/// # Errors
/// When there are none; where two of them differ, and what to do.
pub(super) fn agree(all: &[ShareMade]) -> Result<&ShareMade, Error> {
    let Some((first, others)) = all.split_first() else {
        return Err(Error::Shares("no shares: name the folders of their results".to_owned()));
    };
    let mut paths: HashMap<Share, &Path> = HashMap::new();
    for one in all {
        let (path, made_by) = (one.path.display(), &one.file.program);
        if made_by != save::PROGRAM {
            let ours = save::PROGRAM;
            let what = format!("made by {made_by}, and this is {ours}: gather them with the version that made them");
            return Err(Error::Shares(format!("{path}: {what}, or make all shares again")));
        }
        if let Some(twice) = paths.insert(one.share, &one.path) {
            let what = format!("share {} is in {} too: give one of the two", one.share, twice.display());
            return Err(Error::Shares(format!("{path}: {what}")));
        }
    }
    others.iter().find_map(|other| unlike(first, other)).map_or(Ok(first), |why| Err(Error::Shares(why)))
}

/// In what two shares cannot be of one batch.
fn unlike(a: &ShareMade, b: &ShareMade) -> Option<String> {
    let (first, other) = (a.path.display(), b.path.display());
    if a.file.folder != b.file.folder {
        let (of_a, of_b) = (&a.file.folder, &b.file.folder);
        return Some(format!("{first} is of the folder {of_a}, {other} of {of_b}: gather the shares of one folder"));
    }
    if a.share.of() != b.share.of() {
        let (of_a, of_b) = (a.share.of(), b.share.of());
        return Some(format!(
            "{first} is one of {of_a} shares, {other} one of {of_b}: move away those that are no more"
        ));
    }
    let differ = a.file.settings.iter().find(|(name, word)| b.file.settings.get(*name) != Some(*word));
    if let Some((name, word)) = differ {
        let theirs = b.file.settings.get(name).map_or("none", String::as_str);
        return Some(format!(
            "{first} was made with {name} {word}, {other} with {theirs}: make one of the two again with the settings of the other"
        ));
    }
    if a.file.scans != b.file.scans {
        return Some(format!(
            "the folder of scans has changed between {first} and {other}: run all shares again, with --measure-only first"
        ));
    }
    (a.file.in_common != b.file.in_common).then(|| {
        format!("{first} and {other} went by different measurements: run all shares again, without --measure-only")
    })
}
