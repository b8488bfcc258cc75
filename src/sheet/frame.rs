//! What a proof sheet is told about its frames and its batch.

use super::grid::GridSize;
use super::page_size::PageSize;
use super::pencil::Pencil;
use super::picture::Picture;
use crate::light::Millimetres;

/// One frame of a proof sheet: its picture and the facts under it.
#[derive(Debug, Clone, Default)]
pub struct Frame {
    /// Name of the scan or frame, any text; shortened in its middle where it is too long.
    pub name: String,
    /// The picture; without one the frame is an empty box.
    pub picture: Option<Picture>,
    /// What the photographer calls the picture.
    pub called: Option<String>,
    /// When it was taken, in the photographer's words.
    pub date: Option<String>,
    /// Density of base and fog.
    pub base: Option<f64>,
    /// Net density between thin and dense end.
    pub range: Option<f64>,
    /// Paper grade as a table writes it: "2", "2 1/2"; with exposure beyond the placing: "2, +1/3 stop".
    pub grade: Option<String>,
    /// How else it was printed than the head says, in a few words each: "paper neutral matt", "split 00 -1, 5 -1".
    pub printed: Vec<String>,
    /// What to look at twice, in a few words each: "no base", "dense end in noise".
    pub flags: Vec<String>,
    /// Why there is no picture; the reason is written into the empty box, and a picture is not drawn.
    pub failed: Option<String>,
    /// The photographer's mark, drawn into the frame's box.
    pub mark: Option<Pencil>,
    /// And what was written beside it.
    pub remark: Option<String>,
    /// Frames one after another with the same number lie on one strip of film.
    pub strip: Option<usize>,
    /// Its size on film, where the scan's resolution is known.
    pub on_film: Option<OnFilm>,
}

/// Widths and heights on film, upright.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnFilm {
    /// Of the picture, which is the upright box around the frame.
    pub picture: (Millimetres, Millimetres),
    /// Of the exposed area, along its own sides.
    pub exposed: (Millimetres, Millimetres),
}

impl Frame {
    /// The picture to draw, if the frame has one and did not fail.
    pub(super) fn shown(&self) -> Option<&Picture> {
        self.picture.as_ref().filter(|_| self.failed.is_none())
    }
}

/// What stands at the head of every page; an empty text takes no room.
#[derive(Debug, Clone, Default)]
pub struct Head {
    /// Name of the batch.
    pub title: String,
    /// Date of the sheet, as it is to be read.
    pub date: String,
    /// How the frames were printed: "graded: each frame in the grade under it". A sheet of several parts takes theirs.
    pub kind: String,
    /// Paper and the table its grades come from.
    pub paper_and_table: String,
    /// What densities are, the scanner's or by a wedge; left out where there is little room.
    pub densities: String,
}

/// Pages of one kind on a sheet.
#[derive(Debug, Clone)]
pub struct Part {
    /// In a word: "straight", "graded".
    pub name: &'static str,
    /// How its frames were printed, for the head of its pages.
    pub kind: String,
    /// Its frames in order.
    pub frames: Vec<Frame>,
    /// Scans that have no frames.
    pub not_shown: Vec<NotShown>,
}

/// A scan of which there is nothing to show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotShown {
    /// Its file.
    pub file: String,
    /// Why.
    pub why: String,
}

/// How frames are laid on pages.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lay {
    /// The paper.
    pub page: PageSize,
    /// Columns and rows; by contact frames of a strip, and strips. Chosen for the frames' shapes if not said.
    pub grid: Option<GridSize>,
    /// Whether frames are shown in their true size, as on a contact sheet.
    pub contact: bool,
}
