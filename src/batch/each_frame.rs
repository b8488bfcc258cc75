//! Frames that a person named, one after another: each with its notes and its scan, held against one another.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::scan::{Channel, Halt, Scan};

use super::folders;
use super::noted::Noted;
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

/// Works on each frame, told where its files go, until it is halted; one that fails is told, and the others go on. Meanwhile `tell` learns each name.
///
/// # Errors
/// When nothing can be done at all: another run is at work in the results, or they cannot be written.
pub(super) fn each_frame<T>(
    asked: &Asked<'_>,
    tell: &dyn Fn(&str),
    work: impl Fn(&Laid<'_>, &Path) -> Result<T, String>,
) -> Result<CameOfAll<T>, folders::Error> {
    let (all, failures) = which::all(asked.frames);
    let mut came = CameOfAll { done: Vec::new(), failures, none_there: true };
    let results: BTreeSet<PathBuf> = all.iter().map(Wanted::results).collect();
    let _held: Vec<_> = results.iter().map(|out| folders::hold(out)).collect::<Result<_, _>>()?;
    for wanted in all.iter().take_while(|_| !asked.halt.is_asked()) {
        let told = of_scan(wanted, asked, tell, &work, &mut came);
        came.failures.extend(told.err());
    }
    came.none_there &= !came.failures.is_empty();
    Ok(came)
}

fn of_scan<T>(
    wanted: &Wanted,
    asked: &Asked<'_>,
    tell: &dyn Fn(&str),
    work: &impl Fn(&Laid<'_>, &Path) -> Result<T, String>,
    came: &mut CameOfAll<T>,
) -> Result<(), String> {
    let noted = Noted::open(wanted.clone()).inspect_err(|_| came.none_there = false)?;
    let numbers = noted.numbers()?;
    came.none_there = false;
    let (path, _) = noted.scan(asked.scans)?;
    let folder = asked.out.map_or_else(|| wanted.results().join(asked.folder), Path::to_owned);
    folders::for_files(&folder, &path, asked.out.is_none())?;
    let seeing = Seeing { memory: asked.memory, halt: asked.halt, tell };
    for Came { name, result } in on_scan(&noted, &path, &numbers, &seeing, |laid| work(laid, &folder))? {
        match result {
            Ok(one) => came.done.push(one),
            Err(error) => came.failures.push(format!("{name}: {error}")),
        }
    }
    Ok(())
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
