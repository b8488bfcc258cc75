//! What can go wrong with a sheet.

use std::io;

use crate::save::refusal;

/// Why a sheet, or a picture for it, could not be made.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The bytes given as a picture are not a readable JPEG.
    #[error("the picture for the sheet cannot be read ({0}): make it again from its scan")]
    Unreadable(String),
    /// The JPEG has colour.
    #[error("the picture for the sheet is in colour: give an 8-bit grey JPEG")]
    Colour,
    /// What is wrong with a picture that is fetched.
    #[error("{name}: {error}")]
    Picture {
        /// Which picture.
        name: String,
        /// What is wrong.
        error: Box<Error>,
    },
    /// A print on a layout cannot be read; the text names it.
    #[error("{0}")]
    Print(String),
    /// A page was asked for that the sheet does not have.
    #[error("the sheet has {pages} pages, page {page} is not one of them: ask for 0 to {}", .pages.saturating_sub(1))]
    NoSuchPage {
        /// The page asked for, counted from 0.
        page: usize,
        /// How many there are.
        pages: usize,
    },
    /// The resolution of a raster page is out of bounds.
    #[error("a page cannot be drawn at {0} ppi: choose 10 to 1200")]
    Resolution(f64),
    /// The paper is too small for what is to lie on it: what that needs, and what there is.
    #[error("{0}")]
    TooSmall(String),
    /// A frame was to be shown in its true size, which is not known.
    #[error(
        "{0}: its scan does not say its resolution, so its size on film is not known: leave it out, or lay the sheet without --contact"
    )]
    SizeUnknown(String),
    /// A page with pictures was to be drawn as SVG.
    #[error("a page with pictures cannot be drawn as SVG: draw it as PNG")]
    PictureInSvg,
    /// Nothing more could be written.
    #[error("{}, or choose another folder with --out", refusal(.0))]
    Disk(#[from] io::Error),
    /// The PDF could not be put together.
    #[error("the PDF of the sheet cannot be made ({0}): make the pictures again from their scans")]
    Pdf(String),
}
