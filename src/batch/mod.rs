//! A batch: the scans of a folder measured, decided on together, and made.

mod again;
mod benches;
mod calibrated;
mod closing;
mod colour;
mod correction;
mod counting;
mod develop;
mod dust_map;
mod each_frame;
mod entry;
mod exchanged;
mod explain;
mod exposure;
mod find;
mod finish;
mod folders;
mod frame;
mod gather;
mod inscribe;
mod keep;
mod key;
mod layout;
mod light;
mod linked;
mod logbook;
mod loupe;
mod make;
mod mark;
mod measure;
mod measured;
mod moved;
mod noted;
mod on_table;
mod outcome;
mod own_picture;
mod page_files;
mod paper_fit;
mod papers;
mod pictures;
mod plan;
mod print;
mod printed_wedge;
mod proof;
mod reach;
mod reading;
mod recall;
mod record;
mod remake;
mod room;
mod seal;
mod settings;
mod share;
mod shares;
mod sheet_parts;
mod sheets;
mod shots;
mod shown;
mod small;
mod spared;
mod spots;
mod steps;
mod stock;
mod strip;
mod thumbnail;
mod watch;
mod wedge;
mod which;
mod wishes;
mod write;

use std::collections::{BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::{io, thread};

use crate::notes;
use crate::scan::Halt;

use calibrated::Wedge;
use closing::{Closing, close};
use entry::Entry;
use folders::{FLAT, Folders, MEASURED, PROOF, SHARES, SHEETS, STRAIGHT};
use moved::TakenOn;
use plan::{Plan, Voice};
use room::Room;
use shown::Shown;

pub use exposure::{ExposureAsked, ExposureOrder, ask_exposure};
pub use folders::Error as FoldersError;
pub use frame::Decided;
pub use gather::{GatherOrder, Gathered, gather};
pub use layout::{Captions, LaidPrint, LayoutDone, LayoutOrder, make_layout};
pub use loupe::{Found, LoupeMade, LoupeOrder, LoupeOutcome, look};
pub use mark::{MarkOutcome, mark_frames};
pub use measure::measure;
pub use moved::Moved;
pub use on_table::{
    Change, MOST_EDGE, MOST_OF_A_TILE, NetPicture, OnPaper, Refused, SHOT_FIELDS, Sharp, Spot, TABLE_EDGE, TableFrame,
    TableFrames, ToldFrom, Unseen,
};
pub use outcome::{Done, DoneScan, Outcome, State};
pub use paper_fit::{FitDone, FitOrder, fit_paper};
pub use papers::{PaperAsked, PaperOrder, ask_paper};
pub use print::{
    Easel, GOOD, Meeting, PPI, PrintOrder, PrintOutcome, PrintState, PrintTask, PrintWishes, Printed, SHARPEN,
    make_prints,
};
pub use proof::{ProofOrder, ProofOutcome, lay_proofs};
pub use reading::FrameReading;
pub use remake::{Differs, FileState, Remade, RemadeFrame, RemadeScan, RemakeOrder, remake};
pub use room::least_memory;
pub use settings::{Beside, Crop, Ends, Kept, Personal, SettingError, Settings};
pub use share::Share;
pub use sheet_parts::Kinds;
pub use sheets::PAGE_PPI;
pub use shots::{
    AGREED, Checked, Export, FilmRow, GivenOut, Holders, LaidNotes, LayOrder, PictureRow, ShownNotes, Summed, ZoneRow,
    ZonesOrder, ZonesRead, check_notes, export_notes, find_frames, lay_notes, read_zones, show_notes, write_notes,
};
pub use spots::{Aperture, Spots};
pub use strip::{STRIP_STEP, STRIP_STEPS, StripMade, StripOrder, StripOutcome, make_strips};
pub use watch::{Watched, watch};
pub use wedge::{TabletNamed, WedgeDone, WedgeError, WedgeOrder, make_wedge};
pub use wishes::{Place, Settled, Wishes};

/// What is asked for.
#[derive(Clone, Debug)]
pub struct Order {
    /// The folder of scans.
    pub scans: PathBuf,
    /// Files there that are left alone for now, as their names stand in the folder.
    pub leave: BTreeSet<PathBuf>,
    /// Where results go; beside the scans' folder if not said.
    pub out: Option<PathBuf>,
    /// Settings given as flags.
    pub flags: Wishes,
    /// Make again what is up to date.
    pub force: bool,
    /// Only tell what would be done.
    pub dry_run: bool,
    /// Scans worked on side by side; fewer where `memory` does not suffice.
    pub jobs: usize,
    /// Bytes of memory that may be used; packed scans are unpacked once where they fit.
    pub memory: u64,
    /// Whether proof sheets are laid out.
    pub sheets: bool,
    /// Whether an overview picture of each scan is drawn.
    pub explain: bool,
    /// Whether a dust map of each scan is drawn.
    pub dust_map: bool,
    /// Only this share of the folder. It lays out no table and no sheet: those come when all shares are gathered.
    pub share: Option<Share>,
    /// Only measure, and write down what was measured for the shares of a batch.
    pub measure_only: bool,
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
    /// There is nothing to go by.
    #[error("{}: no notes here: --from-notes needs the folder that a batch has filled, with --out", .0.display())]
    NoNotes(PathBuf),
    /// They cannot be looked through.
    #[error("{0}")]
    Notes(String),
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
    /// A share is to be made, and not all scans of the folder have been measured.
    #[error(
        "{}: {}: run {} with --measure-only first",
        out.display(), unmeasured(*scans, example), which(shares)
    )]
    Unmeasured {
        /// The folder of results.
        out: PathBuf,
        /// How many scans.
        scans: usize,
        /// One of them.
        example: String,
        /// The shares that they are in.
        shares: Vec<Share>,
    },
    /// Shares do not make one batch.
    #[error("{0}")]
    Shares(String),
    /// The calibration that all scans are to be measured with.
    #[error("{0}")]
    Wedge(String),
    /// The paper or the table of grades that all scans are to be printed with.
    #[error("{0}")]
    Stock(String),
    /// The person at the desk stopped it.
    #[error("stopped: {done} of {of} scans are {what}, and all files are whole: run the same again to go on")]
    Stopped {
        /// Scans that were done.
        done: usize,
        /// All of them.
        of: usize,
        /// measured or made.
        what: &'static str,
    },
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
    Begin {
        /// How many.
        scans: usize,
        /// Whether they are only measured.
        measure_only: bool,
    },
    /// A scan was measured, or need not be.
    Measured(&'a str),
    /// A scan's files were made, or need not be, or it failed.
    Made(&'a str),
    /// All scans are done; the proof sheets follow.
    Sheets,
}

/// "3 scans are not measured yet, such as coil.tif".
fn unmeasured(scans: usize, example: &str) -> String {
    match scans {
        1 => format!("{example} is not measured yet"),
        many => format!("{many} scans are not measured yet, such as {example}"),
    }
}

/// Shares in words, not too many of them.
fn which(shares: &[Share]) -> String {
    let words = |shares: &[Share]| shares.iter().map(Share::to_string).collect::<Vec<_>>().join(", ");
    match shares {
        [one] => format!("share {one}"),
        few if few.len() <= 8 => format!("shares {}", words(few)),
        many => format!("shares {} and {} more", words(&many[..7]), many.len() - 7),
    }
}

/// What all scans of a run share.
#[derive(Clone, Copy)]
struct Run<'a> {
    order: &'a Order,
    folders: &'a Folders,
    /// What the settings file wishes.
    in_file: &'a Wishes,
    room: &'a Room,
    /// By its file, why a scan must wait for its notes.
    waiting: &'a HashMap<String, String>,
}

/// Does what is ordered, until `halt` is asked. A scan that fails is told in the outcome; the others go on.
///
/// # Errors
/// When nothing can be done at all: no scans, wrong settings, folders that cannot be used.
pub fn run(order: &Order, halt: &Halt, tell: &(dyn Fn(Event<'_>) + Sync)) -> Result<Outcome, Error> {
    let scans = folders::of_scans(&order.scans)?;
    let folders = Folders::new(&scans, order.out.as_deref())?;
    let in_file = settings_file(&scans)?;
    let for_all = Settled::settle(&order.flags, &Wishes::default(), &in_file).settings;
    entry::matched(&for_all).map_err(Error::Match)?;
    let wedge = Wedge::of(&for_all).map_err(Error::Wedge)?;
    let wedge_blake3 = wedge.as_ref().map(|wedge| &*wedge.blake3);
    let stock = stock::stock(&for_all).map_err(Error::Stock)?;
    let mut candidates = find::scans(&scans).map_err(|error| Error::Disk { path: scans.clone(), error })?;
    let present = candidates.clone();
    candidates.retain(|candidate| !order.leave.contains(&candidate.path));
    if candidates.is_empty() {
        return Err(Error::NoScans(scans));
    }

    // 1. A share takes its part of the folder, and what all shares measured before.
    let names: Vec<_> = candidates.iter().map(|candidate| candidate.file()).collect();
    let shares = order.share.map(|share| Share::of_files(share.of(), &names));
    let ours: Vec<usize> = match &shares {
        Some(shares) => (0..candidates.len()).filter(|i| Some(shares[*i]) == order.share).collect(),
        None => (0..candidates.len()).collect(),
    };
    let measured = match &shares {
        Some(shares) if !order.measure_only => Some(measured::all(&candidates, shares, &folders)?),
        _ => None,
    };
    let _held = if order.dry_run { None } else { Some(folders.prepare(&below(order), order.share)?) };
    let jobs = order.jobs.min(ours.len()).min((order.memory / least_memory()) as usize).max(1);
    // A scan that has another name by now comes with its notes.
    let own: Vec<_> = ours.iter().map(|i| candidates[*i].clone()).collect();
    let TakenOn { moved, waiting } = moved::take_on(&own, &present, &folders, order.share, order.dry_run);
    let room = &Room::new(order.memory, jobs, halt);
    let run = Run { order, folders: &folders, in_file: &in_file, room, waiting: &waiting };
    tell(Event::Begin { scans: ours.len(), measure_only: order.measure_only });

    // 2. Every scan is measured, or it is already written down what it is.
    let entries = side_by_side(jobs, halt, &ours, |i| {
        let before = measured.as_ref().map(|all| &all[*i]);
        let entry = Entry::of(&candidates[*i], before, &run);
        let saved = if order.measure_only && !order.dry_run { measured::save(&entry, &folders) } else { Ok(()) };
        tell(Event::Measured(&entry.name));
        (entry, saved.err())
    });
    let (entries, troubles): (Vec<_>, Vec<_>) = entries.into_iter().unzip();
    if halt.is_asked() {
        let done = entries.iter().filter(|entry| entry.state.is_ok()).count();
        return Err(Error::Stopped { done, of: ours.len(), what: "measured" });
    }
    let mut outcome = Outcome {
        share: order.share,
        scans: Vec::new(),
        moved,
        out: folders.out().to_owned(),
        common: None,
        wedge: wedge.as_ref().map(|wedge| wedge.file.clone()),
        stock,
        sheets: Vec::new(),
        page: None,
        pictures: Vec::new(),
        troubles: troubles.into_iter().flatten().collect(),
    };
    if order.measure_only {
        let done = |entry: &Entry| Done { file: entry.file.clone(), result: finish::only_measured(entry) };
        outcome.scans = entries.iter().map(done).collect();
        return Ok(outcome);
    }

    // 3. What the scans decide together: the base for those without one, common ends, who has which name.
    let voices: Vec<Voice<'_>> = match &measured {
        Some(all) => all.iter().filter_map(|measured| measured.voice()).collect(),
        None => entries.iter().filter_map(Entry::voice).collect(),
    };
    let mut plan = match &measured {
        None if order.dry_run => Plan::of(&entries.iter().filter_map(Entry::last_voice).collect::<Vec<_>>()),
        _ => Plan::of(&voices),
    };
    plan.exchanged = exchanged::exchanged(&entries, &voices, &present, &folders);
    // 4. Every scan is made, or is up to date.
    let made = side_by_side(jobs, halt, &entries, |entry| {
        let done = Done { file: entry.file.clone(), result: finish::finish(entry, &plan, &run) };
        // 5. Pictures of what was measured, as often as they are asked for.
        let troubles = pictures::draw(entry, &done, &folders, order);
        tell(Event::Made(&entry.name));
        (done, troubles)
    });
    let (done, troubles): (Vec<_>, Vec<_>) = made.into_iter().unzip();
    if halt.is_asked() {
        let well = done.iter().filter(|done| done.result.is_ok()).count();
        return Err(Error::Stopped { done: well, of: entries.len(), what: "made" });
    }
    outcome.scans = done;
    outcome.troubles.extend(troubles.into_iter().flatten());
    outcome.common = plan.common.filter(|_| for_all.ends == Ends::Common);
    if order.dry_run {
        return Ok(outcome);
    }
    if outcome.failed() < outcome.scans.len() {
        outcome.pictures = pictures::folders(order).iter().map(|name| folders.out().join(name)).collect();
    }

    // 6. Table and sheet of them all; a share writes down its own part of them.
    if let Some(share) = order.share {
        let stock = Arc::clone(&outcome.stock);
        let settings = shares::words(&for_all, wedge_blake3, &stock);
        let common = shares::InCommon { folder: folders.name(), key: plan.key(), scans: names, settings, stock };
        outcome.troubles.extend(shares::save(share, common, &outcome.scans, &folders).err());
        return Ok(outcome);
    }
    let shown = |(done, entry)| Shown::of_done(done, entry, order.sheets, &folders);
    let mut shown: Vec<_> = outcome.scans.iter().zip(&entries).flat_map(shown).collect();
    let closing = Closing { page: for_all.page, scans: Some(&scans), halt, sheets: order.sheets, force: order.force };
    if order.sheets {
        tell(Event::Sheets);
    }
    let (sheets, troubles) = close(&mut shown, &closing, &folders);
    if halt.is_asked() {
        return Err(Error::Stopped { done: outcome.scans.len() - outcome.failed(), of: entries.len(), what: "made" });
    }
    outcome.sheets = sheets;
    outcome.troubles.extend(troubles);
    if order.sheets {
        let settings = shares::words(&for_all, wedge_blake3, &outcome.stock);
        match logbook::save(&shown, &closing, &settings, &folders) {
            Ok(page) => outcome.page = page,
            Err(trouble) => outcome.troubles.push(trouble),
        }
    }
    Ok(outcome)
}

/// Folders below that of the results, as far as they are needed.
fn below(order: &Order) -> Vec<&'static str> {
    let made = match (order.share, order.measure_only) {
        (_, true) => return vec![MEASURED, SHARES],
        (Some(_), false) => [FLAT, PROOF, SHARES],
        (None, false) => [FLAT, PROOF, SHEETS],
    };
    let straight: &[&str] = if order.sheets { &[STRAIGHT] } else { &[] };
    [&made[..], straight, &pictures::folders(order)].concat()
}

fn settings_file(scans: &Path) -> Result<Wishes, Error> {
    let path = folders::settings(scans);
    match notes::text_of(&path) {
        Ok(Some(text)) => Wishes::parse(&text, scans).map_err(|error| Error::Settings { path, error }),
        Ok(None) => Ok(Wishes::default()),
        Err(error) => Err(Error::Disk { path, error }),
    }
}

/// Does `work` on all items, `jobs` at a time, and gives the results in the order of the items. When `halt` is asked no
/// further item is begun.
fn side_by_side<T: Sync, R: Send>(jobs: usize, halt: &Halt, items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let take = || {
        let mut done = Vec::new();
        while let Some((i, item)) = Some(next.fetch_add(1, Ordering::Relaxed)).and_then(|i| Some((i, items.get(i)?)))
            && !halt.is_asked()
        {
            done.push((i, work(item)));
        }
        done
    };
    let mut done: Vec<_> = thread::scope(|scope| {
        let workers: Vec<_> = (0..jobs).map(|_| scope.spawn(take)).collect();
        workers.into_iter().flat_map(|w| w.join().unwrap_or_else(|p| std::panic::resume_unwind(p))).collect()
    });
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, result)| result).collect()
}
