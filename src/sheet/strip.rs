//! A test strip laid out: the whole frame in bands of exposure, as under an enlarger, and below it a part of it in
//! several grades and exposures.

use image::GrayImage;

use super::area::Area;
use super::error::Error;
use super::face::Face;
use super::fractions::with_fractions;
use super::frame::Head;
use super::page::{Ink, Item, Page, QUIET, TextRun};
use super::page_head::PageHead;
use super::page_size::PageSize;
use super::pixels::Pixels;
use super::sizes::{LINE, NAME, SMALL};
use super::too_small::too_small;
use super::wrap::wrap;
use super::{Said, Sheet};
use crate::light::{Millimetres, PixelsPerInch};
use crate::plane::{self, Size};

/// Resolution of a test strip's pictures and of its page in pixels: one arc-minute at 30 cm is 291 (published;
/// computed).
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
/// Between two labels.
const APART: Millimetres = Millimetres::new(0.8);
/// Nothing is judged on a smaller patch, nor on a smaller picture in bands.
const LEAST_PATCH: Millimetres = Millimetres::new(7.0);
const LEAST_PICTURE: Millimetres = Millimetres::new(20.0);
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
    ///
    /// # Errors
    /// [`Error::TooSmall`] when the page does not hold it, with what would do.
    pub fn new(strip: Strip, size: PageSize) -> Result<Self, Error> {
        let page = Self::laid(strip, size);
        if page.holds() {
            return Ok(page);
        }
        let holds = |size| Self::laid(page.strip.clone(), size).holds();
        let fewer = if page.strip.bands.len() > 3 { "take fewer --steps, or " } else { "" };
        Err(too_small(size, "this test strip", fewer, holds))
    }

    fn laid(strip: Strip, size: PageSize) -> Self {
        let head = PageHead::new(&strip.head, size, CAVEAT);
        Self { strip, head, size }
    }

    /// Whether pictures are large enough, and no words run into others.
    fn holds(&self) -> bool {
        let longest = |labels: &[Label]| labels.iter().map(length_of).fold(Millimetres::default(), Millimetres::max);
        let (lines, beside) = self.about_bands();
        let wide = self.picture_width(self.above());
        let high = wide / self.strip.shape;
        let bands = self.strip.bands.len() as f64;
        let bands_hold = if self.stands() {
            wide / bands >= longest(&self.strip.bands) + APART
        } else {
            high / bands >= LINE * 2.0 && longest(&self.strip.bands) + OFF * 1.6 <= BESIDE_BAND
        };
        let words_hold = !beside || LINE * lines.len() as f64 <= high;
        let (width, height) = self.patch_sides();
        let grid_holds = width.min(height) >= LEAST_PATCH && longest(&self.strip.columns) + APART <= width + GAP;
        wide.min(high) >= LEAST_PICTURE && bands_hold && words_hold && grid_holds
    }

    /// Whether bands stand side by side; else they lie one below the other.
    fn stands(&self) -> bool {
        self.strip.shape >= 1.0
    }

    /// Words broken into lines that fit a width.
    fn about(text: &str, width: Millimetres) -> Vec<String> {
        let text = with_fractions(text);
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

    /// Room beside the grid for the labels of its rows.
    fn beside_grid(&self) -> Millimetres {
        self.strip.rows.iter().map(|label| length_of(label) + OFF).fold(BESIDE, Millimetres::max)
    }

    /// Width and height of a patch of the grid; less than nothing where there is no room.
    fn patch_sides(&self) -> (Millimetres, Millimetres) {
        let room = self.head.room();
        let (columns, rows) = (self.strip.columns.len() as f64, self.strip.rows.len() as f64);
        let width = (room.width - self.beside_grid() - GAP * (columns - 1.0)) / columns;
        let above = LINE * (self.about_grid().len() as f64 + BEFORE_GRID + 2.6);
        let left = room.height * (1.0 - BANDS) - above - GAP * rows;
        (width, (left / rows).min(width * TALLEST))
    }

    /// Pixels of a patch of the grid.
    pub fn patch(&self) -> Size {
        let (width, height) = self.patch_sides();
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
        let pages = vec![Page { size: self.size.into(), part: None, bookmark: title.clone(), items }];
        Sheet { title, said: Said::default(), pages }
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
        let first = (room.left + self.beside_grid(), top + LINE * (lines as f64 + 2.6));
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

/// How long the longer of a label's lines is, set as what is chosen.
fn length_of(label: &Label) -> Millimetres {
    let length = |text: &str, size| Face::Medium.length(&with_fractions(text), size);
    length(&label.what, NAME).max(length(&label.much, SMALL))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::apart::assert_apart;

    fn strip(shape: f64, steps: u32) -> Strip {
        let label = |what: &str, much: &str| Label { what: what.to_owned(), much: much.to_owned() };
        let columns: Vec<Label> = (0..steps).map(|_| label("-1 2/3", "\u{d7}\u{a0}0.31")).collect();
        let words = "Bands: the whole frame in grade 2, 1/3 stop from one to the next. The bar marks the print. ";
        Strip {
            head: Head {
                title: "test strip: sheet-01".to_owned(),
                date: "2026-11-25".to_owned(),
                kind: "Coils on the shelf".to_owned(),
                paper_and_table: "paper neutral glossy, grades after the table of a colour head".to_owned(),
                ..Head::default()
            },
            shape,
            bands: columns.clone(),
            chosen_band: steps as usize / 2,
            rows: (0..5).map(|_| label("grade 1 1/2", "R 110 \u{b7} \u{d7}\u{a0}1.26")).collect(),
            columns,
            chosen: (2, steps as usize / 2),
            about_bands: words.repeat(3),
            about_grid: words.repeat(3),
        }
    }

    /// All pictures as large as their room.
    fn pictures(page: &StripPage) -> StripPictures {
        let (wide, high) = page.picture_room();
        let pixels =
            |mm: u32, parts: u32| (Millimetres::new(f64::from(mm)).pixels(ppi()) / f64::from(parts)).floor() as u32;
        let count = page.strip.bands.len();
        let (across, down) = if page.stands() { (count as u32, 1) } else { (1, count as u32) };
        let patch = page.patch();
        StripPictures {
            bands: vec![GrayImage::new(pixels(wide, across), pixels(high, down)); count],
            part: plane::Area { x: 3, y: 3, width: 9, height: 9 },
            patches: vec![GrayImage::new(patch.width, patch.height); count * page.strip.rows.len()],
        }
    }

    #[test]
    fn on_every_page_nothing_lies_outside_or_over_another() {
        let mut laid = Vec::new();
        for size in PageSize::named() {
            for (shape, steps) in [(0.8, 7), (1.25, 7), (1.5, 3), (1.0, 11), (0.67, 11)] {
                match StripPage::new(strip(shape, steps), size) {
                    Ok(page) => {
                        let pictures = pictures(&page);
                        page.finish(pictures).pages.iter().for_each(|page| assert_apart(page, &size.to_string()));
                        laid.push((size.to_string(), steps));
                    }
                    Err(error) => {
                        let told = error.to_string();
                        let (_, other) = told.rsplit_once("use ").unwrap();
                        assert!(StripPage::new(strip(shape, steps), other.parse().unwrap()).is_ok(), "{told}");
                    }
                }
            }
        }
        for size in ["a4", "letter", "a3", "a3-landscape", "16x20"] {
            assert!(laid.contains(&(size.to_owned(), 7)), "{size} holds a strip of seven: {laid:?}");
        }
    }

    #[test]
    fn a_page_that_is_too_small_is_told_with_what_would_do() {
        let told = StripPage::new(strip(0.8, 7), "10x10cm".parse().unwrap()).err().unwrap().to_string();
        assert!(told.starts_with("10x10cm is too small for this test strip: take fewer --steps, or use "), "{told}");
    }
}
