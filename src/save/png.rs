//! A PNG that says which program drew it, so that the next run knows it as its own.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use ::png::{BitDepth, ColorType, Decoder, Encoder, PixelDimensions, SrgbRenderingIntent, Unit};

use super::colours::Colours;
use super::{Error, PROGRAM};
use crate::light::PixelsPerInch;
use crate::plane::Size;

/// Keywords that ISO/IEC 15948 (PNG), 11.3.4.2, has for the program and for what is none of its other keywords.
const SOFTWARE: &str = "Software";
const COMMENT: &str = "Comment";

/// Metres in an inch, exactly (1959).
const METRES_PER_INCH: f64 = 0.0254;

/// PNG bytes of 8-bit grey `samples` in the sRGB encoding, row after row. It names the program and the hash of its
/// samples.
///
/// # Errors
/// When the encoder refuses the size.
pub fn grey_png(samples: &[u8], size: Size, ppi: PixelsPerInch) -> Result<Vec<u8>, Error> {
    png(samples, Colours::Grey, size, ppi)
}

/// The same of sRGB `samples`, three a pixel.
///
/// # Errors
/// When the encoder refuses the size.
pub fn rgb_png(samples: &[u8], size: Size, ppi: PixelsPerInch) -> Result<Vec<u8>, Error> {
    png(samples, Colours::Rgb, size, ppi)
}

fn png(samples: &[u8], colours: Colours, size: Size, ppi: PixelsPerInch) -> Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, size.width, size.height);
    encoder.set_color(match colours {
        Colours::Grey => ColorType::Grayscale,
        Colours::Rgb => ColorType::Rgb,
    });
    encoder.set_depth(BitDepth::Eight);
    encoder.set_source_srgb(SrgbRenderingIntent::Perceptual);
    let per_metre = (ppi.value() / METRES_PER_INCH).round() as u32;
    encoder.set_pixel_dims(Some(PixelDimensions { xppu: per_metre, yppu: per_metre, unit: Unit::Meter }));
    encoder.add_text_chunk(SOFTWARE.to_owned(), PROGRAM.to_owned()).map_err(Error::Png)?;
    encoder.add_text_chunk(COMMENT.to_owned(), seal(samples)).map_err(Error::Png)?;
    let mut writer = encoder.write_header().map_err(Error::Png)?;
    writer.write_image_data(samples).map_err(Error::Png)?;
    writer.finish().map_err(Error::Png)?;
    Ok(bytes)
}

/// Whether a file is a picture that [`grey_png`] made and that nobody has drawn on since: it names this program,
/// whatever the version, and its samples have the hash that it names. What cannot be read is not ours.
pub fn is_our_png(path: &Path) -> bool {
    // A pipe would be waited for.
    path.is_file() && File::open(path).ok().and_then(|file| sealed(BufReader::new(file))).unwrap_or(false)
}

fn sealed(file: impl std::io::BufRead + std::io::Seek) -> Option<bool> {
    let mut reader = Decoder::new(file).read_info().ok()?;
    let text = |keyword: &str| {
        let chunks = &reader.info().uncompressed_latin1_text;
        chunks.iter().find(|chunk| chunk.keyword == keyword).map(|chunk| chunk.text.clone())
    };
    let (program, sealed) = (text(SOFTWARE)?, text(COMMENT)?);
    if program.split(' ').next() != PROGRAM.split(' ').next() {
        return Some(false);
    }
    // However large it says that it is, a row at a time is held.
    let mut hasher = blake3::Hasher::new();
    while let Some(row) = reader.next_row().ok()? {
        hasher.update(row.data());
    }
    Some(sealed == named(hasher.finalize()))
}

fn seal(samples: &[u8]) -> String {
    named(blake3::hash(samples))
}

fn named(hash: blake3::Hash) -> String {
    format!("samples BLAKE3 {}", hash.to_hex())
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: Size = Size { width: 40, height: 30 };

    fn drawn() -> Vec<u8> {
        let samples: Vec<u8> = (0..40 * 30u32).map(|i| (i % 251) as u8).collect();
        grey_png(&samples, SIZE, PixelsPerInch::new(200.0).unwrap()).unwrap()
    }

    /// Read back through the `image` crate.
    #[test]
    fn it_opens_as_the_grey_picture_that_it_is() {
        let back = image::load_from_memory(&drawn()).unwrap();
        assert_eq!(back.color(), image::ColorType::L8);
        assert!(back.into_luma8().as_raw().iter().zip(0u32..).all(|(code, i)| u32::from(*code) == i % 251));
    }

    #[test]
    fn a_picture_is_known_as_ours_until_somebody_draws_on_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("sheet-01.png");
        assert!(!is_our_png(&path));
        std::fs::write(&path, drawn()).unwrap();
        assert!(is_our_png(&path));
        let mut changed = image::load_from_memory(&drawn()).unwrap().into_luma8();
        changed.put_pixel(3, 3, image::Luma([0]));
        changed.save(&path).unwrap();
        assert!(!is_our_png(&path), "drawn on");
        std::fs::write(&path, &drawn()[..200]).unwrap();
        assert!(!is_our_png(&path), "cut off");
        // A page of 70 x 90 cm at 300 pixels an inch.
        let size = Size { width: 8268, height: 10_630 };
        let large = grey_png(&vec![255; size.pixels() as usize], size, PixelsPerInch::new(300.0).unwrap()).unwrap();
        std::fs::write(&path, large).unwrap();
        assert!(is_our_png(&path), "however large");
    }
}
