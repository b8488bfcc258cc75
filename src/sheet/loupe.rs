//! A look through the loupe laid out: where the sharp places lie, how sharp the frame is, and parts of it pixel by
//! pixel. How many crops lie beside one another follows from the page's shape.

use image::GrayImage;

use super::area::Area;
use super::error::Error;
use super::face::Face;
use super::focus_map::{FocusMark, LEGEND, focus_map, legend, legend_length};
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
use crate::plane;

/// Resolution of a loupe's page: a pixel of the scan is one of the page.
pub const LOUPE_PPI: f64 = 200.0;

/// What every loupe says at its foot.
pub(super) const CAVEAT: &str =
    "crops are pixels of the flat positive, which is soft in tone by intent; judge on a print";

/// Crops side by side, and rows of them on the first page: one of these, whichever lets them be the largest. A frame
/// without places of its own has six.
const GRIDS: [(usize, usize); 4] = [(3, 2), (4, 2), (5, 2), (6, 1)];
/// The share of the room that the overview has at least.
const OVERVIEW: f64 = 0.28;
/// A crop is no smaller: less than that shows no grain in its place.
const LEAST_CROP: Millimetres = Millimetres::new(20.0);
/// A crop is no more than one part in so many of a frame's shorter side.
pub(super) const OF_A_FRAME: f64 = 3.5;
/// White between things side by side.
const GAP: Millimetres = Millimetres::new(4.0);
/// Lines under a crop, two of them with words, and white under the names of the two pictures.
const UNDER_CROP: f64 = 2.4;
const UNDER_PICTURES: f64 = 0.6;
/// White between table and sentences.
const AFTER_TABLE: f64 = 0.3;
/// Columns of the table begin at these shares of the page's width, or further right where their words need it.
const TABLE: [f64; 3] = [0.0, 0.2, 0.6];
/// Lines that a sentence may take.
const MOST_LINES: usize = 6;
/// Weights of the lines around a place.
const AROUND: Millimetres = Millimetres::new(0.7);
const LINE_AROUND: Millimetres = Millimetres::new(0.25);

const BLACK: Ink = Ink(0);
const WHITE: Ink = Ink(255);

/// A part of the frame, pixel by pixel.
#[derive(Clone, Debug)]
pub struct Crop {
    /// The letter that marks it in the overview.
    pub letter: String,
    /// What it is.
    pub words: String,
    /// Its pixels, upright.
    pub pixels: Pixels,
    /// Where it lies, in pixels of the overview.
    pub area: plane::Area,
}

/// What a loupe says.
#[derive(Clone, Debug, Default)]
pub struct LoupeWords {
    /// The page's head.
    pub head: Head,
    /// A small table: rows of three.
    pub table: Vec<[String; 3]>,
    /// Sentences below it.
    pub facts: Vec<String>,
}

/// What a loupe shows.
#[derive(Clone, Debug)]
pub struct LoupePictures {
    /// The whole frame as it prints, upright, no larger than its room.
    pub overview: GrayImage,
    /// The panes of which something is told.
    pub marks: Vec<FocusMark>,
    /// The crops, in order.
    pub crops: Vec<Crop>,
    /// Pixels of the page for each of theirs, each way.
    pub each: u32,
}

/// A loupe's page as far as it can be laid out without pictures.
pub struct LoupePage {
    size: PageSize,
    head: PageHead,
    table: Vec<[String; 3]>,
    /// Where the columns of the table begin.
    columns: [Millimetres; 3],
    /// The sentences in lines.
    lines: Vec<String>,
    /// Whether the legend of the map stands below the words on the crops; else beside them.
    legend_below: bool,
    /// Crops side by side, and rows of them on the first page.
    grid: (usize, usize),
    /// Side of a crop.
    side: Millimetres,
}

impl LoupePage {
    /// Begins a page.
    ///
    /// # Errors
    /// [`Error::TooSmall`] when the page does not hold it, with one that does.
    pub fn new(words: &LoupeWords, size: PageSize) -> Result<Self, Error> {
        let holds = |size| Self::laid(words, size).is_some();
        Self::laid(words, size).ok_or_else(|| too_small(size, "a look through the loupe", "", holds))
    }

    /// Nothing if the page does not hold it.
    fn laid(words: &LoupeWords, size: PageSize) -> Option<Self> {
        let head = PageHead::new(&words.head, size, CAVEAT);
        let room = head.room();
        let sentence = |fact: &String| {
            let words: Vec<&str> = fact.split(' ').collect();
            wrap(&words, " ", MOST_LINES, Face::Regular, SMALL, room.width)
        };
        let half = (room.width - GAP) * 0.5;
        let (about, legend) = (Face::Regular.length(&about_crops(ppi(), 1), SMALL), legend_length());
        if about.max(legend) > room.width {
            return None;
        }
        let mut page = Self {
            columns: columns(&words.table, room.width)?,
            table: words.table.clone(),
            lines: words.facts.iter().flat_map(sentence).collect(),
            legend_below: about.max(legend) > half,
            grid: GRIDS[0],
            side: Millimetres::default(),
            size,
            head,
        };
        let left = room.height * (1.0 - OVERVIEW) - page.words_height();
        for (across, down) in GRIDS {
            let wide = (room.width - GAP * (across - 1) as f64) / across as f64;
            let side = wide.min(left / down as f64 - LINE * UNDER_CROP);
            if side > page.side {
                (page.grid, page.side) = ((across, down), side);
            }
        }
        (page.side >= LEAST_CROP).then_some(page)
    }

    /// Height of everything between the pictures and the crops.
    fn words_height(&self) -> Millimetres {
        let below = if self.legend_below { LEGEND } else { Millimetres::default() };
        below + LEGEND + LINE * (UNDER_PICTURES + (self.table.len() + self.lines.len() + 1) as f64 + AFTER_TABLE)
    }

    /// From one row of crops to the next.
    fn pitch(&self) -> Millimetres {
        self.side + LINE * UNDER_CROP
    }

    /// Room for the overview, in whole millimetres: width and height.
    pub fn overview_room(&self) -> (u32, u32) {
        let room = self.head.room();
        let height = room.height - self.words_height() - self.pitch() * self.grid.1 as f64;
        let whole = |length: Millimetres| length.value().floor().max(10.0) as u32;
        (whole((room.width - GAP) * 0.5), whole(height))
    }

    /// Pixels of the scan across and down a crop, and pixels of the page for each of them, each way: enough of them
    /// that a crop is not most of a frame, whose shorter side is so many pixels.
    pub fn crop_pixels(&self, shorter: u32) -> (u32, u32) {
        let place = self.side.pixels(ppi()).floor();
        let each = (place * OF_A_FRAME / f64::from(shorter)).ceil().max(1.0);
        ((place / each).floor().max(1.0) as u32, each as u32)
    }

    /// The sheet: on the first page the overview, the focus map, the facts and the first crops; more crops on pages
    /// behind it.
    pub fn finish(self, pictures: &LoupePictures) -> Sheet {
        let room = self.head.room();
        let (across, down) = self.grid;
        let first = (across * down).min(pictures.crops.len());
        let per_page = ((room.height / self.pitch()).floor() as usize).max(1) * across;
        let later: Vec<&[Crop]> = pictures.crops[first..].chunks(per_page).collect();
        let pages = 1 + later.len();

        let mut items = self.head.items(Some((1, pages)));
        let bottom = self.draw_pictures(&mut items, pictures);
        let bottom = self.draw_facts(&mut items, bottom);
        let top = (room.bottom() - self.pitch() * down as f64).max(bottom);
        self.draw_crops(&mut items, top, &pictures.crops[..first], pictures.each);
        let (title, size) = (self.head.title().to_owned(), self.size.into());
        let mut all = vec![Page { size, part: None, bookmark: title.clone(), items }];
        for (number, crops) in (2..).zip(later) {
            let mut items = self.head.items(Some((number, pages)));
            self.draw_crops(&mut items, room.top, crops, pictures.each);
            all.push(Page { size, part: None, bookmark: format!("{title}, page {number}"), items });
        }
        Sheet { title, said: Said::default(), pages: all }
    }

    /// The overview with its letters, and the focus map; gives where they end.
    fn draw_pictures(&self, items: &mut Vec<Item>, pictures: &LoupePictures) -> Millimetres {
        let room = self.head.room();
        let (width, height) = (length(pictures.overview.width()), length(pictures.overview.height()));
        let overview = Area { left: room.left, top: room.top, width, height };
        let map = Area { left: room.left + (room.width + GAP) * 0.5, ..overview };
        items.push(Item::Pixels { area: overview, pixels: Pixels::of(pictures.overview.clone()) });
        focus_map(items, map, &pictures.overview, &pictures.marks);
        for crop in &pictures.crops {
            draw_place(items, overview, length(1), crop);
        }
        let mut baseline = overview.bottom() + LINE;
        say(items, room.left, baseline, BLACK, &about_crops(ppi(), pictures.each));
        let mut left = map.left;
        if self.legend_below {
            (left, baseline) = (room.left, baseline + LEGEND);
        }
        legend(items, left, baseline);
        baseline + LINE * UNDER_PICTURES
    }

    /// The table and the sentences; gives where they end.
    fn draw_facts(&self, items: &mut Vec<Item>, top: Millimetres) -> Millimetres {
        let left = self.head.room().left;
        let mut baseline = top;
        for (number, row) in self.table.iter().enumerate() {
            baseline += LINE;
            for (column, text) in self.columns.iter().zip(row) {
                let ink = if number == 0 { QUIET } else { BLACK };
                say(items, left + *column, baseline, ink, text);
            }
        }
        baseline += LINE * AFTER_TABLE;
        for line in &self.lines {
            baseline += LINE;
            say(items, left, baseline, QUIET, line);
        }
        baseline + LINE
    }

    /// Crops in rows that begin and end at the margins.
    fn draw_crops(&self, items: &mut Vec<Item>, top: Millimetres, crops: &[Crop], each: u32) {
        let (room, columns) = (self.head.room(), self.grid.0);
        let across = (room.width - self.side) / (columns - 1) as f64;
        let indent = Face::Medium.length("M ", NAME);
        for (i, crop) in crops.iter().enumerate() {
            let (left, top) = (room.left + across * (i % columns) as f64, top + self.pitch() * (i / columns) as f64);
            let size = crop.pixels.size();
            let area = Area { left, top, width: length(size.width * each), height: length(size.height * each) };
            items.push(Item::Pixels { area, pixels: crop.pixels.clone() });
            let baseline = area.bottom() + LINE;
            let text = crop.letter.clone();
            items.push(Item::Text(TextRun { left, baseline, size: NAME, face: Face::Medium, ink: BLACK, text }));
            let words: Vec<&str> = crop.words.split(' ').collect();
            let lines = wrap(&words, " ", 2, Face::Regular, SMALL, self.side - indent);
            for (line, text) in lines.iter().enumerate() {
                say(items, left + indent, baseline + LINE * line as f64, BLACK, text);
            }
        }
    }
}

/// Where the columns of a table begin, so that none runs into the next; nothing if the width does not hold them.
fn columns(table: &[[String; 3]], width: Millimetres) -> Option<[Millimetres; 3]> {
    let widest = |column: usize| {
        let lengths = table.iter().map(|row| Face::Regular.length(&row[column], SMALL));
        lengths.fold(Millimetres::default(), Millimetres::max)
    };
    let [first, second, third] = [0, 1, 2].map(widest);
    let last = width - third;
    let begin = |share: f64, least: Millimetres, most: Millimetres| (width * share).max(least).min(most);
    let middle = begin(TABLE[1], first + GAP, last - GAP - second);
    let end = begin(TABLE[2], middle + second + GAP, last);
    (middle >= first + GAP && end >= middle + second + GAP).then_some([Millimetres::default(), middle, end])
}

/// How large a pixel of the scan is drawn, on a page of so many pixels an inch.
pub(super) fn about_crops(ppi: PixelsPerInch, each: u32) -> String {
    let inch = ppi.value() / f64::from(each);
    format!("where the crops lie: in them a pixel of the scan is 1/{inch:.0} in wide")
}

/// A crop's place in the overview, whose pixels are of a size, with its letter beside it.
pub(super) fn draw_place(items: &mut Vec<Item>, overview: Area, pixel: Millimetres, crop: &Crop) {
    let length = |pixels: u32| pixel * f64::from(pixels);
    let place = Area {
        left: overview.left + length(crop.area.x),
        top: overview.top + length(crop.area.y),
        width: length(crop.area.width),
        height: length(crop.area.height),
    };
    items.push(Item::Outline { area: place.grown((AROUND - LINE_AROUND) * 0.5), weight: AROUND, ink: WHITE });
    items.push(Item::Outline { area: place, weight: LINE_AROUND, ink: BLACK });
    let (wide, high) = (Face::Medium.length(&crop.letter, NAME) + Millimetres::new(1.0), NAME * 0.95);
    // Beside it, towards the middle of the picture, so that no letter leaves it.
    let right = place.left + place.width * 0.5 < overview.left + overview.width * 0.5;
    let left = if right { place.right() + AROUND } else { place.left - AROUND - wide };
    let tag = Area { left, top: place.top + (place.height - high) * 0.5, width: wide, height: high };
    items.push(Item::Fill { area: tag, ink: WHITE });
    let baseline = tag.bottom() - NAME * 0.12;
    let left = tag.left + Millimetres::new(0.5);
    let text = crop.letter.clone();
    items.push(Item::Text(TextRun { left, baseline, size: NAME, face: Face::Medium, ink: BLACK, text }));
}

/// A line of small words.
pub(super) fn say(items: &mut Vec<Item>, left: Millimetres, baseline: Millimetres, ink: Ink, text: &str) {
    items.push(Item::Text(TextRun { left, baseline, size: SMALL, face: Face::Regular, ink, text: text.to_owned() }));
}

fn ppi() -> PixelsPerInch {
    PixelsPerInch::new(LOUPE_PPI).expect("a page has pixels")
}

fn length(pixels: u32) -> Millimetres {
    Millimetres::of_pixels(f64::from(pixels), ppi())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::apart::assert_apart;

    fn words() -> LoupeWords {
        let of = |words: [&str; 3]| words.map(str::to_owned);
        LoupeWords {
            head: Head {
                title: "loupe: sheet-01".to_owned(),
                date: "2026-11-25".to_owned(),
                kind: "Coils on the shelf".to_owned(),
                paper_and_table: "sheet-01.tif, 10000 \u{d7} 12000 pixels; places are in its pixels as stored"
                    .to_owned(),
                ..Head::default()
            },
            table: vec![
                of(["largest print", "at 300 pixels an inch", "at 240 pixels an inch"]),
                of([
                    "by its 10000 \u{d7} 12000 pixels",
                    "84.7 \u{d7} 101.6 cm (33.3 \u{d7} 40.0 in)",
                    "105.8 \u{d7} 127.0 cm (41.7 \u{d7} 50.0 in)",
                ]),
                of(["by its sharpest places", "not told", "not told"]),
            ],
            facts: vec!["It tells which parts are sharper than others, whatever their contrast. ".repeat(4); 2],
        }
    }

    fn pictures(page: &LoupePage, shape: f64, crops: u32) -> LoupePictures {
        let (wide, high) = page.overview_room();
        let width = f64::from(wide).min(f64::from(high) * shape);
        let pixels = |mm: f64| Millimetres::new(mm).pixels(ppi()).floor() as u32;
        let (side, each) = page.crop_pixels(9000);
        let crop = |i: u32| Crop {
            letter: char::from(b'A' + i as u8).to_string(),
            words: "next to it in sharpness \u{b7} 10000,12000".to_owned(),
            pixels: Pixels::of(GrayImage::new(side, side)),
            area: plane::Area { x: i, y: i, width: 9, height: 9 },
        };
        LoupePictures {
            overview: GrayImage::new(pixels(width), pixels(width / shape)),
            marks: Vec::new(),
            crops: (0..crops).map(crop).collect(),
            each,
        }
    }

    #[test]
    fn on_every_page_nothing_lies_outside_or_over_another() {
        let mut laid = 0;
        for size in PageSize::named() {
            for (shape, crops) in [(0.8, 6), (1.5, 6), (3.0, 9), (0.8, 23)] {
                match LoupePage::new(&words(), size) {
                    Ok(page) => {
                        let pictures = pictures(&page, shape, crops);
                        assert!(length(pictures.overview.width()).value() >= 15.0, "{size}: the overview is tiny");
                        page.finish(&pictures).pages.iter().for_each(|page| assert_apart(page, &size.to_string()));
                        laid += 1;
                    }
                    Err(error) => {
                        let told = error.to_string();
                        let (_, other) = told.rsplit_once("use ").unwrap();
                        assert!(LoupePage::new(&words(), other.parse().unwrap()).is_ok(), "{told}");
                        assert!(size.width().min(size.height()).value() < 150.0, "{told}");
                    }
                }
            }
        }
        assert!(laid >= 4 * 16, "{laid}");
    }

    #[test]
    fn a_page_that_is_too_small_is_told_with_one_that_would_do() {
        let told = LoupePage::new(&words(), "10x10cm".parse().unwrap()).err().unwrap().to_string();
        assert!(told.starts_with("10x10cm is too small for a look through the loupe: use a"), "{told}");
    }

    #[test]
    fn a_lying_page_has_its_crops_in_one_row() {
        let grid = |name: &str| LoupePage::new(&words(), name.parse().unwrap()).unwrap().grid;
        assert_eq!((grid("a4"), grid("a4-landscape")), ((3, 2), (6, 1)));
    }
}
