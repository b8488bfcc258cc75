//! Scans that lie under one another's names: the notes under a name would tell of another negative.

use std::collections::{HashMap, HashSet};

use crate::notes::Sidecar;

use super::entry::Entry;
use super::folders::{FLAT, Folders};
use super::plan::Voice;
use super::which::notes_in;

/// What to do about it.
const ADVICE: &str = "give scans and notes the same names again, or run with --force";

/// By its file, why a scan is not the one that the notes under its name tell of, or has its notes under another's name. A scan that was only
/// made anew under its name, or copied, is no such one. Of scans in another share what all measured is known by their `voices`; their
/// notes are asked.
///
/// # Errors
/// When the notes cannot be looked through.
pub(super) fn exchanged(
    entries: &[Entry],
    voices: &[Voice<'_>],
    shared: bool,
    folders: &Folders,
) -> Result<HashMap<String, String>, String> {
    let now: HashMap<&str, &str> = voices.iter().map(|of| (of.file, of.reading.codes_blake3.as_str())).collect();
    let mut noted: HashMap<String, String> = entries.iter().filter_map(noted).collect();
    let is_as_noted = |entry: &Entry| noted.get(&entry.file).map(String::as_str) == now.get(&*entry.file).copied();
    if entries.iter().all(is_as_noted) {
        return Ok(HashMap::new());
    }
    if shared {
        let own: HashSet<&str> = entries.iter().map(|entry| entry.file.as_str()).collect();
        for path in notes_in(&folders.out().join(FLAT))? {
            // Notes with a slip tell of no scan until they are mended.
            let Some(notes) = Sidecar::open(&path).ok().and_then(|sidecar| sidecar.ours()) else { continue };
            if !own.contains(notes.scan.file.as_str()) {
                noted.insert(notes.scan.file, notes.scan.codes_blake3);
            }
        }
    }
    let told = entries.iter().filter_map(|entry| Some((entry.file.clone(), why(&entry.file, &now, &noted)?)));
    Ok(told.collect())
}

/// A scan's file, and the codes that its notes tell of.
fn noted(entry: &Entry) -> Option<(String, String)> {
    let before = entry.state.as_ref().ok()?.before.as_ref()?;
    Some((entry.file.clone(), before.scan.codes_blake3.clone()))
}

/// Why notes and scan do not belong together, if they do not: by the codes of all files as they are now, and as their notes tell of them.
fn why(file: &str, now: &HashMap<&str, &str>, noted: &HashMap<String, String>) -> Option<String> {
    let here = *now.get(file)?;
    // Other files whose notes tell of these codes, in name order.
    let notes_of = |codes: &str| -> Vec<&str> {
        let others = noted.iter().filter(|(other, of)| *other != file && *of == codes).map(|(other, _)| other.as_str());
        let mut others: Vec<&str> = others.filter(|other| now.contains_key(other)).collect();
        others.sort_unstable();
        others
    };
    let of_here = notes_of(here);
    let Some(own) = noted.get(file) else {
        // Beside the scan that its notes tell of it is a copy.
        let copied = of_here.iter().any(|other| now.get(other) == Some(&here));
        let lie = |other| format!("its notes lie under the name of {other}, where another scan is by now: {ADVICE}");
        return of_here.first().filter(|_| !copied).map(lie);
    };
    if own == here {
        return None;
    }
    if let Some(other) = of_here.first() {
        let of_another = "and the notes under its name are of another";
        return Some(format!("this is the scan that its notes know as {other}, {of_another}: {ADVICE}"));
    }
    let has_no_notes = |other: &str, codes: &str| other != file && codes == own && !noted.contains_key(other);
    let other = now.iter().filter(|(other, codes)| has_no_notes(other, codes)).map(|(other, _)| *other).min()?;
    Some(format!("the notes under its name are of the scan that is {other} by now: {ADVICE}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Files with their codes now, and those that their notes tell of.
    fn told(files: &[(&'static str, &'static str, Option<&str>)]) -> Vec<Option<String>> {
        let now = files.iter().map(|(file, now, _)| (*file, *now)).collect();
        let noted = files.iter().filter_map(|(file, _, of)| Some(((*file).to_owned(), (*of)?.to_owned()))).collect();
        files.iter().map(|(file, ..)| why(file, &now, &noted)).collect()
    }

    #[test]
    fn scans_under_other_names_than_their_notes_are_told_and_copies_and_new_scans_are_not() {
        assert_eq!(told(&[("coil", "c", Some("c")), ("keg", "k", None)]), [None, None]);
        assert_eq!(told(&[("coil", "c2", Some("c")), ("keg", "k", Some("k"))]), [None, None], "made anew");
        assert_eq!(told(&[("coil", "c", Some("c")), ("copy", "c", None)]), [None, None]);
        assert_eq!(told(&[("coil", "c", Some("c")), ("copy", "c", Some("c"))]), [None, None]);
        for why in told(&[("coil", "k", Some("c")), ("keg", "c", Some("k"))]) {
            assert!(why.is_some_and(|why| why.contains("the scan that its notes know as")));
        }
        // Renamed, and another negative scanned under the name that it had.
        let [coil, keg] = &told(&[("coil", "new", Some("c")), ("keg", "c", None)])[..] else { panic!("two") };
        assert!(
            coil.as_ref().is_some_and(|why| why.starts_with("the notes under its name are of the scan that is keg"))
        );
        assert!(keg.as_ref().is_some_and(|why| why.starts_with("its notes lie under the name of coil")));
    }
}
