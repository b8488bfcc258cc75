//! Frames on a light table: what is known of each, its net densities, what a grade and an exposure make of them, and what a person
//! decides there, written into its notes at once.

mod change;
mod looks;
mod net;
mod on_paper;

use std::path::{Path, PathBuf};

use crate::notes::{Mark, text_of};
use crate::plane::Area;
use crate::scan::Halt;

use super::frame::grade;
use super::noted::Noted;
use super::print::settled;
use super::shown::Shown;
use super::which::{self, Wanted};
use super::wishes::Wishes;
use super::{folders, stock};

pub use change::{Change, Refused};
pub use looks::{Sharp, Spot};
pub use net::{MOST_OF_A_TILE, NetPicture};
pub use on_paper::OnPaper;

/// Long edge in pixels of a picture of net densities: that of a proof.
pub const LIT_EDGE: u32 = 1600;

/// The frames of a folder of results, laid on a light table.
#[derive(Clone, Debug)]
pub struct LightTable {
    out: PathBuf,
    scans: Option<PathBuf>,
    halt: Halt,
    places: Vec<Place>,
}

/// A frame, by its notes and its number there.
#[derive(Clone, Debug)]
struct Place {
    wanted: Wanted,
    number: usize,
}

/// What is known of a frame that lies on the table. Densities are net, in D.
#[derive(Clone, Debug, Default)]
pub struct Lit {
    /// Its place in the batch, from 0.
    pub id: usize,
    /// Its name: that of its files.
    pub name: String,
    /// The scan's file.
    pub scan: String,
    /// What the photographer calls it, and when it was taken.
    pub title: String,
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

impl LightTable {
    /// Lays out all frames of a folder of results. The `scans` lie beside it if not said; their reading heeds `halt`.
    ///
    /// # Errors
    /// When there are no results in it.
    pub fn of(out: &Path, scans: Option<PathBuf>, halt: &Halt) -> Result<Self, String> {
        let mut places = Vec::new();
        let (all, failures) = which::all(&[out.to_owned()]);
        if let Some(failure) = failures.into_iter().next() {
            return Err(failure);
        }
        for wanted in all {
            // Notes that cannot be read have a place too: there it is told why.
            let frames = Noted::open(wanted.clone()).map_or(1, |noted| noted.reading.frames.len());
            places.extend((1..=frames.max(1)).map(|number| Place { wanted: wanted.clone(), number }));
        }
        Ok(Self { out: out.to_owned(), scans, halt: halt.clone(), places })
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
        self.places.len()
    }

    /// The notes of a frame.
    pub fn notes(&self, id: usize) -> Option<&Path> {
        self.places.get(id).map(|place| place.wanted.notes.as_path())
    }

    /// What is known of a frame; what is wrong with it stands in it. Nothing if there is no such frame.
    pub fn frame(&self, id: usize) -> Option<Lit> {
        let place = self.places.get(id)?;
        let text = text_of(&place.wanted.notes).ok().flatten().unwrap_or_default();
        let blank = Lit { id, name: place.wanted.scan(), revision: revision(&text), ..Lit::default() };
        Some(self.known(place, &blank).unwrap_or_else(|error| Lit { error: Some(error), ..blank }))
    }

    fn known(&self, place: &Place, blank: &Lit) -> Result<Lit, String> {
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
        let warnings = noted.notes.measured.warnings.iter().chain(&noted.notes.record.warnings);
        let about = warnings.filter(|warning| warning.is_about(*number));
        let shot = noted.shot();
        let frame = self.area(&noted, *number).size();
        let upright = |size| net::orientation(&noted).upright(size);
        let (pixels, picture) = (upright(frame), upright(frame.fitted(LIT_EDGE)));
        Ok(Lit {
            name: noted.name(*number),
            scan: noted.notes.scan.file.clone(),
            title: shot.called().map(str::to_owned).unwrap_or_default(),
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
            flags: about.map(|warning| (warning.code.clone(), warning.message.clone())).collect(),
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
        let place = self.places.get(id).ok_or("there is no such frame on the table")?;
        let noted = Noted::open(place.wanted.clone())?;
        if place.number > noted.reading.frames.len() {
            return Err("its notes tell of fewer frames by now: open the table anew".to_owned());
        }
        Ok((noted, place.number))
    }
}

/// The hash of notes as they stand.
fn revision(text: &str) -> String {
    blake3::hash(text.as_bytes()).to_hex()[..16].to_owned()
}
