//! Scans that lie under one another's names: the notes under a name would tell of another negative.

use std::collections::HashMap;

use super::entry::{Entry, Known};

/// For the file of each scan that is, by its codes, the one that other notes tell of: the file that those know it by.
pub(super) fn exchanged(entries: &[Entry]) -> HashMap<String, String> {
    let known: Vec<(&Entry, &Known)> =
        entries.iter().filter_map(|entry| Some((entry, entry.state.as_ref().ok()?))).collect();
    let noted = |known: &Known| known.before.as_ref().map(|notes| notes.scan.codes_blake3.clone());
    let was: HashMap<String, &Entry> =
        known.iter().filter_map(|(entry, known)| Some((noted(known)?, *entry))).collect();
    let of_another = |(entry, known): &(&Entry, &Known)| {
        let (before, now) = (noted(known)?, &known.reading.as_ref()?.codes_blake3);
        let other = was.get(now).filter(|other| before != *now && other.file != entry.file)?;
        Some((entry.file.clone(), other.file.clone()))
    };
    known.iter().filter_map(of_another).collect()
}
