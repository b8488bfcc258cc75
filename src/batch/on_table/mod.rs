//! Frames on a light table: what is known of each, its net densities, what a grade and an exposure make of them, and
//! what a person decides there, written into its notes at once.

mod change;
mod looks;
mod net;
mod on_paper;
mod tabletop;
mod unpacked;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::time::SystemTime;

use crate::notes::{Mark, NotesError, ShotNotes, Sidecar, text_of};
use crate::plane::Area;
use crate::scan::Halt;

use super::folders::FLAT;
use super::frame::grade;
use super::linked::Link;
use super::logbook::flags;
use super::noted::Noted;
use super::print::settled;
use super::shown::Shown;
use super::which;
use super::wishes::Wishes;
use super::{folders, linked, record, stock};

pub use change::{Change, Refused, SHOT_FIELDS};
pub use looks::{Sharp, Spot};
pub use net::{MOST_EDGE, MOST_OF_A_TILE, NetPicture};
pub use on_paper::OnPaper;
use tabletop::{Numbered, Tabletop, modified};
use unpacked::Unpacked;
pub use unpacked::Unseen;

/// Long edge in pixels of a picture of net densities: that of a proof.
pub const TABLE_EDGE: u32 = 1600;

/// The frames of a folder of results, laid on a light table. Those that a batch adds are laid beside them.
#[derive(Clone, Debug)]
pub struct TableFrames {
    out: PathBuf,
    scans: Option<PathBuf>,
    halt: Halt,
    tabletop: Arc<RwLock<Tabletop>>,
    /// How the folders stood when they were looked through.
    listed: Arc<Mutex<Option<[Option<SystemTime>; 2]>>>,
    unpacked: Arc<Unpacked>,
}

/// Of which notes, and of files how old, a frame is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToldFrom {
    notes: PathBuf,
    /// When notes and scan were changed last.
    changed: [Option<SystemTime>; 2],
}

/// What is known of a frame that lies on the table. Densities are net, in D.
#[derive(Clone, Debug, Default)]
pub struct TableFrame {
    /// Its place in the batch, from 0.
    pub id: usize,
    /// Its name: that of its files.
    pub name: String,
    /// The scan's file.
    pub scan: String,
    /// What the photographer calls it.
    pub title: String,
    /// When it was taken.
    pub date: String,
    /// Those of [`SHOT_FIELDS`] that stand in its own notes, as they stand there.
    pub shot: Vec<(&'static str, String)>,
    /// Fields of its own `[shot]` that cannot be read, whether they are among those or not: why, and where they stand.
    pub unread: Vec<(String, String)>,
    /// Those that its own notes say nothing of, as they stand in the notes of the negative's first scan.
    pub of_first: Vec<(&'static str, String)>,
    /// Film base, over the scanner's full scale; nothing where there was none to be read.
    pub base: Option<f64>,
    /// Thin end.
    pub thin: Option<f64>,
    /// Dense end.
    pub dense: Option<f64>,
    /// How it is to be printed, by its notes: its grade.
    pub grade: String,
    /// Its stops beyond the placing.
    pub exposure: String,
    /// Its placing.
    pub place: String,
    /// Its paper.
    pub paper: String,
    /// Grade, exposure and placing as they stand in the scan's own settings, where they do.
    pub own: [Option<String>; 3],
    /// Frames of its scan: its settings hold for all of them.
    pub together: usize,
    /// What to look at: code and message.
    pub flags: Vec<(String, String)>,
    /// The photographer's mark.
    pub mark: Option<Mark>,
    /// What was written beside it.
    pub remark: String,
    /// Whether it lies there no more: its notes are gone, or tell of fewer frames. It keeps its number, and comes back
    /// with them.
    pub gone: bool,
    /// Why nothing more is known of it.
    pub error: Option<String>,
    /// Why its scan cannot be read.
    pub away: Option<String>,
    /// Size of its picture of net densities, upright.
    pub picture: [u32; 2],
    /// Size of the frame in true pixels, upright.
    pub pixels: [u32; 2],
    /// Hash of its notes as they stand.
    pub revision: String,
}

impl TableFrames {
    /// Lays out all frames of a folder of results. The `scans` lie beside it if not said; their reading heeds `halt`.
    ///
    /// # Errors
    /// When there are no results in it.
    pub fn of(out: &Path, scans: Option<PathBuf>, halt: &Halt) -> Result<Self, String> {
        let (tabletop, listed, unpacked) = <(Arc<RwLock<Tabletop>>, Arc<Mutex<_>>, Arc<Unpacked>)>::default();
        let table = Self { out: out.to_owned(), scans, halt: halt.clone(), tabletop, listed, unpacked };
        table.look_through()?;
        Ok(table)
    }

    /// Lays down what has come since: scans that a batch added, frames that were found in one since. Tells their
    /// numbers, and those of frames whose scan was renamed. Folders that stand as they stood are not looked through.
    ///
    /// # Errors
    /// When the folder cannot be looked through: what lies on the table stays there.
    pub fn look_through(&self) -> Result<Vec<usize>, String> {
        let mut listed = self.listed.lock().unwrap_or_else(PoisonError::into_inner);
        let stand = Some([modified(&self.out), modified(&self.out.join(FLAT))]);
        if *listed == stand {
            return Ok(Vec::new());
        }
        let (all, failures) = which::all(std::slice::from_ref(&self.out));
        if let Some(failure) = failures.into_iter().next() {
            return Err(failure);
        }
        *listed = stand;
        Ok(self.tabletop.write().unwrap_or_else(PoisonError::into_inner).lay(all, self.scans()))
    }

    fn lying(&self, id: usize) -> Option<Numbered> {
        self.tabletop.read().unwrap_or_else(PoisonError::into_inner).frames.get(id).cloned()
    }

    /// The folder of results.
    pub fn out(&self) -> &Path {
        &self.out
    }

    /// The folder of the scans, if it was said.
    pub fn scans(&self) -> Option<&Path> {
        self.scans.as_deref()
    }

    /// How many frames there are.
    pub fn frames(&self) -> usize {
        self.tabletop.read().unwrap_or_else(PoisonError::into_inner).frames.len()
    }

    /// The notes of a frame.
    pub fn notes(&self, id: usize) -> Option<PathBuf> {
        self.lying(id).map(|of| of.wanted.notes)
    }

    /// What each frame is told from: where it is another than before, its files have changed, been renamed, gone or
    /// come back.
    pub fn told_from(&self) -> Vec<ToldFrom> {
        // A disk that is slow to answer keeps nobody from the table.
        let files = self.tabletop.read().unwrap_or_else(PoisonError::into_inner).files();
        let told_from = |(notes, scan): (PathBuf, Option<PathBuf>)| ToldFrom {
            changed: [modified(&notes), scan.as_deref().and_then(modified)],
            notes,
        };
        files.into_iter().map(told_from).collect()
    }

    /// Frames that show words of these: their negatives, scanned again.
    pub fn rescans_of(&self, ids: &[usize]) -> Vec<usize> {
        let first: BTreeSet<PathBuf> = ids.iter().filter_map(|id| self.notes(*id)).collect();
        let shows = |notes: &Path| Link::of(notes).is_some_and(|link| first.iter().any(|first| link.leads_to(first)));
        let rescan = |id: &usize| !first.is_empty() && self.notes(*id).is_some_and(|notes| shows(&notes));
        (0..self.frames()).filter(rescan).collect()
    }

    /// What is known of a frame; what is wrong with it stands in it. Nothing if there is no such frame.
    pub fn frame(&self, id: usize) -> Option<TableFrame> {
        let of = self.lying(id)?;
        let text = text_of(&of.wanted.notes);
        let gone = matches!(text, Ok(None));
        let revision = revision(&text.ok().flatten().unwrap_or_default());
        let blank = TableFrame { id, name: of.wanted.scan(), revision, gone, ..TableFrame::default() };
        if gone {
            return Some(blank);
        }
        let known = self.known(&of, &blank);
        Some(known.unwrap_or_else(|why| TableFrame { error: Some(unknown(&of.wanted.notes, &why)), ..blank }))
    }

    fn known(&self, of: &Numbered, blank: &TableFrame) -> Result<TableFrame, String> {
        let Numbered { wanted, number } = of;
        let noted = Noted::of(wanted.clone(), Sidecar::open(&wanted.notes).map_err(slip)?)?;
        if *number > noted.reading.frames.len() {
            return Ok(TableFrame { gone: true, ..blank.clone() });
        }
        let folders = folders::Folders::of_results(&wanted.results(), &noted.notes.scan.folder);
        let shown = Shown::of_notes(&noted.sidecar, &noted.notes, &wanted.notes, &folders);
        let shown = shown.into_iter().nth(number - 1).ok_or(FEWER)?;
        let settings = settled(&Wishes::default(), &noted)?;
        let stock = stock::stock(&settings)?;
        let (grade, _) = grade(&settings, stock.table(), &noted.reading.frames[number - 1], *number);
        let own = noted.sidecar.settings().map_err(|e| e.to_string())?;
        let own = |name: &str| own.iter().find(|(own, _)| own == name).map(|(_, word)| word.clone());
        let unlinked = linked::first(&noted.sidecar, &wanted.notes).err();
        let by_hand = record::by_hand(&noted.sidecar.marks(), noted.reading.frames.len(), unlinked.as_ref());
        let flags = flags(&shown.row.flags, Some(&noted.notes), Some(*number as u32), &by_hand);
        let shot = noted.shot();
        let frame = self.area(&noted, *number).size();
        let upright = |size| net::orientation(&noted).upright(size);
        let (pixels, picture) = (upright(frame), upright(frame.fitted(TABLE_EDGE)));
        Ok(TableFrame {
            name: noted.name(*number),
            scan: noted.notes.scan.file.clone(),
            title: shot.called().map(str::to_owned).unwrap_or_default(),
            shot: shot_words(&shot, false),
            unread: shot.slips.iter().map(|slip| (slip.key.clone(), slip.to_string())).collect(),
            of_first: shot_words(&shot, true),
            date: shown.date.clone().unwrap_or_default(),
            base: shown.row.base.filter(|_| shown.has_base()),
            thin: shown.row.thin,
            dense: shown.row.dense,
            grade: grade.to_string(),
            own: ["grade", "exposure", "place"].map(own),
            together: noted.reading.frames.len(),
            exposure: settings.exposure.to_string(),
            place: settings.place.to_string(),
            paper: settings.paper.to_string(),
            flags: flags.into_iter().map(|flag| (flag.code, flag.message)).collect(),
            mark: shown.marked.mark,
            remark: shown.marked.remark.unwrap_or_default(),
            away: net::away(&noted, self.scans()),
            picture: [picture.width, picture.height],
            pixels: [pixels.width, pixels.height],
            ..blank.clone()
        })
    }

    /// Where a frame lies in its scan.
    fn area(&self, noted: &Noted, number: usize) -> Area {
        noted.reading.frames[number - 1].corners.bounds(noted.reading.size)
    }

    fn noted(&self, id: usize) -> Result<(Noted, usize), String> {
        let of = self.lying(id).ok_or("there is no such frame on the table")?;
        let noted = Noted::open(of.wanted)?;
        if of.number > noted.reading.frames.len() {
            return Err(FEWER.to_owned());
        }
        Ok((noted, of.number))
    }
}

/// That a frame is gone from its notes.
const FEWER: &str = "its notes tell of fewer frames by now";

/// Those of [`SHOT_FIELDS`] that stand in the notes themselves, or in those of the negative's first scan.
fn shot_words(shot: &ShotNotes, of_first: bool) -> Vec<(&'static str, String)> {
    let field = |name: &str| shot.fields().iter().find(|field| field.name == name && field.of_first == of_first);
    let read = SHOT_FIELDS.into_iter().filter_map(|name| Some((name, field(name)?.text.clone())));
    let slip = |name: &str| shot.slips.iter().find(|slip| slip.key == name && !of_first);
    let unread = SHOT_FIELDS.into_iter().filter_map(|name| Some((name, slip(name)?.text.clone())));
    read.chain(unread).collect()
}

/// Why notes cannot be opened: of a slip its place and what to write, as elsewhere on the page. Nobody is to run again.
fn slip(error: NotesError) -> String {
    match error {
        NotesError::Slip { line, column, what } => format!("line {line}, column {column}: {what}"),
        error => error.to_string(),
    }
}

/// Why a frame is not known, for who has the page before him: its notes by their name alone.
fn unknown(notes: &Path, why: &str) -> String {
    let name = notes.file_name().unwrap_or_default().to_string_lossy();
    let why = why.strip_prefix(&format!("{}: ", notes.display())).unwrap_or(why);
    format!("{name}: {why}. Once this is mended the frame comes back")
}

/// The hash of notes as they stand.
fn revision(text: &str) -> String {
    blake3::hash(text.as_bytes()).to_hex()[..16].to_owned()
}
