//! A batch: the scans of a folder measured, decided on together, and made.

mod decide;
mod find;
mod folders;
mod frame;
mod key;
mod light;
mod make;
mod ready;
mod reading;
mod record;
mod settings;
mod sheets;

use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::{fs, io, thread};

use crate::notes;
use crate::save;

use decide::Plan;
use ready::Ready;

pub use find::Candidate;
pub use folders::Folders;
pub use frame::{Decided, GRADES, PAPER, grade};
pub use light::Light;
pub use make::PROGRAM;
pub use reading::{FrameReading, Reading, read};
pub use record::plain;
pub use settings::{Crop, Ends, NAMES, SETTINGS_FILE, SettingError, Settings, Settled, Wishes};

/// What is asked for.
#[derive(Clone, Debug)]
pub struct Order {
    /// The folder of scans.
    pub scans: PathBuf,
    /// Where results go; beside the scans' folder if not said.
    pub out: Option<PathBuf>,
    /// Settings given as flags.
    pub flags: Wishes,
    /// Make again what is up to date.
    pub force: bool,
    /// Only tell what would be done.
    pub dry_run: bool,
    /// Scans worked on side by side.
    pub jobs: usize,
    /// Whether proof sheets are laid out.
    pub sheets: bool,
}

/// Why a whole batch cannot be done.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The folders.
    #[error(transparent)]
    Folders(#[from] folders::Error),
    /// There is nothing in it.
    #[error("{}: no scans here (TIFF, PNG or JPEG): give the folder that holds them", .0.display())]
    NoScans(PathBuf),
    /// The settings file.
    #[error("{}: {error}", path.display())]
    Settings {
        /// The file.
        path: PathBuf,
        /// What is wrong in it.
        error: SettingError,
    },
    /// The notes whose ends were asked for.
    #[error("{}: {what}", path.display())]
    Match {
        /// The notes.
        path: PathBuf,
        /// What is wrong with them.
        what: String,
    },
    /// Something could not be read or written.
    #[error("{}: {error}", path.display())]
    Disk {
        /// The file or folder.
        path: PathBuf,
        /// Why.
        error: io::Error,
    },
    /// A sheet or table could not be saved.
    #[error("{}: {what}", path.display())]
    Save {
        /// The file.
        path: PathBuf,
        /// Why.
        what: String,
    },
}

/// What a batch tells while it runs.
#[derive(Clone, Copy, Debug)]
pub enum Event<'a> {
    /// So many scans are to be looked at.
    Begin(usize),
    /// A scan was measured, or need not be.
    Measured(&'a str),
    /// A scan's files were made, or need not be, or it failed.
    Made(&'a str),
    /// All scans are done; the proof sheets follow.
    Sheets,
}

/// What became of a scan.
#[derive(Clone, Debug)]
pub struct Done {
    /// File name of the scan.
    pub file: String,
    /// Its frames, or why there are none.
    pub result: Result<DoneFrames, String>,
}

/// Frames of a scan that went well.
#[derive(Clone, Debug)]
pub struct DoneFrames {
    /// What was decided for each.
    pub frames: Vec<Decided>,
    /// Where the base came from: rebate, batch, given, assumed.
    pub base_source: &'static str,
    /// Warnings: code and message.
    pub warnings: Vec<notes::WarningNote>,
    /// Whether it was up to date already.
    pub up_to_date: bool,
}

/// What became of a batch.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The scans in name order.
    pub scans: Vec<Done>,
    /// Where results are.
    pub out: PathBuf,
    /// Files of the proof sheets.
    pub sheets: Vec<PathBuf>,
}

impl Outcome {
    /// Scans that failed.
    pub fn failed(&self) -> usize {
        self.scans.iter().filter(|scan| scan.result.is_err()).count()
    }
}

/// Does what is ordered. A scan that fails is told in the outcome; the others go on.
///
/// # Errors
/// When nothing can be done at all: no scans, wrong settings, folders that cannot be used.
pub fn run(order: &Order, tell: &(dyn Fn(Event<'_>) + Sync)) -> Result<Outcome, Error> {
    let folders = Folders::new(&order.scans, order.out.as_deref())?;
    let in_file = settings_file(&folders)?;
    let candidates =
        find::scans(folders.scans()).map_err(|error| Error::Disk { path: folders.scans().to_owned(), error })?;
    if candidates.is_empty() {
        return Err(Error::NoScans(folders.scans().to_owned()));
    }
    if !order.dry_run {
        folders.prepare()?;
    }
    tell(Event::Begin(candidates.len()));

    // 1. Every scan is measured, or its notes already say what it is.
    let ready = side_by_side(order.jobs, &candidates, |candidate| {
        let ready = Ready::get(candidate, &folders, order, &in_file);
        tell(Event::Measured(&candidate.name));
        ready
    });
    // 2. What the scans decide together: the base for those without one, and common ends.
    let plan = Plan::of(&ready)?;
    // 3. Every scan is made, or is up to date.
    let scans = side_by_side(order.jobs, &ready, |ready| {
        let done = Done { file: ready.file.clone(), result: plan.carry_out(ready, &folders, order) };
        tell(Event::Made(&ready.name));
        done
    });

    let mut sheets = Vec::new();
    if !order.dry_run {
        save_table(&scans, &folders)?;
        if order.sheets {
            tell(Event::Sheets);
            let page = Settled::settle(&order.flags, &Wishes::default(), &in_file).settings.page;
            sheets = sheets::save(&scans, &ready, page, &folders)?;
        }
    }
    Ok(Outcome { scans, out: folders.out().to_owned(), sheets })
}

fn settings_file(folders: &Folders) -> Result<Wishes, Error> {
    let path = folders.scans().join(SETTINGS_FILE);
    match fs::read_to_string(&path) {
        Ok(text) => Wishes::parse(&text).map_err(|error| Error::Settings { path, error }),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(Wishes::default()),
        Err(error) => Err(Error::Disk { path, error }),
    }
}

fn save_table(scans: &[Done], folders: &Folders) -> Result<(), Error> {
    let path = folders.table();
    let rows: Vec<_> = scans.iter().flat_map(record::rows).collect();
    let saved = notes::csv(&rows).and_then(|bytes| save::whole(&path, |file| io::Write::write_all(file, &bytes)));
    saved.map_err(|error| Error::Disk { path, error })
}

/// Does `work` on all items, `jobs` at a time, and gives the results in the order of the items.
fn side_by_side<T: Sync, R: Send>(jobs: usize, items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let take = || {
        let mut done = Vec::new();
        while let Some((i, item)) = Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|i| Some((i, items.get(i)?))) {
            done.push((i, work(item)));
        }
        done
    };
    let mut done: Vec<_> = thread::scope(|scope| {
        let workers: Vec<_> = (0..jobs.clamp(1, items.len().max(1))).map(|_| scope.spawn(take)).collect();
        workers.into_iter().flat_map(|w| w.join().unwrap_or_else(|p| std::panic::resume_unwind(p))).collect()
    });
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, result)| result).collect()
}
