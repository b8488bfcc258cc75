//! A test strip laid out: the whole frame in bands of exposure, as under an enlarger, and below it a part of it in several grades
//! and exposures.

use image::GrayImage;

use super::Sheet;
use super::area::Area;
use super::face::Face;
use super::fractions::with_fractions;
use super::frame::Head;
use super::page::{Ink, Item, Page, QUIET, TextRun};
use super::page_head::PageHead;
use super::page_size::PageSize;
use super::pixels::Pixels;
use super::sizes::{LINE, NAME, SMALL};
use super::wrap::wrap;
use crate::light::{Millimetres, PixelsPerInch};
use crate::plane::{self, Size};

/// Resolution of a test strip's pictures and of its page in pixels: one arc-minute at 30 cm is 291 (published; computed).
pub const STRIP_PPI: f64 = 300.0;

/// What every test strip says at its foot.
const CAVEAT: &str =
    "the paper is a formula, the light a screen's or a printer's: make a test on your own paper before the print";

/// Share of the page's room that the bands may take.
const BANDS: f64 = 0.47;
/// White between patches, and the frame around the chosen one in its middle.
const GAP: Millimetres = Millimetres::new(1.8);
const CHOSEN: Millimetres = Millimetres::new(0.8);
/// A patch is no higher than it is wide by this factor.
const TALLEST: f64 = 1.0;
/// Room for the words beside a row of the grid, and beside a band that lies level.
const BESIDE: Millimetres = Millimetres::new(21.0);
const BESIDE_BAND: Millimetres = Millimetres::new(24.0);
/// Least room between a picture and words.
const OFF: Millimetres = Millimetres::new(1.6);
/// Words beside the bands are so far off, and no narrower than that.
const WORDS_OFF: Millimetres = Millimetres::new(5.0);
const LEAST_WORDS: Millimetres = Millimetres::new(38.0);
const MOST_LINES: usize = 12;
/// Free lines between bands and grid.
const BEFORE_GRID: f64 = 2.6;
/// A line between bands, and the white on both sides of it.
const CUT: Millimetres = Millimetres::new(0.12);
const CUT_GROUND: Millimetres = Millimetres::new(0.5);

const BLACK: Ink = Ink(0);
const WHITE: Ink = Ink(255);

/// Two short lines: what, and how much that is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Label {
    /// "+1/3", "grade 2".
    pub what: String,
    /// "x 1.26".
    pub much: String,
}

/// What a test strip shows, before its pictures are made.
#[derive(Clone, Debug, Default)]
pub struct Strip {
    /// The page's head.
    pub head: Head,
    /// Width over height of the whole picture.
    pub shape: f64,
    /// The bands, from the first exposure to the last, and which is the chosen one.
    pub bands: Vec<Label>,
    /// The band that has the chosen exposure.
    pub chosen_band: usize,
    /// The grid's rows, softest first.
    pub rows: Vec<Label>,
    /// Its columns, from the first exposure to the last.
    pub columns: Vec<Label>,
    /// Row and column of the chosen patch.
    pub chosen: (usize, usize),
    /// Said above the bands.
    pub about_bands: String,
    /// Said above the grid.
    pub about_grid: String,
}

/// The pictures of a test strip.
#[derive(Clone, Debug)]
pub struct StripPictures {
    /// One for each band, in order.
    pub bands: Vec<GrayImage>,
    /// The part of the whole picture that the grid shows, in pixels of that picture.
    pub part: plane::Area,
    /// The patches, row by row.
    pub patches: Vec<GrayImage>,
}

/// A test strip's page as far as it can be laid out without pictures.
pub struct StripPage {
    strip: Strip,
    head: PageHead,
    size: PageSize,
}

impl StripPage {
    /// Begins a page.
    pub fn new(strip: Strip, size: PageSize) -> Self {
        let head = PageHead::new(&strip.head, size, CAVEAT);
        Self { strip, head, size }
    }

    /// Whether bands stand side by side; else they lie one below the other.
    fn stands(&self) -> bool {
        self.strip.shape >= 1.0
    }

    /// Words broken into lines that fit a width.
    fn about(text: &str, width: Millimetres) -> Vec<String> {
        let words: Vec<&str> = text.split(' ').collect();
        wrap(&words, " ", MOST_LINES, Face::Regular, SMALL, width)
    }

    /// Words above the grid.
    fn about_grid(&self) -> Vec<String> {
        Self::about(&self.strip.about_grid, self.head.room().width)
    }

    /// Words about the bands, and whether they stand beside the picture, which is then the higher; else above it.
    fn about_bands(&self) -> (Vec<String>, bool) {
        let room = self.head.room();
        let free = room.width - self.picture_width(0.0) - WORDS_OFF - self.beside();
        let beside = free >= LEAST_WORDS;
        (Self::about(&self.strip.about_bands, if beside { free } else { room.width }), beside)
    }

    /// Room beside the picture for the labels of bands that lie level.
    fn beside(&self) -> Millimetres {
        if self.stands() { Millimetres::default() } else { BESIDE_BAND }
    }

    /// Lines of labels above the picture.
    fn labels(&self) -> f64 {
        if self.stands() { 3.0 } else { 0.4 }
    }

    /// Width of the largest picture under so many lines of words.
    fn picture_width(&self, lines: f64) -> Millimetres {
        let room = self.head.room();
        let height = room.height * BANDS - LINE * (lines + self.labels());
        (room.width - self.beside()).min(height * self.strip.shape)
    }

    /// Lines of words above the bands.
    fn above(&self) -> f64 {
        let (lines, beside) = self.about_bands();
        if beside { 0.0 } else { lines.len() as f64 }
    }

    /// The largest picture that fits, in whole millimetres: width and height.
    pub fn picture_room(&self) -> (u32, u32) {
        let wide = self.picture_width(self.above()).value();
        // A sheet has sides of 1 cm at least.
        let whole = |length: f64| length.floor().max(10.0) as u32;
        (whole(wide), whole(wide / self.strip.shape))
    }

    /// Pixels of a patch of the grid.
    pub fn patch(&self) -> Size {
        let room = self.head.room();
        let (columns, rows) = (self.strip.columns.len() as f64, self.strip.rows.len() as f64);
        let width = (room.width - BESIDE - GAP * (columns - 1.0)) / columns;
        let above = LINE * (self.about_grid().len() as f64 + BEFORE_GRID + 2.6);
        let left = room.height * (1.0 - BANDS) - above - GAP * rows;
        let height = (left / rows).min(width * TALLEST);
        let pixels = |length: Millimetres| length.pixels(ppi()).floor().max(1.0) as u32;
        Size { width: pixels(width), height: pixels(height) }
    }

    /// The page with its pictures.
    ///
    /// # Panics
    /// If there is not a picture for each band and each patch.
    pub fn finish(self, pictures: StripPictures) -> Sheet {
        let (rows, columns) = (self.strip.rows.len(), self.strip.columns.len());
        assert!(pictures.bands.len() == self.strip.bands.len() && pictures.patches.len() == rows * columns);
        let mut items = self.head.items(None);
        let bottom = self.draw_bands(&mut items, pictures.bands, pictures.part);
        self.draw_grid(&mut items, bottom + LINE * BEFORE_GRID, pictures.patches);
        let title = self.head.title().to_owned();
        Sheet { pages: vec![Page { size: self.size.into(), part: None, bookmark: title.clone(), items }], title }
    }

    /// The bands, lines between them and their labels; gives where they end.
    fn draw_bands(&self, items: &mut Vec<Item>, bands: Vec<GrayImage>, part: plane::Area) -> Millimetres {
        let (room, stands) = (self.head.room(), self.stands());
        let (left, top) = (room.left, room.top + LINE * (self.above() + self.labels()));
        let (mut right, mut bottom) = (left, top);
        let (count, mut lines) = (bands.len(), Vec::new());
        for (i, (band, label)) in bands.into_iter().zip(&self.strip.bands).enumerate() {
            let (width, height) = (length(band.width()), length(band.height()));
            let area = if stands {
                Area { left: right, top, width, height }
            } else {
                Area { left, top: bottom, width, height }
            };
            items.push(Item::Pixels { area, pixels: Pixels::of(band) });
            let chosen = i == self.strip.chosen_band;
            if stands {
                set(items, label, area.left, top - LINE * 1.7, chosen);
            } else {
                set(items, label, area.right() + OFF * 1.6, area.top + area.height * 0.5, chosen);
            }
            if chosen {
                let bar = if stands {
                    Area { top: top - OFF, height: CHOSEN, ..area }
                } else {
                    Area { left: area.right() + OFF - CHOSEN, width: CHOSEN, ..area }
                };
                items.push(Item::Fill { area: bar, ink: BLACK });
            }
            if stands {
                (right, bottom) = (area.right(), bottom.max(area.bottom()));
            } else {
                (right, bottom) = (right.max(area.right()), area.bottom());
            }
            if i + 1 < count {
                let line = if stands {
                    Area { left: right - CUT * 0.5, top, width: CUT, height }
                } else {
                    Area { left, top: bottom - CUT * 0.5, width, height: CUT }
                };
                cut(&mut lines, line, stands);
            }
        }
        let (about, beside) = self.about_bands();
        let words = if beside { (right + self.beside() + WORDS_OFF, top - LINE * 0.1) } else { (left, room.top) };
        say(items, words, about);
        // Each band would cover half of the line before it.
        items.extend(lines);
        let (x, y) = (length(part.x), length(part.y));
        let framed = Area { left: left + x, top: top + y, width: length(part.width), height: length(part.height) };
        items.push(Item::Outline { area: framed.grown(CUT_GROUND), weight: CUT_GROUND * 2.0, ink: WHITE });
        items.push(Item::Outline { area: framed.grown(CUT_GROUND * 0.5), weight: CUT_GROUND * 0.7, ink: BLACK });
        bottom
    }

    fn draw_grid(&self, items: &mut Vec<Item>, top: Millimetres, patches: Vec<GrayImage>) {
        let room = self.head.room();
        let about = self.about_grid();
        let lines = about.len();
        say(items, (room.left, top), about);
        let size = self.patch();
        let (width, height) = (length(size.width), length(size.height));
        let first = (room.left + BESIDE, top + LINE * (lines as f64 + 2.6));
        let place = |row: usize, column: usize| Area {
            left: first.0 + (width + GAP) * column as f64,
            top: first.1 + (height + GAP) * row as f64,
            width,
            height,
        };
        let columns = self.strip.columns.len();
        for (i, patch) in patches.into_iter().enumerate() {
            items.push(Item::Pixels { area: place(i / columns, i % columns), pixels: Pixels::of(patch) });
        }
        for (column, label) in self.strip.columns.iter().enumerate() {
            set(items, label, place(0, column).left, first.1 - LINE * 1.45, column == self.strip.chosen.1);
        }
        for (row, label) in self.strip.rows.iter().enumerate() {
            set(items, label, room.left, place(row, 0).top + height * 0.5, row == self.strip.chosen.0);
        }
        let chosen = place(self.strip.chosen.0, self.strip.chosen.1);
        items.push(Item::Outline { area: chosen.grown((GAP + CHOSEN) * 0.5), weight: CHOSEN, ink: BLACK });
    }
}

/// Words in lines, from a corner.
fn say(items: &mut Vec<Item>, (left, top): (Millimetres, Millimetres), lines: Vec<String>) {
    for (line, text) in (1..).zip(lines) {
        let baseline = top + LINE * (f64::from(line) - 0.2);
        items.push(Item::Text(TextRun { left, baseline, size: SMALL, face: Face::Regular, ink: BLACK, text }));
    }
}

/// Sets a label's two lines, the upper one on a baseline; that of what is chosen heavier.
fn set(items: &mut Vec<Item>, label: &Label, left: Millimetres, baseline: Millimetres, chosen: bool) {
    let (face, ink) = if chosen { (Face::Medium, BLACK) } else { (Face::Regular, QUIET) };
    let what = TextRun { left, baseline, size: NAME, face, ink: BLACK, text: with_fractions(&label.what) };
    let much =
        TextRun { left, baseline: baseline + LINE * 0.9, size: SMALL, face, ink, text: with_fractions(&label.much) };
    items.extend([what, much].map(Item::Text));
}

/// A line that shows on any tone.
fn cut(items: &mut Vec<Item>, line: Area, stands: bool) {
    let half = (CUT_GROUND - CUT) * 0.5;
    let ground = if stands {
        Area { left: line.left - half, width: CUT_GROUND, ..line }
    } else {
        Area { top: line.top - half, height: CUT_GROUND, ..line }
    };
    items.push(Item::Fill { area: ground, ink: WHITE });
    items.push(Item::Fill { area: line, ink: BLACK });
}

fn ppi() -> PixelsPerInch {
    PixelsPerInch::new(STRIP_PPI).expect("a page has pixels")
}

fn length(pixels: u32) -> Millimetres {
    Millimetres::of_pixels(f64::from(pixels), ppi())
}
