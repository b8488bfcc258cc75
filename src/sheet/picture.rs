//! A picture on a sheet.

use std::io::{self, Cursor};
use std::sync::Arc;

use image::codecs::jpeg::JpegDecoder;
use image::{ColorType, GrayImage, ImageDecoder, ImageFormat};

use super::error::Error;

/// An 8-bit grey JPEG with the sRGB tone curve; cheap to clone.
///
/// The bytes go into a PDF untouched; they are decoded only for a raster page. A picture that is
/// [`fetched`](Self::fetched) does not hold them meanwhile, so that a sheet of thousands fits in memory.
#[derive(Clone)]
pub struct Picture {
    source: Source,
    stand_in: Arc<[u8]>,
    width: u32,
    height: u32,
}

/// Fetches the bytes of a JPEG.
type Fetch = dyn Fn() -> io::Result<Vec<u8>> + Send + Sync;

#[derive(Clone)]
enum Source {
    Held(Arc<[u8]>),
    Fetched { name: Arc<str>, fetch: Arc<Fetch> },
}

/// How a JPEG begins that stands in for another: the start of an image and a comment (ISO/IEC 10918-1, B.1.1.3,
/// B.2.4.5) of these words and the hash of the other.
pub(super) const STAND_IN: &[u8] = b"\xFF\xD8\xFF\xFE\x00\x59dryside: here is to be ";

/// Length of the hash as it is written.
pub(super) const NAME: usize = 64;

impl Picture {
    /// Takes the bytes of a grey JPEG; only its header is read.
    ///
    /// # Errors
    /// [`Error::Unreadable`] when the bytes are not a JPEG with at least one pixel, [`Error::Colour`] when it has colour.
    pub fn from_jpeg(jpeg: impl Into<Arc<[u8]>>) -> Result<Self, Error> {
        let jpeg = jpeg.into();
        Self::of(&jpeg.clone(), Source::Held(jpeg))
    }

    /// Takes a grey JPEG whose bytes are fetched now, and again each time that they are needed. Errors call it by its
    /// `name`, now and later.
    ///
    /// # Errors
    /// [`Error::Picture`] with what [`from_jpeg`](Self::from_jpeg) says of it, or that it cannot be fetched.
    pub fn fetched(name: &str, fetch: impl Fn() -> io::Result<Vec<u8>> + Send + Sync + 'static) -> Result<Self, Error> {
        let jpeg = fetch().map_err(unreadable);
        let source = Source::Fetched { name: name.into(), fetch: Arc::new(fetch) };
        jpeg.and_then(|jpeg| Self::of(&jpeg, source)).map_err(|error| of_picture(name, error))
    }

    fn of(jpeg: &[u8], source: Source) -> Result<Self, Error> {
        let header = JpegDecoder::new(Cursor::new(jpeg)).map_err(unreadable)?;
        let (width, height) = header.dimensions();
        if width == 0 || height == 0 {
            return Err(Error::Unreadable("it has no pixels".into()));
        }
        if header.color_type() != ColorType::L8 {
            return Err(Error::Colour);
        }
        let head = head(jpeg).ok_or_else(|| Error::Unreadable("its header is torn".into()))?;
        let stand_in = [STAND_IN, blake3::hash(jpeg).to_hex().as_bytes(), &head[2..]].concat().into();
        Ok(Self { source, stand_in, width, height })
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

    /// A JPEG of the same size and profile, without pixels, that names this one.
    pub(super) fn stand_in(&self) -> &Arc<[u8]> {
        &self.stand_in
    }

    /// The JPEG as it was given.
    pub(super) fn fetch(&self) -> Result<Arc<[u8]>, Error> {
        let (name, fetch) = match &self.source {
            Source::Held(jpeg) => return Ok(Arc::clone(jpeg)),
            Source::Fetched { name, fetch } => (name, fetch),
        };
        let jpeg = fetch().map_err(unreadable).and_then(|jpeg| {
            match self.stand_in[STAND_IN.len()..].starts_with(blake3::hash(&jpeg).to_hex().as_bytes()) {
                true => Ok(jpeg.into()),
                false => Err(Error::Unreadable("it changed while the sheet was laid out".into())),
            }
        });
        jpeg.map_err(|error| of_picture(name, error))
    }

    /// The picture's pixels.
    pub(super) fn pixels(&self) -> Result<GrayImage, Error> {
        let jpeg = self.fetch()?;
        let pixels = image::load_from_memory_with_format(&jpeg, ImageFormat::Jpeg).map(image::DynamicImage::into_luma8);
        pixels.map_err(unreadable).map_err(|error| match &self.source {
            Source::Held(_) => error,
            Source::Fetched { name, .. } => of_picture(name, error),
        })
    }
}

/// A JPEG up to where its pixels begin: segments with their lengths, the last of them the scan's own header
/// (ISO/IEC 10918-1, B.1.1.4, B.2.3).
pub(super) fn head(jpeg: &[u8]) -> Option<&[u8]> {
    const START_OF_SCAN: u8 = 0xDA;
    let mut at = 2;
    loop {
        // Any number of fill bytes may stand before a marker (B.1.1.2).
        while jpeg.get(at..at + 2)? == [0xFF; 2] {
            at += 1;
        }
        let [0xFF, marker, high, low] = *jpeg.get(at..at + 4)? else { return None };
        at += 2 + usize::from(u16::from_be_bytes([high, low]));
        if marker == START_OF_SCAN {
            return jpeg.get(..at);
        }
    }
}

impl std::fmt::Debug for Picture {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Picture({} x {})", self.width, self.height)
    }
}

fn unreadable(error: impl std::fmt::Display) -> Error {
    Error::Unreadable(error.to_string())
}

fn of_picture(name: &str, error: Error) -> Error {
    Error::Picture { name: name.to_owned(), error: Box::new(error) }
}

#[cfg(test)]
pub(super) mod tests {
    use image::codecs::jpeg::JpegEncoder;
    use image::{DynamicImage, ImageBuffer, Luma, Rgb};

    use std::io::Cursor;
    use std::sync::atomic::{AtomicU32, Ordering};

    use image::codecs::jpeg::JpegDecoder;
    use image::{ColorType, ImageDecoder};

    use super::{Error, NAME, Picture, STAND_IN};

    fn jpeg(picture: &DynamicImage) -> Vec<u8> {
        let mut bytes = Vec::new();
        picture.write_with_encoder(JpegEncoder::new(&mut bytes)).expect("encodes");
        bytes
    }

    pub(in crate::sheet) fn grey_jpeg(width: u32, height: u32) -> Vec<u8> {
        jpeg(&ImageBuffer::from_pixel(width, height, Luma([90u8])).into())
    }

    #[test]
    fn a_picture_that_changes_between_two_looks_is_told() {
        let looks = AtomicU32::new(0);
        let fetch = move || Ok(grey_jpeg(7, 5 + looks.fetch_add(1, Ordering::Relaxed) / 2));
        let picture = Picture::fetched("proof/coil.jpg", fetch).expect("grey");
        assert_eq!(picture.pixels().expect("whole").dimensions(), (7, 5));
        let told = |error: Option<Error>| error.map(|e| e.to_string()).unwrap_or_default();
        assert!(told(picture.pixels().err()).starts_with("proof/coil.jpg: ") && picture.fetch().is_err());
        assert!(told(picture.pixels().err()).contains("it changed while the sheet was laid out"));
        let gone = told(Picture::fetched("proof/keg.jpg", || Err(std::io::Error::other("gone"))).err());
        assert!(gone.starts_with("proof/keg.jpg: ") && gone.contains("gone"), "{gone}");
        let torn = told(Picture::fetched("proof/keg.jpg", || Ok(b"not a picture".to_vec())).err());
        assert!(torn.starts_with("proof/keg.jpg: "), "{torn}");
    }

    /// Read by the `image` crate, as far as there is something to be read.
    #[test]
    fn what_stands_in_for_a_picture_is_a_jpeg_of_its_size() {
        let picture = Picture::from_jpeg(grey_jpeg(70, 50)).expect("grey");
        let decoder = JpegDecoder::new(Cursor::new(&picture.stand_in()[..])).expect("a header");
        assert_eq!((decoder.dimensions(), decoder.color_type()), ((70, 50), ColorType::L8));
        let mut filled = grey_jpeg(70, 50);
        filled.splice(2..2, [0xFF; 3]);
        let filled = Picture::from_jpeg(filled).expect("grey");
        assert_eq!(filled.stand_in().len(), picture.stand_in().len() + 3);
        assert_eq!(usize::from(u16::from_be_bytes([STAND_IN[4], STAND_IN[5]])), STAND_IN.len() - 4 + NAME);
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
        assert!(matches!(Picture::from_jpeg(jpeg(&colour.into())), Err(Error::Colour)));
        assert!(matches!(Picture::from_jpeg(b"not a picture".to_vec()), Err(Error::Unreadable(_))));
    }
}
