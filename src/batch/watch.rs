//! `dryside watch`: scans are worked on as the scanner finishes them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, Instant};

use crate::scan::{self, Halt};

use super::key::Stamp;
use super::{Error, Event, Order, Outcome, find, folders, run};

/// Between two looks into the folder.
const LOOK: Duration = Duration::from_secs(1);

/// A file that has not changed for so long is whole, if it looks so: scanners write a band every second or two (common
/// practice).
const STILL: Duration = Duration::from_secs(3);

/// How often a halt is looked for meanwhile.
const HEED: Duration = Duration::from_millis(100);

/// A file that does not grow for so long and is not whole will not become so: it is told as damaged. Scanners save a
/// sheet within a minute of its last line (common practice).
const PATIENCE: Duration = Duration::from_secs(60);

/// What whoever watches a folder learns.
#[derive(Debug)]
pub enum Watched<'a> {
    /// The folder is there and is watched; or is there again.
    Begun(&'a Path),
    /// It is away: a network that is down, a disk that was pulled out.
    Away(&'a Path),
    /// What became of all scans, after some were new.
    Done(&'a Outcome),
}

/// A file as it was last seen.
struct Seen {
    stamp: Stamp,
    since: Instant,
    whole: bool,
}

/// Works through the folder whenever a scan in it is new, or has been made anew, until `halt` is asked. A file that
/// still grows is left until it is whole; a folder that is away is waited for. `learn` is told what happens.
///
/// # Errors
/// When nothing can be done at all, as [`run`] says; that the folder has no scans yet is none.
pub fn watch(
    order: &Order,
    halt: &Halt,
    tell: &(dyn Fn(Event<'_>) + Sync),
    learn: &mut dyn FnMut(Watched<'_>),
) -> Result<(), Error> {
    let scans = folders::of_scans(&order.scans)?;
    let mut seen = BTreeMap::new();
    let mut worked_on = BTreeMap::new();
    learn(Watched::Begun(&scans));
    let mut away = false;
    while !halt.is_asked() {
        let was_away = std::mem::replace(&mut away, look(&scans, &mut seen).is_err());
        match (was_away, away) {
            (true, false) => learn(Watched::Begun(&scans)),
            (false, true) => learn(Watched::Away(&scans)),
            _ => {}
        }
        let (ready, leave): (Vec<_>, Vec<_>) = seen.iter().partition(|(_, seen)| is_ready(seen));
        let ready: BTreeMap<PathBuf, Stamp> =
            ready.into_iter().map(|(path, seen)| (path.clone(), seen.stamp.clone())).collect();
        if !away && !ready.is_empty() && ready != worked_on {
            let leave = leave.into_iter().map(|(path, _)| path.clone()).collect();
            match run(&Order { leave, ..order.clone() }, halt, tell) {
                Ok(outcome) => learn(Watched::Done(&outcome)),
                // Asked in the midst of it: what was done is whole.
                Err(Error::Stopped { .. }) => break,
                // They went while they were looked at, or all of the folder did.
                Err(Error::NoScans(_)) => {}
                Err(_) if !scans.is_dir() => continue,
                Err(error) => return Err(error),
            }
            worked_on = ready;
        }
        let next = Instant::now() + LOOK;
        while Instant::now() < next && !halt.is_asked() {
            sleep(HEED);
        }
    }
    Ok(())
}

/// Whether a file has been still for a while, and is whole or has had the time to become so.
fn is_ready(seen: &Seen) -> bool {
    let still = seen.since.elapsed();
    still >= STILL && (seen.whole || still >= PATIENCE)
}

fn look(folder: &Path, seen: &mut BTreeMap<PathBuf, Seen>) -> Result<(), Error> {
    let candidates = find::scans(folder).map_err(|error| Error::Disk { path: folder.to_owned(), error })?;
    let mut there = BTreeSet::new();
    for path in candidates.into_iter().map(|candidate| candidate.path) {
        // It may be gone by now, renamed by the scanner's program.
        let Ok(stamp) = Stamp::of(&path) else { continue };
        there.insert(path.clone());
        match seen.get_mut(&path) {
            Some(before) if before.stamp == stamp => {
                // Where strips lie is known as soon as the file is whole; before, they end beyond it.
                before.whole = before.whole || scan::open(&path).is_ok();
            }
            _ => {
                seen.insert(path, Seen { stamp, since: Instant::now(), whole: false });
            }
        }
    }
    seen.retain(|path, _| there.contains(path));
    Ok(())
}
