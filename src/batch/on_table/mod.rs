//! Frames on a light table: what is known of each, its net densities, what a grade and an exposure make of them, and what a person
//! decides there, written into its notes at once.

mod change;
mod held;
mod laid;
mod looks;
mod net;
mod on_paper;

use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError, RwLock};
use std::time::SystemTime;

use crate::notes::{Mark, ShotNotes, text_of};
use crate::plane::Area;
use crate::scan::Halt;

use super::folders::FLAT;
use super::frame::grade;
use super::logbook::flags;
use super::noted::Noted;
use super::print::settled;
use super::shown::Shown;
use super::which;
use super::wishes::Wishes;
use super::{folders, linked, record, stock};

pub use change::{Change, Refused, SHOT_FIELDS};
use held::Held;
use laid::{Laid, Place, modified};
pub use looks::{Sharp, Spot};
pub use net::{MOST_EDGE, MOST_OF_A_TILE, NetPicture};
pub use on_paper::OnPaper;

/// Long edge in pixels of a picture of net densities: that of a proof.
pub const TABLE_EDGE: u32 = 1600;

/// The frames of a folder of results, laid on a light table. Those that a batch adds are laid beside them.
#[derive(Clone, Debug)]
pub struct TableFrames {
    out: PathBuf,
    scans: Option<PathBuf>,
    halt: Halt,
    laid: Arc<RwLock<Laid>>,
    /// How the folders stood when they were looked through.
    listed: Arc<Mutex<Option<[Option<SystemTime>; 2]>>>,
    held: Arc<Held>,
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
    /// What the photographer calls it, and when it was taken.
    pub title: String,
    /// Those of [`SHOT_FIELDS`] that stand in the shot notes, as they stand there.
    pub shot: Vec<(&'static str, String)>,
    /// The same.
    pub date: String,
    /// Film base, over the scanner's full scale; nothing where there was none to be read.
    pub base: Option<f64>,
    /// Thin end.
    pub thin: Option<f64>,
    /// Dense end.
    pub dense: Option<f64>,
    /// How it is to be printed, by its notes: grade, stops, placing, paper.
    pub grade: String,
    /// The same.
    pub exposure: String,
    /// The same.
    pub place: String,
    /// The same.
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
        let (laid, listed, held) = <(Arc<RwLock<Laid>>, Arc<Mutex<_>>, Arc<Held>)>::default();
        let table = Self { out: out.to_owned(), scans, halt: halt.clone(), laid, listed, held };
        table.look_through()?;
        Ok(table)
    }

    /// Lays down what has come since: scans that a batch added, frames that were found in one since. Tells their numbers. Folders
    /// that stand as they stood are not looked through.
    ///
    /// # Errors
    /// When the folder cannot be looked through: what lies on the table stays there.
    pub fn look_through(&self) -> Result<Range<usize>, String> {
        let mut listed = self.listed.lock().unwrap_or_else(PoisonError::into_inner);
        let stand = Some([modified(&self.out), modified(&self.out.join(FLAT))]);
        if *listed == stand {
            return Ok(0..0);
        }
        let (all, failures) = which::all(std::slice::from_ref(&self.out));
        if let Some(failure) = failures.into_iter().next() {
            return Err(failure);
        }
        *listed = stand;
        Ok(self.laid.write().unwrap_or_else(PoisonError::into_inner).lay(all))
    }

    fn lying(&self, id: usize) -> Option<Place> {
        self.laid.read().unwrap_or_else(PoisonError::into_inner).places.get(id).cloned()
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
        self.laid.read().unwrap_or_else(PoisonError::into_inner).places.len()
    }

    /// The notes of a frame.
    pub fn notes(&self, id: usize) -> Option<PathBuf> {
        self.lying(id).map(|place| place.wanted.notes)
    }

    /// What is known of a frame; what is wrong with it stands in it. Nothing if there is no such frame.
    pub fn frame(&self, id: usize) -> Option<TableFrame> {
        let place = self.lying(id)?;
        let text = text_of(&place.wanted.notes).ok().flatten().unwrap_or_default();
        let blank = TableFrame { id, name: place.wanted.scan(), revision: revision(&text), ..TableFrame::default() };
        Some(self.known(&place, &blank).unwrap_or_else(|error| TableFrame { error: Some(error), ..blank }))
    }

    fn known(&self, place: &Place, blank: &TableFrame) -> Result<TableFrame, String> {
        let Place { wanted, number } = place;
        let noted = Noted::open(wanted.clone())?;
        let folders = folders::Folders::of_results(&wanted.results(), &noted.notes.scan.folder);
        let shown = Shown::of_notes(&noted.sidecar, &noted.notes, &wanted.notes, &folders);
        let shown =
            shown.into_iter().nth(number - 1).ok_or("its notes tell of fewer frames by now: open the table anew")?;
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
            shot: shot_words(&shot),
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
        let place = self.lying(id).ok_or("there is no such frame on the table")?;
        let noted = Noted::open(place.wanted)?;
        if place.number > noted.reading.frames.len() {
            return Err("its notes tell of fewer frames by now: open the table anew".to_owned());
        }
        Ok((noted, place.number))
    }
}

/// Those of [`SHOT_FIELDS`] that stand in shot notes; where a field stands in those of the first scan of a negative, too, its own.
fn shot_words(shot: &ShotNotes) -> Vec<(&'static str, String)> {
    let last = |name: &str| shot.fields().iter().rfind(|field| field.name == name).map(|field| field.text.clone());
    SHOT_FIELDS.into_iter().filter_map(|name| Some((name, last(name)?))).collect()
}

/// The hash of notes as they stand.
fn revision(text: &str) -> String {
    blake3::hash(text.as_bytes()).to_hex()[..16].to_owned()
}
