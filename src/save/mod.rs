//! Whole files or none: the TIFF of a flat positive or a print, the JPEG of a proof, PNGs to look at, and how any file
//! gets its name.

mod ahead;
mod colours;
mod deflate;
mod fingerprint;
mod inscribe;
mod jpeg;
mod kind;
mod lzw;
mod making;
mod open_hash;
mod pdf;
mod png;
mod refusal;
mod strips;
mod tiff;
mod whole;

pub use colours::Colours;
pub use fingerprint::fingerprint;
pub use inscribe::{Inscription, Moment, inscribe_jpeg, inscribe_png, packet};
pub use jpeg::{bare_jpeg, grey_jpeg, growing_jpeg, rgb_jpeg, small_jpeg};
pub use kind::{PictureKind, UnknownPictureKind};
pub use making::{Making, Written};
pub use pdf::{is_our_pdf, seal_pdf};
pub use png::{grey_png, is_our_png, rgb_png};
pub use refusal::refusal;
pub use strips::{Packing, Strips, UnknownPacking};
pub use tiff::{DeepTiff, write_tiff};
pub use whole::{LEFTOVER_PREFIX, Ready, ready, whole};

/// Program and version, as written into files.
pub const PROGRAM: &str = concat!("dryside ", env!("CARGO_PKG_VERSION"));

/// What can go wrong while saving.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The disk refused: full, read-only, gone.
    #[error("{}, or choose another folder with --out", refusal(.0))]
    Disk(#[from] std::io::Error),
    /// What was to be saved ended early, because whoever read it had to stop; he tells why.
    #[error("what it is made of ended early")]
    CutOff,
    /// The TIFF writer refused what it was given.
    #[error("cannot write as TIFF: {0}")]
    Tiff(::tiff::TiffError),
    /// The JPEG writer refused what it was given.
    #[error("cannot write as JPEG: {0}")]
    Jpeg(#[from] image::ImageError),
    /// The PNG writer refused what it was given.
    #[error("cannot write as PNG: {0}")]
    Png(::png::EncodingError),
}

impl From<::tiff::TiffError> for Error {
    fn from(error: ::tiff::TiffError) -> Self {
        match error {
            ::tiff::TiffError::IoError(disk) => Self::Disk(disk),
            other => Self::Tiff(other),
        }
    }
}
