//! Pages of the loupe behind a proof sheet: a row for each frame, with the map of what is sharp in it and its sharpest
//! places.

use std::rc::Rc;

use image::GrayImage;

use super::area::Area;
use super::error::Error;
use super::face::Face;
use super::focus_map::{FocusMark, LEGEND, focus_map, legend, legend_length};
use super::frame::Head;
use super::loupe::{CAVEAT, Crop, OF_A_FRAME, about_crops, draw_place, say};
use super::page::{Ink, Item, QUIET, TextRun};
use super::page_head::PageHead;
use super::page_size::PageSize;
use super::proof::Mounted;
use super::shorten::shorten;
use super::sizes::{LINE, NAME, SMALL};
use super::too_small::too_small;
use super::wrap::wrap;
use crate::light::{Millimetres, PixelsPerInch};

/// What the pages are called, and what their head says.
pub(super) const PART: &str = "loupe";
const KIND: &str = "loupe: what is sharp in each frame, and its sharpest places pixel by pixel";

/// Room for the words beside the pictures, at least.
const WORDS: Millimetres = Millimetres::new(38.0);
/// A picture's side: on larger paper there are more rows, and less than that shows no grain in its place.
const MOST: Millimetres = Millimetres::new(48.0);
const LEAST: Millimetres = Millimetres::new(25.0);
/// White between things side by side, and between rows.
const GAP: Millimetres = Millimetres::new(4.0);
/// Lines under a crop: two of words.
const UNDER: f64 = 2.4;
/// Crops beside the map, at most.
const CROPS: usize = 2;
/// Lines that a fact, a subject or a reason may take.
const MOST_LINES: usize = 3;
const KEYLINE: Millimetres = Millimetres::from_points(0.4);

const BLACK: Ink = Ink(0);

/// A frame that was looked at, or why it was not.
#[derive(Clone, Debug)]
pub struct Look {
    /// Its name.
    pub name: String,
    /// What the photographer calls it.
    pub called: Option<String>,
    /// What is shown of it.
    pub seen: Result<Seen, String>,
}

/// What is shown of a frame.
#[derive(Clone, Debug)]
pub struct Seen {
    /// The whole frame as it prints, upright, no larger than its room.
    pub overview: GrayImage,
    /// The panes of which something is told.
    pub marks: Vec<FocusMark>,
    /// Its sharpest places.
    pub crops: Vec<Crop>,
    /// Pixels of the page for each of theirs, each way.
    pub each: u32,
    /// How sharp it is, and how large it can be printed: a sentence each.
    pub facts: Vec<String>,
}

/// How looks are laid on a page.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LooksLay {
    page: PageSize,
    ppi: PixelsPerInch,
    /// Side of a picture.
    side: Millimetres,
    /// Crops beside the map.
    crops: usize,
}

impl LooksLay {
    /// For a page whose pictures have a resolution: a pixel of the scan is one of the page.
    ///
    /// # Errors
    /// [`Error::TooSmall`] when the page does not hold a row, with one that does.
    pub fn new(page: PageSize, ppi: PixelsPerInch) -> Result<Self, Error> {
        let laid = |page| Self::laid(page, ppi);
        laid(page).ok_or_else(|| too_small(page, "a look through the loupe", "", |other| laid(other).is_some()))
    }

    fn laid(page: PageSize, ppi: PixelsPerInch) -> Option<Self> {
        // The day is as long as any.
        let room = head(&Head { date: "2026-11-26".to_owned(), ..Head::default() }, page).room();
        let with = |crops: usize| {
            let side = ((room.width - WORDS) / (crops + 1) as f64 - GAP).min(MOST);
            Self { page, ppi, side, crops }
        };
        let holds = |lay: &Self| lay.side >= LEAST && lay.rows(room) > 0;
        let words = legend_length().max(Face::Regular.length(&about_crops(ppi, 1), SMALL));
        (1..=CROPS).rev().map(with).find(holds).filter(|_| words <= room.width)
    }

    /// Rows on a page.
    fn rows(&self, room: Area) -> usize {
        ((room.height - LEGEND * 2.0) / self.pitch()).max(0.0).floor() as usize
    }

    fn pitch(&self) -> Millimetres {
        self.side + LINE * UNDER + GAP
    }

    /// Room for an overview, in whole millimetres: width and height.
    pub fn overview_room(&self) -> (u32, u32) {
        let side = self.side.value().floor() as u32;
        (side, side)
    }

    /// Crops of a frame.
    pub fn crops(&self) -> usize {
        self.crops
    }

    /// Pixels of the page an inch.
    pub fn ppi(&self) -> PixelsPerInch {
        self.ppi
    }

    /// Pixels of the scan across and down a crop, and pixels of the page for each of them, each way, as on a page of
    /// the loupe.
    pub fn crop_pixels(&self, shorter: u32) -> (u32, u32) {
        let place = self.side.pixels(self.ppi).floor();
        let each = (place * OF_A_FRAME / f64::from(shorter)).ceil().max(1.0);
        ((place / each).floor().max(1.0) as u32, each as u32)
    }

    fn pixel(&self) -> Millimetres {
        Millimetres::of_pixels(1.0, self.ppi)
    }
}

/// Frames under the loupe, and how they are laid.
#[derive(Clone, Debug)]
pub struct Looks {
    /// How they are laid.
    pub lay: LooksLay,
    /// They, in order.
    pub frames: Vec<Look>,
}

fn head(of_sheet: &Head, page: PageSize) -> PageHead {
    let head =
        Head { kind: KIND.to_owned(), paper_and_table: String::new(), densities: String::new(), ..of_sheet.clone() };
    PageHead::new(&head, page, CAVEAT)
}

/// The pages of the loupe.
pub(super) fn pages(looks: &Looks, of_sheet: &Head) -> Vec<Mounted> {
    let lay = &looks.lay;
    let head = Rc::new(head(of_sheet, lay.page));
    let room = head.room();
    let page = |looks: &[Look]| {
        let mut items = Vec::new();
        legend(&mut items, room.left, room.top);
        let each = looks.iter().filter_map(|look| look.seen.as_ref().ok()).map(|seen| seen.each).max().unwrap_or(1);
        let about = about_crops(lay.ppi, each);
        say(&mut items, room.left, room.top + LEGEND, BLACK, &about);
        let first = room.top + LEGEND * 2.0;
        for (number, look) in looks.iter().enumerate() {
            draw(&mut items, lay, (room, first + lay.pitch() * number as f64), look);
        }
        let (names, head) = (looks.iter().map(|look| look.name.clone()).collect(), Rc::clone(&head));
        Mounted { names, items: Box::new(move |page, pages| [head.items(Some((page, pages))), items].concat()) }
    };
    // One way to draw pixels a page, so that one line says how large they are.
    let each = |look: &Look| look.seen.as_ref().ok().map(|seen| seen.each);
    let alike = looks.frames.chunk_by(|a, b| each(a).is_none() || each(b).is_none() || each(a) == each(b));
    alike.flat_map(|looks| looks.chunks(lay.rows(room).max(1))).map(page).collect()
}

/// One row.
fn draw(items: &mut Vec<Item>, lay: &LooksLay, (room, top): (Area, Millimetres), look: &Look) {
    let place = |number: usize| room.left + (lay.side + GAP) * number as f64;
    let mut facts: &[String] = &[];
    match &look.seen {
        Ok(seen) => {
            facts = &seen.facts;
            draw_pictures(items, lay, (room.left, top), seen);
        }
        Err(reason) => {
            let width = place(lay.crops + 1) - GAP - room.left;
            let area = Area { left: room.left, top, width, height: lay.side };
            items.push(Item::Outline { area, weight: KEYLINE, ink: QUIET });
            let lines = set(reason, width - GAP * 2.0, MOST_LINES);
            for (line, text) in lines.iter().enumerate() {
                say(items, room.left + GAP, top + GAP + LINE * (line + 1) as f64, BLACK, text);
            }
        }
    }
    let left = place(lay.crops + 1);
    let width = room.right() - left;
    let mut baseline = top + NAME * 0.75;
    let text = shorten(&look.name, Face::Medium, NAME, width);
    items.push(Item::Text(TextRun { left, baseline, size: NAME, face: Face::Medium, ink: BLACK, text }));
    for (text, ink) in look.called.iter().map(|text| (text, BLACK)).chain(facts.iter().map(|text| (text, QUIET))) {
        for line in set(text, width, MOST_LINES) {
            baseline += LINE;
            // What is too much for the row is in the notes.
            if baseline < top + lay.pitch() - GAP {
                say(items, left, baseline, ink, &line);
            }
        }
        baseline += LINE * 0.35;
    }
}

/// The map with the places in it, and the crops.
fn draw_pictures(items: &mut Vec<Item>, lay: &LooksLay, (left, top): (Millimetres, Millimetres), seen: &Seen) {
    let pixels = |count: u32| lay.pixel() * f64::from(count);
    let map = Area { left, top, width: pixels(seen.overview.width()), height: pixels(seen.overview.height()) };
    focus_map(items, map, &seen.overview, &seen.marks);
    let indent = Face::Medium.length("M ", NAME);
    for (number, crop) in (1..).zip(&seen.crops) {
        draw_place(items, map, lay.pixel(), crop);
        let left = left + (lay.side + GAP) * f64::from(number);
        let size = crop.pixels.size();
        let area = Area { left, top, width: pixels(size.width * seen.each), height: pixels(size.height * seen.each) };
        items.push(Item::Pixels { area, pixels: crop.pixels.clone() });
        let baseline = area.bottom() + LINE;
        let text = crop.letter.clone();
        items.push(Item::Text(TextRun { left, baseline, size: NAME, face: Face::Medium, ink: BLACK, text }));
        for (line, text) in set(&crop.words, lay.side - indent, 2).iter().enumerate() {
            say(items, left + indent, baseline + LINE * line as f64, BLACK, text);
        }
    }
}

fn set(text: &str, room: Millimetres, most: usize) -> Vec<String> {
    let words: Vec<&str> = text.split(' ').collect();
    wrap(&words, " ", most, Face::Regular, SMALL, room)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane;
    use crate::sheet::apart::assert_apart;
    use crate::sheet::{Lay, Pixels, proof};

    fn look(lay: &LooksLay, name: &str, shorter: u32) -> Look {
        let (side, each) = lay.crop_pixels(shorter);
        let crop = |letter: &str| Crop {
            letter: letter.to_owned(),
            words: "the next sharpest \u{b7} 10000,12000".to_owned(),
            pixels: Pixels::of(GrayImage::new(side, side)),
            area: plane::Area { x: 3, y: 3, width: 9, height: 9 },
        };
        let room = f64::from(lay.overview_room().0);
        let wide = Millimetres::new(room).pixels(lay.ppi()).floor() as u32;
        let seen = Seen {
            overview: GrayImage::new(wide, wide * 4 / 5),
            marks: Vec::new(),
            crops: ["A", "B"].map(crop)[..lay.crops()].to_vec(),
            each,
            facts: vec!["largest print at 300 pixels an inch: 84.7 \u{d7} 101.6 cm by its pixels".to_owned(); 4],
        };
        Look { name: name.to_owned(), called: Some("Coils on the shelf, late".to_owned()), seen: Ok(seen) }
    }

    fn ppi(value: f64) -> PixelsPerInch {
        PixelsPerInch::new(value).unwrap()
    }

    #[test]
    fn on_every_page_nothing_lies_outside_or_over_another() {
        let mut laid = 0;
        for size in PageSize::named() {
            let lay = match LooksLay::new(size, ppi(200.0)) {
                Ok(lay) => lay,
                Err(error) => {
                    let (told, other) = (error.to_string(), error.to_string());
                    let (_, other) = other.rsplit_once("use ").unwrap();
                    assert!(LooksLay::new(other.parse().unwrap(), ppi(200.0)).is_ok(), "{told}");
                    assert!(size.width().min(size.height()).value() < 130.0, "{told}");
                    continue;
                }
            };
            let mut frames: Vec<Look> = (0..9).map(|i| look(&lay, &format!("roll-{i}"), 9000)).collect();
            frames[2].seen = Err("its scan is away: say where the scans are with --scans FOLDER".to_owned());
            let head = Head { title: "Ropewalk".to_owned(), date: "2026-11-26".to_owned(), ..Head::default() };
            let sheet =
                proof(&[], Some(&Looks { lay, frames }), &head, &Lay { page: size, grid: None, contact: false });
            let sheet = sheet.unwrap();
            sheet.pages.iter().for_each(|page| assert_apart(page, &size.to_string()));
            assert!(sheet.pages() <= 9 && sheet.pages.iter().all(|page| page.part == Some("loupe")));
            laid += 1;
        }
        assert!(laid >= 17, "{laid}");
        let told = LooksLay::new("10x10cm".parse().unwrap(), ppi(200.0)).err().unwrap().to_string();
        assert!(told.starts_with("10x10cm is too small for a look through the loupe: use "), "{told}");
    }

    #[test]
    fn a_page_has_pixels_of_one_size_and_says_which() {
        let lay = LooksLay::new(PageSize::A4, ppi(200.0)).unwrap();
        let frames = vec![look(&lay, "a", 9000), look(&lay, "b", 400), look(&lay, "c", 400)];
        let pages = pages(&Looks { lay, frames }, &Head::default());
        let names: Vec<Vec<String>> = pages.iter().map(|page| page.names.clone()).collect();
        assert_eq!(names, [vec!["a"], vec!["b", "c"]]);
    }
}
