//! A page as a list of placed things, before anything is drawn.

use super::area::Area;
use super::deep::Deep;
use super::face::Face;
use super::page_size::PageSize;
use super::picture::Picture;
use super::pixels::Pixels;
use crate::light::Millimetres;

/// A grey as its sRGB code: 0 black, 255 the paper's white.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Ink(pub(super) u8);

/// Words that stand back behind others.
pub(super) const QUIET: Ink = Ink(64);

/// One line of text.
#[derive(Debug, Clone)]
pub(super) struct TextRun {
    pub(super) left: Millimetres,
    pub(super) baseline: Millimetres,
    /// Body size, the font's em.
    pub(super) size: Millimetres,
    pub(super) face: Face,
    pub(super) ink: Ink,
    pub(super) text: String,
}

/// One thing on a page.
#[derive(Debug, Clone)]
pub(super) enum Item {
    Text(TextRun),
    /// A filled rectangle; a thin one is a rule.
    Fill {
        area: Area,
        ink: Ink,
    },
    /// A line of a given weight along the inside of an area's edges.
    Outline {
        area: Area,
        weight: Millimetres,
        ink: Ink,
    },
    /// A line through places, from the page's top left corner: across and down.
    Line {
        through: Vec<(Millimetres, Millimetres)>,
        weight: Millimetres,
        ink: Ink,
    },
    /// A picture, stretched over an area.
    Picture {
        area: Area,
        picture: Picture,
    },
    /// Pixels, kept as they are.
    Pixels {
        area: Area,
        pixels: Pixels,
    },
    /// A print's own pixels, each as large as it is. Only a PDF holds them; a page that is drawn leaves their room
    /// white.
    Print {
        area: Area,
        print: Deep,
    },
}

/// Width and height of a page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sides {
    pub(super) width: Millimetres,
    pub(super) height: Millimetres,
}
impl From<PageSize> for Sides {
    fn from(size: PageSize) -> Self {
        Self { width: size.width(), height: size.height() }
    }
}

/// One page; what comes later in `items` is drawn over what comes earlier.
#[derive(Debug, Clone)]
pub(super) struct Page {
    pub(super) size: Sides,
    /// The part of the sheet that it belongs to, where there are several: its bookmark stands below that of the part.
    pub(super) part: Option<&'static str>,
    pub(super) bookmark: String,
    pub(super) items: Vec<Item>,
}
