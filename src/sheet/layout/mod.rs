//! Finished prints laid on one paper, each at its own size, with captions: a page for a printer, as PDF or as rows of a
//! TIFF.

mod caption;
mod compose;
mod hang;
mod marks;
mod paper;

use super::area::Area;
use super::deep::Deep;
use super::error::Error;
use super::page::{Item, Page, Sides};
use super::{Said, Sheet};
use crate::light::{Millimetres, PixelsPerInch};
use crate::plane::Size;
use caption::{CaptionText, set};
use hang::{Block, Hung, hang};

pub use paper::{LayoutPaper, UnknownLayoutPaper};

/// A print, and what stands under it.
#[derive(Clone, Debug)]
pub struct Captioned {
    /// Width and height in pixels.
    pub size: Size,
    /// What it is called; empty for nothing.
    pub title: String,
    /// What else is to be said, set beside one another below the title: year, edition.
    pub facts: Vec<String>,
    /// How far in from the print's edge they begin: as far as its picture does.
    pub indent: Millimetres,
}

/// How prints are laid.
#[derive(Clone, Debug)]
pub struct Wished {
    /// The paper.
    pub paper: LayoutPaper,
    /// Resolution of all prints.
    pub ppi: PixelsPerInch,
    /// White at the paper's edges, at least.
    pub margin: Millimetres,
    /// White between prints, at least.
    pub gap: Millimetres,
    /// Where they stand between head and foot.
    pub stand: Stand,
    /// Short lines that lead a knife along each print's edges.
    pub cut_marks: bool,
    /// A fine line around each print.
    pub key_line: bool,
}

/// Where the prints stand between the paper's head and its foot.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stand {
    /// In the middle.
    #[default]
    Centred,
    /// A little above it: the foot is a fifth wider than the head, so that they do not seem to sink (common practice of
    /// those who mount prints).
    Raised,
}

/// Why prints cannot be laid as they should be.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Misfit {
    /// The paper is too small.
    #[error("{paper} is too small: these prints take {} at their size, margins included: {instead}", centimetres(*.takes))]
    Small {
        /// The paper as it was named.
        paper: String,
        /// Width and height that would do.
        takes: (Millimetres, Millimetres),
        /// What to do.
        instead: String,
    },
    /// There is no room for cut marks.
    #[error(
        "cut marks take room beside each print: give a --margin of {0:.0}mm and a --gap of {1:.0}mm or more, or leave --cut-marks"
    )]
    Marks(f64, f64),
    /// The page would be longer than readers of PDF take.
    #[error(
        "the page would be {0:.2} m long, and {1:.2} m is the most that programs read in a PDF: lay fewer prints at a time, \
         or a TIFF alone with --out NAME.tif"
    )]
    Long(f64, f64),
}

/// Width and height in cm, rounded up, so that they do.
fn centimetres((width, height): (Millimetres, Millimetres)) -> String {
    let [width, height] = [width, height].map(|side| (side.value() - 1e-6).ceil() / 10.0);
    format!("{width:.1} x {height:.1} cm")
}

/// The longest side of a page in a PDF, in mm: 14,400 units of 1/72 in, the limit that readers have (ISO 32000-1, annex
/// C).
const LONGEST: f64 = 14_400.0 / 72.0 * 25.4;

/// Prints on their paper.
#[derive(Clone, Debug)]
pub struct Laid {
    sides: Sides,
    ppi: PixelsPerInch,
    size: Size,
    hung: Vec<Hung>,
    items: Vec<Item>,
}

/// Lays prints in the order given, in rows, as many beside one another as the paper holds; of the two ways that a sheet
/// can lie the one that leaves more white around them. The prints of a row stand on one line, captions under them.
///
/// # Errors
/// [`Misfit`] when they do not fit, with what would do.
pub fn layout(prints: &[Captioned], wished: &Wished) -> Result<Laid, Misfit> {
    if wished.cut_marks && (wished.margin.value() < marks::REACH || wished.gap.value() < marks::BETWEEN) {
        return Err(Misfit::Marks(marks::REACH, marks::BETWEEN));
    }
    let texts: Vec<CaptionText> = prints.iter().map(|print| set(print, wished)).collect();
    let blocks: Vec<Block> =
        prints.iter().zip(&texts).map(|(print, text)| Block { size: print.size, below: text.height }).collect();
    let hung = hang(&blocks, wished)?;
    let mut items = Vec::new();
    for (place, text) in hung.places.iter().zip(&texts) {
        let area = place.area(wished.ppi);
        if wished.key_line {
            items.push(marks::key_line(area, wished.ppi));
        }
        if wished.cut_marks {
            items.extend(marks::cut_marks(area, wished.ppi));
        }
        items.extend(text.items(area));
    }
    Ok(Laid { sides: hung.sides, ppi: wished.ppi, size: hung.size, hung: hung.places, items })
}

impl Laid {
    /// Width and height of the page in pixels of the prints.
    pub fn size(&self) -> Size {
        self.size
    }

    /// Width and height of the page.
    pub fn sides(&self) -> (Millimetres, Millimetres) {
        (self.sides.width, self.sides.height)
    }

    /// Where each print's first pixel lies on the page, columns and rows from its top left.
    pub fn places(&self) -> impl Iterator<Item = (u32, u32)> {
        self.hung.iter().map(|hung| (hung.left, hung.top))
    }

    /// Whether it can be a page of a PDF. A TIFF may be longer.
    ///
    /// # Errors
    /// [`Misfit::Long`] when it is longer than readers take.
    pub fn refuse_long_pdf(&self) -> Result<(), Misfit> {
        let metres = |mm: f64| mm / 1000.0;
        let side = self.sides.width.max(self.sides.height).value();
        if side > LONGEST { Err(Misfit::Long(metres(side), metres(LONGEST))) } else { Ok(()) }
    }

    /// The page as a sheet that becomes a PDF, the prints' own pixels in it.
    ///
    /// # Panics
    /// If there are not as many prints as were laid.
    pub fn sheet(&self, title: &str, prints: Vec<Deep>) -> Sheet {
        assert_eq!(prints.len(), self.hung.len(), "each print that was laid is there");
        let shown = self.hung.iter().zip(prints).map(|(hung, print)| Item::Print { area: hung.area(self.ppi), print });
        let items = shown.chain(self.items.iter().cloned()).collect();
        let title = title.replace(char::is_control, " ");
        let pages = vec![Page { size: self.sides, part: None, bookmark: title.clone(), items }];
        Sheet { title, said: Said::default(), pages }
    }

    /// What is drawn beside the prints, as a page of its own.
    fn ink(&self) -> Page {
        Page { size: self.sides, part: None, bookmark: String::new(), items: self.items.clone() }
    }

    /// The page from top to bottom as codes of 16 bits, `samples` a pixel, in bands of whole rows that `put` takes.
    /// `row` fills in the next row of a print, named by its number among those laid; each is asked for all its rows,
    /// top first.
    ///
    /// # Errors
    /// What `row` and `put` return, or [`Error::Resolution`].
    pub fn compose<E: From<Error>>(
        &self,
        samples: usize,
        row: impl FnMut(usize, &mut [u16]) -> Result<(), E>,
        put: impl FnMut(&[u16]) -> Result<(), E>,
    ) -> Result<(), E> {
        compose::compose(&self.ink(), (self.size, self.ppi), &self.hung, samples, (row, put))
    }
}

impl Hung {
    /// What it covers on the page.
    fn area(&self, ppi: PixelsPerInch) -> Area {
        let [left, top, width, height] = [self.left, self.top, self.size.width, self.size.height]
            .map(|pixels| Millimetres::of_pixels(f64::from(pixels), ppi));
        Area { left, top, width, height }
    }
}
