//! The file of a print.

use std::io::{BufWriter, Write};
use std::path::Path;

use rayon::prelude::*;

use crate::light::{Encoding, PixelsPerInch, grey_profile};
use crate::save::{self, GreyTiff, Packing, PictureKind};
use crate::scan::{self, Facts};

use super::expose::Exposure;

/// Why there is none.
#[derive(Debug, thiserror::Error)]
pub(super) enum Error {
    /// The scan.
    #[error(transparent)]
    Scan(#[from] scan::Error),
    /// What is written.
    #[error(transparent)]
    Save(#[from] save::Error),
    /// A JPEG or a PNG is held whole while it is written.
    #[error("{0} million pixels are too many for a JPEG or a PNG: save it as TIFF")]
    Large(u64),
}

impl From<std::io::Error> for Error {
    fn from(error: std::io::Error) -> Self {
        Self::Save(error.into())
    }
}

/// The most pixels of a file that is held whole: as many as are read of a JPEG.
const MOST_HELD: u64 = 200_000_000;

/// Writes the print as it is exposed; the file appears when it is whole.
///
/// # Errors
/// Those of the scan and of the disk.
pub(super) fn write(
    path: &Path,
    kind: PictureKind,
    exposure: &Exposure<'_>,
    ppi: PixelsPerInch,
    facts: &Facts,
) -> Result<(), Error> {
    let size = exposure.laid.sheet;
    match kind {
        PictureKind::Tiff => {
            let picture = GreyTiff {
                size,
                // Every printer and every lab reads plain TIFF, and grain does not shrink.
                packing: Packing::None,
                icc: &grey_profile(&Encoding::Srgb),
                resolution: Some((ppi, ppi)),
                // It stands upright.
                orientation: 1,
                software: save::PROGRAM,
                carried: &facts.carried.main,
                exif: &facts.carried.exif,
            };
            save::whole(path, |file| {
                save::write_grey_tiff(BufWriter::new(file), &picture, |strips| {
                    exposure.rows(|light| {
                        Ok::<_, Error>(strips.rows(&encoded(light, |code| code.round() as u16, 65_535.0))?)
                    })
                })
            })
        }
        PictureKind::Jpeg | PictureKind::Png => {
            if size.pixels() > MOST_HELD {
                return Err(Error::Large(size.pixels() / 1_000_000));
            }
            let mut greys = Vec::with_capacity(size.pixels() as usize);
            exposure.rows(|light| {
                greys.extend(encoded(light, |code| code.round() as u8, 255.0));
                Ok::<_, Error>(())
            })?;
            let bytes = match kind {
                PictureKind::Png => save::grey_png(&greys, size, ppi)?,
                PictureKind::Tiff | PictureKind::Jpeg => save::grey_jpeg(&greys, size, Some(ppi))?,
            };
            save::whole(path, |file| Ok(file.write_all(&bytes)?))
        }
    }
}

/// Luminances as codes up to `full`, in the sRGB encoding.
fn encoded<T: Send>(light: &[f32], round: impl Fn(f64) -> T + Sync, full: f64) -> Vec<T> {
    light.par_iter().map(|y| round(full * Encoding::Srgb.encode(f64::from(*y)))).collect()
}
