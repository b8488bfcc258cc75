//! Scans that were renamed or moved, known again by their codes.

use std::collections::{HashMap, HashSet};
use std::fs;
use std::path::{Path, PathBuf};

use crate::notes::{ScanNotes, Sidecar};
use crate::save;
use crate::scan::{self, Channel, Torn};

use super::counting;
use super::find::{self, Candidate};
use super::folders::{FLAT, Folders, real};
use super::keep::keep_all;
use super::key::Stamp;
use super::linked::Link;
use super::share::Share;
use super::which::{notes_in, scan_of};

/// A scan that was found under another name, and so its notes were taken on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// The name that its notes know it by.
    pub was: String,
    /// The name that it has now.
    pub now: String,
}

/// What became of scans that have another name than their notes.
#[derive(Debug, Default)]
pub(super) struct TakenOn {
    /// Those whose notes have their name by now.
    pub moved: Vec<Moved>,
    /// By its file, why a scan has not got its notes: it must wait for them, or what a person wrote there would be left
    /// behind.
    pub waiting: HashMap<String, String>,
}

/// Notes whose scan is gone.
struct Left {
    path: PathBuf,
    scan: ScanNotes,
}

/// A scan without notes, and the notes that are its own.
struct Met<'a> {
    candidate: &'a Candidate,
    /// Where they lie.
    notes: PathBuf,
    /// The file that they know it as.
    was: String,
}

/// Gives the notes of scans that are gone to the scans without notes that have the same codes: each notes file gets the
/// name of its scan as it is now, and stays to the byte, as do the notes of its rescans but for the name in
/// `rescan-of`; what was made under the former name is cleared away when the scan is made. Of a scan that is there
/// under both names the second is a copy, and gets notes of its own. Only told, if `only_told`. Scans are read only
/// where there are both: a scan without notes, and notes without a scan. Shares that run side by side may meet the same
/// notes, where a scan was copied under two names and then removed: the first of them gives them away, for the other
/// they are gone.
pub(super) fn take_on(
    candidates: &[Candidate],
    all: &[Candidate],
    folders: &Folders,
    share: Option<Share>,
    only_told: bool,
) -> TakenOn {
    let is_new =
        |candidate: &&Candidate| candidate.same_name_as.is_none() && !is_there(&folders.notes(&candidate.name));
    let new: Vec<&Candidate> = candidates.iter().filter(is_new).collect();
    let waiting = |files: &[&Candidate], why: &str| TakenOn {
        waiting: files.iter().map(|candidate| (candidate.file(), why.to_owned())).collect(),
        ..TakenOn::default()
    };
    let met = match met(&new, all, folders) {
        Ok(met) => met,
        Err(why) => return waiting(&new, &why),
    };
    if only_told || met.is_empty() {
        return TakenOn { moved: met.iter().map(Met::moved).collect(), ..TakenOn::default() };
    }
    // A whole run holds the folder alone; shares give notes away one after another.
    let given = share.map(|_| folders.turn()).transpose().map_err(|e| e.to_string());
    let given = given.and_then(|turn| Ok((turn, links(folders)?)));
    let (_turn, mut links) = match given {
        Ok(given) => given,
        Err(why) => return waiting(&met.iter().map(|met| met.candidate).collect::<Vec<_>>(), &why),
    };
    let mut taken = TakenOn::default();
    for met in &met {
        match met.give(folders, &mut links) {
            Ok(true) => taken.moved.push(met.moved()),
            Ok(false) => {}
            Err(why) => {
                let what = format!("this is {} renamed, and its notes cannot be given its name: {why}", met.was);
                taken.waiting.insert(met.candidate.file(), what);
            }
        }
    }
    taken
}

/// Which notes without a scan are those of which scan without notes.
fn met<'a>(new: &[&'a Candidate], all: &[Candidate], folders: &Folders) -> Result<Vec<Met<'a>>, String> {
    let mut met = Vec::new();
    if new.is_empty() {
        return Ok(met);
    }
    let there: HashSet<String> = all.iter().map(Candidate::file).collect();
    let mut all_left = Vec::new();
    for path in notes_in(&folders.out().join(FLAT))? {
        // Notes with a slip say nothing of a scan until they are mended, nor do those of one that was not measured yet.
        let Some(notes) = Sidecar::open(&path).ok().and_then(|sidecar| sidecar.ours()) else { continue };
        if !there.contains(&notes.scan.file) && !lies_elsewhere(&notes.scan, folders) {
            all_left.push(Left { path, scan: notes.scan });
        }
    }
    // Notes that have their scan's own name before copies of them that somebody laid aside.
    all_left.sort_by_key(|left| (scan_of(&left.path) != stem(&left.scan.file), left.path.clone()));
    for candidate in new {
        if all_left.is_empty() {
            break;
        }
        let mut codes = Codes::of(&candidate.path);
        if let Some(at) = all_left.iter().position(|left| codes.are_of(&left.scan)) {
            let Left { path, scan } = all_left.remove(at);
            met.push(Met { candidate, notes: path, was: scan.file });
        }
    }
    Ok(met)
}

/// The links of all notes there that hold.
fn links(folders: &Folders) -> Result<Vec<Link>, String> {
    Ok(notes_in(&folders.out().join(FLAT))?.iter().filter_map(|path| Link::of(path)).collect())
}

impl Met<'_> {
    fn moved(&self) -> Moved {
        Moved { was: self.was.clone(), now: self.candidate.file() }
    }

    /// Gives the notes the name of the scan; tells whether they still were there to be given.
    fn give(&self, folders: &Folders, links: &mut [Link]) -> Result<bool, String> {
        let (from, to) = (&self.notes, folders.notes(&self.candidate.name));
        if !is_there(from) || is_there(&to) {
            return Ok(false);
        }
        // The links first: where a run is broken off between the two, the next one gives the notes the name that they
        // lead to.
        let led = links.iter().filter(|link| link.leads_to(from)).map(|link| link.naming(&self.candidate.name));
        keep_all(&led.collect::<Result<Vec<_>, _>>()?)?;
        fs::rename(from, &to).map_err(|e| format!("{}: {}", from.display(), save::refusal(&e)))?;
        links.iter_mut().filter(|link| link.rescan == *from).for_each(|link| link.rescan.clone_from(&to));
        Ok(true)
    }
}

/// A link that leads nowhere is there as well.
fn is_there(path: &Path) -> bool {
    path.exists() || path.is_symlink()
}

fn stem(file: &str) -> String {
    Path::new(file).file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

/// Whether the scan of notes from another folder is still there.
fn lies_elsewhere(scan: &ScanNotes, folders: &Folders) -> bool {
    let beside = real(folders.out()).parent().unwrap_or(Path::new("")).join(&scan.folder);
    scan.folder != folders.name() && beside.join(&scan.file).is_file()
}

/// The scan of such notes in `folder`, whatever its name is there.
pub(super) fn in_folder(folder: &Path, scan: &ScanNotes) -> Option<PathBuf> {
    let mut files: Vec<PathBuf> = find::scans(folder).ok()?.into_iter().map(|candidate| candidate.path).collect();
    // A renamed file keeps its size and its time: such are read first.
    let unlike = |path: &PathBuf| {
        let stamp = Stamp::of(path).ok();
        let same = |same: fn(&Stamp, &ScanNotes) -> bool| stamp.as_ref().is_some_and(|stamp| same(stamp, scan));
        [!same(|a, b| a.modified == b.modified && a.bytes == b.bytes), !same(|a, b| a.bytes == b.bytes)]
    };
    files.sort_by_cached_key(unlike);
    files.into_iter().find(|path| Codes::of(path).are_of(scan))
}

/// Whether a file is the scan that such notes tell of.
pub(super) fn is_scan_of(path: &Path, noted: &ScanNotes) -> bool {
    Codes::of(path).are_of(noted)
}

/// The codes of a file, read when they are asked for.
struct Codes<'a> {
    path: &'a Path,
    read: Vec<(Channel, Option<String>)>,
    size: Option<(u32, u32)>,
}

impl<'a> Codes<'a> {
    fn of(path: &'a Path) -> Self {
        let facts = scan::open_torn(path, Torn::Salvage).ok().map(|scan| scan.facts().size);
        Self { path, read: Vec::new(), size: facts.map(|size| (size.width, size.height)) }
    }

    /// Whether they are those that notes tell of. A file that cannot be read has none; it is told where it is worked
    /// on.
    fn are_of(&mut self, noted: &ScanNotes) -> bool {
        if self.size != Some((noted.width, noted.height)) {
            return false;
        }
        let channel = noted.channel.as_deref().and_then(|word| word.parse().ok()).unwrap_or(Channel::Green);
        if !self.read.iter().any(|(of, _)| *of == channel) {
            let codes =
                scan::open_torn(self.path, Torn::Salvage).and_then(|scan| counting::fingerprint(&scan, channel));
            self.read.push((channel, codes.ok()));
        }
        self.read.iter().any(|(of, codes)| *of == channel && codes.as_ref() == Some(&noted.codes_blake3))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As two shares do it that both saw the notes before one of them took its turn.
    #[test]
    fn notes_are_given_away_once_and_never_over_others() {
        let top = tempfile::tempdir().unwrap();
        let folders = Folders::of_results(top.path(), "loft");
        fs::create_dir(top.path().join(FLAT)).unwrap();
        let at = |name: &str| folders.notes(name);
        fs::write(at("coil"), "[shot]\nsubject = \"coil\"\n").unwrap();
        fs::write(at("again"), "[shot]\nrescan-of = \"coil\"\n").unwrap();
        fs::write(at("laid"), "[shot]\n").unwrap();
        let candidate = |name: &str| Candidate {
            path: top.path().join(format!("{name}.tif")),
            name: name.to_owned(),
            same_name_as: None,
        };
        let candidates = ["laid", "store-07", "store-08"].map(candidate);
        let give = |candidate| {
            let met = Met { candidate, notes: at("coil"), was: "coil.tif".to_owned() };
            met.give(&folders, &mut links(&folders).unwrap())
        };
        assert_eq!(give(&candidates[0]), Ok(false), "a form was laid out under that name");
        assert_eq!(fs::read_to_string(at("laid")).unwrap(), "[shot]\n");
        assert_eq!(give(&candidates[1]), Ok(true));
        assert_eq!(give(&candidates[2]), Ok(false), "another share had them");
        assert!(at("store-07").is_file() && !at("store-08").exists() && !at("coil").exists());
        assert!(fs::read_to_string(at("again")).unwrap().contains("rescan-of = \"store-07\""));
    }
}
