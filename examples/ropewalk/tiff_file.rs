//! A scan as a TIFF file: codes, profile, strips and tags (TIFF 6.0; ICC.1:2022 for the profile).

use std::error::Error;
use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::Path;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use moxcms::{ColorProfile, LocalizableString, ProfileText, ToneReprCurve};
use tiff::Directory;
use tiff::encoder::{Rational, TiffEncoder};
use tiff::tags::{Tag, Type};
use weezl::BitOrder;

use crate::scanner::Scan;

/// How strips are packed; both with the horizontal predictor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Packed {
    Not,
    Deflate,
    Lzw,
}

/// What a file says about itself.
#[derive(Clone, Debug)]
pub(crate) struct Label {
    pub(crate) about: String,
    pub(crate) when: String,
    pub(crate) ppi: f64,
}

const ROWS: usize = 64;

/// The profile and the transfer encoding of a scan with so many channels.
fn profile(channels: usize) -> ColorProfile {
    let text =
        |s: &str| Some(ProfileText::Localizable(vec![LocalizableString::new("en".into(), "US".into(), s.into())]));
    let mut profile = if channels == 1 {
        let mut grey = ColorProfile::new_gray_with_gamma(2.2);
        // Exactly 2.2: the short form of the tag would round it.
        grey.gray_trc = Some(ToneReprCurve::Parametric(vec![2.2]));
        grey.description = text("Grey, gamma 2.2");
        grey
    } else {
        let mut rgb = ColorProfile::new_srgb();
        rgb.description = text("RGB after IEC 61966-2-1");
        rgb
    };
    profile.copyright = text("No copyright, use freely");
    profile
}

/// The code of a linear light: gamma 2.2 for grey, IEC 61966-2-1 for RGB.
fn code(light: f64, channels: usize) -> u16 {
    let light = light.clamp(0.0, 1.0);
    let encoded = match channels {
        1 => light.powf(1.0 / 2.2),
        _ if light <= 0.003_130_8 => 12.92 * light,
        _ => 1.055 * light.powf(1.0 / 2.4) - 0.055,
    };
    (encoded * 65535.0).round() as u16
}

/// Writes a scan.
pub(crate) fn write(path: &Path, scan: &Scan, packed: Packed, label: &Label) -> Result<(), Box<dyn Error>> {
    let channels = scan.planes.len();
    let codes: Vec<u16> = (0..scan.width * scan.height * channels)
        .map(|i| code(scan.planes[i % channels][i / channels], channels))
        .collect();
    let mut out = TiffEncoder::new(BufWriter::new(File::create(path)?))?;
    let mut page = out.image_directory()?;
    // 1. Strips, packed here; values after an odd strip start at an even place.
    let (mut offsets, mut lengths) = (Vec::new(), Vec::new());
    for rows in codes.chunks(ROWS * scan.width * channels) {
        let mut bytes = pack(rows, scan.width * channels, channels, packed)?;
        lengths.push(u32::try_from(bytes.len())?);
        if bytes.len() % 2 == 1 {
            bytes.push(0);
        }
        offsets.push(u32::try_from(page.write_data(bytes.as_slice())?)?);
    }
    // 2. What the file says.
    let depth = vec![16u16; channels];
    let ppi = Rational { n: (label.ppi * 10.0).round() as u32, d: 10 };
    let compression = match packed {
        Packed::Not => 1u16,
        Packed::Lzw => 5,
        Packed::Deflate => 8,
    };
    page.write_tag(Tag::ImageWidth, u32::try_from(scan.width)?)?;
    page.write_tag(Tag::ImageLength, u32::try_from(scan.height)?)?;
    page.write_tag(Tag::BitsPerSample, depth.as_slice())?;
    page.write_tag(Tag::Compression, compression)?;
    page.write_tag(Tag::PhotometricInterpretation, if channels == 1 { 1u16 } else { 2 })?;
    page.write_tag(Tag::ImageDescription, label.about.as_str())?;
    page.write_tag(Tag::Make, "Bench")?;
    page.write_tag(Tag::Model, "Flatbed of the ropewalk")?;
    page.write_tag(Tag::StripOffsets, offsets.as_slice())?;
    page.write_tag(Tag::SamplesPerPixel, u16::try_from(channels)?)?;
    page.write_tag(Tag::RowsPerStrip, u32::try_from(ROWS)?)?;
    page.write_tag(Tag::StripByteCounts, lengths.as_slice())?;
    page.write_tag(Tag::XResolution, Rational { n: ppi.n, d: ppi.d })?;
    page.write_tag(Tag::YResolution, ppi)?;
    page.write_tag(Tag::ResolutionUnit, 2u16)?;
    page.write_tag(Tag::Software, "ropewalk example")?;
    page.write_tag(Tag::DateTime, label.when.as_str())?;
    if packed != Packed::Not {
        page.write_tag(Tag::Predictor, 2u16)?;
    }
    // 3. The profile, of type UNDEFINED as ICC.1 asks.
    let mut bytes = profile(channels).encode()?;
    // The encoder stamps the present time into header bytes 24 to 35 (ICC.1:2022, 7.2.8): 2026-03-14 10:00 instead.
    for (at, part) in [2026u16, 3, 14, 10, 0, 0].into_iter().enumerate() {
        bytes[24 + 2 * at..26 + 2 * at].copy_from_slice(&part.to_be_bytes());
    }
    let icc = page.write_entry_bytes(Type::UNDEFINED, &bytes)?;
    let mut more = Directory::empty();
    more.extend([(Tag::IccProfile, icc)]);
    page.extend_from(&more);
    page.finish()?;
    Ok(())
}

/// The bytes of some rows, each `row` samples long.
fn pack(codes: &[u16], row: usize, channels: usize, packed: Packed) -> Result<Vec<u8>, Box<dyn Error>> {
    if packed == Packed::Not {
        return Ok(codes.iter().flat_map(|code| code.to_ne_bytes()).collect());
    }
    let differences: Vec<u8> = codes
        .chunks(row)
        .flat_map(|row| {
            (0..row.len()).map(|i| if i < channels { row[i] } else { row[i].wrapping_sub(row[i - channels]) })
        })
        .flat_map(u16::to_ne_bytes)
        .collect();
    if packed == Packed::Lzw {
        return Ok(weezl::encode::Encoder::with_tiff_size_switch(BitOrder::Msb, 8).encode(&differences)?);
    }
    let mut deflate = ZlibEncoder::new(Vec::new(), Compression::new(6));
    deflate.write_all(&differences)?;
    Ok(deflate.finish()?)
}
