//! A picture on a sheet.

use std::io::Cursor;
use std::sync::Arc;

use image::codecs::jpeg::JpegDecoder;
use image::{ColorType, GrayImage, ImageDecoder, ImageFormat};

use super::error::Error;

/// An 8-bit grey JPEG with the sRGB tone curve, kept as its bytes; cheap to clone.
///
/// The bytes go into a PDF untouched; they are decoded only for a raster page.
#[derive(Clone)]
pub struct Picture {
    jpeg: Arc<[u8]>,
    width: u32,
    height: u32,
}

impl Picture {
    /// Takes the bytes of a grey JPEG; only its header is read.
    ///
    /// # Errors
    /// [`Error::Unreadable`] when the bytes are not a JPEG with at least one pixel, [`Error::Colour`] when it has colour.
    pub fn from_jpeg(jpeg: impl Into<Arc<[u8]>>) -> Result<Self, Error> {
        let jpeg = jpeg.into();
        let header = JpegDecoder::new(Cursor::new(&*jpeg)).map_err(unreadable)?;
        let (width, height) = header.dimensions();
        if width == 0 || height == 0 {
            return Err(Error::Unreadable("it has no pixels".into()));
        }
        if header.color_type() != ColorType::L8 {
            return Err(Error::Colour);
        }
        Ok(Self { jpeg, width, height })
    }

    /// Width in pixels, at least 1.
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Height in pixels, at least 1.
    pub fn height(&self) -> u32 {
        self.height
    }

    /// Width over height.
    pub(super) fn shape(&self) -> f64 {
        f64::from(self.width) / f64::from(self.height)
    }

    /// The JPEG as it was given.
    pub(super) fn jpeg(&self) -> &Arc<[u8]> {
        &self.jpeg
    }

    /// The picture's pixels.
    pub(super) fn pixels(&self) -> Result<GrayImage, Error> {
        image::load_from_memory_with_format(&self.jpeg, ImageFormat::Jpeg)
            .map(image::DynamicImage::into_luma8)
            .map_err(unreadable)
    }
}

impl std::fmt::Debug for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Picture({} x {}, {} bytes)", self.width, self.height, self.jpeg.len())
    }
}

fn unreadable(error: image::ImageError) -> Error {
    Error::Unreadable(error.to_string())
}

#[cfg(test)]
mod tests {
    use image::codecs::jpeg::JpegEncoder;
    use image::{DynamicImage, ImageBuffer, Luma, Rgb};

    use super::{Error, Picture};

    fn jpeg(picture: &DynamicImage) -> Vec<u8> {
        let mut bytes = Vec::new();
        picture.write_with_encoder(JpegEncoder::new(&mut bytes)).expect("encodes");
        bytes
    }

    #[test]
    fn a_grey_jpeg_is_taken_and_its_size_read() {
        let grey = ImageBuffer::from_pixel(7, 5, Luma([90u8]));
        let picture = Picture::from_jpeg(jpeg(&grey.into())).expect("grey");
        assert_eq!((picture.width(), picture.height()), (7, 5));
        assert_eq!(picture.pixels().expect("whole").dimensions(), (7, 5));
    }

    #[test]
    fn colour_and_rubbish_are_refused() {
        let colour = ImageBuffer::from_pixel(7, 5, Rgb([90u8, 10, 10]));
        assert_eq!(Picture::from_jpeg(jpeg(&colour.into())).err(), Some(Error::Colour));
        assert!(matches!(Picture::from_jpeg(b"not a picture".to_vec()), Err(Error::Unreadable(_))));
    }
}
