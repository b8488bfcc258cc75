//! PNG scans, 8 or 16 bits, streamed row by row.

use std::fs::File;
use std::io::{self, BufReader, Cursor};
use std::path::Path;

use png::{BitDepth, ColorType, Decoder, DecodingError, Limits, Reader, Transformations, Unit};

use super::describe::describe;
use super::directory::Source;
use super::error::Error;
use super::facts::{Compression, Facts, Format, Resolution};
use super::gather::{Gather, gathered};
use super::layout::checked_size;
use super::samples::{Depth, Pick, Samples};
use super::stream::Wanted;
use crate::light::{Encoding, PixelsPerInch};
use crate::plane::Band;

/// The first bytes of a PNG.
pub(super) const MAGIC: &[u8] = b"\x89PNG\r\n\x1a\n";
/// Most bytes for what stands before the pixels, and for a row.
const LIMITS: Limits = Limits { bytes: 64 << 20 };
/// Most bytes of an interlaced picture, which can only be held whole.
const INTERLACED: u64 = 512 << 20;
/// Metres in an inch.
const METRE: f64 = 0.0254;

/// How a PNG's pixels are stored.
#[derive(Debug)]
pub(super) struct PngPicture {
    pub(super) samples: Samples,
    /// Rows do not come one after another.
    pub(super) interlaced: bool,
}

/// Reads what stands before the pixels.
pub(super) fn open_png(path: &Path) -> Result<(Facts, PngPicture), Error> {
    let reader = reader(path)?;
    let info = reader.info();
    let size = checked_size(info.width.into(), info.height.into())?;
    let (colours, extra) = match info.color_type {
        ColorType::Grayscale => (1, 0),
        ColorType::GrayscaleAlpha => (1, 1),
        ColorType::Rgb => (3, 0),
        ColorType::Rgba => (3, 1),
        ColorType::Indexed => return Err(Error::unsupported("its colours are a palette")),
    };
    let depth = match info.bit_depth {
        BitDepth::Eight => Depth::Eight,
        BitDepth::Sixteen => Depth::Sixteen,
        other => return Err(Error::unsupported(format!("it has {} bits a sample", other as u8))),
    };
    let per_pixel = usize::from(colours + extra);
    let samples = Samples { depth, big_endian: true, per_pixel, predicted: false, inverted: false };
    if info.interlaced && samples.bytes(size) > INTERLACED {
        return Err(Error::unsupported("it is a large interlaced PNG, which cannot be read row by row"));
    }
    let mut facts = Facts::bare(size, Format::Png, Compression::Deflate, (depth.bits(), colours, extra));
    facts.resolution = info.pixel_dims.filter(|dims| dims.unit == Unit::Meter).and_then(|dims| {
        let inch = |per_metre: u32| PixelsPerInch::new(f64::from(per_metre) * METRE);
        Resolution::new(inch(dims.xppu), inch(dims.yppu))
    });
    if let Some(exif) = &info.exif_metadata {
        // The block is itself a TIFF; one that is broken has no part in the tones.
        if let Ok((mut source, first)) = Source::open(Cursor::new(exif.as_ref()))
            && let Ok(directory) = source.directory(first)
        {
            describe(&mut source, &directory, &mut facts)?;
        }
    }
    facts.icc = info.icc_profile.as_ref().map(|icc| icc.to_vec());
    facts.declared = match (info.srgb, info.gama_chunk) {
        (Some(_), _) => Some(Encoding::Srgb),
        // PNG, gAMA: the exponent from light to code.
        (None, Some(gamma)) if gamma.into_value() > 0.0 => Some(Encoding::Gamma(1.0 / f64::from(gamma.into_value()))),
        _ => None,
    };
    Ok((facts, PngPicture { samples, interlaced: info.interlaced }))
}

/// Works on all wanted rows and takes what came of them, top first.
pub(super) fn stream_png<T: Send, E: From<Error>>(
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
    let mut reader = reader(path)?;
    let row_bytes = samples.row_bytes(facts.size.width) as usize;
    if reader.info().interlaced {
        let mut whole = vec![0; samples.bytes(facts.size) as usize];
        reader.next_frame(&mut whole).map_err(broken)?;
        return whole.chunks_exact(row_bytes).try_for_each(|row| gather.row(|codes| samples.grey(row, pick, codes)));
    }
    let mut row = vec![0; row_bytes];
    for _ in 0..facts.size.height {
        if gather.is_done() {
            break;
        }
        if reader.read_row(&mut row).map_err(broken)?.is_none() {
            return Err(Error::cut_short());
        }
        gather.row(|codes| samples.grey(&row, pick, codes))?;
    }
    Ok(())
}

fn reader(path: &Path) -> Result<Reader<BufReader<File>>, Error> {
    let mut decoder = Decoder::new_with_limits(BufReader::with_capacity(256 << 10, File::open(path)?), LIMITS);
    decoder.set_transformations(Transformations::IDENTITY);
    decoder.set_ignore_text_chunk(true);
    decoder.read_info().map_err(broken)
}

fn broken(error: DecodingError) -> Error {
    match error {
        DecodingError::IoError(e) if e.kind() == io::ErrorKind::UnexpectedEof => Error::cut_short(),
        DecodingError::IoError(e) => Error::Disk(e),
        DecodingError::LimitsExceeded => Error::TooLarge("the file claims more than a scan needs".into()),
        // The library's own words are for programmers.
        _ => Error::damaged("its PNG data are broken"),
    }
}
