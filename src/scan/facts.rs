//! What a file says about the scan in it, without its pixels.

use std::fmt;

use tiff::tags::{Tag, Type};

use super::orientation::Orientation;
use crate::light::{Encoding, PixelsPerInch};
use crate::plane::Size;

/// The facts of a scan.
#[derive(Clone, Debug)]
pub struct Facts {
    /// Pixels as stored, before any turning; of a scan that was cut short those that are there.
    pub size: Size,
    /// Rows that should follow and do not, because the file was cut short.
    pub rows_lost: u32,
    /// Bits a sample in the file: 8, 12 or 16. Codes are delivered as 16 bits whatever it is.
    pub bits: u8,
    /// Colour channels: 1 (grey) or 3 (RGB).
    pub channels: u8,
    /// Further channels that are not read: infrared, alpha.
    pub extra_channels: u8,
    /// The container.
    pub format: Format,
    /// How the samples are packed in it.
    pub compression: Compression,
    /// Whether differences of neighbours are stored (TIFF 6.0, Predictor 2).
    pub predictor: bool,
    /// Whether the file counts from white; codes are delivered counted from black.
    pub white_is_zero: bool,
    /// Pages in the file, one of which is the scan; previews inside other pages are not counted.
    pub pages: u32,
    /// Whether it is a BigTIFF.
    pub big: bool,
    /// Pixels per inch, if the file says so believably.
    pub resolution: Option<Resolution>,
    /// How to turn it; the codes are delivered as stored.
    pub orientation: Orientation,
    /// Maker of the scanner (TIFF Make).
    pub make: Option<String>,
    /// The scanner (TIFF Model).
    pub model: Option<String>,
    /// The program that wrote the file.
    pub software: Option<String>,
    /// When it was scanned, "YYYY:MM:DD HH:MM:SS" as the file has it: Exif DateTimeDigitized, else TIFF DateTime.
    pub date_time: Option<String>,
    /// The file's own caption (TIFF ImageDescription).
    pub description: Option<String>,
    /// The embedded ICC profile, unparsed; in a file that was cut short what is there of it.
    pub icc: Option<Vec<u8>>,
    /// The transfer curve a PNG declares by its sRGB or gAMA chunk; a profile outranks it (PNG, 3rd edition).
    pub declared: Option<Encoding>,
    /// What a file made from this one should keep.
    pub carried: Carried,
}

impl Facts {
    /// Facts of a scan about which nothing is known but its samples.
    pub(super) fn bare(
        size: Size,
        format: Format,
        compression: Compression,
        (bits, channels, extra): (u8, u8, u8),
    ) -> Self {
        Self {
            size,
            rows_lost: 0,
            bits,
            channels,
            extra_channels: extra,
            format,
            compression,
            predictor: false,
            white_is_zero: false,
            pages: 1,
            big: false,
            resolution: None,
            orientation: Orientation::default(),
            make: None,
            model: None,
            software: None,
            date_time: None,
            description: None,
            icc: None,
            declared: None,
            carried: Carried::default(),
        }
    }
}

/// The container of a scan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// TIFF 6.0 or BigTIFF.
    Tiff,
    /// PNG.
    Png,
    /// JPEG: lossy, 8 bits.
    Jpeg,
}

/// How samples are packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Compression {
    /// As they are.
    None,
    /// TIFF 6.0, section 13.
    Lzw,
    /// Zlib streams (Adobe's TIFF supplement of 2002; PNG).
    Deflate,
    /// TIFF 6.0, section 9.
    PackBits,
    /// JPEG.
    Jpeg,
}

impl Compression {
    /// Whether the codes are not those that the scanner saw.
    pub fn is_lossy(self) -> bool {
        self == Self::Jpeg
    }
}

/// Pixels per inch across and down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Resolution {
    /// Across.
    pub x: PixelsPerInch,
    /// Down.
    pub y: PixelsPerInch,
}

impl Resolution {
    /// `None` unless both lie between 10 and 30 000 pixels per inch: what is outside is a placeholder or a mistake
    /// (common practice: flatbeds resolve 50 to 12 800).
    pub(super) fn new(x: Option<PixelsPerInch>, y: Option<PixelsPerInch>) -> Option<Self> {
        let believable = |ppi: &PixelsPerInch| (10.0..=30_000.0).contains(&ppi.value());
        Some(Self { x: x.filter(believable)?, y: y.filter(believable)? })
    }
}

/// Tags to be written again with whatever is made from a scan.
#[derive(Clone, Debug, Default)]
pub struct Carried {
    /// For the main directory: texts, XMP (700) and IPTC (33723).
    pub main: Vec<CarriedTag>,
    /// For the Exif directory that Exif 2.32 hangs below tag 34665.
    pub exif: Vec<CarriedTag>,
}

/// One tag as a TIFF directory holds it; `bytes` are whole values in this machine's byte order.
#[derive(Clone, PartialEq)]
pub struct CarriedTag {
    /// Its number.
    pub tag: Tag,
    /// Type of its values.
    pub kind: Type,
    /// The values.
    pub bytes: Vec<u8>,
}

impl fmt::Debug for CarriedTag {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?} ({:?}, {} bytes)", self.tag, self.kind, self.bytes.len())
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Tiff => "TIFF",
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
        })
    }
}

impl fmt::Display for Compression {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::None => "none",
            Self::Lzw => "LZW",
            Self::Deflate => "Deflate",
            Self::PackBits => "PackBits",
            Self::Jpeg => "JPEG",
        })
    }
}
