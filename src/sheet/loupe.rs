//! A look through the loupe laid out: where the sharp places lie, how sharp the frame is, and parts of it pixel by pixel.

use image::GrayImage;

use super::Sheet;
use super::area::Area;
use super::face::Face;
use super::focus_map::{FocusMark, LEGEND, focus_map, legend};
use super::frame::Head;
use super::page::{Ink, Item, Page, QUIET, TextRun};
use super::page_head::PageHead;
use super::page_size::PageSize;
use super::pixels::Pixels;
use super::sizes::{LINE, NAME, SMALL};
use super::wrap::wrap;
use crate::light::{Millimetres, PixelsPerInch};
use crate::plane;

/// Resolution of a loupe's page: a pixel of the scan is one of the page.
pub const LOUPE_PPI: f64 = 200.0;

/// What every loupe says at its foot.
const CAVEAT: &str = "crops are pixels of the flat positive, which is soft in tone by intent; judge on a print";

/// Crops side by side, and rows of them on the first page and on later ones.
const COLUMNS: usize = 3;
const FIRST_ROWS: usize = 2;
/// A crop is no more than one part in so many of a frame's shorter side.
const OF_A_FRAME: f64 = 3.5;
/// White between things side by side.
const GAP: Millimetres = Millimetres::new(4.0);
/// Lines under a crop, and under the two pictures: their names.
const UNDER_CROP: f64 = 2.4;
const UNDER_PICTURES: f64 = 1.6;
/// Lines that the facts may take: a table and a few sentences.
const FACTS: f64 = 8.5;
/// Columns of the table begin at these shares of the page's width.
const TABLE: [f64; 3] = [0.0, 0.2, 0.6];
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

/// What a loupe shows.
#[derive(Clone, Debug)]
pub struct Loupe {
    /// The page's head.
    pub head: Head,
    /// The whole frame as it prints, upright.
    pub overview: GrayImage,
    /// The panes of which something is told.
    pub marks: Vec<FocusMark>,
    /// A small table: rows of three.
    pub table: Vec<[String; 3]>,
    /// Sentences below it.
    pub facts: Vec<String>,
    /// The crops, in order.
    pub crops: Vec<Crop>,
    /// Pixels of the page for each of theirs, each way.
    pub each: u32,
}

/// Room for the overview on a page, in whole millimetres: width and height.
pub fn overview_room(size: PageSize) -> (u32, u32) {
    let room = room(size);
    let below = (crop_side(size) + LINE * UNDER_CROP) * FIRST_ROWS as f64 + LEGEND + LINE * (UNDER_PICTURES + FACTS);
    let whole = |length: Millimetres| length.value().floor().max(10.0) as u32;
    (whole((room.width - GAP) * 0.5), whole(room.height - below))
}

/// Pixels of the scan across and down a crop, and pixels of the page for each of them, each way: enough of them that a crop is
/// not most of a frame, whose shorter side is so many pixels.
pub fn crop_pixels(size: PageSize, shorter: u32) -> (u32, u32) {
    let place = crop_side(size).pixels(ppi()).floor();
    let each = (place * OF_A_FRAME / f64::from(shorter)).ceil().max(1.0);
    ((place / each).floor().max(1.0) as u32, each as u32)
}

fn crop_side(size: PageSize) -> Millimetres {
    (room(size).width - GAP * (COLUMNS - 1) as f64) / COLUMNS as f64
}

fn room(size: PageSize) -> Area {
    // One line of facts in the head, as a loupe has it.
    let head = Head { title: " ".to_owned(), kind: "-".to_owned(), ..Head::default() };
    PageHead::new(&head, size, CAVEAT).room()
}

/// Lays it out: on the first page the overview, the focus map, the facts and six crops; more crops on pages behind it.
pub fn loupe(loupe: &Loupe, size: PageSize) -> Sheet {
    let head = PageHead::new(&loupe.head, size, CAVEAT);
    let room = head.room();
    let side = crop_side(size);
    let pitch = side + LINE * UNDER_CROP;
    let first = (FIRST_ROWS * COLUMNS).min(loupe.crops.len());
    let per_page = ((room.height / pitch).floor() as usize).max(1) * COLUMNS;
    let later: Vec<&[Crop]> = loupe.crops[first..].chunks(per_page).collect();
    let pages = 1 + later.len();

    let mut items = head.items(Some((1, pages)));
    let bottom = draw_pictures(&mut items, room, loupe);
    let bottom = draw_facts(&mut items, room, bottom, loupe);
    let top = (room.bottom() - pitch * FIRST_ROWS as f64).max(bottom);
    draw_crops(&mut items, (room.left, top), (side + GAP, pitch), &loupe.crops[..first], loupe.each);
    let title = head.title().to_owned();
    let mut all = vec![Page { size: size.into(), part: None, bookmark: title.clone(), items }];
    for (number, crops) in (2..).zip(later) {
        let mut items = head.items(Some((number, pages)));
        draw_crops(&mut items, (room.left, room.top), (side + GAP, pitch), crops, loupe.each);
        all.push(Page { size: size.into(), part: None, bookmark: format!("{title}, page {number}"), items });
    }
    Sheet { title, pages: all }
}

/// The overview with its letters, and the focus map; gives where they end.
fn draw_pictures(items: &mut Vec<Item>, room: Area, loupe: &Loupe) -> Millimetres {
    let (width, height) = (length(loupe.overview.width()), length(loupe.overview.height()));
    let overview = Area { left: room.left, top: room.top, width, height };
    let map = Area { left: room.left + (room.width + GAP) * 0.5, ..overview };
    items.push(Item::Pixels { area: overview, pixels: Pixels::of(loupe.overview.clone()) });
    focus_map(items, map, &loupe.overview, &loupe.marks);
    for crop in &loupe.crops {
        draw_place(items, overview, crop);
    }
    let baseline = overview.bottom() + LINE;
    say(items, room.left, baseline, SMALL, BLACK, &about_crops(loupe.each));
    legend(items, map.left, baseline);
    overview.bottom() + LEGEND + LINE * (UNDER_PICTURES - 1.0)
}

fn about_crops(each: u32) -> String {
    let inch = LOUPE_PPI / f64::from(each);
    format!("where the crops lie: in them a pixel of the scan is 1/{inch:.0} in wide")
}

/// A crop's place in the overview, with its letter beside it.
fn draw_place(items: &mut Vec<Item>, overview: Area, crop: &Crop) {
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

/// The table and the sentences; gives where they end.
fn draw_facts(items: &mut Vec<Item>, room: Area, top: Millimetres, loupe: &Loupe) -> Millimetres {
    let mut baseline = top;
    for (number, row) in loupe.table.iter().enumerate() {
        baseline += LINE;
        for (share, text) in TABLE.iter().zip(row) {
            let ink = if number == 0 { QUIET } else { BLACK };
            say(items, room.left + room.width * *share, baseline, SMALL, ink, text);
        }
    }
    baseline += LINE * 0.3;
    for fact in &loupe.facts {
        let words: Vec<&str> = fact.split(' ').collect();
        for line in wrap(&words, " ", 3, Face::Regular, SMALL, room.width) {
            baseline += LINE;
            say(items, room.left, baseline, SMALL, QUIET, &line);
        }
    }
    baseline + LINE
}

fn draw_crops(
    items: &mut Vec<Item>,
    (left, top): (Millimetres, Millimetres),
    (across, down): (Millimetres, Millimetres),
    crops: &[Crop],
    each: u32,
) {
    for (i, crop) in crops.iter().enumerate() {
        let (left, top) = (left + across * (i % COLUMNS) as f64, top + down * (i / COLUMNS) as f64);
        let size = crop.pixels.size();
        let area = Area { left, top, width: length(size.width * each), height: length(size.height * each) };
        items.push(Item::Pixels { area, pixels: crop.pixels.clone() });
        let baseline = area.bottom() + LINE;
        let text = crop.letter.clone();
        let indent = Face::Medium.length("M ", NAME);
        items.push(Item::Text(TextRun { left, baseline, size: NAME, face: Face::Medium, ink: BLACK, text }));
        say(items, left + indent, baseline, SMALL, BLACK, &crop.words);
    }
}

fn say(items: &mut Vec<Item>, left: Millimetres, baseline: Millimetres, size: Millimetres, ink: Ink, text: &str) {
    items.push(Item::Text(TextRun { left, baseline, size, face: Face::Regular, ink, text: text.to_owned() }));
}

fn ppi() -> PixelsPerInch {
    PixelsPerInch::new(LOUPE_PPI).expect("a page has pixels")
}

fn length(pixels: u32) -> Millimetres {
    Millimetres::of_pixels(f64::from(pixels), ppi())
}
