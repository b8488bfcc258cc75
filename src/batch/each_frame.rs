//! Frames that a person named, one after another: each with its notes and its scan, held against one another.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::scan::{Channel, Halt, Scan};

use super::folders;
use super::noted::Noted;
use super::reach::Reach;
use super::recall;
use super::room::Room;
use super::which::{self, Wanted};

/// Which frames, and where what is made of them goes.
pub(super) struct Asked<'a> {
    /// As they were typed.
    pub frames: &'a [PathBuf],
    /// The folder of the scans; that beside the results if not said.
    pub scans: Option<&'a Path>,
    /// Where files go; a folder of this name in the folder of results if not said.
    pub out: Option<&'a Path>,
    /// That name.
    pub folder: &'static str,
    /// Bytes of memory that may be used.
    pub memory: u64,
    /// Asked for when no more is to be begun.
    pub halt: &'a Halt,
}

/// A frame to be worked on.
pub(super) struct Laid<'a> {
    /// Its notes.
    pub noted: &'a Noted,
    /// Its number.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// Its scan.
    pub scan: &'a Scan,
}

/// What came of all.
pub(super) struct CameOfAll<T> {
    /// Of each frame that went well.
    pub done: Vec<T>,
    /// What failed, and why.
    pub failures: Vec<String>,
    /// Whether nothing of what was typed is there.
    pub none_there: bool,
}

/// Works on each frame, told where its files go, until it is halted; one that fails is told, and the others go on.
/// Meanwhile `tell` learns each name.
///
/// # Errors
/// When nothing can be done at all: another run is at work in the results, or they cannot be written.
pub(super) fn each_frame<T>(
    asked: &Asked<'_>,
    tell: &dyn Fn(&str),
    work: impl Fn(&Laid<'_>, &Path) -> Result<T, String>,
) -> Result<CameOfAll<T>, folders::Error> {
    let (all, failures) = which::all(asked.frames);
    let (mut done, mut reach) = (Vec::new(), Reach::of(failures));
    let results: BTreeSet<PathBuf> = all.iter().map(Wanted::results).collect();
    let _held: Vec<_> = results.iter().map(|out| folders::hold(out)).collect::<Result<_, _>>()?;
    for wanted in all.into_iter().take_while(|_| !asked.halt.is_asked()) {
        let Some((noted, numbers)) = reach.open(wanted, |_, _| true) else { continue };
        match of_scan(&noted, &numbers, asked, tell, &work) {
            Ok(all) => {
                for Came { name, result } in all {
                    match result {
                        Ok(one) => done.push(one),
                        Err(error) => reach.fail(format!("{name}: {error}")),
                    }
                }
            }
            Err(error) => reach.fail(error),
        }
    }
    Ok(CameOfAll { done, none_there: reach.none_there(), failures: reach.failures })
}

fn of_scan<T>(
    noted: &Noted,
    numbers: &[usize],
    asked: &Asked<'_>,
    tell: &dyn Fn(&str),
    work: &impl Fn(&Laid<'_>, &Path) -> Result<T, String>,
) -> Result<Vec<Came<T>>, String> {
    let (path, _) = noted.scan(asked.scans)?;
    let folder = asked.out.map_or_else(|| noted.wanted.results().join(asked.folder), Path::to_owned);
    folders::for_files(&folder, &path)?;
    let seeing = Seeing { memory: asked.memory, halt: asked.halt, tell };
    on_scan(noted, &path, numbers, &seeing, |laid| work(laid, &folder))
}

/// What came of a frame.
pub(super) struct Came<T> {
    /// Its name.
    pub name: String,
    /// What, or why nothing did.
    pub result: Result<T, String>,
}

/// How a scan is looked at.
#[derive(Clone, Copy)]
pub(super) struct Seeing<'a> {
    /// Bytes of memory that may be used.
    pub memory: u64,
    /// Asked for when no more is to be begun.
    pub halt: &'a Halt,
    /// Learns each name meanwhile.
    pub tell: &'a dyn Fn(&str),
}

/// Works on frames of one scan, by their numbers, until it is halted: what came of each.
///
/// # Errors
/// When the scan cannot be read, or is not the one that the notes were measured from.
pub(super) fn on_scan<T>(
    noted: &Noted,
    path: &Path,
    numbers: &[usize],
    seeing: &Seeing<'_>,
    work: impl Fn(&Laid<'_>) -> Result<T, String>,
) -> Result<Vec<Came<T>>, String> {
    let Seeing { memory, halt, tell } = seeing;
    let channel = noted.notes.scan.channel.as_deref().and_then(|word| word.parse().ok()).unwrap_or(Channel::Green);
    tell(&noted.notes.scan.file);
    let room = Room::new(*memory, 1, halt);
    let opened =
        room.open(path, channel, recall::torn(&noted.notes)).map_err(|e| format!("{}: {e}", path.display()))?;
    noted.verify(path, &opened.scan, channel)?;
    let one = |number: &usize| {
        let name = noted.name(*number);
        tell(&name);
        let result = work(&Laid { noted, number: *number, name: name.clone(), scan: &opened.scan });
        Came { name, result }
    };
    Ok(numbers.iter().take_while(|_| !halt.is_asked()).map(one).collect())
}
