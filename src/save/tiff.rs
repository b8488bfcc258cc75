//! A 16-bit TIFF, grey or RGB, written strip by strip.

use std::io::{Seek, Write};

use tiff::encoder::{DirectoryEncoder, Rational, TiffEncoder, TiffKind, TiffKindBig, TiffKindStandard};
use tiff::tags::{CompressionMethod, Tag, Type};
use tiff::{Directory, TiffResult};

use super::Error;
use super::colours::Colours;
use super::strips::{Packing, Piece, Strips};
use crate::light::PixelsPerInch;
use crate::plane::Size;
use crate::scan::CarriedTag;

/// From this many bytes of samples on a file is a BigTIFF: classic offsets end at 4 GiB, and strips and tags need room.
const BIG_FROM: u64 = 4_000_000_000;

/// TIFF 6.0 values of the tags written here.
const GREY: u16 = 1;
const RGB: u16 = 2;
const RESOLUTION_NONE: u16 = 1;
const RESOLUTION_INCH: u16 = 2;
const DIFFERENCED: u16 = 2;

/// What a 16-bit TIFF says beside its samples.
#[derive(Clone, Copy)]
pub struct DeepTiff<'a> {
    /// Width and height.
    pub size: Size,
    /// Grey or RGB.
    pub colours: Colours,
    /// How its strips are packed.
    pub packing: Packing,
    /// Whether differences of neighbours are stored (TIFF 6.0, Predictor 2); of no matter but for LZW and Deflate.
    pub differenced: bool,
    /// The profile that its codes follow.
    pub icc: &'a [u8],
    /// Across and down, if known.
    pub resolution: Option<(PixelsPerInch, PixelsPerInch)>,
    /// TIFF 6.0 Orientation, 1 to 8.
    pub orientation: u16,
    /// The program that wrote it.
    pub software: &'a str,
    /// What else the first directory holds.
    pub carried: &'a [CarriedTag],
    /// The Exif directory; empty for none.
    pub exif: &'a [CarriedTag],
}

impl DeepTiff<'_> {
    /// TIFF 6.0 knows differences with LZW only, its supplement of 2002 with Deflate; readers disagree about others.
    fn is_differenced(&self) -> bool {
        self.differenced && matches!(self.packing, Packing::Lzw | Packing::Deflate)
    }
}

/// Writes the picture that `fill` puts in, row after row, top first.
///
/// # Errors
/// Those of `fill`, and those of the disk.
pub fn write_tiff<W: Write + Seek, E: From<Error>>(
    file: W,
    picture: &DeepTiff<'_>,
    fill: impl FnOnce(&mut Strips<'_>) -> Result<(), E>,
) -> Result<(), E> {
    // Packed grain can grow by up to half.
    let bytes_each = if picture.packing == Packing::None { 2 } else { 3 };
    if picture.size.pixels() * picture.colours.samples() as u64 * bytes_each > BIG_FROM {
        write::<W, TiffKindBig, E>(file, picture, fill)
    } else {
        write::<W, TiffKindStandard, E>(file, picture, fill)
    }
}

fn write<W: Write + Seek, K: TiffKind, E: From<Error>>(
    file: W,
    picture: &DeepTiff<'_>,
    fill: impl FnOnce(&mut Strips<'_>) -> Result<(), E>,
) -> Result<(), E> {
    let mut encoder = TiffEncoder::<W, K>::new_generic(file).map_err(Error::from)?;
    let exif = exif_directory(&mut encoder, picture.exif)?;
    let mut directory = encoder.image_directory().map_err(Error::from)?;

    let (mut offsets, mut lengths) = (Vec::new(), Vec::new());
    let mut put = |piece: Piece<'_>| {
        match piece {
            Piece::Begin(bytes) => {
                offsets.push(K::convert_offset(directory.write_data(bytes)?)?);
                lengths.push(bytes.len() as u64);
                // TIFF 6.0: offsets are even.
                if !bytes.len().is_multiple_of(2) {
                    directory.write_data(&[0u8][..])?;
                }
            }
            Piece::GoOn(bytes) => {
                directory.write_data(bytes)?;
                *lengths.last_mut().expect("a strip goes on that has begun") += bytes.len() as u64;
            }
        }
        Ok(())
    };
    let mut strips =
        Strips::new(picture.size.width, picture.colours, (picture.packing, picture.is_differenced()), &mut put);
    fill(&mut strips)?;
    strips.finish()?;

    describe(&mut directory, picture, exif).map_err(Error::from)?;
    let lengths = lengths.into_iter().map(K::convert_offset).collect::<TiffResult<Vec<_>>>().map_err(Error::from)?;
    directory.write_tag(Tag::StripOffsets, K::convert_slice(&offsets)).map_err(Error::from)?;
    directory.write_tag(Tag::StripByteCounts, K::convert_slice(&lengths)).map_err(Error::from)?;
    directory.finish().map_err(Error::from)?;
    Ok(())
}

/// A classic TIFF of tags alone, as the blocks of other files hold them (Exif 2.32, 4.5.1).
pub(super) fn small_tiff<W: Write + Seek>(file: W, main: &[CarriedTag], exif: &[CarriedTag]) -> Result<(), Error> {
    let mut encoder = TiffEncoder::<W, TiffKindStandard>::new_generic(file)?;
    let exif = exif_directory(&mut encoder, exif)?;
    let mut directory = encoder.image_directory()?;
    carry(&mut directory, main)?;
    if let Some(offset) = exif {
        directory.write_tag(Tag::ExifDirectory, offset)?;
    }
    Ok(directory.finish()?)
}

/// The Exif directory is complete before the picture's begins; its offset goes into the picture's.
fn exif_directory<W: Write + Seek, K: TiffKind>(
    encoder: &mut TiffEncoder<W, K>,
    tags: &[CarriedTag],
) -> Result<Option<K::OffsetType>, Error> {
    if tags.is_empty() {
        return Ok(None);
    }
    let mut directory = encoder.extra_directory()?;
    carry(&mut directory, tags)?;
    Ok(Some(directory.finish_with_offsets()?.offset))
}

fn describe<W: Write + Seek, K: TiffKind>(
    directory: &mut DirectoryEncoder<'_, W, K>,
    picture: &DeepTiff<'_>,
    exif: Option<K::OffsetType>,
) -> TiffResult<()> {
    carry(directory, picture.carried)?;
    directory.write_tag(Tag::ImageWidth, picture.size.width)?;
    directory.write_tag(Tag::ImageLength, picture.size.height)?;
    let samples = picture.colours.samples();
    directory.write_tag(Tag::BitsPerSample, &[16u16; 3][..samples])?;
    directory.write_tag(Tag::Compression, compression(picture.packing).to_u16())?;
    directory.write_tag(Tag::PhotometricInterpretation, if picture.colours == Colours::Rgb { RGB } else { GREY })?;
    directory.write_tag(Tag::Orientation, picture.orientation)?;
    directory.write_tag(Tag::SamplesPerPixel, samples as u16)?;
    directory.write_tag(Tag::RowsPerStrip, Strips::rows_per_strip(picture.size.width, picture.colours))?;
    if picture.is_differenced() {
        directory.write_tag(Tag::Predictor, DIFFERENCED)?;
    }
    let unit = if picture.resolution.is_some() { RESOLUTION_INCH } else { RESOLUTION_NONE };
    directory.write_tag(Tag::ResolutionUnit, unit)?;
    let rational = |ppi: Option<PixelsPerInch>| match ppi {
        Some(ppi) => Rational { n: (ppi.value() * 1000.0).round() as u32, d: 1000 },
        None => Rational { n: 1, d: 1 },
    };
    directory.write_tag(Tag::XResolution, rational(picture.resolution.map(|r| r.0)))?;
    directory.write_tag(Tag::YResolution, rational(picture.resolution.map(|r| r.1)))?;
    put(directory, Tag::Software, Type::ASCII, format!("{}\0", picture.software).as_bytes())?;
    put(directory, Tag::IccProfile, Type::UNDEFINED, picture.icc)?;
    if let Some(offset) = exif {
        directory.write_tag(Tag::ExifDirectory, offset)?;
    }
    Ok(())
}

fn carry<W: Write + Seek, K: TiffKind>(
    directory: &mut DirectoryEncoder<'_, W, K>,
    tags: &[CarriedTag],
) -> TiffResult<()> {
    tags.iter().try_for_each(|tag| put(directory, tag.tag, tag.kind, &tag.bytes))
}

fn put<W: Write + Seek, K: TiffKind>(
    directory: &mut DirectoryEncoder<'_, W, K>,
    tag: Tag,
    kind: Type,
    bytes: &[u8],
) -> TiffResult<()> {
    let mut entry = Directory::empty();
    entry.extend([(tag, directory.write_entry_bytes(kind, bytes)?)]);
    directory.extend_from(&entry);
    // TIFF 6.0: values begin at even offsets, so an odd one is followed by a byte that nobody reads.
    if !bytes.len().is_multiple_of(2) {
        directory.write_data(&[0u8][..])?;
    }
    Ok(())
}

fn compression(packing: Packing) -> CompressionMethod {
    match packing {
        Packing::None => CompressionMethod::None,
        Packing::Lzw => CompressionMethod::LZW,
        Packing::Deflate => CompressionMethod::Deflate,
        Packing::PackBits => CompressionMethod::PackBits,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::{Encoding, grey_profile};
    use std::io::Cursor;
    use tiff::decoder::{Decoder, DecodingResult};

    fn written(packing: Packing, samples: &[u16], colours: Colours, size: Size) -> Vec<u8> {
        let icc = grey_profile(&Encoding::Gamma(2.2));
        let ppi = PixelsPerInch::new(2400.0).unwrap();
        let title = CarriedTag { tag: Tag::ImageDescription, kind: Type::ASCII, bytes: b"coil of rope\0".to_vec() };
        let source = CarriedTag { tag: Tag::Unknown(0xA300), kind: Type::UNDEFINED, bytes: vec![3] };
        let picture = DeepTiff {
            size,
            colours,
            packing,
            differenced: matches!(packing, Packing::Deflate | Packing::Lzw),
            icc: &icc,
            resolution: Some((ppi, ppi)),
            orientation: 6,
            software: "dryside",
            carried: &[title],
            exif: &[source],
        };
        let mut file = Cursor::new(Vec::new());
        write_tiff(&mut file, &picture, |strips| -> Result<(), Error> {
            for band in samples.chunks(size.width as usize * colours.samples() * 7) {
                strips.rows(band)?;
            }
            Ok(())
        })
        .unwrap();
        file.into_inner()
    }

    /// Read back through the `tiff` crate's own decoder: samples exact for every packing, and what the file says.
    #[test]
    fn another_reader_gets_the_same_samples_and_facts() {
        let size = Size { width: 301, height: 900 };
        let packings = [Packing::None, Packing::Lzw, Packing::Deflate, Packing::PackBits];
        for (packing, colours) in packings.into_iter().flat_map(|p| [(p, Colours::Grey), (p, Colours::Rgb)]) {
            let count = size.pixels() * colours.samples() as u64;
            let samples: Vec<u16> = (0..count).map(|i| (i * i * 31 + i * 7) as u16).collect();
            let mut reader = Decoder::new(Cursor::new(written(packing, &samples, colours, size))).unwrap();
            let kind = reader.colortype().unwrap();
            assert_eq!(kind == tiff::ColorType::RGB(16), colours == Colours::Rgb, "{kind:?}");
            assert_eq!(reader.dimensions().unwrap(), (301, 900));
            let DecodingResult::U16(back) = reader.read_image().unwrap() else { panic!("{packing:?} is not 16 bit") };
            assert!(back == samples, "{packing:?}");
            assert_eq!(reader.get_tag_u32(Tag::Orientation).unwrap(), 6);
            assert_eq!(reader.get_tag_ascii_string(Tag::ImageDescription).unwrap(), "coil of rope");
            assert_eq!(reader.get_tag_u8_vec(Tag::IccProfile).unwrap(), grey_profile(&Encoding::Gamma(2.2)));
            assert!(reader.get_tag_u32(Tag::ExifDirectory).unwrap() > 0);
        }
    }
}
