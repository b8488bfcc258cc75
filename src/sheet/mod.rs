//! Sheets to look at: pages composed from values, handed back as bytes.
//!
//! [`proof`] lays the frames of a batch out on pages, [`wedge`] draws a calibration, [`family`] the curves of a paper.
//! A page is a list of placed things in millimetres and knows nothing of its file; three backends draw it:
//! [`Sheet::pdf`] (text as text, JPEGs passed through untouched), [`Sheet::svg`] (pages without pictures) and
//! [`Sheet::raster`] (8-bit grey, any resolution). Nothing here touches the disk.

#[cfg(test)]
mod apart;
mod area;
mod callout;
mod canvas;
mod caption;
mod contact;
mod deep;
mod dust_map;
mod error;
mod explain;
mod explain_page;
mod face;
mod family;
mod focus_map;
mod fractions;
mod frame;
mod grid;
mod hatch;
mod layout;
mod legend;
mod lettering;
mod linear;
mod looks;
mod loupe;
mod mount;
mod named_sheets;
mod not_shown;
mod page;
mod page_head;
mod page_size;
mod pdf;
mod pen;
mod pencil;
mod picture;
mod pixels;
mod plot;
mod proof;
mod raster;
mod reduce;
mod ruler;
mod sectors;
mod shorten;
mod sizes;
mod splice;
mod stack;
mod stand;
mod strip;
mod svg;
mod too_small;
mod wedge;
mod wrap;
mod zones;

use std::io;

use image::GrayImage;

use crate::light::PixelsPerInch;

pub use deep::Deep;
pub use dust_map::{Dusty, DustyFrame, Spot, dust_map};
pub use error::Error;
pub use explain::{Explained, Mark, Outlined, explain};
pub use face::lacking;
pub use family::{Family, family};
pub use focus_map::FocusMark;
pub use frame::{Frame, Head, Lay, NotShown, OnFilm, Part};
pub use grid::GridSize;
pub use layout::{Captioned, Laid, LayoutPaper, Misfit, Stand, UnknownLayoutPaper, Wished, layout};
pub use looks::{Look, Looks, LooksLay, Seen};
pub use loupe::{Crop, LOUPE_PPI, LoupePage, LoupePictures, LoupeWords};
pub use page_size::{PageSize, UnknownPageSize};
pub use pen::PICTURE_PPI;
pub use pencil::Pencil;
pub use picture::Picture;
pub use pixels::Pixels;
pub use proof::proof;
pub use strip::{Label, STRIP_PPI, Strip, StripPage, StripPictures};
pub use wedge::wedge;
pub use zones::zones;

/// Pages laid out and ready to be drawn.
#[derive(Debug, Clone)]
pub struct Sheet {
    title: String,
    said: Said,
    pages: Vec<page::Page>,
}

/// What a PDF says of what is on it, beside its title.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Said {
    /// Who made the pictures.
    pub author: Option<String>,
    /// What they show.
    pub about: Option<String>,
    /// Words to find them by.
    pub keywords: Vec<String>,
}

impl Sheet {
    /// The same with what its PDF says of it.
    pub fn saying(self, said: Said) -> Self {
        Self { said, ..self }
    }

    /// How many pages there are, at least 1.
    pub fn pages(&self) -> usize {
        self.pages.len()
    }

    /// All pages as one PDF; the same bytes whenever the sheet is the same.
    ///
    /// # Errors
    /// [`Error::Unreadable`] or [`Error::Pdf`] when a picture cannot be embedded; [`Error::Picture`] says it of one that is
    /// fetched.
    pub fn pdf(&self) -> Result<Vec<u8>, Error> {
        let mut bytes = Vec::new();
        self.write_pdf(&mut bytes)?;
        Ok(bytes)
    }

    /// The same, written as it is made: pictures that are fetched are held one at a time.
    ///
    /// # Errors
    /// As [`pdf`](Self::pdf), and [`Error::Disk`] when `out` takes no more.
    pub fn write_pdf(&self, out: &mut dyn io::Write) -> Result<(), Error> {
        pdf::write(self, out)
    }

    /// One page, counted from 0, as SVG, letters by their outlines; the same bytes whenever the sheet is the same.
    ///
    /// # Errors
    /// [`Error::NoSuchPage`], or [`Error::PictureInSvg`] when there is a picture on it.
    pub fn svg(&self, page: usize) -> Result<String, Error> {
        svg::write(&self.title, self.page(page)?)
    }

    fn page(&self, page: usize) -> Result<&page::Page, Error> {
        self.pages.get(page).ok_or(Error::NoSuchPage { page, pages: self.pages.len() })
    }

    /// One page, counted from 0, as 8-bit grey with the sRGB tone curve, at 10 to 1200 pixels an inch.
    ///
    /// # Errors
    /// [`Error::NoSuchPage`], [`Error::Resolution`], or [`Error::Unreadable`] when a picture's bytes are damaged;
    /// [`Error::Picture`] says it of one that is fetched.
    pub fn raster(&self, page: usize, ppi: PixelsPerInch) -> Result<GrayImage, Error> {
        raster::draw(self.page(page)?, ppi)
    }
}
