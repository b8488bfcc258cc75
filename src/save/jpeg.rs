//! A JPEG that says what its codes mean.

use std::cell::{Cell, RefCell};

use image::codecs::jpeg::{JpegEncoder, PixelDensity};
use image::{ExtendedColorType, GenericImageView, ImageEncoder, Luma};

use super::Error;
use super::colours::Colours;
use crate::light::{Encoding, PixelsPerInch, grey_profile, srgb_profile};
use crate::plane::Size;

/// High enough that no block shows in a sky, low enough to mail (common practice).
const QUALITY: u8 = 90;

/// For a small picture among many: half the bytes of the other, and grain that is a pixel wide is no tone (common
/// practice).
const SMALL_QUALITY: u8 = 75;

/// JPEG bytes of 8-bit grey `samples` in the sRGB encoding, row after row, with the grey profile that says so.
///
/// # Errors
/// When the encoder refuses the size (JPEG holds at most 65,535 pixels a side).
pub fn grey_jpeg(samples: &[u8], size: Size, ppi: Option<PixelsPerInch>) -> Result<Vec<u8>, Error> {
    jpeg(samples, Colours::Grey, size, ppi, QUALITY)
}

/// The same, smaller and coarser, without a resolution: one of many on a page for a screen.
///
/// # Errors
/// When the encoder refuses the size.
pub fn small_jpeg(samples: &[u8], size: Size) -> Result<Vec<u8>, Error> {
    jpeg(samples, Colours::Grey, size, None, SMALL_QUALITY)
}

/// The same bytes as of [`grey_jpeg`] without a resolution, packed while its `rows` still come.
///
/// # Errors
/// When the encoder refuses the size, or rows are missing.
pub fn growing_jpeg(rows: impl Iterator<Item = Vec<u8>>, size: Size) -> Result<Vec<u8>, Error> {
    let picture = RowsToCome::of(rows, size);
    let mut bytes = Vec::new();
    encoder(&mut bytes, grey_profile(&Encoding::Srgb), None, QUALITY)?.encode_image(&picture)?;
    if picture.is_whole() { Ok(bytes) } else { Err(Error::CutOff) }
}

/// Rows of a JPEG's blocks.
const BLOCK: u32 = 8;

/// A grey picture whose rows come while it is packed. The encoder goes through it by rows of blocks, top first, so that
/// no other row need be held.
struct RowsToCome<R> {
    size: Size,
    rows: RefCell<R>,
    /// Rows that have come.
    come: Cell<u32>,
    /// Whether any should have come and did not.
    is_cut_off: Cell<bool>,
    /// The last of them, each at its number's remainder by `BLOCK`.
    block: Vec<Cell<u8>>,
}

impl<R: Iterator<Item = Vec<u8>>> RowsToCome<R> {
    fn of(rows: R, size: Size) -> Self {
        let block = vec![Cell::new(0); (BLOCK * size.width) as usize];
        Self { size, rows: RefCell::new(rows), come: Cell::new(0), is_cut_off: Cell::new(false), block }
    }

    fn in_block(&self, x: u32, y: u32) -> usize {
        ((y % BLOCK) * self.size.width + x) as usize
    }

    /// Waits until row `y` is there: once for the thousands of pixels in it, which are read without a call.
    #[cold]
    #[inline(never)]
    fn wait_for(&self, y: u32) {
        for y in self.come.get()..=y {
            let row = self.rows.borrow_mut().next().filter(|row| row.len() == self.size.width as usize);
            match row {
                Some(row) => self.block[self.in_block(0, y)..].iter().zip(row).for_each(|(cell, grey)| cell.set(grey)),
                None => self.is_cut_off.set(true),
            }
        }
        self.come.set(y + 1);
    }

    fn is_whole(&self) -> bool {
        self.come.get() == self.size.height && !self.is_cut_off.get()
    }
}

impl<R: Iterator<Item = Vec<u8>>> GenericImageView for RowsToCome<R> {
    type Pixel = Luma<u8>;

    fn dimensions(&self) -> (u32, u32) {
        (self.size.width, self.size.height)
    }

    #[inline]
    fn get_pixel(&self, x: u32, y: u32) -> Luma<u8> {
        if y >= self.come.get() {
            self.wait_for(y);
        }
        debug_assert!(y + BLOCK >= self.come.get(), "the encoder does not look back");
        Luma([self.block[self.in_block(x, y)].get()])
    }
}

/// JPEG bytes of 8-bit sRGB `samples`, three a pixel, row after row, with the profile that says so.
///
/// # Errors
/// When the encoder refuses the size (JPEG holds at most 65,535 pixels a side).
pub fn rgb_jpeg(samples: &[u8], size: Size, ppi: Option<PixelsPerInch>) -> Result<Vec<u8>, Error> {
    jpeg(samples, Colours::Rgb, size, ppi, QUALITY)
}

/// A JPEG of one pixel under any profile: its header is what counts.
///
/// # Errors
/// When the encoder refuses the profile.
pub fn bare_jpeg(colours: Colours, icc: &[u8]) -> Result<Vec<u8>, Error> {
    let kind = match colours {
        Colours::Grey => ExtendedColorType::L8,
        Colours::Rgb => ExtendedColorType::Rgb8,
    };
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, QUALITY);
    encoder.set_icc_profile(icc.to_vec()).map_err(image::ImageError::Unsupported)?;
    encoder.encode(&[0; 3][..colours.samples()], 1, 1, kind)?;
    Ok(bytes)
}

fn jpeg(
    samples: &[u8],
    colours: Colours,
    size: Size,
    ppi: Option<PixelsPerInch>,
    quality: u8,
) -> Result<Vec<u8>, Error> {
    let (icc, kind) = match colours {
        Colours::Grey => (grey_profile(&Encoding::Srgb), ExtendedColorType::L8),
        Colours::Rgb => (srgb_profile(), ExtendedColorType::Rgb8),
    };
    let mut bytes = Vec::new();
    encoder(&mut bytes, icc, ppi, quality)?.encode(samples, size.width, size.height, kind)?;
    Ok(bytes)
}

fn encoder(
    bytes: &mut Vec<u8>,
    icc: Vec<u8>,
    ppi: Option<PixelsPerInch>,
    quality: u8,
) -> Result<JpegEncoder<&mut Vec<u8>>, Error> {
    let mut encoder = JpegEncoder::new_with_quality(bytes, quality);
    encoder.set_icc_profile(icc).map_err(image::ImageError::Unsupported)?;
    if let Some(ppi) = ppi {
        encoder.set_pixel_density(PixelDensity::dpi(ppi.value().round().clamp(1.0, 65_535.0) as u16));
    }
    Ok(encoder)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Read back through the `image` crate's own decoder.
    #[test]
    fn a_proof_opens_as_grey_with_its_profile() {
        use image::ImageDecoder;
        let size = Size { width: 64, height: 48 };
        let samples: Vec<u8> = (0..64 * 48u32).map(|i| (i % 64 * 4) as u8).collect();
        let bytes = grey_jpeg(&samples, size, PixelsPerInch::new(300.0)).unwrap();
        let mut decoder = image::codecs::jpeg::JpegDecoder::new(std::io::Cursor::new(&bytes)).unwrap();
        assert_eq!(decoder.color_type(), image::ColorType::L8);
        assert_eq!(decoder.icc_profile().unwrap().unwrap(), grey_profile(&Encoding::Srgb));
        let back = image::load_from_memory(&bytes).unwrap().into_luma8();
        let worst = back.as_raw().iter().zip(&samples).map(|(a, b)| a.abs_diff(*b)).max();
        assert!(worst.unwrap() <= 6, "{worst:?}");
    }

    /// The slow twin: the whole picture at once. Sizes that do not end with a block, too.
    #[test]
    fn a_picture_packed_while_its_rows_come_has_the_bytes_of_the_whole_one() {
        for (width, height) in [(64, 48), (1, 1), (7, 9), (17, 8), (33, 31)] {
            let size = Size { width, height };
            let samples: Vec<u8> = (0..width * height).map(|i| (i * 7 + i / 5) as u8).collect();
            let rows = || samples.chunks(width as usize).map(<[u8]>::to_vec);
            assert_eq!(growing_jpeg(rows(), size).unwrap(), grey_jpeg(&samples, size, None).unwrap(), "{size:?}");
            assert!(matches!(growing_jpeg(rows().skip(1), size), Err(Error::CutOff)), "{size:?}");
        }
    }
}
