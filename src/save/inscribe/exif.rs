//! The Exif directory (Exif 2.32, 4.6.5).

use tiff::tags::Type;

use super::{Inscription, PERSONAL, ascii, carried};
use crate::scan::CarriedTag;

const EXPOSURE_TIME: u16 = 0x829A;
const F_NUMBER: u16 = 0x829D;
const SPEED: u16 = 0x8827;
const VERSION: u16 = 0x9000;
const EXPOSED: u16 = 0x9003;
const SCANNED: u16 = 0x9004;
const FOCAL_LENGTH: u16 = 0x920A;
const FLASHPIX: u16 = 0xA000;
const COLOUR_SPACE: u16 = 0xA001;
const SOURCE: u16 = 0xA300;
const LENS: u16 = 0xA434;

/// ColorSpace: uncalibrated, which is to say that the profile tells.
const BY_PROFILE: u16 = 0xFFFF;

/// FileSource: a film scanner.
const FILM_SCANNER: u8 = 1;

/// The scan's directory with what is known of the picture in place of what it says of that.
pub(super) fn over(of: &Inscription, scans: &[CarriedTag]) -> Vec<CarriedTag> {
    let rational = |tag, value: Option<f64>| Some(carried(tag, Type::RATIONAL, ratio(value?)?.concat()));
    let ours = [
        rational(EXPOSURE_TIME, of.exposure_time),
        rational(F_NUMBER, of.f_number),
        of.speed.map(|speed| carried(SPEED, Type::SHORT, speed.to_ne_bytes().to_vec())),
        Some(carried(VERSION, Type::UNDEFINED, b"0232".to_vec())),
        of.exposed.map(|moment| ascii(EXPOSED, &moment.exif())),
        of.scanned.as_ref().map(|text| ascii(SCANNED, text)),
        rational(FOCAL_LENGTH, of.focal_length),
        Some(carried(FLASHPIX, Type::UNDEFINED, b"0100".to_vec())),
        Some(carried(COLOUR_SPACE, Type::SHORT, BY_PROFILE.to_ne_bytes().to_vec())),
        Some(carried(SOURCE, Type::UNDEFINED, vec![FILM_SCANNER])),
        of.lens.as_ref().map(|lens| ascii(LENS, lens)),
    ];
    let ours: Vec<CarriedTag> = ours.into_iter().flatten().collect();
    let dropped = |tag: &CarriedTag| !of.personal && PERSONAL.contains(&tag.tag.to_u16());
    let kept = scans.iter().filter(|tag| !dropped(tag) && ours.iter().all(|own| own.tag != tag.tag)).cloned();
    let mut all: Vec<CarriedTag> = kept.chain(ours.iter().cloned()).collect();
    all.sort_by_key(|tag| tag.tag.to_u16());
    all
}

/// Largest number over or under the line that keeps every decimal of what people write.
const PARTS: f64 = 10_000.0;

/// A number above 0 as a fraction of two: parts of a second as 1/n, all else in the fewest decimals.
fn ratio(value: f64) -> Option<[[u8; 4]; 2]> {
    let (over, under) = match value {
        v if !v.is_finite() || v <= 0.0 => return None,
        v if v < 0.5 => (1.0, 1.0 / v),
        v => (v, 1.0),
    };
    let exact = |scale: &f64| {
        let near = |n: f64| (n * scale - (n * scale).round()).abs() < 1e-6 * scale;
        near(over) && near(under)
    };
    let scale = [1.0, 10.0, 100.0, 1000.0].into_iter().find(exact).unwrap_or(PARTS);
    let part = |n: f64| {
        let n = (n * scale).round();
        (1.0..=f64::from(u32::MAX)).contains(&n).then(|| (n as u32).to_ne_bytes())
    };
    Some([part(over)?, part(under)?])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(value: f64) -> (u32, u32) {
        let [over, under] = ratio(value).unwrap();
        (u32::from_ne_bytes(over), u32::from_ne_bytes(under))
    }

    #[test]
    fn fractions_are_those_that_people_write() {
        for (value, fraction) in [
            (1.0 / 60.0, (1, 60)),
            (1.0 / 4.0, (1, 4)),
            (0.5, (5, 10)),
            (1.0, (1, 1)),
            (30.0, (30, 1)),
            (213.5, (2135, 10)),
            (5.6, (56, 10)),
        ] {
            assert_eq!(read(value), fraction, "{value}");
        }
        assert_eq!(ratio(0.0).or(ratio(-1.0)).or(ratio(f64::NAN)).or(ratio(f64::INFINITY)), None);
    }
}
