//! Scans that were renamed or moved, known again by their codes.

use std::fs;
use std::path::{Path, PathBuf};

use crate::notes::{ScanNotes, Sidecar};
use crate::scan::{self, Channel, Torn};

use super::counting;
use super::find::{self, Candidate};
use super::folders::{FLAT, Folders, real};
use super::keep::keep_all;
use super::key::Stamp;
use super::linked::Link;
use super::which::{notes_in, scan_of};

/// A scan that was found under another name, and so its notes were taken on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// The name that its notes know it by.
    pub was: String,
    /// The name that it has now.
    pub now: String,
}

/// Notes whose scan is gone.
struct Left {
    path: PathBuf,
    scan: ScanNotes,
}

/// Gives the notes of scans that are gone to the scans without notes that have the same codes: each notes file gets the name of its scan as it
/// is now, and stays to the byte, as do the notes of its rescans but for the name in `rescan-of`; what was made under the former name is cleared away when the scan is made. Of a scan that is there under
/// both names the second is a copy, and gets notes of its own. Only told, if `only_told`. Scans are read only where there are both: a scan
/// without notes, and notes without a scan.
///
/// # Errors
/// When the folder of notes cannot be looked through, or notes cannot be renamed or written.
pub(super) fn take_on(
    candidates: &[Candidate],
    all: &[Candidate],
    folders: &Folders,
    only_told: bool,
) -> Result<Vec<Moved>, String> {
    let is_new = |candidate: &&Candidate| {
        let path = folders.notes(&candidate.name);
        candidate.same_name_as.is_none() && !path.exists() && !path.is_symlink()
    };
    let new: Vec<&Candidate> = candidates.iter().filter(is_new).collect();
    if new.is_empty() {
        return Ok(Vec::new());
    }
    let there: Vec<String> = all.iter().map(Candidate::file).collect();
    let (mut left, mut links) = (Vec::new(), Vec::new());
    for path in notes_in(&folders.out().join(FLAT))? {
        // Notes with a slip say nothing of a scan until they are mended, nor do those of one that was not measured yet.
        let Ok(sidecar) = Sidecar::open(&path) else { continue };
        links.extend(Link::of(&sidecar, &path));
        let Some(notes) = sidecar.ours() else { continue };
        if !there.contains(&notes.scan.file) && !lies_elsewhere(&notes.scan, folders) {
            left.push(Left { path, scan: notes.scan });
        }
    }
    // Notes that have their scan's own name before copies of them that somebody laid aside.
    left.sort_by_key(|left| (scan_of(&left.path) != stem(&left.scan.file), left.path.clone()));
    let mut moved = Vec::new();
    for candidate in new {
        if left.is_empty() {
            break;
        }
        let mut codes = Codes::of(&candidate.path);
        let Some(at) = left.iter().position(|left| codes.are_of(&left.scan)) else { continue };
        let Left { path, scan } = left.remove(at);
        if !only_told {
            let to = folders.notes(&candidate.name);
            // The links first: where a run is broken off between the two, the next one gives the notes the name that they lead to.
            let led = links.iter().filter(|link| link.leads_to(&path)).map(|link| link.naming(&candidate.name));
            keep_all(&led.collect::<Result<Vec<_>, _>>()?)?;
            fs::rename(&path, &to)
                .map_err(|e| format!("{}: cannot be renamed to {}: {e}", path.display(), to.display()))?;
            links.iter_mut().filter(|link| link.rescan == path).for_each(|link| link.rescan.clone_from(&to));
        }
        moved.push(Moved { was: scan.file, now: candidate.file() });
    }
    Ok(moved)
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

    /// Whether they are those that notes tell of. A file that cannot be read has none; it is told where it is worked on.
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
