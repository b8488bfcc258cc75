//! The file of a print.

use std::io::{BufWriter, Write};
use std::path::Path;

use rayon::prelude::*;

use crate::light::{Encoding, grey_profile, srgb_profile};
use crate::save::{self, Colours, DeepTiff, Packing, PictureKind, Written};
use crate::scan::{self, Carried};

use super::expose::Exposure;
use super::recipe::Recipe;

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

/// Writes the print as it is exposed, with what it `carried` from its scan and its notes; the file appears when it is
/// whole. Says what has been written.
///
/// # Errors
/// Those of the scan and of the disk.
pub(super) fn write(
    path: &Path,
    recipe: &Recipe,
    exposure: &Exposure<'_>,
    carried: &Carried,
) -> Result<Written, Error> {
    let (size, ppi) = (exposure.laid.sheet, recipe.easel.ppi);
    let dye = Dye(recipe.toned());
    match recipe.kind {
        PictureKind::Tiff => {
            let picture = DeepTiff {
                size,
                colours: dye.colours(),
                // Every printer and every lab reads plain TIFF, and grain does not shrink.
                packing: Packing::None,
                differenced: false,
                icc: &dye.profile(),
                resolution: Some((ppi, ppi)),
                // It stands upright.
                orientation: 1,
                software: save::PROGRAM,
                carried: &carried.main,
                exif: &carried.exif,
            };
            save::whole(path, |file| {
                save::write_tiff(BufWriter::new(file), &picture, |strips| {
                    exposure.rows(|light| Ok::<_, Error>(strips.rows(&dye.codes(light, |code| code))?))
                })
            })
        }
        kind @ (PictureKind::Jpeg | PictureKind::Png) => {
            if size.pixels() > MOST_HELD {
                return Err(Error::Large(size.pixels() / 1_000_000));
            }
            let mut samples = Vec::with_capacity(size.pixels() as usize * dye.colours().samples());
            // 65,535 is 255 times 257.
            let eight_bits = |code: u16| ((u32::from(code) + 128) / 257) as u8;
            exposure.rows(|light| {
                samples.extend(dye.codes(light, eight_bits));
                Ok::<_, Error>(())
            })?;
            let bytes = match (kind, dye.colours()) {
                (PictureKind::Png, Colours::Grey) => save::grey_png(&samples, size, ppi)?,
                (PictureKind::Png, Colours::Rgb) => save::rgb_png(&samples, size, ppi)?,
                (_, Colours::Grey) => save::grey_jpeg(&samples, size, Some(ppi))?,
                (_, Colours::Rgb) => save::rgb_jpeg(&samples, size, Some(ppi))?,
            };
            let bytes = match kind {
                PictureKind::Png => save::inscribe_png(&bytes, carried)?,
                _ => save::inscribe_jpeg(&bytes, carried)?,
            };
            save::whole(path, |file| Ok(file.write_all(&bytes)?))
        }
    }
}

/// What the print is dyed with: for each code of a neutral one the three of its own; nothing leaves it neutral.
struct Dye(Option<Vec<[u16; 3]>>);

impl Dye {
    fn colours(&self) -> Colours {
        if self.0.is_some() { Colours::Rgb } else { Colours::Grey }
    }

    fn profile(&self) -> Vec<u8> {
        match self.colours() {
            Colours::Grey => grey_profile(&Encoding::Srgb),
            Colours::Rgb => srgb_profile(),
        }
    }

    /// Luminances as codes in the sRGB curve, each made as deep as is wanted.
    fn codes<T: Send>(&self, light: &[f32], deep: impl Fn(u16) -> T + Sync) -> Vec<T> {
        let grey = |y: &f32| (f64::from(u16::MAX) * Encoding::Srgb.encode(f64::from(*y))).round() as u16;
        match &self.0 {
            None => light.par_iter().map(|y| deep(grey(y))).collect(),
            Some(dyed) => light.par_iter().flat_map_iter(|y| dyed[usize::from(grey(y))].map(&deep)).collect(),
        }
    }
}
