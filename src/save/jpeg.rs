//! A JPEG that says what its codes mean.

use image::codecs::jpeg::{JpegEncoder, PixelDensity};
use image::{ExtendedColorType, ImageEncoder};

use super::Error;
use super::colours::Colours;
use crate::light::{Encoding, PixelsPerInch, grey_profile, srgb_profile};
use crate::plane::Size;

/// High enough that no block shows in a sky, low enough to mail (common practice).
const QUALITY: u8 = 90;

/// For a small picture among many: half the bytes of the other, and grain that is a pixel wide is no tone (common practice).
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
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, quality);
    encoder.set_icc_profile(icc).map_err(image::ImageError::Unsupported)?;
    if let Some(ppi) = ppi {
        encoder.set_pixel_density(PixelDensity::dpi(ppi.value().round().clamp(1.0, 65_535.0) as u16));
    }
    encoder.encode(samples, size.width, size.height, kind)?;
    Ok(bytes)
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
}
