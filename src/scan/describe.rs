//! What a TIFF directory says beside the pixels: scanner, resolution, turning, profile, and what is carried over.
//!
//! The Exif block of a PNG or JPEG is a TIFF of its own and is read by the same verb.

use std::io::{Read, Seek};

use tiff::tags::{Tag, Type};

use super::directory::{Directory, Source};
use super::error::Error;
use super::facts::{Carried, CarriedTag, Facts, Resolution};
use super::orientation::Orientation;
use crate::light::PixelsPerInch;

/// Longest profile, XMP or IPTC block.
const BLOCK: u64 = 4 << 20;
/// Longest text or Exif entry.
const TEXT: u64 = 64 << 10;
/// Profiles with large tables reach some megabytes.
const PROFILE: u64 = 16 << 20;

/// DocumentName, ImageDescription, Make, Model, PageName, DateTime, Artist, HostComputer, Copyright (TIFF 6.0).
const TEXTS: [u16; 9] = [269, 270, 271, 272, 285, 306, 315, 316, 33432];
/// XMP (XMP specification, part 3) and IPTC.
const BLOCKS: [u16; 2] = [700, 33723];
/// MakerNote and the interoperability directory hold offsets into the file they came from; ColorSpace,
/// PixelXDimension and PixelYDimension tell of its samples, not of those made from them (Exif 2.32).
const OF_THAT_FILE: [u16; 5] = [37500, 40961, 40962, 40963, 40965];
/// How descriptions begin that tell programs, not people, how the samples of their own file lie: in another file they
/// would be wrong, and readers that trust them fail.
const LAYOUTS: [&[u8]; 3] = [b"{\"shape\"", b"ImageJ=", b"<?xml"];

/// The profile (ICC.1, annex B).
pub(super) const ICC: u16 = 34675;

/// Adds what `directory` says to `facts`. Texts and blocks that do not lie in the file are left out: they have no part
/// in the tones. The profile has one: of a profile that the file ends in what is there is kept, so that its loss can be
/// told.
pub(super) fn describe<R: Read + Seek>(
    source: &mut Source<R>,
    directory: &Directory,
    facts: &mut Facts,
) -> Result<(), Error> {
    let exif = exif_directory(source, directory);
    let mut text = |directory: &Directory, tag| text_of(source, directory, tag);
    facts.make = text(directory, 271);
    facts.model = text(directory, 272);
    facts.software = text(directory, 305);
    facts.description = text(directory, 270);
    let digitized = exif.as_ref().and_then(|exif| text(exif, 36868));
    facts.date_time = digitized.or_else(|| text(directory, 306));
    facts.resolution = resolution(source, directory).or(facts.resolution);
    if let Ok(Some(value)) = source.first(directory, 274) {
        facts.orientation = u16::try_from(value).ok().and_then(Orientation::new).unwrap_or_default();
    }
    if let Some(entry) = directory.entry(ICC).filter(|entry| entry.count > 0) {
        facts.icc = Some(source.bytes_there(entry, PROFILE)?);
    }
    let texts = carried(source, directory, TEXT, |tag, kind| TEXTS.contains(&tag) && kind == Type::ASCII);
    let blocks = carried(source, directory, BLOCK, |tag, _| BLOCKS.contains(&tag));
    let exif = exif.map(|exif| carried(source, &exif, TEXT, |tag, _| !OF_THAT_FILE.contains(&tag)));
    facts.carried = Carried { main: [texts, blocks].concat(), exif: exif.unwrap_or_default() };
    Ok(())
}

/// The directory that Exif 2.32 hangs below tag 34665.
fn exif_directory<R: Read + Seek>(source: &mut Source<R>, directory: &Directory) -> Option<Directory> {
    let offset = source.first(directory, 34665).ok()??;
    source.directory(offset).ok()
}

fn carried<R: Read + Seek>(
    source: &mut Source<R>,
    directory: &Directory,
    limit: u64,
    wanted: impl Fn(u16, Type) -> bool,
) -> Vec<CarriedTag> {
    let mut left = BLOCK;
    let mut tags = Vec::new();
    for (tag, entry) in directory.iter().filter(|(tag, entry)| wanted(*tag, entry.kind)) {
        let length = entry.length().unwrap_or(u64::MAX);
        if length == 0 || length > left {
            continue;
        }
        if let Ok(bytes) = source.bytes(entry, limit)
            && !LAYOUTS.iter().any(|layout| bytes.starts_with(layout))
        {
            left -= length;
            tags.push(CarriedTag { tag: Tag::from_u16_exhaustive(tag), kind: entry.kind, bytes });
        }
    }
    tags
}

/// A text up to its first NUL, trimmed; bytes that are not UTF-8 are taken as Latin-1, as older writers have it.
fn text_of<R: Read + Seek>(source: &mut Source<R>, directory: &Directory, tag: u16) -> Option<String> {
    let entry = directory.entry(tag).filter(|entry| entry.kind == Type::ASCII)?;
    let bytes = source.bytes(entry, TEXT).ok()?;
    let bytes = bytes.split(|byte| *byte == 0).next().unwrap_or_default();
    let text = match str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|byte| char::from(*byte)).collect(),
    };
    Some(text.trim().to_owned()).filter(|text| !text.is_empty())
}

/// TIFF 6.0, XResolution, YResolution and ResolutionUnit: 1 no unit, 2 (the default) inch, 3 centimetre.
fn resolution<R: Read + Seek>(source: &mut Source<R>, directory: &Directory) -> Option<Resolution> {
    let unit = source.first(directory, 296).ok()?.unwrap_or(2);
    let mut along = |tag| {
        let entry = directory.entry(tag).filter(|entry| entry.kind == Type::RATIONAL)?;
        let bytes = source.bytes(entry, 8).ok()?;
        let (over, under) = (bytes.first_chunk::<4>()?, bytes.last_chunk::<4>()?);
        let value = f64::from(u32::from_ne_bytes(*over)) / f64::from(u32::from_ne_bytes(*under));
        match unit {
            2 => PixelsPerInch::new(value),
            3 => PixelsPerInch::per_centimetre(value),
            _ => None,
        }
    };
    let (x, y) = (along(282), along(283));
    Resolution::new(x, y)
}
