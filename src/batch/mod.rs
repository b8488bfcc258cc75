//! A batch: the scans of a folder measured, decided on together, and made.

mod calibrated;
mod colour;
mod correction;
mod dust_map;
mod entry;
mod explain;
mod find;
mod finish;
mod folders;
mod frame;
mod key;
mod light;
mod make;
mod measure;
mod outcome;
mod paper_fit;
mod papers;
mod pictures;
mod plan;
mod printed_wedge;
mod reading;
mod recall;
mod record;
mod settings;
mod sheets;
mod spots;
mod steps;
mod stock;
mod wedge;
mod wishes;

use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::{io, thread};

use crate::notes;
use crate::save;

use calibrated::Wedge;
use entry::Entry;
use folders::Folders;
use plan::Plan;

pub use frame::Decided;
pub use measure::measure;
pub use outcome::{Done, DoneScan, Outcome, State};
pub use paper_fit::{FitDone, FitOrder, fit_paper};
pub use papers::{PaperAsked, PaperOrder, ask_paper};
pub use reading::FrameReading;
pub use settings::{Crop, Ends, Kept, SettingError, Settings};
pub use spots::{Aperture, Spots, ZONES};
pub use wedge::{TabletNamed, WedgeDone, WedgeError, WedgeOrder, make_wedge};
pub use wishes::{Place, Settled, Wishes};

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
    /// Whether an overview picture of each scan is drawn.
    pub explain: bool,
    /// Whether a dust map of each scan is drawn.
    pub dust_map: bool,
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
    /// The notes whose ends all scans are to match.
    #[error("{0}")]
    Match(String),
    /// The calibration that all scans are to be measured with.
    #[error("{0}")]
    Wedge(String),
    /// The paper or the table of grades that all scans are to be printed with.
    #[error("{0}")]
    Stock(String),
    /// Something could not be read.
    #[error("{}: {error}", path.display())]
    Disk {
        /// The file or folder.
        path: PathBuf,
        /// Why.
        error: io::Error,
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

/// Does what is ordered. A scan that fails is told in the outcome; the others go on.
///
/// # Errors
/// When nothing can be done at all: no scans, wrong settings, folders that cannot be used.
pub fn run(order: &Order, tell: &(dyn Fn(Event<'_>) + Sync)) -> Result<Outcome, Error> {
    let folders = Folders::new(&order.scans, order.out.as_deref())?;
    let in_file = settings_file(&folders)?;
    let for_all = Settled::settle(&order.flags, &Wishes::default(), &in_file).settings;
    entry::matched(&for_all).map_err(Error::Match)?;
    let wedge = Wedge::of(&for_all).map_err(Error::Wedge)?.map(|wedge| wedge.file);
    let stock = stock::stock(&for_all).map_err(Error::Stock)?;
    let candidates =
        find::scans(folders.scans()).map_err(|error| Error::Disk { path: folders.scans().to_owned(), error })?;
    if candidates.is_empty() {
        return Err(Error::NoScans(folders.scans().to_owned()));
    }
    let _held = if order.dry_run { None } else { Some(folders.prepare(&pictures::folders(order))?) };
    tell(Event::Begin(candidates.len()));

    // 1. Every scan is measured, or its notes already say what it is.
    let entries = side_by_side(order.jobs, &candidates, |candidate| {
        let entry = Entry::of(candidate, &folders, order, &in_file);
        tell(Event::Measured(&candidate.name));
        entry
    });
    // 2. What the scans decide together: the base for those without one, common ends, who has which name.
    let plan = Plan::of(&entries);
    // 3. Every scan is made, or is up to date.
    let made = side_by_side(order.jobs, &entries, |entry| {
        let done = Done { file: entry.file.clone(), result: finish::finish(entry, &plan, &folders, order) };
        // 4. Pictures of what was measured, as often as they are asked for.
        let troubles = pictures::draw(entry, &done, &folders, order);
        tell(Event::Made(&entry.name));
        (done, troubles)
    });
    let (scans, troubles): (Vec<_>, Vec<_>) = made.into_iter().unzip();

    let common = plan.common.filter(|_| for_all.ends == Ends::Common);
    let (out, sheets, troubles) = (folders.out().to_owned(), Vec::new(), troubles.concat());
    let mut outcome = Outcome { scans, out, common, wedge, stock, sheets, pictures: Vec::new(), troubles };
    // What an earlier run laid out is worth more than a list of refusals.
    let nothing = outcome.failed() == outcome.scans.len() && (folders.table().exists() || sheets::is_there(&folders));
    if nothing && !order.dry_run {
        let out = outcome.out.display();
        outcome.troubles.push(format!("{out}: no scan went well, so table and proof sheet stay as they were"));
    }
    if !nothing && !order.dry_run {
        outcome.pictures = pictures::folders(order).iter().map(|name| folders.out().join(name)).collect();
        outcome.troubles.extend(save_table(&outcome.scans, &folders).err());
        if order.sheets {
            tell(Event::Sheets);
            match sheets::save(&outcome.scans, &entries, (&for_all, &outcome.stock), &folders, order.force) {
                Ok(files) => outcome.sheets = files,
                Err(trouble) => outcome.troubles.push(trouble),
            }
        }
    }
    Ok(outcome)
}

fn settings_file(folders: &Folders) -> Result<Wishes, Error> {
    let path = folders.settings();
    match notes::text_of(&path) {
        Ok(Some(text)) => Wishes::parse(&text, folders.scans()).map_err(|error| Error::Settings { path, error }),
        Ok(None) => Ok(Wishes::default()),
        Err(error) => Err(Error::Disk { path, error }),
    }
}

fn save_table(scans: &[Done], folders: &Folders) -> Result<(), String> {
    let path = folders.table();
    let rows: Vec<_> = scans.iter().flat_map(record::rows).collect();
    let saved = notes::csv(&rows).and_then(|bytes| save::whole(&path, |file| io::Write::write_all(file, &bytes)));
    saved.map_err(|error| format!("{}: cannot write: {error}", path.display()))
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
