//! What a file says of the picture in it, in the open standards that other programs read: Exif 2.32, XMP (ISO 16684-1)
//! with Dublin Core and IPTC Core, and IPTC-IIM where the scan had it.

mod block;
mod exif;
mod iim;
mod xmp;

use tiff::tags::{Tag, Type};

use super::Error;
use crate::scan::{Carried, CarriedTag};

pub use block::{inscribe_jpeg, inscribe_png, packet};

/// TIFF 6.0: ImageDescription, Artist, Copyright; XMP and IPTC-IIM.
const DESCRIPTION: u16 = 270;
const ARTIST: u16 = 315;
const COPYRIGHT: u16 = 33432;
const XMP: u16 = 700;
const IIM: u16 = 33723;

/// Who and what: HostComputer (TIFF 6.0); CameraOwnerName, BodySerialNumber, LensSerialNumber, ImageUniqueID,
/// UserComment (Exif 2.32).
const PERSONAL: [u16; 6] = [316, 0xA430, 0xA431, 0xA435, 0xA420, 0x9286];

/// What is known of a picture; what is not known stays as the scan's file has it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Inscription {
    /// What the picture is called.
    pub title: Option<String>,
    /// What it shows.
    pub caption: Option<String>,
    /// Who made it.
    pub creator: Option<String>,
    /// Whose it is.
    pub rights: Option<String>,
    /// Where it was made.
    pub place: Option<String>,
    /// Words to find it by.
    pub keywords: Vec<String>,
    /// -1 (rejected) to 5, as XMP has it.
    pub rating: Option<i8>,
    /// When the film was exposed, as far as it is known.
    pub exposed: Option<Moment>,
    /// When the film was scanned, "YYYY:MM:DD HH:MM:SS" as Exif writes it.
    pub scanned: Option<String>,
    /// Shutter time in seconds.
    pub exposure_time: Option<f64>,
    /// Relative aperture.
    pub f_number: Option<f64>,
    /// Focal length in mm.
    pub focal_length: Option<f64>,
    /// Name of the lens.
    pub lens: Option<String>,
    /// Speed that the film was exposed at (ISO 6).
    pub speed: Option<u16>,
    /// What no standard has a place for: names as XML has them (letters, digits, hyphens), and what is to be said.
    pub own: Vec<(String, String)>,
    /// Whether what the scan's file says of persons, places and machines is carried on.
    pub personal: bool,
}

/// A day, or less or more of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moment {
    /// Of the common era.
    pub year: i16,
    /// 1 to 12.
    pub month: Option<i8>,
    /// 1 to 31; of no matter without a month.
    pub day: Option<i8>,
    /// Hour, minute, second; of no matter without a day.
    pub time: Option<[i8; 3]>,
}

impl Moment {
    /// As Exif 2.32 writes it: what is not known is blank.
    fn exif(self) -> String {
        let two = |n: Option<i8>| n.map_or_else(|| "  ".to_owned(), |n| format!("{n:02}"));
        let day = self.day.filter(|_| self.month.is_some());
        let time = self.time.filter(|_| day.is_some());
        let [hour, minute, second] = [0, 1, 2].map(|i| two(time.map(|time| time[i])));
        format!("{:04}:{}:{} {hour}:{minute}:{second}", self.year, two(self.month), two(day))
    }

    /// As ISO 8601 writes it, cut off where knowledge ends (XMP, part 1, 8.2.1.1).
    fn iso(self) -> String {
        let mut text = format!("{:04}", self.year);
        if let Some(month) = self.month {
            text += &format!("-{month:02}");
            if let Some(day) = self.day {
                text += &format!("-{day:02}");
                if let Some([hour, minute, second]) = self.time {
                    text += &format!("T{hour:02}:{minute:02}:{second:02}");
                }
            }
        }
        text
    }
}

impl Inscription {
    /// What a file made from a scan carries: what the scan's had, with this over it; what that says of persons, places
    /// and machines only if it is wanted.
    pub fn over(&self, scans: &Carried) -> Carried {
        let said =
            [(DESCRIPTION, self.description()), (ARTIST, self.creator.clone()), (COPYRIGHT, self.rights.clone())];
        let said: Vec<CarriedTag> = said.into_iter().filter_map(|(tag, text)| Some(ascii(tag, &text?))).collect();
        let of = |tag: u16| scans.main.iter().find(|carried| carried.tag.to_u16() == tag);
        let packet = xmp::merged(self, of(XMP).map(|tag| tag.bytes.as_slice()));
        let iim = of(IIM).map(|tag| iim::without(&tag.bytes, self)).filter(|bytes| !bytes.is_empty());
        let blocks = [(XMP, Type::BYTE, Some(packet)), (IIM, Type::UNDEFINED, iim)];
        let blocks = blocks.into_iter().filter_map(|(tag, kind, bytes)| Some(carried(tag, kind, bytes?)));
        let ours: Vec<CarriedTag> = said.into_iter().chain(blocks).collect();
        let replaced = |tag: &CarriedTag| {
            let number = tag.tag.to_u16();
            [XMP, IIM].contains(&number) || ours.iter().any(|own| own.tag == tag.tag)
        };
        let dropped = |tag: &CarriedTag| !self.personal && PERSONAL.contains(&tag.tag.to_u16());
        let kept = scans.main.iter().filter(|tag| !replaced(tag) && !dropped(tag)).cloned();
        Carried { main: kept.chain(ours.iter().cloned()).collect(), exif: exif::over(self, &scans.exif) }
    }

    /// TIFF and Exif have one text for both.
    fn description(&self) -> Option<String> {
        self.caption.clone().or_else(|| self.title.clone())
    }
}

fn ascii(tag: u16, text: &str) -> CarriedTag {
    // A text ends at its first NUL (TIFF 6.0); letters beyond ASCII go as UTF-8, as every reader of today takes them.
    let text: String = text.chars().filter(|c| *c != '\0').collect();
    carried(tag, Type::ASCII, format!("{text}\0").into_bytes())
}

fn carried(tag: u16, kind: Type, bytes: Vec<u8>) -> CarriedTag {
    CarriedTag { tag: Tag::from_u16_exhaustive(tag), kind, bytes }
}
