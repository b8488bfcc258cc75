//! A frame as a sheet shows it: its row of the table, the photographer's words, and where its pictures are.

use std::path::{Path, PathBuf};

use crate::light::{Millimetres, PixelsPerInch};
use crate::notes::{Marked, MeasuredFrame, Notes, Row, Sidecar};
use crate::plane::{Point, Quad, Size};
use crate::scan::Orientation;
use crate::sheet::OnFilm;

use super::entry::Entry;
use super::folders::Folders;
use super::linked;
use super::outcome::{Done, State};
use super::record;

/// A frame of the table as the sheet shows it, or a scan that failed.
#[derive(Clone, Debug)]
pub(super) struct Shown {
    /// As the table has it.
    pub row: Row,
    /// 1 for the first of its scan.
    pub number: usize,
    /// What the photographer calls it.
    pub called: Option<String>,
    /// When it was taken.
    pub date: Option<String>,
    /// The photographer's mark.
    pub marked: Marked,
    /// Its notes. After a batch that was broken off they may have another name than the scan that they tell of.
    pub notes: PathBuf,
    /// The folders of results that it lies in.
    pub folders: Folders,
    /// Whether its densities are true ones, by a step wedge.
    pub by_wedge: bool,
    /// Whether its notes name a picture for the straight pages.
    pub straight_noted: bool,
    /// Its outline in the scan, where it was measured.
    pub corners: Option<Quad>,
    /// Its size on film, where that is known.
    pub on_film: Option<OnFilm>,
    /// Why one of its pictures is not there and cannot be made again.
    pub gone: Option<String>,
}

impl Shown {
    /// A scan that failed.
    pub(super) fn failed(scan: &str, error: String, folders: &Folders) -> Self {
        let row = Row { scan: scan.to_owned(), error, ..Row::default() };
        Self::of(row, 1, folders)
    }

    /// A row, and nothing more known.
    pub(super) fn of(row: Row, number: usize, folders: &Folders) -> Self {
        let scan = Path::new(&row.scan).file_stem().unwrap_or_default().to_string_lossy();
        Self {
            notes: folders.notes(&scan),
            row,
            number,
            called: None,
            date: None,
            marked: Marked::default(),
            folders: folders.clone(),
            by_wedge: false,
            straight_noted: false,
            corners: None,
            on_film: None,
            gone: None,
        }
    }

    /// The frames of a scan that a batch has done with, or the one row that says why it failed; `straight` tells
    /// whether those that it made got pictures for the straight pages.
    pub(super) fn of_done(done: &Done, entry: &Entry, straight: bool, folders: &Folders) -> Vec<Self> {
        let known = entry.state.as_ref().ok();
        let straight_noted = |number: usize| match &done.result {
            Ok(of) if of.state == State::Made => straight && of.base_source != "assumed",
            _ => known
                .is_some_and(|known| known.outputs.print.frames.get(number - 1).is_some_and(|f| f.straight.is_some())),
        };
        let shown = |(number, row)| Self {
            called: known.and_then(|known| known.shot.called().map(str::to_owned)),
            date: known.and_then(|known| known.shot.date).map(|date| date.to_string()),
            marked: known.map(|known| known.marks.of_frame(number)).unwrap_or_default(),
            by_wedge: known.is_some_and(|known| known.wedge.is_some()),
            straight_noted: straight_noted(number),
            corners: done
                .result
                .as_ref()
                .ok()
                .and_then(|of| of.frames.get(number - 1))
                .map(|frame| frame.reading.corners),
            ..Self::of(row, number, folders)
        };
        (1..).zip(record::rows(done)).map(shown).collect()
    }

    /// The frames that notes at `path` tell of.
    pub(super) fn of_notes(sidecar: &Sidecar, notes: &Notes, path: &Path, folders: &Folders) -> Vec<Self> {
        let first = linked::first(sidecar, path);
        let marks = sidecar.marks();
        let by_hand = record::by_hand(&marks, notes.measured.frames.len(), first.as_ref().err());
        let shot = linked::over(sidecar, first.ok().flatten().as_ref());
        let date = shot.date.map(|date| date.to_string());
        let shown = |(number, row)| Self {
            called: shot.called().map(str::to_owned),
            date: date.clone(),
            marked: marks.of_frame(number),
            by_wedge: notes.scan.wedge.is_some(),
            straight_noted: notes.print.frames.get(number - 1).is_some_and(|frame| frame.straight.is_some()),
            corners: notes.measured.frames.get(number - 1).map(corners),
            on_film: on_film(notes, number),
            notes: path.to_owned(),
            ..Self::of(row, number, folders)
        };
        (1..).zip(record::rows_of_notes(notes, &by_hand)).map(shown).collect()
    }

    /// The scan and why it failed, if it did.
    pub(super) fn failure(&self) -> Option<(&str, &str)> {
        (!self.row.error.is_empty()).then_some((&self.row.scan, &self.row.error))
    }

    /// Name of its scan without the ending.
    pub(super) fn scan(&self) -> String {
        Path::new(&self.row.scan).file_stem().unwrap_or_default().to_string_lossy().into_owned()
    }

    /// Whether a base was read, taken or given, by which a straight print can be exposed.
    pub(super) fn has_base(&self) -> bool {
        self.row.base.is_some() && self.row.base_source != "assumed"
    }

    /// Its proof.
    pub(super) fn proof(&self) -> PathBuf {
        self.folders.proof(&self.row.frame)
    }

    /// Its picture on the straight pages.
    pub(super) fn straight(&self) -> PathBuf {
        self.folders.straight(&self.row.frame)
    }
}

fn corners(frame: &MeasuredFrame) -> Quad {
    Quad(frame.corners.map(|[x, y]| Point { x, y }))
}

/// Size on film of what a proof shows, the upright box around the frame, and of the frame itself, by the scan's
/// resolution.
fn on_film(notes: &Notes, number: usize) -> Option<OnFilm> {
    let frame = notes.measured.frames.get(number - 1)?;
    let [across, down] = notes.scan.ppi?;
    let (across, down) = (PixelsPerInch::new(across)?, PixelsPerInch::new(down)?);
    let size = Size { width: notes.scan.width, height: notes.scan.height };
    let corners = corners(frame);
    let (bounds, extent) = (corners.bounds(size), corners.extent());
    let turned = Orientation::new(notes.scan.orientation)?.upright(Size { width: 1, height: 2 }).width == 2;
    let upright = |width, height| {
        let size = (Millimetres::of_pixels(width, across), Millimetres::of_pixels(height, down));
        if turned { (size.1, size.0) } else { size }
    };
    Some(OnFilm {
        picture: upright(f64::from(bounds.width), f64::from(bounds.height)),
        exposed: upright(extent.0, extent.1),
    })
}
