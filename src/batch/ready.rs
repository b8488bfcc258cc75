//! A scan made ready: settled, and measured unless its notes already say what it is.

use std::path::PathBuf;

use crate::notes::{Notes, Sidecar};
use crate::scan;

use super::find::Candidate;
use super::folders::Folders;
use super::key::{Stamp, key};
use super::reading::{self, Reading};
use super::settings::{SettingError, Settled, Wishes};
use super::{Order, record};

/// A scan ready to be decided on, or why it is not.
#[derive(Debug)]
pub(super) struct Ready {
    /// File name.
    pub file: String,
    /// Name of what is made from it.
    pub name: String,
    /// Path of the scan.
    pub path: PathBuf,
    /// What is known of it.
    pub state: Result<Known, String>,
}

/// A scan that can be made.
#[derive(Debug)]
pub(super) struct Known {
    /// Settings in force.
    pub settled: Settled,
    /// Its notes so far.
    pub sidecar: Sidecar,
    /// The program's part of them, if the scan is still the same.
    pub before: Option<Notes>,
    /// What the disk says of it.
    pub stamp: Stamp,
    /// What the measuring depended on.
    pub measure_key: String,
    /// What was measured; nothing when only told what would be done.
    pub reading: Option<Reading>,
}

impl Ready {
    /// Makes a scan ready. Whatever goes wrong is told in its state.
    pub(super) fn get(candidate: &Candidate, folders: &Folders, order: &Order, in_file: &Wishes) -> Self {
        let file = candidate.path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        Self {
            file,
            name: candidate.name.clone(),
            path: candidate.path.clone(),
            state: known(candidate, folders, order, in_file),
        }
    }
}

fn known(candidate: &Candidate, folders: &Folders, order: &Order, in_file: &Wishes) -> Result<Known, String> {
    if let Some(other) = &candidate.shadowed_by {
        let other = other.file_name().unwrap_or_default().to_string_lossy();
        return Err(format!("its results would have the names of those of {other}: rename one of the two"));
    }
    let notes = folders.notes(&candidate.name);
    let within = |e: &dyn std::fmt::Display| format!("{}: {e}", notes.display());
    let sidecar = Sidecar::open(&notes).map_err(|e| within(&e))?;
    let settled = settle(&sidecar, order, in_file).map_err(|e| within(&e))?;
    let stamp = Stamp::of(&candidate.path).map_err(|e| scan::Error::Disk(e).to_string())?;

    let words = settled.settings.words();
    let file = candidate.path.file_name().unwrap_or_default().to_string_lossy();
    let measure_key = key(&[&file, &stamp.bytes.to_string(), &stamp.modified, &words["channel"], &words["encoding"]]);
    let before = sidecar.ours().filter(|notes| notes.measured.key == measure_key && !order.force);
    let reading = match before.as_ref().map(record::reading) {
        Some(reading) => Some(reading),
        None if order.dry_run => {
            scan::open(&candidate.path).map_err(|e| e.to_string())?;
            None
        }
        None => Some(measure(candidate, &settled).map_err(|e| e.to_string())?),
    };
    Ok(Known { settled, sidecar, before, stamp, measure_key, reading })
}

fn settle(sidecar: &Sidecar, order: &Order, in_file: &Wishes) -> Result<Settled, SettingError> {
    let mut own = Wishes::default();
    for (name, value) in sidecar.settings() {
        let word = value.as_str().map_or_else(|| value.to_string().trim().to_owned(), str::to_owned);
        own.add(&name, &word)?;
    }
    Ok(Settled::settle(&order.flags, &own, in_file))
}

fn measure(candidate: &Candidate, settled: &Settled) -> Result<Reading, scan::Error> {
    reading::read(&scan::open(&candidate.path)?, &settled.settings)
}
