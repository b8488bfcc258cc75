//! JPEG scans: 8 bits and lossy, held whole while they are read.

use std::fs::File;
use std::io::{Cursor, Read};
use std::path::Path;

use image::codecs::jpeg::JpegDecoder;
use image::{ExtendedColorType, ImageDecoder, ImageError};

use super::describe::describe;
use super::directory::Source;
use super::error::Error;
use super::facts::{Compression, Facts, Format, Resolution};
use super::gather::{Gather, gathered};
use super::layout::checked_size;
use super::samples::{Depth, Pick, Samples};
use super::stream::Wanted;
use crate::light::PixelsPerInch;
use crate::plane::Band;

/// The first bytes of a JPEG: start of image, and the next marker's.
pub(super) const MAGIC: &[u8] = &[0xFF, 0xD8, 0xFF];
/// Most pixels, since the picture is held whole.
const PIXELS: u64 = 200_000_000;
/// Most bytes of the file, which is held whole as well.
const FILE: u64 = 256 << 20;

/// How a JPEG's pixels are stored.
#[derive(Debug)]
pub(super) struct JpegPicture {
    pub(super) samples: Samples,
    /// Bytes of the file, which is held whole too.
    pub(super) file: u64,
}

/// Reads what stands before the pixels.
pub(super) fn open_jpeg(path: &Path) -> Result<(Facts, JpegPicture), Error> {
    let bytes = whole_file(path)?;
    let mut decoder = decoder(&bytes)?;
    let (width, height) = decoder.dimensions();
    let size = checked_size(width.into(), height.into())?;
    if size.pixels() > PIXELS {
        return Err(Error::unsupported(format!(
            "it is a JPEG of {width} x {height} pixels, too large to be held whole"
        )));
    }
    let colours = match decoder.original_color_type() {
        ExtendedColorType::L8 => 1,
        ExtendedColorType::Rgb8 => 3,
        _ => return Err(Error::unsupported("its colours are neither grey nor RGB")),
    };
    let per_pixel = usize::from(colours);
    let samples = Samples { depth: Depth::Eight, big_endian: true, per_pixel, predicted: false, inverted: false };
    let mut facts = Facts::bare(size, Format::Jpeg, Compression::Jpeg, (8, colours, 0));
    facts.resolution = density(&bytes);
    if let Some(exif) = decoder.exif_metadata().map_err(broken)? {
        // The block is itself a TIFF; one that is broken has no part in the tones.
        if let Ok((mut source, first)) = Source::open(Cursor::new(exif))
            && let Ok(directory) = source.directory(first)
        {
            describe(&mut source, &directory, &mut facts)?;
        }
    }
    facts.icc = decoder.icc_profile().map_err(broken)?;
    Ok((facts, JpegPicture { samples, file: bytes.len() as u64 }))
}

/// Works on all wanted rows and takes what came of them, top first.
pub(super) fn stream_jpeg<T: Send, E: From<Error>>(
    path: &Path,
    facts: &Facts,
    samples: &Samples,
    wanted: Wanted,
    work: impl Fn(&Band<'_>) -> T + Sync,
    take: impl FnMut(T) -> Result<(), E>,
) -> Result<(), E> {
    gathered(facts.size, wanted, |gather| unpack(path, facts, samples, wanted.pick, gather), work, take)
}

fn unpack(path: &Path, facts: &Facts, samples: &Samples, pick: Pick, gather: &mut Gather<'_>) -> Result<(), Error> {
    let bytes = whole_file(path)?;
    let decoder = decoder(&bytes)?;
    let row_bytes = samples.row_bytes(facts.size.width) as usize;
    let whole = samples.bytes(facts.size) as usize;
    if decoder.total_bytes() != whole as u64 {
        return Err(Error::damaged("the file changed while it was read"));
    }
    let mut pixels = vec![0; whole];
    decoder.read_image(&mut pixels).map_err(broken)?;
    pixels.chunks_exact(row_bytes).try_for_each(|row| gather.row(|codes| samples.grey(row, pick, codes)))
}

fn whole_file(path: &Path) -> Result<Vec<u8>, Error> {
    let mut file = File::open(path)?;
    if file.metadata()?.len() > FILE {
        return Err(Error::unsupported("it is a JPEG too large to be held whole"));
    }
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn decoder(bytes: &[u8]) -> Result<JpegDecoder<Cursor<&[u8]>>, Error> {
    match components(bytes) {
        Some(1 | 3) => JpegDecoder::new(Cursor::new(bytes)).map_err(broken),
        Some(_) => Err(Error::unsupported("its colours are printing inks (CMYK)")),
        // The decoder makes up what is missing; a scan must not be.
        None => Err(Error::cut_short()),
    }
}

/// How many components the frame header names; `None` unless there is one and an end-of-image marker follows the first
/// scan header. Segments before that are passed over by their lengths, as a thumbnail in them has markers of its own
/// (ISO/IEC 10918-1, annex B: FF D9 ends the image, FF DA opens a scan, FF C0 to FF CF but C4, C8 and CC a frame; in
/// the coded pixels FF is followed by 00 or a restart marker).
fn components(bytes: &[u8]) -> Option<u8> {
    let mut components = None;
    let mut at = MAGIC.len() - 1;
    loop {
        let segment = bytes.get(at..)?;
        let [0xFF, marker, high, low] = segment.first_chunk()? else { return None };
        match marker {
            0xDA if segment.windows(2).any(|pair| pair == [0xFF, 0xD9]) => return components,
            0xDA => return None,
            0xC0..=0xCF if !matches!(marker, 0xC4 | 0xC8 | 0xCC) => components = segment.get(9).copied(),
            _ => {}
        }
        at += if *marker == 0xFF { 1 } else { 2 + usize::from(u16::from_be_bytes([*high, *low])) };
    }
}

/// JFIF 1.02: a JFIF file begins with its APP0 segment, which holds the density and its unit, 1 inch or 2 centimetre.
fn density(bytes: &[u8]) -> Option<Resolution> {
    let &[0xFF, 0xD8, 0xFF, 0xE0, _, _, b'J', b'F', b'I', b'F', 0, _, _, unit, x1, x0, y1, y0] = bytes.first_chunk()?
    else {
        return None;
    };
    let along = |bytes| {
        let value = f64::from(u16::from_be_bytes(bytes));
        match unit {
            1 => PixelsPerInch::new(value),
            2 => PixelsPerInch::per_centimetre(value),
            _ => None,
        }
    };
    Resolution::new(along([x1, x0]), along([y1, y0]))
}

fn broken(error: ImageError) -> Error {
    match error {
        ImageError::IoError(e) => e.into(),
        ImageError::Unsupported(e) => Error::unsupported(format!("it is an unusual JPEG ({e})")),
        ImageError::Limits(_) => Error::TooLarge("the file claims more than a scan needs".into()),
        other => Error::damaged(format!("the JPEG is broken ({other})")),
    }
}
