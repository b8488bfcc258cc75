//! The same in files that are no TIFFs: blocks put into a finished JPEG or PNG.

use std::io::Cursor;

use image::codecs::jpeg::JpegDecoder;
use image::{ColorType, ImageDecoder};
use tiff::tags::Type;

use super::{Error, XMP};
use crate::save::tiff::small_tiff;
use crate::scan::{Carried, CarriedTag};

/// Longest payload of a JPEG segment (ISO/IEC 10918-1, B.1.1.4: its length counts itself).
const SEGMENT: usize = 65_533;

/// How the segments begin (Exif 2.32, 4.7.2; XMP, part 3, 1.1.3).
const EXIF: &[u8] = b"Exif\0\0";
const XMP_SEGMENT: &[u8] = b"http://ns.adobe.com/xap/1.0/\0";

/// Keyword of the PNG chunk (XMP, part 3, 1.1.5).
const XMP_CHUNK: &[u8] = b"XML:com.adobe.xmp\0\0\0\0\0";

/// A JPEG with what it is to say. A block that is too long for a JPEG is left out.
///
/// # Errors
/// When the block cannot be made.
pub fn inscribe_jpeg(jpeg: &[u8], carried: &Carried) -> Result<Vec<u8>, Error> {
    const APP1: [u8; 2] = [0xFF, 0xE1];
    // Behind the start of the image and its JFIF segment: both standards want to be first, and readers take this order.
    let mut at = 2;
    if let Some([0xFF, 0xE0, high, low]) = jpeg.get(2..6) {
        at += 2 + usize::from(u16::from_be_bytes([*high, *low]));
    }
    let (head, tail) = jpeg.split_at(at.min(jpeg.len()));
    let mut whole = head.to_vec();
    let exif = [EXIF, &exif_block(&of_jpeg(jpeg, carried)?)?].concat();
    let packet = packet(carried).map(|packet| [XMP_SEGMENT, packet].concat());
    for payload in [Some(exif), packet].into_iter().flatten().filter(|payload| payload.len() <= SEGMENT) {
        whole.extend(APP1);
        whole.extend((payload.len() as u16 + 2).to_be_bytes());
        whole.extend(payload);
    }
    whole.extend(tail);
    Ok(whole)
}

/// With what Exif wants to be said of a JPEG's own samples (Exif 2.32, tables 4, 5 and 20).
fn of_jpeg(jpeg: &[u8], carried: &Carried) -> Result<Carried, Error> {
    /// Resolution where none is known.
    const UNKNOWN: u32 = 72;
    let decoder = JpegDecoder::new(Cursor::new(jpeg))?;
    let (width, height) = decoder.dimensions();
    let components = if decoder.color_type() == ColorType::L8 { [1, 0, 0, 0] } else { [1, 2, 3, 0] };
    // JFIF 1.02: behind marker, length, name and version stand the unit, 1 for the inch, and the two densities.
    let density = |at: usize| match (jpeg.get(2..4), jpeg.get(13), jpeg.get(at..at + 2)) {
        (Some([0xFF, 0xE0]), Some(1), Some([high, low])) => u32::from(u16::from_be_bytes([*high, *low])),
        _ => UNKNOWN,
    };
    let ratio = |n: u32| [n.to_ne_bytes(), 1u32.to_ne_bytes()].concat();
    let short = |tag, n: u16| super::carried(tag, Type::SHORT, n.to_ne_bytes().to_vec());
    let long = |tag, n: u32| super::carried(tag, Type::LONG, n.to_ne_bytes().to_vec());
    let main = [
        super::carried(282, Type::RATIONAL, ratio(density(14))),
        super::carried(283, Type::RATIONAL, ratio(density(16))),
        short(296, 2),
        // YCbCrPositioning: centred.
        short(531, 1),
    ];
    let exif =
        [super::carried(0x9101, Type::UNDEFINED, components.to_vec()), long(0xA002, width), long(0xA003, height)];
    let with = |there: &[CarriedTag], own: Vec<CarriedTag>| {
        let kept = there.iter().filter(|tag| own.iter().all(|new| new.tag != tag.tag)).cloned();
        let mut all: Vec<CarriedTag> = kept.chain(own.iter().cloned()).collect();
        all.sort_by_key(|tag| tag.tag.to_u16());
        all
    };
    Ok(Carried { main: with(&carried.main, main.to_vec()), exif: with(&carried.exif, exif.to_vec()) })
}

/// A PNG with what it is to say.
///
/// # Errors
/// When the block cannot be made.
pub fn inscribe_png(png: &[u8], carried: &Carried) -> Result<Vec<u8>, Error> {
    /// Signature and header (ISO/IEC 15948, 5.2, 11.2.2).
    const HEAD: usize = 8 + 12 + 13;
    let (head, tail) = png.split_at(HEAD.min(png.len()));
    let mut whole = head.to_vec();
    whole.extend(chunk(*b"eXIf", &exif_block(carried)?));
    if let Some(packet) = packet(carried) {
        whole.extend(chunk(*b"iTXt", &[XMP_CHUNK, packet].concat()));
    }
    whole.extend(tail);
    Ok(whole)
}

/// Length, kind, data and checksum (ISO/IEC 15948, 5.3).
fn chunk(kind: [u8; 4], data: &[u8]) -> Vec<u8> {
    let mut sum = crc32fast::Hasher::new();
    sum.update(&kind);
    sum.update(data);
    [&(data.len() as u32).to_be_bytes()[..], &kind, data, &sum.finalize().to_be_bytes()].concat()
}

/// The tags as a TIFF without a picture; XMP and IPTC-IIM have places of their own.
fn exif_block(carried: &Carried) -> Result<Vec<u8>, Error> {
    let texts: Vec<CarriedTag> =
        carried.main.iter().filter(|tag| ![XMP, super::IIM].contains(&tag.tag.to_u16())).cloned().collect();
    let mut file = Cursor::new(Vec::new());
    small_tiff(&mut file, &texts, &carried.exif)?;
    Ok(file.into_inner())
}

/// The XMP packet that a file carries: the same is what stands in a file beside it (XMP, part 3, 1.2).
pub fn packet(carried: &Carried) -> Option<&[u8]> {
    carried.main.iter().find(|tag| tag.tag.to_u16() == XMP).map(|tag| tag.bytes.as_slice())
}
