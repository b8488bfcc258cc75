//! A print's own pixels, 16 bits deep, on a page that becomes a PDF.

use std::io::{self, Write};
use std::sync::Arc;

use super::error::Error;
use super::picture::{STAND_IN, head};
use crate::plane::Size;
use crate::save::{self, Colours};

/// Pixels that are written when their turn comes, never held. Cheap to clone.
#[derive(Clone)]
pub struct Deep {
    stand_in: Arc<[u8]>,
    bytes: u64,
    write: Arc<WriteSamples>,
}

/// Writes all samples, row after row, each high byte first (ISO 32000-1, 8.9.3).
type WriteSamples = dyn Fn(&mut dyn Write) -> io::Result<()> + Send + Sync;

/// The longest side of a JPEG, which stands in for the print while the document is laid out (ISO/IEC 10918-1, B.2.2).
const LONGEST: u32 = 65_535;

impl Deep {
    /// A print of a size whose samples follow the profile `icc`; `name` tells it from others of the page.
    ///
    /// # Errors
    /// [`Error::Pdf`] when it is wider or higher than 65,535 pixels.
    pub fn new(
        name: &str,
        size: Size,
        colours: Colours,
        icc: &[u8],
        write: impl Fn(&mut dyn Write) -> io::Result<()> + Send + Sync + 'static,
    ) -> Result<Self, Error> {
        if size.width.max(size.height) > LONGEST {
            return Err(Error::Pdf(format!("a print of {} x {} pixels is too large for it", size.width, size.height)));
        }
        let jpeg = save::bare_jpeg(colours, icc).map_err(|e| Error::Pdf(e.to_string()))?;
        let torn = || Error::Pdf("what stands in for a print is torn".to_owned());
        let mut head = head(&jpeg).ok_or_else(torn)?.to_vec();
        let at = frame(&head).ok_or_else(torn)?;
        head[at..at + 2].copy_from_slice(&(size.height as u16).to_be_bytes());
        head[at + 2..at + 4].copy_from_slice(&(size.width as u16).to_be_bytes());
        let stand_in = [STAND_IN, blake3::hash(name.as_bytes()).to_hex().as_bytes(), &head[2..]].concat().into();
        let bytes = size.pixels() * colours.samples() as u64 * 2;
        Ok(Self { stand_in, bytes, write: Arc::new(write) })
    }

    /// A JPEG of the same size and profile, without pixels, that names this print.
    pub(super) fn stand_in(&self) -> &Arc<[u8]> {
        &self.stand_in
    }

    /// Bytes of all samples.
    pub(super) fn bytes(&self) -> u64 {
        self.bytes
    }

    /// Writes them.
    pub(super) fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        (self.write)(out)
    }
}

/// Where height and width stand in a JPEG's baseline frame header: behind marker, length and precision (B.2.2).
fn frame(head: &[u8]) -> Option<usize> {
    let mut at = 2;
    while let [0xFF, marker, high, low] = *head.get(at..at + 4)? {
        if marker == 0xC0 {
            return (at + 9 <= head.len()).then_some(at + 5);
        }
        at += 2 + usize::from(u16::from_be_bytes([high, low]));
    }
    None
}

impl std::fmt::Debug for Deep {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Deep({} bytes)", self.bytes)
    }
}

#[cfg(test)]
mod tests {
    use image::codecs::jpeg::JpegDecoder;
    use image::{ColorType, ImageDecoder};

    use super::*;
    use crate::light::{Encoding, grey_profile, srgb_profile};

    /// Read by the `image` crate.
    #[test]
    fn what_stands_in_for_a_print_has_its_size_and_profile() {
        let size = Size { width: 7_200, height: 10_800 };
        for (colours, kind, icc) in [
            (Colours::Grey, ColorType::L8, grey_profile(&Encoding::Srgb)),
            (Colours::Rgb, ColorType::Rgb8, srgb_profile()),
        ] {
            let deep = Deep::new("sheet-01", size, colours, &icc, |_| Ok(())).unwrap();
            let mut decoder = JpegDecoder::new(io::Cursor::new(&deep.stand_in()[..])).unwrap();
            assert_eq!((decoder.dimensions(), decoder.color_type()), ((7_200, 10_800), kind));
            assert_eq!(decoder.icc_profile().unwrap().as_deref(), Some(&icc[..]));
            assert_eq!(deep.bytes(), 7_200 * 10_800 * 2 * colours.samples() as u64);
        }
        let roll = Size { width: 70_000, height: 10 };
        assert!(Deep::new("roll", roll, Colours::Grey, &[], |_| Ok(())).is_err());
    }
}
