//! Scans that lie under one another's names: the notes under a name would tell of another negative.

use std::collections::HashMap;
use std::path::PathBuf;

use crate::notes::{ScanNotes, Sidecar, bytes_of};

use super::entry::Entry;
use super::find::Candidate;
use super::folders::{FLAT, Folders};
use super::moved::is_scan_of;
use super::plan::Voice;
use super::which::{notes_in, scan_of};

/// What to do about it.
const ADVICE: &str = "give scans and notes the same names again, or run with --force";

/// By its file, why a scan is not the one that the notes under its name tell of, or has its notes under another's name.
/// A scan that was only made anew under its name, or copied, is no such one. Each reason rests on codes of scans as
/// they lie there and on notes of scans that are refused themselves: so all shares tell it, whichever comes first, and
/// so does every run after. Where the notes cannot be looked through, no scan is made that is not as its own notes say.
pub(super) fn exchanged(
    entries: &[Entry],
    voices: &[Voice<'_>],
    present: &[Candidate],
    folders: &Folders,
) -> HashMap<String, String> {
    let there = There::of(voices, present);
    let apart = |entry: &Entry| {
        let here = *there.codes.get(entry.file.as_str())?;
        let own = entry.state.as_ref().ok().and_then(|known| known.before.as_ref()).map(|before| before.scan.clone());
        let is_as_noted = own.as_ref().is_some_and(|own| own.codes_blake3 == here);
        (!is_as_noted).then(|| Apart { file: entry.file.clone(), here: here.to_owned(), own })
    };
    let apart: Vec<Apart> = entries.iter().filter_map(apart).collect();
    if apart.is_empty() {
        return HashMap::new();
    }
    match telling(&apart, present, folders) {
        Ok(telling) => apart.iter().filter_map(|of| Some((of.file.clone(), of.why(&telling, &there)?))).collect(),
        Err(why) => {
            let held = format!("whether the notes under its name are its own cannot be told: {why}");
            apart.into_iter().map(|of| (of.file, held.clone())).collect()
        }
    }
}

/// A scan that is not the one that its own notes tell of, or has none yet.
struct Apart {
    file: String,
    /// Its codes.
    here: String,
    /// The scan that the notes under its name tell of.
    own: Option<ScanNotes>,
}

/// Notes that tell of a scan which is apart.
struct Telling {
    /// The file that lies under their name, else the one that they name.
    file: String,
    /// What they tell; nothing that could be read where they have a slip.
    scan: Option<ScanNotes>,
    text: String,
}

/// The files of the folder as they are now.
struct There<'a> {
    /// Codes of those that were measured.
    codes: HashMap<&'a str, &'a str>,
    /// The others, with their paths.
    unread: Vec<(String, PathBuf)>,
}

impl<'a> There<'a> {
    fn of(voices: &[Voice<'a>], present: &[Candidate]) -> Self {
        let codes: HashMap<&str, &str> = voices.iter().map(|of| (of.file, of.reading.codes_blake3.as_str())).collect();
        let unread = present.iter().filter(|candidate| !codes.contains_key(&*candidate.file()));
        let unread = unread.map(|candidate| (candidate.file(), candidate.path.clone())).collect();
        Self { codes, unread }
    }

    /// The first file, but for one, that has such codes; of those that were measured.
    fn measured(&self, codes: &str, but: &str) -> Option<&str> {
        self.codes.iter().filter(|(file, of)| **file != but && **of == codes).map(|(file, _)| *file).min()
    }

    /// The first file, but for one, that is the scan of such notes. What was not measured is read for it.
    fn scan_of(&self, noted: &ScanNotes, but: &str) -> Option<&str> {
        let unread = || self.unread.iter().find(|(file, path)| file != but && is_scan_of(path, noted));
        self.measured(&noted.codes_blake3, but).or_else(|| unread().map(|(file, _)| file.as_str()))
    }

    /// Whether a file is there, and is another scan than such notes tell of.
    fn is_another(&self, file: &str, noted: &ScanNotes) -> bool {
        match self.codes.get(file) {
            Some(codes) => *codes != noted.codes_blake3,
            None => self.unread.iter().any(|(other, path)| other == file && !is_scan_of(path, noted)),
        }
    }
}

/// The notes that tell of scans which are apart. Those with a slip cannot be read, but the codes of a scan stand in
/// them by their letters.
///
/// # Errors
/// When they cannot be looked through.
fn telling(apart: &[Apart], present: &[Candidate], folders: &Folders) -> Result<Vec<Telling>, String> {
    let own: HashMap<PathBuf, String> = present
        .iter()
        .filter(|candidate| candidate.same_name_as.is_none())
        .map(|candidate| (folders.notes(&candidate.name), candidate.file()))
        .collect();
    let mut telling = Vec::new();
    for path in notes_in(&folders.out().join(FLAT))? {
        // A link that leads nowhere tells of nothing.
        let bytes = bytes_of(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        let Some(bytes) = bytes else { continue };
        let text = String::from_utf8_lossy(&bytes).into_owned();
        if !apart.iter().any(|of| text.contains(&of.here)) {
            continue;
        }
        let scan = Sidecar::parse(&text).ok().and_then(|sidecar| sidecar.ours()).map(|notes| notes.scan);
        let named = || scan.as_ref().map_or_else(|| scan_of(&path), |scan| scan.file.clone());
        telling.push(Telling { file: own.get(&path).cloned().unwrap_or_else(named), scan, text });
    }
    Ok(telling)
}

impl Telling {
    fn tells_of(&self, codes: &str) -> bool {
        self.scan.as_ref().map_or_else(|| self.text.contains(codes), |scan| scan.codes_blake3 == codes)
    }
}

impl Apart {
    /// Why notes and scan do not belong together, if they do not.
    fn why(&self, telling: &[Telling], there: &There<'_>) -> Option<String> {
        let others = telling.iter().filter(|of| of.file != self.file && of.tells_of(&self.here));
        let Some(own) = &self.own else {
            // Beside the scan that those notes tell of it is a copy; where that scan is gone they have been given to
            // it.
            let lie_under = |of: &&Telling| of.scan.as_ref().is_some_and(|scan| there.is_another(&of.file, scan));
            let other = others.filter(lie_under).map(|of| &of.file).min()?;
            return Some(format!("its notes lie under the name of {other}, where another scan is by now: {ADVICE}"));
        };
        let of_another = "and the notes under its name are of another";
        if let Some(other) = others.map(|of| &of.file).min() {
            return Some(format!("this is the scan that its notes know as {other}, {of_another}: {ADVICE}"));
        }
        if let Some(other) = there.measured(&self.here, &self.file) {
            return Some(format!("this is the same scan as {other}, {of_another}: {ADVICE}"));
        }
        let other = there.scan_of(own, &self.file)?;
        Some(format!("the notes under its name are of the scan that is {other} by now: {ADVICE}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn noted(file: &str, codes: &str) -> ScanNotes {
        let text = format!(
            "file = \"{file}\"\nbytes = 1\nmodified = \"\"\ncodes_blake3 = \"{codes}\"\nwidth = 1\nheight = 1\n\
             bits = 16\nchannels = 1\norientation = 1\nencoding = \"linear\"\nencoding_source = \"given\"\n"
        );
        toml::from_str(&text).unwrap()
    }

    /// Files with their codes now, and those that the notes under their names tell of; a file without codes is not
    /// there.
    fn told(files: &[(&'static str, Option<&'static str>, Option<&str>)]) -> Vec<Option<String>> {
        let codes = files.iter().filter_map(|(file, now, _)| Some((*file, (*now)?))).collect();
        let there = There { codes, unread: Vec::new() };
        let of = |(file, _, of): &(&str, _, Option<&str>)| {
            Some(Telling { file: (*file).to_owned(), scan: Some(noted(file, (*of)?)), text: String::new() })
        };
        let telling: Vec<Telling> = files.iter().filter_map(of).collect();
        let why = |(file, now, own): &(&str, Option<&str>, Option<&str>)| {
            let here = now.filter(|now| Some(*now) != *own)?.to_owned();
            Apart { file: (*file).to_owned(), here, own: own.map(|own| noted(file, own)) }.why(&telling, &there)
        };
        files.iter().map(why).collect()
    }

    #[test]
    fn scans_made_anew_copies_and_new_scans_are_no_other_than_their_notes_say() {
        for files in [
            [("coil", Some("c"), Some("c")), ("keg", Some("k"), None)],
            [("coil", Some("c2"), Some("c")), ("keg", Some("k"), Some("k"))],
            [("coil", Some("c"), Some("c")), ("copy", Some("c"), None)],
            [("coil", Some("c"), Some("c")), ("copy", Some("c"), Some("c"))],
        ] {
            assert_eq!(told(&files), [None, None], "{files:?}");
        }
    }

    #[test]
    fn scans_under_other_names_than_their_notes_are_told_each_by_what_no_other_share_changes() {
        let begins = |files: &[(&'static str, Option<&'static str>, Option<&str>)], begins: &[&str]| {
            for (why, begins) in told(files).iter().zip(begins) {
                let told = why.as_deref().unwrap_or_default();
                assert!(told.starts_with(begins) && told.is_empty() == begins.is_empty(), "{files:?}: {told}");
            }
        };
        let (known_as, of_now) =
            ("this is the scan that its notes know as", "the notes under its name are of the scan");
        begins(&[("coil", Some("k"), Some("c")), ("keg", Some("c"), Some("k"))], &[known_as, known_as]);
        // Renamed, and another negative scanned under the name that it had.
        let lie = "its notes lie under the name of coil";
        begins(&[("coil", Some("new"), Some("c")), ("keg", Some("c"), None)], &[of_now, lie]);
        // Over another scan, and another negative under the name that was free then; and in a longer row.
        begins(&[("coil", Some("k"), Some("c")), ("keg", Some("new"), Some("k"))], &[known_as, of_now]);
        let row = [("a", Some("b"), Some("a")), ("b", Some("c"), Some("b")), ("c", Some("new"), Some("c"))];
        begins(&row, &[known_as, known_as, of_now]);
        // Over another scan, and no scan under the name that was free then.
        begins(&[("coil", Some("k"), Some("c")), ("keg", None, Some("k"))], &[known_as, ""]);
        // A copy beside does not make another negative that of the words.
        let copied = [("coil", Some("new"), Some("c")), ("copy", Some("c"), Some("c")), ("keg", Some("c"), None)];
        begins(&copied, &[of_now, "", lie]);
        // Over it a scan that has no notes yet, and gets its own.
        begins(&[("coil", Some("k"), Some("c")), ("keg", Some("k"), None)], &["this is the same scan as keg", ""]);
    }
}
